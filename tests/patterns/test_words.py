"""What the planning table says, kept and said again in another language."""

import json

import pytest
from django.utils import translation

from patterns.core.notices import Notice, kept_notice, notice_kept
from patterns.core.refusal import RefusedError
from patterns.core.sections import counted, section_title
from patterns.core.words import say
from patterns.core.yarncount import tex_of
from patterns.models import PatternVersion
from patterns.services.fits import compare
from tests.factories.patterns import CylinderFactory, SwatchFactory, make_version

TIGHT = Notice(
    "yarn", say("The tightness factor is {factor:.1f}", factor=8.25), say("why"), say("cure")
)


def test_a_kept_notice_is_said_again_with_the_figures_of_the_language():
    """A decimal comma: common practice in German."""
    kept = json.loads(json.dumps(kept_notice(TIGHT)))

    again = notice_kept(kept)

    assert kept["what"] == "The tightness factor is 8.2"
    assert again == TIGHT
    with translation.override("de"):
        assert "8,2" in str(again.what)


def test_a_notice_kept_in_english_only_still_shows():
    kept = {"code": "yarn", "what": "It is so", "why": "for this", "cure": "do that"}

    assert notice_kept(kept) == Notice("yarn", "It is so", "for this", "do that")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2/28", "“2/28” can be read as count 2 in 28 plies"),
        ("1,250 M / 100 g", "“1,250 M / 100 g” can be read as 1250 or 1.250"),
        ("3 tex", "“3 tex” cannot be: allowed: 10 to 2000 tex."),
        ("wool", "“wool” is not a yarn count."),
    ],
)
def test_a_refused_yarn_count_is_told_as_it_was_typed(text, reason):
    with pytest.raises(RefusedError) as refused:
        tex_of(text)

    assert reason in refused.value.about(text).reason


def test_a_part_is_counted_in_rows_and_a_turn_in_passes():
    assert counted("leg", 57) == "Leg: 57 rows"
    assert counted("heel", 1) == "Heel: 1 pass"
    assert section_title("good rounds") == "good rounds"
    assert section_title("ruffle") == "ruffle"


@pytest.mark.django_db
def test_a_setting_is_typed_with_a_comma_too(page):
    cylinder = CylinderFactory()
    first, _ = (
        SwatchFactory(yarn_name="Kelp", cylinder=cylinder, stitch_setting=turns, wales_per_10cm=w)
        for turns, w in ((0, 32), (1, 30))
    )

    comma, point = (
        page.get("/patterns/gauges/settings/", {"line": first.pk, "turns": typed})
        for typed in ("0,5", "0.5")
    )

    assert comma.context["answer"][1] == point.context["answer"][1]


@pytest.mark.django_db
def test_compared_figures_follow_the_language(at):
    version = make_version(at=at)
    grams = next(
        line for line in compare(version, version) if line.name == "Weight of yarn in a sock"
    )

    assert grams.a_words == round(grams.a_words, 2)
    assert float(grams.a_words) == pytest.approx(version.grams, abs=0.005)
    assert PatternVersion.objects.get(pk=version.pk).parts[0]["title"] in {"hem", "cuff", "leg"}
