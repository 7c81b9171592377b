"""Pages: the tray of what the stall and the book disagree on."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from production.services.acts import Who
from sales.errors import SalesError
from sales.forms.days import SettleForm
from sales.models import SortOut
from sales.services import daysheet, till
from socktrade.http import Request
from socktrade.notices import say_done


@require_GET
def sort_list(request: Request) -> HttpResponse:
    """Show what is still open, each with a place for the word that settles it."""
    return _page(request)


@require_POST
def sort_settle(request: Request, item_id: int) -> HttpResponse:
    """Put one disagreement to rest."""
    item = get_object_or_404(SortOut, pk=item_id)
    form = SettleForm(request.POST)
    if form.is_valid():
        who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        try:
            act = till.settle(item=item, who=who, note=form.cleaned_data["note"])
        except SalesError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, "Settled.", act_id=act.pk)
            return redirect("sales:sort_list")
    return _page(request, failed=item.pk, form=form)


def _page(
    request: Request, *, failed: int | None = None, form: SettleForm | None = None
) -> HttpResponse:
    rows = [
        (item, form if form and item.pk == failed else SettleForm(auto_id=f"id_{item.pk}_%s"))
        for item in daysheet.open_items()
    ]
    context = {"rows": rows, "settled": daysheet.settled_items()}
    return render(request, "sales/sort_list.html", context, status=422 if form else 200)
