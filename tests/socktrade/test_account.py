import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from socktrade import first_run
from socktrade.account_forms import WorkshopForm
from socktrade.models import Workshop
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db

OWNER = {
    "username": "maker",
    "password": "undyed-wool-7",
    "name": "Test Bench",
    "town": "Port Ellery",
    "country": "USA",
    "identity": "Test Bench Socks",
    "length_unit": "cm",
    "currency": "eur",
    "label_rules": "eu",
}


def filled_in(**typed):
    """The settings as the page shows them, with some of them changed."""
    shown = {field.html_name: field.value() for field in WorkshopForm(instance=Workshop.current())}
    kept = {name: value for name, value in shown.items() if value not in (None, False)}
    return {**kept, **typed}


@pytest.fixture
def link():
    return reverse("start", args=[first_run.make_token()])


@pytest.fixture
def demo(settings):
    settings.BOOK, settings.IS_DEMO = "demo", True
    return settings


def test_the_first_run_makes_owner_and_workshop_and_signs_in(client, link):
    answer = client.post(link, OWNER)

    assert answer.status_code == 302
    assert answer.url == "/"
    owner, workshop = User.objects.get(), Workshop.objects.get()
    assert owner.check_password(OWNER["password"])
    assert (workshop.name, workshop.currency, workshop.length_unit) == ("Test Bench", "EUR", "cm")
    assert int(client.session["_auth_user_id"]) == owner.pk


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("username", "", "required"),
        ("username", "a b!", "valid username"),
        ("password", "short", "too short"),
        ("password", "12345678901", "entirely numeric"),
        ("password", "password1", "too common"),
        ("name", "", "required"),
        ("name", "x" * 81, "at most 80"),
        ("currency", "XXQ", "is no currency code"),
        ("length_unit", "ell", "not one of the available"),
        ("label_rules", "moon", "not one of the available"),
    ],
)
def test_a_bad_first_run_is_told_at_the_field_and_saves_nothing(client, link, field, typed, told):
    answer = client.post(link, {**OWNER, field: typed})

    assert answer.status_code == 422
    assert told in str(answer.context["form"].errors[field])
    assert not User.objects.exists()
    assert not Workshop.objects.exists()


def test_a_name_that_is_taken_is_told(client, link, page):
    name = User.objects.get().username

    answer = Client().post(link, {**OWNER, "username": name})

    assert answer.url == reverse("sign_in")
    assert User.objects.count() == 1


@pytest.mark.parametrize("token", ["x", "a:b:c", ""])
def test_a_word_that_we_did_not_sign_opens_nothing(client, token):
    assert not first_run.is_valid(token)
    if token:
        assert client.get(reverse("start", args=[token])).status_code == 403


def test_the_link_ages_out_in_a_week(client, link, monkeypatch):
    monkeypatch.setattr(first_run, "LIFE_SECONDS", -1)

    assert client.get(link).status_code == 403


def test_the_link_of_another_book_opens_nothing(client, link, settings):
    settings.BOOK = "another"

    assert client.get(link).status_code == 403


def test_the_way_in_is_set_up_first_and_sign_in_after(maker):
    assert first_run.way_in() == reverse("sign_in")
    maker.delete()
    assert first_run.way_in().startswith("/start/")


def test_the_demo_is_entered_by_its_link(client, demo):
    visitor = UserFactory()

    answer = client.get(first_run.way_in())

    assert answer.url == "/"
    assert int(client.session["_auth_user_id"]) == visitor.pk


def test_her_own_book_has_no_demo_door(client, maker):
    door = reverse("demo_door", args=[first_run.make_token()])

    assert client.get(door).status_code == 404
    assert "_auth_user_id" not in client.session


def test_a_forged_demo_link_lets_nobody_in(client, demo):
    UserFactory()

    assert client.get(reverse("demo_door", args=["forged"])).status_code == 403
    assert "_auth_user_id" not in client.session


def test_the_demo_is_not_set_up_as_a_book(client, demo, link):
    assert client.get(link).url == reverse("sign_in")


def test_signing_in_and_out(client):
    user = User.objects.create_user("maker", password=OWNER["password"])

    refused = client.post(reverse("sign_in"), {"username": "maker", "password": "wrong"})
    signed_in = client.post(
        reverse("sign_in"), {"username": user.username, "password": OWNER["password"]}
    )
    signed_out = client.post(reverse("sign_out"))

    assert refused.status_code == 200
    assert refused.context["form"].errors
    assert signed_in.url == "/"
    assert signed_out.url == reverse("sign_in")
    assert "_auth_user_id" not in client.session


def test_signing_in_leads_nowhere_outside(client):
    User.objects.create_user("maker", password=OWNER["password"])

    answer = client.post(
        f"{reverse('sign_in')}?next=https://elsewhere.example/",
        {"username": "maker", "password": OWNER["password"]},
    )

    assert answer.url == "/"


def test_settings_are_kept(page):
    answer = page.post(
        reverse("workshop"), filled_in(hours_per_week="24", waste_rounds="12", length_unit="cm")
    )

    assert answer.status_code == 302
    workshop = Workshop.objects.get()
    assert (workshop.hours_per_week, workshop.waste_rounds, workshop.length_unit) == (24, 12, "cm")


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("hours_per_week", "0", "greater than or equal to 1"),
        ("hours_per_week", "many", "whole number"),
        ("hours_per_week", "169", "168"),
        ("ask_share", "1.5", "is no share"),
        ("ask_share", "nan", "number"),
        ("mate_tolerance_mm", "-1", "not a length"),
        ("mate_tolerance_mm", "20 cm", "out of reach"),
        ("lot_reserve_g", "6 kg", "out of reach"),
        ("waste_rounds", "99999", "less than or equal to"),
        ("currency", "dollar", "at most 3"),
        ("currency", "", "required"),
    ],
)
def test_bad_settings_are_told_at_the_field_and_change_nothing(page, field, typed, told):
    before = Workshop.objects.values().get()

    answer = page.post(reverse("workshop"), filled_in(**{field: typed}))

    assert answer.status_code == 422
    assert told in str(answer.context["form"].errors[field])
    assert Workshop.objects.values().get() == before


def test_every_page_but_the_ways_in_needs_a_sign_in(client):
    open_ways = {"sign_in", "health"}

    for name in ("today", "find", "workshop", "glossary", "sign_in", "health"):
        answer = client.get(reverse(name))
        assert (answer.status_code == 200) == (name in open_ways), name


def test_a_form_from_elsewhere_is_refused(maker):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(maker)

    assert strict.post(reverse("workshop"), filled_in()).status_code == 403
