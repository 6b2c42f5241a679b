"""Builds, catalogs and policies as they are written: plain frozen data, no judgment.

A field that a file leaves out is None, or an empty tuple for a list. The names are
those of the file formats in `specs/formats/`.
"""

from __future__ import annotations

import datetime
from typing import Any, Literal, NewType

from attrs import field, frozen

from .quantities import Angle, Length, Load, Offset, Temperature

Grade = NewType("Grade", int)
Count = NewType("Count", int)
Tally = NewType("Tally", int)
Factor = NewType("Factor", float)
Readings = NewType("Readings", tuple[Length, ...])
Ref = NewType("Ref", str)
ItemId = NewType("ItemId", str)

Basis = Literal["US", "EN"]
Hitch = Literal["straight", "bridle", "basket", "choker"]
Service = Literal["normal", "severe", "special"]
Shape = Literal["oblong", "ring", "pear"]
Steel = Literal["alloy", "carbon", "stainless"]
Process = Literal["forged", "welded", "cast"]
LegKind = Literal["chain", "wire-rope", "web", "roundsling", "fiber-rope"]
Level = Literal["error", "warning", "note"]
SettingLevel = Literal["off", "error", "warning", "note"]
FailOn = Literal["error", "warning", "note", "open"]
Kind = Literal[
    "master-link",
    "intermediate-link",
    "end-link",
    "link-assembly",
    "chain",
    "coupling-link",
    "sling-hook",
    "grab-hook",
    "foundry-hook",
    "self-locking-hook",
    "crane-hook",
    "fork-attachment",
    "shortener",
    "shackle",
    "wire-rope",
    "grommet",
    "eye",
    "web",
    "roundsling",
    "fiber-rope",
    "spreader",
    "eyebolt",
    "hoist-ring",
    "swivel",
]
PinPlace = Literal["above", "below"]
EyeForm = Literal["thimble", "soft", "swaged", "socket"]
InspectionKind = Literal["initial", "frequent", "periodic"]
Splice = Literal["mechanical", "hand", "swaged", "poured"]

GRADES = (30, 40, 43, 50, 60, 70, 80, 100, 120)
EN_GRADES = {4: 40, 5: 50, 6: 60, 8: 80, 10: 100, 12: 120}
LINK_KINDS = frozenset({"master-link", "intermediate-link", "end-link"})
HOOK_KINDS = frozenset({"sling-hook", "grab-hook", "foundry-hook", "self-locking-hook"})
ROPE_KINDS = frozenset({"wire-rope", "grommet"})
TEXTILE_KINDS = frozenset({"web", "roundsling", "fiber-rope"})
BY_DIAMETER = ROPE_KINDS | {"fiber-rope"}
LEG_KINDS = frozenset({"chain"}) | ROPE_KINDS | TEXTILE_KINDS


@frozen
class LegAngle:
    """A leg's angle, said from where; exactly one of the two is given."""

    from_horizontal: Angle | None = None
    from_vertical: Angle | None = None

    @property
    def horizontal(self) -> float:
        """The angle from the horizontal, in deg."""
        if self.from_horizontal is not None:
            return float(self.from_horizontal)
        return 90.0 - float(self.from_vertical or 0.0)


@frozen
class TagAngle:
    """A leg's angle on a tag: one angle, or a range from the steeper to the flatter end."""

    from_horizontal: Angle | tuple[Angle, Angle] | None = None
    from_vertical: Angle | tuple[Angle, Angle] | None = None

    @property
    def flattest(self) -> float:
        """The flattest angle that the tag speaks of, in deg from the horizontal."""
        if self.from_horizontal is not None:
            return min(_ends(self.from_horizontal))
        return 90.0 - max(_ends(self.from_vertical or Angle(0.0)))

    @property
    def steepest(self) -> float:
        """The steepest angle that the tag speaks of, in deg from the horizontal."""
        if self.from_horizontal is not None:
            return max(_ends(self.from_horizontal))
        return 90.0 - min(_ends(self.from_vertical or Angle(0.0)))


def _ends(angle: Angle | tuple[Angle, Angle]) -> tuple[float, ...]:
    return tuple(map(float, angle)) if isinstance(angle, tuple) else (float(angle),)


# Builds


@frozen
class Assembly:
    """The head of a build: its name, and the practice that it follows."""

    id: ItemId
    basis: Basis
    title: str = ""
    designation: str | None = None
    reach: Length | None = None
    extra: dict[str, Any] = field(factory=dict)


@frozen
class TemperatureRange:
    """The coldest and the hottest that the sling gets in use; one of them may be left out."""

    low: Temperature | None = None
    high: Temperature | None = None


@frozen
class PickPoint:
    """Where the lower bearing point of a leg lies: x, y, and z upward, in mm."""

    leg: str
    at: tuple[Offset, Offset, Offset]


@frozen
class LoadGeometry:
    """Mass of a load in kg, and where it is held and hangs, in mm from one origin."""

    mass: Load
    center_of_gravity: tuple[Offset, Offset, Offset]
    pick_points: tuple[PickPoint, ...]
    hook_height: Offset | None = None
    pocket_links: dict[str, Count] = field(factory=dict)


@frozen
class Lug:
    """The load's own lug, which the lowest part of each leg takes hold of.

    `off_axis` is the angle between the leg's pull and the plane of the lug, or the axis of the
    eyebolt or hoist ring that is screwed into the load.
    """

    hole: Length | None = None
    thickness: Length | None = None
    off_axis: Angle | None = None


@frozen
class Duty:
    """What the sling is for. A policy's `[duty]` fills what a build leaves out."""

    hitch: Hitch | None = None
    angle: LegAngle | None = None
    hung_from: str | None = None
    load: Load | None = None
    load_is_rigid: bool | None = None
    temperature: TemperatureRange | None = None
    edge_radius: Length | None = None
    choke_angle: Angle | None = None
    service: Service | None = None
    environment: tuple[str, ...] | None = None
    lug: Lug | None = None
    load_geometry: LoadGeometry | None = None


@frozen
class PartEntry:
    """A part that gathers legs, as a build names it."""

    ref: Ref
    item: str
    on: str | None = None
    pin_in: PinPlace | None = None


@frozen
class LegPart:
    """An item of a leg, as a build names it; chain has links, what is cut a length in mm."""

    item: str
    links: Count | None = None
    length: Length | None = None
    pin_in: PinPlace | None = None


@frozen
class Adjust:
    """How a leg is shortened: into a pocket of the sling, or into a branch beside it."""

    pocket: str | None = None
    on: str | None = None
    branch: tuple[LegPart, ...] = ()
    reaches: tuple[Length, ...] = ()
    tolerance: Length | None = None
    first_link: Count | None = None


@frozen
class LegEntry:
    """Identical legs as a build describes them, from the top down."""

    ref: Ref
    parts: tuple[LegPart, ...]
    on: str | None = None
    count: Count = Count(1)
    to: str | None = None
    endless: bool = False
    chokes_in: str | None = None
    reach: Length | None = None
    angle: LegAngle | None = None
    adjust: Adjust | None = None


@frozen
class TagRating:
    """One row of a tag: a load in kg, and the use that it holds for."""

    load: Load
    hitch: Hitch | None = None
    angle: TagAngle | None = None
    temperature: Temperature | None = None
    choke_angle: Angle | None = None
    edge_radius: Length | None = None


@frozen
class Tag:
    """What the identification tag will say."""

    manufacturer: str | None = None
    grade: Grade | None = None
    size: str | None = None
    legs: Count | None = None
    reach: Length | None = None
    serial: str | None = None
    material: str | None = None
    rating: tuple[TagRating, ...] = ()


@frozen
class Proof:
    """The proof test ordered: the pull, in kg, on each leg and on each kind of link."""

    leg_load: Load | None = None
    intermediate_load: Load | None = None
    master_load: Load | None = None


@frozen
class DeviationPermit:
    """Leave, before the work, to depart from a rule for a use and a time or number."""

    rule: str
    part: str | None = None
    use: str | None = None
    justification: str | None = None
    approved_by: str | None = None
    until: datetime.date | None = None
    quantity: Count | None = None


@frozen
class Build:
    """A type of sling, as its file describes it."""

    assembly: Assembly
    duty: Duty = Duty()
    part: tuple[PartEntry, ...] = ()
    leg: tuple[LegEntry, ...] = ()
    tag: Tag | None = None
    proof: Proof | None = None
    deviation_permit: tuple[DeviationPermit, ...] = ()


# Catalogs


@frozen
class ChartRow:
    """One use that a link's sheet gives a limit for: the greatest load on the whole sling."""

    leg: LegKind
    limit: Load
    size: str
    grade: Grade | None = None
    legs: tuple[Count, ...] = (Count(1),)
    angle: LegAngle | None = None
    design_factor: Factor | None = None


@frozen
class LimitFor:
    """The use that a link's own limit holds for."""

    legs: Count | None = None
    angle: LegAngle | None = None


@frozen
class Pocket:
    """A chain pocket built into a link: `height` of the link lying in it above the leg's bearing
    point."""

    height: Offset | None = None
    size: str | None = None
    grade: Grade | None = None
    count: Count | None = None
    first_link: Count | None = None


@frozen
class NamedLink:
    """A link of a link assembly: its name there, and the item that it is."""

    name: Ref
    item: str


@frozen
class Port:
    """Where a leg hangs on a spreader, in mm from the middle."""

    name: Ref
    at: Offset


@frozen
class AngleLimit:
    """The share of its limit that an item keeps when it is pulled up to so far off its axis."""

    up_to: Angle
    factor: Factor


@frozen
class SpreaderLimit:
    """What a spreader may carry, in kg, at an angle of the legs above it."""

    load: Load
    angle: LegAngle | None = None


@frozen
class ItemSheet:
    """One catalog item. Anything that its sheet does not state is None."""

    id: ItemId
    kind: Kind
    title: str = ""
    steel: Steel | None = None
    process: Process | None = None
    grade: Grade | None = None
    size: str | None = None
    design_factor: Factor | None = None
    working_load_limit: Load | None = None
    choker_limit: Load | None = None
    limit_for: LimitFor | None = None
    mass: Load | None = None
    source: str | None = None
    extra: dict[str, Any] = field(factory=dict)
    # links
    shape: Shape | None = None
    bar: Length | None = None
    flat: Length | None = None
    inside_length: Length | None = None
    inside_width: Length | None = None
    top_width: Length | None = None
    chart: tuple[ChartRow, ...] = ()
    pocket: Pocket | None = None
    links: tuple[NamedLink, ...] = ()
    # chain, couplings, hooks, shorteners
    pitch: Length | None = None
    opening: Length | None = None
    seat_width: Length | None = None
    seat_depth: Length | None = None
    effective_length: Length | None = None
    throat: Length | None = None
    seat_diameter: Length | None = None
    straight_seat: bool | None = None
    latch: bool | None = None
    strength_factor: Factor | None = None
    pocket_height: Offset | None = None
    # what a sling hangs from
    saddle_width: Length | None = None
    saddle_height: Length | None = None
    bow_width: Length | None = None
    jaw_width: Length | None = None
    pin: Length | None = None
    pin_type: str | None = None
    # wire rope and synthetics
    diameter: Length | None = None
    construction: str | None = None
    core: str | None = None
    rope_grade: str | None = None
    breaking_load: Load | None = None
    form: EyeForm | None = None
    splice: Splice | None = None
    efficiency: Factor | None = None
    eye_length: Length | None = None
    eye_width: Length | None = None
    material: str | None = None
    color: str | None = None
    width: Length | None = None
    bearing_width: Length | None = None
    thickness: Length | None = None
    plies: Count | None = None
    # spreaders and hardware
    ports: tuple[Port, ...] = ()
    length: Length | None = None
    limits: tuple[SpreaderLimit, ...] = ()
    angle_limits: tuple[AngleLimit, ...] = ()


@frozen
class CatalogHead:
    """The head of a catalog: its name, and where its figures come from."""

    id: ItemId
    basis: Basis
    title: str = ""
    edition: datetime.date | str | None = None
    source: str | None = None


@frozen
class CatalogFile:
    """A list of items with the figures that their makers' sheets state."""

    catalog: CatalogHead
    item: tuple[ItemSheet, ...] = ()


# Records


@frozen
class Certificate:
    """The certificate of a proof test: the pulls that were held, in kg."""

    number: str | None = None
    on: datetime.date | None = None
    proof_leg_load: Load | None = None
    proof_intermediate_load: Load | None = None
    proof_master_load: Load | None = None


@frozen
class RecordHead:
    """The head of a record: the sling, and the build that it was made to."""

    build: ItemId
    serial: str
    made: datetime.date | None = None
    certificate: Certificate | None = None


@frozen
class OverLinks:
    """A length of chain measured over so many links."""

    links: Count
    length: Length


@frozen
class BrokenWires:
    """How many broken wires of a rope were counted."""

    in_one_lay: Tally | None = None
    in_one_strand: Tally | None = None


@frozen
class OuterWire:
    """The diameter of a rope's outer wires, new and where they are worn most."""

    new: Length
    worn: Length


@frozen
class Measured:
    """What was measured of one part, at its smallest place; `damage` is what was seen."""

    part: str
    bar: Readings | None = None
    over_links: OverLinks | None = None
    throat: Length | None = None
    twist: Angle | None = None
    broken_wires: BrokenWires | None = None
    outer_wire: OuterWire | None = None
    damage: tuple[str, ...] = ()


@frozen
class Inspection:
    """One inspection: its day, its kind and what was measured."""

    on: datetime.date
    kind: InspectionKind
    next_due: datetime.date | None = None
    measured: tuple[Measured, ...] = ()


@frozen
class RecordFile:
    """One sling made to a build: serial, certificate and inspections."""

    record: RecordHead
    inspection: tuple[Inspection, ...] = ()


# Policies


@frozen
class Practice:
    """How a shop reads the standards where they leave room."""

    four_legs_count: Literal[2, 3] = 3
    angles: Literal["listed", "exact"] = "listed"
    usable_arc: Angle = Angle(150.0)
    length_tolerance: Length | None = None


@frozen
class Requirement:
    """An in-house rule as data: what those that `of` selects must be."""

    name: str
    must: dict[str, Any]
    because: str
    level: Level = "error"
    about: Literal["part", "item", "sling"] = "part"
    of: dict[str, Any] = field(factory=dict)


@frozen
class FolderTable:
    """What differs for the builds and records of one folder."""

    fail_on: tuple[FailOn, ...] | None = None
    duty: Duty = Duty()
    practice: dict[str, Any] = field(factory=dict)
    rules: dict[str, dict[str, Any]] = field(factory=dict)


@frozen
class PolicyFile:
    """The company's own standard, as `riglint.toml` states it."""

    catalogs: tuple[str, ...] = ()
    fail_on: tuple[FailOn, ...] | None = None
    based_on: str | None = None
    packs: tuple[str, ...] = ()
    house_rules: tuple[str, ...] = ()
    duty: Duty = Duty()
    practice: Practice = Practice()
    rules: dict[str, dict[str, Any]] = field(factory=dict)
    requirement: tuple[Requirement, ...] = ()
    folder: dict[str, FolderTable] = field(factory=dict)


# Known findings


@frozen
class KnownEntry:
    """A finding that is known, as a list of known findings states it.

    It names one of build, catalog and record by its id or serial, or none of them where the
    finding is about the library. `at` is the datum without places in lists, as in
    `leg.parts.item`; `count` says how many findings are alike; past `until` they stand again.
    """

    rule: str
    build: str | None = None
    catalog: str | None = None
    record: str | None = None
    part: str = ""
    at: str = ""
    found: str = ""
    limit: str = ""
    count: Count = Count(1)
    until: datetime.date | None = None


@frozen
class KnownFile:
    """The list of known findings of a library."""

    known: tuple[KnownEntry, ...] = ()
