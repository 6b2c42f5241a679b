"""The company's own standard: which catalogs, which rules at which level, which practice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from .book import RuleBook
from .finding import LEVELS
from .model import Duty, FailOn, PolicyFile, Practice, Requirement, SettingLevel
from .problem import Problem, Unreadable
from .reading import read_policy, structure
from .rule import Rule
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


def find_policy(path: Path) -> Path | None:
    """The policy for a path: `riglint.toml`, or a `[tool.riglint]`, in its folder or above."""
    start = path.resolve()
    for folder in (start, *start.parents) if start.is_dir() else start.parents:
        if (folder / POLICY_NAME).is_file():
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


def load_policy(path: Path, book: RuleBook | None = None, shown: str | None = None) -> Policy:
    """The policy in a file, checked against the rules of a book.

    Raises Unreadable with every unknown key, rule or setting and every catalog pattern that
    matches nothing.
    """
    document = read_document(path, shown or str(path))
    values: Any = document.values
    prefix: tuple[str, ...] = ()
    if path.name == PROJECT_NAME:
        values, prefix = values["tool"]["riglint"], ("tool", "riglint")
    written = read_policy(document, values, prefix)
    catalogs = _Catalogs(path.resolve().parent, document, prefix)
    policy = Policy(
        file=document.file,
        catalogs=tuple(catalogs.find(written.catalogs)),
        fail_on=written.fail_on or ("error",),
        packs=written.packs,
        house_rules=written.house_rules,
        duty=written.duty,
        practice=written.practice,
        requirement=written.requirement,
    )
    problems = [*catalogs.problems, *_unsupported(written, document, prefix)]
    if problems:
        raise Unreadable(*problems)
    return with_rules(policy, written, book, document, prefix) if book else policy


def _unsupported(
    written: PolicyFile, document: Document, prefix: tuple[str, ...]
) -> Iterator[Problem]:
    """Keys that are read and not served by this version: an error, so that none is ignored."""
    for key in ("based_on", "house_rules", "requirement"):
        if getattr(written, key):
            place = document.locate((*prefix, key))
            text = f"{key} is not supported by this version of riglint"
            yield Problem(document.file, text, place.line, place.column)


class _Catalogs:
    """The files that a policy's patterns name, all under the policy's folder."""

    def __init__(self, root: Path, document: Document, prefix: tuple[str, ...]) -> None:
        self.root, self.document, self.prefix = root, document, prefix
        self.problems: list[Problem] = []

    def find(self, patterns: tuple[str, ...]) -> Iterator[Path]:
        seen: set[Path] = set()
        for index, pattern in enumerate(patterns):
            for path in self._matches(pattern, index):
                if path not in seen:
                    seen.add(path)
                    yield path

    def _matches(self, pattern: str, index: int) -> list[Path]:
        if Path(pattern).is_absolute() or ".." in Path(pattern).parts:
            self.wrong(index, f"the catalog pattern {pattern!r} leaves the policy's folder")
            return []
        try:
            found = sorted(path for path in self.root.glob(pattern) if path.is_file())
        except (ValueError, NotImplementedError, OSError) as error:
            self.wrong(index, f"the catalog pattern {pattern!r} cannot be used: {error}")
            return []
        if not found:
            self.wrong(index, f"the catalog pattern {pattern!r} matches no file")
        outside = [path for path in found if not path.resolve().is_relative_to(self.root)]
        for path in outside:
            self.wrong(index, f"{path.name} leads out of the policy's folder")
        return [path for path in found if path not in outside]

    def wrong(self, index: int, message: str) -> None:
        place = self.document.locate((*self.prefix, "catalogs", index))
        self.problems.append(Problem(self.document.file, message, place.line, place.column))


def with_rules(
    policy: Policy,
    written: PolicyFile,
    book: RuleBook,
    document: Document,
    prefix: tuple[str, ...] = (),
) -> Policy:
    """The policy with its `[rules.NAME]` tables as levels and typed settings.

    Raises Unreadable for unknown rules and settings, and for a rule that may not be lowered.
    """
    names = book.names()
    by_name = {rule.name: rule for rule in book.rules}
    levels: dict[str, SettingLevel] = {}
    settings: dict[str, Any] = {}
    problems: list[Problem] = []

    def wrong(key: tuple[str, ...], message: str) -> None:
        place = document.locate((*prefix, "rules", *key))
        problems.append(Problem(document.file, message, place.line, place.column))

    for name, table in written.rules.items():
        if name not in names:
            close = nearest(name, names)
            hint = f"; did you mean {close}?" if close else ""
            wrong((name,), f"there is no rule {name[:60]}{hint}")
            continue
        rule = by_name[names[name]]
        values = dict(table)
        level = values.pop("level", None)
        if level is not None:
            fault = _level_fault(rule, level)
            if fault:
                wrong((name, "level"), fault)
            else:
                levels[rule.name] = level
        try:
            settings[rule.name] = _settings(rule, values)
        except ValueError as error:
            wrong((name,), f"rules.{name}: {error}")
    if problems:
        raise Unreadable(*problems)
    return evolve(policy, levels=levels, settings=settings)


def _level_fault(rule: Rule, level: Any) -> str | None:
    if level not in ("off", *LEVELS):
        return f"the level of {rule.name} is one of off, {', '.join(LEVELS)}"
    if rule.waivable or level == rule.level:
        return None
    return f"{rule.name} can be neither switched off nor lowered: it is a matter of safety"


def _settings(rule: Rule, values: dict[str, Any]) -> Any:
    if rule.settings is not None:
        return structure(values, rule.settings)
    if values:
        raise ValueError(f"the rule has no settings but level; {', '.join(values)} is unknown")
    return None
