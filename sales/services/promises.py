"""Orders as the yarn shelf sees them: grams of a lot that wait to be knitted."""

from collections.abc import Sequence

from patterns.core.words import say
from production.services.promises import Promise
from sales.models import Order


class OrderPromises:
    """The orders that keep yarn back."""

    def of_lot(self, lot_id: int) -> Sequence[Promise]:
        """Return the orders that wait for yarn of a lot, the nearest promise first."""
        waiting = Order.objects.due().filter(lot=lot_id, run__isnull=True, pair__isnull=True)
        return [
            Promise(
                what=say(
                    "order {order}, promised for {day:long}", order=order.pk, day=order.promised_on
                ),
                grams=order.yarn_g,
                address=order.get_absolute_url(),
            )
            for order in waiting
        ]
