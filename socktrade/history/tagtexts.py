"""The words on the tags of a made-up past, by the same rules as any other tag."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from patterns.models import PatternVersion
from patterns.services.sizes import fit_of
from production.core.fibre import Part
from production.core.fibre.choices import Choices
from production.core.tagfacts import Facts
from production.core.tagwords import write_tag
from production.models import Pair, Price, Quality, Sock
from socktrade.demo.story import SITE
from socktrade.history.house import House
from socktrade.money import format_minor


class TagTexts:
    """Writes the words once for pairs that differ only in their number."""

    def __init__(self, house: House, prices: dict[int, Price]) -> None:
        self._house = house
        self._prices = prices
        self._written: dict[tuple[object, ...], dict[str, Any]] = {}

    def price_of(self, pair: Pair) -> int:
        """Return the price that holds for a pair [minor units]."""
        return self._prices[pair.pattern_id].of_quality(pair.quality)

    def text_of(self, pair: Pair, socks: Sequence[Sock]) -> dict[str, Any]:
        """Return the words of one tag."""
        faults = tuple(dict.fromkeys(sock.fault for sock in socks if sock.fault))
        key = (*sorted({sock.run_id for sock in socks}), pair.quality, faults)
        if key not in self._written:
            self._written[key] = write_tag(self._facts(pair, socks, faults)).text
        return {
            **self._written[key],
            "number": f"P{pair.number}",
            "address": f"{SITE}{pair.get_absolute_url()}",
        }

    def _facts(self, pair: Pair, socks: Sequence[Sock], faults: tuple[str, ...]) -> Facts:
        shop, yarn, pattern = self._house.workshop, pair.lot.yarn, pair.pattern
        low, high = _fit(pair.version)
        grams = Fraction(str(round(2 * pair.version.grams, 3)))
        return Facts(
            number=pair.number, design=pattern.design.name, size_name=pattern.size_name,
            group=pattern.group, foot_mm=(low, high), sock_foot_mm=low,
            parts=(Part(yarn.content, grams),), parts_problem="", spun_in=(yarn.spun_in,),
            care=(yarn.care_set,), no_basis=(), second=pair.quality == Quality.SECOND,
            faults=faults, made=f"{socks[0].string.act.at:%Y-%m}",
            batch=", ".join(str(n) for n in sorted({sock.string.number for sock in socks})),
            price=format_minor(self.price_of(pair), shop.currency, "en_US"), brand=shop.name,
            identity=shop.identity, town=shop.town, country=shop.country,
            rules=shop.label_rules, address=SITE, choices=Choices(),
        )  # fmt: skip


def _fit(version: PatternVersion) -> tuple[float, float]:
    fit = fit_of(version)
    return fit.sock_foot_mm, fit.foot_mm[1]
