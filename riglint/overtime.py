"""A time limit for rules, which stops a loop in Python wherever it runs.

In the main thread an interval timer interrupts the rule, and with it what C code checks for signals
(a regular expression, a sleep). In any other thread, or where the program has a use of its own
for SIGALRM, a watching thread raises in the rule's thread as soon as that runs Python again; it
does not get the better of a rule that catches everything in a loop, as the timer does. A call into
C that never comes back can be stopped by neither: that takes a process of its own.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from itertools import cycle
from time import monotonic
from types import FrameType, TracebackType
from typing import Any, Self

# In seconds; a rule is stopped at the first tick past its time.
SHORTEST_TICK, LONGEST_TICK = 0.01, 0.25
# For a rule that goes on all the same. What is outside its `try` takes it microseconds, how many
# depends on the machine: one tick that suits all there is not.
OFTEN = (0.000002, 0.000005, 0.00001, 0.00002, 0.00005, 0.0002)


class Overtime(BaseException):
    """Raised inside a rule that takes too long; no Exception, so that rules do not catch it."""


class Watch(AbstractContextManager["Watch"]):
    """Watches one rule after the other, of one thread."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.tick = min(max(seconds / 4, SHORTEST_TICK), LONGEST_TICK)
        self.running, self.began = False, 0.0

    def run(self, work: Callable[..., None], *arguments: Any) -> Overtime | None:
        """Does some work of a rule; what stopped it, or None where it ended in time."""
        try:
            try:
                self.begin()
                work(*arguments)
            finally:
                self.end()
        except Overtime as error:  # in the rule, or once more on its way here
            self.end()
            return error
        return None

    @property
    def overdue(self) -> bool:
        return self.running and monotonic() - self.began >= self.seconds

    def begin(self) -> None:
        """A rule starts."""
        self.began = monotonic()
        self.running = True

    def end(self) -> None:
        """The rule has ended, or was stopped: nothing is raised any more."""
        self.running = False


class _Alarm(Watch):
    """By the process's interval timer; for the main thread only.

    A rule that catches what is raised is rung at so often that it strikes outside its `try` too.
    """

    rung = False
    often = cycle(OFTEN)

    def __enter__(self) -> Self:
        self.before: Any = signal.signal(signal.SIGALRM, self.ring)
        signal.setitimer(signal.ITIMER_REAL, self.tick, self.tick)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, self.before)

    def ring(self, _: int, frame: FrameType | None) -> None:
        if self.overdue and not _is_ours(frame):
            if self.rung:
                signal.setitimer(signal.ITIMER_REAL, next(self.often), OFTEN[-1])
            self.rung = True
            raise Overtime

    def end(self) -> None:
        self.running = False
        if self.rung:
            self.rung = False
            signal.setitimer(signal.ITIMER_REAL, self.tick, self.tick)


class _Watcher(Watch):
    """By a thread that looks at the clock and raises in the watched one."""

    def __enter__(self) -> Self:
        self.watched, self.fired = threading.get_ident(), False
        self.lock, self.over = threading.Lock(), threading.Event()
        self.thread = threading.Thread(target=self.look, name="riglint rule time", daemon=True)
        self.thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.over.set()
        self.thread.join()

    def look(self) -> None:
        while not self.over.wait(self.tick):
            with self.lock:
                if self.overdue:
                    self.fired = True
                    _raise_in(self.watched, Overtime)

    def end(self) -> None:
        with self.lock:
            self.running = False
            if self.fired:  # and not arrived yet: take it back
                self.fired = False
                _raise_in(self.watched, None)


def _is_ours(frame: FrameType | None) -> bool:
    return frame is not None and frame.f_code.co_filename == __file__


def _raise_in(thread: int, error: type[BaseException] | None) -> None:
    """Have a thread raise an exception when it next runs Python; None takes back a waiting one."""
    import ctypes

    given = ctypes.py_object(error) if error is not None else None
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), given)


def watch_for(seconds: float) -> Watch:
    """A watch for rules of this thread, each of which may take so many seconds."""
    return _Alarm(seconds) if _alarm_is_free() else _Watcher(seconds)


def _alarm_is_free() -> bool:
    return (
        hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
        and signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
        and signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)
    )
