"""The report of a run as Markdown, short enough for the summary of a CI job."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TextIO

from ..finding import LEVELS
from ..judging import Placed
from ..report import AssemblyReport, Report, Subject
from .plain import (
    CAUTION,
    brief,
    clean,
    counts,
    entry_words,
    excuse,
    of_sheet,
    ran,
    said,
    sentence,
    totals,
    waiting,
)

MOST_ROWS = 50
MOST_SHOWN = 400  # characters of a message in a table
_ACTIVE = re.compile(r"[\\`*_\[\]<>#|~$@&]|:(?=//)|(?<=www)\.", re.IGNORECASE)
_OPENING = re.compile(r"^(\d*)([-+.)])")  # what would begin a list
_REFERENCES = {"<": "&lt;", ">": "&gt;", "&": "&amp;", "$": "&#36;", "@": "&#64;"}


def text(words: str, most: int = MOST_SHOWN) -> str:
    """Words of a stranger as Markdown that shows them as they are: no table, HTML, link, code."""
    shown = clean(brief(words, most)).strip()
    shown = _ACTIVE.sub(lambda match: _REFERENCES.get(match[0]) or f"\\{match[0]}", shown)
    return _OPENING.sub(r"\1\\\2", shown)


def write(report: Report, out: TextIO) -> None:
    """Write counts, builds and other subjects with findings, problems and what is missing."""
    blocks = (
        ["## riglint", f"{', '.join(totals(report))}."],
        _faulty(report),
        _not_counted(report),
        _list(
            "Could not be read or checked",
            (f"{one.place}: {one.message}" for one in report.problems),
        ),
        _list("Not known, so not judged", _missing(report)),
        _list("Known, and no longer found", map(entry_words, report.vanished)),
        _list("Known until its date, and stands again", map(entry_words, report.lapsed)),
        _list("Skipped", (f"{one.file}: {one.reason}" for one in report.skipped)),
        _list("Switched off by the policy", report.off),
        _list("Rule modules of the library that ran", ran(report)),
        [f"*{CAUTION}*"],
    )
    out.write("\n\n".join(line for block in blocks for line in block) + "\n")


# Tables


def _table(title: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[str]:
    """A table of the first rows, with the number of those left out; nothing without rows."""
    if not rows:
        return []
    ruled = [heads, tuple("---" for _ in heads), *rows[:MOST_ROWS]]
    table = "\n".join(f"| {' | '.join(row)} |" for row in ruled)
    rest = len(rows) - MOST_ROWS
    return [f"### {title}", table, *([f"And {rest:,} more."] if rest > 0 else [])]


def _faulty(report: Report) -> list[str]:
    """What has findings that stand, the worst first."""
    subjects = [one for one in report.subjects if any(_standing(one))]
    subjects.sort(key=lambda one: tuple(-one.judgment.count(level) for level in LEVELS))
    rated = {one.file: one for one in report.assemblies}
    rows = [_row(one, rated.get(one.file)) for one in subjects]
    heads = ("what", "findings", "rated", "the worst of them", "where")
    return _table("Findings", heads, rows)


def _standing(subject: Subject) -> Iterator[Placed]:
    return (placed for placed in subject.judgment.findings if placed.finding.stands)


def _row(subject: Subject, build: AssemblyReport | None) -> tuple[str, ...]:
    worst = next(_standing(subject))
    finding = worst.finding
    repair = f" {text(sentence(finding.remedy))}" if finding.remedy else ""
    return (
        text(subject.id if subject.kind == "build" else f"{subject.kind} {subject.id}"),
        ", ".join(words for _, words in counts(subject.judgment)),
        _rated(build) if build else "",
        f"{text(finding.rule)}: {text(said(finding))}{repair}",
        text(f"{worst.file}, line {worst.line}"),
    )


def _rated(build: AssemblyReport) -> str:
    load = build.standing.rated
    return "not rated" if load is None else text(build.standing.units.show(load))


def _not_counted(report: Report) -> list[str]:
    rows = [
        (text(subject.id), text(placed.finding.rule), text(placed.finding.part), text(words))
        for subject in report.subjects
        for placed in subject.judgment.findings
        if (words := excuse(placed.finding))
    ]
    heads = ("what", "rule", "part", "why it is not counted")
    return _table("Permitted and known", heads, rows)


# Lists


def _list(title: str, entries: Iterable[str]) -> list[str]:
    """A list of the first entries, with the number of those left out; nothing without any."""
    lines = [f"- {text(entry)}" for entry in entries]
    rest = len(lines) - MOST_ROWS
    if rest > 0:
        lines = [*lines[:MOST_ROWS], f"- and {rest:,} more"]
    return [f"### {title}", "\n".join(lines)] if lines else []


def _missing(report: Report) -> Iterator[str]:
    """What is missing, once an item, whatever builds it is missing in."""
    everything = [one for subject in report.subjects for one in subject.judgment.missing]
    yield from (one.words for one in waiting(filter(of_sheet, everything)))
    for subject in report.subjects:
        for one in waiting(one for one in subject.judgment.missing if not of_sheet(one)):
            yield f"{subject.id}: {one.words}"
