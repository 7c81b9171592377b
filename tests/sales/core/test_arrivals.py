import pytest

from sales.core.arrivals import (
    fit_rows_and_columns,
    share_of_day,
)

OPENS, CLOSES = 8 * 60, 14 * 60
SPREAD_OUT = [495, 530, 560, 560, 610, 660, 700, 780]


@pytest.mark.parametrize(
    ("minute", "share"),
    [(480, 0), (660, 0.5), (750, 0.75), (840, 1), (400, 0), (900, 1)],
)
def test_share_of_day_is_even_until_learned(minute, share):
    assert share_of_day(minute, OPENS, CLOSES) == pytest.approx(share)


def test_share_of_day_follows_learned_weights():
    # Two thirds of the custom come in the first half.
    weights = [4 / 3, 2 / 3]

    assert share_of_day(660, OPENS, CLOSES, weights) == pytest.approx(2 / 3)
    assert share_of_day(570, OPENS, CLOSES, weights) == pytest.approx(1 / 3)
    assert share_of_day(840, OPENS, CLOSES, weights) == 1


def test_fit_meets_its_own_balance():
    # At the fit, expected counts equal seen counts in every row and column (score equations).
    counts = [[5, 3, 1], [9, 4, 2]]
    time = [[1, 1.5, 2], [0.8, 1, 1.2]]

    fit = fit_rows_and_columns(counts, time, prior_rate=1, strength=0, smoothing=0)

    for i, row in enumerate(counts):
        expected = sum(fit.rates[i] * fit.weights[j] * time[i][j] for j in range(3))
        assert expected == pytest.approx(sum(row))
    for j in range(3):
        expected = sum(fit.rates[i] * fit.weights[j] * time[i][j] for i in range(2))
        assert expected == pytest.approx(counts[0][j] + counts[1][j])


def test_fit_without_record_is_the_prior_and_even():
    fit = fit_rows_and_columns([[0, 0]], [[0, 0]], prior_rate=1.5)

    assert fit.rates == pytest.approx((1.5,))
    assert fit.weights == pytest.approx((1, 1))


def test_fit_of_an_empty_table_without_prior_is_nothing():
    fit = fit_rows_and_columns([[0, 0]], [[0, 0]], prior_rate=1.5, strength=0, smoothing=0)

    assert (fit.rates, fit.weights) == ((0,), (1, 1))


def test_fit_finds_a_busy_morning():
    fit = fit_rows_and_columns([[8, 2], [16, 4]], [[4, 4], [4, 4]], prior_rate=2)

    assert fit.weights[0] > 1 > fit.weights[1]
    assert sum(fit.weights) == pytest.approx(2)
    assert fit.rates[1] > fit.rates[0]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: share_of_day(500, 480, 480), r"closes=480 must be after opens=480"),
        (lambda: share_of_day(500, 480, 840, [0, 0]), r"sum of weights=0.0 must be a number above"),
        (lambda: share_of_day(500, 480, 840, [-1, 2]), r"weights=-1 must be a number, 0 or more"),
        (lambda: fit_rows_and_columns([], [], 1), r"events has rows of \[\] columns"),
        (lambda: fit_rows_and_columns([[1], [1, 2]], [[1], [1]], 1), r"it must have equal rows"),
        (lambda: fit_rows_and_columns([[1]], [[1], [1]], 1), r"exposure must have 1 rows of 1"),
        (lambda: fit_rows_and_columns([[1]], [[-1]], 1), r"events and exposure=-1 must be"),
        (lambda: fit_rows_and_columns([[1]], [[1]], 0), r"prior_rate=0 must be a number above 0"),
    ],
)
def test_arrivals_name_what_is_out_of_range(call, message):
    with pytest.raises(ValueError, match=message):
        call()
