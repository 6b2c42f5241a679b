"""The proof plan: the pull that each part of a sling is tested at."""

from __future__ import annotations

from typing import Any

from attrs import field, frozen

from ..figures import rating
from ..finding import Unstated
from ..model import LEG_KINDS, ROPE_KINDS
from ..quantities import Load, Units
from ..sling import Part
from ..tables import table
from .base import remembered
from .ratings import STRAIGHT_DEG, RatingFigures

EN_FROM_GRADE = 80
EN_SECTION_DEG = 45.0  # from the horizontal: EN 818-4, Table 3, 0 to 45 deg from the vertical
SYNTHETIC = frozenset({"web", "roundsling"})  # what DOE-STD-1090-96, 11.3.5 is about


@frozen
class ProofPull:
    """One pull of the proof test: the load, and of what it is so many times the limit.

    `by` is the path of the fitting that makes a leg weaker than its chain, where one does.
    `asked_of` says in words when the source asks for it, where it does not always. With a `gap`
    it does not of this sling, and whether a test may pull less is not known.
    """

    load: Load
    multiple: float
    limit: Load
    of: str
    source: str
    asked_of: str = ""
    by: str = ""
    gap: Unstated | None = field(default=None, repr=False)

    def why(self, units: Units) -> str:
        """How the load is made up, when it is asked for and by which source, in words."""
        asked = f", asked {self.asked_of}" if self.asked_of else ""
        return f"{self.multiple:g} x {units.show(self.limit)} of {self.of}{asked}; {self.source}"


class ProofFigures(RatingFigures):
    """Proof loads."""

    @remembered
    def proof_plan(self) -> dict[str, ProofPull]:
        """The least proof load of a leg, of intermediate links and of the master link.

        Chain: ASME B30.9-2010, 9-1.6.2 (2, 4 and 6 times the rating of one straight leg, which a
        weaker fitting lowers); EN 818-4, 6 (2.5 times the limit of each section). US web and
        roundslings, where a proof is ordered: DOE-STD-1090-96, 11.3.5.2 (2 times a leg, and the
        combined legs). US wire rope with welded end fittings: WAC 296-24-29425 (2 times a leg).
        Raises Unstated where a leg's limit is unknown, and for slings that no source at hand
        speaks of.
        """
        kinds = {part.kind for leg in self.sling.legs for part in leg.materials}
        if kinds == {"chain"}:
            return self._chain_plan()
        if self.sling.basis == "US" and kinds <= SYNTHETIC:
            return self._textile_plan()
        if self.sling.basis == "US" and kinds <= ROPE_KINDS:
            return self._rope_plan()
        raise Unstated("proof loads", why=_no_plan(self.sling.basis, kinds))

    def proof_unknown(self, place: str) -> Unstated | None:
        """Why the plan says nothing of a link that is there; None where no such link is."""
        if place in self.proof_plan() or place not in self._gathered():
            return None
        why = f"no source at hand says at what the {place} link of a wire rope sling is tested"
        return Unstated("proof loads", why=f"{why}; ask its maker")

    def has_place(self, place: str) -> bool:
        """Whether the sling has what a proof load is ordered for: a leg, or a link of a place."""
        return place == "leg" or place in self._gathered()

    def _gathered(self) -> dict[str, int]:
        """Of each place of links that there is, the most legs that one of them gathers."""
        links = [gathering for gathering in self.sling.gatherings if gathering.part.is_link]
        lower = [g.loaded_legs for g in links if g.above is not None and g.loaded_legs]
        found = {"intermediate": max(lower)} if lower else {}
        if len(lower) < len(links):
            found["master"] = max(
                g.loaded_legs for g in links if g.above is None or g.above.part.kind == "spreader"
            )
        return found

    def proof_ceiling(self, place: str) -> ProofPull | None:
        """What a proof load of chain may lie a tenth above; None of a place that is not there.

        A leg's is its plan. A link's goes by the chain alone: it is not pulled through a leg, and
        a weaker fitting there says nothing of what the link may be tested to.
        """
        plan = self.proof_plan()
        return plan.get(place) if place == "leg" else self._chain_plan(by_chain=True).get(place)

    @remembered
    def _chain_plan(self, *, by_chain: bool = False) -> dict[str, ProofPull]:
        sling = self.sling
        if sling.basis == "EN" and sling.chain.grade < EN_FROM_GRADE:
            raise Unstated("proof loads", why="EN 818-4 gives proof loads for grade 8 and up")
        asked = next(row for row in table("chain-proof").rows if row["basis"] == sling.basis)
        places = {"leg": (asked["leg"], 1)}
        for place, gathered in self._gathered().items():
            if place == "intermediate":
                places[place] = (asked[place if gathered > 1 else "leg"], gathered)
            else:
                legs = self.effective_legs(loaded=gathered)
                places[place] = (asked[f"master_{legs}"], legs)
        weakest = self._weakest_chain() if by_chain else self._weakest_in_a_leg()
        return {
            place: self._chain_pull(weakest, multiple, legs, asked["source"])
            for place, (multiple, legs) in places.items()
        }

    def _chain_pull(self, weakest: Part, multiple: float, legs: int, source: str) -> ProofPull:
        single = Load(self._straight(weakest))
        limit, of = single, "one leg"
        if self.sling.basis == "EN" and legs > 1:
            limit, of = Load(single * self._en_section_factor(legs)), "its legs together"
        by = "" if weakest.kind in LEG_KINDS else weakest.path
        of += f" with {by}" if by else ""
        return ProofPull(Load(multiple * limit), multiple, limit, of, source, by=by)

    def _weakest_chain(self) -> Part:
        return min((leg.chain for leg in self.sling.legs), key=self._straight)

    def _en_section_factor(self, legs: int) -> float:
        """How many times one leg so many legs carry: as the table has it for the leg's chain."""
        chain = self._weakest_chain()
        cell, single = self.cell(chain, legs, EN_SECTION_DEG), self.cell(chain, 1, STRAIGHT_DEG)
        if cell is None or single is None:
            return rating.leg_factor("EN", legs, EN_SECTION_DEG)
        return cell / single

    def _textile_plan(self) -> dict[str, ProofPull]:
        """Each link by the legs below it that its rating counts: three of four."""
        asked = _asked_of("textile")
        single, when = self._straight_leg(), "where a proof is ordered"
        plan = {"leg": _pull(asked, "leg", single, "one leg", when)}
        for place, gathered in self._gathered().items():
            legs = self.effective_legs(loaded=gathered)
            of = "its legs together" if legs == gathered else f"{legs} of its {gathered} legs"
            of = of if gathered > 1 else "one leg"
            plan[place] = _pull(asked, "together", Load(legs * single), of, when)
        return plan

    def _rope_plan(self) -> dict[str, ProofPull]:
        """The leg alone: of the links above it the source says nothing."""
        asked, single = _asked_of("rope"), self._straight_leg()
        fittings = [part for leg in self.sling.legs for part in leg.parts if _is_fitting(part)]
        welded = [part for part in fittings if part.get("process") == "welded"]
        if welded:
            when, gap = f"of slings with a welded end fitting, here {welded[0].path}", None
        else:
            when = "of slings with a welded end fitting, and none is known here"
            # what was ordered may be enough or not: a pass would say that some source is content
            gap = Unstated(
                "proof loads",
                why="no source at hand asks a proof of rope legs without welded end fittings:"
                " whether less than twice the rating is enough is for who ordered it to say",
            )
        return {"leg": _pull(asked, "leg", single, "one leg", when, gap)}

    def _straight_leg(self) -> Load:
        """What the weakest leg may carry straight, by the weakest of its parts. Raises Unstated."""
        return Load(self._straight(self._weakest_in_a_leg()))

    def _weakest_in_a_leg(self) -> Part:
        """The part that allows a straight leg least, of equal ones what it is made of."""
        parts = [part for leg in self.sling.legs for part in leg.parts]
        return min(parts, key=lambda part: (self._straight(part), part.kind not in LEG_KINDS))

    def _straight(self, part: Part) -> float:
        limit = self.allowance(part).tension
        if limit is None:
            raise self.unrated(part)
        return limit


def _asked_of(family: str) -> dict[str, Any]:
    return next(row for row in table("rope-textile-proof").rows if row["family"] == family)


def _pull(
    asked: dict[str, Any], key: str, limit: Load, of: str, when: str, gap: Unstated | None = None
) -> ProofPull:
    load, source = Load(asked[key] * limit), asked["source"]
    return ProofPull(load, asked[key], limit, of, source, when, gap=gap)


def _is_fitting(part: Part) -> bool:
    """Whether a leg's part is what its rope ends in, and no eye that is spliced into it."""
    return part.kind not in LEG_KINDS and part.get("splice") is None


def _no_plan(basis: str, kinds: set[str]) -> str:
    """Why there is no proof plan for legs of these kinds, in words."""
    made_of = " and ".join(sorted(kind.replace("-", " ") for kind in kinds))
    if len(kinds) > 1 and not kinds <= ROPE_KINDS and not kinds <= SYNTHETIC:
        return f"no source at hand has proof loads for legs of {made_of} in one sling"
    return f"no source at hand has proof loads for {basis} slings of {made_of}"
