"""What rules and rule packs print goes to standard error: standard output is the report's."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout, suppress


@contextmanager
def aside() -> Iterator[None]:
    """A context in which all that is printed, by workers and programs started too, goes aside."""
    with suppress(OSError):  # what cannot be written is said when the report is
        sys.stdout.flush()
    kept = None
    with suppress(OSError):  # one of the two is closed: there is nothing to divert, or nowhere to
        kept = os.dup(1)
        os.dup2(2, 1)
    try:
        with redirect_stdout(sys.stderr):
            yield
    finally:
        if sys.__stdout__ is not None:
            with suppress(OSError, ValueError):
                sys.__stdout__.flush()
        if kept is not None:
            os.dup2(kept, 1)
            os.close(kept)
