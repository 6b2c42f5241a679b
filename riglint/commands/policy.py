"""`riglint policy`: the policy as it applies to a path, each value with the line it comes from."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import HOUSE_HELP, Commands, cannot, console, print_json, write_whole

if TYPE_CHECKING:
    from ..effective import Value


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    policy = commands.add_parser(
        "policy", help="the policy as it applies, with where each value comes from",
        allow_abbrev=False,
    )  # fmt: skip
    policy.add_argument("path", nargs="?", default=".", metavar="PATH")
    policy.add_argument("--report", choices=["text", "json"], default="text", metavar="KIND")
    policy.add_argument("--policy", metavar="FILE", help="the policy to go by")
    policy.add_argument(
        "--root", metavar="FOLDER", help="no path in a policy may leave it (default: its folder)"
    )
    policy.add_argument("--house-rules", action="store_true", help=HOUSE_HELP)
    policy.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Print the policy; returns the exit status."""
    from ..check import policy_at
    from ..problem import Unreadable

    try:
        place, values = policy_at(
            Path(options.path),
            Path(options.policy) if options.policy else None,
            Path(options.root) if options.root else None,
            house_rules=options.house_rules,
        )
    except Unreadable as error:
        return cannot(error)
    if options.report == "json":
        return write_whole("", lambda out: print_json(_data(place, values), out))
    from ..reports.policy import print_policy

    return write_whole("", lambda out: print_policy(place, values, console(out)))


def _data(place: str | None, values: tuple[Value, ...]) -> Any:
    from ..effective import BUILT_IN

    return {
        "policy": place,
        "values": [
            {
                "key": one.key.partition("[")[0],
                "value": one.value,
                "file": None if one.file == BUILT_IN else one.file,
                "line": one.line,
                "folder": one.folder,
            }
            for one in values
        ],
    }
