import itertools
from dataclasses import replace

import pytest

from production.core.care import (
    CHOICES,
    LABEL_BASES,
    PRESETS,
    CareSet,
    care_words,
    leaves_cleaning_unknown,
    may_share_load,
    mildest,
)


def test_a_set_silent_on_bleach_is_refused():  # 16 CFR 423.6: silence means any bleach
    with pytest.raises(ValueError, match=r"bleach is ''.*silence is a claim"):
        CareSet(wash="hand", temperature="cold", bleach="", dry="flat")

    care = CareSet(wash="hand", temperature="cold", bleach="none", dry="flat")
    assert "Do not bleach." in care_words(care)


@pytest.mark.parametrize("name", list(CHOICES))
def test_every_dimension_must_be_said(name):
    given = {"wash": "machine", "temperature": "warm", "bleach": "any", "dry": "line"}

    with pytest.raises(ValueError, match=f"{name} is ''"):
        CareSet(**(given | {name: ""}))
    with pytest.raises(ValueError, match=f"{name} is 'boil'"):
        CareSet(**(given | {name: "boil"}))


@pytest.mark.parametrize(
    ("name", "words"),
    [  # common practice in the wording of 16 CFR 423, Appendix A
        (
            "Superwash/nylon",
            "Machine wash cold, gentle cycle. With like colors. "
            "Only non-chlorine bleach, when needed. Dry flat.",
        ),
        (
            "Non-superwash wool",
            "Hand wash cold. Do not bleach. Do not wring or twist. Dry flat.",
        ),
        (
            "Cotton",
            "Machine wash warm. Only non-chlorine bleach, when needed. Tumble dry low.",
        ),
        (
            "Acrylic",
            "Machine wash warm, gentle cycle. Only non-chlorine bleach, when needed. "
            "Tumble dry low. Do not iron.",
        ),
    ],
)
def test_presets_read_as_on_a_tag(name, words):
    assert " ".join(care_words(PRESETS[name])) == words


def test_spelling_follows_the_market():
    assert "With like colours." in care_words(PRESETS["Superwash/nylon"], "uk")
    with pytest.raises(ValueError, match="rules is 'mars'"):
        care_words(PRESETS["Cotton"], "mars")


def test_own_sentences_come_last_with_a_full_stop():
    care = CareSet(
        wash="hand",
        temperature="cold",
        bleach="none",
        dry="flat",
        warnings=("Keep from  moths", "reshape"),
    )

    assert care_words(care)[-3:] == ["Reshape while damp.", "Dry flat.", "Keep from moths."]
    with pytest.raises(ValueError, match="warnings"):
        CareSet("hand", "cold", "none", "flat", warnings=(" ",))


def test_a_hot_hand_wash_is_refused():  # 16 CFR 423, App. A: hand wash warm or cold
    with pytest.raises(ValueError, match="temperature is 'hot'"):
        CareSet(wash="hand", temperature="hot", bleach="any", dry="line")


def test_mildest_of_wool_and_acrylic_suits_both():
    care = mildest([PRESETS["Non-superwash wool"], PRESETS["Acrylic"]])

    assert care == CareSet(
        wash="hand",
        temperature="cold",
        bleach="none",
        dry="flat",
        iron="none",
        warnings=("do_not_wring",),
    )


def test_mildest_never_turns_harsher_and_repeats_nothing():
    for a, b in itertools.product(PRESETS.values(), repeat=2):
        both = mildest([a, b])

        assert mildest([both, a, b]) == both
        for name, choices in CHOICES.items():
            place = choices.index(getattr(both, name))
            assert place == max(choices.index(getattr(care, name)) for care in (a, b))
    with pytest.raises(ValueError, match="care_sets"):
        mildest([])


def test_a_load_takes_what_is_washed_alike():
    superwash, wool = PRESETS["Superwash/nylon"], PRESETS["Non-superwash wool"]
    tumbled = CareSet("machine", "cold", "any", "tumble_low", cycle="gentle")
    alone = CareSet("machine", "cold", "any", "flat", "gentle", warnings=("wash_separately",))

    assert may_share_load(superwash, tumbled)
    assert not may_share_load(superwash, wool)
    assert not may_share_load(superwash, alone)
    assert not may_share_load(superwash, PRESETS["Acrylic"])


def test_a_hang_tag_alone_is_not_the_default_ground():  # 16 CFR 423.1(a), 423.8
    assert next(iter(LABEL_BASES)) == "sewn_in"
    assert "permanent" in LABEL_BASES["sewn_in"]


def dry_cleaned(solvent, **more):
    """Return a set whose questions of water were left open."""
    return CareSet(
        wash="none", temperature="", bleach="", dry="", cycle="", dry_clean=solvent, **more
    )


@pytest.mark.parametrize(
    ("solvent", "words"),
    [  # 16 CFR 423.6(b): either instruction is enough; say so if nothing is safe; name a solvent
        ("any", ["Dry-clean only."]),
        ("petroleum", ["Dry-clean only, petroleum solvent."]),
        ("none", ["Do not wash.", "Do not dry-clean."]),
    ],
)
def test_what_may_not_be_washed_says_how_else_it_is_cleaned(solvent, words):
    assert care_words(dry_cleaned(solvent)) == words
    assert care_words(dry_cleaned(solvent, iron="cool")) == [*words, "Cool iron."]


def test_what_may_not_be_washed_cannot_be_silent_on_dry_cleaning():
    with pytest.raises(ValueError, match="dry_clean is 'unsaid': what may not be washed"):
        dry_cleaned("unsaid")


def test_a_washable_sock_may_say_more_of_dry_cleaning():
    washed = PRESETS["Cotton"]

    assert care_words(replace(washed, dry_clean="any")) == [*care_words(washed), "Or dry-clean."]
    assert care_words(replace(washed, dry_clean="none"))[-1] == "Do not dry-clean."


def test_one_yarn_that_water_harms_keeps_the_whole_sock_out_of_it():
    washed = replace(PRESETS["Cotton"], dry_clean="any")

    mild = mildest([washed, dry_cleaned("petroleum")])

    assert care_words(mild) == ["Dry-clean only, petroleum solvent."]
    assert not leaves_cleaning_unknown([washed, dry_cleaned("petroleum")])
    assert not may_share_load(washed, mild)


def test_silence_on_dry_cleaning_beside_a_yarn_that_water_harms_claims_nothing():
    sets = [PRESETS["Cotton"], dry_cleaned("any")]

    assert care_words(mildest(sets)) == ["Do not wash.", "Do not dry-clean."]
    assert leaves_cleaning_unknown(sets)
    assert not leaves_cleaning_unknown([PRESETS["Cotton"], dry_cleaned("none")])
