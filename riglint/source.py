"""TOML text to values, and the place of each value in the text when someone asks."""

from __future__ import annotations

import datetime
import errno
import functools
import re
import stat
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import tomli
from attrs import Factory, define, frozen

from .problem import Problem, Unreadable

if TYPE_CHECKING:
    from tree_sitter import Node, Point

MAX_BYTES = 1024 * 1024
MAX_DEPTH = 32
MAX_VALUES = 100_000
# Characters of the user's text that a message repeats.
MAX_SHOWN = 60
# Among so many names one is looked for that was meant; more would take seconds a name.
MOST_COMPARED = 5_000

_USUAL_BYTES = 16 * 1024
# Below this size even the longest keys are read in a few tenths of a second.
_SURELY_QUICK = 4096
# The TOML parser takes over a minute for 1 MiB of keys of 1,000 parts each, so such keys are
# refused before it sees them. Only keys at the start of a line are costly.
_LONG_KEY = (
    r"^[ \t]*+\[{0,2}[ \t]*+"
    r"""(?:(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+)""" + f"{{{MAX_DEPTH + 1}}}"
)
_TOO_DEEP = f"Tables, lists or key parts are nested more than {MAX_DEPTH} levels deep"

# The range that TOML asks for; beyond it Python's own conversions begin to fail.
_SMALLEST, _LARGEST = -(2**63), 2**63 - 1
_TOO_LARGE = "A whole number has more than 64 bits"

# What the parser says, by its first words, and what the user reads instead.
_PLAIN_WORDS = {
    "Invalid statement": "A line must start with a key, a [table] heading or a # comment",
    "Invalid initial": "A key must stand here; one with unusual characters needs quotes",
    "Expected '='": "An equals sign must follow the key",
    "Expected newline": "Something is left over after the value; text must stand in quotes",
    "Invalid value": "A value must stand here; text must stand in quotes",
    "Invalid date": "The calendar or the clock has no such date or time",
    "Cannot overwrite": "This key was given before",
    "Duplicate inline": "This key was given before in the same braces",
    "Cannot declare": "This table was begun before",
    "Cannot redefine": "This table was begun before",
    "Cannot mutate": "A table or list that was complete where it was written cannot be added to",
    "Expected ']": "The heading is not closed by its brackets",
    "Unclosed array": "The list needs a comma or its closing ] here",
    "Unclosed inline": "The table in braces needs a comma or its closing } here",
    "Unescaped": "A backslash in double quotes must be doubled; single quotes take it as it is",
    "Invalid hex": "The \\x, \\u or \\U in this text lacks some of its hexadecimal digits",
    "Escaped character": "The \\u or \\U in this text names no character",
    "Unterminated": "A text begun before this is nowhere closed by its quotes",
    "Illegal character '\\n'": "The text is not closed by a quote on its line",
    "Found invalid character '\\n'": "The text is not closed by a quote on its line",
    "Illegal character": "A control character must not stand in a TOML file",
    "Found invalid": "A control character must not stand in a TOML file",
    "Expected": "A text begun before this is nowhere closed by its quotes",
}

_Path = tuple[str | int, ...]


@frozen
class Position:
    """A place in a text; both count from 1, columns in Unicode code points."""

    line: int
    column: int


@frozen
class Document:
    """A TOML file that was read: its name as shown to the user, its text and its values.

    A byte order mark is not part of the text. What a program gives has no text: its values are
    called by their keys, and its dates may be texts, as JSON has them.
    """

    file: str
    text: str
    values: dict[str, Any]
    of_program: bool = False

    def locate(self, path: Sequence[str | int]) -> Position:
        """Return where the key, heading or list element at `path` begins.

        Of a dotted key it is the part that `path` ends with. A path that is not in the text
        gives the place of its nearest parent, and line 1, column 1 when there is none.
        """
        for length in range(len(path), 0, -1):
            place = self._places.get(tuple(path[:length]))
            if place is not None:
                inside = bisect_left(self._inner_bytes(place.row), place.column)
                return Position(place.row + 1, place.column - inside + 1)
        return Position(1, 1)

    def problem(self, path: Sequence[str | int], message: str) -> Problem:
        """A problem at the place of `path`; in what a program gives there are no places."""
        if self.of_program:
            return Problem(self.file, message)
        place = self.locate(path)
        return Problem(self.file, message, place.line, place.column)

    def _inner_bytes(self, row: int) -> list[int]:
        """Where in a line the bytes are that begin no code point: few files have any."""
        if row not in self._inner:
            found = re.finditer(b"[\x80-\xbf]", self._lines[row])
            self._inner[row] = [byte.start() for byte in found]
        return self._inner[row]

    @functools.cached_property
    def _inner(self) -> dict[int, list[int]]:
        return {}

    @functools.cached_property
    def _lines(self) -> list[bytes]:
        return self.text.encode().split(b"\n")

    @functools.cached_property
    def _places(self) -> dict[_Path, Point]:
        return _find_places(self.text, self.values)


def read_document(path: Path, shown: str | None = None) -> Document:
    """Return the TOML file at `path`; `shown` is its name in messages, by default `path`.

    Raises Unreadable when it is missing, no regular file, not permitted, too large, not UTF-8,
    not TOML, or holds too much.
    """
    name = str(path) if shown is None else shown
    try:
        # Before opening: a pipe would block, and opening a device may have effects.
        refusal = _refuse_kind(path.stat().st_mode)
        if refusal is None:
            data = _read(path)
    except OSError as error:
        refusal = _plain_os_error(error)
    except ValueError:
        refusal = "No file can have this name"
    if refusal is not None:
        raise Unreadable(Problem(name, refusal)) from None
    return parse_document(data, name)


def parse_document(text: str | bytes, shown: str) -> Document:
    """Return the TOML in `text`, which messages call `shown`; no text at all is no values.

    Raises Unreadable when it is too large, not UTF-8, not TOML, or holds too much.
    """
    source = _decode(text, shown)
    _refuse_long_keys(source, shown)
    try:
        values = tomli.loads(source)
    except tomli.TOMLDecodeError as error:
        problem = Problem(shown, _plain_toml_error(error.msg), error.lineno, error.colno)
        raise Unreadable(problem) from None
    except RecursionError:
        raise Unreadable(Problem(shown, _TOO_DEEP)) from None
    except ValueError:
        # What remains is the limit on the digits of int().
        raise Unreadable(Problem(shown, _TOO_LARGE)) from None
    document = Document(shown, source, values)
    _refuse_excess(document)
    return document


def document_of(values: Mapping[str, Any], shown: str) -> Document:
    """The TOML values that a program gives, held to the limits of a file; messages call it `shown`.

    They are copied, so that nothing that happens to them later matters. There is no text, and so
    there are no places. Raises Unreadable where no file could hold them.
    """
    document = Document(shown, "", _Copier(shown).table(values, ()), of_program=True)
    _refuse_excess(document)
    return document


def pointer(path: Sequence[str | int]) -> str:
    """Return `path` as a JSON Pointer (RFC 6901); the empty path is the empty string."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name that `name` was probably meant to be, or None; case is ignored."""
    # Comparing two very long names would take minutes.
    if len(name) > MAX_SHOWN:
        return None
    from difflib import get_close_matches

    folded = {each.casefold(): each for each in sorted(known)}
    if len(folded) > MOST_COMPARED:
        return None
    found = get_close_matches(name.casefold(), folded, n=1)
    return folded[found[0]] if found else None


class _Copier:
    """Copies values that a program gives, and refuses what a TOML file cannot hold."""

    scalars = (bool, int, float, datetime.datetime, datetime.date, datetime.time)

    def __init__(self, shown: str) -> None:
        self.shown, self.count, self.length = shown, 0, 0

    def refused(self, path: _Path, message: str) -> Unreadable:
        place = f"{_cut(pointer(path))}: " if path else ""
        return Unreadable(Problem(self.shown, place + message))

    def table(self, values: Mapping[Any, Any], path: _Path) -> dict[str, Any]:
        made = {}
        for key, value in values.items():
            if type(key) is not str:
                raise self.refused(path, f"a key is a text, this is {_cut(repr(key))}")
            made[self.text(key, path)] = self.value(value, (*path, key))
        return made

    def value(self, value: Any, path: _Path) -> Any:
        self.count += 1
        if self.count > MAX_VALUES:
            raise self.refused((), f"there are more than {MAX_VALUES:,} values")
        if type(value) is str:
            return self.text(value, path)
        if type(value) in self.scalars:
            return value
        if len(path) > MAX_DEPTH:
            raise self.refused((), _TOO_DEEP)
        if isinstance(value, Mapping):
            return self.table(value, path)
        if isinstance(value, list | tuple):
            return [self.value(one, (*path, n)) for n, one in enumerate(value)]
        if value is None:
            raise self.refused(path, "there is no value (null); leave the key out instead")
        raise self.refused(path, f"a TOML file holds no {type(value).__name__}")

    def text(self, text: str, path: _Path) -> str:
        self.length += len(text)
        if self.length > MAX_BYTES:
            raise self.refused((), f"the texts are longer than {MAX_BYTES:,} characters")
        if "\0" in text or (not text.isascii() and re.search("[\ud800-\udfff]", text)):
            raise self.refused(path, "a text holds a NUL or half a character (a lone surrogate)")
        return text


def _read(path: Path) -> bytes:
    with path.open("rb") as file:
        # A read sets aside all that it asks for, and most files are small.
        data = file.read(_USUAL_BYTES)
        return data if len(data) < _USUAL_BYTES else data + file.read(MAX_BYTES + 1 - len(data))


def _refuse_kind(mode: int) -> str | None:
    if stat.S_ISREG(mode):
        return None
    if stat.S_ISDIR(mode):
        return "This is a folder, not a file"
    return "This is a device, pipe or socket, not a regular file"


def _plain_os_error(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "There is no such file"
    if isinstance(error, PermissionError):
        return "There is no permission to read this file"
    if isinstance(error, NotADirectoryError):
        return "A part of this path is a file, not a folder"
    if error.errno == errno.ELOOP:
        return "The symbolic links of this path lead in a circle"
    return f"The file cannot be read: {error.strerror}"


def _plain_toml_error(message: str) -> str:
    for start, plain in _PLAIN_WORDS.items():
        if message.startswith(start):
            return plain
    return f"This is not TOML: {_cut(message)}"


def _cut(text: str) -> str:
    return text if len(text) <= MAX_SHOWN else text[: MAX_SHOWN - 1] + "…"


def _decode(text: str | bytes, shown: str) -> str:
    try:
        data = text.encode() if isinstance(text, str) else text
    except UnicodeEncodeError as error:
        message = "The text holds half a character (a lone surrogate)"
        raise Unreadable(_problem_at(error.object, error.start, message, shown)) from None
    if len(data) > MAX_BYTES:
        raise Unreadable(Problem(shown, f"The file is larger than {MAX_BYTES:,} bytes"))
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable(Problem(shown, "The file is UTF-16; save it as UTF-8"))
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        source = data.decode()
    except UnicodeDecodeError as error:
        message = f"The file is not UTF-8 text: it holds the byte {data[error.start]:#04x}"
        # The bytes before the first misfit are sound, so they give the column.
        before = data[: error.start].decode()
        raise Unreadable(_problem_at(before, len(before), message, shown)) from None
    if "\0" in source:
        message = "The file is not text: it holds a NUL byte"
        raise Unreadable(_problem_at(source, source.index("\0"), message, shown))
    return source


def _problem_at(text: str, index: int, message: str, shown: str) -> Problem:
    line = text.count("\n", 0, index) + 1
    return Problem(shown, message, line, index - text.rfind("\n", 0, index))


def _refuse_long_keys(source: str, shown: str) -> None:
    if len(source) < _SURELY_QUICK:
        return
    found = re.search(_LONG_KEY, source, re.MULTILINE)
    if found:
        raise Unreadable(_problem_at(source, found.start(), _TOO_DEEP, shown))


def _refuse_excess(document: Document) -> None:
    level: list[Any] = [document.values]
    count = 0
    too_large: list[int] = []
    for _ in range(MAX_DEPTH + 1):
        inside: list[Any] = []
        for box in level:
            inside += box.values() if type(box) is dict else box
        count += len(inside)
        if count > MAX_VALUES:
            message = f"The file holds more than {MAX_VALUES:,} values"
            raise Unreadable(Problem(document.file, message))
        level = []
        for each in inside:
            kind = type(each)
            if kind is dict or kind is list:
                level.append(each)
            elif kind is int and not _SMALLEST <= each <= _LARGEST:
                too_large.append(each)
        if not level:
            break
    if level:
        raise Unreadable(Problem(document.file, _TOO_DEEP))
    if too_large:
        raise Unreadable(_problem_at_number(document, too_large[0]))


def _problem_at_number(document: Document, number: int) -> Problem:
    paths = (path for path in document._places if _value_at(document.values, path) is number)
    return document.problem(next(paths, ()), _TOO_LARGE)


def _value_at(values: Any, path: _Path) -> Any:
    """Return the value at `path`, or None if there is none."""
    try:
        for step in path:
            values = values[step]
    except (KeyError, IndexError, TypeError):
        return None
    return values


def _find_places(text: str, values: dict[str, Any]) -> dict[_Path, Point]:
    # Here, because most files have no findings and need no places.
    from tree_sitter import Language, Parser
    from tree_sitter_toml import language

    source = text.encode()
    root = Parser(Language(language())).parse(source).root_node
    survey = _Survey(source)
    survey.add_file(root)
    return survey.places_agreeing_with(values) if root.has_error else survey.places


@define
class _Survey:
    """Collects the place of each key path from a syntax tree.

    The tree may be wrong where its grammar is older than the parser's: nothing here trusts it
    to have the shape or the depth of the values.
    """

    source: bytes
    places: dict[_Path, Point] = Factory(dict)
    lengths: dict[_Path, int] = Factory(dict)

    def add_file(self, root: Node) -> None:
        for node in root.named_children:
            if node.type == "pair":
                self._add_pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._add_table(node)

    def places_agreeing_with(self, values: dict[str, Any]) -> dict[_Path, Point]:
        """Return the places without those of a list that was miscounted and of all inside it."""
        wrong = set()
        for path, length in self.lengths.items():
            found = _value_at(values, path)
            if not isinstance(found, list) or len(found) != length:
                wrong.add(path)
        return {
            path: place
            for path, place in self.places.items()
            if wrong.isdisjoint(path[:length] for length in range(len(path) + 1))
        }

    def _add_table(self, node: Node) -> None:
        heading, *pairs = _sound_children(node) or [node]
        if heading.has_error:
            return
        path: _Path = ()
        for part in _key_parts(heading):
            path = (*self._newest(path), self._name(part))
            self.places.setdefault(path, node.start_point)
        if node.type == "table_array_element":
            self.lengths[path] = self.lengths.get(path, 0) + 1
            path = self._newest(path)
        self.places[path] = node.start_point
        for pair in pairs:
            self._add_pair(pair, path)

    def _newest(self, path: _Path) -> _Path:
        """Return `path`, or its last table where it is a list of tables."""
        return (*path, self.lengths[path] - 1) if path in self.lengths else path

    def _add_pair(self, node: Node, path: _Path) -> None:
        children = _sound_children(node)
        if node.type != "pair" or len(children) != 2 or children[0].has_error:
            return
        key, value = children
        for part in _key_parts(key):
            path = (*path, self._name(part))
            self.places.setdefault(path, part.start_point)
        self._add_value(value, path)

    def _add_value(self, node: Node, path: _Path) -> None:
        if len(path) > MAX_DEPTH:
            return
        if node.type == "inline_table":
            for pair in _sound_children(node):
                self._add_pair(pair, path)
        elif node.type == "array":
            elements = _sound_children(node)
            self.lengths[path] = len(elements)
            for index, element in enumerate(elements):
                self.places[(*path, index)] = element.start_point
                self._add_value(element, (*path, index))

    def _name(self, key: Node) -> str:
        raw = self.source[key.start_byte : key.end_byte].decode()
        if key.type == "bare_key":
            return raw
        try:
            return next(iter(tomli.loads(f"{raw}=0")))
        except tomli.TOMLDecodeError:
            return raw


def _sound_children(node: Node) -> list[Node]:
    return [each for each in node.named_children if each.type not in ("comment", "ERROR")]


def _key_parts(key: Node) -> list[Node]:
    parts = []
    while key.type == "dotted_key":
        key, last = key.named_children
        parts.append(last)
    return [key, *reversed(parts)][: MAX_DEPTH + 1]
