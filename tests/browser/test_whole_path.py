"""The main job by hand in a real browser, from an empty book to which sizes sold.

The sock is the one of the trade's own figures: US women's 8 1/2 (a foot of 245.5 mm, ball
girth 231 mm) at 8 wales and 11 courses to the inch on yarn of 400 m to 100 g gives 64
needles, 55 / 44 / 57 / 44 rows and about 59 g a pair; a weighed pair of that size took 62 g
(published sock-machine notes).
"""

import datetime as dt
import io
import re
from contextlib import redirect_stdout

import pypdf
import pytest
from django.core.management import call_command
from playwright.sync_api import expect

from production.models import Pair
from sales.models import MarketDay, SaleLine
from socktrade.first_run import make_token

pytestmark = pytest.mark.django_db(transaction=True)

CYLINDERS = (36, 48, 54, 60, 64, 72, 80, 84)
STEPS = (
    ("cut", "cut"),
    ("seam", "seamed"),
    ("wash", "washed"),
    ("dry", "dried"),
    ("block", "blocked"),
)


def test_a_maker_goes_from_an_empty_book_to_what_sells(screen, live_server):
    open_the_book(screen)
    add_cylinders_and_a_gauge(screen)
    plan_the_sock(screen)
    read_the_row_card(screen)
    add_yarn(screen)
    log_a_string(screen)
    work_the_baskets(screen)
    mate_and_price(screen)
    print_and_tie_tags(screen)
    count_the_shelf(screen)
    open_a_market_day(screen)
    sell_and_note(screen)
    close_the_day(screen)
    see_what_sold(screen)

    said = io.StringIO()
    with redirect_stdout(said):
        call_command("check_books")
    assert "The books are clean" in said.getvalue()


def press(screen, name, **kwargs):
    screen.get_by_role("button", name=name, **kwargs).first.click()


def fill(screen, label, text, *, within="main"):
    screen.locator(within).get_by_label(label, exact=False).first.fill(text)


def put(screen, name, text):
    """Fill a field by its name, where a label would fit several."""
    screen.locator(f"main [name={name}]").first.fill(text)


def heading(screen, text):
    expect(screen.get_by_role("heading", level=1)).to_contain_text(text)


def nothing_sticks_out(screen):
    assert screen.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, screen.url


def open_the_book(screen):
    screen.goto(f"/start/{make_token()}/")
    fill(screen, "Your sign-in name", "maker")
    fill(screen, "A password", "short")
    fill(screen, "Workshop name", "Test Bench")
    fill(screen, "Town", "Port Ellery")
    fill(screen, "Name or number on labels", "Test Bench Socks")
    nothing_sticks_out(screen)
    press(screen, "Open the book")
    expect(screen.locator("#id_password_error")).to_contain_text("too short")
    fill(screen, "A password", "cuff-heel-foot-toe")
    press(screen, "Open the book")
    heading(screen, "Today")
    expect(screen.get_by_role("heading", name="Start with a cylinder")).to_be_visible()


def add_cylinders_and_a_gauge(screen):
    screen.get_by_role("link", name="Add a cylinder").click()
    fill(screen, "Needles", "63")
    press(screen, "Add the cylinder")
    expect(screen.locator(".error").first).to_contain_text("63")
    for needles in CYLINDERS:
        fill(screen, "Needles", str(needles))
        press(screen, "Add the cylinder")
        expect(screen.locator(".done").first).to_be_visible()
    nothing_sticks_out(screen)

    screen.goto("/patterns/gauges/")
    fill(screen, "Name of the swatch", "Test wool on the 64")
    screen.get_by_label("Cylinder").select_option(label="64 needles")
    screen.get_by_label("washed and dried").check()
    fields = screen.locator(".pairs-of-fields input")
    for field, text in zip(fields.all()[:4], ("0", "4 in", "44", "4 in"), strict=True):
        field.fill(text)
    press(screen, "Add the swatch")
    expect(screen.locator(".error").first).to_be_visible()
    fields.nth(0).fill("32")
    press(screen, "Add the swatch")
    expect(screen.locator("main")).to_contain_text("Test wool on the 64")
    nothing_sticks_out(screen)


def plan_the_sock(screen):
    screen.goto("/patterns/plan/")
    fill(screen, "Foot, heel to longest toe", "big")
    screen.get_by_label("Washed swatch").select_option(index=1)
    fill(screen, "Yarn count", "100 g / 400 m")
    press(screen, "Plan it")
    expect(screen.locator(".error").first).to_contain_text("big")
    fill(screen, "Foot, heel to longest toe", "245.5 mm")
    fill(screen, "Around the ball of the foot", "231 mm")
    fill(screen, "Height, floor to top of cuff", "7 in")
    press(screen, "Plan it")
    expect(screen.get_by_role("heading", name="On the 64")).to_be_visible()
    main = screen.locator("main")
    expect(main).to_contain_text("55 / 44 / 57 / 44")
    expect(main).to_contain_text("58.7")
    nothing_sticks_out(screen)
    fill(screen, "Name of the new design", "Quayside plain")
    fill(screen, "Name of the size", "Women 8½")
    screen.get_by_label("For", exact=True).select_option("women")
    press(screen, re.compile("Save"))
    heading(screen, "Quayside plain Women 8½")
    nothing_sticks_out(screen)


def read_the_row_card(screen):
    screen.get_by_role("link", name=re.compile("row card", re.IGNORECASE)).first.click()
    where = screen.locator("#stage-where")
    expect(where).to_contain_text("Step 1 of")
    screen.keyboard.press("Space")
    expect(where).to_contain_text("Step 2 of")
    screen.reload()
    expect(where).to_contain_text("Step 2 of")
    screen.keyboard.press("ArrowLeft")
    expect(where).to_contain_text("Step 1 of")
    nothing_sticks_out(screen)
    screen.get_by_role("link", name="The same on paper").click()
    paper = screen.locator("main").inner_text()
    for rows in ("55", "44", "57"):
        assert rows in paper
    nothing_sticks_out(screen)


def add_yarn(screen):
    screen.goto("/yarn/new/")
    fill(screen, "Yarn", "Test wool")
    fill(screen, "Colour", "Kelp")
    put(screen, "fibre_1", "wool")
    put(screen, "percent_1", "75")
    put(screen, "fibre_2", "nylon")
    put(screen, "percent_2", "20")
    fill(screen, "Count or put-up", "100 g / 400 m")
    put(screen, "price", "9")
    screen.get_by_label("Spun").select_option("abroad")
    screen.get_by_label("Care").select_option("Superwash/nylon")
    fill(screen, "Dye lot", "0007")
    fill(screen, "All of it on the scale", "1120")
    fill(screen, "How many cones", "1")
    fill(screen, "One empty cone", "38")
    press(screen, "Put the yarn in the book")
    expect(screen.locator(".error").first).to_contain_text("95")
    put(screen, "percent_2", "25")
    nothing_sticks_out(screen)
    press(screen, "Put the yarn in the book")
    expect(screen.locator("main")).to_contain_text("1082")
    nothing_sticks_out(screen)


def log_a_string(screen):
    screen.goto("/")
    screen.get_by_role("link", name="Log a string").first.click()
    fill(screen, "Socks", "900")
    press(screen, "Log the string")
    expect(screen.locator("#id_count:invalid")).to_be_visible()
    fill(screen, "Socks", "6")
    fill(screen, "Minutes at the machine", "170")
    nothing_sticks_out(screen)
    press(screen, "Log the string")
    heading(screen, "String 1")
    expect(screen.locator(".string-sock")).to_have_count(6)
    nothing_sticks_out(screen)


def work_the_baskets(screen):
    for step, done in STEPS:
        screen.goto(f"/baskets/{step}/")
        nothing_sticks_out(screen)
        screen.locator("main input[type=checkbox]").first.check()
        press(screen, re.compile(rf"Done: .*{done}"))
        expect(screen.locator(".done").first).to_contain_text("6 socks")
    # A tick by mistake is taken back, then done again.
    press(screen, "Undo")
    expect(screen.locator(".done").first).to_contain_text("Undone")
    screen.goto("/baskets/block/")
    screen.locator("main input[type=checkbox]").first.check()
    press(screen, re.compile("Done: .*blocked"))


def mate_and_price(screen):
    screen.goto("/pairs/mate/")
    nothing_sticks_out(screen)
    screen.get_by_label("All of them").check()
    press(screen, re.compile("Mate"))
    expect(screen.locator(".done").first).to_contain_text("P1001 to P1003")
    screen.goto("/pairs/prices/")
    screen.get_by_role("link", name="Quayside plain Women 8½").first.click()
    fill(screen, "A first", "28")
    fill(screen, "A second", "eighteen")
    press(screen, re.compile("price"))
    expect(screen.locator(".error").first).to_contain_text("eighteen")
    fill(screen, "A second", "18")
    press(screen, re.compile("price"))
    expect(screen.locator("main")).to_contain_text("$28.00")


def print_and_tie_tags(screen):
    screen.goto("/tags/")
    nothing_sticks_out(screen)
    numbers = [pair.number for pair in Pair.objects.to_tag()]
    address = screen.get_by_role("button", name="See the PDF").evaluate(
        "b => b.form.action + '?' + new URLSearchParams(new FormData(b.form))"
    )
    answer = screen.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    words = pypdf.PdfReader(io.BytesIO(answer.body())).pages[0].extract_text()
    for needed in ("75% Wool", "25% Nylon", "$28.00", f"P{numbers[0]}", "Test Bench Socks"):
        assert needed in words, words
    press(screen, "Tags are on")
    expect(screen.locator(".done").first).to_contain_text("3 pairs")


def count_the_shelf(screen):
    screen.goto("/shelf/")
    nothing_sticks_out(screen)
    screen.get_by_role("link", name="Count the shelf").first.click()
    fields = screen.locator("main form input[type=text], main form input[type=number]")
    fields.first.fill("three")
    press(screen, "Write the count down")
    expect(screen.locator(".error").first).to_be_visible()
    fields.first.fill("3")
    nothing_sticks_out(screen)
    press(screen, "Write the count down")
    expect(screen.locator("main")).to_contain_text("3")


def open_a_market_day(screen):
    screen.goto("/markets/new/")
    fill(screen, "Name", "Quay market")
    fill(screen, "Opens", "00:00")
    fill(screen, "Closes", "23:59")
    fill(screen, "Stall fee", "25")
    fill(screen, "Sales tax", "5.5")
    nothing_sticks_out(screen)
    press(screen, re.compile("market"))
    screen.goto("/markets/")
    screen.get_by_role("link", name=re.compile("Plan")).first.click()
    fill(screen, "Date", "1066-10-14")
    press(screen, re.compile("day"))
    expect(screen.locator(".error").first).to_be_visible()
    fill(screen, "Date", dt.datetime.now(tz=dt.UTC).date().isoformat())
    press(screen, re.compile("day"))
    day = MarketDay.objects.get()
    screen.goto(f"{day.get_absolute_url()}pack/")
    nothing_sticks_out(screen)
    press(screen, "Pack the ticked pairs")
    expect(screen.locator("main")).to_contain_text("3")
    screen.goto(f"{day.get_absolute_url()}open/")
    put(screen, "float", "80")
    press(screen, "Open the stall")


def sell_and_note(screen):
    day = MarketDay.objects.get()
    screen.goto(f"/stall/{day.pk}/")
    nothing_sticks_out(screen)
    first = Pair.objects.order_by("number").first()
    # Three taps at most: the tile, how it was paid.
    screen.locator(".tile").first.click()
    expect(screen.locator("main")).to_contain_text("$28.00")
    press(screen, "Cash")
    expect(screen.locator("main")).to_contain_text("1 pair, $28.00 cash")
    assert SaleLine.objects.get().pair == first
    second = Pair.objects.in_stall_box().order_by("number").last()
    put(screen, "number", second.label.lower())
    press(screen, "Add", exact=True)
    expect(screen.locator("main")).to_contain_text(f"{second.label}, Quayside plain")
    press(screen, re.compile("[Cc]ard"))
    expect(screen.locator("main")).to_contain_text("$28.00 card")
    # The same pair again is asked about at its field, and nothing is recorded.
    put(screen, "number", second.label)
    press(screen, "Add", exact=True)
    expect(screen.locator(".error").first).to_contain_text(f"{second.label} was sold on")
    assert SaleLine.objects.count() == 2
    screen.goto(f"/stall/{day.pk}/")
    screen.get_by_role("link", name="Asked for").first.click()
    fill(screen, "In their words", "a pair for a giant")
    press(screen, "Note it")
    expect(screen.locator(".done").first).to_be_visible()


def close_the_day(screen):
    day = MarketDay.objects.get()
    screen.goto(f"{day.get_absolute_url()}close/")
    nothing_sticks_out(screen)
    fill(screen, "Cash in the tin", "108")
    press(screen, "Close the day")
    expect(screen.locator("main")).to_contain_text("$56.00")
    assert Pair.objects.filter(place="shelf").count() == 1
    nothing_sticks_out(screen)


def see_what_sold(screen):
    screen.goto("/sells/")
    main = screen.locator("main")
    expect(main).to_contain_text("Women 8½")
    expect(screen.locator("main svg").first).to_be_visible()
    expect(screen.locator("main table").first).to_contain_text("2")
    nothing_sticks_out(screen)
