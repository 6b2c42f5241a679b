"""What a rule says, taken in: nothing of a rule's own classes goes on to the reports.

A rule is a stranger's code: a class of its own may compare, sort or show itself as it likes, or
never come back from that. What is asked of it is asked here, once, while the rule is watched.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isfinite
from typing import Any, TypeVar

from .finding import LEVELS, Finding, Key, Unstated
from .model import Level
from .quantities import Angle, Length, Load, Offset, Quantity, Temperature, Units

QUANTITIES: tuple[type[Quantity], ...] = (Offset, Length, Load, Angle, Temperature)
N = TypeVar("N", int, float)

MOST_SHOWN = 40  # of a value in a message
DEEPEST = 8  # lists within lists; reports go down them by recursion


class Misfit(TypeError):
    """A field of a finding, or of what is said to be missing, that is not what it must be."""


def vetted(given: Any) -> Finding:
    """A finding as data of riglint's and Python's own types; raises Misfit, naming the field."""
    if not isinstance(given, Finding):
        raise Misfit(f"what it gives is of type {_kind(given)}; it must be a Finding")
    fields = {name: vet(f"its finding's {name}", getattr(given, name)) for name, vet in FIELDS}
    return Finding(**fields)


def vetted_gap(gap: Unstated) -> Unstated:
    """What is said to be missing, likewise; its sentence is asked for once."""
    given = {name: getattr(gap, name) for name in ("datum", "of", "key", "why")}
    texts = {name: _text(f"its Unstated's {name}", value) for name, value in given.items()}
    item = _text_or_none("its Unstated's item", gap.item)
    return Unstated(item=item, **texts | {"why": _text("its Unstated's sentence", str(gap))})


def _kind(value: Any) -> str:
    return type(value).__name__


def _misfit(what: str, value: Any, wanted: str) -> Misfit:
    return Misfit(f"{what} is of type {_kind(value)}; it must be {wanted}")


def _text(what: str, value: Any) -> str:
    if not isinstance(value, str):
        raise _misfit(what, value, "a text")
    return str.__str__(value)


def _text_or_none(what: str, value: Any) -> str | None:
    return None if value is None else _text(what, value)


def _texts(what: str, value: Any) -> tuple[str, ...]:
    if not isinstance(value, tuple | list):
        raise _misfit(what, value, "a tuple of texts")
    return tuple(_text(f"an entry of {what}", one) for one in value)


def _path(what: str, value: Any) -> Key:
    if not isinstance(value, tuple | list):
        raise _misfit(what, value, "a tuple of texts and whole numbers")
    return tuple(_step(f"an entry of {what}", one) for one in value)


def _step(what: str, value: Any) -> str | int:
    if isinstance(value, str):
        return str.__str__(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return int.__int__(value)
    raise _misfit(what, value, "a text or a whole number")


def _units(what: str, value: Any) -> Units:
    if not isinstance(value, Units):
        raise _misfit(what, value, "Units")
    names = (value.length, value.load, value.temperature)
    return Units(*(_text(f"an entry of {what}", name) for name in names))


def _level(what: str, value: Any) -> Level | None:
    text = _text_or_none(what, value)
    found = next((level for level in LEVELS if level == text), None)
    if text is not None and found is None:
        raise Misfit(f"{what} is {text[:MOST_SHOWN]!r}; it must be error, warning or note")
    return found


def _line(what: str, value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _misfit(what, value, "a whole number")
    line = int.__int__(value)
    if line < 1:
        raise Misfit(f"{what} is below 1; lines count from 1")
    return line


def _facts(what: str, value: Any) -> dict[str, Any]:
    if not isinstance(value, Mapping):
        raise _misfit(what, value, "a mapping of names to facts")
    named = {_text(f"a name in {what}", name): one for name, one in value.items()}
    return {name: _fact(f"its finding's fact {name}", one) for name, one in named.items()}


def _fact(what: str, value: Any, depth: int = 0) -> Any:
    """A quantity, a number, a text, or a tuple of them; parts by their path, all else as a text."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, Quantity):
        return _quantity(what, value)
    if isinstance(value, float):
        return _finite(what, float.__float__(value))
    if isinstance(value, int):
        return _finite(what, int.__int__(value))
    if isinstance(value, tuple | list):
        if depth == DEEPEST:
            raise Misfit(f"{what} has lists within lists, more than {DEEPEST} deep")
        return tuple(_fact(what, one, depth + 1) for one in value)
    text = value if isinstance(value, str) else str(getattr(value, "path", value))
    return str.__str__(text)


def _quantity(what: str, value: Quantity) -> float:
    number = _finite(what, float.__float__(value))
    kind = next((kind for kind in QUANTITIES if isinstance(value, kind)), None)
    if kind is None:
        return number
    return kind(number, _text_or_none(f"the text of {what}", value.text))


def _finite(what: str, number: N) -> N:
    try:
        if isfinite(number):
            return number
    except OverflowError:
        raise Misfit(f"{what} is a number of more than 308 digits") from None
    raise Misfit(f"{what} is {number}; it must be finite")


FIELDS: tuple[tuple[str, Callable[[str, Any], Any]], ...] = (
    ("template", _text),
    ("part", _text),
    ("key", _path),
    ("units", _units),
    ("facts", _facts),
    ("found", _fact),
    ("limit", _fact),
    ("remedy_template", _text),
    ("also", _texts),
    ("rule", _text),
    ("level", _level),
    ("sources", _texts),
    ("basis", _text),
    ("family", _text),
    ("file", _text_or_none),
    ("line", _line),
    ("permit", _text_or_none),
    ("known", _text_or_none),
)
