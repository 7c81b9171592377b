"""The socktrade app."""

from django.apps import AppConfig


class SocktradeConfig(AppConfig):
    """Registers socktrade."""

    name = "socktrade"

    def ready(self) -> None:
        """Let every phrase be said in the language of the page it stands on."""
        from patterns.core.words import speak_with
        from socktrade.language import speak

        speak_with(speak)
