"""From grams to whole percents: shares, order and rounding."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from patterns.core.words import say
from production.core.fibre.label import Notes, show
from production.core.fibre.part import Part, masses_of


@dataclass(frozen=True, slots=True)
class Entry:
    """One printed fibre word with its unrounded share.

    Attributes:
        word: As printed.
        share: Percent of what counts.
        rank: Place among equal shares, lowest first.
        pooled: Whether it is the "other fibers" entry, which closes the list.
    """

    word: str
    share: Fraction
    rank: int
    pooled: bool = False


@dataclass(frozen=True, slots=True)
class Component:
    """A place whose content is stated together, main part first in any list."""

    place: str
    parts: tuple[Part, ...]


def shares_of(parts: Sequence[Part]) -> dict[str, Fraction]:
    """Return the exact percent of each fibre, by our name; they total 100."""
    masses = masses_of(parts)
    total = sum(masses.values(), Fraction(0))
    return {name: 100 * grams / total for name, grams in masses.items()}


def in_order(entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries as listed: descending, equal shares by rank then A to Z, pooled last."""
    return sorted(entries, key=lambda entry: (entry.pooled, *_place(entry)))


def _place(entry: Entry) -> tuple[Fraction, int, str]:
    """Return the sort key of listing: larger share, then rank, then A to Z."""
    return -entry.share, entry.rank, entry.word


def whole_percents(entries: Sequence[Entry]) -> list[int]:
    """Return whole percents totalling 100, by largest remainder, none below 1.

    Ties of remainders go to the larger share, then to the one listed first. What small shares
    gain by printing as 1 is taken where the remainder is smallest: the order never rises.
    """
    wanted = [max(Fraction(1), entry.share) for entry in entries]
    counts = [math.floor(share) for share in wanted]
    neediest = sorted(
        range(len(entries)),
        key=lambda i: (counts[i] - wanted[i], *_place(entries[i])),
    )
    spare = 100 - sum(counts)
    for i in neediest[: max(spare, 0)]:
        counts[i] += 1
    while spare < 0:
        for i in reversed(neediest):
            if spare < 0 and counts[i] > 1:
                counts[i] -= 1
                spare += 1
    return counts


def printed(entries: Sequence[Entry], notes: Notes, rule: str) -> list[tuple[int, str]]:
    """Return (whole percent, word) in the order printed, with a caution for tiny shares.

    Args:
        entries: What is to be printed; the shares total 100.
        notes: Where reasons and cautions go.
        rule: Section that asks for percents by weight in that order.
    """
    ordered = in_order(entries)
    for entry in ordered:
        if entry.share < 1:
            notes.cautions.append(
                say(
                    "{word} is {share} % of what counts and prints as 1 %.",
                    word=entry.word,
                    share=show(entry.share),
                )
            )
    lines = list(zip(whole_percents(ordered), (e.word for e in ordered), strict=True))
    notes.steps.extend(
        say(
            "{word}: {share} % of what counts, printed as {whole} % ({rule}).",
            word=entry.word,
            share=show(entry.share),
            whole=whole,
            rule=rule,
        )
        for entry, (whole, _) in zip(ordered, lines, strict=True)
    )
    return lines


def components(body: Sequence[Part], extras: Sequence[Part], main: str) -> list[Component]:
    """Group counted parts by the place their content is stated for.

    Sections with the same place are one component. An extra belongs to the section it sits
    in, else to the main part.

    Args:
        body: Base and section parts.
        extras: Added, elastic and ornament parts that count.
        main: Name of the main part when the base has no place of its own.
    """
    sections: dict[str, list[Part]] = {}
    for part in body:
        if part.role == "section":
            sections.setdefault(part.where, []).append(part)
    base = [part for part in body if part.role == "base"]
    main_part = base or next(iter(sections.values()), base)
    for part in extras:
        sections.get(part.where, main_part).append(part)
    own = dict.fromkeys(part.where for part in body if part.role == "base" and part.where)
    found = [Component(" and ".join(own) or main, tuple(base))] if base else []
    return found + [Component(place, tuple(parts)) for place, parts in sections.items()]


def same_everywhere(places: Sequence[Component]) -> bool:
    """Return whether all components have one and the same content."""
    contents: list[Mapping[str, Fraction]] = [shares_of(place.parts) for place in places]
    return all(content == contents[0] for content in contents)
