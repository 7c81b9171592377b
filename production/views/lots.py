"""Pages: one dye lot, and everything the scale does to it."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from production.errors import ProductionError
from production.forms.scale import (
    AskedAgain,
    EachForm,
    ReceiveForm,
    TakeForm,
    WeighForm,
    WindForm,
)
from production.models import Act, DyeLot, Weighing
from production.services import yarn as services
from production.services import yarn_queries as queries
from production.services import yarn_scale as scale
from production.services.acts import Who
from production.services.lot_story import story_of_lot
from production.services.promises import kept_back
from production.services.yarn_learning import interval_since_last, learned_of
from production.views.asked import whole_number
from socktrade.forms import ActForm
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

UNPROCESSABLE = 422


@require_GET
def lot_detail(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Show one lot: what is left, for how many pairs, and every booking."""
    return _lot_page(request, _lot(lot_id))


@require_GET
def lot_story(request: HttpRequest, lot_id: int) -> HttpResponse:
    """Show every string, sock, pair and sale of a lot."""
    lot = _lot(lot_id)
    story = story_of_lot(lot, before=whole_number(request.GET.get("before")))
    return render(request, "production/lot_story.html", {"lot": lot, "story": story})


@require_POST
def lot_receive(request: Request, lot_id: int) -> HttpResponse:
    """Book more yarn of a lot in."""
    lot = _lot(lot_id)
    form = ReceiveForm(request.POST, workshop=workshop_of(request), auto_id="receive_%s")

    def book(said: dict[str, Any], who: Who) -> Act:
        if said["weights_g"]:
            return services.receive_packages(
                lot=lot, weights_g=said["weights_g"], note=said["note"], who=who
            )
        return services.receive_yarn(
            lot=lot,
            gross_g=said["gross_g"],
            packages=said["packages"],
            note=said["note"],
            who=who,
        )

    return _booked(request, lot, form, book, say("Yarn received.")) or _lot_page(
        request, lot, receive_form=form
    )


@require_POST
def lot_weigh(request: Request, lot_id: int) -> HttpResponse:
    """Set the book right by the scale; what damp air explains is kept and not booked."""
    lot = _lot(lot_id)
    form = WeighForm(request.POST, workshop=workshop_of(request), auto_id="weigh_%s")

    def book(said: dict[str, Any], who: Who) -> Act:
        reading = services.read_scale(lot=lot, gross_g=said["gross_g"], packages=said["packages"])
        _ask_if_doubtful(form, lot, reading)
        return services.weigh_lot(
            lot=lot,
            gross_g=said["gross_g"],
            packages=said["packages"],
            note=said["note"],
            who=who,
            moisture_stays=not said["anyway"],
        )

    return _booked(request, lot, form, book) or _lot_page(request, lot, weigh_form=form)


@require_POST
def lot_weigh_each(request: Request, lot_id: int) -> HttpResponse:
    """Set the book right by packages weighed one by one."""
    lot = _lot(lot_id)
    packages = scale.packages_of(lot)
    form = EachForm(
        request.POST, packages=packages, workshop=workshop_of(request), auto_id="each_%s"
    )

    def book(said: dict[str, Any], who: Who) -> Act:
        weights = form.weights_g()
        _ask_if_doubtful(form, lot, scale.read_packages(lot=lot, weights_g=weights))
        return scale.weigh_packages(
            lot=lot,
            weights_g=weights,
            note=said["note"],
            who=who,
            moisture_stays=not said["anyway"],
        )

    return _booked(request, lot, form, book) or _lot_page(request, lot, each_form=form)


@require_POST
def lot_wind(request: Request, lot_id: int) -> HttpResponse:
    """Wind a ball off a cone."""
    lot = _lot(lot_id)
    form = WindForm(
        request.POST,
        packages=scale.packages_of(lot),
        workshop=workshop_of(request),
        auto_id="wind_%s",
    )

    def book(said: dict[str, Any], who: Who) -> Act:
        return scale.wind_off(
            lot=lot, number=said["number"], grams=said["grams"], note=said["note"], who=who
        )

    return _booked(
        request, lot, form, book, say("Wound off; the lot keeps its weight.")
    ) or _lot_page(request, lot, wind_form=form)


@require_POST
def lot_take(request: Request, lot_id: int) -> HttpResponse:
    """Book yarn out for a swatch, as waste, written off or returned."""
    lot = _lot(lot_id)
    form = TakeForm(request.POST, workshop=workshop_of(request), auto_id="take_%s")

    def book(said: dict[str, Any], who: Who) -> Act:
        return services.take_yarn(
            lot=lot, grams=said["grams"], use=said["use"], note=said["note"], who=who
        )

    return _booked(request, lot, form, book, say("Taken out.")) or _lot_page(
        request, lot, take_form=form
    )


def _booked(
    request: Request,
    lot: DyeLot,
    form: ActForm,
    book: Callable[[dict[str, Any], Who], Act],
    text: str = "",
) -> HttpResponse | None:
    """Do one act on a lot and go back to its page; None when the form or the act refuses."""
    if not form.is_valid():
        return None
    who = Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
    try:
        act = book(form.cleaned_data, who)
    except ProductionError as refusal:
        form.add_refusal(refusal)
        return None
    say_done(request, text or _weighed(act), act_id=act.pk)
    return redirect(lot)


def _weighed(act: Act) -> str:
    weighing: Weighing = act.weighing
    difference = weighing.difference_g
    if not difference:
        return say("Weighed: the scale and the book agree.")
    if weighing.booked:
        return say(
            "Weighed: {difference:mass+}; the book follows the scale.", difference=difference
        )
    return say(
        "Weighed: {difference:mass+} beside the book, within 5 %, which damp or dry air "
        "explains with no yarn gone. It is shown and not booked.",
        difference=difference,
    )


def _ask_if_doubtful(form: AskedAgain, lot: DyeLot, reading: services.Reading) -> None:
    """Ask before a weighing is booked that no knitting explains.

    Raises:
        ProductionError: If she was not asked yet.
    """
    since = interval_since_last(lot, reading.difference_g)
    if form.cleaned_data["anyway"] or reading.is_moisture or not since.is_doubtful:
        return
    msg = say(
        "The scale says {net_g:mass} of yarn, the book {book_g:mass}: the socks since the "
        "last weighing would have taken {used_g:mass0}, and {planned_g:mass0} were "
        "planned. Is every cone on the scale, and the right lot? Tick to book it all "
        "the same.",
        net_g=reading.net_g,
        book_g=reading.book_g,
        used_g=since.used_g,
        planned_g=since.all_planned_g,
    )
    raise ProductionError(msg, field="anyway")


def _lot_page(request: HttpRequest, lot: DyeLot, **refused: ActForm) -> HttpResponse:
    workshop = workshop_of(request)
    reserve_g = workshop.lot_reserve_g
    lines = queries.ledger(lot=lot, before=whole_number(request.GET.get("before")))
    packages = scale.packages_of(lot)
    spreads = {lot.pk: scale.spread_of(packages)}
    shelf = queries.on_shelf(lot, lot.yarn, None, reserve_g=reserve_g, spreads=spreads)
    context: dict[str, Any] = {
        "shelf": shelf,
        "packages": packages,
        "weighings": queries.weighings_of(lot),
        "enough": queries.enough_by_version(
            lot=lot, grams=shelf.least_g, reserve_g=reserve_g, learned=learned_of(lot.yarn)
        ),
        "kept": kept_back(lot.pk),
        "lines": lines,
        "older": lines[-1].move.pk if len(lines) == queries.LEDGER_LENGTH else None,
        "strings": queries.strings_of(lot),
        "receive_form": ReceiveForm(workshop=workshop, auto_id="receive_%s"),
        "weigh_form": WeighForm(workshop=workshop, auto_id="weigh_%s"),
        "each_form": EachForm(packages=packages, workshop=workshop, auto_id="each_%s"),
        "wind_form": WindForm(packages=packages, workshop=workshop, auto_id="wind_%s"),
        "take_form": TakeForm(workshop=workshop, auto_id="take_%s"),
    }
    status = UNPROCESSABLE if refused else 200
    return render(request, "production/lot_detail.html", context | refused, status=status)


def _lot(lot_id: int) -> DyeLot:
    return get_object_or_404(DyeLot.objects.with_yarn(), pk=lot_id)
