import pytest
from django.urls import reverse

from production.core.places import STEPS, PairPlace, SockPlace
from production.models import Act, Quality, Sock
from production.services import baskets, pairs
from production.services.acts import undo_act
from production.services.finding import find_things
from production.services.stories import story_of_pair, story_of_sock
from tests.factories.patterns import DesignFactory, PatternFactory, PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot, who
from tests.factories.socktrade import UserFactory

pytestmark = pytest.mark.django_db


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def pair_of(string):
    """Take the first two socks of a string through every step and mate them."""
    ids = ids_of(string)
    for step in STEPS:
        baskets.do_step(step=step.key, sock_ids=ids, who=who(), minutes=8)
    act = pairs.mate_socks(couples=[(ids[0], ids[1])], who=who())
    return act.pair_moves.get().pair


def kinds(story):
    return [entry.act.kind for entry in story.entries]


# pairs


def test_a_pair_tells_its_whole_life_in_order(page):
    string = logged_string(faults={2: "small hole"})
    pair = pair_of(string)

    answer = page.get(pair.get_absolute_url())

    text = answer.content.decode()
    story = answer.context["story"]
    assert kinds(story) == ["string", *(step.key for step in STEPS), "mate"]
    assert "small hole" in text
    assert "8 min in all" in text
    assert f"into {pair.label}" in text
    assert story.undoable.kind == "mate"
    assert "29.3" not in text
    # Two socks of 29.3 g each (the planned figure of the version).
    assert "58.6 g planned" in text


def test_a_pair_is_split_and_its_story_ends_there(page):
    string = logged_string()
    pair = pair_of(string)

    page.post(reverse("production:pair_split", args=[pair.number]), {"note": "one too short"})

    pair.refresh_from_db()
    assert pair.place == PairPlace.SPLIT
    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.TO_MATE}
    baskets.note_sock(sock=string.socks.first(), quality=Quality.SECOND, fault="stain", who=who())
    story = story_of_pair(pair)
    assert kinds(story)[-1] == "split"
    assert story.undoable is None
    assert "one too short" in page.get(pair.get_absolute_url()).content.decode()


def test_a_split_can_be_taken_back_from_the_note_above_the_page(page):
    pair = pair_of(logged_string())
    page.post(reverse("production:pair_split", args=[pair.number]), {"note": ""})

    page.post(reverse("act_undo"), {"act": Act.objects.latest("pk").pk, "next": "/"})

    pair.refresh_from_db()
    assert pair.place == PairPlace.TO_TAG
    assert pair.socks.count() == 2


def test_a_pair_that_is_not_at_home_is_not_split(page):
    pair = pair_of(logged_string())
    pairs.split_pair(pair=pair, who=who())
    acts = Act.objects.count()

    answer = page.post(reverse("production:pair_split", args=[pair.number]), {"note": ""})

    assert answer.status_code == 422
    assert "cannot go split" in answer.content.decode()
    assert Act.objects.count() == acts


def test_the_undo_of_an_act_that_moved_others_says_so(page):
    string = logged_string(count=4)
    ids = ids_of(string)
    act = baskets.do_step(step="cut", sock_ids=ids, who=who())
    sock = Sock.objects.get(pk=ids[0])

    answer = page.get(sock.get_absolute_url())

    assert answer.context["story"].undoable == act
    assert "moved 3 others too" in answer.content.decode()


@pytest.mark.parametrize("number", [1, 10**9, 10**30])
def test_a_pair_that_is_not_in_the_book_is_not_found(page, number):
    assert page.get(reverse("production:pair_detail", args=[number])).status_code == 404


def test_the_page_of_a_pair_asks_as_often_after_many_acts(page, django_assert_max_num_queries):
    pair = pair_of(logged_string())
    sock = pair.socks.first()
    baskets.measure_sock(sock=sock, foot_mm=229, who=who())
    page.get(pair.get_absolute_url())
    with django_assert_max_num_queries(16) as few:
        page.get(pair.get_absolute_url())
    for foot in range(230, 240):
        baskets.measure_sock(sock=sock, foot_mm=foot, who=who())

    with django_assert_max_num_queries(16) as many:
        page.get(pair.get_absolute_url())

    assert len(many) == len(few)


# socks


def note_address(sock):
    return reverse("production:sock_note", args=[sock.string.number, sock.position])


def measure_address(sock):
    return reverse("production:sock_measure", args=[sock.string.number, sock.position])


def test_a_sock_is_noted_as_a_second_with_its_fault(page):
    sock = logged_string().socks.first()

    answer = page.post(note_address(sock), {"quality": "second", "fault": "ladder"}, follow=True)

    sock.refresh_from_db()
    assert (sock.quality, sock.fault, sock.place) == ("second", "ladder", SockPlace.TO_CUT)
    assert f"{sock.number}: fault ladder" in answer.content.decode()


def test_a_scrapped_sock_leaves_its_basket_and_is_not_noted_again(page):
    sock = logged_string().socks.first()
    page.post(note_address(sock), {"quality": "scrap", "fault": "felted"})
    acts = Act.objects.count()

    answer = page.post(note_address(sock), {"quality": "first", "fault": ""})

    sock.refresh_from_db()
    assert (sock.place, sock.quality) == (SockPlace.SCRAP, "scrap")
    assert answer.status_code == 422
    assert "is scrapped" in answer.content.decode()
    assert Act.objects.count() == acts


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({"quality": "second", "fault": "  "}, "fault", "Name the fault"),
        ({"quality": "scrap", "fault": ""}, "fault", "Name the fault"),
        ({"quality": "perfect", "fault": ""}, "quality", "Select a valid choice"),
        ({"fault": "hole"}, "quality", "This field is required."),
        ({"quality": "second", "fault": "x" * 121}, "fault", "at most 120 characters"),
        ({"quality": "first", "fault": ""}, "quality", "what the book says"),
    ],
)
def test_a_note_that_says_too_little_is_asked_about(page, sent, field, said):
    sock = logged_string().socks.first()
    acts = Act.objects.count()

    answer = page.post(note_address(sock), sent)

    assert answer.status_code == 422
    assert said in " ".join(answer.context["note"].errors[field])
    assert not answer.context["measure"].errors
    assert Act.objects.count() == acts


def test_a_sock_in_a_pair_is_not_noted(page):
    pair = pair_of(logged_string())
    sock = pair.socks.first()

    shown = page.get(sock.get_absolute_url())
    answer = page.post(note_address(sock), {"quality": "second", "fault": "hole"})

    assert f'split <a href="{pair.get_absolute_url()}">' in shown.content.decode()
    assert answer.status_code == 422
    assert "Split the pair first." in answer.content.decode()


def test_a_measured_foot_is_noted_and_can_be_taken_back(page):
    sock = logged_string().socks.first()

    answer = page.post(measure_address(sock), {"foot_mm": "23.3 cm"}, follow=True)

    sock.refresh_from_db()
    assert sock.foot_mm == 233
    # 233 mm / 25.4 mm in an inch = 9.17 in.
    assert "foot 9.17 in" in answer.content.decode()
    page.post(reverse("act_undo"), {"act": Act.objects.latest("pk").pk, "next": "/"})
    sock.refresh_from_db()
    assert sock.foot_mm is None
    assert page.get(sock.get_absolute_url()).status_code == 200


@pytest.mark.parametrize("typed", ["", "long", "-9", "0", "3000", "1e9"])
def test_a_measure_that_is_no_foot_is_asked_about(page, typed):
    sock = logged_string().socks.first()

    answer = page.post(measure_address(sock), {"foot_mm": typed})

    sock.refresh_from_db()
    assert answer.status_code == 422
    assert answer.context["measure"].errors["foot_mm"]
    assert sock.foot_mm is None


def test_a_sock_that_was_never_made_is_not_measured(page):
    string = logged_string()
    undo_act(act_id=string.act_id, by=UserFactory(), at=AT)
    sock = string.socks.first()

    answer = page.post(measure_address(sock), {"foot_mm": "9"})

    assert answer.status_code == 422
    assert "nothing to measure" in answer.content.decode()
    assert story_of_sock(sock).undoable is None


def test_an_undone_act_stays_in_the_story_and_the_one_before_may_be_undone():
    string = logged_string()
    ids = ids_of(string)
    cut = baskets.do_step(step="cut", sock_ids=ids, who=who())
    seam = baskets.do_step(step="seam", sock_ids=ids, who=who())
    undo_act(act_id=seam.pk, by=UserFactory(), at=AT)

    story = story_of_sock(string.socks.first())

    assert kinds(story) == ["string", "cut", "seam", "undo"]
    assert story.undoable == cut
    undo_act(act_id=cut.pk, by=UserFactory(), at=AT)
    assert set(string.socks.values_list("place", flat=True)) == {SockPlace.TO_CUT}


def test_a_sock_that_is_not_in_the_book_is_not_found(page):
    for number, position in [(1, 1), (10**25, 1), (1, 10**25)]:
        address = reverse("production:sock_detail", args=[number, position])
        assert page.get(address).status_code == 404


# finding


def found(text):
    return [(one.kind, one.url) for one in find_things(text)]


@pytest.fixture
def book():
    version = PatternVersionFactory(
        pattern=PatternFactory(design=DesignFactory(name="Quay rib"), size_name="Men 11")
    )
    lot = stocked_lot(code="K-77", yarn__name="Moor wool", yarn__colour="Peat")
    string = logged_string(version=version, lot=lot)
    return {"pair": pair_of(string), "string": string, "lot": lot, "pattern": version.pattern}


@pytest.mark.parametrize(
    "text", ["{n}-01", "{n}-1", " {n}-01 ", "https://x.example/strings/{n}/1/"]
)
def test_a_sock_is_found_by_its_number(book, text):
    sock = book["string"].socks.get(position=1)

    assert found(text.format(n=book["string"].number)) == [("sock", sock.get_absolute_url())]


@pytest.mark.parametrize("text", ["P1001", "p1001", "1001", "https://socks.example/pairs/P1001/"])
def test_a_pair_is_found_by_its_number_or_a_scanned_address(book, text):
    assert found(text) == [("pair", book["pair"].get_absolute_url())]


@pytest.mark.parametrize("text", ["{n}", "string {n}", "String {n}", "/strings/{n}/"])
def test_a_string_is_found_by_its_number(book, text):
    url = book["string"].get_absolute_url()

    assert ("string", url) in found(text.format(n=book["string"].number))


@pytest.mark.parametrize("text", ["K-77", "k-77", "moor", "peat moor"])
def test_a_lot_is_found_by_its_code_or_its_yarn(book, text):
    assert ("lot", book["lot"].get_absolute_url()) in found(text)


@pytest.mark.parametrize("text", ["quay", "QUAY RIB", "rib men", "Men 11"])
def test_a_pattern_is_found_by_its_design_and_size(book, text):
    assert ("pattern", book["pattern"].get_absolute_url()) in found(text)


def test_every_word_has_to_match(book):
    assert found("quay peat") == []


@pytest.mark.parametrize(
    "text",
    ["", "   ", "%", "_", "' OR 1=1 --", "\0", "\x1b[31m", "9" * 200, "P" + "9" * 10, "--",
     "zq " * 500, "<script>alert(1)</script>", "9999999999-1", "💥", "1-99999"],
)  # fmt: skip
def test_hostile_text_finds_nothing_and_harms_nothing(book, text):
    assert find_things(text) == []


def test_no_more_than_twenty_things_are_found():
    for _ in range(25):
        PatternFactory(design=DesignFactory(name=f"Harbour {_}"))

    assert len(find_things("harbour")) == 20


def test_finding_asks_as_often_among_many(book, django_assert_max_num_queries):
    with django_assert_max_num_queries(5) as few:
        find_things("wool")
    for number in range(5):
        stocked_lot(yarn__name=f"Other wool {number}")

    with django_assert_max_num_queries(5) as many:
        find_things("wool")

    assert len(many) == len(few)


def test_the_find_page_opens_the_one_thing_that_a_tag_names(page, book):
    answer = page.get(reverse("find"), {"q": "P1001"})

    assert answer.status_code == 302
    assert answer["Location"] == book["pair"].get_absolute_url()
