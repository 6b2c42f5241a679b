"""Which files under a path are builds, catalogs and records, and why others are skipped."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from attrs import field, frozen

from .paths import is_file, is_folder, is_inside
from .policy import POLICY_NAME, PROJECT_NAME
from .problem import Problem, Unreadable
from .reading import kind_of
from .source import Document, read_document

MOST_FILES = 100_000
KNOWN = "a list of known findings; it is used by --known"
NO_KIND = "no [assembly], [catalog] or [record] table: not a file of riglint's"


@frozen
class Skipped:
    """A file that was passed over, and why."""

    file: str
    reason: str


@frozen
class Found:
    """A file to check: an assembly, a catalog or a record, as read."""

    path: Path
    kind: str
    document: Document = field(repr=False)


@frozen
class Files:
    found: tuple[Found, ...]
    skipped: tuple[Skipped, ...]
    problems: tuple[Problem, ...]


def find_files(path: Path, root: Path | None = None) -> Files:
    """The builds, catalogs and records at a path: the file, or all TOML files under a folder.

    A link in a folder may not lead out of `root` (default: the folder). In a folder, files of
    another kind are skipped with the reason; a file that is named and is of no kind that riglint
    reads is a problem.
    """
    named = not is_folder(path)
    if named and path.name == POLICY_NAME and is_file(path):
        return Files((), (), ())  # the run reads it as the policy that it is
    found: list[Found] = []
    skipped: list[Skipped] = []
    problems: list[Problem] = []
    for file in [path] if named else walk(path, problems):
        if not named and file.name in (POLICY_NAME, PROJECT_NAME):
            continue
        if not named and file.is_symlink() and not is_inside(file, root or path):
            problems.append(Problem(str(file), "this link leads out of the library"))
            continue
        try:
            document = read_document(file)
        except Unreadable as error:
            problems += error.problems
            continue
        kind = kind_of(document.values)
        if kind is not None:
            found.append(Found(file, kind, document))
            continue
        reason = KNOWN if "known" in document.values else NO_KIND
        if named:
            problems.append(Problem(str(file), reason))
        else:
            skipped.append(Skipped(str(file), reason))
    if not found and not problems and not named:
        problems.append(Problem(str(path), "no build, catalog or record lies in this folder"))
    return Files(tuple(found), tuple(skipped), tuple(problems))


def walk(folder: Path, problems: list[Problem]) -> Iterator[Path]:
    """The TOML files under a folder in a fixed order; hidden folders and links are passed by."""
    count = 0
    for place, folders, files in os.walk(folder, onerror=_collect(problems)):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if not name.endswith(".toml"):
                continue
            count += 1
            if count > MOST_FILES:
                problems.append(Problem(str(folder), f"more than {MOST_FILES:,} TOML files"))
                return
            yield Path(place, name)


def _collect(problems: list[Problem]):  # type: ignore[no-untyped-def]
    def note(error: OSError) -> None:
        problems.append(Problem(str(error.filename), error.strerror or "cannot be read"))

    return note
