"""`riglint check`: builds, catalogs, records and the library as a whole."""

from __future__ import annotations

import argparse
import datetime
from contextlib import AbstractContextManager, nullcontext
from functools import partial
from pathlib import Path
from typing import Any

from ..paths import is_file
from ..problem import Unreadable
from ..report import Report
from ..reports.plain import plural
from . import CANNOT, HOUSE_HELP, Commands, add_common, say, say_problems, write_whole
from .reporting import NAMES, Wanted, clash, in_place, wanted, write_reports

MOST_JOBS = 64
RULE_SECONDS = 10.0  # a rule takes some milliseconds


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    check = commands.add_parser("check", help="check builds and catalogs", allow_abbrev=False)
    check.add_argument("paths", nargs="*", default=["."], metavar="PATH")
    check.add_argument(
        "--report",
        action="append",
        type=wanted,
        default=[],
        metavar="KIND[=FILE]",
        help=f"{', '.join(NAMES)}, or one of a rule pack; may be given more than once",
    )
    check.add_argument("--known", metavar="FILE", help="known findings: shown, not counted")
    check.add_argument(
        "--write-known", metavar="FILE", help="list what is found now as known, and go by it"
    )
    check.add_argument(
        "--fail-on",
        action="append",
        choices=["error", "warning", "note", "open"],
        metavar="LEVEL",
        help="what makes the exit status 1 (default: the policy's fail_on, else error)",
    )
    check.add_argument(
        "--jobs", type=_jobs, default=1, metavar="N", help="share the builds out to N processes"
    )
    check.add_argument(
        "--rule-seconds",
        type=_seconds,
        default=RULE_SECONDS,
        metavar="S",
        help=f"stop a rule after so long on one build (default: {RULE_SECONDS:g}; 0: never)",
    )
    check.add_argument("--as-of", type=as_date, metavar="DATE", help="take this as today")
    check.add_argument("--house-rules", action="store_true", help=HOUSE_HELP)
    add_common(check)
    check.set_defaults(run=run)


def _jobs(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= MOST_JOBS:
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 to {MOST_JOBS}")
    return int(text)


def _seconds(text: str) -> float:
    from math import isfinite

    try:
        seconds = float(text)
    except ValueError:
        seconds = -1.0
    if not isfinite(seconds) or seconds < 0:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of seconds")
    return seconds


def as_date(text: str) -> datetime.date:
    """A date as the options take it."""
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date such as 2026-06-30") from None


def run(options: argparse.Namespace) -> int:
    """Check what was named; returns the exit status."""
    from ..check import check
    from .aside import aside
    from .progress import ProgressLine

    reports = options.report or [Wanted("text")]
    if (fault := clash(reports)) is not None:
        say(fault)
        return CANNOT
    progress = ProgressLine()
    with in_place(), aside(), _executor(options.jobs) as executor:
        report = check(
            *options.paths,
            policy=options.policy,
            catalogs=options.catalog,
            as_of=options.as_of,
            fail_on=tuple(options.fail_on) if options.fail_on else None,
            root=options.root,
            executor=executor,
            known=options.known,
            progress=progress,
            house_rules=options.house_rules,
            rule_seconds=options.rule_seconds or None,
        )
    progress.clear()
    for notice in report.notices:
        say(notice)
    if options.write_known:
        written = _write_known(report, options)
        if written is None:
            return CANNOT
        report = written
    return write_reports(report, reports)


def _write_known(report: Report, options: argparse.Namespace) -> Report | None:
    """List what is found as known; the report by that list, None where it cannot be written.

    The dates of a list that is there already stay.
    """
    from ..known import listed, read_known, with_known, write_known

    place = Path(options.write_known)
    old = place if is_file(place) else Path(options.known) if options.known else None
    try:
        before = read_known(old, report) if old else None
    except Unreadable as error:
        say_problems(error.problems)
        return None
    if before is not None and before.problems:
        say_problems(before.problems)
        return None
    entries, left_out = listed(report, before)
    if write_whole(options.write_known, partial(write_known, entries)):
        return None
    names = ", ".join(f"{rule} ({count:,})" for rule, count in sorted(left_out.items()))
    safety = f"; not among them, as matters of safety: {names}" if names else ""
    say(f"{plural(len(entries), 'known finding')} in {options.write_known}{safety}")
    return with_known(report, place, options.as_of or datetime.date.today())


def _executor(jobs: int) -> AbstractContextManager[Any]:
    if jobs == 1:
        return nullcontext()
    from concurrent.futures import ProcessPoolExecutor

    return ProcessPoolExecutor(jobs)
