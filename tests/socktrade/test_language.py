"""The book in another language: phrases, days, figures and money as the language writes them."""

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.template import Context, Template
from django.utils import translation

from patterns.core.units import format_length, parse_length
from patterns.core.words import Phrase, say, say_count, say_list
from socktrade.models import Workshop
from socktrade.money import format_minor, parse_minor
from tests.factories.socktrade import WorkshopFactory

DAY = dt.date(2026, 3, 4)


def test_a_phrase_is_its_english_text_wherever_text_is_compared_or_kept():
    phrase = say("{pairs} pairs at {price:.2f}", pairs=3, price=28.5)

    assert phrase == "3 pairs at 28.50"
    assert json.loads(json.dumps([phrase])) == ["3 pairs at 28.50"]
    assert say_count("{count} sock", "{count} socks", 1) == "1 sock"
    assert say_count("{count} sock", "{count} socks", 0) == "0 socks"


def test_a_phrase_without_values_keeps_its_braces():
    assert say("Write {x} here.") == "Write {x} here."


@pytest.mark.parametrize(
    ("parts", "text"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_a_list_ends_with_its_own_word(parts, text):
    assert say_list(parts, " and ") == text


def test_figures_and_days_inside_a_phrase_follow_the_language():
    """Decimal comma and "4. März 2026": common practice in German."""
    phrase = say("{figure} cm", figure=Decimal("26.5"))

    with translation.override("de"):
        assert str(phrase) == f"{phrase}" == "26,5 cm"
        assert str(say("{on:long}", on=DAY)) == "4. März 2026"
        assert Template("{{ phrase }}").render(Context({"phrase": phrase})) == "26,5 cm"
    assert str(say("{on:long}", on=DAY)) == "4 March 2026"


def test_a_measure_of_yarn_inside_a_phrase_follows_the_language():
    """A decimal comma and a point for thousands: common practice in German."""
    phrase = say("{one} ({many:yarn1})", one=say("leg {grams:mass1}", grams=3.8), many=1234.5)

    assert phrase == "leg 3.8 g (1234.5 m)"
    with translation.override("de"):
        assert "3,8 g" in str(phrase)
        assert "3.8" not in str(phrase)


def test_markup_in_a_value_is_harmless_on_a_page():
    shown = Template("{{ said }}").render(Context({"said": say("{name} sold", name="<b>x</b>")}))

    assert shown == "&lt;b&gt;x&lt;/b&gt; sold"


def test_a_phrase_survives_pickling_and_keeps_its_pattern():
    import pickle

    phrase = say_count("{count} sock", "{count} socks", 2)
    again = pickle.loads(pickle.dumps(phrase))  # noqa: S301 - made a line above

    assert isinstance(again, Phrase)
    assert (again, again.one, again.number) == ("2 socks", "{count} sock", 2)


def test_measures_and_money_shown_in_a_language_are_understood_when_typed_back():
    with translation.override("de"):
        assert parse_length(str(format_length(265, "cm")), "cm") == 265
        shown = format_minor(123450, "EUR")
        assert shown == "1.234,50\xa0€"  # as CLDR writes it for German, by Babel
        assert parse_minor(shown, "EUR") == 123450


@pytest.mark.django_db
def test_the_page_speaks_the_browsers_language_until_the_workshop_chose(page):
    WorkshopFactory()
    asked = {"accept-language": "de-AT,de;q=0.9,en;q=0.5"}

    assert '<html lang="de">' in page.get("/", headers=asked).text
    Workshop.objects.update(language="en")
    assert '<html lang="en">' in page.get("/", headers=asked).text
    assert translation.get_language() == "en"


@pytest.mark.django_db
def test_the_workshop_chooses_its_language_on_its_page(page):
    WorkshopFactory()
    form = page.get("/workshop/").context["form"]
    typed = {name: form[name].value() for name in form.fields if form[name].value() is not None}

    assert 'name="language"' in page.get("/workshop/").text
    page.post("/workshop/", typed | {"language": "de"})

    assert Workshop.objects.get().language == "de"
    assert "Werkstatt" in page.get("/workshop/").text
