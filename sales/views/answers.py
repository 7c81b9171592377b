"""Answers that several pages of figures give alike."""

from collections.abc import Iterable, Sequence

from django.http import HttpResponse

from sales.services.csvsheets import csv_text


def csv_answer(rows: Iterable[Sequence[object]], name: str) -> HttpResponse:
    """Answer with rows as a CSV file called `name` when saved."""
    answer = HttpResponse(csv_text(rows), content_type="text/csv; charset=utf-8")
    answer["content-disposition"] = f'attachment; filename="{name}"'
    return answer
