"""What the work costs, as ratios to floors measured in the same run: one module per subject.

A module offers `run(say)`, which prints its lines through `say`, and `TITLE`. Its name is
what `manage.py bench` is asked for.
"""

import importlib
import pkgutil
from collections.abc import Callable

Say = Callable[[str], None]


def subjects() -> list[str]:
    """Return the names of everything that can be measured."""
    return sorted(found.name for found in pkgutil.iter_modules(__path__))


def measure(subject: str, say: Say) -> None:
    """Measure one subject.

    Raises:
        ValueError: If there is no such subject.
    """
    if subject not in subjects():
        msg = f"subject is {subject!r}; use one of {', '.join(subjects())}."
        raise ValueError(msg)
    module = importlib.import_module(f"{__name__}.{subject}")
    say(module.TITLE)
    module.run(say)
