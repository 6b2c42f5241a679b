"""How a load of known geometry hangs, and how a spreader hangs by its upper legs."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist
from typing import TYPE_CHECKING

from attrs import field, frozen

from ..finding import Unstated
from ..sling import Gathering, Leg
from .base import remembered
from .lengths import LengthFigures

if TYPE_CHECKING:
    from ..figures.statics import Lift, Stance
    from ..figures.vectors import Vector

UPPER_LEGS = 2
UNDER = 0.05  # house default: of their distance; legs so near hang under the upper ones
LEVEL_DEG = 2.0  # house default: a spreader that hangs within it hangs level
GEOMETRY = "/duty/load_geometry"


class LegsDoNotMeet(Unstated):
    """Legs whose reaches meet in no hook: nothing that follows from where it is can be said.

    `refs` are these legs.
    """

    def __init__(self, why: str, refs: tuple[str, ...]) -> None:
        super().__init__("load_geometry", "the duty", key=GEOMETRY, why=why)
        self.refs = refs


@frozen
class Hang:
    """Legs from known points to one hook: what each pulls, in kg, and how it stands.

    `refs` are the legs in the order of the points; `distances` are those from the points to the
    hook, in mm.
    """

    refs: tuple[str, ...]
    legs: tuple[Leg, ...] = field(repr=False)
    lift: Lift
    hook: Vector
    mass: float
    distances: tuple[float, ...]

    @property
    def angles(self) -> tuple[float, ...]:
        """The legs' angles from the horizontal as the load hangs, in deg."""
        return self.lift.angles_deg

    @property
    def pulls(self) -> tuple[tuple[str, float], ...]:
        """The worst pull of each leg of the sling, by its path, as a share of the load."""
        worst: dict[str, float] = {}
        for leg, pull in zip(self.legs, self.lift.worst, strict=True):
            worst[leg.path] = max(worst.get(leg.path, 0.0), pull / self.mass)
        return tuple(worst.items())

    @property
    def worst(self) -> float:
        """The worst pull of any leg as a share of the load."""
        return max(self.lift.worst) / self.mass


class HangFigures(LengthFigures):
    """Statics: of the planned load, and of a spreader."""

    @remembered
    def hang(self) -> Hang:
        """How the planned load hangs by its geometry.

        Raises Unstated where the geometry is not given, a reach that places the hook is not
        stated, or equilibrium alone gives no answer.
        """
        sling = self.sling
        geometry = sling.duty.load_geometry
        if geometry is None:
            raise Unstated("load_geometry", "the duty", key=GEOMETRY)
        if sling.spreader is not None or sling.is_basket:
            why = "a load geometry is for legs that run straight from the load to one hook"
            raise Unstated("load_geometry", "the duty", key=GEOMETRY, why=why)
        by_ref = {ref: leg for leg in sling.bearing_legs for ref in leg.refs}
        refs = tuple(pick.leg for pick in geometry.pick_points)
        picks = [_point(pick.at) for pick in geometry.pick_points]
        legs = tuple(by_ref[ref] for ref in refs)
        center = _point(geometry.center_of_gravity)
        if geometry.hook_height is not None:
            hook = (center[0], center[1], float(geometry.hook_height))
        else:
            hook = _hook_over(picks, center, list(map(self.set_reach, refs)), refs)
        return _hang(refs, legs, picks, center, hook, float(geometry.mass))

    def set_reach(self, ref: str) -> float:
        """A leg's reach in the lift, in mm, with the link in its pocket that the lift asks for.

        Raises Unstated where a length is not stated.
        """
        geometry = self.sling.duty.load_geometry
        leg = next(leg for leg in self.sling.bearing_legs if ref in leg.refs)
        link = geometry.pocket_links.get(ref) if geometry else None
        return self.reach(leg) if link is None else self.setting(leg, link).reach

    def stance(self) -> tuple[Stance, float]:
        """How the load's center of gravity lies to its picks, and the lift's height in mm.

        The height is that of the hook over the lowest pick, or where the hook is not known the
        width of the picks. Raises Unstated where the geometry is not given.
        """
        from ..figures.statics import stands

        geometry = self.sling.duty.load_geometry
        if geometry is None:
            raise Unstated("load_geometry", "the duty", key=GEOMETRY)
        picks = [_point(pick.at) for pick in geometry.pick_points]
        height = max(dist(one, other) for one in picks for other in picks)
        if geometry.hook_height is not None:
            above = float(geometry.hook_height) - min(z for _, _, z in picks)
            height = max(height, above)
        return stands(picks, _point(geometry.center_of_gravity)), height

    @remembered
    def upper_hang(self, spreader: Gathering) -> Hang:
        """How a spreader hangs by two upper legs, of a load of 1 kg, level.

        The load is the legs below, each taken for an equal part of it. Raises Unstated where the
        ports or the legs' lengths are not stated, or more than two legs hold it.
        """
        legs = tuple(spreader.held_by)
        refs = tuple(ref for leg in legs for ref in leg.refs)
        if len(refs) != UPPER_LEGS:
            legs_said = "one leg" if len(refs) == 1 else f"{len(refs)} legs"
            why = f"{spreader.path} hangs by {legs_said}; a qualified person rates it"
            raise Unstated("upper legs", spreader.path, why=why)
        each = tuple(leg for leg in legs for _ in leg.refs)
        picks = [(self.port_at(spreader, leg.end_port), 0.0, 0.0) for leg in each]
        center = (self._load_at(spreader), 0.0, 0.0)
        lengths = [sum(map(self.length, leg.parts)) for leg in each]
        hook = _hook_over(picks, center, lengths, refs)
        hang = _hang(refs, each, picks, center, hook, 1.0)
        if hang.lift.tilt_deg > LEVEL_DEG:
            why = (
                f"{spreader.path} does not hang level under these legs; a qualified person rates it"
            )
            raise Unstated("upper legs", spreader.path, why=why)
        return hang

    def port_at(self, spreader: Gathering, name: str | None) -> float:
        """Where a port is along its spreader, in mm. Raises Unstated."""
        for port in spreader.ports:
            if port.name == name:
                return float(port.at)
        raise spreader.part.unstated("ports")

    def check_under_upper_legs(self, spreader: Gathering) -> None:
        """Raise Unstated where legs below pull elsewhere than under the legs above: they bend the
        spreader, which its limit does not speak of."""
        if not spreader.held_by:
            return
        held = [self.port_at(spreader, leg.end_port) for leg in spreader.held_by]
        near = UNDER * (max(held) - min(held))
        for leg in spreader.legs:
            beside = (min(abs(at - one) for one in held) for at in self._places_of(leg, spreader))
            if max(beside) > near:
                why = f"{leg.path} hangs beside the legs that hold {spreader.path}, and bends it"
                raise Unstated("limits", spreader.path, spreader.part.item.id, why=why)

    def _load_at(self, spreader: Gathering) -> float:
        """Where the middle of the legs below is along a spreader, in mm."""
        places = []
        for leg in spreader.legs:
            ends = self._places_of(leg, spreader)
            places.append((sum(ends) / len(ends), leg.loaded_legs))
        return sum(at * count for at, count in places) / sum(count for _, count in places)

    def _places_of(self, leg: Leg, spreader: Gathering) -> list[float]:
        """Where along a spreader a leg below it hangs, in mm: by one end, or a basket by both."""
        ports = [leg.port or _port_above(leg, spreader)]
        if leg.is_basket and leg.to is spreader:
            ports.append(leg.end_port)
        return [self.port_at(spreader, port) for port in ports]

    def upper_angle(self) -> float:
        """The flattest of the legs that the spreader hangs by, in deg from the horizontal."""
        spreader = self.sling.spreader
        return 90.0 if spreader is None else min(self.upper_hang(spreader).angles)

    def depth(self, gathering: Gathering | None) -> float:
        """How far below the sling's upper bearing point things hang in a gathering part, in mm.

        Under a spreader by the height that its upper legs give it.
        """
        if gathering is None or not gathering.held_by:
            return super().depth(gathering)
        upper = self.depth(gathering.held_by[0].on) + self.upper_hang(gathering).hook[2]
        return upper + gathering.part.effective_length


def _port_above(leg: Leg, spreader: Gathering) -> str | None:
    """The port of a spreader that a leg hangs under by a link."""
    on = leg.on
    while on is not None and on.above is not spreader:
        on = on.above
    return on.port if on is not None else None


def _point(at: Sequence[float]) -> Vector:
    x, y, z = at
    return float(x), float(y), float(z)


def _hook_over(
    picks: Sequence[Vector], center: Vector, reaches: Sequence[float], refs: Sequence[str]
) -> Vector:
    from ..figures.hook_place import DoNotMeet, hook_from_reaches

    try:
        return hook_from_reaches(picks, center, reaches).hook
    except DoNotMeet as error:
        named = tuple(refs[place] for place in error.legs)
        raise LegsDoNotMeet(f"{error} (legs {', '.join(named)})", named) from None


def _hang(
    refs: tuple[str, ...],
    legs: tuple[Leg, ...],
    picks: Sequence[Vector],
    center: Vector,
    hook: Vector,
    mass: float,
) -> Hang:
    from ..figures.statics import Indeterminate, lift

    try:
        hung = lift(picks, center, hook, mass)
    except Indeterminate as error:
        raise _gap(str(error), error.legs, refs) from None
    if not hung.balanced:
        why = "no pull of its legs holds the load so: its center of gravity is outside of them"
        raise Unstated("load_geometry", "the duty", key=GEOMETRY, why=why)
    return Hang(refs, legs, hung, hook, mass, tuple(dist(hook, pick) for pick in picks))


def _gap(why: str, places: Sequence[int], refs: Sequence[str]) -> Unstated:
    names = ", ".join(refs[place] for place in places) or "none"
    text = f"{why} (legs {names}); a qualified person rates this lift"
    return Unstated("load_geometry", "the duty", key=GEOMETRY, why=text)
