"""Policy files as written: found, read, one laid over the other, and the files that they name."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from attrs import field, frozen

from .book import installed_pack
from .globbing import matching
from .model import PolicyFile
from .paths import is_file, is_folder, is_inside, real
from .problem import Problem, Unreadable
from .reading import read_policy
from .source import Document, Position, read_document

POLICY_NAME = "riglint.toml"
PROJECT_NAME = "pyproject.toml"
OF_PACK = "pack:"
MOST_DEEP = 16


def find_policy(path: Path) -> Path | None:
    """The policy for a path: `riglint.toml`, or a `[tool.riglint]`, in its folder or above."""
    start = real(path)
    for folder in (start, *start.parents) if is_folder(start) else start.parents:
        if os.path.lexists(folder / POLICY_NAME):  # whatever it is: reading it says so
            return folder / POLICY_NAME
        project = folder / PROJECT_NAME
        if is_file(project) and _has_table(project):
            return project
    return None


def _has_table(project: Path) -> bool:
    try:
        return "riglint" in read_document(project).values.get("tool", {})
    except (Unreadable, AttributeError):
        return False


@frozen
class Layer:
    """One policy file of those that build on each other.

    No path in it leads out of `root`; `pack` is the installed pack that it is the policy of.
    """

    path: Path
    document: Document
    prefix: tuple[str, ...]
    values: dict[str, Any]
    written: PolicyFile
    root: Path = field(repr=False)
    pack: str | None = None

    @property
    def folder(self) -> Path:
        return real(self.path).parent

    def place(self, key: tuple[str | int, ...]) -> Position:
        """Where a key of the policy stands in its file."""
        return self.document.locate((*self.prefix, *key))

    def problem(self, key: tuple[str | int, ...], message: str) -> Problem:
        place = self.place(key)
        return Problem(self.document.file, message, place.line, place.column)


def read_layers(path: Path, shown: str, root: Path) -> list[Layer]:
    """The policy file and those that it is based on, the basic one first.

    Raises Unreadable where one cannot be read, leads out of the root, or leads in a circle.
    """
    layers = [_read(path, shown, root)]
    seen = {real(path)}
    while (base := layers[0].written.based_on) is not None:
        layer = layers[0]
        if len(layers) == MOST_DEEP:
            text = f"more than {MOST_DEEP} policies are based on one another"
            raise Unreadable(layer.problem(("based_on",), text))
        below = _of_pack(layer, base) if base.startswith(OF_PACK) else _beside(layer, base)
        if real(below.path) in seen:
            raise Unreadable(layer.problem(("based_on",), "policies are based on each other"))
        seen.add(real(below.path))
        layers.insert(0, below)
    return layers


def _read(path: Path, shown: str, root: Path, pack: str | None = None) -> Layer:
    document = read_document(path, shown)
    values: Any = document.values
    prefix: tuple[str, ...] = ()
    if path.name == PROJECT_NAME:
        values, prefix = _own_table(document), ("tool", "riglint")
    written = read_policy(document, values, prefix)
    return Layer(path, document, prefix, values, written, root, pack)


def _own_table(document: Document) -> dict[str, Any]:
    tools = document.values.get("tool")
    table = tools.get("riglint") if isinstance(tools, dict) else None
    if not isinstance(table, dict):
        raise Unreadable(Problem(document.file, "it has no [tool.riglint] table"))
    return table


def _beside(layer: Layer, base: str) -> Layer:
    place = layer.path.parent / base
    if not is_inside(place, layer.root):
        text = f"based_on leads out of {_home(layer)}"
        more = "" if layer.pack else "; allow more with --root"
        raise Unreadable(layer.problem(("based_on",), text + more))
    if not is_file(place):
        raise Unreadable(layer.problem(("based_on",), f"there is no file {base[:200]}"))
    shown = os.path.normpath(Path(layer.document.file).parent / base)
    return _read(place, shown, layer.root, layer.pack)


def _home(layer: Layer) -> str:
    return f"the pack {layer.pack}" if layer.pack else layer.root.name or str(layer.root)


def _of_pack(layer: Layer, base: str) -> Layer:
    name = base.removeprefix(OF_PACK)
    try:
        pack = installed_pack(name)
    except Unreadable as error:
        text = error.problems[0].message
        raise Unreadable(layer.problem(("based_on",), text)) from None
    if pack.policy is None:
        text = f"the rule pack {name} brings no policy"
        raise Unreadable(layer.problem(("based_on",), text))
    home = real(pack.policy).parent
    return _read(pack.policy, f"{OF_PACK}{name}/{pack.policy.name}", home, name)


# What a policy's patterns name


@frozen
class Files:
    """What a layer's patterns match, under a root that none may leave; and what is wrong."""

    layer: Layer
    root: Path
    problems: list[Problem] = field(factory=list)

    def catalogs(self) -> Iterator[Path]:
        """The catalogs that the policy names, each once."""
        for index, pattern in enumerate(self.layer.written.catalogs):
            yield from self.matches("catalog", pattern, ("catalogs", index))

    def modules(self) -> Iterator[tuple[Path, int]]:
        """The rule modules that the policy names, each with its pattern's place in the list."""
        for index, pattern in enumerate(self.layer.written.house_rules):
            key = ("house_rules", index)
            if self.layer.pack is not None:
                text = "a pack's policy names no house_rules: the pack itself gives its rules"
                self.wrong(key, text)
                continue
            for path in self.matches("house_rules", pattern, key):
                if path.suffix == ".py":
                    yield path, index
                else:
                    self.wrong(key, f"{path.name} is no Python module")

    def folders(self, pattern: str, key: tuple[str | int, ...]) -> list[Path]:
        """The folders that a pattern matches, as real paths."""
        found = self.matches("folder", pattern, key, folders=True)
        return list(dict.fromkeys(real(path) for path in found))

    def matches(
        self, what: str, pattern: str, key: tuple[str | int, ...], *, folders: bool = False
    ) -> list[Path]:
        """The files (or folders) that a pattern matches under the root."""
        home = self.layer.folder
        spelled = Path(os.path.normpath(home / pattern))
        if Path(pattern).is_absolute() or not spelled.is_relative_to(self.root):
            self.wrong(key, f"the {what} pattern {pattern!r} leaves the policy's folder")
            return []
        try:
            found = sorted(matching(home, pattern, self.root, folders=folders))
        except (ValueError, OSError) as error:
            self.wrong(key, f"the {what} pattern {pattern!r} cannot be used: {error}")
            return []
        if not found:
            kind = "folder" if folders else "file"
            self.wrong(key, f"the {what} pattern {pattern!r} matches no {kind}")
        outside = [path for path in found if not is_inside(path, self.root)]
        for path in outside:
            self.wrong(key, f"{path.name} leads out of the policy's folder")
        return [path for path in found if path not in outside]

    def wrong(self, key: tuple[str | int, ...], message: str) -> None:
        self.problems.append(self.layer.problem(key, message))
