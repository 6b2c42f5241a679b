"""What the duty takes off the rating: heat, edges, the choker hitch."""

from __future__ import annotations

from attrs import frozen

from ..figures import choke, edge, temperature
from ..finding import Unstated
from ..model import TemperatureRange
from ..quantities import Angle, Length, Quantity, Temperature, Units
from ..sling import Part
from ..tables import table
from .base import Figures, remembered

CHOKER = "the choker hitch"
TEMPERATURE_TABLES = {"US": "us-chain-temperature", "EN": "en-chain-temperature"}


@frozen
class Reduction:
    """A share of the rating that is left, of which parts, for what reason and by which source.

    `what` names the reason; where it is a quantity (`at` a temperature, over an edge of a
    radius), that is in `quantity`.
    """

    what: str
    share: float
    source: str
    legs_only: bool = False
    afterwards: float = 1.0
    quantity: Quantity | None = None

    def applies_to(self, part: Part) -> bool:
        return part.leg is not None or not self.legs_only

    def name(self, units: Units) -> str:
        """What takes something off, in words."""
        return self.what if self.quantity is None else self.what + units.show(self.quantity)

    def text(self, units: Units) -> str:
        """What takes off how much, in words."""
        return f"{self.name(units)} leaves {100 * self.share:.0f} %"


class ReductionFigures(Figures):
    """Reductions of the duty, and of the tag rows that speak of one."""

    def heat(self, warmth: TemperatureRange | None) -> Reduction | None:
        """What a temperature range leaves; None where it is not permitted at all.

        Raises Unstated where the basis has no figure for the chain's grade, or sends to the
        maker.
        """
        ends = [] if warmth is None else [t for t in (warmth.low, warmth.high) if t is not None]
        if not ends:
            return Reduction("temperature", 1.0, "")
        return self._heat(min(ends), max(ends))

    @remembered
    def _heat(self, low: float | None, high: float | None) -> Reduction | None:
        sling = self.sling
        published = table(TEMPERATURE_TABLES[sling.basis])
        try:
            effect = temperature.heat_effect(published, sling.chain.grade, low, high)
        except LookupError as gap:
            raise Unstated("temperature limits", "the duty", why=f"{gap}; ask the maker") from None
        if effect is None:
            return None
        warmth = Temperature(high) if high is not None else None
        what = "cold" if warmth is None else ""
        return Reduction(what, effect.while_hot, published.source, False, effect.afterwards, warmth)

    def heat_limits(self) -> tuple[float, float]:
        """The lowest and the highest temperature that the basis allows the chain, in degC."""
        return temperature.heat_limits(
            table(TEMPERATURE_TABLES[self.sling.basis]), self.sling.chain.grade
        )

    def heat_ranges(self) -> tuple[tuple[str, float, float], ...]:
        """Each published range of temperature with the share left while hot and for good.

        Raises Unstated where no table speaks of the chain's grade.
        """
        published = table(TEMPERATURE_TABLES[self.sling.basis])
        try:
            return temperature.heat_ranges(published, self.sling.chain.grade)
        except LookupError as gap:
            raise Unstated("temperature limits", why=f"{gap}; ask the maker") from None

    @remembered
    def edge(self, radius: Length) -> Reduction:
        """What an edge leaves of the chain. Raises Unstated where sources disagree."""
        sling = self.sling
        share = edge.edge_share(radius, max(leg.chain.size_mm for leg in sling.legs))
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
        """What the choker hitch leaves of the legs. Raises Unstated under 120 deg of choke."""
        if angle is None:
            raise Unstated("choke_angle", "the duty", key="/duty/choke_angle")
        share = choke.choke_share(angle)
        if share is None:
            raise Unstated(
                "choke_angle",
                "the duty",
                why="an angle of choke under 120 deg is rated by the maker or a qualified person",
            )
        source = "OSHA, Guidance on Safe Sling Use, Table 3 (second-hand); DGUV 209-021"
        return Reduction(CHOKER, share, source, True)

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
        if self.sling.hitch == "choker":
            found.append(self.choke(duty.choke_angle))
        return tuple(reduction for reduction in found if reduction.share < 1)
