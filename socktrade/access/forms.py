"""Forms of the people page."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator

from sales.models import MarketDay


class HelperForm(forms.Form):
    """A name and a password for a helper."""

    name = forms.CharField(
        label="Sign-in name", max_length=150, validators=[UnicodeUsernameValidator()]
    )
    password = forms.CharField(
        label="A password for the start",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_name(self) -> str:
        """Refuse a name that is taken."""
        name = str(self.cleaned_data["name"])
        if User.objects.filter(username__iexact=name).exists():
            msg = f"“{name}” is taken. Choose another name."
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
        MarketDay.objects.upcoming().with_market(), label="Market day", empty_label=None
    )
    holder = forms.CharField(label="Who holds the phone", max_length=40)
