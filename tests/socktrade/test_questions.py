"""A question that is put into SQL once answers as the queryset that it was made from."""

import threading

import pytest
from django.db import connection
from django.db.models import Count, Value
from django.db.models.sql.compiler import SQLCompiler

from patterns.models import Design, Pattern
from socktrade.questions import Question
from tests.factories.patterns import DesignFactory, PatternFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def patterns():
    return [PatternFactory(size_name=name) for name in ("7", "8", "9")]


def named():
    return Pattern.objects.select_related("design").order_by("size_name")


def test_the_answer_is_that_of_the_queryset(patterns, django_assert_num_queries):
    question = Question(named())

    with django_assert_num_queries(1):
        found = list(question)
        assert [str(one.design) for one in found] == [str(one.design) for one in patterns]
    assert found == list(named())


def test_every_asking_reads_anew(patterns):
    question = Question(named())
    assert len(list(question)) == 3

    patterns[0].size_name = "9½"
    patterns[0].save()
    PatternFactory(size_name="91")

    assert [one.size_name for one in question] == ["8", "9", "91", "9½"]
    assert list(question) == list(named())


def test_it_is_put_into_sql_once(patterns, monkeypatch):
    question = Question(named().values_list("size_name", flat=True))
    written = []
    as_sql = SQLCompiler.as_sql

    def noted(compiler, *args, **more):
        written.append(compiler)
        return as_sql(compiler, *args, **more)

    monkeypatch.setattr(SQLCompiler, "as_sql", noted)

    assert [list(question) for _ in range(3)] == [["7", "8", "9"]] * 3
    assert len(written) == 1


def test_figures_beside_rows_and_joined_answers_keep_their_columns(patterns):
    DesignFactory(name="Bare")
    counted = Design.objects.order_by().values(all=Value(1)).annotate(n=Count("pk"))
    sizes = Pattern.objects.order_by().values(all=Value(2)).annotate(n=Count("pk"))
    question = Question(counted.values_list("all", "n").union(sizes.values_list("all", "n")))

    assert sorted(question) == [(1, Design.objects.count()), (2, 3)]
    assert sorted(question) == [(1, Design.objects.count()), (2, 3)]


def test_first_is_the_first_row_or_none(patterns):
    assert Question(named()[:1]).first() == patterns[0]
    assert Question(named().filter(size_name="none such")[:1]).first() is None


def test_the_queryset_it_was_made_from_can_still_be_narrowed(patterns):
    asked = named()
    question = Question(asked)
    list(question)

    assert list(asked.filter(size_name="8")) == [patterns[1]]
    assert list(question) == patterns


def test_each_thread_asks_on_its_own_connection(patterns):
    question = Question(named())
    list(question)
    asked = []

    def note(_execute, sql, *_rest):
        asked.append(sql)
        raise InterruptedError

    def ask_there():
        # Only this thread's own connection is listened to.
        with connection.execute_wrapper(note), pytest.raises(InterruptedError):
            question.first()
        connection.close()

    thread = threading.Thread(target=ask_there)
    thread.start()
    thread.join()

    assert len(asked) == 1
    assert list(question) == patterns
