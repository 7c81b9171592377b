"""US fibre lines: 16 CFR 303 (no wool) and 16 CFR 300 (any wool at all)."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from patterns.core.words import say
from production.core.fibre.draft import Draft
from production.core.fibre.label import Label, show
from production.core.fibre.names import fibre
from production.core.fibre.part import Part, weigh
from production.core.fibre.shares import Component, Entry, components, printed, shares_of
from production.core.fibre.tolerance import TEXTILE_ACT, WOOL_ACT

RULES_DATE: Final = "16 CFR, 2015 annual edition, re-check"
_NAMED_FROM: Final = 5
_MINOR: Final = Fraction(10)
_ORNAMENT: Final = Fraction(5)


@dataclass(frozen=True, slots=True)
class _Counted:
    """Where each role went: into the totals, into exceptions, or behind a phrase."""

    extras: list[Part]
    exceptions: list[Part]
    phrases: list[str]


def us_label(draft: Draft) -> Label:
    """Compose the US lines of a draft."""
    act = WOOL_ACT if draft.has_wool else TEXTILE_ACT
    if draft.notes.problems:
        return draft.notes.label([], act, {}, RULES_DATE)
    draft.notes.steps.append(
        say("Wool is present, so 16 CFR 300 rules (15 U.S.C. 68).")
        if act == WOOL_ACT
        else say("No wool is present, so 16 CFR 303 rules (303.2(c)).")
    )
    counted = _sort_roles(draft, act)
    lines = _lines(draft, counted, act)
    shares = shares_of([*draft.body, *counted.extras])
    return draft.notes.label(lines, act, shares, RULES_DATE)


def _sort_roles(draft: Draft, act: str) -> _Counted:
    counted = _Counted([], [], [])
    _place_elastic(draft, counted, act)
    _place_ornament(draft, counted, act)
    _place_added(draft, counted, act)
    for role in sorted(draft.exclude & {"base", "section"}):
        draft.notes.cautions.append(
            say("The US rules do not let a {role} be left out: it is counted.", role=role)
        )
    return counted


def _place_elastic(draft: Draft, counted: _Counted, act: str) -> None:
    elastic = draft.role("elastic")
    if "elastic" not in draft.exclude:
        counted.extras.extend(elastic)
        return
    counted.phrases.append("Exclusive of Elastic")
    draft.notes.steps.append(
        say("Elastic, {grams:mass1}, left out on request (303.12).", grams=show(weigh(elastic)))
    )
    draft.notes.cautions.append(
        say(
            "Elastic may be left out as trim, or in the fabric up to 20 % of the surface "
            "(303.12): only you can see whether that holds."
        )
    )
    if act == WOOL_ACT:
        draft.notes.cautions.append(
            say(
                "The wool rules read here have no phrase of their own for elastic; trim is in "
                "300.23."
            )
        )


def _place_ornament(draft: Draft, counted: _Counted, act: str) -> None:
    ornament = draft.role("ornament")
    if not ornament:
        return
    share = 100 * weigh(ornament) / weigh(draft.parts)
    rule = "300.16" if act == WOOL_ACT else "303.26"
    if "ornament" in draft.exclude and share <= _ORNAMENT:
        counted.phrases.append("Exclusive of Ornamentation")
        draft.notes.steps.append(
            say(
                "Ornament is {share} % of all fibre, up to 5 % may be left out ({rule}).",
                share=show(share),
                rule=rule,
            )
        )
        return
    counted.extras.extend(ornament)
    draft.notes.steps.append(
        say(
            "Ornament is {share} % of all fibre and is counted ({rule}).",
            share=show(share),
            rule=rule,
        )
    )
    if "ornament" in draft.exclude:
        draft.notes.cautions.append(
            say(
                "Ornament is {share} % of all fibre: over 5 % it may not be left out ({rule}), so "
                "it is counted.",
                share=show(share),
                rule=rule,
            )
        )


def _place_added(draft: Draft, counted: _Counted, act: str) -> None:
    added = _merged(draft.role("added"))
    rule = "300.27" if act == WOOL_ACT else "303.23"
    if "added" in draft.exclude:
        draft.weigh_omission([*draft.body, *counted.extras], added, act)
        return
    for part in added:
        share = 100 * part.weight / weigh(draft.body)
        if share <= _MINOR:
            counted.exceptions.append(part)
            continue
        counted.extras.append(part)
        draft.notes.cautions.append(
            say(
                "The added yarn is {share} % of the base: over 10 % it is no minor proportion "
                "({rule}), so it is counted in the totals.",
                share=show(share),
                rule=rule,
            )
        )
    _look_at_exceptions(draft, counted, rule)


def _look_at_exceptions(draft: Draft, counted: _Counted, rule: str) -> None:
    together = 100 * weigh(counted.exceptions) / weigh(draft.body)
    if together > _MINOR:
        draft.notes.cautions.append(
            say(
                "The added yarns come to {together} % of the base together; the rule ({rule}) "
                "speaks of a minor proportion.",
                together=show(together),
                rule=rule,
            )
        )
    base = shares_of([*draft.body, *counted.extras])
    for part in counted.exceptions:
        if not part.where:
            draft.notes.problems.append(
                say(
                    "Added yarn has no place: say where it runs, as in toe and heel ({rule}).",
                    rule=rule,
                )
            )
        for name in sorted(set(part.masses()) & set(base)):
            draft.notes.cautions.append(
                say(
                    "The rule ({rule}) speaks of an additional fibre, and {fibre} is already in "
                    "the base. To count it in the totals, make the part a section.",
                    rule=rule,
                    fibre=fibre(name).us,
                )
            )


def _merged(added: Sequence[Part]) -> list[Part]:
    """Return one part for all strands of the same yarn in the same place, heaviest first."""
    grams: dict[tuple[object, str], Fraction] = {}
    first: dict[tuple[object, str], Part] = {}
    for part in added:
        key = (frozenset(shares_of([part]).items()), part.where)
        first.setdefault(key, part)
        grams[key] = grams.get(key, Fraction(0)) + part.weight
    merged = [replace(first[key], grams=weight) for key, weight in grams.items()]
    return sorted(merged, key=lambda part: -part.weight)


def _lines(draft: Draft, counted: _Counted, act: str) -> list[str]:
    if draft.notes.problems and counted.exceptions:
        return []
    body, exceptions = _body_lines(draft, counted, act), _exceptions(draft, counted)
    if exceptions and len(body) == 1 and body[0].startswith("100% "):
        word = body[0].removeprefix("100% ")
        body = [f"All {word} except {exceptions.pop(0)}"]
    return [*body, *(f"Except {line}" for line in exceptions), *counted.phrases]


def _body_lines(draft: Draft, counted: _Counted, act: str) -> list[str]:
    places = components(draft.body, counted.extras, "main part")
    if not draft.by_section or len(places) < 2:
        everything = Component("", (*draft.body, *counted.extras))
        return [f"{n}% {word}" for n, word in _printed(draft, everything, act)]
    lines = []
    for place in places:
        if not place.place:
            draft.notes.problems.append(
                say("A section has no place: name it, as in foot (303.25).")
            )
            return []
        content = ", ".join(f"{n}% {word}" for n, word in _printed(draft, place, act))
        lines.append(f"{place.place[0].upper()}{place.place[1:]}: {content}")
    return lines


def _exceptions(draft: Draft, counted: _Counted) -> list[str]:
    """Return `N% Y added to PLACE` for each added fibre, largest first."""
    base = weigh(draft.body)
    found: list[tuple[Fraction, str]] = []
    for part in counted.exceptions:
        for name, grams in part.masses().items():
            share, word = 100 * grams / base, fibre(name).us
            whole = max(1, int(share + Fraction(1, 2)))
            found.append((share, f"{whole}% {word} added to {part.where}"))
            draft.notes.steps.append(
                say(
                    "{word} added to {place}: {grams:mass1} over {base:mass1} of base is {share} % "
                    "(303.23, 300.27).",
                    word=word,
                    place=part.where,
                    grams=show(grams),
                    base=show(base),
                    share=show(share),
                )
            )
            if share < 1:
                draft.notes.cautions.append(
                    say(
                        "{word} added to {place} is {share} % and prints as 1 %.",
                        word=word,
                        place=part.where,
                        share=show(share),
                    )
                )
    return [line for _, line in sorted(found, key=lambda item: -item[0])]


def _printed(draft: Draft, place: Component, act: str) -> list[tuple[int, str]]:
    shares = shares_of(place.parts)
    named = {name for name, share in shares.items() if _may_name(draft, name, share, act)}
    entries = [Entry(fibre(n).us, shares[n], fibre(n).rank) for n in named]
    pooled = sorted(set(shares) - named)
    if pooled:
        word = "Other Fiber" if len(pooled) == 1 else "Other Fibers"
        total = sum((shares[name] for name in pooled), Fraction(0))
        entries.append(Entry(word, total, 9, pooled=True))
        _note_pooled(draft, pooled, act)
    return printed(entries, draft.notes, "300.3(a)" if act == WOOL_ACT else "303.16(a)")


def _may_name(draft: Draft, name: str, share: Fraction, act: str) -> bool:
    if share >= _NAMED_FROM:
        return True
    if act == WOOL_ACT and fibre(name).under_wool_act:
        draft.notes.steps.append(
            say(
                "{fibre}: {share} %, wool always gets its percent (15 U.S.C. 68b).",
                fibre=fibre(name).us,
                share=show(share),
            )
        )
        return True
    if name not in draft.functional:
        return False
    if fibre(name).kind == "fur":
        draft.notes.cautions.append(
            say(
                "{fibre} may be named from 5 % only, functional or not (303.6(b), 300.8(g)).",
                fibre=fibre(name).us,
            )
        )
        return False
    reason = draft.functional[name] or "ticked by the maker"
    draft.notes.steps.append(
        say(
            "{fibre}: {share} %, named for its function ({reason}; 303.3, 300.3(b)).",
            fibre=fibre(name).us,
            share=show(share),
            reason=reason,
        )
    )
    return True


def _note_pooled(draft: Draft, pooled: Sequence[str], act: str) -> None:
    rule = "15 U.S.C. 68b(a)(2)(A)" if act == WOOL_ACT else "303.3"
    draft.notes.steps.append(
        say("Under 5 %, so not named: {fibres} ({rule}).", fibres=", ".join(pooled), rule=rule)
    )
    if act == WOOL_ACT:
        draft.notes.cautions.append(
            say(
                "Not named for being under 5 %: {fibres}. Keep the name off the rest of the tag "
                "and out of the product's name (300.3(b)).",
                fibres=", ".join(pooled),
            )
        )
