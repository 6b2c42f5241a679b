"""Files as relative URIs: nothing of the machine's own folders goes into a report."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

from ..paths import absolute, is_there
from ..report import Report


class Places:
    """The files of a run, in order, relative to one folder.

    That folder is the current one, or, where a file lies outside it, the nearest that holds all.
    """

    def __init__(self, files: Iterable[str]) -> None:
        full = {file: str(Path(os.sep, absolute(file))) for file in dict.fromkeys(files)}
        self.base = absolute("")  # nothing where that folder has gone
        if not self.base or not all(Path(one).is_relative_to(self.base) for one in full.values()):
            folders = [str(Path(place).parent) for place in full.values()]
            self.base = os.path.commonpath(folders or [os.sep])
        self.uris = {file: _uri(place, self.base) for file, place in full.items()}
        self.unique = tuple(dict.fromkeys(self.uris.values()))
        self.index = {uri: n for n, uri in enumerate(self.unique)}

    def words(self, text: str) -> str:
        """A text without the folders above the base."""
        return text.replace(self.base.rstrip(os.sep) + os.sep, "")


def files_of(report: Report) -> list[str]:
    """Every file that a report speaks of."""
    subjects = [subject.file for subject in report.subjects if subject.file]
    found = [placed.file for one in report.judgments for placed in one.findings]
    faulty = [problem.file for problem in report.problems if is_file(problem.file, problem.line)]
    return [*subjects, *found, *faulty, *(one.file for one in report.skipped)]


def is_file(name: str, line: int | None) -> bool:
    """Whether a problem is of a file, and not of a rule pack or a report."""
    return line is not None or name.endswith(".toml") or is_there(name)


def _uri(place: str, base: str) -> str:
    relative = os.path.relpath(place, base).replace(os.sep, "/")
    return quote(os.fsencode(relative), safe="/")
