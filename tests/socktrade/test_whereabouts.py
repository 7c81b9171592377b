"""The first guess of a workshop's country, by what its browser asks for."""

import pytest

from socktrade.whereabouts import likely_workshop


@pytest.mark.parametrize(
    ("header", "unit", "currency", "rules", "country"),
    [
        # Currencies by ISO 4217 as CLDR assigns them, membership by the Treaty, article 52,
        # custom of measures common practice; all from memory.
        ("en-US,en;q=0.9", "in", "USD", "us", "USA"),
        ("de-AT,de;q=0.8,en;q=0.5", "cm", "EUR", "eu", "Austria"),
        ("de", "cm", "EUR", "eu", "Germany"),
        ("en-GB", "in", "GBP", "uk", "United Kingdom"),
        ("sv-SE", "cm", "SEK", "eu", "Sweden"),
        ("fr-CA, fr;q=0.9", "cm", "CAD", "us", "Canada"),
        ("nb-NO", "cm", "NOK", "us", "Norway"),
    ],
)
def test_units_money_and_rules_follow_the_browser(header, unit, currency, rules, country):
    likely = likely_workshop(header)

    assert (likely.length_unit, likely.currency) == (unit, currency)
    assert (likely.label_rules, likely.country) == (rules, country)


@pytest.mark.parametrize("header", ["", "*", "xx-YY-zz", "en-001", "\x00", "q=0.5;;;", "a" * 5000])
def test_a_header_that_says_nothing_gives_the_plain_workshop(header):
    assert likely_workshop(header).currency == "USD"


@pytest.mark.django_db
def test_the_first_page_begins_with_the_guess(client):
    from socktrade.first_run import make_token

    answer = client.get(f"/start/{make_token()}/", headers={"accept-language": "sv-SE"})

    assert answer.context["form"]["currency"].value() == "SEK"
