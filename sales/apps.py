"""The sales app."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Registers sales."""

    name = "sales"

    def ready(self) -> None:
        """Let the yarn shelf see what orders keep back."""
        from production.services.promises import hand_in
        from sales.services.promises import OrderPromises

        hand_in(OrderPromises())
