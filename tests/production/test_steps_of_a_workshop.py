"""Steps left out, steps back, strings that go on: what differs from the plain way."""

import pytest
from django.urls import reverse

from production.core.places import IN_WORK, STEPS, SockPlace, place_from, sock_may_go_back
from production.errors import MoveNotAllowedError, ProductionError
from production.models import Act, ActKind, String
from production.services import basket_queries, baskets, books, strings
from production.services.acts import undo_act
from socktrade.models import Workshop
from tests.factories.patterns import PatternVersionFactory
from tests.factories.production import AT, logged_string, stocked_lot, who
from tests.factories.socktrade import UserFactory, WorkshopFactory

pytestmark = pytest.mark.django_db


def leave_out(*steps):
    WorkshopFactory()
    Workshop.objects.update(skipped_steps=list(steps))


def ids_of(string):
    return list(string.socks.order_by("position").values_list("pk", flat=True))


def places(string):
    return list(string.socks.order_by("position").values_list("place", flat=True))


# steps that are not done here


def test_socks_pass_by_the_steps_that_are_left_out():
    leave_out("seam", "block")
    string = logged_string(count=1)
    seen = places(string)
    for step in ("cut", "wash", "dry"):
        baskets.do_step(step=step, sock_ids=ids_of(string), who=who())
        seen += places(string)

    assert seen == [SockPlace.TO_CUT, SockPlace.TO_WASH, SockPlace.TO_DRY, SockPlace.TO_MATE]
    assert list(books.disagreements()) == []


def test_a_string_goes_straight_to_the_first_step_that_is_done():
    leave_out("cut", "seam")

    assert places(logged_string(count=1)) == [SockPlace.TO_WASH]


def test_a_step_left_out_shows_only_while_socks_wait_in_it():
    logged_string(count=1)
    leave_out("cut", "block")

    assert [card.key for card in basket_queries.basket_cards()] == [
        "cut", "seam", "wash", "dry", "mate", "tag",
    ]  # fmt: skip


def test_left_out_steps_keep_the_order_of_the_others():
    keys = [step.key for step in STEPS]
    for nth in range(2 ** len(keys)):
        skipped = {key for bit, key in enumerate(keys) if nth >> bit & 1}
        ends = [place_from(step.end, skipped) for step in STEPS if step.key not in skipped]

        assert ends == sorted(ends, key=IN_WORK.index)
        assert not ends or ends[-1] == SockPlace.TO_MATE


def test_she_switches_steps_off_on_the_page_of_the_workshop(page):
    form = page.get("/workshop/").context["form"]
    sent = {name: form[name].value() for name in form.fields if form[name].value() is not None}

    page.post("/workshop/", sent | {"skipped_steps": ["wash", "block"]})

    # Without the wash nothing hangs wet, so drying goes with it.
    assert set(Workshop.current().skipped_steps) == {"wash", "block", "dry"}


# back a step, as an act of its own


def test_one_sock_goes_back_when_an_undo_would_take_back_too_much():
    string = logged_string(count=3)
    baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())
    first, *_ = ids_of(string)

    act = baskets.step_back(sock_ids=[first], who=who(), note="cut into the toe")

    assert places(string) == [SockPlace.TO_CUT, SockPlace.TO_SEAM, SockPlace.TO_SEAM]
    assert (act.kind, act.note) == (ActKind.BACK, "cut into the toe")
    undo_act(act_id=act.pk, by=UserFactory(), at=AT)
    assert places(string) == [SockPlace.TO_SEAM] * 3
    assert list(books.disagreements()) == []


def test_a_step_back_passes_by_what_is_left_out():
    leave_out("seam")
    string = logged_string(count=1)
    baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())

    baskets.step_back(sock_ids=ids_of(string), who=who())

    assert places(string) == [SockPlace.TO_CUT]


def test_the_first_basket_and_two_baskets_at_once_are_refused():
    string = logged_string(count=2)
    one, two = ids_of(string)
    with pytest.raises(MoveNotAllowedError, match="no step before"):
        baskets.step_back(sock_ids=[one], who=who())
    baskets.do_step(step="cut", sock_ids=[one], who=who())

    with pytest.raises(MoveNotAllowedError, match="one basket at a time; nothing was moved"):
        baskets.step_back(sock_ids=[one, two], who=who())
    with pytest.raises(ProductionError, match="Tick the socks first"):
        baskets.step_back(sock_ids=[], who=who())

    assert not Act.objects.filter(kind=ActKind.BACK).exists()


def test_back_leads_only_to_an_earlier_basket():
    for nth, start in enumerate(IN_WORK):
        allowed = [end for end in SockPlace if sock_may_go_back(start, end)]

        assert allowed == list(IN_WORK[:nth])


def test_ticked_socks_go_back_from_the_page_of_a_basket(page):
    string = logged_string(count=2)
    baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())

    page.post(
        reverse("production:basket_detail", args=["seam"]),
        {"socks": ids_of(string)[:1], "back": "yes"},
    )

    assert places(string) == [SockPlace.TO_CUT, SockPlace.TO_SEAM]


def test_a_sock_goes_back_from_its_own_page(page):
    string = logged_string(count=2)
    baskets.do_step(step="cut", sock_ids=ids_of(string), who=who())
    sock = string.socks.get(position=1)

    page.post(reverse("production:sock_back", args=[string.number, 1]), {"note": "again"})

    sock.refresh_from_db()
    assert sock.place == SockPlace.TO_CUT
    assert "put back a step" in page.get(sock.get_absolute_url()).text.lower()


# a string that stays on the machine


def knit(count=2, *, version=None, lot=None):
    version, lot = version or PatternVersionFactory(), lot or stocked_lot()
    return [strings.Run(version=version, count=count, lot=lot)]


def test_a_string_is_resumed_and_its_socks_count_on():
    string = strings.log_string(runs=knit(4), who=who(), goes_on=True)

    act = strings.resume_string(string=string, runs=knit(3), who=who(), minutes=80)

    assert [sock.number for sock in string.socks.order_by("position")][-1] == "1-07"
    assert (act.sock_moves.count(), act.minutes) == (3, 80)
    assert not strings.last_on_machine().exists()
    assert list(books.disagreements()) == []


def test_what_came_off_the_machine_is_not_resumed():
    string = strings.log_string(runs=knit(), who=who())

    with pytest.raises(ProductionError, match="came off the machine"):
        strings.resume_string(string=string, runs=knit(), who=who())

    assert string.socks.count() == 2


def test_an_undone_resumption_leaves_the_string_on_the_machine():
    string = strings.log_string(runs=knit(2), who=who(), goes_on=True)
    act = strings.resume_string(string=string, runs=knit(2), who=who())

    undo_act(act_id=act.pk, by=UserFactory(), at=AT)
    strings.resume_string(string=string, runs=knit(1), who=who(), goes_on=True)

    assert places(string) == ["to_cut", "to_cut", "unmade", "unmade", "to_cut"]
    assert [run.string_id for run in strings.last_on_machine()] == [string.pk]
    assert list(books.disagreements()) == []


def test_a_string_taken_back_is_on_no_machine():
    string = strings.log_string(runs=knit(2), who=who(), goes_on=True)

    undo_act(act_id=string.act_id, by=UserFactory(), at=AT)

    assert not strings.last_on_machine().exists()


def test_resumed_socks_count_towards_the_most_a_string_holds():
    string = strings.log_string(runs=knit(199), who=who(), goes_on=True)

    with pytest.raises(ProductionError, match="201 socks are more"):
        strings.resume_string(string=string, runs=knit(2), who=who())


def test_home_and_strings_offer_to_go_on_with_the_string(page, maker):
    version, lot = PatternVersionFactory(), stocked_lot(by=maker)
    sent = {"version": version.pk, "lot": lot.pk, "count": "4", "goes_on": "on"}
    page.post(reverse("production:string_new"), sent)
    address = reverse("production:string_resume", args=[1])

    for shown in ("/", "/strings/", "/strings/new/", "/strings/1/"):
        assert address in page.get(shown).text
    answer = page.post(address, {"version": version.pk, "lot": lot.pk, "count": "2"})

    assert answer.url == "/strings/1/"
    assert String.objects.get().socks.count() == 6
    assert address not in page.get("/").text


def test_the_row_card_brings_version_and_count_along(page, maker):
    version = PatternVersionFactory()
    stocked_lot(by=maker)

    answer = page.get(f"/log/?version={version.pk}&count=12&next=elsewhere", follow=True)

    form = answer.context["form"]
    assert (form["version"].value(), form["count"].value()) == (version.pk, 12)


def test_what_the_page_proposes_is_logged_as_it_stands(page, maker):
    # Two taps from home: log a string, then the button. Every default comes from the last.
    logged_string(count=6, by=maker)
    form = page.get("/strings/new/").context["form"]
    shown = {name: form[name].value() for name in ("version", "lot", "count")}

    page.post("/strings/new/", shown)

    assert String.objects.get(number=2).socks.count() == 6
