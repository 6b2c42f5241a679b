"""The outcome of a run: builds, catalogs, records and the library with their judgments."""

from __future__ import annotations

from attrs import field, frozen

from .book import Pack
from .calculation import Calculation, Rating
from .files import Skipped
from .finding import LEVELS, Unstated
from .judging import Judgment, Placed
from .model import Level
from .problem import Problem
from .quantities import Length
from .sling import Sling


@frozen
class AssemblyReport:
    """One build: its figures, and what the rules say of it."""

    id: str
    file: str
    sling: Sling = field(repr=False)
    figures: Calculation = field(repr=False)
    judgment: Judgment = field(repr=False)

    @property
    def findings(self) -> tuple[Placed, ...]:
        return self.judgment.findings

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted ones not counted."""
        return self.judgment.count(level)

    @property
    def open_rules(self) -> tuple[str, ...]:
        return tuple(name for name, v in self.judgment.verdicts.items() if v == "open")

    @property
    def rating(self) -> Rating | None:
        """The rating at the duty's angle; None where it cannot be computed at all."""
        try:
            return self.figures.rating()
        except Unstated:
            return None

    @property
    def reach(self) -> Length | None:
        """The reach of the longest leg; None where it cannot be computed."""
        try:
            return Length(max(self.figures.reach(leg) for leg in self.sling.legs))
        except Unstated:
            return None


@frozen
class CatalogReport:
    """One catalog and what the rules about sheets say of it."""

    id: str
    file: str
    judgment: Judgment = field(repr=False)


@frozen
class RecordReport:
    """One record and what the rules say of it."""

    serial: str
    build: str
    file: str
    judgment: Judgment = field(repr=False)


@frozen
class Report:
    """The outcome of a run, complete: nothing that was given is left out of it."""

    assemblies: tuple[AssemblyReport, ...] = ()
    catalogs: tuple[CatalogReport, ...] = ()
    records: tuple[RecordReport, ...] = ()
    library: Judgment = Judgment()
    problems: tuple[Problem, ...] = ()
    skipped: tuple[Skipped, ...] = ()
    off: tuple[str, ...] = ()
    packs: tuple[Pack, ...] = ()
    fail_on: tuple[str, ...] = ("error",)

    @property
    def judgments(self) -> tuple[Judgment, ...]:
        """Every judgment of the run: of builds, catalogs, records and the library."""
        return (
            *(report.judgment for report in self.assemblies),
            *(report.judgment for report in self.catalogs),
            *(report.judgment for report in self.records),
            self.library,
        )

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted ones not counted."""
        return sum(judgment.count(level) for judgment in self.judgments)

    @property
    def permitted(self) -> int:
        return sum(p.finding.permit is not None for j in self.judgments for p in j.findings)

    @property
    def open_count(self) -> int:
        return sum(v == "open" for j in self.judgments for v in j.verdicts.values())

    @property
    def exit_status(self) -> int:
        """0 nothing at or above what fails, 1 findings, 2 something could not be checked."""
        if self.problems:
            return 2
        lowest = max((LEVELS.index(what) for what in self.fail_on if what in LEVELS), default=-1)
        found = any(self.count(level) for level in LEVELS[: lowest + 1])
        return 1 if found or ("open" in self.fail_on and self.open_count) else 0
