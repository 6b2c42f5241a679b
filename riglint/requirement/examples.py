"""The smallest build or catalog that fails a requirement, and the one that meets it.

Values are tried on both sides of every limit, so that a requirement that nothing can meet, or that
nothing can fail, is found out too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from itertools import starmap
from typing import Any, Literal, get_args, get_origin, get_type_hints

import tomli_w
from attrs import field, frozen

from ..calculation.lengths import SOLD_BY_LENGTH
from ..model import GRADES, LEG_KINDS, Count, Factor, Grade, ItemSheet
from ..quantities import Offset, Quantity, QuantityError
from ..tables import chain_size
from .conditions import MOST_VALUES, Condition, Fault, by_datum
from .facts import NUMBERS, facts

_TEXTS = ("another", *(f"another {n}" for n in range(MOST_VALUES)))
NO_PARTS = ("crane-hook", "fork-attachment", "link-assembly")


def meets(conditions: Iterable[Condition], value: Any) -> bool:
    """Whether a value is as all conditions want it; a size that is no length meets no limit."""
    try:
        return all(condition.holds(value) for condition in conditions)
    except ValueError:
        return False


def senseless(
    about: str, selects: tuple[Condition, ...], requires: tuple[Condition, ...]
) -> Iterator[Fault]:
    """Requirements that nothing can meet, that nothing can fail, or that select nothing."""
    for name, (selected, asked) in by_datum(selects, requires).items():
        values = list(_samples(facts(about)[name].kind, name, (*selected, *asked)))
        chosen = [value for value in values if meets(selected, value)]
        if not chosen:
            yield Fault(("of", name), f"nothing has such a {name}")
        elif asked and not any(meets(asked, value) for value in chosen):
            yield Fault(("must", name), f"no {name} can meet this")
        elif name == "kind" and about == "part" and set(chosen) <= set(NO_PARTS):
            text = f'a {chosen[0]} is no part of a sling; write about = "item"'
            yield Fault(("of", name), text)
    if all(c.operator != "stated" and not _can_fail(about, c, selects) for c in requires):
        yield Fault(("must",), "nothing that of selects can fail this")


def _can_fail(about: str, asked: Condition, selects: tuple[Condition, ...]) -> bool:
    own = [c for c in selects if c.datum == asked.datum]
    values = _samples(asked.fact.kind, asked.datum, (*own, asked))
    return any(not meets([asked], v) and meets(own, v) for v in values)


def _samples(kind: Any, name: str, conditions: Iterable[Condition]) -> Iterator[Any]:
    """Values of a datum on both sides of every limit that the conditions set."""
    limits = [
        one
        for c in conditions
        if c.operator != "stated"
        for one in (c.wanted if isinstance(c.wanted, tuple) else (c.wanted,))
    ]
    if kind is bool:
        yield from (True, False)
    elif kind is Grade:
        yield from GRADES
    elif get_origin(kind) is Literal:
        yield from get_args(kind)
    elif name == "size":
        known = filter(None, map(chain_size, limits or ["3/8 in"]))
        yield from limits
        yield from (_written(mm * share, "mm") for mm in known for share in (0.5, 1.0, 2.0))
    elif isinstance(kind, type) and issubclass(kind, Quantity):
        yield from _quantities(kind, limits)
    elif kind in NUMBERS:
        yield from (n for limit in limits or [2] for n in _numbers(kind, limit))
        if len(limits) > 1 and kind is Factor:
            yield sum(limits) / len(limits)
    else:
        yield from (*limits, next(t for t in _TEXTS if t not in limits))


def _quantities(kind: type[Quantity], limits: list[Any]) -> Iterator[Quantity]:
    """The limits, and what lies between and beyond them, in the unit of the first limit."""
    yield from limits
    known = [float(limit) for limit in limits] or [10.0]
    unit = (limits[0].unit if limits else None) or kind.internal
    spread = [value * share for value in known for share in (0.5, 0.99, 1.01, 2.0)]
    spread += [sum(known) / len(known)]
    spread += [value + step for value in known for step in (-10.0, 10.0)] if kind is Offset else []
    for value in spread:
        with suppress(QuantityError):
            yield kind.parse(_written(kind.from_internal(value, unit), unit))


def _written(value: float, unit: str) -> str:
    return f"{f'{value:.6f}'.rstrip('0').rstrip('.')} {unit}"


def _numbers(kind: Any, limit: float) -> Iterator[float]:
    if kind is Count:
        yield from (n for n in (limit, limit - 1, limit + 1, 1) if n >= 1)
    else:
        yield from (n for n in (limit, limit / 2, limit * 1.1, limit * 2, 1.0) if 0 < n <= 100)


@frozen
class Examples:
    """The smallest build or catalog that fails a requirement, and the one that meets it.

    A requirement on what is computed of a whole sling has none: its texts are empty.
    """

    about: str
    selects: tuple[Condition, ...]
    requires: tuple[Condition, ...]
    data: dict[str, tuple[list[Condition], list[Condition]]] = field(init=False)

    def __attrs_post_init__(self) -> None:
        object.__setattr__(self, "data", by_datum(self.selects, self.requires))

    def texts(self) -> tuple[str, str]:
        """The failing example and the one that meets the requirement."""
        if any(condition.fact.computed for condition in self.requires):
            return "", ""
        good = {name: self._good(name) for name in self.data}
        name, bad = next(filter(None, map(self._bad, self.data)))
        return self._write(good | {name: bad}), self._write(good)

    def _values(self, name: str) -> list[Any]:
        selected, asked = self.data[name]
        values = _samples(facts(self.about)[name].kind, name, (*asked, *selected))
        return [v for v in values if meets(selected, v) and self._serves(name, v)]

    def _serves(self, name: str, value: Any) -> bool:
        return not (name == "kind" and self.about == "part" and value in NO_PARTS)

    def _good(self, name: str) -> Any:
        asked = self.data[name][1]
        return next((v for v in self._values(name) if meets(asked, v)), None)

    def _bad(self, name: str) -> tuple[str, Any] | None:
        """A value of a datum that fails; None for the value is leaving it out."""
        asked = self.data[name][1]
        for value in self._values(name) if asked else ():
            if not meets(asked, value):
                return name, value
        return (name, None) if any(c.operator == "stated" for c in asked) else None

    def _write(self, data: Mapping[str, Any]) -> str:
        stated = {name: _toml(value) for name, value in data.items() if value is not None}
        basis = stated.pop("basis", "US")
        known = get_type_hints(ItemSheet)
        item = {"id": "sample", "kind": "sling-hook"}
        item |= {name: value for name, value in stated.items() if name in known}
        catalog = ("[catalog]", {"id": "example", "basis": basis})
        build = () if self.about == "item" else _build(basis, item, stated)
        return "\n".join(starmap(_lines, (*build, catalog, ("[[item]]", item))))


def _build(
    basis: str, item: Mapping[str, Any], stated: Mapping[str, Any]
) -> Iterator[tuple[str, dict[str, Any]]]:
    """The headings and keys of a build of one leg that is nothing but the item."""
    yield "[assembly]", {"id": "example", "basis": basis}
    duty = {name: stated[name] for name in ("hitch", "load") if name in stated}
    for where in ("from_horizontal", "from_vertical"):
        if f"angle_{where}" in stated:
            duty = {"hitch": "bridle", f"angle.{where}": stated[f"angle_{where}"]} | duty
    if duty:
        yield "[duty]", duty
    part: dict[str, Any] = {"item": item["id"]}
    if item["kind"] == "chain":
        part["links"] = 80
    elif item["kind"] in (*LEG_KINDS, *SOLD_BY_LENGTH):
        part["length"] = "10 ft"
    yield "[[leg]]", {"ref": "a", "count": stated.get("legs", 1), "parts": [part]}


def _lines(heading: str, keys: Mapping[str, Any]) -> str:
    """A heading and its keys as TOML; a key with a dot in it enters a table."""
    said = (f"{name} = {_value(value)}\n" for name, value in keys.items())
    return f"{heading}\n{''.join(said)}"


def _value(value: Any) -> str:
    if isinstance(value, list):
        inside = ", ".join(f"{name} = {_value(one)}" for name, one in value[0].items())
        return f"[{{ {inside} }}]"
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def _toml(value: Any) -> Any:
    return (
        value.text or f"{float(value):g} {value.internal}" if isinstance(value, Quantity) else value
    )
