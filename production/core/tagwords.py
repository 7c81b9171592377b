"""The words of a hang tag from plain facts, and what the chosen rules still miss.

Never a verdict: the words follow the rule texts named on the tag's record, the maker answers
for them, local law decides.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from patterns.core.feet import hosiery_size, size_range_text
from production.core.care import LABEL_BASES, PRESETS, CareSet, care_words, mildest
from production.core.children import child_cautions, tag_lines, tracking_line
from production.core.fibre import Label, Part, canonical_fibre, fibre, fibre_label
from production.core.fibre.eu import EU_DATE, UK_DATE
from production.core.fibre.us import RULES_DATE
from production.core.origin import CAUTION as ORIGIN_CAUTION
from production.core.origin import is_us, origin_line

VERSION: Final = 1
"""Shape of the kept text; a later shape gets a higher number and reads the older."""

HAND_CRANKED: Final = "Knitted on a hand-cranked machine"

RULE_DATES: Final = {"us": RULES_DATE, "eu": EU_DATE, "uk": UK_DATE}

ASK: Final = {
    "us": "the Federal Trade Commission about fibre, origin and care, the small-business office "
    "of the Consumer Product Safety Commission about children's socks",
    "eu": "the market-surveillance authority of your country",
    "uk": "your local trading-standards office",
}
"""Whom to ask, by rules."""

_SYSTEMS: Final = {
    ("us", "women"): ("us_women", "us_men"),
    ("us", "men"): ("us_men", "us_women"),
    ("us", "child"): ("us_child",),
    ("uk", "women"): ("uk_adult", "eu"),
    ("uk", "men"): ("uk_adult", "eu"),
    ("uk", "child"): ("uk_child", "eu"),
}
_EN_DASH: Final = "\N{EN DASH}"
_PLAIN_RANGE: Final = re.compile(r"(?P<system>[A-Za-z ]*[A-Za-z]) (?P<range>[\d½]+( to [\d½]+)?)")


@dataclass(frozen=True, slots=True)
class Facts:
    """What a tag is written from.

    Attributes:
        number: Number of the pair.
        design: Name of the design.
        size_name: The maker's own name of the size.
        group: `women`, `men`, `child` or `baby`.
        foot_mm: Shortest and longest foot that the pair fits [mm].
        sock_foot_mm: Foot of its shorter sock, washed [mm].
        parts: Every yarn in both socks; empty when one has no usable content.
        parts_problem: Why not, if so.
        spun_in: `home`, `abroad` or `unknown`, of each yarn.
        care: Key of the care preset of each yarn; empty where none was chosen.
        second: Whether it is sold as a second.
        faults: What is wrong with it.
        made: Month it was knitted, `2026-05`.
        batch: Its string or strings, `string 212`.
        price: As printed; empty when there is none.
        brand: Name of the workshop.
        identity: Name the maker does business under, or her registered number.
        town: Of the workshop.
        country: Made in, by its English name.
        rules: `us`, `eu` or `uk`.
        address: What the QR code leads to.
    """

    number: int
    design: str
    size_name: str
    group: str
    foot_mm: tuple[float, float]
    sock_foot_mm: float
    parts: tuple[Part, ...]
    parts_problem: str
    spun_in: tuple[str, ...]
    care: tuple[str, ...]
    second: bool
    faults: tuple[str, ...]
    made: str
    batch: str
    price: str
    brand: str
    identity: str
    town: str
    country: str
    rules: str
    address: str

    @property
    def age(self) -> str:
        """The group as the children's rules name it."""
        return self.group if self.group in {"child", "baby"} else "adult"


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that the tag lacks.

    Attributes:
        kind: What it is about; decides where it is mended.
        text: What is missing.
        blocks: Whether printing with it wants a reason; else it is a reminder.
    """

    kind: str
    text: str
    blocks: bool = True


@dataclass(frozen=True, slots=True)
class Draft:
    """A tag's words with everything to know before printing them.

    Attributes:
        text: The words, ready to be kept as JSON.
        gaps: What is missing.
        cautions: What to read before printing.
        steps: Where the fibre lines come from.
    """

    text: dict[str, Any]
    gaps: tuple[Gap, ...]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]


def write_tag(facts: Facts) -> Draft:
    """Put the words of one tag together.

    Raises:
        ValueError: If the rules or the group are not known.
    """
    label = fibre_label(facts.parts, facts.rules) if facts.parts else None
    origin, care, tracking = _origin(facts), _care(facts), _tracking(facts)
    sizes = _sizes(facts)
    text = {
        "version": VERSION,
        "rules": facts.rules,
        "act": label.act if label else "",
        "rules_date": label.rules_date if label else RULE_DATES[facts.rules],
        "number": f"P{facts.number}",
        "brand": facts.brand,
        "maker": _maker(facts),
        "design": facts.design,
        "size_name": facts.size_name,
        "sizes": sizes,
        "sock_size": _sock_size(facts) if sizes else "",
        "origin": origin,
        "fibre": list(label.lines) if label else [],
        "care": care,
        "price": facts.price,
        "fault": _fault(facts),
        "tracking": tracking,
        "cautions": list(tag_lines(facts.age)),
        "made_how": HAND_CRANKED,
        "address": facts.address,
    }
    return Draft(
        text=text,
        gaps=tuple(_gaps(facts, text, label)),
        cautions=tuple(dict.fromkeys(_cautions(facts, text, label))),
        steps=label.steps if label else (),
    )


def _sizes(facts: Facts) -> list[dict[str, str]]:
    group = "child" if facts.group == "baby" else facts.group
    found = []
    for system in _SYSTEMS.get((facts.rules, group), ("eu",)):
        try:
            said = size_range_text(system, *facts.foot_mm)
        except ValueError:
            return []
        plain = _PLAIN_RANGE.fullmatch(said)
        if plain is None:
            found.append({"system": "", "range": said})
            continue
        name = plain["system"]
        if facts.age != "adult" and name == "EU":
            name = f"{facts.group.capitalize()} EU"
        found.append({"system": name, "range": plain["range"].replace(" to ", _EN_DASH)})
    return found


def _sock_size(facts: Facts) -> str:
    """Return the US hosiery number, which names the sock's own foot in inches."""
    if facts.rules != "us":
        return ""
    whole, half = divmod(hosiery_size(facts.sock_foot_mm), 1)
    return f"Sock size {whole:.0f}{'½' if half else ''}"


def _maker(facts: Facts) -> str:
    name = facts.identity.strip()
    return ", ".join(part for part in (name, facts.town.strip()) if part) if name else ""


def _origin(facts: Facts) -> str:
    spun = {"home": facts.country, "abroad": "abroad", "unknown": ""}
    try:
        return origin_line(facts.country, [spun[where] for where in facts.spun_in])
    except ValueError:
        return ""


def _care(facts: Facts) -> list[str]:
    sets: list[CareSet] = [PRESETS[key] for key in facts.care if key in PRESETS]
    if not sets or len(sets) < len(facts.care):
        return []
    return care_words(mildest(sets), facts.rules)


def _tracking(facts: Facts) -> str:
    if facts.age == "adult":
        return ""
    place = ", ".join(part for part in (facts.town.strip(), facts.country.strip()) if part)
    if not facts.town.strip():
        place = ""
    try:
        return tracking_line(maker=facts.identity, place=place, made=facts.made, batch=facts.batch)
    except ValueError:
        return ""


def _fault(facts: Facts) -> str:
    if not facts.second:
        return ""
    return f"Second: {'; '.join(facts.faults)}" if facts.faults else "Second"


def _gaps(facts: Facts, text: dict[str, Any], label: Label | None) -> Iterator[Gap]:
    if not text["price"]:
        yield Gap("price", f"{facts.design} {facts.size_name} has no price.")
    if not text["sizes"]:
        yield Gap("pattern", "The foot it fits is out of every size system's reach.")
    yield from _fibre_gaps(facts, label)
    yield from _origin_gaps(facts, text)
    yield from _maker_gaps(facts, text)
    if text["fault"] == "Second":
        yield Gap("fault", "It is a second, and nobody wrote down what is wrong with it.")
    yield from _care_gaps(facts, text)


def _fibre_gaps(facts: Facts, label: Label | None) -> Iterator[Gap]:
    if label is None:
        yield Gap("fibre", facts.parts_problem or "There is no fibre content for its yarn.")
        return
    for problem in label.problems:
        yield Gap("fibre", problem)


def _origin_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if text["origin"]:
        return
    needed = facts.rules == "us"  # EU and UK ask for no origin mark on socks
    if is_us(facts.country):
        yield Gap(
            "origin",
            "Nobody noted where one of its yarns was spun, so there is no origin line. Ask the "
            "mill, or count the yarn as imported.",
            blocks=needed,
        )
    else:
        yield Gap(
            "country", "The country of making is not given by its English name.", blocks=needed
        )


def _maker_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if not facts.identity.strip():
        yield Gap("identity", "The name you do business under, or your registered number.")
    if facts.age != "adult" and not text["tracking"] and facts.identity.strip():
        yield Gap("town", "A children's tracking line needs the town: maker, place, date, batch.")
    if facts.rules == "eu":
        yield Gap(
            "address",
            "Rules for products in general want your postal and e-mail address on the tag or "
            "the pack: add a card or a stamp.",
            blocks=False,
        )


def _care_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if not text["care"]:
        yield Gap(
            "care",
            "A yarn in it has no care chosen; a hang tag with half the care is worse than none.",
            blocks=facts.rules == "us",
        )
    if facts.rules == "us":
        yield Gap("sewn", LABEL_BASES["sewn_in"], blocks=False)


def _cautions(facts: Facts, text: dict[str, Any], label: Label | None) -> Iterator[str]:
    if label is not None:
        yield from label.cautions
    yield from child_cautions(facts.age)
    if text["origin"] and is_us(facts.country):
        yield ORIGIN_CAUTION
    for word in _fibre_words(facts.design):
        if label is not None and word not in {canonical_fibre(name) for name in label.shares}:
            yield (
                f"The design is called {facts.design}, and its fibre lines name no "
                f"{fibre(word).name}: no word on a tag may suggest a fibre that is not there."
            )


def _fibre_words(design: str) -> Iterator[str]:
    for word in re.findall(r"[a-z]+", design.casefold()):
        try:
            yield canonical_fibre(word)
        except ValueError:
            continue
