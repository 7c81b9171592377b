"""The life of some socks through the services alone, and clean books at its end."""

import datetime as dt
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command

from patterns.models import Design, Pattern, PatternVersion
from production.core.places import STEPS, PairPlace
from production.models import DyeLot, Pair, Sock, Yarn
from production.services import baskets, mating_table, pairs, strings, yarn
from production.services.acts import Who
from sales.models import DayState, Market, Payment, SortOut
from sales.services import days, purse, report, till

pytestmark = pytest.mark.django_db


@pytest.fixture
def who(at):
    user = User.objects.create_user("maker")
    clock = iter(range(10_000))

    def at_next(**later):
        moment = at + dt.timedelta(minutes=next(clock)) + dt.timedelta(**later)
        return Who(by=user, at=moment)

    return at_next


@pytest.fixture
def version(who):
    pattern = Pattern.objects.create(
        design=Design.objects.create(name="Harbour plain"),
        size_name="Women 8½",
        group="women",
        foot_length_mm=245.5,
    )
    by = who()
    return PatternVersion.objects.create(
        pattern=pattern, number=1, made_at=by.at, made_by=by.by, ball_mm=231, height_mm=177.8,
        ease_asked=0.1, wales_per_10cm=31.5, courses_per_10cm=43.3, tex=250, needles=64,
        centre=10, leg_rows=55, heel_rows=44, foot_rows=57, toe_rows=44, circumference_mm=203.2,
        sock_foot_mm=233.2, loop_cm=1.3, metres=117.3, grams=29.3, machine_minutes=54.9,
        seam_minutes=17.5, sections=[],
    )  # fmt: skip


def test_socks_go_from_yarn_to_a_buyer_and_the_books_stay_clean(who, version, at):
    wool = Yarn.objects.create(
        name="Sock wool", colour="Kelp", content={"wool": 75, "nylon": 25}, count_text="", tex=250
    )
    lot = DyeLot.objects.create(yarn=wool, code="7", tare_g=Decimal(38))
    yarn.receive_yarn(lot=lot, gross_g=Decimal(1120), packages=1, who=who())
    string = strings.log_string(
        runs=[strings.Run(version=version, count=5, lot=lot, faults={2: "hole"})], who=who()
    )
    ids = [sock.pk for sock in string.socks.all()]
    for step in STEPS:
        act = baskets.do_step(step=step.key, sock_ids=ids, who=who())
        again = till.undo_act(act_id=act.pk, who=who())
        assert again.undoes == act
        baskets.do_step(step=step.key, sock_ids=ids, who=who())
    table = mating_table.propose_mates(tolerance_mm=5)
    assert len(table.proposals) == 2
    assert [sock.position for sock in table.odd] == [2]
    mated = pairs.mate_socks(couples=[(p.left.pk, p.right.pk) for p in table.proposals], who=who())
    till.undo_act(act_id=mated.pk, who=who())
    pairs.mate_socks(couples=[(p.left.pk, p.right.pk) for p in table.proposals], who=who())
    waiting = list(Pair.objects.to_tag())
    pairs.set_price(pattern=version.pattern, first_minor=2800, second_minor=1800, who=who())
    pairs.tag_pairs(texts={pair.pk: {"size": "8½"} for pair in waiting}, who=who())

    market = Market.objects.create(name="Quay", tax_percent=Decimal(5))
    day = days.plan_day(market=market, date=at.date(), today=at.date())
    days.pack_pairs(day=day, pair_ids=[pair.pk for pair in waiting], who=who())
    days.open_day(day=day, float_minor=5000, who=who())
    day.refresh_from_db()
    first = Pair.objects.get(pk=waiting[0].pk)
    sale = till.sell(
        day=day, lines=[till.Line(price_minor=2800, pair=first)], paid_by=Payment.CASH, who=who()
    )
    with pytest.raises(till.AlreadySoldError, match="sold on 4 June 2026"):
        till.sell(
            day=day,
            lines=[till.Line(price_minor=2800, pair=first)],
            paid_by=Payment.CASH,
            who=who(),
        )
    till.take_back(
        line=sale.lines.get(), refund_minor=2800, paid_by=Payment.CASH, day=day, who=who()
    )
    till.sell(
        day=day,
        lines=[till.Line(price_minor=2500, pair=first), till.Line(price_minor=100, number="P9")],
        paid_by=Payment.CASH,
        who=who(),
    )
    till.note_ask(day=day, pattern=version.pattern, who=who())
    days.close_day(day=day, counted_minor=7600, requests_noted=True, who=who())

    day.refresh_from_db()
    assert day.state == DayState.CLOSED
    takings = purse.takings_of(day)
    assert (takings.difference, takings.expected_then) == (0, 7600)
    assert SortOut.objects.get().kind == SortOut.Kind.UNKNOWN
    assert Pair.objects.get(pk=waiting[1].pk).place == PairPlace.SHELF
    assert Sock.objects.filter(place="in_pair").count() == 4
    [history] = report.what_sells(report.closed_days(), ask_share=0.5).kinds
    # The pair that came back within the day and went again is one sale.
    assert (history.brought, history.sold, history.asked) == (2, 1, 1)
    call_command("check_books")
