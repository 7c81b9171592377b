"""Pages: mating, the list of pairs, and prices."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say
from patterns.models import Pattern
from production.core.places import PAIR_PLACE_NAMES, PairPlace
from production.errors import ProductionError
from production.forms.pairs import HandMateForm, MateForm, PriceForm
from production.models import Act
from production.services import pairs
from production.services.acts import Who
from production.services.mating_table import Proposal, odd_socks, propose_mates, socks_under_way
from production.services.pair_queries import newest_pairs, price_history, priced_patterns
from production.views.asked import whole_number
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

PRICES_LISTED = 10
HAND_IDS = "hand_%s"  # two forms stand on the page of mating


class Line:
    """One proposal on the page: the value of its box, and whether it is ticked."""

    def __init__(self, proposal: Proposal, ticked: frozenset[tuple[int, int]]) -> None:
        couple = proposal.left.pk, proposal.right.pk
        self.proposal = proposal
        self.value = "{}-{}".format(*couple)
        self.ticked = couple in ticked


@require_http_methods(["GET", "POST"])
def mating(request: Request) -> HttpResponse:
    """Show what goes together; on POST make pairs of the ticked proposals."""
    form = MateForm(
        request.POST if request.method == "POST" else None, workshop=workshop_of(request)
    )
    if request.method == "POST" and form.is_valid():
        try:
            act = pairs.mate_socks(
                couples=form.cleaned_data["couples"],
                minutes=form.cleaned_data["minutes"],
                who=Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _mated(request, act)
    return _mating_page(request, form, HandMateForm(auto_id=HAND_IDS))


@require_POST
def mate_by_hand(request: Request) -> HttpResponse:
    """Make a pair of two socks that she chose herself."""
    form = HandMateForm(request.POST, auto_id=HAND_IDS)
    if form.is_valid():
        told = form.cleaned_data
        try:
            act = pairs.mate_socks(
                couples=[(told["left"].pk, told["right"].pk)],
                note=told["note"],
                who=Who(by=request.user, at=timezone.now(), key=told["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            return _mated(request, act)
    return _mating_page(request, MateForm(), form)


@require_GET
def pair_list(request: HttpRequest) -> HttpResponse:
    """Show the newest pairs, of one place or of all."""
    place = request.GET.get("place", "")
    chosen = PairPlace(place) if place in set(PairPlace) else None
    before = request.GET.get("before", "")
    page = newest_pairs(
        place=chosen,
        before=int(before) if before.isdecimal() and len(before) < 10 else None,
    )
    context = {"page": page, "place": chosen, "places": PAIR_PLACE_NAMES.items()}
    return render(request, "production/pair_list.html", context)


@require_GET
def price_list(request: HttpRequest) -> HttpResponse:
    """Show what every pattern costs."""
    return render(request, "production/pair_prices.html", {"priced": priced_patterns()})


@require_http_methods(["GET", "POST"])
def price_change(request: Request, pattern_id: int) -> HttpResponse:
    """Change what one pattern costs; the older prices stand below."""
    pattern = get_object_or_404(Pattern.objects.select_related("design"), pk=pattern_id)
    price = pairs.current_prices([pattern.pk]).get(pattern.pk)
    initial = {"first": price.first_minor, "second": price.second_minor} if price else {}
    form = PriceForm(
        request.POST if request.method == "POST" else None,
        workshop=workshop_of(request),
        initial=initial,
    )
    if request.method == "POST" and form.is_valid():
        try:
            pairs.set_price(
                pattern=pattern,
                first_minor=form.cleaned_data["first"],
                second_minor=form.cleaned_data["second"],
                who=Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(request, say("{pattern} has its price.", pattern=pattern))
            return redirect("production:price_list")
    context = {"pattern": pattern, "form": form, **_history(request, pattern)}
    status = 422 if form.errors else 200
    return render(request, "production/pair_price.html", context, status=status)


def _history(request: Request, pattern: Pattern) -> dict[str, object]:
    before = whole_number(request.GET.get("before"))
    last = pattern.prices.filter(pk=before).first() if before else None
    found = list(price_history(pattern, before=last, most=PRICES_LISTED + 1))
    more = len(found) > PRICES_LISTED
    return {
        "history": found[:PRICES_LISTED],
        "older": found[PRICES_LISTED - 1].pk if more else None,
    }


def _mated(request: Request, act: Act) -> HttpResponse:
    numbers = [move.pair.label for move in act.pair_moves.select_related("pair").order_by("pk")]
    first, last = numbers[0], numbers[-1]
    text = say("{first} to {last} are mated.", first=first, last=last)
    if len(numbers) == 1:
        text = say("{label} is mated.", label=first)
    say_done(request, text, act_id=act.pk)
    return redirect("production:mating")


def _mating_page(request: Request, form: MateForm, by_hand: HandMateForm) -> HttpResponse:
    workshop = workshop_of(request)
    table = propose_mates(
        tolerance_mm=workshop.mate_tolerance_mm, tolerance_rows=workshop.mate_tolerance_rows
    )
    shown = {(one.left.pk, one.right.pk) for one in table.proposals}
    context = {
        "table": table,
        "alike": [Line(one, form.ticked) for one in table.proposals if not one.is_mixed],
        "mixed": [Line(one, form.ticked) for one in table.proposals if one.is_mixed],
        "odd": odd_socks(table),
        "wanted": [one for one in socks_under_way() if one.odd],
        "form": form,
        "by_hand": by_hand,
        "gone": len(form.ticked - shown),
    }
    status = 422 if form.errors or by_hand.errors else 200
    return render(request, "production/mating.html", context, status=status)
