"""Every page asks for its role before its view runs."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from sales.models import StallPass
from socktrade.access.table import ANSWER_STRANGERS, DOORS, may_open
from socktrade.roles import Role, role_of

View = Callable[..., HttpResponse]


class RoleMiddleware:
    """Lets a request through only where the table says so; comes after the sign-in check."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; the work is done once its view is known."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, _view: View, _args: list[Any], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        """Refuse, or let the view run."""
        page = request.resolver_match.view_name if request.resolver_match else ""
        role = role_of(request.user)
        if page in DOORS or (role is None and page in ANSWER_STRANGERS):
            return None
        request.role = role  # type: ignore[attr-defined]
        if role is None or not may_open(role, page):
            return refuse(request)
        if role == Role.STALL:
            return _at_her_stall(request, page, kwargs)
        return None


def refuse(request: HttpRequest) -> HttpResponse:
    """Say in words that this page is not for this sign-in."""
    return render(request, "socktrade/not_yours.html", status=403)


def _at_her_stall(request: HttpRequest, page: str, kwargs: dict[str, Any]) -> HttpResponse | None:
    """Keep a stall sign-in to the one day that it was made for."""
    stall = StallPass.objects.valid().filter(user=request.user).first()
    if stall is None:
        return refuse(request)
    if page == "today":
        return redirect("sales:stall", stall.day_id)
    if "day_id" in kwargs and kwargs["day_id"] != stall.day_id:
        return refuse(request)
    request.stall_day_id = stall.day_id  # type: ignore[attr-defined]
    return None
