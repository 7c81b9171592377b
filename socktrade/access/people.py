"""Letting people in, and ending it."""

import datetime as dt
import hashlib
import secrets

from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db import transaction

from patterns.core.words import say
from sales.errors import SalesError
from sales.models import DayState, MarketDay, StallPass
from socktrade.models import Member, SignedIn

SECRET_BYTES = 24


@transaction.atomic
def add_helper(*, name: str, password: str) -> User:
    """Make a sign-in for somebody who helps at the bench."""
    user = User.objects.create_user(username=name, password=password)
    Member.objects.create(user=user, role=Member.Role.HELPER)
    return user


@transaction.atomic
def make_pass(*, day: MarketDay, name: str, at: dt.datetime) -> tuple[StallPass, str]:
    """Make a link for the till of one day; the secret is shown once and not kept.

    Raises:
        SalesError: If the day is over.
    """
    if day.state not in (DayState.PLANNED, DayState.OPEN):
        msg = say(
            "This day is {state}; a pass is for a day to come.", state=day.get_state_display()
        )
        raise SalesError(msg)
    secret = secrets.token_urlsafe(SECRET_BYTES)
    user = User(username=f"stall-{secrets.token_hex(6)}", first_name=name[:40])
    user.set_unusable_password()
    user.save()
    Member.objects.create(user=user, role=Member.Role.STALL)
    made = StallPass.objects.create(
        day=day, name=name, user=user, digest=digest_of(secret), made_at=at
    )
    return made, secret


def pass_of(secret: str) -> StallPass | None:
    """Return the pass that a link stands for, while it is valid."""
    return StallPass.objects.valid().select_related("user").filter(digest=digest_of(secret)).first()


@transaction.atomic
def end_pass(*, stall_pass: StallPass, at: dt.datetime) -> None:
    """End a pass; whoever holds its link is out at once."""
    StallPass.objects.filter(pk=stall_pass.pk, ended_at__isnull=True).update(ended_at=at)
    end_access(user=stall_pass.user)


@transaction.atomic
def end_access(*, user: User) -> None:
    """Shut somebody out for good; what they recorded stays theirs."""
    User.objects.filter(pk=user.pk).update(is_active=False)
    for signed in SignedIn.objects.filter(user=user):
        end_session(signed=signed)


@transaction.atomic
def end_session(*, signed: SignedIn) -> None:
    """Sign one browser out."""
    Session.objects.filter(session_key=signed.session_key).delete()
    signed.delete()


def remember_browser(*, user: User, session_key: str, browser: str, at: dt.datetime) -> None:
    """Note that a browser is signed in, so that it can be listed and ended."""
    SignedIn.objects.update_or_create(
        session_key=session_key, defaults={"user": user, "browser": browser[:200], "since": at}
    )


def digest_of(secret: str) -> str:
    """Return what is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()
