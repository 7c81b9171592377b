"""EU and UK fibre lines: Reg. (EU) 1007/2011 and UK SI 2012/1102, which keeps its scheme."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from patterns.core.words import say
from production.core.fibre.draft import Draft, show_parts
from production.core.fibre.label import Label, show
from production.core.fibre.names import fibre
from production.core.fibre.part import Part, weigh
from production.core.fibre.shares import (
    Component,
    Entry,
    components,
    printed,
    same_everywhere,
    shares_of,
)
from production.core.fibre.tolerance import EU_RULE, UK_RULE

EU_DATE: Final = "Reg. (EU) 1007/2011, original 2011 text, re-check"
UK_DATE: Final = "UK SI 2012/1102, from trading-standards guidance, re-check"

_ORNAMENT: Final = Fraction(7)
_SECTION: Final = Fraction(30)
_TOE_HEEL: Final = frozenset({"toe", "toes", "heel", "heels"})
_CUFF: Final = frozenset({"cuff", "cuffs", "top", "tops", "welt"})
_NEUTRAL: Final = frozenset(
    [
        "the",
        "of",
        "both",
        "at",
        "in",
        "inside",
        "rib",
        "ribbed",
        "turn",
        "flap",
        "cap",
        "tip",
        "edge",
        "hem",
        "band",
        "sock",
        "reinforcement",
    ]
)


def eu_label(draft: Draft) -> Label:
    """Compose the EU lines of a draft."""
    return _label(draft, EU_RULE, EU_DATE)


def uk_label(draft: Draft) -> Label:
    """Compose the UK lines of a draft; they are written like the EU's."""
    return _label(draft, UK_RULE, UK_DATE)


def _label(draft: Draft, act: str, rules_date: str) -> Label:
    if draft.notes.problems:
        return draft.notes.label([], act, {}, rules_date)
    if "base" in draft.exclude:
        draft.notes.cautions.append(say("The base may not be left out: it is counted."))
    body = _kept_sections(draft)
    extras = [*_elastic(draft), *_ornament(draft)]
    extras += _added(draft, [*body, *extras], act)
    lines = _lines(draft, body, extras)
    return draft.notes.label(lines, act, shares_of([*body, *extras]), rules_date)


def _is_at(part: Part, places: frozenset[str]) -> bool:
    """Return whether every word of the part's place is one of `places` or says nothing."""
    words = set(re.findall(r"[a-z]+", part.where.casefold())) - {"and", "or"}
    return bool(words & places) and words <= places | _NEUTRAL


def _kept_sections(draft: Draft) -> list[Part]:
    """Return base and sections, without small sections the maker asked to leave out."""
    if "section" not in draft.exclude:
        return draft.body
    whole, kept = weigh(draft.parts), draft.role("base")
    for place in components(draft.role("section"), [], ""):
        share = 100 * weigh(place.parts) / whole
        if share >= _SECTION or not draft.role("base"):
            kept.extend(place.parts)
            draft.notes.cautions.append(
                say(
                    "The {section} is {share} % of the whole: from 30 % on it must be stated "
                    "(Art. 11).",
                    section=place.place or say("section"),
                    share=show(share),
                )
            )
        else:
            draft.notes.steps.append(
                say(
                    "The {section} is {share} % of the whole, under 30 %: left out on request "
                    "(Art. 11).",
                    section=place.place or say("section"),
                    share=show(share),
                )
            )
    return kept


def _elastic(draft: Draft) -> list[Part]:
    """Return the elastic that counts: all but that of the cuff (Annex VII)."""
    counted: list[Part] = []
    for part in draft.role("elastic"):
        if _is_at(part, _CUFF):
            draft.notes.steps.append(
                say(
                    "Elastic yarn of the cuff does not count: {parts} (Annex VII).",
                    parts=show_parts([part]),
                )
            )
        elif "elastic" in draft.exclude:
            draft.notes.cautions.append(
                say(
                    "Left out on request: {parts}. Elastic outside the cuff may stay out only "
                    "where it sits at limited points (Annex VII).",
                    parts=show_parts([part]),
                )
            )
        else:
            counted.append(part)
    return counted


def _ornament(draft: Draft) -> list[Part]:
    """Return the ornament if it counts: over 7 % of the whole (Art. 10)."""
    ornament = draft.role("ornament")
    share = 100 * weigh(ornament) / weigh(draft.parts)
    if not ornament:
        return []
    if share <= _ORNAMENT:
        draft.notes.steps.append(
            say(
                "Ornament is {share} % of the whole, up to 7 % is left out (Art. 10).",
                share=show(share),
            )
        )
        return []
    draft.notes.steps.append(
        say("Ornament is {share} % of the whole and counts (Art. 10).", share=show(share))
    )
    if "ornament" in draft.exclude:
        draft.notes.cautions.append(
            say(
                "Ornament is {share} % of the whole: over 7 % it counts (Art. 10).",
                share=show(share),
            )
        )
    return ornament


def _added(draft: Draft, counted: Sequence[Part], act: str) -> list[Part]:
    """Return the added yarn that counts: all but that of toe and heel (Annex VII)."""
    elsewhere: list[Part] = []
    for part in draft.role("added"):
        if _is_at(part, _TOE_HEEL):
            words = " and ".join(fibre(name).eu for name in part.masses())
            draft.notes.steps.append(
                say(
                    "Reinforcement of toe and heel does not count: {parts} (Annex VII). You may "
                    "say apart from the label: {place} reinforced with {words}.",
                    parts=show_parts([part]),
                    place=part.where,
                    words=words,
                )
            )
        else:
            elsewhere.append(part)
    if elsewhere and "added" in draft.exclude:
        draft.weigh_omission(counted, elsewhere, act)
        return []
    return elsewhere


def _lines(draft: Draft, body: Sequence[Part], extras: Sequence[Part]) -> list[str]:
    places = components(body, extras, "main part")
    if len(places) < 2 or same_everywhere(places):
        return [_line(draft, Component("", (*body, *extras)))]
    if not all(place.place for place in places):
        draft.notes.problems.append(say("A section has no place: name it, as in foot (Art. 11)."))
        return []
    draft.notes.steps.append(say("Parts of different content are stated each (Art. 11)."))
    return [f"{place.place}: {_line(draft, place)}" for place in places]


def _line(draft: Draft, place: Component) -> str:
    shares: dict[str, Fraction] = {}
    ranks: dict[str, int] = {}
    for name, share in shares_of(place.parts).items():
        word = fibre(name).eu
        shares[word] = shares.get(word, Fraction(0)) + share
        ranks[word] = min(fibre(name).rank, ranks.get(word, 9))
    entries = [Entry(word, share, ranks[word]) for word, share in shares.items()]
    return ", ".join(f"{n}% {word}" for n, word in printed(entries, draft.notes, "Art. 9"))
