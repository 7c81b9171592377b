"""Widgets are written by hand for speed; Django's own templates are what they must equal."""

import datetime as dt
from decimal import Decimal

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.test import SimpleTestCase
from django.utils.safestring import mark_safe

from socktrade.forms import Renderer

CHOICES = [
    ("", "nothing"),
    (1, "Women <8½>"),
    ("two", 'Men "12" & up'),
    ("Children", [(3, "8 to 10"), ("4", mark_safe("11 &ndash; 13"))]),
]
WIDGETS = [
    (forms.TextInput(), "5 < 6 & \"7\" 'x'"),
    (forms.TextInput(attrs={"class": "short", "required": True, "autofocus": False}), None),
    (forms.TextInput(), ""),
    (forms.TextInput(attrs={'data-"x': "<b>"}), mark_safe("a &amp; b")),
    (forms.NumberInput(attrs={"min": 0, "max": Decimal("9.5"), "step": "any"}), 0),
    (forms.NumberInput(), Decimal("1234.50")),
    (forms.EmailInput(), "maker@example.org"),
    (forms.HiddenInput(), "4f"),
    (forms.CheckboxInput(), True),
    (forms.CheckboxInput(), False),
    (forms.CheckboxInput(), "wool & silk"),
    (forms.DateInput(attrs={"type": "date"}), dt.date(2026, 6, 4)),
    (forms.DateTimeInput(), dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)),
    (forms.TimeInput(), dt.time(9, 30)),
    (forms.Select(choices=CHOICES), 1),
    (forms.Select(choices=CHOICES), "4"),
    (forms.Select(choices=CHOICES, attrs={"required": True, "class": "wide"}), None),
    (forms.Select(), None),
]


@pytest.mark.parametrize(("widget", "value"), WIDGETS)
def test_a_widget_reads_as_django_writes_it(widget, value):
    mine, theirs = (
        widget.render("size<", value, attrs={"id": "id_size"}, renderer=renderer)
        for renderer in (Renderer(), DjangoTemplates())
    )

    SimpleTestCase().assertHTMLEqual(mine, theirs)


@pytest.mark.parametrize("value", ["<script>", '" onfocus="x', "' x='", "&"])
def test_nothing_typed_becomes_markup(value):
    said = forms.TextInput().render("name", value, renderer=Renderer())

    assert "<script>" not in said
    assert said.count('"') == 6


def test_what_has_no_writer_goes_through_its_template():
    said = forms.Textarea().render("note", "two\nlines", renderer=Renderer())

    assert said.startswith("<textarea")
