"""Cylinders, swatches and a saved pattern version."""

import datetime as dt

import factory

from patterns.models import Cylinder, Design, GaugeState, Pattern, PatternVersion, Swatch
from patterns.services.plans import Wish, make_plan
from patterns.services.versions import save_version
from tests.factories.socktrade import UserFactory

PER_INCH = 100 / 25.4


class CylinderFactory(factory.django.DjangoModelFactory):
    """A needle bed of 64."""

    class Meta:
        model = Cylinder
        django_get_or_create = ("needles",)

    needles = 64


class SwatchFactory(factory.django.DjangoModelFactory):
    """A washed swatch of 8 by 11 per inch on the 64."""

    class Meta:
        model = Swatch

    name = factory.Sequence("Swatch {}".format)
    cylinder = factory.SubFactory(CylinderFactory)
    state = GaugeState.WASHED
    wales_per_10cm = 8 * PER_INCH
    courses_per_10cm = 11 * PER_INCH
    measured_on = dt.date(2026, 5, 1)


class DesignFactory(factory.django.DjangoModelFactory):
    """A kind of sock."""

    class Meta:
        model = Design
        django_get_or_create = ("name",)

    name = "Harbour plain"


def make_version(*, at, by=None, size_name="Women 8½", group="women", design=None, **wish):
    """Save a version the way the planning table does: women's 8½ on the 64."""
    figures = {
        "foot_length_mm": 245.53,
        "tex": 250.0,
        "needles": (54, 60, 64, 72),
        "ball_mm": 231.0,
        "height_mm": 177.8,
    } | wish
    swatch = figures.pop("swatch", None) or SwatchFactory()
    return save_version(
        planned=make_plan(Wish(swatch=swatch, **figures)),
        design_name=design or "Harbour plain",
        size_name=size_name,
        group=group,
        by=by or UserFactory(),
        at=at,
    )


class PatternFactory(factory.django.DjangoModelFactory):
    """A women's 8½ of a design of its own."""

    class Meta:
        model = Pattern

    design = factory.SubFactory(DesignFactory, name=factory.Sequence("Design {}".format))
    size_name = "Women 8½"
    group = "women"
    foot_length_mm = 245.5


class PatternVersionFactory(factory.django.DjangoModelFactory):
    """A version written straight into the book: 250 tex on the 64, 29.3 g a sock."""

    class Meta:
        model = PatternVersion

    pattern = factory.SubFactory(PatternFactory)
    number = 1
    made_at = dt.datetime(2026, 1, 5, 8, 0, tzinfo=dt.UTC)
    made_by = factory.SubFactory(UserFactory)
    ball_mm = 231.0
    height_mm = 177.8
    ease_asked = 0.1
    wales_per_10cm = 31.5
    courses_per_10cm = 43.3
    tex = 250.0
    needles = 64
    centre = 10
    leg_rows = 55
    heel_rows = 44
    foot_rows = 57
    toe_rows = 44
    circumference_mm = 203.2
    sock_foot_mm = 233.2
    loop_cm = 1.3
    metres = 117.2
    grams = 29.3
    machine_minutes = 54.9
    seam_minutes = 17.5
    sections = factory.LazyFunction(
        lambda: [
            {"name": "leg", "rows": 55, "grams": 9.3},
            {"name": "heel", "rows": 44, "grams": 5.2},
            {"name": "foot", "rows": 57, "grams": 9.6},
            {"name": "toe", "rows": 44, "grams": 5.2},
        ]
    )
