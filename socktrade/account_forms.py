"""First-run and workshop forms."""

from typing import Any

from babel.numbers import list_currencies
from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.validators import MaxValueValidator
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from patterns.fields import LengthField, MassField
from production.core.places import STEPS
from socktrade.forms import FigureField
from socktrade.models import Language, Workshop

SHORT_HELP = {
    "identity": _(
        "The name you do business under, or your registered number. It goes on every tag."
    ),
    "country": _("As it should read on a tag, e.g. USA, Ireland, Canada."),
    "currency": _("Three letters, e.g. USD, EUR, GBP."),
    "label_rules": _(
        "Which rules the tags follow. Socktrade reads the rules as closely as it can, "
        "and is no legal advice."
    ),
    "mate_tolerance_rows": _(
        "The narrower of the two limits holds. Empty: only the length counts."
    ),
    "full_load_socks": _("A load is run when it is full, or in time to dry before a market day."),
    "old_after_days": _("Until eight jobs are finished; then your own times say it."),
}
LABELS = {
    "town": _("Town"),
    "length_unit": _("Length unit"),
    "mass_unit": _("Weight of yarn"),
    "yarn_unit": _("Length of yarn"),
    "language": _("Language"),
    "label_rules": _("Label rules"),
}

# Above these a figure is a slip of the hand: a week has 168 hours.
LARGEST = {
    "hours_per_week": 168,
    "mate_tolerance_rows": 30,
    "full_load_socks": 1000,
    "drying_days": 60,
    "old_after_days": 1000,
    "waste_rounds": 500,
}


class WorkshopForm(forms.ModelForm):
    """What the maker tells about her workshop."""

    skipped_steps = forms.MultipleChoiceField(
        label=_("Steps you do not do here"),
        required=False,
        choices=[(step.key, step.verb) for step in STEPS],
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Socks pass these by; the order of the others stays."),
    )

    mate_tolerance_mm = LengthField(
        label=_("Largest length difference inside a pair"), least=0, most=100
    )
    lot_reserve_g = MassField(label=_("Yarn of a lot kept back for mending"), least=0, most=5000)

    class Meta:
        model = Workshop
        fields = [
            "name", "town", "country", "identity", "length_unit", "mass_unit", "yarn_unit",
            "currency", "label_rules", "language", "tax_per_line",
            "hours_per_week", "skipped_steps", "full_load_socks", "drying_days", "old_after_days",
            "mate_tolerance_mm", "mate_tolerance_rows", "waste_rounds", "lot_reserve_g",
            "ask_share", "care_symbols", "us_women_scale", "us_youth_scale",
        ]  # fmt: skip
        help_texts = SHORT_HELP
        labels = LABELS
        field_classes = {"ask_share": FigureField}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("mate_tolerance_mm", "lot_reserve_g"):
            if name in self.fields:
                self.fields[name].measure_in(self.instance)
        if "language" in self.fields:
            self.fields["language"].choices = [("", _("as the browser asks")), *Language.choices]
        for name in LARGEST.keys() & self.fields.keys():
            self.fields[name].validators.append(MaxValueValidator(LARGEST[name]))
            self.fields[name].widget.attrs["max"] = LARGEST[name]

    def clean_currency(self) -> str:
        """Take any currency that has a code; tell what was typed otherwise."""
        code = str(self.cleaned_data["currency"]).strip().upper()
        if code not in list_currencies():
            msg = say(
                "“{code}” is no currency code. Write three letters, e.g. USD or EUR.", code=code
            )
            raise forms.ValidationError(msg)
        return code

    def clean_mate_tolerance_mm(self) -> int:
        """Keep whole millimetres."""
        return round(self.cleaned_data["mate_tolerance_mm"])

    def clean_lot_reserve_g(self) -> int:
        """Keep whole grams back."""
        return round(self.cleaned_data["lot_reserve_g"])

    def clean_ask_share(self) -> float:
        """Keep the share between nothing and everybody."""
        share = float(self.cleaned_data["ask_share"])
        if not 0 <= share <= 1:
            msg = say(
                "{share:g} is no share. Give a figure from 0 to 1; 0.5 means every second buyer.",
                share=share,
            )
            raise forms.ValidationError(msg)
        return share

    def clean_skipped_steps(self) -> list[str]:
        """Leave drying out with washing: nothing comes out of the wash wet then."""
        skipped: list[str] = self.cleaned_data["skipped_steps"]
        return [*skipped, "dry"] if "wash" in skipped and "dry" not in skipped else skipped


class StartForm(WorkshopForm):
    """The one short page of the first run: the owner, and the workshop's units and rules."""

    # Asked later, on the page of the workshop.
    skipped_steps = None
    mate_tolerance_mm = None
    lot_reserve_g = None

    username = forms.CharField(
        label=_("Your sign-in name"), max_length=150, validators=[UnicodeUsernameValidator()]
    )
    password = forms.CharField(
        label=_("A password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("At least 8 letters or figures, not one that is easy to guess."),
    )

    class Meta(WorkshopForm.Meta):
        fields = [
            "name", "town", "country", "identity", "length_unit", "currency", "label_rules",
        ]  # fmt: skip

    field_order = [
        "username", "password", "name", "town", "country", "identity", "length_unit",
        "currency", "label_rules",
    ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].widget.attrs["autocomplete"] = "username"

    def clean(self) -> dict[str, Any]:
        """Hold the password against the usual rules, with the name at hand."""
        cleaned = super().clean() or self.cleaned_data
        password = cleaned.get("password")
        if password:
            try:
                validate_password(password, User(username=cleaned.get("username", "")))
            except forms.ValidationError as weak:
                self.add_error("password", weak)
        return cleaned

    @transaction.atomic
    def open_book(self) -> User:
        """Make the owner and the workshop together."""
        self.instance.pk = 1
        self.save()
        return User.objects.create_user(
            username=self.cleaned_data["username"],
            password=self.cleaned_data["password"],
            is_superuser=True,
        )
