"""What a tag is written from, and what comes of it."""

from dataclasses import dataclass, field
from typing import Any

from production.core.care import CareSet
from production.core.fibre import Part
from production.core.fibre.choices import Choices


@dataclass(frozen=True, slots=True)
class Wishes:
    """How a maker likes her tags; what the rules want is printed in any case.

    Attributes:
        systems: Size systems in the order they are printed; empty for the usual ones.
        tax: Words about tax under the price.
        hand_cranked: Whether to say that a hand-cranked machine made it.
        number_only: Whether the maker is named by her registered number alone.
        language: Second language of the fibre words, or nothing.
        second_text: Words of her own, in any language.
        us_women_scale: Scale read as US women's sizes, of `patterns.core.feet.SYSTEMS`.
        us_youth_scale: Scale read as US child and youth sizes.
        care_symbols: Whether care drawings stand beside the care words (US rules only).
    """

    systems: tuple[str, ...] = ()
    tax: str = ""
    hand_cranked: bool = True
    number_only: bool = False
    language: str = ""
    second_text: str = ""
    us_women_scale: str = "us_women"
    us_youth_scale: str = "us_child"
    care_symbols: bool = False

    def scale(self, system: str) -> str:
        """Return the scale that she reads as a system."""
        youth = self.us_youth_scale
        own = {"us_women": self.us_women_scale, "us_child": youth, "us_youth": youth}
        return own.get(system, system)


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
        care: Care set of each yarn; None where none was chosen.
        no_basis: Yarns whose care is a starting point that rests on no grounds.
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
        choices: What the rules leave to the maker, as she chose.
        care_place: Ground for where the care words go, a key of `care.LABEL_BASES`.
        wishes: How she likes her tags.
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
    care: tuple[CareSet | None, ...]
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
    no_basis: tuple[str, ...] = ()
    choices: Choices = field(default_factory=Choices)
    care_place: str = "sewn_in"
    wishes: Wishes = field(default_factory=Wishes)

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
