"""Lengths, loads, angles and temperatures, read strictly and shown as people write them.

A quantity is a float in the one internal unit of its dimension (mm, kg, deg, degC)
that remembers how it was written. Forces become loads with standard gravity.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import ClassVar, Self, cast

from attrs import frozen

from .problem import RiglintError

STANDARD_GRAVITY = Fraction("9.80665")  # m/s2; CGPM 1901, resolution 2
MAX_TEXT = 60

_NUMBER = re.compile(
    r"""(?P<sign>-?)(?:
        (?P<whole>\d+)[-\ ](?P<over>\d+)/(?P<under>\d+)     # 1-1/4, 1 1/4
      | (?P<top>\d+)/(?P<bottom>\d+)                        # 3/8
      | (?P<grouped>\d{1,3}(?:,\d{3})+|\d{1,3}(?:\ \d{3})+)(?P<rest>\.\d+)?
      | (?P<plain>\d+(?:\.\d+)?)
    )""",
    re.VERBOSE | re.ASCII,
)
_TERM = re.compile(r"\s*(?P<number>-?[\d.,/ -]*?\d)\s*(?P<unit>[A-Za-z_]+)", re.ASCII)


class QuantityError(RiglintError, ValueError):
    """A text that is not a quantity of the dimension asked for; the message says why."""


class Quantity(float):
    """A float in the dimension's internal unit, with the text that it was read from.

    Arithmetic gives plain floats in the internal unit; wrap a result in its
    dimension again (`Length(x)`) to have it shown with a unit.
    """

    __slots__ = ("text",)

    text: str | None
    dimension: ClassVar[str] = ""
    article: ClassVar[str] = "a"
    internal: ClassVar[str] = ""
    units: ClassVar[dict[str, Fraction]] = {}
    spellings: ClassVar[str] = ""
    least: ClassVar[float] = float("-inf")
    most: ClassVar[float] = float("inf")
    zero_allowed: ClassVar[bool] = True

    def __new__(cls, value: float, text: str | None = None) -> Self:
        made = super().__new__(cls, value)
        object.__setattr__(made, "text", text)
        return made

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError("a quantity does not change; make another")  # texts are read once

    def __delattr__(self, name: str) -> None:
        raise AttributeError("a quantity does not change; make another")

    def __getstate__(self) -> None:
        return None  # all of it is in the arguments

    def __getnewargs__(self) -> tuple[float, str | None]:  # type: ignore[override]
        return float(self), self.text

    def __repr__(self) -> str:
        shown = self.text or f"{float(self):g} {self.internal}"
        return f"{type(self).__name__}({shown!r})"

    @property
    def unit(self) -> str | None:
        """The unit it was written in (the first one of a compound); None if it was computed."""
        match = _TERM.match(self.text) if self.text else None
        return match["unit"] if match else None

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a text such as `3/8 in`; raises QuantityError, saying what is wrong with it."""
        return cast("Self", _parse(cls, text))  # type: ignore[arg-type]

    @classmethod
    def to_internal(cls, number: Fraction, unit: str) -> Fraction:
        """A number of a unit in the dimension's internal unit."""
        return number * cls.units[unit]

    @classmethod
    def from_internal(cls, value: float, unit: str) -> float:
        """A value of the internal unit in another."""
        return value / float(cls.units[unit])

    @classmethod
    def check(cls, value: float) -> str | None:
        """Why a value makes no sense for this quantity; None if it does."""
        if value == 0 and not cls.zero_allowed:
            return f"{cls.article} {cls.dimension} of zero makes no sense here"
        if not cls.least <= value <= cls.most:
            if value < 0 <= cls.least:
                return f"a negative {cls.dimension} makes no sense here"
            what = f"{cls.article} {cls.dimension}"
            return f"{what} here lies between {cls.least:g} and {cls.most:g} {cls.internal}"
        return None


_LENGTHS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
}
_POUND = Fraction("0.45359237")
_LOADS = {
    "kg": Fraction(1),
    "t": Fraction(1000),
    "lb": _POUND,
    "short_ton": 2000 * _POUND,
    "N": 1 / STANDARD_GRAVITY,
    "kN": 1000 / STANDARD_GRAVITY,
    "lbf": _POUND,
}


SMALLER = {"t": "kg", "short_ton": "lb"}  # so that a coupling does not weigh 0.00 t
METRIC_LOADS = ("kg", "t", "N", "kN")


class Length(Quantity):
    """A length above zero, in mm."""

    __slots__ = ()
    dimension, internal, units = "length", "mm", _LENGTHS
    spellings = '"20 mm", "3/4 in" or "10 ft 6 in"'
    least, most, zero_allowed = 0.0, 1e7, False


class Offset(Length):
    """A length with a sign, in mm: a coordinate, or a height above or below a point."""

    __slots__ = ()
    spellings = '"-20 mm", "3/4 in" or "1.2 m"'
    least, zero_allowed = -1e7, True


class Load(Quantity):
    """A load or a force as the mass that weighs as much, above zero, in kg."""

    __slots__ = ()
    dimension, internal, units = "load", "kg", _LOADS
    spellings = '"8,800 lb", "2.5 t" or "24 kN"'
    least, most, zero_allowed = 0.0, 1e9, False


class Angle(Quantity):
    """An angle from 0 to 180 deg."""

    __slots__ = ()
    article = "an"
    dimension, internal, units = "angle", "deg", {"deg": Fraction(1)}
    spellings = '"60 deg"'
    least, most = 0.0, 180.0


class Temperature(Quantity):
    """A temperature in degC, not below absolute zero."""

    __slots__ = ()
    dimension, internal = "temperature", "degC"
    units = {"degC": Fraction(1), "degF": Fraction(5, 9)}  # noqa: RUF012
    spellings = '"20 degC" or "400 degF"'
    least, most = -273.15, 5000.0

    @classmethod
    def to_internal(cls, number: Fraction, unit: str) -> Fraction:
        """A number of degC or degF in degC."""
        return (number - 32) * Fraction(5, 9) if unit == "degF" else number

    @classmethod
    def from_internal(cls, value: float, unit: str) -> float:
        """A value in degC in degC or degF."""
        return value * 9 / 5 + 32 if unit == "degF" else value


@lru_cache(maxsize=8192)
def _parse(kind: type[Quantity], text: str) -> Quantity:
    if len(text) > MAX_TEXT:
        raise QuantityError(f"{text[:20]!r}... is too long for {kind.article} {kind.dimension}")
    terms = list(_terms(kind, text))
    if len(terms) > 1 and [unit for _, unit in terms] != ["ft", "in"]:
        raise QuantityError(f"{text!r}: only feet and inches go together, as in 10 ft 6 in")
    if len(terms) > 1 and any(number < 0 for number, _ in terms[1:]):
        raise QuantityError(f"{text!r}: the inches carry a sign of their own")
    sign = -1 if text.lstrip().startswith("-") else 1
    exact = sum(kind.to_internal(abs(n) if len(terms) > 1 else n, unit) for n, unit in terms)
    value = float(exact * sign if len(terms) > 1 else exact)
    if (fault := kind.check(value)) is not None:
        raise QuantityError(f"{text!r}: {fault}")
    return kind(value, text.strip())


def _terms(kind: type[Quantity], text: str) -> Iterator[tuple[Fraction, str]]:
    position = 0
    while position < len(text.rstrip()):
        match = _TERM.match(text, position)
        if match is None:
            raise QuantityError(_not_a_quantity(kind, text))
        yield _number(kind, text, match["number"]), _unit(kind, text, match["unit"])
        position = match.end()
    if position == 0:
        raise QuantityError(_not_a_quantity(kind, text))


def _not_a_quantity(kind: type[Quantity], text: str) -> str:
    if re.fullmatch(r"\s*-?[\d.,/ -]+\s*", text):
        return f"{text!r} has no unit; write {kind.article} {kind.dimension} as {kind.spellings}"
    return f"{text!r} is not {kind.article} {kind.dimension}; write it as {kind.spellings}"


def _number(kind: type[Quantity], text: str, number: str) -> Fraction:
    match = _NUMBER.fullmatch(number)
    if match is None:
        if "," in number:
            raise QuantityError(
                f"{text!r}: the comma in {number!r} is ambiguous; a comma parts thousands in"
                " groups of three, a point the decimals"
            )
        raise QuantityError(_not_a_quantity(kind, text))
    sign = -1 if match["sign"] else 1
    if match["grouped"]:
        return sign * Fraction(re.sub("[, ]", "", match["grouped"]) + (match["rest"] or ""))
    if match["plain"]:
        return sign * Fraction(match["plain"])
    over, under = match["over"] or match["top"], match["under"] or match["bottom"]
    if int(under) == 0 or (match["whole"] and int(over) >= int(under)):
        raise QuantityError(f"{text!r}: {over}/{under} is not a proper fraction")
    return sign * (Fraction(match["whole"] or 0) + Fraction(int(over), int(under)))


def _unit(kind: type[Quantity], text: str, unit: str) -> str:
    if unit in kind.units:
        return unit
    if unit in ("ton", "tons") and kind.dimension == "load":
        raise QuantityError(
            f"{text!r}: ton alone could be 2,000 lb or 1,000 kg; write short_ton or t"
        )
    known = ", ".join(kind.units)
    raise QuantityError(f"{text!r}: {unit} is not a unit of {kind.dimension}; these are: {known}")


@frozen
class Units:
    """The units that a reader wants to see, one a dimension."""

    length: str = "mm"
    load: str = "kg"
    temperature: str = "degC"

    @property
    def inches(self) -> bool:
        """Whether lengths are shown in inches and feet."""
        return self.length in ("in", "ft")

    def show(self, quantity: Quantity) -> str:
        """The quantity as a person reads it: as written if its unit is of this system."""
        if quantity.text is not None and self._speaks(quantity):
            return quantity.text
        if isinstance(quantity, Length):
            return _show_length(float(quantity), self.inches)
        if isinstance(quantity, Load):
            return _show_load(float(quantity), self.load)
        if isinstance(quantity, Temperature):
            return f"{_trim(quantity.from_internal(quantity, self.temperature), 0)} " + (
                self.temperature
            )
        return f"{_trim(float(quantity), 1)} deg"

    def _speaks(self, quantity: Quantity) -> bool:
        unit = quantity.unit
        if isinstance(quantity, Length):
            return (unit in ("in", "ft")) == self.inches
        if isinstance(quantity, Load):
            return unit == self.load or (unit in METRIC_LOADS and self.load in METRIC_LOADS)
        return not isinstance(quantity, Temperature) or unit == self.temperature


US_UNITS = Units(length="in", load="lb", temperature="degF")
METRIC_UNITS = Units()


def _trim(value: float, decimals: int) -> str:
    text = f"{value:,.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _show_length(mm: float, inches: bool) -> str:
    if not inches:
        return f"{_trim(mm, 0 if abs(mm) >= 1000 else 1)} mm"
    value = mm / 25.4
    if abs(value) < 36:
        return f"{_trim(value, 3 if abs(value) < 10 else 2)} in"
    feet, rest = divmod(round(abs(value), 1), 12)
    sign = "-" if value < 0 else ""
    return f"{sign}{feet:,.0f} ft" + (f" {_trim(rest, 1)} in" if round(rest, 1) else "")


def _show_load(kg: float, unit: str) -> str:
    if unit in SMALLER and abs(Load.from_internal(kg, unit)) < 1:
        unit = SMALLER[unit]
    value = Load.from_internal(kg, unit)
    decimals = 2 if unit in ("t", "short_ton", "kN") else 0 if abs(value) >= 100 else 1
    return f"{_trim(value, decimals)} {unit}"


@lru_cache(maxsize=1024)
def size_in_mm(name: str) -> float | None:
    """A size that is written as a length, in mm; None where the size is only a name."""
    try:
        return float(Length.parse(name))
    except QuantityError:
        return None
