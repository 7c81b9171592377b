"""Care sets of her own, and the yarns that follow them."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict

from django.db import transaction

from patterns.core.words import say
from production.core.care import (
    CLEANING_UNKNOWN,
    PRESET_NAMES,
    PRESETS,
    CareSet,
    basis_wanted,
    leaves_cleaning_unknown,
    mildest,
)
from production.errors import ProductionError
from production.models import Care, Yarn


@transaction.atomic
def keep_care(
    *, name: str, care: CareSet, basis: str, basis_on: dt.date, row: Care | None = None
) -> Care:
    """Keep a care set with what it rests on; yarns that follow it change with it.

    Tags printed before keep their words.

    Args:
        name: What she calls it.
        care: Every choice of it.
        basis: Ball band, washed sample, or other grounds (16 CFR 423.6(c)).
        basis_on: The day of those grounds.
        row: The set that is changed; none for a new one.

    Raises:
        ProductionError: If another set or a starting point has that name, or no basis is given.
    """
    others = Care.objects.filter(name__iexact=name)
    if (row and others.exclude(pk=row.pk).exists()) or (not row and others.exists()):
        msg = say("Another care set is called {name} already.", name=name)
        raise ProductionError(msg, field="name")
    if name.casefold() in {preset.casefold() for preset in PRESETS}:
        msg = say(
            "{name} is one of the starting points. Give your own set another name.", name=name
        )
        raise ProductionError(msg, field="name")
    if not basis.strip():
        msg = say("Say what it rests on: a ball band, a washed sample.")
        raise ProductionError(msg, field="basis")
    was = row.name if row else ""
    kept = row or Care()
    for field, value in asdict(care).items():
        setattr(kept, field, list(value) if field == "warnings" else value)
    kept.name, kept.basis, kept.basis_on = name, basis, basis_on
    kept.save()
    if was:
        Yarn.objects.filter(care=was, care_choices__isnull=False).update(
            care=name, care_choices=kept.choices()
        )
    return kept


def follow_care(yarn: Yarn) -> None:
    """Copy the choices of the set a yarn names onto the yarn, before it is saved."""
    row = Care.objects.filter(name=yarn.care).first() if yarn.care else None
    yarn.care_choices = row.choices() if row else None


def care_names() -> list[tuple[str, str]]:
    """Return key and name of what a yarn may follow: her own sets, then the starting points."""
    own = Care.objects.order_by("name").values_list("name", flat=True)
    return [*((name, name) for name in own), *PRESET_NAMES.items()]


def care_of_parts(cares: Sequence[CareSet | None]) -> CareSet | None:
    """Return the mildest care of all yarns, or None while one of them has none chosen."""
    known = [care for care in cares if care is not None]
    return mildest(known) if known and len(known) == len(cares) else None


def care_doubts(yarns: Sequence[Yarn]) -> list[str]:
    """Return what to look at before care words of these yarns are printed."""
    found = [basis_wanted(str(yarn)) for yarn in yarns if yarn.care_lacks_basis]
    sets = [yarn.care_set for yarn in yarns]
    known = [care for care in sets if care is not None]
    if len(known) == len(sets) and leaves_cleaning_unknown(known):
        found.append(CLEANING_UNKNOWN)
    return found
