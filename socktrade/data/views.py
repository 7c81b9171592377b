"""Workshop, data: the book as files, out and in."""

import shutil
import tempfile
from pathlib import Path

from django.conf import settings
from django.contrib.auth import login
from django.db import connection
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from patterns.core.words import say, say_count
from socktrade.backups import BackupError, back_up
from socktrade.data.bringing_in import import_book, why_not_empty
from socktrade.data.csvfiles import decode, read_rows, template_text
from socktrade.data.errors import DataError
from socktrade.data.export import write_folder, zip_folder
from socktrade.data.forms import BookForm, TableForm
from socktrade.data.keeping import SHOWN, copies_in, copy_trouble
from socktrade.data.rowkinds import KINDS, RowKind
from socktrade.data.rowsin import Outcome, bring_rows
from socktrade.guild.standing import book_name
from socktrade.http import Request
from socktrade.notices import say_done, say_refused

MOST_SHOWN = 200


@require_GET
def data(request: HttpRequest) -> HttpResponse:
    """Say what can be taken out and brought in, and which copies there are."""
    return _page(request, BookForm())


@require_POST
def data_export(request: HttpRequest) -> HttpResponse:
    """Send everything as open files."""
    now = timezone.now()
    try:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "book"
            folder.mkdir()
            write_folder(folder, at=now, with_sign_ins=False)
            packed = Path(place) / "book.zip"
            zip_folder(folder, packed)
            return _send(packed, f"{book_name()}-{timezone.localdate(now)}.zip")
    except OSError as problem:
        say_refused(
            request, say("Nothing was written: {figure}.", figure=problem.strerror or problem)
        )
        return redirect("data")


@require_POST
def data_backup(request: HttpRequest) -> HttpResponse:
    """Send a checked copy of the book's own file."""
    try:
        with tempfile.TemporaryDirectory() as place:
            copy = back_up(Path(place) / "copy.sqlite3")
            return _send(copy, f"{settings.BOOK}-{timezone.localdate()}.sqlite3")
    except (BackupError, OSError) as problem:
        say_refused(request, str(problem))
        return redirect("data")


@require_POST
def data_import(request: HttpRequest) -> HttpResponse:
    """Read an export into this empty book."""
    form = BookForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            with tempfile.TemporaryDirectory() as place:
                path = Path(place) / "export.zip"
                with path.open("wb") as out:
                    out.writelines(form.cleaned_data["book"].chunks())
                done = import_book(path)
        except (DataError, OSError) as problem:
            form.add_error("book", str(problem))
        else:
            if done.owner is not None:
                login(request, done.owner, backend="django.contrib.auth.backends.ModelBackend")
            say_done(
                request,
                say(
                    "{total} rows came in, and every table is as it was exported.", total=done.total
                ),
            )
            return redirect("data")
    return _page(request, form)


@require_GET
def data_template(_request: HttpRequest, table: str) -> HttpResponse:
    """Send an empty table to fill in."""
    kind = _kind(table)
    answer = HttpResponse(template_text(kind.columns), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{kind.key}.csv"'
    return answer


@require_http_methods(["GET", "POST"])
def data_rows(request: Request, table: str) -> HttpResponse:
    """Take a table: first look at it, then bring it in whole or not at all."""
    kind = _kind(table)
    form = TableForm(request.POST or None, request.FILES or None)
    text, outcome = "", None
    try:
        if request.method == "POST" and "text" in request.POST:
            text = decode(request.POST["text"].encode())
            form = TableForm()
        elif request.method == "POST" and form.is_valid():
            text = decode(form.cleaned_data["table"].read())
        if text:
            outcome = _bring(request, kind, text)
    except DataError as problem:
        form = form if form.is_bound else TableForm({}, {})
        form.full_clean()
        form.add_error(None, str(problem))
    if outcome and outcome.done:
        say_done(request, say_count("{count} row came in.", "{count} rows came in.", outcome.new))
        return redirect("data")
    context = {"kind": kind, "form": form, "text": text, "outcome": outcome}
    wrong = bool(form.errors) or bool(outcome and outcome.wrong)
    if outcome:
        some = (outcome.wrong or outcome.rows)[:MOST_SHOWN]
        context["shown"] = [(row, row.show(kind.columns)) for row in some]
    return render(request, "socktrade/data_rows.html", context, status=422 if wrong else 200)


def _bring(request: Request, kind: RowKind, text: str) -> Outcome:
    rows = read_rows(text, kind.columns)
    keep = request.POST.get("bring") == "in"
    return bring_rows(kind, rows, by=request.user, at=timezone.now(), keep=keep)


def _kind(table: str) -> RowKind:
    if table not in KINDS:
        raise Http404
    return KINDS[table]


def _page(request: HttpRequest, form: BookForm) -> HttpResponse:
    folder = settings.DATA_DIR / "backups"
    context = {
        "form": form,
        "kinds": KINDS.values(),
        "copies": copies_in(folder)[:SHOWN],
        "folder": folder,
        "is_file": connection.vendor == "sqlite",
        "not_empty": why_not_empty(),
        "trouble": copy_trouble(),
    }
    status = 422 if form.errors else 200
    return render(request, "socktrade/data.html", context, status=status)


def _send(path: Path, name: str) -> FileResponse:
    """Send a file whose folder is about to be removed, from a nameless one that closes itself."""
    held = tempfile.TemporaryFile()  # noqa: SIM115  # the answer closes it
    with path.open("rb") as source:
        shutil.copyfileobj(source, held)
    held.seek(0)
    return FileResponse(held, as_attachment=True, filename=name)
