"""What the duty takes off the rating: heat, edges, the choker hitch."""

from __future__ import annotations

from attrs import frozen

from ..figures import choke, edge, temperature
from ..figures.hardware import SHACKLE_HEAT, shackle_heat, shackle_side_share
from ..finding import Unstated
from ..model import ROPE_KINDS, TEXTILE_KINDS, TemperatureRange
from ..quantities import Angle, Length, Quantity, Temperature, Units
from ..sling import Leg, Part
from ..tables import table
from .base import remembered
from .ropes import RopeFigures

CHOKER = "the choker hitch"
BEND = "a bend of radius "
LEAST_CHOKED_DEG = 45.0  # US Navy 14081
SPLICED = 0.95  # the best of the mechanical splices
BEND_SOURCE = {
    "US": "0027/ND Rev 11, 7.7.2 and 7.8.1; none from D/d 25 on (second-hand)",
    "EN": "0027/ND Rev 11, 7.7.2 and 7.8.1",
}
TEMPERATURE_TABLES = {"US": "us-chain-temperature", "EN": "en-chain-temperature"}


@frozen
class Reduction:
    """A share of the rating that is left, of which parts, for what reason and by which source.

    `what` names the reason; where it is a quantity (`at` a temperature, over an edge of a
    radius), that is in `quantity`. With a `kind` it is of the lowest parts of that kind alone.
    """

    what: str
    share: float
    source: str
    legs_only: bool = False
    afterwards: float = 1.0
    quantity: Quantity | None = None
    kind: str | None = None

    def applies_to(self, part: Part) -> bool:
        """Whether it takes something off what a part allows."""
        if self.kind is not None:
            last = part.leg is not None and part.leg.parts[-1] is part
            return last and part.kind == self.kind
        if not self.legs_only:
            return True
        # legs that hold a spreader are straight
        return part.leg is not None and part.leg.holds is None

    def name(self, units: Units) -> str:
        """What takes something off, in words."""
        return self.what if self.quantity is None else self.what + units.show(self.quantity)

    def text(self, units: Units) -> str:
        """What takes off how much, in words."""
        if self.share == 0:
            return f"{self.name(units)} is not permitted"
        return f"{self.name(units)} leaves {100 * self.share:.0f} %"


class ReductionFigures(RopeFigures):
    """Reductions of the duty, and of the tag rows that speak of one."""

    def heat(self, warmth: TemperatureRange | None) -> Reduction | None:
        """What a temperature range leaves; None where it is not permitted at all.

        Of legs of several materials the one that bears least counts. Raises Unstated where the
        basis has no figure for the material, or sends to the maker, as it does for US shackles
        beyond their range; what is not permitted is so whatever is not known beside it.
        """
        ends = [] if warmth is None else [t for t in (warmth.low, warmth.high) if t is not None]
        if not ends:
            return Reduction("temperature", 1.0, "")
        return self._heat(min(ends), max(ends))

    @remembered
    def _heat(self, low: float, high: float) -> Reduction | None:
        found, gap = [], self._shackle_gap(low, high)
        for part in self._materials():
            try:
                effect, source = self._heat_of(part, low, high)
            except Unstated as unknown:
                gap = unknown
                continue
            if effect is None:
                return None
            found.append((effect, source))
        if gap is not None:
            raise gap
        effect, source = min(found, key=lambda one: one[0].while_hot)
        return Reduction("", effect.while_hot, source, False, effect.afterwards, Temperature(high))

    def _shackle_gap(self, low: float, high: float) -> Unstated | None:
        """What is not known of the first shackle that a temperature is beyond the range of."""
        for part in self._shackles():
            try:
                shackle_heat(low, high)
            except LookupError as gap:
                why = f"{part.path}: {gap}; ask the maker"
                return Unstated("temperature limits", part.path, part.item.id, why=why)
        return None

    def _shackles(self) -> list[Part]:
        """The shackles whose heat is judged: B30.26 speaks of US ones."""
        if self.sling.basis != "US":
            return []
        return [part for part in self.sling.parts if part.kind == "shackle"]

    def _materials(self) -> list[Part]:
        return [part for leg in self.sling.legs for part in leg.materials]

    def _heat_of(
        self, material: Part, low: float, high: float
    ) -> tuple[temperature.HeatEffect | None, str]:
        """What a temperature leaves of chain, rope or a textile, and by which source."""
        basis = self.sling.basis
        try:
            if material.kind == "chain":
                published = table(TEMPERATURE_TABLES[basis])
                grade = self.sling.chain.grade
                return temperature.heat_effect(published, grade, low, high), published.source
            if material.kind in ROPE_KINDS:
                published = table("rope-temperature")
                effect = temperature.rope_heat(basis, material.core, low, high)
            else:
                published = table("textile-temperature")
                effect = temperature.textile_heat(basis, material.material, low, high)
        except LookupError as gap:
            raise Unstated("temperature limits", "the duty", why=f"{gap}; ask the maker") from None
        return effect, published.source

    def heat_ranges(self) -> tuple[tuple[str, float, float], ...]:
        """Each published range of temperature with the share left while hot and for good.

        None goes beyond what US shackles in it bear. Raises Unstated where no table speaks of
        the chain's grade.
        """
        coldest, hottest = SHACKLE_HEAT if self._shackles() else (float("-inf"), float("inf"))
        if not self.sling.is_chain_sling:
            limits = [self._limits_of(part) for part in self._materials()]
            what, low, high = _narrowest(limits)
            show = self.sling.units.show
            if low < coldest or high > hottest:
                what += " with shackles"
            ends = Temperature(max(low, coldest)), Temperature(min(high, hottest))
            return ((f"{what}, {show(ends[0])} to {show(ends[1])}", 1.0, 1.0),)
        published = table(TEMPERATURE_TABLES[self.sling.basis])
        try:
            return temperature.heat_ranges(published, self.sling.chain.grade, hottest)
        except LookupError as gap:
            raise Unstated("temperature limits", why=f"{gap}; ask the maker") from None

    def edge(self, radius: Length) -> Reduction:
        """What an edge, or for rope a bend, of a radius leaves of the legs. Raises Unstated."""
        found = [self._edge_of(leg, radius) for leg in self.sling.bearing_legs]
        return min(found, key=lambda one: one.share)

    def _edge_of(self, leg: Leg, radius: Length) -> Reduction:
        if leg.rope.kind in ROPE_KINDS:
            share = self.bend_share(leg, radius)
            return Reduction(BEND, share, BEND_SOURCE[self.sling.basis], True, quantity=radius)
        if leg.kind in TEXTILE_KINDS:
            why = (
                "no published figure says what a web, roundsling or fiber rope keeps over an edge;"
                " a qualified person rates it"
            )
            raise Unstated("edge reduction", "the duty", why=why)
        return self._chain_edge(radius)

    @remembered
    def _chain_edge(self, radius: Length) -> Reduction:
        sling = self.sling
        chains = [leg.chain for leg in sling.bearing_legs if leg.kind == "chain"]
        share = edge.edge_share(radius, max(chain.size_mm for chain in chains))
        if share is None or (share < 1 and sling.basis == "US"):
            raise Unstated(
                "edge reduction",
                "the duty",
                why="no published figure is at hand for an edge of that radius; a qualified"
                " person rates it, or protect the edge",
            )
        source = "DGUV 100-500 (second-hand); DGUV 209-013, section 22"
        return Reduction("an edge of ", share, source, True, quantity=radius)

    def choke(self, angle: Angle | None) -> Reduction:
        """What the choker hitch leaves of the legs.

        Raises Unstated without an angle of choke, and where no figure is at hand: chain under
        120 deg of choke, US web and roundslings whose sheet gives no choker limit.
        """
        if angle is None:
            raise Unstated("choke_angle", "the duty", key="/duty/choke_angle")
        found = [
            self._choke_of(part, angle) for leg in self.sling.bearing_legs for part in leg.materials
        ]
        return min(found, key=lambda one: one.share)

    def _choke_of(self, material: Part, angle: Angle) -> Reduction:
        if material.kind == "chain":
            return self._choked_chain(angle)
        stated, limit = material.get("choker_limit"), material.get("working_load_limit")
        if self.is_choked_loop(material):
            by_angle = choke.choke_angle_share(angle)  # of a rating that is a choker's already
            return Reduction(CHOKER, by_angle, by_angle.source, True)
        if stated is not None and limit is not None:
            share, source = stated / limit, f"sheet of {material.item.id}"
        else:
            try:
                of = (_choked_as(material), self.sling.basis, material.get("material"))
                published = choke.choker_share(*of)
                self._check_rope_choke(material)
            except LookupError as gap:
                item = material.item.id
                raise Unstated("choker_limit", material.path, item, why=str(gap)) from None
            share, source = float(published), published.source
        loop = self.loop_limit(material) if self.is_loop(material) and limit is not None else None
        if loop is not None and loop[0] < share * limit:
            share, source = loop[0] / limit, loop[2]
        by_angle = choke.choke_angle_share(angle)
        return Reduction(CHOKER, share * by_angle, f"{source}; {by_angle.source}", True)

    def _check_rope_choke(self, rope: Part) -> None:
        """Raise LookupError where the US share of a choked rope is not for this one.

        US Navy 14081: legs at 45 deg from the horizontal or steeper. What a splice costs is in
        the share already, so that it says nothing of ends that cost less.
        """
        if self.sling.basis != "US" or rope.kind != "wire-rope" or rope.leg is None:
            return
        legs = sum(leg.count for leg in self.sling.bearing_legs)
        if legs > 1 and (self.sling.duty.angle is None or self.sling.angle < LEAST_CHOKED_DEG):
            raise LookupError("no document seen rates choked rope legs flatter than 45 deg")
        if self.is_rope(rope) and self.termination(rope) > SPLICED:
            raise LookupError("no document seen rates a choked rope with sockets")

    def _choked_chain(self, angle: Angle) -> Reduction:
        share = choke.choke_share(angle)
        if share is None:
            raise Unstated(
                "choke_angle",
                "the duty",
                why="an angle of choke under 120 deg is rated by the maker or a qualified person",
            )
        source = "OSHA, Guidance on Safe Sling Use, Table 3 (second-hand); DGUV 209-021"
        return Reduction(CHOKER, share, source, True)

    def heat_limits(self) -> tuple[str, float, float]:
        """The material that bears least heat and cold, in words, and its limits in degC.

        Of those with a published figure; raises Unstated where there is none.
        """
        found, gaps = [], []
        for part in self._materials():
            try:
                found.append(self._limits_of(part))
            except Unstated as gap:
                gaps.append(gap)
        if not found:
            raise gaps[0]
        return _narrowest(found)

    def _limits_of(self, material: Part) -> tuple[str, float, float]:
        basis = self.sling.basis
        try:
            if material.kind == "chain":
                grade = self.sling.chain.grade
                limits = temperature.heat_limits(table(TEMPERATURE_TABLES[basis]), grade)
                return f"grade {grade} chain", *limits
            made_of = material.core if material.kind in ROPE_KINDS else material.material
            limits = temperature.material_limits(basis, material.kind, made_of)
        except LookupError as gap:
            raise Unstated("temperature limits", why=f"{gap}; ask the maker") from None
        core = "core " if material.kind in ROPE_KINDS else ""
        return f"{made_of} {core}{material.kind.replace('-', ' ')}", *limits

    @property
    def bends_round_load(self) -> bool:
        """Whether a rope leg carries the load in its bight."""
        legs = self.sling.bearing_legs
        return self.sling.hitch == "basket" and any(leg.kind in ROPE_KINDS for leg in legs)

    def duty_reductions(self) -> tuple[Reduction, ...]:
        """What applies in the duty, those that take nothing off left out.

        Raises Unstated where one is not known; a temperature that is not permitted leaves 0.
        """
        duty = self.sling.duty
        found = []
        heat = self.heat(duty.temperature)
        found.append(heat if heat is not None else Reduction("temperature", 0.0, ""))
        if duty.edge_radius is not None:
            found.append(self.edge(duty.edge_radius))
        elif self.bends_round_load:
            why = "what a rope in a basket hitch bends round decides what it may carry"
            raise Unstated("edge_radius", "the duty", key="/duty/edge_radius", why=why)
        if self.sling.hitch == "choker":
            found.append(self.choke(duty.choke_angle))
        if duty.lug is not None and duty.lug.off_axis is not None:
            share = shackle_side_share(duty.lug.off_axis)
            if share is not None and any(
                leg.parts[-1].kind == "shackle" for leg in self.sling.legs
            ):
                what = "a pull aside of "
                angle = duty.lug.off_axis
                side = Reduction(what, float(share), share.source, False, 1.0, angle, "shackle")
                found.append(side)
        return tuple(reduction for reduction in found if reduction.share < 1)


def _narrowest(limits: list[tuple[str, float, float]]) -> tuple[str, float, float]:
    """The material that bears least heat, and the limits that all of them keep to."""
    what, _, high = min(limits, key=lambda one: one[2])
    return what, max(low for _, low, _ in limits), high


def _choked_as(material: Part) -> str:
    """The kind of sling that choker shares are listed for."""
    return "wire-rope" if material.kind == "grommet" else material.kind
