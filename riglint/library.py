"""The library as a subject: what was gathered from each build, to be judged together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from attrs import field, frozen

from .finding import Finding, Key
from .quantities import METRIC_UNITS
from .stock import Catalog


@frozen
class Entry:
    """What a rule gathered from one build, as plain data, and where the build is."""

    id: str
    file: str
    data: Any = field(default=None, repr=False)
    line: int = 1
    key: Key = ("assembly", "id")


@frozen
class Library:
    """All builds of a run in the order of their ids and files, and the catalogs in use.

    `whole` is False where only a part of the library was checked.
    """

    entries: tuple[Entry, ...]
    catalogs: tuple[Catalog, ...] = ()
    whole: bool = True

    path = "library"
    also: tuple[str, ...] = ()

    def groups(self) -> Iterable[tuple[Entry, ...]]:
        """The entries whose data are equal, where there are two or more."""
        alike: dict[Any, list[Entry]] = {}
        for entry in self.entries:
            alike.setdefault(entry.data, []).append(entry)
        return (tuple(group) for group in alike.values() if len(group) > 1)

    def finding(self, entry: Entry, message: str, **facts: Any) -> Finding:
        """A finding at one build of the library; see `Part.finding`."""
        return Finding(
            template=message,
            part=entry.id,
            key=facts.pop("key", entry.key),
            units=METRIC_UNITS,
            file=entry.file,
            line=entry.line,
            found=facts.pop("found", None),
            limit=facts.pop("limit", None),
            remedy_template=facts.pop("remedy", ""),
            level=facts.pop("level", None),
            facts=facts,
        )
