"""Fibre lines said again in a second language of the market.

Words of Reg. (EU) 1007/2011, Annex I, in its German, French, Spanish and Dutch texts (from
memory; compare with the yarn's own band before printing).
"""

import re
from collections.abc import Sequence
from typing import Final

LANGUAGES: Final = ("de", "fr", "es", "nl")

_WORDS: Final[dict[str, tuple[str, str, str, str]]] = {
    "wool": ("Wolle", "laine", "lana", "wol"),
    "alpaca": ("Alpaka", "alpaga", "alpaca", "alpaca"),
    "llama": ("Lama", "lama", "llama", "lama"),
    "vicuna": ("Vikunja", "vigogne", "vicuña", "vicuña"),
    "mohair": ("Mohair", "mohair", "mohair", "mohair"),
    "cashmere": ("Kaschmir", "cachemire", "cachemira", "kasjmier"),
    "camel": ("Kamel", "chameau", "camello", "kameel"),
    "angora": ("Angora", "angora", "angora", "angora"),
    "yak": ("Yak", "yack", "yak", "jak"),
    "silk": ("Seide", "soie", "seda", "zijde"),
    "cotton": ("Baumwolle", "coton", "algodón", "katoen"),
    "linen": ("Leinen", "lin", "lino", "linnen"),
    "true hemp": ("Hanf", "chanvre", "cáñamo", "hennep"),
    "ramie": ("Ramie", "ramie", "ramio", "ramee"),
    "polyamide": ("Polyamid", "polyamide", "poliamida", "polyamide"),
    "polyester": ("Polyester", "polyester", "poliéster", "polyester"),
    "acrylic": ("Polyacryl", "acrylique", "acrílico", "acryl"),
    "modacrylic": ("Modacryl", "modacrylique", "modacrílico", "modacryl"),
    "acetate": ("Acetat", "acétate", "acetato", "acetaat"),
    "viscose": ("Viskose", "viscose", "viscosa", "viscose"),
    "lyocell": ("Lyocell", "lyocell", "lyocell", "lyocell"),
    "modal": ("Modal", "modal", "modal", "modal"),
    "elastane": ("Elastan", "élasthanne", "elastano", "elastaan"),
    "metallic": ("Metall", "métal", "metal", "metaal"),
    "elastodiene": ("Elastodien", "élastodiène", "elastodieno", "elastodieen"),
    "polylactide": ("Polylactid", "polylactide", "polilactida", "polylactide"),
    "protein": ("Protein", "protéinique", "proteínica", "proteïne"),
    "polypropylene": ("Polypropylen", "polypropylène", "polipropileno", "polypropyleen"),
    "other fibres": ("sonstige Fasern", "autres fibres", "otras fibras", "overige vezels"),
    "main part": ("Hauptteil", "partie principale", "parte principal", "hoofddeel"),
    "foot": ("Fuß", "pied", "pie", "voet"),
    "leg": ("Schaft", "tige", "caña", "been"),
    "heel": ("Ferse", "talon", "talón", "hiel"),
    "toe": ("Spitze", "pointe", "puntera", "teen"),
    "cuff": ("Bund", "bord", "puño", "boord"),
    "and": ("und", "et", "y", "en"),
}
_SAID: Final = re.compile(r"[a-z]+(?: [a-z]+)*")


def say_again(lines: Sequence[str], language: str) -> tuple[str, ...]:
    """Return EU or UK fibre lines in another language, numbers and order untouched.

    Args:
        lines: Lines as `fibre_label` writes them under EU or UK rules.
        language: One of `LANGUAGES`.

    Returns:
        The lines; none at all when one word has no translation here, for half a
        translation would be a wrong label.

    Raises:
        ValueError: If the language is not known.
    """
    if language not in LANGUAGES:
        msg = f"language is {language!r}; use one of {', '.join(LANGUAGES)}."
        raise ValueError(msg)
    place = LANGUAGES.index(language)
    said: list[str] = []
    for line in lines:
        words = _SAID.findall(line)
        if any(_of(word, place) is None for word in words):
            return ()
        said.append(_SAID.sub(lambda found: str(_of(found[0], place)), line))
    return tuple(said)


def _of(words: str, place: int) -> str | None:
    """Return the translation of a run of words: as a whole, else word by word."""
    if words in _WORDS:
        return _WORDS[words][place]
    parts = words.split(" ")
    if len(parts) == 1 or any(part not in _WORDS for part in parts):
        return None
    return " ".join(_WORDS[part][place] for part in parts)
