"""What must hold for any input: no traceback, a verdict of every rule, and no wrong pass."""

from __future__ import annotations

import contextlib
import copy
import datetime
import gc
import io
import json
import tempfile
import time
from collections import Counter
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import tomli_w
from attrs import evolve
from fuzz.grammar import Case

from riglint import Load, Report, Sling, Unreadable
from riglint.assembling import assemble
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.check import itself, make_catalog
from riglint.commands import console
from riglint.commands.reporting import NAMES
from riglint.judging import Judge, Judgment
from riglint.policy import Policy, policy_in
from riglint.problem import OWN_FAULT
from riglint.ratesheet import rate_sling
from riglint.reading import read_build, read_record
from riglint.record import Record
from riglint.report import AssemblyReport, CatalogReport, RecordReport, standing_of
from riglint.reports.data import report_data
from riglint.reports.ratedata import rate_data
from riglint.reports.text import print_report
from riglint.rule import Rule
from riglint.source import Document, document_of, parse_document
from riglint.stock import Stock
from riglint.testing import recording
from riglint.writing import dump, file_values

BOOK = standard_book()
RULES = {rule.name: rule for rule in BOOK.rules}
AS_OF = datetime.date(2026, 6, 1)
MOST_SECONDS = 10.0
TAG_TIMES = 1.5


class Wrong(AssertionError):
    """Something that must never be; `kind` is the same for the same fault."""

    def __init__(self, kind: str, what: str = "") -> None:
        super().__init__(f"{kind}: {what}" if what else kind)
        self.kind = kind


class Bench:
    """One case, taken through all stages; `reached` counts how far cases came."""

    def __init__(self, case: Case, reached: Counter[str]) -> None:
        self.case, self.reached = case, reached
        self.problems: list[Any] = []

    def examine(self) -> None:
        started = time.monotonic()
        self.reached["inputs"] += 1
        self.texts = {
            "build": tomli_w.dumps(self.case["build"]),
            "catalogs": [_dumped(one) for one in _list(self.case.get("catalogs"))],
            "policy": _dumped(self.case.get("policy")),
            "record": _dumped(self.case.get("record")),
        }
        self.random = Random(self.texts["build"])
        self.slowly = self.random.random() < 0.12  # what takes longest is done to one in eight
        self.judge_all()
        if (took := time.monotonic() - started) > MOST_SECONDS:
            raise Wrong("slow", f"{took:.1f} s")

    def judge_all(self) -> None:
        policy = self.read_policy()
        judge = Judge(BOOK, policy, AS_OF)
        catalogs = [one for text in self.texts["catalogs"] if (one := self.catalog(text))]
        reports = [
            CatalogReport(one.id, one.file, self.sound(judge.of_catalog(one, document)))
            for one, document in catalogs
        ]
        stock = Stock([one for one, _ in catalogs])
        sling = self.sling(stock, policy)
        if sling is None:
            self.draw(Report(catalogs=tuple(reports), problems=tuple(self.problems)))
            return
        figures = Calculation(sling)
        judgment = self.sound(judge.of_sling(sling, figures))
        self.every_verdict(judge, judgment)
        self.reached["rules"] += 1
        made = AssemblyReport(
            sling.id, sling.document.file, standing_of(figures), judgment, partial(itself, sling)
        )
        gathered = judge.gather(sling, self.problems)
        library = self.sound(judge.of_library([gathered] * 2, stock.catalogs, whole=True))
        records = self.record(sling, judge)
        self.draw(
            Report(
                (made,), tuple(reports), records, library, tuple(self.problems), packs=BOOK.packs
            )
        )
        if self.slowly:
            self.rate(sling, judge)
        elif self.random.random() < 0.25:
            self.reached["laws"] += 1
            self.nothing_passes_for_want_of_a_datum(sling, judge, judgment, stock)
            self.a_greater_load_is_not_sounder(judge, judgment, stock)

    # reading

    def document(self, text: str, name: str) -> Document | None:
        try:
            return parse_document(text, name)
        except Unreadable as error:
            self.refused(error)
            return None

    def refused(self, error: Unreadable) -> None:
        self.problems += error.problems
        if not error.problems or not all(problem.message for problem in error.problems):
            raise Wrong("refused without a word")

    def read_policy(self) -> Policy:
        document = self.document(self.texts["policy"], "riglint.toml")
        try:
            policy = policy_in(document, BOOK) if document else Policy()
            if policy_in(parse_document(dump(policy), "p"), BOOK) != evolve(policy, file="p"):
                raise Wrong("a policy that does not read back equal", dump(policy))
        except Unreadable as error:
            self.refused(error)
            return Policy()
        return policy

    def catalog(self, text: str) -> Any:
        document = self.document(text, "stock.toml")
        if document is None:
            return None
        try:
            catalog = make_catalog(document)
        except Unreadable as error:
            self.refused(error)
            return None
        if self.slowly:
            self.reads_back(catalog, lambda one: make_catalog(one).content, catalog.content)
        return catalog, document

    def reads_back(self, written: Any, read: Any, content: Any) -> None:
        if repr(read(parse_document(dump(written), "again"))) != repr(content):
            raise Wrong("does not read back equal", dump(written))
        if repr(read(document_of(file_values(written), "again"))) != repr(content):
            raise Wrong("values do not read back equal", dump(written))

    def sling(self, stock: Stock, policy: Policy) -> Sling | None:
        document = self.document(self.texts["build"], "build.toml")
        if document is None:
            return None
        self.reached["parse"] += 1
        try:
            build = read_build(document)
            self.reached["structure"] += 1
            self.reads_back(build, read_build, build)
            sling = assemble(build, document, stock, policy.practice, policy.duty)
        except Unreadable as error:
            self.refused(error)
            return None
        self.reached["assemble"] += 1
        return sling

    def record(self, sling: Sling, judge: Judge) -> tuple[RecordReport, ...]:
        document = self.document(self.texts["record"], "record.toml")
        if document is None or not document.values:
            return ()
        try:
            content = read_record(document)
        except Unreadable as error:
            self.refused(error)
            return ()
        self.reached["record"] += 1
        built = sling if content.record.build == sling.id else None
        record = Record(content, document, built)
        self.problems += record.unknown()
        judgment = self.sound(judge.of_record(record, Calculation(sling) if built else None))
        return (RecordReport(record.serial, content.record.build, "record.toml", judgment),)

    # what must hold

    def sound(self, judgment: Judgment) -> Judgment:
        for problem in judgment.problems:
            if "failed on" in problem.message or "settings of the rule" in problem.message:
                raise Wrong(
                    f"a rule broke: {problem.message.split(' failed on')[0]}", problem.message
                )
        for placed in judgment.findings:
            if not placed.finding.message or not placed.finding.remedy or placed.line < 1:
                raise Wrong(f"half a finding: {placed.finding.rule}")
        for name, verdict in judgment.verdicts.items():
            said = any(placed.finding.rule == name for placed in judgment.findings)
            if said != (verdict == "fail"):
                raise Wrong(f"verdict and findings differ: {name}", verdict)
            waits = any(one.rule == name for one in judgment.missing)
            if verdict == "pass" and waits:
                raise Wrong(f"passed while a datum is missing: {name}")
        return judgment

    def every_verdict(self, judge: Judge, judgment: Judgment) -> None:
        for rule in RULES.values():
            if rule.about.__name__ not in ("Sling", "Gathering", "Leg", "Part", "Permit"):
                continue
            level = judge.policy.levels.get(rule.name, "on" if rule.on else "off")
            if (rule.name in judgment.verdicts) != (level != "off"):
                raise Wrong(f"no verdict of {rule.name}")

    def draw(self, report: Report) -> None:
        """Every face of a report, as text that any stream and reader takes."""
        data = json.dumps(report_data(report, "0"), allow_nan=False)
        data.encode()
        if self.slowly:
            self.draw_for_people(report)
        self.reached["reports"] += 1
        if self.reached["reports"] % 20 == 0:
            self.by_command()

    def draw_for_people(self, report: Report) -> None:
        out = io.StringIO()
        print_report(report, console(out))
        text = out.getvalue()
        text.encode()
        if any(ord(c) < 32 and c != "\n" for c in text):
            raise Wrong("a control character in the text report")
        findings = [placed.finding for one in report.judgments for placed in one.findings]
        for shown in (report, *report.assemblies, *findings):
            if hasattr(shown, "_repr_html_"):
                _well_formed(shown._repr_html_())

    def rate(self, sling: Sling, judge: Judge) -> None:
        sheet = rate_sling(sling, judge)
        json.dumps(rate_data(sheet), allow_nan=False)
        if hasattr(sheet, "_repr_html_"):
            _well_formed(sheet._repr_html_())

    def by_command(self) -> None:
        """The same case as files, through the command, in every report that it offers."""
        from riglint.cli import main

        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "build.toml").write_text(self.texts["build"], "utf-8")
            for n, text in enumerate(self.texts["catalogs"]):
                (folder / f"stock{n}.toml").write_text(text, "utf-8")
            if self.texts["record"]:
                (folder / "record.toml").write_text(self.texts["record"], "utf-8")
            kinds = [kind for kind in NAMES if kind != "text"]
            wanted = [f"--report={kind}={folder / kind}.out" for kind in kinds]
            out, err = io.StringIO(), io.StringIO()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                status = main(["check", name, "--report=text", *wanted])
            gc.enable()
        if status not in (0, 1, 2) or "Traceback" in err.getvalue():
            raise Wrong("the command broke", err.getvalue()[-500:])
        if OWN_FAULT in " ".join(f"{err.getvalue()} {out.getvalue()}".split()):
            raise Wrong("the command found a fault of its own", out.getvalue()[-500:])
        self.reached["command"] += 1

    # laws

    def nothing_passes_for_want_of_a_datum(
        self, sling: Sling, judge: Judge, judgment: Judgment, stock: Stock
    ) -> None:
        """A datum that a rule asked a sheet for, taken away, never turns fail or open to pass."""
        asked: dict[str, set[str]] = {}
        for rule in BOOK.rules:
            if rule.name in judgment.verdicts:
                pointers: set[str] = set()
                with recording(pointers):
                    _alone(judge, rule).of_sling(sling, Calculation(sling))
                asked[rule.name] = pointers
        every = sorted({pointer for pointers in asked.values() for pointer in pointers})
        if not every:
            return
        taken = self.random.choice(every)
        name, datum = taken.removeprefix("/item/").rsplit("/", 1)
        again = self.judged_without(sling, judge, stock, name.replace("~1", "/"), datum)
        for rule, pointers in asked.items():
            if taken not in pointers or again is None:
                continue
            before, after = judgment.verdicts[rule], again.verdicts[rule]
            if before in ("fail", "open") and after == "pass":
                raise Wrong(f"wrong pass: {rule}", f"{before} to {after} without {taken}")

    def judged_without(
        self, sling: Sling, judge: Judge, stock: Stock, item: str, datum: str
    ) -> Judgment | None:
        changed = []
        for catalog in stock.catalogs:
            sheets = tuple(
                evolve(one, **{datum: None}) if one.id == item else one
                for one in catalog.content.item
            )
            changed.append(evolve(catalog, content=evolve(catalog.content, item=sheets)))
        try:
            less = assemble(sling.build, sling.document, Stock(changed), sling.practice, sling.duty)
        except Unreadable:
            return None
        return self.sound(judge.of_sling(less, Calculation(less)))

    def a_greater_load_is_not_sounder(self, judge: Judge, judgment: Judgment, stock: Stock) -> None:
        """A tag that states more, or a heavier planned load, removes no over-rating."""
        values = copy.deepcopy(self.case["build"])
        raised = {"tag-over-rating": False, "load-over-rating": False}
        tag = values.get("tag")
        for row in tag.get("rating", ()) if isinstance(tag, dict) else ():
            row["load"] = _more(row["load"])
            raised["tag-over-rating"] = True
        if isinstance(values.get("duty"), dict) and "load" in values["duty"]:
            values["duty"]["load"] = _more(values["duty"]["load"])
            raised["load-over-rating"] = True
        try:
            document = parse_document(tomli_w.dumps(values), "build.toml")
            policy = judge.policy
            sling = assemble(read_build(document), document, stock, policy.practice, policy.duty)
        except Unreadable:  # more than can be read
            return
        again = self.sound(judge.of_sling(sling, Calculation(sling)))
        for rule, was in raised.items():
            if was and judgment.verdicts.get(rule) == "fail" and again.verdicts[rule] != "fail":
                raise Wrong(f"a greater load is sounder: {rule}", again.verdicts[rule])


def _alone(judge: Judge, rule: Rule) -> Judge:
    return Judge(evolve(judge.book, rules=(rule,)), judge.policy, judge.as_of)


def _more(load: Any) -> str:
    return f"{float(Load.parse(load)) * TAG_TIMES:.6f} kg"


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _dumped(values: Any) -> str:
    return tomli_w.dumps(values) if isinstance(values, dict) else ""


def _well_formed(html: str) -> None:
    from xml.etree import ElementTree

    ElementTree.fromstring(html)


def examine(case: Case, reached: Counter[str]) -> None:
    """Take a case through everything; raises Wrong, or whatever broke."""
    Bench(case, reached).examine()


def examine_text(text: str, reached: Counter[str]) -> None:
    """A text that is no case, read as every kind of file."""
    reached["inputs"] += 1
    try:
        document = parse_document(text, "x.toml")
    except Unreadable:
        return
    reached["parse"] += 1
    for read in (read_build, read_record, make_catalog, lambda one: policy_in(one, BOOK)):
        with contextlib.suppress(Unreadable):
            read(document)


@contextmanager
def kinds_of_fault(found: dict[str, str], text: str) -> Any:
    """Keep the first input of each kind of fault."""
    try:
        yield
    except Exception as error:
        import traceback

        last = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{type(error).__name__} in {Path(last.filename).name}:{last.lineno}"
        kind = error.kind if isinstance(error, Wrong) else place
        if kind not in found:
            found[kind] = f"{text}\n# {kind}: {error}"[:200_000]
