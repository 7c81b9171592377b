"""What was there before the book comes in from a table: all of it or nothing, and once."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse

from production.models import Act, ActKind, DyeLot, Pair, Sock, Yarn
from production.services.acts import Who
from production.services.yarn import grams_on_hand
from sales.models import DayState, MarketDay, Sale, SortOut
from sales.services.till import undo_act
from socktrade.data.csvfiles import MOST_ROWS, decode, read_rows, template_text
from socktrade.data.errors import DataError
from socktrade.data.rowkinds import KINDS
from socktrade.data.rowsin import bring_rows
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import YarnFactory
from tests.factories.sales import MarketFactory

pytestmark = pytest.mark.django_db

STOCK = "design,size,quality,price,count,yarn,colour\n"
HOSTILE = [
    "<script>alert(1)</script>",
    "=cmd|' /C calc'!A0",
    "'; DROP TABLE production_pair; --",
    "\u202egnp.exe",
    "x" * 5000,
    "{{ 7 }}{% url %}",
]


@pytest.fixture
def kinds(maker):
    """One design, one yarn and one market that the tables may name."""
    version = PatternVersionFactory(pattern__design__name="Harbour plain")
    YarnFactory(name="Sock wool", colour="Kelp")
    MarketFactory(name="Quay market")
    return version


def _bring(kind, text, maker, at, *, keep=True):
    rows = read_rows(text, KINDS[kind].columns)
    return bring_rows(KINDS[kind], rows, by=maker, at=at, keep=keep)


def test_stock_comes_onto_the_shelf_and_the_books_stay_clean(kinds, maker, at):
    text = STOCK + (
        "harbour plain,Women 8½,,28.00,3,sock wool,kelp\n"
        "Harbour plain,Women 8½,second,14,2,Sock wool,Kelp\n"
    )

    done = _bring("stock", text, maker, at)

    assert done.done, [row.troubles for row in done.rows]
    shelf = Pair.objects.order_by("number")
    assert [(p.place, p.quality, p.price_minor) for p in shelf] == (
        [("shelf", "first", 2800)] * 3 + [("shelf", "second", 1400)] * 2
    )
    assert {str(sock.string) for sock in Sock.objects.select_related("string")} == {"Opening stock"}
    assert DyeLot.objects.get().code == "before the book"
    assert grams_on_hand(DyeLot.objects.get()) == 0
    call_command("check_books")


def test_stock_that_came_in_can_be_taken_back(kinds, maker, at):
    text = STOCK + "Harbour plain,Women 8½,second,14,2,Sock wool,Kelp\n"
    _bring("stock", text, maker, at)
    act = Act.objects.get(kind=ActKind.OPENING)

    undo_act(act_id=act.pk, who=Who(by=maker, at=at))
    call_command("check_books")
    again = _bring("stock", text, maker, at)

    assert (again.new, again.known) == (1, 0)
    assert Pair.objects.on_shelf().count() == 2
    call_command("check_books")


def test_yarn_comes_in_by_lot(kinds, maker, at):
    text = (
        "name;colour;content;count;lot;grams;price_per_100g\n"
        "Cone merino;Fog;80 % wool, 20 % nylon;100 g / 400 m;12;850,5;9,50\n"
        "Cone merino;Fog;80 wool/20 nylon;250 tex;13;400;\n"
    )

    done = _bring("yarn", text, maker, at)

    assert done.done, [row.troubles for row in done.rows]
    yarn = Yarn.objects.get(name="Cone merino")
    assert (yarn.content, yarn.price_minor) == ({"wool": 80, "nylon": 20}, 950)
    assert [float(grams_on_hand(lot)) for lot in yarn.lots.order_by("code")] == [850.5, 400.0]
    call_command("check_books")


def test_past_sales_make_closed_days_and_no_doubts(kinds, maker, at):
    text = (
        "date,market,design,size,count,price,paid_by\n"
        "2025-08-07,quay market,Harbour plain,Women 8½,4,28,card\n"
        "2025-08-14,Quay market,Harbour plain,Women 8½,1,26,\n"
    )

    done = _bring("sales", text, maker, at)

    assert done.done, [row.troubles for row in done.rows]
    days = MarketDay.objects.order_by("date")
    assert [day.state for day in days] == [DayState.CLOSED] * 2
    assert [sale.total_minor for sale in Sale.objects.order_by("pk")] == [11200, 2600]
    assert Sale.objects.filter(timed=True).count() == SortOut.objects.count() == 0
    call_command("check_books")


def test_a_day_that_the_book_kept_takes_no_past_sales(kinds, maker, at, client):
    from tests.factories.sales import open_stall

    day = open_stall(maker)
    text = (
        "date,market,design,size,count,price\n"
        f"{day.date},{day.market.name},Harbour plain,Women 8½,4,28\n"
    )

    done = _bring("sales", text, maker, at + dt.timedelta(days=900))

    assert not done.done
    assert "kept" in done.rows[0].troubles["date"]


@pytest.mark.parametrize(
    ("kind", "change", "column"),
    [
        ("stock", {"design": "Nobody’s"}, "design"),
        ("stock", {"size": "Men 20"}, "size"),
        ("stock", {"quality": "third"}, "quality"),
        ("stock", {"price": "a lot"}, "price"),
        ("stock", {"price": "-5"}, "price"),
        ("stock", {"count": "0"}, "count"),
        ("stock", {"count": "99999999"}, "count"),
        ("stock", {"count": "two"}, "count"),
        ("stock", {"yarn": "Unknown"}, "yarn"),
        ("stock", {"colour": "Unknown"}, "colour"),
        ("stock", {"version": "77"}, "version"),
        ("yarn", {"content": "75 wool"}, "content"),
        ("yarn", {"content": "75 wool, 25 moonlight"}, "content"),
        ("yarn", {"content": "wool"}, "content"),
        ("yarn", {"count": "thick"}, "count"),
        ("yarn", {"grams": "0"}, "grams"),
        ("yarn", {"grams": "NaN"}, "grams"),
        ("yarn", {"grams": "1e99"}, "grams"),
        ("yarn", {"lot": ""}, "lot"),
        ("yarn", {"name": "n" * 90}, "name"),
        ("sales", {"date": "04.06.2025"}, "date"),
        ("sales", {"date": "2199-01-01"}, "date"),
        ("sales", {"date": "1066-10-14"}, "date"),
        ("sales", {"market": "Nowhere"}, "market"),
        ("sales", {"paid_by": "shells"}, "paid_by"),
        ("sales", {"count": "501"}, "count"),
    ],
)
def test_a_bad_cell_is_named_and_nothing_comes_in(kinds, maker, at, kind, change, column):
    good = {
        "stock": "Harbour plain,Women 8½,first,28,2,Sock wool,Kelp,,,",
        "yarn": "Other wool,Kelp,75 wool/25 nylon,250 tex,7,850,9,",
        "sales": "2025-08-07,Quay market,Harbour plain,Women 8½,first,4,28,cash,",
    }[kind]
    names = [c.name for c in KINDS[kind].columns]
    bad = dict(zip(names, good.split(","), strict=True)) | change
    text = "\n".join((",".join(names), good, ",".join(f'"{bad[n]}"' for n in names)))

    done = _bring(kind, text, maker, at)

    assert not done.done
    assert [list(row.troubles) for row in done.rows] == [[], [column]]
    assert not Act.objects.exists()
    assert not Yarn.objects.filter(name="Other wool").exists()
    assert not MarketDay.objects.exists()


def test_all_that_is_wrong_with_a_row_is_told_at_once(kinds, maker, at):
    done = _bring("stock", STOCK + "Harbour plain,Women 8½,third,free,x,Nope,Kelp\n", maker, at)

    assert set(done.rows[0].troubles) == {"quality", "price", "count", "yarn"}


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_rows_come_in_once_also_from_a_longer_file(kinds, maker, at, kind):
    first = {
        "stock": "Harbour plain,Women 8½,first,28,2,Sock wool,Kelp,,,",
        "yarn": "Other wool,Kelp,75 wool/25 nylon,250 tex,7,850,9,",
        "sales": "2025-08-07,Quay market,Harbour plain,Women 8½,first,4,28,cash,",
    }[kind]
    other = first.replace("first", "second").replace(",7,", ",8,")
    header = ",".join(c.name for c in KINDS[kind].columns)
    _bring(kind, "\n".join((header, first)), maker, at)

    again = _bring(kind, "\n".join((header, first)), maker, at)
    longer = _bring(kind, "\n".join((header, other, first)), maker, at)

    assert (again.new, again.known) == (0, 1)
    assert (longer.new, longer.known) == (1, 1)
    assert Act.objects.count() == 2


def test_two_equal_rows_of_one_file_are_two(kinds, maker, at):
    row = "Harbour plain,Women 8½,,28,1,Sock wool,Kelp\n"

    assert _bring("stock", STOCK + row + row, maker, at).new == 2
    assert _bring("stock", STOCK + row + row, maker, at).known == 2
    assert Pair.objects.count() == 2


def test_a_look_changes_nothing(kinds, maker, at):
    row = "Harbour plain,Women 8½,,28,1,Sock wool,Kelp\n"

    seen = _bring("stock", STOCK + row, maker, at, keep=False)

    assert (seen.new, seen.done) == (1, False)
    assert not Act.objects.exists()
    assert not DyeLot.objects.exists()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_encoding_and_delimiter_are_found(kinds, maker, at, encoding, sign):
    text = (STOCK + "Harbour plain,Women 8½,,28,1,Sock wool,Kelp\n").replace(",", sign)

    read = decode(text.replace("\n", "\r\n").encode(encoding))

    assert _bring("stock", read, maker, at).done


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"\x00\x01\x02",
        b"\x89PNG\r\n\x1a\n",
        b"one,two\n1,2\n",
        b"design\nHarbour plain\n",
        STOCK.encode(),
        STOCK.replace("size", "design").encode(),
        STOCK.encode() + b'"open quote,\n',
        STOCK.encode() + b"a,b,c,1,1,d,e\n" * (MOST_ROWS + 1),
        b"x" * 600_000,
    ],
)
def test_what_is_no_such_table_is_refused_whole(raw):
    with pytest.raises(DataError):
        read_rows(decode(raw), KINDS["stock"].columns)


@pytest.mark.parametrize("kind", KINDS)
def test_the_template_reads_back(kind):
    rows = read_rows(template_text(KINDS[kind].columns), KINDS[kind].columns)

    assert [cell for cell, _ in rows[0].show(KINDS[kind].columns)] == [
        column.example for column in KINDS[kind].columns
    ]


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_is_shown_as_text_and_stays_out(page, kinds, hostile):
    cell = hostile.replace('"', '""')
    text = f'{STOCK}"{cell}",Women 8½,"{cell}","{cell}","{cell}",Sock wool,Kelp\n'

    answer = page.post(
        reverse("data_rows", args=["stock"]), {"table": SimpleUploadedFile("a.csv", text.encode())}
    )

    assert answer.status_code == 422
    assert "<script>alert" not in answer.content.decode()
    assert not Act.objects.exists()


def test_the_page_looks_first_and_brings_in_on_a_second_word(page, kinds):
    text = STOCK + "Harbour plain,Women 8½,,28,3,Sock wool,Kelp\n"
    address = reverse("data_rows", args=["stock"])

    seen = page.post(address, {"table": SimpleUploadedFile("stock.csv", text.encode())})
    assert seen.status_code == 200
    assert "1 row will come in" in seen.content.decode()
    assert not Pair.objects.exists()
    done = page.post(address, {"text": seen.context["text"], "bring": "in"}, follow=True)

    assert "1 row came in" in done.content.decode()
    assert Pair.objects.on_shelf().count() == 3
    days = page.get(reverse("production:string_detail", args=[0]))
    assert "Opening stock" in days.content.decode()
    assert page.get(reverse("production:pair_detail", args=[1001])).status_code == 200


def test_another_kind_of_file_is_refused_at_its_field(page, kinds):
    answer = page.post(
        reverse("data_rows", args=["yarn"]), {"table": SimpleUploadedFile("a.exe", b"MZ")}
    )

    assert answer.status_code == 422
    assert answer.context["form"].errors["table"]


def test_a_past_day_can_be_looked_at(page, kinds, maker, at):
    text = (
        "date,market,design,size,count,price\n2025-08-07,Quay market,Harbour plain,Women 8½,4,28\n"
    )
    assert _bring("sales", text, maker, at).done

    assert page.get(MarketDay.objects.get().get_absolute_url()).status_code == 200
    assert page.get(reverse("sales:sells")).status_code == 200


def test_there_is_no_fourth_table(page):
    assert page.get(reverse("data_rows", args=["people"])).status_code == 404
    assert page.get(reverse("data_template", args=["people"])).status_code == 404
    assert page.get(reverse("data_template", args=["yarn"])).content.startswith(
        b"\xef\xbb\xbfname,"
    )
