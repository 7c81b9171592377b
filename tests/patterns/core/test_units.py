import contextlib
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.figures import read_number
from patterns.core.units import (
    format_length,
    format_mass,
    format_yarn_length,
    parse_length,
    parse_mass,
    parse_yarn_length,
)


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("10 1/4 in", 260.35),
        ("10-1/4 in", 260.35),
        ("10¼ in", 260.35),
        ("10 ¼ inches", 260.35),
        ("3/4 in", 19.05),
        ("½ in", 12.7),
        ('10.25"', 260.35),
        ("10.25″", 260.35),
        ("26 cm", 260),
        ("26cm", 260),
        ("9,5 cm", 95),
        ("245 mm", 245),
        ("245", 245),
        ("  24.5\u00a0CM ", 245),
    ],
)
def test_parse_length_reads_what_people_write(text, length_mm):
    assert parse_length(text) == pytest.approx(length_mm, rel=1e-12)


@pytest.mark.parametrize(("unit", "length_mm"), [("in", 254), ("cm", 100), ("mm", 10)])
def test_a_bare_number_is_in_the_default_unit(unit, length_mm):
    assert parse_length("10", unit) == pytest.approx(length_mm)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "in",
        "-4 mm",
        "1e5 mm",
        "nan",
        "inf mm",
        "9**9**9 mm",
        "10 kg",
        "10 nm",
        "10 in 4 in",
        "10 1/0 in",
        "10.25.5 in",
        "٣ cm",
        "1,234 mm",
        "1" * 41,
        None,
        26,
    ],
)
def test_parse_length_refuses_anything_else(text):
    with pytest.raises(ValueError, match=r"(text|number) is .*"):
        parse_length(text)


def test_a_comma_before_three_digits_is_asked_about():
    with pytest.raises(ValueError, match=r"it can be read as 1234 or 1\.234"):
        parse_yarn_length("1,234 m")


def test_default_unit_must_be_of_the_kind():
    with pytest.raises(ValueError, match="default_unit is 'kg'; allowed: mm"):
        parse_length("10", "kg")


@pytest.mark.parametrize(
    ("text", "grams"),
    [("62 g", 62), ("1.2 kg", 1200), ("1 3/4 oz", 49.61), ("1 lb", 453.59), ("62", 62)],
)
def test_parse_mass_gives_grams(text, grams):
    assert parse_mass(text) == pytest.approx(grams, abs=0.005)


@pytest.mark.parametrize(
    ("text", "metres"), [("400 m", 400), ("437 yd", 399.59), ("1.5 km", 1500), ("400", 400)]
)
def test_parse_yarn_length_gives_metres(text, metres):
    assert parse_yarn_length(text) == pytest.approx(metres, abs=0.005)


@pytest.mark.parametrize(
    ("length_mm", "unit", "text"),
    [
        (260.35, "in", "10.25 in"),
        (254, "in", "10 in"),
        (245, "cm", "24.5 cm"),
        (260, "cm", "26 cm"),
        (244.5, "mm", "245 mm"),
        (200, "mm", "200 mm"),
        (0, "mm", "0 mm"),
    ],
)
def test_format_length_is_short(length_mm, unit, text):
    assert format_length(length_mm, unit) == text


def test_format_length_refuses_other_units_and_negative_lengths():
    with pytest.raises(ValueError, match="unit is 'ft'; allowed: mm, cm, in"):
        format_length(10, "ft")
    with pytest.raises(ValueError, match="length_mm is -1"):
        format_length(-1, "mm")


@given(st.floats(0, 5000), st.sampled_from([("mm", 0.5), ("cm", 0.5), ("in", 0.127)]))
def test_a_formatted_length_reads_back_within_half_its_last_place(length_mm, unit_and_half):
    unit, half_mm = unit_and_half

    again_mm = parse_length(format_length(length_mm, unit))

    assert again_mm == pytest.approx(length_mm, abs=half_mm + 1e-6)


@given(st.text(max_size=60) | st.from_regex(r"[0-9/.,* cmin\"½e-]{0,40}", fullmatch=True))
def test_any_text_gives_a_measure_or_a_quick_refusal(text):
    started = time.perf_counter()
    for parse in (parse_length, parse_mass, parse_yarn_length):
        value = 0.0
        with contextlib.suppress(ValueError):
            value = parse(text)
        assert 0 <= value < float("inf")

    # Loading pint, once, is the slow part; the first example pays for it.
    assert time.perf_counter() - started < 5


@pytest.mark.parametrize(
    "text", ["9" * 39 + "!", "1 " * 19, "1/" * 19, "½" * 40, "9**9**9**9 mm", "1" * 39 + "m"]
)
def test_hostile_text_is_refused_at_once(text):
    started = time.perf_counter()

    with pytest.raises(ValueError, match="text is"):
        parse_length(text)

    assert time.perf_counter() - started < 0.05


@pytest.mark.parametrize(("text", "number"), [("1/3", 1 / 3), ("2 1/2", 2.5), ("9,50", 9.5)])
def test_read_number_reads_fractions_and_commas(text, number):
    assert read_number(text) == pytest.approx(number)


@pytest.mark.parametrize("text", ["", "ten", "1/2/3", "--1"])
def test_read_number_refuses_other_text(text):
    with pytest.raises(ValueError, match="number is"):
        read_number(text)


def test_importing_the_arithmetic_loads_neither_django_nor_pint():
    code = (
        "import sys, patterns.core.rowplan, patterns.core.rowcard, patterns.core.units\n"
        "print(sorted({'django', 'pint'} & set(sys.modules)))"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("grams", "unit", "decimals", "shown"),
    [
        # NIST SP 811, appendix B.8: an avoirdupois ounce is 28.34952 g (from memory).
        (453.59237, "oz", 0, "16.0 oz"),  # a pound
        (29.3, "oz", 1, "1.03 oz"),
        (29.3, "g", 1, "29.3 g"),
        (62.5, "g", 0, "63 g"),
        (-3, "g", 0, "-3 g"),
        (100, "oz", None, "3.527 oz"),  # as the band of a 100 g ball says: 3.5 oz
        (1000, "g", None, "1000 g"),
        (38.5, "g", None, "38.5 g"),
    ],
)
def test_a_mass_is_shown_in_either_unit(grams, unit, decimals, shown):
    assert format_mass(grams, unit, decimals) == shown


@pytest.mark.parametrize(
    ("metres", "unit", "decimals", "shown"),
    [
        # The international yard is 0.9144 m exactly (NIST SP 811, appendix B.8, from memory).
        (400, "yd", 0, "437 yd"),  # as the band of a 400 m ball says
        (0.57, "yd", 2, "0.62 yd"),
        (400, "m", 0, "400 m"),
        (26.06, "m", None, "26.06 m"),
        (26, "m", None, "26 m"),
    ],
)
def test_a_length_of_yarn_is_shown_in_either_unit(metres, unit, decimals, shown):
    assert format_yarn_length(metres, unit, decimals) == shown


def test_a_difference_of_masses_shows_its_sign():
    assert format_mass(4, "g", None, signed=True) == "+4 g"
    assert format_mass(-4.25, "oz", 1, signed=True) == "-0.15 oz"


@given(st.integers(0, 1_000_000), st.sampled_from(["g", "oz"]))
def test_a_mass_that_is_shown_to_be_edited_comes_back_to_the_tenth(tenths, unit):
    shown = format_mass(tenths / 10, unit, None)

    assert round(parse_mass(str(shown), unit), 1) == tenths / 10


@pytest.mark.parametrize("write", [format_mass, format_yarn_length])
def test_yarn_is_shown_in_no_other_unit(write):
    with pytest.raises(ValueError, match="unit is 'stone'; allowed:"):
        write(1, "stone")
