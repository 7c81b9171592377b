"""What the work costs, as ratios to floors measured in the same run: one module per subject.

A module offers `run(say, asked)`, which prints its lines through `say`, and `TITLE`. Its name
is what `manage.py bench` is asked for. What misses its target is marked with a `!`.
"""

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Asked:
    """How to measure.

    Attributes:
        seasons: Ages of the books to measure in [seasons], the youngest first.
        folder: Where those books are kept from run to run; without one they go with the run.
        every: Whether to print every line, or only what stands out.
    """

    seasons: tuple[int, ...] = (1, 5, 20)
    folder: Path | None = None
    every: bool = True


def subjects() -> list[str]:
    """Return the names of everything that can be measured."""
    return sorted(found.name for found in pkgutil.iter_modules(__path__) if not found.ispkg)


def measure(subject: str, say: Say, asked: Asked | None = None) -> None:
    """Measure one subject.

    Raises:
        ValueError: If there is no such subject.
    """
    if subject not in subjects():
        msg = f"subject is {subject!r}; use one of {', '.join(subjects())}."
        raise ValueError(msg)
    module = importlib.import_module(f"{__name__}.{subject}")
    say(module.TITLE)
    module.run(say, asked or Asked())


def flag(missed: bool) -> str:  # noqa: FBT001 - reads as a sentence where it is used
    """Return the mark of what misses its target, and a space in its place elsewhere."""
    return "!" if missed else " "
