"""Saying what was done, with the way back beside it."""

from django.contrib import messages
from django.http import HttpRequest


def say_done(request: HttpRequest, text: str, *, act_id: int | None = None) -> None:
    """Show `text` on the next page; with an act, an undo button stands beside it."""
    messages.success(request, str(text), extra_tags=str(act_id) if act_id else "")


def say_refused(request: HttpRequest, text: str) -> None:
    """Show why something was not done."""
    messages.error(request, str(text))
