"""The command: a thin face over the library."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from .commands import CANNOT, check, fill, policy, rate, rules, say, schema, settle, sheet, start
from .problem import clean, own_fault

COMMANDS = (check, rate, sheet, fill, rules, policy, start, schema)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status: 0, 1 for findings, 2 for what cannot be done."""
    try:
        _open_streams()
        options = _parser().parse_args(arguments)
        # what a run builds lives to its end: looking for garbage in it costs a third of the time
        gc.disable()
        return int(options.run(options))
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        say(f"nothing of this run counts: {own_fault(error)}")
        return CANNOT
    finally:
        settle()


def _open_streams() -> None:
    """Lead a stream that the caller closed nowhere, so that no file gets its number."""
    if sys.stdin is not None and sys.stdout is not None and sys.stderr is not None:
        return
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        os.set_inheritable(number, True)
    os.close(number)
    sys.stdout = sys.stdout or os.fdopen(1, "w", encoding="utf-8", closefd=False)
    sys.stderr = sys.stderr or os.fdopen(2, "w", encoding="utf-8", closefd=False)


class _Parser(argparse.ArgumentParser):
    """Says what is wrong with the arguments without what could act in them."""

    def error(self, message: str) -> NoReturn:
        self.print_usage(sys.stderr)
        self.exit(CANNOT, clean(f"{self.prog}: {message}") + "\n")


def _parser() -> argparse.ArgumentParser:
    from . import __version__

    parser = _Parser(
        prog="riglint", description="Checks descriptions of lifting slings.", allow_abbrev=False
    )
    parser.add_argument("--version", action="version", version=f"riglint {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
