"""Where the hook is over a load, by the reaches of the legs. Points in mm with z upward."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from math import dist, sqrt

from attrs import frozen

from .vectors import VERTICAL, Vector, cross, dot, length, minus, plus, unit

ROUNDING = 1e-9
ROUNDING_MM = 1e-6
MOST_TAUT = 3  # legs that meet in one point, whatever their lengths


class DoNotMeet(ValueError):
    """Legs of these reaches meet in no hook. `legs` has their places in the list of picks."""

    def __init__(self, why: str, legs: Sequence[int]) -> None:
        super().__init__(why)
        self.legs = tuple(legs)


@frozen
class HookPlace:
    """Where a hook is, and how much longer each leg is than its distance to it, in mm."""

    hook: Vector
    slack_mm: tuple[float, ...]


def hook_from_reaches(
    picks: Sequence[Vector], center: Vector, reaches: Sequence[float]
) -> HookPlace:
    """Where the hook is when each leg reaches so many mm, straight, from its pick.

    One leg: plumb above the pick. Two: both taut in the vertical plane through the picks. Three:
    all taut, the upper point. Four and more: some hang slack, since lengths never match exactly.
    The hook is then the place within every leg's reach and above the picks from which the center
    of gravity hangs lowest; there the taut legs hold it. Own geometry. It is looked for where
    three, two or one of the legs are taut.
    Raises DoNotMeet where there is no such place.
    """
    if any(reach <= 0 for reach in reaches):
        raise DoNotMeet("a leg has no reach", [n for n, r in enumerate(reaches) if r <= 0])
    ends = list(zip(picks, reaches, strict=True))
    hook = _taut(ends, VERTICAL) if len(ends) <= MOST_TAUT else _lowest_hang(ends, center)
    if hook is None:
        raise DoNotMeet("the legs do not meet above their picks", _too_short(ends))
    slack = [reach - dist(hook, pick) for pick, reach in ends]
    return HookPlace(hook, tuple(mm if mm > ROUNDING_MM else 0.0 for mm in slack))


def _lowest_hang(ends: Sequence[tuple[Vector, float]], center: Vector) -> Vector | None:
    highest = max(pick[2] for pick, _ in ends)
    within = [
        hook
        for hook in _candidates(ends, center)
        if hook[2] > highest
        and all(dist(hook, pick) <= reach + ROUNDING_MM for pick, reach in ends)
    ]
    return max(within, key=lambda hook: dist(hook, center), default=None)


def _candidates(ends: Sequence[tuple[Vector, float]], center: Vector) -> Iterator[Vector]:
    """For every three, two and one leg taut: the place farthest from the center of gravity."""
    for legs in range(1, MOST_TAUT + 1):
        for chosen in combinations(ends, legs):
            hook = _taut(chosen, minus(chosen[0][0], center))
            if hook is not None:
                yield hook


def _taut(ends: Sequence[tuple[Vector, float]], away: Vector) -> Vector | None:
    """Where one, two or three taut legs meet; one and two of them as far `away` as they go."""
    solve: Callable[..., Vector | None] = (_over_one, _over_two, _over_three)[len(ends) - 1]
    return solve(*ends, away)


def _over_one(end: tuple[Vector, float], away: Vector) -> Vector | None:
    pick, reach = end
    return plus(pick, reach, unit(away)) if length(away) > ROUNDING_MM else None


def _over_two(
    first: tuple[Vector, float], second: tuple[Vector, float], away: Vector
) -> Vector | None:
    (p, p_reach), (q, q_reach) = first, second
    span = dist(p, q)
    if span <= ROUNDING_MM:
        return None
    along = unit(minus(q, p))
    outward = plus(away, -dot(away, along), along)
    foot = (p_reach**2 - q_reach**2 + span**2) / (2 * span)
    height = p_reach**2 - foot**2
    if height <= 0 or length(outward) <= ROUNDING * length(away):
        return None
    return plus(plus(p, foot, along), sqrt(height), unit(outward))


def _over_three(
    first: tuple[Vector, float],
    second: tuple[Vector, float],
    third: tuple[Vector, float],
    _away: Vector,
) -> Vector | None:
    """Trilateration, the upper of the two points; None for picks in one line or upright plane."""
    (p, p_reach), (q, q_reach), (r, r_reach) = first, second, third
    span, arm = dist(p, q), minus(r, p)
    if span <= ROUNDING_MM:
        return None
    along = unit(minus(q, p))
    side = plus(arm, -dot(arm, along), along)
    reach = length(side)
    if reach <= ROUNDING * span:
        return None
    across = unit(side)
    normal = cross(along, across)
    x = (p_reach**2 - q_reach**2 + span**2) / (2 * span)
    over = p_reach**2 - r_reach**2 + dot(arm, arm)
    y = (over / 2 - dot(arm, along) * x) / reach
    height = p_reach**2 - x**2 - y**2
    if height <= 0 or abs(normal[2]) <= ROUNDING:
        return None
    rise = sqrt(height) if normal[2] > 0 else -sqrt(height)
    return plus(plus(plus(p, x, along), y, across), rise, normal)


def _too_short(ends: Sequence[tuple[Vector, float]]) -> list[int]:
    """The legs of a pair that is too short to meet; all legs where every pair would."""
    short = {
        n
        for (i, (p, p_reach)), (j, (q, q_reach)) in combinations(enumerate(ends), 2)
        if p_reach + q_reach <= dist(p, q)
        for n in (i, j)
    }
    return sorted(short or range(len(ends)))
