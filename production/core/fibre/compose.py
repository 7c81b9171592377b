"""One door to the label rules of each market."""

from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from patterns.core.words import Phrase, say
from production.core.fibre.draft import Draft
from production.core.fibre.eu import EU_DATE, UK_DATE, eu_label, uk_label
from production.core.fibre.label import Label
from production.core.fibre.part import Part
from production.core.fibre.us import RULES_DATE as US_DATE
from production.core.fibre.us import us_label


class RuleSet(NamedTuple):
    """The label rules of one market.

    Attributes:
        compose: Turns a draft into the fibre lines.
        date: Which text of the rules was read, and when.
        ask: Whom to ask where they leave a doubt.
    """

    compose: Callable[[Draft], Label]
    date: str
    ask: Phrase


RULES: Final = {
    "us": RuleSet(
        us_label,
        US_DATE,
        say(
            "the Federal Trade Commission about fibre, origin and care, the small-business office "
            "of the Consumer Product Safety Commission about children's socks"
        ),
    ),
    "eu": RuleSet(eu_label, EU_DATE, say("the market-surveillance authority of your country")),
    "uk": RuleSet(uk_label, UK_DATE, say("your local trading-standards office")),
}


def require_rules(rules: str) -> RuleSet:
    """Return the rule set of a key.

    Raises:
        ValueError: If there is none.
    """
    if rules not in RULES:
        msg = f"rules is {rules!r}; use one of {', '.join(RULES)}."
        raise ValueError(msg)
    return RULES[rules]


def fibre_label(
    parts: Sequence[Part],
    rules: str = "us",
    functional: Sequence[str] = (),
    exclude: Sequence[str] = (),
    *,
    by_section: bool = False,
    hair_as_wool: bool = False,
) -> Label:
    """Compose the fibre lines of a pair.

    Args:
        parts: Every yarn in the finished pair, with its grams [g].
        rules: A key of `RULES`.
        functional: US only: fibres under 5 % that may be named because they do a job at that
            amount; a reason may follow a comma, as in `nylon, wear`.
        exclude: Roles to leave out where the rules allow it.
        by_section: US only: state each section on a line of its own instead of totals.
        hair_as_wool: US only: call alpaca, mohair and their like wool.

    Returns:
        A frozen label; print its lines only while it has no problems.

    Raises:
        ValueError: If `rules` is not one of them.
    """
    rule_set = require_rules(rules)
    draft = Draft.of(parts, functional=functional, exclude=exclude, by_section=by_section)
    if hair_as_wool and rules == "us":
        draft = draft.calling_hair_wool()
    return rule_set.compose(draft)
