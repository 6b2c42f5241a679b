"""`riglint sheet`: one page a build, with a drawing to scale, for the bench and the customer."""

from __future__ import annotations

import argparse
from typing import TextIO

from . import CANNOT, HOUSE_HELP, Commands, add_common, cannot, say, write_whole
from .check import as_date


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    sheet = commands.add_parser(
        "sheet", help="the sheet of a build, with a drawing to scale", allow_abbrev=False
    )
    sheet.add_argument("file", metavar="FILE")
    sheet.add_argument(
        "-o",
        "--out",
        default="",
        metavar="OUT",
        help="the page to write (default: standard output); the drawing alone where it ends in"
        " .svg",
    )
    sheet.add_argument("--as-of", type=as_date, metavar="DATE", help="take this as today")
    add_common(sheet)
    sheet.add_argument("--house-rules", action="store_true", help=HOUSE_HELP)
    sheet.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write the sheet; returns the exit status."""
    from ..buildsheet import build_sheet
    from ..problem import Unreadable
    from ..reports.sheet import write_sheet, write_svg
    from .aside import aside

    try:
        with aside():
            sheet = build_sheet(
                options.file,
                policy=options.policy,
                catalogs=options.catalog,
                as_of=options.as_of,
                root=options.root,
                house_rules=options.house_rules,
            )
    except Unreadable as error:
        return cannot(error)

    def draw(out: TextIO) -> None:
        (write_svg if options.out.endswith(".svg") else write_sheet)(sheet, out)

    if write_whole(options.out, draw):
        return CANNOT
    for problem in sheet.judgment.problems:
        say(f"{problem.file}: {problem.message}")
    return CANNOT if sheet.judgment.problems else 0
