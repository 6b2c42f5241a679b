"""Packs of rules: how they are registered and collected. pluggy collects, nothing runs here."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, partial
from pathlib import Path
from types import ModuleType
from typing import Any, TextIO

import pluggy
from attrs import evolve, field, frozen

from .house import HouseRules
from .problem import Problem, Unreadable, is_interrupt, said
from .rule import Rule

PROJECT = "riglint"
API_VERSION = 1
STANDARD = "standard"
STANDARD_MODULE = "riglint_rules"
ENTRY_POINTS = "riglint.packs"
REPORT_NAME = re.compile("[a-z0-9]+(-[a-z0-9]+)*")
HOUSE = "house"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@frozen
class PackContext:
    """What the engine tells a pack when it asks for its rules."""

    api_version: int = API_VERSION


def _on_disk(given: Any) -> Path | None:
    return None if given is None else Path(str(given))


def _all_on_disk(given: Iterable[Any]) -> tuple[Path, ...]:
    return tuple(Path(str(path)) for path in given)


@frozen
class ReportKind:
    """A way to write a report: `write` takes the `Report` and the text stream to write it to.

    `name` is what `--report` asks for, of letters, digits and hyphens; `title` says in a few
    words what it gives.
    """

    name: str
    title: str
    write: Callable[[Any, TextIO], None]


@frozen
class Pack:
    """What a pack brings under one name. `api_version` is the one that it was written for.

    `policy` is a policy that others may be based on (`based_on = "pack:NAME"`); `catalogs` are in
    use wherever a policy names the pack; `tables` are TOML files in the shape of
    `specs/tables/`, reached by `ctx.table("NAME:FILE")`. All are paths of the pack's own files,
    as `importlib.resources.files(...)` gives them.

    `retired` are rules that it once had, each with what to do instead: a policy or permit that
    still names one is told so, and is no error.
    """

    name: str
    version: str
    api_version: int
    rules: tuple[Rule, ...] = ()
    reports: tuple[ReportKind, ...] = ()
    policy: Path | None = field(default=None, converter=_on_disk)
    catalogs: tuple[Path, ...] = field(default=(), converter=_all_on_disk)
    tables: tuple[Path, ...] = field(default=(), converter=_all_on_disk)
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
    house: HouseRules = HouseRules()

    @property
    def catalogs(self) -> tuple[Path, ...]:
        """The catalogs that the packs bring."""
        return tuple(path for pack in self.packs for path in pack.catalogs)

    @cached_property
    def tables(self) -> Mapping[str, Path]:
        """The tables that the packs bring, by the names that rules ask for."""
        return {name: path for pack in self.packs for name, path in tables_of(pack).items()}

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


def tables_of(pack: Pack) -> dict[str, Path]:
    """The tables that a pack brings, by the names that its rules ask for."""
    return {f"{pack.name}:{path.name.removesuffix('.toml')}": path for path in pack.tables}


def standard_book() -> RuleBook:
    """The rule book of the standard pack alone."""
    return rule_book()


def rule_book(
    packs: Iterable[str] = (),
    plugins: Iterable[Any] = (),
    requirement: Iterable[Rule] = (),
    house: HouseRules | None = None,
) -> RuleBook:
    """The standard pack, the installed packs of these names, and the given plug-in objects.

    Each loads by itself: one that fails is a problem with its name, and the others stand.
    `requirement` and `house` are the rules of a policy's own, which are called `house:NAME`.
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
    asked = [_ask(manager, plugin, problems) for plugin in registered]
    house = house or HouseRules()
    own = (*requirement, *house.rules)
    asked.append(Pack(HOUSE, "", API_VERSION, own) if own else None)
    made = list(_apart([pack for pack in asked if pack is not None], problems))
    made.sort(key=lambda pack: (pack.name != STANDARD, pack.name))
    rules = _collect(made, problems)
    return RuleBook(rules, tuple(made), (*problems, *house.problems), house)


def installed_pack(name: str) -> Pack:
    """The installed pack of that name, without its rules being put in use.

    Raises Unreadable where there is none, or it does not load.
    """
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(Hooks)
    problems: list[Problem] = []
    _register_installed(manager, (name,), problems)
    for plugin in manager.get_plugins():
        pack = _ask(manager, plugin, problems)
        if pack is not None:
            return pack
    raise Unreadable(*problems)


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
    except BaseException as error:
        if is_interrupt(error):
            raise
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
    except BaseException as error:
        if is_interrupt(error):
            raise
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
    for path in filter(None, (pack.policy, *pack.catalogs, *pack.tables)):
        if not path.is_file():
            text = f"the rule pack {name} brings {path.name}, and there is no such file"
            problems.append(Problem(name, text))
    return evolve(pack, reports=tuple(_named_reports(pack, problems)))


def _named_reports(pack: Pack, problems: list[Problem]) -> Iterator[ReportKind]:
    """The reports of a pack under their full names; what is none, or the second of a name, is
    a problem."""
    seen: set[str] = set()
    for kind in pack.reports if isinstance(pack.reports, tuple) else (pack.reports,):
        if not isinstance(kind, ReportKind):
            text = f"the rule pack {pack.name} gives something that is no report"
        elif not REPORT_NAME.fullmatch(str(kind.name)):
            text = (
                f"the rule pack {pack.name} calls a report {kind.name!r}: letters, digits, hyphens"
            )
        elif kind.name in seen:
            text = f"the rule pack {pack.name} gives the report {kind.name} twice"
        else:
            seen.add(kind.name)
            yield evolve(kind, name=f"{pack.name}:{kind.name}")
            continue
        problems.append(Problem(pack.name, text))


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
