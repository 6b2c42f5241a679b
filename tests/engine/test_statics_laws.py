"""Laws of every lift of known geometry, and agreement with general solvers."""

from __future__ import annotations

from itertools import pairwise
from math import cos, dist, hypot, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, nnls

from riglint.figures import (
    DoNotMeet,
    Indeterminate,
    Lift,
    by_sine_rule,
    hook_from_reaches,
    lift,
    stands,
)
from riglint.figures.statics import OFF_PLANE
from riglint.figures.vectors import Vector

moderate = settings(max_examples=60, deadline=None)

aside = st.integers(-3000, 3000).map(float)
low = st.integers(-800, 800).map(float)
masses = st.floats(1, 1e5)
degrees_flat = st.floats(20, 85)


@st.composite
def lifts(draw: st.DrawFn, least: int = 1, most: int = 8) -> tuple[list[Vector], Vector, Vector]:
    """Picks, a center of gravity under them or among them, and a hook over all."""
    picks = draw(st.lists(st.tuples(aside, aside, low), min_size=least, max_size=most))
    center = (draw(aside), draw(aside), draw(st.integers(-2500, 800).map(float)))
    off = st.integers(-300, 300).map(float)
    hook = (center[0] + draw(off), center[1] + draw(off), draw(st.integers(1200, 6000).map(float)))
    return picks, center, hook


def ring(count: int, radius: float) -> list[Vector]:
    turns = [radians(360 * n / count) for n in range(count)]
    return [(radius * cos(turn), radius * sin(turn), 0.0) for turn in turns]


def answer(picks: list[Vector], center: Vector, hook: Vector, mass: float) -> Lift:
    """The lift, where it has an answer at all."""
    try:
        return lift(picks, center, hook, mass)
    except Indeterminate:
        assume(False)
        raise


def columns(picks: list[Vector], hook: Vector) -> np.ndarray:
    away = np.array(hook) - np.array(picks)
    return (away / np.linalg.norm(away, axis=1)[:, None]).T


def upward(center: Vector, hook: Vector) -> np.ndarray:
    up = np.array(hook) - np.array(center)
    return up / np.linalg.norm(up)


def extreme(legs: np.ndarray, up: np.ndarray, leg: int, sign: int) -> float | None:
    """The greatest (1) or smallest (-1) pull of one leg under unit load, by linear programming."""
    cost = np.zeros(legs.shape[1])
    cost[leg] = -sign
    exact = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}
    done = linprog(cost, A_eq=legs, b_eq=up, method="highs", options=exact)
    assert done.status in (0, 2), done.message  # solved, or no equilibrium
    return None if done.status == 2 else float(done.x[leg])


def nearly_held(legs: np.ndarray, up: np.ndarray) -> bool:
    """Whether the legs hold the load but for what the drawing's rounding is let off for."""
    spare = 1.1 * OFF_PLANE
    both = np.vstack([legs, -legs])
    limits = np.concatenate([up + spare, spare - up])
    return linprog(np.zeros(legs.shape[1]), A_ub=both, b_ub=limits).status == 0


@moderate
@given(lifts(4, 6), masses)
def test_the_worst_pulls_agree_with_linear_programming(
    drawn: tuple[list[Vector], Vector, Vector], mass: float
) -> None:
    found = answer(*drawn, mass)
    legs, up = columns(drawn[0], drawn[2]), upward(*drawn[1:])
    for leg in range(len(drawn[0])):
        most, least = (extreme(legs, up, leg, sign) for sign in (1, -1))
        if most is None or least is None:
            assert not found.balanced or nearly_held(legs, up)
        else:
            assert found.balanced
            assert found.worst[leg] / mass == pytest.approx(most, rel=1e-6, abs=1e-7)
            assert found.least[leg] / mass == pytest.approx(least, rel=1e-6, abs=1e-7)


@moderate
@given(st.integers(4, 8), st.floats(0.2, 3), st.data(), masses)
def test_a_center_among_many_picks_agrees_with_linear_programming(
    count: int, flatness: float, data: st.DataObject, mass: float
) -> None:
    # Drawn so that the lift is always balanced, which most drawn at random are not.
    picks = [(x, y, data.draw(low)) for x, y, _ in ring(count, 1500 * flatness)]
    part = data.draw(st.floats(0, 0.5)) * 1500 * flatness
    turn = data.draw(st.floats(0, 6.3))
    center = (part * cos(turn), part * sin(turn), -1000.0)
    hook = (*center[:2], 2000.0)
    found = answer(picks, center, hook, mass)
    legs, up = columns(picks, hook), upward(center, hook)
    assert found.worst == pytest.approx(
        [mass * (extreme(legs, up, leg, 1) or 0) for leg in range(count)], rel=1e-6, abs=1e-6 * mass
    )


@moderate
@given(lifts(3, 3), masses)
def test_three_legs_agree_with_a_linear_solver(
    drawn: tuple[list[Vector], Vector, Vector], mass: float
) -> None:
    found = answer(*drawn, mass)
    legs, up = columns(drawn[0], drawn[2]), upward(*drawn[1:])
    expected = np.linalg.solve(legs, mass * up)
    if found.balanced and min(expected) < 0:  # a push within the drawing's rounding is left out
        assert nearly_held(legs, up)
        return
    assert found.tensions == pytest.approx(expected, rel=1e-6, abs=1e-6 * mass)
    assert found.balanced == (min(expected) > -1e-6 * mass)


@moderate
@given(lifts(), masses)
def test_upward_parts_of_one_equilibrium_carry_the_load(
    drawn: tuple[list[Vector], Vector, Vector], mass: float
) -> None:
    found = answer(*drawn, mass)
    rises = [sin(radians(angle)) for angle in found.angles_deg]
    carried = found.tensions if found.tensions is not None else found.worst
    total = sum(pull * rise for pull, rise in zip(carried, rises, strict=False))
    if found.tensions is not None:
        assert total == pytest.approx(mass, rel=2 * OFF_PLANE)
    elif found.balanced:
        least = sum(p * rise for p, rise in zip(found.least, rises, strict=True))
        assert least <= mass * (1 + OFF_PLANE)
        assert total >= mass * (1 - OFF_PLANE)


@moderate
@given(lifts(), masses, st.floats(0.01, 100))
def test_pulls_scale_with_the_load(
    drawn: tuple[list[Vector], Vector, Vector], mass: float, factor: float
) -> None:
    found, scaled = answer(*drawn, mass), answer(*drawn, mass * factor)
    assert scaled.worst == pytest.approx([pull * factor for pull in found.worst])
    assert scaled.slack == found.slack
    assert scaled.angles_deg == found.angles_deg


@moderate
@given(lifts(), masses, st.floats(0, 360), st.booleans(), aside, aside, low)
def test_turning_mirroring_and_moving_the_whole_lift_change_nothing(
    drawn: tuple[list[Vector], Vector, Vector],
    mass: float,
    turn_deg: float,
    mirrored: bool,
    east: float,
    north: float,
    rise: float,
) -> None:
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def moved(point: Vector) -> Vector:
        x, y, z = point
        y = -y if mirrored else y
        return x * c - y * s + east, x * s + y * c + north, z + rise

    picks, center, hook = drawn
    here = answer(picks, center, hook, mass)
    there = lift([moved(pick) for pick in picks], moved(center), moved(hook), mass)
    assert there.balanced is here.balanced
    assert there.worst == pytest.approx(here.worst, rel=1e-6, abs=1e-6 * mass)
    assert there.angles_deg == pytest.approx(here.angles_deg)
    assert there.tilt_deg == pytest.approx(here.tilt_deg, abs=1e-6)
    here_stands, there_stands = stands(picks, center), stands([*map(moved, picks)], moved(center))
    assert there_stands.margin_mm == pytest.approx(here_stands.margin_mm, abs=1e-6)
    assert there_stands.above_mm == pytest.approx(here_stands.above_mm)


@st.composite
def lifts_inside(draw: st.DrawFn, least: int, most: int) -> tuple[list[Vector], Vector, Vector]:
    """Lifts whose center of gravity is between the picks, seen from above."""
    picks, center, hook = draw(lifts(least, most))
    shares = draw(st.lists(st.integers(1, 9), min_size=len(picks), max_size=len(picks)))
    x, y = (sum(s * p[n] for s, p in zip(shares, picks, strict=True)) / sum(shares) for n in (0, 1))
    over = (x + hook[0] - center[0], y + hook[1] - center[1], hook[2])
    return picks, (x, y, center[2]), over


@moderate
@given(lifts_inside(3, 7), masses, aside, aside, low)
def test_a_leg_more_never_lowers_the_worst_of_the_others(
    drawn: tuple[list[Vector], Vector, Vector], mass: float, x: float, y: float, z: float
) -> None:
    picks, center, hook = drawn
    before = answer(picks, center, hook, mass)
    assume(stands(picks, center).inside and before.balanced)
    _, miss = nnls(columns(picks, hook), upward(center, hook))
    assume(miss < 1e-9)  # balanced as drawn: not let off for the drawing's rounding
    after = answer([*picks, (x, y, z)], center, hook, mass)
    assume(after.balanced)
    for old, new in zip(before.worst, after.worst, strict=False):
        assert new >= old * (1 - 1e-6) - 1e-6 * mass


@moderate
@given(st.integers(2, 8), st.floats(100, 5000), st.floats(1, 3), masses)
def test_wider_picks_never_pull_less(count: int, radius: float, wider: float, mass: float) -> None:
    narrow, wide = (
        lift(ring(count, r), (0, 0, -300), (0, 0, 4000), mass) for r in (radius, radius * wider)
    )
    assert max(wide.worst) >= max(narrow.worst) * (1 - 1e-9)


@moderate
@given(st.sampled_from([2, 4, 6, 8]), degrees_flat, masses)
def test_even_legs_in_a_ring_are_never_better_than_two(
    count: int, theta: float, mass: float
) -> None:
    found = lift(ring(count, 1000 / tan(radians(theta))), (0, 0, -300), (0, 0, 1000), mass)
    two_legs = mass / (2 * sin(radians(theta)))
    assert max(found.worst) >= two_legs * (1 - 1e-9)
    if count <= 4:
        assert found.worst == pytest.approx((two_legs,) * count)


@moderate
@given(degrees_flat, degrees_flat, masses)
def test_two_legs_follow_the_sine_rule(a: float, b: float, mass: float) -> None:
    picks = [(-1000 / tan(radians(a)), 0.0, 0.0), (1000 / tan(radians(b)), 0.0, 0.0)]
    found = lift(picks, (0, 0, -300), (0, 0, 1000), mass)
    assert found.tensions == pytest.approx(by_sine_rule(mass, a, b))


@moderate
@given(
    st.sampled_from([1.0, 25.4 / 16]),
    st.floats(0, 6.3),
    st.floats(300, 3000),
    st.floats(300, 3000),
    st.floats(500, 4000),
)
def test_a_pair_from_a_rounded_drawing_has_an_answer(
    step: float, turn: float, left: float, right: float, height: float
) -> None:
    def drawn(along: float, z: float) -> Vector:
        x, y, z = (step * round(v / step) for v in (along * cos(turn), along * sin(turn), z))
        return x, y, z

    picks = [drawn(-left + 300, 0), drawn(right + 300, 0)]
    found = lift(picks, drawn(300, -400), drawn(300, height), 1000)
    assert found.balanced
    exact = [
        1000 * far / (left + right) * hypot(near, height) / height
        for near, far in ((left, right), (right, left))
    ]
    assert found.tensions == pytest.approx(exact, rel=0.02)


@moderate
@given(lifts(3, 3))
def test_three_reaches_lead_back_to_the_hook(drawn: tuple[list[Vector], Vector, Vector]) -> None:
    picks, center, hook = drawn
    answer(picks, center, hook, 1)
    a, b, c = map(np.array, picks)
    normal = np.cross(b - a, c - a)
    assume(abs(normal[2]) > 0.1 * np.linalg.norm(normal))
    assume(np.dot(np.array(hook) - a, normal * np.sign(normal[2])) > 0)  # over their plane
    place = hook_from_reaches(picks, center, [dist(hook, pick) for pick in picks])
    assert place.hook == pytest.approx(hook, abs=0.01)
    assert place.slack_mm == pytest.approx((0, 0, 0), abs=1e-5)


@moderate
@given(lifts(4, 8))
def test_reaches_of_a_balanced_lift_lead_back_to_its_hook(
    drawn: tuple[list[Vector], Vector, Vector],
) -> None:
    picks, (x, y, _), (_, _, z) = drawn
    center, hook = (x, y, -2000.0), (x, y, z)
    assume(answer(picks, center, hook, 1).balanced and stands(picks, center).margin_mm > 10)
    place = hook_from_reaches(picks, center, [dist(hook, pick) for pick in picks])
    assert dist(place.hook, hook) < 1


@moderate
@given(
    st.integers(4, 8),
    st.lists(st.floats(2000, 2600), min_size=8, max_size=8),
    st.floats(-300, 300),
    st.floats(-300, 300),
)
def test_unlike_legs_hang_from_the_taut_ones_alone(
    count: int, reaches: list[float], x: float, y: float
) -> None:
    picks, center = ring(count, 1200), (x, y, -400.0)
    try:
        place = hook_from_reaches(picks, center, reaches[:count])
    except DoNotMeet:
        assume(False)
        raise
    taut = [pick for pick, slack in zip(picks, place.slack_mm, strict=True) if slack == 0]
    assert 1 <= len(taut) <= count
    for pick, reach in zip(picks, reaches, strict=False):
        assert dist(place.hook, pick) <= reach + 1e-6
    assert answer(taut, center, place.hook, 1).balanced


def test_the_pull_of_a_pair_grows_without_end_as_it_flattens() -> None:
    pulls = [max(by_sine_rule(1, angle, angle)) for angle in (60, 30, 10, 1, 0.1)]
    assert all(flat > steep for steep, flat in pairwise(pulls))
    assert pulls[-1] > 280
