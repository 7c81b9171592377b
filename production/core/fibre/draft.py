"""A label in the making: the parts, the choices made and what has been noted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from patterns.core.words import say, say_list
from production.core.fibre.label import Notes
from production.core.fibre.names import canonical_fibre, fibre
from production.core.fibre.part import Part, masses_of
from production.core.fibre.shares import shares_of
from production.core.fibre.tolerance import judge


@dataclass(frozen=True, slots=True)
class Draft:
    """What a label is composed from.

    Attributes:
        parts: Every part of the pair.
        functional: Our name of each fibre ticked as functional, with the reason given.
        exclude: Roles the maker wants left out.
        by_section: Whether US sections get a line each.
        notes: Problems, cautions and steps so far.
    """

    parts: tuple[Part, ...]
    functional: dict[str, str]
    exclude: frozenset[str]
    by_section: bool
    notes: Notes = field(default_factory=Notes)

    @classmethod
    def of(
        cls,
        parts: Iterable[Part],
        *,
        functional: Sequence[str],
        exclude: Sequence[str],
        by_section: bool,
    ) -> "Draft":
        """Gather the choices, with a caution for each that names nothing present."""
        notes = Notes()
        parts = tuple(parts)
        roles = {part.role for part in parts}
        wanted = frozenset(role.strip().casefold() for role in _each(exclude))
        notes.cautions.extend(
            say(
                "exclude names {role!r}, but no part has that role; nothing was left out for it.",
                role=role,
            )
            for role in sorted(wanted - roles)
        )
        draft = cls(parts, {}, wanted & roles, by_section, notes)
        draft.tick_functional(functional)
        draft.look_at_contents()
        return draft

    def tick_functional(self, functional: Sequence[str]) -> None:
        """Note each fibre ticked as functional; one that is absent is only a caution."""
        present = masses_of(part for part in self.parts if part.known)
        for entry in _each(functional):
            name, _, reason = entry.partition(",")
            try:
                ours = canonical_fibre(name)
            except ValueError:
                ours = ""
            if ours in present:
                self.functional[ours] = reason.strip()
            else:
                self.notes.cautions.append(
                    say(
                        "functional names {value!r}, which is not in this sock.", value=name.strip()
                    )
                )

    def look_at_contents(self) -> None:
        """Note unknown yarn, a sock without a body, and yarn sold as bamboo."""
        if not all(part.known for part in self.parts):
            self.notes.problems.append(
                say(
                    "The content of a yarn is not known, so no label can be written: find its "
                    "ball band or ask the mill. 16 CFR 303.14 lets scraps and odd lots that truly "
                    "cannot be determined be called unknown fibers; word that label yourself."
                )
            )
            self.notes.cautions.append(
                say(
                    "Unknown-fiber wording (16 CFR 303.14) is only for scraps, odd lots, "
                    "second-hand or waste yarn; parts that are known still need their percents."
                )
            )
        if not self.body:
            self.notes.problems.append(say("There is no base yarn: weigh it and add it as a part."))
        if any(part.says_bamboo for part in self.parts):
            self.notes.cautions.append(
                say(
                    "Bamboo is not a fibre name for chemically made fibre: it is printed as rayon "
                    "or viscose. Keep the word bamboo off the rest of the tag unless you can "
                    "prove it."
                )
            )

    def calling_hair_wool(self) -> "Draft":
        """Return the draft with alpaca, mohair and their like called wool (300.18)."""
        self.notes.cautions.append(
            say(
                "Hair is called wool here, so its own name may not stand anywhere on the tag or "
                "in the product's name (300.18)."
            )
        )
        parts = tuple(
            replace(part, content=_as_wool(part)) if part.known else part for part in self.parts
        )
        return replace(self, parts=parts)

    @property
    def body(self) -> list[Part]:
        """The base and the sections."""
        return [part for part in self.parts if part.role in {"base", "section"}]

    def role(self, role: str) -> list[Part]:
        """Return the parts with that role."""
        return [part for part in self.parts if part.role == role]

    @property
    def has_wool(self) -> bool:
        """Whether any part, ornament too, holds wool as the Wool Act means it."""
        present = masses_of(part for part in self.parts if part.known)
        return any(fibre(name).under_wool_act for name in present)

    def weigh_omission(self, counted: Sequence[Part], left: Sequence[Part], act: str) -> None:
        """Say how far the lines drift from the sock when `left` is left out on request."""
        stated = shares_of(counted)
        actual = shares_of([*counted, *left])
        worst = max(
            (judge(stated.get(name, 0 * share), share, act) for name, share in actual.items()),
            key=lambda verdict: (verdict.level == "alarm", verdict.points),
        )
        what = say(
            "Left out on request: {parts}. {reason}", parts=show_parts(left), reason=worst.reason
        )
        if worst.level == "alarm":
            self.notes.problems.append(
                say("{what} State the added yarn instead of leaving it out.", what=what)
            )
        else:
            self.notes.cautions.append(
                say("{what} It is for you to show that this may stay unsaid.", what=what)
            )


def _as_wool(part: Part) -> dict[str, float]:
    content: dict[str, float] = {}
    for name, percent in part.content.items():
        ours = fibre(name).as_wool
        content[ours] = content.get(ours, 0) + percent
    return content


def _each(names: Sequence[str]) -> list[str]:
    """Return the names; one bare string is one name, not its letters."""
    return [names] if isinstance(names, str) else list(names)


def show_parts(parts: Sequence[Part]) -> str:
    """Return the fibres and grams of the parts, for a note."""
    masses = masses_of(parts)
    return say_list(
        [
            say("{fibre} {grams:mass1}", fibre=name, grams=float(grams))
            for name, grams in masses.items()
        ]
    )
