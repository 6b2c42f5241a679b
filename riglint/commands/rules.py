"""`riglint rules`: the rules, or one in full."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import CANNOT, HOUSE_HELP, Commands, cannot, console

if TYPE_CHECKING:
    from ..rule import Rule


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    rules = commands.add_parser("rules", help="the rules, or one in full", allow_abbrev=False)
    rules.add_argument("name", nargs="?", metavar="NAME")
    rules.add_argument("--policy", metavar="FILE", help="show the rules of its packs too")
    rules.add_argument("--house-rules", action="store_true", help=HOUSE_HELP)
    rules.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the rules; returns the exit status."""
    from ..check import book_for
    from ..problem import Unreadable
    from ..reports.rules import print_rule, print_rules
    from .aside import aside

    try:
        place = Path(options.policy) if options.policy else None
        with aside():
            book = book_for(place, house_rules=options.house_rules)
    except Unreadable as error:
        return cannot(error)
    for problem in book.problems:
        print(f"riglint: {problem.message}", file=sys.stderr)
    if options.name is None:
        print_rules(book, console())
        return CANNOT if book.problems else 0
    rule = _named(options.name, book.rules)
    if rule is None:
        return CANNOT
    packs = {pack.name: pack for pack in book.packs}
    print_rule(rule, console(), packs.get(rule.owner))
    return CANNOT if book.problems else 0


def _named(name: str, rules: Sequence[Rule]) -> Rule | None:
    from ..source import nearest

    for rule in rules:
        if name in (rule.name, *rule.aliases):
            return rule
    close = nearest(name, [rule.name for rule in rules])
    hint = f"; did you mean {close}?" if close else ""
    print(f"riglint: there is no rule {name!r}{hint}", file=sys.stderr)
    return None
