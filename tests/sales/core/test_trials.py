import io
from statistics import fmean

import pytest
from django.core.management import call_command

from sales.core.trials import Trial, live_seasons

SEASONS = 20


@pytest.fixture(scope="module")
def report():
    return live_seasons(SEASONS, seed=1)


def test_ninety_percent_intervals_hold_about_nine_rates_of_ten(report):
    # 120 intervals at 90 %: a binomial strays 0.027 from 0.9; three of that either way.
    assert report.intervals == 6 * SEASONS
    assert 0.82 <= report.coverage <= 0.98


def test_the_plan_is_no_worse_than_making_again_what_sold(report):
    assert report.gain > 0
    assert report.seasons_won > SEASONS / 2
    assert report.gain == pytest.approx(fmean(report.planned) - fmean(report.repeated))


def test_the_same_seed_lives_the_same_seasons():
    assert live_seasons(2, seed=7) == live_seasons(2, seed=7)
    assert live_seasons(2, seed=7).planned != live_seasons(2, seed=8).planned


def test_without_minutes_both_ways_sell_what_was_there_at_the_start():
    report = live_seasons(2, trial=Trial(minutes=0))

    assert report.planned == report.repeated


def test_the_command_tells_how_it_went():
    out, err = io.StringIO(), io.StringIO()

    call_command("simulate_seasons", seasons=2, days=6, stdout=out, stderr=err)

    said = out.getvalue()
    assert "of 12 90 % intervals held the true rate" in said
    assert "as planned" in said
    assert "making again what sold" in said
    assert "season 2 of 2" in err.getvalue()


@pytest.mark.parametrize(
    ("figures", "message"),
    [({"sizes": 0}, "sizes"), ({"ask_share": 2}, "ask_share"), ({"day_noise": 0}, "day_noise")],
)
def test_a_trial_of_nothing_is_refused(figures, message):
    with pytest.raises(ValueError, match=message):
        Trial(**figures)
