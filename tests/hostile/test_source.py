"""Every unreadable file gives Unreadable with words for its user, and nothing else."""

from __future__ import annotations

import errno
import os
import random
import socket
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riglint.problem import Problem, Unreadable
from riglint.source import MAX_BYTES, MAX_DEPTH, MAX_VALUES, parse_document, read_document


def refusal_of(text: str | bytes) -> Problem:
    with pytest.raises(Unreadable) as caught:
        parse_document(text, "x.toml")
    (problem,) = caught.value.problems
    assert problem.file == "x.toml"
    assert 0 < len(problem.message) < 150
    return problem


def problems_of(text: str | bytes) -> tuple[Problem, ...]:
    try:
        document = parse_document(text, "x.toml")
    except Unreadable as refused:
        return refused.problems
    document.locate(("a", 0, "b"))
    return ()


def refusal_of_file(path: Path) -> str:
    with pytest.raises(Unreadable) as caught:
        read_document(path, "x.toml")
    (problem,) = caught.value.problems
    assert problem.file == "x.toml"
    assert problem.line is None
    return problem.message


def nested_tables(keys: int, levels: int) -> str:
    key = ".".join("a" * keys)
    return "a = " + f"{{{key} = " * levels + "1" + "}" * levels


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 5000 + "]" * 5000,
        "a = " + "[" * 5000,
        "a = " + "{a = " * 5000 + "1" + "}" * 5000,
        "a = " + "[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1),
        "a = " + "[" * 399 + "]" * 399,
        ".".join("a" * 5000) + " = 1",
        ".".join("a" * (MAX_DEPTH + 2)) + " = 1",
        "[" + ".".join("a" * 5000) + "]",
        "[" + ".".join("a" * (MAX_DEPTH + 1)) + "]\nb = 1",
        "\n".join(f"[[{'.'.join('a' * n)}]]" for n in range(1, 40)),
        nested_tables(999, 399),
        "a = 0x" + "f" * 1000 + "\nb = " + "[" * 300 + "]" * 300,
    ],
)
def test_deep_nesting(text: str) -> None:
    assert "levels deep" in refusal_of(text).message


LONG_KEY = ".".join("a" * 999)
LONG_QUOTED_KEY = " . ".join(["'a'", '"\\"b"'] * 400)


@pytest.mark.parametrize(
    "text",
    [
        f"[{LONG_KEY}]\n" + "\n".join(f"{LONG_KEY}.b{n} = 1" for n in range(500)),
        f" [ {LONG_KEY} ]\n" + "\n".join(f"b{n} = 1" for n in range(90_000)),
        f"[{LONG_QUOTED_KEY}]\n" + "\n".join(f"\t{LONG_QUOTED_KEY}.b{n} = 1" for n in range(100)),
        "# first\r\n" + "\r\n".join(f"[[{LONG_KEY}.b{n}]]" for n in range(500)),
    ],
    ids=["keys-under-heading", "short-keys", "quoted", "list-headings"],
)
def test_long_keys_cannot_hold_up_the_parser(text: str) -> None:
    problem = refusal_of(text)
    assert "levels deep" in problem.message
    assert problem.line in (1, 2)


@pytest.mark.parametrize(
    "text",
    [
        "a = [" + "1," * 500_000 + "]",
        "a = [" + "[]," * 300_000 + "]",
        "[[a]]\n" * 170_000,
        "\n".join(f"a{n}=1" for n in range(MAX_VALUES + 1)),
    ],
    ids=["numbers", "lists", "tables", "keys"],
)
def test_many_values(text: str) -> None:
    assert refusal_of(text).message == "The file holds more than 100,000 values"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a = 1" + "0" * 100_000, (None, None)),
        ("a = -1" + "_0" * 100_000, (None, None)),
        ("a = [1, 0x" + "f" * 100_000 + "]", (1, 9)),
        ("a = 1\n[[b]]\nc = 0b1" + "0" * 64, (3, 1)),
        ("a = 9223372036854775808", (1, 1)),
        ("a = -9223372036854775809", (1, 1)),
        ("t = 10:30\na = 1" + "0" * 400, (2, 1)),
    ],
    ids=["decimal", "underscores", "hexadecimal", "binary", "2**63", "-2**63-1", "newer-grammar"],
)
def test_large_whole_numbers(text: str, place: tuple[int | None, int | None]) -> None:
    problem = refusal_of(text)
    assert problem.message == "A whole number has more than 64 bits"
    assert (problem.line, problem.column) == place


@pytest.mark.parametrize(
    ("data", "words", "line", "column"),
    [
        (b"a = 1\n\xc3\xa9 = '\xe9'\n", "byte 0xe9", 2, 6),
        (b"\xef\xbb\xbfa = '\xff'", "byte 0xff", 1, 6),
        (b"a = '\xed\xa0\x80'", "byte 0xed", 1, 6),
        (b"a = '\xf0\x9f\x98", "byte 0xf0", 1, 6),
        (b"a = '\xc0\x80'", "byte 0xc0", 1, 6),
        (b"a = 1\r\n\x00", "NUL", 2, 1),
        (b"# \x00", "NUL", 1, 3),
        (b"a = '\xc3\xa9\x00'", "NUL", 1, 7),
        ("a = 1\nb = '\ud800'", "half a character", 2, 6),
        ("a = 1".encode("utf-16"), "UTF-16", None, None),
        (b"\x7fELF\x02\x01\x01\x00\x00", "NUL", 1, 8),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "byte 0x89", 1, 1),
        (b"PK\x03\x04\x14\x00\x08", "NUL", 1, 6),
    ],
)
def test_not_text(data: bytes | str, words: str, line: int | None, column: int | None) -> None:
    problem = refusal_of(data)
    assert words in problem.message
    assert (problem.line, problem.column) == (line, column)


@pytest.mark.parametrize(
    "data",
    [b"#" * (MAX_BYTES + 1), "#" * (MAX_BYTES + 1), "é" * (MAX_BYTES // 2 + 1)],
    ids=["bytes", "text", "two-byte-text"],
)
def test_large_text(data: bytes | str) -> None:
    assert refusal_of(data).message == "The file is larger than 1,048,576 bytes"


WHOLE = """\
name = "bridle"  # für
[sling]
sizes = [10, 13.5, { a.b = "x" }]
[[part]]
"item no" = '''
ML-1
'''
made = 2024-03-01T10:00:00Z
""".encode()


@pytest.mark.parametrize("size", range(len(WHOLE)))
def test_part_of_a_file_is_read_or_refused(size: int) -> None:
    assert all(problem.line for problem in problems_of(WHOLE[:size]))


def test_half_a_file() -> None:
    assert refusal_of(WHOLE[: WHOLE.index(b"ML-1")]).line == 6


@given(st.binary(max_size=60) | st.text(max_size=60))
def test_anything(data: bytes | str) -> None:
    assert all(problem.message for problem in problems_of(data))


PIECES = [
    *["a", "b.c", '"q"', '"q\\e"', "'l'", "=", "=", "[", "]", "[[", "]]", "{", "}", ",", "\n"],
    *["\r\n", "#c\n", " ", "1", "10:30", '"s"', '"""m\n"""', ".", "\\e", '"', "'", "é", "\ufeff"],
    *['"\\ud800" = 1\n', "[a]\n", "[[b]]\n", "x = 1\n", "y = {\n", "z = [1,\n"],
]


@pytest.mark.parametrize("seed", range(20))
def test_anything_like_toml(seed: int) -> None:
    source = random.Random(seed)
    for _ in range(200):
        problems_of("".join(source.choices(PIECES, k=30)))


@pytest.mark.parametrize(
    "text",
    [
        'a = "\\e' + "[" * 500_000 + '"',
        'a = "\\e"\nb = """\n' + "[[" * 200_000 + '"""',
        'a = """\\e\n' + "a={" * 300_000 + '"""',
        "a = 10:30\nb = '" + "a." * 500_000 + "'",
        "a = [" + "{\n x = 1,\n y = 2,\n}," * 20_000 + "]",
        "[[x]]\na = 10:30\n" * 20_000,
    ],
    ids=["lists", "headings", "braces", "keys", "newer-tables", "newer-times"],
)
def test_places_in_text_that_the_position_grammar_misreads(text: str) -> None:
    assert parse_document(text, "x").locate(("a",)).line == 1


def test_missing(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    assert refusal_of_file(tmp_path / "none.toml") == "There is no such file"
    assert "not a folder" in refusal_of_file(tmp_path / "file" / "x.toml")
    (tmp_path / "dangling").symlink_to(tmp_path / "none.toml")
    assert refusal_of_file(tmp_path / "dangling") == "There is no such file"


def test_folder(tmp_path: Path) -> None:
    assert refusal_of_file(tmp_path) == "This is a folder, not a file"


def test_symbolic_links_in_a_circle(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    assert "in a circle" in refusal_of_file(tmp_path / "a")


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/urandom"])
def test_device(device: str) -> None:
    if not Path(device).exists():
        pytest.skip("no such device here")
    assert "not a regular file" in refusal_of_file(Path(device))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in folders here")
def test_pipe_and_socket(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "not a regular file" in refusal_of_file(tmp_path / "pipe")
    monkeypatch.chdir(tmp_path)
    with socket.socket(socket.AF_UNIX) as server:
        server.bind("socket")
        assert "not a regular file" in refusal_of_file(tmp_path / "socket")


def test_huge_file(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(20 * 1024**3)
    assert refusal_of_file(path) == "The file is larger than 1,048,576 bytes"


@pytest.mark.parametrize("name", ["x\0y", "x" * 5000, "\ud800"])
def test_impossible_name(tmp_path: Path, name: str) -> None:
    assert refusal_of_file(tmp_path / name)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root reads all")
def test_no_permission(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.touch(mode=0o000)
    assert refusal_of_file(path) == "There is no permission to read this file"


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.EACCES, "no permission"),
        (errno.EPERM, "no permission"),
        (errno.ENOENT, "no such file"),
        (errno.EIO, "cannot be read: "),
    ],
)
def test_failure_while_opening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    path = tmp_path / "x.toml"
    path.touch()
    monkeypatch.setattr(Path, "open", fail)
    assert words in refusal_of_file(path)


def test_binary_file(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(bytes(range(256)) * 100)
    with pytest.raises(Unreadable) as caught:
        read_document(path)
    assert caught.value.problems[0].file == str(path)
