"""The company's own standard: which catalogs, which rules at which level, which practice."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from .book import RuleBook
from .finding import LEVELS
from .globbing import matching
from .model import Duty, FailOn, PolicyFile, Practice, Requirement, SettingLevel
from .problem import Problem, Unreadable
from .reading import read_policy, structure
from .rule import Rule
from .sling import with_defaults
from .source import Document, nearest, read_document

POLICY_NAME = "riglint.toml"
PROJECT_NAME = "pyproject.toml"


@frozen
class Policy:
    """A policy as it applies: catalogs as files, settings by rule, and the shop's practice."""

    file: str | None = None
    catalogs: tuple[Path, ...] = ()
    fail_on: tuple[FailOn, ...] = ("error",)
    packs: tuple[str, ...] = ()
    house_rules: tuple[str, ...] = ()
    duty: Duty = Duty()
    practice: Practice = Practice()
    levels: Mapping[str, SettingLevel] = field(factory=dict)
    settings: Mapping[str, Any] = field(factory=dict)
    requirement: tuple[Requirement, ...] = ()
    notices: tuple[str, ...] = ()


def find_policy(path: Path) -> Path | None:
    """The policy for a path: `riglint.toml`, or a `[tool.riglint]`, in its folder or above."""
    start = path.resolve()
    for folder in (start, *start.parents) if start.is_dir() else start.parents:
        if os.path.lexists(folder / POLICY_NAME):  # whatever it is: reading it says so
            return folder / POLICY_NAME
        project = folder / PROJECT_NAME
        if project.is_file() and _has_table(project):
            return project
    return None


def _has_table(project: Path) -> bool:
    try:
        return "riglint" in read_document(project).values.get("tool", {})
    except (Unreadable, AttributeError):
        return False


@frozen
class _Layer:
    """One policy file of those that build on each other."""

    path: Path
    document: Document
    prefix: tuple[str, ...]
    values: dict[str, Any]
    written: PolicyFile

    def problem(self, key: tuple[str | int, ...], message: str) -> Problem:
        place = self.document.locate((*self.prefix, *key))
        return Problem(self.document.file, message, place.line, place.column)


def load_policy(
    path: Path,
    book: RuleBook | None = None,
    shown: str | None = None,
    root: Path | None = None,
) -> Policy:
    """The policy in a file, laid over what it is based on, checked against the rules of a book.

    Every path in it stays under `root` (default: the file's own folder). Raises Unreadable with
    every unknown key, rule or setting, and every path or pattern that matches nothing or leaves
    the root.
    """
    inside = (root or path.parent).resolve()
    layers = _layers(path, shown or str(path), inside)
    catalogs: list[Path] = []
    problems: list[Problem] = []
    for layer in layers:
        finder = _Catalogs(layer, inside)
        catalogs += finder.find(layer.written.catalogs)
        problems += [*finder.problems, *_unsupported(layer)]
    if problems:
        raise Unreadable(*problems)
    policy = _together(layers, tuple(dict.fromkeys(catalogs)))
    return with_rules(policy, layers, book) if book else policy


def policy_in(document: Document, book: RuleBook) -> Policy:
    """The policy in a text of no folder: it can name no catalogs and build on no other policy.

    Raises Unreadable with every unknown key, rule or setting.
    """
    layer = _Layer(Path(document.file), document, (), document.values, read_policy(document))
    problems = [
        layer.problem((key,), f"{key} cannot be looked up: this policy is of no folder")
        for key in ("catalogs", "based_on")
        if getattr(layer.written, key)
    ]
    problems += _unsupported(layer)
    if problems:
        raise Unreadable(*problems)
    return with_rules(_together([layer], ()), [layer], book)


def _layers(path: Path, shown: str, root: Path) -> list[_Layer]:
    """The policy file and those that it is based on, the basic one first."""
    layers: list[_Layer] = []
    seen: set[Path] = set()
    place: Path | None = path
    while place is not None:
        layer = _read_layer(place, shown)
        layers.insert(0, layer)
        seen.add(place.resolve())
        base = layer.written.based_on
        place = None if base is None else layer.path.parent / base
        if place is None:
            break
        if place.resolve() in seen:
            raise Unreadable(layer.problem(("based_on",), "policies are based on each other"))
        if not place.resolve().is_relative_to(root):
            text = f"based_on leads out of {root.name or root}; allow more with --root"
            raise Unreadable(layer.problem(("based_on",), text))
        if not place.is_file():
            raise Unreadable(layer.problem(("based_on",), f"there is no file {base}"))
        shown = str(place)
    return layers


def _read_layer(path: Path, shown: str) -> _Layer:
    document = read_document(path, shown)
    values: Any = document.values
    prefix: tuple[str, ...] = ()
    if path.name == PROJECT_NAME:
        values, prefix = values["tool"]["riglint"], ("tool", "riglint")
    return _Layer(path, document, prefix, values, read_policy(document, values, prefix))


def _together(layers: list[_Layer], catalogs: tuple[Path, ...]) -> Policy:
    """Tables merge by key, lists append, the last file wins."""
    duty = Duty()
    practice: dict[str, Any] = {}
    for layer in layers:
        duty = with_defaults(layer.written.duty, duty)
        practice |= layer.values.get("practice", {})
    written = [layer.written for layer in layers]
    fail_on = tuple(dict.fromkeys(what for one in written for what in one.fail_on or ()))
    return Policy(
        file=layers[-1].document.file,
        catalogs=catalogs,
        fail_on=fail_on or ("error",),
        packs=tuple(dict.fromkeys(pack for one in written for pack in one.packs)),
        house_rules=tuple(rule for one in written for rule in one.house_rules),
        duty=duty,
        practice=structure(practice, Practice),
        requirement=tuple(asked for one in written for asked in one.requirement),
    )


def _unsupported(layer: _Layer) -> Iterator[Problem]:
    """Keys that are read and not served by this version: an error, so that none is ignored."""
    for key in ("house_rules", "requirement"):
        if getattr(layer.written, key):
            yield layer.problem((key,), f"{key} is not supported by this version of riglint")


class _Catalogs:
    """The files that a policy's patterns name, relative to its file and under the root."""

    def __init__(self, layer: _Layer, root: Path) -> None:
        self.layer, self.root = layer, root
        self.folder = layer.path.resolve().parent
        self.problems: list[Problem] = []

    def find(self, patterns: tuple[str, ...]) -> Iterator[Path]:
        seen: set[Path] = set()
        for index, pattern in enumerate(patterns):
            for path in self._matches(pattern, index):
                if path not in seen:
                    seen.add(path)
                    yield path

    def _matches(self, pattern: str, index: int) -> list[Path]:
        spelled = Path(os.path.normpath(self.folder / pattern))
        if Path(pattern).is_absolute() or not spelled.is_relative_to(self.root):
            self.wrong(index, f"the catalog pattern {pattern!r} leaves the policy's folder")
            return []
        try:
            found = sorted(matching(self.folder, pattern, self.root))
        except (ValueError, NotImplementedError, OSError, IndexError) as error:
            self.wrong(index, f"the catalog pattern {pattern!r} cannot be used: {error}")
            return []
        if not found:
            self.wrong(index, f"the catalog pattern {pattern!r} matches no file")
        outside = [path for path in found if not path.resolve().is_relative_to(self.root)]
        for path in outside:
            self.wrong(index, f"{path.name} leads out of the policy's folder")
        return [path for path in found if path not in outside]

    def wrong(self, index: int, message: str) -> None:
        self.problems.append(self.layer.problem(("catalogs", index), message))


def with_rules(policy: Policy, layers: list[_Layer], book: RuleBook) -> Policy:
    """The policy with its `[rules.NAME]` tables as levels and typed settings.

    Raises Unreadable for unknown rules and settings, and for a rule that may not be lowered.
    """
    names = book.names()
    by_name = {rule.name: rule for rule in book.rules}
    problems: list[Problem] = []
    merged: dict[str, dict[str, Any]] = {}
    for layer in layers:
        for name, table in layer.written.rules.items():
            if name in book.retired:
                continue
            if name not in names:
                close = nearest(name, names)
                hint = f"; did you mean {close}?" if close else ""
                problems.append(
                    layer.problem(("rules", name), f"there is no rule {name[:60]}{hint}")
                )
                continue
            rule = by_name[names[name]]
            for key, fault in _faults(rule, table):
                problems.append(layer.problem(("rules", name, *key), fault))
            merged[rule.name] = merged.get(rule.name, {}) | table
    if problems:
        raise Unreadable(*problems)
    levels = {name: table["level"] for name, table in merged.items() if "level" in table}
    settings = {name: _settings(by_name[name], table) for name, table in merged.items()}
    written = [name for layer in layers for name in layer.written.rules]
    notices = tuple(filter(None, map(book.notice, dict.fromkeys(written))))
    return evolve(policy, levels=levels, settings=settings, notices=notices)


def _faults(rule: Rule, table: dict[str, Any]) -> Iterator[tuple[tuple[str, ...], str]]:
    if "level" in table and (fault := _level_fault(rule, table["level"])):
        yield ("level",), fault
    try:
        _settings(rule, table)
    except ValueError as error:
        yield (), f"rules.{rule.name}: {error}"


def _level_fault(rule: Rule, level: Any) -> str | None:
    if level not in ("off", *LEVELS):
        return f"the level of {rule.name} is one of off, {', '.join(LEVELS)}"
    if rule.waivable or level == rule.level:
        return None
    return f"{rule.name} can be neither switched off nor lowered: it is a matter of safety"


def _settings(rule: Rule, table: dict[str, Any]) -> Any:
    values = {name: value for name, value in table.items() if name != "level"}
    if rule.settings is not None:
        return structure(values, rule.settings)
    if values:
        raise ValueError(f"the rule has no settings but level; {', '.join(values)} is unknown")
    return None
