"""People: who is in the book, who may come in, and how it is ended."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from patterns.core.words import say
from sales.errors import SalesError
from sales.models import StallPass
from socktrade.access import people
from socktrade.access.browsers import name_browser
from socktrade.access.entering import let_in
from socktrade.access.forms import HelperForm, PassForm
from socktrade.models import SignedIn
from socktrade.notices import say_done, say_refused


@require_GET
def people_list(request: HttpRequest) -> HttpResponse:
    """Show helpers, passes and signed-in browsers."""
    return _page(request, HelperForm(), PassForm())


@require_POST
def helper_add(request: HttpRequest) -> HttpResponse:
    """Make a sign-in for a helper."""
    form = HelperForm(request.POST)
    if not form.is_valid():
        return _page(request, form, PassForm(), status=422)
    people.add_helper(name=form.cleaned_data["name"], password=form.cleaned_data["password"])
    say_done(
        request, say("{cleaned_data} can sign in now.", cleaned_data=form.cleaned_data["name"])
    )
    return redirect("people")


@require_POST
def pass_add(request: HttpRequest) -> HttpResponse:
    """Make a link for the till of one day, and show it once."""
    form = PassForm(request.POST)
    if form.is_valid():
        try:
            made, secret = people.make_pass(
                day=form.cleaned_data["day"],
                name=form.cleaned_data["holder"],
                at=timezone.now(),
            )
        except SalesError as refusal:
            form.add_error("day", str(refusal))
        else:
            link = request.build_absolute_uri(reverse("stall_door", args=[secret]))
            return render(
                request, "socktrade/pass_made.html", {"pass": made, "link": link, "qr": _qr(link)}
            )
    return _page(request, HelperForm(), form, status=422)


@require_POST
def pass_end(request: HttpRequest, pass_id: int) -> HttpResponse:
    """End a pass."""
    ended = get_object_or_404(StallPass.objects.select_related("user"), pk=pass_id)
    people.end_pass(stall_pass=ended, at=timezone.now())
    say_done(request, say("The pass of {name} is ended.", name=ended.name))
    return redirect("people")


@require_POST
def helper_end(request: HttpRequest, user_id: int) -> HttpResponse:
    """Shut a helper out."""
    user = get_object_or_404(User.objects.filter(member__role="helper"), pk=user_id)
    people.end_access(user=user)
    say_done(request, say("{user} cannot sign in any more. What they recorded stays.", user=user))
    return redirect("people")


@require_POST
def session_end(request: HttpRequest, signed_id: int) -> HttpResponse:
    """Sign one browser out."""
    signed = get_object_or_404(SignedIn, pk=signed_id)
    if signed.session_key == request.session.session_key:
        say_refused(request, say("That is this browser. Use “Sign out” on the workshop page."))
    else:
        people.end_session(signed=signed)
        say_done(request, say("That browser is signed out."))
    return redirect("people")


@login_not_required
@require_GET
def stall_door(request: HttpRequest, secret: str) -> HttpResponse:
    """Let the holder of a valid pass in, to one stall on one day."""
    found = people.pass_of(secret)
    if found is None:
        return render(request, "socktrade/start_stale.html", status=403)
    let_in(request, found.user, at=timezone.now())
    return redirect("sales:stall", found.day_id)


def _page(
    request: HttpRequest, helper: HelperForm, stall: PassForm, *, status: int = 200
) -> HttpResponse:
    context = {
        "helper": helper,
        "stall": stall,
        "helpers": User.objects.filter(member__role="helper").order_by("username"),
        "passes": StallPass.objects.valid().select_related("day__market").order_by("-made_at"),
        "browsers": [
            (signed, name_browser(signed.browser))
            for signed in SignedIn.objects.select_related("user").order_by("-since")[:50]
        ],
        "here": request.session.session_key,
    }
    return render(request, "socktrade/people.html", context, status=status)


def _qr(link: str) -> str:
    import segno

    return segno.make(link, error="m").svg_inline(scale=5, omitsize=True, svgclass="qr")
