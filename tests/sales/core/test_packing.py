import pytest

from sales.core.demand import Prediction
from sales.core.packing import pack, pack_lines, pair_worth

SIZES = [Prediction(mean, 4) for mean in (0.8, 2, 3, 1.2)]


class Sure:
    """Demand known to the pair."""

    def __init__(self, pairs):
        self.pairs = pairs

    def at_least(self, k):
        return 1.0 if k <= self.pairs else 0.0


def test_pack_brings_what_is_sure_to_sell():
    assert pack([Sure(3), Sure(0), Sure(1)], gain=10, loss=1) == [3, 0, 1]


def test_pack_takes_the_dearest_when_room_is_short():
    assert pack([Sure(3), Sure(3)], gain=[10, 12], loss=1, places=4) == [1, 3]


def test_pack_gives_equal_pairs_to_the_kind_named_first():
    assert pack([Sure(5), Sure(5)], gain=10, loss=1, places=1) == [1, 0]


def test_pack_brings_nothing_to_a_full_table():
    assert pack(SIZES, 18, 0.5, places=0) == [0, 0, 0, 0]


def test_pack_of_no_kinds_is_empty():
    assert pack([], 18, 0.5, places=4) == []


def test_pack_brings_no_more_than_there_is():
    assert pack([Sure(5), Sure(2)], 10, 1, places=6, available=[3, 9]) == [3, 2]
    assert pack([Sure(5), Sure(2)], 10, 1, places=6, available=[0, 1]) == [0, 1]


def test_pack_fills_the_table_when_unsold_pairs_cost_nothing():
    # Socks keep: the critical ratio is 1 and only the room is a limit.
    assert sum(pack(SIZES, 18, 0, places=30)) == 30


def test_pack_without_loss_or_limit_still_ends():
    counts = pack(SIZES, 18, 0)

    # The last bits of a float sum are no reason to bring one more.
    for law, count in zip(SIZES, counts, strict=True):
        assert law.at_least(count + 1) <= 1e-12 < law.at_least(count)


def test_pack_leaves_a_kind_at_home_that_is_worth_more_there():
    assert pack([Prediction(5, 4)], gain=-1, loss=0) == [0]
    assert pack([Prediction(5, 4)], gain=0, loss=0) == [0]


def test_pack_stops_at_the_exact_critical_ratio():
    # P(D <= 1) is .75 = 3 / (3 + 1): the second pair is worth nothing and stays.
    class Halves:
        def at_least(self, k):
            return {1: 0.5, 2: 0.25}.get(k, 0.0)

    assert pack([Halves()], gain=3, loss=1) == [1]


def test_more_room_never_makes_a_plan_worse():
    values = [
        sum(
            pair_worth(law, k, 18, 0.5)
            for law, count in zip(SIZES, pack(SIZES, 18, 0.5, places), strict=True)
            for k in range(1, count + 1)
        )
        for places in range(30)
    ]

    assert values == sorted(values)


def test_pack_lines_tell_the_last_pair_and_the_next():
    counts = pack(SIZES, 18, 0.5, places=4)

    lines = pack_lines(SIZES, 18, 0.5, counts)

    assert [line.count for line in lines] == counts
    # Room ran out: every pair left out is worth no more than every pair taken.
    taken = [line.last_worth for line in lines if line.last_worth is not None]
    assert min(taken) >= max(line.next_worth for line in lines)
    assert lines[1].last_chance == SIZES[1].at_least(counts[1])
    assert lines[1].next_chance == SIZES[1].at_least(counts[1] + 1)
    assert lines[1].expected_sales == SIZES[1].expected_sales(counts[1])


def test_pack_lines_of_a_kind_left_at_home_have_no_last_pair():
    (line,) = pack_lines([Sure(0)], 10, 1, [0])

    assert (line.last_chance, line.last_worth, line.next_worth) == (None, None, -1)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"gain": [1], "loss": 1, "places": 1}, r"gain has 1 entries; it must have 4"),
        ({"gain": 1, "loss": [1, 2], "places": 1}, r"loss has 2 entries; it must have 4"),
        ({"gain": 1, "loss": -1, "places": 1}, r"loss=-1 must be a number, 0 or more"),
        ({"gain": float("nan"), "loss": 1, "places": 1}, r"gain=nan must be a number"),
        ({"gain": 1, "loss": 1, "places": -1}, r"places=-1 must be a whole number, 0 or more"),
        ({"gain": 1, "loss": 1, "places": 2.5}, r"places=2.5 must be a whole number"),
        ({"gain": 1, "loss": 1, "available": [1]}, r"available has 1 entries; it must have 4"),
        ({"gain": 1, "loss": 1, "available": [1, 1, 1, -1]}, r"available=-1 must be a whole"),
    ],
)
def test_pack_names_what_is_out_of_range(options, message):
    with pytest.raises(ValueError, match=message):
        pack(SIZES, **options)


def test_pack_lines_wants_one_count_per_kind():
    with pytest.raises(ValueError, match=r"counts has 1 entries; it must have 4"):
        pack_lines(SIZES, 18, 0.5, [1])
