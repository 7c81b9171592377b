"""The production app."""

from django.apps import AppConfig


class ProductionConfig(AppConfig):
    """Registers production."""

    name = "production"
