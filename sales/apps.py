"""The sales app."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Registers sales."""

    name = "sales"
