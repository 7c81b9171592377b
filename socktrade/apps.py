"""The socktrade app."""

from django.apps import AppConfig


class SocktradeConfig(AppConfig):
    """Registers socktrade."""

    name = "socktrade"
