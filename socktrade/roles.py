"""What somebody is in this workshop."""

from enum import StrEnum

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser


class Role(StrEnum):
    """The three ways to be in the book."""

    OWNER = "owner"
    HELPER = "helper"
    STALL = "stall"


def role_of(user: AbstractBaseUser | AnonymousUser) -> Role | None:
    """Return somebody's role, or None for a stranger and for one whose access was ended."""
    if not user.is_authenticated or not user.is_active:
        return None
    if getattr(user, "is_superuser", False):
        return Role.OWNER
    member = getattr(user, "member", None)
    return Role(member.role) if member else None
