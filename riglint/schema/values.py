"""The schemas of single values: what `reading` takes for a quantity, a name, a count or a date.

Patterns keep to what ECMA-262 and the engines without look-around share.
"""

from __future__ import annotations

import datetime
import re
from typing import Any

from ..model import EN_GRADES, GRADES, Count, Factor, Grade, ItemId, Readings, Ref, Tally
from ..quantities import MAX_TEXT, Angle, Length, Load, Offset, Quantity, Temperature
from ..reading import MAX_COUNT, MAX_NAME

QUANTITIES: tuple[type[Quantity], ...] = (Length, Offset, Load, Angle, Temperature)

_OVER_UNDER = "[0-9]+/0*[1-9][0-9]*"
_GROUPED = r"[0-9]{1,3}(?:(?:,[0-9]{3})+|(?: [0-9]{3})+)(?:\.[0-9]+)?"
_NUMBER = rf"(?:(?:[0-9]+[- ])?{_OVER_UNDER}|{_GROUPED}|[0-9]+(?:\.[0-9]+)?)"
_ZERO = "-?0[0,. -]*(?:/[0-9]+)?"
_BELOW = {90: "[0-8]?[0-9]", 180: "(?:1[0-7][0-9]|[0-9]{1,2})"}


def quantity_schema(kind: type[Quantity]) -> dict[str, Any]:
    """A quantity's text: number and unit, as `Quantity.parse` reads them.

    Not held here are the upper limits, that a mixed number's fraction is a proper one, and
    absolute zero.
    """
    number = _degrees(180) if kind is Angle else _NUMBER
    sign = "-?" if kind.least < 0 else ""
    term = rf"{sign}{number}\s*(?:{'|'.join(kind.units)})"
    if "ft" in kind.units:
        term = rf"(?:{term}|{sign}{_NUMBER}\s*ft\s*{_NUMBER}\s*in)"
    return _text(term, kind) | ({} if kind.zero_allowed else {"not": {"pattern": _zero()}})


def leg_angle_schema(where: str) -> dict[str, Any]:
    """The angle of a leg, from the horizontal above 0 to 90 deg, from the vertical 0 to below."""
    refused = _zero() if where == "from_horizontal" else r"^\s*0*90(?:\.0+)?\s*deg\s*$"
    return _text(rf"{_degrees(90)}\s*deg", Angle) | {"not": {"pattern": refused}}


def _degrees(most: int) -> str:
    below = f"0*{_BELOW[most]}"
    return rf"(?:0*{most}(?:\.0+)?|{below}(?:\.[0-9]+)?|(?:{below}[- ])?{_OVER_UNDER})"


def _zero() -> str:
    return rf"^\s*{_ZERO}\s*[A-Za-z_]+(?:\s*{_ZERO}\s*in)?\s*$"


def _text(term: str, kind: type[Quantity]) -> dict[str, Any]:
    units = ", ".join(kind.units)
    return {
        "description": f"{kind.article.title()} {kind.dimension}: number and unit ({units})",
        "type": "string",
        "maxLength": MAX_TEXT,
        "pattern": rf"^\s*{term}\s*$",
        "examples": re.findall('"(.+?)"', kind.spellings),
    }


def _name(refused: str, what: str) -> dict[str, Any]:
    return {
        "description": what,
        "type": "string",
        "maxLength": MAX_NAME,
        "pattern": rf"^[^{refused}]*[^{refused}\s][^{refused}]*$",
    }


def _whole(least: int, what: str) -> dict[str, Any]:
    return {"description": what, "type": "integer", "minimum": least, "maximum": MAX_COUNT}


def one_or_more(one: dict[str, Any]) -> dict[str, Any]:
    """One value, or a list of them that is not empty."""
    return {"anyOf": [one, {"type": "array", "items": one, "minItems": 1}]}


# Of each, a definition under its name
NAMED: dict[Any, dict[str, Any]] = {kind: quantity_schema(kind) for kind in QUANTITIES} | {
    Ref: _name("/#", "A short name without / and #"),
    ItemId: _name("#:", "A short name without # and :"),
    Count: _whole(1, "A whole number from 1 up"),
    Tally: _whole(0, "A whole number, 0 too"),
    Factor: {
        "description": "A number above 0, up to 100",
        "type": "number",
        "exclusiveMinimum": 0,
        "maximum": 100,
    },
    Grade: {
        "description": "A grade of steel; the European 8, 10 and 12 are 80, 100 and 120",
        "enum": [*GRADES, *EN_GRADES],
    },
    datetime.date: {
        "description": "A date without quotes, such as 2027-06-30",
        "type": "string",
        "format": "date",
        "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$",
    },
    Readings: one_or_more({"$ref": f"#/$defs/{Length.__name__}"}),
}
PLAIN: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Any: {},
    type(None): {"type": "null"},
}
