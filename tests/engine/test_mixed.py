"""Slings of unlike legs, reduced duties and what is not computed: the figures behind the rules."""

import pytest

from riglint import Unstated
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.model import TemperatureRange
from riglint.quantities import Temperature
from riglint.testing import run, sling_of

RULES = {rule.name: rule for rule in standard_book().rules}
POUND = 0.45359237
PARTS = (
    '{ item = "coupling" }, { item = "CHAIN", links = 65 }, { item = "coupling" },'
    ' { item = "hook" }'
)


def legs(*chains):
    """The pair with each leg written out, of these chains."""
    entries = "".join(
        f'[[leg]]\nref = "leg{n}"\non = "top"\nparts = [{PARTS.replace("CHAIN", chain)}]\n'
        for n, chain in enumerate(chains)
    )
    return f'base = "pair"\nwithout = ["/leg/a"]\n{entries}'


def item(base, **changes):
    """A further chain: the sound one of 8,800 lb with other data."""
    data = {
        "kind": '"chain"',
        "steel": '"alloy"',
        "grade": "100",
        "size": '"3/8 in"',
        "design_factor": "4.0",
        "working_load_limit": '"8,800 lb"',
        "pitch": '"1.18 in"',
        "bar": '"0.394 in"',
    } | changes
    return f'[[item]]\nid = "{base}"\n' + "".join(
        f"{key} = {value}\n" for key, value in data.items()
    )


def test_a_leg_of_higher_grade_asks_no_higher_chart_of_the_link():
    example = legs("chain", "finer") + item("finer", grade="120")
    assert run(RULES["unrated-component"], example).verdict == "pass"


def test_the_weakest_leg_sets_the_proof_of_each():
    example = legs("chain", "thin") + item(
        "thin", size='"5/16 in"', working_load_limit='"5,700 lb"'
    )
    plan = Calculation(sling_of(example)).proof_plan()
    assert plan["leg"].load / POUND == pytest.approx(2 * 5700)
    assert plan["master"].load / POUND == pytest.approx(4 * 5700)


@pytest.mark.parametrize(("radius", "verdict"), [("22 mm", "open"), ("26 mm", "pass")])
def test_the_thickest_chain_counts_at_an_edge(radius, verdict):
    # twice 10 mm is 20, twice 13 mm is 26: between the two no source speaks for the 13 mm leg
    thick = item("thick", size='"1/2 in"', working_load_limit='"15,000 lb"')
    example = legs("chain", "thick") + f'[duty]\nedge_radius = "{radius}"\n' + thick
    assert run(RULES["edge-not-derated"], example).verdict == verdict


@pytest.mark.parametrize(("load", "verdict"), [("3,190 kg", "pass"), ("3,240 kg", "fail")])
def test_a_tag_row_for_an_edge_is_held_to_what_the_edge_leaves(load, verdict):
    # EN leg factor 1.0 at 60 deg from the vertical x 3,991.6 kg x 0.8 = 3,193 kg
    example = f"""
        base = "pair"
        without = ["/duty/angle/from_horizontal"]
        [assembly]
        basis = "EN"
        [duty]
        angle = {{ from_vertical = "60 deg" }}
        load = "1,000 kg"
        [tag]
        rating = [{{ hitch = "bridle", angle = {{ from_vertical = "60 deg" }}, load = "{load}",
                     edge_radius = "5 mm" }}]
    """
    assert run(RULES["tag-over-rating"], example).verdict == verdict


def test_the_part_that_gives_out_first_in_the_duty_governs_there():
    # the master's own limit of 8,000 lb governs straight; choked the chain has 0.8 x 8,800 = 7,040
    figures = Calculation(
        sling_of("""
            base = "single"
            [duty]
            hitch = "choker"
            choke_angle = "120 deg"
            load = "5,000 lb"
            [[leg]]
            ref = "a"
            chokes_in = "hook"
            [[item]]
            id = "master"
            chart = [{ leg = "chain", grade = 100, size = "3/8 in", legs = 1, limit = "8,000 lb" }]
        """)
    )
    assert figures.rating().governed_by.path == "top"
    assert figures.duty_rating().governed_by.path == "a/chain"
    assert figures.duty_rating().stated / POUND == pytest.approx(7040)


SHACKLED = """
    base = "pair"
    [[item]]
    id = "hook"
    kind = "shackle"
    design_factor = 5.0
"""
ROPES = """
    base = "rope"
    without = ["/leg/a"]
    [duty]
    hitch = "bridle"
    angle = { from_horizontal = "60 deg" }
    [[leg]]
    ref = "s"
    parts = [{ item = "eye" }, { item = "rope", length = "9 ft" }, { item = "eye" }]
    [[leg]]
    ref = "f"
    parts = [{ item = "eye" }, { item = "other", length = "9 ft" }, { item = "eye" }]
    [[item]]
    id = "other"
    kind = "wire-rope"
    diameter = "1/2 in"
    rope_grade = "EIPS"
    breaking_load = "26,600 lb"
"""


def warm(degf):
    return TemperatureRange(high=Temperature.parse(f"{degf} degF"))


def test_a_shackle_beyond_its_range_is_named():
    figures = Calculation(sling_of(SHACKLED))
    assert figures.heat(warm(400)).share == 0.85  # ASME B30.9, Table 9-1.8.1-1: grade 100
    with pytest.raises(Unstated, match=r"a1/hook: ASME B30\.26-2010, 26-1\.6\.1 .*ask the maker"):
        figures.heat(warm(401))
    assert figures.heat(warm(1001)) is None  # beyond what the chain may be used at


def test_no_shackle_bounds_the_heat_of_an_en_sling():
    en = SHACKLED + '[assembly]\nbasis = "EN"\n[[item]]\nid = "chain"\ngrade = 8'
    assert Calculation(sling_of(en)).heat(warm(700)).share == 0.75  # 371 degC: EN 818-6


def test_what_the_rate_sheet_says_of_heat_ends_with_the_shackles():
    ranges = Calculation(sling_of(SHACKLED)).heat_ranges()
    assert [words for words, *_ in ranges] == ["above -40 degF, under 400 degF", "up to 400 degF"]
    low = Calculation(sling_of('base = "rope"')).heat_ranges()
    assert low == (("IWRC core wire rope, -60 degF to 400 degF", 1.0, 1.0),)
    shackled = 'base = "rope"\n[[item]]\nid = "rope-hook"\nkind = "shackle"\ndesign_factor = 5'
    ((words, *_),) = Calculation(sling_of(shackled)).heat_ranges()
    assert words == "IWRC core wire rope with shackles, -40 degF to 400 degF"


@pytest.mark.parametrize(
    ("core", "degf", "verdict"),
    [
        # steel core: beyond 400 degF the maker; fiber: beyond 200 degF out of service
        ("fiber", 200, "pass"),
        ("fiber", 300, "fail"),
        ("fiber", 500, "fail"),
        ("IWRC", 500, "open"),
        ("papyrus", 300, "open"),
    ],
)
def test_what_is_not_permitted_is_so_whatever_else_is_not_known(core, degf, verdict):
    example = ROPES + f'core = "{core}"\n[duty.temperature]\nhigh = "{degf} degF"'
    assert run(RULES["temperature-not-permitted"], example).verdict == verdict


def test_the_factor_of_a_rope_and_its_eyes_without_a_limit_is_told_once():
    """unrated-component says that the rope has no breaking load; the eyes are rated by it."""
    bare = 'base = "rope"\nwithout = ["/item/rope/breaking_load"]'
    said = run(RULES["design-factor-short"], bare)
    assert said.verdict == "open"
    assert [one.part for one in said.judgment.missing] == ["a/rope"]
