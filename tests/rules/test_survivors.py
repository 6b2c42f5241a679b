"""Whole builds where one figure or condition alone decides, worked by hand.

The sound builds' items, in inches and lb: master 9 long; intermediate 6 long, 3.5 wide; coupling
2.7 long, opening 1.5; chain 3/8 in grade 100, pitch 1.18, 8,800 lb; hook 5.5 long. Published for
that chain on two legs at 60 deg 15,200 lb, on three and four 22,900 lb, straight 8,800 lb.
"""

from __future__ import annotations

import pytest

from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.testing import run, sling_of

RULES = {rule.name: rule for rule in standard_book().rules}
INCH = 25.4
LB = 0.45359237


def figures_of(example):
    return Calculation(sling_of(example))


def outcome(rule, base, over="", without=()):
    return run(RULES[rule], f'base = "{base}"\nwithout = {list(without)}\n{over}')


def found_parts(said):
    return sorted({finding.part for finding in said.findings})


def intermediate(limit, more=""):
    """The sound quad, its intermediate links with one chart row for two legs."""
    return f"""
        base = "quad"
        [[item]]
        id = "intermediate"
        chart = [
          {{ leg = "chain", grade = 100, size = "3/8 in", legs = 2, {more} limit = "{limit}" }},
        ]
    """


def tagged(*rows):
    return "[tag]\nrating = [" + ", ".join(f"{{ {row} }}" for row in rows) + "]\n"


def bridle(degrees, load):
    return f'hitch = "bridle", angle = {{ from_horizontal = "{degrees} deg" }}, load = "{load}"'


# Ratings


@pytest.mark.parametrize(
    ("limit", "more", "rated"),
    [
        # half of the published cell 15,200: half of 22,900
        pytest.param("7,600 lb", 'angle = { from_horizontal = "60 deg" },', 11_450, id="a cell"),
        # without an angle a US row is for 60 deg: the same
        pytest.param("7,600 lb", "", 11_450, id="no angle"),
        # no cell at 50 deg: 10,000 / (2 sin 50 = 1.53209) = 6,527.04; / 8,800 x 22,900 = 16,985
        pytest.param("10,000 lb", 'angle = { from_horizontal = "50 deg" },', 16_985, id="no cell"),
        # 8,800 x 1.53209 = 13,482: a row of 13,400 is that, rounded down, and holds what it holds
        pytest.param("13,400 lb", 'angle = { from_horizontal = "50 deg" },', 22_900, id="rounded"),
        # 13,300 is more than 100 lb under it: 13,300 / 1.53209 = 8,680.96; / 8,800 x 22,900
        pytest.param("13,300 lb", 'angle = { from_horizontal = "50 deg" },', 22_590, id="lower"),
    ],
)
def test_an_intermediate_link_rates_the_sling_by_the_pull_of_its_row(limit, more, rated):
    rating = figures_of(intermediate(limit, more)).rating()
    assert rating.stated == pytest.approx(rated * LB, abs=0.6)
    assert rating.governed_by is not None
    assert rating.governed_by.kind == ("chain" if rated == 22_900 else "intermediate-link")


def link_in_the_leg(data):
    """The sound single leg with a link at the head of its leg."""
    return f"""
        base = "single"
        [[leg]]
        ref = "a"
        parts = [
          {{ item = "coupling" }},
          {{ item = "ring" }},
          {{ item = "coupling" }},
          {{ item = "chain", links = 45 }},
          {{ item = "coupling" }},
          {{ item = "hook" }},
        ]
        [[item]]
        id = "ring"
        kind = "end-link"
        steel = "alloy"
        grade = 100
        bar = "1 in"
        inside_length = "6 in"
        inside_width = "3 in"
        {data}
    """


@pytest.mark.parametrize(
    "data",
    [
        pytest.param('working_load_limit = "7,000 lb"', id="by its own limit"),
        # a row for one leg is for a straight one
        pytest.param(
            'chart = [{ leg = "chain", grade = 100, size = "3/8 in", legs = 1,'
            ' limit = "7,000 lb" }]',
            id="by its row",
        ),
    ],
)
def test_a_link_in_a_single_leg_is_rated_straight(data):
    rating = figures_of(link_in_the_leg(data)).rating()
    assert rating.stated == pytest.approx(7000 * LB)
    assert rating.governed_by is not None
    assert rating.governed_by.path == "a/ring"


@pytest.mark.parametrize(
    ("example", "factor"),
    [
        # 2 sin 60 = 1.73205; three of four legs 2.59808; two of them where the load is rigid
        pytest.param('base = "pair"', 1.73205, id="pair"),
        pytest.param('base = "quad"', 2.59808, id="quad"),
        pytest.param('base = "quad"\n[duty]\nload_is_rigid = true', 1.73205, id="rigid load"),
        pytest.param('base = "single"', 1.0, id="single"),
        # the exact angle, not the listed 45: 2 sin 50 = 1.53209
        pytest.param(
            'base = "pair"\n[duty]\nangle = { from_horizontal = "50 deg" }', 1.53209, id="50 deg"
        ),
    ],
)
def test_the_planned_load_is_shared_by_the_exact_angle(example, factor):
    assert figures_of(example).duty_factor() == pytest.approx(factor, abs=1e-5)


def test_a_rating_at_a_listed_angle_has_no_other_exact_one():
    for base in ("pair", "single"):
        figures = figures_of(f'base = "{base}"')
        assert figures.exact_rating(figures.rating()) is None


def test_the_exact_rating_between_two_listed_angles():
    figures = figures_of('base = "pair"\n[duty]\nangle = { from_horizontal = "50 deg" }')
    exact = figures.exact_rating(figures.rating())
    assert exact is not None
    # 2 x 8,800 x sin 50 = 13,482.4
    assert exact.stated == pytest.approx(13_482.4 * LB, abs=0.1)


# Lengths


def test_a_pocket_in_the_link_above_lies_higher_by_the_link_between():
    quad = """
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = { pocket = "top" }
        [[item]]
        id = "master"
        pocket = { height = "2-1/2 in", size = "3/8 in", grade = 100, count = 2 }
    """
    figures = figures_of(quad)
    leg = figures.sling.legs[0]
    # 2.5 + 6 + 2.7 = 11.2; / 1.18 = 9.49: ten links before the eleventh
    assert figures.computed_first_link(leg) == 11
    # 121.48 - 8.5 - 2.7 - 10.5 x 1.18 = 97.89
    assert figures.setting(leg, 11).reach / INCH == pytest.approx(97.89)


def test_the_mass_counts_every_leg_and_every_link():
    pair = 'base = "pair"\n' + "".join(
        f'[[item]]\nid = "{name}"\nmass = "{mass} kg"\n'
        for name, mass in (("master", 5), ("coupling", 1), ("chain", 0.1), ("hook", 2))
    )
    # 5 + 2 legs x (2 couplings x 1 + 65 links x 0.1 + 2) = 5 + 21
    assert figures_of(pair).mass() == pytest.approx(26)


def test_the_mass_of_rope_goes_by_its_length():
    rope = """
        base = "pair"
        [[item]]
        id = "master"
        mass = "5 kg"
        [[item]]
        id = "rope"
        kind = "wire-rope"
        mass = "0.5 kg"
        [[leg]]
        ref = "a"
        parts = [{ item = "rope", length = "4 m" }]
    """
    assert figures_of(rope).mass() == pytest.approx(5 + 2 * 4 * 0.5)


def test_full_reach_is_exceeded_by_less_than_a_millimetre():
    # full 121.48 in; no tolerance is given
    over = '[[leg]]\nref = "a"\nadjust.reaches = ["121.50 in"]'
    said = outcome("pocket-unreachable", "quad", over, ["/leg/a/adjust/tolerance"])
    assert (said.verdict, found_parts(said)) == ("fail", ["a1"])
    over = over.replace("121.50", "121.47")
    said = outcome("pocket-unreachable", "quad", over, ["/leg/a/adjust/tolerance"])
    assert said.verdict == "pass"


def test_only_legs_of_the_same_pocket_count_against_it():
    # one pocket in each link, two legs at the left and one at the right
    over = """
        [[leg]]
        ref = "b"
        count = 1
        [[item]]
        id = "intermediate"
        pocket.count = 1
    """
    assert found_parts(outcome("pocket-unreachable", "quad", over)) == ["a1"]


def test_a_pocket_of_no_stated_grade_is_left_open():
    said = outcome("pocket-size-mismatch", "quad", "", ["/item/intermediate/pocket/grade"])
    assert said.verdict == "open"


# Duty


@pytest.mark.parametrize(
    ("low", "high", "found", "limit"),
    [
        # EN 818-6, grade 8: -40 to 400 degC
        (-40, 500, 500, 400),
        (-41, 20, -41, -40),
        (20, 401, 401, 400),
    ],
)
def test_the_end_that_is_not_permitted_is_named(low, high, found, limit):
    over = f"""
        [assembly]
        basis = "EN"
        [duty]
        angle = {{ from_vertical = "30 deg" }}
        temperature = {{ low = "{low} degC", high = "{high} degC" }}
        [[item]]
        id = "chain"
        grade = 80
    """
    said = outcome("temperature-not-permitted", "pair", over, ["/duty/angle/from_horizontal"])
    (finding,) = said.findings
    assert (finding.found, finding.limit) == pytest.approx((found, limit))


# Fit


def test_only_the_top_link_must_take_the_crane_hook():
    # the saddle is 3 wide, the master 5, the intermediate 2.9
    over = '[[item]]\nid = "intermediate"\ninside_width = "2.9 in"'
    for rule in ("hook-does-not-enter", "hook-tight"):
        assert outcome(rule, "quad", over).verdict == "pass"


def test_a_coupling_goes_over_the_link_beside_it_in_the_leg():
    # bar 1.6 in, the couplings above and below it open 1.5 in
    ring = link_in_the_leg('working_load_limit = "8,800 lb"').replace(
        'bar = "1 in"', 'bar = "1.6 in"'
    )
    said = run(RULES["opening-too-small"], ring)
    assert found_parts(said) == ["a/coupling", "a/coupling#2"]


def test_a_coupling_at_the_end_of_the_leg_goes_over_no_top_link():
    # the thick master concerns the coupling that hangs on it alone
    said = outcome("opening-too-small", "pair", '[[item]]\nid = "master"\nbar = "1.6 in"')
    assert found_parts(said) == ["a1/coupling"]


def branched(thick):
    """A grab hook beside each leg, its coupling over the master; one link's bar is too thick."""
    return f"""
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = {{ on = "top", branch = [{{ item = "coupling" }}, {{ item = "grab" }}] }}
        [[item]]
        id = "grab"
        kind = "grab-hook"
        size = "3/8 in"
        grade = 100
        effective_length = "2.2 in"
        working_load_limit = "8,800 lb"
        [[item]]
        id = "{thick}"
        bar = "1.6 in"
    """


def test_a_branch_goes_over_the_link_that_it_hangs_on_and_the_leg_over_its_own():
    without = 'without = ["/leg/a/adjust/pocket"]\n'
    over_master = run(RULES["opening-too-small"], without + branched("master"))
    over_own = run(RULES["opening-too-small"], without + branched("intermediate"))
    assert len(found_parts(over_master)) == 1
    assert "a1/coupling" not in found_parts(over_master)
    assert found_parts(over_own) == ["a1/coupling", "b1/coupling"]


# Letters and tags


def test_a_hook_without_latch_is_no_latched_hook():
    over = '[assembly]\ndesignation = "DOL"\n[[item]]\nid = "hook"\nlatch = {latch}'
    rule = "designation-contradicts-build"
    assert outcome(rule, "pair", over.format(latch="true")).verdict == "pass"
    assert outcome(rule, "pair", over.format(latch="false")).verdict == "fail"


def test_a_latched_hook_by_either_letter_hides_no_other_difference():
    said = outcome("designation-contradicts-build", "pair", '[assembly]\ndesignation = "DOLA"')
    assert [finding.found for finding in said.findings] == ["adjustable legs"]


@pytest.mark.parametrize(
    ("reach", "verdict"),
    [
        # 9 + 2.7 + 65 x 1.18 + 2.7 + 5.5 = 96.6; up to 2 x 1.18 shorter on the tag: 94.24
        ("96.6 in", "pass"),
        ("96.7 in", "fail"),
        ("94.25 in", "pass"),
        ("94.2 in", "fail"),
    ],
)
def test_a_tag_alone_with_its_reach_is_held_to_the_parts(reach, verdict):
    said = outcome(
        "tag-contradicts-build", "pair", f'[tag]\nreach = "{reach}"', ["/assembly/reach"]
    )
    assert said.verdict == verdict


def test_a_build_of_stated_reach_whose_tag_says_none_is_no_contradiction():
    assert outcome("tag-contradicts-build", "pair", "", ["/tag/reach"]).verdict == "pass"


@pytest.mark.parametrize(
    ("duty", "rows", "verdict"),
    [
        pytest.param(60, (bridle(60, "15,200 lb"),), "pass", id="as flat as the tag"),
        pytest.param(59, (bridle(60, "15,200 lb"),), "fail", id="flatter"),
        pytest.param(30, (bridle(45, "12,400 lb"),), "fail", id="as flat as the basis allows"),
        pytest.param(29, (bridle(45, "12,400 lb"),), "pass", id="another rule's matter"),
        pytest.param(
            45,
            (bridle(60, "15,200 lb"), bridle(45, "12,400 lb").replace("bridle", "choker")),
            "fail",
            id="the flatter row is for a choker",
        ),
    ],
)
def test_a_duty_flatter_than_every_row_of_its_hitch(duty, rows, verdict):
    over = f'[duty]\nangle = {{ from_horizontal = "{duty} deg" }}\n' + tagged(*rows)
    assert outcome("tag-contradicts-build", "pair", over).verdict == verdict


@pytest.mark.parametrize(
    ("rows", "verdict"),
    [
        pytest.param((bridle(60, "12,000 lb"),), "pass", id="just the load"),
        pytest.param((bridle(60, "11,900 lb"),), "fail", id="less than the load"),
        pytest.param((bridle(45, "11,900 lb"),), "fail", id="less, at a flatter angle"),
        pytest.param((bridle(90, "11,900 lb"),), "pass", id="for steeper legs alone"),
        pytest.param(
            (bridle(60, "12,100 lb"), bridle(30, "8,800 lb")), "pass", id="the best row counts"
        ),
        pytest.param(
            (bridle(60, "11,900 lb").replace("bridle", "choker"),), "pass", id="another hitch"
        ),
    ],
)
def test_the_planned_load_keeps_to_the_rows_of_the_tag_that_cover_it(rows, verdict):
    assert outcome("load-over-rating", "pair", tagged(*rows)).verdict == verdict


# Rated parts


def test_a_link_rated_alone_must_say_its_design_factor():
    over = """
        [[item]]
        id = "master"
        chart = []
        working_load_limit = "26,000 lb"
        limit_for = { legs = 2, angle = { from_horizontal = "60 deg" } }
    """
    assert outcome("link-rated-alone", "pair", over).verdict == "pass"
    said = outcome("link-rated-alone", "pair", over, ["/item/master/design_factor"])
    assert said.verdict == "fail"


def test_a_hook_above_that_is_rated_for_just_the_load_is_enough():
    # the duty's 12,000 lb
    over = '[[item]]\nid = "crane-hook"\nworking_load_limit = "{}"'
    assert outcome("hung-from-overloaded", "pair", over.format("12,000 lb")).verdict == "pass"
    assert outcome("hung-from-overloaded", "pair", over.format("11,999 lb")).verdict == "fail"


def test_a_chain_that_governs_is_no_weak_fitting():
    assert outcome("weak-link-governs", "pair").verdict == "pass"


def test_no_sheet_lifts_a_chain_above_the_published_table():
    over = "".join(
        f'[[item]]\nid = "{name}"\nworking_load_limit = "10,000 lb"\n'
        for name in ("chain", "coupling", "hook")
    )
    rating = figures_of(f'base = "single"\n{over}').rating()
    assert rating.stated == pytest.approx(8800 * LB)


def test_legs_flatter_than_the_table_carry_its_last_cell_by_the_sine():
    figures = figures_of('base = "pair"')
    # 8,800 on two legs at 30 deg; x sin 20 / sin 30 = 0.68404
    assert figures.rating(30.0).stated == pytest.approx(8800 * LB)
    assert figures.rating(20.0).stated == pytest.approx(6019.6 * LB, abs=0.1)


def test_a_link_without_a_row_shares_its_own_limit_among_its_legs():
    over = '[[item]]\nid = "intermediate"\nchart = []\nworking_load_limit = "16,000 lb"'
    # 16,000 / 2 = 8,000 a leg, of no chain in the table: x 3 sin 60 = 20,784.6
    rating = figures_of(f'base = "quad"\n{over}').rating()
    assert rating.stated == pytest.approx(20_784.6 * LB, abs=0.1)


@pytest.mark.parametrize(("legs", "verdict"), [(2, "fail"), (3, "fail"), (4, "pass")])
def test_a_limit_for_fewer_legs_than_hang_in_the_link_is_none(legs, verdict):
    over = f"""
        [[item]]
        id = "master"
        chart = []
        working_load_limit = "26,000 lb"
        limit_for = {{ legs = {legs}, angle = {{ from_horizontal = "60 deg" }} }}
    """
    said = outcome("unrated-component", "quad", over)
    assert said.verdict == verdict
    assert found_parts(said) == ([] if verdict == "pass" else ["top"])


@pytest.mark.parametrize(("size", "verdict"), [("3/8 in", "fail"), ("1/2 in", "pass")])
def test_a_link_is_rated_for_the_largest_chain_in_it(size, verdict):
    over = f"""
        [[leg]]
        ref = "a"
        count = 1
        [[leg]]
        ref = "b"
        on = "top"
        parts = [
          {{ item = "coupling" }},
          {{ item = "big-chain", links = 65 }},
          {{ item = "coupling" }},
          {{ item = "hook" }},
        ]
        [[item]]
        id = "big-chain"
        kind = "chain"
        steel = "alloy"
        grade = 100
        size = "1/2 in"
        working_load_limit = "15,000 lb"
        [[item]]
        id = "master"
        chart = [
          {{ leg = "chain", grade = 100, size = "{size}", legs = 2, limit = "26,000 lb" }},
        ]
    """
    said = outcome("unrated-component", "pair", over)
    assert said.verdict == verdict
    assert found_parts(said) == ([] if verdict == "pass" else ["top"])


def test_every_row_of_a_chart_is_looked_at():
    over = """
        [[item]]
        id = "master"
        chart = [
          { leg = "wire-rope", size = "3/4 in", legs = 2, limit = "26,000 lb" },
          { leg = "chain", grade = 100, size = "1/4 in", legs = 2, limit = "6,000 lb" },
          { leg = "chain", grade = 100, size = "3/8 in", legs = 1, limit = "8,800 lb" },
          { leg = "chain", grade = 100, size = "3/8 in", legs = 2, limit = "15,200 lb" },
        ]
    """
    assert outcome("unrated-component", "pair", over).verdict == "pass"
    assert figures_of(f'base = "pair"\n{over}').rating().stated == pytest.approx(15_200 * LB)


def test_a_row_of_the_tag_that_holds_hides_no_other_that_does_not():
    rows = tagged(bridle(60, "15,200 lb"), bridle(45, "15,200 lb"), bridle(30, "8,800 lb"))
    said = outcome("tag-over-rating", "pair", rows)
    assert len(said.findings) == 1


# Cutting, crowding and proof


@pytest.mark.parametrize(
    ("wanted", "links"),
    [
        # 9 + 2.7 + 45 x 1.18 + 2.7 + 5.5 = 73; (84 - 73) / 1.18 = 9.3: ten links more
        (84, 55),
        (73, 45),
        (72, 45),
        # (71.8 - 73) / 1.18 = -1.02: one link less
        (71.8, 44),
        (1, 1),
    ],
)
def test_the_links_that_bring_a_leg_to_a_reach_or_just_over_it(wanted, links):
    figures = figures_of('base = "single"')
    assert figures.links_for_reach(figures.sling.legs[0], wanted * INCH) == links


def test_the_width_at_which_seats_take_just_the_usable_arc():
    figures = figures_of('base = "pair"')
    (top,) = figures.sling.tops
    # two couplings, 0.75 wide and 0.55 deep, 60 deg each: 0.75 / (B - 0.55) = 1/2, B = 2.05
    assert figures.width_for(top, 120.0) / INCH == pytest.approx(2.05, abs=0.001)


def test_a_proof_load_of_a_place_that_is_not_there_hides_no_other():
    # a pair has no intermediate link; its master takes 4 x 8,800 = 35,200, and a tenth more
    over = '[proof]\nintermediate_load = "35,200 lb"\nmaster_load = "{} lb"'
    assert outcome("proof-load-excess", "pair", over.format("38,700")).verdict == "pass"
    assert outcome("proof-load-excess", "pair", over.format("38,800")).verdict == "fail"


# Hitch and run of the legs


def test_a_choked_leg_in_another_hitch_is_found():
    said = outcome("hitch-legs-mismatch", "pair", '[[leg]]\nref = "a"\nchokes_in = "hook"')
    assert found_parts(said) == ["a1"]


def test_every_leg_of_a_choker_must_take_the_bight():
    leg = '[[leg]]\nref = "a"\ncount = 1\nchokes_in = "hook"\n'
    other = """
        [[leg]]
        ref = "b"
        on = "top"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 65 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """
    choker = '[duty]\nhitch = "choker"\nchoke_angle = "120 deg"\n'
    assert outcome("hitch-legs-mismatch", "pair", choker + leg + other).verdict == "fail"
    both = choker + leg + other + 'chokes_in = "hook"\n'
    assert outcome("hitch-legs-mismatch", "pair", both).verdict == "pass"


def test_a_chain_bridle_without_a_link_is_found():
    said = outcome("hitch-legs-mismatch", "pair", "", ["/part/top", "/leg/a/on"])
    assert found_parts(said) == ["a1"]


def test_a_shortener_between_two_chains_hides_no_coupling_below_it():
    over = """
        [[leg]]
        ref = "a"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 10 },
          { item = "shortener" },
          { item = "chain", links = 10 },
          { item = "coupling" },
          { item = "chain", links = 10 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """
    said = outcome("repair-coupling-in-chain", "single", over)
    assert found_parts(said) == ["a/coupling#2"]


# What the hitch and the heat take off


@pytest.mark.parametrize(("load", "verdict"), [("7,000 lb", "pass"), ("7,100 lb", "fail")])
def test_a_choker_keeps_to_four_fifths_on_the_tag_and_in_the_duty(load, verdict):
    # 8,800 x 0.8 = 7,040
    row = tagged(f'hitch = "choker", load = "{load}"')
    assert outcome("tag-over-rating", "single", row).verdict == verdict
    duty = f"""
        [duty]
        hitch = "choker"
        choke_angle = "120 deg"
        load = "{load}"
        [[leg]]
        ref = "a"
        chokes_in = "hook"
    """
    without = ["/tag/rating"]
    assert outcome("load-over-rating", "single", duty, without).verdict == verdict


def test_no_load_is_within_the_rating_where_the_heat_is_not_permitted():
    over = '[duty]\ntemperature = { high = "1,100 degF" }'
    assert outcome("load-over-rating", "pair", over).verdict == "open"


def test_a_row_that_says_no_grade_is_left_open():
    over = """
        [[item]]
        id = "master"
        chart = [{ leg = "chain", size = "3/8 in", legs = 2, limit = "15,200 lb" }]
    """
    assert outcome("unrated-component", "pair", over).verdict == "open"


def test_the_ratings_at_the_listed_angles():
    rated = {angle: one.stated for angle, one in figures_of('base = "pair"').listed_ratings()}
    assert list(rated) == [90, 60, 45, 30]
    assert (rated[60], rated[30]) == pytest.approx((15_200 * LB, 8_800 * LB))
