"""The workshop row for views and templates, read once a request."""

from typing import Any

from django.http import HttpRequest

from socktrade.models import Workshop
from socktrade.roles import Role, role_of


def workshop_of(request: HttpRequest) -> Workshop:
    """Return the workshop, remembered on the request so that a page reads it once."""
    found: Workshop | None = getattr(request, "workshop", None)
    if found is None:
        found = Workshop.current()
        request.workshop = found  # type: ignore[attr-defined]
    return found


def context(request: HttpRequest) -> dict[str, Any]:
    """Give every template the workshop and the book it is looking at."""
    from django.conf import settings

    return {
        "workshop": workshop_of(request),
        "is_demo": settings.IS_DEMO,
        "sees_money": role_of(request.user) == Role.OWNER,
    }
