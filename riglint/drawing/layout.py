"""Where each part of a sling lies, in mm on the drawing: x to the right, y down the hang.

Front view. Legs stand at their angle: the outermost two in the plane of the drawing; of three or
four, the others lean toward the viewer, look steeper, and keep the height of their lower ends.
Long chain is broken out, by the same height in every leg of a tier; a spreader between two tiers
is broken out by the width that its upper legs lose so.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise
from math import asin, atan2, cos, degrees, radians, sin, tan

from attrs import define, frozen

from ..calculation import Calculation
from ..finding import Unstated
from ..model import HOOK_KINDS
from ..sling import Gathering, Leg, Part, Sling
from .angles import LegAngles
from .forms import STRANDS, Cut, chain_size_around, figure_of, lifting_point
from .shapes import Box, Figure, Point, seat_angles, turned

MOST_LEGS = 8
STRAIGHT_DEG = 90.0
MOST_GATHERINGS = 12
LINKS_ABOVE, LINKS_BELOW = 5, 3
GAP_PITCHES = 2.5
BRANCH_LEAN = 20.0
WORTH_BREAKING = 0.1  # of a spreader's width; it is drawn whole where less would be left out
STRAND_GAP = 0.25


@frozen
class Spot:
    """A part where it is drawn: its path in the sling, its upper bearing point and its lean."""

    path: str
    part: Part | None
    at: Point
    lean: float
    figure: Figure
    ref: str = ""
    outer: bool = False

    @property
    def mirrored(self) -> bool:
        """Hooks of legs that lean right open to the right: their tips point outward."""
        return self.lean > 0 and self.part is not None and self.part.kind in HOOK_KINDS

    def point(self, local: Point) -> Point:
        """A point of the part's own frame, on the drawing."""
        x, y = turned((-local[0] if self.mirrored else local[0], local[1]), self.lean)
        return self.at[0] + x, self.at[1] + y

    @property
    def end(self) -> Point:
        return self.point((0.0, self.figure.length))

    @property
    def middle(self) -> Point:
        _, top, _, bottom = self.figure.box
        low = self.figure.length or (top + bottom)
        return self.point((0.0, low / 2))

    def metal(self, side: int) -> Point:
        """A point on the part itself for lines to point at; of a link at one side or the other."""
        _, top, _, _ = self.figure.box
        if self.part is None or not self.part.is_link:
            return self.middle
        x, low = self.figure.seat_radius - top / 2, self.figure.length - self.figure.seat_radius
        return self.point((side * x, low))

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        left, top, right, bottom = self.figure.box
        return tuple(
            self.point(corner)
            for corner in ((left, top), (right, top), (right, bottom), (left, bottom))
        )

    @cached_property
    def box(self) -> Box:
        xs, ys = zip(*self.corners, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


@frozen
class Reached:
    """One drawn leg: where it starts, where it ends, how it leans, whether it is seen truly.

    `angle` is the angle that it stands at, in deg from the horizontal; None where it is drawn at
    another.
    """

    leg: Leg
    ref: str
    start: Point
    end: Point
    lean: float
    in_plane: bool
    angle: float | None = None


@frozen
class Layout:
    """A sling laid out: its spots from the top down, its drawn legs and what to say of it."""

    sling: Sling
    spots: tuple[Spot, ...]
    legs: tuple[Reached, ...] = ()
    joins: tuple[tuple[Point, Point], ...] = ()
    broken: bool = False
    notes: tuple[str, ...] = ()

    @cached_property
    def box(self) -> Box:
        boxes = [spot.box for spot in self.spots] or [(0.0, 0.0, 1.0, 1.0)]
        lefts, tops, rights, bottoms = zip(*boxes, strict=True)
        sag = max((low for _, low in (sagging(*join) for join in self.joins)), default=max(bottoms))
        return min(lefts), min(tops), max(rights), max(*bottoms, sag)

    @property
    def missing(self) -> Iterator[tuple[Spot, str]]:
        """The data that the drawing lacks, once an item."""
        seen: set[tuple[str, str]] = set()
        for spot in self.spots:
            for datum in spot.figure.missing:
                name = spot.part.item.id if spot.part else spot.path
                if (name, datum) not in seen:
                    seen.add((name, datum))
                    yield spot, datum


def sagging(start: Point, end: Point) -> tuple[float, float]:
    """The middle of the bow that joins two ends under the load, and how low it hangs."""
    apart = abs(end[0] - start[0])
    return (start[0] + end[0]) / 2, max(start[1], end[1]) + 0.6 * max(apart, 1.0)


@define(eq=False)
class Side:
    """One straight run of a leg: a leg with a free lower end has one, a loop or basket two."""

    leg: Leg
    ref: str
    parts: tuple[Part, ...]
    loop: bool = False
    second: bool = False
    share: float = 0.0  # how far out its lower end is: -1 to 1 of the half spread
    hangs: Gathering | None = None
    port: str | None = None
    angle: float = 90.0  # the angle that it is drawn at, in deg from the horizontal
    angle_is_true: bool = True

    @property
    def beam(self) -> tuple[Gathering | None, str | None]:
        """The spreader that it hangs below, by links or itself, and the port there."""
        above, port = self.hangs, self.port
        while above is not None and above.part.kind != "spreader":
            port, above = above.port, above.above
        return above, port

    @property
    def tier(self) -> tuple[Gathering | None, str | None, Gathering | None]:
        """What tells the legs that share a load side by side from the others."""
        return (*self.beam, self.leg.holds)

    @property
    def lean(self) -> float:
        """How far from the vertical it is drawn, in deg; positive to the right."""
        return lean_of(self.share, self.angle)


def lean_of(share: float, angle: float) -> float:
    """How a leg at an angle looks from the front, so far out of the half spread, in deg."""
    return degrees(atan2(share, tan(radians(angle)))) if share and angle < STRAIGHT_DEG else 0.0


@frozen
class Branch:
    """A branch beside a leg, that shortens it."""

    leg: Leg
    ref: str
    lean: float


def lay_out(figures: Calculation, *, head: bool = False) -> Layout:
    """The sling on its drawing; only what gathers the legs and where they begin for its head."""
    return _Layer(figures, head=head).run()


class _Layer:
    def __init__(self, figures: Calculation, *, head: bool) -> None:
        self.figures, self.sling, self.head = figures, figures.sling, head
        self.around = chain_size_around(self.sling.parts)
        self.spots: list[Spot] = []
        self.reached: list[Reached] = []
        self.joins: list[tuple[Point, Point]] = []
        self.notes: list[str] = []
        self.broken = False
        self.angles = LegAngles(figures)
        self.shapes: dict[object, Figure] = {}

    def run(self) -> Layout:
        self.sides = self.sides_of_legs()
        self.hanging = _held(self.sides)
        self.share_out()
        bearing = [side for side in self.sides if side.leg.holds is None]
        self.cut = self.height_broken_out(bearing)
        starts = self.place_top()
        while any(side.leg.holds for side, _ in starts):
            starts = self.place_upper(starts)
        for side, start in starts:
            self.place_side(side, start, self.cut)
        self.join_loops()
        return Layout(
            self.sling,
            tuple(self.spots),
            tuple(self.reached),
            tuple(self.joins),
            self.broken,
            (*self.notes, *self.angles.notes),
        )

    # The legs

    def sides_of_legs(self) -> list[Side]:
        """The runs to draw, left to right as the legs hang, of so many legs as can be seen."""
        named = [(leg, ref) for leg in self.in_order() for ref in leg.refs]
        shown = named
        if len(named) > MOST_LEGS:
            shown = [*named[: MOST_LEGS - 1], named[-1]]
            self.notes.append(f"Drawn: {MOST_LEGS} of {len(named):,} legs.")
        return [side for leg, ref in shown for side in _sides(leg, ref)]

    def in_order(self) -> Iterator[Leg]:
        """The legs from left to right, those that hold a spreader before those below it."""
        for top in self.sling.tops:
            yield from _below(top)
        yield from (leg for leg in self.sling.legs if leg.on is None)

    def share_out(self) -> None:
        """Spread the lower ends of each tier evenly over the width that its outermost legs give."""
        tiers: dict[object, list[Side]] = {}
        for side in self.sides:
            tiers.setdefault(side.tier, []).append(side)
        for tier in tiers.values():
            self.share_tier(tier)
            if len(tier) > 2:
                self.note_once(
                    "Front view: the outermost legs stand in the plane of the drawing; the others"
                    " lean toward the viewer and look steeper than they stand."
                )

    def share_tier(self, tier: list[Side]) -> None:
        last = len(tier) - 1
        for place, side in enumerate(tier):
            side.share = 2 * place / last - 1 if last else self.outward(side)
            true = self.angles.true(side.leg, side.ref)
            if last or (side.share and true is not None and true < STRAIGHT_DEG):
                side.angle, side.angle_is_true = self.angles.apart(side.leg, side.ref)

    def outward(self, side: Side) -> float:
        """Where a leg that is alone at its port leans if it leans: away from the others."""
        spreader, port = side.beam
        if spreader is None:
            return 0.0
        place = dict(self.shape(spreader.part).ports).get(port or "", 0.0)
        return (place > 0) - (place < 0) + 0.0

    # What gathers them

    def place_top(self) -> list[tuple[Side, Point]]:
        """Place what gathers the legs; where each run starts."""
        hook = self.sling.hung_from
        if hook is not None:
            shape = lifting_point(hook, self.around)
            self.spots.append(Spot(hook.id, None, (0.0, 0.0), 0.0, shape))
        starts = [(side, (0.0, 0.0)) for side in self.sides if side.hangs is None]
        for top in self.sling.tops:
            if top in self.hanging:
                starts += self.place_gathering(top, (0.0, 0.0))
        return starts

    def place_gathering(
        self, gathering: Gathering, at: Point, figure: Figure | None = None
    ) -> list[tuple[Side, Point]]:
        held = self.hanging.get(gathering, [])
        lean = 0.0
        if held and len(held) < len(self.sides) and gathering.part.kind != "spreader":
            share = sum(side.share for side in held) / len(held)
            lean = lean_of(share, sum(side.angle for side in held) / len(held))
        part = gathering.part
        if len(self.spots) > MOST_GATHERINGS:
            self.note_once(f"Not drawn: gathering parts below the {MOST_GATHERINGS}th.")
            return [(side, at) for side in held]
        spot = Spot(part.path, part, at, lean, figure or self.shape(part))
        self.spots.append(spot)
        starts: list[tuple[Side, Point]] = []
        for thing, point in self.seated(gathering, spot):
            if isinstance(thing, Gathering):
                starts += self.place_gathering(thing, point)
            elif isinstance(thing, Side):
                starts.append((thing, point))
            else:
                self.place_branch(thing, point)
        return starts

    def note_once(self, note: str) -> None:
        if note not in self.notes:
            self.notes.append(note)

    def seated(
        self, gathering: Gathering, spot: Spot
    ) -> list[tuple[Gathering | Side | Branch, Point]]:
        """What hangs in a part, left to right, each with the point that it bears on."""
        things: list[tuple[float, Gathering | Side | Branch, Part]] = []
        for lower in gathering.below:
            if lower in self.hanging:
                held = self.hanging[lower]
                things.append((sum(s.share for s in held) / len(held), lower, lower.part))
        for side in self.sides:
            if side.hangs is gathering:
                things.append((side.share, side, side.parts[0]))
            leg = side.leg
            if leg.branch and leg.branch_on is gathering and not side.second:
                lean = lean_of(side.share * 0.35, side.angle) or -BRANCH_LEAN
                branch = Branch(leg, side.ref, lean)
                things.append((side.share * 0.35 or -0.5, branch, leg.branch[0]))
        things.sort(key=lambda thing: thing[0])
        if spot.figure.ports:
            ports = dict(spot.figure.ports)
            places = [ports.get(_port_of(thing) or "", 0.0) for _, thing, _ in things]
            points = [spot.point((x, spot.figure.length)) for x in places]
        else:
            points = self.seats([part for _, _, part in things], spot)
        return [(thing, point) for (_, thing, _), point in zip(things, points, strict=True)]

    def seats(self, parts: list[Part], spot: Spot) -> list[Point]:
        figure = spot.figure
        radius = figure.seat_radius
        if not radius or spot.part is None:
            return [spot.end for _ in parts]
        widths = [self.seat(part) for part in parts]
        angles = seat_angles(widths, 2 * radius)
        low = figure.length - radius
        return [spot.point(_on_bottom(radius, low, angle)) for angle in angles]

    def seat(self, part: Part) -> tuple[float, float]:
        """Width and depth of what sits in a link; of usual size where the sheet is silent."""
        try:
            width, depth = self.figures.seat(part)
        except Unstated:
            return 1.4 * self.around, 1.2 * self.around
        return float(width), float(depth)

    def place_branch(self, branch: Branch, start: Point) -> None:
        at, leg, lean = start, branch.leg, branch.lean
        for part in leg.branch:
            path = branch.ref + part.path.removeprefix(leg.path)
            spot = Spot(path, part, at, lean, self.shape(part), branch.ref)
            self.spots.append(spot)
            at = spot.end

    # Spreaders

    def place_upper(self, starts: list[tuple[Side, Point]]) -> list[tuple[Side, Point]]:
        """Place the legs that a spreader hangs by, the spreader, and what hangs in it; where the
        runs below start. Of a head's drawing only where those legs begin."""
        spreader = next(side.leg.holds for side, _ in starts if side.leg.holds)
        upper = [(side, start) for side, start in starts if side.leg.holds is spreader]
        others = [(side, start) for side, start in starts if side.leg.holds is not spreader]
        ports = dict(self.shape(spreader.part).ports)
        held = [ports.get(side.leg.end_port or "", 0.0) for side, _ in upper]
        cut = self.upper_cut(spreader, [side for side, _ in upper], max(held) - min(held))
        if not cut:
            self.lean_to_ports(upper, held)
        ends = [self.place_side(side, start, cut) for side, start in upper]
        if self.head:
            return others
        middle = sum(x for x, _ in ends) / len(ends), max(y for _, y in ends)
        left, right = min(held), max(held)
        lost = (right - left) - (max(x for x, _ in ends) - min(x for x, _ in ends)) if cut else 0.0
        figure = self.shape(spreader.part, Cut(gap=max(lost, 0.0)), up=True)
        drawn = dict(figure.ports)
        own = [drawn.get(side.leg.end_port or "", 0.0) for side, _ in upper]
        at = (middle[0] - sum(own) / len(own), middle[1])
        return [*others, *self.place_gathering(spreader, at, figure)]

    def upper_cut(self, spreader: Gathering, sides: list[Side], apart: float) -> float:
        """How much of their height a spreader's upper legs are broken out by, in mm."""
        if self.head or len(sides) != 2 or not all(side.angle_is_true for side in sides):
            return 0.0
        flat = sum(1 / tan(radians(side.angle)) for side in sides)
        cut = min(self.height_broken_out(sides), self.width_to_spare(spreader, apart) / flat)
        return cut if cut * flat > WORTH_BREAKING * apart else 0.0

    def lean_to_ports(self, upper: list[tuple[Side, Point]], held: list[float]) -> None:
        """Turn upper legs of full length so that they end at the ports that they hold."""
        middle = (max(held) + min(held)) / 2
        for (side, start), port in zip(upper, held, strict=True):
            out = port - middle - start[0]
            lean = asin(max(-0.99, min(0.99, out / max(self.run_length(side), 1.0))))
            side.share = (out > 0) - (out < 0) + 0.0
            side.angle = 90 - abs(degrees(lean))

    def width_to_spare(self, spreader: Gathering, apart: float) -> float:
        """How much shorter a spreader may be drawn between its ports, so that what hangs there
        keeps apart, in mm. None of it where a port lies in its middle."""
        ports = sorted(x for _, x in self.shape(spreader.part).ports)
        if any(abs(x) < 0.4 * apart for x in ports):
            return 0.0
        wide = 12 * self.around
        for side in self.hanging.get(spreader, []):
            high = self.drawn_height(side) if not side.loop else 40 * self.around
            wide = max(wide, high * abs(tan(radians(side.lean))) + 8 * self.around)
        return max(0.0, apart - 2 * wide)

    # Their runs

    def place_side(self, side: Side, start: Point, cut: float) -> Point:
        """Place a run's parts from its start, broken so that its lower end is where it belongs;
        where that is."""
        lean = side.lean
        at = start
        parts = _begin(side.parts) if self.head else side.parts
        below = False
        for part in parts:
            figure = self.run_shape(side, part, cut, below=below)
            below = below or part.kind in STRANDS
            path = side.ref + part.path.removeprefix(side.leg.path)
            spot = Spot(path, part, at, lean, figure, side.ref, abs(side.share) == 1)
            self.spots.append(spot)
            at = spot.end
        in_plane = abs(side.share) == 1 or not side.share
        true = self.angles.true(side.leg, side.ref) if side.share else side.angle
        angle = true if side.angle_is_true and in_plane else None
        self.reached.append(Reached(side.leg, side.ref, start, at, lean, in_plane, angle))
        return at

    def run_shape(self, side: Side, part: Part, cut: float, *, below: bool) -> Figure:
        if part.kind not in ("chain", *STRANDS):
            return self.shape(part, up=below)
        eyes = self.eyes(side, part)
        if self.head or side.loop:
            return self.shape(part, self.begun(part, eyes))
        if part is not self.breakable(side) or cut <= 0:
            whole = None if part.kind == "chain" else Cut(length=self.true_length(part), eyes=eyes)
            return self.shape(part, whole)
        self.broken = True
        drawn = self.drawn_length(side, part, cut)
        if part.kind != "chain":
            return self.shape(part, Cut(gap=STRAND_GAP * drawn, length=drawn, eyes=eyes))
        gap = drawn - (LINKS_ABOVE + LINKS_BELOW) * self.pitch(part)
        return self.shape(part, Cut(LINKS_ABOVE, LINKS_BELOW, gap))

    def eyes(self, side: Side, part: Part) -> tuple[float, float]:
        """How far the eyes above and below a strand reach into it, in mm."""
        place = side.parts.index(part)
        return self.eye(side.parts[:place][-1:]), self.eye(side.parts[place + 1 :][:1])

    def eye(self, beside: tuple[Part, ...]) -> float:
        return sum(self.shape(part).box[3] for part in beside if part.kind == "eye")

    def begun(self, part: Part, eyes: tuple[float, float]) -> Cut:
        """The beginning of a chain or strand, where the rest is not drawn."""
        if part.kind == "chain":
            return Cut(1 if self.head else min(LINKS_ABOVE, part.links or 1))
        length = min(self.true_length(part), 12 * self.around + eyes[0])
        return Cut(length=length, eyes=(eyes[0], 0.0))

    def breakable(self, side: Side) -> Part | None:
        """The chain or strand of a run that is long enough to be broken out: the longest."""
        parts = [part for part in side.parts if part.kind in ("chain", *STRANDS)]
        longest = max(parts, key=self.true_length, default=None)
        if longest is None or self.true_length(longest) <= self.least_drawn(side, longest):
            return None
        return longest

    def least_drawn(self, side: Side, part: Part) -> float:
        """The shortest that a broken chain or strand is drawn, its eyes in it, in mm."""
        if part.kind == "chain":
            return (LINKS_ABOVE + LINKS_BELOW + GAP_PITCHES) * self.pitch(part)
        eyes = sum(self.eyes(side, part))
        return max(30 * self.around, 10 * self.shape(part).box[2]) + 1.5 * eyes

    def pitch(self, part: Part) -> float:
        return self.shape(part, Cut(1)).length

    def true_length(self, part: Part) -> float:
        if part.kind == "chain":
            return self.pitch(part) * (part.links or 1)
        return self.shape(part).length

    def run_length(self, side: Side) -> float:
        return sum(self.true_length(part) for part in side.parts)

    def height_broken_out(self, sides: list[Side]) -> float:
        """How much lower the legs' ends lie in truth: as much as every leg can spare, in mm."""
        spare = []
        for side in sides:
            part = self.breakable(side)
            if side.loop or part is None:
                continue
            others = self.run_length(side) - self.true_length(part)
            least = (others + self.least_drawn(side, part)) * cos(radians(side.lean))
            spare.append(self.height(side) - least)
        return max(0.0, min(spare, default=0.0))

    def height(self, side: Side) -> float:
        """How high a leg stands in truth, in mm."""
        return self.run_length(side) * sin(radians(side.angle))

    def drawn_height(self, side: Side) -> float:
        """How high a leg of the lower tier is drawn, in mm."""
        return self.height(side) - (self.cut if self.breakable(side) else 0.0)

    def drawn_length(self, side: Side, part: Part, cut: float) -> float:
        """The length that a broken chain takes on the drawing, so that its leg ends aright."""
        others = self.run_length(side) - self.true_length(part)
        return (self.height(side) - cut) / cos(radians(side.lean)) - others

    def shape(self, part: Part, cut: Cut | None = None, *, up: bool = False) -> Figure:
        key = (part.path, cut, up)
        if key not in self.shapes:
            self.shapes[key] = figure_of(part, self.around, cut, up=up)
        return self.shapes[key]

    def join_loops(self) -> None:
        """Join the two runs of each loop or basket by a bow under the load."""
        if self.head:
            return
        for side, (one, other) in zip(self.sides, pairwise(self.reached), strict=False):
            if one.ref == other.ref and side.loop:
                self.joins.append((one.end, other.end))
        if self.joins:
            self.notes.append("Dashed: the part of a loop that lies under the load, not drawn.")


def _below(gathering: Gathering) -> Iterator[Leg]:
    """The legs below a gathering part, through the spreaders that they hold."""
    yield from gathering.legs
    for spreader in dict.fromkeys(leg.holds for leg in gathering.legs if leg.holds):
        yield from _below(spreader)


def _port_of(thing: Gathering | Side | Branch) -> str | None:
    return None if isinstance(thing, Branch) else thing.port


def _sides(leg: Leg, ref: str) -> Iterator[Side]:
    if not (leg.is_basket or leg.entry.endless):
        yield Side(leg, ref, leg.parts, hangs=leg.on, port=leg.port)
        return
    middle = next((k for k, part in enumerate(leg.parts) if part is leg.material), 0)
    yield Side(leg, ref, leg.parts[: middle + 1], loop=True, hangs=leg.on, port=leg.port)
    back = tuple(reversed(leg.parts[middle:]))
    port = leg.end_port or leg.port
    hangs = leg.on if leg.entry.to is None else leg.to
    if leg.holds is not None:
        hangs = None  # what it holds hangs below it, and no run of it hangs there
    yield Side(leg, ref, back, loop=True, second=True, hangs=hangs, port=port)


def _held(sides: list[Side]) -> dict[Gathering, list[Side]]:
    """The runs below each gathering part."""
    held: dict[Gathering, list[Side]] = {}
    for side in sides:
        above = side.hangs
        while above is not None:
            held.setdefault(above, []).append(side)
            above = above.above
    return held


def _begin(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The parts of a leg down to the beginning of its chain or rope."""
    for place, part in enumerate(parts):
        if part.kind in ("chain", *STRANDS):
            return parts[: place + 1]
    return parts[:1]


def _on_bottom(radius: float, low: float, angle: float) -> Point:
    x, y = turned((0.0, radius), angle)
    return x, low + y
