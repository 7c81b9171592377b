"""Two seasons of the invented workshop, act by act."""

import datetime as dt
import math
import random
from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from production.core.places import STEPS
from production.models import DyeLot, Pair, Sock, YarnUse
from production.services import baskets, mating_table, pairs, strings, tags, yarn
from production.services.acts import Who
from production.services.loads import dark_lots, load_of
from production.services.washing import wash_socks
from sales.models import Market, MarketDay
from sales.services import days
from sales.services.packing import propose
from socktrade.demo import bench
from socktrade.demo.market import market_dates, play_day
from socktrade.demo.present import leave_work_about
from socktrade.demo.scene import (
    FAIR_HOURS,
    FAIRS,
    FAULTS,
    KINDS,
    MARKET,
    MARKET_HOURS,
    TOWN,
    YARNS,
    Kind,
    Rhythm,
    Setting,
)
from socktrade.models import Workshop

if TYPE_CHECKING:
    from patterns.models import PatternVersion

SEED = 1867
WEEKS = 104
TRUSTS_THE_BOOK = dt.timedelta(weeks=20)  # and the book's proposal is the slow part
REST_G = 150  # a smaller rest goes into swatches
SITE = "http://localhost:8000"


class Story:
    """Plays the weeks before `now` through the services; always the same for one day."""

    def __init__(self, setting: Setting, now: dt.datetime) -> None:
        self.setting = setting
        self.now = now
        self.today = timezone.localtime(now).date()
        self.dice = random.Random(SEED)  # noqa: S311
        self.rhythm = Rhythm()
        self.clock = now
        self.versions: dict[Kind, PatternVersion] = {}
        self.kinds: dict[int, Kind] = {}
        self.lots: dict[str, DyeLot] = {}
        self.markets: dict[str, Market] = {}

    def play(self) -> None:
        """Tell the whole story, first week to this morning."""
        self.maker = bench.open_workshop(self.setting)
        self.workshop = Workshop.current()
        start = self.today - dt.timedelta(weeks=WEEKS)
        monday = start - dt.timedelta(days=start.weekday())
        self.set_clock(monday, 9)
        self._set_up_bench()
        self._set_up_markets()
        for week in range(WEEKS):
            self._week(week, monday + dt.timedelta(weeks=week))
        leave_work_about(self)

    def who(self, minutes: float = 1) -> Who:
        """Return the maker at the story's clock, which then goes on."""
        now = self.clock
        self.clock = min(self.clock + dt.timedelta(minutes=minutes), self.now)
        return Who(by=self.maker, at=now)

    def set_clock(self, day: dt.date, hour: float) -> None:
        """Turn the story's clock to an hour of a day, never past now."""
        start = dt.datetime.combine(day, dt.time(int(hour), int(hour % 1 * 60)))
        self.clock = min(timezone.make_aware(start), self.now)

    def _set_up_bench(self) -> None:
        self.versions = bench.plan_patterns(self.setting, self.who())
        self.kinds = {version.pattern_id: kind for kind, version in self.versions.items()}
        for kind, version in self.versions.items():
            price = kind.size.price_minor
            pairs.set_price(
                pattern=version.pattern,
                first_minor=price,
                second_minor=price * 6 // 10 // 100 * 100,
                who=self.who(),
            )
        bench.keep_own_care(self.clock.date())
        for spec in YARNS:
            lot = yarn.add_yarn(
                yarn=bench.yarn_of(spec), lot=bench.new_lot(spec, 1, self.clock), who=self.who()
            )
            self.lots[str(lot.yarn)] = lot
        if self.setting.label_rules == "us":
            bench.choose_care_place(self.lots["Ropewalk wool, Slate"].yarn, self.who(0))

    def _set_up_markets(self) -> None:
        opens, closes = MARKET_HOURS
        self.markets[MARKET] = self._market(MARKET, "Fish quay", opens, closes, 2500, 1.0)
        opens, closes = FAIR_HOURS
        for name in FAIRS:
            self.markets[name] = self._market(name, "Customs house", opens, closes, 6000, 2.2)

    def _market(
        self, name: str, place: str, opens: dt.time, closes: dt.time, fee: int, factor: float
    ) -> Market:
        return Market.objects.create(
            name=name,
            place=f"{place}, {TOWN}",
            opens=opens,
            closes=closes,
            fee_minor=fee,
            factor=factor,
            tax_percent=self.setting.tax_percent,
            tax_included=self.setting.tax_included,
            places_on_table=48,
        )

    def _week(self, week: int, monday: dt.date) -> None:
        for number in range(self.rhythm.strings_in_week(week, monday.month)):
            self.set_clock(monday + dt.timedelta(days=number), 9)
            self.knit()
        self.set_clock(monday + dt.timedelta(days=2), 10)
        self.finish_everything()
        for day in self._market_days(monday):
            self.set_clock(day.date - dt.timedelta(days=1), 19)
            self.pack(day)
            play_day(self, day)

    def _market_days(self, monday: dt.date) -> Iterator[MarketDay]:
        for name, date in market_dates(monday):
            if date < self.today:
                yield days.plan_day(market=self.markets[name], date=date, today=self.today)

    def knit(self) -> None:
        """Knit one string of the two kinds that are shortest."""
        runs = [self._run(kind, self.rhythm.socks_of_a_kind) for kind in self._shortest(2)]
        minutes = sum(run.version.machine_minutes / 2 * run.count for run in runs)
        strings.log_string(runs=runs, who=self.who(5), minutes=round(minutes * self._about(0.1)))

    def _run(self, kind: Kind, count: int) -> strings.Run:
        version = self.versions[kind]
        faults = {
            place: self.dice.choice(FAULTS)
            for place in range(1, count + 1)
            if self.dice.random() < self.rhythm.fault_share
        }
        lot = self._lot(self.dice.choice(kind.yarns), version.grams * count)
        return strings.Run(version=version, count=count, lot=lot, faults=faults)

    def _lot(self, name: str, grams: float) -> DyeLot:
        """Return the lot in use, or buy the next one when this one cannot finish."""
        lot = self.lots[name]
        left = yarn.grams_on_hand(lot)
        # Once she trusted the book and not the scale: that lot ran short on the machine.
        careless = lot.code == "0002" and lot.yarn.colour == "Fog"
        # Twice: the other run of the same string may take from this lot too.
        if left > 0 if careless else left >= 2 * Decimal(grams):
            return lot
        if 0 < left < REST_G:
            yarn.take_yarn(lot=lot, grams=left, use=YarnUse.SWATCH, who=self.who())
        spec = next(s for s in YARNS if f"{s.name}, {s.colour}" == name)
        number = int(lot.code) + 1
        lot = yarn.add_lot(
            yarn=lot.yarn, lot=bench.new_lot(spec, number, self.clock), who=self.who()
        )
        self.lots[name] = lot
        return lot

    def _shortest(self, count: int) -> list[Kind]:
        stock: dict[int, float] = defaultdict(float)
        for pattern_id in Pair.objects.exclude(place__in=("sold", "gone", "split")).values_list(
            "pattern_id", flat=True
        ):
            stock[pattern_id] += 1
        for pattern_id in Sock.objects.in_work().values_list("version__pattern_id", flat=True):
            stock[pattern_id] += 0.5

        def cover(kind: Kind) -> float:
            return stock[self.versions[kind].pattern_id] / kind.wanted

        return sorted(KINDS, key=lambda kind: (cover(kind), KINDS.index(kind)))[:count]

    def finish_everything(self) -> None:
        """Take whatever lies in a basket to the shelf."""
        for step in STEPS:
            self.step(step.key)
        self.mate()
        self.tag()

    def step(self, step: str, socks: Iterable[Sock] | None = None) -> None:
        """Take a whole basket, or the given socks, through a step."""
        place = baskets.STEP_BY_KEY[step].start
        waiting = Sock.objects.waiting(place).select_related("version")
        chosen = list(waiting if socks is None else socks)
        if not chosen:
            return
        if step == "wash":
            self._wash(chosen)
            return
        if step == "block":
            self._block(chosen)
            return
        minutes = baskets.STEP_BY_KEY[step].minutes * len(chosen) * self._about(0.15)
        baskets.do_step(
            step=step, sock_ids=[s.pk for s in chosen], who=self.who(20), minutes=round(minutes)
        )

    def _wash(self, chosen: Iterable[Sock]) -> None:
        """Wash what may share a load together, load by load."""
        loads: dict[str, list[int]] = defaultdict(list)
        dark = dark_lots()
        socks = Sock.objects.filter(pk__in=[sock.pk for sock in chosen]).order_by("pk")
        for sock in socks.prefetch_related("run__yarns__lot__yarn"):
            loads[load_of(sock, dark).name].append(sock.pk)
        for pks in loads.values():
            minutes = round(1.5 * len(pks) * self._about(0.15))
            wash_socks(sock_ids=pks, together=True, who=self.who(20), minutes=minutes)

    def _block(self, chosen: Iterable[Sock]) -> None:
        """Block socks, measuring each foot."""
        feet = {s.pk: round(s.version.sock_foot_mm + self.dice.gauss(0, 1.6)) for s in chosen}
        baskets.block_socks(feet_mm=feet, who=self.who(20), minutes=round(2.2 * len(feet)))

    def mate(self, share: float = 1.0) -> None:
        """Mate what fits, or the first share of it; a lone second takes a lone first."""
        table = mating_table.propose_mates(tolerance_mm=self.workshop.mate_tolerance_mm)
        proposals = table.proposals[: math.ceil(share * len(table.proposals))]
        couples = [(p.left.pk, p.right.pk) for p in proposals]
        if share == 1:
            couples += _lone_couples(table.odd)
        if couples:
            pairs.mate_socks(couples=couples, who=self.who(10), minutes=round(1.5 * len(couples)))

    def tag(self) -> None:
        """Tag everything that waits."""
        waiting = tags.tags_of(tags.waiting_pairs(), workshop=self.workshop, site=SITE)
        if waiting:
            texts = {tag.pair.pk: tag.text for tag in waiting}
            pairs.tag_pairs(texts=texts, who=self.who(10), minutes=round(2.0 * len(waiting)))

    def pack(self, day: MarketDay) -> None:
        """Pack what the book proposes for a day; long ago she took whatever fitted."""
        if day.date < self.today - TRUSTS_THE_BOOK:
            room = day.market.places_on_table
            chosen = list(
                Pair.objects.on_shelf().order_by("number").values_list("pk", flat=True)[:room]
            )
        else:
            plan = propose(day=day, ask_share=self.workshop.ask_share)
            chosen = [pair.pk for kind in plan.kinds for pair in kind.pairs[: kind.bring]]
        if chosen:
            days.pack_pairs(day=day, pair_ids=chosen, who=self.who(10))

    def _about(self, spread: float) -> float:
        return self.dice.uniform(1 - spread, 1 + spread)


def _lone_couples(odd: Iterable[Sock]) -> Iterator[tuple[int, int]]:
    """Yield odd socks two by two that differ in nothing but their quality."""
    alike: dict[tuple[int, int], list[int]] = defaultdict(list)
    for sock in odd:
        alike[sock.version_id, sock.lot_id].append(sock.pk)
    for pks in alike.values():
        yield from zip(pks[::2], pks[1::2], strict=False)
