"""Random acts and undos against a plain-Python model of the workshop.

The model knows nothing of tables: it keeps a dictionary of places and, for every act, what
it moved from where to where. After every step the book must say the same, and at the end
the books check must be clean.
"""

import datetime as dt
import itertools
import random
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from production.core.places import IN_WORK, STEPS, PairPlace, SockPlace
from production.errors import CannotUndoError, MoveNotAllowedError
from production.models import DyeLot, Pair, Quality, Sock
from production.services import (
    baskets,
    books,
    mating_table,
    pairs,
    strings,
    yarn,
)
from production.services.acts import Who
from sales.models import DayState, MarketDay, Payment, SaleLine
from sales.services import books as stall_books
from sales.services import days, till
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import DyeLotFactory
from tests.factories.sales import MarketFactory
from tests.journeys.bench_rules import BenchRules

START = dt.datetime(2026, 6, 4, 9, 0, tzinfo=dt.UTC)
GRAMS = Decimal("0.1")


class Workshop(BenchRules, RuleBasedStateMachine):
    """Plays a maker who does anything in any order."""

    def __init__(self):
        super().__init__()
        self.block = transaction.atomic()
        self.block.__enter__()
        self.minutes = itertools.count()
        self.user = User.objects.create_user("maker")
        self.places = {}  # thing -> place; a thing is ("sock", pk) or ("pair", pk)
        self.touched = {}  # thing -> the acts that touched it and stand, oldest first
        self.acts = {}  # act -> {thing: (from, to)}
        self.undone = set()
        self.grams = {}
        self.gram_acts = {}
        self.partners = {}
        self.feet = {}  # sock -> measured foot
        self.notes = {}  # act -> {sock: (foot before, foot after)}

    def teardown(self):
        found = [*books.disagreements(), *stall_books.disagreements()]
        transaction.set_rollback(True)
        self.block.__exit__(None, None, None)
        assert found == []

    @initialize()
    def set_up(self):
        self.versions = [PatternVersionFactory(), PatternVersionFactory()]
        self.lots = [DyeLotFactory(), DyeLotFactory()]
        self.grams = {lot.pk: Decimal(0) for lot in self.lots}
        days.plan_day(market=MarketFactory(), date=START.date(), today=START.date())
        MarketDay.objects.update(state=DayState.OPEN)
        self.day = MarketDay.objects.select_related("market").get()
        # Start in the middle of things: some pairs tagged, some socks just knitted.
        dice = random.Random(0)
        self.log_string_of(dice, 6)
        self.finish_all()
        self.log_string_of(dice, 4)

    def who(self):
        return Who(by=self.user, at=START + dt.timedelta(minutes=next(self.minutes)))

    def moved(self, act, moves):
        self.acts[act.pk] = moves
        for thing, (_, end) in moves.items():
            self.places[thing] = end
            self.touched.setdefault(thing, []).append(act.pk)

    def things(self, kind, *places):
        return sorted(
            pk for (what, pk), place in self.places.items() if what == kind and place in places
        )

    @rule(pick=st.randoms(use_true_random=False), grams=st.integers(1, 2000))
    def receive_yarn(self, pick, grams):
        lot = pick.choice(self.lots)
        act = yarn.receive_yarn(lot=lot, gross_g=Decimal(grams), packages=0, who=self.who())
        self.grams[lot.pk] += grams
        self.gram_acts[act.pk] = {lot.pk: Decimal(grams)}
        self.moved(act, {})

    @rule(pick=st.randoms(use_true_random=False), count=st.integers(1, 5))
    def log_string(self, pick, count):
        self.log_string_of(pick, count)

    def log_string_of(self, pick, count):
        lot, version = pick.choice(self.lots), pick.choice(self.versions)
        string = strings.log_string(
            runs=[strings.Run(version=version, count=count, lot=lot)],
            who=self.who(),
            goes_on=pick.random() < 0.5,
        )
        took = Decimal(str(round(version.grams * count, 1)))
        self.grams[lot.pk] -= took
        self.gram_acts[string.act_id] = {lot.pk: -took}
        self.moved(string.act, {("sock", s.pk): (None, "to_cut") for s in string.socks.all()})

    @rule(pick=st.randoms(use_true_random=False), step=st.sampled_from(STEPS))
    def do_a_step(self, pick, step):
        waiting = self.things("sock", step.start)
        if not waiting:
            return
        self.step(step, pick.sample(waiting, pick.randint(1, len(waiting))))

    def step(self, step, chosen):
        act = baskets.do_step(step=step.key, sock_ids=chosen, who=self.who())
        self.moved(act, {("sock", pk): (step.start, step.end) for pk in chosen})

    @precondition(lambda self: self.things("sock", *IN_WORK))
    @rule()
    def finish_all(self):
        """Go deep quickly: most of the life of a pair lies beyond the baskets."""
        for step in STEPS:
            if waiting := self.things("sock", step.start):
                self.step(step, waiting)
        self.mate_what_fits()
        self.tag_all()

    @rule(pick=st.randoms(use_true_random=False), step=st.sampled_from(STEPS))
    def tick_a_sock_that_is_elsewhere(self, pick, step):
        elsewhere = sorted(
            pk
            for (what, pk), place in self.places.items()
            if what == "sock" and place != step.start
        )
        if not elsewhere:
            return
        with pytest.raises(MoveNotAllowedError, match=r"Sock \d+-\d\d is not in"):
            baskets.do_step(step=step.key, sock_ids=[pick.choice(elsewhere)], who=self.who())

    @precondition(lambda self: self.things("sock", *IN_WORK))
    @rule(pick=st.randoms(use_true_random=False))
    def scrap(self, pick):
        sock = Sock.objects.get(pk=pick.choice(self.things("sock", *IN_WORK)))
        act = baskets.note_sock(sock=sock, quality=Quality.SCRAP, fault="hole", who=self.who())
        self.moved(act, {("sock", sock.pk): (sock.place, "scrap")})

    @precondition(lambda self: self.things("sock", "to_mate"))
    @rule()
    def mate_what_fits(self):
        table = mating_table.propose_mates(tolerance_mm=5)
        if not table.proposals:
            return
        couples = [(p.left.pk, p.right.pk) for p in table.proposals]
        act = pairs.mate_socks(couples=couples, who=self.who())
        moves = {("sock", pk): ("to_mate", "in_pair") for couple in couples for pk in couple}
        for move, couple in zip(act.pair_moves.order_by("pk"), couples, strict=True):
            moves["pair", move.pair_id] = (None, "to_tag")
            self.partners[move.pair_id] = couple
        self.moved(act, moves)

    @precondition(lambda self: self.things("pair", "to_tag", "shelf"))
    @rule(pick=st.randoms(use_true_random=False))
    def split(self, pick):
        at_home = self.things("pair", "to_tag", "shelf")
        pk = pick.choice(at_home)
        act = pairs.split_pair(pair=Pair.objects.get(pk=pk), who=self.who())
        moves = {("sock", sock): ("in_pair", "to_mate") for sock in self.partners[pk]}
        self.moved(act, moves | {("pair", pk): (self.places["pair", pk], "split")})

    @precondition(lambda self: self.things("pair", "to_tag"))
    @rule()
    def tag_all(self):
        waiting = self.things("pair", "to_tag")
        if not waiting:
            return
        for version in self.versions:
            pairs.set_price(
                pattern=version.pattern, first_minor=2800, second_minor=1800, who=self.who()
            )
        act = pairs.tag_pairs(texts={pk: {} for pk in waiting}, who=self.who())
        self.moved(act, {("pair", pk): ("to_tag", "shelf") for pk in waiting})

    @precondition(lambda self: self.things("pair", "shelf"))
    @rule(pick=st.randoms(use_true_random=False))
    def pack(self, pick):
        shelf = self.things("pair", "shelf")
        chosen = pick.sample(shelf, pick.randint(1, len(shelf)))
        act = days.pack_pairs(day=self.day, pair_ids=chosen, who=self.who())
        self.moved(act, {("pair", pk): ("shelf", "stall") for pk in chosen})

    @precondition(lambda self: self.things("pair", "to_tag", "shelf", "stall"))
    @rule(pick=st.randoms(use_true_random=False))
    def sell(self, pick):
        unsold = self.things("pair", "to_tag", "shelf", "stall")
        pk = pick.choice(unsold)
        sale = till.sell(
            day=self.day,
            lines=[till.Line(price_minor=2800, pair=Pair.objects.get(pk=pk))],
            paid_by=Payment.CASH,
            who=self.who(),
        )
        self.moved(sale.act, {("pair", pk): (self.places["pair", pk], "sold")})

    @precondition(lambda self: self.things("pair", "sold"))
    @rule(pick=st.randoms(use_true_random=False), anyway=st.booleans())
    def sell_what_is_sold(self, pick, anyway):
        sold = self.things("pair", "sold")
        pair = Pair.objects.get(pk=pick.choice(sold))
        line = till.Line(price_minor=2800, pair=pair)
        if anyway:
            sale = till.sell(
                day=self.day, lines=[line], paid_by=Payment.CASH, who=self.who(),
                despite_doubt=True,
            )  # fmt: skip
            self.moved(sale.act, {})
            return
        with pytest.raises(till.AlreadySoldError, match=f"{pair.label} was sold on"):
            till.sell(day=self.day, lines=[line], paid_by=Payment.CASH, who=self.who())

    @precondition(lambda self: self.things("pair", "sold"))
    @rule(pick=st.randoms(use_true_random=False))
    def take_back(self, pick):
        lines = list(SaleLine.objects.filter(holds=True, pair__isnull=False).order_by("pk"))
        line = pick.choice(lines)
        back = till.take_back(
            line=line, refund_minor=2800, paid_by=Payment.CASH, day=self.day, who=self.who()
        )
        self.moved(back.act, {("pair", line.pair_id): ("sold", "stall")})

    def undo(self, pk):
        moves = self.acts[pk]
        notes = self.notes.get(pk, {})
        may = (
            pk not in self.undone
            and all(self.touched[thing][-1] == pk for thing in moves)
            and all(self.feet.get(sock) == foot for sock, (_, foot) in notes.items())
        )
        if not may:
            with pytest.raises(CannotUndoError):
                till.undo_act(act_id=pk, who=self.who())
            return
        till.undo_act(act_id=pk, who=self.who())
        self.undone.add(pk)
        for thing, (start, _) in moves.items():
            gone = "unmade" if thing[0] == "sock" else "split"
            self.places[thing] = start or gone
            self.touched[thing].pop()
        for lot, grams in self.gram_acts.get(pk, {}).items():
            self.grams[lot] -= grams
        for sock, (before, _) in notes.items():
            self.feet[sock] = before

    @precondition(lambda self: self.acts)
    @rule()
    def undo_the_last(self):
        self.undo(max(self.acts))

    @precondition(lambda self: self.acts)
    @rule(back=st.integers(1, 6))
    def undo_one_of_the_last(self, back):
        self.undo(sorted(self.acts)[-back:][0])

    @precondition(lambda self: self.acts)
    @rule(pick=st.randoms(use_true_random=False))
    def undo_any(self, pick):
        self.undo(pick.choice(sorted(self.acts)))

    @invariant()
    def every_thing_is_in_its_one_place(self):
        book = {("sock", pk): place for pk, place in Sock.objects.values_list("pk", "place")}
        book |= {("pair", pk): place for pk, place in Pair.objects.values_list("pk", "place")}

        assert book == {thing: str(place) for thing, place in self.places.items()}

    @invariant()
    def every_foot_is_what_was_measured_last(self):
        book = dict(Sock.objects.exclude(foot_mm=None).values_list("pk", "foot_mm"))

        assert book == {pk: foot for pk, foot in self.feet.items() if foot is not None}

    @invariant()
    def every_pair_holds_two_socks_or_none(self):
        inside = {}
        for pair, place in Sock.objects.filter(pair__isnull=False).values_list("pair", "place"):
            assert place == SockPlace.IN_PAIR
            inside[pair] = inside.get(pair, 0) + 1
        whole = set(Pair.objects.exclude(place=PairPlace.SPLIT).values_list("pk", flat=True))

        assert inside == dict.fromkeys(whole, 2)

    @invariant()
    def every_lot_weighs_what_came_less_what_went(self):
        book = {lot.pk: lot.grams for lot in DyeLot.objects.all()}

        assert all(abs(book[pk] - grams) < GRAMS for pk, grams in self.grams.items())


@pytest.mark.django_db
def test_the_book_agrees_with_a_plain_model_under_random_acts_and_undos():
    random.seed(0)

    run_state_machine_as_test(Workshop, settings=settings(max_examples=80, stateful_step_count=40))
