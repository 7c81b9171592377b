"""A decimal is understood with a point and with a comma, whatever the language."""

from decimal import Decimal

import pytest
from django import forms
from django.utils import translation

from socktrade.forms import FigureField, RateField, with_point


class Typed(forms.Form):
    hours = FigureField(min_value=0, max_value=168)
    rate = RateField(max_digits=6, decimal_places=3, initial=Decimal("5.5"))


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("typed", ["26.5", "26,5", " 26,5 "])
def test_point_and_comma_mean_the_same(language, typed):
    with translation.override(language):
        form = Typed({"hours": typed, "rate": typed})

        assert form.is_valid(), form.errors
        assert form.cleaned_data == {"hours": 26.5, "rate": Decimal("26.5")}


@pytest.mark.parametrize(
    ("language", "typed", "read"),
    [
        ("en", "1,200", "1,200"),
        ("de", "1,200", "1.200"),
        ("en", "0,125", "0.125"),
        ("en", "-0,5", "-0.5"),
        ("de", "1,2,3", "1,2,3"),
        ("de", "x,5", "x,5"),
    ],
)
def test_a_comma_before_three_digits_marks_thousands_where_a_point_is_the_sign(
    language, typed, read
):
    with translation.override(language):
        assert with_point(typed) == read


@pytest.mark.parametrize(("language", "shown"), [("en", "5.5"), ("de", "5,5")])
def test_a_figure_is_shown_with_the_sign_of_the_language(language, shown):
    with translation.override(language):
        assert f'value="{shown}"' in str(Typed()["rate"])


@pytest.mark.parametrize("typed", ["1,2,3", "x", "12.5h"])
def test_what_is_no_number_is_refused(typed):
    assert "hours" in Typed({"hours": typed, "rate": "1"}).errors
