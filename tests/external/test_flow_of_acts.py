"""Little's law on the acts themselves: L = lambda W over a window that is empty at both ends.

Little & Graves, chapter 5 of Chhajed & Lowe (eds), Building Intuition, Springer 2008.
"""

import datetime as dt
import random
from itertools import pairwise

import pytest

from production.core.places import IN_WORK, STEPS
from production.models import SockMove
from production.services import baskets, mating_table, pairs
from production.services.acts import Who
from production.services.forecasts import flow_between
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db

DAY = dt.timedelta(days=1)


def played(seed):
    """Knit and finish strings at odd hours until the bench is empty; return the last moment."""
    chance, user, clock = random.Random(seed), UserFactory(), AT
    version, lot, waiting = PatternVersionFactory(), stocked_lot(by=user), []

    def now():
        nonlocal clock
        clock += dt.timedelta(hours=chance.randint(1, 40))
        return Who(by=user, at=clock)

    for _ in range(6):
        string = logged_string(
            count=2 * chance.randint(1, 4), version=version, lot=lot, by=user, at=now().at
        )
        waiting.append(list(string.socks.values_list("pk", flat=True)))
        while waiting and chance.random() < 0.6:
            finish(waiting.pop(chance.randrange(len(waiting))), now)
    for ids in waiting:
        finish(ids, now)
    return clock


def finish(ids, now):
    for step in STEPS:
        baskets.do_step(step=step.key, sock_ids=ids, who=now())
    table = mating_table.propose_mates(tolerance_mm=5)
    pairs.mate_socks(couples=[(p.left.pk, p.right.pk) for p in table.proposals], who=now())


def stays(start, end):
    """Return for each sock when it came onto the bench and left it, read off its moves."""
    span = {}
    moves = SockMove.objects.filter(act__at__gte=start, act__at__lte=end).order_by("pk")
    for sock, into, out, at in moves.values_list("sock_id", "end", "start", "act__at"):
        if into in IN_WORK and out not in IN_WORK:
            span[sock] = [at, None]
        if out in IN_WORK and into not in IN_WORK:
            span[sock][1] = at
    return list(span.values())


@pytest.mark.parametrize("seed", range(4))
def test_the_mean_stay_by_the_law_is_the_mean_of_the_stays_themselves(seed):
    end = played(seed) + DAY
    found = flow_between(AT - DAY, end)

    each = [(out - came) / DAY for came, out in stays(AT - DAY, end)]

    assert found.closed
    assert found.days_each == pytest.approx(sum(each) / len(each), rel=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_the_mean_number_under_way_is_the_area_under_the_step_function(seed):
    end = played(seed) + DAY
    found = flow_between(AT - DAY, end)

    jobs = stays(AT - DAY, end)
    moments = sorted({AT - DAY, end, *(moment for job in jobs for moment in job)})
    area = sum(
        (after - before) / DAY * sum(came <= before < out for came, out in jobs)
        for before, after in pairwise(moments)
    )

    assert found.waiting == pytest.approx(area / ((end - AT + DAY) / DAY), rel=1e-12)
    assert found.arrived_a_day * found.days_each == pytest.approx(found.waiting)


def test_a_window_that_is_not_empty_at_its_ends_is_told_apart():
    end = played(0)
    half = AT + (end - AT) / 2

    assert not flow_between(AT - DAY, half).closed
    assert flow_between(end + DAY, end + 2 * DAY) == flow_between(AT - 3 * DAY, AT - 2 * DAY)
    with pytest.raises(ValueError, match="it must lie after start"):
        flow_between(end, AT)


def test_an_undone_wash_and_a_step_back_stay_inside_the_system():
    user = UserFactory()
    string = logged_string(count=2, by=user)
    ids = list(string.socks.values_list("pk", flat=True))
    baskets.do_step(step="cut", sock_ids=ids, who=Who(by=user, at=AT + DAY))
    baskets.step_back(sock_ids=ids[:1], who=Who(by=user, at=AT + 2 * DAY))

    found = flow_between(AT, AT + 4 * DAY)

    # Two socks under way the whole four days, none gone: 2 = (2/4 a day) x 4 days.
    assert (found.waiting, found.arrived_a_day, found.days_each) == (2.0, 0.5, 4.0)
