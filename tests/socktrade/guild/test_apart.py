"""What one maker has, no other maker sees."""

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db import connection, transaction
from django.db.utils import ProgrammingError
from django.http import StreamingHttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from patterns.models import Cylinder
from sales.models import Market
from socktrade import first_run
from socktrade.guild.middleware import GuildMiddleware
from socktrade.guild.schemas import add_book
from socktrade.guild.standing import NoBookError, in_book
from socktrade.models import Workshop
from tests.socktrade.guild.conftest import PASSWORDS, say_in_hall


def name_seen(_request=None):
    return Workshop.current().name


def test_each_address_shows_its_own_book(at_home, books):
    for book, name in books.items():
        page = at_home(book, PASSWORDS[book]).get("/workshop/")

        assert page.status_code == 200
        assert name in page.text
        assert not [other for other in books.values() if other != name and other in page.text]


def test_the_same_name_signs_in_with_the_password_of_its_own_book_only(at_home):
    stranger = at_home("wren", PASSWORDS["robin"])

    assert stranger.get("/").status_code == 302
    assert at_home("wren", PASSWORDS["wren"]).get("/").status_code == 200


def test_a_session_of_one_book_is_none_in_another(at_home):
    wren, robin = at_home("wren", PASSWORDS["wren"]), at_home("robin")
    robin.cookies.load({key: one.value for key, one in wren.cookies.items()})

    answer = robin.get("/")

    assert wren.get("/").status_code == 200
    assert (answer.status_code, answer.url) == (302, "/sign-in/?next=/")


def test_sessions_lie_in_the_book_they_open(at_home):
    with in_book("robin"):
        before = Session.objects.count()
    at_home("wren", PASSWORDS["wren"])

    with in_book("robin"):
        assert Session.objects.count() == before


def test_what_another_maker_has_is_not_found(at_home):
    with in_book("robin"):
        market = Market.objects.create(pk=777, name="Fair of robins", place="Quay")
    address = reverse("sales:market_edit", args=[market.pk])

    assert at_home("robin", PASSWORDS["robin"]).get(address).status_code == 200
    assert at_home("wren", PASSWORDS["wren"]).get(address).status_code == 404


def test_rows_are_numbered_in_each_book_by_itself():
    made = {}
    for book in ("wren", "robin"):
        with in_book(book):
            made[book] = Cylinder.objects.create(needles=54, diameter_mm=114.3).pk

    assert made["wren"] == made["robin"]


def test_the_link_that_opens_one_book_opens_no_other(at_home):
    add_book("finch")
    with in_book("wren"):
        of_wren = reverse("start", args=[first_run.make_token()])
    with in_book("finch"):
        of_finch = reverse("start", args=[first_run.make_token()])

    finch = at_home("finch")

    assert finch.get(of_wren).status_code == 403
    assert finch.get(of_finch).status_code == 200


@pytest.mark.parametrize(
    "host", ["guild.example", "nobody.example", "a.b.guild.example", "wren.guild.example.evil.com"]
)
def test_a_host_that_is_no_book_is_told_so_without_a_question_to_the_database(host):
    def refuse(*_asked):
        raise AssertionError

    with connection.execute_wrapper(refuse):
        answer = Client(SERVER_NAME=host).get("/")

    assert answer.status_code == 404
    assert "There is no book at this address" in answer.text


@pytest.mark.parametrize("name", ["nobody", "public", "pg-catalog", "information-schema"])
def test_a_book_that_is_not_there_is_told_so(name, at_home):
    answer = at_home(name).get("/sign-in/")

    assert answer.status_code == 404
    assert "There is no book at this address" in answer.text


def test_health_answers_under_any_name():
    answer = Client(SERVER_NAME="10.0.0.7").get("/health/")

    assert answer.json() == {"app": "socktrade", "guild": "guild.example"}


def test_nothing_is_asked_outside_of_a_book():
    with in_book("wren"):
        assert name_seen() == "Wren Socks"

    with pytest.raises(NoBookError, match="--book NAME"):
        name_seen()
    with pytest.raises(NoBookError, match="--book NAME"), transaction.atomic():
        name_seen()


def test_a_page_that_breaks_leaves_no_book_open():
    def break_off(_request):
        name_seen()
        raise RuntimeError

    request = RequestFactory(SERVER_NAME="wren.guild.example").get("/")
    with pytest.raises(RuntimeError):
        GuildMiddleware(break_off)(request)

    with pytest.raises(NoBookError):
        name_seen()


def test_a_failed_statement_leaves_the_next_book_its_own():
    with in_book("wren"), pytest.raises(ProgrammingError), connection.cursor() as cursor:
        cursor.execute("SELECT * FROM no_such_table")

    with in_book("robin"):
        assert name_seen() == "Robin Socks"


def test_what_is_sent_piece_by_piece_comes_from_its_own_book():
    def pieces():
        for _ in range(3):
            yield name_seen().encode()

    def stream(_request):
        return StreamingHttpResponse(pieces())

    request = RequestFactory(SERVER_NAME="wren.guild.example").get("/")
    answer = GuildMiddleware(stream)(request)
    with in_book("robin"):
        seen = []
        for piece in answer:
            seen += [piece.decode(), name_seen()]

    assert seen == ["Wren Socks", "Robin Socks"] * 3


def test_a_rollback_does_not_lead_back_into_another_book():
    with in_book("robin"):
        name_seen()
    with in_book("wren"):
        with transaction.atomic():
            assert name_seen() == "Wren Socks"
            transaction.set_rollback(True)
        assert name_seen() == "Wren Socks"
    with in_book("robin"):
        assert name_seen() == "Robin Socks"


def test_a_new_connection_stands_in_no_book_yet():
    with in_book("wren"):
        name_seen()
        connection.close()
        assert name_seen() == "Wren Socks"
        with connection.cursor() as cursor:
            cursor.execute("SHOW search_path")
            assert cursor.fetchone() == ("book_wren",)


def test_a_transaction_belongs_to_one_book():
    with in_book("wren"), transaction.atomic():
        with in_book("robin"), pytest.raises(NoBookError, match="belongs to one book"):
            name_seen()
        assert name_seen() == "Wren Socks"


def test_only_a_change_of_book_costs_a_statement(monkeypatch):
    with in_book("robin"):
        name_seen()
    plain, opened = connection.connection.cursor, []

    def count(*words, **named):
        opened.append(1)
        return plain(*words, **named)

    monkeypatch.setattr(connection.connection, "cursor", count)
    costs = []
    for _ in range(2):
        with in_book("wren"):
            opened.clear()
            name_seen()
            costs.append(len(opened))

    assert costs == [2, 1]


def test_a_book_whose_schema_is_gone_is_missed_at_the_next_change():
    add_book("gone")
    with in_book("gone"):
        assert not User.objects.exists()
    say_in_hall("DROP SCHEMA book_gone CASCADE")

    with in_book("gone"), pytest.raises(NoBookError, match="no book gone"):
        User.objects.exists()
