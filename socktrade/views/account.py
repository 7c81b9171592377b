"""The way in: first run, the demo's door, sign-in and sign-out."""

from django.conf import settings
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from patterns.core.words import say
from socktrade import beside
from socktrade.access.entering import let_in
from socktrade.account_forms import StartForm
from socktrade.first_run import has_owner, is_valid
from socktrade.notices import say_done
from socktrade.roles import Role, role_of
from socktrade.whereabouts import likely_workshop


class SignInView(auth_views.LoginView):
    """Name and password."""

    template_name = "socktrade/sign_in.html"
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, and note the browser."""
        let_in(self.request, form.get_user(), at=timezone.now())
        return redirect(self.get_success_url())


class SignOutView(auth_views.LogoutView):
    """Leave the book."""


@login_not_required
@require_http_methods(["GET", "POST"])
def start(request: HttpRequest, token: str) -> HttpResponse:
    """Make the owner's account and ask units, currency and label rules, once."""
    if has_owner() or settings.IS_DEMO:
        return redirect("sign_in")
    if not is_valid(token):
        return render(request, "socktrade/start_stale.html", status=403)
    likely = likely_workshop(request.headers.get("accept-language", ""))
    form = StartForm(request.POST or None, instance=likely)
    if request.method == "POST" and form.is_valid():
        owner = form.open_book()
        let_in(request, owner, at=timezone.now())
        say_done(request, say("Your book is open. Start with a cylinder you own."))
        return redirect("today")
    context = {"form": form, "can_open_demo": beside.can_open_demo()}
    return render(request, "socktrade/start.html", context, status=422 if form.errors else 200)


@login_not_required
@require_GET
def demo_door(request: HttpRequest, token: str) -> HttpResponse:
    """Let a visitor into the invented demo book; her own book has no such door."""
    if not settings.IS_DEMO:
        raise Http404
    visitor = User.objects.order_by("pk").first()
    if visitor is None or not is_valid(token):
        return render(request, "socktrade/start_stale.html", status=403)
    let_in(request, visitor, at=timezone.now())
    return redirect("today")


@login_not_required
@require_http_methods(["GET", "POST"])
def demo_beside(request: HttpRequest) -> HttpResponse:
    """Open the demo beside this book, for its owner or for whoever is about to be that."""
    if not beside.can_open_demo():
        raise Http404
    if has_owner() and role_of(request.user) != Role.OWNER:
        raise PermissionDenied
    if request.method == "POST":
        beside.open_demo()
        return redirect("demo_beside")
    demo = beside.demo_beside()
    host = request.get_host().rpartition(":")[0] or request.get_host()
    address = f"http://{host}:{demo.port}{demo.path}" if demo and demo.path else ""
    context = {"demo": demo, "address": address}
    part = request.htmx  # type: ignore[attr-defined]
    page = "socktrade/_demo_beside.html" if part else "socktrade/demo_beside.html"
    return render(request, page, context)


@login_not_required
@require_GET
def health(_request: HttpRequest) -> JsonResponse:
    """Say that the app answers and which book it has open."""
    return JsonResponse({"app": "socktrade", "book": settings.BOOK})
