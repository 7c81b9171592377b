"""When, in a season, the things that happen only now and then are due."""

from collections.abc import Iterator

# How often in a season of 1000 pairs; each happens once at least.
BENCH = {
    "back": 6, "note": 10, "scrap": 8, "split": 5, "undo_step": 4, "undo_string": 2,
    "weigh": 10, "swatch": 4, "waste": 4, "shelf_count": 4, "lost": 4, "found": 2,
}  # fmt: skip
STALL = {
    "unpack": 6, "return": 12, "exchange": 6, "paper": 8, "unknown": 4, "tin": 10, "slip": 6,
    "gap": 4, "words": 6, "box_home": 2,
}  # fmt: skip
FIRST_WEEK, LAST_WEEK = 8, 43
NORMAL_PAIRS = 1000


class Agenda:
    """What is due; what could not happen yet is due again the week after."""

    def __init__(self, rates: dict[str, int], pairs: int) -> None:
        self._weeks: dict[str, list[float]] = {}
        for place, (name, rate) in enumerate(rates.items()):
            times = max(1, round(rate * pairs / NORMAL_PAIRS))
            step = (LAST_WEEK - FIRST_WEEK) / times
            shift = place / len(rates) * step
            self._weeks[name] = [FIRST_WEEK + shift + step * nth for nth in range(times)]

    def due(self, week: int) -> Iterator[str]:
        """Yield what is due in a week, each once."""
        for name, weeks in self._weeks.items():
            if weeks and weeks[0] <= week:
                yield name

    def done(self, name: str) -> None:
        """Cross off what happened."""
        self._weeks[name].pop(0)
