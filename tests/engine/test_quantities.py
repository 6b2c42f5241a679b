"""Quantities as they are written, read and shown; values by hand and against pint."""

from __future__ import annotations

import copy
import math
import pickle
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riglint.quantities import (
    METRIC_UNITS,
    US_UNITS,
    Angle,
    Length,
    Load,
    Offset,
    Quantity,
    QuantityError,
    Temperature,
    Units,
    size_in_mm,
)

# 1 in = 25.4 mm, 1 ft = 304.8 mm, 1 lb = 0.45359237 kg (1959 agreement);
# 1 kgf = 9.80665 N (CGPM 1901)
ACCEPTED = [
    (Length, "6.7 mm", 6.7),
    (Length, "6.7mm", 6.7),
    (Length, "  20   mm ", 20),
    (Length, "2 cm", 20),
    (Length, "1.5 m", 1500),
    (Length, "1 in", 25.4),
    (Length, "1 ft", 304.8),
    (Length, "3/8 in", 9.525),  # 0.375 x 25.4
    (Length, "1-1/4 in", 31.75),  # 1.25 x 25.4
    (Length, "1 1/4 in", 31.75),
    (Length, "11/16 in", 17.4625),  # 0.6875 x 25.4
    (Length, "10 ft 6 in", 3200.4),  # 126 x 25.4
    (Length, "10ft 6in", 3200.4),
    (Length, "10ft6in", 3200.4),
    (Length, "10 ft 6-1/2 in", 3213.1),  # 126.5 x 25.4
    (Length, "0 ft 6 in", 152.4),
    (Length, "1,250 mm", 1250),
    (Length, "1 250 mm", 1250),
    (Length, "1,234,567.5 mm", 1234567.5),
    (Length, "0.5 mm", 0.5),
    (Length, "007 mm", 7),
    (Offset, "-20 mm", -20),
    (Offset, "0 mm", 0),
    (Offset, "-1/2 in", -12.7),
    (Offset, "-1-1/4 in", -31.75),
    (Offset, "-1 ft 6 in", -457.2),  # -18 x 25.4
    (Offset, "1.2 m", 1200),
    (Load, "8,800 lb", 3991.612856),  # 8,800 x 0.45359237
    (Load, "8 800 lb", 3991.612856),
    (Load, "22,900.5 lb", 10387.492069185),  # 22,900.5 x 0.45359237
    (Load, "2.5 t", 2500),
    (Load, "1 short_ton", 907.18474),  # 2,000 lb
    (Load, "9.80665 N", 1),
    (Load, "9.80665 kN", 1000),
    (Load, "100 lbf", 45.359237),
    (Load, "1/2 t", 500),
    (Load, "12.5 kg", 12.5),
    (Angle, "60 deg", 60),
    (Angle, "0 deg", 0),
    (Angle, "22.5 deg", 22.5),
    (Angle, "180 deg", 180),
    (Temperature, "20 degC", 20),
    (Temperature, "-40 degC", -40),
    (Temperature, "-40 degF", -40),  # (-40 - 32) x 5/9
    (Temperature, "400 degF", 204.44444444444446),  # 368 x 5/9
    (Temperature, "32 degF", 0),
    (Temperature, "0 degC", 0),
]

REFUSED = [
    (Length, "", "not a length"),
    (Length, "   ", "write a length as"),
    (Length, "mm", "not a length"),
    (Length, "5", "no unit; write a length as"),
    (Length, "3/8", "no unit"),
    (Length, "1-1/4", "no unit"),
    (Length, "abc", "not a length"),
    (Length, '3/8"', "not a length"),
    (Length, "5 inch", "inch is not a unit of length; these are: mm, cm, m, in, ft"),
    (Length, "5 MM", "MM is not a unit of length"),
    (Length, "5 kg", "kg is not a unit of length"),
    (Length, "6,7 mm", "comma in '6,7' is ambiguous"),
    (Length, "1,2345 mm", "ambiguous"),
    (Length, "12,34,567 mm", "ambiguous"),
    (Length, "0,5 mm", "ambiguous"),
    (Length, ".5 mm", "not a length"),
    (Length, "5. mm", "not a length"),
    (Length, "1.2.3 mm", "not a length"),
    (Length, "1e3 mm", "not a unit"),
    (Length, "nan mm", "not a length"),
    (Length, "inf mm", "not a length"),
    (Length, "0 mm", "a length of zero makes no sense"),
    (Length, "-5 mm", "a negative length makes no sense"),
    (Length, "- 5 mm", "not a length"),
    (Length, "+5 mm", "not a length"),
    (Length, "1/0 in", "1/0 is not a proper fraction"),
    (Length, "0/4 in", "zero"),
    (Length, "1-5/4 in", "5/4 is not a proper fraction"),
    (Length, "1 4/4 in", "4/4 is not a proper fraction"),
    (Length, "1--1/4 in", "not a length"),
    (Length, "1/2/3 in", "not a length"),
    (Length, "6 in 10 ft", "only feet and inches go together"),
    (Length, "1 m 20 cm", "only feet and inches go together"),
    (Length, "1 ft 6 in 2 in", "only feet and inches go together"),
    (Length, "1 ft -6 in", "the inches carry a sign of their own"),
    (Length, "10000001 mm", "lies between 0 and 1e+07 mm"),
    (Length, "9" * 400 + " mm", "is too long for a length"),
    (Length, "٣ mm", "not a length"),
    (Length, "5 µm", "not a length"),
    (Length, "5 mm\0", "not a length"),
    (Length, "5\u00a0mm", "not a length"),
    (Length, "5 mm extra", "not a length"),
    (Offset, "-10000001 mm", "lies between"),
    (Load, "5 ton", "ton alone could be 2,000 lb or 1,000 kg"),
    (Load, "5 tons", "ton alone could be 2,000 lb or 1,000 kg"),
    (Load, "8800", "no unit; write a load as"),
    (Load, "6,7 t", "ambiguous"),
    (Load, "0 lb", "a load of zero makes no sense"),
    (Load, "-1 lb", "a negative load makes no sense"),
    (Load, "8 80 lb", "not a load"),
    (Load, "5 t 3 kg", "only feet and inches go together"),
    (Angle, "60", "no unit"),
    (Angle, "60 degrees", "degrees is not a unit of angle; these are: deg"),
    (Angle, "1 rad", "rad is not a unit of angle"),
    (Angle, "-1 deg", "a negative angle makes no sense"),
    (Angle, "180.1 deg", "lies between 0 and 180 deg"),
    (Temperature, "400 F", "F is not a unit of temperature; these are: degC, degF"),
    (Temperature, "400 deg", "deg is not a unit of temperature"),
    (Temperature, "-273.16 degC", "lies between -273.15 and 5000 degC"),
    (Temperature, "-460 degF", "lies between -273.15 and 5000 degC"),
]


@pytest.mark.parametrize(("kind", "text", "value"), ACCEPTED)
def test_accepted(kind, text, value):
    read = kind.parse(text)
    assert type(read) is kind
    assert float(read) == pytest.approx(value, rel=1e-14, abs=1e-12)
    assert read.text == text.strip()


@pytest.mark.parametrize(("kind", "text", "fragment"), REFUSED)
def test_refused(kind, text, fragment):
    with pytest.raises(QuantityError) as caught:
        kind.parse(text)
    assert fragment in str(caught.value)
    assert len(str(caught.value)) < 200


def test_what_general_unit_readers_get_wrong():
    """A general unit library reads these as 6,400 lb and 0.25 in."""
    assert Load.parse("8 800 lb") > Load.parse("8,799 lb")
    assert Length.parse("1 1/4 in") > Length.parse("1 in")


@pytest.mark.parametrize(
    ("text", "unit"),
    [("3/8 in", "in"), ("10 ft 6 in", "ft"), ("8,800 lb", "lb"), ("1 250 mm", "mm")],
)
def test_unit_is_the_one_written(text, unit):
    kind = Load if unit == "lb" else Length
    assert kind.parse(text).unit == unit
    assert kind(1.0).unit is None


@pytest.mark.parametrize(
    "copied", [copy.copy, copy.deepcopy, lambda q: pickle.loads(pickle.dumps(q))]
)
@pytest.mark.parametrize("written", [Length.parse("1-1/4 in"), Load(12.5), Offset.parse("-1 ft")])
def test_copies_keep_the_text(copied, written):
    twin = copied(written)
    assert (type(twin), float(twin), twin.text) == (type(written), float(written), written.text)


@pytest.mark.parametrize("protocol", range(2, pickle.HIGHEST_PROTOCOL + 1))
def test_pickles_of_every_protocol_keep_the_text(protocol):
    twin = pickle.loads(pickle.dumps(Temperature.parse("400 degF"), protocol))
    assert twin.text == "400 degF"


def test_arithmetic_gives_plain_floats():
    total = Length.parse("1 in") + Length.parse("1 in")
    assert type(total) is float
    assert total == 50.8


def test_equality_and_order_are_by_value():
    assert Length.parse("1 in") == Length.parse("25.4 mm")
    assert hash(Length.parse("1 in")) == hash(Length.parse("25.4 mm"))
    assert Length.parse("3/8 in") < Length.parse("10 mm")


@pytest.mark.parametrize(
    ("name", "mm"),
    [("3/8 in", 9.525), ("10 mm", 10), ("T8", None), ("10", None), ("", None), ("-1 mm", None)],
)
def test_sizes(name, mm):
    assert size_in_mm(name) == (None if mm is None else pytest.approx(mm))


# Rendering: computed figures round as a person writes them; figures as written stay.
SHOWN = [
    (US_UNITS, Length(9.525), "0.375 in"),  # 0.375
    (US_UNITS, Length(25.4), "1 in"),
    (US_UNITS, Length(12.7), "0.5 in"),
    (US_UNITS, Length(35 * 25.4), "35 in"),
    (US_UNITS, Length(36 * 25.4), "3 ft"),
    (US_UNITS, Length(121.48 * 25.4), "10 ft 1.5 in"),  # 121.5
    (US_UNITS, Length(119.97 * 25.4), "10 ft"),  # rounds to 120.0, not to 9 ft 12 in
    (US_UNITS, Offset(-2.5 * 25.4), "-2.5 in"),
    (US_UNITS, Offset(-40 * 25.4), "-3 ft 4 in"),
    (US_UNITS, Load(10387.265273), "22,900 lb"),  # 22,900 x 0.45359237
    (US_UNITS, Load(45.359237), "100 lb"),
    (US_UNITS, Load(5.669904625), "12.5 lb"),
    (US_UNITS, Temperature(200.0), "392 degF"),
    (US_UNITS, Temperature(0.0), "32 degF"),
    (US_UNITS, Angle(59.96), "60 deg"),
    (US_UNITS, Angle(22.5), "22.5 deg"),
    (METRIC_UNITS, Length(9.525), "9.5 mm"),
    (METRIC_UNITS, Length(1860.4), "1,860 mm"),
    (METRIC_UNITS, Length(10.0), "10 mm"),
    (METRIC_UNITS, Offset(-0.01), "0 mm"),
    (METRIC_UNITS, Load(11200.0), "11,200 kg"),
    (METRIC_UNITS, Load(12.5), "12.5 kg"),
    (METRIC_UNITS, Load(0.0), "0 kg"),
    (METRIC_UNITS, Temperature(204.4), "204 degC"),
    (Units(load="t"), Load(11250.0), "11.25 t"),
    (Units(load="short_ton"), Load(907.18474), "1 short_ton"),
    (US_UNITS, Length.parse("1-1/4 in"), "1-1/4 in"),
    (US_UNITS, Length.parse("10 ft 6 in"), "10 ft 6 in"),
    (US_UNITS, Load.parse("8,800 lb"), "8,800 lb"),
    (US_UNITS, Load.parse("10 kN"), "2,248 lb"),  # 10,000 / 4.448222
    (US_UNITS, Length.parse("10 mm"), "0.394 in"),  # 0.3937
    (US_UNITS, Temperature.parse("200 degC"), "392 degF"),
    (METRIC_UNITS, Length.parse("1-1/4 in"), "31.8 mm"),  # 31.75, half to even in binary: 31.8
    (METRIC_UNITS, Length.parse("1.5 m"), "1.5 m"),
    (METRIC_UNITS, Load.parse("8,800 lb"), "3,992 kg"),
    (METRIC_UNITS, Load.parse("2.5 t"), "2.5 t"),
    (METRIC_UNITS, Temperature.parse("400 degF"), "204 degC"),
    (METRIC_UNITS, Angle.parse("60 deg"), "60 deg"),
]


@pytest.mark.parametrize(("units", "quantity", "text"), SHOWN)
def test_shown(units, quantity, text):
    assert units.show(quantity) == text


@given(st.floats(1, 30_000))
@settings(max_examples=200, deadline=None)
def test_shown_lengths_read_back_to_their_rounding(mm):
    for units, half_step in ((US_UNITS, 0.05 * 25.4), (METRIC_UNITS, 0.5)):
        assert Length.parse(units.show(Length(mm))) == pytest.approx(mm, abs=half_step + 1e-6)


@given(st.floats(0.1, 1e6))
@settings(max_examples=200, deadline=None)
def test_shown_loads_read_back_to_their_rounding(kg):
    for units, half_step in ((US_UNITS, 0.5 * 0.45359237), (METRIC_UNITS, 0.5)):
        assert Load.parse(units.show(Load(kg))) == pytest.approx(kg, abs=half_step + 1e-6)


# pint as oracle

PINT_NAMES = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
    "kg": "kilogram",
    "t": "metric_ton",
    "lb": "pound",
    "short_ton": "US_ton",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "force_pound",
    "deg": "degree",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
}


@pytest.fixture(scope="session")
def pint_units():
    import pint

    return pint.UnitRegistry()


def by_pint(units, number: float, unit: str, internal: str) -> float:
    quantity = units.Quantity(number, PINT_NAMES[unit])
    if unit in ("N", "kN", "lbf"):
        quantity = quantity / units.standard_gravity
    return quantity.to(PINT_NAMES[internal]).magnitude


decimals = st.decimals("0.01", 9_999, places=3)
grouped = st.decimals(1_000, 999_999, places=1)
parts = st.tuples(st.integers(1, 99), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
fractions = parts.filter(lambda each: each[1] < each[2])


@st.composite
def written_numbers(draw: st.DrawFn) -> tuple[str, Fraction]:
    """A number as text, in one of the spellings of specs/formats, and its value."""
    form = draw(st.sampled_from(["plain", "commas", "spaces", "fraction", "mixed", "mixed spaced"]))
    if form == "plain":
        number = draw(decimals)
        return str(number), Fraction(number)
    if form in ("commas", "spaces"):
        number = draw(grouped)
        mark = "," if form == "commas" else " "
        return f"{number:,}".replace(",", mark), Fraction(number)
    whole, over, under = draw(fractions)
    if form == "fraction":
        return f"{over}/{under}", Fraction(over, under)
    between = "-" if form == "mixed" else " "
    return f"{whole}{between}{over}/{under}", whole + Fraction(over, under)


@pytest.mark.parametrize("kind", [Length, Load])
@given(number=written_numbers(), data=st.data())
@settings(max_examples=300, deadline=None)
def test_values_agree_with_pint(pint_units, kind: type[Quantity], number, data):
    text, value = number
    unit = data.draw(st.sampled_from(sorted(kind.units)))
    if not 0 < value * kind.units[unit] <= kind.most:
        return
    expected = by_pint(pint_units, float(value), unit, kind.internal)
    for gap in ("", " "):
        assert float(kind.parse(f"{text}{gap}{unit}")) == pytest.approx(expected, rel=1e-12)


@given(st.decimals("-273", 5000, places=2), st.sampled_from(["degC", "degF"]))
@settings(max_examples=200, deadline=None)
def test_temperatures_agree_with_pint(pint_units, number, unit):
    read = Temperature.parse(f"{number} {unit}")
    assert float(read) == pytest.approx(
        by_pint(pint_units, float(number), unit, "degC"), rel=1e-9, abs=1e-9
    )


@given(st.integers(1, 300), st.decimals(0, "11.99", places=2))
@settings(max_examples=100, deadline=None)
def test_feet_and_inches_agree_with_pint(pint_units, feet, inches):
    expected = by_pint(pint_units, feet, "ft", "mm") + by_pint(
        pint_units, float(inches), "in", "mm"
    )
    assert float(Length.parse(f"{feet} ft {inches} in")) == pytest.approx(expected, rel=1e-12)


@given(st.text(max_size=70), st.sampled_from([Length, Offset, Load, Angle, Temperature]))
@settings(max_examples=500, deadline=None)
def test_any_text_is_a_finite_value_or_refused_in_words(text, kind):
    try:
        read = kind.parse(text)
    except QuantityError as error:
        assert 0 < len(str(error)) < 500  # noqa: PT017
    else:
        assert math.isfinite(read)
        assert kind.least <= read <= kind.most
