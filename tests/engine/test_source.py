"""Values and places of TOML text: places were counted by hand, or follow from the writer."""

from __future__ import annotations

import copy
import datetime
import pickle
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from riglint.problem import Problem, Unreadable
from riglint.source import (
    MAX_BYTES,
    MAX_DEPTH,
    MAX_VALUES,
    Document,
    Position,
    nearest,
    parse_document,
    pointer,
    read_document,
)

# Each line of tables ends with its number.
BRIDLE = """\
# a bridle, größer                                      1
name = "NM-2"  # trailing                               2
  "size ü" . 'in mm' = 10                             # 3
limits.hot."x.y" = 3                                  # 4
"caf\\u00e9" = "é"                                     # 5
\tindented = [                                        # 6
\t\t1, # one                                            7
\t\t"zwei", [3,                                       # 8
   4],
]                                                     # 10
[sling]                                               # 11
kind = "chain"                                        # 12
[sling.cover.top]                                     # 13
 [sling.cover]                                        # 14
  wear = { "ß" = 1, grade . low = [{ a = "é", b = 2 }] } # 15
[[part]]                                              # 16
item = "ML-1"                                         # 17
[[part]]                                              # 18
 item = "CC-1"                                        # 19
[part.chart]                                          # 20
 legs = 2                                             # 21
[[tag]]                                               # 22
  [[tag.rating]]                                      # 23
  angle = 60                                          # 24
  [[tag.rating]]                                      # 25
  angle = 45                                          # 26
[[tag]]                                               # 27
  [[ tag . "rating" ]]                                # 28
  angle = 30                                          # 29
[[leg]]                                               # 30
parts = [{ item = "A", links = 1 },                   # 31
         # between                                      32
         { item = "é", links = 2 }] # after             33
"""

PLACES = [
    (("name",), 2, 1),
    (("size ü",), 3, 3),
    (("size ü", "in mm"), 3, 14),
    (("limits",), 4, 1),
    (("limits", "hot"), 4, 8),
    (("limits", "hot", "x.y"), 4, 12),
    (("café",), 5, 1),
    (("indented",), 6, 2),
    (("indented", 0), 7, 3),
    (("indented", 1), 8, 3),
    (("indented", 2), 8, 11),
    (("indented", 2, 0), 8, 12),
    (("indented", 2, 1), 9, 4),
    (("sling",), 11, 1),
    (("sling", "kind"), 12, 1),
    (("sling", "cover"), 14, 2),
    (("sling", "cover", "top"), 13, 1),
    (("sling", "cover", "wear"), 15, 3),
    (("sling", "cover", "wear", "ß"), 15, 12),
    (("sling", "cover", "wear", "grade"), 15, 21),
    (("sling", "cover", "wear", "grade", "low"), 15, 29),
    (("sling", "cover", "wear", "grade", "low", 0), 15, 36),
    (("sling", "cover", "wear", "grade", "low", 0, "a"), 15, 38),
    (("sling", "cover", "wear", "grade", "low", 0, "b"), 15, 47),
    (("part",), 16, 1),
    (("part", 0), 16, 1),
    (("part", 0, "item"), 17, 1),
    (("part", 1), 18, 1),
    (("part", 1, "item"), 19, 2),
    (("part", 1, "chart"), 20, 1),
    (("part", 1, "chart", "legs"), 21, 2),
    (("tag", 0, "rating"), 23, 3),
    (("tag", 0, "rating", 0, "angle"), 24, 3),
    (("tag", 0, "rating", 1), 25, 3),
    (("tag", 0, "rating", 1, "angle"), 26, 3),
    (("tag", 1), 27, 1),
    (("tag", 1, "rating", 0), 28, 3),
    (("tag", 1, "rating", 0, "angle"), 29, 3),
    (("leg", 0, "parts"), 31, 1),
    (("leg", 0, "parts", 0), 31, 10),
    (("leg", 0, "parts", 0, "links"), 31, 24),
    (("leg", 0, "parts", 1), 33, 10),
    (("leg", 0, "parts", 1, "item"), 33, 12),
    (("leg", 0, "parts", 1, "links"), 33, 24),
]
FALLBACKS = [
    ((), 1, 1),
    (("missing",), 1, 1),
    ((0, "missing"), 1, 1),
    (("part", 1, "grade"), 18, 1),
    (("part", 2, "item"), 16, 1),
    (("part", 1, "item", "deeper", 3), 19, 2),
    (("indented", 7), 6, 2),
    (("leg", 0, "parts", 1, "missing"), 33, 10),
]


@pytest.mark.parametrize("ending", ["\n", "\r\n"], ids=["lf", "crlf"])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "bom"])
def test_places_of_keys_headings_and_elements(ending: str, mark: str) -> None:
    document = parse_document((mark + BRIDLE.replace("\n", ending)).encode(), "bridle.toml")
    found = [(path, *_pair(document.locate(path))) for path, _, _ in PLACES + FALLBACKS]
    assert found == PLACES + FALLBACKS


def _pair(position: Position) -> tuple[int, int]:
    return position.line, position.column


def test_a_path_may_be_a_list() -> None:
    assert parse_document("a = [1, 2]", "x").locate(["a", 1]) == Position(1, 9)


def test_what_looks_like_keys_inside_a_text_is_none() -> None:
    document = parse_document('note = """\na = 1\n[b]\n"""\na = 2\n[b]\n', "x")
    assert document.locate(("a",)) == Position(5, 1)
    assert document.locate(("b",)) == Position(6, 1)


# The TOML parser reads more than the grammar of the positions knows: tables in braces over
# several lines are followed, the rest gives at least the place of a parent.
BRACES = """\
[[part]]
a = { # begins
  b = 1,
  c = [{
    "d" = 8,
  }, { d = 10, }],
}
e = 11
[[part]]
e = 14
"""


@pytest.mark.parametrize(
    ("path", "line", "column"),
    [
        (("part", 0, "a", "b"), 3, 3),
        (("part", 0, "a", "c", 0), 4, 8),
        (("part", 0, "a", "c", 0, "d"), 5, 5),
        (("part", 0, "a", "c", 1, "d"), 6, 8),
        (("part", 0, "e"), 8, 1),
        (("part", 1), 9, 1),
        (("part", 1, "e"), 10, 1),
    ],
)
def test_braces_over_several_lines(path: tuple[str | int, ...], line: int, column: int) -> None:
    assert parse_document(BRACES, "x").locate(path) == Position(line, column)


@pytest.mark.parametrize(
    ("text", "path", "places"),
    [
        ("\na = [10:30, 5]", ("a", 1), [(2, 1), (2, 13)]),
        ('\na = "\\e[0m"\nb = 1', ("b",), [(1, 1), (3, 1)]),
        ("\n[b]\na = 10:30\nc = 1", ("b", "a"), [(2, 1), (3, 1)]),
        ("\n[b]\na = 10:30\nc = 1", ("b", "c"), [(2, 1), (4, 1)]),
        # A heading that the grammar loses or makes up must not shift the tables after it.
        ('b = 10:30\na = """\\e\n[[c]]\n"""\n[[c]]', ("c", 0), [(1, 1), (5, 1)]),
        ("[[a]]\nb = {\n c = [01:30],\n}\n[[a]]\nb = 2", ("a", 1, "b"), [(1, 1), (6, 1)]),
        ("[[a]]\nb={\n c=[01:30],\n}\n[[a]]\n[[a]]\nb = 2", ("a", 1), [(1, 1), (5, 1)]),
    ],
)
def test_newer_grammar_gives_the_place_or_that_of_a_parent(
    text: str, path: tuple[str | int, ...], places: list[tuple[int, int]]
) -> None:
    assert _pair(parse_document(text, "x").locate(path)) in places


KEYS = st.text(st.characters(codec="utf-8"), max_size=5) | st.sampled_from(
    ["item", "links", "a.b", "a b", "it's", 'say "5"', "\\", "é", "0", "-", "#", "[x]"]
)
SCALARS = (
    st.integers(-(2**63), 2**63 - 1)
    | st.floats()
    | st.booleans()
    | st.text(st.characters(codec="utf-8"), max_size=8)
    | st.dates(datetime.date(1900, 1, 1))
    | st.times()
    | st.datetimes(datetime.datetime(1900, 1, 1))
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=30,
)
DOCUMENTS = st.dictionaries(KEYS, VALUES, max_size=5)


@given(DOCUMENTS, st.booleans(), st.booleans())
def test_each_place_starts_with_what_was_written_there(
    values: dict[str, Any], multiline: bool, crlf: bool
) -> None:
    text = tomli_w.dumps(values, multiline_strings=multiline)
    document = parse_document(text.replace("\n", "\r\n") if crlf else text, "x")
    lines = text.split("\n")
    for path, value in _inside(document.values, ()):
        line, column = _pair(document.locate(path))
        written = lines[line - 1][column - 1 :]
        assert written.startswith(_beginnings(path[-1], value, multiline)), (path, written)


def _inside(box: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    for step, value in box.items() if isinstance(box, dict) else enumerate(box):
        yield (*path, step), value
        if isinstance(value, dict | list):
            yield from _inside(value, (*path, step))


def _beginnings(step: str | int, value: Any, multiline: bool) -> tuple[str, ...]:
    heading = ("[",) if isinstance(value, dict | list) else ()
    if isinstance(step, str):
        return (tomli_w.dumps({step: 0}).removesuffix(" = 0\n"), *heading)
    if isinstance(value, dict):
        return ("{", *heading)
    if isinstance(value, list):
        return heading
    dumped = tomli_w.dumps({"k": value}, multiline_strings=multiline)
    return (dumped.removeprefix("k = ").split("\n")[0],)


def test_nothing_is_no_values() -> None:
    for text in (b"", "", "\ufeff", b"\xef\xbb\xbf", "# only a comment", "\r\n"):
        assert parse_document(text, "x").values == {}


def test_not_a_number_and_infinity_are_values_here() -> None:
    values = parse_document("a = nan\nb = -inf\nc = 1e999", "x").values
    assert str(values) == "{'a': nan, 'b': -inf, 'c': inf}"


def test_the_mark_is_no_part_of_the_text_and_line_ends_are() -> None:
    assert parse_document(b"\xef\xbb\xbfa = 1\r\n", "x").text == "a = 1\r\n"


def test_a_file_is_named_as_asked(tmp_path: Path) -> None:
    path = tmp_path / "größe.toml"
    path.write_bytes("a = 'ß'\r\n".encode())
    assert read_document(path) == Document(str(path), "a = 'ß'\r\n", {"a": "ß"})
    assert read_document(path, "shown").file == "shown"


@pytest.mark.parametrize("size", [100, 16383, 16384, 16385, MAX_BYTES])
def test_a_file_is_read_to_its_end(tmp_path: Path, size: int) -> None:
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * (size - 6) + b"\na = 1")
    assert path.stat().st_size == size
    assert read_document(path).values == {"a": 1}


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * MAX_DEPTH + "]" * MAX_DEPTH,
        ".".join("a" * (MAX_DEPTH + 1)) + " = 1",
        "[" + ".".join("a" * MAX_DEPTH) + "]\nb = 1",
        "a = [" + "1," * (MAX_VALUES - 1) + "]",
        f"a = {2**63 - 1}\nb = {-(2**63)}\nc = 0x7fffffffffffffff",
        "#" * 5000 + "\n" + ".".join("a" * (MAX_DEPTH + 1)) + " = 1",
    ],
    ids=["lists", "key", "heading", "values", "whole-numbers", "key-in-a-long-file"],
)
def test_what_just_fits_is_read_and_located(text: str) -> None:
    document = parse_document(text, "x")
    *_, (deepest, _) = _inside(document.values, ())
    assert _pair(document.locate(deepest)) > (1, 1) or len(deepest) == 1


@pytest.mark.parametrize(
    ("text", "words", "line", "column"),
    [
        ("ok = 1\nsize = 3/8 in\n", "text must stand in quotes", 2, 9),
        ("ü = 1", "A line must start with a key", 1, 1),
        ("a = 1\na = 2 # twice", "given before", 2, 6),
        ("a = { b = 1, b = 2 }", "given before", 1, 19),
        ("[a]\r\n[a]", "begun before", 2, 3),
        ("a = { b = 1 }\n[a.c]", "begun before", 2, 5),
        ("a = [1]\n[[a]]", "cannot be added to", 2, 4),
        ("a = 'ü\nb = '2'", "quote on its line", 1, 7),
        ("a = 'ü\nb = 2", "nowhere closed", 2, 6),
        ('a = "ü\nb = 2', "quote on its line", 1, 7),
        ('a = "ü', "nowhere closed by its quotes", 1, 7),
        ("a = '''\nx", "nowhere closed by its quotes", 2, 2),
        (r'a = "C:\rigging\parts"', "backslash", 1, 18),
        ("a 1", "equals sign", 1, 3),
        ("a =", "A value must stand here", 1, 4),
        ("a = [1 2]", "comma or its closing ]", 1, 8),
        ("a = { b = 1", "comma or its closing }", 1, 12),
        ("[a", "not closed by its brackets", 1, 3),
        ("a. = 1", "A key must stand here", 1, 4),
        ("a = 2024-02-30", "no such date", 1, 5),
        (r'a = "\ud800"', "names no character", 1, 12),
        (r'a = "\u12"', "hexadecimal", 1, 8),
        ("a = 'x\x07'", "control character", 1, 7),
        ("a = 1 # \x1b", "control character", 1, 9),
    ],
)
def test_a_mistake_is_told_in_plain_words_at_its_place(
    text: str, words: str, line: int, column: int
) -> None:
    for given_text in (text, text.encode()):
        with pytest.raises(Unreadable) as caught:
            parse_document(given_text, "x.toml")
        (problem,) = caught.value.problems
        assert words in problem.message
        assert problem == Problem("x.toml", problem.message, line, column)


def test_words_that_the_parser_may_learn_are_passed_on_short(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fail(text: str) -> None:
        raise tomli.TOMLDecodeError("New words " + "x" * 500, text, 0)

    monkeypatch.setattr(tomli, "loads", fail)
    with pytest.raises(Unreadable, match=r"^This is not TOML: New words x{49}…$"):
        parse_document("a = 1", "x")


def test_a_document_can_be_copied_and_sent() -> None:
    document = parse_document("a = 1\nb = 2", "x")
    document.locate(("b",))
    for twin in (copy.deepcopy(document), pickle.loads(pickle.dumps(document))):
        assert twin == document
        assert twin.locate(("b",)) == Position(2, 1)


def test_reading_loads_nothing_that_only_findings_need() -> None:
    code = (
        "import sys, riglint.source as s; s.parse_document('a = 1', 'x');"
        "print({'tree_sitter', 'tree_sitter_toml', 'difflib'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ((), ""),
        (("part", 0, "item"), "/part/0/item"),
        (("a/b", "m~n", "", "~1"), "/a~1b/m~0n//~01"),
        (("é", " "), "/é/ "),
    ],
)
def test_pointer(path: tuple[str | int, ...], expected: str) -> None:
    assert pointer(path) == expected


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("itme", "item"),
        ("ITEM", "item"),
        ("lenght", "length"),
        ("Links", "links"),
        ("colour", None),
        ("", None),
        ("item" * 1000, None),
    ],
)
def test_nearest(name: str, expected: str | None) -> None:
    assert nearest(name, {"item", "length", "links", "grade"}) == expected


def test_nearest_does_not_depend_on_order() -> None:
    assert nearest("item", []) is None
    names = ["part1", "part2", "PART2"]
    assert nearest("part", names) == nearest("part", reversed(names))
