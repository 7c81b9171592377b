"""Horizontal bars as SVG text: what sold, what was asked for, what would have been wanted.

Geometry and classes only; colours and type belong to the style sheet. Lengths across are
shares of the width, so that the words keep their size on a phone and on paper.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, isfinite, log10

from sales.core.bounds import within

ROW_PX = 54
BAR_PX = 20
WORDS_PX = 16
AXIS_PX = 26
# Grid lines run beside the bars only, a little above and below, never through the words.
GRID_TOP_PX, GRID_PX = 20, 28
# Room at the right end, so that the last tick's figure is not cut off.
WIDEST = 0.97
STEPS = (1, 2, 5, 10)
MOST_TICKS = 5


@dataclass(frozen=True, slots=True)
class Bar:
    """One row of the chart.

    Attributes:
        label: Whose bar it is.
        value: Length of the solid bar [pairs], 0 or more.
        ghost: Length of the dashed bar behind its end [pairs], 0 or more.
        low: Low end of the whisker [pairs], 0 or more; None for no whisker.
        high: High end of the whisker [pairs], `low` or more.
        words: The figures of the row, written at its right end.
        guess: Whether the whisker rests on no record of this row.

    Raises:
        ValueError: If a length is negative, not finite or the whisker runs backwards.
    """

    label: str
    value: float
    ghost: float = 0.0
    low: float | None = None
    high: float | None = None
    words: str = ""
    guess: bool = False

    def __post_init__(self) -> None:
        """Refuse lengths that cannot be drawn."""
        for name in ("value", "ghost", "low", "high"):
            length = getattr(self, name)
            if length is not None:
                within(name, length, 0)
        if (self.low is None) != (self.high is None):
            msg = f"low={self.low!r}, high={self.high!r}: give both ends of a whisker or none."
            raise ValueError(msg)
        if self.low is not None and self.high is not None and self.low > self.high:
            msg = f"low={self.low!r} must be at most high={self.high!r}."
            raise ValueError(msg)

    @property
    def reach(self) -> float:
        """How far to the right the row goes [pairs]."""
        return max(self.value + self.ghost, self.high or 0.0)


def bar_chart(bars: Sequence[Bar], title: str) -> str:
    """Draw the bars from the top down, as one `<svg class="bars">` with a title.

    Args:
        bars: Rows in the order they are drawn.
        title: What the picture shows; read out instead of it.

    Raises:
        ValueError: If there is no bar.
    """
    if not bars:
        msg = "bars=[] must hold at least one row."
        raise ValueError(msg)
    ticks = axis_ticks(max(bar.reach for bar in bars))
    height = ROW_PX * len(bars) + AXIS_PX
    rows = "".join(_row(bar, number, ticks[-1]) for number, bar in enumerate(bars))
    return (
        f'<svg class="bars" role="img" width="100%" height="{height}" '
        f'xmlns="http://www.w3.org/2000/svg"><title>{escape(str(title))}</title>'
        f"{_grid(ticks, ROW_PX * len(bars))}{rows}</svg>"
    )


def axis_ticks(reach: float) -> list[int]:
    """Return round figures from 0 to the first one that covers `reach` [pairs].

    Args:
        reach: Longest row [pairs], 0 or more.

    Raises:
        ValueError: If `reach` is negative or not finite.
    """
    if not isfinite(within("reach", reach, 0)) or reach <= 1:
        return [0, 1]
    size = 10 ** floor(log10(reach / MOST_TICKS)) if reach > MOST_TICKS else 1
    step = next(size * s for s in STEPS if reach / (size * s) <= MOST_TICKS)
    return [step * i for i in range(ceil(reach / step) + 1)]


def _grid(ticks: Sequence[int], bottom: int) -> str:
    parts = []
    for tick in ticks:
        x = _across(tick, ticks[-1])
        anchor = ' text-anchor="middle"' if tick else ""
        parts.append(
            f'<line class="grid" x1="{x}" x2="{x}" y1="{GRID_TOP_PX}" y2="{bottom}" '
            f'stroke-dasharray="{GRID_PX} {ROW_PX - GRID_PX}"/>'
            f'<text class="tick-figure" x="{x}" y="{bottom + 18}"{anchor}>{tick}</text>'
        )
    return "".join(parts)


def _row(bar: Bar, number: int, most: float) -> str:
    top = number * ROW_PX
    y = top + WORDS_PX + 8
    parts = [
        f'<text class="bar-label" x="0" y="{top + WORDS_PX}">{escape(str(bar.label))}</text>',
        f'<text class="bar-words" x="100%" y="{top + WORDS_PX}" '
        f'text-anchor="end">{escape(str(bar.words))}</text>',
    ]
    if bar.value:
        parts.append(_rect("bar", 0, bar.value, y, most))
    if bar.ghost:
        parts.append(_rect("bar-ghost", bar.value, bar.ghost, y, most))
    if bar.low is not None and bar.high is not None:
        parts.append(_whisker(bar.low, bar.high, y, most, guess=bar.guess))
    return f"<g>{''.join(parts)}</g>"


def _rect(kind: str, start: float, length: float, y: float, most: float) -> str:
    return (
        f'<rect class="{kind}" x="{_across(start, most)}" y="{y}" '
        f'width="{_across(length, most)}" height="{BAR_PX}"/>'
    )


def _whisker(low: float, high: float, y: float, most: float, *, guess: bool) -> str:
    left, right, middle = _across(low, most), _across(high, most), y + BAR_PX / 2
    kind = "whisker is-guess" if guess else "whisker"
    lines = [(left, right, middle, middle)]
    lines += [(x, x, y + 4, y + BAR_PX - 4) for x in (left, right)]
    # Drawn twice: the pale line below keeps the dark one legible on the dark bar.
    return "".join(
        f'<line class="{name}" x1="{x1}" x2="{x2}" y1="{y1:g}" y2="{y2:g}"/>'
        for name in ("whisker-edge", kind)
        for x1, x2, y1, y2 in lines
    )


def _across(pairs: float, most: float) -> str:
    return f"{pairs / most * WIDEST * 100:.2f}%"
