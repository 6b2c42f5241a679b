"""The proof plan: the pull that each part of a sling is tested at."""

from __future__ import annotations

from attrs import frozen

from ..figures import rating
from ..finding import Unstated
from ..quantities import Load
from ..tables import table
from .base import remembered
from .ratings import RatingFigures

EN_FROM_GRADE = 80
EN_SECTION_DEG = 45.0  # from the horizontal: EN 818-4, Table 3, 0 to 45 deg from the vertical


@frozen
class ProofPull:
    """One pull of the proof test: the load, and of what it is so many times the limit."""

    load: Load
    multiple: float
    limit: Load
    of: str
    source: str


class ProofFigures(RatingFigures):
    """Proof loads."""

    @remembered
    def proof_plan(self) -> dict[str, ProofPull]:
        """The least proof load of a leg, of intermediate links and of the master link.

        ASME B30.9-2010, 9-1.6.2 (2, 4 and 6 times the rating of one straight leg); EN 818-4, 6
        (2.5 times the limit of each section). Raises Unstated where a leg's limit is unknown.
        """
        sling = self.sling
        if not sling.is_chain_sling:
            raise Unstated("proof loads", why="proof loads are computed for chain slings alone")
        if sling.basis == "EN" and sling.chain.grade < EN_FROM_GRADE:
            raise Unstated("proof loads", why="EN 818-4 gives proof loads for grade 8 and up")
        asked = next(row for row in table("chain-proof").rows if row["basis"] == sling.basis)
        links = [gathering for gathering in sling.gatherings if gathering.part.is_link]
        places = {"leg": (asked["leg"], 1)}
        lower = [g.loaded_legs for g in links if g.above is not None and g.loaded_legs]
        if lower:
            multiple = asked["intermediate"] if max(lower) > 1 else asked["leg"]
            places["intermediate"] = (multiple, max(lower))
        if len(lower) < len(links):
            most = max(
                g.loaded_legs for g in links if g.above is None or g.above.part.kind == "spreader"
            )
            legs = self.effective_legs(loaded=most)
            places["master"] = (asked[f"master_{legs}"], legs)
        return {
            place: self._pull(multiple, legs, asked["source"])
            for place, (multiple, legs) in places.items()
        }

    def _pull(self, multiple: float, legs: int, source: str) -> ProofPull:
        chain = min((leg.chain for leg in self.sling.legs), key=lambda c: c.working_load_limit)
        single = chain.working_load_limit
        if self.sling.basis == "US" or legs == 1:
            return ProofPull(Load(multiple * single), multiple, single, "one leg", source)
        cell = self.cell(chain, legs, EN_SECTION_DEG)
        product = single * rating.leg_factor("EN", legs, EN_SECTION_DEG)
        limit = Load(product if cell is None else cell)
        return ProofPull(Load(multiple * limit), multiple, limit, "its legs together", source)
