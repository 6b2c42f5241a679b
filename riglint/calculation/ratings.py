"""The rating: what each part allows, what the whole may carry, and what governs it."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from attrs import evolve, field, frozen

from ..figures import rating, sharing
from ..figures.choke import LEAST_CHOKE_DEG
from ..finding import Unstated
from ..model import LINK_KINDS, ChartRow, TagRating, TemperatureRange
from ..quantities import Angle, Load
from ..sling import Gathering, Leg, Part
from ..tables import RatingTable, chain_size, rating_table
from .base import not_computed, remembered, sheet_of
from .reductions import Reduction, ReductionFigures

POUND_KG = float(Load.units["lb"])
US_STEP_KG = 100 * POUND_KG  # OSHA, Guidance on Safe Sling Use: cells are in hundreds of lb
EN_STEP_KG = 10.0
CHART_STEP_KG = {"US": US_STEP_KG, "EN": EN_STEP_KG}  # house default: how charts are rounded
TAG_SLACK = 1.005  # house default: rounding of a tag beyond the published cell
TIE = 1 + 1e-9


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
class Rating:
    """The rated load at one hitch and angle, in kg, and what governs it.

    `load` is None where a part is unrated or its figures are not stated; `at_most` is then
    what the known parts allow. `listed` is the angle that rates it, `legs` the legs that
    count. `product` is the figure before the published cell is taken.
    """

    angle: float
    listed: float
    legs: int
    factor: float
    load: Load | None
    at_most: Load | None
    product: float | None
    governed_by: Part | None
    allowed: dict[str, float] = field(repr=False)
    gaps: tuple[Unstated, ...] = ()
    reductions: tuple[Reduction, ...] = ()

    @property
    def stated(self) -> Load:
        """The rated load; raises Unstated where it is not known."""
        if self.load is None:
            raise self.gaps[0]
        return self.load


class RatingFigures(ReductionFigures):
    """Sharing, capacity and rating."""

    SLACK = 1 + 1e-6
    ROUNDING_DEG = 1e-6

    def check_computed(self) -> None:
        """Raise Unstated where the sling has what this version reads and does not compute."""
        for leg in self.sling.legs:
            if leg.kind != "chain":
                what = f"{leg.kind} legs" if leg.kind else "legs without chain, rope or web"
                raise not_computed(leg.path, f"ratings of {what}")
            if leg.entry.to or leg.entry.endless:
                raise not_computed(leg.path, "baskets and endless legs")
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

    def counted_for_load(self) -> int:
        """The legs that the planned load counts: 2 of four where it is rigid, or by practice."""
        sling = self.sling
        if sling.loaded_legs == sharing.MOST_LEGS and sling.duty.load_is_rigid:
            return 2
        if sling.loaded_legs == sharing.MOST_LEGS:
            return sling.practice.four_legs_count
        return self.effective_legs()

    def rated_angle(self, from_horizontal: float) -> float:
        """The angle that rates a leg: the next lower listed one, or exact by practice."""
        if self.sling.practice.angles == "exact":
            return from_horizontal
        return rating.listed_angle(from_horizontal, self.sling.basis)

    @remembered
    def allowance(self, part: Part) -> Allowance:
        """What a part allows in this use; see `Allowance`. Raises Unstated."""
        gathering = self._gatherings.get(part.path)
        if gathering is not None:
            return self._gathering_allowance(part, gathering)
        assert part.leg is not None
        if part.is_link:
            chain = part.leg.chain
            by_chart = self._chart_allowance(part, chain.size_mm, chain.grade, 1, gathers_all=False)
            if by_chart is not None:
                return by_chart
        limit = part.get("working_load_limit")
        if limit is None:
            return Allowance(part)
        if part.kind == "chain" and self.tabled(part):
            # no sheet lifts a chain above the published table of its basis
            table = self._table(part.grade)
            single = table.single(part.size_mm) if table else None
            limit = min(limit, single) if single else limit
        return Allowance(
            part, tension=float(limit), because="its working load limit", source=sheet_of(part)
        )

    def _gathering_allowance(self, part: Part, gathering: Gathering) -> Allowance:
        legs = gathering.loaded_legs
        if part.kind in LINK_KINDS and legs:
            use = self._use_of(gathering)
            by_chart = self._chart_allowance(part, *use, legs, gathering.gathers_all)
            if by_chart is not None:
                return by_chart
        limit = part.get("working_load_limit")
        if limit is None or not legs:
            return Allowance(part)
        use = part.get("limit_for")
        if use is not None and use.legs is not None and use.legs < legs:
            return Allowance(part)
        if use is not None and use.legs is not None:
            usual = _usual_row_angle(self.sling.basis, use.legs)
            angle = use.angle.horizontal if use.angle else usual
            factor = rating.leg_factor(
                self.sling.basis, self.effective_legs(loaded=use.legs), angle
            )
            total = float(limit) if gathering.gathers_all else None
            return Allowance(part, limit / factor, total, None, "its limit", sheet_of(part))
        if gathering.gathers_all:
            return Allowance(
                part, load=float(limit), because="its working load limit", source=sheet_of(part)
            )
        # legs that lean together pull up to as many times their tension as there are legs
        return Allowance(part, limit / legs, None, None, "its working load limit", sheet_of(part))

    def _use_of(self, gathering: Gathering) -> tuple[float, int]:
        """Size in mm and grade of the chain that a link gathers: the largest, of the grade that
        rates the sling."""
        chains = [leg.chain for leg in gathering.legs]
        grade = min(self.sling.chain.grade, max(chain.grade for chain in chains))
        return max(chain.size_mm for chain in chains), grade

    def _chart_allowance(
        self, part: Part, size: float, grade: int, legs: int, gathers_all: bool
    ) -> Allowance | None:
        """The best of the chart rows that cover this use; None where none does."""
        best: Allowance | None = None
        for row in part.chart:
            if row.leg != "chain" or not legs <= max(row.legs) <= sharing.MOST_LEGS:
                continue
            row_size = chain_size(row.size)
            if row_size is None or row_size < size:
                continue
            if row.grade is None:
                raise part.unstated("chart.grade")
            if row.grade < grade:
                continue
            found = self._row_allowance(part, row, row_size, row.grade, gathers_all)
            if best is None or _reach_of(found) > _reach_of(best):
                best = found
        return best

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

    def rating(self, from_horizontal: float | None = None, *, straight: bool = False) -> Rating:
        """The plate's rating at an angle (default: the duty's), or for one straight leg.

        Raises Unstated where the sling's kind or hitch is not computed, or its angle not given.
        """
        sling = self.sling
        if from_horizontal is None:
            if sling.hitch == "basket":
                raise not_computed("the duty", "basket hitches")
            straight = sling.hitch == "straight"
            from_horizontal = 90.0 if sling.loaded_legs == 1 else sling.angle
        return self._rating(1 if straight else self.effective_legs(), from_horizontal)

    @remembered
    def _rating(self, legs: int, from_horizontal: float, *, exact: bool = False) -> Rating:
        self.check_computed()
        angle = from_horizontal if exact else self.rated_angle(from_horizontal)
        angle = 90.0 if legs == 1 else angle
        sines = self.sling.practice.angles == "exact" or exact
        factor = (
            sharing.legs_times_sine(legs, angle)
            if sines
            else rating.leg_factor(self.sling.basis, legs, angle)
        )
        allowed: dict[str, float] = {}
        gaps: list[Unstated] = []
        least: tuple[float, bool, str] | None = None
        governs: Part | None = None
        products = []
        for part in self.sling.parts:
            try:
                allowance = self.allowance(part)
                if allowance.unrated:
                    raise Unstated(
                        "rating", part.path, part.item.id, why=f"{part.path} has no rating"
                    )
                load = self._allows(allowance, legs, angle, factor)
            except Unstated as gap:
                gaps.append(gap)
                continue
            allowed[part.path] = load
            products.append(self._product(allowance, factor))
            rank = (load, part.kind != "chain", part.path)
            if (
                least is None
                or rank[0] * TIE < least[0]
                or (rank[0] <= least[0] * TIE and rank[1:] < least[1:])
            ):
                least, governs = rank, part
        known = Load(min(allowed.values())) if allowed else None
        return Rating(
            from_horizontal,
            angle,
            legs,
            factor,
            None if gaps else known,
            known,
            min(products) if products else None,
            None if gaps else governs,
            allowed,
            tuple(gaps),
        )

    def tag_rating(self, row: TagRating) -> Rating:
        """The rating that a tag row is held to: at its own hitch and its flattest angle.

        Raises Unstated where the row's hitch or its reduced duty is not computed.
        """
        return self.reduced(self._plain_tag_rating(row), self.tag_reductions(row))

    def _plain_tag_rating(self, row: TagRating) -> Rating:
        hitch = row.hitch or self.sling.hitch
        if hitch == "basket":
            raise not_computed("the tag", "basket hitches")
        if hitch == "straight":
            return self.rating(90.0, straight=True)
        if row.angle is not None:
            return self.rating(row.angle.flattest)
        if self.sling.loaded_legs == 1:
            return self.rating(90.0)
        raise Unstated("angle", "the tag", why="a rating row of the tag says no angle")

    def tag_reductions(self, row: TagRating) -> tuple[Reduction, ...]:
        """What a tag row's own duty takes off: its temperature, edge and choker hitch.

        A choker row that gives no angle of choke is read as 120 deg, for which ratings are made.
        """
        found = []
        if row.temperature is not None:
            heat = self.heat(TemperatureRange(high=row.temperature))
            found.append(heat if heat is not None else Reduction("temperature", 0.0, ""))
        if row.edge_radius is not None:
            found.append(self.edge(row.edge_radius))
        if row.hitch == "choker":
            found.append(self.choke(row.choke_angle or Angle(LEAST_CHOKE_DEG)))
        return tuple(reduction for reduction in found if reduction.share < 1)

    def reduced(self, rated: Rating, reductions: tuple[Reduction, ...]) -> Rating:
        """A rating with what a duty takes off each part's share of it."""
        if not reductions:
            return rated
        shares = dict.fromkeys(rated.allowed, 1.0)
        parts = {part.path: part for part in self.sling.parts if part.path in shares}
        for reduction in reductions:
            for path, part in parts.items():
                shares[path] *= reduction.share if reduction.applies_to(part) else 1.0
        allowed = {path: load * shares[path] for path, load in rated.allowed.items()}
        least = min(allowed.values(), default=None)
        known = None if least is None else Load(least)
        governs = [
            path for path, load in allowed.items() if known is not None and load <= known * TIE
        ]
        governs.sort(key=lambda path: (parts[path].kind != "chain", path))
        return evolve(
            rated,
            load=None if rated.gaps else known,
            at_most=known,
            product=None,
            governed_by=None if rated.gaps or not governs else parts[governs[0]],
            allowed=allowed,
            reductions=reductions,
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

    def shortened_rating(self, leg: Leg, rated: Rating, strength_factor: float) -> float:
        """The rated load with a leg's chain at a share of its limit, in kg."""
        chain = rated.allowed.get(leg.chain.path)
        if chain is None:
            raise rated.gaps[0]
        return min(rated.stated, chain * strength_factor)

    def use_of(self, part: Part) -> tuple[int, Part]:
        """What a link is used for: how many loaded legs below it, and their hardest chain."""
        gathering = self._gatherings.get(part.path)
        if gathering is None:
            assert part.leg is not None
            return 1, part.leg.chain
        return gathering.loaded_legs, max((leg.chain for leg in gathering.legs), key=_hardness)

    def why(self, part: Part, rated: Rating) -> str:
        """In a few words, why a part allows what it allows."""
        allowance = self.allowance(part)
        show = self.sling.units.show
        if allowance.row is not None:
            legs = max(allowance.row.legs)
            use = "one leg" if legs == 1 else f"{legs} legs"
            return f"its chart: {show(allowance.row.limit)} for {use} of {allowance.row.size}"
        if allowance.tension is None:
            return f"its limit of {show(Load(allowance.load or 0.0))}"
        limit = show(Load(allowance.tension))
        if rated.legs == 1:
            return f"{limit} on one leg"
        published = self.published(part, rated.legs, rated.listed)
        if published is not None:
            cell, single, _ = published
            if allowance.tension * TIE < single:
                return f"{limit} a leg, where {show(cell)} is published for {show(single)}"
            return f"{limit} a leg; published {show(cell)}"
        return f"{limit} a leg x {rated.factor:.4g}"

    def _product(self, allowance: Allowance, factor: float) -> float:
        by_pull = allowance.tension * factor if allowance.tension is not None else float("inf")
        return min(by_pull, allowance.load if allowance.load is not None else float("inf"))

    def _allows(self, allowance: Allowance, legs: int, angle: float, factor: float) -> float:
        """The load on the whole sling that a part allows, in kg."""
        part = allowance.part
        by_pull = float("inf")
        if allowance.tension is not None:
            by_pull = allowance.tension * factor
            if part.path not in self._gatherings:
                by_pull = self._by_cell(part, allowance.tension, legs, angle, by_pull)
            elif allowance.like is not None:
                by_pull = self._as_that_chain(allowance, legs, angle, by_pull)
        return by_pull if allowance.load is None else min(by_pull, allowance.load)

    def _as_that_chain(
        self, allowance: Allowance, legs: int, angle: float, product: float
    ) -> float:
        """A link's load by the published cell of the chain that its chart row is for."""
        scale = self.cell_of_row(allowance, legs, angle)
        if scale is None or allowance.tension is None:
            return product
        cell, single = scale
        return allowance.tension * cell / single

    def cell_of_row(
        self, allowance: Allowance, legs: int, angle: float
    ) -> tuple[float, float] | None:
        """The published rating for legs of a chart row's chain, and that of one such leg.

        None where the part has no chart row, or no table of the basis has the cell.
        """
        if allowance.like is None:
            return None
        grade, size = allowance.like
        table = self._table(grade)
        cell, single = (
            (table.cell(size, legs, angle), table.single(size)) if table else (None, None)
        )
        return (cell, single) if cell and single else None

    def _by_cell(
        self, part: Part, tension: float, legs: int, angle: float, product: float
    ) -> float:
        """A leg part's load with the published cell in place of the product, where there is one."""
        published = self.published(part, legs, angle)
        if published is None:
            return product
        cell, single, _ = published
        share = tension / single
        return cell * (min(1.0, share) if part.kind == "chain" else share)

    def published(self, part: Part, legs: int, angle: float) -> tuple[Load, Load, str] | None:
        """The published rating for a leg part's chain: of the sling, of one leg, and its source.

        None for a part of no leg, and where no table has the cell.
        """
        if part.leg is None:
            return None
        chain = part.leg.chain
        table = self._table(chain.grade) if self.tabled(chain) else None
        cell = table.cell(chain.size_mm, legs, angle) if table else None
        single = table.single(chain.size_mm) if table else None
        if table is None or not cell or not single:
            return None
        return cell, single, table.table.source

    def tabled(self, chain: Part) -> bool:
        """Whether the published table of the basis speaks of this chain."""
        return chain.get("steel") in (None, "alloy") and self._table(chain.grade) is not None

    def _table(self, grade: int) -> RatingTable | None:
        return rating_table(self.sling.basis, grade)

    def cell(self, grade: int, size: float, legs: int, angle: float) -> float | None:
        """The published rated load for a chain, in kg; None where no table has the cell."""
        table = self._table(grade)
        return table.cell(size, legs, angle) if table else None

    def tag_allows(self, rated: Rating) -> float:
        """The greatest load that a tag may state for a rating, in kg.

        The rated load, the product rounded half up to 100 lb where US tables round so, or
        0.5 % more, whichever is largest.
        """
        most = rated.stated * TAG_SLACK
        sling = self.sling
        rounds = sling.basis == "US" and sling.is_chain_sling and sling.chain.grade in (80, 100)
        if rounds and rated.product is not None:
            most = max(most, rating.rounded_half_up(rated.product, US_STEP_KG))
        return most

    def exact_rating(self, rated: Rating) -> Rating | None:
        """The rating at the exact angle where a listed one rates the sling; None if the same."""
        legs = 1 if self.sling.hitch == "straight" else self.effective_legs()
        if legs == 1 or self.rated_angle(rated.angle) == rated.angle:
            return None
        return self._rating(legs, rated.angle, exact=True)

    def duty_factor(self) -> float:
        """The number of single-leg pulls that the duty's load is shared into.

        By the exact angle, since this is what the legs feel. Raises Unstated.
        """
        self.check_computed()
        sling = self.sling
        if sling.hitch == "basket":
            raise not_computed("the duty", "basket hitches")
        if sling.duty.load_geometry is not None:
            raise not_computed("the duty", "load geometries")
        if sling.hitch == "straight" or sling.loaded_legs == 1:
            return 1.0
        return sharing.legs_times_sine(self.counted_for_load(), sling.angle)

    def tag_load(self, rated: Rating) -> Load:
        """What a tag may state for a rating: the published cell, else rounded down.

        To 100 lb or 10 kg (house default).
        """
        step = CHART_STEP_KG[self.sling.basis]
        return Load(floor(rated.stated / step + 1e-6) * step)

    def duty_angle(self) -> float | None:
        """The legs' angle in the duty, in deg from the horizontal; None where it is not given."""
        try:
            return self.sling.angle
        except Unstated:
            return None

    def duty_rating(self) -> Rating:
        """The rating for the planned load: by the legs that it counts.

        Raises Unstated where a reduction applies that is not computed.
        """
        if self.sling.duty.load_geometry is not None:
            raise not_computed("the duty", "load geometries")
        return self.reduced(self._shared_rating(), self.duty_reductions())

    def _shared_rating(self) -> Rating:
        """The rating by the legs that the planned load counts."""
        counted = self.counted_for_load()
        if counted == self.effective_legs() or self.sling.hitch == "straight":
            return self.rating()
        self.rating()
        return self._rating(counted, self.sling.angle)

    def listed_ratings(self) -> Iterator[tuple[float, Rating]]:
        """The rating at each of the basis's listed angles, in deg from the horizontal."""
        if self.sling.loaded_legs == 1:
            return
        listed = rating.US_LISTED_DEG if self.sling.basis == "US" else rating.EN_LISTED_DEG
        for angle in listed:
            yield angle, self.rating(angle)


def _hardness(chain: Part) -> tuple[float, int]:
    return chain.size_mm, chain.grade


def _reach_of(allowance: Allowance) -> tuple[float, float]:
    return (
        allowance.load if allowance.load is not None else 0.0,
        allowance.tension if allowance.tension is not None else 0.0,
    )


def _usual_row_angle(basis: str, legs: int) -> float:
    if legs == 1:
        return 90.0
    return 60.0 if basis == "US" else 45.0
