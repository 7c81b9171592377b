import contextlib
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.core.yarncount import counts, tex_of


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        ("100 g / 400 m", 250),
        ("100g/400m", 250),
        ("400 m / 100 g", 250),
        ("100 g / 420 m", 238.10),
        ("50 g = 210 m", 238.10),
        ("50 g per 210 metres", 238.10),
        ("437 yd/100 g", 250.25),
        ("1 3/4 oz / 231 yd", 234.87),
        ("4 m/g", 250),
        ("4000 m/kg", 250),
        ("0,1 kg / 0,4 km", 250),
        ("1984 yds per lb", 250.03),
        ("Nm 4", 250),
        ("Nm 16/4", 250),
        ("16/4 Nm", 250),
        ("nm 16 / 4", 250),
        ("Ne 10/2", 118.11),
        ("10/2 NeC", 118.11),
        ("2250 den", 250),
        ("2250 denier", 250),
        ("2500 dtex", 250),
        ("250 tex", 250),
        ("  Tex\u00a0250 ", 250),
        ("62.5 tex x 4", 250),
        ("110 \u00d7 2 dtex", 22),
        ("dtex 110x2", 22),
        ("worsted 15", 59.05),
        ("run 2", 155.02),
        ("lea 20", 82.68),
        ("ysw 16", 121.1),
    ],
)
def test_tex_of_reads_the_usual_notations(text, tex):
    assert tex_of(text) == pytest.approx(tex, abs=0.006, rel=1e-4)


@pytest.mark.parametrize("text", ["2/28", "Nm 2/28", "2/28 nm", "Ne 2/8", "Nm 4/4"])
def test_tex_of_names_both_readings_of_a_doubtful_order(text):
    first, second = text.lower().replace("nm", "").replace("ne", "").strip().split("/")

    with pytest.raises(
        ValueError,
        match=f"count {first} in {second} plies or as count {second} in {first} plies",
    ):
        tex_of(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "text is ''; allowed: such as '100 g / 400 m'"),
        ("250", "text is '250'"),
        ("sock yarn", "text is 'sock yarn'"),
        ("100 g / 50 g", "text is '100 g / 50 g'"),
        ("0 g / 400 m", "text is '0 g / 400 m'"),
        ("100 g / 0 m", "text is '100 g / 0 m'"),
        ("Nm 0", "text is 'nm 0'"),
        ("Nm 16/2.5", "allowed: 1 to 12 plies"),
        ("Nm 99/13", "allowed: 1 to 12 plies"),
        ("78/24 dtex", "takes plies as in '110 x 2 dtex'"),
        ("5 tex", "text '5 tex' is 5.0; allowed: 10 to 2000 tex"),
        ("Nm 900", r"is 1\.11.*; allowed: 10 to 2000 tex"),
        ("1,250 m / 100 g", r"it can be read as 1250 or 1\.250"),
        ("9" * 61, "text is '9999"),
        (None, "text is None"),
        (250, "text is 250"),
    ],
)
def test_tex_of_refuses_the_rest_with_an_example(text, message):
    with pytest.raises(ValueError, match=message):
        tex_of(text)


@given(st.floats(10.1, 1999))
def test_counts_and_tex_of_go_round(tex):
    yarn = counts(tex)

    assert tex_of(f"{yarn.denier:.5f} den") == pytest.approx(tex, rel=1e-3)
    assert tex_of(f"Nm {yarn.nm:.6f}") == pytest.approx(tex, rel=1e-3)
    assert tex_of(f"Ne {yarn.ne:.6f}") == pytest.approx(tex, rel=1e-3)
    assert tex_of(f"100 g / {yarn.m_per_100g:.6f} m") == pytest.approx(tex, rel=1e-3)
    assert tex_of(f"{yarn.yd_per_lb:.6f} yd/lb") == pytest.approx(tex, rel=1e-3)


def test_counts_refuses_what_is_no_sock_yarn():
    with pytest.raises(ValueError, match="tex is 3; allowed: 10 to 2000"):
        counts(3)


@given(st.text(max_size=80) | st.from_regex(r"[0-9/.,x gmdtenNk]{0,60}", fullmatch=True))
def test_any_text_gives_a_count_or_a_quick_refusal(text):
    started = time.perf_counter()
    tex = None
    with contextlib.suppress(ValueError):
        tex = tex_of(text)

    assert tex is None or 10 <= tex <= 2000
    assert time.perf_counter() - started < 0.1
