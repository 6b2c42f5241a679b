"""Paths of strangers: links in a circle and impossible names raise nothing."""

from __future__ import annotations

import os
from pathlib import Path


def real(path: Path) -> Path:
    """The absolute path without links, as far as they lead anywhere.

    A name that no file can have stays as it is: reading it says so.
    """
    try:
        return Path(os.path.realpath(path))
    except ValueError:
        return path


def is_inside(path: Path, root: Path) -> bool:
    """Whether a path, its links followed, lies in a folder."""
    return real(path).is_relative_to(real(root))


def is_file(path: Path) -> bool:
    return os.path.isfile(path)  # noqa: PTH113 (Path's own raises for a name that is too long)


def is_folder(path: Path) -> bool:
    return os.path.isdir(path)  # noqa: PTH112 (as above)
