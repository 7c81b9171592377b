"""Sizes in words: whom a sock fits, and what to call a new size."""

from dataclasses import dataclass

from patterns.core.bounds import FOOT_MM
from patterns.core.feet import eu_sock_pair, hosiery_size, size_range, size_text
from patterns.core.fit import FitRange, fit_range
from patterns.core.words import Phrase, say
from patterns.models import PatternVersion, SizeGroup
from socktrade.models import Workshop

# US youth sizes begin at 200 mm; smaller feet are told in children's sizes.
_GROWN_MM = 200.0
# Where a measured foot is likelier the next group's; a first guess she may change.
_BABY_MM, _CHILD_MM, _WOMEN_MM = 125.0, 215.0, 262.0

# Up to about youth 4 a foot is as likely a child's as a woman's: told in both.
_YOUTH_MM = 226.0

_SMALL = ("us_child", "uk_child", "eu", "mondopoint")
_YOUTH = ("us_child", "us_women", "us_men", "uk_adult", "eu", "mondopoint")
_LARGE = ("us_women", "us_men", "uk_adult", "eu", "mondopoint")
_GROUP_OF_SYSTEM = {"us_women": SizeGroup.WOMEN, "us_women_athletic": SizeGroup.WOMEN}
_SYSTEM_OF_RULES = {"eu": "eu", "uk": "uk_adult"}


@dataclass(frozen=True, slots=True)
class Sizes:
    """The sizes a sock fits.

    Attributes:
        shoes: The range in each system, such as "US men 9 to 11½".
        hosiery: US hosiery number, which names the sock's own foot [in].
        eu_pairs: EU sock sizes touched, such as "39-42", or empty.
    """

    shoes: tuple[Phrase, ...]
    hosiery: float
    eu_pairs: str


def sizes_of(fit: FitRange, workshop: Workshop | None = None) -> Sizes:
    """Return the shoe and sock sizes of a fit, on the US scales this workshop reads."""
    low, high = (min(max(foot, FOOT_MM[0]), FOOT_MM[1]) for foot in fit.foot_mm)
    told = _SMALL if high < _GROWN_MM else _YOUTH if low < _YOUTH_MM else _LARGE
    systems = [_scale(system, workshop) for system in told]
    pairs = sorted(filter(None, {eu_sock_pair(low), eu_sock_pair(high)}))
    return Sizes(
        shoes=tuple(size_range(system, low, high) for system in systems),
        hosiery=hosiery_size(fit.sock_foot_mm),
        eu_pairs=_eu_words([f"{first}-{last}" for first, last in pairs]),
    )


def _eu_words(pairs: list[str]) -> str:
    if len(pairs) < 2:
        return "".join(pairs)
    return say("{one} and {other}", one=pairs[0], other=pairs[1])


def _scale(system: str, workshop: Workshop | None) -> str:
    if workshop is None:
        return system
    if system == "us_women":
        return workshop.us_women_scale
    # The ladder of children's sizes runs on into youth sizes on her scale.
    return workshop.us_youth_scale if system == "us_child" else system


def fit_of(version: PatternVersion) -> FitRange:
    """Return the feet a version fits."""
    return fit_range(
        needles=version.needles,
        foot_rows=version.foot_rows,
        gauge=version.gauge,
        centre=version.centre,
        toe_centre=version.toe_centre,
        deep_heel=version.deep_heel,
        heel_factor=version.heel_factor,
        toe_factor=version.toe_factor,
    )


def suggest_size_name(foot_mm: float, workshop: Workshop, system: str = "") -> str:
    """Return a name for the size of a foot, in her system or else the label rules' one."""
    if not system:
        us = "us_men" if foot_mm > _WOMEN_MM else workshop.us_women_scale
        system = _SYSTEM_OF_RULES.get(workshop.label_rules, us)
    return size_text(system, foot_mm)


def suggest_group(foot_mm: float, system: str = "") -> SizeGroup:
    """Return whom a foot most likely belongs to; a first guess."""
    if foot_mm < _BABY_MM:
        return SizeGroup.BABY
    if foot_mm < _CHILD_MM:
        return SizeGroup.CHILD
    if system in _GROUP_OF_SYSTEM:
        return _GROUP_OF_SYSTEM[system]
    return SizeGroup.MEN if system == "us_men" or foot_mm > _WOMEN_MM else SizeGroup.WOMEN
