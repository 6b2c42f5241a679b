"""What hangs on what: the parts, legs and gathering links of one build, from the top down.

Whether the sling is any good is the rules' matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Any

from attrs import evolve, field, fields, frozen

from .finding import Finding, Key, Unstated
from .model import (
    LEG_KINDS,
    LINK_KINDS,
    ROPE_KINDS,
    TEXTILE_KINDS,
    Adjust,
    Basis,
    Build,
    ChartRow,
    Duty,
    ItemSheet,
    LegEntry,
    PinPlace,
    Port,
    Practice,
)
from .quantities import METRIC_UNITS, US_UNITS, Angle, Length, Load, Units
from .source import Document
from .stock import Item, Sheet, finding_at


@frozen(eq=False)
class Part(Sheet):
    """A real item at a place in the sling. Its data are its item's: `part.bar`, `part.grade`.

    `path` is `ref` for what gathers legs and `leg/item` in a leg. The parts of identical legs
    are one Part, which names the others in `also`.
    """

    path: str
    item: Item
    sling: Sling = field(repr=False)
    key: Key = field(repr=False)
    sheet: ItemSheet = field(repr=False)
    leg: Leg | None = field(default=None, repr=False)
    links: int | None = None
    length: Length | None = None
    in_branch: bool = False
    assembly: Item | None = field(default=None, repr=False)
    pin_in: PinPlace | None = field(default=None, repr=False)

    @property
    def also(self) -> tuple[str, ...]:
        """The paths of the same part in the other identical legs."""
        if self.leg is None:
            return ()
        below = self.path.removeprefix(self.leg.refs[0])
        return tuple(ref + below for ref in self.leg.refs[1:])

    @property
    def run(self) -> tuple[Part, ...]:
        """The parts that it stands in line with, from the top down: its leg's, or its branch's."""
        if self.leg is None:
            return (self,)
        return self.leg.branch if self.in_branch else self.leg.parts

    @property
    def is_link(self) -> bool:
        """Whether it is a master link, an intermediate link or an end link."""
        return self.sheet.kind in LINK_KINDS

    @property
    def chart(self) -> tuple[ChartRow, ...]:
        """The uses that its sheet, or that of the assembly it belongs to, gives limits for."""
        if self.assembly is not None:
            return self.sheet.chart + self.assembly.chart
        return self.sheet.chart

    def unstated(self, datum: str) -> Unstated:
        """The `Unstated` to raise for a datum that its sheet leaves out."""
        item = self.item
        return Unstated(datum, self.path, item.id, f"/item/{item.index}/{datum}")

    def unknown_turn(self) -> Unstated:
        """The `Unstated` to raise where it is not said which way a shackle is turned."""
        why = f"the build does not say whether the pin of {self.path} is above or below (pin_in)"
        return Unstated("pin_in", self.path, why=why)

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding at this part.

        `message` and `remedy` are templates over the facts: {part}, {found}, {limit} and any
        others; give quantities (`Length(12.7)`), not texts, so that the reports show units.
        """
        return finding_at(self, self.sling.units, message, facts)


@frozen(eq=False)
class Leg:
    """Identical legs of a sling: `count` of them, each with these parts from the top down."""

    refs: tuple[str, ...]
    entry: LegEntry = field(repr=False)
    sling: Sling = field(repr=False)
    key: Key = field(repr=False)
    on: Gathering | None = field(repr=False)
    to: Gathering | None = field(default=None, repr=False)
    parts: tuple[Part, ...] = field(factory=tuple, repr=False)
    branch: tuple[Part, ...] = field(factory=tuple, repr=False)
    branch_on: Gathering | None = field(default=None, repr=False)
    pocket: Part | None = field(default=None, repr=False)
    holds: Gathering | None = field(default=None, repr=False)

    @property
    def path(self) -> str:
        """The ref of the first of these legs: where findings about them are."""
        return self.refs[0]

    @property
    def also(self) -> tuple[str, ...]:
        """The refs of the other identical legs."""
        return self.refs[1:]

    @property
    def count(self) -> int:
        """How many identical legs these are."""
        return len(self.refs)

    @property
    def adjust(self) -> Adjust | None:
        """How it is shortened, as written; None where it is not."""
        return self.entry.adjust

    @property
    def is_basket(self) -> bool:
        """Whether it is hung by both ends, with the load in its bight."""
        return self.entry.to is not None and self.holds is None

    @property
    def loaded_legs(self) -> int:
        """How many loaded legs these are: a leg hung by both ends is two."""
        return self.count * (2 if self.is_basket else 1)

    @property
    def port(self) -> str | None:
        """The port of a spreader that it hangs on; None where it hangs on none."""
        return _port(self.on, self.entry.on)

    @property
    def end_port(self) -> str | None:
        """The port of the spreader that its lower end holds, or hangs on."""
        return _port(self.to, self.entry.to)

    @cached_property
    def material(self) -> Part | None:
        """The chain, rope, web or roundsling of the leg, the first where there are more."""
        return next((part for part in self.parts if part.kind in LEG_KINDS), None)

    @cached_property
    def materials(self) -> tuple[Part, ...]:
        """All that the leg is made of, where it is made of more than one thing.

        Raises Unstated for a leg of fittings alone.
        """
        return tuple(p for p in self.parts if p.kind in LEG_KINDS) or (self.rope,)

    @property
    def kind(self) -> str | None:
        """What the leg is made of, one of LEG_KINDS; None for a leg of fittings alone."""
        return self.material.kind if self.material else None

    @property
    def rope(self) -> Part:
        """What the leg is made of; raises Unstated for a leg of fittings alone."""
        if self.material is None:
            why = f"{self.path} has neither chain, rope nor web"
            raise Unstated("chain, rope or web", self.path, why=why)
        return self.material

    @property
    def chain(self) -> Part:
        """The leg's chain; raises Unstated where it has none."""
        if self.material is None or self.material.kind != "chain":
            raise Unstated("chain", self.path, why=f"{self.path} is no chain leg")
        return self.material

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about this leg; see `Part.finding`."""
        return finding_at(self, self.sling.units, message, facts)


@frozen
class Seat:
    """What hangs in the bottom of a gathering part: so many of this part, side by side."""

    part: Part
    count: int


@frozen(eq=False)
class Gathering:
    """A part that gathers legs, with what hangs directly on it and all that hangs below."""

    part: Part
    above: Gathering | None = field(repr=False)
    below: Sequence[Gathering] = field(factory=list, repr=False)
    own_legs: Sequence[Leg] = field(factory=list, repr=False)
    held_by: Sequence[Leg] = field(factory=list, repr=False)
    port: str | None = None

    @property
    def path(self) -> str:
        """The ref of its part: where findings about it are."""
        return self.part.path

    @property
    def key(self) -> Key:
        """Where its part stands in the build's file."""
        return self.part.key

    @property
    def also(self) -> tuple[str, ...]:
        """Nothing: there is one of each."""
        return ()

    @property
    def sling(self) -> Sling:
        """The sling that it belongs to."""
        return self.part.sling

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs that hang on it, directly or through lower links."""
        return (*self.own_legs, *(leg for lower in self.below for leg in lower.legs))

    @cached_property
    def loaded_legs(self) -> int:
        """How many loaded legs hang below: each end of a leg hung by both ends is one."""
        own = sum(leg.count for leg in (*self.own_legs, *self.ends_here))
        return own + sum(lower.loaded_legs for lower in self.below)

    @property
    def ends_here(self) -> tuple[Leg, ...]:
        """The legs whose lower end hangs on it too."""
        return tuple(leg for leg in self.sling.legs if leg.to is self and leg.holds is None)

    @property
    def ports(self) -> tuple[Port, ...]:
        """Where legs hang on a spreader; nothing for any other part."""
        return self.part.sheet.ports if self.part.kind == "spreader" else ()

    @cached_property
    def borne(self) -> int:
        """How many of the legs that take the load hang on it, through spreaders too."""
        held = {id(leg.holds): leg.holds for leg in self.legs if leg.holds is not None}
        through = sum(spreader.borne for spreader in held.values())
        upper = sum(leg.count for leg in self.legs if leg.holds is not None)
        return self.loaded_legs - upper + through

    @property
    def gathers_all(self) -> bool:
        """Whether every leg that takes the load hangs on it."""
        return self.borne == self.sling.loaded_legs

    @cached_property
    def seats(self) -> tuple[Seat, ...]:
        """What sits in its bottom: the tops of its own legs, branches, and lower links."""
        lower = (Seat(gathering.part, 1) for gathering in self.below)
        tops = (Seat(leg.parts[0], leg.count) for leg in self.own_legs)
        ends = (Seat(leg.parts[-1], leg.count) for leg in self.ends_here)
        branches = (
            Seat(leg.branch[0], leg.count)
            for leg in self.sling.legs
            if leg.branch and leg.branch_on is self
        )
        return (*lower, *tops, *ends, *branches)

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding at this link; see `Part.finding`."""
        return self.part.finding(message, **facts)


@frozen(eq=False)
class Sling:
    """One build with real items: what it hangs from, its gathering parts and its legs."""

    build: Build = field(repr=lambda build: build.assembly.id)
    document: Document = field(repr=False)
    practice: Practice = field(repr=False)
    duty: Duty = field(repr=False)
    hung_from: Item | None = field(repr=False)
    gatherings: Sequence[Gathering] = field(factory=list, repr=False)
    legs: Sequence[Leg] = field(factory=list, repr=False)

    def complete(self) -> None:
        """Everything hangs: from here on nothing of the sling can be changed."""
        for gathering in self.gatherings:
            for name in ("below", "own_legs"):
                object.__setattr__(gathering, name, tuple(getattr(gathering, name)))
        for name in ("gatherings", "legs"):
            object.__setattr__(self, name, tuple(getattr(self, name)))

    @property
    def id(self) -> str:
        """The name of the build."""
        return self.build.assembly.id

    @property
    def path(self) -> str:
        """The name of the build: where findings about the sling are."""
        return self.build.assembly.id

    @property
    def key(self) -> Key:
        """Where the build's head stands in its file."""
        return ("assembly",)

    @property
    def sling(self) -> Sling:
        """Itself, as of every subject."""
        return self

    @property
    def basis(self) -> Basis:
        """Whose tables, leg factors and tag rules apply: US or European practice."""
        return self.build.assembly.basis

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Every part from the top down; the parts of identical legs once."""
        in_legs = (part for leg in self.legs for part in (*leg.parts, *leg.branch))
        return (*(gathering.part for gathering in self.gatherings), *in_legs)

    @property
    def tops(self) -> tuple[Gathering, ...]:
        """What hangs on the lifting point itself."""
        return tuple(g for g in self.gatherings if g.above is None and not g.held_by)

    @cached_property
    def bearing_legs(self) -> tuple[Leg, ...]:
        """The legs that take the load: all but those that a spreader hangs by."""
        return tuple(leg for leg in self.legs if leg.holds is None)

    @cached_property
    def loaded_legs(self) -> int:
        """How many loaded legs there are: a leg hung by both ends is two."""
        return sum(leg.loaded_legs for leg in self.bearing_legs)

    @property
    def is_basket(self) -> bool:
        """Whether any of its legs is hung by both ends."""
        return any(leg.is_basket for leg in self.bearing_legs)

    @cached_property
    def spreader(self) -> Gathering | None:
        """The spreader between two tiers of legs; None where there is none, or more than one."""
        held = [gathering for gathering in self.gatherings if gathering.held_by]
        return held[0] if len(held) == 1 else None

    @cached_property
    def has_spreader(self) -> bool:
        """Whether legs hang below a spreader."""
        return any(gathering.part.kind == "spreader" for gathering in self.gatherings)

    @cached_property
    def legs_differ(self) -> bool:
        """Whether its legs stand differently on purpose, so that no table for equal legs rates
        them."""
        legs = self.bearing_legs
        if self.loaded_legs < 2:
            return False
        return len({leg.entry.reach for leg in legs}) > 1 or any(leg.entry.angle for leg in legs)

    @cached_property
    def leg_kinds(self) -> frozenset[str | None]:
        """What its legs are made of; None among them for a leg of fittings alone."""
        return frozenset(leg.kind for leg in self.legs)

    @cached_property
    def family(self) -> str | None:
        """What all its legs are made of: chain, rope or textile; None where they differ."""
        families = {_FAMILY.get(kind or "") for kind in self.leg_kinds}
        return families.pop() if len(families) == 1 else None

    @property
    def is_chain_sling(self) -> bool:
        """Whether every leg is of chain."""
        return self.leg_kinds == {"chain"}

    @cached_property
    def chain(self) -> Part:
        """The chain that the others are held against: of the grade that most legs have.

        Of two grades that as many legs have, that of most parts counts. Raises Unstated where
        the sling has no chain, or one of them no stated grade.
        """
        legs = [leg for leg in self.legs if leg.kind == "chain"]
        if not legs:
            raise Unstated("chain", why="the sling has no chain")
        count: dict[int, int] = {}
        for leg in legs:
            count[leg.chain.grade] = count.get(leg.chain.grade, 0) + leg.count
        if len(count) == 1:
            return legs[0].chain
        parts = [part.get("grade") for part in self.parts]
        return max(
            (leg.chain for leg in legs),
            key=lambda chain: (count[chain.grade], parts.count(chain.grade), chain.grade),
        )

    @property
    def planned_load(self) -> Load | None:
        """The heaviest load planned: the duty's, or that of its load geometry; None if neither."""
        geometry = self.duty.load_geometry
        loads = [self.duty.load, geometry.mass if geometry else None]
        return max((load for load in loads if load is not None), default=None)

    @property
    def hitch(self) -> str:
        """How it takes the load; raises Unstated where the duty does not say."""
        if self.duty.hitch is None:
            raise Unstated("hitch", "the duty", key="/duty/hitch")
        return self.duty.hitch

    @property
    def angle(self) -> float:
        """The legs' angle in the planned use, in deg from the horizontal; 90 if straight."""
        if self.hitch == "straight":
            return 90.0
        if self.duty.angle is None:
            raise Unstated("angle", "the duty", key="/duty/angle")
        return self.duty.angle.horizontal

    def grade_name(self, grade: int) -> str:
        """A grade as the basis names it: EN calls grade 80 and 100 chain 8 and 10."""
        if self.basis == "EN" and grade % 10 == 0 and grade != 30:
            return str(grade // 10)
        return str(grade)

    @property
    def measured_from(self) -> str:
        """Where the basis measures leg angles from: the horizontal (US) or the vertical (EN)."""
        return "horizontal" if self.basis == "US" else "vertical"

    def as_measured(self, from_horizontal_deg: float) -> Angle:
        """A leg angle as the basis measures it."""
        return Angle(from_horizontal_deg if self.basis == "US" else 90.0 - from_horizontal_deg)

    @cached_property
    def units(self) -> Units:
        """The units that the build is written in, and so those of its reports."""
        usual = US_UNITS if self.basis == "US" else METRIC_UNITS
        length = next(_written_lengths(self.build), None)
        load = next(_written_loads(self.build), None)
        warmth = self.duty.temperature
        ends = [end for end in (warmth.high, warmth.low) if end is not None] if warmth else []
        return Units(
            length=("in" if length in ("in", "ft") else "mm") if length else usual.length,
            load=_load_unit(load) if load else usual.load,
            temperature=(ends[0].unit if ends else None) or usual.temperature,
        )

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about the whole sling; see `Part.finding`."""
        return finding_at(self, self.units, message, facts)


_FAMILY = {"chain": "chain"}
_FAMILY |= dict.fromkeys(ROPE_KINDS, "rope") | dict.fromkeys(TEXTILE_KINDS, "textile")


def _port(gathering: Gathering | None, name: str | None) -> str | None:
    """The port in a name of what is hung on; a link of an assembly is no port."""
    if gathering is None or gathering.part.kind != "spreader":
        return None
    return (name or "").partition("/")[2] or None


def _load_unit(unit: str) -> str:
    return {"lbf": "lb", "N": "kN"}.get(unit, unit)


def _written_lengths(build: Build) -> Iterator[str | None]:
    """The units of the lengths that a build is written in, the telling ones first."""
    tag, legs = build.tag, build.leg
    lengths = [build.assembly.reach, tag.reach if tag else None, *(leg.reach for leg in legs)]
    lengths += [reach for leg in legs if leg.adjust for reach in leg.adjust.reaches]
    return (length.unit for length in lengths if length is not None)


def _written_loads(build: Build) -> Iterator[str | None]:
    tag, proof = build.tag, build.proof
    loads = [build.duty.load, *(row.load for row in (tag.rating if tag else ()))]
    loads += [proof.leg_load, proof.master_load] if proof else []
    return (load.unit for load in loads if load is not None)


def with_defaults(duty: Duty, defaults: Duty) -> Duty:
    """The duty with the policy's defaults for whatever it leaves out."""
    if defaults == Duty():
        return duty
    left_out = {
        attribute.name: getattr(defaults, attribute.name)
        for attribute in fields(Duty)
        if getattr(duty, attribute.name) is None
    }
    return evolve(duty, **left_out)
