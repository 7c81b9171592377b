"""What machine, washed socks and finished work teach."""

import pytest

from patterns.services.logbook import ENOUGH, TimedString, Times, hand_in, measured_foot_mm
from production.services.logbook import Logbook
from socktrade.models import Workshop
from tests.factories.patterns import make_version

pytestmark = pytest.mark.django_db
HABITS = {
    "counter_in_turns": "round",
    "counter_restarts": "section",
    "carrier_rests": "left",
    "heel_half": "back",
    "toe_half": "other",
    "turn_note": "Forks on the left",
    "waste_rounds": "12",
}


class Kept:
    """A logbook with these figures."""

    def __init__(self, strings=(), seams=(), feet=()):
        self.strings, self.seams, self.feet = strings, seams, feet

    def timed_strings(self):
        return self.strings

    def seam_minutes(self):
        return self.seams

    def feet_mm(self, _version_id):
        return self.feet


@pytest.fixture
def logbook():
    yield hand_in
    hand_in(Logbook())


def of_the_64():
    return Times().of(needles=64, machine_minutes=50, seam_minutes=17.5)


def test_the_machine_is_asked_once_and_kept_for_the_workshop(page, at):
    version = make_version(at=at)
    card = f"/patterns/versions/{version.pk}/card/?socks=1"

    answer = page.post("/patterns/machine/", HABITS | {"next": card})

    assert answer.url == card
    steps = page.get(card).context["steps"]
    assert steps[0].rows == 12
    heel = next(step for step in steps if step.section == "heel")
    assert (heel.counter_from, heel.counter_to) == (0, 22)
    assert "The back half knits the heel." in heel.cautions
    assert "Forks on the left" in heel.cautions
    toe = next(step for step in steps if step.section == "toe")
    assert any("front half: its seam lies under the toes" in one for one in toe.cautions)


@pytest.mark.parametrize(
    ("name", "text"), [("waste_rounds", "900"), ("toe_half", "left"), ("counter_in_turns", "")]
)
def test_a_machine_that_cannot_be_says_so_at_its_field(page, name, text):
    answer = page.post("/patterns/machine/", HABITS | {name: text})

    assert answer.status_code == 422
    assert answer.context["form"].errors[name]
    assert not Workshop.objects.get().machine_told


def test_the_way_back_never_leaves_the_book(page):
    answer = page.post("/patterns/machine/", HABITS | {"next": "https://elsewhere.example/"})

    assert answer.url == "/patterns/machine/"


def test_a_washed_sock_teaches_what_heel_and_toe_give(page, at):
    # a = (c * length - foot rows) / (passes of heel and toe): 11 rows an inch, 57 + 44 passes
    # of which 44 count along the sole; 8.9 in gives (97.9 - 57) / 44 = 0.93.
    version = make_version(at=at, needles=(64,))
    learn = f"/patterns/versions/{version.pk}/learn/"

    shown = page.post(learn, {"sock_foot": "8.9 in"})
    assert shown.context["factor"] == pytest.approx(0.9295, abs=0.0005)
    assert Workshop.objects.get().heel_factor == 1
    page.post(learn, {"sock_foot": "8.9 in", "keep": "1"})

    workshop = Workshop.objects.get()
    assert (workshop.heel_factor, workshop.toe_factor) == pytest.approx((0.9295, 0.9295), abs=5e-4)
    text = page.get("/patterns/plan/").content.decode()
    assert "Empty for yours, 0.93." in text


def test_a_sock_that_is_no_sock_teaches_nothing(page, at):
    version = make_version(at=at)

    answer = page.post(f"/patterns/versions/{version.pk}/learn/", {"sock_foot": "0", "keep": "1"})

    assert answer.status_code == 422
    assert Workshop.objects.get().heel_factor == 1


def test_measured_socks_fill_the_question_in(page, at, logbook):
    version = make_version(at=at)
    logbook(Kept(feet=(224.0, 226.0, 230.0)))

    text = page.get(f"/patterns/versions/{version.pk}/learn/").content.decode()

    assert measured_foot_mm(version.pk) == (226.0, 3)
    assert "3 washed socks of this version were measured" in text
    assert 'value="8.9 in"' in text


def test_her_own_minutes_replace_the_planned_ones_once_there_are_enough(logbook):
    strings = [TimedString(64, minutes, 100.0) for minutes in (120, 130, 110, 90, 125)]
    logbook(Kept(strings[: ENOUGH - 1]))
    assert (of_the_64().machine, of_the_64().strings) == (50, 0)

    logbook(Kept(strings, seams=(6, 7, 8, 9, 10)))

    minutes = of_the_64()
    assert minutes.machine == pytest.approx(50 * 1.2)
    assert minutes.seam == pytest.approx(16)
    assert (minutes.strings, minutes.seams) == (5, 5)


def test_minutes_of_another_cylinder_do_not_count(logbook):
    logbook(Kept([TimedString(72, 120, 100.0)] * 8))

    assert of_the_64().machine == 50


def test_a_page_names_where_its_minutes_come_from(page, at, logbook):
    logbook(Kept([TimedString(64, 120, 100.0)] * 6))
    version = make_version(at=at, needles=(64,))

    text = page.get(version.pattern.get_absolute_url()).content.decode()

    assert "your own, from 6 logged strings" in text
