"""Numbers are typed with a point or a comma, and shown in the workshop's language.

Source: CLDR, https://cldr.unicode.org: German writes a comma where English writes a point
[memory].
"""

from decimal import Decimal

import pytest
from django import forms
from django.utils import translation

from production.forms.baskets import minutes_field
from socktrade.forms import FigureField, RateField


class Typed(forms.Form):
    minutes = minutes_field()
    percent = RateField(required=False, max_digits=5, decimal_places=2)
    share = FigureField(required=False)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("text", ["26,5", "26.5", " 26,50 "])
def test_a_comma_and_a_point_are_read_in_every_language(language, text):
    with translation.override(language):
        form = Typed({"minutes": text, "percent": text, "share": text})
        assert form.is_valid(), form.errors

    assert form.cleaned_data == {"minutes": 26.5, "percent": Decimal("26.5"), "share": 26.5}


@pytest.mark.parametrize("text", ["1,234.5", "2,6,5", "ten", "26,5 min"])
def test_what_can_be_read_two_ways_or_not_at_all_is_asked_again(text):
    form = Typed({"minutes": text, "percent": text, "share": text})

    assert set(form.errors) == {"minutes", "percent", "share"}


@pytest.mark.parametrize(("language", "shown"), [("en", "26.5"), ("de", "26,5")])
def test_a_figure_stands_in_its_field_as_the_language_writes_it(language, shown):
    with translation.override(language):
        field = str(Typed(initial={"minutes": 26.5})["minutes"])

    assert f'value="{shown}"' in field
    assert 'type="text"' in field
