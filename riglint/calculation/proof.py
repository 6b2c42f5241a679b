"""The proof plan: the pull that each part of a sling is tested at."""

from __future__ import annotations

from attrs import frozen

from ..finding import Unstated
from ..quantities import Load
from ..tables import table
from .base import Figures, remembered


@frozen
class ProofPull:
    """One pull of the proof test: the load, and the multiple of the single-leg rating it is."""

    load: Load
    multiple: float
    single: Load
    source: str


class ProofFigures(Figures):
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
        single = min(leg.chain.working_load_limit for leg in sling.legs)
        asked = next(row for row in table("chain-proof").rows if row["basis"] == sling.basis)
        gathers = [gathering for gathering in sling.gatherings if gathering.part.is_link]
        places = {"leg": asked["leg"]}
        if any(gathering.above is not None for gathering in gathers):
            places["intermediate"] = asked["intermediate"]
        if any(gathering.above is None for gathering in gathers):
            places["master"] = asked[f"master_{min(sling.loaded_legs, 3)}"]
        return {
            place: ProofPull(Load(multiple * single), multiple, single, asked["source"])
            for place, multiple in places.items()
        }
