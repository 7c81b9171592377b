"""The patterns in the book and the page of one."""

import pytest

from patterns.core.fit import FitRange
from patterns.models import Pattern, PatternVersion
from patterns.services.sizes import fit_of, sizes_of, suggest_group, suggest_size_name
from socktrade.models import Workshop
from tests.factories.patterns import CylinderFactory, DesignFactory, SwatchFactory, make_version

pytestmark = pytest.mark.django_db


def test_patterns_stand_by_design_from_small_to_large(page, at, maker):
    swatch = SwatchFactory()
    common = {"at": at, "by": maker, "swatch": swatch}
    make_version(size_name="10", foot_length_mm=258.2, **common)
    make_version(size_name="6", foot_length_mm=224.4, ball_mm=215, **common)
    make_version(size_name="9", design="Anchor rib", **common)

    designs = page.get("/patterns/").context["designs"]

    assert [(str(design), [p.size_name for p, _ in sizes]) for design, sizes in designs] == [
        ("Anchor rib", ["9"]),
        ("Harbour plain", ["6", "10"]),
    ]


def test_the_list_shows_the_newest_version(page, at, maker):
    # 57 rows between heel and toe, 9.18 in and 58.7 g a pair: worked example of the
    # formula set for women's 8½ at 8 x 11 per inch, 250 tex.
    swatch = SwatchFactory()
    make_version(at=at, by=maker, swatch=swatch, needles=(60,))
    make_version(at=at, by=maker, swatch=swatch)

    text = page.get("/patterns/").content.decode()

    assert "64 needles" in text
    assert "55 / 44 / 57 / 44" in text
    assert "9.18 in foot" in text
    assert "59 g a pair" in text
    assert "60 needles" not in text


def test_a_pattern_without_a_version_says_so(page):
    pattern = Pattern.objects.create(
        design=DesignFactory(), size_name="8", group="women", foot_length_mm=240
    )

    assert "No version yet" in page.get("/patterns/").content.decode()
    assert "No version yet" in page.get(pattern.get_absolute_url()).content.decode()


@pytest.mark.parametrize("count", [1, 12])
def test_the_list_asks_the_book_as_often_for_many(
    page, at, maker, count, django_assert_num_queries
):
    swatch = SwatchFactory()
    for size in range(count):
        make_version(
            at=at, by=maker, swatch=swatch, size_name=f"s{size}", design=f"Design {size % 3}"
        )

    # Session, user, workshop, patterns, versions, a cylinder, a washed swatch.
    with django_assert_num_queries(7):
        page.get("/patterns/")


def test_a_pattern_shows_its_newest_version_large(page, at, maker):
    swatch = SwatchFactory(name="Kelp on 64")
    version = make_version(at=at, by=maker, swatch=swatch)

    text = page.get(version.pattern.get_absolute_url()).content.decode()

    assert "Version 1, on the 64" in text
    assert 'class="sock-drawing"' in text
    assert 'class="pass-drawing"' in text
    assert "Kelp on 64" in text
    # Worked example of the formula set: foot 9.18 to 10.2 in; EU 37 to 40½ by
    # (mm x 0.15) + 2, halves inside 233.2 to 259.1 mm.
    assert "9.18 in to 10.2 in" in text
    assert "EU 37 to 40½" in text
    assert f"/patterns/versions/{version.pk}/card/" in text


def test_an_older_version_can_be_looked_at(page, at, maker):
    swatch = SwatchFactory()
    older = make_version(at=at, by=maker, swatch=swatch, needles=(60,))
    make_version(at=at, by=maker, swatch=swatch)
    url = older.pattern.get_absolute_url()

    assert page.get(f"{url}?version=1").context["version"] == older
    assert page.get(f"{url}?version=9").status_code == 404
    assert page.get(f"{url}?version=x").context["version"].number == 2
    assert page.get("/patterns/999/").status_code == 404


def test_the_next_version_begins_with_the_figures_of_this_one(page, at, maker):
    CylinderFactory(needles=64)
    version = make_version(at=at, by=maker, hem_rows=8)
    detail = page.get(version.pattern.get_absolute_url())

    begun = page.get(detail.context["again"])

    text = begun.content.decode()
    for value in ("245.5 mm", "231.0 mm", "177.8 mm", "250 tex", "8"):
        assert f'value="{value}"' in text
    other = page.get(detail.context["other_size"]).content.decode()
    assert "245.5 mm" not in other
    assert 'value="250 tex"' in other


def test_the_page_of_a_pattern_asks_the_book_as_often_for_many_versions(
    page, at, maker, django_assert_max_num_queries
):
    swatch = SwatchFactory()
    for hem in range(12):
        version = make_version(at=at, by=maker, swatch=swatch, hem_rows=hem)

    # Two of them read her logged minutes.
    with django_assert_max_num_queries(8):
        answer = page.get(version.pattern.get_absolute_url())

    assert len(answer.context["versions"]) == PatternVersion.objects.count() == 12


def test_a_baby_sock_is_told_in_childrens_sizes(at):
    # US child 1 is a foot of 90.3 mm by 3L - 29/3.
    CylinderFactory(needles=36)
    version = make_version(
        at=at,
        size_name="C1",
        group="baby",
        foot_length_mm=90.3,
        ball_mm=114.3,
        height_mm=63.5,
        needles=(36,),
    )

    sizes = sizes_of(fit_of(version))

    assert sizes.shoes[0].startswith("US child ")
    assert [text[:2] for text in sizes.shoes] == ["US", "UK", "EU", "Mo"]


def test_womens_sizes_follow_the_scale_she_reads():
    # Two US women's scales are in use: men's plus 1 1/2 and plus 1 (the second from memory).
    athletic = Workshop(us_women_scale="us_women_athletic")

    assert suggest_size_name(245.5, athletic) == "US women 8"
    assert suggest_size_name(245.5, Workshop()) == "US women 8½"


def test_youth_sizes_follow_the_scale_she_reads():
    # Numbered like men's, a youth 6 is 0.22 in shorter than on the ladder after child 13.
    feet = FitRange(sock_foot_mm=218, foot_mm=(218.0, 242.8), ball_mm=(150, 180))

    ladder = sizes_of(feet, Workshop()).shoes[0]
    as_men = sizes_of(feet, Workshop(us_youth_scale="us_youth_as_men")).shoes[0]
    assert (ladder, as_men) == ("US youth 3½ to 6", "US youth 4 to 6½")


@pytest.mark.parametrize(
    ("foot_mm", "system", "rules", "name", "group"),
    [
        (90.3, "us_child", "us", "US child 1", "baby"),
        (166.5, "", "us", "US child 10", "child"),
        (245.5, "us_women", "us", "US women 8½", "women"),
        (245.5, "us_men", "us", "US men 7", "men"),
        (245.5, "", "us", "US women 8½", "women"),
        (279.4, "", "us", "US men 11", "men"),
        (279.4, "us_women", "us", "US women 12½", "women"),
        (280.0, "", "eu", "EU 44", "men"),
        (245.53, "", "uk", "UK 6", "women"),
    ],
)
def test_a_size_gets_a_name_and_wearers_to_begin_with(foot_mm, system, rules, name, group):
    # Sizes from the ISO 19407 cells and the tables of US sizes worked out from them.
    assert suggest_size_name(foot_mm, Workshop(label_rules=rules), system) == name
    assert suggest_group(foot_mm, system) == group
