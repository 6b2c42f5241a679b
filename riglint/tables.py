"""The published tables in `specs/tables/`: each with its document and how it was obtained."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from pkgutil import get_data
from typing import Any, Self

import tomli
from attrs import field, frozen

from .problem import Unreadable
from .quantities import Length, Load, QuantityError, size_in_mm
from .source import read_document

FROM_MEMORY = "from memory"


@frozen
class Table:
    """A published table: its rows as data, its document, and how the figures were obtained.

    `obtained` is one of retrieved, second-hand, computed, from memory. A row may say
    `obtained` for itself.
    """

    name: str
    title: str
    document: str
    edition: str
    clause: str
    obtained: str
    rows: tuple[dict[str, Any], ...] = field(repr=False)
    note: str = ""

    @property
    def source(self) -> str:
        """Document and clause, and the mark where the figures are not retrieved ones."""
        mark = "" if self.obtained == "retrieved" else f" ({self.obtained})"
        return f"{self.document}, {self.clause}{mark}"

    def figure(self, row: dict[str, Any], key: str) -> Sourced:
        """A number of a row, with the row's own source and mark where it has them."""
        obtained = row.get("obtained", self.obtained)
        if "source" not in row:
            return Sourced(row[key], self.source, obtained)
        mark = "" if obtained == "retrieved" else f" ({obtained})"
        return Sourced(row[key], row["source"] + mark, obtained)


class Sourced(float):
    """A published number that remembers its source and how it was obtained."""

    __slots__ = ("obtained", "source")

    source: str
    obtained: str

    def __new__(cls, value: float, source: str, obtained: str) -> Self:
        made = super().__new__(cls, value)
        made.source, made.obtained = source, obtained
        return made

    def __getnewargs__(self) -> tuple[float, str, str]:  # type: ignore[override]
        return float(self), self.source, self.obtained

    def __mul__(self, other: float) -> Sourced:
        """So many times the number, by the same source."""
        return Sourced(float(self) * other, self.source, self.obtained)

    @property
    def from_memory(self) -> bool:
        """Whether no document was seen for it, so that it decides nothing alone."""
        return self.obtained == FROM_MEMORY


@frozen
class RatingTable:
    """Rated loads of slings of one grade by size, legs and listed angle, in kg.

    `choked_loops` are endless slings in a choker hitch, by size, where the table has them.
    """

    table: Table
    steel: str
    unit: str
    cells: dict[tuple[float | str, int, float], Load] = field(repr=False)
    choked_loops: dict[float, Load] = field(factory=dict, repr=False)

    def single(self, size_mm: float | str) -> Load | None:
        """The rated load of one straight leg of this size; None where the table has no row."""
        return self.cells.get((size_mm, 1, 90.0))

    def cell(self, size_mm: float | str, legs: int, from_horizontal: float) -> Load | None:
        """The rated load of the whole sling; four legs have the cells of three."""
        return self.cells.get((size_mm, min(legs, 3), from_horizontal))


@cache
def table(name: str) -> Table:
    """The table of that name; raises LookupError where there is none."""
    return _table(_load(name))


@cache
def table_in(path: Path) -> Table:
    """The table in a file of a pack; raises LookupError where it holds none."""
    try:
        return _table(read_document(path, path.name).values)
    except Unreadable as error:
        raise LookupError(f"the table {path.name} cannot be read: {error}") from None
    except (KeyError, TypeError, ValueError):
        text = f"{path.name} is no table: it needs [table] with name, title, document, edition,"
        raise LookupError(f"{text} clause and obtained, and [[row]]s") from None


def heading(name: str, key: str) -> dict[str, Any]:
    """How the rows of a table are to be read: the table of that key in its file."""
    values: dict[str, Any] = _load(name)[key]
    return values


@cache
def rating_table(basis: str, grade: int) -> RatingTable | None:
    """The published ratings for chain of a basis and grade; None where none is built in."""
    name = {
        ("US", 80): "us-chain-grade-80",
        ("US", 100): "us-chain-grade-100",
        ("EN", 80): "en-chain-grade-8",
        ("EN", 40): "en-chain-grade-4",
    }.get((basis, grade))
    return None if name is None else _rating_table(name, chain_size)


@cache
def rope_table(basis: str) -> RatingTable | None:
    """The published ratings for wire rope of a basis by its diameter; None where none is built in.

    EN: steel core, ferrule-secured eyes (EN 13414-1:2003, Table 4). US: none was seen.
    """
    return _rating_table("en-rope-steel-core", size_in_mm) if basis == "EN" else None


def _rating_table(name: str, metric: Callable[[str], float | None]) -> RatingTable:
    data = _load(name)
    head, unit = data["rating"], data["rating"]["unit"]
    sizes = [(_known(metric, row["size"]), row) for row in data["row"]]
    cells: dict[tuple[float | str, int, float], Load] = {
        (mm, column["legs"], float(column["from_horizontal"])): _cell(row[column["name"]], unit)
        for mm, row in sizes
        for column in head["columns"]
        if column["name"] in row
    }
    choked = head.get("endless_choked")
    loops = {mm: _cell(row[choked], unit) for mm, row in sizes if choked in row}
    return RatingTable(_table(data), head["steel"], unit, cells, loops)


def _cell(printed: float, unit: str) -> Load:
    return Load.parse(f"{printed:,} {unit}")


@cache
def chain_size(name: str) -> float | None:
    """The millimetre size of chain that a size name stands for (3/8 in is 10 mm).

    None where the name is no length at all. Source: the table chain-sizes.
    """
    mm = size_in_mm(name)
    return mm if mm is None else _aliases().get(round(mm, 3), mm)


def size_in(name: str, kind: str) -> float | str:
    """The size that a name stands for, in mm, of legs of a kind; the name itself if no length.

    Chain by the trade's millimetre size, anything else by its own length; a roundsling that is
    named by its limit by that limit, in kg.
    """
    mm = chain_size(name) if kind == "chain" else size_in_mm(name)
    if mm is None and kind == "roundsling":
        mm = _limit_named(name)
    return "".join(name.casefold().split()) if mm is None else mm


def _limit_named(name: str) -> float | None:
    try:
        return float(Load.parse(name))
    except QuantityError:
        return None


def _known(metric: Callable[[str], float | None], name: str) -> float:
    mm = metric(name)
    assert mm is not None, f"{name} is no size"
    return mm


@cache
def _aliases() -> dict[float, float]:
    return {
        round(float(Length.parse(row["inch"])), 3): float(Length.parse(row["metric"]))
        for row in table("chain-sizes").rows
    }


def _table(data: dict[str, Any]) -> Table:
    return Table(**data["table"], rows=tuple(data.get("row", ())))


@cache
def _load(name: str) -> dict[str, Any]:
    # pkgutil loads in a third of the time that importlib.resources takes
    try:
        text = get_data("riglint_specs", f"tables/{name}.toml")
    except OSError:
        text = None
    if text is None:
        raise LookupError(f"there is no table {name}")
    return tomli.loads(text.decode("utf-8"))
