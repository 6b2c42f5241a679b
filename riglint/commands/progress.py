"""A line on standard error that says how far a long run is, for a person who waits."""

from __future__ import annotations

import sys
import time
from contextlib import suppress
from typing import TextIO

QUIET_S = 1.0  # a run that takes no longer says nothing
PAUSE_S = 0.1


class ProgressLine:
    """Shows how many files are done, from the second second on, where a terminal reads it."""

    def __init__(self, out: TextIO | None = None) -> None:
        self.out = out or sys.stderr
        self.next = time.monotonic() + QUIET_S if self.out.isatty() else float("inf")
        self.shown = 0

    def __call__(self, done: int, total: int) -> None:
        now = time.monotonic()
        if now < self.next:
            return
        self.next = now + PAUSE_S
        line = f"checked {done:,} of {total:,} files"
        self._put(line.ljust(self.shown))
        self.shown = len(line)

    def clear(self) -> None:
        """Take the line away."""
        if self.shown:
            self._put(" " * self.shown)
            self._put("")

    def _put(self, line: str) -> None:
        with suppress(OSError):  # a terminal that has gone
            self.out.write(f"\r{line}")
            self.out.flush()
