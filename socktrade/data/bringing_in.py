"""A whole book from an export, into an empty one: all of it, identical, or nothing."""

from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, transaction
from django.db.models import Model

from patterns.core.words import say
from production.services import books as bench_books
from production.services.yarn import add_up_lots
from sales.services import books as stall_books
from socktrade.data.errors import DataError
from socktrade.data.export import CHUNK, digest_of, table_rows
from socktrade.data.sources import Source, open_source
from socktrade.data.tables import book_models, columns_of, name_of
from socktrade.models import Member, Workshop

# An empty book may have been opened: one person, and what she said of her workshop.
OPENED = (User, Workshop)


@dataclass(slots=True)
class BroughtIn:
    """What an import did."""

    rows: dict[str, int] = field(default_factory=dict)
    owner: User | None = None
    with_sign_ins: bool = False
    disagreements: list[str] = field(default_factory=list)

    @property
    def total(self) -> int:
        """Rows in all tables."""
        return sum(self.rows.values())


def import_book(path: Path) -> BroughtIn:
    """Read an export into this empty book and prove that the two are the same.

    Who opened the empty book keeps her name and password and takes the place of the owner
    in the file. Everything happens in one transaction.

    Raises:
        DataError: If the book is not empty, or the file is none, damaged or changed.
    """
    with open_source(path) as source:
        try:
            with transaction.atomic():
                return _import(source)
        except (DatabaseError, ValidationError, OverflowError) as problem:
            msg = say(
                "Nothing was imported; a row does not fit the book: {problem}",
                problem=str(problem)[:200],
            )
            raise DataError(msg) from problem


def why_not_empty() -> str:
    """Return what stands in the way of an import, or nothing if the book is empty."""
    for model in book_models():
        if model not in OPENED and model._meta.base_manager.exists():
            return say("This book is not empty: something was recorded in it already.")
    if User.objects.count() > 1:
        return say("This book is not empty: it has more than one person.")
    return ""


def _import(source: Source) -> BroughtIn:
    if trouble := why_not_empty():
        msg = say("{trouble} Import into a new book, in a data folder of its own.", trouble=trouble)
        raise DataError(msg)
    here = User.objects.first()
    _clear(here)
    done = BroughtIn(with_sign_ins=bool(source.manifest.get("with_sign_ins")))
    for model in book_models():
        done.rows[name_of(model)] = _write(model, source)
    add_up_lots()
    for model in book_models():
        _prove(model, source)
    _let_numbers_go_on()
    connection.check_constraints()
    done.owner = _seat(here)
    done.disagreements = list(
        islice(chain(bench_books.disagreements(), stall_books.disagreements()), 20)
    )
    return done


def _clear(here: User | None) -> None:
    Workshop.objects.all().delete()
    if here is not None:
        User.objects.filter(pk=here.pk).delete()


def _seat(here: User | None) -> User | None:
    """Give the owner of the file the name and password of who opened this book."""
    owner = User.objects.filter(is_superuser=True, is_active=True).order_by("pk").first()
    if here is None or owner is None:
        return owner
    if User.objects.filter(username=here.username).exclude(pk=owner.pk).exists():
        msg = say(
            "Somebody else in the file is {username} too. Open this book by another name.",
            username=here.username,
        )
        raise DataError(msg)
    owner.username, owner.password = here.username, here.password
    owner.save(update_fields=["username", "password"])
    Member.objects.filter(user=owner).delete()
    return owner


def _write(model: type[Model], source: Source) -> int:
    names = [column.attname for column in columns_of(model)]
    rows = source.rows(model)
    count = 0
    while part := list(islice(rows, CHUNK)):
        made = [model(**dict(zip(names, row, strict=True))) for row in part]
        model._meta.base_manager.bulk_create(made, batch_size=CHUNK)
        count += len(part)
    return count


def _prove(model: type[Model], source: Source) -> None:
    """Read back what was written and compare it with what the export says."""
    said = source.manifest["tables"][name_of(model)]
    if digest_of(table_rows(model)) != (said.get("rows"), said.get("sha256")):
        msg = say(
            "Nothing was imported: {name_of} was changed after the export was written.",
            name_of=name_of(model),
        )
        raise DataError(msg)


def _let_numbers_go_on() -> None:
    """Let the database give new rows numbers after those that came in."""
    for statement in connection.ops.sequence_reset_sql(no_style(), list(book_models())):
        with connection.cursor() as cursor:
            cursor.execute(statement)
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")  # or it plans its first questions for empty tables
