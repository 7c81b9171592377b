"""What stands on a receipt."""

from sales.models import Sale, SaleLine


def receipt_lines(sale: Sale) -> list[SaleLine]:
    """Return the lines of a purchase as the buyer saw them, in order."""
    lines = sale.lines.select_related("pair", "pattern__design").prefetch_related("returns")
    return list(lines.order_by("pk"))
