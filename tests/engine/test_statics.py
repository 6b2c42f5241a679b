"""Lifts of known geometry, one by one: tolerances, swings, slack, and what has no answer."""

from __future__ import annotations

from math import atan, degrees, hypot, sqrt

import pytest

from riglint.figures import (
    DoNotMeet,
    Indeterminate,
    bar_compression,
    beam_reactions,
    by_sine_rule,
    even_bar_compression,
    hook_from_reaches,
    lift,
    stands,
)
from riglint.figures.vectors import Vector

SQUARE: list[Vector] = [(1000, 1000, 0), (1000, -1000, 0), (-1000, -1000, 0), (-1000, 1000, 0)]
PAIR: list[Vector] = [(-1000, 0, 0), (1000, 0, 0)]
TOP: Vector = (0, 0, 1000)
LOW: Vector = (0, 0, -500)
CORNER = sqrt(3) * 1000  # from a corner of the square to the top


# Each lift that has no one answer, and the legs that it is about.
OPEN_LIFTS = [
    pytest.param([(30, 0, 0)], LOW, TOP, (0,), id="one leg beside the center"),
    pytest.param(PAIR, (0, 20, -500), (0, 20, 1000), (0, 1), id="plane beside the center"),
    pytest.param([(5, 0, 0)] * 2, LOW, TOP, (0, 1), id="two legs from one pick"),
    pytest.param([(5, 0, 0), (5, 0.9, 0)], LOW, TOP, (0, 1), id="two from one pick, nearly"),
    pytest.param([(5, 0, 0)] * 4, LOW, TOP, (0, 1, 2, 3), id="four legs from one pick"),
    pytest.param([*PAIR, (0, 0, 0)], LOW, TOP, (0, 1, 2), id="three in line"),
    pytest.param([*PAIR, (300, 15, 0)], LOW, TOP, (0, 1, 2), id="three in line, nearly"),
    pytest.param([*PAIR, (-300, 0, 0), (300, 0, 0)], LOW, TOP, (0, 1, 2, 3), id="four in line"),
    pytest.param([*PAIR, (0, 0, 200)], LOW, TOP, (0, 1, 2), id="three in an upright plane"),
    pytest.param([*SQUARE[:3], (0, 900, 1000)], LOW, TOP, (3,), id="level with one pick"),
    pytest.param([*SQUARE[:3], (0, 900, 1200)], LOW, TOP, (3,), id="under one pick"),
    pytest.param([*PAIR, (-500, 0, 1000)], LOW, (150, 0, 1000), (2,), id="level until it swings"),
    pytest.param(PAIR, LOW, (0, 0, 5), (0, 1), id="legs all but level"),
    pytest.param(PAIR, TOP, TOP, (0, 1), id="hook at the center"),
    pytest.param(PAIR, (0, 0, 1500), TOP, (0, 1), id="hook under the center"),
    pytest.param(PAIR, (-900, 0, 900), TOP, (1,), id="the load turns over the hook"),
]


@pytest.mark.parametrize(("picks", "center", "hook", "legs"), OPEN_LIFTS)
def test_no_answer_is_made_up(
    picks: list[Vector], center: Vector, hook: Vector, legs: tuple[int, ...]
) -> None:
    with pytest.raises(Indeterminate) as raised:
        lift(picks, center, hook, 100)
    assert raised.value.legs == legs
    assert isinstance(raised.value, ValueError)


def test_no_picks_are_no_lift() -> None:
    with pytest.raises(Indeterminate):
        lift([], LOW, TOP, 100)


@pytest.mark.parametrize(("beside_mm", "answered"), [(0, True), (9.9, True), (10.1, False)])
def test_a_plane_may_miss_by_a_hundredth_of_the_hooks_height(
    beside_mm: float, answered: bool
) -> None:
    center, hook = (0.0, beside_mm, -500.0), (0.0, beside_mm, 1000.0)
    if answered:
        # the legs carry the whole load in their plane: 100 / (2 sin 45)
        assert lift(PAIR, center, hook, 100).tensions == pytest.approx((70.71,) * 2, abs=0.01)
    else:
        with pytest.raises(Indeterminate):
            lift(PAIR, center, hook, 100)


def test_a_single_leg_carries_the_whole_load_and_no_more() -> None:
    found = lift([(9, 0, 0)], LOW, TOP, 250)
    assert found.tensions == found.worst == found.least == (250,)


def test_picks_close_together_under_a_high_hook_are_no_line() -> None:
    # 100 mm apart, 12 m under the hook: a third each, all but plumb
    picks: list[Vector] = [(-50, -29, 0), (50, -29, 0), (0, 58, 0)]
    found = lift(picks, (0, 0, -200), (0, 0, 12_000), 300)
    assert found.tensions == pytest.approx((100,) * 3, rel=1e-4)


def test_a_hook_off_plumb_swings_the_load() -> None:
    # 150 beside, 1500 above the center: the load turns by atan 0.1
    found = lift(SQUARE, LOW, (150, 0, 1000), 100)
    assert found.drift_mm == pytest.approx(150)
    assert found.tilt_deg == pytest.approx(degrees(atan(0.1)))
    # The side that the hook is drawn towards comes up: its legs lie flatter.
    assert found.angles_deg[0] < found.angles_deg[2]


def test_pulls_of_a_swung_pair() -> None:
    # By hand in the load's own axes: W cos(atan 0.1) = 99.50 square to the line of the picks,
    # which gravity crosses 50 from their middle: 0.475 and 0.525 of it at the picks. Legs of
    # hypot(1150, 1000) = 1524.0 and hypot(850, 1000) = 1312.4, both 1000 up:
    # 99.50 x 0.475 x 1.5240 = 72.03 and 99.50 x 0.525 x 1.3124 = 68.56.
    found = lift(PAIR, LOW, (150, 0, 1000), 100)
    assert found.tensions == pytest.approx((72.03, 68.56), abs=0.01)


def test_a_swung_pair_is_the_same_pair_drawn_plumb() -> None:
    drawn = lift([(-1000, 0, 0), (800, 0, 0)], (0, 0, -500), (300, 0, 1000), 100)
    # turned about the hook by atan(300 / 1500), worked out here point by point
    down, aside = 1500 / hypot(300, 1500), 300 / hypot(300, 1500)

    def turned(x: float, z: float) -> Vector:
        return x * down - z * aside, 0.0, x * aside + z * down

    plumb = lift([turned(-1300, -1000), turned(500, -1000)], turned(-300, -1500), (0, 0, 0), 100)
    assert plumb.drift_mm == pytest.approx(0, abs=1e-9)
    assert drawn.tensions == pytest.approx(plumb.tensions)
    assert drawn.angles_deg == pytest.approx(plumb.angles_deg)


def test_a_center_beyond_a_pick_leaves_two_legs_unbalanced() -> None:
    # By hand: the picks are 2200 and 200 from plumb on one side, so they hold up -0.1 and 1.1 of
    # the load; each pull is that times length over height, hypot(1, 2.2) and hypot(1, 0.2).
    found = lift(PAIR, (1200, 0, -500), (1200, 0, 1000), 100)
    assert not found.balanced
    assert found.slack == (0,)
    assert found.worst == found.least == ()
    assert found.tensions == pytest.approx((-10 * hypot(1, 2.2), 110 * hypot(1, 0.2)))


def test_a_leg_that_would_push_is_named() -> None:
    found = lift(SQUARE[:3], (-100, 100, -500), (-100, 100, 1000), 100)
    # the center is beyond the diagonal from 0 to 2, away from 1
    assert not found.balanced
    assert found.slack == (1,)
    assert found.tensions is not None
    assert found.tensions[1] < 0 < min(found.tensions[0], found.tensions[2])


def test_a_center_on_the_edge_by_the_rounding_of_the_drawing() -> None:
    # 1 mm outside of the line from 0 to 2: those two carry it, and nothing is at fault
    found = lift(SQUARE[:3], (-1, 1, -500), (-1, 1, 1000), 100)
    assert found.balanced
    assert found.slack == (1,)
    # 50 each, legs of 1000 up and 1414 along
    assert found.tensions == pytest.approx((50 * sqrt(3), 0, 50 * sqrt(3)), rel=1e-5)


def test_four_legs_with_the_center_outside() -> None:
    found = lift(SQUARE, (1100, 0, -500), (1100, 0, 1000), 100)
    assert not found.balanced
    assert found.tensions is None
    assert (found.worst, found.least, found.slack) == ((), (), ())


def test_four_legs_with_the_center_over_one_side() -> None:
    found = lift(SQUARE, (1000, 0, -500), (1000, 0, 1000), 100)
    assert found.slack == (2, 3)
    assert found.worst == pytest.approx((100 / sqrt(2), 100 / sqrt(2), 0, 0))


def test_six_picks_three_in_a_row_are_no_line() -> None:
    picks = [(x, y, 0.0) for x in (-2000.0, 0.0, 2000.0) for y in (-500.0, 500.0)]
    found = lift(picks, LOW, (0, 0, 3000), 1200)
    # the middle pair alone can carry everything: 1200 / 2 x hypot(1, 500 / 3000)
    assert found.worst[2] == pytest.approx(600 * hypot(1, 1 / 6))
    assert found.balanced


@pytest.mark.parametrize(("a", "b"), [(90, 90), (0, 0), (30, -30), (100, 90)])
def test_angles_that_share_no_load(a: float, b: float) -> None:
    with pytest.raises(ValueError, match=r"deg"):
        by_sine_rule(100, a, b)


def test_one_reach_hangs_plumb() -> None:
    assert hook_from_reaches([(5, 6, 7)], LOW, [100]).hook == (5, 6, 107)


def test_two_reaches_meet_in_the_upright_plane() -> None:
    # 300 x (3, 4, 5) and 100 x (5, 12, 13): both triangles are 1200 high
    place = hook_from_reaches([(0, -900, 50), (0, 500, 50)], LOW, [1500, 1300])
    assert place.hook == pytest.approx((0, 0, 1250))
    assert place.slack_mm == (0, 0)


def test_three_reaches_meet_in_the_upper_point() -> None:
    place = hook_from_reaches(SQUARE[:3], LOW, [CORNER] * 3)
    assert place.hook == pytest.approx(TOP)
    turned_round = hook_from_reaches(SQUARE[2::-1], LOW, [CORNER] * 3)
    assert turned_round.hook == pytest.approx(TOP)


def test_four_equal_reaches_leave_no_slack() -> None:
    place = hook_from_reaches(SQUARE, LOW, [CORNER] * 4)
    assert place.hook == pytest.approx(TOP)
    assert place.slack_mm == (0, 0, 0, 0)


def test_a_long_leg_hangs_slack() -> None:
    place = hook_from_reaches(SQUARE, (100, -100, -500), [CORNER, CORNER, CORNER, CORNER + 5])
    assert place.hook == pytest.approx(TOP)
    assert place.slack_mm == pytest.approx((0, 0, 0, 5))


def test_two_diagonal_legs_alone_can_be_taut() -> None:
    longer = [CORNER, CORNER + 20, CORNER, CORNER + 20]
    place = hook_from_reaches(SQUARE, LOW, longer)
    assert place.hook == pytest.approx(TOP)
    assert place.slack_mm == pytest.approx((0, 20, 0, 20))


def test_one_short_leg_alone_can_be_taut() -> None:
    picks: list[Vector] = [(0, 0, 0), *SQUARE]
    place = hook_from_reaches(picks, LOW, [500, 4000, 4000, 4000, 4000])
    assert place.hook == pytest.approx((0, 0, 500))
    assert place.slack_mm[0] == 0
    assert min(place.slack_mm[1:]) > 1000


def test_a_high_center_does_not_turn_the_load_over() -> None:
    place = hook_from_reaches(SQUARE, (0, 0, 600), [CORNER, CORNER, CORNER, CORNER + 5])
    assert place.hook == pytest.approx(TOP, abs=5)


# Legs that meet nowhere, and which of them
APART = [
    pytest.param([(0, 0, 0)], [0.0], (0,), id="no reach"),
    pytest.param([(0, 0, 0), (10, 0, 0)], [5.0, -5.0], (1,), id="less than none"),
    pytest.param(PAIR, [900.0, 900.0], (0, 1), id="two too short"),
    pytest.param(PAIR, [1000.0, 1000.0], (0, 1), id="two in one line"),
    pytest.param(PAIR, [100.0, 2500.0], (0, 1), id="one too long"),
    pytest.param([(0, 0, 0), (0, 0, 0)], [9.0, 9.0], (0, 1), id="one pick"),
    pytest.param([(0, 0, 0), (0, 0, 90)], [90.0, 90.0], (0, 1), id="one above the other"),
    pytest.param([*PAIR, (0, 900, 0)], [1500.0, 1500.0, 50.0], (0, 1, 2), id="third too short"),
    pytest.param([*PAIR, (0, 0, 0)], [1500.0, 1500.0, 900.0], (0, 1, 2), id="three in line"),
    pytest.param([*PAIR, (0, 0, 400)], [1500.0] * 3, (0, 1, 2), id="three in an upright plane"),
    pytest.param([PAIR[0], PAIR[0], PAIR[1]], [1500.0] * 3, (0, 1, 2), id="two of one pick"),
    pytest.param(SQUARE, [1500.0, 1500.0, 1000.0, 1500.0], (0, 2), id="one diagonal too short"),
    pytest.param(SQUARE, [1414.0] * 4, (0, 1, 2, 3), id="four in one plane"),
]


@pytest.mark.parametrize(("picks", "reaches", "legs"), APART)
def test_legs_that_do_not_meet(
    picks: list[Vector], reaches: list[float], legs: tuple[int, ...]
) -> None:
    with pytest.raises(DoNotMeet) as raised:
        hook_from_reaches(picks, LOW, reaches)
    assert raised.value.legs == legs


def test_a_reach_for_each_pick() -> None:
    with pytest.raises(ValueError, match="zip"):
        hook_from_reaches(SQUARE, LOW, [CORNER] * 3)


def test_bar_under_legs() -> None:
    # by hand: cos 60 is a half; at 45 deg half the load presses the bar
    assert bar_compression(1000, 60) == pytest.approx(500)
    assert even_bar_compression(1000, 45) == pytest.approx(500)


def test_beam_hung_at_two_points() -> None:
    # by hand: moments about the left support, 300 x 1 + 600 x 3 = 2100 over 4
    assert beam_reactions([(1, 300), (3, 600)], (0, 4)) == pytest.approx((375, 525))
    assert beam_reactions([(1, 300), (3, 600)], (4, 0)) == pytest.approx((525, 375))
    # an overhang: 100 at 1 beyond a span of 2 lifts the far support by 50
    assert beam_reactions([(3, 100)], (0, 2)) == pytest.approx((-50, 150))
    with pytest.raises(ValueError, match="one place"):
        beam_reactions([(3, 100)], (2, 2))


STANCES = [
    pytest.param(SQUARE, (0, 0, 50), 1000, 50, True, id="in the middle"),
    pytest.param(SQUARE, (900, 100, -50), 100, -50, True, id="near one side"),
    pytest.param(SQUARE, (1000, 0, 0), 0, 0, True, id="on one side"),
    pytest.param(SQUARE, (1300, 0, 0), -300, 0, False, id="beside one side"),
    pytest.param(SQUARE, (1300, 1400, 0), -500, 0, False, id="beyond a corner"),
    pytest.param([*SQUARE, (0, 0, 80)], (0, 0, 50), 1000, -30, True, id="a pick in the middle"),
    pytest.param(PAIR, (200, 0, 0), 0, 0, True, id="on the line"),
    pytest.param(PAIR, (200, -30, 0), -30, 0, False, id="beside the line"),
    pytest.param(PAIR, (1040, 30, 0), -50, 0, False, id="beyond the line's end"),
    pytest.param([*PAIR, (0, 0, 0)], (1040, 0, 0), -40, 0, False, id="beyond a row of three"),
    pytest.param([(0, 0, 5)], (30, 40, 15), -50, 10, False, id="beside one pick"),
    pytest.param([(0, 0, 5)], (0, 0, 0), 0, -5, True, id="under one pick"),
    pytest.param([PAIR[0], *PAIR, PAIR[1]], (0, 7, 0), -7, 0, False, id="picks given twice"),
]


@pytest.mark.parametrize(("picks", "center", "margin", "above", "inside"), STANCES)
def test_how_the_center_lies_to_the_picks(
    picks: list[Vector], center: Vector, margin: float, above: float, inside: bool
) -> None:
    found = stands(picks, center)
    assert (found.margin_mm, found.above_mm) == pytest.approx((margin, above))
    assert found.inside is inside
