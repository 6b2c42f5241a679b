"""The figures of rope, textiles and hardware at, just under and just over each limit, by hand."""

from __future__ import annotations

import pickle

import pytest

from riglint.figures.choke import choke_angle_share, choker_share
from riglint.figures.hardware import (
    angle_share,
    shackle_design_factor,
    shackle_heat,
    shackle_side_share,
)
from riglint.figures.removal import bar_limits, broken_wires_limit, outer_wire_least
from riglint.figures.rope import (
    bend_efficiency,
    clear_length_least,
    core_kind,
    en_rated_breaking,
    en_termination,
    rope_limit,
    steel_core_breaking,
    us_splice_efficiency,
)
from riglint.figures.temperature import AskTheMaker, HeatEffect, rope_heat, textile_heat
from riglint.figures.textile import (
    color_agrees,
    color_limit,
    en_mode_factor,
    material_named,
    not_borne,
    web_eye_angle,
    web_may_bear,
)
from riglint.model import AngleLimit, Factor
from riglint.quantities import Angle
from riglint.tables import Sourced, rope_table, table

INCH = 25.4
FULL = HeatEffect(1.0, 1.0)


def degf(degrees):
    return (degrees - 32) / 1.8


# Published numbers


def test_a_published_number_keeps_its_source():
    number = table("us-rope-splice").figure({"share": 0.95}, "share")
    assert number == 0.95
    assert number.source == "Trade association's manual of wire rope slings, table 4 (second-hand)"
    assert not number.from_memory
    assert (number * 2, (number * 2).source) == (1.9, number.source)


def test_a_row_speaks_for_itself_where_it_has_a_source():
    row = {"times": 20, "source": "EN 13414-1", "obtained": "from memory"}
    number = table("rope-lengths").figure(row, "times")
    assert (number.source, number.from_memory) == ("EN 13414-1 (from memory)", True)
    plain = table("rope-lengths").figure({"times": 1, "source": "a page"}, "times")
    assert (plain.source, plain.obtained) == ("a page", "retrieved")


def test_a_published_number_travels_between_processes():
    number = Sourced(0.8, "a page", "second-hand")
    again = pickle.loads(pickle.dumps(number))
    assert (again, again.source, again.obtained) == (0.8, "a page", "second-hand")


def test_a_diameter_that_the_table_lacks_has_no_load():
    known = rope_table("EN")
    assert known.single(15) is None
    assert known.cell(26, 2, 60.0) is None
    assert 15 not in known.choked_loops


# Rope


def test_the_limit_of_a_rope():
    # 12,000 kg x 0.95 / 5 = 2,280 kg
    assert rope_limit(12_000, 0.95, 5.0) == pytest.approx(2280)


def test_the_breaking_load_of_a_steel_cored_rope():
    # 0.356 x 26^2 x 1770 = 425,960 N; / 9.80665 = 43,436 kg; grade 1960: x 1960 / 1770 = 48,099 kg
    assert steel_core_breaking(26) == pytest.approx(43_436, abs=1)
    assert steel_core_breaking(26, 1960) == pytest.approx(48_099, abs=1)


@pytest.mark.parametrize(
    ("written", "kind"),
    [("IWRC", "steel"), (" iwrc ", "steel"), ("WSC", "steel"), ("FC", "fiber"), ("Fibre", "fiber")],
)
def test_cores(written, kind):
    assert core_kind(written) == kind


@pytest.mark.parametrize("written", ["", "rubber", "IWRC or fiber"])
def test_a_core_that_is_not_known(written):
    with pytest.raises(LookupError, match="core"):
        core_kind(written)


@pytest.mark.parametrize(
    ("grade", "kilograms"),
    [("1570", 1000), ("1770", 1000), ("1771", 999.435), ("1960", 903.061), (" 2160 ", 819.444)],
)
def test_en_rope_counts_as_1770_at_most(grade, kilograms):
    # 1000 x 1770 / 1771 = 999.435, / 1960 = 903.061, / 2160 = 819.444
    assert en_rated_breaking(1000, grade) == pytest.approx(kilograms, abs=0.001)


@pytest.mark.parametrize("grade", ["EIPS", "", "0", "-1770", "1.77e3", "177", "17700"])
def test_a_grade_that_is_no_strength(grade):
    with pytest.raises(LookupError, match="no strength"):
        en_rated_breaking(1000, grade)


@pytest.mark.parametrize("splice", ["swaged", "glued"])
def test_an_end_that_no_source_has(splice):
    with pytest.raises(LookupError, match=splice):
        en_termination(splice)


@pytest.mark.parametrize(
    ("grade", "core", "mm", "splice", "share"),
    [
        pytest.param("IPS", "IWRC", 25.4, "mechanical", 0.95, id="1 in"),
        pytest.param("IPS", "IWRC", 25.42, "mechanical", 0.925, id="just over 1 in"),
        pytest.param("IPS", "IWRC", 50.8, "mechanical", 0.925, id="2 in"),
        pytest.param("IPS", "IWRC", 50.82, "mechanical", 0.90, id="just over 2 in"),
        pytest.param("IPS", "IWRC", 6.35, "mechanical", 0.95, id="1/4 in"),
        pytest.param("IPS", "IWRC", 6.33, "mechanical", None, id="just under 1/4 in"),
        pytest.param("IPS", "FC", 25.42, "mechanical", 0.90, id="fiber, just over 1 in"),
        pytest.param("IPS", "FC", 50.82, "mechanical", None, id="fiber, just over 2 in"),
        pytest.param("EIPS", "FC", 25.4, "mechanical", None, id="EIPS with a fiber core"),
        pytest.param("EEIPS", "IWRC", 25.4, "mechanical", None, id="EEIPS"),
        pytest.param("1770", "IWRC", 25.4, "mechanical", None, id="a metric grade"),
        pytest.param(" eips ", "iwrc", 25.4, "mechanical", 0.95, id="as written on a sheet"),
        pytest.param("stainless 304", "IWRC", 25.4, "mechanical", 0.95, id="stainless"),
        pytest.param("EEIPS", "FC", 60, "poured", 1.0, id="a socket keeps all of any rope"),
        pytest.param("IPS", "IWRC", 25.4, "hand", None, id="spliced by hand"),
        pytest.param("IPS", "IWRC", 25.4, "swaged", None, id="swaged on"),
    ],
)
def test_us_splice_efficiency(grade, core, mm, splice, share):
    if share is None:
        with pytest.raises(LookupError, match="has no"):
            us_splice_efficiency(grade, core, mm, splice)
    else:
        assert us_splice_efficiency(grade, core, mm, splice) == share


def test_bends():
    # 1 - 0.5 / 1, 1 - 0.5 / 2, 1 - 0.5 / 5
    assert [bend_efficiency(ratio) for ratio in (1, 4, 25)] == pytest.approx([0.5, 0.75, 0.9])
    with pytest.raises(ValueError, match="own diameter"):
        bend_efficiency(0.999)


def test_en_says_nothing_of_braided_rope():
    with pytest.raises(LookupError, match="braided"):
        clear_length_least("EN", 10, braided=True)


# Chokers


@pytest.mark.parametrize(
    ("degrees", "share"),
    [
        (180, 1.0),
        (120.1, 1.0),
        (120, 0.87),
        (90, 0.87),
        (89.9, 0.74),  # between two printed bands: the lower share
        (60, 0.74),
        (59.9, 0.62),
        (30, 0.62),
        (29.9, 0.49),
        (0, 0.49),
    ],
)
def test_the_angle_of_choke(degrees, share):
    assert choke_angle_share(degrees) == share


@pytest.mark.parametrize("fiber", ["manila", "Sisal", "hemp"])
def test_rope_of_natural_fiber_is_choked_to_half(fiber):
    assert choker_share("fiber-rope", "US", fiber) == 0.5


@pytest.mark.parametrize(
    ("kind", "basis", "made_of"),
    [
        ("web", "US", "polyester"),
        ("roundsling", "US", None),
        ("fiber-rope", "US", "nylon"),
        ("fiber-rope", "US", None),
        ("fiber-rope", "EN", "manila"),
        ("chain", "US", None),
    ],
)
def test_a_choker_share_that_no_document_seen_has(kind, basis, made_of):
    with pytest.raises(LookupError, match="tag"):
        choker_share(kind, basis, made_of)


# Heat and cold


@pytest.mark.parametrize(
    ("core", "low", "high", "expected"),
    [
        pytest.param("FC", None, degf(200), FULL, id="fiber, at"),
        pytest.param("FC", None, degf(200.1), None, id="fiber, just over"),
        pytest.param("FC", degf(-60), None, FULL, id="fiber, cold, at"),
        pytest.param("FC", degf(-60.1), None, "ask", id="fiber, just under"),
        pytest.param("FC", degf(-61), degf(201), None, id="fiber, too hot and too cold"),
        pytest.param("IWRC", degf(-60), degf(400), FULL, id="steel, at both"),
        pytest.param("IWRC", None, degf(400.1), "ask", id="steel, just over"),
        pytest.param("IWRC", degf(-60.1), None, "ask", id="steel, just under"),
        pytest.param("IWRC", None, None, FULL, id="no range"),
    ],
)
def test_rope_heat(core, low, high, expected):
    if expected == "ask":
        with pytest.raises(AskTheMaker, match="-60 degF to"):
            rope_heat("US", core, low, high)
    else:
        assert rope_heat("US", core, low, high) == expected


@pytest.mark.parametrize(
    ("basis", "material", "low", "high", "expected"),
    [
        pytest.param("US", "Nylon", None, degf(180), FULL, id="US nylon, at"),
        pytest.param("US", "nylon", None, degf(180.1), None, id="US nylon, just over"),
        pytest.param("US", "nylon", degf(-40), None, FULL, id="US cold, at"),
        pytest.param("US", "nylon", degf(-40.1), None, "ask", id="US cold, from memory only"),
        pytest.param("US", "nylon", degf(-41), degf(181), None, id="US, too hot and too cold"),
        pytest.param("US", "PP", None, degf(200), FULL, id="US polypropylene, at"),
        pytest.param("US", "PP", None, degf(200.1), None, id="US polypropylene, just over"),
        pytest.param("EN", "PES", -40, 100, FULL, id="EN polyester, at both"),
        pytest.param("EN", "PES", -40.1, 20, None, id="EN polyester, just under"),
        pytest.param("EN", "PA", 0, 100.1, None, id="EN polyamide, just over"),
        pytest.param("EN", "PP", 0, 80, FULL, id="EN polypropylene, at"),
        pytest.param("EN", "PP", 0, 80.1, None, id="EN polypropylene, just over"),
    ],
)
def test_textile_heat(basis, material, low, high, expected):
    if expected == "ask":
        with pytest.raises(AskTheMaker):
            textile_heat(basis, material, low, high)
    else:
        assert textile_heat(basis, material, low, high) == expected


@pytest.mark.parametrize("material", ["manila", "aluminium", ""])
def test_heat_of_what_no_table_has(material):
    with pytest.raises(LookupError):
        textile_heat("US", material, 0, 20)


@pytest.mark.parametrize(
    ("low", "high", "asks"),
    [(-40, 400, False), (-40.1, 20, True), (0, 400.1, True), (None, None, False)],
)
def test_shackles_in_heat(low, high, asks):
    ends = [None if end is None else degf(end) for end in (low, high)]
    if asks:
        with pytest.raises(AskTheMaker):
            shackle_heat(*ends)
    else:
        assert shackle_heat(*ends) == FULL


# Textiles


@pytest.mark.parametrize(
    ("hitch", "legs", "angle", "factor"),
    [
        ("straight", 1, 90, 1.0),
        ("choker", 1, 90, 0.8),
        ("basket", 1, 90, 2.0),
        ("basket", 1, 89.9, 1.4),  # no longer parallel
        ("basket", 1, 45, 1.4),
        ("basket", 1, 44.9, 1.0),
        ("basket", 1, 30, 1.0),
        ("basket", 1, 29.9, None),
        ("bridle", 2, 45, 1.4),
        ("bridle", 2, 44.9, 1.0),
        ("bridle", 2, 29.9, None),
        ("bridle", 3, 90, 2.1),
        ("bridle", 3, 44.9, 1.5),
        ("bridle", 4, 30, 1.5),
        ("bridle", 4, 29.9, None),
        ("bridle", 5, 60, None),
        ("basket", 2, 60, None),
        ("choker", 2, 90, None),
    ],
)
def test_mode_factors(hitch, legs, angle, factor):
    if factor is None:
        with pytest.raises(LookupError, match="no mode factor"):
            en_mode_factor(hitch, legs, angle)
    else:
        assert en_mode_factor(hitch, legs, angle) == factor


@pytest.mark.parametrize(
    ("color", "kilograms", "agrees"),
    [
        ("red", 5000, True),
        # within 2 %: 4,900 to 5,102 kg (102 is 2 % of the larger)
        ("red", 4900, True),
        ("red", 4899, False),
        ("red", 5102, True),
        ("red", 5103, False),
        ("violet", 1019.7, True),  # 10 kN
        ("Gray", 4000, True),
        ("orange", 9799, False),
        ("orange", 10_000, True),
        ("orange", 40_000, True),
    ],
)
def test_a_color_and_its_limit(color, kilograms, agrees):
    assert color_agrees(color, kilograms) == agrees


@pytest.mark.parametrize("color", ["pink", ""])
def test_a_color_that_en_has_not(color):
    with pytest.raises(LookupError, match="no color"):
        color_limit(color)


@pytest.mark.parametrize(
    ("written", "name"),
    [("Polyamide", "nylon"), ("PA", "nylon"), ("PES", "polyester"), ("aluminum", "aluminium")],
)
def test_materials_by_their_other_names(written, name):
    assert material_named(written) == name
    assert not_borne(written) == not_borne(name)


def test_a_material_that_is_not_known():
    with pytest.raises(LookupError, match="aramid"):
        not_borne("aramid")


@pytest.mark.parametrize(
    ("length", "width", "degrees"),
    [
        (100, 100, 60.0),  # an equal-sided triangle
        (100, 199.99, 178.85),  # 2 asin 0.99995
        (100, 200, 180.0),
        (100, 300, 180.0),
        # 2 asin(w / 2L) = 20 deg where L = w / (2 sin 10 deg) = 2.8794 w
        (287.94, 100, 20.0),
    ],
)
def test_the_angle_of_a_web_eye(length, width, degrees):
    assert web_eye_angle(length, width) == pytest.approx(degrees, abs=0.01)


@pytest.mark.parametrize(
    ("width", "radius", "may"),
    [
        (75, 56.25, True),
        (75.1, 100, False),
        (75, 56.2, False),
        (40, 30, True),
        (40, 29.9, False),
        (300, None, True),
    ],
)
def test_where_a_web_eye_may_bear(width, radius, may):
    assert web_may_bear(width, radius) == may


# Hardware


@pytest.mark.parametrize(
    ("degrees", "share"),
    [(0, 1.0), (5, 1.0), (5.1, 0.7), (45, 0.7), (45.1, 0.5), (90, 0.5), (90.1, None)],
)
def test_side_loads(degrees, share):
    assert shackle_side_share(degrees) == share


def test_the_design_factor_falls_above_the_largest_shackles():
    # 150 short tons are 136,077.711 kg
    assert shackle_design_factor(136_077.71) == 5.0
    assert shackle_design_factor(136_078) == 4.0


LIMITS = (AngleLimit(Angle(45), Factor(0.5)), AngleLimit(Angle(15), Factor(0.8)))


@pytest.mark.parametrize(
    ("degrees", "share"),
    [(0, 0.8), (15, 0.8), (15.1, 0.5), (45, 0.5), (45.1, None)],
)
def test_an_item_by_its_own_rows(degrees, share):
    assert angle_share(LIMITS, degrees) == share
    assert angle_share(LIMITS[::-1], degrees) == share


def test_an_item_without_rows_keeps_nothing_off_its_axis():
    assert angle_share((), 0) is None


# Removal


def test_worn_wires():
    limit = outer_wire_least(1.2)
    assert limit.value == pytest.approx(0.8)
    assert limit.undercut_by(0.8)
    assert not limit.undercut_by(0.801)


def test_broken_wires():
    assert broken_wires_limit("in one lay") == 10
    assert broken_wires_limit("in one strand of one lay") == 5
    assert broken_wires_limit("in one lay").obtained == "retrieved"


def test_a_worn_shackle():
    limit = bar_limits("shackle", "US", 20).removed
    assert (limit.value, limit.at_limit) == (18.0, True)
    assert "Table 19" in limit.source
    assert "DIN 685" in bar_limits("shackle", "EN", 20).removed.source
