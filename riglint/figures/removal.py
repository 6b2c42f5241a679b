"""How far a part may wear, stretch, open or twist before it is taken out of service.

The figures stand in the tables removal, us-chain-wear and us-chain-thickness; a figure that is
from memory decides nothing.
"""

from __future__ import annotations

from typing import Any, Literal

from attrs import frozen

from ..model import HOOK_KINDS, LINK_KINDS
from ..quantities import Angle, Length
from ..tables import FROM_MEMORY, Sourced, Table, chain_size, table

StretchBy = Literal["cargo-chain", "course", "queensland"]
ThroatBy = Literal["5-percent", "15-percent"]
TwistBy = Literal["any", "10-deg"]
BrokenWhere = Literal["in one lay", "in one strand of one lay"]

HARDWARE = LINK_KINDS | {"coupling-link", "shackle", "swivel", "eyebolt", "hoist-ring"}
ROUNDING = 1e-9


@frozen
class Limit:
    """How far a dimension may go, in mm (deg for a twist), and by which source.

    `at_limit` says that the part goes when it reaches the limit, otherwise only beyond it.
    """

    value: Length | Angle
    source: str
    at_limit: bool = False

    def undercut_by(self, found: float) -> bool:
        """Whether a dimension that wear makes smaller is past the limit."""
        slack = ROUNDING * abs(self.value)
        return found <= self.value + slack if self.at_limit else found < self.value - slack

    def exceeded_by(self, found: float) -> bool:
        """Whether a dimension that use makes larger is past the limit."""
        slack = ROUNDING * abs(self.value)
        return found >= self.value - slack if self.at_limit else found > self.value + slack


@frozen
class BarLimits:
    """Of a section: below `removed` it is taken out, from `kept` up it stays in service.

    Between the two no retrieved source decides; `remembered` is what memory has there.
    `removed` is None where no retrieved source removes it at all.
    """

    removed: Limit | None
    kept: Limit
    remembered: Limit | None = None


@frozen
class RemovalCard:
    """The dimensions at which a part is still in service; None where none applies."""

    smallest_bar: Limit | None
    longest: Limit | None
    widest_throat: Limit | None


def bar_limits(kind: str, basis: str, nominal_mm: float) -> BarLimits:
    """How thin a section may wear, in mm, from its nominal one (chain: its millimetre size).

    Chain: 29 CFR 1910.184, Table N-184-1 (US); 10 % by DIN 685:2020-08 (EN), which is stricter
    than all that US sources say. Links and hardware: 10 % by ASME B30.26-2004, 26-4.8.4, and by
    DIN 685; US shackles by WAC 296-155-33900, Table 19. Hooks: 10 % by WAC 296-155-55800, Table 12,
    and the Queensland guide. Raises
    LookupError for a kind that no source has a limit for.
    """
    if kind == "chain" and basis == "US":
        thinnest = _tenth_off("chain-en", nominal_mm)
        return BarLimits(_table_minimum(nominal_mm), thinnest, _remembered_minimum(nominal_mm))
    if kind in HOOK_KINDS:
        name = "hook-us" if basis == "US" else "hook-en"
    elif kind == "shackle" and basis == "US":
        name = "shackle-us"
    elif kind == "chain" or kind in HARDWARE:
        name = "hardware-us" if basis == "US" else "chain-en"
    else:
        raise LookupError(f"no source says how far a {kind.replace('-', ' ')} may wear")
    limit = _tenth_off(name, nominal_mm)
    return BarLimits(limit, limit)


def longest(basis: str, pitch_mm: float, links: int, by: StretchBy = "cargo-chain") -> Limit:
    """How long so many links may measure, in mm; new they are links x pitch.

    EN: 5 % by DGUV 209-021. US sources conflict; `by` chooses: 5 % (29 CFR 1919.25), 3 % (a
    course note) or 10 % (Queensland guide).
    """
    row = _row("stretch", "en" if basis == "EN" else by)
    return Limit(Length(links * pitch_mm * (1 + row["share"])), row["source"], row["at_limit"])


def widest_throat(throat_mm: float, by: ThroatBy = "5-percent") -> Limit:
    """How wide a hook's throat may open, in mm, from its nominal width.

    Sources conflict; `by` chooses: 5 %, at most 1/4 in (WAC 296-155-55800, Table 12), or 15 %
    (DOE-STD-1090-96, 15.4.6).
    """
    row = _row("throat", by)
    opening = row["share"] * throat_mm
    if "most" in row:
        opening = min(opening, Length.parse(row["most"]))
    return Limit(Length(throat_mm + opening), row["source"], row["at_limit"])


def most_twist(kind: str, by: TwistBy = "any") -> Limit:
    """How far a part may be twisted, in deg.

    Any visible twist removes it (WAC 296-155-55800, Table 12); for hooks `by` may choose 10 deg
    (DOE-STD-1090-96, 15.4.6).
    """
    row = _row("twist", by if kind in HOOK_KINDS else "any")
    return Limit(Angle(row["degrees"]), row["source"], row["at_limit"])


def outer_wire_least(new_mm: float) -> Limit:
    """How thin the outer wires of a wire rope may wear, in mm, from their new diameter.

    WAC 296-24-29425(5), DOE-STD-1090-96, 15.4.6.1: a rope goes when a third is worn off.
    """
    return _worn_to(_row("outer wire", "rope"), new_mm)


def broken_wires_limit(where: BrokenWhere) -> Sourced:
    """The number of broken wires that takes a wire rope out of service.

    WAC 296-24-29425(5), DOE-STD-1090-96, 15.4.6.1: 10 in one lay, 5 in one strand of one lay.
    """
    return table("removal").figure(_row("broken wires", where), "count")


def removal_card(
    kind: str,
    basis: str,
    *,
    bar_mm: float | None = None,
    pitch_mm: float | None = None,
    links: int = 10,
    throat_mm: float | None = None,
    stretch_by: StretchBy = "cargo-chain",
    throat_by: ThroatBy = "5-percent",
) -> RemovalCard:
    """The smallest bar, longest length over so many links and widest throat in service, in mm.

    From nominal dimensions in mm; for chain `bar_mm` is its millimetre size. Sources: see
    `bar_limits`, `longest` and `widest_throat`; each limit names its own.
    """
    worn = None
    if bar_mm is not None and (kind == "chain" or kind in HARDWARE | HOOK_KINDS):
        worn = bar_limits(kind, basis, bar_mm).kept
    long = None
    if pitch_mm is not None and kind == "chain":
        long = longest(basis, pitch_mm, links, stretch_by)
    wide = None
    if throat_mm is not None and kind in HOOK_KINDS:
        wide = widest_throat(throat_mm, throat_by)
    return RemovalCard(worn, long, wide)


def _tenth_off(name: str, nominal_mm: float) -> Limit:
    return _worn_to(_row("wear", name), nominal_mm)


def _worn_to(row: dict[str, Any], nominal_mm: float) -> Limit:
    return Limit(Length(nominal_mm * (1 - row["share"])), row["source"], row["at_limit"])


def _table_minimum(size_mm: float) -> Limit | None:
    """The retrieved row of Table N-184-1 for a size, else that of the next smaller size: what is
    too thin for that is too thin for a larger chain."""
    known = table("us-chain-wear")
    rows = [
        (_mm(row), row)
        for row in known.rows
        if row.get("obtained") != FROM_MEMORY and _mm(row) <= size_mm + ROUNDING
    ]
    if not rows:
        return None
    _, row = max(rows, key=lambda pair: pair[0])
    return Limit(
        Length.parse(row["least"]), f"29 CFR 1910.184, Table N-184-1, row of {row['size']}"
    )


def _remembered_minimum(size_mm: float) -> Limit | None:
    known = table("us-chain-thickness")
    for row in known.rows:
        if abs(_mm(row) - size_mm) < ROUNDING:
            return Limit(Length.parse(row["least"]), _source_of(known))
    return None


def _source_of(known: Table) -> str:
    return f"{known.document} ({known.obtained})"


def _mm(row: dict[str, Any]) -> float:
    mm = chain_size(row["size"])
    assert mm is not None
    return mm


def _row(measure: str, name: str) -> dict[str, Any]:
    """The row of the table removal for a measure, by its name."""
    rows = table("removal").rows
    return next(row for row in rows if row["measure"] == measure and row["name"] == name)
