"""From attrs classes and typed dicts to the schemas of tables."""

from __future__ import annotations

import datetime
from types import UnionType
from typing import (
    Annotated,
    Any,
    Literal,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

import attrs

from ..model import Count, LegAngle, Readings, TagAngle
from ..quantities import METRIC_UNITS, Length, Quantity
from .texts import TEXTS
from .values import NAMED, PLAIN, leg_angle_schema, one_or_more


class NoSchema(TypeError):
    """A field whose type has no schema yet; the message names the field."""


class Maker:
    """Makes schemas and gathers the definitions that they refer to, by the name of the type."""

    def __init__(self) -> None:
        self.defs: dict[str, dict[str, Any]] = {}

    def table(self, shape: type) -> dict[str, Any]:
        """The schema of an attrs class or of a typed dict; raises NoSchema."""
        if shape in (LegAngle, TagAngle):
            return self._leg_angle(shape)
        return self._typed_dict(shape) if is_typeddict(shape) else self._attrs(shape)

    def value(self, kind: Any, of: str = "") -> dict[str, Any]:
        """The schema of a type; `of` is the field that has it, for the message of NoSchema."""
        origin, args = get_origin(kind), get_args(kind)
        if origin is Annotated:
            return self.value(args[0], of) | {"description": args[1]}
        if kind in NAMED or attrs.has(kind) or is_typeddict(kind):
            return self._named(kind)
        if kind in PLAIN:
            return dict(PLAIN[kind])
        if origin is Literal:
            return {"enum": list(args)}
        if origin in (Union, UnionType):
            return self._one_of(args, of)
        if origin in (tuple, list):
            return self._list(args, of)
        if origin is dict:
            inner = self.value(args[1], of)
            return {"type": "object"} | ({"additionalProperties": inner} if inner else {})
        raise NoSchema(f"{of}: riglint/schema has no schema for the type {kind}")

    def _named(self, kind: Any) -> dict[str, Any]:
        name = kind.__name__
        if name not in self.defs:
            self.defs[name] = {}  # a table may hold itself
            self.defs[name] = dict(NAMED[kind]) if kind in NAMED else self.table(kind)
            if kind is Readings:
                self._named(Length)
        return {"$ref": f"#/$defs/{name}"}

    def _one_of(self, kinds: tuple[Any, ...], of: str) -> dict[str, Any]:
        if set(kinds) == {datetime.date, str}:
            return {"type": "string"}
        made = [self.value(kind, of) for kind in kinds]
        return made[0] if len(made) == 1 else {"anyOf": made}

    def _list(self, kinds: tuple[Any, ...], of: str) -> dict[str, Any]:
        items = self.value(kinds[0], of)
        if kinds == (Count, ...):
            return one_or_more(items)
        many = kinds[-1] is ... or len(kinds) == 1
        just = {} if many else {"minItems": len(kinds), "maxItems": len(kinds)}
        return {"type": "array", "items": items} | just

    def _attrs(self, shape: type) -> dict[str, Any]:
        kinds = get_type_hints(shape)
        made: dict[str, Any] = {"type": "object", "properties": {}, "additionalProperties": False}
        for one in attrs.fields(shape):
            name = f"{shape.__name__}.{one.name}"
            schema = self.value(_stated(kinds[one.name]), name)
            if name in TEXTS:
                schema["description"] = TEXTS[name]
            made["properties"][one.name] = schema | _default(one.default)
        required = [one.name for one in attrs.fields(shape) if one.default is attrs.NOTHING]
        return made | ({"required": required} if required else {})

    def _typed_dict(self, shape: Any) -> dict[str, Any]:
        kinds = get_type_hints(shape, include_extras=True)
        return {
            "type": "object",
            "properties": {
                key: self.value(kind, f"{shape.__name__}.{key}") for key, kind in kinds.items()
            },
            "additionalProperties": False,
            "required": [key for key in kinds if key in shape.__required_keys__],
        }

    def _leg_angle(self, shape: type) -> dict[str, Any]:
        properties: dict[str, Any] = {}
        for one in attrs.fields(shape):
            schema = leg_angle_schema(one.name)
            if shape is TagAngle:
                ends = {"type": "array", "items": schema, "minItems": 2, "maxItems": 2}
                schema = {"anyOf": [schema, ends]}
            properties[one.name] = schema | {"description": TEXTS[f"{shape.__name__}.{one.name}"]}
        return {
            "type": "object",
            "properties": properties,
            "additionalProperties": False,
            "oneOf": [{"required": [name]} for name in properties],
        }


def _stated(kind: Any) -> Any:
    """The type of a value that is there: TOML has no null."""
    if get_origin(kind) not in (Union, UnionType):
        return kind
    return Union[tuple(one for one in get_args(kind) if one is not type(None))]  # noqa: UP007


def _default(value: Any) -> dict[str, Any]:
    if isinstance(value, Quantity):
        return {"default": METRIC_UNITS.show(value)}
    if isinstance(value, tuple) and len(value) == 1:
        return {"default": value[0]}
    return {"default": value} if isinstance(value, bool | int | float | str) and value != "" else {}
