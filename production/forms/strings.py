"""The 20-second form of a string."""

import datetime as dt
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import MassField
from patterns.models import PatternVersion
from production.models import DyeLot, StringRun
from production.services.acts import EARLIEST
from production.services.string_queries import lots_to_knit
from production.services.strings import MOST_SOCKS, Run
from production.services.yarn_queries import newest_versions
from socktrade.forms import ActForm, FigureField
from socktrade.questions import Question

EXTRA_ROWS = (2, 3, 4, 5, 6)
USUAL_FAULTS = (_("dropped stitch"), _("hole"), _("wrong count"), _("stain"))
LONGEST_FAULT = 120
NAMED_BY = ("number", "pattern", "pattern__size_name", "pattern__design", "pattern__design__name")
_FAULT = re.compile(r"#?([0-9]{1,3})(?:[ :=-]+(.*))?")


class LotField(forms.ModelChoiceField):
    """A dye lot with what is left of it in its name."""

    def label_from_instance(self, lot: DyeLot) -> str:
        """Return yarn, lot and grams on hand."""
        grams = getattr(lot, "grams", None)
        if grams is None:
            return str(lot)
        return say("{lot} ({grams:mass0})", lot=lot, grams=grams)


class StringForm(ActForm):
    """Pattern, lot, count, done; the rest is for strings that were not so simple."""

    version = forms.ModelChoiceField(
        label=_("Pattern"),
        queryset=PatternVersion.objects.none(),
        empty_label=_("Choose the pattern"),
    )
    lot = LotField(
        label=_("Dye lot"), queryset=DyeLot.objects.none(), empty_label=_("Choose the lot")
    )
    count = forms.IntegerField(
        label=_("Socks"),
        min_value=1,
        max_value=MOST_SOCKS,
        widget=forms.NumberInput(attrs={"class": "count", "inputmode": "numeric"}),
    )
    minutes = FigureField(
        label=_("Minutes at the machine"), required=False, min_value=0, max_value=2880
    )
    faults_text = forms.CharField(
        label=_("Faults"),
        required=False,
        max_length=2000,
        help_text=_(
            "Place in the string and what is wrong: 2 hole, 5 stain. These become seconds."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    turn_lot = LotField(
        label=_("Heel and toe of another lot"),
        queryset=DyeLot.objects.none(),
        required=False,
        empty_label=_("the same lot"),
    )
    strand_lot = LotField(
        label=_("Strand added at heel and toe"),
        queryset=DyeLot.objects.none(),
        required=False,
        empty_label=_("none"),
    )
    strand_g = MassField(
        label=_("Weight of it in one sock"),
        least=0.1,
        most=100,
        required=False,
        help_text=_("Such as 3 g."),
    )
    at = forms.DateTimeField(
        label=_("Knitted on"),
        required=False,
        help_text=_("Empty for now."),
        widget=forms.DateTimeInput(attrs={"type": "datetime-local", "class": "moment"}),
        error_messages={"invalid": _("That is no date and time. Write it like 2026-06-04 09:30.")},
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)
    goes_on = forms.BooleanField(
        label=_("It stays on the machine: more socks follow on this string"),
        required=False,
    )

    def __init__(
        self,
        *args: Any,
        now: dt.datetime,
        last: StringRun | None = None,
        asked: int | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.now = now
        for row in EXTRA_ROWS:
            self._add_row(row)
        lot = last.base_lot_id if last else None  # type: ignore[attr-defined]
        versions, lots = self._fill_choices(asked, last, lot)
        usual = last.version_id if last else _only(versions)
        self.initial.setdefault("version", asked if asked in versions else usual)
        self.initial.setdefault("lot", lot or _only(lots))
        self.initial.setdefault("count", last.count if last else 2)

    def extra_rows(self) -> Iterator[list[forms.BoundField]]:
        """Return the fields of further runs, row by row."""
        return (
            [self[f"{name}_{row}"] for name in ("version", "lot", "count")] for row in EXTRA_ROWS
        )

    @property
    def has_extras(self) -> bool:
        """Whether a further run was filled in, so that the fold stays open."""
        return any(field.value() or field.errors for row in self.extra_rows() for field in row)

    @property
    def has_more(self) -> bool:
        """Whether anything below the fold was filled in."""
        names = ("faults_text", "turn_lot", "strand_lot", "strand_g", "at", "note", "minutes")
        return any(self[name].value() or self[name].errors for name in names)

    def clean_at(self) -> dt.datetime | None:
        """Refuse a moment before any book, or one to come."""
        at: dt.datetime | None = self.cleaned_data["at"]
        if at is None:
            return None
        if not EARLIEST <= at <= self.now + dt.timedelta(hours=1):
            msg = say("{at:long} cannot be right. Give a moment from 2000 to now.", at=at)
            raise forms.ValidationError(msg)
        return at

    def clean(self) -> dict[str, Any]:
        """Read the runs and place the faults in them."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self._check_strand()
        for row in EXTRA_ROWS:
            self._check_row(row)
        if not self.errors:
            self._place_faults()
        return cleaned

    def runs(self) -> list[Run]:
        """Return what she knitted, as the service takes it."""
        return self._runs_with(self.faults)

    def _runs_with(self, faults: Mapping[int, str]) -> list[Run]:
        said = self.cleaned_data
        runs, first = [], 1
        for row in ("", *(f"_{number}" for number in EXTRA_ROWS)):
            if not (count := said.get(f"count{row}")):
                continue
            span = range(first, first + count)
            runs.append(
                Run(
                    version=said[f"version{row}"],
                    count=count,
                    lot=said[f"lot{row}"] or said["lot"],
                    turn_lot=said["turn_lot"],
                    strand_lot=said["strand_lot"],
                    strand_g=said["strand_g"] or 0.0,
                    faults={n - first + 1: text for n, text in faults.items() if n in span},
                )
            )
            first += count
        return runs

    def _place_faults(self) -> None:
        total = sum(run.count for run in self._runs_with({}))
        try:
            self.faults = read_faults(self.cleaned_data["faults_text"], count=total)
        except ValueError as problem:
            self.add_error("faults_text", str(problem))

    def _check_strand(self) -> None:
        lot, grams = self.cleaned_data.get("strand_lot"), self.cleaned_data.get("strand_g")
        if lot and not grams and "strand_g" not in self.errors:
            self.add_error("strand_g", say("How much of it is in one sock?"))
        if grams and not lot and "strand_lot" not in self.errors:
            self.add_error("strand_lot", say("Which lot is the strand of?"))

    def _check_row(self, row: int) -> None:
        version, count = (self.cleaned_data.get(f"{name}_{row}") for name in ("version", "count"))
        given = version or count or self.cleaned_data.get(f"lot_{row}")
        if given and not version and f"version_{row}" not in self.errors:
            self.add_error(f"version_{row}", say("Which pattern are these?"))
        if given and not count and f"count_{row}" not in self.errors:
            self.add_error(f"count_{row}", say("How many of these?"))

    def _add_row(self, row: int) -> None:
        self.fields[f"version_{row}"] = forms.ModelChoiceField(
            label=_("Then the pattern"),
            queryset=PatternVersion.objects.none(),
            required=False,
            empty_label=_("nothing more"),
        )
        self.fields[f"lot_{row}"] = LotField(
            label=_("Of lot"),
            queryset=DyeLot.objects.none(),
            required=False,
            empty_label=_("the same lot"),
        )
        self.fields[f"count_{row}"] = forms.IntegerField(
            label=_("Socks"),
            required=False,
            min_value=1,
            max_value=MOST_SOCKS,
            widget=forms.NumberInput(attrs={"class": "count", "inputmode": "numeric"}),
        )

    def _fill_choices(
        self, asked: int | None, last: StringRun | None, lot: int | None
    ) -> tuple[list[int], list[int]]:
        """Offer versions and lots, and return the keys of what is offered."""
        versions = _named(self.fields["version"], _versions(asked, last))
        lots = _named(self.fields["lot"], lots_to_knit(keep=[lot] if lot else []))
        known, every = [pk for pk, _ in versions], DyeLot.objects.with_yarn()
        for name, field in self.fields.items():
            if name.startswith("version"):
                field.queryset = PatternVersion.objects.filter(pk__in=known)
                field.choices = [("", field.empty_label or ""), *versions]
            elif isinstance(field, LotField):
                field.queryset = every
                field.choices = [("", field.empty_label or ""), *lots]
        return known, [pk for pk, _ in lots]


def read_faults(text: str, *, count: int) -> dict[int, str]:
    """Return fault by place from a text such as "2 hole, 5 stain".

    Raises:
        ValueError: If a part has no place or no fault, a place is not in the string, or
            stands there twice.
    """
    faults: dict[int, str] = {}
    for part in filter(None, (part.strip() for part in re.split(r"[,;\n]", text))):
        place, fault = _read_fault(part)
        if not 1 <= place <= count:
            msg = say(
                "There is no sock {place} among {count}. Count the places from 1.",
                place=place,
                count=count,
            )
            raise ValueError(msg)
        if place in faults:
            msg = say(
                "Sock {place} stands there twice; write its faults as one: {place} hole and stain.",
                place=place,
            )
            raise ValueError(msg)
        faults[place] = fault
    return faults


def _read_fault(part: str) -> tuple[int, str]:
    match = _FAULT.fullmatch(part)
    if match is None:
        msg = say("“{part:.40}” has no place in front. Write it like 2 hole, 5 stain.", part=part)
        raise ValueError(msg)
    fault = (match[2] or "").strip()
    if not fault:
        msg = say("What is wrong with sock {place}? Write it like {place} hole.", place=match[1])
        raise ValueError(msg)
    if len(fault) > LONGEST_FAULT:
        msg = say(
            "The fault of sock {place} is longer than {most} letters; shorten it.",
            place=match[1],
            most=LONGEST_FAULT,
        )
        raise ValueError(msg)
    return int(match[1]), fault


def _versions(asked: int | None, last: StringRun | None) -> Iterable[PatternVersion]:
    """Return the newest versions, and the older ones that were asked for or knit last."""
    rows = {version.pk: version for version in _newest()}
    wanted = {pk for pk in (asked, last and last.version_id) if pk}
    if older := wanted - set(rows):
        named = PatternVersion.objects.select_related("pattern__design").only(*NAMED_BY)
        rows |= named.in_bulk(older)
    return rows.values()


@cache
def _newest() -> Question[PatternVersion]:
    """Return the question for what names the newest version of every pattern, made once."""
    return Question(newest_versions().only(*NAMED_BY))


def _named(
    field: forms.ModelChoiceField, rows: Iterable[PatternVersion | DyeLot]
) -> list[tuple[Any, str]]:
    """Return rows as choices, each said once: a form offers them again for every part."""
    return [(row.pk, str(field.label_from_instance(row))) for row in rows]


def _only(choices: Sequence[int]) -> int | None:
    """Return the one choice there is in a young book, so that it need not be chosen."""
    return choices[0] if len(choices) == 1 else None
