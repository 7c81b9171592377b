"""Fibre content lines of a tag, from the grams of each yarn in the finished sock.

Not legal advice: the lines follow the rule texts named in `Label.rules_date`; local law decides.
"""

from production.core.fibre.choices import Choices, label_by_choice
from production.core.fibre.compose import fibre_label
from production.core.fibre.earlier import Drift, drift
from production.core.fibre.label import Label
from production.core.fibre.names import NAMES, Fibre, canonical_fibre, fibre
from production.core.fibre.part import ROLES, Part
from production.core.fibre.scale import scaled_to_100
from production.core.fibre.tolerance import Tolerance, tolerance_check

__all__ = [
    "NAMES",
    "ROLES",
    "Choices",
    "Drift",
    "Fibre",
    "Label",
    "Part",
    "Tolerance",
    "canonical_fibre",
    "drift",
    "fibre",
    "fibre_label",
    "label_by_choice",
    "scaled_to_100",
    "tolerance_check",
]
