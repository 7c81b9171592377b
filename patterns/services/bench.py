"""What she owns and measured: cylinders and swatches."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import IntegrityError, transaction

from patterns.core.bounds import require_needles
from patterns.core.gauge import Gauge, gauge_from_count
from patterns.errors import AlreadyThereError, PatternsError
from patterns.models import Cylinder, Swatch


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
        msg = f"{needles} is not a needle count. Give an even number from 12 to 200."
        raise PatternsError(msg, field="needles") from problem
    try:
        with transaction.atomic():
            return Cylinder.objects.create(needles=needles, diameter_mm=diameter_mm, note=note)
    except IntegrityError as problem:
        msg = f"Your {needles} is in the book already."
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
) -> Swatch:
    """Write down a measured tube.

    Raises:
        PatternsError: If no tube has such a gauge.
        AlreadyThereError: If another swatch has this name.
    """
    gauge = _gauge(wales, courses, state)
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
            )
    except IntegrityError as problem:
        msg = f"Another swatch is called “{name}”. Give this one its own name."
        raise AlreadyThereError(msg, field="name") from problem


def _gauge(wales: Counted, courses: Counted, state: str) -> Gauge:
    try:
        across = wales.per_10cm
        along = courses.per_10cm
        return Gauge(across, along, state=state)
    except ValueError as problem:
        field = "courses" if str(problem).startswith("courses") else "wales"
        what = "rows" if field == "courses" else "stitches"
        allowed = str(problem).partition("allowed: ")[2]
        msg = f"That is no usual number of {what}: {allowed} in 10 cm. Look at count and length."
        raise PatternsError(msg, field=field) from problem
