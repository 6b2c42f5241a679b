"""The commands, one a module: each adds its arguments and runs. Here is what they share."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from rich.console import Console

    from ..problem import Unreadable

CANNOT = 2
HOUSE_HELP = "run the rule modules that a policy names: they are code"
Commands = Any  # argparse gives its subparsers no public type


def add_common(parser: argparse.ArgumentParser) -> None:
    """The arguments of every command that reads a build."""
    parser.add_argument("--policy", metavar="FILE", help="the policy to go by")
    parser.add_argument(
        "--catalog", action="append", default=[], metavar="FILE", help="a catalog to use as well"
    )
    parser.add_argument(
        "--root", metavar="FOLDER", help="no path in a policy may leave it (default: its folder)"
    )


def console(out: Any = None) -> Console:
    """A console that takes no text for markup."""
    from rich.console import Console

    return Console(file=out or sys.stdout, markup=False, highlight=False, emoji=False)


def cannot(error: Unreadable) -> int:
    """Say on standard error what cannot be read; the exit status for it."""
    for problem in error.problems:
        place = f":{problem.line}:{problem.column}" if problem.line is not None else ""
        print(f"riglint: {problem.file}{place}: {problem.message}", file=sys.stderr)
    return CANNOT


def write_whole(file: str, write: Callable[[TextIO], None]) -> int:
    """Write a file, or standard output where it has no name; 0, or the exit status if it fails.

    A reader never sees half a file, and an old one stands until the new one is whole.
    """
    if not file:
        write(sys.stdout)
        return 0
    target = Path(file)
    half = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with half.open("w", encoding="utf-8") as out:
            write(out)
        half.replace(target)
    except BrokenPipeError:
        raise
    except OSError as error:
        print(f"riglint: {file} cannot be written: {error.strerror}", file=sys.stderr)
        return CANNOT
    return 0


def print_json(data: Any, out: TextIO) -> None:
    """Data as JSON, in characters that the stream can take."""
    import json

    json.dump(data, out, indent=1, ensure_ascii=not _speaks_unicode(out))
    out.write("\n")


def _speaks_unicode(out: TextIO) -> bool:
    return "utf" in (getattr(out, "encoding", None) or "utf-8").lower()
