"""Fibre names: what a maker types, what a US tag says, what an EU or UK tag says.

US words: 16 CFR 303.6, 303.7 and 300.18; EU words: Reg. (EU) 1007/2011, Annex I. Hemp, ramie,
yak and olefin in the US column are from memory.
"""

import difflib
import re
from dataclasses import dataclass
from typing import Literal

from patterns.core.words import Phrase, say

Kind = Literal["wool", "speciality", "fur", "other"]

UNKNOWN = "unknown"
"""Typed where the ball band is lost; never a printed name."""


@dataclass(frozen=True, slots=True)
class Fibre:
    """One fibre and its printed words.

    Attributes:
        name: Our own name.
        us: Word on a US line.
        eu: Word on an EU or UK line.
        kind: `wool`, `speciality` (hair the Wool Act counts as wool), `fur` (hair it does
            not) or `other`.
    """

    name: str
    us: str
    eu: str
    kind: Kind

    @property
    def under_wool_act(self) -> bool:
        """Whether any gram of it brings the sock under 16 CFR 300 (15 U.S.C. 68)."""
        return self.kind in {"wool", "speciality"}

    @property
    def as_wool(self) -> str:
        """Our name when speciality hair is called wool, which 300.18 leaves to the maker."""
        if self.kind != "speciality":
            return self.name
        return "recycled wool" if self.name.startswith("recycled ") else "wool"

    @property
    def rank(self) -> int:
        """Place among equal shares: wool, then speciality hairs, then the rest."""
        if self.kind == "wool":
            return 0 if self.name == "wool" else 1
        return 3 if self.kind == "other" else 2


_ROWS: tuple[tuple[str, str, str, Kind, tuple[str, ...]], ...] = (
    (
        "wool",
        "Wool",
        "wool",
        "wool",
        ("merino", "merino wool", "sheep wool", "superwash", "superwash wool"),
    ),
    ("alpaca", "Alpaca", "alpaca", "speciality", ()),
    ("llama", "Llama", "llama", "speciality", ()),
    ("vicuna", "Vicuna", "vicuna", "speciality", ()),
    ("mohair", "Mohair", "mohair", "speciality", ()),
    ("cashmere", "Cashmere", "cashmere", "speciality", ()),
    ("camel", "Camel Hair", "camel", "speciality", ("camel hair",)),
    ("angora rabbit", "Rabbit Hair", "angora", "fur", ("rabbit", "rabbit hair")),
    ("yak", "Yak Hair", "yak", "fur", ("yak hair",)),
    ("silk", "Silk", "silk", "other", ()),
    ("cotton", "Cotton", "cotton", "other", ()),
    ("linen", "Linen", "linen", "other", ("flax",)),
    ("hemp", "Hemp", "true hemp", "other", ("true hemp",)),
    ("ramie", "Ramie", "ramie", "other", ()),
    ("nylon", "Nylon", "polyamide", "other", ("polyamide",)),
    ("polyester", "Polyester", "polyester", "other", ()),
    ("acrylic", "Acrylic", "acrylic", "other", ()),
    ("modacrylic", "Modacrylic", "modacrylic", "other", ()),
    ("acetate", "Acetate", "acetate", "other", ()),
    ("viscose", "Rayon", "viscose", "other", ("rayon", "bamboo")),
    ("lyocell", "Lyocell", "lyocell", "other", ()),
    ("modal", "Modal", "modal", "other", ()),
    ("spandex", "Spandex", "elastane", "other", ("elastane",)),
    ("metallic", "Metallic", "metallic", "other", ("lurex",)),
    ("rubber", "Rubber", "elastodiene", "other", ("natural rubber", "elastodiene")),
    ("PLA", "PLA", "polylactide", "other", ("polylactide",)),
    ("azlon", "Azlon", "protein", "other", ("milk", "milk protein", "soy", "soy protein")),
    ("polypropylene", "Olefin", "polypropylene", "other", ("olefin",)),
)


def _key(name: str) -> str:
    """Return `name` as compared: one case, single blanks, hyphens as blanks."""
    return re.sub(r"[\s_-]+", " ", name).strip().casefold()


def _build() -> tuple[dict[str, Fibre], dict[str, str]]:
    """Return fibres by our name, and our name by everything a maker may type."""
    fibres: dict[str, Fibre] = {}
    typed: dict[str, str] = {}
    for name, us, eu, kind, doubles in _ROWS:
        fibres[name] = Fibre(name, us, eu, kind)
        typed |= {_key(word): name for word in (name, *doubles)}
        if kind in {"wool", "speciality"}:
            again = f"recycled {name}"
            fibres[again] = Fibre(again, f"Recycled {us}", eu, kind)
            typed |= {_key(f"recycled {word}"): again for word in (name, *doubles)}
    return fibres, typed


_FIBRES, _TYPED = _build()

NAMES: tuple[str, ...] = tuple(_FIBRES)
"""Our names, wool first: the choices of a form."""


def canonical_fibre(name: str) -> str:
    """Return our name of the fibre typed as `name`, in any case.

    Args:
        name: A fibre name or one of its usual doubles.

    Raises:
        ValueError: If the name is not known; the message offers the nearest names.
    """
    found = _TYPED.get(_key(name))
    if found is None:
        msg = "content names " + name_refusal(name)
        raise ValueError(msg)
    return found


def name_refusal(name: str) -> Phrase:
    """Return what is said of a typed name that no rule knows, with the nearest names.

    Args:
        name: What was typed.
    """
    near = difflib.get_close_matches(_key(name), list(_TYPED), n=3, cutoff=0.5)
    if near:
        return say(
            "{typed}, which is not a fibre name the rules know; nearest: {names}.",
            typed=repr(name),
            names=", ".join(near),
        )
    return say(
        "{typed}, which is not a fibre name the rules know; known names: {names}.",
        typed=repr(name),
        names=", ".join(NAMES),
    )


def fibre(name: str) -> Fibre:
    """Return the fibre typed as `name`.

    Raises:
        ValueError: If the name is not known.
    """
    return _FIBRES[canonical_fibre(name)]


def means_unknown(name: str) -> bool:
    """Return whether `name` says that nobody knows the content."""
    return _key(name) == UNKNOWN


def is_bamboo(name: str) -> bool:
    """Return whether `name` sells a chemically made fibre as bamboo."""
    return _key(name) == "bamboo"
