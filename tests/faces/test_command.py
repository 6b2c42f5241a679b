"""The command as people and scripts use it: output, streams, exit status."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from riglint.calculation import Calculation
from riglint.cli import main

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
FAULT = "faults/walkway-quad-old-hooks.toml"
ADJUSTABLE = "builds/slab-quad-adjustable.toml"


def riglint(*arguments, width=80, **environment):
    return subprocess.run(
        [sys.executable, "-m", "riglint.cli", *map(str, arguments)],
        cwd=NORTHMERE,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={"COLUMNS": str(width), "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )


def lines(text):
    return "\n".join(line.rstrip() for line in text.splitlines())


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_picture_of_a_faulty_sling(snapshot, width):
    done = riglint("check", FAULT, width=width)
    assert done.returncode == 1
    assert not done.stderr
    assert max(map(len, done.stdout.splitlines())) <= width
    assert lines(done.stdout) == snapshot


def test_the_calculation_sheet(snapshot):
    done = riglint("rate", ADJUSTABLE, width=100)
    assert done.returncode == 0
    assert lines(done.stdout) == snapshot


def test_one_rule_in_full(snapshot):
    assert lines(riglint("rules", "crowded-link").stdout) == snapshot


def test_no_escape_reaches_a_file_and_ascii_where_the_terminal_can_no_more():
    done = riglint("check", FAULT, PYTHONIOENCODING="ascii")
    assert done.stdout.isascii()
    assert "\x1b" not in done.stdout
    assert "`-- " in done.stdout


def test_color_only_adds_color():
    plain = riglint("check", FAULT).stdout
    colored = riglint("check", FAULT, FORCE_COLOR="1", TERM="xterm-256color").stdout
    assert "\x1b[" in colored
    import re

    assert re.sub(r"\x1b\[[0-9;]*m", "", colored) == plain


def test_json_has_the_shape_that_is_promised():
    data = json.loads(riglint("check", FAULT, "--report", "json").stdout)
    assert list(data) == [
        "riglint",
        "report_version",
        "assemblies",
        "catalogs",
        "records",
        "library",
        "problems",
        "skipped",
        "known",
        "off",
        "packs",
        "house_rules",
        "summary",
    ]
    (build,) = data["assemblies"]
    assert build["id"] == "walkway-quad-old-hooks"
    assert build["rating"]["governed_by"] == "b1/SH-3/8-80"
    finding = next(one for one in build["findings"] if one["rule"] == "grade-mismatch")
    assert finding["part"] == "b1/SH-3/8-80"
    assert finding["key"] == "/leg/1/parts/3/item"
    text = (NORTHMERE / FAULT).read_text(encoding="utf-8").splitlines()[finding["line"] - 1]
    assert text[finding["column"] - 1 :].startswith('item = "SH-3/8-80"')
    assert build["verdicts"]["grade-mismatch"] == "fail"
    assert set(build["verdicts"].values()) <= {"fail", "open", "pass", "notApplicable"}


def test_rate_json_has_the_shape_that_is_promised():
    data = json.loads(riglint("rate", ADJUSTABLE, "--report", "json").stdout)
    assert data["rated_load"] == {"kg": 10387.2653, "text": "22,900 lb"}  # 22,900 x 0.45359237
    assert data["governed_by"] == "a1/CH-3/8"
    assert data["angle"] == {"deg": 60.0, "from": "horizontal"}
    assert [one["leg"] for one in data["legs"]] == ["a1", "a2", "b1", "b2"]
    assert data["pocket_settings"][0]["link"] == 6
    assert {"part": "a1/CH-3/8", "links": 82, "length": None} in data["cut_list"]
    assert data["proof"]["master"]["text"] == "52,800 lb"  # 6 x 8,800
    assert data["missing"] == []


def test_several_reports_of_one_run(tmp_path):
    out = tmp_path / "report.json"
    done = riglint("check", FAULT, "--report", "text", "--report", f"json={out}")
    assert "walkway-quad-old-hooks" in done.stdout
    assert json.loads(out.read_text(encoding="utf-8"))["summary"]["error"] == 3
    assert list(tmp_path.iterdir()) == [out]


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["check", "builds"], 0),
        (["check", FAULT], 1),
        (["check", "faults/stair-pair-tight-hook.toml"], 0),
        (["check", "faults/stair-pair-tight-hook.toml", "--fail-on", "warning"], 1),
        (["check", "nowhere.toml"], 2),
        (["check", FAULT, "--report", "poem"], 2),
        (["check", FAULT, "--as-of", "someday"], 2),
        (["check", "--policy", "nowhere.toml", FAULT], 2),
        (["rate", "nowhere.toml"], 2),
        (["rate", "stock/us.toml"], 2),
        (["rate", ADJUSTABLE, "--angle", "45 deg"], 2),
        (["rate", ADJUSTABLE, "--hung-from", "nothing"], 2),
        (["rules"], 0),
        (["rules", "no-such-rule"], 2),
        ([], 2),
    ],
)
def test_exit_status(arguments, status):
    done = riglint(*arguments)
    assert done.returncode == status, done.stderr
    assert "Traceback" not in done.stdout + done.stderr


def test_a_report_that_cannot_be_written_is_said_so(tmp_path):
    done = riglint("check", FAULT, "--report", f"json={tmp_path}/no/such/folder/x.json")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "cannot be written" in done.stderr


def test_what_if_another_hook_and_angle():
    data = json.loads(
        riglint("rate", ADJUSTABLE, "--angle", "45 deg from horizontal", "--report", "json").stdout
    )
    assert data["rated_load"]["text"] == "18,700 lb"  # OSHA guide, Table 2, three legs at 45 deg


def test_control_characters_of_a_stranger_are_shown_escaped(tmp_path):
    text = (NORTHMERE / FAULT).read_text(encoding="utf-8")
    evil = tmp_path / "evil.toml"
    title = 'title = "\\u001b[31mred \\u202e reversed"'
    evil.write_text(text.replace('title = "', title + '\nextra = {}\n# "', 1), encoding="utf-8")
    done = riglint("check", evil, "--policy", "riglint.toml")
    assert "\x1b" not in done.stdout
    assert "\u202e" not in done.stdout
    assert "\\x1b[31mred" in done.stdout


def test_a_fault_of_its_own_is_said_in_a_line(monkeypatch, capsys):
    def breaks(options):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("riglint.commands.check.run", breaks)
    assert main(["check", "."]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("riglint: nothing of this run counts: a fault in riglint itself")
    assert "ZeroDivisionError: division by zero (test_command.py, line " in line


def test_a_fault_of_its_own_on_one_build_leaves_the_others_judged(monkeypatch, capsys):
    whole = Calculation.rating

    def breaks(self, *angle, **options):
        if self.sling.id == "slab-quad-adjustable":
            raise ZeroDivisionError("division by zero")
        return whole(self, *angle, **options)

    monkeypatch.setattr(Calculation, "rating", breaks)
    assert main(["check", "examples/northmere/builds", "--report", "json"]) == 2
    data = json.loads(capsys.readouterr().out)
    builds = len([*Path("examples/northmere/builds").glob("*.toml")])
    assert len(data["assemblies"]) == builds - 1
    (problem,) = [p for p in data["problems"] if "riglint itself" in p["message"]]
    assert "slab-quad-adjustable" in problem["file"]
