"""What every kind of figure shares: the sling, and the memory of what was computed."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from ..finding import Unstated
from ..sling import Gathering, Part, Sling

P = ParamSpec("P")
F = TypeVar("F", bound="Figures")
T = TypeVar("T")


def remembered(method: Callable[Concatenate[F, P], T]) -> Callable[Concatenate[F, P], T]:
    """Compute once per sling and arguments; an `Unstated` is remembered and raised again."""
    name = method.__name__

    def wrapper(self: F, *args: P.args, **kwargs: P.kwargs) -> T:
        key = (name, args, *kwargs.items()) if kwargs else (name, args)
        value = self._known.get(key, _UNKNOWN)
        if value is _UNKNOWN:
            try:
                value = method(self, *args, **kwargs)
            except Unstated as gap:
                value = gap
            self._known[key] = value
        if isinstance(value, Unstated):
            raise value.with_traceback(None)
        return value  # type: ignore[no-any-return]

    return wraps(method)(wrapper)  # type: ignore[return-value]


_UNKNOWN = object()


class Figures:
    """The figures of one sling, each computed when it is first asked for."""

    def __init__(self, sling: Sling) -> None:
        self.sling = sling
        self._known: dict[Any, Any] = {}
        self._gatherings: dict[str, Gathering] = {g.path: g for g in sling.gatherings}


def sheet_of(part: Part) -> str:
    """The sheet that a part's figures come from, as a source."""
    item = part.item
    said = item.sheet.source or item.catalog.content.catalog.source
    return f"sheet of {item.id}" + (f" ({said})" if said else "")
