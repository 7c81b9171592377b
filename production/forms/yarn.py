"""Forms of yarns, their lots and the scale."""

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from patterns.core.refusal import RefusedError
from patterns.core.words import say
from patterns.core.yarncount import tex_of
from production.core.fibre import scaled_to_100
from production.core.fibre.names import (
    UNKNOWN,
    canonical_fibre,
    is_bamboo,
    means_unknown,
    name_refusal,
)
from production.forms.scale import GramsField, WeightsField
from production.models import DyeLot, PriceUnit, Yarn
from production.models.yarn import SpunIn
from production.services.care import care_names, follow_care
from production.services.yarn import TENTH, NewLot
from socktrade.forms import ActForm, MoneyField, RateField

FIBRE_ROWS = (1, 2, 3, 4, 5)
FIRST_DAY = dt.date(2000, 1, 1)
CENT = Decimal("0.01")


class LotFacts(ActForm):
    """A dye lot: its number, its empty package, the day it was bought."""

    code = forms.CharField(
        label=_("Dye lot"),
        max_length=40,
        help_text=_("The number on the band, or a word of your own."),
    )
    bought_on = forms.DateField(
        label=_("Bought on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date", "class": "short"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("That is no day of the calendar. Write it like 2026-06-04.")},
    )
    tare_g = GramsField(
        label=_("One empty cone or core"),
        required=False,
        help_text=_("Weigh one that is empty. 0 for a skein."),
    )
    tare_most_g = GramsField(
        label=_("Up to, if that is a guess"),
        required=False,
        help_text=_(
            "A guess shows every weight as a range: cardboard cones weigh about 20 to 60 g. "
            "Empty when you weighed it."
        ),
    )

    def __init__(self, *args: Any, now: dt.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = timezone.localdate(now)

    def clean_bought_on(self) -> dt.date | None:
        """Refuse a day that no ball of yarn in the house can have."""
        day: dt.date | None = self.cleaned_data["bought_on"]
        if day is not None and not FIRST_DAY <= day <= self.today:
            msg = say("{day:long} cannot be right. Give a day from 2000 to today.", day=day)
            raise forms.ValidationError(msg)
        return day

    def clean(self) -> dict[str, Any]:
        """Read two empty weights as the ends of a guess."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        least, most = cleaned.get("tare_g") or Decimal(0), cleaned.get("tare_most_g")
        if most is not None and most < least:
            self.add_error(
                "tare_most_g",
                say(
                    "{most:mass} is less than {least:mass}. Give the larger one.",
                    most=most,
                    least=least,
                ),
            )
        return cleaned

    def new_lot(self) -> NewLot:
        """Return the lot as the service takes it; a guess stands in its middle."""
        said = self.cleaned_data
        least = said["tare_g"] or Decimal(0)
        most = least if said["tare_most_g"] is None else said["tare_most_g"]
        return NewLot(
            code=said["code"],
            tare_g=((least + most) / 2).quantize(TENTH),
            tare_spread_g=((most - least) / 2).quantize(TENTH),
            gross_g=said.get("gross_g"),
            packages=said.get("packages") or 0,
            weights_g=said.get("weights_g") or (),
            bought_on=said["bought_on"],
        )


class LotForm(LotFacts):
    """A dye lot that comes in, with what the scale showed if it was weighed."""

    gross_g = GramsField(
        label=_("All of it on the scale"),
        required=False,
        help_text=_("With cones or cores. Leave empty to weigh it later."),
    )
    packages = forms.IntegerField(
        label=_("How many cones, balls or skeins"),
        required=False,
        min_value=1,
        max_value=1000,
        help_text=_("That lay on the scale together."),
        widget=forms.NumberInput(attrs={"class": "short"}),
    )
    weights_g = WeightsField()

    def clean(self) -> dict[str, Any]:
        """Ask for the other weights when one was given."""
        cleaned = super().clean()
        gross, packages = cleaned.get("gross_g"), cleaned.get("packages")
        if cleaned.get("weights_g"):
            if gross is not None or packages:
                self.add_error(
                    "weights_g", say("Give all of it together or each by itself, not both.")
                )
            gross = packages = None
        if gross is None and packages and "gross_g" not in self.errors:
            self.add_error("gross_g", say("What did the scale show? Or leave both empty."))
        if gross is not None and not packages and "packages" not in self.errors:
            self.add_error("packages", say("How many lay on the scale?"))
        weighed = gross is not None or cleaned.get("weights_g")
        if weighed and cleaned.get("tare_g") is None and "tare_g" not in self.errors:
            self.add_error("tare_g", say("What does an empty one weigh? Write 0 if there is none."))
        return cleaned


class YarnFacts(ActForm):
    """What the band of a yarn says."""

    name = forms.CharField(label=_("Yarn"), max_length=80)
    colour = forms.CharField(label=_("Colour"), max_length=60)
    count_text = forms.CharField(
        label=_("Count or put-up"),
        max_length=60,
        help_text=_("As written: 100 g / 400 m, 437 yd/100 g, Nm 16/4, Ne 10/2, 250 tex."),
    )
    price = MoneyField(label=_("Price"), required=False)
    price_unit = forms.ChoiceField(
        label=_("For"), choices=PriceUnit.choices, initial=PriceUnit.HUNDRED, required=False
    )
    spun_in = forms.ChoiceField(
        label=_("Spun"), choices=SpunIn.choices, initial=SpunIn.UNKNOWN, required=False
    )
    care = forms.ChoiceField(
        label=_("Care"),
        required=False,
        help_text=_("Choose what the band says and your own washed swatch bore out."),
    )
    offers_scale = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [("", _("not known yet")), *care_names()]
        self.fields["care"].choices = names  # type: ignore[attr-defined]
        for row in FIBRE_ROWS:
            self.fields[f"fibre_{row}"] = forms.CharField(
                label=say("Fibre {row}", row=row),
                max_length=40,
                required=False,
                widget=forms.TextInput(attrs={"list": "fibre-names", "autocomplete": "off"}),
            )
            self.fields[f"percent_{row}"] = RateField(
                label=say("Percent {row}", row=row),
                required=False,
                min_value=CENT,
                max_value=100,
                decimal_places=2,
            )

    def fibre_rows(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        """Return the fields of the fibre content, row by row."""
        return ((self[f"fibre_{row}"], self[f"percent_{row}"]) for row in FIBRE_ROWS)

    def clean_count_text(self) -> str:
        """Read the count; one that can be read two ways is asked for again."""
        text: str = self.cleaned_data["count_text"]
        try:
            self.tex = tex_of(text)
        except RefusedError as problem:
            raise forms.ValidationError(problem.about(text).reason) from problem
        return text

    def clean(self) -> dict[str, Any]:
        """Add up the fibres; they must come to 100 %."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self.content: dict[str, float] = {}
        for row in FIBRE_ROWS:
            self._read_fibre(row)
        rows_are_fine = not any(name.startswith(("fibre", "percent")) for name in self.errors)
        total = sum((Decimal(str(share)) for share in self.content.values()), Decimal(0))
        if rows_are_fine and abs(total - 100) > CENT:
            self._meet_100(total)
        return cleaned

    def _meet_100(self, total: Decimal) -> None:
        """Scale the percents if she asked for it, else refuse and offer it."""
        if total and "scale" in self.data:
            self.content = {
                name: _plain(share) for name, share in scaled_to_100(self.content).items()
            }
            return
        self.offers_scale = bool(total)
        self.add_error("percent_1", _sum_refusal(total))

    def yarn(self, pk: int | None = None) -> Yarn:
        """Return the yarn as it stands in the form; `pk` of one that is in the book."""
        said = self.cleaned_data
        unit = PriceUnit(said["price_unit"] or PriceUnit.HUNDRED)
        yarn = Yarn(
            pk=pk,
            name=said["name"],
            colour=said["colour"],
            content=self.content,
            count_text=said["count_text"],
            tex=self.tex,
            price_minor=round((said["price"] or 0) * 100 / unit.grams),
            price_said_minor=said["price"] or 0,
            price_unit=unit,
            spun_in=said["spun_in"] or SpunIn.UNKNOWN,
            care=said["care"],
        )
        follow_care(yarn)
        return yarn

    def _read_fibre(self, row: int) -> None:
        typed = self.cleaned_data.get(f"fibre_{row}")
        percent = self.cleaned_data.get(f"percent_{row}")
        if not typed:
            if percent is not None:
                self.add_error(f"fibre_{row}", say("{percent} % of which fibre?", percent=percent))
            return
        try:
            name = _kept_name(typed)
        except ValueError:
            self.add_error(f"fibre_{row}", str(name_refusal(typed)))
            return
        if name in self.content:
            self.add_error(
                f"fibre_{row}", say("{name} stands there twice; add the two up.", name=name)
            )
        elif percent is not None:
            self.content[name] = _plain(percent)
        elif f"percent_{row}" not in self.errors:
            self.add_error(f"percent_{row}", say("How many percent {name}?", name=name))


class NewYarnForm(LotForm, YarnFacts):
    """A yarn and its first dye lot in one go."""


def facts_of(yarn: Yarn) -> dict[str, Any]:
    """Return what the form of a yarn shows first."""
    rows = zip(FIBRE_ROWS, yarn.content.items(), strict=False)
    fibres = {
        f"{name}_{row}": value
        for row, pair in rows
        for name, value in zip(("fibre", "percent"), pair, strict=True)
    }
    return fibres | {
        "name": yarn.name,
        "colour": yarn.colour,
        "count_text": yarn.count_text or f"{yarn.tex:g} tex",
        "price": yarn.price_as_given_minor,
        "price_unit": yarn.price_unit,
        "spun_in": yarn.spun_in,
        "care": yarn.care,
    }


def facts_of_lot(lot: DyeLot) -> dict[str, Any]:
    """Return what the form of a lot shows first; a guessed tare by its ends."""
    least, most = lot.tare_g - lot.tare_spread_g, lot.tare_g + lot.tare_spread_g
    return {
        "code": lot.code,
        "bought_on": lot.bought_on,
        "tare_g": least,
        "tare_most_g": most if lot.tare_spread_g else None,
    }


def _kept_name(typed: str) -> str:
    """Return our name of a fibre; bamboo stays bamboo, so that its caution is read."""
    if means_unknown(typed):
        return UNKNOWN
    return "bamboo" if is_bamboo(typed) else canonical_fibre(typed)


def _plain(percent: Decimal) -> int | float:
    return int(percent) if percent == int(percent) else float(percent)


def _sum_refusal(total: Decimal) -> str:
    if not total:
        return say(
            "Give the fibre content, such as wool 75 and nylon 25; “unknown” 100 if it is lost."
        )
    shown = total.normalize()
    if total < 100:
        return say(
            "The fibres add up to {total:f} %; {missing:f} % are missing.",
            total=shown,
            missing=100 - total.normalize(),
        )
    return say(
        "The fibres add up to {total:f} %; that is {over:f} % too many.",
        total=shown,
        over=total.normalize() - 100,
    )
