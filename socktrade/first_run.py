"""The link that opens a book for the first time, and the one that shows the demo."""

from django.conf import settings
from django.contrib.auth.models import User
from django.core import signing
from django.urls import reverse

from socktrade.guild.standing import book_name

SALT = "socktrade.first-run"
LIFE_SECONDS = 7 * 24 * 3600


def make_token() -> str:
    """Return a signed word that names this book; it ages and needs no table."""
    return signing.dumps({"book": book_name()}, salt=SALT)


def is_valid(token: str) -> bool:
    """Say whether a token was made for this book within the last week."""
    try:
        return bool(signing.loads(token, salt=SALT, max_age=LIFE_SECONDS)["book"] == book_name())
    except (signing.BadSignature, KeyError, TypeError):
        return False


def has_owner() -> bool:
    """Say whether somebody owns this book already."""
    return User.objects.exists()


def way_in() -> str:
    """Return the path that a person opens first: set-up, the demo's door, or sign-in."""
    if settings.IS_DEMO:
        return reverse("demo_door", args=[make_token()])
    if not has_owner():
        return reverse("start", args=[make_token()])
    return reverse("sign_in")
