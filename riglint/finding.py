"""Findings and verdicts: what a rule says of a subject, as data first and text last."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any, Literal

from attrs import field, frozen

from .model import Level
from .quantities import Angle, Length, Load, Offset, Quantity, Temperature, Units

Verdict = Literal["fail", "open", "pass", "notApplicable"]
WORST_FIRST: tuple[Verdict, ...] = ("fail", "open", "pass", "notApplicable")
RANK: dict[Verdict, int] = {verdict: -n for n, verdict in enumerate(WORST_FIRST)}
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
Key = tuple[str | int, ...]


class Unstated(Exception):
    """A datum that is needed and not given: the rule that asked for it answers `open`.

    `datum` is the name of what is missing, `of` what should state it (a part's path, an item,
    or the build), `item` the catalog item's id where a sheet leaves it out, `why` a sentence
    where the datum is given but not enough.
    """

    def __init__(
        self, datum: str, of: str = "", item: str | None = None, key: str = "", why: str = ""
    ) -> None:
        super().__init__(datum, of, item, key, why)
        self.datum, self.of, self.item, self.key, self.why = datum, of, item, key, why

    def __str__(self) -> str:
        if self.why:
            return self.why
        return f"{self.item or self.of or 'the build'} does not state {self.datum}"


@frozen
class Finding:
    """One fault at one place, with its figure, its limit and what repairs it.

    `found` and `limit` are typed quantities, numbers or texts; `ratio` is found over limit
    where both are numbers. `key` is the path to the datum in the TOML document, `file` and
    `line` say where it is, if in another document than the judged one; `permit` is the permit
    that covers it, `known` the list of known findings that holds it.
    """

    template: str
    part: str
    key: Key
    units: Units = field(repr=False)
    facts: Mapping[str, Any] = field(factory=dict, repr=False)
    found: Any = None
    limit: Any = None
    remedy_template: str = ""
    also: tuple[str, ...] = ()
    rule: str = ""
    level: Level | None = None
    sources: tuple[str, ...] = ()
    basis: str = ""
    family: str = ""
    file: str | None = None
    line: int = 1
    permit: str | None = None
    known: str | None = None

    @property
    def message(self) -> str:
        """The plain-language sentence, in the units of the build."""
        return self._render(self.template)

    @property
    def remedy(self) -> str:
        """What repairs it, in the units of the build."""
        return self._render(self.remedy_template)

    @property
    def stands(self) -> bool:
        """Whether it counts: no permit covers it, and it is not known."""
        return self.permit is None and self.known is None

    @property
    def ratio(self) -> float | None:
        """Found over limit; None where they are not numbers."""
        if isinstance(self.found, int | float) and isinstance(self.limit, int | float):
            return float(self.found) / float(self.limit) if self.limit else None
        return None

    def judged_by(self, rule: str, level: Level, sources: tuple[str, ...]) -> Finding:
        """The finding with the rule's name and sources, at the lower of the two levels.

        All of it is plain then: nothing of the rule's own acts later, in a report. Raises KeyError
        where a template names a fact that was not given, TypeError for a field of a wrong kind,
        ValueError for a number that no report can hold.
        """
        if self.level is not None:
            level = max(level, self.level, key=LEVELS.index)
        own = _texts("sources", self.sources) or sources
        made = Finding(
            _text("template", self.template),
            _text("part", self.part),
            tuple(map(_step, self.key)),
            self.units,
            {_text("fact's name", name): _plain(value) for name, value in self.facts.items()},
            _plain(self.found),
            _plain(self.limit),
            _text("remedy_template", self.remedy_template),
            _texts("also", self.also),
            rule,
            level,
            of_family(of_basis(own, self.basis), self.family),
            _text("basis", self.basis),
            _text("family", self.family),
            None if self.file is None else _text("file", self.file),
            _line(self.line),
        )
        made._render(made.template + made.remedy_template)
        return made

    def _repr_html_(self) -> str:
        """A table for notebooks."""
        from .markup import table

        facts = {
            "part": ", ".join((self.part, *self.also)),
            "finding": self.message,
            "repair": self.remedy,
            "source": "; ".join(self.sources),
            "permit": self.permit,
        }
        caption = f"{self.level or 'finding'}: {self.rule}"
        return table(caption, ("", ""), [item for item in facts.items() if item[1]])

    def _render(self, template: str) -> str:
        facts = {"part": self.part, "found": self.found, "limit": self.limit, **self.facts}
        shown = {name: show(value, self.units) for name, value in facts.items()}
        return template.format_map(shown)


OF_BASIS = {
    "US": ("29 CFR", "ASME", "ASTM", "OSHA", "WAC", "DOE-STD", "Mich"),
    "EN": ("EN ", "DGUV", "DIN ", "2006/42/EC", "BG BAU"),
}


OF_FAMILY = {
    "chain": (
        "EN 818",
        "ASME B30.9-2010, 9-1",
        "ASME B30.9, Table 9-1",
        "ASTM A906",
        "ASTM A391",
        "ASTM A973",
        "OSHA, Guidance on Safe Sling Use, Table",
        "OSHA letter",
    ),
    "rope": ("EN 13414", "WAC 296-24-29425"),
    "textile": ("EN 1492", "29 CFR 1926.251(e)", "WAC 296-155-33825"),
}


def of_family(sources: tuple[str, ...], family: str) -> tuple[str, ...]:
    """The sources that speak for slings of a family, or for any; all where none would be left."""
    others = [
        prefix for name, prefixes in OF_FAMILY.items() if name != family for prefix in prefixes
    ]
    kept = tuple(one for one in sources if not one.startswith(tuple(others)))
    return kept if family and kept else sources


def of_basis(sources: tuple[str, ...], basis: str) -> tuple[str, ...]:
    """The sources that speak for a basis, or for any; all of them where none would be left."""
    others = [prefix for name, prefixes in OF_BASIS.items() if name != basis for prefix in prefixes]
    kept = tuple(one for one in sources if not one.startswith(tuple(others)))
    return kept if basis and kept else sources


def _plain(value: Any) -> Any:
    """A fact of plain kind: a part is named by its path, and what is unknown by its own text."""
    kind = type(value)
    if kind in _PLAIN:
        return value
    if isinstance(value, int | float):
        if kind not in _NUMBERS:  # those of other libraries
            value = int.__int__(value) if isinstance(value, int) else float.__float__(value)
        if not -_LARGEST <= value <= _LARGEST:
            raise ValueError("a number of the finding is not finite, or too large to be shown")
        return value
    if isinstance(value, tuple | list):
        return tuple(map(_plain, value))
    return str.__str__(value if isinstance(value, str) else str(getattr(value, "path", value)))


_PLAIN = frozenset({str, bool, type(None), datetime.date})
_NUMBERS = frozenset({int, float, Angle, Length, Load, Offset, Temperature})
_LARGEST = 2.0**63


def _text(name: str, value: Any) -> str:
    if isinstance(value, str):
        return str.__str__(value)
    raise TypeError(f"the {name} of a finding is a text, this is {type(value).__name__}")


def _texts(name: str, values: Any) -> tuple[str, ...]:
    if not isinstance(values, tuple | list):
        raise TypeError(f"the {name} of a finding are texts, this is {type(values).__name__}")
    return tuple(_text(name, value) for value in values)


def _step(value: Any) -> str | int:
    return value if type(value) is int else _text("key", value)


def _line(value: Any) -> int:
    if type(value) is int:
        return value
    raise TypeError(f"the line of a finding is a number, this is {type(value).__name__}")


def show(value: Any, units: Units) -> str:
    """A fact as a person reads it: quantities with units, parts by their path."""
    if isinstance(value, Quantity):
        return units.show(value)
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, tuple | list):
        return ", ".join(show(one, units) for one in value)
    return str(getattr(value, "path", value))
