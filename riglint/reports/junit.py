"""JUnit XML in the form that all its readers take: a suite a file, a case a rule.

A rule with several findings in one file has a case for each, named by its part. Findings that do
not make the run fail stand in the output of a case that passes, so that the test report says what
the exit status says.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TextIO
from xml.etree import ElementTree as ET

from attrs import frozen

from ..judging import Judgment, Placed
from ..report import Report
from .plain import CAUTION, clean, excuse, said, sentence, speaks_unicode, waiting


@frozen
class _Case:
    """One case: what came of it (failure, error, skipped, output or nothing), and the words."""

    name: str
    outcome: str = ""
    message: str = ""
    detail: str = ""


def write(report: Report, out: TextIO) -> None:
    """Write the report as one tree of suites."""
    suites: dict[str, list[_Case]] = {}
    for problem in report.problems:
        place = f"line {problem.line}, column {problem.column}" if problem.line else ""
        case = _Case("can be checked", "error", sentence(problem.message), place)
        suites.setdefault(problem.file, []).append(case)
    for subject in report.subjects:
        name = subject.file or "library"
        suites.setdefault(name, []).extend(_cases(subject.judgment, report))
    root = ET.Element("testsuites", name="riglint")
    for file, cases in suites.items():
        if cases:
            root.append(_suite(file, cases))
    _count(root, [case for cases in suites.values() for case in cases])
    root.append(ET.Comment(f" {CAUTION} "))
    _print(root, out)


def _print(root: ET.Element, out: TextIO) -> None:
    ET.indent(root)
    encoding = "utf-8" if speaks_unicode(out) else "us-ascii"
    out.write(ET.tostring(root, encoding, xml_declaration=True).decode(encoding) + "\n")


def _cases(judgment: Judgment, report: Report) -> Iterator[_Case]:
    found: dict[str, list[Placed]] = {}
    for placed in judgment.findings:
        found.setdefault(placed.finding.rule, []).append(placed)
    for rule, verdict in judgment.verdicts.items():
        if verdict == "fail" and rule in found:
            yield from _failed(rule, found[rule], report.failing_levels(judgment))
        elif verdict == "open":
            outcome = "failure" if "open" in report.fails_on(judgment) else "skipped"
            yield _Case(rule, outcome, _why_open(judgment, rule))
        elif verdict == "notApplicable":
            yield _Case(rule, "skipped", "not applicable: there is nothing here for it to judge")
        else:
            yield _Case(rule)


def _why_open(judgment: Judgment, rule: str) -> str:
    whys = [one.why for one in waiting(one for one in judgment.missing if one.rule == rule)]
    return f"open: {'; '.join(whys) or 'the rule could not be run; see the errors'}"


def _failed(rule: str, findings: list[Placed], failing: Sequence[str]) -> Iterator[_Case]:
    names: Counter[str] = Counter()
    for placed in findings:
        finding = placed.finding
        name = rule if len(findings) == 1 else f"{rule} at {finding.part}"
        names[name] += 1
        name = name if names[name] == 1 else f"{name}, {names[name]}"
        level = finding.level or "error"
        message = f"{level}: {said(finding)}"
        if not finding.stands:
            yield _Case(name, "skipped", f"{excuse(finding)}; {message}", _detail(placed))
        elif level in failing:
            yield _Case(name, "failure", message, _detail(placed))
        else:
            yield _Case(name, "output", message, _detail(placed))


def _detail(placed: Placed) -> str:
    finding = placed.finding
    lines = [f"{placed.file}, line {placed.line}, column {placed.column}", f"part {finding.part}"]
    lines += [sentence(finding.remedy)] if finding.remedy else []
    lines += [f"by {'; '.join(finding.sources)}"]
    return "\n".join(map(clean, lines))


def _suite(file: str, cases: list[_Case]) -> ET.Element:
    suite = ET.Element("testsuite", name=clean(file))
    _count(suite, cases)
    for case in cases:
        suite.append(_element(file, case))
    return suite


def _count(element: ET.Element, cases: list[_Case]) -> None:
    element.set("tests", str(len(cases)))
    for key, outcome in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        element.set(key, str(sum(case.outcome == outcome for case in cases)))


def _element(file: str, case: _Case) -> ET.Element:
    element = ET.Element("testcase", name=clean(case.name), classname=clean(file))
    if case.outcome == "output":
        said_so = ET.SubElement(element, "system-out")
        said_so.text = f"{clean(case.message)}\n{case.detail}"
    elif case.outcome:
        inner = ET.SubElement(element, case.outcome, message=clean(case.message))
        if case.outcome != "skipped":
            inner.set(
                "type", case.message.partition(":")[0] if case.outcome == "failure" else "problem"
            )
        inner.text = case.detail or None
    return element
