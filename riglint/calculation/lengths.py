"""Lengths along the hang: the reach of each leg, and the settings of adjustable ones."""

from __future__ import annotations

from math import ceil

from attrs import frozen

from ..figures import adjustment, reach
from ..finding import Unstated
from ..model import LEG_KINDS, LINK_KINDS
from ..sling import Gathering, Leg, Part
from .base import Figures, remembered

SOLD_BY_LENGTH = LEG_KINDS - {"chain"}


@frozen
class Setting:
    """One pocket setting of an adjustable leg: the link in the pocket and the sling's reach."""

    link: int
    reach: float


class LengthFigures(Figures):
    """Reach and adjustment."""

    @remembered
    def reach(self, leg: Leg) -> float:
        """The sling's reach through a leg, in mm: upper bearing point to lower bearing point.

        A leg hung by both ends, and an endless one of chain, reaches half its length, to the
        bottom of its bight. Raises Unstated where a length on the way is not stated.
        """
        along = sum(self.length(part) for part in leg.parts)
        return self.depth(leg.on) + (along / 2 if self.is_doubled(leg) else along)

    def is_doubled(self, leg: Leg) -> bool:
        """Whether a leg reaches half its length: a basket, or an endless chain."""
        return leg.is_basket or (leg.entry.endless and leg.kind == "chain")

    @remembered
    def depth(self, gathering: Gathering | None) -> float:
        """How far below the sling's upper bearing point things hang in a gathering part, in mm."""
        if gathering is None:
            return 0.0
        return self.depth(gathering.above) + self.length(gathering.part)

    def chain_of(self, gathering: Gathering | None) -> tuple[Gathering, ...]:
        """The gathering parts from the top down to this one."""
        if gathering is None:
            return ()
        return (*self.chain_of(gathering.above), gathering)

    @remembered
    def mass(self) -> float:
        """The mass of the whole sling, in kg. Raises Unstated where a sheet gives no mass.

        A sheet gives the mass of one piece: of one link of chain, of one metre of rope or web.
        """
        total = 0.0
        for part in self.sling.parts:
            pieces = part.leg.count if part.leg else 1
            if part.kind == "chain":
                total += part.mass * pieces * (part.links or 0)
            elif part.kind in SOLD_BY_LENGTH:
                total += part.mass * pieces * self.length(part) / 1000
            else:
                total += part.mass * pieces
        return total

    def length(self, part: Part) -> float:
        """The length of a part along the hang, bearing point to bearing point, in mm."""
        kind = part.kind
        if kind == "chain":
            return reach.chain_length(part.links or 0, part.pitch)
        if kind in LINK_KINDS or kind == "shackle":
            return part.inside_length
        if kind in SOLD_BY_LENGTH:
            return float(part.length or 0)
        if kind == "eye":
            return 0.0  # a rope's length is bearing to bearing, eyes included
        return part.effective_length

    @remembered
    def pocket_geometry(self, leg: Leg) -> tuple[float, float, float]:
        """Height of the pocket, start of the chain, pitch, in mm; see `figures.adjustment`."""
        pitch = self.shortened_chain(leg).pitch
        return self._pocket_height(leg), self._chain_start(leg), pitch

    def shortened_chain(self, leg: Leg) -> Part:
        """The chain whose links are laid into the pocket: the first one below a shortener."""
        below = leg.parts
        if leg.pocket in below:
            below = below[below.index(leg.pocket) + 1 :]
        return next((part for part in below if part.kind == "chain"), leg.chain)

    def _pocket_height(self, leg: Leg) -> float:
        if leg.branch:
            drop = sum(self.length(part) for part in leg.branch)
            return self.depth(leg.on) - self.depth(leg.branch_on) - drop
        pocket = leg.pocket
        if pocket is None:
            raise Unstated("pocket", leg.path, why=f"{leg.path} has nothing to shorten it")
        if pocket.kind == "shortener" or pocket.leg is not None:
            return pocket.pocket_height
        height = pocket.pocket.height
        if height is None:
            raise pocket.unstated("pocket.height")
        return height + self._drop_below(leg, pocket)

    def _drop_below(self, leg: Leg, pocket: Part) -> float:
        """How far the leg hangs below the link that has the pocket, in mm."""
        return self.depth(leg.on) - self.depth(self._gatherings[pocket.path])

    def _chain_start(self, leg: Leg) -> float:
        """How far the chain begins below the bearing point that the pocket is measured from."""
        chain = self.shortened_chain(leg)
        above = list(leg.parts[: leg.parts.index(chain)])
        if leg.pocket in above:
            above = above[above.index(leg.pocket) + 1 :]
        return sum(self.length(part) for part in above)

    @remembered
    def first_link(self, leg: Leg) -> int:
        """The first link that can be laid into the pocket: the sheet's, else the computed one."""
        stated = self.stated_first_link(leg)
        return stated if stated is not None else self.computed_first_link(leg)

    def stated_first_link(self, leg: Leg) -> int | None:
        """The first usable link that the pocket's maker states; None where he does not."""
        if leg.pocket is None or leg.pocket.leg is not None:
            return None
        pocket = leg.pocket.get("pocket")
        return pocket.first_link if pocket else None

    @remembered
    def computed_first_link(self, leg: Leg) -> int:
        """The first link that can be laid into the pocket by the geometry."""
        return adjustment.first_link(*self.pocket_geometry(leg))

    @remembered
    def settings(self, leg: Leg) -> tuple[Setting, ...]:
        """Every pocket setting of an adjustable leg, from the longest to the shortest."""
        return tuple(self.setting(leg, link) for link in self.links_to_set(leg))

    def setting(self, leg: Leg, link: int) -> Setting:
        """The setting with a given link in the pocket, whether it can be laid in or not."""
        height, start, pitch = self.pocket_geometry(leg)
        full = self.reach(leg)
        return Setting(link, adjustment.pocket_reach(full, height, start, pitch, link))

    def links_to_set(self, leg: Leg) -> range:
        """The links that can be laid into the pocket: from the first to the last but one."""
        return range(self.first_link(leg), self.shortened_chain(leg).links or 0)

    def wanted_link(self, leg: Leg, wanted: float) -> int | None:
        """The link whose setting is nearest to a wanted reach.

        None where the full leg serves, and where more than the full leg is wanted.
        """
        height, start, pitch = self.pocket_geometry(leg)
        full = self.reach(leg)
        tolerance = (leg.adjust.tolerance if leg.adjust else None) or 0.0
        if full - wanted <= max(tolerance, 2 * pitch):
            return None
        return max(1, round(adjustment.links_needed(full, height, start, pitch, wanted)))

    def reach_tolerance(self, leg: Leg) -> tuple[float, float]:
        """How far the computed reach may lie from the stated one, in mm: short (<= 0), long.

        EN 818-4: 0 / +2 pitches; the same elsewhere, with half a millimetre of rounding. Rope and
        textiles by the shop's practice.
        """
        if leg.kind != "chain":
            tolerance = self.length_tolerance(leg)
            return -tolerance, tolerance
        short = reach.ROUNDING_MM if self.sling.basis == "EN" else reach.SHORT_SLACK_MM
        return -short, reach.LONG_PITCHES * leg.chain.pitch + reach.ROUNDING_MM

    def length_tolerance(self, leg: Leg) -> float:
        """How far a leg of rope or textile may be off its length, in mm, by the shop's practice.

        Raises Unstated where the practice says nothing.
        """
        tolerance = self.sling.practice.length_tolerance
        if tolerance is None:
            why = f"no source gives a tolerance for the length of {leg.kind} legs; state it as"
            why += " practice.length_tolerance"
            raise Unstated("length_tolerance", leg.path, why=why)
        return float(tolerance)

    def links_for_reach(self, leg: Leg, wanted: float) -> int:
        """The number of chain links that brings a leg to a reach or just over it."""
        chain = leg.chain
        missing = (wanted - self.reach(leg)) / chain.pitch
        return max(1, (chain.links or 0) + ceil(missing - adjustment.ROUNDING))
