"""Flow figures against queueing texts and sums worked by hand."""

import math
import random
from itertools import pairwise

import numpy as np
import pytest

from production.core.flow import (
    age_flag_days,
    batch_wait,
    clear_time,
    time_in_system,
)
from production.core.places import STEP_BY_KEY


def test_a_rack_of_160_bottles_at_8_a_month_turns_in_20():  # Little & Graves (2008), ch. 5
    assert time_in_system(160, 8) == 20


def test_littles_law_is_exact_over_a_window_empty_at_both_ends():  # Little & Graves (2008)
    chance = random.Random(7)
    jobs = [(start, start + chance.uniform(0.1, 9)) for start in range(40)]
    window = max(end for _, end in jobs)
    # Work under way as a step function, summed between its steps.
    moments = sorted({moment for job in jobs for moment in job})
    area = sum(
        (after - before) * sum(start <= before < end for start, end in jobs)
        for before, after in pairwise(moments)
    )

    stay = time_in_system(area / window, len(jobs) / window)

    assert stay == pytest.approx(sum(end - start for start, end in jobs) / len(jobs))


@pytest.mark.parametrize(
    ("inflow", "days"), [(0, 14 * 35 / 90), (1.5, 490 / 37.5), (3, math.inf), (90 / 35, math.inf)]
)
def test_a_queue_clears_in_nf_over_spare_time_or_never(inflow, days):  # n f / (C - r f)
    found = clear_time(14, 35, 90, inflow)

    assert found.days == pytest.approx(days)
    assert found.clears is math.isfinite(days)
    assert ("never" in found.reason) is not found.clears


def test_batch_wait():  # Hopp & Spearman, Factory Physics, sec. 9.4: (k - 1)/(2 r)
    assert (batch_wait(8, 2).mean_days, batch_wait(8, 2).first_days) == (1.75, 3.5)
    assert batch_wait(1, 2).mean_days == 0


def test_batch_wait_equals_a_simulated_basket():
    # Arrivals exactly 1/r apart: the i-th of k waits (k - 1 - i)/r.
    waits = [(8 - 1 - i) / 2 for i in range(8)]

    assert batch_wait(8, 2).mean_days == sum(waits) / len(waits)
    assert batch_wait(8, 2).first_days == max(waits)


def test_age_flag_equals_the_85th_percentile_of_numpy():
    chance = random.Random(5)
    for count in (8, 9, 20, 41):
        days = [chance.uniform(1, 60) for _ in range(count)]

        assert age_flag_days(days, 99) == pytest.approx(np.percentile(days, 85))


def test_toe_seams_of_a_pair_take_seventeen_and_a_half_minutes():  # common practice
    assert 2 * STEP_BY_KEY["seam"].minutes == 17.5
