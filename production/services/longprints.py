"""Long prints: made sheet by sheet, each step short, so that they can be watched and stopped."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.db import transaction

from production.core.labelgrid import Grid
from production.models import LongPrint, LongPrintPart
from production.services.acts import Who

CHUNK = 48
"""Tags made in one step, about half a second: whole sheets of them."""

KEPT = 5
"""Long prints kept; the oldest give way to new ones."""

Render = Callable[[Sequence[Mapping[str, Any]], int, tuple[int, ...]], bytes]
"""Returns the PDF of some tags from the first place used and the spoiled ones."""


@transaction.atomic
def start_print(
    *, texts: Sequence[Mapping[str, Any]], layout: Mapping[str, Any], grid: Grid, who: Who
) -> LongPrint:
    """Keep what is to be printed; nothing is made yet.

    Args:
        texts: Words of the tags, as they are then printed.
        layout: How they are laid out, as `chunk_of` and the page read it: `start` and
            `skip` are the places of the first sheet.
        grid: The sheet.
        who: Who prints, and when.
    """
    if who.key and (again := LongPrint.objects.filter(key=who.key).first()):
        return again
    spare = LongPrint.objects.order_by("-pk").values_list("pk", flat=True)[KEPT - 1 :]
    LongPrint.objects.filter(pk__in=list(spare)).delete()
    spans = _spans(len(texts), grid, layout)
    more = {"key": who.key} if who.key else {}
    return LongPrint.objects.create(
        texts=list(texts),
        layout=dict(layout),
        chunks=len(spans),
        asked_at=who.at,
        by=who.by,
        **more,
    )


def go_on(job: LongPrint, *, grid: Grid, render: Render) -> int:
    """Make the next sheets of a print, and return how many chunks are made.

    Raises:
        TagDoesNotFitError: If the words of a tag do not fit; the print stays as it was.
    """
    made = set(job.parts.values_list("number", flat=True))
    number = next((n for n in range(job.chunks) if n not in made), None)
    if number is None:
        return job.chunks
    first, last = _spans(len(job.texts), grid, job.layout)[number]
    start, skip = (1, ()) if number else _first_sheet(job.layout)
    pdf = render(job.texts[first:last], start, skip)
    with transaction.atomic():
        # Meanwhile another window may have stopped it, or made the same sheets.
        if LongPrint.objects.select_for_update().filter(pk=job.pk).exists():
            LongPrintPart.objects.get_or_create(print=job, number=number, defaults={"pdf": pdf})
    return len(made) + 1


def stop_print(job: LongPrint) -> None:
    """Throw a long print away, finished sheets and all; no tag counts as printed by it."""
    job.delete()


def parts_of(job: LongPrint) -> list[bytes]:
    """Return the finished sheets in their order."""
    return [bytes(pdf) for pdf in job.parts.order_by("number").values_list("pdf", flat=True)]


def tags_made(job: LongPrint, *, grid: Grid, chunks: int) -> int:
    """Return how many tags the first `chunks` steps make."""
    return _spans(len(job.texts), grid, job.layout)[chunks - 1][1] if chunks else 0


def _first_sheet(layout: Mapping[str, Any]) -> tuple[int, tuple[int, ...]]:
    return int(layout["start"]), tuple(int(place) for place in layout["skip"])


def _spans(count: int, grid: Grid, layout: Mapping[str, Any]) -> list[tuple[int, int]]:
    """Cut the tags where a sheet ends, so that the parts join to the same pages."""
    start, skip = _first_sheet(layout)
    free = sum(place not in skip for place in range(start, grid.per_page + 1))
    sheets = max(1, CHUNK // grid.per_page)
    first = free + (sheets - 1) * grid.per_page
    ends = [min(first, count)]
    while ends[-1] < count:
        ends.append(min(ends[-1] + sheets * grid.per_page, count))
    return list(zip([0, *ends], ends, strict=False))
