"""The figures at, just under and just over each limit of their own, worked by hand."""

from __future__ import annotations

import pytest

from riglint import figures
from riglint.figures.adjustment import first_link, links_needed, pocket_reach
from riglint.figures.choke import choke_share
from riglint.figures.designation import Designation, decode
from riglint.figures.edge import edge_share
from riglint.figures.hook_entry import Obstacle, entry_faults
from riglint.figures.plausibility import (
    Span,
    Use,
    blamed,
    borne_by_link,
    chain_spans,
    contradictions,
    link_faults,
    most_by_steel,
)
from riglint.figures.rating import (
    chart_tension,
    en_leg_factor,
    leg_factor,
    listed_angle,
    rounded_half_up,
)
from riglint.figures.removal import (
    Limit,
    bar_limits,
    longest,
    most_twist,
    removal_card,
    widest_throat,
)
from riglint.figures.seating import fits, seat_angle
from riglint.figures.sharing import effective_legs, leg_tension
from riglint.figures.temperature import (
    AskTheMaker,
    HeatEffect,
    heat_effect,
    heat_limits,
    heat_ranges,
)
from riglint.quantities import Length
from riglint.tables import table

INCH = 25.4
EN_HEAT = table("en-chain-temperature")
US_HEAT = table("us-chain-temperature")


def degf(degrees):
    return (degrees - 32) / 1.8


# Adjustment


@pytest.mark.parametrize(
    ("height", "start", "pitch", "link"),
    [
        pytest.param(-50, 50, 30, 2, id="nothing to span: never the link that holds the coupling"),
        pytest.param(0, 30, 30, 2, id="one pitch: one link before it"),
        pytest.param(0, 30.1, 30, 3, id="just over a pitch"),
        pytest.param(-75, 10, 30, 4, id="below the start: 65 / 30 = 2.17, three before it"),
        # 0.1 + 0.2 is 0.30000000000000004: still three pitches of 0.1
        pytest.param(0.1, 0.2, 0.1, 4, id="three pitches but for the last binary digit"),
    ],
)
def test_the_first_link_follows_those_that_span_the_way(height, start, pitch, link):
    assert first_link(height, start, pitch) == link


def test_the_reach_with_a_link_in_the_pocket_and_back():
    # 1000 - 60 - 70 - (6 - 1/2) x 30 = 705
    assert pocket_reach(1000, 60, 70, 30, 6) == pytest.approx(705)
    assert links_needed(1000, 60, 70, 30, 705) == pytest.approx(6)


# Shares that a hitch and an edge leave


@pytest.mark.parametrize(("angle", "share"), [(180, 0.8), (120, 0.8), (119.99, None)])
def test_a_choker_leaves_four_fifths_from_120_deg_up(angle, share):
    assert choke_share(angle) == share


@pytest.mark.parametrize(
    ("radius", "share"), [(100, 1.0), (20, 1.0), (19.99, None), (10, None), (9.99, 0.8), (0, 0.8)]
)
def test_an_edge_of_twice_the_chain_takes_nothing_off(radius, share):
    assert edge_share(radius, 10) == share


# Sling letters


@pytest.mark.parametrize(
    ("letters", "text"),
    [
        ("DOS", "DOS"),
        ("SPG", "SPG"),
        (" tof ", "TOF"),
        ("AQOL", "AQOL"),
        ("QOLA", "AQOL"),  # adjustable may be said last
        ("CO", "CO"),  # links at both ends: nothing below to name
        ("COS", "COS"),
        ("DO", None),  # two legs that end in nothing
    ],
)
def test_letters_are_written_as_they_are_read(letters, text):
    said = decode(letters)
    assert said is not None
    assert said.text == text


@pytest.mark.parametrize("letters", ["", "DOX", "XOS", "DXS", "DOSS", "D", "DOS-1"])
def test_other_letters_say_nothing(letters):
    assert decode(letters) is None


def test_a_place_without_a_letter_is_none():
    assert decode("CO") == Designation("C", "O", None, False)


@pytest.mark.parametrize(
    "built",
    [
        Designation(None, "O", "S", False),
        Designation("D", None, "S", False),
        Designation("D", "O", None, False),
        Designation(None, "O", None, False),
    ],
)
def test_letters_with_a_place_unknown_are_not_written(built):
    assert built.text is None


def test_letters_differ_place_by_place():
    fixed, set_to = Designation("D", "O", "S", False), Designation("Q", "P", "G", True)
    assert list(fixed.differences(set_to)) == [
        ("legs", "D", "Q"),
        ("top", "O", "P"),
        ("bottom", "S", "G"),
    ]
    assert list(set_to.differences(fixed))[-1] == ("adjustable", "A", None)
    assert list(fixed.differences(fixed)) == []


def test_a_place_that_the_other_has_no_letter_for_is_not_compared():
    said, built = Designation("D", "O", None, False), Designation(None, None, None, False)
    assert list(said.differences(built)) == []
    assert list(said.differences(Designation("D", "O", "S", False))) == [("bottom", None, "S")]


# What enters and what fits


def entering(**changes):
    """A hook that just enters: 70 + 30 = 100 long inside, 50 and 20 less than 50.1 and 20.1."""
    dimensions = {
        "inside_width_mm": 50.1,
        "inside_length_mm": 100.0,
        "bar_mm": 20.0,
        "deepest_seat_mm": 30.0,
        "saddle_width_mm": 50.0,
        "saddle_height_mm": 70.0,
        "throat_mm": 20.1,
    }
    return entry_faults(**(dimensions | changes))


@pytest.mark.parametrize(
    ("changes", "faults"),
    [
        pytest.param({}, (), id="just enters"),
        pytest.param({"inside_width_mm": 50}, (Obstacle("inside width", 50, 50),), id="as wide"),
        pytest.param({"throat_mm": 20}, (Obstacle("bar", 20, 20),), id="bar as thick as the way"),
        pytest.param(
            {"inside_length_mm": 99.9},
            (Obstacle("inside length", 99.9, 100),),
            id="just too short",
        ),
        pytest.param(
            {"inside_width_mm": 40, "inside_length_mm": 90, "bar_mm": 30},
            (
                Obstacle("inside width", 40, 50),
                Obstacle("inside length", 90, 100),
                Obstacle("bar", 30, 20.1),
            ),
            id="each in its way",
        ),
    ],
)
def test_what_keeps_a_hook_out(changes, faults):
    assert entering(**changes) == faults


def test_a_seat_must_be_narrower_than_the_circle_at_its_depth():
    # 40 - 10 = 30 across; 2 asin(15 / 30) = 60; what does not go in takes the half circle
    assert seat_angle(15, 10, 40) == pytest.approx(60)
    assert fits(29.9, 10, 40)
    assert not fits(30, 10, 40)
    assert seat_angle(31, 10, 40) == seat_angle(30, 10, 40) == 180


# Steel and charts


def test_the_steel_of_a_link_on_its_two_bars():
    # 2 x pi/4 x 10^2 = 157.08 mm2 at 800 N/mm2 = 125,664 N, over 9.80665 = 12,814.1 kg
    assert figures.breaking_load(10, 80) == pytest.approx(12_814.1, abs=0.1)
    # 12,814.1 x 1.02 / 4 = 3,267.6
    assert most_by_steel(10, 80, 4.0) == pytest.approx(3_267.6, abs=0.1)


@pytest.mark.parametrize(
    ("legs", "gathers_all", "borne"),
    [(1, False, 3000), (2, False, 3000), (3, False, 2000), (4, False, 2000), (3, True, 3000)],
)
def test_an_intermediate_link_bears_two_of_the_three_legs_that_count(legs, gathers_all, borne):
    assert borne_by_link(3000, legs, gathers_all) == pytest.approx(borne)


def use(size=10.0, grade=80, legs=(2,), angle=60.0, limit=5000.0, family=("chain", 4.0)):
    return Use(family, size, grade, legs, angle, limit)


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (use(), True),
        (use(limit=1.0), True),
        (use(size=10.0000009), True),
        (use(angle=60.0000009), True),
        (use(legs=(2, 3)), True),
        (use(size=10.000002), False),
        (use(size=9.99), False),
        (use(angle=60.000002), False),
        (use(angle=45.0), False),
        (use(grade=100), False),
        (use(legs=(3,)), False),
        (use(family=("wire-rope", 5.0)), False),
    ],
)
def test_uses_are_the_same_by_all_that_they_name(other, same):
    assert use().same_as(other) is same
    assert other.same_as(use()) is same


@pytest.mark.parametrize(
    ("one", "other", "asks_more"),
    [
        pytest.param(use(), use(), False, id="the same"),
        pytest.param(use(size=13.0), use(), True, id="larger"),
        pytest.param(use(), use(size=13.0), False, id="smaller"),
        pytest.param(use(grade=100), use(), True, id="higher grade"),
        pytest.param(use(), use(grade=100), False, id="lower grade"),
        pytest.param(use(angle=90.0), use(), True, id="steeper"),
        pytest.param(use(angle=45.0), use(), False, id="flatter"),
        pytest.param(use(legs=(3, 4)), use(), True, id="more legs"),
        pytest.param(use(), use(legs=(3, 4)), False, id="fewer legs"),
        pytest.param(use(size=13.0, angle=45.0), use(), False, id="larger and flatter"),
        pytest.param(use(size=13.0, legs=(1,)), use(), False, id="larger, fewer legs"),
        pytest.param(use(size=13.0, grade=43), use(), False, id="larger of lower grade"),
        pytest.param(use(size=13.0, family=("rope",)), use(), False, id="of another family"),
        # two legs at 30 deg carry 2 sin 30 = 1: what one straight leg carries; flatter, less
        pytest.param(use(angle=30.0), use(legs=(1,), angle=90.0), True, id="two legs for one"),
        pytest.param(use(angle=29.9), use(legs=(1,), angle=90.0), False, id="flatter than that"),
        pytest.param(use(legs=(1, 2), angle=30.0), use(legs=(1,), angle=90.0), True, id="or two"),
        pytest.param(use(legs=(3, 4), angle=45.0), use(legs=(1, 2)), False, id="one or two legs"),
        pytest.param(use(legs=(1, 3)), use(), True, id="one or three legs for two"),
        pytest.param(use(), use(legs=(1, 3)), False, id="two legs for one or three"),
        # one leg against one leg is compared by its own angle
        pytest.param(
            use(size=13.0, legs=(1,), angle=60.0),
            use(legs=(1,), angle=90.0),
            False,
            id="one leg, flatter",
        ),
        # rounding on the size and the angle
        pytest.param(use(size=9.9999995, grade=100), use(), True, id="as large but for rounding"),
        pytest.param(use(angle=59.9999995, grade=100), use(), True, id="as steep but for rounding"),
    ],
)
def test_which_use_carries_at_least_as_much(one, other, asks_more):
    assert one.asks_more_than(other) is asks_more


@pytest.mark.parametrize(
    ("uses", "named"),
    [
        pytest.param([], [], id="nothing"),
        # limits are rounded: 0.5 % of 5,000 is 25
        pytest.param([use(), use(size=13.0, limit=4976.0)], [], id="less by rounding"),
        pytest.param([use(), use(size=13.0, limit=4975.0)], [], id="less by just the rounding"),
        pytest.param([use(), use(size=13.0, limit=4974.0)], [(1, 0)], id="less than it may"),
        pytest.param([use(size=13.0, limit=4974.0), use()], [(0, 1)], id="the other way round"),
        pytest.param([use(), use(limit=5010.0)], [], id="twice, differing by rounding"),
        pytest.param([use(), use(limit=5100.0)], [(1, 0)], id="twice with another limit"),
        pytest.param([use(), use(limit=4900.0)], [(1, 0)], id="twice with a lesser limit"),
        pytest.param([use(), use(size=8.0, limit=3000.0)], [], id="less for a smaller chain"),
    ],
)
def test_charts_that_contradict_themselves(uses, named):
    assert list(contradictions(uses)) == named


def test_repeats_are_left_out_where_they_are_another_matter():
    assert list(contradictions([use(), use(limit=5100.0)], repeats=False)) == []


@pytest.mark.parametrize(
    ("pairs", "named"),
    [
        pytest.param([], [], id="none"),
        pytest.param([(3, 1)], [(3, 1)], id="of two the first"),
        pytest.param([(1, 3)], [(1, 3)], id="of two the first, told the other way"),
        pytest.param([(0, 2), (1, 2)], [(2, 0)], id="one that two speak against"),
        pytest.param([(2, 0), (2, 1)], [(2, 0)], id="one that speaks against two"),
        pytest.param([(0, 1), (2, 3)], [(0, 1), (2, 3)], id="two matters"),
        pytest.param(
            [(0, 4), (1, 4), (2, 4), (2, 3)], [(4, 0), (2, 3)], id="the worst, then what is left"
        ),
    ],
)
def test_the_fewest_entries_that_explain_all_are_blamed(pairs, named):
    assert list(blamed(pairs)) == named


@pytest.mark.parametrize(
    ("basis", "pitch", "width"),
    # a 10 mm chain: EN 3 d +/- 3 % and 1.25 d to 1.8 d; US to 3.3 d and 1.53 d
    [("EN", (29.1, 30.9), (12.5, 18.0)), ("US", (29.1, 33.0), (12.5, 15.3))],
)
def test_the_proportions_of_lifting_chain(basis, pitch, width):
    spans = chain_spans(basis, 10)
    assert (spans["pitch"].least, spans["pitch"].most) == pytest.approx(pitch)
    assert (spans["bar"].least, spans["bar"].most) == pytest.approx((9.5, 10.5))
    assert (spans["inside_width"].least, spans["inside_width"].most) == pytest.approx(width)
    assert ("EN 818-3" in spans["pitch"].source) is (basis == "EN")
    assert "EN 818-3" in spans["bar"].source


@pytest.mark.parametrize(
    ("value", "held"),
    # 0.13 mm, half a hundredth of an inch, either way
    [(9.86, False), (9.871, True), (10, True), (12, True), (12.129, True), (12.14, False)],
)
def test_a_span_holds_what_was_rounded_to_hundredths_of_an_inch(value, held):
    assert Span(10, 12, "a table").holds(value) is held


@pytest.mark.parametrize(
    ("link", "more", "found"),
    [
        pytest.param((20, 60, 100), {}, [], id="sound"),
        pytest.param((60, 60, 100), {}, ["bar"], id="bar as thick as it is wide"),
        pytest.param((59.9, 60, 100), {}, [], id="bar just goes through"),
        pytest.param((20, 100, 100), {}, [], id="as long as wide"),
        pytest.param((20, 100, 99.9), {}, ["inside_length"], id="just shorter than wide"),
        # a ring may be out of round by 5 %: 100 to 105
        pytest.param((20, 100, 105), {"ring": True}, [], id="round enough"),
        pytest.param((20, 100, 105.1), {"ring": True}, ["inside_length"], id="out of round"),
        pytest.param((20, 100, 106), {}, [], id="no ring"),
        pytest.param((20, 60, 100), {"flat_mm": 20}, [], id="flat as thick as the bar"),
        pytest.param((20, 60, 100), {"flat_mm": 20.1}, ["flat"], id="flat thicker than the bar"),
    ],
)
def test_what_makes_a_link_impossible(link, more, found):
    assert [what for what, *_ in link_faults(*link, **more)] == found


def test_an_impossible_link_is_named_with_both_dimensions():
    assert list(link_faults(70, 60, 50, flat_mm=80)) == [
        ("bar", 70, 60),
        ("inside_length", 50, 60),
        ("flat", 80, 70),
    ]


# Ratings


@pytest.mark.parametrize(
    ("basis", "angle", "rates"),
    [
        ("US", 90, 90),
        ("US", 85, 90),  # 29 CFR 1910.184(b): within 5 deg of the vertical
        ("US", 84.9, 60),
        ("US", 60, 60),
        ("US", 59.9999, 45),
        ("US", 45, 45),
        ("US", 44.9, 30),
        ("US", 30, 30),
        ("US", 29.9, 29.9),
        ("EN", 90, 45),
        ("EN", 45, 45),
        ("EN", 44.9, 30),
        ("EN", 30, 30),
        ("EN", 29.9, 29.9),
    ],
)
def test_an_angle_is_rated_by_the_next_lower_listed_one(basis, angle, rates):
    assert listed_angle(angle, basis) == rates


def test_a_listed_angle_missed_by_rounding_is_met():
    assert listed_angle(60 - 1e-10, "US") == 60
    assert listed_angle(60 - 1e-8, "US") == 45


@pytest.mark.parametrize(
    ("legs", "angle", "factor"),
    [
        # EN 818-4, Table 3; flatter than 60 deg from the vertical n sin: 2 sin 20 = 0.684
        (1, 90, 1.0),
        (1, 45, 1.0),
        (2, 60, 1.4),
        (2, 45, 1.4),
        (2, 44.9, 1.0),
        (2, 30, 1.0),
        (3, 45, 2.1),
        (3, 30, 1.5),
        (2, 20, 0.68404),
        (3, 20, 1.02606),
    ],
)
def test_en_leg_factors(legs, angle, factor):
    assert en_leg_factor(legs, angle) == pytest.approx(factor, abs=1e-5)
    assert leg_factor("EN", legs, angle) == en_leg_factor(legs, angle)


def test_us_leg_factors_are_the_sine():
    # 2 sin 60 = 1.73205, 3 sin 45 = 2.12132
    assert leg_factor("US", 2, 60) == pytest.approx(1.73205, abs=1e-5)
    assert leg_factor("US", 3, 45) == pytest.approx(2.12132, abs=1e-5)


def test_a_row_with_its_published_cell_stands_for_the_single_leg_in_proportion():
    # 8,800 x 7,600 / 15,200 = 4,400; without cell or single leg 15,200 / 1.9 = 8,000
    assert chart_tension(7600, 1.9, 15_200, 8800) == pytest.approx(4400)
    assert chart_tension(15_200, 1.9, None, 8800) == pytest.approx(8000)
    assert chart_tension(15_200, 1.9, 15_200, None) == pytest.approx(8000)
    assert chart_tension(15_200, 1.9, None, None) == pytest.approx(8000)


@pytest.mark.parametrize(
    ("value", "step", "rounded"),
    [
        (15_249, 100, 15_200),
        (15_250, 100, 15_300),
        (15_349, 100, 15_300),
        # 1.005 / 0.01 is 100.49999999999999 in binary: a half still
        (1.005, 0.01, 1.01),
    ],
)
def test_halves_are_rounded_up(value, step, rounded):
    assert rounded_half_up(value, step) == pytest.approx(rounded)


@pytest.mark.parametrize(("loaded", "counted"), [(1, 1), (2, 2), (3, 3), (4, 3)])
def test_three_of_four_legs_count(loaded, counted):
    assert effective_legs(loaded) == counted


def test_two_of_four_legs_count_for_an_uneven_load_and_three_stay_three():
    assert effective_legs(4, 2) == 2
    assert effective_legs(3, 2) == 3


@pytest.mark.parametrize("legs", [-1, 0, 5])
def test_no_other_number_of_legs_shares_a_load(legs):
    with pytest.raises(ValueError, match=f"over {legs} legs"):
        effective_legs(legs)


def test_the_pull_in_a_leg_is_the_load_over_its_factor():
    assert leg_tension(3000, 1.5) == 2000


# Removal from service


@pytest.mark.parametrize(
    ("at_limit", "found", "undercut", "exceeded"),
    [
        # beyond the limit alone, but for a rounding of 1e-9
        (False, 10, False, False),
        (False, 9.999, True, False),
        (False, 10.001, False, True),
        (False, 10 - 5e-9, False, False),
        (False, 10 + 5e-9, False, False),
        (False, 10 - 2e-8, True, False),
        (False, 10 + 2e-8, False, True),
        # once it is reached
        (True, 10, True, True),
        (True, 9.999, True, False),
        (True, 10.001, False, True),
        (True, 10 + 5e-9, True, True),
        (True, 10 - 5e-9, True, True),
        (True, 10 + 2e-8, False, True),
        (True, 10 - 2e-8, True, False),
    ],
)
def test_a_limit_is_passed_at_it_or_beyond_it(at_limit, found, undercut, exceeded):
    limit = Limit(Length(10), "a table", at_limit)
    assert limit.undercut_by(found) is undercut
    assert limit.exceeded_by(found) is exceeded


@pytest.mark.parametrize(
    ("kind", "basis", "at_limit", "source"),
    [
        ("chain", "EN", False, "DIN 685"),
        ("coupling-link", "EN", False, "DIN 685"),
        ("master-link", "EN", False, "DIN 685"),
        ("shackle", "US", True, "WAC 296-155-33900"),
        ("master-link", "US", True, "B30.26"),
        ("sling-hook", "US", False, "WAC"),
        ("sling-hook", "EN", False, "Queensland"),
    ],
)
def test_a_tenth_of_the_section_may_wear_away(kind, basis, at_limit, source):
    limits = bar_limits(kind, basis, 20)
    assert limits.kept.value == pytest.approx(18)  # 20 x 0.9
    assert limits.kept.at_limit is at_limit
    assert source in limits.kept.source
    assert limits.removed == limits.kept
    assert limits.remembered is None


def test_a_part_that_no_source_speaks_of_has_no_wear_limit():
    with pytest.raises(LookupError, match="how far a wire rope may wear"):
        bar_limits("wire-rope", "US", 10)


@pytest.mark.parametrize(
    ("size", "removed", "remembered"),
    [
        # inches of Table N-184-1, rows 3/8 in (10 mm) and 1/4 in, and of memory
        pytest.param(10, 19 / 64, 0.342, id="its own row"),
        pytest.param(8, 13 / 64, 0.273, id="5/16 in by the row of 1/4 in"),
        pytest.param(12, 19 / 64, None, id="no US size, by the row of 3/8 in"),
        pytest.param(5.5, None, 0.189, id="7/32 in, smaller than all rows"),
    ],
)
def test_us_chain_goes_by_the_row_of_its_size_or_the_next_smaller(size, removed, remembered):
    limits = bar_limits("chain", "US", size)
    assert limits.kept.value == pytest.approx(size * 0.9)
    for limit, inches in ((limits.removed, removed), (limits.remembered, remembered)):
        if inches is None:
            assert limit is None
        else:
            assert limit is not None
            assert limit.value == pytest.approx(inches * INCH)


@pytest.mark.parametrize(
    ("basis", "by", "length", "at_limit"),
    [
        # ten links of 30 mm are 300: 5 % 315, 3 % 309, 10 % 330
        ("US", "cargo-chain", 315, False),
        ("US", "course", 309, True),
        ("US", "queensland", 330, True),
        ("EN", "course", 315, True),
    ],
)
def test_how_long_chain_may_stretch(basis, by, length, at_limit):
    limit = longest(basis, 30, 10, by)
    assert limit.value == pytest.approx(length)
    assert limit.at_limit is at_limit


@pytest.mark.parametrize(
    ("throat", "by", "widest"),
    [
        # 5 % of 100 is 5; of 200 it is 10, and 1/4 in = 6.35 is the most; 15 % has no most
        (100, "5-percent", 105),
        (200, "5-percent", 206.35),
        (200, "15-percent", 230),
    ],
)
def test_how_wide_a_throat_may_open(throat, by, widest):
    assert widest_throat(throat, by).value == pytest.approx(widest)


@pytest.mark.parametrize(
    ("kind", "by", "degrees"),
    [("sling-hook", "any", 0), ("sling-hook", "10-deg", 10), ("chain", "10-deg", 0)],
)
def test_only_a_hook_may_be_twisted_and_by_choice_alone(kind, by, degrees):
    assert most_twist(kind, by).value == degrees


@pytest.mark.parametrize(
    ("kind", "smallest", "longest_mm", "throat"),
    [
        # bar 20 x 0.9, ten pitches of 30 and 5 %, throat 100 and 5 %
        ("chain", 18, 315, None),
        ("sling-hook", 18, None, 105),
        ("master-link", 18, None, None),
        ("wire-rope", None, None, None),
    ],
)
def test_a_card_has_the_limits_that_a_kind_of_part_has(kind, smallest, longest_mm, throat):
    card = removal_card(kind, "EN", bar_mm=20, pitch_mm=30, throat_mm=100)
    found = (card.smallest_bar, card.longest, card.widest_throat)
    for limit, value in zip(found, (smallest, longest_mm, throat), strict=True):
        assert (limit is None) is (value is None)
        assert limit is None or limit.value == pytest.approx(value)


@pytest.mark.parametrize("kind", ["chain", "sling-hook"])
def test_a_card_of_no_dimensions_has_no_limits(kind):
    card = removal_card(kind, "US")
    assert (card.smallest_bar, card.longest, card.widest_throat) == (None, None, None)


def test_a_card_goes_by_the_choices_and_the_links_asked_for():
    card = removal_card("chain", "US", bar_mm=10, pitch_mm=30, links=5, stretch_by="queensland")
    assert card.smallest_bar is not None
    assert card.longest is not None
    assert card.smallest_bar.value == pytest.approx(9)  # kept by DIN 685: 10 x 0.9
    assert card.longest.value == pytest.approx(165)  # 5 x 30 x 1.1
    hook = removal_card("sling-hook", "US", throat_mm=200, throat_by="15-percent")
    assert hook.widest_throat is not None
    assert hook.widest_throat.value == pytest.approx(230)  # 200 x 1.15


# Temperature


@pytest.mark.parametrize(
    ("low", "high", "hot", "after"),
    [
        # ASME B30.9, Table 9-1.8.1-1, grade 100: percent off hot, and for good
        (None, None, 0, 0),
        (0, 20, 0, 0),
        (degf(-39), degf(399), 0, 0),
        (None, degf(400), 15, 0),
        (None, degf(401), 25, 5),
        (None, degf(500), 25, 5),
        (None, degf(501), 30, 15),
        (None, degf(1000), 70, 35),
    ],
)
def test_what_heat_leaves_of_us_chain(low, high, hot, after):
    effect = heat_effect(US_HEAT, 100, low, high)
    assert effect is not None
    assert effect.while_hot == pytest.approx(1 - hot / 100)
    assert effect.afterwards == pytest.approx(1 - after / 100)


def test_us_chain_leaves_service_over_1000_degf():
    assert heat_effect(US_HEAT, 100, None, degf(1000.1)) is None


@pytest.mark.parametrize("low", [-40, -41])
def test_at_40_degf_below_zero_the_maker_is_asked(low):
    with pytest.raises(AskTheMaker, match="-40 degF and below"):
        heat_effect(US_HEAT, 100, degf(low), None)


@pytest.mark.parametrize(
    ("grade", "low", "high", "share"),
    [
        # EN 818-6: grade 8 to 200, 300, 400 degC, no further; grade 4 to 475
        (80, -40, 200, 1.0),
        (80, None, 201, 0.9),
        (80, None, 300, 0.9),
        (80, None, 400, 0.75),
        (80, None, 401, None),
        (80, None, 475, None),
        (40, None, 475, 0.5),
        (40, None, 475.1, None),
        (80, -40.1, 20, None),
        (80, -40.1, None, None),
        (80, -40, None, 1.0),
    ],
)
def test_what_heat_leaves_of_en_chain(grade, low, high, share):
    expected = None if share is None else HeatEffect(share, 1.0)
    assert heat_effect(EN_HEAT, grade, low, high) == expected


def test_a_grade_without_a_column_has_no_figures():
    for ask in (lambda: heat_effect(EN_HEAT, 100, None, 20), lambda: heat_ranges(EN_HEAT, 100)):
        with pytest.raises(LookupError, match="no temperatures for grade 100"):
            ask()


def test_the_ranges_of_a_table_in_words():
    us, en = heat_ranges(US_HEAT, 80), heat_ranges(EN_HEAT, 80)
    assert us[0] == ("above -40 degF, under 400 degF", 1.0, 1.0)
    assert us[1] == ("up to 400 degF", pytest.approx(0.9), 1.0)
    assert us[-1] == ("up to 1,000 degF", pytest.approx(0.4), 0.75)
    assert len(us) == 8
    assert en == (
        ("up to 200 degC", 1.0, 1.0),
        ("up to 300 degC", 0.9, 1.0),
        ("up to 400 degC", 0.75, 1.0),
    )


@pytest.mark.parametrize(
    ("published", "grade", "low", "high"),
    # -40 is the same in both; (1000 - 32) / 1.8 = 537.8
    [(EN_HEAT, 80, -40, 400), (EN_HEAT, 40, -40, 475), (US_HEAT, 100, -40, 537.8)],
)
def test_the_coldest_and_hottest_that_a_grade_may_be(published, grade, low, high):
    assert heat_limits(published, grade) == pytest.approx((low, high), abs=0.05)
