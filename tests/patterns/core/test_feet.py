import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.feet import (
    SYSTEMS,
    eu_sock_pair,
    foot_length_mm,
    guess_ball_mm,
    hosiery_size,
    shoe_size,
    size_range_text,
    size_text,
)

feet_mm = st.floats(60, 400)
systems = st.sampled_from(SYSTEMS)


@pytest.mark.parametrize(
    ("system", "size", "inches"),
    [
        ("us_child", 0, 3.222),
        ("us_child", 1, 3.556),
        ("us_child", 13, 7.556),
        ("us_youth", 1, 7.889),
        ("us_youth", 6, 9.556),
        ("us_men", 3, 8.333),
        ("us_men", 10, 10.667),
        ("us_men", 16, 12.667),
        ("us_women", 4.5, 8.333),
        ("us_women", 8.5, 9.667),
        ("us_women_athletic", 8, 9.667),
        ("uk_adult", 9, 10.667),
        ("uk_child", 13, 7.667),
        ("us_youth_as_men", 6, 9.333),
    ],
)
def test_foot_length_follows_the_scales(system, size, inches):
    foot_mm = foot_length_mm(system, size)

    assert foot_mm / 25.4 == pytest.approx(inches, abs=0.0005)
    assert shoe_size(system, foot_mm) == pytest.approx(size)


@given(systems.filter(lambda system: system != "mondopoint"), feet_mm)
def test_size_and_foot_length_go_round(system, foot_mm):
    assert foot_length_mm(system, shoe_size(system, foot_mm)) == pytest.approx(foot_mm)


def test_the_ladders_join_where_numbering_restarts():
    assert foot_length_mm("us_youth", 1) == pytest.approx(foot_length_mm("us_child", 14))
    assert foot_length_mm("uk_adult", 1) == pytest.approx(foot_length_mm("uk_child", 14))
    # Two conventions for youth sizes differ by 0.22 in.
    other_mm = foot_length_mm("us_youth_as_men", 6)
    assert foot_length_mm("us_youth", 6) - other_mm == pytest.approx(0.22 * 25.4, abs=0.1)


@pytest.mark.parametrize(("foot_mm", "size"), [(267.4, 265), (267.5, 270), (244, 245)])
def test_mondopoint_is_the_foot_in_fives(foot_mm, size):
    assert shoe_size("mondopoint", foot_mm) == size
    assert foot_length_mm("mondopoint", foot_mm) == foot_mm


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: foot_length_mm("us_dogs", 8), "system is 'us_dogs'; allowed: us_women"),
        (lambda: foot_length_mm("us_men", 40), "size is 40; allowed: .* in us_men"),
        (lambda: foot_length_mm("eu", float("nan")), "size is nan"),
        (lambda: foot_length_mm("eu", "42"), "size is '42'"),
        (lambda: foot_length_mm("eu", 10**400), "size is 1000"),
        (lambda: shoe_size("eu", 59.9), "foot_length_mm is 59.9; allowed: 60 to 400 mm"),
        (lambda: shoe_size(None, 250), "system is None"),
        (lambda: shoe_size([], 250), r"system is \[\]"),
        (lambda: hosiery_size(20), "sock_foot_mm is 20; allowed: 40 to 420 mm"),
        (lambda: guess_ball_mm(-1), "foot_length_mm is -1"),
        (lambda: size_range_text("eu", 260, 250), "high_mm is 250; allowed: 260 to 400"),
    ],
)
def test_bad_input_is_named_with_what_is_allowed(call, message):
    with pytest.raises(ValueError, match=message):
        call()


@pytest.mark.parametrize(
    ("sock_in", "size"),
    # Trade rule: no shortness allowed, so 8 3/4 is marked 8 1/2.
    [(8.75, 8.5), (9.45, 9), (10.18, 10), (9.2, 9), (9.0, 9), (9.4999999999, 9.5)],
)
def test_hosiery_size_is_never_rounded_up(sock_in, size):
    assert hosiery_size(sock_in * 25.4) == size


@given(st.floats(60, 400))
def test_hosiery_size_stays_within_half_an_inch_under_the_sock(sock_mm):
    inches = sock_mm / 25.4

    assert inches - 0.5 < hosiery_size(sock_mm) <= inches + 1e-9


@pytest.mark.parametrize(
    ("foot_mm", "extrapolated", "sd"),
    [(199, True, 21.14), (200, False, 10.57), (90.3, True, 21.14)],
)
def test_guess_ball_says_when_it_only_extends_the_line(foot_mm, extrapolated, sd):
    guess = guess_ball_mm(foot_mm)

    assert guess.extrapolated is extrapolated
    assert guess.sd == pytest.approx(sd)


@pytest.mark.parametrize(
    ("foot_mm", "pair"),
    # Ends of the half-point bands: 35-38 covers 216.7-243.3, 39-42 243.3-270.0.
    [
        (216.5, (31, 34)),
        (216.8, (35, 38)),
        (243.2, (35, 38)),
        (243.5, (39, 42)),
        (269.9, (39, 42)),
        (270.1, (43, 46)),
        (100, None),
        (390, None),
    ],
)
def test_eu_sock_pairs_have_no_hole_between_them(foot_mm, pair):
    assert eu_sock_pair(foot_mm) == pair


@pytest.mark.parametrize(
    ("system", "foot_mm", "text"),
    [
        ("us_women", 245.5, "US women 8½"),
        ("us_men", 270.9, "US men 10"),
        ("us_women_athletic", 245.5, "US women 8"),
        ("us_men", 149.6, "US child 8"),
        ("us_men", 200.4, "US youth 1"),
        ("us_child", 191.9, "US child 13"),
        ("us_child", 197.0, "US child 13½"),
        ("us_child", 200.0, "US youth 1"),
        ("us_child", 242.7, "US youth 6"),
        ("us_youth_as_men", 237.1, "US youth 6"),
        ("us_child", 270.9, "US men 10"),
        ("us_women", 62, "under US child 0"),
        ("uk_adult", 195, "UK child 13"),
        ("uk_child", 245.53, "UK 6"),
        ("uk_adult", 88, "UK child ½"),
        ("eu", 246.6, "EU 39"),
        ("eu", 270.0, "EU 42½"),
        ("mondopoint", 271, "Mondopoint 270"),
    ],
)
def test_size_text_names_the_rung_a_foot_belongs_to(system, foot_mm, text):
    assert size_text(system, foot_mm) == text


@pytest.mark.parametrize(
    ("system", "low_mm", "high_mm", "text"),
    [
        # The 72-needle sock of 64 foot rows: US men 8.55-11.94, women 10.05-13.44, EU 40.8-45.1.
        ("us_men", 258.6, 287.4, "US men 9 to 11½"),
        ("us_women", 258.6, 287.4, "US women 10½ to 13"),
        ("eu", 258.6, 287.4, "EU 41 to 45"),
        ("us_child", 180, 215, "US child 12 to US youth 2½"),
        ("us_men", 262.4, 262.5, "US men 9"),
        ("us_men", 255.0, 257.0, "between US men 8 and US men 8½"),
        ("us_child", 62, 90.4, "US child 0 to 1"),
        ("us_child", 62, 70, "under US child 0"),
        ("mondopoint", 258.6, 287.4, "Mondopoint 260 to 285"),
    ],
)
def test_size_range_text_keeps_inside_what_fits(system, low_mm, high_mm, text):
    assert size_range_text(system, low_mm, high_mm) == text


SYSTEM_OF_NAME = {
    "us_men": {"US men": "us_men", "US youth": "us_youth", "US child": "us_child"},
    "us_women": {"US women": "us_women", "US youth": "us_youth", "US child": "us_child"},
    "us_child": {"US men": "us_men", "US youth": "us_youth", "US child": "us_child"},
    "uk_adult": {"UK": "uk_adult", "UK child": "uk_child"},
    "eu": {"EU": "eu"},
}


def foot_of(system, text):
    name, _, number = text.rpartition(" ")
    size = sum(0.5 if sign == "½" else 0 for sign in number)
    size += float(number.replace("½", "") or 0)
    return foot_length_mm(SYSTEM_OF_NAME[system][name], size)


@given(st.sampled_from(sorted(SYSTEM_OF_NAME)), st.floats(100, 360), st.floats(0, 30))
def test_printed_sizes_are_feet_inside_the_range(system, low_mm, more_mm):
    text = size_range_text(system, low_mm, low_mm + more_mm)

    first, _, last = text.removeprefix("between ").partition(
        " and " if text.startswith("between") else " to "
    )
    if last and " " not in last:
        last = f"{first.rpartition(' ')[0]} {last}"
    first_mm, last_mm = foot_of(system, first), foot_of(system, last or first)
    if text.startswith("between"):
        assert first_mm < low_mm
        assert last_mm > low_mm + more_mm
    else:
        assert low_mm - 1e-6 <= first_mm <= last_mm <= low_mm + more_mm + 1e-6
