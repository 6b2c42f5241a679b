"""Several reports of one run, those that packs bring, and the line that says how far a run is."""

import json
import os
import shutil
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from riglint import API_VERSION, Pack, Report, ReportKind, check, hookimpl
from riglint.commands.progress import ProgressLine
from riglint.commands.reporting import Wanted, write_reports

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
FAULT = "faults/walkway-quad-old-hooks.toml"

PACK = """
import sys
from riglint import API_VERSION, Pack, PackContext, Report, ReportKind, hookimpl


def tally(report, out):
    out.write(f"{len(report.assemblies)} builds, {report.count('error')} errors\\n")


def broken(report, out):
    out.write("half a rep")
    raise ValueError("no more paper")


def loud(report, out):
    print("hello")
    out.write("all")


def leaving(report, out):
    sys.exit(0)


@hookimpl
def riglint_pack(context: PackContext) -> Pack:
    kinds = [ReportKind(f.__name__, "", f) for f in (tally, broken, loud, leaving)]
    return Pack("northmere", "1.0", API_VERSION, (), tuple(kinds))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A folder with a pack as an installer would leave it, and a library that names it."""
    folder = tmp_path_factory.mktemp("installed")
    (folder / "northmere_pack.py").write_text(PACK)
    about = folder / "northmere_pack-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: northmere-pack\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text("[riglint.packs]\nnorthmere = northmere_pack\n")
    shutil.copytree(NORTHMERE / "stock", folder / "policy/stock")
    policy = 'catalogs = ["stock/*.toml"]\npacks = ["northmere"]\n'
    (folder / "policy/riglint.toml").write_text(policy)
    return folder


def riglint(*arguments, path=""):
    return subprocess.run(
        [sys.executable, "-m", "riglint.cli", "check", FAULT, *map(str, arguments)],
        cwd=NORTHMERE,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(path), "COLUMNS": "80"},
    )


def with_pack(installed, *arguments):
    policy = installed / "policy/riglint.toml"
    return riglint("--policy", policy, *arguments, path=installed)


def test_a_pack_brings_a_report(installed, tmp_path):
    done = with_pack(installed, "--report", "northmere:tally")
    assert (done.returncode, done.stdout, done.stderr) == (1, "1 builds, 3 errors\n", "")
    done = with_pack(
        installed, "--report", f"northmere:tally={tmp_path}/t.txt", "--report", "lines"
    )
    assert (tmp_path / "t.txt").read_text() == "1 builds, 3 errors\n"
    assert done.stdout.startswith("faults/walkway-quad-old-hooks.toml:53:5: error: ")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("broken", "the report northmere:broken of the rule pack northmere failed: ValueError: no"),
        ("loud", "the report northmere:loud of the rule pack northmere printed to standard output"),
        ("leaving", "northmere:leaving of the rule pack northmere failed: SystemExit: 0"),
        ("tallly", "no rule pack in use brings the report northmere:tallly; did you mean"),
    ],
)
def test_a_report_that_fails_stops_no_other(installed, tmp_path, name, words):
    out = tmp_path / "out.txt"
    out.write_text("as it was")
    done = with_pack(
        installed,
        *("--report", "json", "--report", f"northmere:{name}={out}"),
        *("--report", f"northmere:tally={tmp_path}/tally.txt"),
    )
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    (problem,) = json.loads(done.stdout)["problems"]
    assert problem["file"] == "northmere"
    assert words in problem["message"]
    assert out.read_text() == "as it was"
    assert (tmp_path / "tally.txt").read_text() == "1 builds, 3 errors\n"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.txt", "tally.txt"]


def test_a_pack_that_is_not_named_brings_nothing(installed):
    done = riglint("--report", "northmere:tally", path=installed)
    assert done.returncode == 2
    assert "no rule pack in use brings the report northmere:tally" in done.stderr


class Plugin:
    """A pack with these reports."""

    def __init__(self, *reports, name="northmere"):
        self.pack = Pack(name, "1.0", API_VERSION, (), reports)

    @hookimpl
    def riglint_pack(self, context):
        return self.pack


def kind(name):
    return ReportKind(name, "", lambda report, out: None)


@pytest.mark.parametrize(
    ("reports", "words"),
    [
        ((kind("tally"), kind("tally")), "gives the report tally twice"),
        ((kind("a=b"),), "calls a report 'a=b'"),
        ((kind(None),), "calls a report None"),
        ((kind("north:tally"),), "calls a report 'north:tally'"),
        (("tally",), "gives something that is no report"),
    ],
    ids=["twice", "equals", "none", "colon", "text"],
)
def test_a_pack_with_reports_that_cannot_be_asked_for(reports, words):
    report = check(NORTHMERE / FAULT, plugins=[Plugin(*reports)])
    assert [problem.file for problem in report.problems] == ["northmere"]
    assert words in report.problems[0].message
    assert report.exit_status == 2


def test_two_packs_may_call_a_report_alike():
    first, second = Plugin(kind("tally")), Plugin(kind("tally"), name="sidings")
    second.__name__ = "second"
    report = check(NORTHMERE / FAULT, plugins=[first, second])
    assert report.problems == ()
    names = [one.name for pack in report.packs for one in pack.reports]
    assert names == ["northmere:tally", "sidings:tally"]


def test_two_reports_to_one_place_are_refused(tmp_path):
    done = riglint("--report", "text", "--report", "json")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == (
        "riglint: the reports text and json would all go to standard output; name a file for all"
        " but one, as in --report json=FILE\n"
    )
    done = riglint("--report", f"sarif={tmp_path}/./x", "--report", f"json={tmp_path}/x")
    assert done.returncode == 2
    assert f"sarif and json would all be written to {tmp_path}/x" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("text", ["poem", "json=", "=x", ""])
def test_what_is_no_report_is_refused(text):
    done = riglint("--report", text)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_a_pipe_is_written_and_not_replaced(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE, text=True)
    done = riglint("--report", f"json={pipe}")
    assert done.returncode == 1
    assert json.loads(reader.communicate(timeout=60)[0])["summary"]["error"] == 3
    assert pipe.is_fifo()


def test_a_built_in_report_that_breaks_is_a_problem(monkeypatch, tmp_path, capsys):
    def broken(data, out):
        raise KeyError("unit")

    monkeypatch.setattr("riglint.reports.data.print_json", broken)
    out = tmp_path / "x.json"
    wanted = [Wanted("json", str(out)), Wanted("lines", str(tmp_path / "x.txt"))]
    assert write_reports(Report(), wanted) == 2
    assert "the report json failed: KeyError" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["x.txt"]


def test_only_the_report_that_is_asked_for_is_loaded():
    code = (
        "import sys; from riglint.cli import main; main(sys.argv[1:]);"
        "print([m for m in ('rich', 'xml.etree', 'riglint.reports.sarif')"
        " if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "check", FAULT, "--report", "lines"],
        cwd=NORTHMERE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr.strip() == "[]"


# How far a run is


class Terminal(StringIO):
    def isatty(self):
        return True


def test_a_long_run_says_how_far_it_is(monkeypatch):
    monkeypatch.setattr("riglint.commands.progress.QUIET_S", 0)
    monkeypatch.setattr("riglint.commands.progress.PAUSE_S", 0)
    line = ProgressLine(Terminal())
    line(1, 1000)
    line(1000, 1000)
    line.clear()
    shown = line.out.getvalue().split("\r")
    assert [part.rstrip() for part in shown] == [
        *("", "checked 1 of 1,000 files", "checked 1,000 of 1,000 files"),
        *("", ""),
    ]
    assert len(shown[3]) == len(shown[2])


@pytest.mark.parametrize("out", [StringIO(), Terminal()], ids=["no terminal", "short run"])
def test_a_short_run_and_a_log_stay_silent(out):
    line = ProgressLine(out)
    line(1, 2)
    line.clear()
    assert out.getvalue() == ""


def test_the_check_tells_of_each_file():
    told = []
    report = check(NORTHMERE / "builds", progress=lambda *now: told.append(now))
    total = len(report.assemblies)
    assert told == [(n, total) for n in range(1, total + 1)]


def test_workers_are_told_of_too():
    from concurrent.futures import ThreadPoolExecutor

    told = []
    with ThreadPoolExecutor(2) as executor:
        check(NORTHMERE, executor=executor, progress=lambda *now: told.append(now))
    assert told[-1][0] == told[-1][1]
    assert [done for done, _ in told] == sorted(done for done, _ in told)
