"""Deviation permits: leave to depart from a rule, for a part, a use and a limited time.

ISO 9000:2015, 3.12.6. Permits are applied after the rules have judged, never inside a rule.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from attrs import evolve, field, frozen

from .finding import Finding, Key
from .model import DeviationPermit
from .sling import Sling
from .stock import finding_at

REQUIRED = {"use": "use", "justification": "justification", "approved_by": "approver"}


@frozen
class Permit:
    """One permit of a build, with what it covers: the findings of its rule at its part."""

    written: DeviationPermit
    sling: Sling = field(repr=False)
    index: int
    waivable: bool
    expired: bool
    covers: tuple[Finding, ...] = ()

    @property
    def path(self) -> str:
        """The part that it is for, else the build: where findings about it are."""
        return self.written.part or self.sling.id

    @property
    def key(self) -> Key:
        """Where it stands in the build's file."""
        return ("deviation_permit", self.index)

    @property
    def missing(self) -> tuple[str, ...]:
        """What a permit must have and this one lacks, in words."""
        lacking = [
            word
            for name, word in REQUIRED.items()
            if not (getattr(self.written, name) or "").strip()
        ]
        if self.written.until is None and self.written.quantity is None:
            lacking.append("date or quantity")
        return tuple(lacking)

    @property
    def holds(self) -> bool:
        """Whether it permits what it covers."""
        return self.waivable and not self.expired and not self.missing

    @property
    def text(self) -> str:
        """For what, by whom and until when, in a line."""
        until = f"until {self.written.until}" if self.written.until else ""
        count = f"for {self.written.quantity}" if self.written.quantity else ""
        limits = " ".join(filter(None, (until, count)))
        return f"{self.written.use}; by {self.written.approved_by}, {limits}"

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about this permit; see `Part.finding`."""
        return finding_at(self, self.sling.units, message, facts)


def permits_of(
    sling: Sling,
    findings: Sequence[Finding],
    waivable: Callable[[str], bool],
    as_of: datetime.date,
    own_name: Callable[[str], str] = str,
) -> Iterator[Permit]:
    """The permits of a build with what each covers; `own_name` gives that of a renamed rule."""
    for index, written in enumerate(sling.build.deviation_permit):
        rule = own_name(written.rule)
        yield Permit(
            written,
            sling,
            index,
            waivable(rule),
            written.until is not None and written.until < as_of,
            tuple(finding for finding in findings if _covers(written, rule, finding)),
        )


def _covers(permit: DeviationPermit, rule: str, finding: Finding) -> bool:
    if rule != finding.rule:
        return False
    return permit.part is None or permit.part in (finding.part, *finding.also)


def permitted(findings: Sequence[Finding], permits: Sequence[Permit]) -> list[Finding]:
    """The findings, each marked with the permit that covers it where one holds."""
    marked = []
    for finding in findings:
        permit = next((p for p in permits if p.holds and finding in p.covers), None)
        marked.append(finding if permit is None else evolve(finding, permit=permit.text))
    return marked
