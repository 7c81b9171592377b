"""A run of sizes as a table for other programs."""

import csv
import io
from collections.abc import Iterable

from patterns.services.sizerun import SizeOfRun
from socktrade.cells import safe_cell

HEAD = (
    "size", "for", "foot_mm", "around_sock_mm", "height_mm", "needles", "runner_up", "top",
    "leg_rows", "heel_rows", "foot_rows", "toe_rows", "total_rows", "sock_foot_mm",
    "metres_per_pair", "grams_per_pair", "machine_minutes_per_pair", "seam_minutes_per_pair",
    "shoe_sizes", "look_at",
)  # fmt: skip


def run_csv(run: Iterable[SizeOfRun]) -> str:
    """Return a run as CSV that no spreadsheet takes for formulas."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for size in run:
        writer.writerow([safe_cell(cell) for cell in _row(size)])
    return out.getvalue()


def _row(size: SizeOfRun) -> list[object]:
    row, planned = size.row, size.planned
    if planned is None or size.minutes is None or size.sizes is None:
        blank = [""] * (len(HEAD) - 4)
        return [row.name, row.get_group_display(), round(row.foot_mm), *blank, str(size.refusal)]
    plan = planned.plan
    return [
        row.name,
        row.get_group_display(),
        round(row.foot_mm),
        round(plan.circumference_mm),
        round(plan.sock_height_mm),
        plan.needles,
        plan.runner_up or "",
        str(planned.top.name),
        plan.leg_rows,
        plan.heel_rows,
        plan.foot_rows,
        plan.toe_rows,
        plan.total_rows,
        round(plan.sock_foot_mm),
        round(2 * plan.metres, 1),
        round(planned.grams_a_pair, 1),
        round(size.minutes.machine),
        round(size.minutes.seam),
        "; ".join(map(str, size.sizes.shoes)),
        "; ".join(str(notice.what) for notice in planned.warnings),
    ]
