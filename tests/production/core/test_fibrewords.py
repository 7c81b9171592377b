"""Fibre words in a second language: all of a line, or none of it.

German, French, Spanish and Dutch words of Reg. (EU) 1007/2011, Annex I: from memory.
"""

import pytest

from production.core.fibre import NAMES, fibre
from production.core.fibrewords import LANGUAGES, say_again


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("de", "75% Wolle, 25% Polyamid"),
        ("fr", "75% laine, 25% polyamide"),
        ("es", "75% lana, 25% poliamida"),
        ("nl", "75% wol, 25% polyamide"),
    ],
)
def test_a_blend_is_said_again_with_its_figures_untouched(language, said):
    assert say_again(("75% wool, 25% polyamide",), language) == (said,)


def test_parts_of_a_sock_are_named_too():
    lines = ("main part: 100% wool", "heel and toe: 100% cotton")

    assert say_again(lines, "de") == (
        "Hauptteil: 100% Wolle", "Ferse und Spitze: 100% Baumwolle",
    )  # fmt: skip


def test_half_a_translation_is_none():
    assert say_again(("90% wool, 10% spidersilk",), "de") == ()
    assert say_again(("gusset: 100% wool", "100% wool"), "de") == ()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_fibre_of_the_book_has_a_word(language):
    for name in NAMES:
        assert say_again((f"100% {fibre(name).eu}",), language)


def test_a_language_that_is_not_there_is_refused():
    with pytest.raises(ValueError, match="language is 'xx'; use one of de, fr, es, nl"):
        say_again(("100% wool",), "xx")
