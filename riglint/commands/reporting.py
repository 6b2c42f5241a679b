"""Which reports of a run are wanted, and writing them: one that fails stops no other."""

from __future__ import annotations

import argparse
import os
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, redirect_stdout, suppress
from functools import partial
from io import StringIO
from pathlib import Path
from typing import TextIO

from attrs import evolve, frozen

from ..book import ReportKind
from ..house import Printed
from ..paths import absolute
from ..problem import Problem, is_interrupt, said
from ..report import Report
from ..reports import BUILT_IN, report_kinds
from ..source import nearest
from . import say_problems, write_whole

NAMES = tuple(kind.name for kind in BUILT_IN)


@frozen
class Wanted:
    """A report that was asked for; an empty `file` is standard output."""

    name: str
    file: str = ""

    @property
    def built_in(self) -> bool:
        return self.name in NAMES

    @property
    def place(self) -> str:
        """Its file by the one name that all its spellings share."""
        return absolute(self.file) if self.file else ""


@contextmanager
def in_place() -> Iterator[None]:
    """A context for code of others, after which the working folder is what it was before.

    Else a rule that changes it would lead all that the run writes to another folder.
    """
    before = None
    with suppress(OSError):  # it may be gone already
        before = Path.cwd()
    try:
        yield
    finally:
        if before is not None:
            with suppress(OSError):
                os.chdir(before)


def wanted(text: str) -> Wanted:
    """What `KIND[=FILE]` asks for; a name with a colon is that of a pack's report."""
    name, given, file = text.partition("=")
    if name not in NAMES and ":" not in name:
        raise argparse.ArgumentTypeError(
            f"there is no report {name!r}; these are: {', '.join(NAMES)}"
        )
    if given and not file:
        raise argparse.ArgumentTypeError(f"no file is named in {text!r}")
    return Wanted(name, file)


def clash(reports: Sequence[Wanted]) -> str | None:
    """Why the reports cannot all be written where they are to go; None if they can."""
    for file, count in Counter(one.place for one in reports).items():
        if count < 2:
            continue
        names = " and ".join(one.name for one in reports if one.place == file)
        if file:
            return f"the reports {names} would all be written to {file}"
        return (
            f"the reports {names} would all go to standard output; name a file for all but one,"
            f" as in --report {reports[-1].name}=FILE"
        )
    return None


def write_reports(report: Report, reports: Sequence[Wanted]) -> int:
    """Write every report; the exit status of the run, 2 where one of them could not be written.

    Those of packs come first, so that the others tell of one that failed.
    """
    kinds = report_kinds(report.packs)
    failed = 0
    for one in sorted(reports, key=lambda one: one.built_in):
        try:
            failed = max(failed, _write(one, kinds, report))
        except _Fault as fault:
            failed = say_problems([fault.problem])
            report = evolve(report, problems=(*report.problems, fault.problem))
    return max(failed, report.exit_status)


class _Fault(Exception):
    """A report that could not be made."""

    def __init__(self, owner: str, message: str) -> None:
        super().__init__(message)
        self.problem = Problem(owner, message)


def _write(one: Wanted, kinds: Mapping[str, ReportKind], report: Report) -> int:
    if one.name not in kinds:
        raise _unknown(one.name, kinds)
    kind = kinds[one.name]
    if not one.built_in:
        text = _made_apart(kind, report)
        return write_whole(one.file, partial(_put, text))
    try:
        return write_whole(one.file, partial(kind.write, report))
    except BrokenPipeError:
        raise
    except Exception as error:
        raise _Fault("riglint", f"the report {kind.name} {_failed(error)}") from error


def _unknown(name: str, kinds: Mapping[str, ReportKind]) -> _Fault:
    close = nearest(name, kinds)
    hint = f"; did you mean {close}?" if close else ""
    return _Fault(name.partition(":")[0], f"no rule pack in use brings the report {name}{hint}")


def _made_apart(kind: ReportKind, report: Report) -> str:
    """A pack's report, if it is whole and the pack did nothing else."""
    pack = kind.name.partition(":")[0]
    text, printed = StringIO(), Printed()
    whose = f"the report {kind.name} of the rule pack {pack}"
    try:
        with redirect_stdout(printed), in_place():
            kind.write(report, text)
        whole = text.getvalue()
    except BaseException as error:
        if is_interrupt(error):
            raise
        raise _Fault(pack, f"{whose} {_failed(error)}") from error
    if printed.getvalue():
        raise _Fault(pack, f"{whose} printed to standard output, not to the stream it was given")
    return whole


def _failed(error: BaseException) -> str:
    return f"failed: {said(error)}"


def _put(text: str, out: TextIO) -> None:
    out.write(text)
