"""Papers of a market day: pack list, tally sheet, day sheet; and a day typed in from paper."""

from collections.abc import Callable
from itertools import groupby
from math import ceil

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say_count
from production.errors import ProductionError
from production.services.acts import Who
from sales.core.columns import even_cut
from sales.errors import SalesError
from sales.forms.paper import SheetForm, StubsForm
from sales.models import MarketDay, Sale
from sales.services import daysheet
from sales.services.paper import enter_sheet, enter_stubs
from sales.services.tiles import sheet_tiles, tiles_of
from sales.views.days import sheet_of
from sales.views.markets import day_or_404
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.papers import paper_for, pdf_or_page
from socktrade.workshop import workshop_of

MOST_SQUARES = 24

# How much room a kind takes on the pack list. Left to the printer's library to balance, two
# columns take fifteen times as long as all the rest of the paper.
HEAD_LINES, PAIRS_A_LINE = 2, 2


@require_GET
def day_pack_list(request: Request, day_id: int) -> HttpResponse:
    """Print the stall box as a list to pin to the lid."""
    day = day_or_404(day_id)
    pairs = daysheet.packed_pairs(day)
    kinds = [(kind, list(some)) for kind, some in groupby(pairs, lambda pair: pair.pattern)]
    cut = even_cut([HEAD_LINES + ceil(len(some) / PAIRS_A_LINE) for _, some in kinds])
    context = {"day": day, "columns": (kinds[:cut], kinds[cut:]), "count": len(pairs)}
    return _paper(request, "print/pack_list.html", context, f"pack-list-{day.date}.pdf")


@require_GET
def day_tally(request: Request, day_id: int) -> HttpResponse:
    """Print a tally sheet for a day without a phone: a row of squares for each kind."""
    day = day_or_404(day_id)
    rows = [
        (tile, range(min(tile.left, MOST_SQUARES)), max(0, tile.left - MOST_SQUARES))
        for tile in tiles_of(day)
    ]
    context = {"day": day, "rows": rows, "spare": range(2)}
    return _paper(request, "print/tally.html", context, f"tally-{day.date}.pdf")


@require_GET
def day_sheet(request: Request, day_id: int) -> HttpResponse:
    """Print the sheet of a day on one page."""
    day = day_or_404(day_id)
    return _paper(request, "print/day_sheet.html", sheet_of(day), f"day-{day.date}.pdf")


@require_http_methods(["GET", "POST"])
def day_paper(request: Request, day_id: int) -> HttpResponse:
    """Type a tally sheet in, row by row in its own order."""
    day = day_or_404(day_id)
    form = SheetForm(request.POST or None, workshop=workshop_of(request), tiles=sheet_tiles(day))
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data

        def record(who: Who) -> list[Sale]:
            return enter_sheet(
                day=day,
                rows=form.sheet,
                totals=form.totals,
                words=typed["words"],
                spread=typed["spread"],
                who=who,
            )

        if answer := _entered(request, day, form, record):
            return answer
    return _page(request, day, sheet=form)


@require_POST
def day_paper_stubs(request: Request, day_id: int) -> HttpResponse:
    """Record the pairs whose stubs were kept."""
    day, form = day_or_404(day_id), StubsForm(request.POST)
    if form.is_valid():
        anyway = form.cleaned_data["anyway"]

        def record(who: Who) -> list[Sale]:
            return enter_stubs(day=day, stubs=form.stubs, anyway=anyway, who=who)

        if answer := _entered(request, day, form, record):
            return answer
    return _page(request, day, stubs=form)


def _entered(
    request: Request,
    day: MarketDay,
    form: SheetForm | StubsForm,
    record: Callable[[Who], list[Sale]],
) -> HttpResponse | None:
    who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
    try:
        sales = record(who)
    except (SalesError, ProductionError) as refusal:
        form.add_refusal(refusal)
        return None
    pairs = sum(sale.lines.count() for sale in sales)
    say_done(
        request,
        say_count("{count} pair recorded from paper.", "{count} pairs recorded from paper.", pairs),
    )
    return redirect(day)


def _page(
    request: Request,
    day: MarketDay,
    *,
    sheet: SheetForm | None = None,
    stubs: StubsForm | None = None,
) -> HttpResponse:
    sheet = sheet or SheetForm(workshop=workshop_of(request), tiles=sheet_tiles(day))
    stubs = stubs or StubsForm(auto_id="id_stubs_%s")
    context = {"day": day, "sheet": sheet, "stubs": stubs}
    status = 422 if sheet.errors or stubs.errors else 200
    return render(request, "sales/day_paper.html", context, status=status)


def _paper(
    request: Request, template: str, context: dict[str, object], filename: str
) -> HttpResponse:
    page = paper_for(workshop_of(request).label_rules)
    return pdf_or_page(request, template, context, filename, page=page)
