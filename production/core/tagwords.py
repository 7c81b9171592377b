"""The words of a hang tag from plain facts, and what the chosen rules still miss.

Never a verdict: the words follow the rule texts named on the tag's record, the maker answers
for them, local law decides.
"""

import re
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any, Final

from patterns.core.feet import SIZE_SYSTEMS, hosiery_size, size_range_text
from patterns.core.words import say
from production.core.care import (
    CLEANING_UNKNOWN,
    LABEL_BASES,
    CareSet,
    basis_wanted,
    care_words,
    leaves_cleaning_unknown,
    mildest,
)
from production.core.caresymbols import care_symbols
from production.core.children import child_cautions, tag_lines, tracking_line
from production.core.fibre import Label, canonical_fibre, fibre
from production.core.fibre.choices import label_by_choice
from production.core.fibre.compose import RULES
from production.core.fibrewords import say_again
from production.core.origin import CAUTION as ORIGIN_CAUTION
from production.core.origin import is_us, origin_line
from production.core.tagfacts import Draft, Facts, Gap

VERSION: Final = 2
"""Shape of the kept text; a later shape gets a higher number and reads the older."""

HAND_CRANKED: Final = "Knitted on a hand-cranked machine"

_SYSTEMS: Final = {
    ("us", "women"): ("us_women", "us_men"),
    ("us", "men"): ("us_men", "us_women"),
    ("us", "child"): ("us_child",),
    ("uk", "women"): ("uk_adult", "eu"),
    ("uk", "men"): ("uk_adult", "eu"),
    ("uk", "child"): ("uk_child", "eu"),
}

PRINTED_SYSTEMS: Final = {
    key: one.name
    for wearers in (("adult", "any"), ("child",))
    for key, one in SIZE_SYSTEMS.items()
    if one.wearer in wearers and not one.reading
}
"""Size systems that may be printed; a child's only on children's socks."""

_EN_DASH: Final = "\N{EN DASH}"
_PLAIN_RANGE: Final = re.compile(r"(?P<system>[A-Za-z ]*[A-Za-z]) (?P<range>[\d½]+( to [\d½]+)?)")


def write_tag(facts: Facts) -> Draft:
    """Put the words of one tag together.

    Raises:
        ValueError: If the rules or the group are not known.
    """
    label = label_by_choice(facts.parts, facts.rules, facts.choices) if facts.parts else None
    origin, care, tracking = _origin(facts), _mildest(facts), _tracking(facts)
    sizes = _sizes(facts)
    text = {
        "version": VERSION,
        "rules": facts.rules,
        "act": label.act if label else "",
        "rules_date": label.rules_date if label else RULES[facts.rules].date,
        "number": f"P{facts.number}",
        "brand": facts.brand,
        "maker": _maker(facts),
        "design": facts.design,
        "size_name": facts.size_name,
        "sizes": sizes,
        "sock_size": _sock_size(facts) if sizes else "",
        "origin": origin,
        "fibre": list(label.lines) if label else [],
        "fibre_again": list(_fibre_again(facts, label)),
        "care": care_words(care, facts.rules) if care else [],
        "care_symbols": _symbols(facts, care),
        "price": facts.price,
        "tax": facts.wishes.tax if facts.price else "",
        "fault": _fault(facts),
        "tracking": tracking,
        "cautions": list(tag_lines(facts.age)),
        "made_how": HAND_CRANKED if facts.wishes.hand_cranked else "",
        "second_text": facts.wishes.second_text,
        "address": facts.address,
    }
    return Draft(
        text=text,
        gaps=tuple(_gaps(facts, text, label)),
        cautions=tuple(dict.fromkeys(_cautions(facts, text, label))),
        steps=label.steps if label else (),
    )


def _sizes(facts: Facts) -> list[dict[str, str]]:
    found = []
    for system in _systems(facts):
        try:
            said = size_range_text(facts.wishes.scale(system), *facts.foot_mm)
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


def _systems(facts: Facts) -> tuple[str, ...]:
    """Return the systems she chose that suit the age, else the usual ones of the rules."""
    other = "child" if facts.age == "adult" else "adult"
    suits = {key for key in PRINTED_SYSTEMS if SIZE_SYSTEMS[key].wearer != other}
    chosen = tuple(system for system in facts.wishes.systems if system in suits)
    group = "child" if facts.group == "baby" else facts.group
    return chosen or _SYSTEMS.get((facts.rules, group), ("eu",))


def _fibre_again(facts: Facts, label: Label | None) -> tuple[str, ...]:
    """Return the fibre lines in the second language; US lines must be English and stay so."""
    if label is None or not facts.wishes.language or facts.rules == "us":
        return ()
    return say_again(label.lines, facts.wishes.language)


def _sock_size(facts: Facts) -> str:
    """Return the US hosiery number, which names the sock's own foot in inches."""
    if facts.rules != "us":
        return ""
    whole, half = divmod(hosiery_size(facts.sock_foot_mm), 1)
    return f"Sock size {whole:.0f}{'½' if half else ''}"


def _maker(facts: Facts) -> str:
    name = facts.identity.strip()
    if facts.wishes.number_only:
        return name
    return ", ".join(part for part in (name, facts.town.strip()) if part) if name else ""


def _origin(facts: Facts) -> str:
    spun = {"home": facts.country, "abroad": "abroad", "unknown": ""}
    try:
        return origin_line(facts.country, [spun[where] for where in facts.spun_in])
    except ValueError:
        return ""


def _care_sets(facts: Facts) -> list[CareSet]:
    """Return the care of all yarns, or nothing while one of them has none."""
    sets = [care for care in facts.care if care is not None]
    return sets if len(sets) == len(facts.care) else []


def _mildest(facts: Facts) -> CareSet | None:
    sets = _care_sets(facts)
    return mildest(sets) if sets else None


def _symbols(facts: Facts, care: CareSet | None) -> list[dict[str, str]]:
    if care is None or not facts.wishes.care_symbols:
        return []
    return [asdict(symbol) for symbol in care_symbols(care, facts.rules)]


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
        said = say("{design} {size} has no price.", design=facts.design, size=facts.size_name)
        yield Gap("price", said)
    if not text["sizes"]:
        yield Gap("pattern", say("The foot it fits is out of every size system's reach."))
    yield from _fibre_gaps(facts, label)
    yield from _origin_gaps(facts, text)
    yield from _maker_gaps(facts, text)
    if text["fault"] == "Second":
        yield Gap("fault", say("It is a second, and nobody wrote down what is wrong with it."))
    yield from _care_gaps(facts, text)


def _fibre_gaps(facts: Facts, label: Label | None) -> Iterator[Gap]:
    if label is None:
        yield Gap("fibre", facts.parts_problem or say("There is no fibre content for its yarn."))
        return
    for problem in label.problems:
        yield Gap("fibre", problem)
    language = facts.wishes.language
    if language and facts.rules == "us":
        yield Gap(
            "language",
            say(
                "The fibre lines stand in English only, as United States rules want; write words "
                "in another language yourself."
            ),
            blocks=False,
        )
    elif language and label.lines and not _fibre_again(facts, label):
        yield Gap(
            "language",
            say("A word of the fibre lines has no translation here; it is said once."),
            blocks=False,
        )


def _origin_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if text["origin"]:
        return
    needed = facts.rules == "us"  # EU and UK ask for no origin mark on socks
    if is_us(facts.country):
        yield Gap(
            "origin",
            say(
                "Nobody noted where one of its yarns was spun, so there is no origin line. Ask the "
                "mill, or count the yarn as imported."
            ),
            blocks=needed,
        )
    else:
        yield Gap(
            "country",
            say("The country of making is not given by its English name."),
            blocks=needed,
        )


def _maker_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if not facts.identity.strip():
        yield Gap("identity", say("The name you do business under, or your registered number."))
    if facts.age != "adult" and not text["tracking"] and facts.identity.strip():
        yield Gap(
            "town", say("A children's tracking line needs the town: maker, place, date, batch.")
        )
    if facts.rules == "eu":
        yield Gap(
            "address",
            say(
                "Rules for products in general want your postal and e-mail address on the tag or "
                "the pack: add a card or a stamp."
            ),
            blocks=False,
        )


def _care_gaps(facts: Facts, text: dict[str, Any]) -> Iterator[Gap]:
    if not text["care"]:
        yield Gap(
            "care",
            say(
                "A yarn in it has no care chosen; a hang tag with half the care is worse than none."
            ),
            blocks=facts.rules == "us",
        )
    for yarn in facts.no_basis:
        yield Gap("basis", basis_wanted(yarn), blocks=False)
    if leaves_cleaning_unknown(_care_sets(facts)):
        yield Gap("cleaning", CLEANING_UNKNOWN, blocks=False)
    if facts.rules == "us":
        yield Gap("sewn", LABEL_BASES[facts.care_place], blocks=False)


def _cautions(facts: Facts, text: dict[str, Any], label: Label | None) -> Iterator[str]:
    if label is not None:
        yield from label.cautions
    yield from child_cautions(facts.age)
    if text["origin"] and is_us(facts.country):
        yield ORIGIN_CAUTION
    for word in _fibre_words(facts.design):
        if label is not None and word not in {canonical_fibre(name) for name in label.shares}:
            yield say(
                "The design is called {design}, and its fibre lines name no {fibre}: no word on "
                "a tag may suggest a fibre that is not there.",
                design=facts.design,
                fibre=fibre(word).name,
            )


def _fibre_words(design: str) -> Iterator[str]:
    for word in re.findall(r"[a-z]+", design.casefold()):
        try:
            yield canonical_fibre(word)
        except ValueError:
            continue
