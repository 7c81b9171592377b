"""What a row card is made for."""

from django import forms

from patterns.forms.asking import AskForm

MOST_ON_PAPER = 20  # boxes that fit on one sheet
COUNTING = (
    ("pass", "counts every pass, there and back"),
    ("round", "counts one for there and back"),
    ("lifted", "is lifted and stands still"),
)
RESTARTS = (
    ("sock", "for each sock"),
    ("section", "for each section"),
    ("string", "once, for the whole string"),
)


class CardForm(AskForm):
    """How many socks, and how her machine counts; sent by GET."""

    socks = forms.IntegerField(
        label="Socks in the string",
        min_value=1,
        max_value=100,
        initial=2,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )
    string = forms.CharField(
        label="String number or name",
        required=False,
        max_length=20,
        help_text="Keeps your place apart from other strings of this pattern.",
    )
    counting = forms.ChoiceField(
        label="In heel and toe your row counter", choices=COUNTING, required=False
    )
    restarts = forms.ChoiceField(label="You set the counter to 0", choices=RESTARTS, required=False)
    note = forms.CharField(
        label="Your own note for heel and toe",
        required=False,
        max_length=120,
        help_text="Such as where the yarn carrier stands, or which half carries the toe.",
    )


class PaperForm(CardForm):
    """The same, as many socks as one sheet has boxes for."""

    socks = forms.IntegerField(
        label="Socks in the string",
        min_value=1,
        max_value=MOST_ON_PAPER,
        initial=2,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
        help_text=f"One sheet has boxes for {MOST_ON_PAPER}.",
    )
