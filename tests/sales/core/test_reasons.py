from sales.core.demand import DayRecord, Prediction, demand_rate
from sales.core.making import Kind, make
from sales.core.reasons import make_reason, prediction_reason, rate_reason

LAW = Prediction(2, 4)


def test_rate_reason_never_goes_without_count_exposure_and_interval():
    days = [DayRecord(5, 4)] * 3 + [DayRecord(2, 2, sold_out_at=0.5)]

    text = rate_reason(demand_rate(days, 1.5))

    assert text.startswith("14 wanted in 3.5 market days: 3.3 a day, 80% sure between 2.3 and ")


def test_rate_reason_owns_up_to_a_guess():
    assert rate_reason(demand_rate([], 1.5)).startswith("A guess from the other kinds: 1.5 a day")


def test_rate_reason_names_sold_out_days_without_a_time():
    one = rate_reason(demand_rate([DayRecord(5, 4), DayRecord(3, 3)], 1.5))
    two = rate_reason(demand_rate([DayRecord(3, 3)] * 2, 1.5))

    assert "4 wanted in 1.0 market days and 1 sold-out day without a time" in one
    assert "2 sold-out days without a time" in two


def test_prediction_reason_gives_a_range():
    assert prediction_reason(LAW) == "2.0 wanted, 8 times in 10 from 0 to 4."


def test_make_reason_tells_what_to_finish_and_what_to_make():
    kinds = [
        Kind("M", 50, 35, 0, 1, 18, 1, LAW),
        Kind("L", 50, 35, 0, 0, 18, 1, Prediction(0.01, 4)),
    ]

    reasons = [make_reason(line) for line in make(kinds, 120).lines]

    assert reasons[0] == (
        "Finish 1, make 1 (120 min): the last is wanted with 54%, 32% for the next one, 85 min."
    )
    assert reasons[1] == "Make none: 1% for the next one, 85 min."
