"""What could not be read or checked: a file, a table, a rule, a plug-in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from attrs import frozen

MOST_PROBLEMS = 50  # of one file: nobody reads more, and to look for what was meant takes long
MORE_PROBLEMS = f"more than {MOST_PROBLEMS} faults; the rest is not listed"


@frozen
class Problem:
    """One thing that riglint could not read or check, and why.

    `line` and `column` count from 1, columns in Unicode code points; both are
    None where the problem has no place in a file.
    """

    file: str
    message: str
    line: int | None = None
    column: int | None = None

    @property
    def place(self) -> str:
        """The file with line and column, as far as there are any: `file:line:column`."""
        return self.file if self.line is None else f"{self.file}:{self.line}:{self.column}"


class RiglintError(Exception):
    """The base of `Unreadable`, of `Unstated`, and of what a text that is no quantity raises.

    An argument of a wrong kind or value is a TypeError or ValueError as anywhere.
    """


class Unreadable(RiglintError):
    """Raised while reading a file; `problems` are all that were found in it."""

    problems: tuple[Problem, ...]

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems

    def __reduce__(self) -> tuple[type[Unreadable], tuple[Problem, ...]]:
        return type(self), self.problems  # an exception travels by its message else


def first_of(problems: Iterable[Problem], file: str) -> Iterator[Problem]:
    """As many problems of a file as are listed; of the rest it is said that there are more."""
    for count, problem in enumerate(problems):
        if count == MOST_PROBLEMS:
            yield Problem(file, MORE_PROBLEMS)
            return
        yield problem


MOST_SAID = 300


def said(error: BaseException) -> str:
    """An exception's kind and message in one line, whatever it is made of."""
    try:
        text = " ".join(str(error).split())
    except BaseException as worse:
        text = f"its message cannot be shown ({type(worse).__name__})"
    text = text if len(text) <= MOST_SAID else text[: MOST_SAID - 3] + "..."
    return f"{type(error).__name__}: {text}" if text else type(error).__name__


def is_interrupt(error: BaseException) -> bool:
    """Whether someone stops the program (Ctrl-C), and it is no KeyboardInterrupt of the code's own.

    One of its own comes from a `raise` in the code; one that was pressed arrives between any two
    of its steps, and is what went before where the code catches it and raises another.
    """
    chain: list[BaseException] = []
    one: BaseException | None = error
    while isinstance(one, KeyboardInterrupt) and one not in chain:
        if not _is_raised_in_code(one):
            return True
        chain.append(one)
        one = one.__context__
    return False


def _is_raised_in_code(error: BaseException) -> bool:
    from opcode import opmap

    last = error.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    return (
        last is not None and last.tb_frame.f_code.co_code[last.tb_lasti] == opmap["RAISE_VARARGS"]
    )


OWN_FAULT = "a fault in riglint itself"


def own_fault(error: BaseException) -> str:
    """A fault of riglint's own in a line: a user can do nothing about it but report it."""
    import traceback
    from pathlib import PurePath

    last = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{PurePath(last.filename).name}, line {last.lineno}"
    return f"{OWN_FAULT}, please report it: {said(error)} ({place})"


def clean(text: str) -> str:
    """The text with control and direction characters shown as escapes."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
