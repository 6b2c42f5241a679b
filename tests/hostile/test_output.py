"""What the command writes stays where it was asked for, whole and harmless, whatever reads it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import tomli_w

from riglint import check
from riglint.cli import main
from riglint.commands import write_whole
from riglint.reports import report_kinds
from riglint.testing import CATALOG_TABLES, values_of

pytestmark = pytest.mark.skipif(os.name != "posix", reason="streams and links as POSIX has them")
ACTS = "\x1b[31m\u202eden\u2028::error"
HELD = ("\x1b", "\u202e", "\u2028", "\n::")


@pytest.fixture
def library(tmp_path, monkeypatch):
    folder = tmp_path / "library"
    (folder / "builds").mkdir(parents=True)
    values = values_of('base = "pair"')
    catalog = {key: values.pop(key) for key in CATALOG_TABLES}
    (folder / "builds/build.toml").write_text(tomli_w.dumps(values))
    (folder / "stock.toml").write_text(tomli_w.dumps(catalog))
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    monkeypatch.chdir(folder)
    return folder


def shell(line, **environment):
    """What a shell makes of a line in which `riglint` is the command; its last word is a status."""
    command = f'riglint() {{ "{sys.executable}" -m riglint.cli "$@"; }}; {line}'
    return subprocess.run(
        ["bash", "-c", command],
        capture_output=True,
        env={"PATH": os.environ["PATH"], "PYTHONIOENCODING": "utf-8", **environment},
        timeout=120,
        check=False,
    )


# An interrupt

INTERRUPTED = """
import sys, riglint_entry
assert not [name for name in sys.modules if name.startswith("riglint.")]
class Interrupt:
    def find_spec(self, name, path=None, target=None):
        if name == {name!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, Interrupt())
sys.exit(riglint_entry.main())
"""


@pytest.mark.parametrize("name", ["riglint", "riglint.model", "riglint.commands.aside"])
def test_an_interrupt_while_riglint_loads_leaves_no_traceback(library, name):
    command = [sys.executable, "-c", INTERRUPTED.format(name=name), "check"]
    done = subprocess.run(command, capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


# Where a file goes


def test_no_link_laid_out_for_the_half_written_file_is_followed(library, tmp_path):
    victim = tmp_path / "victim"
    victim.write_text("kept")
    done = shell(
        f'ln -s ../victim .out.json.$$; exec "{sys.executable}" -m riglint.cli check'
        " --report json=out.json"
    )
    assert done.returncode == 0
    assert victim.read_text() == "kept"
    assert json.loads(Path("out.json").read_text())["problems"] == []


def test_a_link_at_the_name_of_the_output_is_replaced(library, tmp_path):
    victim = tmp_path / "victim"
    victim.write_text("kept")
    os.mkfifo("pipe")
    for target in ("../victim", "/dev/full", "pipe", "nowhere"):
        Path("out.txt").unlink(missing_ok=True)
        Path("out.txt").symlink_to(target)
        assert main(["check", "--report", "lines=out.txt"]) == 0
        assert not Path("out.txt").is_symlink()
    assert victim.read_text() == "kept"
    assert not Path("nowhere").exists()


def test_a_new_file_may_be_read_by_those_whom_the_user_lets(library):
    before = os.umask(0o027)
    try:
        assert main(["check", "--report", "lines=out.txt"]) == 0
    finally:
        os.umask(before)
    assert Path("out.txt").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("name", "why"),
    [("pipe", "it is a pipe that nothing reads"), ("builds", "it is there already and no file")],
)
def test_a_pipe_without_a_reader_or_a_folder_is_not_written_to(library, name, why, capsys):
    os.mkfifo("pipe")
    assert main(["check", "--report", f"lines={name}"]) == 2
    assert f"{name} cannot be written: {why}" in capsys.readouterr().err
    assert not list(Path().glob(".riglint-*"))


def test_what_fails_leaves_the_old_file_and_no_half_one(library):
    Path("out.txt").write_text("old")

    def breaks(out):
        out.write("half")
        raise OSError(28, "No space left on device")

    assert write_whole("out.txt", breaks) == 2
    assert Path("out.txt").read_text() == "old"
    assert sorted(map(str, Path().iterdir())) == ["builds", "out.txt", "riglint.toml", "stock.toml"]


@pytest.mark.parametrize(
    "line",
    [
        "riglint check --report json=/dev/stdout",
        "riglint check --report json=/dev/fd/1",
        "riglint check --report json=/dev/stdout > out; cat out",
        "riglint check --report json=/dev/stderr 2>&1",
        "riglint check --report json=>(cat) | cat",
        "riglint check --report html=/dev/null --report json",
    ],
)
def test_a_stream_that_the_user_names_is_written_to(library, line):
    assert json.loads(shell(line).stdout)["problems"] == []


# Readers that go, and streams that are shut

COMMANDS = [
    "check",
    "check --report html",
    "rate builds/build.toml",
    "rate builds/build.toml --report json",
    "rules",
    "policy",
    "sheet builds/build.toml",
    "schema assembly",
    "start library new",
    "--help",
]
SAYING = [command for command in COMMANDS if command != "--help"]


@pytest.mark.parametrize("command", COMMANDS)
def test_a_reader_who_goes_is_no_finding(library, command):
    done = shell(f"riglint {command} | true; echo ${{PIPESTATUS[0]}}")
    assert done.stdout == b"0\n"
    assert done.stderr == b""


def test_files_are_written_after_the_reader_went(library):
    assert shell("riglint check --report text --report json=out.json | true").stderr == b""
    assert json.loads(Path("out.json").read_text())["problems"] == []


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("shut", [">&-", "2>&- >/dev/null", "<&- >&- 2>&-"])
def test_a_stream_that_is_shut_changes_nothing(library, command, shut):
    done = shell(f"riglint {command} {shut}")
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")


@pytest.mark.parametrize("command", SAYING)
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_is_said_in_a_line(library, command):
    done = shell(f"riglint {command} > /dev/full")
    assert done.returncode == 2
    assert done.stderr == b"riglint: standard output cannot be written: No space left on device\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_where_nothing_can_be_said_the_status_stays(library):
    assert shell("riglint check nowhere 2> /dev/full").returncode == 2


# Bytes and signs that act


@pytest.mark.parametrize("command", ["check", "rate", "sheet", "fill", "policy"])
@pytest.mark.parametrize("speech", [{"LC_ALL": "C"}, {"PYTHONIOENCODING": "utf-8:strict"}])
def test_a_name_that_is_no_text_breaks_no_report(library, command, speech):
    Path("builds/build.toml").rename(os.fsdecode(b"builds/\xff.toml"))
    kind = "" if command == "sheet" else "--report json"
    done = shell(f"riglint {command} $'builds/\\xff.toml' {kind}", **speech)
    assert b"fault in riglint" not in done.stderr
    assert b"\xff" not in done.stdout
    assert b"\xff" not in done.stderr
    if kind and done.stdout:
        json.loads(done.stdout.decode("utf-8"))


def test_a_folder_whose_name_is_no_text_is_begun(library):
    done = shell("riglint start library $'\\xff'", PYTHONIOENCODING="utf-8:strict")
    assert done.returncode == 0
    assert b"\\udcff/riglint.toml" in done.stdout


def held(text):
    return not any(sign in text for sign in HELD)


@pytest.mark.parametrize("kind", ["json", "sarif", "sarif-upload"])
def test_data_hold_what_acts_as_escapes_and_give_it_back(library, kind, tmp_path):
    build = Path("builds/build.toml")
    values = values_of('base = "pair"')
    values = {key: value for key, value in values.items() if key not in CATALOG_TABLES}
    values["assembly"]["id"] = f"起重 {ACTS.replace(':', '')}"
    values["deviation_permit"] = [{"rule": f"no-{ACTS}"}]
    build.write_text(tomli_w.dumps(values))
    report = check(".")
    with (tmp_path / "out").open("w", encoding="utf-8") as out:
        report_kinds()[kind].write(report, out)
    text = (tmp_path / "out").read_text("utf-8")
    assert held(text)
    assert "\\u202e" in text
    if kind == "json":
        assert "起重" in text
        assert json.loads(text)["assemblies"][0]["id"] == values["assembly"]["id"]


POLICY = f'catalogs = ["stock.toml"]\npacks = [{json.dumps("p" + ACTS + chr(10) + "::error")}]\n'


@pytest.mark.parametrize("arguments", [["rules"], ["schema", "policy"], ["policy"], ["check"]])
def test_a_pack_that_there_is_not_is_named_without_what_acts(library, arguments, capsys):
    Path("riglint.toml").write_text(POLICY)
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert held(said.err)
    assert held(said.out)
    assert "p\\x1b[31m" in said.out + said.err


def test_a_permit_for_a_rule_that_there_is_not_is_named_without_what_acts(library, capsys):
    build = Path("builds/build.toml")
    name = json.dumps(f"no{ACTS}\n::error")
    build.write_text(f"{build.read_text()}\n[[deviation_permit]]\nrule = {name}\n")
    assert main(["sheet", str(build)]) == 2
    assert held(capsys.readouterr().err)


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", f"--{ACTS}\n::error"],
        [f"nix{ACTS}\n::error"],
        ["rate", "x", "--report", f"nix{ACTS}\n::error"],
        ["check", "--jobs", f"nix{ACTS}\n::error"],
        ["rules", f"nix{ACTS}\n::error"],
        ["start", "rule", f"nix{ACTS}\n::error"],
    ],
)
def test_arguments_are_repeated_without_what_acts(library, arguments, capsys):
    try:
        status = main(arguments)
    except SystemExit as ended:
        status = ended.code
    said = capsys.readouterr()
    assert status == 2
    assert said.err
    assert held(said.err)


def test_start_names_a_folder_without_what_acts(library, capsys):
    for status in (0, 2):
        assert main(["start", "library", f"new{ACTS}\n::error"]) == status
        said = capsys.readouterr()
        assert held(said.out + said.err)
