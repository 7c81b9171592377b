"""Writing patterns down, and what there is of them."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import asdict
from itertools import groupby
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Max, OuterRef, Subquery

from patterns.core.notices import kept_notice
from patterns.core.rowplan import Section
from patterns.core.words import say
from patterns.errors import PatternsError
from patterns.models import Design, Pattern, PatternVersion
from patterns.services.plans import Planned

# Half a shoe size (1/6 in): a foot further off is another size.
SAME_SIZE_MM = 25.4 / 6


@transaction.atomic
def save_version(
    *,
    planned: Planned,
    design_name: str,
    size_name: str,
    group: str,
    by: User,
    at: dt.datetime,
) -> PatternVersion:
    """Write a plan down as the next version of a pattern, making the pattern if needed.

    Saving the newest version's own figures once more returns that version: a second
    press of the button makes no second version.

    Raises:
        PatternsError: If the pattern is there for another foot or other wearers.
    """
    pattern = _pattern(planned, design_name, size_name, group)
    figures = _figures(planned)
    newest = pattern.versions.order_by("-number").first()
    if newest is not None and _same(newest, figures):
        return newest
    number = (pattern.versions.aggregate(last=Max("number"))["last"] or 0) + 1
    return PatternVersion.objects.create(
        pattern=pattern, number=number, made_at=at, made_by=by, **figures
    )


def patterns_by_design() -> list[tuple[Design, list[tuple[Pattern, PatternVersion | None]]]]:
    """Return every design with its patterns, small to large, each with its newest version."""
    newest = PatternVersion.objects.filter(pattern=OuterRef("pk")).order_by("-number")
    patterns = list(
        Pattern.objects.select_related("design")
        .annotate(newest_id=Subquery(newest.values("pk")[:1]))
        .order_by("design__name", "design_id", "foot_length_mm", "size_name")
    )
    versions = PatternVersion.objects.in_bulk([p.newest_id for p in patterns if p.newest_id])
    return [
        (design, [(pattern, versions.get(pattern.newest_id)) for pattern in sizes])
        for design, sizes in _by_design(patterns)
    ]


def _by_design(patterns: list[Pattern]) -> Iterator[tuple[Design, Iterator[Pattern]]]:
    return groupby(patterns, key=lambda pattern: pattern.design)


def _pattern(planned: Planned, design_name: str, size_name: str, group: str) -> Pattern:
    foot_mm = planned.wish.foot_length_mm
    design = Design.objects.filter(name__iexact=design_name).first()
    if design is None:
        design = Design.objects.create(name=design_name)
    # Locked so that two savings at once do not take the same version number.
    pattern = (
        Pattern.objects.select_for_update()
        .filter(design=design, size_name__iexact=size_name)
        .first()
    )
    if pattern is None:
        return Pattern.objects.create(
            design=design, size_name=size_name, group=group, foot_length_mm=foot_mm
        )
    if abs(pattern.foot_length_mm - foot_mm) > SAME_SIZE_MM:
        msg = say(
            "{name} {size_name} is made for a foot of {foot_length_mm:.0f} mm, this plan "
            "for {foot_mm:.0f} mm. Give the size another name.",
            name=design.name,
            size_name=pattern.size_name,
            foot_length_mm=pattern.foot_length_mm,
            foot_mm=foot_mm,
        )
        raise PatternsError(msg, field="size_name")
    if pattern.group != group:
        msg = say(
            "{name} {size_name} is a {group} size.",
            name=design.name,
            size_name=pattern.size_name,
            group=pattern.get_group_display(),
        )
        raise PatternsError(msg, field="group")
    return pattern


def _figures(planned: Planned) -> dict[str, Any]:
    plan, wish = planned.plan, planned.wish
    return {
        "swatch": wish.swatch,
        "ball_mm": planned.ball_mm,
        "ball_guessed": planned.ball_guess is not None,
        "height_mm": planned.height_mm,
        "ease_asked": wish.ease,
        "wales_per_10cm": planned.taken.gauge.wales_per_10cm,
        "courses_per_10cm": planned.taken.gauge.courses_per_10cm,
        "stitch_setting": wish.setting,
        "tex": wish.tex,
        "needles": plan.needles,
        "centre": plan.turn.centre,
        "toe_centre": _toe_centre(planned),
        "deep_heel": wish.deep_heel,
        "heel_factor": wish.heel_factor,
        "toe_factor": wish.toe_factor,
        "top": planned.top.kind,
        "hem_rows": planned.hem_rows,
        "cuff_rows": plan.cuff_rows,
        "cuff_courses_per_10cm": planned.cuff_courses_per_10cm,
        "cuff_swatch": wish.cuff_swatch if plan.cuff_rows else None,
        "leg_rows": plan.leg_rows,
        "heel_rows": plan.heel_rows,
        "foot_rows": plan.foot_rows,
        "toe_rows": plan.toe_rows,
        "circumference_mm": plan.circumference_mm,
        "sock_foot_mm": plan.sock_foot_mm,
        "loop_cm": plan.loop_cm,
        "metres": plan.metres,
        "grams": plan.grams,
        "machine_minutes": plan.machine_minutes,
        "seam_minutes": plan.seam_minutes,
        "sections": [_section(section) for section in plan.sections],
        "warnings": [kept_notice(notice) for notice in planned.warnings],
    }


def _toe_centre(planned: Planned) -> int | None:
    heel, toe = planned.plan.turn.centre, planned.plan.toe_turn.centre
    return None if toe == heel else toe


def _same(version: PatternVersion, figures: dict[str, Any]) -> bool:
    return all(getattr(version, name) == value for name, value in figures.items())


def _section(section: Section) -> dict[str, Any]:
    return asdict(section)
