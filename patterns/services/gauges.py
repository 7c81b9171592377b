"""Which gauge a plan takes: a swatch as it is, or its yarn's line at another setting."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from statistics import median
from typing import Any

from django.db.models import QuerySet

from patterns.core.gauge import (
    USUAL_LENGTH_SHRINK,
    USUAL_WIDTH_SHRINK,
    Gauge,
    relaxed,
    shrink_between,
)
from patterns.core.stitchline import Band, Reading, StitchLine, fit_bands
from patterns.core.words import say
from patterns.errors import CannotPlanError
from patterns.models import Cylinder, GaugeState, Swatch

NEWEST_SWATCHES = 500


@dataclass(frozen=True, slots=True)
class TakenGauge:
    """A washed gauge with the loop behind it.

    Attributes:
        gauge: Stitches and rows.
        loop_cm: Yarn in one stitch when it was measured or read off a line [cm], else None.
        tried: Whether the setting lies between swatches of hers.
    """

    gauge: Gauge
    loop_cm: float | None
    tried: bool = True


@dataclass(frozen=True, slots=True)
class YarnLine:
    """Washed plain swatches of one yarn on one cylinder, and the line through them.

    Attributes:
        yarn_name: The yarn, empty when she did not name it.
        cylinder: The cylinder.
        swatches: Its swatches from the lowest setting up.
        line: What a setting gives, None while there are fewer than two settings.
    """

    yarn_name: str
    cylinder: Cylinder
    swatches: tuple[Swatch, ...]
    line: StitchLine | None

    @property
    def settings(self) -> tuple[Decimal, Decimal]:
        """Lowest and highest setting tried [turns]."""
        return self.swatches[0].stitch_setting, self.swatches[-1].stitch_setting

    @property
    def title(self) -> str:
        """Yarn and cylinder for reading."""
        return say("{yarn} on the {needles}", yarn=self.yarn_name, needles=self.cylinder.needles)


@dataclass(frozen=True, slots=True)
class Shrink:
    """What a raw swatch will probably be after the wash.

    Attributes:
        width: Share of the width lost.
        length: Share of the length lost.
        learned_from: Swatches of hers measured raw and washed; 0 for the usual shares.
        gauge: The washed gauge that makes; an estimate, not to plan with.
    """

    width: float
    length: float
    learned_from: int
    gauge: Gauge


def take_gauge(swatch: Swatch, setting: Decimal | None) -> TakenGauge:
    """Return the washed gauge of a swatch, or of its yarn at another setting.

    Raises:
        CannotPlanError: If her swatches do not say what another setting gives.
    """
    if setting is None or setting == swatch.stitch_setting:
        return TakenGauge(swatch.gauge, swatch.measured_loop_cm)
    line = line_of(swatch).line
    if line is None:
        msg = say("One setting says nothing of another: wash a second swatch of this yarn first.")
        raise CannotPlanError(msg, field="setting")
    try:
        reading = line.at(float(setting))
    except ValueError as problem:
        msg = say(
            "At {setting:f} turns this yarn makes no fabric. Stay nearer to your swatches.",
            setting=setting,
        )
        raise CannotPlanError(msg, field="setting") from problem
    return TakenGauge(reading.gauge, reading.loop_cm, reading.tried)


def line_of(swatch: Swatch) -> YarnLine:
    """Return the line of a swatch's yarn on its cylinder."""
    mates = _plain_washed().filter(yarn_name=swatch.yarn_name, cylinder=swatch.cylinder_id)
    together = mates.order_by("stitch_setting", "pk")[:NEWEST_SWATCHES] if swatch.yarn_name else ()
    return _line(tuple(together) or (swatch,))


def ask_line(asked: dict[str, Any]) -> tuple[YarnLine, Reading] | str:
    """Return the setting of a wanted gauge or the gauge of a setting; or why there is none.

    Args:
        asked: A swatch of the `line`, and one of `stitches`, `rows` [per 10 cm], `turns`.
    """
    found = line_of(asked["line"])
    if found.line is None:
        return say("One setting says nothing of another: wash a second swatch of this yarn first.")
    try:
        if asked["stitches"] is not None:
            return found, found.line.for_wales(asked["stitches"])
        if asked["rows"] is not None:
            return found, found.line.for_courses(asked["rows"])
        return found, found.line.at(float(asked["turns"]))
    except ValueError:
        return say("No setting of this yarn gives that fabric. Stay nearer to your swatches.")


def yarn_lines() -> list[YarnLine]:
    """Return every yarn on every cylinder with its washed plain swatches."""
    newest = list(_plain_washed().exclude(yarn_name="").order_by("-pk")[:NEWEST_SWATCHES])
    newest.sort(key=lambda s: (s.yarn_name, s.cylinder.needles, s.stitch_setting, s.pk))
    grouped = groupby(newest, key=lambda s: (s.yarn_name, s.cylinder_id))
    return [_line(tuple(swatches)) for _, swatches in grouped]


def shrinks_of(raw: Iterable[Swatch]) -> dict[int, Shrink]:
    """Return what each raw swatch will probably wash to, by its number in the book."""
    wanted = list(raw)
    pairs = _raw_and_washed() if wanted else []
    return {swatch.pk: _shrink(swatch, pairs) for swatch in wanted}


def usual_hang_factor() -> float | None:
    """Return how much longer than washed her tubes hang: the median of her swatches."""
    hung = Swatch.objects.washed().filter(hanging_mm__isnull=False)
    factors = [one.hang_factor for one in hung.order_by("-pk")[:NEWEST_SWATCHES]]
    known = [factor for factor in factors if factor is not None]
    return float(median(known)) if known else None


def own_swatch(swatch: Swatch, needles: int, candidates: Sequence[Swatch]) -> Swatch | None:
    """Return the swatch of the same yarn on another cylinder, at the nearest setting."""
    same = [
        one
        for one in candidates
        if one.yarn_name == swatch.yarn_name and one.cylinder.needles == needles
    ]
    return min(
        same,
        key=lambda one: (abs(one.stitch_setting - swatch.stitch_setting), -one.pk),
        default=None,
    )


def same_yarn(swatch: Swatch) -> list[Swatch]:
    """Return the washed plain swatches of the same yarn on any cylinder."""
    if not swatch.yarn_name:
        return [swatch]
    found = _plain_washed().filter(yarn_name=swatch.yarn_name)
    return list(found.order_by("-measured_on", "-pk")[:NEWEST_SWATCHES])


def _plain_washed() -> QuerySet[Swatch]:
    return Swatch.objects.washed().plain().select_related("cylinder")


def _line(swatches: tuple[Swatch, ...]) -> YarnLine:
    first = swatches[0]
    line = None
    if len({swatch.stitch_setting for swatch in swatches}) > 1:
        line = fit_bands(
            [Band(float(one.stitch_setting), one.gauge, one.loop_cm) for one in swatches]
        )
    return YarnLine(first.yarn_name, first.cylinder, swatches, line)


def _raw_and_washed() -> list[tuple[Swatch, Swatch]]:
    """Return swatches of one yarn, cylinder and setting that were measured both ways."""
    newest = Swatch.objects.exclude(yarn_name="").order_by("-pk")[:NEWEST_SWATCHES]
    washed: dict[tuple, Swatch] = {}
    raw: dict[tuple, Swatch] = {}
    for swatch in newest:
        book = washed if swatch.state == GaugeState.WASHED else raw
        book.setdefault(_same_tube(swatch), swatch)
    return [(raw[tube], washed[tube]) for tube in raw if tube in washed]


def _same_tube(swatch: Swatch) -> tuple:
    return swatch.yarn_name, swatch.cylinder_id, swatch.stitch_setting, swatch.fabric


def _shrink(swatch: Swatch, pairs: list[tuple[Swatch, Swatch]]) -> Shrink:
    lost = []
    for raw, washed in pairs:
        if raw.yarn_name != swatch.yarn_name or raw.fabric != swatch.fabric:
            continue
        try:
            lost.append(shrink_between(raw.gauge, washed.gauge))
        except ValueError:  # a tube that grew says nothing about shrinking
            continue
    width = median([one for one, _ in lost]) if lost else USUAL_WIDTH_SHRINK
    length = median([one for _, one in lost]) if lost else USUAL_LENGTH_SHRINK
    return Shrink(width, length, len(lost), relaxed(swatch.gauge, width, length))
