"""Pages: what a pair costs, leaves and must bring."""

from collections.abc import Iterable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say
from patterns.models import Pattern
from sales.forms.plans import FiguresForm, TargetForm
from sales.services.pricing import (
    KindPrice,
    keep_figures,
    price_of_kind,
    price_page,
    prices_of,
)
from sales.views.answers import csv_answer
from socktrade.notices import say_done
from socktrade.workshop import workshop_of


@require_GET
def prices(request: HttpRequest) -> HttpResponse:
    """Every kind: full cost, price, margin with and without her own labour."""
    page = price_page(workshop=workshop_of(request), today=timezone.localdate())
    return render(request, "sales/price_list.html", {"page": page})


@require_GET
def prices_csv(request: HttpRequest) -> HttpResponse:
    """The same as a sheet."""
    page = price_page(workshop=workshop_of(request), today=timezone.localdate())
    return csv_answer(_rows(page.kinds), "prices.csv")


@require_GET
def price_detail(request: HttpRequest, pattern_id: int) -> HttpResponse:
    """One kind: its cost in parts, a price for a target, and the prices it had."""
    pattern = get_object_or_404(Pattern.objects.select_related("design"), pk=pattern_id)
    workshop = workshop_of(request)
    kind = price_of_kind(pattern=pattern, workshop=workshop, today=timezone.localdate())
    asked = request.GET if "profit" in request.GET else None
    form = TargetForm(asked, currency=workshop.currency)
    target = None
    if asked is not None and form.is_valid():
        target = kind.price_for(form.cleaned_data["profit"] or 0)
    context = {
        "kind": kind, "form": form, "target": target, "history": prices_of(pattern),
    }  # fmt: skip
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "sales/price_detail.html", context, status=status)


@require_http_methods(["GET", "POST"])
def figures(request: HttpRequest) -> HttpResponse:
    """Her wage, fees and costs."""
    workshop = workshop_of(request)
    if request.method == "GET":
        return render(request, "sales/price_figures.html", {"form": FiguresForm.of(workshop)})
    form = FiguresForm(request.POST, workshop=workshop)
    if not form.is_valid():
        return render(request, "sales/price_figures.html", {"form": form}, status=422)
    keep_figures(**form.figures())
    say_done(request, say("The figures are kept."))
    return redirect("sales:prices")


def _rows(kinds: Iterable[KindPrice]) -> Iterable[tuple[object, ...]]:
    yield (
        "kind", "grams", "machine_minutes", "other_minutes", "yarn", "own_labour", "packaging",
        "overhead", "full_cost", "price", "fee", "tax_inside", "left_with_labour_paid",
        "left_for_labour", "per_hour", "break_even_with_labour", "break_even_without",
    )  # fmt: skip
    for kind in kinds:
        cost = kind.cost
        parts = cost.cost
        money = [
            parts.yarn, parts.labour, parts.packaging, parts.overhead, parts.total,
            kind.price_minor, kind.fee_minor, kind.tax_minor, kind.margin_with_labour,
            kind.margin_without_labour, kind.per_hour,
        ]  # fmt: skip
        yield (
            str(kind.pattern), round(cost.grams, 1), round(cost.machine_minutes, 1),
            round(cost.finish_minutes, 1),
            *("" if amount is None else round(amount) for amount in money),
            _known(kind.break_even_with_labour), _known(kind.break_even_without_labour),
        )  # fmt: skip


def _known(pairs: int | None) -> object:
    return "never" if pairs is None else pairs
