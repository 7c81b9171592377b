"""What the rules leave to the maker: kept with her reason, gathered for a label."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import Q

from patterns.core.words import say, say_list
from patterns.models import Pattern
from production.core.care import LABEL_BASES
from production.core.fibre import ROLES, Choices, canonical_fibre
from production.core.fibre.names import name_refusal
from production.core.fibre.unknown import STOCKS
from production.errors import ProductionError
from production.models import LabelChoice, Pair, RunYarn, Yarn
from production.services.acts import Who

KINDS = LabelChoice.Kind
LEFT_OUT = ("ornament", "elastic", "added", "section")


@dataclass(frozen=True, slots=True)
class MadeChoices:
    """The choices that hold for a pair, ready for the rules, and the rows with her reasons."""

    choices: Choices = field(default_factory=Choices)
    rows: tuple[LabelChoice, ...] = ()

    @property
    def care_place(self) -> str:
        """Ground for where the care words go; the sewn-in label unless she knows better."""
        found = [row.value for row in self.rows if row.kind == KINDS.CARE_PLACE]
        return found[-1] if found else "sewn_in"


@transaction.atomic
def make_choice(
    *,
    kind: str,
    value: str,
    reason: str,
    who: Who,
    pattern: Pattern | None = None,
    yarn: Yarn | None = None,
) -> LabelChoice:
    """Keep one choice for a pattern, a yarn, or a pattern in a yarn.

    Raises:
        ProductionError: If the reason or the value is missing or unknown, it is for nothing, or
            the same choice holds already.
    """
    if not reason.strip():
        msg = say("Write down why. The reason stands beside the label whoever asks.")
        raise ProductionError(msg, field="reason")
    if pattern is None and yarn is None:
        msg = say("Say for which pattern or yarn it holds.")
        raise ProductionError(msg)
    value = _checked(kind, value.strip())
    same = LabelChoice.objects.holding().filter(kind=kind, value=value, pattern=pattern, yarn=yarn)
    if same.exists():
        msg = say("That choice is made already. Drop it first to change its reason.")
        raise ProductionError(msg, field="kind")
    if kind in {KINDS.CARE_PLACE, KINDS.UNKNOWN}:
        LabelChoice.objects.holding().filter(kind=kind, pattern=pattern, yarn=yarn).update(
            dropped_at=who.at
        )
    return LabelChoice.objects.create(
        kind=kind, value=value, reason=reason.strip(), pattern=pattern, yarn=yarn, at=who.at,
        by=who.by,
    )  # fmt: skip


@transaction.atomic
def drop_choice(*, choice: LabelChoice, who: Who) -> None:
    """End a choice; labels made from now on go without it."""
    LabelChoice.objects.holding().filter(pk=choice.pk).update(dropped_at=who.at)


def label_choices_of(pairs: Sequence[Pair]) -> dict[int, MadeChoices]:
    """Return the choices that hold for each pair, by its key, in two questions."""
    yarns: dict[int, set[int]] = {pair.pk: {pair.lot.yarn_id} for pair in pairs}
    uses = RunYarn.objects.filter(run__socks__pair__in=list(yarns))
    for pair_id, yarn_id in uses.values_list("run__socks__pair_id", "lot__yarn_id"):
        yarns.setdefault(pair_id, set()).add(yarn_id)
    every = list(
        _rows({pair.pattern_id for pair in pairs}, {pk for each in yarns.values() for pk in each})
    )
    return {
        pair.pk: _gathered(every, pattern_id=pair.pattern_id, yarns=yarns[pair.pk])
        for pair in pairs
    }


def choices_for_parts(*, pattern_id: int, yarn_ids: Iterable[int]) -> MadeChoices:
    """Return the choices that hold for a pattern knitted of these yarns."""
    yarns = set(yarn_ids)
    return _gathered(list(_rows({pattern_id}, yarns)), pattern_id=pattern_id, yarns=yarns)


def _rows(patterns: set[int], yarns: set[int]) -> Iterable[LabelChoice]:
    return (
        LabelChoice.objects.holding()
        .filter(Q(pattern__in=patterns) | Q(yarn__in=yarns))
        .select_related("pattern__design", "yarn", "by")
        .order_by("at", "pk")
    )


def _gathered(every: list[LabelChoice], *, pattern_id: int, yarns: set[int]) -> MadeChoices:
    rows = tuple(
        row
        for row in every
        if row.pattern_id in {None, pattern_id} and (row.yarn_id is None or row.yarn_id in yarns)
    )
    values: dict[str, list[str]] = {}
    for row in rows:
        text = f"{row.value}, {row.reason}" if row.kind == KINDS.FUNCTIONAL else row.value
        values.setdefault(row.kind, []).append(text)
    choices = Choices(
        functional=tuple(values.get(KINDS.FUNCTIONAL, ())),
        exclude=tuple(values.get(KINDS.EXCLUDE, ())),
        by_section=KINDS.BY_SECTION in values,
        hair_as_wool=KINDS.HAIR_AS_WOOL in values,
        count_added=KINDS.COUNT_ADDED in values,
        unknown_stock=values.get(KINDS.UNKNOWN, [""])[-1],
    )
    return MadeChoices(choices, rows)


def _checked(kind: str, value: str) -> str:
    if kind == KINDS.FUNCTIONAL:
        try:
            return canonical_fibre(value)
        except ValueError as problem:
            raise ProductionError(name_refusal(value), field="value") from problem
    known: dict[str, Sequence[str]] = {
        KINDS.EXCLUDE: [role for role in ROLES if role in LEFT_OUT],
        KINDS.UNKNOWN: STOCKS,
        KINDS.CARE_PLACE: list(LABEL_BASES),
    }
    if kind not in known:
        if kind not in KINDS.values:
            msg = say("“{kind}” is no choice the rules leave open.", kind=kind)
            raise ProductionError(msg, field="kind")
        return ""
    if value not in known[kind]:
        msg = say(
            "“{value}” does not go with it; choose {items}.",
            value=value,
            items=say_list(list(known[kind])),
        )
        raise ProductionError(msg, field="value")
    return value


def care_place_text(made: MadeChoices) -> str:
    """Return where the care words go by her choice, in words with the section."""
    return LABEL_BASES[made.care_place]
