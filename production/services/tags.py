"""Hang tags: their words from what the acts say, and what is still missing before printing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from hashlib import sha256
from json import dumps
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from patterns.core.words import say
from patterns.services.sizes import fit_of
from production.core.fibre import Part
from production.core.fibre.names import UNKNOWN
from production.core.tagfacts import Draft, Facts, Gap, Wishes
from production.core.tagwords import write_tag
from production.models import Act, Pair, Price, Quality, RunYarn, Sock, TagHabits, TagText, Yarn
from production.services.label_choices import MadeChoices, label_choices_of
from production.services.pairs import current_prices
from socktrade.models import Workshop
from socktrade.money import format_minor

MOST_TAGS = 600
"""Tags offered at once."""

AT_ONCE = 60
"""Tags printed while one waits: their address fits every server; more go sheet by sheet."""

LEAST_LENGTH_SHARE = 0.9
"""A foot may be a ninth longer than the sock's own, as in `patterns.core.fit`."""

_TAX_WORDS = {
    TagHabits.PriceSays.PLAIN: "",
    TagHabits.PriceSays.WITH: "Tax included",
    TagHabits.PriceSays.PLUS: "Plus tax",
    TagHabits.PriceSays.ADDED: "Tax included",
}

_CURES = {
    "price": (say("Set the price"), "production:price_list"),
    "fibre": (say("Mend the yarn"), "production:yarn_list"),
    "origin": (say("Say where it was spun"), "production:yarn_list"),
    "care": (say("Choose its care"), "production:yarn_list"),
    "basis": (say("Build a care set"), "production:care_list"),
    "cleaning": (say("Complete the care sets"), "production:care_list"),
    "country": (say("Name the country"), "workshop"),
    "identity": (say("Give your name"), "workshop"),
    "town": (say("Give the town"), "workshop"),
    "pattern": (say("Look at the pattern"), "patterns:pattern_list"),
    "language": (say("Choose the language"), "production:tag_habits"),
}


@dataclass(frozen=True, slots=True)
class Tag:
    """One pair with the words of its tag."""

    pair: Pair
    draft: Draft

    @property
    def text(self) -> dict[str, Any]:
        """The words, as they are printed and kept."""
        return self.draft.text

    @property
    def mark(self) -> str:
        """Number and a short digest of the words: tells whether they changed since."""
        words = dumps(self.text, sort_keys=True).encode()
        return f"{self.pair.number}.{sha256(words).hexdigest()[:5]}"

    @property
    def blocking(self) -> list[Gap]:
        """What is missing and wants a reason."""
        return [gap for gap in self.draft.gaps if gap.blocks]


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is missing, with the pairs it is missing from and where it is mended."""

    text: str
    blocks: bool
    pairs: tuple[str, ...]
    cure: str
    href: str


def waiting_pairs(limit: int = MOST_TAGS) -> list[Pair]:
    """Return the pairs that wait for a tag, oldest first, ready for `tags_of`."""
    return list(_with_socks(Pair.objects.to_tag())[:limit])


def pairs_numbered(numbers: Iterable[int]) -> list[Pair]:
    """Return pairs by their numbers, ready for `tags_of`."""
    return list(_with_socks(Pair.objects.filter(number__in=set(numbers)).order_by("number")))


def tags_of(pairs: Sequence[Pair], *, workshop: Workshop, site: str) -> list[Tag]:
    """Write the tags of pairs read by `waiting_pairs` or `pairs_numbered`.

    Args:
        pairs: The pairs.
        workshop: Whose tags they are.
        site: Address of this book, where the QR codes lead.
    """
    prices = current_prices(pair.pattern_id for pair in pairs)
    choices = label_choices_of(pairs)
    writer = _Writer(workshop, TagHabits.current(), site)
    return [
        Tag(pair, writer.draft(pair, prices.get(pair.pattern_id), choices[pair.pk]))
        for pair in pairs
    ]


def missing(tags: Iterable[Tag]) -> list[Missing]:
    """Return what the chosen rules still miss, said once, what wants a reason first."""
    found: dict[Gap, list[Pair]] = {}
    for tag in tags:
        for gap in tag.draft.gaps:
            found.setdefault(gap, []).append(tag.pair)
    lines = [_missing(gap, pairs) for gap, pairs in found.items()]
    return sorted(lines, key=lambda line: not line.blocks)


def kept_text(pair: Pair) -> dict[str, Any] | None:
    """Return the words last printed for a pair, those of an undone act left out."""
    standing = Act.objects.standing()
    row = TagText.objects.filter(pair=pair, act__in=standing).order_by("-pk").first()
    return row.text if row else None


def _missing(gap: Gap, pairs: Sequence[Pair]) -> Missing:
    labels = tuple(pair.label for pair in pairs)
    if gap.kind == "fault":
        return Missing(
            gap.text, gap.blocks, labels, say("Note the fault"), pairs[0].get_absolute_url()
        )
    cure, name = _CURES.get(gap.kind, ("", ""))
    return Missing(gap.text, gap.blocks, labels, cure, reverse(name) if name else "")


def _with_socks(pairs: QuerySet[Pair]) -> QuerySet[Pair]:
    socks = Sock.objects.select_related("string__act").order_by("side")
    yarns = RunYarn.objects.select_related("lot__yarn").order_by("pk")
    return pairs.select_related("version__swatch", "pattern__design", "lot").prefetch_related(
        Prefetch("socks", queryset=socks), Prefetch("socks__run__yarns", queryset=yarns)
    )


@dataclass(frozen=True, slots=True)
class _Writer:
    """Writes tags of one workshop, the way she likes them."""

    workshop: Workshop
    habits: TagHabits
    site: str

    def draft(self, pair: Pair, price: Price | None, made: MadeChoices) -> Draft:
        """Write the words of one tag."""
        workshop = self.workshop
        socks = list(pair.socks.all())
        yarns = [yarn for sock in socks for yarn in sock.run.yarns.all()]
        parts, problem = _parts(yarns, stock=made.choices.unknown_stock)
        foot_mm, sock_foot_mm = _fit(pair, socks)
        strings = sorted({sock.string.number for sock in socks})
        facts = Facts(
            number=pair.number,
            design=pair.pattern.design.name,
            size_name=pair.pattern.size_name,
            group=pair.pattern.group,
            foot_mm=foot_mm,
            sock_foot_mm=sock_foot_mm,
            parts=parts,
            parts_problem=problem,
            spun_in=tuple(yarn.lot.yarn.spun_in for yarn in yarns),
            care=tuple(yarn.care_set for yarn in _once(yarns)),
            no_basis=tuple(str(yarn) for yarn in _once(yarns) if yarn.care_lacks_basis),
            second=pair.quality == Quality.SECOND,
            faults=tuple(dict.fromkeys(sock.fault.strip() for sock in socks if sock.fault.strip())),
            made=max((f"{sock.string.act.at:%Y-%m}" for sock in socks), default=""),
            batch=", ".join(str(number) for number in strings),
            price=self._price(price.of_quality(pair.quality)) if price else "",
            brand=workshop.name,
            identity=self._identity(),
            town=workshop.town,
            country=workshop.country,
            rules=workshop.label_rules,
            address=f"{self.site.rstrip('/')}{pair.get_absolute_url()}",
            choices=made.choices,
            care_place=made.care_place,
            wishes=self._wishes(),
        )
        return write_tag(facts)

    def _price(self, minor: int) -> str:
        """Return the price as printed, with the tax in it if she wants that."""
        if self.habits.price_says == TagHabits.PriceSays.ADDED:
            minor = with_tax(minor, self.habits.tax_percent)
        return format_minor(minor, self.workshop.currency)

    def _identity(self) -> str:
        if self.habits.maker_says == TagHabits.MakerSays.NUMBER:
            return self.habits.registered_number
        return self.workshop.identity

    def _wishes(self) -> Wishes:
        habits = self.habits
        return Wishes(
            systems=tuple(habits.size_systems),
            tax=_TAX_WORDS[habits.price_says],
            hand_cranked=habits.hand_cranked,
            number_only=habits.maker_says == TagHabits.MakerSays.NUMBER,
            language=habits.second_language,
            second_text=habits.second_text,
            us_women_scale=self.workshop.us_women_scale,
            us_youth_scale=self.workshop.us_youth_scale,
            care_symbols=self.workshop.care_symbols,
        )


def with_tax(minor: int, percent: Decimal) -> int:
    """Return a price with tax added, half a minor unit rounded up."""
    added = minor * (1 + Decimal(percent) / 100)
    return int(added.quantize(Decimal(1), ROUND_HALF_UP))


def _once(uses: Sequence[RunYarn]) -> Iterable[Yarn]:
    """Return each yarn once; a sock names few yarns many times."""
    return {use.lot.yarn_id: use.lot.yarn for use in uses}.values()


def _parts(yarns: Sequence[RunYarn], *, stock: str = "") -> tuple[tuple[Part, ...], str]:
    """Return the yarns of both socks as parts of the pair, or why that cannot be done."""
    grams: dict[tuple[int, str, str], Fraction] = {}
    contents = {}
    for yarn in yarns:
        key = (yarn.lot.yarn_id, yarn.role, yarn.place)
        grams[key] = grams.get(key, Fraction(0)) + Fraction(str(yarn.grams))
        contents[yarn.lot.yarn_id] = yarn.lot.yarn
    parts = []
    for (yarn_id, role, place), weight in grams.items():
        yarn = contents[yarn_id]
        if not yarn.content and not stock:
            return (), say("Nobody noted what {yarn} is made of.", yarn=yarn)
        try:
            parts.append(Part(yarn.content or {UNKNOWN: 100}, weight, role=role, place=place))
        except ValueError as problem:
            return (), say("{yarn}: {problem}", yarn=yarn, problem=problem)
    return tuple(parts), "" if parts else say("The book does not know which yarn is in it.")


def _fit(pair: Pair, socks: Sequence[Sock]) -> tuple[tuple[float, float], float]:
    """Return which feet the pair fits and the foot of its shorter sock [mm].

    Measured socks count as measured; a foot must suit both of them.
    """
    sock_mm, longest_mm = _planned_fit(pair)
    measured = [sock.foot_mm for sock in socks if sock.foot_mm]
    if len(measured) < 2:
        return (sock_mm, longest_mm), sock_mm
    low, high = float(max(measured)), min(measured) * longest_mm / sock_mm
    return (low, max(low, high)), float(min(measured))


def _planned_fit(pair: Pair) -> tuple[float, float]:
    """Return the foot of the sock by its rows, and the longest foot it fits [mm]."""
    version = pair.version
    try:
        fit = fit_of(version)
    except ValueError:  # a heel of another shape: the plan knew its foot
        return version.sock_foot_mm, version.sock_foot_mm / LEAST_LENGTH_SHARE
    return fit.sock_foot_mm, fit.foot_mm[1]
