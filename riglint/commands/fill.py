"""`riglint fill`: items for the parts that a build leaves open."""

from __future__ import annotations

import argparse

from . import HOUSE_HELP, Commands, add_common, cannot, console, print_json, write_whole


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    fill = commands.add_parser(
        "fill", help='items for the parts of a build whose item is "?"', allow_abbrev=False
    )
    fill.add_argument("file", metavar="FILE")
    fill.add_argument("--report", choices=["text", "json"], default="text", metavar="KIND")
    add_common(fill)
    fill.add_argument("--house-rules", action="store_true", help=HOUSE_HELP)
    fill.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print what may stand at each open place; returns 1 where every choice fails or is open."""
    from ..filling import fill
    from ..problem import Unreadable
    from .aside import aside

    try:
        with aside():
            filling = fill(
                options.file,
                policy=options.policy,
                catalogs=options.catalog,
                root=options.root,
                house_rules=options.house_rules,
            )
    except Unreadable as error:
        return cannot(error)
    if options.report == "json":
        from ..reports.fill import fill_data

        failed = write_whole("", lambda out: print_json(fill_data(filling), out))
    else:
        from ..reports.fill import print_fill

        failed = write_whole("", lambda out: print_fill(filling, console(out)))
    return max(failed, 0 if filling.state in ("clears", "reported") else 1)
