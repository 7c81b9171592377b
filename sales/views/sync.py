"""The till on the phone: its shell, its worker, the sheet it takes along, what it sends."""

import json
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from sales.core.tillacts import storable
from sales.models import DayState
from sales.services import sync
from sales.services.tillsheet import book_name, open_days, till_sheet
from sales.views.markets import day_or_404
from sales.views.shell import kept_on_phone, shell_version
from socktrade.http import Request, day_of_pass
from socktrade.money import minor_digits
from socktrade.workshop import workshop_of

LARGEST_PARCEL = 1_000_000
SCOPE = "/stall/"
NO_PARCEL = say("That is no parcel of acts. It was kept.")


@login_not_required
@require_GET
def till_shell(request: Request) -> HttpResponse:
    """The till's page without any data, the same for everybody: phones keep it."""
    # No look at the session here: a page that is kept must not depend on who asked for it.
    context = {
        "version": shell_version(),
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
        "modules": settings.STATIC_URL,
        "decoder": static("vendor/jsqr/jsQR.js"),
    }
    return render(request, "sales/stall_till.html", context)


@login_not_required
@never_cache
@require_GET
def till_worker(request: Request) -> HttpResponse:
    """The service worker: which files a phone keeps, and what it answers with no network."""
    context = {
        "kept": json.dumps(kept_on_phone()),
        "shell": reverse("sales:till_shell"),
        "libraries": [
            static(f"vendor/workbox/workbox-{name}.prod.js")
            for name in ("core", "routing", "strategies", "precaching")
        ],
    }
    answer = render(request, "sales/stall_sw.js", context, content_type="text/javascript")
    answer["Service-Worker-Allowed"] = SCOPE
    return answer


@login_not_required
@require_GET
def till_manifest(request: Request) -> JsonResponse:
    """What the phone shows when the till is put on its home screen."""
    icons: list[dict[str, Any]] = [
        {"src": static("icons/sock.svg"), "sizes": "any", "type": "image/svg+xml"},
        *(
            {
                "src": static(f"icons/till-{size}.png"),
                "sizes": f"{size}x{size}",
                "type": "image/png",
            }
            for size in (192, 512)
        ),
        {
            "src": static("icons/till-maskable-512.png"),
            "sizes": "512x512",
            "type": "image/png",
            "purpose": "maskable",
        },
    ]
    said = {
        "id": SCOPE,
        "name": str(say("Stall, {workshop}", workshop=workshop_of(request).name)),
        "short_name": str(say("Stall")),
        "description": str(say("The till of the stall; sells with no signal.")),
        "start_url": reverse("sales:till_shell"),
        "scope": SCOPE,
        "display": "standalone",
        "background_color": "#f5f0e5",
        "theme_color": "#93281f",
        "icons": icons,
    }
    return JsonResponse(said, content_type="application/manifest+json")


@login_not_required
@never_cache
@require_GET
def till_days(request: Request) -> JsonResponse:
    """Which days are open, for a phone that does not know one yet."""
    if not request.user.is_authenticated:
        return _sign_in()
    own = day_of_pass(request)
    days = [{"id": day.pk, "name": str(day)} for day in open_days() if own in (None, day.pk)]
    return JsonResponse({"days": days})


@login_not_required
@never_cache
@require_GET
def till_json(request: Request, day_id: int) -> HttpResponse:
    """The sheet of a day; nothing but a header while it is the one the phone has."""
    if not request.user.is_authenticated:
        return _sign_in()
    get_token(request)  # sets the cookie that the phone sends its acts with
    day = day_or_404(day_id)
    if day.state in (DayState.PLANNED, DayState.CANCELLED):
        error = say(
            "{day} is {state}. Open the stall first.", day=day, state=day.get_state_display()
        )
        told = {"error": str(error)}
        return JsonResponse(told, status=409)
    workshop = workshop_of(request)
    sheet = till_sheet(
        day=day,
        currency=workshop.currency,
        digits=minor_digits(workshop.currency),
        name=workshop.name,
    )
    if request.GET.get("have") == sheet["revision"]:
        return JsonResponse({"same": True, "revision": sheet["revision"]})
    return JsonResponse({**sheet, "user": request.user.get_username()})


@login_not_required
@never_cache
@require_POST
def till_acts(request: Request, day_id: int) -> JsonResponse:
    """Take in acts; the answer names what became of each."""
    if not request.user.is_authenticated:
        return _sign_in()
    if len(request.body) > LARGEST_PARCEL:
        told = {
            "error": str(say("Send at most {most} bytes at once.", most=LARGEST_PARCEL)),
            "answers": [],
        }
        return JsonResponse(told, status=413)
    said = _said(request.body)
    if said.get("book", book_name()) != book_name():
        told = {"error": str(say("Another book is open at this address now.")), "answers": []}
        return JsonResponse(told, status=409)
    answers = sync.receive(
        sync.Parcel(
            acts=said["acts"],
            day_id=day_id,
            device=storable(str(said.get("device", "")))[:40],
            by=request.user,
            at=timezone.now(),
            sent_at_ms=said.get("sent_at"),
            held_to_day=day_of_pass(request) is not None,
        )
    )
    told = {"answers": [{"key": a.key, "state": a.state, "words": a.words} for a in answers]}
    if "error" in said:
        return JsonResponse({**told, "error": said["error"]}, status=400)
    return JsonResponse(told)


def _said(body: bytes) -> dict[str, Any]:
    """Return the parcel; what is none becomes one act that is kept as it came."""
    text = body.decode("utf-8", "replace")
    try:
        said = json.loads(text)
    except (ValueError, RecursionError):
        said = None
    if isinstance(said, dict) and isinstance(said.get("acts"), list):
        return said
    words = text.replace("\0", "\N{REPLACEMENT CHARACTER}")
    return {"acts": [words] if words else [], "error": str(NO_PARCEL)}


def _sign_in() -> JsonResponse:
    return JsonResponse(
        {"error": str(say("Sign in first.")), "sign_in": reverse("sign_in")}, status=401
    )
