"""The commands, one a module: each adds its arguments and runs. Here is what they share."""

from __future__ import annotations

import argparse
import errno
import io
import os
import re
import stat
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
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
    "say",
    "say_problems",
    "settle",
    "write_whole",
]

CANNOT = 2
HOUSE_HELP = "run the rule modules that a policy names: they are code"
NUMBERS = {"stdout": 1, "stderr": 2}
OPEN_ALREADY = re.compile(r"/dev/(?P<name>stdout|stderr)|/(dev|proc/self)/fd/(?P<number>\d{1,9})")
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
        say(f"{problem.place}: {problem.message}")
    return CANNOT


def say(text: str) -> None:
    """Say a line on standard error, whatever it is made of; where that is gone, it stays unsaid."""
    try:
        print(clean(f"riglint: {text}"), file=sys.stderr, flush=True)
    except (OSError, ValueError):
        _let_go(sys.stderr)


def write_whole(file: str, write: Callable[[TextIO], None]) -> int:
    """Write a file, or standard output where it has no name; 0, or the exit status if it fails.

    A reader never sees half a file, and an old one stands until the new one is whole. What a
    stream cannot encode, half a character in a file's name say, is written as an escape. A reader
    who has seen enough and gone is no failure.
    """
    try:
        if file:
            _put(Path(file), write)
        else:
            _show(write)
    except BrokenPipeError:
        return 0
    except OSError as error:
        say(f"{file or 'standard output'} cannot be written: {error.strerror or error}")
        return CANNOT
    return 0


def settle() -> None:
    """Write out what waits in the standard streams, where it can be: Python complains at exit."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):  # ValueError: some code has closed it
            _let_go(stream)


def _show(write: Callable[[TextIO], None]) -> None:
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        write(sys.stdout)
        sys.stdout.flush()
    except OSError:
        _let_go(sys.stdout)
        raise


def _let_go(stream: TextIO) -> None:
    """Lead a stream that fails nowhere: Python would write the rest at exit, and complain."""
    with suppress(OSError, ValueError):  # one that is no file keeps nothing for the exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _put(target: Path, write: Callable[[TextIO], None]) -> None:
    stream = _stream(target)
    if stream is not None:
        with open(stream, "w", encoding="utf-8", errors="backslashreplace") as out:  # noqa: PTH123
            write(out)
        return
    # its name cannot be foreseen and it is opened only if new: no link laid out for it is followed
    half = target.with_name(f".riglint-{os.urandom(8).hex()}")
    try:
        with half.open("x", encoding="utf-8", errors="backslashreplace") as out:
            write(out)
        half.replace(target)
    finally:
        half.unlink(missing_ok=True)


def _stream(target: Path) -> int | Path | None:
    """What to write straight to: an open stream of this run, a device or a pipe; None for a file.

    A link at the file's name is replaced and never followed, so that a library cannot lead the
    output out of itself. Raises OSError for a folder or a socket, and a pipe that nothing reads.
    """
    open_already = OPEN_ALREADY.fullmatch(str(target))
    if open_already is not None:
        return os.dup(int(open_already["number"] or NUMBERS[open_already["name"]]))
    try:
        mode = target.lstat().st_mode
    except FileNotFoundError:
        return None
    except ValueError:
        raise OSError(errno.EINVAL, "no file can have this name") from None
    if stat.S_ISCHR(mode):
        return target
    if stat.S_ISFIFO(mode):
        return _pipe(target)
    if not (stat.S_ISREG(mode) or stat.S_ISLNK(mode)):
        raise OSError(errno.EINVAL, "it is there already and no file")
    return None


def _pipe(target: Path) -> int:
    try:  # without waiting: nobody may ever come to read
        pipe = os.open(target, os.O_WRONLY | os.O_NONBLOCK | os.O_NOFOLLOW)
    except OSError as error:
        if error.errno != errno.ENXIO:
            raise
        raise OSError(errno.ENXIO, "it is a pipe that nothing reads") from None
    os.set_blocking(pipe, True)
    return pipe
