"""Children's socks: cautions and the tracking line.

Texts are reminders, not a verdict on any rule: local law decides; ask the regulator's
small-business office or a qualified adviser. A child product is one meant mainly for age 12 or
younger (cpsc.gov).
"""

from typing import Final

from patterns.core.words import say

GROUPS: Final = ("adult", "child", "baby")

_LOCAL_LAW: Final = say(
    "Children's products have extra rules on tracking marks, certificates and materials. Local "
    "law decides: ask the regulator's small-business office or a qualified adviser."
)
_LOOSE_THREADS: Final = "Turn inside out and check for loose threads before each use."


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
