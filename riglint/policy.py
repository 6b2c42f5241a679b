"""The company's own standard: which catalogs, which rules at which level, which practice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from .book import HOUSE, RuleBook
from .finding import LEVELS
from .house import HouseModule
from .layers import POLICY_NAME, PROJECT_NAME, Files, Layer, find_policy, read_layers
from .library import Library
from .model import Duty, FailOn, FolderTable, Practice, SettingLevel
from .paths import real
from .problem import Problem, Unreadable, first_of
from .reading import read_as, read_policy, structure
from .rule import Rule
from .sling import with_defaults
from .source import Document, nearest
from .stock import Catalog, Item

__all__ = ["POLICY_NAME", "PROJECT_NAME", "Folder", "Policy", "find_policy", "load_policy"]

# Each of these costs a search, a module or a rule.
MOST = {"catalogs": 200, "house_rules": 200, "packs": 100, "folder": 500, "requirement": 1000}
BEYOND_FOLDERS = {Library: "the whole library", Catalog: "catalogs", Item: "catalog items"}


@frozen
class Folder:
    """What differs for the builds and records in some folders of a policy; `file` is its name."""

    name: str
    file: str
    places: tuple[Path, ...]
    fail_on: tuple[FailOn, ...] | None = None
    duty: Duty = Duty()
    practice: Mapping[str, Any] = field(factory=dict)
    rules: Mapping[str, Mapping[str, Any]] = field(factory=dict)

    def holds(self, file: Path) -> bool:
        return any(place in file.parents or place == file for place in self.places)


@frozen
class Policy:
    """A policy as it applies: catalogs as files, settings by rule, and the shop's practice.

    `requirement` are its in-house rules as data, `house_rules` the modules that it names.
    """

    file: str | None = None
    catalogs: tuple[Path, ...] = ()
    fail_on: tuple[FailOn, ...] = ("error",)
    packs: tuple[str, ...] = ()
    house_rules: tuple[HouseModule, ...] = ()
    duty: Duty = Duty()
    practice: Practice = Practice()
    levels: Mapping[str, SettingLevel] = field(factory=dict)
    settings: Mapping[str, Any] = field(factory=dict)
    requirement: tuple[Rule, ...] = ()
    folders: tuple[Folder, ...] = ()
    notices: tuple[str, ...] = ()
    written: Mapping[str, Mapping[str, Any]] = field(factory=dict, repr=False)

    def folders_of(self, file: Path) -> tuple[Folder, ...]:
        """The folder tables that a file falls under, the one that counts most last."""
        if not self.folders:
            return ()
        place = real(file)
        found = [folder for folder in self.folders if folder.holds(place)]
        return tuple(sorted(found, key=lambda folder: len(Path(folder.name).parts)))

    def under(self, folders: Iterable[Folder], book: RuleBook) -> Policy:
        """The policy as it applies under folder tables of its own."""
        made, practice = self, dict[str, Any]()
        written = {name: dict(table) for name, table in self.written.items()}
        for folder in folders:
            duty = with_defaults(folder.duty, made.duty)
            made = evolve(made, duty=duty, fail_on=folder.fail_on or made.fail_on)
            practice |= folder.practice
            written |= _laid_over(written, folder.rules, book.names())
        read = structure(practice, Practice)
        own = evolve(made.practice, **{name: getattr(read, name) for name in practice})
        by_name = {rule.name: rule for rule in book.rules}
        return _with_written(evolve(made, practice=own), written, by_name)


def _laid_over(
    under: Mapping[str, Mapping[str, Any]],
    over: Mapping[str, Mapping[str, Any]],
    names: Mapping[str, str],
) -> dict[str, dict[str, Any]]:
    """The tables of rules that are changed, by the rules' own names; unknown ones are not."""
    merged: dict[str, dict[str, Any]] = {}
    for name, table in over.items():
        if name in names:
            own = names[name]
            merged[own] = {**under.get(own, {}), **merged.get(own, {}), **table}
    return merged


def load_policy(
    path: Path,
    book_of: Callable[[Policy], RuleBook] | None = None,
    shown: str | None = None,
    root: Path | None = None,
) -> Policy:
    """The policy in a file, laid over what it is based on, checked against the rules of a book.

    `book_of` gives the book for the policy's packs and rules. Every path in it stays under `root`
    (default: the file's own folder). Raises Unreadable with every unknown key, rule or setting,
    and every path or pattern that matches nothing or leaves the root.
    """
    inside = real(root or path.parent)
    layers = read_layers(path, shown or str(path), inside)
    problems: list[Problem] = list(_too_many(layers))
    if problems:
        raise Unreadable(*problems)
    catalogs: list[Path] = []
    modules: list[HouseModule] = []
    folders: list[Folder] = []
    for layer in layers:
        files = Files(layer, layer.root)
        catalogs += files.catalogs()
        folders += _folders(layer, files)
        own = Files(layer, layer.folder, files.problems)
        modules += (_module(layer, path, index) for path, index in own.modules())
        problems += files.problems
    requirements = tuple(_requirements(layers, problems))
    if problems:
        raise Unreadable(*problems)
    policy = evolve(
        _together(layers),
        catalogs=tuple(dict.fromkeys(catalogs)),
        house_rules=tuple({module.path: module for module in modules}.values()),
        requirement=requirements,
        folders=tuple(folders),
    )
    return _with_rules(policy, layers, book_of(policy)) if book_of else policy


def policy_in(document: Document, book: RuleBook) -> Policy:
    """The policy in a text of no folder: it can name no files and build on no other policy.

    Raises Unreadable with every unknown key, rule or setting.
    """
    values, written = document.values, read_policy(document)
    layer = Layer(Path(document.file), document, (), values, written, Path())
    problems = [
        layer.problem((key,), f"{key} cannot be looked up: this policy is of no folder")
        for key in ("catalogs", "based_on", "house_rules", "folder")
        if getattr(layer.written, key)
    ]
    problems += _too_many([layer])
    requirements = () if problems else tuple(_requirements([layer], problems))
    if problems:
        raise Unreadable(*problems)
    policy = evolve(_together([layer]), requirement=requirements)
    return _with_rules(policy, [layer], book)


def _too_many(layers: list[Layer]) -> Iterator[Problem]:
    for layer in layers:
        for key, most in MOST.items():
            count = len(getattr(layer.written, key))
            if count > most:
                text = f"{count:,} entries of {key} are more than the {most:,} that are read"
                yield layer.problem((key,), text)


def _together(layers: list[Layer]) -> Policy:
    """Tables merge by key, lists append, the last file wins."""
    duty = Duty()
    practice: dict[str, Any] = {}
    for layer in layers:
        duty = with_defaults(layer.written.duty, duty)
        practice |= layer.values.get("practice", {})
    written = [layer.written for layer in layers]
    fail_on = tuple(dict.fromkeys(what for one in written for what in one.fail_on or ()))
    based = [layer.pack for layer in layers if layer.pack is not None]
    named = [pack for one in written for pack in one.packs]
    return Policy(
        file=layers[-1].document.file,
        fail_on=fail_on or ("error",),
        packs=tuple(dict.fromkeys((*based, *named))),
        duty=duty,
        practice=structure(practice, Practice),
    )


def _module(layer: Layer, path: Path, index: int) -> HouseModule:
    place = layer.place(("house_rules", index))
    shown = Path(layer.document.file).parent / path.relative_to(layer.folder)
    return HouseModule(path, str(shown), layer.document.file, place.line, place.column)


def _folders(layer: Layer, files: Files) -> Iterator[Folder]:
    for name, table in layer.written.folder.items():
        key = ("folder", name)
        if layer.pack is not None:
            files.wrong(key, "a pack's policy has no folders: it does not know those of a library")
            continue
        where = (*layer.prefix, *key, "practice")
        try:
            read_as(layer.document, Practice, table.practice, where)
        except Unreadable as error:
            files.problems.extend(error.problems)
        yield _folder(layer, name, table, files.folders(name, key))


def _folder(layer: Layer, name: str, table: FolderTable, places: list[Path]) -> Folder:
    return Folder(
        name,
        layer.document.file,
        tuple(places),
        table.fail_on,
        table.duty,
        table.practice,
        table.rules,
    )


def _requirements(layers: list[Layer], problems: list[Problem]) -> Iterator[Rule]:
    if not any(layer.written.requirement for layer in layers):
        return
    from .requirement import Faulty, requirement_rule

    first: dict[str, tuple[Layer, int]] = {}
    for layer in layers:
        for index, written in enumerate(layer.written.requirement):
            key = ("requirement", index)
            if written.name in first:
                text = f"the requirement {written.name[:60]} is given twice:"
                text += f" {_at(*first[written.name])} too"
                problems.append(layer.problem((*key, "name"), text))
                continue
            first[written.name] = layer, index
            try:
                yield requirement_rule(written, layer.document.file)
            except Faulty as error:
                problems += [layer.problem((*key, *f.key), f.message) for f in error.faults]


def _at(layer: Layer, index: int) -> str:
    return f"at {layer.document.file}, line {layer.place(('requirement', index)).line},"


# Levels and settings of rules


def _with_rules(policy: Policy, layers: list[Layer], book: RuleBook) -> Policy:
    """The policy with its `[rules.NAME]` tables as levels and typed settings.

    Raises Unreadable for unknown rules and settings, and for a rule that may not be lowered.
    """
    names, by_name = book.names(), {rule.name: rule for rule in book.rules}
    problems: list[Problem] = []
    merged: dict[str, dict[str, Any]] = {}
    for layer in layers:
        merged |= _laid_over(merged, layer.written.rules, names)
        found = _rule_problems(layer, book, by_name)
        problems += first_of(found, layer.document.file)
    if problems:
        raise Unreadable(*problems)
    written = [name for layer in layers for _, name, _ in _rule_tables(layer)]
    notices = tuple(filter(None, map(book.notice, dict.fromkeys(written))))
    return _with_written(evolve(policy, notices=notices), merged, by_name)


def _rule_problems(layer: Layer, book: RuleBook, by_name: Mapping[str, Rule]) -> Iterator[Problem]:
    names = book.names()
    for key, name, table in _rule_tables(layer):
        if name in book.retired:
            continue
        if name not in names:
            if book.house.complete or not name.startswith(f"{HOUSE}:"):
                yield layer.problem(key, _no_rule(name, names))
            continue
        rule = by_name[names[name]]
        for below, fault in (*_faults(rule, table), *_out_of_place(rule, key)):
            yield layer.problem((*key, *below), fault)


def _rule_tables(layer: Layer) -> Iterator[tuple[tuple[str, ...], str, dict[str, Any]]]:
    """Every table of a rule in a policy file, those of its folders too, with its key."""
    for name, table in layer.written.rules.items():
        yield ("rules", name), name, table
    for folder, own in layer.written.folder.items():
        for name, table in own.rules.items():
            yield ("folder", folder, "rules", name), name, table


def _no_rule(name: str, names: Iterable[str]) -> str:
    close = nearest(name, names)
    return f"there is no rule {name[:60]}" + (f"; did you mean {close}?" if close else "")


def _out_of_place(rule: Rule, key: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    if key[0] == "folder" and rule.about in BEYOND_FOLDERS:
        what = BEYOND_FOLDERS[rule.about]
        yield (), f"{rule.name} judges {what}, so a folder cannot change it"


def _with_written(
    policy: Policy, written: Mapping[str, Mapping[str, Any]], by_name: Mapping[str, Rule]
) -> Policy:
    return evolve(
        policy,
        written=written,
        levels=dict(policy.levels)
        | {name: table["level"] for name, table in written.items() if "level" in table},
        settings=dict(policy.settings)
        | {name: _settings(by_name[name], table) for name, table in written.items()},
    )


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


def _settings(rule: Rule, table: Mapping[str, Any]) -> Any:
    values = {name: value for name, value in table.items() if name != "level"}
    if rule.settings is not None:
        return structure(values, rule.settings)
    if values:
        raise ValueError(f"the rule has no settings but level; {', '.join(values)} is unknown")
    return None
