"""The outcome of a run: builds, catalogs, records and the library with their judgments."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import ParamSpec, TypeVar

from attrs import field, frozen

from .book import Pack
from .calculation import Calculation, Rating
from .files import Skipped
from .finding import LEVELS, Unstated, Verdict
from .judging import Judgment, Placed
from .model import Basis, Level
from .problem import Problem
from .quantities import Length, Load, Units
from .sling import Sling

P = ParamSpec("P")
T = TypeVar("T")


@frozen
class Standing:
    """The figures of one build that every report shows, as plain data.

    `rated` is the plate's rating, `in_duty` what is left of it in the planned use, where that is
    less; both None where they are not known. `at` is the angle that the rating holds at, in words.
    """

    basis: Basis
    units: Units
    title: str
    rated: Load | None
    at_most: Load | None
    in_duty: Load | None
    at: str
    governed_by: str | None
    because: str
    reach: Length | None


def standing_of(figures: Calculation) -> Standing:
    """The figures of one build that every report shows."""
    sling = figures.sling
    rating = _known(figures.rating)
    duty = _known(figures.duty_rating)
    reaches = [_known(figures.reach, leg) for leg in sling.legs]
    known = [reach for reach in reaches if reach is not None]
    governor = rating.governed_by if rating else None
    less = duty and duty.load and rating and rating.load and duty.load < rating.load
    return Standing(
        basis=sling.basis,
        units=sling.units,
        title=sling.build.assembly.title,
        rated=rating.load if rating else None,
        at_most=rating.at_most if rating and rating.gaps else None,
        in_duty=duty.load if duty and less else None,
        at=angle_words(rating.angle, sling) if rating and rating.legs > 1 else "",
        governed_by=governor.path if governor else None,
        because=figures.why(governor, rating) if governor and rating else "",
        reach=Length(max(known)) if known and len(known) == len(reaches) else None,
    )


def angle_words(from_horizontal: float, sling: Sling) -> str:
    """A leg angle as the basis measures it, in words."""
    return f"{sling.as_measured(from_horizontal):.4g} deg from the {sling.measured_from}"


def _known(compute: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
    try:
        return compute(*args, **kwargs)
    except Unstated:
        return None


@frozen
class AssemblyReport:
    """One build: its standing, and what the rules say of it."""

    id: str
    file: str
    standing: Standing = field(repr=False)
    judgment: Judgment = field(repr=False)
    make: Callable[[], Sling] = field(repr=False, eq=False)

    @cached_property
    def sling(self) -> Sling:
        """The sling itself, hung together again where a worker judged it."""
        return self.make()

    @cached_property
    def figures(self) -> Calculation:
        return Calculation(self.sling)

    @property
    def findings(self) -> tuple[Placed, ...]:
        return self.judgment.findings

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted ones not counted."""
        return self.judgment.count(level)

    @property
    def open_rules(self) -> tuple[str, ...]:
        return tuple(name for name, v in self.judgment.verdicts.items() if v == "open")

    def passes(self, fail_on: tuple[str, ...] = ("error",)) -> bool:
        """Whether every rule could be run and none found anything at or above what fails."""
        return not self.judgment.problems and not _fails((self.judgment,), fail_on)

    def _repr_html_(self) -> str:
        """A table of the findings, for notebooks."""
        from .markup import table

        found = [placed.finding for placed in self.findings]
        rows: list[tuple[object, ...]] = [
            (one.level, one.rule, one.part, one.message, one.remedy) for one in found
        ]
        rows += [("problem", "", "", one.message, "") for one in self.judgment.problems]
        rows += [("open", one.rule, one.part, one.why, "") for one in self.judgment.missing]
        headings = ("level", "rule", "part", "finding", "repair")
        return table(f"{self.id}: {_standing_words(self)}", headings, rows)

    @property
    def verdicts(self) -> Mapping[str, Verdict]:
        return self.judgment.verdicts

    @property
    def rating(self) -> Rating | None:
        """The rating at the duty's angle; None where it cannot be computed at all."""
        return _known(self.figures.rating)


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
    told: tuple[str, ...] = ()

    @property
    def notices(self) -> tuple[str, ...]:
        """What to tell whoever keeps the files, each once: rules renamed or retired."""
        own = [notice for judgment in self.judgments for notice in judgment.notices]
        return tuple(dict.fromkeys((*self.told, *own)))

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

    def _repr_html_(self) -> str:
        """A table of the builds and problems, for notebooks."""
        from .markup import table

        rows: list[tuple[object, ...]] = [
            (one.file, f"problem: {one.message}", "", "", "", "") for one in self.problems
        ]
        for one in self.assemblies:
            counts = (one.count(level) for level in LEVELS)
            rows.append((one.id, _standing_words(one), *counts, len(one.open_rules)))
        headings = ("build", "rated", "errors", "warnings", "notes", "open")
        return table(f"{len(self.assemblies):,} builds", headings, rows)

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
        return 1 if _fails(self.judgments, self.fail_on) else 0


def _standing_words(report: AssemblyReport) -> str:
    """What a build may carry, in a few words."""
    standing = report.standing
    if standing.rated is None:
        least = standing.at_most
        return f"at most {standing.units.show(least)}" if least else "not rated"
    at = f" at {standing.at}" if standing.at else ""
    return f"rated {standing.units.show(standing.rated)}{at}"


def _fails(judgments: tuple[Judgment, ...], fail_on: tuple[str, ...]) -> bool:
    """Whether anything at or above what fails was found, or is open where that fails."""
    lowest = max((LEVELS.index(what) for what in fail_on if what in LEVELS), default=-1)
    found = any(one.count(level) for one in judgments for level in LEVELS[: lowest + 1])
    is_open = "open" in fail_on and any("open" in one.verdicts.values() for one in judgments)
    return found or is_open
