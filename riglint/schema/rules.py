"""The `[rules.NAME]` tables of a policy: level and settings of the rules in use."""

from __future__ import annotations

import inspect
from collections.abc import Iterable
from typing import Any, get_args

from ..model import SettingLevel
from ..rule import Rule
from .objects import Maker


def rules_schema(rules: Iterable[Rule], maker: Maker) -> dict[str, Any]:
    """The tables of these rules, by name and alias; no other name is taken."""
    tables = {
        name: _table(rule, maker)
        for rule in sorted(rules, key=lambda rule: rule.name)
        for name in (rule.name, *rule.aliases)
    }
    return {"type": "object", "properties": tables, "additionalProperties": False}


def _table(rule: Rule, maker: Maker) -> dict[str, Any]:
    made: dict[str, Any] = {"type": "object", "properties": {}, "additionalProperties": False}
    if rule.settings is not None:
        made = maker.table(rule.settings)
        for schema in made["properties"].values():
            schema.setdefault("description", inspect.cleandoc(rule.settings.__doc__ or rule.title))
    made["properties"] = {"level": _level(rule)} | made["properties"]
    return {"description": f"{rule.title}. {rule.because}"} | made


def _level(rule: Rule) -> dict[str, Any]:
    if rule.waivable:
        usual = rule.level if rule.on else "off"
        text = f"The highest level that its findings may have, or off (of itself: {usual})"
        return {"description": text, "enum": list(get_args(SettingLevel))}
    text = "A matter of safety: it can be neither switched off nor lowered"
    return {"description": text, "enum": [rule.level]}
