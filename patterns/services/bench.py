"""What she owns and measured: cylinders and swatches."""

import datetime as dt
from dataclasses import asdict, dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction

from patterns.core.bounds import (
    COURSES_PER_10CM,
    HANG,
    WALES_PER_10CM,
    require,
    require_needles,
)
from patterns.core.gauge import Gauge, gauge_from_count, loop_length_cm
from patterns.core.words import Phrase, say
from patterns.errors import AlreadyThereError, PatternsError
from patterns.models import Cylinder, Fabric, Swatch

_LOOP_SLACK = (0.6, 1.6)


@dataclass(frozen=True, slots=True)
class Extra:
    """What else she measured of a swatch; None where she did not.

    Attributes:
        fabric: What it is knitted in.
        round_cm: Yarn unravelled from one round [cm].
        hanging_mm: Length under weights [mm].
        hanging_rows: Rows of that length.
    """

    fabric: str = Fabric.PLAIN
    round_cm: float | None = None
    hanging_mm: float | None = None
    hanging_rows: int | None = None


@dataclass(frozen=True, slots=True)
class Counted:
    """Stitches or rows counted along a ruler: how many, over how many mm."""

    count: float
    over_mm: float

    @property
    def per_10cm(self) -> float:
        """Return the count over 10 cm.

        Raises:
            ValueError: If the count or the length is out of range.
        """
        return gauge_from_count(self.count, self.over_mm)


def add_cylinder(*, needles: int, diameter_mm: float | None = None, note: str = "") -> Cylinder:
    """Write down a cylinder.

    Raises:
        PatternsError: If no cylinder has such a number of needles.
        AlreadyThereError: If she has one with as many needles.
    """
    try:
        require_needles(needles)
    except ValueError as problem:
        msg = say(
            "{needles} is not a needle count. Give an even number from 12 to 200.", needles=needles
        )
        raise PatternsError(msg, field="needles") from problem
    try:
        with transaction.atomic():
            return Cylinder.objects.create(needles=needles, diameter_mm=diameter_mm, note=note)
    except IntegrityError as problem:
        msg = say("Your {needles} is in the book already.", needles=needles)
        raise AlreadyThereError(msg, field="needles") from problem


def add_swatch(
    *,
    name: str,
    cylinder: Cylinder,
    stitch_setting: Decimal,
    state: str,
    wales: Counted,
    courses: Counted,
    measured_on: dt.date,
    yarn_name: str = "",
    extra: Extra | None = None,
) -> Swatch:
    """Write down a measured tube.

    Raises:
        PatternsError: If no tube has such a gauge.
        AlreadyThereError: If another swatch has this name.
    """
    gauge = _gauge(wales, courses, state)
    extra = extra or Extra()
    _check_loop(extra, cylinder, gauge)
    _check_hanging(extra, gauge)
    try:
        with transaction.atomic():
            return Swatch.objects.create(
                name=name,
                yarn_name=yarn_name,
                cylinder=cylinder,
                stitch_setting=stitch_setting,
                state=state,
                wales_per_10cm=gauge.wales_per_10cm,
                courses_per_10cm=gauge.courses_per_10cm,
                measured_on=measured_on,
                **asdict(extra),
            )
    except IntegrityError as problem:
        msg = say("Another swatch is called “{name}”. Give this one its own name.", name=name)
        raise AlreadyThereError(msg, field="name") from problem


def _check_loop(extra: Extra, cylinder: Cylinder, gauge: Gauge) -> None:
    if extra.round_cm is None:
        return
    loop_cm = extra.round_cm / cylinder.needles
    # Ribs and loose yarns differ from the plain relation, but not by half.
    usual = loop_length_cm(Gauge(gauge.wales_per_10cm, gauge.courses_per_10cm))
    if not _LOOP_SLACK[0] * usual <= loop_cm <= _LOOP_SLACK[1] * usual:
        msg = say(
            "That is {loop_cm:.2f} cm a stitch; this gauge has about {usual:.2f} cm. Look "
            "at the length, its unit and the rounds.",
            loop_cm=loop_cm,
            usual=usual,
        )
        raise PatternsError(msg, field="unravelled")


def _check_hanging(extra: Extra, gauge: Gauge) -> None:
    if extra.hanging_mm is None or not extra.hanging_rows:
        return
    factor = extra.hanging_mm * gauge.courses_per_10cm / 100 / extra.hanging_rows
    if not HANG[0] <= factor <= HANG[1]:
        msg = say(
            "That is {factor:.1f} times its flat length; a tube hangs 0.8 to 2 times. Look "
            "at the length and the rows.",
            factor=factor,
        )
        raise PatternsError(msg, field="hanging")


def _gauge(wales: Counted, courses: Counted, state: str) -> Gauge:
    low, high = WALES_PER_10CM
    stitches = say(
        "That is no usual number of stitches: {low:g} to {high:g} in 10 cm. "
        "Look at count and length.",
        low=low,
        high=high,
    )
    across = _per_10cm(wales, "wales", WALES_PER_10CM, stitches)
    low, high = COURSES_PER_10CM
    rows = say(
        "That is no usual number of rows: {low:g} to {high:g} in 10 cm. Look at count and length.",
        low=low,
        high=high,
    )
    return Gauge(across, _per_10cm(courses, "courses", COURSES_PER_10CM, rows), state=state)


def _per_10cm(counted: Counted, field: str, allowed: tuple[float, float], refusal: Phrase) -> float:
    try:
        return require(field, counted.per_10cm, allowed)
    except ValueError as problem:
        raise PatternsError(refusal, field=field) from problem
