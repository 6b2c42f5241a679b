"""Names of a package that load when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def load_later(package: str, names: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """The `__getattr__` of a package, by its modules and the names that each brings."""

    def load(name: str) -> Any:
        for module, brought in names.items():
            if name in brought:
                return getattr(import_module(f".{module}", package), name)
        raise AttributeError(f"module {package!r} has no attribute {name!r}")

    return load
