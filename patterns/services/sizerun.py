"""One pattern in all the sizes she makes."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.contrib.auth.models import User
from django.db import transaction

from patterns.errors import CannotPlanError
from patterns.models import PatternVersion, SizeRow, Swatch
from patterns.services.gauges import own_swatch, same_yarn
from patterns.services.logbook import Minutes, Times
from patterns.services.plans import Planned, Wish, make_plan
from patterns.services.sizes import Sizes, sizes_of
from patterns.services.versions import save_version
from socktrade.models import Workshop


@dataclass(frozen=True, slots=True)
class SizeOfRun:
    """One size of a run.

    Attributes:
        row: Its row of the chart.
        planned: The plan, None when none of her cylinders can make it.
        refusal: Why not.
        sizes: The shoe sizes it fits.
        minutes: Time of a pair.
    """

    row: SizeRow
    planned: Planned | None = None
    refusal: str = ""
    sizes: Sizes | None = None
    minutes: Minutes | None = None


def plan_run(
    wish: Wish, rows: Iterable[SizeRow], *, workshop: Workshop | None = None
) -> list[SizeOfRun]:
    """Plan a wish in every size of the chart.

    A row's girth is of the sock, so it asks for no ease; a row without one takes the ease
    of the wish from a guessed girth. Each size takes the swatch of its own cylinder where
    there is one of the same yarn.
    """
    swatches, times = same_yarn(wish.swatch), Times()
    return [_size(wish, row, swatches, times, workshop) for row in rows]


@transaction.atomic
def save_sizes(
    *, sizes: Iterable[SizeOfRun], design_name: str, by: User, at: dt.datetime
) -> list[PatternVersion]:
    """Write the planned sizes of a run down, all of them or none.

    Raises:
        PatternsError: If one is there for another foot or other wearers.
    """
    return [
        save_version(
            planned=size.planned,
            design_name=design_name,
            size_name=size.row.name,
            group=size.row.group,
            by=by,
            at=at,
        )
        for size in sizes
        if size.planned is not None
    ]


def _size(
    wish: Wish,
    row: SizeRow,
    swatches: Sequence[Swatch],
    times: Times,
    workshop: Workshop | None,
) -> SizeOfRun:
    wish = replace(
        wish,
        foot_length_mm=row.foot_mm,
        ball_mm=row.around_mm,
        height_mm=row.height_mm,
        ease=wish.ease if row.around_mm is None else 0.0,
    )
    try:
        planned = _of_the_sock(_on_own_gauge(make_plan(wish), swatches), row)
    except CannotPlanError as refusal:
        return SizeOfRun(row, refusal=refusal.message)
    plan = planned.plan
    minutes = times.of(
        needles=plan.needles,
        machine_minutes=plan.machine_minutes,
        seam_minutes=plan.seam_minutes,
    )
    return SizeOfRun(row, planned, "", sizes_of(planned.fit, workshop), minutes)


def _on_own_gauge(planned: Planned, swatches: Sequence[Swatch]) -> Planned:
    needles, wish = planned.plan.needles, planned.wish
    own = own_swatch(wish.swatch, needles, swatches)
    if own is None or wish.setting is not None or own == wish.swatch:
        return planned
    try:
        found = make_plan(replace(wish, swatch=own, needles=(needles,)))
    except CannotPlanError:  # the borrowed gauge made it, its own does not
        return planned
    # It was chosen among all of hers: they stay in sight.
    first = planned.plan
    plan = replace(found.plan, runner_up=first.runner_up, considered=first.considered)
    return replace(found, plan=plan)


def _of_the_sock(planned: Planned, row: SizeRow) -> Planned:
    """Leave out what holds a girth against usual feet, where the girth is the sock's."""
    if row.around_mm is None:
        return planned
    kept = tuple(notice for notice in planned.warnings if notice.code != "measures")
    return replace(planned, warnings=kept)
