"""What each part allows: its own limit, or the row of a link's chart that covers the use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from attrs import evolve, frozen

from ..figures import rating, sharing
from ..figures.hardware import angle_share
from ..finding import Unstated
from ..model import LEG_KINDS, LINK_KINDS, ROPE_KINDS, ChartRow, LimitFor
from ..quantities import Length, Load, Units
from ..sling import Gathering, Leg, Part
from ..tables import RatingTable, rating_table, rope_table, size_in
from .base import remembered, sheet_of
from .ropes import RopeFigures

US_STEP_KG = 100 * float(Load.units["lb"])  # OSHA guide: its cells are in hundreds of lb
EN_STEP_KG = 10.0
OWN_LIMIT = "its working load limit"
CHART_STEP_KG = {"US": US_STEP_KG, "EN": EN_STEP_KG}  # house default: how charts are rounded
SIZE_ROUNDING_MM = 0.05
VERTICAL_DEG = 5.0  # 29 CFR 1910.184(b): legs so near the vertical count as vertical
PULLED_OFF_AXIS = ("eyebolt", "hoist-ring")  # what a leg pulls at its own angle, not along itself


@frozen
class Use:
    """What a link is used for: so many loaded legs of a kind, size in mm and, for chain, grade.

    `hardest` is the largest of what the legs are made of. A size of roundsling that is no length
    is a name.
    """

    legs: int
    kind: str
    size: float | str
    grade: int | None
    hardest: Part

    def words(self, units: Units) -> str:
        """The legs' size and kind, in words."""
        if self.kind == "chain":
            return f"{self.hardest.size} grade {self.hardest.grade} chain"
        size = units.show(Length(self.size)) if isinstance(self.size, float) else self.size
        return f"{size} {self.kind.replace('-', ' ')}"


@frozen
class Allowance:
    """What one part allows: a pull in each leg, a load on the whole sling, or both, in kg.

    `like` is the kind of leg (kind, grade, mm) that the part's chart row is for, `published` the
    row's own cell and single-leg load where the published table has them, and `rounded` says
    that the row is the product of the single-leg load rounded down, as charts are: it holds what
    that leg holds. No tension and no load: unrated for this use.
    """

    part: Part
    tension: float | None = None
    load: float | None = None
    like: tuple[str, int | None, float] | None = None
    because: str = ""
    source: str = ""
    row: ChartRow | None = None
    published: tuple[float, float] | None = None
    rounded: bool = False

    @property
    def unrated(self) -> bool:
        return self.tension is None and self.load is None


@frozen
class Share:
    """How a load is shared: legs that count, the angle that rates them (deg from horizontal),
    the leg factor, and whether the published cells rate it rather than the exact product.

    `pulls` has the pull of each leg, by its path, as a share of the load, where they pull
    unlike. `upper` is the share of the legs that a spreader hangs by.
    """

    legs: int
    angle: float
    factor: float
    by_table: bool = True
    pulls: tuple[tuple[str, float], ...] = ()
    upper: Share | None = None

    def of(self, paths: Iterable[str]) -> Share:
        """The share by the hardest pulled of these legs, where they pull unlike."""
        if not self.pulls:
            return self
        wanted = set(paths)
        worst = max((pull for path, pull in self.pulls if path in wanted), default=0.0)
        return evolve(self, factor=1 / worst if worst > 0 else float("inf"), pulls=())


@frozen
class Scale:
    """The published rating of a leg in a share: of the sling, and of one straight leg, in kg.

    `flatter` is the leg factor at the flattest listed angle where the share is flatter still,
    so that the cell there is carried on by the leg factors; else None.
    """

    cell: Load
    single: Load
    source: str
    flatter: float | None = None

    def load(self, factor: float) -> float:
        """What the published table gives the sling, in kg."""
        return float(self.cell) * (1.0 if self.flatter is None else factor / self.flatter)


class AllowanceFigures(RopeFigures):
    """What each part allows in the use that the build makes of it."""

    def check_computed(self) -> None:
        """Raise Unstated where the sling has a leg of nothing that a rating is known for."""
        for leg in self.sling.legs:
            leg.rope  # noqa: B018 (raises where there is none)

    @remembered
    def effective_legs(self, *, loaded: int | None = None) -> int:
        """The legs that the plate's rating counts."""
        legs = self.sling.loaded_legs if loaded is None else loaded
        try:
            return sharing.effective_legs(legs)
        except ValueError as error:
            raise Unstated("legs", why=f"{error}; a qualified person rates it") from None

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
        if part.kind == "eye" or part.kind in ROPE_KINDS:
            rated = self.is_rope(part) or part.get("working_load_limit") is not None
            return (self._of_rope(part) if rated else Allowance(part),)
        limit = part.get("working_load_limit")
        if limit is None:
            return (Allowance(part),)
        if part.kind == "chain":
            limit = min(limit, self._published_single(part) or limit)
        return (Allowance(part, float(limit), None, None, OWN_LIMIT, sheet_of(part)),)

    def _of_rope(self, part: Part) -> Allowance:
        """A rope, or the eye of one: the least of what its sheet, its strength and table give."""
        limit, because, source = self.rope_limit(part)
        assert part.leg is not None
        rope = part.leg.rope
        published = self._published_single(rope) if rope.kind in ROPE_KINDS else None
        if published is not None and published < limit:
            table = self._table(rope)
            assert table is not None
            return Allowance(
                part, published, None, None, "the published rating", table.table.source
            )
        return Allowance(part, limit, None, None, because, source)

    def _published_single(self, material: Part) -> float | None:
        """No sheet lifts a leg above the published table of its basis."""
        table = self._table(material)
        return table.single(self.size_of(material)) if table else None

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
        if not rows:
            limit = part.get("working_load_limit")
            source = sheet_of(part)
            return Allowance(part, None, limit and float(limit), None, OWN_LIMIT, source)
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
        angle = use.angle.horizontal if use.angle else _usual_row_angle(basis, use.legs)
        factor = rating.leg_factor(basis, self.effective_legs(loaded=use.legs), angle)
        total = float(limit) if gathering.gathers_all else None
        return Allowance(part, limit / factor, total, None, "its limit", sheet_of(part))

    def use_of(self, part: Part) -> Use:
        """What a link is used for; the grade is the one that rates the sling. Raises Unstated."""
        gathering = self._gatherings.get(part.path)
        if gathering is None:
            assert part.leg is not None
            materials, count = [part.leg.rope], 1
        else:
            materials, count = [leg.rope for leg in gathering.legs], gathering.loaded_legs
        kinds = sorted({_chart_kind(material) for material in materials})
        if len(kinds) > 1:
            why = f"{part.path} gathers {' and '.join(kinds)} legs, and a chart row speaks of one"
            raise Unstated("rating", part.path, why=why)
        if kinds[0] != "chain":
            hardest = max(materials, key=lambda one: _in_order(self.size_of(one)))
            return Use(count, kinds[0], self.size_of(hardest), None, hardest)
        grade = max(chain.grade for chain in materials)
        grade = min(self.sling.chain.grade, grade) if gathering else grade
        hardest = max(materials, key=lambda chain: (chain.size_mm, chain.grade))
        return Use(count, "chain", hardest.size_mm, grade, hardest)

    def size_of(self, material: Part) -> float | str:
        """The size of what a leg is made of, as charts and tables list it: in mm, or a name.

        Chain by the trade's millimetre size, rope by its diameter, web by its width.
        """
        if material.kind == "chain":
            return material.size_mm
        if material.kind in ROPE_KINDS:
            return float(material.diameter)
        if material.kind == "web":
            return float(material.width)
        return size_in(material.size, material.kind)

    def _by_chart(self, part: Part, use: Use, gathers_all: bool) -> tuple[Allowance, ...]:
        found = [
            self._row_allowance(part, row, size, gathers_all)
            for row, size in self._covering(part, use)
        ]
        return tuple(sorted(found, key=_generous, reverse=True))

    def _covering(self, part: Part, use: Use) -> Iterator[tuple[ChartRow, float | str]]:
        """The rows of a link's chart for legs as large, as high in grade and as many."""
        for row in part.chart:
            if row.leg != use.kind or not use.legs <= max(row.legs) <= sharing.MOST_LEGS:
                continue
            size = size_in(row.size, row.leg)
            if not _as_large(size, use.size):
                continue
            if row.leg == "chain" and row.grade is None:
                raise part.unstated("chart.grade")
            if use.grade is None or (row.grade or 0) >= use.grade:
                yield row, size

    def _row_allowance(
        self, part: Part, row: ChartRow, size: float | str, gathers_all: bool
    ) -> Allowance:
        basis = (part.assembly or part.item).catalog.basis
        legs = self.effective_legs(loaded=max(row.legs))
        angle = row.angle.horizontal if row.angle else _usual_row_angle(basis, legs)
        table = _published(basis, row.leg, row.grade)
        cell = table.cell(size, legs, angle) if table else None
        single = table.single(size) if table else None
        factor = rating.leg_factor(basis, legs, angle)
        rounded = not cell and single and 0 <= single * factor - row.limit < CHART_STEP_KG[basis]
        tension = (
            single if rounded and single else rating.chart_tension(row.limit, factor, cell, single)
        )
        return Allowance(
            part,
            tension,
            float(row.limit) if gathers_all else None,
            (row.leg, row.grade, float(size)) if single else None,
            "its chart",
            sheet_of(part),
            row,
            (cell, single) if cell and single else None,
            bool(rounded),
        )

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
            by_pull *= self.share_off_axis(part, share.angle)
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

    def off_axis(self, part: Part, angle: float) -> float:
        """How far off its axis an eyebolt or hoist ring is pulled by legs at an angle, in deg.

        Its axis is upright unless the duty's lug says otherwise.
        """
        lug = self.sling.duty.lug
        return 90.0 - angle if lug is None or lug.off_axis is None else float(lug.off_axis)

    def share_off_axis(self, part: Part, angle: float) -> float:
        """What an eyebolt or hoist ring keeps of its limit off its axis, by its own sheet only.

        Legs within 5 deg of the vertical count as vertical (29 CFR 1910.184(b)). 0 beyond the
        sheet's last angle. Raises Unstated where the sheet says nothing.
        """
        if part.kind not in PULLED_OFF_AXIS:
            return 1.0
        off = self.off_axis(part, angle)
        if off <= VERTICAL_DEG:
            return 1.0
        if not part.sheet.angle_limits:
            raise part.unstated("angle_limits")
        share = angle_share(part.sheet.angle_limits, off)
        return 0.0 if share is None else share

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
            return self._scale(_published(self.sling.basis, kind, grade), size, share)
        material = part.leg.rope
        return self._scale(self._table(material), self.size_of(material), share)

    def _scale(self, table: RatingTable | None, size: float | str, share: Share) -> Scale | None:
        """The published rating of a leg in a share; see `Scale`. None where no table has it."""
        if table is None or not share.by_table:
            return None
        single = table.single(size)
        if single is None:
            return None
        source = table.table.source
        cell = table.cell(size, share.legs, share.angle)
        if cell is not None:
            return Scale(cell, single, source)
        last = table.cell(size, share.legs, rating.FLATTEST_DEG)
        if last is None or share.angle >= rating.FLATTEST_DEG:
            return None
        flatter = rating.leg_factor(self.sling.basis, share.legs, rating.FLATTEST_DEG)
        return Scale(last, single, source, flatter)

    def _table(self, material: Part) -> RatingTable | None:
        """The published table of the basis for a leg's material; None where none speaks of it."""
        return self._published_for(material) if self.tabled(material) else None

    def _published_for(self, material: Part) -> RatingTable | None:
        grade = material.grade if material.kind == "chain" else None
        return _published(self.sling.basis, _chart_kind(material), grade)

    def tabled(self, material: Part) -> bool:
        """Whether the published table of the basis speaks of this: its kind, grade and make.

        EN 13414-1, Table 4 is for steel cores and ferrule-secured eyes.
        """
        table = self._published_for(material)
        if table is None or material.leg is None or material.kind == "grommet":
            return False
        if material.kind == "chain":
            return table.steel == "any" or material.get("steel") in (None, table.steel)
        eyes = [part for part in material.leg.parts if part.kind == "eye"]
        ferrules = bool(eyes) and all(eye.get("splice") == "mechanical" for eye in eyes)
        return self.has_steel_core(material) and ferrules

    def cell(self, chain: Part, legs: int, angle: float) -> float | None:
        """The published rated load for a chain or rope, in kg; None where no table has the cell."""
        table = self._table(chain)
        return table.cell(self.size_of(chain), legs, angle) if table else None


def _published(basis: str, kind: str, grade: int | None) -> RatingTable | None:
    if kind == "chain":
        return rating_table(basis, grade) if grade is not None else None
    return rope_table(basis) if kind == "wire-rope" else None


def _chart_kind(material: Part) -> str:
    """The kind of leg that chart rows call a material."""
    return "wire-rope" if material.kind == "grommet" else material.kind


def _as_large(row: float | str, used: float | str) -> bool:
    """Whether a row's size covers the one that is used; two names only where they are the same."""
    if isinstance(row, float) and isinstance(used, float):
        return row >= used - SIZE_ROUNDING_MM
    return row == used


def _in_order(size: float | str) -> tuple[float, str]:
    return (size, "") if isinstance(size, float) else (0.0, size)


def _generous(allowance: Allowance) -> tuple[float, float]:
    return (
        allowance.load if allowance.load is not None else 0.0,
        allowance.tension if allowance.tension is not None else 0.0,
    )


def _usual_row_angle(basis: str, legs: int) -> float:
    if legs == 1:
        return 90.0
    return 60.0 if basis == "US" else 45.0
