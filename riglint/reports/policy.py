"""A policy as it applies: its values in groups, each with the line that it comes from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Console
from rich.table import Table

from ..effective import Value
from .text import DIM, say


def print_policy(place: str | None, values: Iterable[Value], console: Console) -> None:
    """Print every value of a policy beside its origin."""
    console.print(say(place or "no policy: what riglint goes by of itself", "bold"))
    table = Table.grid(padding=(0, 2), expand=True)
    table.add_column(overflow="fold", ratio=3)
    table.add_column(overflow="fold", ratio=2)
    for one in values:
        said = f"{one.key.partition('[')[0]} = {_short(one)}"
        table.add_row(say(said), say(_origin(one), DIM))
    console.print(table)


def _short(one: Value) -> str:
    if one.key.startswith("requirement."):
        return f"{one.value.get('level', 'error')}: {one.value['because']}"
    return _said(one.value)


def _said(value: Any) -> str:
    if isinstance(value, dict):
        inside = (f"{name} = {_said(one)}" for name, one in value.items())
        return f"{{ {', '.join(inside)} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(_said, value))}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def _origin(one: Value) -> str:
    line = f":{one.line}" if one.line is not None else ""
    folder = f", for {one.folder}" if one.folder else ""
    return f"{one.file}{line}{folder}"
