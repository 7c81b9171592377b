"""Children's socks: cautions and the tracking line.

Texts are reminders, not a verdict on any rule: local law decides; ask the regulator's
small-business office or a qualified adviser. A child product is one meant mainly for age 12 or
younger (cpsc.gov).
"""

import math
from dataclasses import dataclass
from typing import Final, Literal

from patterns.core.words import say

Group = Literal["adult", "child", "baby"]

GROUPS: Final[tuple[Group, ...]] = ("adult", "child", "baby")

CHILD_BELOW_MM: Final = 208.0
"""Feet shorter than this [mm] are read as a child's: under US women's 4 (from memory)."""

ADULT_ABOVE_MM: Final = 242.7
"""Feet longer than this [mm] are past US youth 6, the last child size."""

BABY_UP_TO_MM: Final = 132.6
"""Feet up to this [mm], US child 6, are about 24 months and under (common practice)."""

_LOCAL_LAW: Final = say(
    "Children's products have extra rules on tracking marks, certificates and materials. Local "
    "law decides: ask the regulator's small-business office or a qualified adviser."
)
_LOOSE_THREADS: Final = "Turn inside out and check for loose threads before each use."


@dataclass(frozen=True, slots=True)
class SizeHint:
    """What a foot length says about who wears the sock.

    Attributes:
        group: `adult`, `child` or `baby`; the careful reading where sizes overlap.
        sure: Whether the length decides; if not, ask the maker.
        reason: Why.
    """

    group: Group
    sure: bool
    reason: str


def size_hint(foot_mm: float) -> SizeHint:
    """Read the group from the foot length.

    Args:
        foot_mm: Foot length the sock is made for [mm].

    Raises:
        ValueError: If the length is not between 50 and 400 mm.
    """
    if not 50 <= foot_mm <= 400:
        msg = f"foot_mm is {foot_mm}; a foot is 50 to 400 mm long."
        raise ValueError(msg)
    if foot_mm <= BABY_UP_TO_MM:
        return SizeHint("baby", sure=True, reason=say("Up to US child 6, about 24 months."))
    if foot_mm < CHILD_BELOW_MM:
        return SizeHint("child", sure=True, reason=say("Shorter than adult shoe sizes."))
    if foot_mm <= ADULT_ABOVE_MM:
        return SizeHint(
            "child",
            sure=False,
            reason=say("Youth and adult sizes overlap here: say who it is for."),
        )
    return SizeHint("adult", sure=True, reason=say("Longer than US youth 6."))


def is_child_size(
    *, foot_mm: float | None = None, age_years: float | None = None, group: str | None = None
) -> bool:
    """Return whether the sock is to be treated as a child's.

    What the maker says goes first, then the age, then the foot length; where youth and adult
    sizes overlap and nobody said, it is treated as a child's.

    Args:
        foot_mm: Foot length the sock is made for [mm].
        age_years: Age it is meant for [years].
        group: `adult`, `child` or `baby`, as the maker says.

    Raises:
        ValueError: If nothing is given, or what is given is out of range.
    """
    if group:
        if group not in GROUPS:
            msg = f"group is {group!r}; use one of {', '.join(GROUPS)}."
            raise ValueError(msg)
        return group != "adult"
    if age_years is not None:
        if not (math.isfinite(age_years) and age_years >= 0):
            msg = f"age_years is {age_years}; use 0 or more."
            raise ValueError(msg)
        return age_years < 13
    if foot_mm is None:
        msg = "group, age_years and foot_mm are all missing; give one of them."
        raise ValueError(msg)
    return size_hint(foot_mm).group != "adult"


def child_cautions(group: str) -> tuple[str, ...]:
    """Return what the maker is to read before tagging a sock for `group`.

    Raises:
        ValueError: If the group is not known.
    """
    if group not in GROUPS:
        msg = f"group is {group!r}; use one of {', '.join(GROUPS)}."
        raise ValueError(msg)
    if group == "adult":
        return ()
    cautions = (
        _LOCAL_LAW,
        say("No pompoms, bells, beads or loose buttons for children under 3: they can choke."),
        say("Do not sell them as bed or sleep socks: children's sleepwear has rules of its own."),
        say(
            "Brushed, terry or light fabric, prints, buttons and metal parts have rules of "
            "their own."
        ),
    )
    if group == "child":
        return cautions
    return (
        *cautions,
        say(
            "Threads inside can wrap a toe: no long floats, ends woven in and trimmed, socks "
            "turned out and looked over."
        ),
        say("State the size in months for 9 months and smaller."),
    )


def tag_lines(group: str) -> tuple[str, ...]:
    """Return the caution printed on the tag itself: for babies, the loose-thread line.

    Raises:
        ValueError: If the group is not known.
    """
    if group not in GROUPS:
        msg = f"group is {group!r}; use one of {', '.join(GROUPS)}."
        raise ValueError(msg)
    return (_LOOSE_THREADS,) if group == "baby" else ()


def tracking_line(*, maker: str, place: str, made: str, batch: str) -> str:
    """Return the tracking line of a children's sock: maker, place, date made, batch.

    Args:
        maker: Name the maker does business under.
        place: Town and state made in.
        made: Date made, as printed: `2026-05`.
        batch: Batch or string number.

    Raises:
        ValueError: If any is blank; the message names all that are.
    """
    given = {"maker": maker, "place": place, "made": made, "batch": batch}
    clean = {name: " ".join(text.split()) for name, text in given.items()}
    missing = [name for name, text in clean.items() if not text]
    if missing:
        msg = f"{', '.join(missing)} is blank ''; a children's tracking line needs all four."
        raise ValueError(msg)
    return f"{clean['maker']}, {clean['place']}. Made {clean['made']}. Batch {clean['batch']}."
