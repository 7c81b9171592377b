"""Counting the shelf pair by pair: every number read is known to lie there."""

from collections import Counter
from collections.abc import Sequence

from django.db import transaction

from patterns.core.words import say, say_list
from production.models import Act, Pair
from production.services.acts import Who, recorded
from sales.errors import SalesError
from sales.models import CountSeen
from sales.services.shelf import MOST_COUNTED, count_shelf, shelf_kinds
from sales.services.table import number_in

MOST_NAMED = 5


def pairs_read(text: str) -> list[Pair]:
    """Return the pairs whose numbers were typed or scanned one after another, each once.

    Raises:
        SalesError: If there is no number, too many, or one that no pair of the book has; the
            message names them.
    """
    words = text.replace(",", " ").replace(";", " ").split()
    if not words:
        msg = say("Scan or type the number of at least one pair.")
        raise SalesError(msg, field="numbers")
    if len(words) > MOST_COUNTED:
        msg = say(
            "{count} numbers at once; count at most {MOST_COUNTED} in one go.",
            count=len(words),
            MOST_COUNTED=MOST_COUNTED,
        )
        raise SalesError(msg, field="numbers")
    numbers = {word: number_in(word) for word in words}
    wanted = sorted({number for number in numbers.values() if number is not None})
    found: dict[int, Pair] = {}
    for start in range(0, len(wanted), 500):
        part = Pair.objects.filter(number__in=wanted[start : start + 500])
        found |= {pair.number: pair for pair in part.select_related("pattern__design")}
    unknown = [word for word, number in numbers.items() if number not in found]
    if unknown:
        raise SalesError(_unknown_words(unknown), field="numbers")
    return [found[number] for number in wanted]


@transaction.atomic
def count_by_number(*, pairs: Sequence[Pair], whole: bool, who: Who) -> Act:
    """Write down a count of which every pair was read by its number.

    The count alone moves nothing, as with a count by kinds; but now the pairs that were not
    read are known by name.

    Args:
        pairs: The pairs that were read.
        whole: Whether that was the whole shelf; else only the kinds that were read count.
        who: Who counted, and when.

    Raises:
        SalesError: If nothing was read.
    """
    if done := recorded(who.key):
        return done
    read = Counter((pair.pattern_id, pair.quality) for pair in pairs)
    if whole and read:
        for kind in shelf_kinds():
            read.setdefault((kind.pattern.pk, kind.quality), 0)
    act = count_shelf(counted=read, who=who)
    CountSeen.objects.bulk_create((CountSeen(act=act, pair=pair) for pair in pairs), batch_size=500)
    return act


def seen_at(act: Act) -> dict[int, Pair]:
    """Return the pairs that were read at a count, by their keys; none at a count by kinds."""
    rows = CountSeen.objects.filter(act=act).select_related("pair__pattern__design")
    return {row.pair_id: row.pair for row in rows}


def _unknown_words(unknown: Sequence[str]) -> str:
    named = say_list([say("“{word}”", word=word[:20]) for word in unknown[:MOST_NAMED]])
    rest = len(unknown) - MOST_NAMED
    if rest > 0:
        named = say("{named} and {rest} more", named=named, rest=rest)
    return say(
        "No pair of the book has the number {named}. Look at the tag again, or "
        "lay it aside and take the number out.",
        named=named,
    )
