"""Forms of care sets, of what the rules leave to the maker, and of yarn for a plan."""

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.models import PatternVersion
from production.core.care import CHOICES, LABEL_BASES, WARNINGS, CareSet
from production.core.fibre import fibre
from production.core.fibre.unknown import STOCKS
from production.models import Care, LabelChoice
from production.services.content import Content
from production.services.label_choices import LEFT_OUT
from socktrade.forms import ActForm

LABELS = {
    "wash": _("Wash"),
    "temperature": _("Water"),
    "cycle": _("Machine cycle"),
    "bleach": _("Bleach"),
    "dry": _("Dry"),
    "iron": _("Iron"),
    "dry_clean": _("Dry-cleaning"),
}
WORDS = {
    "machine": _("by machine"),
    "hand": _("by hand"),
    "any": _("any bleach does no harm"),
    "non_chlorine": _("only non-chlorine"),
    "none": _("none: it would do harm"),
    "line": _("on a line"),
    "flat": _("flat"),
    "unneeded": _("not needed, and no iron would do harm"),
    "hot": _("hot"),
    "warm": _("warm"),
    "cool": _("cool"),
    "cold": _("cold"),
    "normal": _("normal"),
    "gentle": _("gentle"),
    "tumble_high": _("tumble, high heat"),
    "tumble_medium": _("tumble, medium heat"),
    "tumble_low": _("tumble, low heat"),
    "tumble_no_heat": _("tumble, no heat"),
}
SPECIAL_WORDS = {
    ("wash", "none"): _("not at all: water would do harm"),
    ("dry_clean", "any"): _("with any solvent"),
    ("dry_clean", "petroleum"): _("with petroleum solvent only"),
    ("dry_clean", "unsaid"): _("say nothing of it (washing is enough)"),
}
OF_WATER = ("temperature", "cycle", "bleach", "dry")
SILENCE = _("Choose one: on a care label silence is a claim that the harshest way does no harm.")
LEAVE_OUT = {
    "ornament": say("Leave the ornament out where rules allow it"),
    "elastic": say("Leave the elastic out where rules allow it"),
    "added": say("Leave the added out where rules allow it"),
    "section": say("Leave the section out where rules allow it"),
}
NOBODY_KNOWS = {
    "waste materials": say("Its yarn is waste materials nobody can determine (US)"),
    "scraps": say("Its yarn is scraps nobody can determine (US)"),
    "odd lots": say("Its yarn is odd lots nobody can determine (US)"),
    "second-hand materials": say("Its yarn is second-hand materials nobody can determine (US)"),
}
KINDS = LabelChoice.Kind
FEW = 5


class TagWordsField(forms.MultipleChoiceField):
    """Choices in the words of a tag, which keep the language of the label rules."""

    words_in = "en"


class CareForm(ActForm):
    """A care set, question by question; none may be left open."""

    name = forms.CharField(label=_("Name of the set"), max_length=20)
    warnings = TagWordsField(
        label=_("Warnings"),
        required=False,
        choices=[(name, text) for name, (_, text) in WARNINGS.items()],
        widget=forms.CheckboxSelectMultiple,
    )
    own_words = forms.CharField(label=_("A sentence of your own"), max_length=120, required=False)
    basis = forms.CharField(
        label=_("What it rests on"),
        max_length=200,
        help_text=_("A ball band, a sock of it that you washed so, what the mill wrote."),
        error_messages={"required": _("A care label needs grounds before the first sale.")},
    )
    basis_on = forms.DateField(
        label=_("Day of that"),
        widget=forms.DateInput(attrs={"type": "date", "class": "short"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("That is no day of the calendar. Write it like 2026-06-04.")},
    )

    def __init__(self, *args: Any, now: dt.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = timezone.localdate(now)
        for name, values in CHOICES.items():
            self.fields[name] = forms.ChoiceField(
                label=LABELS[name],
                choices=[("", _("choose")), *((value, _word(name, value)) for value in values)],
                error_messages={"required": SILENCE},
            )
        unwashed = self.data.get("wash") == "none"
        for name in OF_WATER:  # what never sees water has no answer to them
            self.fields[name].required = not unwashed
        self.fields["dry_clean"].required = False
        self.order_fields(["key", "name", *CHOICES])

    def clean_basis_on(self) -> dt.date:
        """Refuse a day that no washed sample can have."""
        day: dt.date = self.cleaned_data["basis_on"]
        if not dt.date(2000, 1, 1) <= day <= self.today:
            msg = say("{day:long} cannot be right. Give a day from 2000 to today.", day=day)
            raise forms.ValidationError(msg)
        return day

    def clean(self) -> dict[str, Any]:
        """Put the set together; what does not go together is refused at its question."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not CHOICES.keys() & self.errors.keys():
            own = [cleaned["own_words"]] if cleaned.get("own_words") else []
            chosen = {name: cleaned[name] for name in CHOICES}
            chosen["dry_clean"] = chosen["dry_clean"] or "unsaid"
            try:
                self.care = CareSet(**chosen, warnings=(*cleaned.get("warnings", []), *own))
            except ValueError as problem:
                said = problem.args[0]
                at = next((n for n in CHOICES if said.startswith(f"{n} ")), None)
                self.add_error(at, str(said))
        return cleaned


def _word(name: str, value: str) -> str:
    return SPECIAL_WORDS.get((name, value)) or WORDS[value]


def care_facts(care: CareSet, row: Care | None = None) -> dict[str, Any]:
    """Return what the form of a care set shows first."""
    known = [text for text in care.warnings if text in WARNINGS]
    own = [text for text in care.warnings if text not in WARNINGS]
    shown: dict[str, Any] = {name: getattr(care, name) for name in CHOICES}
    shown |= {"warnings": known, "own_words": " ".join(own)}
    if row:
        shown |= {"name": row.name, "basis": row.basis, "basis_on": row.basis_on}
    return shown


class ChoiceForm(ActForm):
    """One thing the rules leave open, with her reason."""

    choice = forms.ChoiceField(label=_("Choice"))
    holds_for = forms.ChoiceField(label=_("It holds for"))
    reason = forms.CharField(
        label=_("Why"), max_length=200, help_text=_("Stands beside every label made with it.")
    )

    def __init__(self, *args: Any, content: Content, pattern: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["choice"].choices = _open_choices(content)  # type: ignore[attr-defined]
        yarns = dict.fromkeys(row.lot.yarn for row in content.rows)
        self.fields["holds_for"].choices = [  # type: ignore[attr-defined]
            ("pattern", say("{pattern}, in any yarn", pattern=pattern)),
            *((f"{yarn.pk}", say("{yarn}, in any pattern", yarn=yarn)) for yarn in yarns),
        ]

    def kind_and_value(self) -> tuple[str, str]:
        """Return kind and value of the choice."""
        kind, _, value = self.cleaned_data["choice"].partition(":")
        return kind, value


def _open_choices(content: Content) -> list[tuple[str, str]]:
    us = next((one.label for one in content.labels if one.rules == "us"), None)
    roles = {row.role for row in content.rows}
    found = [
        (
            f"{KINDS.FUNCTIONAL}:{name}",
            say(
                "Name {fibre} ({share:.1f} %) for its job", fibre=fibre(name).us, share=float(share)
            ),
        )
        for name, share in (us.shares if us else {}).items()
        if share < FEW and not fibre(name).under_wool_act
    ]
    found += [(f"{KINDS.EXCLUDE}:{role}", LEAVE_OUT[role]) for role in LEFT_OUT if role in roles]
    if "section" in roles:
        found.append((KINDS.BY_SECTION, say("State each section on a line of its own (US)")))
    if "added" in roles:
        found.append((KINDS.COUNT_ADDED, say("Count the added strand in the totals (US)")))
    if us and any(fibre(name).kind == "speciality" for name in us.shares):
        found.append((KINDS.HAIR_AS_WOOL, say("Call alpaca, mohair and their like wool (US)")))
    if not us or us.problems:
        found += [(f"{KINDS.UNKNOWN}:{stock}", NOBODY_KNOWS[stock]) for stock in STOCKS]
    places = [
        (f"{KINDS.CARE_PLACE}:{key}", say("Care: {where}", where=text))
        for key, text in LABEL_BASES.items()
    ]
    return [*((str(value), text) for value, text in found), *places]


class ReachForm(forms.Form):
    """What is about to be started."""

    version = forms.TypedChoiceField(label=_("Pattern"), coerce=int)
    pairs = forms.IntegerField(
        label=_("Pairs"),
        min_value=1,
        max_value=500,
        initial=1,
        widget=forms.NumberInput(attrs={"class": "short"}),
    )

    def __init__(self, *args: Any, versions: dict[int, PatternVersion], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["version"].choices = [  # type: ignore[attr-defined]
            (pk, str(version)) for pk, version in versions.items()
        ]
