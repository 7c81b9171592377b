"""What she tells once about her machine, and what a washed sock teaches."""

from collections.abc import Mapping

from django.db import transaction

from patterns.core.fit import turn_factor
from patterns.core.words import say
from patterns.errors import PatternsError
from patterns.models import PatternVersion
from socktrade.models import Workshop

HABITS = (
    "counter_in_turns",
    "counter_restarts",
    "carrier_rests",
    "heel_half",
    "toe_half",
    "turn_note",
    "waste_rounds",
)


@transaction.atomic
def keep_habits(*, workshop: Workshop, habits: Mapping[str, object]) -> Workshop:
    """Write down how her machine counts; row cards follow it from now on."""
    for name in HABITS:
        setattr(workshop, name, habits[name])
    workshop.machine_told = True
    workshop.save()
    return workshop


def learned_factor(version: PatternVersion, sock_foot_mm: float) -> float:
    """Return the share of their passes that heel and toe of a washed sock really gave.

    Raises:
        PatternsError: If no sock of this version has such a foot.
    """
    try:
        return turn_factor(
            sock_foot_mm=sock_foot_mm,
            foot_rows=version.foot_rows,
            needles=version.needles,
            gauge=version.gauge,
            centre=version.centre,
            toe_centre=version.toe_centre,
            deep_heel=version.deep_heel,
        )
    except ValueError as problem:
        msg = say(
            "No sock of this pattern has such a foot. Measure once more, and look at the unit."
        )
        raise PatternsError(msg, field="sock_foot") from problem


@transaction.atomic
def keep_factors(*, workshop: Workshop, heel: float, toe: float) -> Workshop:
    """Plan with these shares of heel and toe passes from now on.

    Raises:
        PatternsError: If one is not 0.3 to 1.3.
    """
    for name, factor in (("heel_factor", heel), ("toe_factor", toe)):
        if not 0.3 <= factor <= 1.3:
            msg = say("{factor:.2f} is out of reach; allowed: 0.3 to 1.3.", factor=factor)
            raise PatternsError(msg, field=name)
    workshop.heel_factor, workshop.toe_factor = heel, toe
    workshop.save()
    return workshop
