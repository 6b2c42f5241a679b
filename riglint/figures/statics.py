"""The statics of a load whose picks, center of gravity and hook are known.

Points are (x, y, z) in mm with z upward, as the load is drawn; loads and pulls are in kg. The laws
are those of any statics textbook; where a choice is riglint's own, it says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, permutations
from math import atan2, cos, degrees, hypot, radians, sin, tan

from attrs import frozen

from .vectors import Vector, cross, dot, length, minus, unit

# Drawings round to 1 mm or 1/16 in. House defaults; each is a share of a length of the lift.
OFF_PLANE = 0.01  # of the hook's height above the picks: gravity beside one leg, or two
IN_LINE = 0.01  # of the length of the row: how wide a row of picks may be and still be one line
TOGETHER = 0.001  # of the hook's height above the picks: two picks that are one
LEAST_RISE = 0.01  # of the leg's length: the hook is above a pick (a leg at 0.6 deg)
ROUNDING = 1e-9
ROUNDING_MM = 1e-6
MOST_AT_ONCE = 3  # legs to one hook that equilibrium alone can solve


class Indeterminate(ValueError):
    """Equilibrium gives these legs no one answer. `legs` has their places in the list of picks."""

    def __init__(self, why: str, legs: Sequence[int]) -> None:
        super().__init__(why)
        self.legs = tuple(legs)


@frozen
class Lift:
    """How straight legs from the picks to one hook carry a load. Pulls in kg, a leg each.

    `worst`, `least`: the greatest and the smallest pull over all equilibria in which no leg
    pushes; both are empty where there is none. `tensions`: the one solution of up to three legs,
    in which a negative pull is a push that no leg can give; None where there are more legs.
    `slack`: the legs that carry nothing in any equilibrium, or would have to push. `balanced`:
    whether there is an equilibrium in which no leg pushes.
    `drift_mm`: how far the hook is drawn from plumb over the center of gravity. `tilt_deg`: how
    far the load turns until it is. `angles_deg`: the legs' angles from horizontal after that.
    """

    worst: tuple[float, ...]
    least: tuple[float, ...]
    tensions: tuple[float, ...] | None
    slack: tuple[int, ...]
    balanced: bool
    drift_mm: float
    tilt_deg: float
    angles_deg: tuple[float, ...]


@frozen
class Stance:
    """How a load's center of gravity lies to its picks, in mm.

    `margin_mm`: seen from above, from the center to the nearest edge of the figure that the picks
    span; negative outside of it, and beside the line of two picks or the point of one.
    `above_mm`: how far the center is above the highest pick, negative below.
    """

    margin_mm: float
    above_mm: float

    @property
    def inside(self) -> bool:
        """Whether the center is over what the picks span (for two, on the line between)."""
        return self.margin_mm >= -ROUNDING_MM


def lift(picks: Sequence[Vector], center: Vector, hook: Vector, mass_kg: float) -> Lift:
    """What each straight leg from a pick to the hook pulls when the load hangs freely.

    Equilibrium of the forces at the hook, sum(T u) = W; a free load turns until its center of
    gravity is under the hook, so gravity pulls along the line from hook to center. Four legs and
    more: every equilibrium lies between those of three legs with the others slack (a basic
    solution has no more than three). Where gravity misses a leg or a pair of legs by no more than
    OFF_PLANE, the miss is taken for the drawing's.
    Raises Indeterminate for a hook that is not above the picks and the center, a leg not in line
    with the center, two legs whose plane misses it, two from one pick, and picks in one line.
    """
    if hook[2] <= center[2]:
        raise Indeterminate("the hook is not above the center of gravity", range(len(picks)))
    up = unit(minus(hook, center))
    angles = [_rise(hook, pick, up) for pick in picks]
    _is_above(picks, hook, angles)
    crossings = _crossings(picks, hook, up)
    _is_determinate(crossings)
    drift = hypot(hook[0] - center[0], hook[1] - center[1])
    tilt = degrees(atan2(drift, hook[2] - center[2]))
    found = [_pulls(crossings, shares, mass_kg) for shares in _equilibria(crossings)]
    worst = tuple(max(pulls) for pulls in zip(*found, strict=True))
    alone = None
    if len(picks) <= MOST_AT_ONCE:
        alone = found[0] if found else _pulls(crossings, _shares(crossings), mass_kg)
    return Lift(
        worst=worst,
        least=tuple(min(pulls) for pulls in zip(*found, strict=True)),
        tensions=alone,
        slack=tuple(n for n, pull in enumerate(worst or alone or ()) if pull <= 0),
        balanced=bool(found),
        drift_mm=drift,
        tilt_deg=tilt,
        angles_deg=tuple(angles),
    )


def by_sine_rule(load_kg: float, a_deg: float, b_deg: float) -> tuple[float, float]:
    """The pulls in kg of two legs at angles a and b from horizontal, the center under the hook.

    T_a = W cos b / sin(a + b), T_b = W cos a / sin(a + b): Lami's theorem, any statics textbook.
    Raises ValueError for legs that are parallel or in one line: their angles do not share a load.
    """
    between = sin(radians(a_deg + b_deg))
    if between < ROUNDING:
        raise ValueError(f"legs at {a_deg} and {b_deg} deg are parallel or in one line")
    return load_kg * cos(radians(b_deg)) / between, load_kg * cos(radians(a_deg)) / between


def bar_compression(tension_kg: float, from_horizontal_deg: float) -> float:
    """What a leg above the end of a straight spreader bar presses along it, in kg: T cos(theta)."""
    return tension_kg * cos(radians(from_horizontal_deg))


def even_bar_compression(load_kg: float, from_horizontal_deg: float) -> float:
    """What presses a spreader bar between two equal upper legs, in kg: W / (2 tan(theta)).

    Statics of a bar with vertical legs below its ends; the load includes all that hangs there.
    """
    return load_kg / (2 * tan(radians(from_horizontal_deg)))


def beam_reactions(
    loads: Sequence[tuple[float, float]], supports: tuple[float, float]
) -> tuple[float, float]:
    """What a beam hung at two points pulls at each, in kg, under (position in mm, load in kg).

    Balance of moments. Negative: a load outside of the supports lifts the beam at the other one.
    Raises ValueError where both supports are in one place.
    """
    first, second = supports
    if first == second:
        raise ValueError("a beam hung at one place is not held by two")
    at_second = sum(load * (at - first) for at, load in loads) / (second - first)
    return sum(load for _, load in loads) - at_second, at_second


def stands(picks: Sequence[Vector], center: Vector) -> Stance:
    """How the center of gravity lies to what the picks span. Own geometry; judges nothing."""
    corners = [complex(x, y) for x, y, _ in picks]
    at = complex(center[0], center[1])
    # Over an edge of the hull, counterclockwise, no corner lies to the right.
    edges = [
        (a, b)
        for a, b in permutations(corners, 2)
        if a != b and all(_left_of(a, b, corner) >= -ROUNDING_MM for corner in corners)
    ]
    margin = min((_left_of(a, b, at) for a, b in edges), default=0.0)
    if margin <= 0:
        margin = -min(_to_segment(a, b, at) for a in corners for b in corners)
    return Stance(margin, center[2] - max(z for _, _, z in picks))


def _is_above(picks: Sequence[Vector], hook: Vector, angles: Sequence[float]) -> None:
    least = degrees(LEAST_RISE)
    under = [n for n, a in enumerate(angles) if a < least or hook[2] <= picks[n][2]]
    if under or not picks:
        raise Indeterminate("the hook is not above the picks", under)


def _is_determinate(crossings: Sequence[complex]) -> None:
    """Raises Indeterminate where equilibrium alone does not say what these legs pull."""
    everyone = range(len(crossings))
    if len(crossings) == 1:
        if _shares(crossings) is None:
            raise Indeterminate("the leg is not in line with the center of gravity", everyone)
        return
    a, b = max(combinations(crossings, 2), key=lambda ends: abs(ends[1] - ends[0]))
    row = abs(b - a)
    if row <= TOGETHER:
        raise Indeterminate("the legs come from one pick", everyone)
    if len(crossings) == 2 and _shares(crossings) is None:
        raise Indeterminate("the plane of the two legs misses the center of gravity", everyone)
    if len(crossings) > 2 and max(abs(_left_of(a, b, c)) for c in crossings) <= IN_LINE * row:
        raise Indeterminate("the picks are in one line", everyone)


def _crossings(picks: Sequence[Vector], hook: Vector, up: Vector) -> list[complex]:
    """Where each leg crosses the level one unit under the hook, seen along gravity.

    The origin is under the hook. What the legs hold up there, as shares of the load, balances on
    the origin as weights would: the whole of the statics in two dimensions.
    """
    aside = unit(cross((0.0, 1.0, 0.0) if abs(up[0]) > abs(up[1]) else (1.0, 0.0, 0.0), up))
    ahead = cross(up, aside)
    legs = [minus(pick, hook) for pick in picks]
    return [complex(dot(leg, aside), dot(leg, ahead)) / -dot(leg, up) for leg in legs]


def _equilibria(crossings: Sequence[complex]) -> list[tuple[float, ...]]:
    """The shares of all legs in each basic equilibrium without a push; fewer legs if need be."""
    for legs in range(MOST_AT_ONCE, 0, -1):
        found = []
        for chosen in combinations(range(len(crossings)), legs):
            shares = _shares([crossings[n] for n in chosen])
            if shares is not None and min(shares) >= -ROUNDING:
                of = dict(zip(chosen, shares, strict=True))
                found.append(tuple(max(of.get(n, 0.0), 0.0) for n in range(len(crossings))))
        if found:
            return found
    return []


def _shares(crossings: Sequence[complex]) -> tuple[float, ...] | None:
    """The weights that balance one, two or three points on the origin; None where none do."""
    if len(crossings) == 1:
        return (1.0,) if abs(crossings[0]) <= OFF_PLANE else None
    if len(crossings) == 2:
        a, b = crossings
        if abs(b - a) <= TOGETHER or abs(_left_of(a, b, 0)) > OFF_PLANE:
            return None
        second = (-a / (b - a)).real
        return 1 - second, second
    a, b, c = crossings
    areas = _turn(b, c), _turn(c, a), _turn(a, b)
    whole = sum(areas)
    if abs(whole) <= ROUNDING * max(abs(b - a), abs(c - b), abs(a - c)) ** 2:
        return None
    return tuple(area / whole for area in areas)


def _pulls(
    crossings: Sequence[complex], shares: Sequence[float] | None, mass_kg: float
) -> tuple[float, ...]:
    """The pulls along the legs that hold up these shares of the load."""
    assert shares is not None, "legs of one line or plane were turned away before"
    both = list(zip(crossings, shares, strict=True))
    miss = sum(at * share for at, share in both)
    return tuple(
        0.0 if abs(share) <= ROUNDING else mass_kg * share * hypot(1, abs(at - miss))
        for at, share in both
    )


def _rise(hook: Vector, pick: Vector, up: Vector) -> float:
    leg = minus(hook, pick)
    return degrees(atan2(dot(leg, up), length(cross(leg, up))))


def _turn(a: complex, b: complex) -> float:
    return (a.conjugate() * b).imag


def _left_of(a: complex, b: complex, at: complex) -> float:
    """How far a point is to the left of the line from a to b."""
    return _turn(b - a, at - a) / abs(b - a)


def _to_segment(a: complex, b: complex, at: complex) -> float:
    if a == b:
        return abs(at - a)
    along = ((at - a) / (b - a)).real
    return abs(at - (a + min(max(along, 0.0), 1.0) * (b - a)))
