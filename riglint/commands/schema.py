"""`riglint schema`: the JSON Schema of a kind of file or report, for editors and programs."""

from __future__ import annotations

import argparse
from pathlib import Path

from . import CANNOT, Commands, cannot, print_json, say, write_whole

KINDS = ("assembly", "catalog", "policy", "record", "report", "rate")


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    schema = commands.add_parser(
        "schema", help="the JSON Schema of a kind of file or report", allow_abbrev=False
    )
    schema.add_argument("kind", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    schema.add_argument("--policy", metavar="FILE", help="policy: with the rules of its packs")
    schema.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the schema; returns the exit status."""
    from ..schema import schema_of

    if options.kind != "policy":
        return write_whole("", lambda out: print_json(schema_of(options.kind), out))
    return _policy(options.policy)


def _policy(file: str | None) -> int:
    """The schema of a policy knows the rules in use, those of its packs too."""
    from ..check import book_for
    from ..problem import Unreadable
    from ..schema import schema_of

    try:
        book = book_for(Path(file) if file else None)
    except Unreadable as error:
        return cannot(error)
    for problem in book.problems:
        say(problem.message)
    failed = write_whole("", lambda out: print_json(schema_of("policy", book), out))
    return max(failed, CANNOT if book.problems else 0)
