"""Known findings: what stood when a list was written does not fail the check, what is new does.

They are marked after the rules have judged and after permits, never inside a rule.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, TextIO

from attrs import evolve, field, frozen

from .fingerprint import Fingerprint, fingerprint
from .judging import Judgment, Placed
from .model import Count, KnownEntry, KnownFile
from .paths import real
from .problem import Problem, Unreadable, first_of
from .reading import read_as
from .report import Report, Subject
from .source import nearest, read_document

KINDS = ("build", "catalog", "record")
HEADING = """\
# The findings of this library that are known. `riglint check --known` shows them apart and does not
# fail on them. `until = 2027-06-30` in an entry ends that: past the date the finding stands again.

"""


@frozen
class Known:
    """A list of known findings as read; `problems` are entries that cannot be used."""

    file: str
    entries: Mapping[Fingerprint, KnownEntry] = field(repr=False)
    problems: tuple[Problem, ...] = ()


def read_known(path: Path, report: Report) -> Known:
    """The list in a file, held to the rules of a report.

    An entry is a problem where it names no rule in use, one of safety, more than one subject, or
    what another entry has named. Raises Unreadable where the file cannot be read as such a list.
    """
    document = read_document(path)
    waivable = {rule.name: rule.waivable for rule in report.rules}
    renamed = {alias: rule.name for rule in report.rules for alias in rule.aliases}
    entries: dict[Fingerprint, KnownEntry] = {}

    def faulty() -> Iterator[Problem]:
        for index, entry in enumerate(read_as(document, KnownFile).known):
            entry = evolve(entry, rule=renamed.get(entry.rule, entry.rule))
            mark = _fingerprint_of(entry)
            fault = "this finding is named twice; give it a count" if mark in entries else None
            fault = _fault(entry, waivable) or fault
            if fault is None:
                entries[mark] = entry
                continue
            yield document.problem(("known", index), fault)

    problems = tuple(first_of(faulty(), document.file))
    return Known(document.file, entries, problems)


def _fault(entry: KnownEntry, waivable: Mapping[str, bool]) -> str | None:
    if sum(getattr(entry, kind) is not None for kind in KINDS) > 1:
        return "a known finding names one of build, catalog and record"
    if entry.rule not in waivable:
        close = nearest(entry.rule, waivable)
        hint = f"; did you mean {close}?" if close else ""
        return f"a known finding names the rule {entry.rule[:60]}, which there is not{hint}"
    if not waivable[entry.rule]:
        return f"{entry.rule} cannot be marked as known: it is a matter of safety"
    return None


def _fingerprint_of(entry: KnownEntry) -> Fingerprint:
    about, id_ = next(
        ((kind, getattr(entry, kind)) for kind in KINDS if getattr(entry, kind) is not None),
        ("library", "library"),
    )
    return Fingerprint(about, id_, entry.rule, entry.part, entry.at, entry.found, entry.limit)


def with_known(report: Report, path: Path, as_of: datetime.date) -> Report:
    """The report with the findings marked that a file lists, and what of the list is over.

    Whatever cannot be used of the file is in its `problems`.
    """
    skipped = tuple(one for one in report.skipped if real(Path(one.file)) != real(path))
    report = evolve(report, known=str(path), skipped=skipped)
    try:
        known = read_known(path, report)
    except Unreadable as error:
        return _with_problems(report, error.problems)
    return apply_known(_with_problems(report, known.problems), known, as_of)


def _with_problems(report: Report, problems: tuple[Problem, ...]) -> Report:
    return evolve(report, problems=tuple(dict.fromkeys((*report.problems, *problems))))


def apply_known(report: Report, known: Known, as_of: datetime.date) -> Report:
    """The report with every finding marked that the list holds and that is not past its date."""
    marking = _Marking(known, as_of)
    marked = _each_judgment(report, marking.judgment)
    over = [entry for mark, entry in known.entries.items() if marking.met[mark] < entry.count]
    lapsed = [known.entries[mark] for mark in marking.met if marking.past(known.entries[mark])]
    return evolve(
        marked,
        known=known.file,
        vanished=tuple(entry for entry in over if _is_judged(entry, report)),
        lapsed=tuple(lapsed),
    )


class _Marking:
    """Goes through the findings, counting those that each entry has met."""

    def __init__(self, known: Known, as_of: datetime.date) -> None:
        self.known, self.as_of = known, as_of
        self.met: Counter[Fingerprint] = Counter()

    def past(self, entry: KnownEntry) -> bool:
        return entry.until is not None and entry.until < self.as_of

    def judgment(self, subject: Subject) -> Judgment:
        found = tuple(self.placed(placed, subject) for placed in subject.judgment.findings)
        return evolve(subject.judgment, findings=found)

    def placed(self, placed: Placed, subject: Subject) -> Placed:
        finding = evolve(placed.finding, known=None)
        mark = fingerprint(finding, subject.kind, subject.id)
        entry = self.known.entries.get(mark)
        if finding.permit is None and entry is not None and self.met[mark] < entry.count:
            self.met[mark] += 1
            if not self.past(entry):
                finding = evolve(finding, known=self.words(entry))
        return evolve(placed, finding=finding)

    def words(self, entry: KnownEntry) -> str:
        until = f", until {entry.until}" if entry.until else ""
        return f"listed in {Path(self.known.file).name}{until}"


def _each_judgment(report: Report, change: Callable[[Subject], Judgment]) -> Report:
    changed = iter([change(subject) for subject in report.subjects])

    def anew(reports: Iterable[Any]) -> tuple[Any, ...]:
        return tuple(evolve(one, judgment=next(changed)) for one in reports)

    return evolve(
        report,
        assemblies=anew(report.assemblies),
        catalogs=anew(report.catalogs),
        records=anew(report.records),
        library=next(changed),
    )


def _is_judged(entry: KnownEntry, report: Report) -> bool:
    """Whether the run could have found it: its rule judged its subject, or the subject is gone."""
    mark = _fingerprint_of(entry)
    verdicts = [
        subject.judgment.verdicts.get(entry.rule)
        for subject in report.subjects
        if (subject.kind, subject.id) == (mark.about, mark.id)
    ]
    if not verdicts:
        return report.whole and not report.problems
    return all(verdict in ("fail", "pass", "notApplicable") for verdict in verdicts)


# Writing


def listed(report: Report, old: Known | None = None) -> tuple[list[KnownEntry], Counter[str]]:
    """The entries of a new list, sorted, and how many findings of safety rules are left out.

    Of an old list the dates stay, and so do the entries that this run had no look at.
    """
    waivable = {rule.name: rule.waivable for rule in report.rules}
    counts: Counter[Fingerprint] = Counter()
    left_out: Counter[str] = Counter()
    for mark in _standing(report):
        if waivable.get(mark.rule, False):
            counts[mark] += 1
        else:
            left_out[mark.rule] += 1
    before = old.entries if old else {}
    entries = {mark: _entry(mark, n, before.get(mark)) for mark, n in counts.items()}
    for mark, entry in before.items():
        if mark not in entries and not _is_judged(entry, report):
            entries[mark] = entry
    return [entries[mark] for mark in sorted(entries)], left_out


def _standing(report: Report) -> Iterator[Fingerprint]:
    for subject in report.subjects:
        for placed in subject.judgment.findings:
            if placed.finding.permit is None:
                yield fingerprint(placed.finding, subject.kind, subject.id)


def _entry(mark: Fingerprint, count: int, before: KnownEntry | None) -> KnownEntry:
    subject = {mark.about: mark.id} if mark.about in KINDS else {}
    return KnownEntry(
        rule=mark.rule,
        part=mark.part,
        at=mark.at,
        found=mark.found,
        limit=mark.limit,
        count=Count(count),
        until=before.until if before else None,
        **subject,
    )


def write_known(entries: Iterable[KnownEntry], out: TextIO) -> None:
    """Write entries as the TOML of a list of known findings."""
    import tomli_w

    tables = [f"[[known]]\n{tomli_w.dumps(_values(entry))}" for entry in entries]
    out.write(HEADING + ("\n".join(tables) or "known = []\n"))


def _values(entry: KnownEntry) -> dict[str, Any]:
    named = (*KINDS, "part", "at", "found", "limit", "until")
    values = {"rule": entry.rule} | {name: getattr(entry, name) for name in named}
    values |= {"count": entry.count} if entry.count > 1 else {}
    return {name: value for name, value in values.items() if value not in (None, "")}
