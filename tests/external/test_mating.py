"""Mating against a general matching algorithm and printed examples."""

import random
import time

import networkx as nx
import pytest

from production.core.mating import mate


def by_matching(lengths, tolerance):
    """Return (pairs, total) by networkx: most pairs first, then least total difference."""
    graph = nx.Graph()
    graph.add_nodes_from(range(len(lengths)))
    for i, a in enumerate(lengths):
        for j in range(i):
            gap = abs(a - lengths[j])
            if gap <= tolerance:
                graph.add_edge(i, j, weight=10**6 - gap, gap=gap)
    pairs = nx.max_weight_matching(graph, maxcardinality=True)
    return len(pairs), sum(graph.edges[pair]["gap"] for pair in pairs)


def test_mate_equals_general_matching():  # networkx max_weight_matching
    chance = random.Random(20)

    for _ in range(3000):
        lengths = [chance.randint(200, 240) for _ in range(chance.randint(0, 13))]
        tolerance = chance.randint(0, 12)
        found = mate(lengths, tolerance)

        assert (len(found.pairs), found.total_mm) == by_matching(lengths, tolerance)
        assert sorted([i for pair in found.pairs for i in pair] + list(found.odd)) == list(
            range(len(lengths))
        )
        assert all(abs(lengths[i] - lengths[j]) <= tolerance for i, j in found.pairs)


def test_mate_without_a_tolerance_that_binds():  # a published question and its answer
    lengths = [1515, 1520, 1500, 1535]
    found = mate(lengths, 1000)

    assert {frozenset(lengths[i] for i in pair) for pair in found.pairs} == {
        frozenset({1500, 1515}),
        frozenset({1520, 1535}),
    }
    assert found.total_mm == 30


def test_mate_leaves_the_right_one_of_five():  # cs.stackexchange.com question 106214
    lengths = [3.0, 2.1, 0.9, 2.9, 1.1]
    found = mate(lengths, 10)

    assert [lengths[i] for i in found.odd] == [2.1]
    assert found.total_mm == pytest.approx(0.3, abs=1e-9)


def test_closest_first_would_leave_two_odd_socks():  # worked by hand
    found = mate([240, 244, 247, 251], 4)

    assert found.pairs == ((0, 1), (2, 3))
    assert found.odd == ()


def test_ten_thousand_socks_take_under_fifty_milliseconds():
    chance = random.Random(3)
    lengths = [chance.randint(180, 320) for _ in range(10_000)]
    times = []
    for _ in range(5):
        start = time.process_time()
        mate(lengths, 5)
        times.append(time.process_time() - start)

    assert min(times) < 0.05
