"""Cylinders, swatches and a saved pattern version."""

import datetime as dt

import factory

from patterns.models import Cylinder, Design, GaugeState, Swatch
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
