"""The row card: what to do at the machine, step by step, for a string of socks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from patterns.core.bounds import (
    COURSES_PER_10CM,
    HANG,
    LOOP_CM,
    ROWS,
    TEX,
    require,
    require_needles,
    require_whole,
)
from patterns.core.sections import section_title
from patterns.core.shaping import Turn, turn
from patterns.core.tops import Top, hem_rounds, top_named, top_needles
from patterns.core.words import Phrase, say, say_count

# Common practice: 10 to 20 rounds of waste, four good rounds before the toe seam.
WASTE_ROWS = 15
GOOD_ROUNDS = 4
_TAIL_CM = 20.0

COUNTING = ("pass", "round", "lifted")
RESTARTS = ("sock", "section", "string")

FINGERS = say("Head up: keep fingers, hair and sleeves clear of needles and crank.")
LATCHES = say("Look that every latch is open before the yarn carrier comes round.")
WEIGHTS = say("Move the weights as the work moves; old loops must clear the needles.")
FORKS = say("Hang weight on the working half, and move it up every few passes.")


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do before looking at the card again.

    Attributes:
        section: "waste", "hem", "cuff", "leg", "heel", "foot", "toe" or "good rounds".
        prompt: What to do.
        rows: Rounds, or short-row passes in heel and toe.
        counter_from: What the row counter reads at the start.
        counter_to: What it reads at the end.
        next_prompt: What comes after, empty at the end of the string.
        cautions: What to mind.
        sock: Place of the sock in the string from 1; 0 for the waste it hangs from.
        hangs_mm: Length under weights at the end [mm], from the top edge for a cuff or leg
            and from the heel for a foot; 0 when it is not known.
    """

    section: str
    prompt: str
    rows: int
    counter_from: int
    counter_to: int
    next_prompt: str
    cautions: tuple[str, ...]
    sock: int
    hangs_mm: float = 0.0

    @property
    def title(self) -> str:
        """The section for reading."""
        return section_title(self.section)


@dataclass(frozen=True, slots=True)
class Hanging:
    """What turns rows into the length a piece shows under weights.

    Attributes:
        courses_per_10cm: Washed rows [per 10 cm].
        factor: How much longer it hangs than it washes, 0.8 to 2.
        cuff_courses_per_10cm: Washed rows of a cuff in rib, None for the same.

    Raises:
        ValueError: If a value is out of range.
    """

    courses_per_10cm: float
    factor: float
    cuff_courses_per_10cm: float | None = None

    def __post_init__(self) -> None:
        require("courses_per_10cm", self.courses_per_10cm, COURSES_PER_10CM)
        require("cuff_courses_per_10cm", self.cuff_courses, COURSES_PER_10CM)
        require("factor", self.factor, HANG)

    @property
    def cuff_courses(self) -> float:
        """Washed rows of the cuff [per 10 cm]."""
        return self.cuff_courses_per_10cm or self.courses_per_10cm

    def mm(self, rows: int, cuff_rows: int = 0) -> float:
        """Return the length of so many plain rows and rows of a cuff under weights [mm]."""
        flat = rows / self.courses_per_10cm + cuff_rows / self.cuff_courses
        return 100 * flat * self.factor


@dataclass(frozen=True, slots=True)
class StringYarn:
    """Yarn a string of socks takes.

    Attributes:
        main_m: Sock yarn with the good rounds and the tails for seams [m].
        main_g: The same [g].
        waste_m: Waste yarn, reusable [m].
    """

    main_m: float
    main_g: float
    waste_m: float


@dataclass(frozen=True, slots=True)
class _Card:
    needles: int
    leg_rows: int
    foot_rows: int
    hem_rows: int
    cuff_rows: int
    heel: Turn
    toe: Turn
    waste_rows: int
    good_rounds: int
    top: Top
    heel_notes: tuple[str, ...]
    toe_notes: tuple[str, ...]
    hanging: Hanging | None


def row_card(  # noqa: PLR0913 - a pattern's numbers and the habits of one machine, by name
    *,
    socks: int,
    needles: int,
    leg_rows: int,
    foot_rows: int,
    hem_rows: int = 0,
    cuff_rows: int = 0,
    centre: int | None = None,
    toe_centre: int | None = None,
    deep_heel: int = 0,
    waste_rows: int = WASTE_ROWS,
    good_rounds: int = GOOD_ROUNDS,
    counting: str = "pass",
    restarts: str = "sock",
    top: str = "plain",
    heel_notes: tuple[str, ...] = (),
    toe_notes: tuple[str, ...] = (),
    hanging: Hanging | None = None,
) -> tuple[Step, ...]:
    """Return the steps of a string of socks, waste yarn between, in order.

    Args:
        socks: Socks in the string, 1 to 100.
        needles: Needles in the cylinder, even, 12 to 200.
        leg_rows: Rounds from cuff to heel, those of a hem or cuff included.
        foot_rows: Rounds between heel and toe.
        hem_rows: Visible rounds of a hung hem.
        cuff_rows: Rounds of a cuff in rib; with the hem's at most the leg rows.
        centre: Needles left at the narrowest of heel and toe.
        toe_centre: The same for the toe alone.
        deep_heel: Needles the heel holds beyond half, 0, 2 or 4.
        waste_rows: Rounds of waste yarn before, between and after, 0 to 100.
        good_rounds: Rounds of sock yarn after the toe, 0 to 50.
        counting: What her counter does in a turn: trips at each "pass", at each full
            "round" of two passes, or is "lifted".
        restarts: When she sets it to 0: for each "sock", each "section" or once a "string".
        top: Kind of top, one of `tops.TOPS`.
        heel_notes: Reminders for the heel, such as where the yarn carrier stands.
        toe_notes: The same for the toe, such as which half of the needles carries it.
        hanging: What gives the length under weights, None when it is not known.

    Raises:
        ValueError: If an argument is out of range or unknown.
    """
    _require_word("counting", counting, COUNTING)
    _require_word("restarts", restarts, RESTARTS)
    leg_rows = require_whole("leg_rows", leg_rows, ROWS)
    card = _Card(
        needles=require_needles(needles),
        leg_rows=leg_rows,
        foot_rows=require_whole("foot_rows", foot_rows, ROWS),
        hem_rows=require_whole("hem_rows", hem_rows, (0, leg_rows)),
        cuff_rows=require_whole("cuff_rows", cuff_rows, (0, leg_rows - hem_rows)),
        heel=turn(needles, centre, deep_heel),
        toe=turn(needles, centre if toe_centre is None else toe_centre),
        waste_rows=require_whole("waste_rows", waste_rows, (0, 100)),
        good_rounds=require_whole("good_rounds", good_rounds, (0, 50)),
        top=top_named(top),
        heel_notes=tuple(heel_notes),
        toe_notes=tuple(toe_notes),
        hanging=hanging,
    )
    steps = list(_string(card, require_whole("socks", socks, (1, 100))))
    return _announced(_counted([step for step in steps if step.rows], counting, restarts))


def string_yarn(
    *,
    socks: int,
    needles: int,
    sock_metres: float,
    loop_cm: float,
    tex: float,
    waste_rows: int = WASTE_ROWS,
    good_rounds: int = GOOD_ROUNDS,
) -> StringYarn:
    """Return the yarn a string takes: socks, good rounds, seam tails and waste.

    Args:
        socks: Socks in the string, 1 to 100.
        needles: Needles in the cylinder, even, 12 to 200.
        sock_metres: Yarn in one sock by its plan [m].
        loop_cm: Yarn in one stitch [cm].
        tex: Yarn count [g/km].
        waste_rows: Rounds of waste before, between and after, 0 to 100.
        good_rounds: Rounds of sock yarn after each toe, 0 to 50.

    Raises:
        ValueError: If an argument is out of range.
    """
    socks = require_whole("socks", socks, (1, 100))
    needles = require_needles(needles)
    metres = require("sock_metres", sock_metres, (0, 10_000), "m")
    loop = require("loop_cm", loop_cm, LOOP_CM, "cm")
    tex = require("tex", tex, TEX)
    good = require_whole("good_rounds", good_rounds, (0, 50)) * needles * loop / 100
    tail = (needles // 2 * loop + _TAIL_CM) / 100
    waste_rounds = require_whole("waste_rows", waste_rows, (0, 100)) * (socks + 1)
    main = socks * (metres + good + tail)
    return StringYarn(main, main * tex / 1000, waste_rounds * needles * loop / 100)


def _string(card: _Card, socks: int) -> Iterator[Step]:
    yield _step(
        "waste", say("Cast on with waste yarn"), card.waste_rows, 0, FINGERS, LATCHES, WEIGHTS
    )
    for sock in range(1, socks + 1):
        yield from _sock(card, sock)
        prompt = say("Change to waste yarn, between two socks")
        if sock == socks:
            prompt = say("Change to waste yarn, then run the string off")
        yield _step("waste", prompt, card.waste_rows, sock, LATCHES)


def _sock(card: _Card, sock: int) -> Iterator[Step]:
    first, *others = _top_steps(card, sock)
    yield replace(first, prompt=say("Change to sock yarn. {then}", then=first.prompt))
    yield from others
    yield _turn_step("heel", card.heel, sock, card.heel_notes)
    foot = say_count(
        "All needles in work. Knit the foot: {count} round",
        "All needles in work. Knit the foot: {count} rounds",
        card.foot_rows,
    )
    foot_step = _step("foot", foot, card.foot_rows, sock, FINGERS, LATCHES, WEIGHTS)
    yield _hung(foot_step, card, card.foot_rows)
    yield _turn_step("toe", card.toe, sock, card.toe_notes)
    good = say_count(
        "All needles in work. Knit {count} good round to hold the toe for its seam",
        "All needles in work. Knit {count} good rounds to hold the toe for its seam",
        card.good_rounds,
    )
    yield _step("good rounds", good, card.good_rounds, sock, LATCHES)


def _top_steps(card: _Card, sock: int) -> Iterator[Step]:
    hem, cuff = card.hem_rows, card.cuff_rows
    leg = card.leg_rows - hem - cuff
    if hem:
        words = _hem_words(hem, picot=card.top.kind == "picot_hem")
        yield _step("hem", words, hem_rounds(hem), sock, LATCHES, WEIGHTS)
    if cuff:
        step = _step("cuff", _cuff_words(card), cuff, sock, LATCHES, WEIGHTS)
        yield _hung(step, card, 0, cuff)
    prompt = say_count("Knit the leg: {count} round", "Knit the leg: {count} rounds", leg)
    if cuff:
        prompt = say("All needles in work. {then}", then=prompt)
    step = _step("leg", prompt, leg, sock, FINGERS, WEIGHTS)
    yield _hung(step, card, hem + leg, cuff)


def _hung(step: Step, card: _Card, rows: int, cuff_rows: int = 0) -> Step:
    if card.hanging is None:
        return step
    return replace(step, hangs_mm=card.hanging.mm(rows, cuff_rows))


def _turn_step(section: str, shape: Turn, sock: int, notes: tuple[str, ...]) -> Step:
    cautions = (FINGERS, LATCHES, FORKS, *notes)
    return _step(section, _turn_words(shape), shape.rows, sock, *cautions)


def _step(section: str, prompt: str, rows: int, sock: int, *cautions: str) -> Step:
    return Step(section, prompt, rows, 0, 0, "", cautions, sock)


def _hem_words(rows: int, *, picot: bool) -> Phrase:
    if picot:
        return say(
            "Knit the hem: {rows} rounds, 1 turning round with every other stitch moved over, "
            "{rows} rounds; then hang the first round on the needles",
            rows=rows,
        )
    return say(
        "Knit the hem: {rows} rounds, 1 turning round, {rows} rounds; "
        "then hang the first round on the needles",
        rows=rows,
    )


def _cuff_words(card: _Card) -> Phrase:
    rows, top = card.cuff_rows, card.top.name
    if not card.top.is_cuff:
        return say_count("Knit the cuff: {count} round", "Knit the cuff: {count} rounds", rows)
    into, moved = top_needles(card.top.kind, card.needles)
    if moved:
        return say(
            "{top}: {into} needles in the cylinder, {moved} on the ribber, {rows} rounds",
            top=top,
            into=into,
            moved=moved,
            rows=rows,
        )
    return say("{top} ({into} needles knit): {rows} rounds", top=top, into=into, rows=rows)


def _turn_words(shape: Turn) -> Phrase:
    return say(
        "Bring half the needles out of work ({held} stay) and shift the weights. "
        "Back and forth, one needle fewer each pass, to the marked {centre} in the "
        "centre ({passes} passes); then back in one by one ({passes} passes)",
        held=shape.held,
        centre=shape.centre,
        passes=shape.passes,
    )


def _counted(steps: Sequence[Step], counting: str, restarts: str) -> list[Step]:
    counted = []
    reading = 0
    for place, step in enumerate(steps):
        if _starts_over(steps, place, restarts):
            reading = 0
        end = reading + _trips(step, counting)
        counted.append(replace(step, counter_from=reading, counter_to=end))
        reading = end
    return counted


def _starts_over(steps: Sequence[Step], place: int, restarts: str) -> bool:
    if restarts == "section":
        return True
    # Waste after a sock goes on counting; the sock after it starts at 0.
    return restarts == "sock" and steps[place].sock != steps[place - 1].sock


def _trips(step: Step, counting: str) -> int:
    if step.section not in {"heel", "toe"} or counting == "pass":
        return step.rows
    return step.rows // 2 if counting == "round" else 0


def _announced(steps: Sequence[Step]) -> tuple[Step, ...]:
    coming = [*(step.prompt for step in steps[1:]), ""]
    return tuple(
        replace(step, next_prompt=prompt) for step, prompt in zip(steps, coming, strict=True)
    )


def _require_word(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        msg = f"{name} is {value!r:.40}; allowed: {', '.join(allowed)}"
        raise ValueError(msg)
