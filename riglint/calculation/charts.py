"""Published tables and the charts of links: which rows and cells speak of a use."""

from __future__ import annotations

from collections.abc import Iterator

from ..figures import rating, sharing
from ..finding import Unstated
from ..model import BY_DIAMETER, ChartRow
from ..quantities import Load
from ..sling import Part
from ..tables import RatingTable, rating_table, rope_table, size_in
from .base import remembered, sheet_of
from .ropes import RopeFigures, eyes_of
from .shares import Allowance, Scale, Share, Use

US_STEP_KG = 100 * float(Load.units["lb"])  # OSHA guide: its cells are in hundreds of lb
EN_STEP_KG = 10.0
CHART_STEP_KG = {"US": US_STEP_KG, "EN": EN_STEP_KG}  # house default: how charts are rounded
SIZE_ROUNDING_MM = 0.05


class ChartFigures(RopeFigures):
    """Charts and published tables."""

    @remembered
    def effective_legs(self, *, loaded: int | None = None) -> int:
        """The legs that the plate's rating counts."""
        legs = self.sling.loaded_legs if loaded is None else loaded
        try:
            return sharing.effective_legs(legs)
        except ValueError as error:
            raise Unstated("legs", why=f"{error}; a qualified person rates it") from None

    @remembered
    def use_of(self, part: Part) -> Use:
        """What a link is used for; the grade is the one that rates the sling. Raises Unstated."""
        gathering = self._gatherings.get(part.path)
        if gathering is None:
            assert part.leg is not None
            materials, count = [part.leg.rope], 1
        else:
            legs = (*gathering.legs, *gathering.ends_here)
            materials, count = [leg.rope for leg in legs], gathering.loaded_legs
        if not materials:
            why = f"{part.path} holds no leg, only what shortens one; no chart speaks of that"
            raise Unstated("rating", part.path, part.item.id, why=why)
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
        if material.kind in BY_DIAMETER:
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
        angle = row.angle.horizontal if row.angle else usual_row_angle(basis, legs)
        table = published(basis, row.leg, row.grade)
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
        grade = material.grade if material.kind == "chain" else None
        table = published(self.sling.basis, _chart_kind(material), grade)
        return table if table is not None and self._speaks_of(table, material) else None

    def _speaks_of(self, table: RatingTable, material: Part) -> bool:
        """Whether a table is for the make of a material: steel of chain, core and eyes of rope.

        EN 13414-1, Table 4 is for steel cores and ferrule-secured eyes.
        """
        if material.leg is None or material.kind == "grommet":
            return False
        if material.kind == "chain":
            return table.steel == "any" or material.get("steel") in (None, table.steel)
        eyes = eyes_of(material.leg)
        ferrules = bool(eyes) and all(eye.get("splice") == "mechanical" for eye in eyes)
        return self.has_steel_core(material) and ferrules

    def _published_single(self, material: Part) -> float | None:
        """No sheet lifts a leg above the published table of its basis."""
        table = self._table(material)
        return table.single(self.size_of(material)) if table else None

    def cell(self, chain: Part, legs: int, angle: float) -> float | None:
        """The published rated load for a chain or rope, in kg; None where no table has the cell."""
        table = self._table(chain)
        return table.cell(self.size_of(chain), legs, angle) if table else None


def published(basis: str, kind: str, grade: int | None) -> RatingTable | None:
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


def usual_row_angle(basis: str, legs: int) -> float:
    if legs == 1:
        return 90.0
    return 60.0 if basis == "US" else 45.0
