"""Which tables make the book, in an order in which each finds what it points at."""

import secrets
from collections.abc import Callable
from functools import cache
from graphlib import TopologicalSorter
from typing import Any

from django.apps import apps
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.db.models import Field, Model

APPS = ("socktrade", "patterns", "production", "sales")

# Tables that stay behind, each with its reason.
LEFT_OUT = {
    "auth_group": "unused: the role of a person is in socktrade_member",
    "auth_group_permissions": "unused",
    "auth_permission": "made by the program from its models",
    "auth_user_groups": "unused",
    "auth_user_user_permissions": "unused",
    "axes_accessattempt": "failed sign-ins, kept for a while to slow the next ones down",
    "axes_accessattemptexpiration": "failed sign-ins",
    "axes_accessfailurelog": "failed sign-ins",
    "axes_accesslog": "failed sign-ins",
    "django_content_type": "made by the program from its models",
    "django_migrations": "kept by the program; the export says which were applied",
    "django_session": "browsers that are signed in; they sign in again",
    "socktrade_signedin": "browsers that are signed in; they sign in again",
}


# Columns that repeat what other rows add up to; an import adds them up anew.
KEPT_SUMS = {"production.dyelot": {"grams"}}


def _useless_password() -> str:
    return make_password(None)


def _useless_secret() -> str:
    return f"none-{secrets.token_hex(16)}"


# What opens doors leaves the book only on the owner's word; this stands in its place.
SECRETS: dict[str, dict[str, Callable[[], Any]]] = {
    "auth.user": {"password": _useless_password},
    "sales.stallpass": {"digest": _useless_secret},
    "socktrade.workshop": {"calendar_token": str},
}


@cache
def book_models() -> tuple[type[Model], ...]:
    """Return the models of the book, each after those that it points at."""
    known = [User, *(model for app in APPS for model in apps.get_app_config(app).get_models())]
    models = {m for m in known if m._meta.managed and m._meta.db_table not in LEFT_OUT}
    order = TopologicalSorter({model: _pointed_at(model) & models - {model} for model in models})
    order.prepare()
    found: list[type[Model]] = []
    while ready := order.get_ready():
        found += sorted(ready, key=name_of)
        order.done(*ready)
    return tuple(found)


def name_of(model: type[Model]) -> str:
    """Return the name of a table in an export, e.g. `production.sock`."""
    return model._meta.label_lower


def columns_of(model: type[Model]) -> list[Field]:
    """Return the columns that hold something of their own."""
    sums = KEPT_SUMS.get(name_of(model), frozenset())
    fields = [f for f in model._meta.concrete_fields if f.name not in sums]
    return [f for f in fields if not getattr(f, "generated", False)]


def _pointed_at(model: type[Model]) -> set[type[Model]]:
    fields = [field for field in model._meta.concrete_fields if field.is_relation]
    return {field.related_model for field in fields}  # type: ignore[misc]
