"""Finding things by number or word."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_

from django.db.models import Q

from patterns.core.words import say
from patterns.models import Pattern
from production.models import DyeLot, Load, Pair, Sock, String

MOST_FOUND = 20
MOST_WORDS = 6
LONGEST_QUESTION = 120
LARGEST_NUMBER = 2**31 - 1
_PAIR = re.compile(r"(?:\S*/)?p\s?(\d{1,10})/?", re.IGNORECASE)
_SOCK = re.compile(r"(?:\S*/strings/)?(\d{1,10})[-/](\d{1,5})/?", re.IGNORECASE)
_STRING = re.compile(r"(?:string\s+|\S*/strings/)(\d{1,10})/?", re.IGNORECASE)
_LOAD = re.compile(r"(?:load\s+|\S*/loads/)(\d{1,10})/?", re.IGNORECASE)
_NUMBER = re.compile(r"\d{1,10}")


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that was looked for."""

    label: str
    url: str
    kind: str


def find_things(text: str) -> list[Found]:
    """Return what a text names: a sock, pair, string or lot by number, or things by words.

    Numbers are matched whole; words match anywhere in the names of designs, sizes, yarns
    and lots, and all of them must. At most 20 are returned, the exact ones first.
    """
    question = "".join(c if c.isprintable() else " " for c in text[:LONGEST_QUESTION]).strip()
    if not question:
        return []
    found = [*_by_number(question), *_by_words(question.split()[:MOST_WORDS])]
    return list({one.url: one for one in reversed(found)}.values())[::-1][:MOST_FOUND]


def _in_english(question: str) -> str:
    """Return "string 5" for what the reader's language calls so."""
    for plain, said in (("string", say("string")), ("load", say("load"))):
        word, _, number = question.partition(" ")
        if word.casefold() == str(said).casefold():
            return f"{plain} {number.strip()}"
    return question


def _by_number(question: str) -> list[Found]:
    found: list[Found] = []
    question = _in_english(question)
    if match := _SOCK.fullmatch(question):
        found += _socks_numbered(*(int(part) for part in match.groups()))
    if match := _LOAD.fullmatch(question):
        found += _loads_numbered(int(match[1]))
    if match := _PAIR.fullmatch(question) or _NUMBER.fullmatch(question):
        found += _pairs_numbered(int(match.group(match.lastindex or 0)))
    if match := _STRING.fullmatch(question) or _NUMBER.fullmatch(question):
        found += _strings_numbered(int(match.group(match.lastindex or 0)))
    return found


def _socks_numbered(number: int, position: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    socks = Sock.objects.filter(string__number=number, position=position).with_kind()
    return [
        Found(
            say("Sock {number}: {pattern}", number=sock.number, pattern=sock.version.pattern),
            sock.get_absolute_url(),
            say("sock"),
        )
        for sock in socks
    ]


def _pairs_numbered(number: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    pairs = Pair.objects.filter(number=number).with_kind()
    return [
        Found(f"{pair.label}: {pair.version.pattern}", pair.get_absolute_url(), say("pair"))
        for pair in pairs
    ]


def _strings_numbered(number: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    return [
        Found(str(string), string.get_absolute_url(), say("string"))
        for string in String.objects.filter(number=number)
    ]


def _loads_numbered(number: int) -> list[Found]:
    if number > LARGEST_NUMBER:
        return []
    return [
        Found(f"{load}: {load.name}", load.get_absolute_url(), say("load"))
        for load in Load.objects.filter(number=number)
    ]


def _by_words(words: Sequence[str]) -> list[Found]:
    lots = DyeLot.objects.with_yarn().filter(
        _all_words(words, "code", "yarn__name", "yarn__colour")
    )
    patterns = Pattern.objects.select_related("design").filter(
        _all_words(words, "design__name", "size_name")
    )
    return [
        *(
            Found(str(pattern), pattern.get_absolute_url(), say("pattern"))
            for pattern in patterns.by_size()[:MOST_FOUND]
        ),
        *(
            Found(str(lot), lot.get_absolute_url(), say("lot"))
            for lot in lots.order_by("-pk")[:MOST_FOUND]
        ),
    ]


def _all_words(words: Sequence[str], *fields: str) -> Q:
    def anywhere(word: str) -> Q:
        return reduce(lambda a, b: a | b, (Q(**{f"{field}__icontains": word}) for field in fields))

    return reduce(and_, (anywhere(word) for word in words))
