"""The parts of a sock and of a string, by their names for reading."""

from patterns.core.words import Phrase, say, say_count

_TITLES = {
    "waste": say("waste"),
    "hem": say("hem"),
    "cuff": say("cuff"),
    "leg": say("leg"),
    "heel": say("heel"),
    "foot": say("foot"),
    "toe": say("toe"),
    "heel and toe": say("heel and toe"),
    "toe and heel": say("toe and heel"),
    "good rounds": say("good rounds"),
}


def section_title(name: str) -> str:
    """Return the word for a section, small as in a sentence; a name unknown here as it is."""
    return _TITLES.get(name, name)


def counted(part: str, rows: int) -> Phrase:
    """Return a part of a sock with its rows, or passes in heel and toe: "Leg: 57 rows".

    Raises:
        KeyError: If it is no part of a sock.
    """
    return {
        "hem": say_count("Hem: {count} row", "Hem: {count} rows", rows),
        "cuff": say_count("Cuff: {count} row", "Cuff: {count} rows", rows),
        "leg": say_count("Leg: {count} row", "Leg: {count} rows", rows),
        "heel": say_count("Heel: {count} pass", "Heel: {count} passes", rows),
        "foot": say_count("Foot: {count} row", "Foot: {count} rows", rows),
        "toe": say_count("Toe: {count} pass", "Toe: {count} passes", rows),
    }[part]
