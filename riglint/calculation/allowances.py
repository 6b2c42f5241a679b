"""What each part allows: its own limit, or the row of a link's chart that covers the use."""

from __future__ import annotations

from ..figures import rating
from ..figures.hardware import PULLED_OFF_AXIS, angle_share
from ..finding import Unstated
from ..model import LEG_KINDS, LINK_KINDS, ROPE_KINDS, LimitFor
from ..quantities import Load
from ..sling import Gathering, Leg, Part
from .base import remembered, sheet_of
from .charts import ChartFigures, published, usual_row_angle
from .ropes import CELL_ROUNDING
from .shares import Allowance, Scale, Share

OWN_LIMIT = "its working load limit"


class AllowanceFigures(ChartFigures):
    """What each part allows in the use that the build makes of it."""

    def check_computed(self) -> None:
        """Raise Unstated where the sling has a leg of nothing that a rating is known for."""
        for leg in self.sling.legs:
            leg.rope  # noqa: B018 (raises where there is none)

    def allowance(self, part: Part) -> Allowance:
        """What a part allows in this use, by the best row of its chart. Raises Unstated."""
        return self.allowances(part)[0]

    @remembered
    def allowances(self, part: Part) -> tuple[Allowance, ...]:
        """Every way in which a part is rated for this use, the most generous first.

        A link has one for each row of its chart that covers the use. Raises Unstated.
        """
        gathering = self._gatherings.get(part.path)
        if gathering is not None:
            return self._of_gathering(part, gathering)
        if part.is_link:
            rows = self._by_chart(part, self.use_of(part), gathers_all=False)
            if rows:
                return rows
        if self.is_choked_loop(part):
            return (self._of_choked_loop(part),)
        if part.kind == "eye" or part.kind in ROPE_KINDS:
            rated = self.is_rope(part) or part.get("working_load_limit") is not None
            self._check_eye(part)
            return (self._of_rope(part) if rated else Allowance(part),)
        limit = part.get("working_load_limit")
        if limit is None:
            return (Allowance(part),)
        if part.kind == "chain":
            limit = min(limit, self._published_single(part) or limit)
        return (Allowance(part, float(limit), None, None, OWN_LIMIT, sheet_of(part)),)

    def _check_eye(self, part: Part) -> None:
        """Raise Unstated for an eye of a rope that its sheet rates without a breaking load."""
        rope = part.leg.rope if part.leg is not None else part
        stated = (
            rope.get("working_load_limit") is not None and part.get("working_load_limit") is None
        )
        if part.kind == "eye" and stated and not self.is_rope(part):
            raise rope.unstated("breaking_load")

    def _of_choked_loop(self, part: Part) -> Allowance:
        """An endless rope in a choker hitch: the least of what sheet, strength and table give."""
        if self.sling.hitch != "choker":
            raise self.no_limit_of_its_own(part)
        known, stated = self.loop_limit(part), part.get("choker_limit")
        assert known is not None, "a loop with a breaking load has a limit"
        load, because, source = known
        if stated is not None and stated <= load:
            load, because, source = float(stated), "its choker limit", sheet_of(part)
        return Allowance(part, load, None, None, because, source)

    def unrated(self, part: Part) -> Unstated:
        """What lacks of a part without a rating: of an eye, that of its rope where it has none."""
        if part.kind == "eye" and part.leg is not None and self.allowance(part.leg.rope).unrated:
            part = part.leg.rope
        return Unstated("rating", part.path, part.item.id, why=f"{part.path} has no rating")

    def _of_rope(self, part: Part) -> Allowance:
        """A rope, or the eye of one: the least of what its sheet, its strength and table give."""
        limit, because, source = self.rope_limit(part)
        assert part.leg is not None
        rope = part.leg.rope
        published = self._published_single(rope) if rope.kind in ROPE_KINDS else None
        if published is not None and published * (1 - CELL_ROUNDING) <= limit:
            table = self._table(rope)
            assert table is not None
            return Allowance(
                part, published, None, None, "the published rating", table.table.source
            )
        return Allowance(part, limit, None, None, because, source)

    def _of_gathering(self, part: Part, gathering: Gathering) -> tuple[Allowance, ...]:
        legs = gathering.loaded_legs
        if part.kind == "spreader":
            return (self._of_spreader(part, gathering),)
        if part.kind in LINK_KINDS and legs:
            rows = self._by_chart(part, self.use_of(part), gathering.gathers_all)
            if rows:
                return rows
        limit = part.get("working_load_limit")
        if limit is None or not legs:
            return (Allowance(part),)
        use = part.get("limit_for")
        if use is not None and use.legs is not None:
            return (self._by_own_limit(part, limit, use, gathering),)
        if gathering.gathers_all:
            return (Allowance(part, None, float(limit), None, OWN_LIMIT, sheet_of(part)),)
        # legs that lean together pull up to as many times their tension as there are legs
        return (Allowance(part, limit / legs, None, None, OWN_LIMIT, sheet_of(part)),)

    def _of_spreader(self, part: Part, gathering: Gathering) -> Allowance:
        """A spreader's own limit, or the row of its sheet for upper legs no steeper than these."""
        rows = part.sheet.limits
        self.check_under_upper_legs(gathering)
        if not rows:
            limit = part.get("working_load_limit")
            source = sheet_of(part)
            return Allowance(part, None, limit and float(limit), None, OWN_LIMIT, source)
        if not gathering.held_by:
            why = f"{part.path} hangs by nothing that is described, and its limit is for an angle"
            raise Unstated("upper legs", part.path, why=why)
        angle = self.upper_angle()
        fit = [row.load for row in rows if row.angle is None or row.angle.horizontal <= angle]
        if not fit:
            return Allowance(part)
        return Allowance(part, None, float(max(fit)), None, "its sheet's limit", sheet_of(part))

    def _by_own_limit(
        self, part: Part, limit: Load, use: LimitFor, gathering: Gathering
    ) -> Allowance:
        """A link whose sheet says for how many legs, at which angle, its own limit holds."""
        assert use.legs is not None
        if use.legs < gathering.loaded_legs:
            return Allowance(part)
        basis = self.sling.basis
        angle = use.angle.horizontal if use.angle else usual_row_angle(basis, use.legs)
        factor = rating.leg_factor(basis, self.effective_legs(loaded=use.legs), angle)
        total = float(limit) if gathering.gathers_all else None
        return Allowance(part, limit / factor, total, None, "its limit", sheet_of(part))

    def design_factor(self, part: Part) -> float:
        """The design factor that a part is rated with: of its chart row, else of its sheet."""
        row = self.allowance(part).row
        if row is None:
            return self.rope_factor(part) if self.is_rope(part) else part.design_factor
        if row.design_factor is not None:
            return row.design_factor
        if part.assembly is not None and row in part.assembly.chart:
            return min(part.assembly.design_factor, part.design_factor)
        return part.design_factor

    def share_at(self, part: Part, share: Share) -> Share:
        """How the load is shared at a part: by the legs that it belongs to or gathers."""
        if share.upper is None and not share.pulls:
            return share  # all legs alike, as nearly every sling has them
        if share.upper is not None and self.is_above_spreader(part):
            share = share.upper
        return share.of(leg.path for leg in self._legs_at(part))

    def _legs_at(self, part: Part) -> tuple[Leg, ...]:
        return (part.leg,) if part.leg is not None else self._gatherings[part.path].legs

    def is_above_spreader(self, part: Part) -> bool:
        """Whether a part carries the spreader too, and so its weight."""
        return any(leg.holds is not None for leg in self._legs_at(part))

    def allows(self, allowance: Allowance, share: Share) -> float:
        """The load on the whole sling that an allowance comes to in a share, in kg.

        Raises Unstated where an eyebolt or hoist ring is pulled off its axis and its sheet does
        not say what is left.
        """
        part, upper = allowance.part, share.upper
        share = self.share_at(part, share)
        by_pull = float("inf")
        if allowance.tension is not None:
            scale = self._scale_of(allowance, share)
            by_pull = allowance.tension * share.factor
            if scale is not None:
                ratio = allowance.tension / scale.single
                if part.kind in LEG_KINDS:
                    ratio = min(1.0, ratio)
                by_pull = scale.load(share.factor) * ratio
            by_pull *= self.share_off_axis(part, self.stands(part, share))
        load = by_pull if allowance.load is None else min(by_pull, allowance.load)
        return max(0.0, load - self.dead_load(part)) if upper is not None else load

    def dead_load(self, part: Part) -> float:
        """The weight of the spreader that a part carries beside the load, in kg; else 0.

        Raises Unstated where the spreader's sheet gives no mass.
        """
        spreader = self.sling.spreader
        if spreader is None or not self.is_above_spreader(part):
            return 0.0
        return float(spreader.part.mass)

    def stands(self, part: Part, share: Share) -> float:
        """The angle that a part's leg really stands at, in deg from the horizontal."""
        leg = part.leg
        if leg is None:
            return share.stands_at
        if leg.entry.angle is not None:
            return leg.entry.angle.horizontal
        if self.sling.duty.load_geometry is not None and share.stands is None:
            hang = self.hang()
            return min(at for at, one in zip(hang.angles, hang.legs, strict=True) if one is leg)
        return share.stands_at

    def off_axis(self, part: Part, angle: float) -> float:
        """How far off its axis an eyebolt or hoist ring is pulled by legs at an angle, in deg.

        Its axis is upright unless the duty's lug says otherwise.
        """
        lug = self.sling.duty.lug
        return 90.0 - angle if lug is None or lug.off_axis is None else float(lug.off_axis)

    def share_off_axis(self, part: Part, angle: float) -> float:
        """What an eyebolt or hoist ring keeps of its limit off its axis, by its own sheet only.

        Legs within 5 deg of the vertical count as vertical (29 CFR 1910.184(b)). Raises Unstated
        where the sheet says nothing, or nothing of so great an angle.
        """
        if part.kind not in PULLED_OFF_AXIS:
            return 1.0
        off = self.off_axis(part, angle)
        if off <= rating.VERTICAL_DEG:
            return 1.0
        if not part.sheet.angle_limits:
            raise part.unstated("angle_limits")
        share = angle_share(part.sheet.angle_limits, off)
        if share is None:
            why = f"the sheet of {part.item.id} allows no pull {off:.4g} deg off its axis"
            raise Unstated("angle_limits", part.path, part.item.id, why=why)
        return share

    def scale_of(self, allowance: Allowance, share: Share) -> Scale | None:
        """The published cell that rates a part: of its own leg, or of its row's leg.

        None where the exact product rates it, or no table of the basis has the cell.
        """
        return self._scale_of(allowance, self.share_at(allowance.part, share))

    def _scale_of(self, allowance: Allowance, share: Share) -> Scale | None:
        part = allowance.part
        if part.leg is None:
            if allowance.like is None:
                return None
            kind, grade, size = allowance.like
            return self._scale(published(self.sling.basis, kind, grade), size, share)
        material = part.leg.rope
        return self._scale(self._table(material), self.size_of(material), share)
