"""A line a finding in the GNU form `file:line:column: level: message`, for editors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TextIO

from ..judging import Placed
from ..report import Report, Subject
from .plain import clean, excuse, said, sentence, waiting


def write(report: Report, out: TextIO) -> None:
    """Write problems, findings and, as notes, what is open; nothing where there is nothing."""
    for problem in report.problems:
        out.write(_line(problem.place, "error", sentence(problem.message)))
    for subject in report.subjects:
        for placed in subject.judgment.findings:
            out.write(_finding(placed))
        for line in _open(subject):
            out.write(line)


def _line(place: str, level: str, message: str) -> str:
    return clean(f"{place}: {level}: {message}") + "\n"


def _finding(placed: Placed) -> str:
    finding = placed.finding
    repair = f" {sentence(finding.remedy)}" if finding.remedy else ""
    marks = "; ".join(filter(None, (finding.rule, excuse(finding))))
    message = f"{said(finding)}{repair} [{marks}]"
    place = f"{placed.file}:{placed.line}:{placed.column}"
    return _line(place, finding.level or "error", message)


def _open(subject: Subject) -> Iterator[str]:
    for one in waiting(subject.judgment.missing):
        yield _line(subject.file or subject.id, "note", f"open: {one.words}.")
