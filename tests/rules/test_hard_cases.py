"""Builds that are easy to judge wrongly: what a sling-shop foreman would catch, or let pass."""

import pytest

from riglint import Unreadable
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.testing import run, sling_of

RULES = {rule.name: rule for rule in standard_book().rules}


def verdict(rule, example):
    return run(RULES[rule], example).verdict


def messages(rule, example):
    return [finding.message for finding in run(RULES[rule], example).findings]


# Endless rope. 20 mm, 253 kN, ferrule: 1.6 x 25,799 x 0.9 / 5 = 7,430 kg; the table has 7,350 kg

LOOP = """
    base = "rope"
    without = ["/duty/load", "/tag"]
    [assembly]
    basis = "EN"
    [duty]
    hitch = "choker"
    choke_angle = "130 deg"
    {duty}
    [[leg]]
    ref = "a"
    endless = true
    parts = [{{ item = "rope", length = "5 m" }}{end}]
    [[item]]
    id = "rope"
    diameter = "20 mm"
    core = "IWRC"
    splice = "mechanical"
    rope_grade = "1770"
    breaking_load = "253 kN"
    {sheet}
"""


def loop(sheet="", duty="", end=""):
    return LOOP.format(sheet=sheet, duty=duty, end=end)


@pytest.mark.parametrize(
    ("sheet", "kilograms"),
    [
        ("", 7350),
        ('choker_limit = "6,000 kg"', 6000),
        ('choker_limit = "8,000 kg"', 7350),
        # as one leg, 0.8 of it choked, but no more than the published loop
        ('working_load_limit = "9,000 kg"', 7200),
        ('working_load_limit = "12,000 kg"', 7350),
        ('working_load_limit = "12,000 kg"\nchoker_limit = "6,000 kg"', 6000),
    ],
)
def test_the_least_of_sheet_strength_and_table_rates_a_choked_loop(sheet, kilograms):
    rated = Calculation(sling_of(loop(sheet))).duty_rating().stated
    assert rated == pytest.approx(kilograms)


def test_what_a_loops_joint_costs_is_not_taken_off_twice_round_an_edge():
    # D/d = 10: 1 - 0.5 / sqrt(10) = 0.8419 of the rope; its joint has cost 0.9 already (0027/ND)
    rated = Calculation(sling_of(loop(duty='edge_radius = "100 mm"'))).duty_rating().stated
    assert rated == pytest.approx(7350 * 0.8419 / 0.9, rel=1e-4)


def test_a_loop_has_no_eyes():
    with pytest.raises(Unreadable, match="a is endless, and eye is an end"):
        sling_of(loop(end=', { item = "eye" }'))


# Rope without ends

BARE = """
    base = "rope"
    without = ["/item/rope/breaking_load"]
    [[leg]]
    ref = "a"
    parts = [{ item = "rope", length = "10 ft" }, { item = "rope-hook" }]
    [[item]]
    id = "rope"
    working_load_limit = "5,000 lb"
    design_factor = 5.0
"""


def test_a_rope_whose_ends_nobody_describes_is_not_rated_by_its_sheet():
    assert verdict("load-over-rating", BARE) == "open"
    assert verdict("unrated-component", BARE) == "open"


# Legs that are hung by both ends

BOTH_ENDS = """
    base = "rope"
    [duty]
    hitch = "basket"
    angle = {{ from_horizontal = "60 deg" }}
    edge_radius = "10 in"
    [[item]]
    id = "small"
    kind = "eye"
    form = "soft"
    splice = "mechanical"
    eye_length = "8 in"
    eye_width = "1 in"
    seat_width = "1 in"
    seat_depth = "1 in"
    [[leg]]
    ref = "a"
    to = "hung_from"
    parts = [{{ item = "{}" }}, {{ item = "rope", length = "20 ft" }}, {{ item = "{}" }}]
"""


@pytest.mark.parametrize("ends", [("small", "eye"), ("eye", "small")])
def test_the_eyes_of_both_ends_are_held_to_what_they_hang_on(ends):
    assert run(RULES["eye-spread"], BOTH_ENDS.format(*ends)).parts == ["a/small"]


BETWEEN = """
    base = "rope"
    [duty]
    hitch = "basket"
    angle = { from_horizontal = "60 deg" }
    edge_radius = "10 in"
    [[item]]
    id = "bow"
    kind = "shackle"
    working_load_limit = "30,000 lb"
    bow_width = "6 in"
    jaw_width = "4 in"
    inside_length = "9 in"
    pin = "1 in"
    [[part]]
    ref = "l"
    item = "bow"
    pin_in = "below"
    [[part]]
    ref = "r"
    item = "bow"
    pin_in = "below"
    [[leg]]
    ref = "a"
    on = "l"
    to = "r"
"""


def test_a_basket_between_two_shackles_has_one_end_in_each():
    assert verdict("shackle-turned", BETWEEN) == "notApplicable"


def test_two_ends_on_one_pin_are_found():
    second = '[[leg]]\nref = "b"\non = "l"\nto = "r"\nparts = [{ item = "eye" }, '
    second += '{ item = "rope", length = "10 ft" }, { item = "eye" }]'
    assert set(run(RULES["shackle-turned"], BETWEEN + second).parts) == {"l", "r"}


# What goes between the ears of a shackle, and into its bow

IN_SHACKLE = """
    base = "rope"
    [duty]
    hitch = "bridle"
    angle = {{ from_horizontal = "60 deg" }}
    [[item]]
    id = "bow"
    kind = "shackle"
    working_load_limit = "30,000 lb"
    bow_width = "{bow}"
    jaw_width = "1 in"
    inside_length = "9 in"
    pin = "1 in"
    [[item]]
    id = "eye"
    seat_width = "1 in"
    seat_depth = "1 in"
    [[part]]
    ref = "top"
    item = "bow"
    {turned}
    [[leg]]
    ref = "a"
    on = "top"
    count = {count}
"""


def test_an_eye_goes_between_the_ears_or_is_found():
    example = IN_SHACKLE.format(bow="6 in", turned='pin_in = "below"', count=1)
    assert "the ears of top stand 1 in apart" in str(messages("eye-spread", example)[0])
    wide = example.replace('jaw_width = "1 in"', 'jaw_width = "1.01 in"')
    assert verdict("eye-spread", wide) == "pass"


def test_a_bow_is_crowded_as_a_link_is():
    # two eyes of 1 in, 1 in deep: 2 asin(1 / (B - 1)) is 75 deg at B = 1 + 1 / sin 37.5 = 2.643
    turned = 'pin_in = "above"'
    assert (
        verdict("crowded-link", IN_SHACKLE.format(bow="2.65 in", turned=turned, count=2)) == "pass"
    )
    assert (
        verdict("crowded-link", IN_SHACKLE.format(bow="2.64 in", turned=turned, count=2)) == "fail"
    )
    assert verdict("crowded-link", IN_SHACKLE.format(bow="6 in", turned="", count=2)) == "open"


COUPLED = """
    base = "single"
    [[item]]
    id = "bow"
    kind = "shackle"
    bow_width = "6 in"
    jaw_width = "4 in"
    inside_length = "9 in"
    pin = "{pin}"
    bar = "{bar}"
    working_load_limit = "30,000 lb"
    [[item]]
    id = "coupling"
    opening = "1.5 in"
    [[part]]
    ref = "top"
    item = "bow"
    {turned}
"""


@pytest.mark.parametrize(
    ("turned", "pin", "bar", "wanted"),
    [
        ("below", "1.5 in", "2 in", "pass"),
        ("below", "1.51 in", "1 in", "fail"),
        ("above", "2 in", "1.5 in", "pass"),
        ("above", "1 in", "1.51 in", "fail"),
        ("", "1.51 in", "1 in", "open"),
        ("", "1.5 in", "2 in", "pass"),
    ],
)
def test_a_coupling_goes_over_the_pin_or_the_bow_of_a_shackle(turned, pin, bar, wanted):
    turned = turned and f'pin_in = "{turned}"'
    assert verdict("opening-too-small", COUPLED.format(turned=turned, pin=pin, bar=bar)) == wanted


LUGGED = """
    base = "rope"
    [duty]
    lug = {{ hole = "{hole}", thickness = "{thick}" }}
    [[item]]
    id = "bow"
    kind = "shackle"
    bow_width = "6 in"
    jaw_width = "4 in"
    inside_length = "9 in"
    pin = "1 in"
    bar = "0.8 in"
    [[leg]]
    ref = "a"
    parts = [{{ item = "eye" }}, {{ item = "rope", length = "10 ft" }}, {{ item = "eye" }},
      {{ item = "bow", pin_in = "{turned}" }}]
"""


@pytest.mark.parametrize(
    ("turned", "hole", "thick", "wanted"),
    [
        ("below", "1.03 in", "3.9 in", "pass"),
        ("below", "1 in", "3.9 in", "fail"),
        ("below", "1.03 in", "4 in", "fail"),
        ("above", "0.81 in", "5.9 in", "pass"),  # its bow is in the lug
        ("above", "0.8 in", "5.9 in", "fail"),
        ("above", "0.81 in", "6 in", "fail"),
    ],
)
def test_a_shackle_is_held_to_the_lug_by_the_end_that_is_in_it(turned, hole, thick, wanted):
    example = LUGGED.format(turned=turned, hole=hole, thick=thick)
    assert verdict("lug-does-not-fit", example) == wanted


# Textiles

FIBER = """
    base = "web"
    [duty]
    environment = [{}]
    [[item]]
    id = "web"
    material = "{}"
"""


@pytest.mark.parametrize(
    ("fiber", "around", "wanted"),
    [
        ("nylon", '"pickling"', "fail"),  # a bath of acid: 29 CFR 1926.251(e)
        ("nylon", '"galvanizing"', "open"),
        ("nylon", '"galvanizing", "acid"', "fail"),
        ("polyester", '"acid"', "pass"),
        ("polyester", '"alkali"', "fail"),
        ("polyester", '"moonlight"', "open"),
        ("polyester", '"moonlight", "caustic"', "fail"),
    ],
)
def test_what_a_fiber_bears(fiber, around, wanted):
    assert verdict("environment-not-permitted", FIBER.format(around, fiber)) == wanted


@pytest.mark.parametrize(
    ("sheet", "tag"), [("PES", "polyester"), ("nylon", "PA"), ("PP", "Polypropylene")]
)
def test_a_fiber_has_several_names(sheet, tag):
    example = f"""
        base = "web"
        [tag]
        material = "{tag}"
        [[item]]
        id = "web"
        material = "{sheet}"
    """
    assert verdict("tag-contradicts-build", example) == "pass"


def test_a_web_is_choked_through_its_own_eye():
    example = """
        base = "web"
        without = ["/part", "/leg/a/on"]
        [duty]
        hitch = "choker"
        choke_angle = "135 deg"
        [[leg]]
        ref = "a"
        count = 1
        parts = [{ item = "web", length = "3 m" }]
    """
    assert verdict("hitch-legs-mismatch", example) == "pass"


@pytest.mark.parametrize(("angle", "pounds"), [("86", 10000), ("85", 10000), ("84.9", 8660.254)])
def test_us_legs_near_plumb_are_plumb(angle, pounds):
    # 29 CFR 1910.184(b): within 5 deg of the vertical; else the next lower listed angle, 60 deg
    example = f"""
        base = "web"
        without = ["/part", "/leg/a/on", "/duty/load", "/duty/angle/from_vertical", "/tag"]
        [assembly]
        basis = "US"
        [duty]
        hitch = "basket"
        angle = {{ from_horizontal = "{angle} deg" }}
        [[leg]]
        ref = "a"
        count = 1
        to = "hung_from"
        parts = [{{ item = "web", length = "3 m" }}]
        [[item]]
        id = "web"
        working_load_limit = "5,000 lb"
    """
    rated = Calculation(sling_of(example)).rating().stated / 0.45359237
    assert rated == pytest.approx(pounds)


def test_a_chain_hook_that_breaks_no_sooner_than_its_web_is_no_matter():
    # at a factor of 4 it holds 8,800 lb, so 7,040 lb at 5: more than the web's 6,400 lb
    example = """
        base = "web"
        [assembly]
        basis = "US"
        [[item]]
        id = "web"
        working_load_limit = "6,400 lb"
        design_factor = 5.0
        [[item]]
        id = "web-hook"
        design_factor = 4.0
        working_load_limit = "{}"
    """
    for limit, found in (("8,800 lb", False), ("8,000 lb", False), ("7,990 lb", True)):
        outcome = run(RULES["design-factor-short"], example.format(limit))
        assert ("a1/web-hook" in outcome.parts) == found


# Legs that stand differently, and legs below a beam

OWN_ANGLES = """
    base = "pair"
    without = ["/duty/angle", "/duty/load", "/tag", "/assembly/reach"]
    [[leg]]
    ref = "a"
    count = 1
    reach = "8 ft"
    angle = {{ from_horizontal = "45 deg" }}
    [[leg]]
    ref = "b"
    on = "top"
    reach = "6 ft"
    angle = {{ from_horizontal = "{}" }}
    parts = [{{ item = "coupling" }}, {{ item = "chain", links = 50 }}, {{ item = "coupling" }},
      {{ item = "hook" }}]
"""


def test_legs_with_angles_of_their_own_need_none_of_the_duty():
    assert verdict("angle-too-flat", OWN_ANGLES.format("31 deg")) == "pass"
    assert verdict("angle-too-flat", OWN_ANGLES.format("29 deg")) == "fail"


# A link-assembly is called by its ref, or by its top link: what hangs is the same

BRANCH_ON_ASSEMBLY = """
    base = "pair"
    [[part]]
    ref = "top"
    item = "master-set"
    [[leg]]
    ref = "a"
    on = "top/low"
    parts = [{{ item = "coupling" }}, {{ item = "chain", links = 40 }}, {{ item = "hook" }}]
    [leg.adjust]
    on = "{name}"
    branch = [{{ item = "coupling" }}, {{ item = "chain", links = 3 }}, {{ item = "shortener" }}]
    [[item]]
    id = "master-set"
    kind = "link-assembly"
    steel = "alloy"
    grade = 100
    design_factor = 4.0
    links = [{{ name = "top", item = "master" }}, {{ name = "low", item = "intermediate" }}]
"""
BASKET_ON_ASSEMBLY = """
    base = "web"
    [[part]]
    ref = "top"
    item = "web-set"
    [duty]
    hitch = "basket"
    [[leg]]
    ref = "a"
    on = "top"
    to = "{to}"
    count = 1
    parts = [{{ item = "web", length = "2 m" }}]
    [[item]]
    id = "web-set"
    kind = "link-assembly"
    links = [{{ name = "top", item = "web-link" }}]
"""


@pytest.mark.parametrize("to", ["top", "top/top"])
def test_both_ends_of_a_basket_hang_on_an_assembly_by_either_name(to):
    sling = sling_of(BASKET_ON_ASSEMBLY.format(to=to))
    (top,) = sling.gatherings
    assert top.loaded_legs == sling.loaded_legs == 2
    assert top.gathers_all
    assert [seat.part.path for seat in top.seats] == ["a/web", "a/web"]


@pytest.mark.parametrize("name", ["top", "top/top"])
def test_a_branch_hangs_on_an_assembly_by_either_name(name):
    figures = Calculation(sling_of(BRANCH_ON_ASSEMBLY.format(name=name)))
    (leg,) = figures.sling.legs
    # the lower link is 6 in; the branch 2.7 + 3 x 1.18 + 4 = 10.24 in long
    height, start, pitch = (mm / 25.4 for mm in figures.pocket_geometry(leg))
    assert (height, start, pitch) == pytest.approx((6 - 10.24, 2.7, 1.18))
