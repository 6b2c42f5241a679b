"""The files that a pattern names, in a time that neither the folder nor the pattern sets."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path, PurePath

from .paths import is_file, is_folder, is_inside

MOST_MATCHES = 1_000
MOST_STEPS = 16  # parts of a pattern
MOST_SEEN = 100_000  # files and folders that one pattern is held against
_WILD = re.compile(r"[*?[]")


def matching(folder: Path, pattern: str, root: Path, *, folders: bool = False) -> list[Path]:
    """The files, or folders, that a pattern matches; `**` goes into no link and no hidden folder.

    Nothing outside `root` is searched; whether a match itself leads out is for the caller to say.
    Raises ValueError for what is no pattern, would take too long or matches too many files.
    """
    steps = PurePath(pattern).parts
    _refuse(steps)
    search, found = _Search(root, "**" in steps), []
    for path in search.below(folder, steps):
        if is_folder(path) if folders else is_file(path):
            found.append(path)
        if len(found) > MOST_MATCHES:
            raise ValueError(f"it matches more than {MOST_MATCHES:,} files")
    return found


def _refuse(steps: tuple[str, ...]) -> None:
    if not steps:
        raise ValueError("it is empty")
    if len(steps) > MOST_STEPS:
        raise ValueError(f"it has more than {MOST_STEPS} steps")
    if steps.count("**") > 1:
        raise ValueError("** stands in it more than once")
    wild = next((n for n, step in enumerate(steps) if _WILD.search(step)), len(steps))
    if ".." in steps[wild:]:
        raise ValueError(".. stands in it after a wildcard")


class _Search:
    """One pattern's way down the folders, which ends when it has seen enough."""

    def __init__(self, root: Path, everywhere: bool) -> None:
        self.root, self.everywhere, self.seen = root, everywhere, 0

    def below(self, place: Path, steps: tuple[str, ...]) -> Iterator[Path]:
        if not steps:
            yield place
            return
        step, rest = steps[0], steps[1:]
        if not _WILD.search(step):
            yield from self.through(place / step, rest)
        elif step == "**":
            for each in self.folders(place):
                yield from self.below(each, rest)
        else:
            for name in self.names(place):
                if fnmatchcase(name, step):
                    yield from self.through(place / name, rest)

    def through(self, place: Path, steps: tuple[str, ...]) -> Iterator[Path]:
        """What lies below a place; a link to a folder outside hides nothing in silence."""
        if steps and place.is_symlink() and is_folder(place) and not is_inside(place, self.root):
            raise ValueError(f"{place.name} leads out of the policy's folder")
        yield from self.below(place, steps)

    def folders(self, start: Path) -> Iterator[Path]:
        """A folder and all below it, but for hidden ones and links."""
        for place, folders, files in os.walk(start):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            self.count(1 + len(files))
            yield Path(place)

    def names(self, place: Path) -> list[str]:
        try:
            names = sorted(os.listdir(place))  # noqa: PTH208 (names, and quickly)
        except OSError:  # no folder, or none that may be read
            return []
        self.count(1 + len(names))
        hides = self.everywhere
        return [name for name in names if not (hides and name.startswith("."))]

    def count(self, seen: int) -> None:
        self.seen += seen
        if self.seen > MOST_SEEN:
            raise ValueError(f"it searches more than {MOST_SEEN:,} files and folders")
