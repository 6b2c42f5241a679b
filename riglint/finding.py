"""Findings and verdicts: what a rule says of a subject, as data first and text last."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any, Literal

from attrs import evolve, field, frozen

from .model import Level
from .problem import RiglintError
from .quantities import Quantity, Units

Verdict = Literal["fail", "open", "pass", "notApplicable"]
WORST_FIRST: tuple[Verdict, ...] = ("fail", "open", "pass", "notApplicable")
RANK: dict[Verdict, int] = {verdict: -n for n, verdict in enumerate(WORST_FIRST)}
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
Key = tuple[str | int, ...]


class Unstated(RiglintError):
    """A datum that is needed and not given: the rule that asked for it answers `open`.

    `datum` is the name of what is missing, `of` what should state it (a part's path, an item,
    or the build), `item` the catalog item's id where a sheet leaves it out, `why` a sentence
    where the datum is given but not enough.
    """

    datum: str
    of: str
    item: str | None
    key: str
    why: str

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
        """Found over limit; None where they are not numbers, or their ratio is beyond all."""
        if not isinstance(self.found, int | float) or not isinstance(self.limit, int | float):
            return None
        ratio = float(self.found) / float(self.limit) if self.limit else None
        return ratio if ratio is None or isfinite(ratio) else None

    def judged_by(self, rule: str, level: Level, sources: tuple[str, ...]) -> Finding:
        """The finding with the rule's name and sources, at the lower of the two levels.

        Raises KeyError where a template names a fact that was not given.
        """
        self._render(self.template + self.remedy_template)
        if self.level is not None:
            level = max(level, self.level, key=LEVELS.index)
        given = of_family(of_basis(self.sources or sources, self.basis), self.family)
        return evolve(
            self,
            rule=rule,
            level=level,
            sources=given,
            permit=None,  # no rule permits its own findings
            known=None,
        )

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


def show(value: Any, units: Units) -> str:
    """A fact as a person reads it: quantities with units, parts by their path."""
    if isinstance(value, Quantity):
        return units.show(value)
    if isinstance(value, float):
        return f"{value:.4g}"
    if isinstance(value, tuple | list):
        return ", ".join(show(one, units) for one in value)
    return str(getattr(value, "path", value))
