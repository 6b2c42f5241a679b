"""One sling made: its certificate and inspections, against the build that it was made to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from attrs import field, frozen

from .finding import Finding, Key, Unstated
from .model import Inspection, Measured, RecordFile
from .problem import Problem
from .quantities import METRIC_UNITS, Units
from .sling import Part, Sling
from .source import Document, nearest
from .stock import finding_at


@frozen(eq=False)
class Record:
    """A record with the sling of its build; `sling` is None where no build was found.

    `searched_all` is False where only a part of the library was looked through.
    """

    content: RecordFile = field(repr=False)
    document: Document = field(repr=False)
    build: Sling | None = field(repr=False)
    searched_all: bool = True

    @property
    def serial(self) -> str:
        """The serial number on the tag."""
        return self.content.record.serial

    @property
    def path(self) -> str:
        """The serial number: where findings about the record are."""
        return self.content.record.serial

    @property
    def key(self) -> Key:
        """Where its head stands in the file."""
        return ("record",)

    @property
    def sling(self) -> Sling:
        """The sling of the record's build; raises Unstated where no build was found."""
        if self.build is None:
            name = self.content.record.build
            raise Unstated("build", self.path, why=f"the build {name} was not found")
        return self.build

    @property
    def units(self) -> Units:
        """The units of its build; metric where that was not found."""
        return self.build.units if self.build is not None else METRIC_UNITS

    @property
    def inspections(self) -> tuple[tuple[int, Inspection], ...]:
        """The inspections with their places in the file, the newest first."""
        return tuple(sorted(enumerate(self.content.inspection), key=_newest_first))

    def measurements(self) -> Iterator[Measurement]:
        """The newest measurement of each part. Raises Unstated where no build was found."""
        parts = places(self.sling)
        seen: set[str] = set()
        for index, inspection in self.inspections:
            for place, measured in enumerate(inspection.measured):
                if measured.part in seen or measured.part not in parts:
                    continue
                seen.add(measured.part)
                key = ("inspection", index, "measured", place)
                yield Measurement(self, inspection, measured, parts[measured.part], key)

    def unknown_parts(self) -> Iterator[tuple[Key, str, str | None]]:
        """The measured parts that the sling does not have: key, name and the nearest known."""
        parts = places(self.sling)
        for index, inspection in enumerate(self.content.inspection):
            for place, measured in enumerate(inspection.measured):
                if measured.part not in parts:
                    key = ("inspection", index, "measured", place, "part")
                    yield key, measured.part, nearest(measured.part, parts)

    def unknown(self) -> Iterator[Problem]:
        """A problem for each measured part that the sling does not have, where it was found."""
        for key, name, close in self.unknown_parts() if self.build is not None else ():
            hint = f"; the nearest is {close}" if close else ""
            text = f"the build {self.sling.id} has no part {name[:60]}{hint}"
            yield self.document.problem(key, text)

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about this record; see `Part.finding`."""
        return finding_at(self, self.units, message, facts)


@frozen(eq=False)
class Measurement:
    """What an inspection measured of one part; `part` is that part as built."""

    record: Record = field(repr=False)
    inspection: Inspection = field(repr=False)
    measured: Measured
    part: Part = field(repr=False)
    key: Key = field(repr=False)

    @property
    def path(self) -> str:
        """The part that was measured: where findings about it are."""
        return self.measured.part

    @property
    def sling(self) -> Sling:
        """The sling of the record's build; raises Unstated where no build was found."""
        return self.record.sling

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding at the measured part; see `Part.finding`."""
        return finding_at(self, self.record.units, message, facts)


def _newest_first(numbered: tuple[int, Inspection]) -> tuple[int, int]:
    index, inspection = numbered
    return -inspection.on.toordinal(), -index


def places(sling: Sling) -> dict[str, Part]:
    """Every part by its path, those of identical legs by theirs too."""
    return {path: part for part in sling.parts for path in (part.path, *part.also)}
