"""Checking files: which policy applies, which items there are, and a report of the whole run."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from attrs import define, field

from .assembling import assemble
from .book import STANDARD, RuleBook, rule_book
from .calculation import Calculation
from .files import Found, Skipped, find_files
from .finding import Key
from .house import HouseRules, refused, run_modules
from .judging import Judge, Judgment, together
from .library import Entry
from .model import RecordFile
from .paths import absolute, is_folder, is_inside, real
from .policy import Folder, Policy, find_policy, load_policy
from .problem import Problem, Unreadable, own_fault, said
from .reading import read_build, read_catalog, read_record
from .record import Record
from .report import (
    AssemblyReport,
    CatalogReport,
    RecordReport,
    Report,
    Standing,
    checked_fail_on,
    standing_of,
)
from .sling import Sling
from .source import Document, read_document
from .stock import Catalog, Stock

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from .effective import Value

Progress = Callable[[int, int], None]
CHUNK = 250  # builds a worker takes at once: below that a pool gains nothing


def check(
    *paths: str | Path,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    as_of: datetime.date | None = None,
    fail_on: tuple[str, ...] | None = None,
    plugins: Iterable[Any] = (),
    root: str | Path | None = None,
    executor: Executor | None = None,
    known: str | Path | None = None,
    progress: Progress | None = None,
    house_rules: bool = False,
    rule_seconds: float | None = None,
) -> Report:
    """Check builds, catalogs, or folders of them.

    Without a `policy`, the nearest `riglint.toml` above each path applies. `catalogs` are used
    beside the policy's. `root` is the folder that no path in a policy may leave (default: the
    policy's own). `plugins` are further rule packs (objects with the hook
    `riglint_pack`). `house_rules` allows the rule modules that a policy names to run: they are
    code. An `executor` shares the builds out among its workers, with the same result; plugins
    then have to travel to them. A rule that takes longer than `rule_seconds` over one build is
    stopped and is a problem (see `riglint.overtime` for what that can stop). `known` is a list of
    known findings, which do not count. `progress` is called with the number of files that are
    done and of those found so far. `fail_on` stands in for what policies say; an empty one lets
    problems alone fail the run.

    Raises nothing for bad input: whatever cannot be read is in the report's `problems`. For
    arguments that are none it raises TypeError or ValueError.
    """
    run = _Run(
        policy,
        listed(catalogs),
        day(as_of),
        tuple(plugins),
        Path(root) if root else None,
        executor,
        progress,
        house_rules,
        seconds(rule_seconds),
        None if fail_on is None else checked_fail_on(fail_on),
    )
    for path in paths or (".",):
        run.add(Path(path))
    report = run.report()
    if not known:
        return report
    from .known import with_known  # most runs go by no list

    return with_known(report, Path(known), run.as_of)


def listed(catalogs: Iterable[str | Path]) -> tuple[Path, ...]:
    """Catalogs as paths. Raises TypeError for one text, which would be read letter by letter."""
    if isinstance(catalogs, str | Path):
        raise TypeError(f"catalogs are several paths, this is one: write [{str(catalogs)!r}]")
    return tuple(Path(one) for one in catalogs)


def day(as_of: datetime.date | None) -> datetime.date:
    """The day to judge as of, today where None is given. Raises TypeError for no date."""
    if as_of is None:
        return _today()
    if type(as_of) is not datetime.date:
        raise TypeError(f"as_of is a datetime.date, this is a {type(as_of).__name__}")
    return as_of


def seconds(rule_seconds: float | None) -> float | None:
    """The time limit of a rule. Raises TypeError for no number, ValueError for no time."""
    if rule_seconds is None:
        return None
    if isinstance(rule_seconds, bool) or not isinstance(rule_seconds, int | float):
        kind = type(rule_seconds).__name__
        raise TypeError(f"rule_seconds is a number of seconds, this is a {kind}")
    if not 0 < rule_seconds < float("inf"):
        raise ValueError(f"rule_seconds is above 0 and finite, this is {rule_seconds:g}")
    return float(rule_seconds)


def book_for(policy: Path | None, *, house_rules: bool = False) -> RuleBook:
    """The rules in use under a policy file (default: the nearest one above the working folder).

    Raises Unreadable where the policy cannot be read.
    """
    place = policy or find_policy(Path())
    own = load_policy(place, None, _shown(place)) if place else Policy()
    return _book(own, (), house_rules)


def policy_at(
    path: Path, given: Path | None = None, root: Path | None = None, *, house_rules: bool = False
) -> tuple[str | None, tuple[Value, ...]]:
    """The policy file that applies to a path (None where there is none), and its values there.

    Raises Unreadable with everything that is wrong with it, the packs and modules that it names
    included.
    """
    from .effective import effective_values  # no check needs it

    place = given or find_policy(path)
    if not path.suffix and not os.path.lexists(path):  # a file may be yet to be written
        raise Unreadable(Problem(str(path), "there is no such folder"))
    if place is None:
        return None, effective_values(None, Policy(), "", None, path)
    run = _Run(place, (), _today(), (), root, house_rules=house_rules or None)
    policy = run.load(place)
    if run.problems:
        raise Unreadable(*run.problems)
    packs = run.book(policy).packs
    return _shown(place), effective_values(place, policy, _shown(place), root, path, packs)


def _book(policy: Policy, plugins: Iterable[Any], house_rules: bool | None) -> RuleBook:
    """The rules in use under a policy; without leave its modules are problems, or passed over."""
    house = HouseRules()
    if policy.house_rules and house_rules:
        house = run_modules(policy.house_rules)
    elif policy.house_rules:
        said = tuple(refused(policy.house_rules)) if house_rules is not None else ()
        house = HouseRules(problems=said, complete=False)
    return rule_book(policy.packs, plugins, policy.requirement, house)


def load(
    path: str | Path,
    *,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    root: str | Path | None = None,
) -> Sling:
    """The sling that the build in a file describes, hung together from real items.

    Raises Unreadable with everything that cannot be read or hung together.
    """
    judge, stock = stock_for(Path(path), policy, catalogs, root)
    return _hang(read_document(Path(path), str(path)), stock, judge.policy)


def stock_for(
    path: Path | None,
    policy: Policy | str | Path | None,
    catalogs: Iterable[str | Path],
    root: str | Path | None = None,
    *,
    as_of: datetime.date | None = None,
    plugins: Iterable[Any] = (),
    rule_seconds: float | None = None,
    house_rules: bool | None = None,
) -> tuple[Judge, Stock]:
    """The judge under the policy that applies to a file, and the items that it may name.

    Without a file it is the policy's own judge, of no folder.
    `house_rules` as in `check`; None leaves a policy's modules out, where no rule is to judge.
    Raises Unreadable with every fault of the policy and its catalogs.
    """
    place = Path(root) if root else None
    run = _Run(
        policy,
        listed(catalogs),
        day(as_of),
        tuple(plugins),
        place,
        house_rules=house_rules,
        rule_seconds=seconds(rule_seconds),
    )
    setup = run.setup(path or Path(), ())
    if run.problems or setup is None:
        raise Unreadable(*run.problems)
    return setup.judge_of(path) if path else setup.judge, setup.stock


def _silent(done: int, total: int) -> None:
    pass


def _today() -> datetime.date:
    return datetime.date.today()


@define(eq=False)
class _Setup:
    """What one policy brings, its judge and its stock, and what was found under it."""

    judge: Judge
    stock: Stock
    place: Path | None
    whole: bool = False
    slings: dict[str, AssemblyReport] = field(factory=dict)
    gathered: list[dict[str, Entry]] = field(factory=list)
    records: list[tuple[Path, Document, RecordFile]] = field(factory=list)
    judges: dict[tuple[tuple[str, str], ...], Judge] = field(factory=dict)

    def judge_of(self, file: Path) -> Judge:
        """The judge for a build or record: under the policy as it applies in its folder."""
        folders = self.judge.policy.folders_of(file)
        if not folders:
            return self.judge
        key = tuple((folder.file, folder.name) for folder in folders)
        if key not in self.judges:
            self.judges[key] = self.judge.at(file)
        return self.judges[key]

    def off(self) -> Iterator[str]:
        """The rules that the policy switches off, and where it does so in a folder alone."""
        for name in self.judge.off:
            on = [folder.name for folder in self.judge.policy.folders if _is_on(name, folder)]
            yield f"{name} but in {', '.join(on)}" if on else name
        for folder in self.judge.policy.folders:
            for name, table in folder.rules.items():
                if table.get("level") == "off":
                    yield f"{name} in {folder.name}"


def _is_on(name: str, folder: Folder) -> bool:
    return bool(folder.rules.get(name, {}).get("level", "off") != "off")


class _Run:
    def __init__(
        self,
        policy: Policy | str | Path | None,
        catalogs: tuple[Path, ...],
        as_of: datetime.date,
        plugins: tuple[Any, ...],
        root: Path | None = None,
        executor: Executor | None = None,
        progress: Progress | None = None,
        house_rules: bool | None = False,
        rule_seconds: float | None = None,
        fail_on: tuple[str, ...] | None = None,
    ) -> None:
        self.root, self.executor, self.house_rules = root, executor, house_rules
        self.rule_seconds, self.caller_fails_on = rule_seconds, fail_on
        self.progress, self.done, self.total = progress or _silent, 0, 0
        self.policy, self.catalogs, self.as_of, self.plugins = policy, catalogs, as_of, plugins
        self.setups: dict[Path | tuple[Path, ...], _Setup | None] = {}
        self.read: dict[str, tuple[Document, Catalog] | None] = {}
        self.seen: set[str] = set()
        self.problems: list[Problem] = []
        self.skipped: list[Skipped] = []
        self.assemblies: list[AssemblyReport] = []
        self.catalog_reports: list[CatalogReport] = []
        self.books: dict[tuple[Any, ...], RuleBook] = {}

    def add(self, path: Path) -> None:
        files = find_files(path, self.root or self.home(path))
        self.skipped += files.skipped
        self.problems += files.problems
        self.total += len(files.found)
        loose = tuple(file.path for file in files.found if file.kind == "catalog")
        setup = self.setup(path, loose)
        if setup is None:
            return
        home = setup.place.parent if setup.place else None
        if is_folder(path) and (home is None or is_inside(home, path)):
            setup.whole = True
        alone = files.found
        if self.executor is not None:
            alone = tuple(file for file in alone if file.kind != "assembly")
            builds = [file for file in files.found if file.kind == "assembly"]
            self.share_out(
                self.executor, [file for file in builds if self.is_new(file)], setup, loose
            )
        for file in alone:
            if self.is_new(file):
                self.add_file(file, setup)
            self.step(1)

    def step(self, files: int) -> None:
        self.done += files
        self.progress(self.done, self.total)

    def place(self, path: Path) -> Path | None:
        """The policy file that applies to a path."""
        given = self.policy
        return None if isinstance(given, Policy) else Path(given) if given else find_policy(path)

    def home(self, path: Path) -> Path | None:
        """The folder of the policy that applies to a path, where the path lies under it."""
        place = self.place(path)
        home = place.parent if place else None
        return home if home and is_inside(path, home) else None

    def is_new(self, file: Found) -> bool:
        """Whether a file was not met before in this run."""
        place = absolute(file.path)
        known = place in self.seen
        self.seen.add(place)
        return not known

    def share_out(
        self, executor: Executor, builds: list[Found], setup: _Setup, loose: tuple[Path, ...]
    ) -> None:
        """Judge builds in an executor's workers, each with a run of its own."""
        given = (self.policy, self.catalogs, self.as_of, self.plugins, self.root)
        own = (*given, None, None, self.house_rules, self.rule_seconds)
        work = partial(_judge_apart, own, setup.place or Path(), loose)
        chunks = [builds[n : n + CHUNK] for n in range(0, len(builds), CHUNK)]
        for chunk, waiting in [(chunk, executor.submit(work, chunk)) for chunk in chunks]:
            try:
                judged, problems = waiting.result()
            except Exception as error:  # the worker ended, or what it found cannot travel
                self.problems += [Problem(str(one.path), _lost(error)) for one in chunk]
                continue
            self.problems += problems
            for index, (name, standing, judgment, gathered) in judged.items():
                document, judge = chunk[index].document, setup.judge_of(chunk[index].path)
                again = partial(_hang, document, setup.stock, judge.policy)
                fail_on = self.fail_on(judge)
                report = AssemblyReport(name, document.file, standing, judgment, again, fail_on)
                self.keep(report, gathered, setup)
            self.step(len(chunk))

    def add_file(self, file: Found, setup: _Setup) -> None:
        try:
            if file.kind == "catalog":
                self.add_catalog(file, setup)
            elif file.kind == "record":
                setup.records.append((file.path, file.document, read_record(file.document)))
            else:
                self.add_build(file, setup)
        except Unreadable as error:
            self.problems += error.problems
        except Exception as error:
            self.problems.append(Problem(file.document.file, own_fault(error)))

    def add_build(self, file: Found, setup: _Setup) -> None:
        judge, document = setup.judge_of(file.path), file.document
        sling = _hang(document, setup.stock, judge.policy)
        figures = Calculation(sling)
        judgment = judge.of_sling(sling, figures)
        self.problems += judgment.problems
        standing = standing_of(figures)
        again = partial(itself, sling)
        fail_on = self.fail_on(judge)
        report = AssemblyReport(sling.id, document.file, standing, judgment, again, fail_on)
        self.keep(report, setup.judge.gather(sling, self.problems), setup)

    def keep(self, report: AssemblyReport, gathered: dict[str, Entry], setup: _Setup) -> None:
        self.assemblies.append(report)
        first = setup.slings.get(report.id, report)
        setup.slings[report.id] = min(first, report, key=lambda one: one.file)
        setup.gathered.append(gathered)

    def add_catalog(self, file: Found, setup: _Setup) -> None:
        read = self.catalog(file.path, file.document)
        if read is None:
            return
        document, catalog = read
        judgment = setup.judge.of_catalog(catalog, document)
        self.problems += judgment.problems
        self.catalog_reports.append(CatalogReport(catalog.id, document.file, judgment))

    def record_report(
        self, setup: _Setup, path: Path, document: Document, content: RecordFile
    ) -> RecordReport:
        built = setup.slings.get(content.record.build)
        record = Record(content, document, built.sling if built else None, setup.whole)
        self.problems += record.unknown()
        judge = setup.judge_of(path)
        judgment = judge.of_record(record, built.figures if built else None)
        self.problems += judgment.problems
        fail_on = self.fail_on(judge)
        return RecordReport(record.serial, content.record.build, document.file, judgment, fail_on)

    def library(self, setup: _Setup) -> Judgment:
        judgment = setup.judge.of_library(setup.gathered, setup.stock.catalogs, setup.whole)
        self.problems += judgment.problems
        return judgment

    def catalog(
        self, path: Path, document: Document | None = None
    ) -> tuple[Document, Catalog] | None:
        """A catalog, read once a run; its faults are reported once."""
        key = absolute(path)
        if key not in self.read:
            try:
                document = document or read_document(path, _shown(path))
                self.read[key] = (document, make_catalog(document))
            except Unreadable as error:
                self.problems += error.problems
                self.read[key] = None
        return self.read[key]

    def setup(self, path: Path, loose: tuple[Path, ...]) -> _Setup | None:
        given, place = self.policy, self.place(path)
        key = place or loose
        if key in self.setups:
            return self.setups[key]
        try:
            policy = given if isinstance(given, Policy) else self.load(place)
        except Unreadable as error:
            self.problems += error.problems
            self.setups[key] = None
            return None
        book = self.book(policy)
        used = (*policy.catalogs, *book.catalogs, *self.catalogs)
        if policy.file is None and not used:
            used = loose
        read = [self.catalog(one) for one in dict.fromkeys(used)]
        catalogs = [catalog for _, catalog in filter(None, read)]
        self.problems += same_id(catalogs)
        stock = Stock(catalogs)
        setup = _Setup(Judge(book, policy, self.as_of, self.rule_seconds), stock, place)
        self.setups[key] = setup
        return setup

    def load(self, place: Path | None) -> Policy:
        if place is None:
            return Policy()
        if self.policy is None and not is_inside(place, place.parent):
            raise Unreadable(Problem(_shown(place), "this link leads out of the library"))
        return load_policy(place, self.book, _shown(place), self.root)

    def book(self, policy: Policy) -> RuleBook:
        key = (policy.packs, policy.requirement, policy.house_rules)
        if key not in self.books:
            book = _book(policy, self.plugins, self.house_rules)
            self.problems += book.problems
            self.books[key] = book
        return self.books[key]

    def fail_on(self, judge: Judge) -> tuple[str, ...]:
        """What fails a build or record: the caller's, else as its folder's policy says."""
        return judge.policy.fail_on if self.caller_fails_on is None else self.caller_fails_on

    def report(self) -> Report:
        setups = [setup for setup in self.setups.values() if setup]
        records = [self.record_report(setup, *read) for setup in setups for read in setup.records]
        judged = [self.library(setup) for setup in setups if setup.gathered]
        off = {name for setup in setups for name in setup.off()}
        modules = {module for setup in setups for module in setup.judge.book.house.modules}
        packs = {pack.name: pack for setup in setups for pack in setup.judge.book.packs}
        rules = {rule.name: rule for setup in setups for rule in setup.judge.book.rules}
        levels = {level for setup in setups for level in setup.judge.policy.fail_on}
        fail_on = self.caller_fails_on
        return Report(
            assemblies=tuple(sorted(self.assemblies, key=lambda a: (a.file, a.id))),
            catalogs=tuple(sorted(self.catalog_reports, key=lambda c: (c.file, c.id))),
            records=tuple(sorted(records, key=lambda r: (r.file, r.serial))),
            library=together(judged),
            problems=tuple(sorted(dict.fromkeys(self.problems), key=_file)),
            skipped=tuple(sorted(dict.fromkeys(self.skipped), key=_file)),
            off=tuple(sorted(off)),
            packs=tuple(
                sorted(packs.values(), key=lambda pack: (pack.name != STANDARD, pack.name))
            ),
            fail_on=tuple(sorted(levels)) or ("error",) if fail_on is None else fail_on,
            rules=tuple(rules[name] for name in sorted(rules)),
            whole=bool(setups) and all(setup.whole for setup in setups),
            house_rules=tuple(sorted(modules, key=lambda module: module.file)),
            told=tuple(sorted({said for setup in setups for said in setup.judge.policy.notices})),
        )


def _file(one: Problem | Skipped) -> str:
    """Files in their order, whatever was checked first; what is told of one stays as found."""
    return one.file


Judged = tuple[str, Standing, Judgment, dict[str, Entry]]


def _judge_apart(
    own: tuple[Any, ...], place: Path, loose: tuple[Path, ...], builds: list[Found]
) -> tuple[dict[int, Judged], list[Problem]]:
    """What a worker makes of some builds: plain results by their places in the list."""
    run = _Run(*own)
    setup = run.setup(place, loose)
    judged: dict[int, Judged] = {}
    for index, file in enumerate(builds if setup else ()):
        assert setup is not None
        before = len(run.assemblies)
        run.add_file(file, setup)
        for report in run.assemblies[before:]:
            judged[index] = (report.id, report.standing, report.judgment, setup.gathered[-1])
    return judged, run.problems


def _lost(error: Exception) -> str:
    return f"not checked: the process that judged it and others failed: {said(error)}"


def itself(sling: Sling) -> Sling:
    """The sling that a report was made of: what `AssemblyReport.make` is where it was not sent."""
    return sling


def _hang(document: Document, stock: Stock, policy: Policy) -> Sling:
    build = read_build(document)
    return assemble(build, document, stock, policy.practice, policy.duty)


def same_id(catalogs: list[Catalog]) -> Iterator[Problem]:
    """A problem for each catalog that has the id of one before it."""
    first: dict[str, str] = {}
    for catalog in catalogs:
        if catalog.id in first:
            text = f"the catalog id {catalog.id} is that of {first[catalog.id]} too"
            yield Problem(catalog.file, text)
        first.setdefault(catalog.id, catalog.file)


def _shown(path: Path) -> str:
    try:
        return str(real(path).relative_to(real(Path())))
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
            text = f"the id {item.id} is used twice in this catalog"
            problems.append(document.problem(key, text))
        seen[item.id] = item.index
    if problems:
        raise Unreadable(*problems)
    return catalog
