"""Pairs that wait for their tag, made the way socks are: knitted, finished, mated."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from patterns.models import Design, Pattern, PatternVersion
from production.core.places import STEPS
from production.models import DyeLot, Pair, Yarn
from production.services import baskets, pairs, strings
from production.services.acts import Who
from tests.factories.socktrade import UserFactory

AT = dt.datetime(2026, 6, 4, 9, 30, tzinfo=dt.UTC)

GROUPS = {
    "women": ("Women 8½", 245.5, 57, 64),
    "men": ("Men 10", 272.0, 64, 72),
    "child": ("Child 10", 172.7, 34, 56),
    "baby": ("6 to 9 months", 110.0, 25, 40),
}
"""Size name, foot [mm], foot rows and needles of one pattern in each group."""


def somebody() -> Who:
    """Return who acts: the first person there is, or a new one."""
    return Who(by=User.objects.first() or UserFactory(), at=AT)


def make_lot(*, content: dict[str, float] | None = None, **of_yarn: Any) -> DyeLot:
    """Return a lot of a yarn of its own, wool and nylon unless told."""
    facts = {
        "name": f"Sock yarn {Yarn.objects.count() + 1}",
        "colour": "Kelp",
        "content": {"wool": 75, "nylon": 25} if content is None else content,
        "count_text": "100 g / 400 m",
        "tex": 250.0,
        "spun_in": "home",
        "care": "Superwash/nylon",
    }
    yarn = Yarn.objects.create(**{**facts, **of_yarn})
    return DyeLot.objects.create(yarn=yarn, code="7", tare_g=Decimal(0))


def make_pattern_version(group: str = "women", *, design: str = "Harbour plain") -> PatternVersion:
    """Return a version of a pattern of that group, its figures worked out by hand."""
    size_name, foot_mm, foot_rows, needles = GROUPS[group]
    pattern, _ = Pattern.objects.get_or_create(
        design=Design.objects.get_or_create(name=design)[0],
        size_name=size_name,
        defaults={"group": group, "foot_length_mm": foot_mm},
    )
    who = somebody()
    version, _ = PatternVersion.objects.get_or_create(
        pattern=pattern, number=1,
        defaults={
            "made_at": who.at, "made_by": who.by, "ball_mm": 231, "height_mm": 177.8,
            "ease_asked": 0.1, "wales_per_10cm": 31.5, "courses_per_10cm": 43.3, "tex": 250,
            "needles": needles, "centre": 10, "leg_rows": 55, "heel_rows": 44,
            "foot_rows": foot_rows, "toe_rows": 44, "circumference_mm": 203.2,
            "sock_foot_mm": 233.2, "loop_cm": 1.3, "metres": 117.3, "grams": 30.0,
            "machine_minutes": 54.9, "seam_minutes": 17.5,
            "sections": [{"name": "heel", "grams": 5.0}, {"name": "toe", "grams": 4.0}],
        },
    )  # fmt: skip
    return version


def waiting_pair(
    group: str = "women",
    *,
    lot: DyeLot | None = None,
    design: str = "Harbour plain",
    price: tuple[int, int] | None = (2800, 1800),
    measured: tuple[int, int] | None = None,
    **of_run: Any,
) -> Pair:
    """Return a pair that waits for its tag; `of_run` goes to the string's run."""
    who, version = somebody(), make_pattern_version(group, design=design)
    run = strings.Run(version=version, count=2, lot=lot or make_lot(), **of_run)
    socks = list(strings.log_string(runs=[run], who=who).socks.order_by("position"))
    for step in STEPS:
        baskets.do_step(step=step.key, sock_ids=[sock.pk for sock in socks], who=who)
    for sock, foot_mm in zip(socks, measured or (), strict=False):
        type(sock).objects.filter(pk=sock.pk).update(foot_mm=foot_mm)
    pairs.mate_socks(couples=[(socks[0].pk, socks[1].pk)], who=who)
    if price and not pairs.current_prices([version.pattern_id]):
        pairs.set_price(
            pattern=version.pattern, first_minor=price[0], second_minor=price[1], who=who
        )
    return Pair.objects.latest("number")
