"""Every value as open text, and back without a digit lost.

In CSV an empty cell is nothing, and one apostrophe in front of a text is not part of it. It
stands before texts that a spreadsheet would run as a formula, before texts that start with an
apostrophe themselves, and alone where an empty text must not be taken for nothing.
"""

import base64
import datetime as dt
import json
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Field

from patterns.core.words import say
from socktrade.cells import FORMULA_STARTS

ESCAPE = "'"
# The wide forms are signs of a formula as well where a spreadsheet is set to Chinese or Japanese.
RISKY = (*FORMULA_STARTS, ESCAPE, "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


@dataclass(frozen=True, slots=True)
class Kind:
    """How values of one type are written: `show` makes what JSON can hold, `read` undoes it."""

    name: str
    show: Callable[[Any], Any]
    read: Callable[[Any], Any]
    is_text: bool = False


def _moment(value: dt.datetime) -> str:
    return value.astimezone(dt.UTC).isoformat()


def _truth(value: Any) -> bool:
    if value not in (True, False, "true", "false"):
        msg = say("neither true nor false")
        raise ValueError(msg)
    return value in (True, "true")


def _text(value: Any) -> str:
    if not isinstance(value, str):
        msg = say("no text")
        raise TypeError(msg)
    return value


def _base64(raw: bytes) -> str:
    return base64.b64encode(raw).decode()


def _bytes(value: Any) -> bytes:
    return base64.b64decode(value, validate=True)


WHOLE = Kind(say("a whole number"), int, int)
TEXT = Kind(say("a text"), str, _text, is_text=True)
KINDS = {
    "AutoField": WHOLE,
    "BigAutoField": WHOLE,
    "BigIntegerField": WHOLE,
    "BinaryField": Kind(say("base64"), _base64, _bytes, is_text=True),
    "BooleanField": Kind(say("true or false"), bool, _truth),
    "CharField": TEXT,
    "DateField": Kind(say("a date"), dt.date.isoformat, dt.date.fromisoformat),
    "DateTimeField": Kind(say("a moment"), _moment, dt.datetime.fromisoformat),
    "DecimalField": Kind(say("a number"), str, Decimal),
    "FloatField": Kind(say("a number"), float, float),
    "IntegerField": WHOLE,
    "JSONField": Kind(say("JSON"), lambda value: value, lambda value: value),
    "PositiveBigIntegerField": WHOLE,
    "PositiveIntegerField": WHOLE,
    "PositiveSmallIntegerField": WHOLE,
    "SmallIntegerField": WHOLE,
    "TextField": TEXT,
    "TimeField": Kind(say("a time"), dt.time.isoformat, dt.time.fromisoformat),
    "UUIDField": Kind(say("an id"), str, uuid.UUID),
}


def kind_of(field: Field) -> Kind:
    """Return how the values of a column are written; a link is written as its target's key."""
    while field.is_relation:
        field = field.target_field  # type: ignore[attr-defined]
    return KINDS[field.get_internal_type()]


def shown(field: Field, value: Any) -> Any:
    """Return a value as JSON holds it."""
    return None if value is None else kind_of(field).show(value)


def read(field: Field, value: Any) -> Any:
    """Return the value that `shown` was given.

    Raises:
        ValueError: If it is none of this column.
    """
    if value is None:
        return None
    kind = kind_of(field)
    try:
        return kind.read(value)
    except (ValueError, TypeError, ArithmeticError) as problem:
        msg = say("“{value}” is not {name}", value=str(value)[:40], name=kind.name)
        raise ValueError(msg) from problem


def to_cell(field: Field, value: Any) -> str:
    """Return what `shown` gave as one cell of CSV."""
    if value is None:
        return ""
    kind = kind_of(field)
    if kind is KINDS["JSONField"]:
        return escaped(json.dumps(value, ensure_ascii=False))
    if isinstance(value, bool):
        return "true" if value else "false"
    if not kind.is_text:
        return repr(value) if isinstance(value, float) else str(value)
    return ESCAPE if value == "" and field.null else escaped(value)


def from_cell(field: Field, cell: str) -> Any:
    """Return the value of one cell of CSV.

    Raises:
        ValueError: If it is none of this column.
    """
    kind = kind_of(field)
    if cell == "" and (field.null or not kind.is_text):
        return None
    if kind is KINDS["JSONField"]:
        try:
            return json.loads(unescaped(cell))
        except ValueError as problem:
            msg = say("“{cell}” is not JSON", cell=cell[:40])
            raise ValueError(msg) from problem
    return read(field, unescaped(cell) if kind.is_text else cell)


def escaped(text: str) -> str:
    """Return a text with an apostrophe in front where a spreadsheet would run it."""
    risky = text.startswith(RISKY) or text.lstrip().startswith(RISKY)
    return f"{ESCAPE}{text}" if risky else text


def unescaped(cell: str) -> str:
    """Return the text that `escaped` was given."""
    return cell.removeprefix(ESCAPE)
