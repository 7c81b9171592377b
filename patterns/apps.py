"""The patterns app."""

from django.apps import AppConfig


class PatternsConfig(AppConfig):
    """Registers patterns."""

    name = "patterns"
