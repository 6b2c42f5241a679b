"""Findings pinned to the parts of a drawing: a number in a shape that tells the level."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, hypot, pi, sin

from attrs import frozen

from ..model import Level
from .layout import Layout, Spot
from .shapes import Point, circle, polygon

PIN_MM = 2.7
MOST_OF_WHOLE = 12


@frozen
class Mark:
    """A finding as the drawing shows it: its number, its level, the paths that it concerns."""

    number: int
    level: Level
    paths: tuple[str, ...]
    permitted: bool = False


@frozen
class Pin:
    """A mark at its place; `anchor` is the point of the part, None where the whole is meant."""

    mark: Mark
    at: Point
    anchor: Point | None = None
    ref: str = ""


def sign(level: str, center: Point, radius: float) -> str:
    """The outline of a level's sign: octagon for errors, triangle for warnings, else circle."""
    if level == "error":
        return polygon(*_corners(center, radius * 1.08, 8, pi / 8))
    if level == "warning":
        x, y = center
        return polygon(*_corners((x, y + 0.12 * radius), radius * 1.5, 3, -pi / 2))
    return circle(center, radius)


def _corners(center: Point, radius: float, count: int, first: float) -> Sequence[Point]:
    x, y = center
    turns = (first + 2 * pi * k / count for k in range(count))
    return [(x + radius * cos(a), y + radius * sin(a)) for a in turns]


def pin(marks: Iterable[Mark], layout: Layout, scale: float) -> tuple[list[Pin], list[Mark]]:
    """The marks at their parts, none over another; and those that concern no drawn part."""
    placed: list[Pin] = []
    whole: list[Mark] = []
    for mark in marks:
        spots = [spot for spot in layout.spots if _concerns(mark, spot)]
        if not spots:
            whole.append(mark)
        for spot in spots[:8]:
            anchor, place, step = _beside(spot, scale)
            placed.append(Pin(mark, _free(placed, place, step, scale), anchor, spot.ref))
    return placed, whole


def _concerns(mark: Mark, spot: Spot) -> bool:
    if spot.path in mark.paths:
        return True
    is_leg = spot.part is not None and spot.part is getattr(spot.part.leg, "material", None)
    return is_leg and spot.ref in mark.paths


def _beside(spot: Spot, scale: float) -> tuple[Point, Point, Point]:
    """A point on a part's metal, a place just beside it, and the way to go where that is taken.

    Outermost legs and what gathers them have their pins on the outside, other legs inside.
    """
    left, _, right, _ = spot.figure.box
    side = 1
    if spot.lean:
        outward = spot.outer or not spot.ref
        side = -1 if (spot.lean > 0) != outward else 1
    local = -side if spot.mirrored else side  # the same side in the part's own frame
    edge = right if local > 0 else -left
    low = spot.figure.length / 2
    place = spot.point((local * (edge + 1.9 * PIN_MM * scale), low))
    return spot.metal(local), place, (side * 2.5 * PIN_MM * scale, 0.0)


def _free(placed: Sequence[Pin], place: Point, step: Point, scale: float) -> Point:
    apart = 2.4 * PIN_MM * scale
    while any(hypot(p.at[0] - place[0], p.at[1] - place[1]) < apart for p in placed):
        place = (place[0] + step[0], place[1] + step[1])
    return place
