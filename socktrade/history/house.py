"""What stands still in a made-up past: the workshop, its patterns, yarns and markets."""

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal

from django.contrib.auth.models import User

from patterns.models import Cylinder, PatternVersion
from patterns.services.plans import Wish, make_plan
from patterns.services.versions import save_version
from production.models import TagHabits, Yarn
from production.services.acts import Who
from sales.models import DesignSeason, Market
from sales.services.changes import note_change
from sales.services.taxes import change_tax
from socktrade.demo import bench
from socktrade.demo.scene import FAIRS, MARKET, STRIPE, TOWN, US, YARNS, Kind
from socktrade.models import Workshop

HALL = "Saturday hall market"
THREAD = "Mooring thread, Grey"
LONGER_MM = 6.0

# Name, place, hours, fee, how busy, tax and whether prices include it.
MARKETS = (
    (MARKET, "Fish quay", (8, 14), 2500, 1.0, "5.5", True),
    (HALL, "Corn hall", (9, 15), 1800, 0.8, "5.5", False),
    (FAIRS[0], "Customs house", (10, 18), 6000, 2.2, "5.5", True),
    (FAIRS[1], "Customs house", (10, 18), 6000, 2.2, "0", True),
)


@dataclass(slots=True)
class House:
    """The maker and what she makes, in which yarns, and where she sells."""

    maker: User
    workshop: Workshop
    versions: dict[Kind, PatternVersion]
    yarns: dict[str, Yarn]
    markets: dict[str, Market]
    lots: dict[str, int] = field(default_factory=dict)
    string_number: int = 0
    load_number: int = 0
    pair_number: int = 1000

    def who(self, at: dt.datetime) -> Who:
        """Return the maker at a moment."""
        return Who(by=self.maker, at=at)


def set_up(at: dt.datetime) -> House:
    """Furnish an empty book; a maker and a workshop that are there already stay."""
    maker = User.objects.filter(is_superuser=True).order_by("pk").first()
    is_set_up = Workshop.objects.exists()
    if maker is None and not is_set_up:
        maker = bench.open_workshop(US)
    elif maker is None:
        maker = User(username="maker", is_superuser=True)
        maker.set_unusable_password()
        maker.save()
    workshop = Workshop.current()
    workshop.save()
    who = Who(by=maker, at=at)
    versions = bench.plan_patterns(US, who)
    TagHabits.current().save()
    ends = at.date() + dt.timedelta(days=365)
    stripe = next(version for kind, version in versions.items() if kind.design == STRIPE)
    DesignSeason.objects.create(design=stripe.pattern.design, ends_on=ends)
    return House(maker, workshop, versions, _yarns(who), _markets(who))


def _yarns(who: Who) -> dict[str, Yarn]:
    bench.keep_own_care(who.at.date())
    found = {}
    for spec in YARNS:
        yarn = bench.yarn_of(spec)
        yarn.save()
        found[str(yarn)] = yarn
    bench.choose_care_place(found["Ropewalk wool, Slate"], who)
    return found


def _markets(who: Who) -> dict[str, Market]:
    found = {}
    for name, place, (opens, closes), fee, factor, tax, included in MARKETS:
        market = Market(
            name=name, place=f"{place}, {TOWN}", opens=dt.time(opens), closes=dt.time(closes),
            fee_minor=fee, factor=factor, tax_percent=Decimal(tax), tax_included=included,
            places_on_table=60,
        )  # fmt: skip
        market.save()
        note_change(who, "Added.", market=market)
        found[name] = market
    change_tax(
        market=found[HALL], since=who.at.date() + dt.timedelta(days=1), percent=Decimal("5.75"),
        socks_taxed=True, tax_included=False, who=who,
    )  # fmt: skip
    return found


def revise(house: House, kind: Kind, at: dt.datetime, *, longer: bool) -> None:
    """Plan one size anew, with a longer leg or with that of before: its next version."""
    old = house.versions[kind]
    if old.swatch is None:
        return
    wish = Wish(
        foot_length_mm=old.pattern.foot_length_mm,
        swatch=old.swatch,
        tex=old.tex,
        needles=list(Cylinder.objects.values_list("needles", flat=True)),
        ball_mm=old.ball_mm,
        height_mm=kind.size.height_mm + (LONGER_MM if longer else 0),
        hem_rows=old.hem_rows,
    )
    house.versions[kind] = save_version(
        planned=make_plan(wish), design_name=kind.design, size_name=old.pattern.size_name,
        group=old.pattern.group, by=house.maker, at=at,
    )  # fmt: skip
