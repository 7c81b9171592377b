"""Forms of the people page."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.utils.translation import gettext_lazy as _

from patterns.core.words import say
from sales.models import MarketDay


class HelperForm(forms.Form):
    """A name and a password for a helper."""

    name = forms.CharField(
        label=_("Sign-in name"), max_length=150, validators=[UnicodeUsernameValidator()]
    )
    password = forms.CharField(
        label=_("A password for the start"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_name(self) -> str:
        """Refuse a name that is taken."""
        name = str(self.cleaned_data["name"])
        if User.objects.filter(username__iexact=name).exists():
            msg = say("“{name}” is taken. Choose another name.", name=name)
            raise forms.ValidationError(msg)
        return name

    def clean(self) -> dict[str, Any]:
        """Hold the password against the usual rules."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("password"):
            try:
                validate_password(cleaned["password"], User(username=cleaned.get("name", "")))
            except forms.ValidationError as weak:
                self.add_error("password", weak)
        return cleaned


class PassForm(forms.Form):
    """A market day and who holds the phone there."""

    day = forms.ModelChoiceField(
        MarketDay.objects.upcoming().with_market(), label=_("Market day"), empty_label=None
    )
    holder = forms.CharField(label=_("Who holds the phone"), max_length=40)
