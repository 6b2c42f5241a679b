"""Words beside a drawing: in two columns that follow its outline, so that none covers another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from attrs import evolve, frozen

from .shapes import Box, Point

TEXT_MM = 2.9
ROW = 1.5
WIDE = 0.58  # of a letter, over its height: wider than the usual fonts are
MOST_LETTERS = 40
Polygon = Sequence[Point]
Side = Literal["left", "right"]


def width_of(text: str, scale: float) -> float:
    """How wide a text is at most, in mm of the drawing."""
    return WIDE * TEXT_MM * scale * len(text)


@frozen
class Label:
    """Words about a point of the drawing; `at` is where their line begins, once placed."""

    text: str
    anchor: Point
    side: Side
    style: str = ""
    at: Point = (0.0, 0.0)

    def width(self, scale: float) -> float:
        return width_of(self.text, scale)

    def box(self, scale: float) -> Box:
        x, y = self.at
        half = ROW * TEXT_MM * scale / 2
        left = x - self.width(scale) if self.side == "left" else x
        return left, y - half, left + self.width(scale), y + half


def shortened(text: str) -> str:
    """A text that fits beside a drawing."""
    text = " ".join(text.split())
    return (
        text if len(text) <= MOST_LETTERS else text[: MOST_LETTERS - 1] + "\N{HORIZONTAL ELLIPSIS}"
    )


def place(labels: Iterable[Label], outline: Sequence[Polygon], scale: float) -> list[Label]:
    """The labels, each in a row of its own at its side, clear of the outline."""
    placed = []
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        own = sorted((one for one in labels if one.side == side), key=lambda one: one.anchor[1])
        row = ROW * TEXT_MM * scale
        for label, y in zip(own, _spread([one.anchor[1] for one in own], row), strict=True):
            x = _clear(outline, y - row / 2, y + row / 2, side, 3.0 * scale)
            placed.append(evolve(label, at=(x, y)))
    return placed


def _spread(wanted: Sequence[float], row: float) -> list[float]:
    """Places as near to the wanted ones as leaves a row between each two, in order."""
    groups: list[tuple[float, int]] = []  # the sum of the wished first places, and how many rows
    for place, y in enumerate(wanted):
        groups.append((y - place * row, 1))
        while len(groups) > 1 and _mean(groups[-2]) > _mean(groups[-1]):
            (s1, c1), (s2, c2) = groups[-2:]
            groups[-2:] = [(s1 + s2, c1 + c2)]
    firsts = [_mean(group) for group in groups for _ in range(group[1])]
    return [first + place * row for place, first in enumerate(firsts)]


def _mean(group: tuple[float, int]) -> float:
    return group[0] / group[1]


def _clear(outline: Sequence[Polygon], top: float, bottom: float, side: Side, room: float) -> float:
    """How far out words between two heights must begin to stand clear of the outline."""
    sign = -1 if side == "left" else 1
    xs = [sign * x for polygon in outline for x in _within(polygon, top, bottom)]
    return sign * (max(xs, default=0.0) + room)


def _within(polygon: Polygon, top: float, bottom: float) -> Iterable[float]:
    """The x of a polygon's outline at its corners and crossings between two heights."""
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if top <= y1 <= bottom:
            yield x1
        for y in (top, bottom):
            if (y1 - y) * (y2 - y) < 0:
                yield x1 + (x2 - x1) * (y - y1) / (y2 - y1)
