"""Judging: every rule on every subject, verdict by verdict, with what is open and what broke."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from .book import RuleBook
from .calculation import Calculation
from .finding import LEVELS, RANK, WORST_FIRST, Finding, Unstated, Verdict
from .library import Entry, Library
from .model import Level
from .overtime import Overtime, Watch, watch_for
from .permit import Permit, permits_of, permitted
from .policy import Policy
from .problem import Problem, is_interrupt, said
from .record import Measurement, Record
from .rule import Context, Rule
from .sling import Gathering, Leg, Part, Sling
from .source import Document, nearest
from .stock import Catalog, Item
from .vetting import Misfit, vetted, vetted_gap

MOST_FINDINGS = 10_000  # of one rule on one subject: no reader wants more, and memory ends


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
    """A finding with its file, line and column."""

    finding: Finding
    file: str
    line: int
    column: int


@frozen
class Judgment:
    """What all rules say of one subject: their verdicts, findings and what they wait for."""

    verdicts: Mapping[str, Verdict] = field(factory=dict)
    findings: tuple[Placed, ...] = ()
    missing: tuple[Missing, ...] = ()
    problems: tuple[Problem, ...] = ()
    notices: tuple[str, ...] = ()

    def count(self, level: Level) -> int:
        """How many findings of a level stand, permitted and known ones not counted."""
        return sum(p.finding.level == level and p.finding.stands for p in self.findings)


@frozen
class Judge:
    """The rules in use under one policy, sorted by what they are about.

    `rule_seconds` is the longest that a rule may take over a build, a catalog, a record or the
    library; None is without limit.
    """

    book: RuleBook
    policy: Policy
    as_of: datetime.date
    rule_seconds: float | None = None
    by_subject: Mapping[type, tuple[Rule, ...]] = field(init=False)
    waivable: Mapping[str, bool] = field(init=False)

    def __attrs_post_init__(self) -> None:
        by_subject: dict[type, tuple[Rule, ...]] = {}
        for rule in self.book.rules:
            if self.policy.levels.get(rule.name, "on" if rule.on else "off") != "off":
                by_subject[rule.about] = (*by_subject.get(rule.about, ()), rule)
        object.__setattr__(self, "by_subject", by_subject)
        waivable = {rule.name: rule.waivable for rule in self.book.rules}
        object.__setattr__(self, "waivable", waivable)

    def at(self, file: Path) -> Judge:
        """The judge for a file: under the policy as it applies in its folder."""
        folders = self.policy.folders_of(file)
        return evolve(self, policy=self.policy.under(folders, self.book)) if folders else self

    @property
    def off(self) -> tuple[str, ...]:
        """The rules that the policy switches off; those off by default are not named."""
        return tuple(name for name, level in self.policy.levels.items() if level == "off")

    def of_sling(self, sling: Sling, figures: Calculation) -> Judgment:
        """What the rules say of a sling, its gathering links, legs, parts and permits."""
        with self.court(sling.document, figures) as court:
            court.hear(Sling, (sling,))
            court.hear(Gathering, sling.gatherings)
            court.hear(Leg, sling.legs)
            court.hear(Part, sling.parts)
            if sling.build.deviation_permit:
                court.apply_permits(sling)
            else:
                court.hear(Permit, ())
        return court.judgment()

    def of_catalog(self, catalog: Catalog, document: Document) -> Judgment:
        """What the rules say of a catalog and its items."""
        with self.court(document) as court:
            court.hear(Catalog, (catalog,))
            court.hear(Item, catalog.items)
        return court.judgment()

    def of_record(self, record: Record, figures: Calculation | None) -> Judgment:
        """What the rules say of a record and of what its inspections measured."""
        with self.court(record.document, figures) as court:
            court.hear(Record, (record,))
            court.hear(Measurement, tuple(record.measurements()) if record.build else ())
        return court.judgment()

    def of_library(
        self, gathered: Sequence[Mapping[str, Entry]], catalogs: Iterable[Catalog], whole: bool
    ) -> Judgment:
        """What the rules say of all builds together; `gathered` is `gather` of each."""
        stock = tuple(sorted(catalogs, key=lambda catalog: catalog.id))
        with self.court(Document("", "", {})) as court:
            for rule in self.by_subject.get(Library, ()):
                entries = [one[rule.name] for one in gathered if rule.name in one]
                entries.sort(key=lambda entry: (entry.id, entry.file))
                # a build that nothing could be gathered from is not judged with the others
                seen = whole and len(entries) == len(gathered)
                court.hear(Library, (Library(tuple(entries), stock, seen),), rules=(rule,))
        return court.judgment()

    def gather(self, sling: Sling, problems: list[Problem]) -> dict[str, Entry]:
        """What the library rules gather from one build, by rule; one that breaks is a problem."""
        with self.court(sling.document) as court:
            gathered = court.gathered(sling)
        problems += court.problems
        return gathered

    @contextmanager
    def court(self, document: Document, figures: Calculation | None = None) -> Iterator[_Court]:
        """A judgment in the making, under the time limit where there is one."""
        if self.rule_seconds is None:
            yield _Court(self, document, figures)
            return
        with watch_for(self.rule_seconds) as watch:
            yield _Court(self, document, figures, watch)

    def settings(self, rule: Rule) -> Any:
        if rule.settings is None:
            return None
        return self.policy.settings.get(rule.name) or rule.settings()


FAIL, OPEN, PASS, NOT_APPLICABLE = (RANK[verdict] for verdict in WORST_FIRST)


class _Court:
    """One judgment in the making."""

    def __init__(
        self,
        judge: Judge,
        document: Document,
        figures: Calculation | None,
        watch: Watch | None = None,
    ) -> None:
        self.judge, self.document, self.figures, self.watch = judge, document, figures, watch
        tables = judge.book.tables
        self.plain = Context(figures, judge.policy.practice, judge.as_of, tables=tables)
        self.verdicts: dict[str, Verdict] = {}
        self.findings: list[Finding] = []
        self.missing: list[Missing] = []
        self.problems: list[Problem] = []
        self.notices: list[str] = []

    def hear(
        self, about: type, subjects: Sequence[Any], rules: Sequence[Rule] | None = None
    ) -> None:
        """Every rule about a kind of subject, on each of them."""
        for rule in self.judge.by_subject.get(about, ()) if rules is None else rules:
            if self.watch is None:
                self.hear_rule(rule, subjects)
            else:
                self.in_time(self.watch, rule, subjects, self.hear_rule)

    def hear_rule(self, rule: Rule, subjects: Sequence[Any]) -> None:
        when, rank = rule.when, NOT_APPLICABLE
        try:
            context = self.context(rule)
        except BaseException as error:
            self.let_pass(error)
            self.problems.append(_no_settings(rule, error, self.document))
            self.verdicts[rule.name] = "open"
            return
        for subject in subjects:
            own = self.judged(rule, when, subject, context)
            if own > rank:
                rank = own
        self.verdicts[rule.name] = WORST_FIRST[-rank]

    def in_time(
        self, watch: Watch, rule: Rule, subject: Any, work: Callable[[Rule, Any], None]
    ) -> None:
        """Some work of a rule, stopped when its time is over; findings made before stand."""
        before = len(self.findings)
        error = watch.run(work, rule, subject)
        if error is not None:
            self.problems.append(_late(rule, watch.seconds, error, self.document))
            self.verdicts[rule.name] = "fail" if len(self.findings) > before else "open"

    def gathered(self, sling: Sling) -> dict[str, Entry]:
        """What each library rule gathers from a build."""
        found: dict[str, Entry] = {}

        def gather(rule: Rule, sling: Sling) -> None:
            assert rule.gather is not None
            try:
                data = rule.gather(sling)
                hash(data)
                found[rule.name] = Entry(sling.id, sling.document.file, data)
            except BaseException as error:
                self.broke(rule, sling, error)

        for rule in self.judge.by_subject.get(Library, ()):
            if self.watch is None:
                gather(rule, sling)
            else:
                self.in_time(self.watch, rule, sling, gather)
        return found

    def judged(
        self, rule: Rule, when: Callable[[Any], bool] | None, subject: Any, context: Context
    ) -> int:
        """The rank of one rule's verdict on one subject: fail > open > pass > notApplicable.

        Findings made before a datum was missed, or before the rule broke, stand.
        """
        rank = PASS
        try:
            if when is not None and not when(subject):
                return NOT_APPLICABLE
            for count, finding in enumerate(rule.check(subject, context)):
                if count == MOST_FINDINGS:
                    raise OverflowError(f"it gives more than {MOST_FINDINGS:,} findings")
                own = vetted(finding).judged_by(rule.name, rule.level, rule.sources)
                self.findings.append(own)
                rank = FAIL
        except Unstated as gap:
            self.wait(rule, subject, gap)
            return max(rank, OPEN)
        except BaseException as error:
            self.broke(rule, subject, error)
            return max(rank, OPEN)
        return rank

    def wait(self, rule: Rule, subject: Any, gap: Unstated) -> None:
        """Keep what a rule waits for; where it does not say that well, that is a problem."""
        try:
            self.missing.append(_missing(rule, subject, vetted_gap(gap)))
        except BaseException as error:
            self.broke(rule, subject, error)

    def broke(self, rule: Rule, subject: Any, error: BaseException) -> None:
        """Keep as a problem what a rule broke with."""
        self.let_pass(error)
        self.problems.append(_broken(rule, subject, error, self.document))

    def let_pass(self, error: BaseException) -> None:
        """Raise again what ends more than the rule that it was raised in."""
        if is_interrupt(error) or (self.watch is not None and isinstance(error, Overtime)):
            raise error

    def context(self, rule: Rule) -> Context:
        settings = self.judge.settings(rule)
        if settings is None:
            return self.plain
        plain = self.plain
        return Context(plain.figures, plain.practice, plain.as_of, settings, plain.tables)

    def apply_permits(self, sling: Sling) -> None:
        """Mark what the build's permits cover, and judge the permits themselves."""
        judge, known = self.judge, self.judge.waivable
        names = judge.book.names()
        for index, written in enumerate(sling.build.deviation_permit):
            self.notices += filter(None, (judge.book.notice(written.rule),))
            if written.rule not in names and written.rule not in judge.book.retired:
                self.no_such_rule(written.rule, index)
        permits = tuple(
            permits_of(
                sling,
                self.findings,
                lambda name: known.get(name, False),
                judge.as_of,
                lambda name: names.get(name, name),
            )
        )
        self.findings = permitted(self.findings, permits)
        self.hear(Permit, [permit for permit in permits if permit.written.rule in names])

    def no_such_rule(self, name: str, index: int) -> None:
        close = nearest(name, self.judge.waivable)
        hint = f"; did you mean {close}?" if close else ""
        place = self.document.locate(("deviation_permit", index, "rule"))
        text = f"a permit names the rule {name[:60]}, which there is not{hint}"
        self.problems.append(Problem(self.document.file, text, place.line, place.column))

    def judgment(self) -> Judgment:
        leveled = (self.leveled(finding) for finding in self.findings)
        placed = sorted((self.placed(finding) for finding in leveled), key=_order)
        return Judgment(
            dict(sorted(self.verdicts.items())),
            tuple(placed),
            tuple(self.missing),
            tuple(self.problems),
            tuple(self.notices),
        )

    def leveled(self, finding: Finding) -> Finding:
        cap = self.judge.policy.levels.get(finding.rule)
        if cap is None or cap == "off" or finding.level is None:
            return finding
        return evolve(finding, level=max(finding.level, cap, key=LEVELS.index))

    def placed(self, finding: Finding) -> Placed:
        if finding.file is not None:
            return Placed(finding, finding.file, finding.line, 1)
        position = self.document.locate(finding.key)
        return Placed(finding, self.document.file, position.line, position.column)


def together(judgments: Sequence[Judgment]) -> Judgment:
    """Several judgments as one; a rule's verdict is the worst of them."""
    verdicts: dict[str, Verdict] = {}
    for judgment in judgments:
        for name, verdict in judgment.verdicts.items():
            if name not in verdicts or RANK[verdict] > RANK[verdicts[name]]:
                verdicts[name] = verdict
    return Judgment(
        verdicts,
        tuple(placed for judgment in judgments for placed in judgment.findings),
        tuple(missing for judgment in judgments for missing in judgment.missing),
    )


def _missing(rule: Rule, subject: Any, gap: Unstated) -> Missing:
    return Missing(rule.name, gap.of or subject.path, gap.datum, gap.key, str(gap), gap.item)


def _no_settings(rule: Rule, error: BaseException, document: Document) -> Problem:
    return Problem(
        document.file, f"the settings of the rule {rule.name} cannot be made: {said(error)}"
    )


def _broken(rule: Rule, subject: Any, error: BaseException, document: Document) -> Problem:
    words = said(error).removeprefix(f"{Misfit.__name__}: ")
    text = f"the rule {rule.name} failed on {subject.path}: {words}"
    return Problem(document.file, f"{text} ({_where(error, rule)})")


def _late(rule: Rule, seconds: float, error: BaseException, document: Document) -> Problem:
    text = f"the rule {rule.name} took longer than {seconds:g} s and was stopped"
    return Problem(document.file, f"{text} ({_where(error, rule)})")


def _where(error: BaseException, rule: Rule) -> str:
    """The last line of the rule's own file that ran, else where the rule begins.

    What is wrong with a finding shows in the engine, where its author has nothing to look for.
    """
    import traceback

    from . import overtime

    while isinstance(error.__context__, Overtime):  # struck once more on its way out of the rule
        error = error.__context__
    frames = traceback.extract_tb(error.__traceback__)
    code = getattr(rule.check, "__code__", None)
    own = [one for one in frames if code is not None and one.filename == code.co_filename]
    if code is not None and not own:
        return f"{Path(code.co_filename).name}, line {code.co_firstlineno}"
    last = (own or [one for one in frames if one.filename != overtime.__file__])[-1]
    return f"{Path(last.filename).name}, line {last.lineno}"


def _order(placed: Placed) -> tuple[int, str, str, int, int, str]:
    finding = placed.finding
    level = LEVELS.index(finding.level or "error")
    return level, finding.rule, placed.file, placed.line, placed.column, finding.part
