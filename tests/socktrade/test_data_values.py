"""Every value goes out as open text and comes back without a digit lost."""

import csv
import datetime as dt
import io
import json
import uuid
from decimal import Decimal

import pytest
from django.db import models
from hypothesis import given
from hypothesis import strategies as st

from socktrade.data.tables import book_models, columns_of
from socktrade.data.values import KINDS, escaped, from_cell, kind_of, read, shown, to_cell

TEXTS = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)
WHOLE = st.integers(min_value=-(2**62), max_value=2**62)
MOMENTS = st.datetimes(timezones=st.just(dt.UTC))
PLAIN = st.none() | st.booleans() | WHOLE | st.floats(allow_nan=False) | TEXTS
VALUES = {
    "BinaryField": st.binary(max_size=40),
    "BooleanField": st.booleans(),
    "CharField": TEXTS,
    "DateField": st.dates(),
    "DateTimeField": MOMENTS,
    "DecimalField": st.decimals(allow_nan=False, allow_infinity=False, places=3),
    "FloatField": st.floats(allow_nan=False, allow_infinity=False),
    "JSONField": st.lists(PLAIN) | st.dictionaries(TEXTS, PLAIN),
    "TextField": TEXTS,
    "TimeField": st.times(),
    "UUIDField": st.uuids(),
}


def _field(name, *, null):
    more = {"max_digits": 9, "decimal_places": 3} if name == "DecimalField" else {}
    return getattr(models, name)(null=null, **more)


def _through_a_file(cell):
    """Write the cell as the export does, and read it back as bytes of a file."""
    out = io.StringIO(newline="")
    csv.writer(out).writerow([cell, "last"])
    raw = io.BytesIO(out.getvalue().encode())
    return next(csv.reader(io.TextIOWrapper(raw, encoding="utf-8", newline=""), strict=True))[0]


@pytest.mark.parametrize("name", sorted(KINDS))
@pytest.mark.parametrize("null", [True, False])
def test_a_value_comes_back_from_csv_and_json(name, null):
    field = _field(name, null=null)
    values = VALUES.get(name, WHOLE)

    @given(st.none() | values if null else values)
    def comes_back(value):
        told = shown(field, value)
        assert read(field, json.loads(json.dumps(told))) == value
        assert from_cell(field, _through_a_file(to_cell(field, told))) == value

    comes_back()


@given(TEXTS)
def test_no_text_leaves_as_a_formula(text):
    # The signs that start a formula: OWASP, "CSV Injection" [memory].
    cell = to_cell(models.CharField(), text)

    assert not cell.lstrip().startswith(("=", "+", "-", "@"))
    assert not cell.startswith(("\t", "\r", "\n"))


@pytest.mark.parametrize(
    "text", ["=1+1", "  =1+1", "\t=1", "-2", "@SUM(1)", "'", "'=x", "\uff1d1", "\n=1"]
)
def test_a_risky_text_is_led_by_an_apostrophe(text):
    assert escaped(text) == f"'{text}"


@pytest.mark.parametrize(
    ("field", "cell"),
    [
        (models.IntegerField(), "ten"),
        (models.BooleanField(), "maybe"),
        (models.DateField(), "04/06/2026"),
        (models.DecimalField(), "1,5"),
        (models.UUIDField(), "1-2"),
        (models.JSONField(), "{"),
        (models.BinaryField(), "?"),
    ],
)
def test_a_cell_of_another_kind_is_refused_with_its_words(field, cell):
    with pytest.raises(ValueError, match=f"“{'.' if cell == '?' else ''}"):
        from_cell(field, cell)


def test_every_column_of_the_book_has_a_kind():
    unknown = []
    for model in book_models():
        for field in columns_of(model):
            try:
                kind_of(field)
            except KeyError as kind:
                unknown.append(f"{field}: {kind}")

    assert not unknown


def test_kinds_keep_exact_figures():
    assert to_cell(models.FloatField(), 0.1 + 0.2) == "0.30000000000000004"
    assert shown(models.DecimalField(), Decimal("12.50")) == "12.50"
    moment = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.timezone(dt.timedelta(hours=-4)))
    assert shown(models.DateTimeField(), moment) == "2026-06-04T13:30:00+00:00"
    assert read(models.UUIDField(), str(uuid.UUID(int=7))) == uuid.UUID(int=7)
