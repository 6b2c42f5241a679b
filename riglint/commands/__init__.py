"""The commands, one a module: each adds its arguments and runs. Here is what they share."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TextIO

from ..problem import Problem, Unreadable
from ..reports.plain import clean, console, print_json

__all__ = [
    "CANNOT",
    "add_common",
    "cannot",
    "console",
    "print_json",
    "say_problems",
    "write_whole",
]

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


def cannot(error: Unreadable) -> int:
    """Say on standard error what cannot be read; the exit status for it."""
    return say_problems(error.problems)


def say_problems(problems: Iterable[Problem]) -> int:
    """Say problems on standard error; the exit status for them."""
    for problem in problems:
        print(clean(f"riglint: {problem.place}: {problem.message}"), file=sys.stderr)
    return CANNOT


def write_whole(file: str, write: Callable[[TextIO], None]) -> int:
    """Write a file, or standard output where it has no name; 0, or the exit status if it fails.

    A reader never sees half a file, and an old one stands until the new one is whole. What a
    stream cannot encode, half a character in a file's name say, is written as an escape.
    """
    if not file:
        if isinstance(sys.stdout, io.TextIOWrapper):
            sys.stdout.reconfigure(errors="backslashreplace")
        write(sys.stdout)
        return 0
    try:
        _put(Path(file), write)
    except BrokenPipeError:
        raise
    except OSError as error:
        print(f"riglint: {clean(file)} cannot be written: {error.strerror}", file=sys.stderr)
        return CANNOT
    return 0


def _put(target: Path, write: Callable[[TextIO], None]) -> None:
    if target.exists() and not target.is_file():  # a pipe or a device: nothing to put in place
        with target.open("w", encoding="utf-8", errors="backslashreplace") as out:
            write(out)
        return
    half = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with half.open("w", encoding="utf-8", errors="backslashreplace") as out:
            write(out)
        half.replace(target)
    finally:
        half.unlink(missing_ok=True)
