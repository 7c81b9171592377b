"""Services of the patterns app."""

from decimal import Decimal

import pytest

from patterns.core.yarncount import tex_of
from patterns.errors import AlreadyThereError, CannotPlanError, PatternsError
from patterns.models import Cylinder, Design, Pattern, PatternVersion, Swatch
from patterns.services import bench
from patterns.services.plans import Wish, make_plan
from patterns.services.versions import save_version
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version

pytestmark = pytest.mark.django_db


def test_add_cylinder_refuses_what_no_machine_has():
    for needles in (11, 65, 202):
        with pytest.raises(PatternsError, match=f"{needles} is not a needle count"):
            bench.add_cylinder(needles=needles)

    assert not Cylinder.objects.exists()


def test_add_swatch_keeps_a_name_for_one_swatch(at):
    taken = SwatchFactory(name="Kelp")

    with pytest.raises(AlreadyThereError, match="Another swatch is called “Kelp”"):
        bench.add_swatch(
            name="Kelp",
            cylinder=taken.cylinder,
            stitch_setting=Decimal(0),
            state="raw",
            wales=bench.Counted(32, 101.6),
            courses=bench.Counted(44, 101.6),
            measured_on=at.date(),
        )

    assert Swatch.objects.get() == taken


def test_make_plan_refuses_a_raw_swatch():
    raw = SwatchFactory(state="raw")

    with pytest.raises(CannotPlanError, match="was measured raw"):
        make_plan(Wish(foot_length_mm=245, swatch=raw, tex=tex_of("Nm 16/4"), needles=(64,)))


def test_make_plan_fills_in_girth_and_height():
    planned = make_plan(
        Wish(foot_length_mm=245.53, swatch=SwatchFactory(), tex=250, needles=(60, 64))
    )

    assert planned.ball_guess is not None
    # 7 in crew height for this foot: published craft chart (from memory).
    assert planned.height_mm == pytest.approx(7 * 25.4)


def test_make_plan_with_the_highest_hem_still_guesses_the_girth():
    planned = make_plan(
        Wish(
            foot_length_mm=245.53,
            swatch=SwatchFactory(),
            tex=250,
            needles=(64, 72, 84),
            hem_rows=55,
        )
    )

    assert planned.plan.leg_rows == 55
    assert len(planned.ball_needles) == 2


def test_a_version_keeps_its_own_numbers(at, maker):
    swatch = SwatchFactory()

    first = make_version(at=at, by=maker, swatch=swatch)
    again = make_version(at=at, by=maker, swatch=swatch)
    thicker = make_version(at=at, by=maker, swatch=swatch, tex=300.0)

    assert again == first
    assert (first.number, thicker.number) == (1, 2)
    assert thicker.grams == pytest.approx(first.grams * 300 / 250)
    assert thicker.made_by == maker
    assert first.warnings == []


def test_a_design_is_found_whatever_its_capitals(at, maker):
    swatch = SwatchFactory()
    make_version(at=at, by=maker, swatch=swatch, design="Harbour plain")
    make_version(at=at, by=maker, swatch=swatch, design="harbour Plain", size_name="women 8½")

    assert Design.objects.count() == 1
    assert Pattern.objects.count() == 1


def test_a_refused_size_leaves_nothing_behind(at, maker):
    swatch = SwatchFactory()
    make_version(at=at, by=maker, swatch=swatch, size_name="M")

    with pytest.raises(PatternsError, match="made for a foot of 246 mm, this plan for 280 mm"):
        make_version(at=at, by=maker, swatch=swatch, size_name="M", foot_length_mm=280)

    assert PatternVersion.objects.count() == 1


def test_a_version_that_fails_leaves_no_pattern_behind(at, maker, monkeypatch):
    CylinderFactory()
    planned = make_plan(Wish(foot_length_mm=245.53, swatch=SwatchFactory(), tex=250, needles=(64,)))

    def fail(**_figures):
        msg = "disk full"
        raise RuntimeError(msg)

    monkeypatch.setattr(PatternVersion.objects, "create", fail)
    with pytest.raises(RuntimeError, match="disk full"):
        save_version(
            planned=planned,
            design_name="New",
            size_name="M",
            group="women",
            by=maker,
            at=at,
        )

    assert not Design.objects.exists()
    assert not Pattern.objects.exists()
