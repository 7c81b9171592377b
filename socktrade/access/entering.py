"""Signing a browser in, so that its owner can see it in the list and end it."""

import datetime as dt

from django.contrib.auth import login
from django.contrib.auth.models import User
from django.http import HttpRequest

from socktrade.access.people import remember_browser

BACKEND = "socktrade.access.backend.MemberBackend"


def let_in(request: HttpRequest, user: User, *, at: dt.datetime) -> None:
    """Sign this browser in as `user`."""
    login(request, user, backend=BACKEND)
    remember_browser(
        user=user,
        session_key=request.session.session_key or "",
        browser=request.headers.get("User-Agent", ""),
        at=at,
    )
