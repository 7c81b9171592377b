"""The fine print of fibre labels: thresholds, places, choices and refusals.

Bare section numbers are of 16 CFR, articles and annexes of Reg. (EU) 1007/2011.
"""

import pytest

from production.core.fibre import Part, canonical_fibre, fibre_label, tolerance_check


def lines(parts, rules="us", **choices):
    label = fibre_label(parts, rules=rules, **choices)
    assert label.problems == ()
    return list(label.lines)


YARN = {"wool": 75, "nylon": 25}
HEEL_AND_TOE = Part({"nylon": 100}, 3, "added", "toe and heel")


@pytest.mark.parametrize(
    ("typed", "us", "eu"),
    [  # 16 CFR 303.6, 303.7, 300.18 and EU Annex I; hemp, ramie, yak, olefin from memory
        ("Merino", "Wool", "wool"),
        ("sheep wool", "Wool", "wool"),
        ("SUPERWASH", "Wool", "wool"),
        ("recycled wool", "Recycled Wool", "wool"),
        ("llama", "Llama", "llama"),
        ("vicuna", "Vicuna", "vicuna"),
        ("mohair", "Mohair", "mohair"),
        ("cashmere", "Cashmere", "cashmere"),
        ("Recycled Cashmere", "Recycled Cashmere", "cashmere"),
        ("recycled camel", "Recycled Camel Hair", "camel"),
        ("yak", "Yak Hair", "yak"),
        ("flax", "Linen", "linen"),
        ("hemp", "Hemp", "true hemp"),
        ("ramie", "Ramie", "ramie"),
        ("polyamide", "Nylon", "polyamide"),
        ("modal", "Modal", "modal"),
        ("lyocell", "Lyocell", "lyocell"),
        ("modacrylic", "Modacrylic", "modacrylic"),
        ("elastane", "Spandex", "elastane"),
        ("lurex", "Metallic", "metallic"),
        ("elastodiene", "Rubber", "elastodiene"),
        ("polylactide", "PLA", "polylactide"),
        ("soy protein", "Azlon", "protein"),
        ("milk", "Azlon", "protein"),
        ("olefin", "Olefin", "polypropylene"),
    ],
)
def test_usual_names_and_their_printed_words(typed, us, eu):
    sock = [Part({typed: 100}, 60)]

    assert lines(sock) == [f"100% {us}"]
    assert lines(sock, "eu") == [f"100% {eu}"]
    assert lines(sock, "uk") == [f"100% {eu}"]


def test_the_act_is_decided_by_every_part():  # 15 U.S.C. 68(d)
    sock = [Part({"cotton": 100}, 97), Part({"mohair": 100}, 3, "ornament")]

    assert fibre_label(sock, exclude=("ornament",)).act == "16 CFR 300"
    assert fibre_label(sock[:1]).act == "16 CFR 303"
    assert fibre_label(sock, "eu").act == "EU 1007/2011"
    assert fibre_label(sock, "uk").act == "UK SI 2012/1102"


def test_shares_are_unrounded_and_by_our_names():
    shares = fibre_label([Part({"merino": 75, "polyamide": 25}, 60), HEEL_AND_TOE]).shares
    totals = fibre_label([Part(YARN, 60), Part({"nylon": 100}, 3, "section", "heel")]).shares

    assert shares == {"wool": 75.0, "nylon": 25.0}
    assert totals == pytest.approx({"wool": 100 * 45 / 63, "nylon": 100 * 18 / 63}, abs=1e-12)


def test_five_percent_exactly_is_named():  # 303.3: "less than 5"
    assert lines([Part({"cotton": 95, "silk": 5}, 62)]) == ["95% Cotton", "5% Silk"]
    assert lines([Part({"cotton": 100}, 58.9), Part({"silk": 100}, 3.1)])[1] == "5% Silk"
    assert lines([Part({"cotton": 95.01, "silk": 4.99}, 62)])[1] == "5% Other Fiber"


def test_ten_percent_of_base_is_still_an_exception():
    def strand(grams):
        added = Part({"nylon": 100}, grams, "added", "heel")
        return fibre_label([Part({"cotton": 100}, 61), added])

    assert strand(6.1).lines == ("All Cotton except 10% Nylon added to heel",)
    assert strand(6.11).lines == ("91% Cotton", "9% Nylon")
    assert any("10.02 %" in caution for caution in strand(6.11).cautions)


def test_us_ornament_over_five_percent_is_counted_with_a_caution():  # 303.26
    def striped(grams):
        sock = [Part({"cotton": 100}, 100 - grams), Part({"metallic": 100}, grams, "ornament")]
        return fibre_label(sock, exclude=("ornament",))

    assert striped(5).lines == ("100% Cotton", "Exclusive of Ornamentation")
    assert striped(5.1).lines == ("95% Cotton", "5% Metallic")
    assert any("5.1 %" in caution for caution in striped(5.1).cautions)


def test_eu_ornament_of_seven_percent_is_left_out():  # Art. 10
    def striped(grams):
        sock = [Part({"cotton": 100}, 100 - grams), Part({"metallic": 100}, grams, "ornament")]
        return list(fibre_label(sock, "eu").lines)

    assert striped(7) == ["100% cotton"]
    assert striped(7.1) == ["93% cotton, 7% metallic"]


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_a_section_of_thirty_percent_is_stated_in_any_case(rules):  # Art. 11
    def sock(grams):
        return [
            Part({"wool": 100}, 100 - grams),
            Part({"cotton": 100}, grams, "section", "foot"),
        ]

    both = ["main part: 100% wool", "foot: 100% cotton"]
    assert lines(sock(30), rules, exclude=("section",)) == both
    assert lines(sock(29.9), rules, exclude=("section",)) == ["100% wool"]
    assert lines(sock(29.9), rules) == both


def test_the_base_names_itself_by_its_own_place():
    sock = [
        Part({"wool": 100}, 40, place="leg"),
        Part({"cotton": 100}, 30, "section", "foot"),
    ]

    assert lines(sock, "eu") == ["leg: 100% wool", "foot: 100% cotton"]


def test_us_sections_are_totals_unless_asked_for():  # 303.25
    sock = [
        Part(YARN, 50, place="leg and foot"),
        Part({"cotton": 100}, 10, "section", "heel"),
    ]

    assert lines(sock) == ["62% Wool", "21% Nylon", "17% Cotton"]  # 62.50, 20.83, 16.67
    assert lines(sock, by_section=True) == [
        "Leg and foot: 75% Wool, 25% Nylon",
        "Heel: 100% Cotton",
    ]


def test_equal_shares_go_wool_then_hair_then_a_to_z():
    sock = [Part({"silk": 25, "cotton": 25, "alpaca": 25, "wool": 25}, 60)]

    assert lines(sock) == ["25% Wool", "25% Alpaca", "25% Cotton", "25% Silk"]


def test_other_fibers_are_last_even_when_larger():  # 303.16(a)(1)
    sock = [Part({"cotton": 90, "spandex": 3, "silk": 4, "linen": 3}, 60)]

    assert lines(sock, functional=("spandex",)) == [
        "90% Cotton",
        "3% Spandex",
        "7% Other Fibers",
    ]


@pytest.mark.parametrize(("rules", "small"), [("us", "1% Wool"), ("eu", "1% wool")])
def test_a_tiny_share_prints_as_one_percent(rules, small):
    label = fibre_label([Part({"cotton": 99.7, "wool": 0.3}, 60)], rules)

    assert ", ".join(label.lines).lower() == f"99% cotton, {small.lower()}"
    assert any("0.3 %" in caution for caution in label.cautions)


def test_a_tiny_addition_prints_as_one_percent():
    label = fibre_label([Part({"cotton": 100}, 100), Part({"nylon": 100}, 0.2, "added", "toe")])

    assert label.lines == ("All Cotton except 1% Nylon added to toe",)
    assert any("0.2 %" in caution for caution in label.cautions)


def test_additions_are_measured_over_base_and_sections():
    sock = [
        Part({"cotton": 100}, 50),
        Part({"linen": 100}, 10, "section", "foot"),
        HEEL_AND_TOE,
    ]

    assert lines(sock)[-1] == "Except 5% Nylon added to toe and heel"  # 3/60, not 3/50


def test_several_additions_take_a_line_each_before_any_phrase():
    sock = [
        Part({"cotton": 55, "rayon": 45}, 100),
        Part({"nylon": 100}, 5, "added", "toe and heel"),
        Part({"polyester": 100}, 2, "added", "sole"),
        Part({"metallic": 100}, 3, "ornament"),
    ]

    assert lines(sock, exclude=("ornament",)) == [
        "55% Cotton",
        "45% Rayon",
        "Except 5% Nylon added to toe and heel",
        "Except 2% Polyester added to sole",
        "Exclusive of Ornamentation",
    ]


def test_several_additions_to_one_base_fibre():
    sock = [
        Part({"cotton": 100}, 100),
        Part({"nylon": 100}, 5, "added", "heel"),
        Part({"polyester": 100}, 2, "added", "sole"),
    ]

    assert lines(sock) == [
        "All Cotton except 5% Nylon added to heel",
        "Except 2% Polyester added to sole",
    ]


def test_an_addition_without_a_place_is_a_problem():
    label = fibre_label([Part({"cotton": 100}, 60), Part({"nylon": 100}, 3, "added")])

    assert label.lines == ()
    assert any("place" in problem for problem in label.problems)


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_eu_leaves_out_by_place(rules):  # Annex VII (e)
    def sock(role, content, place):
        return [Part({"wool": 100}, 95), Part({content: 100}, 5, role, place)]

    assert lines(sock("added", "nylon", "heel"), rules) == ["100% wool"]
    assert lines(sock("added", "nylon", "Toe and heel"), rules) == ["100% wool"]
    assert lines(sock("added", "nylon", "sole"), rules) == ["95% wool, 5% polyamide"]
    assert lines(sock("added", "nylon", "heel and sole"), rules) == ["95% wool, 5% polyamide"]
    assert lines(sock("elastic", "spandex", "cuff"), rules) == ["100% wool"]
    assert lines(sock("elastic", "spandex", "foot"), rules) == ["95% wool, 5% elastane"]
    assert lines(sock("elastic", "spandex", "top of the foot"), rules) == ["95% wool, 5% elastane"]


def test_us_counts_everything_by_default():  # 303.12, 303.26; opt-ins add their phrase
    sock = [
        Part({"cotton": 100}, 90),
        Part({"spandex": 100}, 5, "elastic", "cuff"),
        Part({"metallic": 100}, 5, "ornament"),
    ]

    assert lines(sock) == ["90% Cotton", "5% Metallic", "5% Spandex"]
    assert lines(sock, exclude=("elastic", "ornament")) == [
        "100% Cotton",
        "Exclusive of Elastic",
        "Exclusive of Ornamentation",
    ]


def test_rabbit_under_five_percent_is_never_named():  # 300.8(g), 303.6(b)
    label = fibre_label(
        [Part({"cotton": 96, "angora rabbit": 4}, 60)], functional=("angora rabbit",)
    )

    assert label.lines == ("96% Cotton", "4% Other Fiber")
    assert any("functional or not" in caution for caution in label.cautions)


def test_a_pooled_fibre_in_wool_stays_off_the_whole_tag():  # 300.3(b)
    label = fibre_label([Part({"wool": 97, "silk": 3}, 60)])

    assert label.lines == ("97% Wool", "3% Other Fiber")
    assert any("silk" in caution and "300.3(b)" in caution for caution in label.cautions)


def test_three_percent_cashmere_is_stated():  # FTC business guide digest
    assert lines([Part({"wool": 97, "cashmere": 3}, 60)]) == ["97% Wool", "3% Cashmere"]


@pytest.mark.parametrize("rules", ["us", "eu", "uk"])
def test_choices_that_name_nothing_present_are_only_cautions(rules):
    label = fibre_label(
        [Part(YARN, 60)], rules, functional=("spandex", "stretch"), exclude=("ornament", "glitter")
    )

    assert label.problems == ()
    assert len(label.lines) in {1, 2}
    for word in ("spandex", "stretch", "ornament", "glitter"):
        assert any(repr(word) in caution for caution in label.cautions)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ({"cotton": 33, "silk": 33, "wool": 33}, "adds up to 99 %"),
        ({"cotton": 99.98}, "adds up to 99.98 %"),
        ({"cotton": 110, "silk": -10}, "-10"),
        ({"cotton": float("nan")}, "nan"),
        ({"woool": 100}, "nearest: wool"),
        ({"cottn": 100}, "cotton"),
        ({"polyestre": 100}, "polyester"),
    ],
)
def test_bad_contents_are_refused_and_the_message_helps(content, said):
    with pytest.raises(ValueError, match=said):
        fibre_label([Part(content, 60)])


@pytest.mark.parametrize("grams", [0, -1, float("inf"), float("nan")])
def test_bad_grams_are_refused(grams):
    with pytest.raises(ValueError, match="grams"):
        fibre_label([Part({"cotton": 100}, grams)])


def test_unknown_role_and_rules_are_refused():
    with pytest.raises(ValueError, match="role is 'pompom'"):
        fibre_label([Part({"cotton": 100}, 60, "pompom")])
    with pytest.raises(ValueError, match="rules is 'mars'"):
        fibre_label([Part({"cotton": 100}, 60)], "mars")


def test_contents_within_a_hundredth_are_taken():
    assert lines([Part({"cotton": 66.66, "linen": 33.33}, 60)]) == ["67% Cotton", "33% Linen"]


def test_a_sock_without_a_base_is_a_problem():
    assert fibre_label([]).problems
    assert fibre_label([HEEL_AND_TOE], "eu").problems


def test_a_percent_is_of_weight_not_of_parts():  # 303.16(a)(1): percentages by weight
    sock = [Part({"wool": 100}, 40), Part({"nylon": 100}, 20)]

    assert lines(sock) == ["67% Wool", "33% Nylon"]


def test_every_label_says_where_its_rules_were_read_and_why():
    for rules, word in (("us", "2015 annual edition"), ("eu", "1007/2011"), ("uk", "2012/1102")):
        label = fibre_label([Part(YARN, 60), HEEL_AND_TOE], rules)

        assert word in label.rules_date
        assert "re-check" in label.rules_date
        assert any("75 %" in step for step in label.steps)
    assert any("VII" in step for step in fibre_label([Part(YARN, 60), HEEL_AND_TOE], "eu").steps)


@pytest.mark.parametrize(
    ("actual", "level"), [(75, "ok"), (74, "ok"), (73.9, "warn"), (72, "warn"), (71.9, "alarm")]
)
def test_wool_warns_over_one_point_and_alarms_over_three(actual, level):
    # 15 U.S.C. 68b names no figure; one and three points are our choice.
    assert tolerance_check(75, actual, "16 CFR 300").level == level


def test_eu_bears_three_points_and_two_percent_stray():  # Art. 20(3), 7 and 20(2)
    assert tolerance_check(40, 43, "EU 1007/2011").ok
    assert not tolerance_check(40, 43.1, "EU 1007/2011").ok
    assert tolerance_check(100, 98, "EU 1007/2011").ok
    assert not tolerance_check(100, 97.9, "UK SI 2012/1102").ok


@pytest.mark.parametrize(
    ("stated", "actual", "act", "name"),
    [(101, 40, "16 CFR 303", "stated"), (40, -1, "16 CFR 303", "actual"), (40, 40, "303", "act")],
)
def test_tolerance_of_nonsense_is_refused(stated, actual, act, name):
    with pytest.raises(ValueError, match=f"{name} is"):
        tolerance_check(stated, actual, act)


def test_canonical_names_offer_the_nearest():
    assert canonical_fibre(" Polyamide ") == "nylon"
    assert canonical_fibre("Angora-Rabbit") == "angora rabbit"
    with pytest.raises(ValueError, match="angora rabbit"):
        canonical_fibre("angora")
