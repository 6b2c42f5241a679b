"""What a part allows and how a load is shared, as data."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import evolve, frozen

from ..model import ChartRow
from ..quantities import Length, Load, Units
from ..sling import Part


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
        named = self.kind == "roundsling" or isinstance(self.size, str)
        size = self.hardest.size if named else units.show(Length(float(self.size)))
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
        """Whether its sheet gives no limit for this use."""
        return self.tension is None and self.load is None


@frozen
class Share:
    """How a load is shared: legs that count, the angle that rates them (deg from horizontal),
    the leg factor, and whether the published cells rate it rather than the exact product.

    `pulls` has the pull of each leg, by its path, as a share of the load, where they pull
    unlike. `upper` is the share of the legs that a spreader hangs by. `stands` is the legs' own
    angle where the one that rates them is another.
    """

    legs: int
    angle: float
    factor: float
    by_table: bool = True
    pulls: tuple[tuple[str, float], ...] = ()
    upper: Share | None = None
    stands: float | None = None

    @property
    def stands_at(self) -> float:
        """The angle that the legs really stand at, in deg from the horizontal."""
        return self.angle if self.stands is None else self.stands

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
