"""Label sheets: the ones that come with the book and those she measured."""

from django.db import transaction

from patterns.core.words import say
from production.core.labelgrid import Grid
from production.errors import ProductionError
from production.models import TagHabits, TagSheet
from socktrade.papers import paper_for

MEASURES = (
    "page_width_mm",
    "page_height_mm",
    "columns",
    "rows",
    "margin_left_mm",
    "margin_top_mm",
    "label_width_mm",
    "label_height_mm",
    "gap_x_mm",
    "gap_y_mm",
    "corner_mm",
    "hole_mm",
    "hole_x_mm",
    "hole_y_mm",
    "fold",
)

BUILT_IN: dict[str, tuple[str, Grid]] = {
    "letter": (
        say("Letter, 2 x 4 cards of 4 x 2 1/2 in"),
        Grid(215.9, 279.4, 2, 4, 6.35, 12.7, 101.6, 63.5),
    ),
    "a4": (say("A4, 2 x 4 cards of 95 x 66 mm"), Grid(210, 297, 2, 4, 10, 16.5, 95, 66)),
    "letter-tent": (
        say("Letter, 2 x 2 cards of 4 x 5 in to fold to 4 x 2 1/2 in"),
        Grid(215.9, 279.4, 2, 2, 6.35, 12.7, 101.6, 127, fold="tent"),
    ),
    "a4-tent": (
        say("A4, 2 x 2 cards of 95 x 132 mm to fold to 95 x 66 mm"),
        Grid(210, 297, 2, 2, 10, 16.5, 95, 132, fold="tent"),
    ),
    "roll": (say("Roll, one tag of 62 x 100 mm"), Grid(62, 100, 1, 1, 0, 0, 62, 100)),
}
"""Plain sheets to cut up, and a roll; key to name and geometry."""


def sheet_choices(rules: str) -> list[tuple[str, str]]:
    """Return key and name of every sheet, the usual paper of these rules first."""
    own = [(f"own-{sheet.pk}", sheet.name) for sheet in TagSheet.objects.order_by("name")]
    built_in = [(key, name) for key, (name, _) in BUILT_IN.items()]
    usual = paper_for(rules)
    return [*own, *sorted(built_in, key=lambda choice: not choice[0].startswith(usual))]


def grid_of(key: str, *, shift_x_tenths: int = 0, shift_y_tenths: int = 0) -> Grid:
    """Return the geometry of a sheet, moved by a printer's correction [0.1 mm].

    Raises:
        ProductionError: If there is no such sheet.
    """
    if key in BUILT_IN:
        grid = BUILT_IN[key][1]
        measures = {name: getattr(grid, name) for name in MEASURES}
    else:
        pk = key.removeprefix("own-")
        sheet = TagSheet.objects.filter(pk=pk).first() if pk.isascii() and pk.isdigit() else None
        if sheet is None:
            msg = say("That sheet is not in the book any more. Choose another.")
            raise ProductionError(msg, field="sheet")
        measures = {name: getattr(sheet, name) for name in MEASURES}
    return Grid(**measures, shift_x_tenths=shift_x_tenths, shift_y_tenths=shift_y_tenths)


@transaction.atomic
def remember_print(
    *, sheet: str, sides: str, stub: bool, shift_x_tenths: int, shift_y_tenths: int
) -> TagHabits:
    """Keep how tags were printed last, and how far this sheet has to be moved [0.1 mm]."""
    habits = TagHabits.current()
    habits.sheet, habits.sides, habits.stub = sheet, sides, stub
    habits.shifts = {**habits.shifts, sheet: [shift_x_tenths, shift_y_tenths]}
    habits.save()
    return habits


@transaction.atomic
def add_sheet(*, name: str, grid: Grid) -> TagSheet:
    """Keep a sheet that she measured.

    Raises:
        ProductionError: If a sheet of that name is there already.
    """
    taken = {name.casefold() for name, _ in BUILT_IN.values()}
    if name.casefold() in taken or TagSheet.objects.filter(name__iexact=name).exists():
        msg = say("There is a sheet called {name} already. Give this one another name.", name=name)
        raise ProductionError(msg, field="name")
    return TagSheet.objects.create(
        name=name, **{measure: getattr(grid, measure) for measure in MEASURES}
    )
