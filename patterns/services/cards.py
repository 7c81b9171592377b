"""Row cards of a version: on screen step by step, on paper section by section."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from patterns.core.bounds import HANG
from patterns.core.drawing import needles_by_pass, sock_outline
from patterns.core.machine import Machine
from patterns.core.rowcard import Hanging, Step, StringYarn, row_card, string_yarn
from patterns.core.sections import section_title
from patterns.core.words import say
from patterns.models import PatternVersion
from patterns.services.gauges import usual_hang_factor
from socktrade.models import Workshop

_MOST_WASTE_ROUNDS = 100  # the most a row card takes


@dataclass(frozen=True, slots=True)
class Habits:
    """How her machine and she count, told once a workshop.

    Attributes:
        waste_rounds: Rounds of waste yarn between two socks.
        counting: What the counter does in a turn: trips at each "pass", at each
            "round" of two passes, or is "lifted".
        restarts: When she sets it to 0: for each "sock", each "section", or once a
            "string".
        machine: Where the carrier stands and which halves knit heel and toe.
        turn_note: Her own reminder for heel and toe.
        hang_factor: How much longer than washed her tubes hang under weights, if known.
    """

    waste_rounds: int
    counting: str = "pass"
    restarts: str = "sock"
    machine: Machine = field(default_factory=Machine)
    turn_note: str = ""
    hang_factor: float | None = None

    @property
    def notes(self) -> tuple[str, ...]:
        """Her own reminder, if she wrote one."""
        return (self.turn_note,) if self.turn_note else ()


def habits_of(workshop: Workshop) -> Habits:
    """Return what the workshop told about its machine."""
    return Habits(
        waste_rounds=min(workshop.waste_rounds, _MOST_WASTE_ROUNDS),
        counting=workshop.counter_in_turns,
        restarts=workshop.counter_restarts,
        machine=Machine(
            carrier=workshop.carrier_rests,
            heel_half=workshop.heel_half,
            toe_half=workshop.toe_half,
        ),
        turn_note=workshop.turn_note,
        hang_factor=usual_hang_factor(),
    )


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line of the paper card: a section, with a box for each sock.

    Attributes:
        section: Name of the section.
        prompt: What to do.
        rows: Rounds or passes.
        hangs_mm: Length under weights at the end [mm], 0 when it is not known.
        reads: What the counter reads at its end when that is the same for all socks.
        boxes: Sock number and counter reading of each box.
    """

    section: str
    prompt: str
    rows: int
    hangs_mm: float
    reads: int | None
    boxes: tuple[tuple[int, int], ...]

    @property
    def title(self) -> str:
        """The section for reading."""
        return section_title(self.section)


def steps_of(version: PatternVersion, *, socks: int, habits: Habits) -> tuple[Step, ...]:
    """Return what to do at the machine for a string of socks, in order.

    Raises:
        ValueError: If the string has fewer than 1 or more than 100 socks.
    """
    return row_card(
        socks=socks,
        needles=version.needles,
        leg_rows=version.leg_rows,
        foot_rows=version.foot_rows,
        hem_rows=version.hem_rows,
        cuff_rows=version.cuff_rows,
        top=version.top,
        centre=version.centre,
        toe_centre=version.toe_centre,
        deep_heel=version.deep_heel,
        waste_rows=habits.waste_rounds,
        counting=habits.counting,
        restarts=habits.restarts,
        heel_notes=(*habits.machine.heel_notes(), *habits.notes),
        toe_notes=(*habits.machine.toe_notes(), *habits.notes),
        hanging=_hanging(version, habits),
    )


def _hanging(version: PatternVersion, habits: Habits) -> Hanging | None:
    own = version.swatch.hang_factor if version.swatch else None
    factor = habits.hang_factor if own is None else own
    if factor is None or not HANG[0] <= factor <= HANG[1]:
        return None
    return Hanging(version.courses_per_10cm, factor, version.cuff_courses_per_10cm)


def yarn_of(version: PatternVersion, *, socks: int, habits: Habits) -> StringYarn:
    """Return the sock yarn and the waste yarn a string takes."""
    return string_yarn(
        socks=socks,
        needles=version.needles,
        sock_metres=version.metres,
        loop_cm=version.loop_cm,
        tex=version.tex,
        waste_rows=habits.waste_rounds,
    )


def paper_lines(steps: Sequence[Step]) -> list[PaperLine]:
    """Return the steps of a whole string as one line a section, in knitting order."""
    lines: dict[tuple[str, bool], list[Step]] = {}
    for step in steps:
        lines.setdefault((step.section, step.sock == 0), []).append(step)
    return [_paper_line(together) for together in lines.values()]


def cautions_of(steps: Iterable[Step]) -> list[str]:
    """Return every caution of a card once, in the order they come up."""
    return list(dict.fromkeys(caution for step in steps for caution in step.cautions))


def drawing_of(version: PatternVersion) -> str:
    """Return the sock to scale as SVG text."""
    return sock_outline(
        needles=version.needles,
        leg_rows=version.leg_rows,
        heel_rows=version.heel_rows,
        foot_rows=version.foot_rows,
        toe_rows=version.toe_rows,
        gauge=version.gauge,
        hem_rows=version.hem_rows,
        cuff_rows=version.cuff_rows,
        cuff_courses_per_10cm=version.cuff_courses_per_10cm,
        title=say("{pattern_}, drawn to scale", pattern_=version.pattern),
    )


def turn_drawing_of(version: PatternVersion) -> str:
    """Return the short rows of heel and toe as SVG text."""
    return needles_by_pass(version.needles, version.centre, version.deep_heel)


def toe_drawing_of(version: PatternVersion) -> str:
    """Return the same of the toe, or nothing where it turns as the heel does."""
    if version.toe_centre is None and not version.deep_heel:
        return ""
    return needles_by_pass(version.needles, version.toe_centre or version.centre)


def _paper_line(steps: Sequence[Step]) -> PaperLine:
    first = steps[0]
    readings = {step.counter_to for step in steps}
    return PaperLine(
        section=first.section,
        prompt=first.prompt,
        rows=first.rows,
        hangs_mm=first.hangs_mm,
        reads=first.counter_to if len(readings) == 1 else None,
        boxes=tuple((step.sock, step.counter_to) for step in steps),
    )
