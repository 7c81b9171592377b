"""Care words of a sock, in the logic of 16 CFR 423.6.

Silence is a claim there: no temperature says hot is harmless, no bleach words say any bleach
is. So a care set is complete or refused. A washing or a dry-cleaning instruction is enough, and
where neither is safe the label says so (423.6(b)). EU and UK rules ask for no care label; the
same words are printed there. Needs a reasonable basis (423.6(c)): a ball band, a washed sample.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from patterns.core.words import Phrase, say
from production.core.fibre.compose import require_rules

CHOICES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "wash": ("machine", "hand", "none"),
        "temperature": ("hot", "warm", "cold"),
        "cycle": ("normal", "gentle"),
        "bleach": ("any", "non_chlorine", "none"),
        "dry": ("tumble_high", "tumble_medium", "tumble_low", "tumble_no_heat", "line", "flat"),
        "iron": ("hot", "unneeded", "warm", "cool", "none"),
        "dry_clean": ("any", "petroleum", "unsaid", "none"),
    }
)
"""Choices of each dimension, harshest first."""

WARNINGS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "wash_inside_out": ("wash", "Wash inside out."),
        "wash_separately": ("wash", "Wash separately."),
        "like_colors": ("wash", "With like colors."),
        "do_not_soak": ("dry", "Do not soak."),
        "do_not_wring": ("dry", "Do not wring or twist."),
        "reshape": ("dry", "Reshape while damp."),
    }
)
"""Known extra warnings: after which words they come, and how they read."""

_BLEACH: Final = {
    "any": "",
    "non_chlorine": "Only non-chlorine bleach, when needed.",
    "none": "Do not bleach.",
}
_DRY: Final = {
    "tumble_high": "Tumble dry high.",
    "tumble_medium": "Tumble dry medium.",
    "tumble_low": "Tumble dry low.",
    "tumble_no_heat": "Tumble dry, no heat.",
    "line": "Line dry.",
    "flat": "Dry flat.",
}
_IRON: Final = {
    "hot": "Hot iron.",
    "unneeded": "",
    "warm": "Warm iron.",
    "cool": "Cool iron.",
    "none": "Do not iron.",
}

_OF_WATER: Final = {"temperature": "cold", "cycle": "gentle", "bleach": "none", "dry": "flat"}
_DRY_CLEAN_ONLY: Final = {
    "any": ("Dry-clean only.",),
    "petroleum": ("Dry-clean only, petroleum solvent.",),
    "none": ("Do not wash.", "Do not dry-clean."),
}
_DRY_CLEAN_TOO: Final = {
    "any": "Or dry-clean.",
    "petroleum": "Or dry-clean, petroleum solvent.",
    "unsaid": "",
    "none": "Do not dry-clean.",
}

CLEANING_UNKNOWN: Final = say(
    "One of its yarns may not be washed, and nobody noted whether the others may be dry-cleaned: "
    "the words say that neither is safe. Note it in their care sets."
)
"""What is said where `mildest` had to take the careful reading; see `leaves_cleaning_unknown`."""

LABEL_BASES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "sewn_in": say(
            "A permanent, sewn-in care label is needed; a hang tag only adds to it "
            "(16 CFR 423.1(a))."
        ),
        "either_side": say(
            "No pocket and meant to be worn either side out: care on the tag or pack "
            "(16 CFR 423.8(a))."
        ),
        "granted": say(
            "The regulator granted a written request: care on the tag or pack (16 CFR 423.8(b))."
        ),
        "harshest": say(
            "Reliable proof that the harshest methods do no harm: the tag says so "
            "(16 CFR 423.8(d))."
        ),
    }
)
"""Grounds for where the care words go; `sewn_in` unless the maker knows better."""


@dataclass(frozen=True, slots=True)
class CareSet:
    """A complete set of care choices; see `CHOICES`.

    Attributes:
        wash: By hand or machine; `none` if water harms it, which settles all questions of water.
        temperature: Of the water.
        bleach: What it bears.
        dry: How it dries.
        cycle: Of the machine; a hand wash is always gentle.
        iron: `unneeded` prints nothing and says that no iron would harm it.
        dry_clean: Which solvents it bears; `unsaid` is enough only where it may be washed.
        warnings: Names from `WARNINGS` or the maker's own sentences.

    Raises:
        ValueError: If a choice is missing or not one of `CHOICES`, hot water meets a hand wash,
            or nothing is said of dry-cleaning where it may not be washed.
    """

    wash: str
    temperature: str
    bleach: str
    dry: str
    cycle: str = "normal"
    iron: str = "unneeded"
    warnings: tuple[str, ...] = ()
    dry_clean: str = "unsaid"

    def __post_init__(self) -> None:
        if self.wash == "none":
            self._settle_water()
        for name, choices in CHOICES.items():
            value = getattr(self, name)
            if value not in choices:
                said = "silence is a claim (16 CFR 423.6); " if not value else ""
                msg = f"{name} is {value!r}: {said}choose one of {', '.join(choices)}."
                raise ValueError(msg)
        if self.wash == "hand":
            if self.temperature == "hot":
                msg = say("temperature is 'hot': a hand wash is warm or cold (16 CFR 423, App. A).")
                raise ValueError(msg)
            object.__setattr__(self, "cycle", "gentle")
        if not all(text.strip() for text in self.warnings):
            msg = f"warnings is {self.warnings!r}; leave blank entries out."
            raise ValueError(msg)

    def _settle_water(self) -> None:
        if self.dry_clean == "unsaid":
            msg = say(
                "dry_clean is 'unsaid': what may not be washed needs a word on dry-cleaning "
                "(16 CFR 423.6(b)); choose one of any, petroleum, none."
            )
            raise ValueError(msg)
        for name, mildest_value in _OF_WATER.items():
            object.__setattr__(self, name, mildest_value)


PRESETS: Final[Mapping[str, CareSet]] = MappingProxyType(
    {
        "Superwash/nylon": CareSet(
            wash="machine",
            temperature="cold",
            cycle="gentle",
            bleach="non_chlorine",
            dry="flat",
            warnings=("like_colors",),
        ),
        "Non-superwash wool": CareSet(
            wash="hand", temperature="cold", bleach="none", dry="flat", warnings=("do_not_wring",)
        ),
        "Cotton": CareSet(
            wash="machine", temperature="warm", bleach="non_chlorine", dry="tumble_low"
        ),
        "Acrylic": CareSet(
            wash="machine",
            temperature="warm",
            cycle="gentle",
            bleach="non_chlorine",
            dry="tumble_low",
            iron="none",
        ),
    }
)
"""Starting points the maker confirms against ball band and washed sample."""


PRESET_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Superwash/nylon": say("Superwash/nylon"),
        "Non-superwash wool": say("Non-superwash wool"),
        "Cotton": say("Cotton"),
        "Acrylic": say("Acrylic"),
    }
)
"""What a starting point is called on a page; its key is kept with the yarn."""


def basis_wanted(yarn: str) -> Phrase:
    """Return what is said of a yarn whose care is a starting point.

    Args:
        yarn: Its name.
    """
    return say(
        "{yarn} has the care of a starting point, and nobody noted what it rests on. A care label "
        "needs a reasonable basis before the first sale (16 CFR 423.6(c)): keep a care set of "
        "your own with its grounds.",
        yarn=yarn,
    )


def care_words(care: CareSet, rules: str = "us") -> list[str]:
    """Return the care sentences in the order of the rule: wash, bleach, dry, iron, solvent, own.

    Args:
        care: A complete set.
        rules: A key of `fibre.compose.RULES`; outside the US the spelling is British.

    Raises:
        ValueError: If `rules` is not one of them.
    """
    require_rules(rules)
    unwashed = care.wash == "none"
    words = [
        *(_DRY_CLEAN_ONLY[care.dry_clean] if unwashed else _washing(care)),
        _IRON[care.iron],
        "" if unwashed else _DRY_CLEAN_TOO[care.dry_clean],
        *(_sentence(text) for text in care.warnings if text not in WARNINGS),
    ]
    said = [word for word in words if word]
    return said if rules == "us" else [word.replace("colors", "colours") for word in said]


def _washing(care: CareSet) -> tuple[str, ...]:
    cycle = ", gentle cycle" if care.wash == "machine" and care.cycle == "gentle" else ""
    return (
        f"{care.wash.capitalize()} wash {care.temperature}{cycle}.",
        *_warnings(care, "wash"),
        _BLEACH[care.bleach],
        *_warnings(care, "dry"),
        _DRY[care.dry],
    )


def _warnings(care: CareSet, place: str) -> list[str]:
    return [text for name, (at, text) in WARNINGS.items() if at == place and name in care.warnings]


def _sentence(text: str) -> str:
    clean = " ".join(text.split())
    return clean if clean.endswith((".", "!")) else f"{clean}."


def mildest(care_sets: Iterable[CareSet]) -> CareSet:
    """Return the care that suits every yarn: the mildest of each dimension, all warnings.

    Where one yarn may not be washed and another's set is silent on dry-cleaning, neither is
    taken for safe; see `leaves_cleaning_unknown`.

    Args:
        care_sets: One set for each yarn in the sock.

    Raises:
        ValueError: If there is none.
    """
    sets = list(care_sets)
    if not sets:
        msg = "care_sets is empty; give the care of at least one yarn."
        raise ValueError(msg)
    chosen = {
        name: max((getattr(care, name) for care in sets), key=choices.index)
        for name, choices in CHOICES.items()
    }
    if chosen["wash"] == "none" and chosen["dry_clean"] == "unsaid":
        chosen["dry_clean"] = "none"
    warnings = dict.fromkeys(text for care in sets for text in care.warnings)
    return CareSet(**chosen, warnings=tuple(warnings))


def leaves_cleaning_unknown(care_sets: Iterable[CareSet]) -> bool:
    """Return whether no water is safe for all yarns and no set forbids solvents, yet one is silent.

    Args:
        care_sets: One set for each yarn in the sock.
    """
    sets = list(care_sets)
    solvents = {care.dry_clean for care in sets}
    unwashed = any(care.wash == "none" for care in sets)
    return unwashed and "unsaid" in solvents and "none" not in solvents


def load_key(care: CareSet) -> tuple[str, str, str]:
    """Return what must agree in one load: wash, temperature, cycle. Drying is done after."""
    return care.wash, care.temperature, care.cycle


def may_share_load(a: CareSet, b: CareSet) -> bool:
    """Return whether socks of both sets may be washed together."""
    if "none" in {a.wash, b.wash}:
        return False
    alone = "wash_separately"
    return load_key(a) == load_key(b) and alone not in a.warnings and alone not in b.warnings
