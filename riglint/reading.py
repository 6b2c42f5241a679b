"""From TOML values to the model, strictly: nothing is converted silently, nothing is lost.

The quick converter reads sound files; only a file that it refuses goes through the
detailed one, whose errors carry the path to each fault.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache, partial
from operator import eq
from types import UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

import attrs
from cattrs import (
    AttributeValidationNote,
    BaseValidationError,
    Converter,
    ForbiddenExtraKeysError,
    IterableValidationNote,
)

from . import model
from .problem import Problem, Unreadable, first_of
from .quantities import Angle, Length, Load, Offset, Quantity, QuantityError, Temperature
from .source import Document, nearest

T = TypeVar("T")

_ISO_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
MAX_COUNT = 100_000
MAX_NAME = 200


class Wrong(ValueError):
    """A value that does not fit its key; the message says what was expected."""


def kind_of(values: dict[str, Any]) -> str | None:
    """The kind of file that a document is: assembly, catalog or record; None for any other."""
    return next((kind for kind in ("assembly", "catalog", "record") if kind in values), None)


def read_build(document: Document) -> model.Build:
    """The build that a document describes; raises Unreadable with every fault and its place."""
    if "assembly" not in document.values:
        raise Unreadable(Problem(document.file, "this is no build: it has no [assembly] table"))
    return read_as(document, model.Build)


def read_catalog(document: Document) -> model.CatalogFile:
    """The catalog that a document holds; raises Unreadable with every fault and its place."""
    return read_as(document, model.CatalogFile)


def read_record(document: Document) -> model.RecordFile:
    """The record that a document holds; raises Unreadable with every fault and its place."""
    return read_as(document, model.RecordFile)


def read_policy(
    document: Document, values: Any | None = None, prefix: tuple[str, ...] = ()
) -> model.PolicyFile:
    """The policy that a document holds; raises Unreadable with every fault and its place.

    `values` is the policy's own table where it lies under `prefix` in the document.
    """
    return read_as(document, model.PolicyFile, values, prefix)


def read_as(
    document: Document, shape: type[T], values: Any | None = None, prefix: tuple[str, ...] = ()
) -> T:
    """The document's values (or the given part of them) as an instance of an attrs class."""
    plain = document.values if values is None else values
    try:
        return _converter(detailed=False, of_program=document.of_program).structure(plain, shape)
    except Exception:  # whatever the quick converter says, the detailed one says it with paths
        found = _problems(document, plain, shape, prefix)
        problems = tuple(first_of(found, document.file))
    raise Unreadable(*problems)


def structure(values: Any, shape: type[T]) -> T:
    """Plain values as an instance of an attrs class; raises ValueError that names each fault."""
    try:
        return _converter(detailed=True).structure(values, shape)
    except BaseValidationError as error:
        raise ValueError(faults_in(error)) from None


def faults_in(error: BaseValidationError) -> str:
    """Every fault that a converter found, each with its key, in a line."""
    return "; ".join(text for _, text in _faults(error, ()))


def _problems(
    document: Document, values: Any, shape: type, prefix: tuple[str, ...]
) -> Iterator[Problem]:
    try:
        _converter(detailed=True, of_program=document.of_program).structure(values, shape)
    except BaseValidationError as error:
        for path, message in _faults(error, ()):
            yield document.problem((*prefix, *path), message)
    else:
        raise AssertionError("the two converters disagree")


# Errors: cattrs hangs the path on exceptions as notes; walk it down to each fault.


def _faults(
    error: BaseException, path: tuple[str | int, ...]
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if isinstance(error, BaseValidationError):
        for inner in error.exceptions:
            yield from _faults(inner, path + _step(inner))
    elif isinstance(error, ForbiddenExtraKeysError):
        for key in sorted(error.extra_fields):
            known = nearest(key, [field.name for field in attrs.fields(error.cl)])
            hint = f"; did you mean {known}?" if known else ""
            yield (*path, key), f"unknown key {_where(path)}{_cut(key)}{hint}"
    elif isinstance(error, KeyError) and error.args:
        yield path, f"{_where(path)}{error.args[0]} is missing; it must be given"
    else:
        yield path, f"{_name(path)}: {error}"


def _step(error: BaseException) -> tuple[str | int, ...]:
    for note in getattr(error, "__notes__", ()):
        if isinstance(note, AttributeValidationNote):
            return (
                () if isinstance(error, KeyError) and error.args == (note.name,) else (note.name,)
            )
        if isinstance(note, IterableValidationNote):
            return (note.index,)
    return ()


def _where(path: tuple[str | int, ...]) -> str:
    return f"{_name(path)}." if path else ""


def _name(path: tuple[str | int, ...]) -> str:
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{_cut(step)}" if text else step
    return text


def _cut(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


# Strict hooks


def _said(value: Any) -> str:
    kinds = {bool: "true or false", str: "a text", int: "a number", float: "a number"}
    kinds |= {list: "a list", dict: "a table"}
    kind = kinds.get(type(value), "a date or time")
    return f"{kind} ({_cut(str(value))})" if not isinstance(value, list | dict) else kind


def _text(value: Any, _: object) -> str:
    if type(value) is not str:
        raise Wrong(f"a text in quotes is expected, this is {_said(value)}")
    return value


def _ref(value: Any, kind: object) -> str:
    text = _text(value, kind)
    if not text.strip() or "/" in text or "#" in text or len(text) > MAX_NAME:
        raise Wrong(f"a ref is a short name without / and #, this is {_cut(text)!r}")
    return text


def _item_id(value: Any, kind: object) -> str:
    text = _text(value, kind)
    if not text.strip() or "#" in text or ":" in text or len(text) > MAX_NAME:
        raise Wrong(f"an id is a short name without # and :, this is {_cut(text)!r}")
    return text


def _bool(value: Any, _: object) -> bool:
    if type(value) is not bool:
        raise Wrong(f"true or false is expected, this is {_said(value)}")
    return value


def _int(value: Any, _: object) -> int:
    if type(value) is not int:
        raise Wrong(f"a whole number is expected, this is {_said(value)}")
    return value


def _count(value: Any, kind: object) -> int:
    number = _int(value, kind)
    if not 1 <= number <= MAX_COUNT:
        raise Wrong(f"a count from 1 to {MAX_COUNT:,} is expected, this is {_cut(str(number))}")
    return number


def _tally(value: Any, kind: object) -> int:
    number = _int(value, kind)
    if not 0 <= number <= MAX_COUNT:
        raise Wrong(f"a number from 0 to {MAX_COUNT:,} is expected, this is {_cut(str(number))}")
    return number


def _float(value: Any, _: object) -> float:
    if type(value) not in (int, float) or not math.isfinite(value):
        raise Wrong(f"a number is expected, this is {_said(value)}")
    return float(value)


def _factor(value: Any, kind: object) -> float:
    number = _float(value, kind)
    if not 0 < number <= 100:
        raise Wrong(f"a factor above 0 and up to 100 is expected, this is {number:g}")
    return number


def _grade(value: Any, kind: object) -> int:
    grade = model.EN_GRADES.get(_int(value, kind), value)
    if grade not in model.GRADES:
        known = ", ".join(map(str, model.GRADES))
        raise Wrong(f"grade {value} is none of {known} (EN's 8, 10, 12 read as 80, 100, 120)")
    return int(grade)


def _date(value: Any, _: object) -> datetime.date:
    if type(value) is not datetime.date:
        raise Wrong(
            f"a date such as 2027-06-30, without quotes, is expected; this is {_said(value)}"
        )
    return value


def _date_or_text(value: Any, _: object) -> datetime.date | str:
    if type(value) not in (datetime.date, str):
        raise Wrong(f"a date or a text is expected, this is {_said(value)}")
    return value  # type: ignore[no-any-return]


def _from_text(
    build: Callable[[Any, object], Any],
) -> Callable[[Any, object], Any]:
    """The hook that takes a date as the text that JSON has of it, too."""

    def hook(value: Any, kind: object) -> Any:
        if type(value) is str and _ISO_DATE.fullmatch(value):
            with suppress(ValueError):  # no such day: the hook says so in its own words
                value = datetime.date.fromisoformat(value)
        return build(value, kind)

    return hook


def _table(value: Any, _: object) -> dict[str, Any]:
    if type(value) is not dict:
        raise Wrong(f"a table is expected, this is {_said(value)}")
    return value


def _quantity_hook(kind: type[Quantity]) -> Callable[[Any, object], Quantity]:
    def hook(value: Any, _: object) -> Quantity:
        if type(value) is not str:
            what = f"{kind.article} {kind.dimension}"
            raise Wrong(f"{what} is written {kind.spellings}, this is {_said(value)}")
        try:
            return kind.parse(value)
        except QuantityError as error:
            raise Wrong(str(error)) from None

    return hook


def _is_choice(kind: Any) -> bool:
    return get_origin(kind) is Literal


def _choice_hook(kind: Any) -> Callable[[Any, object], Any]:
    allowed = get_args(kind)

    def hook(value: Any, _: object) -> Any:
        if value in allowed and type(value) in {type(choice) for choice in allowed}:
            return value
        known = ", ".join(str(choice) for choice in allowed)
        close = nearest(value, [str(c) for c in allowed]) if isinstance(value, str) else None
        hint = f"; did you mean {close}?" if close else ""
        raise Wrong(f"one of {known} is expected, this is {_said(value)}{hint}")

    return hook


def _as(build: Callable[[Any, Any], T], kind: Any) -> Callable[[Any, Any], T]:
    inner = get_args(kind)[0]
    return lambda value, _: build(value, inner)


def _is_optional(kind: Any) -> bool:
    return get_origin(kind) in (Union, UnionType) and get_args(kind)[1:] == (type(None),)


def _is_list(kind: Any) -> bool:
    return get_origin(kind) is tuple and get_args(kind)[-1:] == (Ellipsis,)


def _is_table_of(kind: Any) -> bool:
    return get_origin(kind) is dict and get_args(kind)[1] is not Any


def _list_hook_factory(converter: Converter) -> Callable[[Any], Callable[[Any, object], Any]]:
    def factory(kind: Any) -> Callable[[Any, object], Any]:
        build: Any = converter.get_structure_hook(list[get_args(kind)[0]])  # type: ignore[misc]

        def hook(value: Any, target: object) -> Any:
            if type(value) is not list:
                raise Wrong(f"a list is expected, this is {_said(value)}")
            return tuple(build(value, target))

        return hook

    return factory


def _one_or_more_counts(value: Any, kind: object) -> tuple[int, ...]:
    return tuple(_count(v, kind) for v in (value if type(value) is list and value else [value]))


_ANGLE = _quantity_hook(Angle)
_LENGTH = _quantity_hook(Length)


def _one_or_more_lengths(value: Any, kind: object) -> tuple[Quantity, ...]:
    values = value if type(value) is list and value else [value]
    return tuple(_LENGTH(one, kind) for one in values)


def _one_or_two_angles(value: Any, kind: object) -> Any:
    if type(value) is list and len(value) == 2:
        return (_ANGLE(value[0], kind), _ANGLE(value[1], kind))
    return _ANGLE(value, kind)


def _leg_angle_hook(converter: Converter, shape: type) -> Callable[[Any, object], Any]:
    from cattrs.gen import make_dict_structure_fn

    build: Any = make_dict_structure_fn(shape, converter)

    def hook(value: Any, target: Any) -> Any:
        if type(value) is not dict:
            raise Wrong(
                'an angle of a leg says from where: { from_horizontal = "60 deg" } or'
                f' {{ from_vertical = "30 deg" }}; this is {_said(value)}'
            )
        angle: Any = build(value, target)
        if (angle.from_horizontal is None) == (angle.from_vertical is None):
            raise Wrong("an angle is given from_horizontal or from_vertical, one of the two")
        ends = (angle.horizontal,) if shape is model.LegAngle else (angle.flattest, angle.steepest)
        if not all(0 < end <= 90 for end in ends):
            raise Wrong("a leg stands above 0 and up to 90 deg from the horizontal")
        return angle

    return hook


def _guard_tables(build: Callable[[Any, Any], T]) -> Callable[[Any, Any], T]:
    def hook(value: Any, target: Any) -> T:
        if type(value) is not dict:
            raise Wrong(f"a table is expected, this is {_said(value)}")
        return build(value, target)

    return hook


_SCALARS: dict[Any, Callable[[Any, object], Any]] = {
    str: _text,
    bool: _bool,
    int: _int,
    float: _float,
    model.Ref: _ref,
    model.ItemId: _item_id,
    model.Grade: _grade,
    model.Count: _count,
    model.Readings: _one_or_more_lengths,
    model.Tally: _tally,
    model.Factor: _factor,
    dict[str, Any]: _table,
    Angle | tuple[Angle, Angle] | None: _one_or_two_angles,
} | {kind: _quantity_hook(kind) for kind in (Length, Offset, Load, Angle, Temperature)}


_DATES: dict[Any, Callable[[Any, object], Any]] = {
    datetime.date: _date,
    Union[datetime.date, str]: _date_or_text,  # noqa: UP007
    datetime.date | str | None: _date_or_text,
}


@cache
def _converter(*, detailed: bool, of_program: bool = False) -> Converter:
    from cattrs.gen import make_dict_structure_fn

    converter = Converter(detailed_validation=detailed, forbid_extra_keys=True)
    converter.register_structure_hook_factory(
        attrs.has, lambda shape: _guard_tables(make_dict_structure_fn(shape, converter))
    )
    converter.register_structure_hook_factory(_is_choice, _choice_hook)
    # TOML has no null: what is there is never None, and what is left out is never structured
    converter.register_structure_hook_factory(
        _is_optional, lambda kind: _as(converter.get_structure_hook(get_args(kind)[0]), kind)
    )
    converter.register_structure_hook_factory(_is_list, _list_hook_factory(converter))
    converter.register_structure_hook_factory(
        _is_table_of, lambda kind: _guard_tables(converter.gen_structure_mapping(kind))
    )
    dates = {kind: _from_text(hook) for kind, hook in _DATES.items()} if of_program else _DATES
    for kind, hook in (_SCALARS | dates | {tuple[model.Count, ...]: _one_or_more_counts}).items():
        if isinstance(kind, type):
            converter.register_structure_hook(kind, hook)
        else:
            converter.register_structure_hook_func(partial(eq, kind), hook)
    for shape in (model.LegAngle, model.TagAngle):  # these build on the hooks above
        converter.register_structure_hook(shape, _leg_angle_hook(converter, shape))
    return converter
