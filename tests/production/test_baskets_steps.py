import pytest
from django.urls import reverse

from production.core.places import SockPlace
from production.models import Act, Sock
from production.services import baskets, loads
from tests.factories.production import brought_to, ids_of, places, stocked_lot, who

pytestmark = pytest.mark.django_db


def address(key):
    return reverse("production:basket_detail", args=[key])


# blocking


def test_a_measured_foot_is_noted_in_millimetres(page):
    string = brought_to("block", count=3)
    one, two, three = ids_of(string)

    page.post(address("block"), {"socks": [one, two], f"foot_{one}": "9 1/4", f"foot_{three}": ""})

    feet = dict(string.socks.values_list("pk", "foot_mm"))
    # 9.25 in at 25.4 mm to the inch, exact by definition, is 234.95 mm.
    assert feet == {one: 235, two: None, three: None}
    assert places(string) == [SockPlace.TO_MATE, SockPlace.TO_MATE, SockPlace.TO_BLOCK]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("nine", "is not a length"),
        ("0", "is out of reach here"),
        ("900 mm", "is out of reach here"),
        ("9**9**9", "is not a length"),
    ],
)
def test_a_measure_that_is_no_foot_is_asked_about_at_its_sock(page, typed, said):
    string = brought_to("block")
    one, two = ids_of(string)

    answer = page.post(address("block"), {"socks": [one, two], f"foot_{one}": typed})

    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[f"foot_{one}"])
    assert f'value="{typed}"' in answer.content.decode()
    assert f'id="foot-{one}-error"' in answer.content.decode()
    assert places(string) == [SockPlace.TO_BLOCK] * 2


def test_a_measure_without_a_tick_is_asked_about(page):
    string = brought_to("block")
    one, two = ids_of(string)

    answer = page.post(address("block"), {"socks": [one], f"foot_{two}": "9.2"})

    assert answer.status_code == 422
    assert "Measured but not ticked" in answer.content.decode()
    assert places(string) == [SockPlace.TO_BLOCK] * 2


def test_the_measure_of_a_sock_that_moved_meanwhile_is_shown_again(page):
    string = brought_to("block")
    one, two = ids_of(string)
    baskets.do_step(step="block", sock_ids=[one], who=who())

    answer = page.post(
        address("block"), {"socks": [one, two], f"foot_{one}": "9.2", f"foot_{two}": "9.3"}
    )

    text = answer.content.decode()
    assert answer.status_code == 422
    assert "your measure 9.2 is not noted yet" in text
    assert 'value="9.3"' in text


# the wash


def wash_string(care, **of_string):
    return brought_to("wash", lot=stocked_lot(yarn__care=care), **of_string)


def test_the_wash_basket_shows_the_care_of_its_yarns_by_load(page):
    wash_string("Superwash/nylon")
    wash_string("Non-superwash wool")
    wash_string("")

    answer = page.get(address("wash"))

    text = answer.content.decode()
    names = [load.name for load in answer.context["loads"]]
    assert names == ["Machine wash cold, gentle cycle", "Hand wash cold", "Care not known"]
    # Care words in the order and terms of 16 CFR 423.6 and its appendix A.
    assert "Hand wash cold. Do not bleach. Do not wring or twist. Dry flat." in text
    assert "first wash" in text
    assert "Hot water and rubbing felt wool" in text


def test_a_lot_that_was_washed_before_is_not_marked_again(page):
    lot = stocked_lot()
    brought_to("dry", lot=lot)
    brought_to("wash", lot=lot)

    [yarn] = page.get(address("wash")).context["yarns"]

    assert yarn.first_time == ()


def test_yarns_that_may_not_share_a_load_are_questioned_once_and_then_believed(page):
    soft = wash_string("Non-superwash wool")
    hardy = wash_string("Superwash/nylon")
    ids = ids_of(soft) + ids_of(hardy)

    asked = page.post(address("wash"), {"socks": ids})

    assert asked.status_code == 422
    assert "may not share a load" in " ".join(asked.context["form"].errors["together"])
    assert asked.content.decode().count(" checked>") == 4
    assert places(soft) + places(hardy) == [SockPlace.TO_WASH] * 4

    page.post(address("wash"), {"socks": ids, "together": "on"})
    assert places(soft) + places(hardy) == [SockPlace.TO_DRY] * 4
    assert "care of the yarns differs" in Act.objects.latest("pk").note


def test_one_load_is_washed_without_a_question(page):
    soft = wash_string("Non-superwash wool")
    wash_string("Superwash/nylon")

    page.post(address("wash"), {"socks": ids_of(soft)})

    assert places(soft) == [SockPlace.TO_DRY] * 2


def test_many_clashes_are_cut_short():
    cares = ["Superwash/nylon", "Non-superwash wool", "Cotton", "Acrylic"]
    for care in cares:
        wash_string(care)
    socks = list(Sock.objects.with_kind().prefetch_related("run__yarns__lot__yarn"))

    said = loads.clashes(socks)

    # Six couples of four different washes, five of them named.
    assert len(said) == 6
    assert said[-1] == "And 1 more of the kind."
