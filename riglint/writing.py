"""Builds, catalogs, records and policies back to TOML: what is written reads back equal."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import attrs
from cattrs import Converter

from . import model
from .paths import real
from .policy import Policy
from .quantities import MAX_TEXT, Quantity, QuantityError
from .source import MAX_DEPTH, pointer
from .stock import Catalog

Written = model.Build | model.CatalogFile | model.RecordFile | model.PolicyFile | Catalog | Policy


# What a policy holds otherwise than its file: rules made of it, folders and modules found.
NOT_WRITTEN = ("house_rules", "requirement", "folders")


def dump(written: Written) -> str:
    """A build, catalog, record or policy as the TOML text of a file that reads back equal.

    A quantity keeps the text that it was written in; a computed one is written in mm, kg, deg or
    degC. What equals its default is left out. Raises ValueError for what no file can hold.
    """
    import tomli_w

    try:
        return tomli_w.dumps(file_values(written))
    except TypeError as error:
        raise ValueError(f"this cannot be written: {error}") from None


def file_values(written: Any) -> dict[str, Any]:
    """The TOML values of a build, catalog, record or policy, or of a table of one.

    Raises ValueError that names each quantity that cannot be written by its key.
    """
    if isinstance(written, Catalog):
        written = written.content
    if isinstance(written, Policy):
        written = _policy_file(written)
    if not attrs.has(type(written)) or type(written).__module__ != model.__name__:
        raise ValueError(f"{type(written).__name__} is not written to files")
    try:
        return dict(_writer().unstructure(written))
    except (ValueError, TypeError, AttributeError, LookupError, RecursionError) as error:
        faults = "; ".join(_faults(written, ()))
        raise ValueError(faults or f"this cannot be written: {error}") from None


def _faults(value: Any, path: tuple[str | int, ...]) -> Iterator[str]:
    """Every quantity below that cannot be written, with its key."""
    if isinstance(value, Quantity):
        try:
            written_text(value)
        except ValueError as error:
            yield f"{pointer(path)}: {error}"
    elif attrs.has(type(value)):
        for field in attrs.fields(type(value)):
            yield from _faults(getattr(value, field.name), (*path, field.name))
    elif isinstance(value, tuple | list) and len(path) <= MAX_DEPTH:
        for index, one in enumerate(value):
            yield from _faults(one, (*path, index))
    elif isinstance(value, Mapping) and len(path) <= MAX_DEPTH:
        for key, one in value.items():
            yield from _faults(one, (*path, str(key)))


def written_text(quantity: Quantity) -> str:
    """A quantity as files have it: its own text, else its number in the internal unit.

    Raises ValueError where the number is too long to be read back, or is none.
    """
    kind = type(quantity)
    texts = [quantity.text] if quantity.text else []
    try:
        texts.append(f"{Decimal(repr(float(quantity))):f} {kind.internal}")
        for text in texts:
            if len(text) <= MAX_TEXT and kind.parse(text) == quantity:
                return text
    except (QuantityError, ValueError, OverflowError):
        pass
    raise ValueError(f"{kind.article} {kind.dimension} of {float(quantity)!r} cannot be written")


@cache
def _writer() -> Converter:
    converter = Converter(
        omit_if_default=True, unstruct_collection_overrides={tuple: list, Mapping: dict}
    )
    converter.register_unstructure_hook_func(_is_quantity, _written)
    return converter


def _written(value: Any) -> Any:
    """A quantity as text; a bare number stays one, for the reader to refuse by its key."""
    return written_text(value) if isinstance(value, Quantity) else value


def _is_quantity(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Quantity)


def _policy_file(policy: Policy) -> model.PolicyFile:
    """A policy as its file would state it, its base policies already laid under it."""
    for name in NOT_WRITTEN:
        if getattr(policy, name, ()):
            raise ValueError(f"a policy with {name} is written from its PolicyFile alone")
    taken = {field.name for field in attrs.fields(Policy)}
    names = [field.name for field in attrs.fields(model.PolicyFile)]
    same = {
        name: getattr(policy, name) for name in names if name in taken and name not in NOT_WRITTEN
    }
    rules: dict[str, dict[str, Any]] = {
        name: {} if settings is None else dict(_writer().unstructure(settings))
        for name, settings in policy.settings.items()
    }
    for name, level in policy.levels.items():
        rules.setdefault(name, {})["level"] = level
    home = Path(policy.file).parent if policy.file else Path()
    catalogs = tuple(_pattern(path, home) for path in policy.catalogs)
    return model.PolicyFile(**{**same, "catalogs": catalogs, "rules": rules})


def _pattern(path: Path, home: Path) -> str:
    """A pattern that matches a file and nothing else, relative to the folder of the policy."""
    from glob import escape

    return escape(Path(os.path.relpath(path, real(home))).as_posix())
