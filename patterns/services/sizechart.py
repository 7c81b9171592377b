"""Her size chart: the usual rows to begin with, and hers from then on."""

from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from patterns.core.bounds import MM_PER_INCH
from patterns.core.chart import CHART, ChartRow
from patterns.core.feet import foot_length_mm
from patterns.core.words import say
from patterns.errors import AlreadyThereError
from patterns.models import SizeGroup, SizeRow, SizeSource

_NAMES = {"child": "Child", "women": "Women", "men": "Men"}
# The chart ends at US men's 14; these follow from the shoe-size rule, height as its last row.
_LARGE_MEN = (("Men 14-15", 15.0), ("Men 15-16", 16.0))
_LARGE_HEIGHT_IN = 8.5


def sizes() -> QuerySet[SizeRow]:
    """Return her size chart, from the smallest foot to the largest."""
    return SizeRow.objects.order_by("foot_mm", "group", "name")


def chart_rows() -> tuple[ChartRow, ...]:
    """Return her chart as the arithmetic reads it; the published one while she has none."""
    rows = tuple(
        ChartRow(
            row.group,
            row.name,
            (row.around_mm or 0) / MM_PER_INCH,
            row.height_mm / MM_PER_INCH,
            row.foot_mm / MM_PER_INCH,
        )
        for row in sizes()
    )
    return rows or CHART


@transaction.atomic
def fill_in_usual_sizes() -> int:
    """Write the usual rows that she has not into the chart; return how many those were.

    They are the published craft chart, from memory, and two large men's sizes by rule.
    """
    there = set(SizeRow.objects.values_list("name", flat=True))
    missing = [row for row in _usual_rows() if row.name not in there]
    SizeRow.objects.bulk_create(missing)
    return len(missing)


def keep_size(*, row: SizeRow | None, figures: dict[str, Any]) -> SizeRow:
    """Write a row of the chart down, a new one or one she changed; it is her own then.

    Raises:
        AlreadyThereError: If another row has its name.
    """
    row = row or SizeRow()
    for name, value in figures.items():
        setattr(row, name, value)
    row.source = SizeSource.OWN
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as problem:
        msg = say("“{name}” stands in the chart already.", name=row.name)
        raise AlreadyThereError(msg, field="name") from problem
    return row


def _usual_rows() -> list[SizeRow]:
    rows = [
        SizeRow(
            # The smallest shoes of the chart are babies'.
            name=f"{'Baby' if row.us_shoe == '0-4' else _NAMES[row.group]} {row.us_shoe}",
            group=SizeGroup.BABY if row.us_shoe == "0-4" else row.group,
            foot_mm=row.foot_in * MM_PER_INCH,
            around_mm=row.circumference_in * MM_PER_INCH,
            height_mm=row.height_in * MM_PER_INCH,
            source=SizeSource.MEMORY,
        )
        for row in CHART
    ]
    return rows + [
        SizeRow(
            name=name,
            group=SizeGroup.MEN,
            foot_mm=foot_length_mm("us_men", size),
            height_mm=_LARGE_HEIGHT_IN * MM_PER_INCH,
            source=SizeSource.RULE,
        )
        for name, size in _LARGE_MEN
    ]
