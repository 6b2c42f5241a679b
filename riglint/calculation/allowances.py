"""What each part allows: its own limit, or the row of a link's chart that covers the use."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from ..figures import rating, sharing
from ..finding import Unstated
from ..model import LINK_KINDS, ChartRow, LimitFor
from ..quantities import Load
from ..sling import Gathering, Part
from ..tables import RatingTable, chain_size, rating_table
from .base import Figures, not_computed, remembered, sheet_of

US_STEP_KG = 100 * float(Load.units["lb"])  # OSHA guide: its cells are in hundreds of lb
EN_STEP_KG = 10.0
OWN_LIMIT = "its working load limit"
CHART_STEP_KG = {"US": US_STEP_KG, "EN": EN_STEP_KG}  # house default: how charts are rounded


@frozen
class Allowance:
    """What one part allows: a pull in each leg, a load on the whole sling, or both, in kg.

    `like` is the chain (grade, mm) that the part's chart row is for, `published` the row's own
    cell and single-leg load where the published table has them, and `rounded` says that the
    row is the product of the single-leg load rounded down, as charts are: it holds what that
    chain holds. No tension and no load: unrated for this use.
    """

    part: Part
    tension: float | None = None
    load: float | None = None
    like: tuple[int, float] | None = None
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
    the leg factor, and whether the published cells rate it rather than the exact product."""

    legs: int
    angle: float
    factor: float
    by_table: bool = True


@frozen
class Scale:
    """The published rating of a chain in a share: of the sling, and of one straight leg, in kg.

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


class AllowanceFigures(Figures):
    """What each part allows in the use that the build makes of it."""

    def check_computed(self) -> None:
        """Raise Unstated where the sling has what this version reads and does not compute."""
        for leg in self.sling.legs:
            if leg.kind != "chain":
                what = f"{leg.kind} legs" if leg.kind else "legs without chain, rope or web"
                raise not_computed(leg.path, f"ratings of {what}")
            if leg.entry.to or leg.entry.endless:
                raise not_computed(leg.path, "baskets and endless legs")
        if len({leg.entry.reach for leg in self.sling.legs}) > 1:
            raise Unstated(
                "load geometry",
                why="the legs are of different reach on purpose: no table for equal legs rates"
                " them, and load geometries are not computed by this version",
            )
        for gathering in self.sling.gatherings:
            if gathering.part.kind == "spreader":
                raise not_computed(gathering.path, "spreaders")

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
        assert part.leg is not None
        if part.is_link:
            chain = part.leg.chain
            rows = self._by_chart(part, chain.size_mm, chain.grade, 1, gathers_all=False)
            if rows:
                return rows
        limit = part.get("working_load_limit")
        if limit is None:
            return (Allowance(part),)
        if part.kind == "chain":
            limit = min(limit, self._published_single(part) or limit)
        return (Allowance(part, float(limit), None, None, OWN_LIMIT, sheet_of(part)),)

    def _published_single(self, chain: Part) -> float | None:
        """No sheet lifts a chain above the published table of its basis."""
        table = self._table(chain.grade) if self.tabled(chain) else None
        return table.single(chain.size_mm) if table else None

    def _of_gathering(self, part: Part, gathering: Gathering) -> tuple[Allowance, ...]:
        legs = gathering.loaded_legs
        if part.kind in LINK_KINDS and legs:
            rows = self._by_chart(part, *self._use_of(gathering), legs, gathering.gathers_all)
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

    def _use_of(self, gathering: Gathering) -> tuple[float, int]:
        """Size in mm and grade of the chain that a link gathers: the largest, of the grade that
        rates the sling."""
        chains = self._chains_on(gathering)
        grade = min(self.sling.chain.grade, max(chain.grade for chain in chains))
        return max(chain.size_mm for chain in chains), grade

    def _by_chart(
        self, part: Part, size: float, grade: int, legs: int, gathers_all: bool
    ) -> tuple[Allowance, ...]:
        found = [
            self._row_allowance(part, row, row_size, row_grade, gathers_all)
            for row, row_size, row_grade in self._covering(part, size, grade, legs)
        ]
        return tuple(sorted(found, key=_generous, reverse=True))

    def _covering(
        self, part: Part, size: float, grade: int, legs: int
    ) -> Iterator[tuple[ChartRow, float, int]]:
        """The rows of a link's chart for a chain as large, as high in grade and as many legs."""
        for row in part.chart:
            if row.leg != "chain" or not legs <= max(row.legs) <= sharing.MOST_LEGS:
                continue
            row_size = chain_size(row.size)
            if row_size is None or row_size < size:
                continue
            if row.grade is None:
                raise part.unstated("chart.grade")
            if row.grade >= grade:
                yield row, row_size, row.grade

    def _row_allowance(
        self, part: Part, row: ChartRow, size: float, grade: int, gathers_all: bool
    ) -> Allowance:
        basis = (part.assembly or part.item).catalog.basis
        legs = self.effective_legs(loaded=max(row.legs))
        angle = row.angle.horizontal if row.angle else _usual_row_angle(basis, legs)
        table = rating_table(basis, grade)
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
            (grade, size) if single else None,
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
            return part.design_factor
        if row.design_factor is not None:
            return row.design_factor
        if part.assembly is not None and row in part.assembly.chart:
            return min(part.assembly.design_factor, part.design_factor)
        return part.design_factor

    def use_of(self, part: Part) -> tuple[int, Part]:
        """What a link is used for: how many loaded legs below it, and their hardest chain."""
        gathering = self._gatherings.get(part.path)
        if gathering is None:
            assert part.leg is not None
            return 1, part.leg.chain
        chains = self._chains_on(gathering)
        return gathering.loaded_legs, max(chains, key=_hardness)

    def _chains_on(self, gathering: Gathering) -> list[Part]:
        """The chains of the legs that hang on a link; raises Unstated where none does."""
        if not gathering.legs:
            raise not_computed(gathering.path, "links that hold no leg, only what shortens one,")
        return [leg.chain for leg in gathering.legs]

    def allows(self, allowance: Allowance, share: Share) -> float:
        """The load on the whole sling that an allowance comes to in a share, in kg."""
        by_pull = float("inf")
        if allowance.tension is not None:
            scale = self.scale_of(allowance, share)
            by_pull = allowance.tension * share.factor
            if scale is not None:
                ratio = allowance.tension / scale.single
                if allowance.part.kind == "chain":
                    ratio = min(1.0, ratio)
                by_pull = scale.load(share.factor) * ratio
        return by_pull if allowance.load is None else min(by_pull, allowance.load)

    def scale_of(self, allowance: Allowance, share: Share) -> Scale | None:
        """The published cell that rates a part: of its leg's chain, or of its row's chain.

        None where the exact product rates it, or no table of the basis has the cell.
        """
        part = allowance.part
        if part.leg is None:
            return self.scale(*allowance.like, share) if allowance.like else None
        chain = part.leg.chain
        return self.scale(chain.grade, chain.size_mm, share) if self.tabled(chain) else None

    def scale(self, grade: int, size: float, share: Share) -> Scale | None:
        """The published rating of a chain in a share; see `Scale`. None where no table has it."""
        table = self._table(grade) if share.by_table else None
        single = table.single(size) if table else None
        if table is None or single is None:
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

    def tabled(self, chain: Part) -> bool:
        """Whether the published table of the basis speaks of this chain: its grade and steel."""
        table = self._table(chain.grade)
        return table is not None and (
            table.steel == "any" or chain.get("steel") in (None, table.steel)
        )

    def _table(self, grade: int) -> RatingTable | None:
        return rating_table(self.sling.basis, grade)

    def cell(self, grade: int, size: float, legs: int, angle: float) -> float | None:
        """The published rated load for a chain, in kg; None where no table has the cell."""
        table = self._table(grade)
        return table.cell(size, legs, angle) if table else None


def _hardness(chain: Part) -> tuple[float, int]:
    return chain.size_mm, chain.grade


def _generous(allowance: Allowance) -> tuple[float, float]:
    return (
        allowance.load if allowance.load is not None else 0.0,
        allowance.tension if allowance.tension is not None else 0.0,
    )


def _usual_row_angle(basis: str, legs: int) -> float:
    if legs == 1:
        return 90.0
    return 60.0 if basis == "US" else 45.0
