"""From an empty book to the first string: what to do, in what order, and what is done."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from patterns.models import Cylinder, PatternVersion, Swatch
from production.models import DyeLot


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One thing to do in a book that has no string yet."""

    title: Promise
    reason: Promise
    button: Promise
    url_name: str
    done: bool = False


def first_steps() -> tuple[FirstStep, ...]:
    """Return the steps in order; the last one is never done, or there would be none."""
    return (
        FirstStep(
            _("Start with a cylinder"), _("Its needles decide how wide a sock is."),
            _("Add a cylinder"), "patterns:cylinder_list", Cylinder.objects.exists(),
        ),
        FirstStep(
            _("Measure a washed swatch"), _("Every row count follows from its gauge."),
            _("Add a gauge"), "patterns:swatch_list", Swatch.objects.exists(),
        ),
        FirstStep(
            _("Plan your first sock"),
            _("From a foot and your gauge to rows, yarn and minutes."),
            _("Plan a sock"), "patterns:pattern_plan", PatternVersion.objects.exists(),
        ),
        FirstStep(
            _("Put your yarn in the book"),
            _("By dye lot and weight: then the book knows how many pairs are left in it."),
            _("Add yarn"), "production:yarn_new", DyeLot.objects.exists(),
        ),
        FirstStep(
            _("Log your first string"), _("From then on every sock has a number and a place."),
            _("Log a string"), "production:string_new",
        ),
    )  # fmt: skip
