"""What a maker should look at before she knits a plan, each with reason and cure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from patterns.core.feet import guess_ball_mm
from patterns.core.gauge import Gauge, tightness
from patterns.core.words import Phrase, say, say_count

# Heel-to-instep diagonal over ball girth, US Army survey of 2012.
HEEL_DIAGONAL_PER_BALL = 1.363
# The trade expects plain sock fabric to stretch by half; a little more is still knit.
_STRETCH_LIMIT = 0.55
_EASE_LIMIT = 0.20
_STITCH_SHAPE = (1.15, 1.55)
_WORKABLE = (9.0, 19.0)
_HARD_WEARING = (12.0, 16.0)
_BALL_SDS = 3.0


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to look at.

    Attributes:
        code: Short name that never changes.
        what: What is so.
        why: Why it matters.
        cure: What would help.
    """

    code: str
    what: str
    why: str
    cure: str

    def __str__(self) -> str:
        return f"{self.what} - {self.why} - {self.cure}"


def kept_notice(notice: Notice) -> dict[str, Any]:
    """Return a notice as JSON can keep it: in English, and with the patterns to say it again."""
    words = {"what": notice.what, "why": notice.why, "cure": notice.cure}
    said = {
        name: [text.one, dict(text.values), text.many, text.number]
        for name, text in words.items()
        if isinstance(text, Phrase)
    }
    return {"code": notice.code, **words, "said": said}


def notice_kept(kept: Mapping[str, Any]) -> Notice:
    """Return the notice that `kept_notice` was given; one kept in English only by its texts."""
    said = kept.get("said", {})
    words = {
        name: Phrase(*said[name]) if name in said else Phrase(kept[name], {})
        for name in ("what", "why", "cure")
    }
    return Notice(kept["code"], **words)


@dataclass(frozen=True, slots=True)
class Fitting:
    """The numbers a plan is judged by; names and units as in `plan_sock`."""

    needles: int
    ease: float
    leg_rows: int
    foot_mm: float
    ball_mm: float
    height_mm: float
    gauge: Gauge
    tex: float
    loop_cm: float


def stretch_needed(ease: float) -> float:
    """Return the stretch that lets the heel through the leg, 0.51 at ease 0.10 [share].

    Raises:
        ValueError: If the ease is not below 1.
    """
    if not ease < 1:
        msg = f"ease is {ease!r:.40}; allowed: below 1"
        raise ValueError(msg)
    return HEEL_DIAGONAL_PER_BALL / (1 - ease) - 1


def notices(fitting: Fitting) -> tuple[Notice, ...]:
    """Return every notice that applies, the most pressing first."""
    return (
        *_of_width(fitting),
        *_of_measures(fitting),
        *_of_fabric(fitting),
        *_of_height(fitting),
    )


def _of_width(fitting: Fitting) -> Iterator[Notice]:
    if round(fitting.ease, 9) < 0:
        yield Notice(
            "loose",
            say("The sock is {percent:.0f}% wider than the foot", percent=-100 * fitting.ease),
            say(
                "{needles} needles is the nearest cylinder that can make this length",
                needles=fitting.needles,
            ),
            say("a cylinder with fewer needles, or a firmer stitch; for babies it is usual"),
        )
    if fitting.ease > _EASE_LIMIT:
        yield Notice(
            "tight",
            say(
                "The sock is {percent:.0f}% smaller around than the foot",
                percent=100 * fitting.ease,
            ),
            say("more than 20 % is hard to pull on and wears thin"),
            say("a cylinder with more needles, or a looser stitch"),
        )
    stretch = stretch_needed(fitting.ease)
    if stretch > _STRETCH_LIMIT:
        yield Notice(
            "stretch",
            say(
                "The leg must stretch by {percent:.0f}% to let the heel through",
                percent=100 * stretch,
            ),
            say("plain sock fabric is expected to stretch by about half"),
            say("less ease, a looser stitch above the heel, or rib"),
        )


def _of_measures(fitting: Fitting) -> Iterator[Notice]:
    guess = guess_ball_mm(fitting.foot_mm)
    if abs(fitting.ball_mm - guess.mean) > _BALL_SDS * guess.sd:
        yield Notice(
            "measures",
            say(
                "A {ball:.0f} mm ball is unusual on a {foot:.0f} mm foot",
                ball=fitting.ball_mm,
                foot=fitting.foot_mm,
            ),
            say(
                "a foot of this length is about {mean:.0f} mm around (give or take {sd:.0f})",
                mean=guess.mean,
                sd=guess.sd,
            ),
            say("measure both once more, and look at the unit"),
        )


def _of_fabric(fitting: Fitting) -> Iterator[Notice]:
    shape = fitting.gauge.courses_per_wale
    if not _STITCH_SHAPE[0] <= round(shape, 9) <= _STITCH_SHAPE[1]:
        yield Notice(
            "stitch_shape",
            say("The gauge has {shape:.2f} rows for each stitch", shape=shape),
            say("plain sock fabric lies between 1.15 and 1.55, so a count may be off"),
            say("count again over 7 to 10 cm of a washed, flat tube"),
        )
    factor = tightness(fitting.tex, fitting.loop_cm)
    if not _WORKABLE[0] <= factor <= _WORKABLE[1]:
        yield Notice(
            "yarn",
            say("The tightness factor is {factor:.1f}", factor=factor),
            say("outside 9 to 19 a machine can hardly knit it (from memory)"),
            say("look at the yarn count and the gauge: one of them belongs to another yarn"),
        )
    elif factor < _HARD_WEARING[0]:
        yield Notice(
            "firmness",
            say(
                "The fabric is looser than socks usually are (tightness {factor:.1f})",
                factor=factor,
            ),
            say("socks wear best between 12 and 16 (from memory)"),
            say("a smaller stitch, or another yarn"),
        )
    elif factor > _HARD_WEARING[1]:
        yield Notice(
            "firmness",
            say(
                "The fabric is firmer than socks usually are (tightness {factor:.1f})",
                factor=factor,
            ),
            say("socks wear best between 12 and 16 (from memory)"),
            say("a larger stitch, or another yarn"),
        )


def _of_height(fitting: Fitting) -> Iterator[Notice]:
    if fitting.height_mm > fitting.foot_mm:
        yield Notice(
            "calf",
            say("The leg reaches the calf"),
            say("a calf is about 1.7 times the ankle around, and the needles stay the same"),
            say("bands of larger stitches towards the top, or rib"),
        )
    if fitting.leg_rows < 4:
        yield Notice(
            "low_leg",
            say_count(
                "Only {count} row stands above the heel",
                "Only {count} rows stand above the heel",
                fitting.leg_rows,
            ),
            say("a cuff needs a few rows to hold"),
            say("a higher sock, or a cylinder with fewer needles"),
        )
