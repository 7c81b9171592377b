"""Fibre content lines of a tag, from the grams of each yarn in the finished sock.

Not legal advice: the lines follow the rule texts named in `Label.rules_date`; local law decides.
"""

from production.core.fibre.compose import fibre_label
from production.core.fibre.label import Label
from production.core.fibre.names import NAMES, Fibre, canonical_fibre, fibre
from production.core.fibre.part import ROLES, Part
from production.core.fibre.tolerance import Tolerance, tolerance_check

__all__ = [
    "NAMES",
    "ROLES",
    "Fibre",
    "Label",
    "Part",
    "Tolerance",
    "canonical_fibre",
    "fibre",
    "fibre_label",
    "tolerance_check",
]
