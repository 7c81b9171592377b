"""Page: the receipt of a purchase, to show or to print."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from sales.models import HandOver, Sale
from sales.services.receipts import receipt_lines
from socktrade.http import Request, day_of_pass


@require_GET
def receipt(request: Request, sale_id: int) -> HttpResponse:
    """Show what was bought, its tax apart and how it was paid."""
    sale = get_object_or_404(Sale.objects.select_related("act", "day__market"), pk=sale_id)
    if day_of_pass(request) not in (None, sale.day_id):
        raise Http404
    hand_over = HandOver.objects.filter(sale=sale).first()
    before = hand_over.deposit_minor if hand_over else 0
    context = {
        "sale": sale,
        "tax_percent": sale.day.tax_percent
        if sale.day
        else getattr(hand_over, "tax_percent", None),
        "lines": receipt_lines(sale),
        "net_minor": sale.total_minor - sale.tax_minor,
        "before_minor": before,
        "rest_minor": sale.total_minor - before,
        "undone": sale.act.is_undone,
    }
    return render(request, "sales/receipt.html", context)
