"""What lived market days teach: guesses, hours, sizes and memory."""

import datetime as dt

import pytest

from sales.services import report
from tests.factories.shelf import pattern_of
from tests.factories.stalls import Stall, six_days


@pytest.fixture
def stall(maker, at):
    return Stall(maker, at)


def test_days_before_a_kind_was_known_say_nothing_about_it(stall):
    day = stall.opened([])
    stall.close(day, noted=True)
    [one] = stall.pairs(1)
    day = stall.opened([one])
    stall.close(day, noted=True)

    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds

    assert len(history.days) == 2
    assert (history.rate.exposure, history.days_known) == (1, 1)


def test_a_pattern_that_never_came_to_market_is_a_guess(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    stall.sell(day, one, "11:00")
    stall.close(day, noted=True)
    new = pattern_of("Women 9½", foot_length_mm=254)

    known, guessed = report.what_sells(report.closed_days(), ask_share=0.5, patterns=[new]).kinds

    assert not known.rate.guess
    assert guessed.pattern == new
    assert guessed.rate.guess


def test_a_workshop_where_nobody_asks_reads_no_requests(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one])
    stall.sell(day, one, "11:00")
    stall.ask(day, one.pattern)
    stall.close(day, noted=True)

    [history] = report.what_sells(report.closed_days(), ask_share=0.0).kinds

    assert (history.rate.events, history.rate.exposure) == (1, 0.5)


def test_a_size_is_sold_out_only_when_every_design_of_it_is(stall):
    [plain] = stall.pairs(1)
    [ribbed] = stall.pairs(1, pattern_of(design="Mole rib"))
    day = stall.opened([plain, ribbed])
    stall.sell(day, plain, "09:30")
    stall.close(day)
    day = stall.opened([ribbed])
    stall.sell(day, ribbed, "11:00")
    stall.close(day)

    [size] = report.what_sells(report.closed_days(), ask_share=0.5).sizes

    assert [(d.brought, d.sold, d.sold_out_at) for d in size.days] == [(2, 1, None), (1, 1, 0.5)]
    assert len(size.patterns) == 2
    assert size.name == "Women 8½"


def test_a_half_day_counts_half(stall):
    [one] = stall.pairs(1)
    day = stall.opened([one], factor=0.5)
    stall.close(day)

    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds

    assert history.rate.exposure == 0.5


def test_hours_are_learned_from_forty_timed_sales(stall):
    """Forty-two buyers between nine and ten, none at any other time."""
    pairs = stall.pairs(44)
    for week in range(7):
        day = stall.opened(pairs[6 * week : 6 * week + 6])
        for number, pair in enumerate(pairs[6 * week : 6 * week + 6]):
            stall.sell(day, pair, f"09:{10 + 8 * number:02d}")
        stall.close(day)

    found = report.what_sells(report.closed_days(), ask_share=0.5)

    assert max(found.hours) == found.hours[1]
    assert sum(found.hours) / len(found.hours) == pytest.approx(1)
    # It ran out when most custom of such a day was over, late as the clock was early.
    assert found.kinds[0].days[-1].sold_out_at > 0.4
    assert report.sold_out_clock(found.kinds[0], found.days, found.hours) == dt.time(9, 50)


def test_fewer_timed_sales_teach_no_hours(stall):
    six_days(stall, stall.pairs(12))

    assert report.what_sells(report.closed_days(), ask_share=0.5).hours == ()


def test_a_kind_never_seen_leans_on_its_size_and_its_design(stall):
    plain = stall.pairs(8)
    stripe = stall.pairs(2, pattern_of(design="Foghorn stripe"))
    big = stall.pairs(8, pattern_of("Men 10", group="men", foot_length_mm=270))
    day = stall.opened([*plain, *stripe, *big])
    for number, pair in enumerate((*plain[:6], *big[:2])):
        stall.sell(day, pair, f"{8 + number // 2:02d}:{10 + 20 * (number % 2)}")
    stall.close(day)
    women = pattern_of(design="Net-loft boot")
    men = pattern_of("Men 10", "Net-loft boot", "men", 270)

    found = report.what_sells(report.closed_days(), ask_share=0.5, patterns=[women, men])

    rates = {kind.pattern.pk: kind.rate for kind in found.kinds}
    assert rates[women.pk].guess
    assert rates[women.pk].mean > rates[men.pk].mean


def test_a_shorter_memory_leans_on_the_newest_days(stall):
    pairs = stall.pairs(20)
    for sold in (0, 0, 0, 4):
        day = stall.opened(pairs[:5])
        for number in range(sold):
            stall.sell(day, pairs.pop(0), f"{9 + number}:00".zfill(5))
        stall.close(day)
    read = report.closed_days()

    [whole] = report.what_sells(read, ask_share=0.5).kinds
    [short] = report.what_sells(read, ask_share=0.5, memory=0.6).kinds

    assert short.rate.mean > whole.rate.mean
    assert short.rate.exposure < whole.rate.exposure
