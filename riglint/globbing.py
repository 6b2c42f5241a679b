"""The files that a pattern names, in a time that the folder sets and the pattern does not."""

from __future__ import annotations

import os
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path, PurePath

MOST_MATCHES = 1_000
MOST_STEPS = 16  # parts of a pattern
MOST_FOLDERS = 100_000


def matching(folder: Path, pattern: str, root: Path, *, folders: bool = False) -> list[Path]:
    """The files, or folders, that a pattern matches; `**` goes into no link and no hidden folder.

    Links are followed elsewhere: whether what they lead to may be read is for the caller to say,
    but no folder outside `root` is searched by `**`. Raises ValueError for a pattern that would
    take too long or matches too many files, NotImplementedError where it is no pattern.
    """
    steps = PurePath(pattern).parts
    if len(steps) > MOST_STEPS:
        raise ValueError(f"it has more than {MOST_STEPS} steps")
    if steps.count("**") > 1:
        raise ValueError("** stands in it more than once")
    found = []
    everywhere = _everywhere(folder, steps, root, folders) if "**" in steps else None
    for path in folder.glob(pattern) if everywhere is None else everywhere:
        if path.is_dir() if folders else path.is_file():
            found.append(path)
        if len(found) > MOST_MATCHES:
            raise ValueError(f"it matches more than {MOST_MATCHES:,} files")
    return found


def _everywhere(folder: Path, steps: tuple[str, ...], root: Path, wanted: bool) -> Iterator[Path]:
    """The files, or the folders that are wanted, that a pattern with one `**` matches."""
    before, after = steps[: steps.index("**")], steps[steps.index("**") + 1 :]
    starts = folder.glob("/".join(before)) if before else (folder,)
    count = 0
    for start in starts:
        if not start.resolve().is_relative_to(root.resolve()):
            continue
        for place, folders, files in os.walk(start):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            count += 1
            if count > MOST_FOLDERS:
                raise ValueError(f"it searches more than {MOST_FOLDERS:,} folders")
            for name in folders if wanted else sorted(files):
                path = Path(place, name)
                tail = path.relative_to(start).parts[-len(after) :]
                if after and len(tail) == len(after) and all(map(fnmatchcase, tail, after)):
                    yield path
