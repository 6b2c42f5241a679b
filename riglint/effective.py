"""A policy as it applies in one place: every value, and the file and line that it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from attrs import fields, frozen

from .book import Pack
from .layers import OF_PACK, Layer, read_layers
from .model import Practice
from .paths import real
from .policy import Policy
from .quantities import METRIC_UNITS, Quantity

BUILT_IN = "built in"
LISTS = ("catalogs", "fail_on", "packs", "house_rules")
# How deep the keys of a table are merged: below that a value replaces another whole.
DEPTHS = {"duty": 2, "practice": 2, "rules": 3}


@frozen
class Value:
    """One value of a policy: its key, what it is, and where it is written.

    `file` is "built in" where no policy says otherwise; `folder` is the folder table that it
    stands in.
    """

    key: str
    value: Any
    file: str = BUILT_IN
    line: int | None = None
    folder: str | None = None


def effective_values(
    path: Path | None,
    policy: Policy,
    shown: str,
    root: Path | None,
    at: Path,
    packs: Iterable[Pack] = (),
) -> tuple[Value, ...]:
    """Every value of a policy as it applies to the file or folder `at`, in the order of the keys.

    `policy` is the policy in `path`, loaded without a fault; None for no policy at all. `packs`
    are those in use, which may bring catalogs.
    """
    found = {value.key: value for value in _built_in()}
    inside = real(root or path.parent) if path else Path()
    layers = read_layers(path, shown, inside) if path else []
    if any(layer.written.fail_on for layer in layers):
        found.pop("fail_on[error]")
    for layer in layers:
        found |= {value.key: value for value in _of_layer(layer)}
    for pack in packs:
        for one in pack.catalogs:
            key = f"catalogs[{pack.name}:{one.name}]"
            found[key] = Value(key, one.name, f"{OF_PACK}{pack.name}")
    for folder in policy.folders_of(at):
        for layer in layers:
            if folder.file == layer.document.file:
                found = _under(found, layer, folder.name)
    return tuple(sorted(found.values(), key=lambda value: _order(value.key)))


def _built_in() -> Iterator[Value]:
    yield Value("fail_on[error]", "error")
    for one in fields(Practice):
        value = one.default
        yield Value(f"practice.{one.name}", _toml(value))


def _toml(value: Any) -> Any:
    return METRIC_UNITS.show(value) if isinstance(value, Quantity) else value


def _of_layer(layer: Layer) -> Iterator[Value]:
    for name, value in layer.values.items():
        if name in LISTS:
            yield from _listed(layer, (name,), value)
        elif name in DEPTHS:
            yield from _leaves(layer, (name,), value, DEPTHS[name] - 1)
        elif name == "requirement":
            for index, one in enumerate(value):
                yield _value(layer, (name, index), f"requirement.{one['name']}", one)
        elif name == "based_on":
            yield _value(layer, (name,), f"based_on[{value}]", value)


def _listed(layer: Layer, key: tuple[str | int, ...], values: list[Any]) -> Iterator[Value]:
    for index, value in enumerate(values):
        yield _value(layer, (*key, index), f"{key[-1]}[{value}]", value)


def _leaves(
    layer: Layer, key: tuple[str, ...], value: Any, deeper: int, skip: int = 0
) -> Iterator[Value]:
    if deeper and isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _leaves(layer, (*key, name), inner, deeper - 1, skip)
    else:
        yield _value(layer, key, ".".join(map(_quoted, key[skip:])), value)


def _quoted(name: str) -> str:
    plain = name.replace("-", "").replace("_", "").isalnum() and name.isascii()
    return name if plain else f'"{name}"'


def _value(
    layer: Layer, key: tuple[str | int, ...], name: str, value: Any, folder: str | None = None
) -> Value:
    return Value(name, value, layer.document.file, layer.place(key).line, folder)


def _under(found: dict[str, Value], layer: Layer, folder: str) -> dict[str, Value]:
    """The values with those of a folder table laid over."""
    table = layer.values["folder"][folder]
    own: list[Value] = []
    for name, value in table.items():
        key = ("folder", folder, name)
        if name == "fail_on":
            found = {k: v for k, v in found.items() if not k.startswith("fail_on[")}
            own += _listed(layer, key, value)
        else:
            own += _leaves(layer, key, value, DEPTHS[name] - 1, skip=2)
    named = (Value(v.key, v.value, v.file, v.line, folder) for v in own)
    return found | {value.key: value for value in named}


ORDER = ("based_on", "packs", "house_rules", "catalogs", "fail_on", "duty", "practice", "rules")


def _order(key: str) -> tuple[int, str]:
    first = key.partition(".")[0].partition("[")[0]
    return (ORDER.index(first) if first in ORDER else len(ORDER)), key
