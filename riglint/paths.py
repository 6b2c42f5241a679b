"""Paths of strangers: links in a circle, impossible names and a folder now gone raise nothing."""

from __future__ import annotations

import os
from pathlib import Path


def real(path: Path) -> Path:
    """The absolute path without links, as far as they lead anywhere.

    A name that no file can have stays as it is, and so does a relative one where the working
    folder has gone: reading it says so.
    """
    try:
        return Path(os.path.realpath(path))
    except (OSError, ValueError):
        return path


def absolute(path: str | Path) -> str:
    """The name that all spellings of a path share, links left as they are; else as `real`."""
    try:
        return os.path.abspath(path)
    except OSError:
        return str(path)


def is_inside(path: Path, root: Path) -> bool:
    """Whether a path, its links followed, lies in a folder."""
    return real(path).is_relative_to(real(root))


def is_file(path: Path) -> bool:
    return os.path.isfile(path)  # noqa: PTH113 (Path's own raises for a name that is too long)


def is_folder(path: Path) -> bool:
    return os.path.isdir(path)  # noqa: PTH112 (as above)


def is_there(path: str | Path) -> bool:
    return os.path.exists(path)  # noqa: PTH110 (as above)
