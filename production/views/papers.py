"""Pages: the papers of production beside the tags."""

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from production.models import TagHabits
from production.services import papers, shelfpapers
from socktrade.papers import paper_for, pdf_or_page
from socktrade.workshop import workshop_of

_CARDS_ON_A_PAGE = 10


@require_GET
def shelf_cards(request: HttpRequest) -> HttpResponse:
    """Print a card for each design: its sizes and prices."""
    context = {"cards": papers.shelf_cards()}
    return pdf_or_page(
        request, "print/shelf_cards.html", context, "shelf-cards.pdf", page=_page_of(request)
    )


@require_GET
def price_board(request: HttpRequest) -> HttpResponse:
    """Print the board of prices that stands on the table."""
    board = shelfpapers.price_board()
    context = {
        "board": board,
        "size": _board_size(sum(len(lines) for _, lines in board)),
        "says": TagHabits.current().price_says,
    }
    return pdf_or_page(
        request, "print/price_board.html", context, "price-board.pdf", page=_page_of(request)
    )


@require_GET
def count_sheet(request: HttpRequest) -> HttpResponse:
    """Print a sheet to count the shelf on, with nothing that the book expects."""
    context = {"lines": shelfpapers.count_lines(), "on": timezone.localdate()}
    return pdf_or_page(
        request, "print/count_sheet.html", context, "count-sheet.pdf", page=_page_of(request)
    )


@require_GET
def care_cards(request: HttpRequest) -> HttpResponse:
    """Print cards to put in with a pair: how it is looked after."""
    workshop = workshop_of(request)
    cards = shelfpapers.care_cards(workshop.label_rules, drawn=workshop.care_symbols)
    # Cut apart, one goes to each buyer: enough of every kind to fill a page.
    each = max(2, _CARDS_ON_A_PAGE // max(1, len(cards)))
    context = {"cards": [card for card in cards for _ in range(each)]}
    return pdf_or_page(
        request, "print/care_cards.html", context, "care-cards.pdf", page=_page_of(request)
    )


@require_GET
def string_slip(request: HttpRequest, number: int) -> HttpResponse:
    """Print the slip that travels with a string, with its row card."""
    slip = papers.string_slip(number)
    if slip is None:
        raise Http404
    site = request.build_absolute_uri("/")
    context = {"slip": slip, "code": papers.code(site, slip.string)}
    return pdf_or_page(
        request, "print/string_slip.html", context, f"string-{number}.pdf", page=_page_of(request)
    )


def _board_size(lines: int) -> str:
    """Return how large the board is set, so that it stays one page as long as it can."""
    if lines <= 8:
        return "large"
    return "middle" if lines <= 16 else "small"


def _page_of(request: HttpRequest) -> str:
    return paper_for(workshop_of(request).label_rules)
