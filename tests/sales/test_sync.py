"""What phones send: once each, in any order, nothing lost. Rules of the project's own design."""

import datetime as dt
import uuid

import pytest

from production.core.places import PairPlace
from production.models import Act, Pair
from production.services import books as bench_books
from sales.errors import SalesError
from sales.models import (
    Ask,
    DayState,
    MarketDay,
    Payment,
    PhoneAct,
    Sale,
    SaleLine,
    SortOut,
    TakenBack,
)
from sales.services import books, sync, till
from sales.services.purse import takings_of
from tests.factories.sales import open_stall

pytestmark = pytest.mark.django_db

Kind = SortOut.Kind


@pytest.fixture
def day(maker):
    return open_stall(maker, pairs=4)


@pytest.fixture(autouse=True)
def clean_books():
    yield
    assert [*bench_books.disagreements(), *books.disagreements()] == []


@pytest.fixture
def send(day, who):
    def send(*acts, day_id=None, sent_at_ms=None, at=None):
        at = at or who.at
        sent = int(at.timestamp() * 1000) if sent_at_ms is None else sent_at_ms
        parcel = sync.Parcel(
            acts=acts, day_id=day_id or day.pk, device="phone", by=who.by, at=at, sent_at_ms=sent
        )
        return [answer.state for answer in sync.receive(parcel)]

    return send


def act(kind, *, at=None, key=None, **fields):
    at = at or dt.datetime(2026, 6, 4, 9, 15, tzinfo=dt.UTC)
    moment = int(at.timestamp() * 1000)
    return {"kind": kind, "key": key or str(uuid.uuid4()), "at": moment, **fields}


def sale(*lines, **fields):
    return act("sale", **{"paid_by": "cash", "lines": list(lines), **fields})


def line(pair, price_minor=2800, **fields):
    return {"number": pair.label, "price_minor": price_minor, "list_minor": 2800, **fields}


def tap(pair, price_minor=2800):
    kind = {"pattern": pair.pattern_id, "quality": pair.quality, "yarn": pair.lot.yarn_id}
    return {**kind, "price_minor": price_minor, "list_minor": 2800, "name": "tapped"}


def undo(target):
    return act("undo", undoes=target["key"])


def test_a_sale_is_recorded_with_the_phones_own_time_and_key(day, box, send):
    sold = sale(line(box[0], 2500, reason="bargain"), paid_by="card")

    assert send(sold) == ["done"]

    row = Sale.objects.get()
    assert (row.total_minor, row.paid_by, row.timed) == (2500, Payment.CARD, True)
    assert row.act.at == dt.datetime(2026, 6, 4, 9, 15, tzinfo=dt.UTC)
    assert (str(row.act.key), row.lines.get().reason) == (sold["key"], "bargain")


def test_an_act_sent_ten_times_is_recorded_once(box, send):
    sold = sale(line(box[0]))

    assert send(*[sold] * 5) == ["done"] * 5
    assert send(*[sold] * 5) == ["done"] * 5

    assert (Sale.objects.count(), PhoneAct.objects.count()) == (1, 1)


def test_an_undo_that_arrives_before_its_sale_takes_it_back_at_once(day, box, send):
    sold = sale(line(box[0]))

    assert send(undo(sold)) == ["early"]
    assert send(sold) == ["done"]

    assert not Sale.objects.standing().exists()
    assert Pair.objects.in_stall_box().count() == 4
    assert set(PhoneAct.objects.values_list("state", flat=True)) == {"done"}


def test_an_undo_sent_twice_takes_back_once(day, box, send):
    sold = sale(line(box[0]), line(box[1]))
    back = undo(sold)

    send(sold, back, back)

    assert takings_of(day).total == 0
    assert Act.objects.filter(kind="undo").count() == 1


def test_a_pair_sold_on_two_phones_is_sold_twice_and_sorted_out_later(day, box, send):
    assert send(sale(line(box[0])), sale(line(box[0], 3000))) == ["done", "done"]

    assert takings_of(day).cash == 5800
    assert SortOut.objects.get().kind == Kind.SOLD_TWICE


def test_a_number_the_book_does_not_know_is_sold_all_the_same(day, send):
    sold = sale({"number": "P99999", "price_minor": 1900})

    assert send(sold) == ["done"]

    assert SaleLine.objects.get().claimed == "P99999"
    assert SortOut.objects.get().kind == Kind.UNKNOWN


def test_a_kind_the_book_does_not_know_is_sold_under_its_name(day, send):
    gone = {"pattern": 987654, "name": "Harbour plain Men 10", "price_minor": 2800}

    assert send(sale(gone)) == ["done"]

    assert SaleLine.objects.get().claimed == "Harbour plain Men 10"


@pytest.mark.parametrize("state", [DayState.PLANNED, DayState.CANCELLED])
def test_a_sale_on_a_day_that_is_not_open_is_recorded_and_sorted_out(day, box, send, state):
    MarketDay.objects.filter(pk=day.pk).update(state=state)

    assert send(sale(line(box[0]))) == ["done"]

    assert SortOut.objects.get(kind=Kind.DAY).story.endswith(f"{DayState(state).label}.")
    assert takings_of(day).cash == 2800


def test_the_tax_that_was_taken_stands_though_the_book_has_another_now(box, send):
    sold = sale(line(box[0], 1000), tax_minor=88, tax_included=False)

    assert send(sold) == ["done"]

    row = Sale.objects.get()
    assert (row.total_minor, row.tax_minor, row.tax_included) == (1088, 88, False)


def test_a_pair_brought_back_goes_onto_the_table_and_money_out_of_the_tin(day, box, send):
    send(sale(line(box[0])))

    back = act("return", paid_by="cash", back=[{"number": box[0].label, "refund_minor": 2800}])
    assert send(back) == ["done"]

    box[0].refresh_from_db()
    assert (takings_of(day).total, box[0].place) == (0, PairPlace.STALL)


@pytest.mark.parametrize("number", ["P99999", "known"])
def test_a_refund_for_a_pair_the_book_never_sold_is_still_out_of_the_tin(day, box, send, number):
    label = box[0].label if number == "known" else number
    back = act("return", paid_by="cash", back=[{"number": label, "refund_minor": 2800}])

    assert send(back) == ["done"]

    assert takings_of(day).total == -2800
    assert (TakenBack.objects.get().line, TakenBack.objects.get().claimed) == (None, label)
    assert SortOut.objects.get().kind == Kind.BACK


def test_a_refund_above_the_price_is_recorded_and_sorted_out(day, box, send):
    send(sale(line(box[0])))

    send(act("return", paid_by="cash", back=[{"number": box[0].label, "refund_minor": 3000}]))

    assert takings_of(day).total == -200
    assert SortOut.objects.get().kind == Kind.BACK


def test_an_exchange_is_undone_as_a_whole(day, box, send):
    send(sale(line(box[0])))
    swap = sale(line(box[1], 3000), back=[{"number": box[0].label, "refund_minor": 2800}])

    assert send(swap) == ["done"]
    assert takings_of(day).total == 3000
    assert send(undo(swap)) == ["done"]

    assert takings_of(day).total == 2800
    assert set(Pair.objects.filter(place=PairPlace.SOLD)) == {box[0]}


def test_an_undo_that_the_book_cannot_step_back_goes_the_other_way(day, box, send):
    """A tap took a pair whose number was read later: the tap is taken back all the same."""
    tapped = sale(tap(box[0]))
    send(tapped, sale(line(box[0], 2600)))

    assert send(undo(tapped)) == ["done"]

    assert takings_of(day).total == 2600
    assert Pair.objects.in_stall_box().count() == 3


def test_a_return_taken_back_after_the_pair_went_again_leaves_the_sum_right(day, box, send):
    back = act("return", paid_by="cash", back=[{"number": box[0].label, "refund_minor": 2800}])
    send(sale(line(box[0])), back, sale(line(box[0], 2700)))

    assert send(undo(back)) == ["done"]

    assert takings_of(day).total == 5500


def test_a_sale_taken_back_after_its_pair_came_back_was_paid_out_twice(day, box, send):
    sold = sale(line(box[0]))
    back = act("return", paid_by="cash", back=[{"number": box[0].label, "refund_minor": 2800}])

    send(sold, back, undo(sold))

    assert takings_of(day).total == -2800
    assert SortOut.objects.get().kind == Kind.BACK


def test_asking_is_noted_by_kind_or_words(day, box, send):
    kind, words = act("ask", pattern=box[0].pattern_id), act("ask", words="a pair for a giant")

    assert send(kind, words, kind) == ["done"] * 3

    assert [str(ask) for ask in Ask.objects.order_by("pk")] == [
        str(box[0].pattern),
        "a pair for a giant",
    ]


@pytest.mark.parametrize(
    ("garbage", "why"),
    [
        ("not even an object", "must be an object"),
        (17, "must be an object"),
        (None, "must be an object"),
        ([], "must be an object"),
        ({"kind": "dance", "key": "x"}, "is no act of the till"),
        (act("sale", paid_by="cash", lines=[]), "at least one pair"),
        (act("sale", paid_by="shells", lines=[{"number": "P1", "price_minor": 1}]), "cash, card"),
        (sale({"number": "P1001", "price_minor": -5}), "price_minor=-5"),
        (sale({"number": "P1001", "price_minor": 28.5}), "price_minor=28.5"),
        (sale({"number": "P1001", "price_minor": True}), "price_minor=True"),
        (sale({"number": "P1001", "price_minor": 10**30}), "price_minor=1000"),
        (sale({"number": ["P1"], "price_minor": 5}), "must be text"),
        (sale({"price_minor": 5}), "neither a pair number nor a kind"),
        (sale({"pattern": "1", "price_minor": 5}), "pattern='1'"),
        (sale({"pattern": 1, "quality": "scrap", "price_minor": 5}), "quality='scrap'"),
        (act("ask"), "neither a kind nor words"),
        (act("undo", undoes="yesterday"), "key of the act"),
        ({"kind": "sale", "lines": "P1001"}, "must be a list"),
        (float("nan"), "must be an object"),
    ],
)
def test_what_cannot_be_understood_is_kept_whole_and_holds_up_nothing(
    box, send, garbage, why, caplog
):
    assert send(garbage, sale(line(box[0])), garbage) == ["kept", "done", "kept"]

    [row] = PhoneAct.objects.to_sort_out()
    assert "cannot read this act" in row.trouble
    assert why in caplog.text
    assert row.body
    assert Sale.objects.count() == 1


def test_a_key_used_for_another_act_loses_neither(box, send):
    first = sale(line(box[0]))
    second = sale(line(box[1]), key=first["key"])

    assert send(first, second, second) == ["done", "kept", "kept"]

    assert PhoneAct.objects.count() == 2
    assert "used the key" in PhoneAct.objects.to_sort_out().get().trouble


def test_acts_for_a_day_the_book_has_not_are_kept_and_can_be_put_aside(day, box, send, who):
    assert send(sale(line(box[0])), day_id=424242) == ["kept"]

    row = PhoneAct.objects.to_sort_out().get()
    assert "424242" in row.trouble
    sync.put_aside(row=row, who=who, note="The phone was used with another book.")
    assert not PhoneAct.objects.to_sort_out().exists()
    with pytest.raises(SalesError, match="settled already"):
        sync.put_aside(row=row, who=who, note="again")


def test_a_kept_act_is_recorded_once_its_day_is_known(day, box, send, who):
    send(sale(line(box[0])), day_id=424242)
    row = PhoneAct.objects.get()
    with pytest.raises(SalesError, match="market day"):
        sync.try_again(row=row, who=who)
    PhoneAct.objects.filter(pk=row.pk).update(day=day)

    sync.try_again(row=row, who=who)
    sync.try_again(row=row, who=who)

    assert takings_of(day).cash == 2800


def test_a_wrong_clock_is_put_right_by_what_it_showed_at_the_sending(box, send, at):
    """The phone is a year slow; the act was 40 minutes before it was sent."""
    wrong = at - dt.timedelta(days=365)
    sold = sale(line(box[0]), at=wrong - dt.timedelta(minutes=40))

    send(sold, sent_at_ms=int(wrong.timestamp() * 1000))

    assert Sale.objects.get().act.at == at - dt.timedelta(minutes=40)


@pytest.mark.parametrize("moment", ["noon", None, True, 10**40, -5])
def test_an_unreadable_time_costs_the_time_of_day_and_not_the_sale(box, send, at, moment):
    sold = {**sale(line(box[0])), "at": moment}

    assert send(sold) == ["done"]

    row = Sale.objects.get()
    assert (row.timed, row.act.at) == (False, at)


def test_a_database_that_is_busy_loses_nothing_and_keeps_nothing_half(box, send, monkeypatch):
    from django.db import OperationalError

    def busy(**_kwargs):
        msg = "database is locked"
        raise OperationalError(msg)

    sold = sale(line(box[0]))
    monkeypatch.setattr(sync, "record_told", busy)
    with pytest.raises(OperationalError):
        send(sold)
    monkeypatch.undo()

    assert not PhoneAct.objects.exists()
    assert send(sold) == ["done"]


def test_an_act_the_book_trips_over_is_kept_and_holds_up_nothing(box, send, monkeypatch):
    def trips(**how):
        if how["said"].lines[0].price_minor == 13:
            msg = "unforeseen"
            raise RuntimeError(msg)
        return original(**how)

    original = sync.record_told
    monkeypatch.setattr(sync, "record_told", trips)

    assert send(sale(line(box[0], 13)), sale(line(box[1]))) == ["kept", "done"]
    assert "tripped" in PhoneAct.objects.to_sort_out().get().trouble


def test_undoing_an_act_that_was_kept_lays_it_to_rest(box, send):
    strange = sale({"number": "P1", "price_minor": -1})

    assert send(strange, undo(strange)) == ["kept", "done"]

    assert not PhoneAct.objects.to_sort_out().exists()


def test_undoing_on_the_phone_what_was_undone_in_the_book_is_no_trouble(day, box, send, who):
    sold = sale(line(box[0]))
    send(sold)
    till.undo_act(act_id=Sale.objects.get().act_id, who=who)

    assert send(undo(sold)) == ["done"]
    assert takings_of(day).total == 0
