"""Packs of rules: how they are registered and collected. pluggy collects, nothing runs here."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from types import ModuleType
from typing import Any

import pluggy
from attrs import evolve, field, frozen

from .problem import Problem, said
from .rule import Rule

PROJECT = "riglint"
API_VERSION = 1
STANDARD = "standard"
STANDARD_MODULE = "riglint_rules"
ENTRY_POINTS = "riglint.packs"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@frozen
class PackContext:
    """What the engine tells a pack when it asks for its rules."""

    api_version: int = API_VERSION


@frozen
class Pack:
    """A set of rules under one name. `api_version` is the one that it was written for.

    `retired` are rules that it once had, each with what to do instead: a policy or permit that
    still names one is told so, and is no error.
    """

    name: str
    version: str
    api_version: int
    rules: tuple[Rule, ...]
    retired: Mapping[str, str] = field(factory=dict)


class Hooks:
    """The hooks that a pack implements."""

    @hookspec
    def riglint_pack(self, context: PackContext) -> Pack:
        """The pack with its rules. Called once a process."""
        raise NotImplementedError  # pragma: no cover


@frozen
class RuleBook:
    """The rules of all packs in use, by name, and what could not be loaded."""

    rules: tuple[Rule, ...]
    packs: tuple[Pack, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def retired(self) -> dict[str, str]:
        """The names of rules that there are no more, with what to do instead."""
        return {
            _full_name(pack, name): text
            for pack in self.packs
            for name, text in pack.retired.items()
        }

    def notice(self, name: str) -> str | None:
        """What to say to someone who writes this name; None where it is a rule's own."""
        if name in self.retired:
            return f"there is no rule {name} any more: {self.retired[name]}"
        own = self.names().get(name, name)
        return None if own == name else f"the rule {name} is called {own} now"

    def names(self) -> dict[str, str]:
        """Every name and alias that a rule answers to, with the rule's own name."""
        prefix = {rule.owner: f"{rule.owner}:" for rule in self.rules if rule.owner != STANDARD}
        known = {
            prefix.get(rule.owner, "") + alias: rule.name
            for rule in self.rules
            for alias in rule.aliases
        }
        return known | {rule.name: rule.name for rule in self.rules}


def rules_in(*modules: ModuleType) -> tuple[Rule, ...]:
    """Every `Rule` that the modules define, in the order of their names."""
    found = {id(value): value for module in modules for value in vars(module).values()}
    return tuple(sorted((v for v in found.values() if isinstance(v, Rule)), key=lambda r: r.name))


def standard_book() -> RuleBook:
    """The rule book of the standard pack alone."""
    return rule_book()


def rule_book(packs: Iterable[str] = (), plugins: Iterable[Any] = ()) -> RuleBook:
    """The standard pack, the installed packs of these names, and the given plug-in objects.

    Each loads by itself: one that fails is a problem with its name, and the others stand.
    """
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(Hooks)
    problems: list[Problem] = []
    _register(manager, STANDARD, lambda: importlib.import_module(STANDARD_MODULE), problems)
    names = tuple(packs)
    if names:
        _register_installed(manager, names, problems)
    for plugin in plugins:
        name = str(getattr(plugin, "__name__", type(plugin).__name__))
        _register(manager, name, partial(_itself, plugin), problems)
    registered = [plugin for _, plugin in manager.list_name_plugin() if plugin is not None]
    asked = (_ask(manager, plugin, problems) for plugin in registered)
    made = list(_apart([pack for pack in asked if pack is not None], problems))
    made.sort(key=lambda pack: (pack.name != STANDARD, pack.name))
    return RuleBook(_collect(made, problems), tuple(made), tuple(problems))


def _itself(plugin: Any) -> Any:
    return plugin


def _register(
    manager: pluggy.PluginManager, name: str, get: Callable[[], Any], problems: list[Problem]
) -> None:
    if manager.has_plugin(name):
        problems.append(Problem(name, f"the rule pack {name} is registered twice"))
        return
    try:
        manager.register(get(), name=name)
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        problems.append(_failed(name, "does not load", error))


def _register_installed(
    manager: pluggy.PluginManager, names: tuple[str, ...], problems: list[Problem]
) -> None:
    from importlib.metadata import entry_points

    installed = {point.name: point for point in entry_points(group=ENTRY_POINTS)}
    for name in names:
        if name in installed:
            _register(manager, name, installed[name].load, problems)
        else:
            known = ", ".join(sorted(installed)) or "none"
            text = f"the rule pack {name} is not installed; installed packs: {known}"
            problems.append(Problem(name, text))


def _ask(manager: pluggy.PluginManager, plugin: Any, problems: list[Problem]) -> Pack | None:
    name = manager.get_name(plugin) or "?"
    others = [other for other in manager.get_plugins() if other is not plugin]
    callers = manager.get_hookcallers(plugin) or []
    if not any(caller.name == "riglint_pack" for caller in callers):
        problems.append(Problem(name, f"the rule pack {name} has no hook riglint_pack"))
        return None
    try:
        made = manager.subset_hook_caller("riglint_pack", others)(context=PackContext())
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        problems.append(_failed(name, "fails to register", error))
        return None
    pack = made[0] if made else None
    if not isinstance(pack, Pack) or not isinstance(pack.rules, tuple):
        problems.append(Problem(name, f"the rule pack {name} gives no Pack"))
        return None
    if pack.api_version != API_VERSION:
        text = f"was written for rule interface {pack.api_version}, this is {API_VERSION}"
        problems.append(Problem(name, f"the rule pack {name} {text}"))
        return None
    if pack.name == STANDARD and name != STANDARD:
        problems.append(Problem(name, f"the rule pack {name} calls itself {STANDARD}"))
        return None
    if not all(isinstance(rule, Rule) for rule in pack.rules):
        problems.append(Problem(name, f"the rule pack {name} gives something that is no rule"))
        return None
    return pack


def _apart(packs: list[Pack], problems: list[Problem]) -> Iterator[Pack]:
    """The packs, of two with one name the first."""
    seen: set[str] = set()
    for pack in packs:
        if pack.name in seen:
            problems.append(Problem(pack.name, f"two rule packs are called {pack.name}"))
        else:
            yield pack
        seen.add(pack.name)


def _full_name(pack: Pack, name: str) -> str:
    return name if pack.name == STANDARD else f"{pack.name}:{name}"


def _collect(packs: Iterable[Pack], problems: list[Problem]) -> tuple[Rule, ...]:
    rules: dict[str, Rule] = {}
    for pack in packs:
        for rule in pack.rules:
            name = _full_name(pack, rule.name)
            if name in rules:
                owner = rules[name].owner
                text = f"the rule {name} is given twice, by {owner} and by {pack.name}"
                problems.append(Problem(pack.name, text))
                continue
            rules[name] = evolve(rule, name=name, owner=pack.name)
    return tuple(rules[name] for name in sorted(rules))


def _failed(name: str, what: str, error: BaseException) -> Problem:
    return Problem(name, f"the rule pack {name} {what}: {said(error)}")
