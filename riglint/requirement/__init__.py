"""In-house rules as data: a policy's `[[requirement]]` tables made into rules like any other.

No code of the policy runs. A datum is read as its field in the formats is: a length as a length, a
grade as a grade. A datum that a sheet leaves out is answered `open`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from attrs import frozen

from ..finding import Finding, Unstated
from ..model import Requirement
from ..rule import Context, Rule
from ..sling import Part, Sling
from ..stock import Item
from .conditions import OPERATORS, Condition, Fault, plain_text, read_conditions
from .examples import Examples, senseless
from .facts import OF_SLING

__all__ = ["Fault", "Faulty", "requirement_rule"]

ABOUT: Mapping[str, type] = {"part": Part, "item": Item, "sling": Sling}
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class Faulty(ValueError):
    """A requirement that cannot be used; carries every fault of it."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("; ".join(fault.message for fault in faults))
        self.faults = faults


@frozen
class Selects:
    """Whether a requirement applies to a subject."""

    conditions: tuple[Condition, ...]

    def __call__(self, subject: Any) -> bool:
        """False where one stated datum is otherwise; raises Unstated where it cannot be told."""
        gap: Unstated | None = None
        for condition in self.conditions:
            try:
                if not _holds(condition, subject, None)[0]:
                    return False
            except Unstated as error:
                gap = gap or error
        if gap is not None:
            raise gap
        return True


def _holds(condition: Condition, subject: Any, ctx: Context | None) -> tuple[bool, Any]:
    value = condition.fact.get(subject, ctx)
    try:
        return condition.holds(value), value
    except ValueError as error:
        raise Unstated(condition.datum, subject.path, why=f"{subject.path}: {error}") from None


@frozen
class Requires:
    """The check of a requirement: a finding for each datum that is not as wanted."""

    conditions: tuple[Condition, ...]

    def __call__(self, subject: Any, ctx: Context) -> Iterator[Finding]:
        gap: Unstated | None = None
        for condition in self.conditions:
            try:
                holds, found = _holds(condition, subject, ctx)
            except Unstated as error:
                if condition.operator == "stated":
                    yield _not_stated(condition, subject)
                else:
                    gap = gap or error
                continue
            if not holds:
                yield _not_as_wanted(condition, subject, found)
        if gap is not None:
            raise gap


def _not_stated(condition: Condition, subject: Any) -> Finding:
    where = "the build" if condition.about == "sling" else "its sheet in the catalog"
    finding: Finding = subject.finding(
        "{part} does not state its {datum}; the house asks that it is stated",
        datum=condition.datum.replace("_", " "),
        remedy=f"State the {{datum}} in {where}.",
    )
    return finding


def _not_as_wanted(condition: Condition, subject: Any, found: Any) -> Finding:
    wanted = condition.wanted
    finding: Finding = subject.finding(
        _message(condition),
        found=_plain(found),
        limit=tuple(map(_plain, wanted)) if isinstance(wanted, tuple) else _plain(wanted),
        datum=condition.datum.replace("_", " "),
        is_so=_shown(subject, condition, found),
        asked=_shown(subject, condition, wanted),
        remedy=_remedy(condition),
    )
    return finding


def _message(condition: Condition) -> str:
    if condition.wanted is True:
        return "{part} has no {datum}; the house asks for one"
    if condition.wanted is False:
        return "{part} has a {datum}; the house asks for none"
    return "{datum} of {part}: {is_so}; the house " + OPERATORS[condition.operator]


def _remedy(condition: Condition) -> str:
    words = {
        "at_least": "at least {asked}",
        "at_most": "at most {asked}",
        "one_of": "one of {asked}",
        "not_one_of": "none of {asked}",
    }
    asked = words.get(condition.operator, "{asked}")
    if condition.about == "sling" or (condition.about == "part" and condition.datum in OF_SLING):
        return f"Change the build: {{datum}} {asked}."
    do = "Fit" if condition.about == "part" else "Stock"
    if isinstance(condition.wanted, bool):
        return f"{do} one {'with' if condition.wanted else 'without'} a {{datum}}."
    return f"{do} one whose {{datum}} is {asked}."


def _plain(value: Any) -> Any:
    return plain_text(value) if isinstance(value, bool) else value


def _shown(subject: Any, condition: Condition, value: Any) -> Any:
    """A value as the reader says it: a grade as its basis names it, a switch as yes or no."""
    if isinstance(value, tuple):
        return tuple(_shown(subject, condition, one) for one in value)
    if condition.datum == "grade" and condition.about == "part":
        return subject.sling.grade_name(value)
    return _plain(value)


def requirement_rule(written: Requirement, file: str) -> Rule:
    """The rule that a requirement stands for; `file` is the policy it is written in.

    Raises Faulty with everything that is wrong with it.
    """
    faults: list[Fault] = []
    if not NAME.fullmatch(written.name) or len(written.name) > 60:
        text = "a requirement is named in small letters, digits and hyphens, as top-links-not-light"
        faults.append(Fault(("name",), text))
    if not written.because.strip():
        faults.append(Fault(("because",), "because says why, in the house's own words"))
    selects = read_conditions(written.about, written.of, "of", faults)
    requires = read_conditions(written.about, written.must, "must", faults)
    if not written.must:
        faults.append(Fault(("must",), "must asks for nothing"))
    if not faults:
        faults += senseless(written.about, selects, requires)
    if faults:
        raise Faulty(faults)
    fails, repaired = Examples(written.about, selects, requires).texts()
    return Rule(
        name=written.name,
        about=ABOUT[written.about],
        level=written.level,
        title=f"House requirement on {_of_words(written.about, selects)}: "
        + ", ".join(condition.words for condition in requires),
        because=written.because,
        sources=(f"{written.because} ({file})",),
        check=Requires(requires),
        when=Selects(selects) if selects else None,
        judges_absence=any(condition.operator == "stated" for condition in requires),
        fails=fails,
        repaired=repaired,
    )


def _of_words(about: str, selects: tuple[Condition, ...]) -> str:
    said = ", ".join(condition.words for condition in selects)
    return f"each {about} of {said}" if said else f"every {about}"
