"""The outcome of a run: builds, catalogs, records and the library with their judgments."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import Literal, ParamSpec, TypeVar, get_args

from attrs import field, frozen

from .book import Pack
from .calculation import Calculation, Rating
from .files import Skipped
from .finding import LEVELS, Unstated, Verdict
from .house import HouseModule
from .judging import Judgment, Placed
from .model import Basis, FailOn, KnownEntry, Level
from .problem import Problem
from .quantities import Length, Load, Units
from .rule import Rule
from .sling import Sling

FAILS: tuple[str, ...] = get_args(FailOn)
P = ParamSpec("P")
T = TypeVar("T")


def checked_fail_on(fail_on: Iterable[str]) -> tuple[str, ...]:
    """What fails, as given: a mistyped name would let everything pass.

    Raises TypeError where it is a single text, ValueError for a name that is no level or "open".
    """
    if isinstance(fail_on, str):
        raise TypeError(f'fail_on takes several names, this is one text: write ("{fail_on}",)')
    names = tuple(fail_on)  # once: what gives its names a single time would be empty after
    for what in names:
        if what not in FAILS:
            raise ValueError(f"{what!r} cannot fail a check; one of {', '.join(FAILS)} can")
    return names


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


def _counted(judgment: Judgment) -> str:
    """How much a judgment holds, for a repr of a line."""
    told = [f"{judgment.count(level)} {level}" for level in LEVELS if judgment.count(level)]
    told += [f"{len(judgment.problems)} problem"] if judgment.problems else []
    return f"<{', '.join(told) or 'nothing found'}>"


@frozen
class AssemblyReport:
    """One build: its standing, what the rules say of it, and which of that makes it fail.

    `fail_on` is the caller's, else that of the policy as it applies in the build's folder.
    """

    id: str
    file: str
    standing: Standing = field(repr=False)
    judgment: Judgment = field(repr=lambda judgment: _counted(judgment))
    make: Callable[[], Sling] = field(repr=False, eq=False)
    fail_on: tuple[str, ...] = field(default=("error",), converter=checked_fail_on)

    @cached_property
    def sling(self) -> Sling:
        """The sling itself, hung together again where a worker judged it."""
        return self.make()

    @cached_property
    def figures(self) -> Calculation:
        """The figures of the sling, each computed once."""
        return Calculation(self.sling)

    @property
    def findings(self) -> tuple[Placed, ...]:
        """What was found, errors first; what is permitted or known stands among it."""
        return self.judgment.findings

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted and known ones not counted."""
        return self.judgment.count(level)

    @property
    def open_rules(self) -> tuple[str, ...]:
        """The rules that could not answer for want of a datum."""
        return tuple(name for name, v in self.judgment.verdicts.items() if v == "open")

    def passes(self, fail_on: tuple[str, ...] | None = None) -> bool:
        """Whether every rule could be run and none found anything at or above what fails.

        `fail_on` stands in for the build's own; an empty one leaves only rules that broke. Raises
        TypeError where it is a single text, ValueError for a name that is no level or "open".
        """
        what = self.fail_on if fail_on is None else checked_fail_on(fail_on)
        return not self.judgment.problems and not _fails(self.judgment, what)

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
        """The verdict of every rule about slings and their parts, by its name."""
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
    judgment: Judgment = field(repr=lambda judgment: _counted(judgment))


@frozen
class RecordReport:
    """One record, what the rules say of it, and which of that makes it fail."""

    serial: str
    build: str
    file: str
    judgment: Judgment = field(repr=lambda judgment: _counted(judgment))
    fail_on: tuple[str, ...] = field(default=("error",), converter=checked_fail_on)


@frozen
class Subject:
    """What was judged, with its file and judgment; the library's file is an empty text."""

    kind: Literal["build", "catalog", "record", "library"]
    id: str
    file: str
    judgment: Judgment = field(repr=lambda judgment: _counted(judgment))


@frozen
class Report:
    """The outcome of a run, complete: nothing that was given is left out of it.

    `rules` are those in use. `whole` says whether the whole library was checked. `known` is the
    file of the known findings, None where none was given; `vanished` are its entries whose
    finding is no longer there, `lapsed` those past their date, whose finding stands again.
    A build or record fails on its own `fail_on`; catalogs and the library on that of the run.
    `house_rules` are the rule modules of policies that ran.
    """

    assemblies: tuple[AssemblyReport, ...] = ()
    catalogs: tuple[CatalogReport, ...] = ()
    records: tuple[RecordReport, ...] = ()
    library: Judgment = Judgment()
    problems: tuple[Problem, ...] = ()
    skipped: tuple[Skipped, ...] = ()
    off: tuple[str, ...] = ()
    packs: tuple[Pack, ...] = ()
    fail_on: tuple[str, ...] = field(default=("error",), converter=checked_fail_on)
    rules: tuple[Rule, ...] = field(default=(), repr=False)
    whole: bool = False
    known: str | None = None
    vanished: tuple[KnownEntry, ...] = ()
    lapsed: tuple[KnownEntry, ...] = ()
    house_rules: tuple[HouseModule, ...] = ()
    told: tuple[str, ...] = ()

    def __repr__(self) -> str:
        counts = ", ".join(f"{self.count(level)} {level}" for level in LEVELS)
        builds = f"{len(self.assemblies)} builds, {len(self.problems)} problems"
        return f"<Report: {builds}, {counts}, exit status {self.exit_status}>"

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """All that was judged: builds, catalogs, records and, last, the library."""
        return (
            *(Subject("build", one.id, one.file, one.judgment) for one in self.assemblies),
            *(Subject("catalog", one.id, one.file, one.judgment) for one in self.catalogs),
            *(Subject("record", one.serial, one.file, one.judgment) for one in self.records),
            Subject("library", "library", "", self.library),
        )

    @property
    def notices(self) -> tuple[str, ...]:
        """What to tell whoever keeps the files, each once: rules renamed or retired."""
        own = [notice for judgment in self.judgments for notice in judgment.notices]
        return tuple(dict.fromkeys((*self.told, *own)))

    @property
    def judgments(self) -> tuple[Judgment, ...]:
        """Every judgment of the run: of builds, catalogs, records and the library."""
        return tuple(subject.judgment for subject in self.subjects)

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted and known ones not counted."""
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
        """How many findings a permit covers."""
        return sum(p.finding.permit is not None for j in self.judgments for p in j.findings)

    @property
    def known_count(self) -> int:
        """How many findings are on the list of known ones."""
        return sum(p.finding.known is not None for j in self.judgments for p in j.findings)

    @property
    def open_count(self) -> int:
        """How many verdicts are open, over all that was judged."""
        return sum(v == "open" for j in self.judgments for v in j.verdicts.values())

    @property
    def exit_status(self) -> int:
        """0 nothing at or above what fails, 1 findings, 2 something could not be checked."""
        if self.problems:
            return 2
        return int(any(_fails(one, self.fails_on(one)) for one in self.judgments))

    def fails_on(self, judgment: Judgment) -> tuple[str, ...]:
        """What makes a judgment of this run fail: its own `fail_on`, else the run's."""
        return self._own_fail_on.get(id(judgment), self.fail_on)

    def failing_levels(self, judgment: Judgment) -> tuple[Level, ...]:
        """The levels at which a finding of a judgment makes the run fail."""
        return _levels(self.fails_on(judgment))

    @cached_property
    def _own_fail_on(self) -> dict[int, tuple[str, ...]]:
        own = {id(one.judgment): one.fail_on for one in self.assemblies}
        return own | {id(one.judgment): one.fail_on for one in self.records}


def _levels(fail_on: tuple[str, ...]) -> tuple[Level, ...]:
    """Each named level and those above it."""
    lowest = max((LEVELS.index(what) for what in fail_on if what in LEVELS), default=-1)
    return LEVELS[: lowest + 1]


def _fails(judgment: Judgment, fail_on: tuple[str, ...]) -> bool:
    if any(judgment.count(level) for level in _levels(fail_on)):
        return True
    return "open" in fail_on and "open" in judgment.verdicts.values()


def _standing_words(report: AssemblyReport) -> str:
    """What a build may carry, in a few words."""
    standing = report.standing
    if standing.rated is None:
        least = standing.at_most
        return f"at most {standing.units.show(least)}" if least else "not rated"
    at = f" at {standing.at}" if standing.at else ""
    return f"rated {standing.units.show(standing.rated)}{at}"
