"""The blind count by number: what is read lies there, what is not read is named."""

import pytest

from production.core.places import PairPlace
from production.models import Act, Pair
from sales.models import CountLine, CountSeen
from sales.services import shelf, shelfscan
from tests.factories.production import who as somebody
from tests.factories.shelf import pairs_on_shelf, pattern_of

pytestmark = pytest.mark.django_db

SCAN = "/shelf/count/numbers/"


@pytest.fixture
def who(maker):
    return somebody(maker)


@pytest.fixture
def pairs(who):
    return pairs_on_shelf(4, who, pattern=pattern_of("Women 8", group="women", foot_length_mm=240))


def read(page, pairs, **more):
    numbers = "\n".join(pair.label for pair in pairs)
    return page.post(SCAN, {"numbers": numbers, "whole": "on"} | more)


def test_the_page_does_not_tell_what_the_book_expects(page, pairs):
    text = page.get(SCAN).text

    assert "Count by number" in text
    assert not any(pair.label in text for pair in pairs)


def test_what_was_not_read_is_ticked_as_missing(page, pairs):
    answer = read(page, pairs[:3])
    result = page.get(answer.url)

    line = CountLine.objects.get()
    assert (line.expected, line.counted) == (4, 3)
    assert result.context["ticked"] == [str(pairs[3].pk)]
    assert Pair.objects.filter(place=PairPlace.SHELF).count() == 4


def test_the_missing_are_written_off_with_a_reason_and_found_again(page, pairs):
    count = read(page, pairs[:3]).url
    page.post(f"{count}missing/", {"pairs": [pairs[3].pk], "reason": "moths"})
    assert Pair.objects.get(pk=pairs[3].pk).place == PairPlace.GONE

    again = page.get(read(page, pairs).url)
    page.post(f"{count}found/", {"number": pairs[3].label})

    assert [pair.pk for pair in again.context["strays"]] == [pairs[3].pk]
    assert Pair.objects.get(pk=pairs[3].pk).place == PairPlace.SHELF


def test_a_number_read_twice_counts_once(page, pairs):
    read(page, [pairs[0], pairs[0], pairs[1]])

    assert CountLine.objects.get().counted == 2
    assert CountSeen.objects.count() == 2


def test_kinds_that_were_not_read_count_only_when_it_was_the_whole_shelf(page, pairs, who):
    other = pairs_on_shelf(2, who, pattern=pattern_of("Men 9", group="men", foot_length_mm=260))

    read(page, pairs, whole="")
    part = set(CountLine.objects.values_list("pattern_id", flat=True))
    act = shelfscan.count_by_number(pairs=pairs, whole=True, who=who)

    assert part == {pairs[0].pattern_id}
    counted = dict(CountLine.objects.filter(act=act).values_list("pattern_id", "counted"))
    assert counted == {pairs[0].pattern_id: 4, other[0].pattern_id: 0}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "at least one pair"),
        ("  ,; ", "at least one pair"),
        ("P1001 P99999", "“P99999”"),
        ("sock", "“sock”"),
        ("1 " * 5001, "count at most 5000"),
    ],
)
def test_numbers_of_no_pair_are_named_and_nothing_is_counted(page, pairs, typed, said):
    answer = page.post(SCAN, {"numbers": typed, "whole": "on"})

    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors["numbers"])
    assert not CountLine.objects.exists()


def test_the_count_is_one_act_however_often_it_is_sent(page, pairs):
    key = str(page.get(SCAN).context["form"]["key"].value())
    for _ in range(2):
        read(page, pairs, key=key)

    assert Act.objects.filter(kind="count").count() == 1
    assert [act.counted for act in shelf.newest_counts()] == [4]


def test_scanned_addresses_of_pairs_are_numbers_too(pairs):
    text = " ".join(f"http://book/pairs/{pair.label}/" for pair in pairs)

    assert shelfscan.pairs_read(text) == pairs
