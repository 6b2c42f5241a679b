"""Objects to plain data and back, for JSON, databases and queues."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cache, partial
from operator import eq
from typing import Any, TypeVar, cast

import attrs
from cattrs import BaseValidationError, Converter

from . import model, reading
from .files import Skipped
from .finding import Finding
from .judging import Judgment, Missing, Placed
from .model import CatalogFile
from .problem import Problem, Unreadable
from .quantities import Angle, Length, Load, Offset, Quantity, Temperature
from .ratesheet import RateSheet
from .report import AssemblyReport, CatalogReport, RecordReport, Report, Standing
from .source import document_of
from .stock import Catalog
from .writing import file_values

T = TypeVar("T")

QUANTITIES: dict[str, type[Quantity]] = {
    kind.__name__: kind for kind in (Angle, Length, Load, Offset, Temperature)
}
DATES = (datetime.date, datetime.time)
SHOWN = "plain data"  # what messages call it
BOTH_WAYS = (
    Problem, Skipped, Missing, Finding, Placed, Judgment, Standing, CatalogReport, RecordReport,
)  # fmt: skip


def to_plain(thing: Any) -> Any:
    """An object as dicts, lists, texts and numbers that JSON takes.

    What files hold (`Build`, `Catalog`, `CatalogFile`, `RecordFile`, `Policy` and their tables) has
    the shape of the file, with dates as texts (2027-06-30). `Report`, `AssemblyReport` and
    `RateSheet` have the shape of `--report json`; they hold the sling and do not come back: keep
    the build. `Judgment`, `Placed`, `Finding`, `Missing`, `Problem`, `Standing`, `CatalogReport`
    and `RecordReport` come back by `from_plain`. Raises TypeError for any other kind.
    """
    if isinstance(thing, Report | AssemblyReport | RateSheet):
        return _shown(thing)
    if isinstance(thing, BOTH_WAYS):
        return _converter().unstructure(thing)
    try:
        return _dates_out(file_values(thing))
    except ValueError as error:
        raise TypeError(str(error)) from None


def from_plain(plain: Any, kind: type[T]) -> T:
    """The object that `to_plain` made plain.

    Raises Unreadable where it is not one, with each fault; TypeError for a kind that does not
    come back.
    """
    if kind is Catalog:
        return cast("T", Catalog(SHOWN, from_plain(plain, CatalogFile)))
    if kind not in BOTH_WAYS and not (attrs.has(kind) and kind.__module__ == model.__name__):
        raise TypeError(f"{kind.__name__} is not read back from plain data")
    if not isinstance(plain, Mapping):
        raise Unreadable(Problem(SHOWN, f"a table is expected, this is {type(plain).__name__}"))
    if kind not in BOTH_WAYS:
        return reading.read_as(document_of(plain, SHOWN), kind)
    try:
        return _converter().structure(plain, kind)
    except BaseValidationError as error:
        raise Unreadable(Problem(SHOWN, reading.faults_in(error))) from None


def _shown(thing: Report | AssemblyReport | RateSheet) -> Any:
    from . import __version__

    if isinstance(thing, RateSheet):
        from .reports.ratedata import rate_data

        return rate_data(thing)
    from .reports.data import report_data

    if isinstance(thing, Report):
        return report_data(thing, __version__)
    return report_data(Report(assemblies=(thing,)), __version__)["assemblies"][0]


def _dates_out(values: Any) -> Any:
    """File values as JSON takes them, which has no dates."""
    if isinstance(values, dict):
        return {key: _dates_out(value) for key, value in values.items()}
    if isinstance(values, list):
        return [_dates_out(value) for value in values]
    return values.isoformat() if isinstance(values, DATES) else values


@cache
def _converter() -> Converter:
    converter = Converter(
        forbid_extra_keys=True, unstruct_collection_overrides={tuple: list, Mapping: dict}
    )
    for kind in QUANTITIES.values():
        converter.register_unstructure_hook(kind, _quantity_out)
        converter.register_structure_hook(kind, _any_in)
    converter.register_unstructure_hook_func(_is_any, _any_out)
    converter.register_structure_hook_func(_is_any, _any_in)
    converter.register_structure_hook_func(partial(eq, str | int), _any_in)
    return converter


def _is_any(kind: Any) -> bool:
    return kind is Any


def _quantity_out(quantity: Quantity) -> dict[str, Any]:
    kind = type(quantity).__name__
    return {"quantity": kind, "value": float(quantity), "text": quantity.text}


def _any_out(value: Any) -> Any:
    if isinstance(value, Quantity):
        return _quantity_out(value)
    if isinstance(value, tuple | list):
        return [_any_out(one) for one in value]
    if value is None or isinstance(value, str | bool | int | float):
        return value
    return str(getattr(value, "path", value))


def _any_in(plain: Any, _: object = None) -> Any:
    if isinstance(plain, list):
        return tuple(_any_in(one) for one in plain)
    if isinstance(plain, Mapping):
        kind = QUANTITIES.get(plain.get("quantity", ""))
        if kind is None:
            raise ValueError(f"this is no quantity: {sorted(plain)}")
        return kind(float(plain["value"]), plain["text"])
    return plain
