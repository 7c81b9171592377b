"""Markup and script that somebody stored in the book is shown as words and never runs.

Every text column of the book is filled with payloads below the forms' own checks, so that a
field is covered the day it is added, however it was filled: form, import, phone or restore.
What must not happen is read from the browser: a mark set by a script, a dialog, a request that
leaves, or a word of the content policy, which would mean that markup got as far as the parser.
"""

import datetime as dt

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.db import connection, models

from sales.models import MarketDay
from socktrade.access.table import DOORS
from socktrade.demo import ensure_demo
from tests.browser.addresses import addresses, samples
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.django_db(transaction=True)

PAYLOADS = (
    "<script>window.ran=1</script>",
    "<img src=x onerror=window.ran=2>",
    '"><svg onload=window.ran=3>',
    "'><a href=javascript:window.ran=4 autofocus onfocus=window.ran=4>go</a>",
    "javascript:window.ran=5",
    "{{7*7}}{% debug %}${7*7}",
    "=cmd|' /C calc'!A0",
    "</textarea></title></style><script>window.ran=6</script>",
    "<iframe srcdoc='<script>parent.ran=7</script>'>",
    'x" style="background:url(x)" onmouseover="window.ran=8',
    "</script><script>window.ran=9</script>",
)
APPS = ("patterns", "production", "sales", "socktrade")
# Not typed by anybody: keys, secrets, and names by which one row finds another.
BOUND = {
    "calendar_token", "digest", "session_key", "yarn.care", "care.name", "labelchoice.value",
    "tagsheet.name", "taghabits.sheet",
}  # fmt: skip
LEAVES = DOORS | {"sales:calendar_feed"}
SET = 'UPDATE "{table}" SET "{column}" = %s WHERE "{key}" = %s'  # names come from the models
WATCH = """
window.ran = 0;
window.policy = [];
addEventListener("securitypolicyviolation", (one) =>
  window.policy.push(`${one.violatedDirective} ${one.sample} ${one.blockedURI}`));
for (const name of ["alert", "confirm", "prompt"]) window[name] = () => { window.ran = name; };
"""


def _free(model):
    """Return the columns of a table that hold a person's own words."""
    return [
        one
        for one in model._meta.concrete_fields
        if isinstance(one, models.CharField | models.TextField)
        and not one.choices
        and not one.primary_key
        and not BOUND & {one.name, f"{model._meta.model_name}.{one.name}"}
        and (one.max_length or 99) >= 20
    ]


def _fill(model):
    """Give each row its payloads in every text column, past models that refuse to be changed."""
    filled, table = 0, model._meta.db_table
    keys = list(model.objects.order_by("pk").values_list("pk", flat=True))[:400]
    for one in _free(model):
        sql = SET.format(table=table, column=one.column, key=model._meta.pk.column)
        with connection.cursor() as cursor:
            for place, key in enumerate(keys):
                own = str(key)  # keeps apart what must be unique
                text = PAYLOADS[(place + filled) % len(PAYLOADS)]
                text = text[: (one.max_length or 999) - len(own)] + own
                cursor.execute(sql, [text, key])
        filled += 1
    return filled


@pytest.fixture
def spoilt(settings):
    settings.TIME_ZONE = "UTC"
    ensure_demo(now=dt.datetime.now(tz=dt.UTC))
    known = samples()
    named = [model for app in APPS for model in apps.get_app_config(app).get_models()]
    filled = sum(_fill(model) for model in named)
    assert filled > 30
    User.objects.filter(is_superuser=True).update(first_name=PAYLOADS[0], last_name=PAYLOADS[2])
    return known


@pytest.fixture
def reader(chromium, live_server, client, spoilt):
    client.force_login(User.objects.get(is_superuser=True))
    context = chromium.new_context(base_url=live_server.url, viewport=PHONE)
    context.add_cookies(
        [
            {"name": name, "value": cookie.value, "url": live_server.url}
            for name, cookie in client.cookies.items()
        ]
    )
    context.add_init_script(WATCH)
    page = context.new_page()
    yield page
    context.close()


def _html_pages(client, known):
    for name, address in addresses(known):
        if name in LEAVES:
            continue
        answer = client.get(address, follow=False)
        assert answer.status_code < 500, address
        if answer.status_code == 200 and "html" in answer.headers["Content-Type"]:
            yield address


def _look(page, address, found):
    page.goto(address)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    page.wait_for_timeout(30)  # an image that cannot load tells so a moment later
    ran, policy = page.evaluate("[window.ran, window.policy]")
    if ran or policy:
        found.append(f"{address}: ran {ran}, policy {policy}")


def test_no_page_runs_what_was_stored(reader, client, spoilt):
    found, said = [], []
    reader.on("dialog", lambda one: (found.append(one.message), one.dismiss()))
    reader.on("console", lambda one: said.append(one.text) if "Policy" in one.text else None)
    seen = list(_html_pages(client, spoilt))

    for address in seen:
        _look(reader, address, found)

    assert found + said == []
    assert len(seen) > 60


def test_the_till_runs_nothing_of_what_it_took_along(reader, client, spoilt):
    found = []
    day = MarketDay.objects.upcoming().first()
    client.post(f"/markets/days/{day.pk}/open/", {"float": "50"})
    reader.goto(f"/stall/till/?day={day.pk}")
    reader.wait_for_selector("html[data-ready=yes]")
    reader.wait_for_timeout(500)

    tiles = reader.locator("[data-key], .tile, .tiles button")
    shown = reader.content()
    for tile in tiles.all()[:6]:
        tile.click(force=True)
    _check(reader, found)
    reader.context.set_offline(True)
    reader.wait_for_timeout(200)
    _check(reader, found)

    assert "&lt;script&gt;" in shown or "&lt;img" in shown or "svg onload" in shown
    assert found == []


def _check(page, found):
    ran, policy = page.evaluate("[window.ran, window.policy]")
    if ran or policy:
        found.append(f"{page.url}: ran {ran}, policy {policy}")
