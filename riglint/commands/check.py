"""`riglint check`: builds, catalogs, records and the library as a whole."""

from __future__ import annotations

import argparse
import datetime
import sys
from contextlib import AbstractContextManager, nullcontext
from typing import Any, TextIO

from . import CANNOT, Commands, add_common, console, print_json, write_whole

MOST_JOBS = 64
RULE_SECONDS = 10.0  # a rule takes some milliseconds
REPORTS = ("text", "json")


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    check = commands.add_parser("check", help="check builds and catalogs", allow_abbrev=False)
    check.add_argument("paths", nargs="*", default=["."], metavar="PATH")
    check.add_argument(
        "--report",
        action="append",
        default=[],
        metavar="KIND[=FILE]",
        help=f"{' or '.join(REPORTS)}; may be given more than once",
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
    check.add_argument("--as-of", type=_date, metavar="DATE", help="take this as today")
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


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date such as 2026-06-30") from None


def run(options: argparse.Namespace) -> int:
    """Check what was named; returns the exit status."""
    from ..check import check
    from .aside import aside

    wanted = [_report(text) for text in options.report or ["text"]]
    if None in wanted:
        return CANNOT
    with aside(), _executor(options.jobs) as executor:
        report = check(
            *options.paths,
            policy=options.policy,
            catalogs=options.catalog,
            as_of=options.as_of,
            fail_on=tuple(options.fail_on) if options.fail_on else None,
            root=options.root,
            executor=executor,
            rule_seconds=options.rule_seconds or None,
        )
    for notice in report.notices:
        print(f"riglint: {notice}", file=sys.stderr)
    for kind, file in filter(None, wanted):

        def draw(out: TextIO, kind: str = kind) -> None:
            _print(kind, report, out)

        if write_whole(file, draw):
            return CANNOT
    return report.exit_status


def _executor(jobs: int) -> AbstractContextManager[Any]:
    if jobs == 1:
        return nullcontext()
    from concurrent.futures import ProcessPoolExecutor

    return ProcessPoolExecutor(jobs)


def _report(text: str) -> tuple[str, str] | None:
    kind, _, file = text.partition("=")
    if kind not in REPORTS:
        print(
            f"riglint: there is no report {kind!r}; these are: {', '.join(REPORTS)}",
            file=sys.stderr,
        )
        return None
    return kind, file


def _print(kind: str, report: Any, out: TextIO) -> None:
    if kind == "json":
        print_json(_data(report), out)
        return
    from ..reports.text import print_report

    print_report(report, console(out))


def _data(report: Any) -> Any:
    from .. import __version__
    from ..reports.data import report_data

    return report_data(report, __version__)
