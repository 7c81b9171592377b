"""What stands on the slip of a string and on the cards of the shelf."""

from dataclasses import dataclass

import segno

from patterns.core.rowcard import Step
from patterns.models import Pattern, PatternVersion
from patterns.services.cards import Habits, habits_of, steps_of
from production.models import Price, Sock, String, StringRun
from production.services.pairs import current_prices
from socktrade.models import Workshop


@dataclass(frozen=True, slots=True)
class RunSlip:
    """Neighbouring socks that are alike, and how one of them is knitted."""

    run: StringRun
    version: PatternVersion
    socks: tuple[Sock, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Slip:
    """Everything on the slip that travels with a string."""

    string: String
    runs: tuple[RunSlip, ...]


@dataclass(frozen=True, slots=True)
class ShelfCard:
    """One design with its prices, smallest size first."""

    design: str
    rows: tuple[tuple[Pattern, Price], ...]


def string_slip(number: int) -> Slip | None:
    """Return the slip of a string, or None if there is no such string."""
    string = String.objects.select_related("act").filter(number=number).first()
    if string is None:
        return None
    runs = (
        string.runs.select_related("version__pattern__design", "version__swatch")
        .prefetch_related("yarns__lot__yarn", "socks")
        .order_by("first_position")
    )
    habits = habits_of(Workshop.current())
    return Slip(string, tuple(_run_slip(run, habits) for run in runs))


def shelf_cards() -> list[ShelfCard]:
    """Return a card for each design that has a price."""
    patterns = Pattern.objects.filter(prices__isnull=False).distinct().select_related("design")
    ordered = list(patterns.order_by("design__name", "foot_length_mm", "pk"))
    prices = current_prices(pattern.pk for pattern in ordered)
    cards: dict[str, list[tuple[Pattern, Price]]] = {}
    for pattern in ordered:
        cards.setdefault(pattern.design.name, []).append((pattern, prices[pattern.pk]))
    return [ShelfCard(design, tuple(rows)) for design, rows in cards.items()]


def code(site: str, thing: String) -> str:
    """Return a QR code that leads to the page of a thing, as the address of a picture."""
    address = f"{site.rstrip('/')}{thing.get_absolute_url()}"
    made = segno.make(address, error="q", micro=False, boost_error=False)
    return str(made.png_data_uri(scale=1, border=4))


def _run_slip(run: StringRun, habits: Habits) -> RunSlip:
    version = run.version
    steps = steps_of(version, socks=1, habits=habits)
    socks = tuple(sorted(run.socks.all(), key=lambda sock: sock.position))
    return RunSlip(run, version, socks, steps)
