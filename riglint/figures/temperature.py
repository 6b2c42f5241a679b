"""What heat and cold leave of a sling's rated load."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from ..quantities import Temperature
from ..tables import Table, heading, table
from .rope import core_kind
from .textile import material_named

NOT_ALLOWED = 100
ROUNDING = 1e-6


@frozen
class HeatEffect:
    """The share of the rated load that is left while hot, and for good afterwards."""

    while_hot: float
    afterwards: float


class AskTheMaker(LookupError):
    """The table sends the reader to the maker."""


def heat_effect(
    table: Table,
    grade: int,
    low_deg_c: float | None,
    high_deg_c: float | None,
) -> HeatEffect | None:
    """What a temperature range leaves of the rated load; None where it is not permitted.

    By the given table (ASME B30.9, Table 9-1.8.1-1, or EN 818-6). Between two rows the hotter
    one counts. Raises LookupError where the table has no column for the grade, AskTheMaker
    where it gives no figure.
    """
    rules, column = _column(table, grade)
    if low_deg_c is not None and low_deg_c <= Temperature.parse(rules["low"]):
        if rules["low_means"] == "ask":
            raise AskTheMaker(f"{table.document} gives no figure at {rules['low']} and below")
        if low_deg_c < Temperature.parse(rules["low"]):
            return None
    if high_deg_c is None or _below(rules, high_deg_c):
        return HeatEffect(1.0, 1.0)
    for row in table.rows:
        if _up_to(Temperature.parse(f"{row['up_to']} {rules['unit']}"), high_deg_c):
            hot, after = row["hot"][column], row["after"][column]
            return None if hot >= NOT_ALLOWED else HeatEffect(1 - hot / 100, 1 - after / 100)
    return None


def _column(table: Table, grade: int) -> tuple[dict[str, Any], int]:
    """How a table is to be read, and the place of a grade in its rows."""
    rules = heading(table.name, "temperature")
    if grade not in rules["columns"]:
        raise LookupError(f"{table.document} gives no temperatures for grade {grade}")
    return rules, rules["columns"].index(grade)


def heat_ranges(
    table: Table, grade: int, most_deg_c: float = float("inf")
) -> tuple[tuple[str, float, float], ...]:
    """Each range of a table in words, with the share of the rating left while hot and for good.

    Only those up to `most_deg_c`. Raises LookupError where the table has no column for the grade.
    """
    rules, column = _column(table, grade)
    first = f"above {rules['low']}, under {rules['none_below']}" if "none_below" in rules else ""
    ranges = [(first, 1.0, 1.0)] if first else []
    for row in table.rows:
        hot, after = row["hot"][column], row["after"][column]
        top = Temperature.parse(f"{row['up_to']} {rules['unit']}")
        if hot < NOT_ALLOWED and top <= most_deg_c + ROUNDING:
            words = f"up to {row['up_to']:,} {rules['unit']}"
            ranges.append((words, 1 - hot / 100, 1 - after / 100))
    return tuple(ranges)


def heat_limits(table: Table, grade: int) -> tuple[float, float]:
    """The lowest and the highest temperature that a table allows a grade, in degC.

    Raises LookupError where the table has no column for the grade.
    """
    rules, column = _column(table, grade)
    allowed = [row["up_to"] for row in table.rows if row["hot"][column] < NOT_ALLOWED]
    return Temperature.parse(rules["low"]), Temperature.parse(f"{max(allowed)} {rules['unit']}")


def rope_heat(
    basis: str, core: str, low_deg_c: float | None, high_deg_c: float | None
) -> HeatEffect | None:
    """What a temperature range leaves of a wire rope sling; None where it takes it out of service.

    WAC 296-24-29425(3), Cal. T8 s.5045(c). Raises AskTheMaker where they do, LookupError for EN
    rope (figures from memory only) and for a core that is not known.
    """
    kind = core_kind(core)
    known = table("rope-temperature")
    row = _row_for(known, basis, "core", kind)
    if row is None:
        raise LookupError(f"no document seen has temperatures for {basis} wire rope")
    too_hot = _hotter(high_deg_c, row["high"])
    if too_hot and row["beyond"] == "remove":
        return None
    if too_hot or _colder(low_deg_c, row["low"]):
        raise AskTheMaker(f"{known.document} gives no figure outside {row['low']} to {row['high']}")
    return HeatEffect(1.0, 1.0)


def textile_heat(
    basis: str, material: str, low_deg_c: float | None, high_deg_c: float | None
) -> HeatEffect | None:
    """What a temperature range leaves of a synthetic sling; None where it is not permitted.

    29 CFR 1926.251(e) (US); scopes of EN 1492-1 and EN 1492-2 (EN). Raises AskTheMaker where US
    cold is known from memory only, LookupError for a material without figures.
    """
    row = _textile_row(basis, material)
    if row is None:
        raise LookupError(f"no document seen has temperatures for {material} slings")
    cold = _colder(low_deg_c, row["low"])
    if _hotter(high_deg_c, row["high"]) or (cold and row["low_means"] != "ask"):
        return None
    if cold:
        raise AskTheMaker(f"{row['source']} gives no figure under {row['low']}")
    return HeatEffect(1.0, 1.0)


def material_limits(basis: str, kind: str, made_of: str) -> tuple[float, float]:
    """The lowest and the highest temperature that a basis allows wire rope or a textile, in degC.

    Sources: `rope_heat`, `textile_heat`. Raises LookupError as they do.
    """
    if kind in ("wire-rope", "grommet"):
        row = _row_for(table("rope-temperature"), basis, "core", core_kind(made_of))
    else:
        row = _textile_row(basis, made_of)
    if row is None:
        raise LookupError(f"no document seen has temperatures for {made_of} {kind}")
    return Temperature.parse(row["low"]), Temperature.parse(row["high"])


def _textile_row(basis: str, material: str) -> dict[str, Any] | None:
    try:
        name = material_named(material)
    except LookupError:
        return None
    return _row_for(table("textile-temperature"), basis, "material", name)


def _row_for(known: Table, basis: str, key: str, value: str) -> dict[str, Any] | None:
    rows = (row for row in known.rows if (row["basis"], row[key]) == (basis, value))
    return next(rows, None)


def _hotter(high_deg_c: float | None, limit: str) -> bool:
    return high_deg_c is not None and high_deg_c > Temperature.parse(limit) + ROUNDING


def _colder(low_deg_c: float | None, limit: str) -> bool:
    return low_deg_c is not None and low_deg_c < Temperature.parse(limit) - ROUNDING


def _below(rules: dict[str, Any], high: float) -> bool:
    if "none_below" not in rules:
        return False
    first = Temperature.parse(rules["none_below"])
    return high < first - ROUNDING and not _as_printed(first, high)


def _up_to(limit: Temperature, high: float) -> bool:
    return high <= limit + ROUNDING or _as_printed(limit, high)


def _as_printed(limit: Temperature, value: float) -> bool:
    """B30.9 prints its rows in whole degC beside the degF: 400 degF (204), 1000 degF (538)."""
    return abs(value - round(limit)) < ROUNDING
