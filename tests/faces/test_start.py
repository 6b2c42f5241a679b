"""The first files of a pack and a library pass their own checks; the guide's steps work."""

import os
import re
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from riglint import check
from riglint.cli import main
from riglint.commands import start

ROOT = Path(__file__).parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def files_in(folder):
    return sorted(
        str(p.relative_to(folder))
        for p in folder.rglob("*")
        if p.is_file() and "cache" not in str(p)
    )


def test_a_library_checks_clean(here, capsys):
    assert main(["start", "library", "loft"]) == 0
    assert files_in(here / "loft") == ["builds/pair.toml", "riglint.toml", "stock/stock.toml"]
    report = check("loft")
    assert (report.exit_status, report.problems, report.open_count) == (0, (), 0)
    assert [report.count(level) for level in ("error", "warning", "note")] == [0, 0, 0]
    assert report.assemblies[0].judgment.verdicts["house:hooks-latched"] == "pass"
    assert "riglint check loft" in capsys.readouterr().out


TAKEN = [
    "n:list",
    "n:master",
    "n:hookimpl",
    "n:rules-in",
    "n:pytest",
    "n:rule",
    "n:class",
    "n:n-rules",
]


@pytest.mark.parametrize(
    "name", ["northmere:top-link-light", "top-link-light", "a-b:c-d-9", *TAKEN]
)
def test_the_tests_of_a_pack_pass(here, name):
    assert main(["start", "rule", name, "--into", "pack"]) == 0
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"]
    done = subprocess.run(command, cwd="pack", capture_output=True, text=True, check=False)
    assert "2 passed" in done.stdout, done.stdout


def test_the_pack_is_called_as_asked(here):
    main(["start", "rule", "northmere:top-link-light"])
    assert files_in(here) == ["northmere_rules.py", "pyproject.toml", "test_northmere_rules.py"]
    module = Path("northmere_rules.py").read_text()
    assert 'Pack(name="northmere"' in module
    assert '"top-link-light",' in module
    assert 'northmere = "northmere_rules"' in Path("pyproject.toml").read_text()


def test_what_to_do_next_can_be_copied(here, capsys):
    assert main(["start", "library", "my loft"]) == 0
    assert "now: riglint check 'my loft'\n" in capsys.readouterr().out


def test_nothing_is_written_over(here, capsys):
    Path("pyproject.toml").write_text("mine")
    assert main(["start", "rule", "a:b"]) == 2
    assert capsys.readouterr().err == (
        "riglint: pyproject.toml is already in .; nothing was written\n"
    )
    assert files_in(here) == ["pyproject.toml"]
    assert Path("pyproject.toml").read_text() == "mine"
    Path("loft/stock").mkdir(parents=True)
    Path("loft/stock/stock.toml").symlink_to(here / "lost")
    assert main(["start", "library", "loft"]) == 2
    assert not Path("loft/riglint.toml").exists()


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("riglint:top", "is no name for a pack"),
        ("Top", "small letters"),
        ("a b", "small letters"),
        ("a:b:c", "small letters"),
        ("../x", "small letters"),
        ("9-lives", "small letters"),
        (":", "small letters"),
        ("house:x", "house is no name for a pack"),
        ("standard:x", "standard is no name for a pack"),
        ("9:x", "begin it with a letter"),
    ],
)
def test_a_name_that_cannot_be(here, capsys, name, message):
    assert main(["start", "rule", name]) == 2
    assert message in capsys.readouterr().err
    assert files_in(here) == []


def test_a_folder_that_cannot_be_written(here, capsys):
    Path("loft").write_text("a file")
    assert main(["start", "library", "loft"]) == 2
    assert "loft" in capsys.readouterr().err


# The guide


def test_the_guide_shows_the_rule_that_start_writes():
    shown = re.search(r"```python\n(@rule.*?)```", GUIDE, re.DOTALL)[1]
    words = {"rule": "top-link-light", "function": "top_link_light", "pack": "northmere"}
    assert shown in start.Template(start.MODULE).substitute(words)


def steps():
    """The shell lines and the policy's lines of the guide's first section, in its order."""
    section = GUIDE.partition("## Your own rule")[2].partition("### A rule module")[0]
    for kind, text in re.findall(r"```(sh|toml)\n(.*?)```", section, re.DOTALL):
        if kind == "sh":
            yield from text.splitlines()
        else:
            yield tuple(text.split("\n", 1))


@pytest.fixture
def environment(here):
    """A fresh environment that has riglint and pytest, as the guide's first line makes it."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", ".venv"], check=True)
    scripts, site = Path(".venv/bin").resolve(), next(Path(".venv/lib").glob("*/site-packages"))
    parent = sysconfig.get_path("purelib")
    (site / "parent.pth").write_text(f"import site; site.addsitedir({parent!r})\n")
    for name, module in (("riglint", "riglint.cli"), ("pytest", "pytest"), ("pip", "pip")):
        text = f'#!/bin/sh\nexec "{scripts}/python" -m {module} "$@"\n'
        (scripts / name).write_text(text)
        (scripts / name).chmod(0o755)
    return {**os.environ, "PATH": f"{scripts}:{os.environ['PATH']}", "VIRTUAL_ENV": str(here)}


@pytest.mark.skipif(sys.platform == "win32", reason="the guide's lines are for a POSIX shell")
def test_the_steps_of_the_guide_do_what_it_says(here, environment):
    first, *rest = steps()
    assert first.startswith("python3 -m venv .venv")
    said = {}
    for step in rest:
        if isinstance(step, tuple):
            place, policy = step[0], Path("loft/riglint.toml")
            assert place in (f"# {policy}, at its end", f"# {policy}, at its top")
            old = policy.read_text()
            policy.write_text(old + "\n" + step[1] if "end" in place else step[1] + old)
            continue
        done = subprocess.run(
            step, shell=True, env=environment, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, f"{step}\n{done.stdout}{done.stderr}"
        said[step] = done.stdout
    checked = said["riglint check loft"]  # the last time
    assert "process of top: welded; the house asks for forged" in checked
    assert "0 problems" in checked
    assert "2 passed" in said["pytest pack"]
    assert "6 passed" in said["pytest pack --riglint-pack northmere"]
    shown = said["riglint rules northmere:top-link-light --policy loft/riglint.toml"]
    assert "the house asks for" in shown
