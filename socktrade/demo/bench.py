"""The bench of the scene: workshop, cylinders, swatches, patterns, yarns."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

from django.contrib.auth.models import User

from patterns.core.gauge import Gauge
from patterns.core.yarncount import tex_of
from patterns.models import Cylinder, PatternVersion, Swatch
from patterns.services.bench import Counted, Extra, add_cylinder, add_swatch
from patterns.services.plans import Planned, Wish, make_plan
from patterns.services.sizechart import fill_in_usual_sizes
from patterns.services.versions import save_version
from production.core.care import PRESETS
from production.models import LabelChoice, Yarn
from production.services.acts import Who
from production.services.care import follow_care, keep_care
from production.services.label_choices import make_choice
from production.services.yarn import NewLot
from socktrade.demo.scene import (
    CYLINDERS,
    KINDS,
    OWN_CARE,
    THICK,
    TOWN,
    WORKSHOP_NAME,
    YARNS,
    Kind,
    Setting,
    YarnSpec,
)
from socktrade.models import Workshop

INCH = 25.4
FINE, COARSE = Gauge.per_inch(8, 11), Gauge.per_inch(7, 9.5)
CONE_TARE_G = Decimal(38)
CONE_G = 1000


def open_workshop(setting: Setting) -> User:
    """Make the maker and her workshop row."""
    Workshop.objects.create(
        pk=1,
        name=WORKSHOP_NAME,
        town=TOWN,
        country=setting.country,
        identity=WORKSHOP_NAME,
        length_unit=setting.length_unit,
        currency=setting.currency,
        label_rules=setting.label_rules,
        machine_told=True,
        carrier_rests="left",
        heel_half="back",
        packaging_minor=45,
        fee_percent=Decimal("1.75"),
        fee_each_minor=10,
        overhead_minor=48_000,
        day_cost_minor=800,
    )
    maker = User(username="gullwing", is_superuser=True)
    maker.set_unusable_password()
    maker.save()
    return maker


def plan_patterns(setting: Setting, who: Who) -> dict[Kind, PatternVersion]:
    """Add cylinders and washed swatches, then plan every kind on its own cylinder's gauge."""
    for needles in CYLINDERS:
        add_cylinder(needles=needles)
    swatches = {
        (needles, coarse): _swatch(needles, coarse=coarse, on=who.at.date())
        for needles in CYLINDERS
        for coarse in (False, True)
    }
    _further_swatches(who.at.date())
    fill_in_usual_sizes()
    return {kind: _plan(kind, setting, swatches, who) for kind in KINDS}


def _further_swatches(on: dt.date) -> None:
    """Add a looser setting of the sock yarn, and its mock rib, both on the 60."""
    over = 4 * INCH
    sixty = Cylinder.objects.get(needles=60)
    for name, setting, gauge, extra in (
        ("Tideline on the 60, looser", "2.5", Gauge.per_inch(7.6, 10.4), Extra(round_cm=82.6)),
        ("Tideline mock rib on the 60", "1.5", Gauge.per_inch(9, 10), Extra(fabric="mock_rib")),
    ):
        add_swatch(
            name=name,
            yarn_name="Tideline sock",
            cylinder=sixty,
            stitch_setting=Decimal(setting),
            state="washed",
            wales=Counted(gauge.wales_per_10cm * over / 100, over),
            courses=Counted(gauge.courses_per_10cm * over / 100, over),
            measured_on=on,
            extra=extra,
        )


def yarn_of(spec: YarnSpec) -> Yarn:
    """Return the yarn of a spec, not yet in the book."""
    yarn = Yarn(
        name=spec.name,
        colour=spec.colour,
        content=spec.content,
        count_text=spec.count,
        tex=tex_of(spec.count),
        price_minor=spec.price_minor,
        spun_in=spec.spun_in,
        care=spec.care,
    )
    follow_care(yarn)
    return yarn


def keep_own_care(on: dt.date) -> None:
    """Keep a care set of hers, with what it rests on."""
    start = PRESETS["Superwash/nylon"]
    keep_care(
        name=OWN_CARE,
        care=replace(start, warnings=(*start.warnings, "wash_inside_out")),
        basis="the ball band, and a pair of it washed so twenty times",
        basis_on=on,
    )


def choose_care_place(yarn: Yarn, who: Who) -> None:
    """Decide what the rules leave open for one yarn, with her reason."""
    make_choice(
        kind=LabelChoice.Kind.CARE_PLACE,
        value="either_side",
        reason="No pocket, and plain fabric that people wear either side out",
        yarn=yarn,
        who=who,
    )


def new_lot(spec: YarnSpec, number: int, at: dt.datetime) -> NewLot:
    """Return a lot as it arrives: cones weighed gross."""
    cones = max(1, spec.lot_g // CONE_G)
    return NewLot(
        code=f"{number:04d}",
        tare_g=CONE_TARE_G,
        gross_g=Decimal(spec.lot_g) + CONE_TARE_G * cones,
        packages=cones,
        bought_on=at.date(),
    )


def _swatch(needles: int, *, coarse: bool, on: dt.date) -> Swatch:
    gauge = COARSE if coarse else FINE
    over = 4 * INCH
    return add_swatch(
        name=f"{'Ropewalk' if coarse else 'Tideline'} on the {needles}",
        yarn_name="Ropewalk wool" if coarse else "Tideline sock",
        cylinder=Cylinder.objects.get(needles=needles),
        stitch_setting=Decimal("2.5") if coarse else Decimal("1.5"),
        state="washed",
        wales=Counted(gauge.wales_per_10cm * over / 100, over),
        courses=Counted(gauge.courses_per_10cm * over / 100, over),
        measured_on=on,
    )


def _plan(
    kind: Kind, setting: Setting, swatches: dict[tuple[int, bool], Swatch], who: Who
) -> PatternVersion:
    coarse = kind.design == THICK
    spec = next(s for s in YARNS if f"{s.name}, {s.colour}" == kind.yarns[0])

    def planned_on(needles: int) -> Planned:
        return make_plan(
            Wish(
                foot_length_mm=kind.size.foot_mm,
                swatch=swatches[needles, coarse],
                tex=tex_of(spec.count),
                needles=CYLINDERS,
                ball_mm=kind.size.ball_mm,
                height_mm=kind.size.height_mm,
                hem_rows=kind.hem_rows,
            )
        )

    # The first plan finds the cylinder, the second takes that cylinder's own swatch.
    planned = planned_on(planned_on(64).plan.needles)
    return save_version(
        planned=planned,
        design_name=kind.design,
        size_name=setting.size_name(kind.size),
        group=kind.size.group,
        by=who.by,
        at=who.at,
    )
