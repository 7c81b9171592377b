"""Signing in, and reading a person and her role in one question."""

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import User


class MemberBackend(ModelBackend):
    """Django's own name-and-password check; fetches the role beside the person."""

    def get_user(self, user_id: Any) -> User | None:
        """Return who is signed in, unless the access was ended."""
        user = User.objects.select_related("member").filter(pk=user_id).first()
        return user if user is not None and self.user_can_authenticate(user) else None
