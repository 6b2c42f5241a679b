"""The command: a thin face over the library."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence

from .commands import CANNOT, check, fill, policy, rate, rules, schema, sheet, start

COMMANDS = (check, rate, sheet, fill, rules, policy, start, schema)


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
    except Exception as error:
        from .problem import clean, own_fault

        print(f"riglint: nothing of this run counts: {clean(own_fault(error))}", file=sys.stderr)
        return CANNOT


def _parser() -> argparse.ArgumentParser:
    from . import __version__

    parser = argparse.ArgumentParser(
        prog="riglint", description="Checks descriptions of lifting slings.", allow_abbrev=False
    )
    parser.add_argument("--version", action="version", version=f"riglint {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
