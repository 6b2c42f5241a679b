"""Checking: rules over slings and catalogs, verdict by verdict, and the report of a run."""

from __future__ import annotations

import datetime
import traceback
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from .assembling import assemble
from .book import Pack, RuleBook, rule_book
from .calculation import Calculation, Rating
from .finding import LEVELS, RANK, Finding, Key, Unstated, Verdict
from .library import Found, Skipped, find_files
from .model import Level
from .policy import Policy, find_policy, load_policy
from .problem import Problem, Unreadable
from .quantities import Length
from .reading import read_build, read_catalog
from .rule import Context, Rule
from .sling import Gathering, Leg, Part, Sling
from .source import Document, read_document
from .stock import Catalog, Item, Stock


@frozen
class Missing:
    """A rule that could not judge, and the datum that it waits for."""

    rule: str
    part: str
    datum: str
    key: str
    why: str
    item: str | None = None


@frozen
class Placed:
    """A finding with its line and column in the file."""

    finding: Finding
    line: int
    column: int


@frozen
class Judgment:
    """What all rules say of one subject: their verdicts, findings and what they wait for."""

    verdicts: Mapping[str, Verdict] = field(factory=dict)
    findings: tuple[Placed, ...] = ()
    missing: tuple[Missing, ...] = ()
    problems: tuple[Problem, ...] = ()


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
        return sum(placed.finding.level == level for placed in self.judgment.findings)

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
class Report:
    """The outcome of a run, complete: nothing that was given is left out of it."""

    assemblies: tuple[AssemblyReport, ...] = ()
    catalogs: tuple[CatalogReport, ...] = ()
    problems: tuple[Problem, ...] = ()
    skipped: tuple[Skipped, ...] = ()
    off: tuple[str, ...] = ()
    packs: tuple[Pack, ...] = ()
    fail_on: tuple[str, ...] = ("error",)

    @property
    def judgments(self) -> tuple[Judgment, ...]:
        of_builds = tuple(report.judgment for report in self.assemblies)
        return of_builds + tuple(report.judgment for report in self.catalogs)

    def count(self, level: Level) -> int:
        return sum(p.finding.level == level for j in self.judgments for p in j.findings)

    @property
    def open_count(self) -> int:
        return sum(v == "open" for j in self.judgments for v in j.verdicts.values())

    @property
    def exit_status(self) -> int:
        """0 nothing at or above what fails, 1 findings, 2 something could not be checked."""
        if self.problems:
            return 2
        counts = {level: self.count(level) for level in LEVELS} | {"open": self.open_count}
        return 1 if any(counts[what] for what in self.fail_on) else 0


@frozen
class Judge:
    """The rules in use under one policy, sorted by what they are about."""

    book: RuleBook
    policy: Policy
    as_of: datetime.date
    by_subject: Mapping[type, tuple[Rule, ...]] = field(init=False)

    def __attrs_post_init__(self) -> None:
        on = [rule for rule in self.book.rules if self.policy.levels.get(rule.name) != "off"]
        by_subject: dict[type, tuple[Rule, ...]] = {}
        for rule in on:
            by_subject[rule.about] = (*by_subject.get(rule.about, ()), rule)
        object.__setattr__(self, "by_subject", by_subject)

    @property
    def off(self) -> tuple[str, ...]:
        return tuple(name for name, level in self.policy.levels.items() if level == "off")

    def of_sling(self, sling: Sling, figures: Calculation) -> Judgment:
        """What the rules say of a sling, its gathering links, legs and parts."""
        subjects: tuple[tuple[type, Sequence[Any]], ...] = (
            (Sling, (sling,)),
            (Gathering, sling.gatherings),
            (Leg, sling.legs),
            (Part, sling.parts),
        )
        return self._over(subjects, sling, figures, sling.document)

    def of_catalog(self, catalog: Catalog, document: Document) -> Judgment:
        """What the rules say of a catalog and its items."""
        subjects: tuple[tuple[type, Sequence[Any]], ...] = (
            (Catalog, (catalog,)),
            (Item, catalog.items),
        )
        return self._over(subjects, None, None, document)

    def _over(
        self,
        subjects: Iterable[tuple[type, Sequence[Any]]],
        sling: Any,
        figures: Any,
        document: Document,
    ) -> Judgment:
        verdicts: dict[str, Verdict] = {}
        findings: list[Finding] = []
        missing: list[Missing] = []
        problems: list[Problem] = []
        for about, members in subjects:
            for rule in self.by_subject.get(about, ()):
                name = rule.name
                settings = self._settings(rule)
                context = Context(sling, figures, self.policy.practice, self.as_of, settings)
                verdict: Verdict = "notApplicable"
                for subject in members:
                    one = _judge(rule, subject, context, findings, missing, problems, document)
                    if RANK[one] > RANK[verdict]:
                        verdict = one
                verdicts[name] = verdict
        named = (self._leveled(finding) for finding in findings)
        placed = sorted((_place(finding, document) for finding in named), key=_order)
        return Judgment(
            dict(sorted(verdicts.items())), tuple(placed), tuple(missing), tuple(problems)
        )

    def _settings(self, rule: Rule) -> Any:
        if rule.settings is None:
            return None
        return self.policy.settings.get(rule.name) or rule.settings()

    def _leveled(self, finding: Finding) -> Finding:
        cap = self.policy.levels.get(finding.rule)
        if cap is None or cap == "off" or finding.level is None:
            return finding
        return evolve(finding, level=max(finding.level, cap, key=LEVELS.index))


def _judge(
    rule: Rule,
    subject: Any,
    context: Context,
    findings: list[Finding],
    missing: list[Missing],
    problems: list[Problem],
    document: Document,
) -> Verdict:
    """One rule on one subject: fail > open > pass > notApplicable."""
    verdict: Verdict = "pass"
    try:
        if rule.when is not None and not rule.when(subject):
            return "notApplicable"
        for finding in rule.check(subject, context):
            findings.append(finding.judged_by(rule.name, rule.level, rule.sources))
            verdict = "fail"
    except Unstated as gap:
        missing.append(
            Missing(rule.name, gap.of or subject.path, gap.datum, gap.key, str(gap), gap.item)
        )
        return "fail" if verdict == "fail" else "open"
    except Exception as error:
        problems.append(_broken(rule, subject, error, document))
        return "fail" if verdict == "fail" else "open"
    return verdict


def _broken(rule: Rule, subject: Any, error: Exception, document: Document) -> Problem:
    last = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(last.filename).name}, line {last.lineno}"
    text = f"the rule {rule.name} failed on {subject.path}: {type(error).__name__}: {error}"
    return Problem(document.file, f"{text} ({where})")


def _place(finding: Finding, document: Document) -> Placed:
    position = document.locate(finding.key)
    return Placed(finding, position.line, position.column)


def _order(placed: Placed) -> tuple[int, str, int, int, str]:
    finding = placed.finding
    level = LEVELS.index(finding.level or "error")
    return level, finding.rule, placed.line, placed.column, finding.part


# Runs


def check(
    *paths: str | Path,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    as_of: datetime.date | None = None,
    fail_on: tuple[str, ...] | None = None,
    plugins: Iterable[Any] = (),
) -> Report:
    """Check builds, catalogs, or folders of them.

    Without a `policy`, the nearest `riglint.toml` above each path applies. `catalogs` are used
    beside the policy's. `plugins` are further rule packs (objects with the hook
    `riglint_pack`). Raises nothing for bad input: whatever cannot be read is in the report's
    `problems`.
    """
    run = _Run(policy, tuple(Path(c) for c in catalogs), as_of or _today(), tuple(plugins))
    for path in paths or (".",):
        run.add(Path(path))
    return run.report(fail_on)


def stock_for(
    path: Path, policy: Policy | str | Path | None, catalogs: Iterable[str | Path]
) -> tuple[Policy, Stock]:
    """The policy that applies to a file and the items that it may name.

    Raises Unreadable with every fault of the policy and its catalogs.
    """
    run = _Run(policy, tuple(Path(c) for c in catalogs), _today(), ())
    setup = run.setup(path, ())
    if run.problems or setup is None:
        raise Unreadable(*run.problems)
    return setup.judge.policy, setup.stock


def _today() -> datetime.date:
    return datetime.date.today()


@frozen
class _Setup:
    """What one policy brings: its judge, its stock, and the catalogs by resolved path."""

    judge: Judge
    stock: Stock


class _Run:
    def __init__(
        self,
        policy: Policy | str | Path | None,
        catalogs: tuple[Path, ...],
        as_of: datetime.date,
        plugins: tuple[Any, ...],
    ) -> None:
        self.policy, self.catalogs, self.as_of, self.plugins = policy, catalogs, as_of, plugins
        self.setups: dict[Path | None, _Setup | None] = {}
        self.read: dict[Path, tuple[Document, Catalog] | None] = {}
        self.seen: set[Path] = set()
        self.problems: list[Problem] = []
        self.skipped: list[Skipped] = []
        self.assemblies: list[AssemblyReport] = []
        self.catalog_reports: list[CatalogReport] = []
        self.books: dict[tuple[str, ...], RuleBook] = {}

    def add(self, path: Path) -> None:
        files = find_files(path)
        self.skipped += files.skipped
        self.problems += files.problems
        loose = tuple(file.path for file in files.found if file.kind == "catalog")
        setup = self.setup(path, loose)
        if setup is None:
            return
        for file in files.found:
            if file.path.resolve() in self.seen:
                continue
            self.seen.add(file.path.resolve())
            if file.kind == "catalog":
                self.add_catalog(file, setup)
            else:
                self.add_build(file, setup)

    def add_build(self, file: Found, setup: _Setup) -> None:
        policy = setup.judge.policy
        try:
            build = read_build(file.document)
            sling = assemble(build, file.document, setup.stock, policy.practice, policy.duty)
        except Unreadable as error:
            self.problems += error.problems
            return
        figures = Calculation(sling)
        judgment = setup.judge.of_sling(sling, figures)
        self.problems += judgment.problems
        self.assemblies.append(
            AssemblyReport(sling.id, file.document.file, sling, figures, judgment)
        )

    def add_catalog(self, file: Found, setup: _Setup) -> None:
        read = self.catalog(file.path, file.document)
        if read is None:
            return
        document, catalog = read
        judgment = setup.judge.of_catalog(catalog, document)
        self.problems += judgment.problems
        self.catalog_reports.append(CatalogReport(catalog.id, document.file, judgment))

    def catalog(
        self, path: Path, document: Document | None = None
    ) -> tuple[Document, Catalog] | None:
        """A catalog, read once a run; its faults are reported once."""
        key = path.resolve()
        if key not in self.read:
            try:
                document = document or read_document(path)
                self.read[key] = (document, make_catalog(document))
            except Unreadable as error:
                self.problems += error.problems
                self.read[key] = None
        return self.read[key]

    def setup(self, path: Path, loose: tuple[Path, ...]) -> _Setup | None:
        given = self.policy
        place = None if isinstance(given, Policy) else Path(given) if given else find_policy(path)
        if place in self.setups and (place is not None or not loose):
            return self.setups[place]
        try:
            policy = given if isinstance(given, Policy) else self.load(place)
        except Unreadable as error:
            self.problems += error.problems
            self.setups[place] = None
            return None
        book = self.book(policy.packs)
        used = (*policy.catalogs, *self.catalogs)
        if policy.file is None and not used:
            used = loose
        read = [self.catalog(one) for one in dict.fromkeys(one.resolve() for one in used)]
        stock = Stock(catalog for _, catalog in filter(None, read))
        setup = _Setup(Judge(book, policy, self.as_of), stock)
        self.setups[place] = setup
        return setup

    def load(self, place: Path | None) -> Policy:
        if place is None:
            return Policy()
        first = load_policy(place, None, _shown(place))
        return load_policy(place, self.book(first.packs), _shown(place))

    def book(self, packs: tuple[str, ...]) -> RuleBook:
        if packs not in self.books:
            book = rule_book(packs, self.plugins)
            self.problems += book.problems
            self.books[packs] = book
        return self.books[packs]

    def report(self, fail_on: tuple[str, ...] | None) -> Report:
        setups = [setup for setup in self.setups.values() if setup]
        off = {name for setup in setups for name in setup.judge.off}
        packs = {pack.name: pack for setup in setups for pack in setup.judge.book.packs}
        levels = {level for setup in setups for level in setup.judge.policy.fail_on}
        return Report(
            assemblies=tuple(sorted(self.assemblies, key=lambda a: (a.file, a.id))),
            catalogs=tuple(sorted(self.catalog_reports, key=lambda c: (c.file, c.id))),
            problems=tuple(dict.fromkeys(self.problems)),
            skipped=tuple(dict.fromkeys(self.skipped)),
            off=tuple(sorted(off)),
            packs=tuple(packs.values()),
            fail_on=fail_on or tuple(sorted(levels)) or ("error",),
        )


def _shown(path: Path) -> str:
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except ValueError:
        return str(path)


def make_catalog(document: Document) -> Catalog:
    """The catalog in a document; raises Unreadable, also where two items share an id."""
    catalog = Catalog(document.file, read_catalog(document))
    problems = []
    seen: dict[str, int] = {}
    for item in catalog.items:
        if item.id in seen:
            key: Key = ("item", item.index, "id")
            place = document.locate(key)
            text = f"the id {item.id} is used twice in this catalog"
            problems.append(Problem(document.file, text, place.line, place.column))
        seen[item.id] = item.index
    if problems:
        raise Unreadable(*problems)
    return catalog
