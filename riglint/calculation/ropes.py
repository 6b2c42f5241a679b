"""Wire rope legs: what a rope with its terminations may carry, straight and round a bend."""

from __future__ import annotations

from attrs import frozen

from ..figures import rope as figures
from ..finding import Unstated
from ..model import ROPE_KINDS
from ..quantities import Load
from ..sling import Leg, Part
from ..tables import rope_table
from .base import remembered, sheet_of
from .hanging import HangFigures

CELL_ROUNDING = 0.025  # EN 13414-1, Table 4: its cells lie within 2.4 % of its own formula
NO_BEND_LOSS_US = 25.0  # D/d of US basket ratings for mechanical splices (second-hand)


@frozen
class RopeLimit:
    """What a straight rope leg may carry by its breaking load, in kg, and by which figures."""

    load: float
    strength: float
    efficiency: float
    factor: float
    source: str


class RopeFigures(HangFigures):
    """Breaking load x efficiency / design factor, and bends."""

    @remembered
    def rope_limit(self, part: Part) -> tuple[float, str, str]:
        """What a straight rope leg may carry by a rope or one of its eyes, in kg; why; the source.

        The least of the sheet's own limit and breaking load x efficiency / design factor
        (EN 13414-1, 5.2.4; DOE-STD-1090-96, 11.3.1.3). Raises Unstated where the sheet of the
        rope gives neither, or an eye says not how it is made.
        """
        assert part.leg is not None
        rope = part if part.kind in ROPE_KINDS else part.leg.rope
        stated = part.get("working_load_limit")
        if not self.is_rope(part):
            if stated is None:
                raise rope.unstated("breaking_load")
            if rope.kind == "wire-rope" and not part.leg.entry.endless:
                self._check_ends(part.leg)
            return float(stated), "its working load limit", sheet_of(part)
        limit = self.rope_by_strength(part)
        if stated is not None and stated <= limit.load:
            return float(stated), "its working load limit", sheet_of(part)
        return limit.load, self.by_strength(limit), limit.source

    def by_strength(self, limit: RopeLimit) -> str:
        """Breaking load x efficiency / design factor, in words."""
        strength = self.sling.units.show(Load(limit.strength))
        return f"{strength} breaking load x {limit.efficiency:.4g} / {limit.factor:.4g}"

    @remembered
    def rope_by_strength(self, part: Part) -> RopeLimit:
        """Breaking load x efficiency / design factor, of a rope or one of its eyes.

        Raises Unstated as `rope_limit` does.
        """
        assert part.leg is not None
        rope = part.leg.rope
        strength, efficiency = self._strength(rope), self.termination(part)
        factor = self.rope_factor(part)
        asked = figures.rope_design_factor(self.sling.basis)
        source = f"{asked.source}; {sheet_of(rope)}"
        load = figures.rope_limit(strength, efficiency, factor)
        return RopeLimit(load, strength, efficiency, factor, source)

    def is_rope(self, part: Part) -> bool:
        """Whether a part is rated by the breaking load of its leg's rope."""
        if part.leg is None or part.kind not in (*ROPE_KINDS, "eye"):
            return False
        rope = part.leg.rope
        if part.leg.entry.endless and rope.get("working_load_limit") is not None:
            return False
        return rope.kind == "wire-rope" and rope.get("breaking_load") is not None

    def rope_factor(self, part: Part) -> float:
        """The design factor that a rope is rated with: its family's, or more by its sheet."""
        assert part.leg is not None
        asked = figures.rope_design_factor(self.sling.basis)
        return max(float(asked), part.leg.rope.get("design_factor") or 0.0)

    def _strength(self, rope: Part) -> float:
        """The breaking load that rates a rope; EN rates one stronger than 1770 as 1770."""
        if self.sling.basis == "US":
            return float(rope.breaking_load)
        try:
            return figures.en_rated_breaking(rope.breaking_load, rope.rope_grade)
        except LookupError as gap:
            item = rope.item.id
            raise Unstated("rope_grade", rope.path, item, why=str(gap)) from None

    def termination(self, part: Part) -> float:
        """The efficiency of an eye, or the least of those of a rope's leg, as a share of 1.

        Raises Unstated where the leg has no eye, or its sheet does not say how it is made.
        """
        assert part.leg is not None
        eyes = [part] if part.kind == "eye" else eyes_of(part.leg)
        if not eyes and part.leg.entry.endless:
            raise self.no_limit_of_its_own(part)
        if not eyes:
            self._check_ends(part.leg)
        return min(map(self._efficiency, eyes))

    def _check_ends(self, leg: Leg) -> None:
        """Raise Unstated for a rope leg whose ends nobody describes."""
        if not eyes_of(leg):
            why = f"{leg.path} has no eye or socket: say how its ends are made"
            raise Unstated("eye", leg.path, why=why)

    def _efficiency(self, eye: Part) -> float:
        """By the published figure for its splice, or less where the sheet says so."""
        assert eye.leg is not None
        stated, splice = eye.get("efficiency"), eye.get("splice")
        if splice is None:
            return float(eye.efficiency)
        try:
            published = self._published_efficiency(splice, eye.leg.rope)
        except LookupError as gap:
            if stated is None:
                raise Unstated("efficiency", eye.path, eye.item.id, why=str(gap)) from None
            return float(stated)
        return published if stated is None else min(published, stated)

    def _published_efficiency(self, splice: str, rope: Part) -> float:
        if self.sling.basis == "EN":
            return float(figures.en_termination(splice))
        of = (rope.rope_grade, rope.core, rope.diameter)
        return float(figures.us_splice_efficiency(*of, splice))

    def has_steel_core(self, rope: Part) -> bool:
        """Whether a rope's sheet says that its core is of steel."""
        core = rope.get("core")
        try:
            return core is not None and figures.core_kind(core) == "steel"
        except LookupError:
            return False

    def is_loop(self, part: Part) -> bool:
        """Whether a part is an endless wire rope to EN, of which EN 13414-1 has choker ratings."""
        endless = part.kind == "wire-rope" and part.leg is not None and part.leg.entry.endless
        return endless and self.sling.basis == "EN"

    def is_choked_loop(self, part: Part) -> bool:
        """Whether a part is an endless rope that its breaking load rates, in a choker hitch alone.

        EN 13414-1, 5.4.4 and Table 4 have a figure for that hitch and for no other.
        """
        return self.is_loop(part) and self.is_rope(part)

    def loop_limit(self, part: Part) -> tuple[float, str, str] | None:
        """What an endless EN rope may carry choked, in kg; why; the source. None if not known.

        By its breaking load (EN 13414-1, 5.4.4), but no more than the published loop of its size
        (Table 4), whose figures are rounded by up to 2.4 % of what the same formula gives. Raises
        Unstated for a joint that nobody describes.
        """
        cell = self._published_loop(part)
        if part.get("breaking_load") is None:
            return cell
        limit = self.loop_by_strength(part)
        if cell is not None and cell[0] * (1 - CELL_ROUNDING) <= limit.load:
            return cell
        return limit.load, self.by_strength(limit), limit.source

    def _published_loop(self, part: Part) -> tuple[float, str, str] | None:
        """The published loop of a rope's size; the table is for steel cores joined by a ferrule."""
        table = rope_table("EN")
        if table is None or part.get("splice") != "mechanical" or not self.has_steel_core(part):
            return None
        cell = table.choked_loops.get(float(part.diameter))
        if cell is None:
            return None
        return float(cell), "the published choker rating of a loop", table.table.source

    def loop_by_strength(self, part: Part) -> RopeLimit:
        """What an endless rope may carry choked, by its breaking load; raises Unstated as above."""
        efficiency = self._joint(part) * float(figures.LOOP_CHOKED)
        strength, factor = self._strength(part), self.rope_factor(part)
        load = figures.rope_limit(strength, efficiency, factor)
        source = f"{figures.LOOP_CHOKED.source}; {sheet_of(part)}"
        return RopeLimit(load, strength, efficiency, factor, source)

    def _joint(self, loop: Part) -> float:
        """What the joint of an endless EN rope leaves of it, as a share of 1."""
        try:
            return float(figures.en_termination(loop.splice))
        except LookupError as gap:
            raise Unstated("splice", loop.path, loop.item.id, why=str(gap)) from None

    def no_limit_of_its_own(self, part: Part) -> Unstated:
        """That an endless rope is rated by its sheet, EN in a choker hitch by a table too."""
        item = part.item.id
        but = " but in a choker hitch" if self.is_choked_loop(part) else ""
        why = f"no document seen rates an endless rope{but}, and {item} states no limit of its own"
        return Unstated("working_load_limit", part.path, item, why=why)

    def bend_ratio(self, leg: Leg, radius_mm: float) -> float:
        """D/d: the diameter that a rope bends round over its own diameter."""
        return 2 * radius_mm / leg.rope.diameter

    def bend_share(self, leg: Leg, radius_mm: float) -> float:
        """What a bend leaves of a rope leg's straight rating; 0 where it may not be bent so.

        The worse of bend and termination counts, never their product (0027/ND Rev 11, 7.7.2);
        under the rope's own diameter no bend is allowed (7.8.5). US ratings of baskets hold from
        D/d 25 on.
        """
        ratio = self.bend_ratio(leg, radius_mm)
        if ratio < 1:
            return 0.0
        if self.sling.basis == "US" and ratio >= NO_BEND_LOSS_US:
            return 1.0
        eyes = eyes_of(leg)
        ends = min(map(self._efficiency, eyes)) if eyes else 1.0
        if self.is_choked_loop(leg.rope):
            ends = self._joint(leg.rope)
        return min(1.0, figures.bend_efficiency(ratio) / ends)


def eyes_of(leg: Leg) -> list[Part]:
    """The eyes and sockets of a rope leg."""
    return [part for part in leg.parts if part.kind == "eye"]
