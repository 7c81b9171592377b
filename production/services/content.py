"""What is in a sock or a pair: yarns, lots, grams, and the fibre label under each rule set."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.db.models import Exists, OuterRef

from patterns.core.sections import section_title
from patterns.core.words import say, say_list
from production.core.fibre import Drift, Label, Part, drift, label_by_choice
from production.core.fibre.compose import RULES
from production.models import DyeLot, Pair, RunYarn, Sock, TagText
from production.services.label_choices import MadeChoices, choices_for_parts
from socktrade.models import LabelRules

EARLIER_LOOKED_AT = 20


@dataclass(frozen=True, slots=True)
class InIt:
    """One yarn of one lot in one role, with its grams in the sock or the pair [g]."""

    lot: DyeLot
    role: str
    place: str
    place_name: str
    grams: Fraction
    sections: str

    @property
    def shown_g(self) -> float:
        """Its grams, for the page [g]."""
        return float(self.grams)


@dataclass(frozen=True, slots=True)
class MarketLabel:
    """The fibre label under one rule set; `label` is None when a yarn stops it."""

    rules: str
    market: str
    ask: str
    label: Label | None


@dataclass(frozen=True, slots=True)
class Earlier:
    """The last tag printed for the pattern beside the sock as it is now."""

    tag: TagText
    lines: tuple[str, ...]
    drifts: tuple[Drift, ...] | None

    @property
    def worst(self) -> str:
        """`ok`, `warn`, `alarm`, or `unread` where no percent can be compared."""
        levels = {one.verdict.level for one in self.drifts or ()}
        if not levels:
            return "unread"
        return "alarm" if "alarm" in levels else "warn" if "warn" in levels else "ok"


@dataclass(frozen=True, slots=True)
class Content:
    """Everything a label of this sock or pair rests on."""

    rows: tuple[InIt, ...]
    problem: str
    labels: tuple[MarketLabel, ...]
    made: MadeChoices
    earlier: Earlier | None

    @property
    def grams(self) -> float:
        """All yarn in it [g]."""
        return float(sum((row.grams for row in self.rows), Fraction(0)))


def content_of(socks: Sequence[Sock], *, pattern_id: int) -> Content:
    """Return what is in these socks together and what the three rule sets make of it."""
    rows = yarns_in(socks)
    made = choices_for_parts(pattern_id=pattern_id, yarn_ids=[row.lot.yarn_id for row in rows])
    parts, problem = parts_of(rows)
    labels = tuple(
        MarketLabel(rules, market, RULES[rules].ask, label_by_choice(parts, rules, made.choices))
        if parts
        else MarketLabel(rules, market, RULES[rules].ask, None)
        for rules, market in LabelRules.choices
    )
    return Content(rows, problem, labels, made, _earlier(pattern_id, labels))


def yarns_in(socks: Sequence[Sock]) -> tuple[InIt, ...]:
    """Return each yarn, lot and role in these socks with the grams summed."""
    copies: dict[int, int] = {}
    for sock in socks:
        copies[sock.run_id] = copies.get(sock.run_id, 0) + 1
    uses = (
        RunYarn.objects.filter(run__in=copies)
        .select_related("lot__yarn", "run__version")
        .order_by("pk")
    )
    grams: dict[tuple[int, str, str], Fraction] = {}
    first: dict[tuple[int, str, str], RunYarn] = {}
    for use in uses:
        key = use.lot_id, use.role, use.place
        weight = Fraction(str(use.grams)) * copies[use.run_id]
        grams[key] = grams.get(key, Fraction(0)) + weight
        first.setdefault(key, use)
    return tuple(
        InIt(use.lot, use.role, use.place, use.place_name, grams[key], _sections(use))
        for key, use in first.items()
    )


def parts_of(rows: Sequence[InIt]) -> tuple[tuple[Part, ...], str]:
    """Return the yarns as the rules take them, lots of one yarn together, or what stops it."""
    grams: dict[tuple[int, str, str], Fraction] = {}
    yarns = {}
    for row in rows:
        place = "" if row.role == "base" else row.place
        key = (row.lot.yarn_id, row.role, place)
        grams[key] = grams.get(key, Fraction(0)) + row.grams
        yarns[row.lot.yarn_id] = row.lot.yarn
    parts = []
    for (yarn_id, role, place), weight in grams.items():
        try:
            parts.append(Part(yarns[yarn_id].content, weight, role=role, place=place))
        except ValueError as problem:
            return (), say("{yarn}: {problem}", yarn=yarns[yarn_id], problem=problem)
    return tuple(parts), "" if parts else say("The book does not know which yarn is in it.")


def _sections(use: RunYarn) -> str:
    if use.role != "base" or use.grams < use.run.version.grams:
        return ""
    known: list[dict[str, Any]] = [one for one in use.run.version.sections if "grams" in one]
    return say_list(
        [
            say("{part} {grams:mass1}", part=section_title(one["name"]), grams=float(one["grams"]))
            for one in known
        ]
    )


def _earlier(pattern_id: int, labels: Sequence[MarketLabel]) -> Earlier | None:
    """Compare with the newest tag of the pattern that still stands and has fibre lines."""
    if not TagText.objects.filter(pair__pattern=pattern_id).exists():
        return None
    # Asked so, the newest tags are walked until there are enough, and the rest is not read.
    alike = Pair.objects.filter(pk=OuterRef("pair"), pattern=pattern_id)
    tags = TagText.objects.filter(Exists(alike), act__undone_by__isnull=True)
    by_rules = {one.rules: one.label for one in labels}
    for tag in tags.select_related("pair", "act").order_by("-pk")[:EARLIER_LOOKED_AT]:
        lines = tuple(tag.text.get("fibre") or ())
        label = by_rules.get(tag.text.get("rules", ""))
        if lines and label is not None and label.lines:
            found = drift(lines, label)
            return Earlier(tag, lines, tuple(found) if found else None)
    return None
