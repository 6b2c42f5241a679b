"""`riglint rules`: the rules, or one in full."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from . import CANNOT, HOUSE_HELP, Commands, cannot, console, say, write_whole

if TYPE_CHECKING:
    from ..book import RuleBook
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
    from .aside import aside

    try:
        place = Path(options.policy) if options.policy else None
        with aside():
            book = book_for(place, house_rules=options.house_rules)
    except Unreadable as error:
        return cannot(error)
    for problem in book.problems:
        say(problem.message)
    return max(_print(options.name, book), CANNOT if book.problems else 0)


def _print(name: str | None, book: RuleBook) -> int:
    from ..reports.rules import print_rule, print_rules

    if name is None:
        return write_whole("", lambda out: print_rules(book, console(out)))
    rule = _named(name, book.rules)
    if rule is None:
        return CANNOT
    pack = next((pack for pack in book.packs if pack.name == rule.owner), None)
    return write_whole("", lambda out: print_rule(rule, console(out), pack))


def _named(name: str, rules: Sequence[Rule]) -> Rule | None:
    from ..source import nearest

    for rule in rules:
        if name in (rule.name, *rule.aliases):
            return rule
    close = nearest(name, [rule.name for rule in rules])
    hint = f"; did you mean {close}?" if close else ""
    say(f"there is no rule {name!r}{hint}")
    return None
