"""Pages: the whole story of one sock or one pair."""

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from production.core.places import IN_WORK, PairPlace, SockPlace, Step, pair_may_move, step_before
from production.errors import ProductionError
from production.forms.baskets import BackForm, MeasureForm, NoteForm
from production.forms.pairs import SplitForm
from production.models import Pair, Quality, Sock
from production.services import baskets, pairs
from production.services.acts import Who
from production.services.steps import steps_off
from production.services.stories import socks_of, story_of_pair, story_of_sock, yarns_of
from production.services.tags import kept_text
from socktrade.http import Request
from socktrade.notices import say_done
from socktrade.workshop import workshop_of

FIXED = {SockPlace.IN_PAIR, SockPlace.SCRAP, SockPlace.UNMADE}
NOTE_IDS, BACK_IDS = "note_%s", "back_%s"  # three forms stand on the page of a sock


@require_GET
def pair_detail(request: HttpRequest, number: int) -> HttpResponse:
    """Show everything about one pair."""
    return _pair_page(request, _pair(number), SplitForm())


@require_POST
def pair_split(request: Request, number: int) -> HttpResponse:
    """Take a pair apart."""
    pair = _pair(number)
    form = SplitForm(request.POST)
    if form.is_valid():
        try:
            act = pairs.split_pair(
                pair=pair,
                note=form.cleaned_data["note"],
                who=Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request,
                say("{label} is split; its socks wait to mate.", label=pair.label),
                act_id=act.pk,
            )
            return redirect(pair)
    return _pair_page(request, pair, form)


@require_GET
def sock_detail(request: HttpRequest, number: int, position: int) -> HttpResponse:
    """Show everything about one sock."""
    return _sock_page(request, _sock(number, position))


@require_POST
def sock_note(request: Request, number: int, position: int) -> HttpResponse:
    """Note how good a sock is and what is wrong with it."""
    sock = _sock(number, position)
    form = NoteForm(request.POST, auto_id=NOTE_IDS)
    if form.is_valid():
        told = form.cleaned_data
        try:
            act = baskets.note_sock(
                sock=sock,
                quality=Quality(told["quality"]),
                fault=told["fault"],
                who=Who(by=request.user, at=timezone.now(), key=told["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request,
                say(
                    "{number} is noted as {quality}.",
                    number=sock.number,
                    quality=Quality(told["quality"]).label,
                ),
                act_id=act.pk,
            )
            return redirect(sock)
    return _sock_page(request, sock, note=form)


@require_POST
def sock_measure(request: Request, number: int, position: int) -> HttpResponse:
    """Note the measured foot of a sock."""
    sock = _sock(number, position)
    form = _measure_form(request, sock, request.POST)
    if form.is_valid():
        try:
            act = baskets.measure_sock(
                sock=sock,
                foot_mm=round(form.cleaned_data["foot_mm"]),
                leg_mm=_whole(form.cleaned_data["leg_mm"]),
                who=Who(by=request.user, at=timezone.now(), key=form.cleaned_data["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request, say("The length of {number} is noted.", number=sock.number), act_id=act.pk
            )
            return redirect(sock)
    return _sock_page(request, sock, measure=form)


@require_POST
def sock_back(request: Request, number: int, position: int) -> HttpResponse:
    """Put one sock back a step, to be done again."""
    sock = _sock(number, position)
    form = BackForm(request.POST, auto_id=BACK_IDS)
    if form.is_valid():
        told = form.cleaned_data
        try:
            act = baskets.step_back(
                sock_ids=[sock.pk],
                note=told["note"],
                who=Who(by=request.user, at=timezone.now(), key=told["key"]),
            )
        except ProductionError as refusal:
            form.add_refusal(refusal)
        else:
            say_done(
                request, say("{number} is put back a step.", number=sock.number), act_id=act.pk
            )
            return redirect(sock)
    return _sock_page(request, sock, back=form)


def _whole(length_mm: float | None) -> int | None:
    return None if length_mm is None else round(length_mm)


def _before(sock: Sock) -> Step | None:
    place = SockPlace(sock.place)
    return step_before(place, steps_off()) if place in IN_WORK else None


def _pair(number: int) -> Pair:
    return get_object_or_404(Pair.objects.with_kind(), number=number)


def _sock(number: int, position: int) -> Sock:
    return get_object_or_404(Sock.objects.with_kind(), string__number=number, position=position)


def _measure_form(request: HttpRequest, sock: Sock, posted: QueryDict | None) -> MeasureForm:
    return MeasureForm(
        posted,
        workshop=workshop_of(request),
        initial={"foot_mm": sock.foot_mm, "leg_mm": sock.leg_mm},
        auto_id="measure_%s",
    )


def _pair_page(request: HttpRequest, pair: Pair, split: SplitForm) -> HttpResponse:
    socks = socks_of(pair)
    context = {
        "pair": pair,
        "socks": socks,
        "faults": [sock for sock in socks if sock.fault],
        "yarns": yarns_of(socks),
        "story": story_of_pair(pair),
        "may_split": pair_may_move(PairPlace(pair.place), PairPlace.SPLIT),
        "split": split,
        "has_tag": kept_text(pair) is not None,
    }
    status = 422 if split.errors else 200
    return render(request, "production/pair_detail.html", context, status=status)


def _sock_page(
    request: HttpRequest,
    sock: Sock,
    *,
    note: NoteForm | None = None,
    measure: MeasureForm | None = None,
    back: BackForm | None = None,
) -> HttpResponse:
    context = {
        "sock": sock,
        "yarns": yarns_of([sock]),
        "story": story_of_sock(sock),
        "may_note": sock.place not in FIXED,
        "may_measure": sock.place != SockPlace.UNMADE,
        "note": note
        or NoteForm(initial={"quality": sock.quality, "fault": sock.fault}, auto_id=NOTE_IDS),
        "before": _before(sock),
        "back": back or BackForm(auto_id=BACK_IDS),
        "measure": measure or _measure_form(request, sock, None),
    }
    refused = any(form.errors for form in (note, measure, back) if form)
    return render(request, "production/sock_detail.html", context, status=422 if refused else 200)
