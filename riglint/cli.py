"""The command: a thin face over the library."""

from __future__ import annotations

import argparse
import datetime
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

    from .problem import Unreadable
    from .rule import Rule

CANNOT = 2
MOST_JOBS = 64
CHECK_REPORTS = ("text", "json")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status: 0, 1 for findings, 2 for what cannot be done."""
    options = _parser().parse_args(arguments)
    # what a run builds lives to its end: looking for garbage in it costs a third of the time
    gc.disable()
    try:
        return int(options.run(options))
    except BrokenPipeError:
        # the reader has gone: keep Python from complaining about it at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return CANNOT
    except KeyboardInterrupt:
        return 130


def _parser() -> argparse.ArgumentParser:
    from . import __version__

    parser = argparse.ArgumentParser(
        prog="riglint", description="Checks descriptions of lifting slings.", allow_abbrev=False
    )
    parser.add_argument("--version", action="version", version=f"riglint {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="check builds and catalogs", allow_abbrev=False)
    check.add_argument("paths", nargs="*", default=["."], metavar="PATH")
    check.add_argument(
        "--report",
        action="append",
        default=[],
        metavar="KIND[=FILE]",
        help=f"{' or '.join(CHECK_REPORTS)}; may be given more than once",
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
    check.add_argument("--as-of", type=_date, metavar="DATE", help="take this as today")
    _add_common(check)
    check.set_defaults(run=_check)

    rate = commands.add_parser("rate", help="the calculation sheet of a build", allow_abbrev=False)
    rate.add_argument("file", metavar="FILE")
    rate.add_argument("--report", choices=["text", "json"], default="text", metavar="KIND")
    rate.add_argument("--hung-from", metavar="ITEM", help="what if it hung from this item")
    rate.add_argument(
        "--angle",
        metavar="ANGLE",
        type=_angle,
        help="what if the legs stood at this angle, as '45 deg from horizontal'",
    )
    _add_common(rate)
    rate.set_defaults(run=_rate)

    rules = commands.add_parser("rules", help="the rules, or one in full", allow_abbrev=False)
    rules.add_argument("name", nargs="?", metavar="NAME")
    rules.add_argument("--policy", metavar="FILE", help="show the rules of its packs too")
    rules.set_defaults(run=_rules)
    return parser


def _add_common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--policy", metavar="FILE", help="the policy to go by")
    parser.add_argument(
        "--catalog", action="append", default=[], metavar="FILE", help="a catalog to use as well"
    )
    parser.add_argument(
        "--root", metavar="FOLDER", help="no path in a policy may leave it (default: its folder)"
    )


def _jobs(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= MOST_JOBS:
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 to {MOST_JOBS}")
    return int(text)


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date such as 2026-06-30") from None


def _angle(text: str) -> Any:
    from .model import LegAngle
    from .quantities import Angle, QuantityError

    number, _, where = text.partition(" from ")
    if where not in ("horizontal", "vertical"):
        raise argparse.ArgumentTypeError(
            f"{text!r} does not say from where; write '60 deg from horizontal'"
        )
    try:
        angle = LegAngle(**{f"from_{where}": Angle.parse(number)})
    except QuantityError as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    if not 0 < angle.horizontal <= 90:
        raise argparse.ArgumentTypeError("a leg stands above 0 and up to 90 deg")
    return angle


def _console(out: Any = None) -> Console:
    from rich.console import Console

    return Console(file=out or sys.stdout, markup=False, highlight=False, emoji=False)


# Commands


def _check(options: argparse.Namespace) -> int:
    from .check import check

    wanted = [_report(text) for text in options.report or ["text"]]
    if None in wanted:
        return CANNOT
    with _executor(options.jobs) as executor:
        report = check(
            *options.paths,
            policy=options.policy,
            catalogs=options.catalog,
            as_of=options.as_of,
            fail_on=tuple(options.fail_on) if options.fail_on else None,
            root=options.root,
            executor=executor,
        )
    for kind, file in filter(None, wanted):
        try:
            _write(kind, file, report)
        except OSError as error:
            if isinstance(error, BrokenPipeError):
                raise
            print(f"riglint: {file} cannot be written: {error.strerror}", file=sys.stderr)
            return CANNOT
    return report.exit_status


def _executor(jobs: int) -> AbstractContextManager[Any]:
    if jobs == 1:
        return nullcontext()
    from concurrent.futures import ProcessPoolExecutor

    return ProcessPoolExecutor(jobs)


def _report(text: str) -> tuple[str, str] | None:
    kind, _, file = text.partition("=")
    if kind not in CHECK_REPORTS:
        print(
            f"riglint: there is no report {kind!r}; these are: {', '.join(CHECK_REPORTS)}",
            file=sys.stderr,
        )
        return None
    return kind, file


def _write(kind: str, file: str, report: Any) -> None:
    if not file:
        _print(kind, report, sys.stdout)
        return
    # a reader never sees half a report, and an old one stands until the new one is whole
    target = Path(file)
    half = target.with_name(f".{target.name}.{os.getpid()}")
    with half.open("w", encoding="utf-8") as out:
        _print(kind, report, out)
    half.replace(target)


def _print(kind: str, report: Any, out: Any) -> None:
    if kind == "json":
        _print_json(_data(report), out)
        return
    from .reports.text import print_report

    print_report(report, _console(out))


def _data(report: Any) -> Any:
    from . import __version__
    from .reports.data import report_data

    return report_data(report, __version__)


def _print_json(data: Any, out: Any) -> None:
    import json

    json.dump(data, out, indent=1, ensure_ascii=not _speaks_unicode(out))
    out.write("\n")


def _speaks_unicode(out: Any) -> bool:
    return "utf" in (getattr(out, "encoding", None) or "utf-8").lower()


def _rate(options: argparse.Namespace) -> int:
    from .problem import Unreadable
    from .ratesheet import rate

    try:
        sheet = rate(
            options.file,
            policy=options.policy,
            catalogs=options.catalog,
            hung_from=options.hung_from,
            angle=options.angle,
            root=options.root,
        )
    except Unreadable as error:
        return _cannot(error)
    if options.report == "json":
        from .reports.rate import rate_data

        _print_json(rate_data(sheet), sys.stdout)
    else:
        from .reports.rate import print_rate

        print_rate(sheet, _console())
    return 0


def _cannot(error: Unreadable) -> int:
    for problem in error.problems:
        place = f":{problem.line}:{problem.column}" if problem.line is not None else ""
        print(f"riglint: {problem.file}{place}: {problem.message}", file=sys.stderr)
    return CANNOT


def _rules(options: argparse.Namespace) -> int:
    from .check import book_for
    from .problem import Unreadable
    from .reports.rules import print_rule, print_rules

    try:
        book = book_for(Path(options.policy) if options.policy else None)
    except Unreadable as error:
        return _cannot(error)
    for problem in book.problems:
        print(f"riglint: {problem.message}", file=sys.stderr)
    if options.name is None:
        print_rules(book, _console())
        return CANNOT if book.problems else 0
    rule = _named(options.name, book.rules)
    if rule is None:
        return CANNOT
    print_rule(rule, _console())
    return CANNOT if book.problems else 0


def _named(name: str, rules: Sequence[Rule]) -> Rule | None:
    from .source import nearest

    for rule in rules:
        if name in (rule.name, *rule.aliases):
            return rule
    close = nearest(name, [rule.name for rule in rules])
    hint = f"; did you mean {close}?" if close else ""
    print(f"riglint: there is no rule {name!r}{hint}", file=sys.stderr)
    return None


if __name__ == "__main__":
    sys.exit(main())
