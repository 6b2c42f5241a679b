"""The job files for CI services and the hook for commits: read, and run as far as can be here."""

import json
import os
import re
import shlex
import subprocess
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
import yaml

from riglint.cli import _parser

ROOT = Path(__file__).parents[2]
CI = ROOT / "examples" / "ci"
FILES = sorted(CI.glob("*.yml")) + sorted(CI.glob("*.yaml"))
HOOKS = ROOT / ".pre-commit-hooks.yaml"


def values_in(data):
    """Every text of a YAML document."""
    if isinstance(data, dict):
        data = [*data.values()]
    if isinstance(data, list):
        for inner in data:
            yield from values_in(inner)
    elif isinstance(data, str):
        yield data


def calls_in(text):
    """The calls of the command in a shell text, as lists of arguments."""
    joined = text.replace("\\\n", " ")
    for line in joined.splitlines():
        found = re.match(r'\s*("\$place/bin/riglint"|riglint) (check .*?)(\|\|.*)?$', line)
        if found:
            yield shlex.split(found[2])


def reports_in(call):
    """The reports that a call asks for, by kind with their files."""
    asked = [text for option, text in pairwise(call) if option == "--report"]
    return dict(text.partition("=")[::2] for text in asked)


def calls(file):
    text = file.read_text(encoding="utf-8")
    texts = [text] if file.suffix == ".sh" else values_in(yaml.safe_load(text))
    return [call for one in texts for call in calls_in(one)]


def known_reports():
    """The kinds of report that this version writes, as its own help lists them."""
    check = next(iter(_parser()._subparsers._group_actions)).choices["check"]
    return set(re.findall(r"[a-z-]+", check.format_help()))


@pytest.mark.parametrize("file", [*FILES, HOOKS], ids=lambda file: file.name)
def test_a_job_file_is_yaml(file):
    assert yaml.safe_load(file.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["github-actions.yml", "gitlab-ci.yml", "check.sh"])
def test_a_job_file_asks_for_reports_each_in_its_own_file(name):
    (call,) = calls(CI / name)
    reports = reports_in(call)
    assert {"text", "junit", "markdown"} < set(reports)
    assert {"sarif", "sarif-upload"} & set(reports)
    assert reports["text"] == ""
    files = [file for kind, file in reports.items() if kind != "text"]
    assert len(set(files)) == len(files) == len(list(filter(None, files)))


@pytest.mark.parametrize("name", ["github-actions.yml", "gitlab-ci.yml", "check.sh"])
def test_the_command_takes_what_a_job_file_asks_for(name):
    (call,) = calls(CI / name)
    assert _parser().parse_args(call).run
    if "sarif" not in known_reports():
        pytest.skip("this version writes no SARIF, JUnit or Markdown report")
    assert set(reports_in(call)) <= known_reports()


def test_what_the_services_pick_up_is_what_the_check_writes():
    github = yaml.safe_load((CI / "github-actions.yml").read_text(encoding="utf-8"))
    (call,) = calls(CI / "github-actions.yml")
    reports = reports_in(call)
    steps = github["jobs"]["check"]["steps"]
    upload = next(step for step in steps if "sarif_file" in step.get("with", {}))
    summary = next(step for step in steps if "GITHUB_STEP_SUMMARY" in step.get("run", ""))
    assert upload["with"]["sarif_file"] == reports["sarif-upload"]
    assert reports["markdown"] in summary["run"]
    for step in (upload, summary):
        assert "!cancelled()" in step["if"], "a failed check is what the reports are for"
    assert github["permissions"]["security-events"] == "write"

    gitlab = yaml.safe_load((CI / "gitlab-ci.yml").read_text(encoding="utf-8"))
    (call,) = calls(CI / "gitlab-ci.yml")
    kept = gitlab["slings"]["artifacts"]
    assert kept["reports"]["junit"] == reports_in(call)["junit"]
    assert kept["when"] == "always"


def test_the_hook_for_commits_runs_the_command_over_the_whole_library():
    (hook,) = yaml.safe_load(HOOKS.read_text(encoding="utf-8"))
    config = yaml.safe_load((CI / "pre-commit-config.yaml").read_text(encoding="utf-8"))
    (used,) = config["repos"][0]["hooks"]
    assert used["id"] == hook["id"] == "riglint-check"
    assert not hook["pass_filenames"]
    program, *arguments = shlex.split(hook["entry"])
    assert program == "riglint"
    assert _parser().parse_args(arguments).paths == ["."]
    options = _parser().parse_args([*arguments, *used["args"]])
    assert options.paths == ["library"]
    assert options.fail_on == ["warning"]


def test_the_script_checks_a_library_and_leaves_the_reports(tmp_path):
    if "sarif" not in known_reports():
        pytest.skip("this version writes no SARIF, JUnit or Markdown report")
    clone = tmp_path / "riglint"
    subprocess.run(["git", "clone", "--quiet", str(ROOT), str(clone)], check=True)
    library = clone / "examples" / "northmere"
    done = subprocess.run(
        ["sh", str(clone / "examples" / "ci" / "check.sh"), str(library), "out"],
        cwd=tmp_path,
        env=os.environ | {"RIGLINT": str(clone)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1, done.stderr
    assert "riglint: there are findings that fail; see above" in done.stdout
    out = tmp_path / "out"
    assert json.loads((out / "riglint.sarif").read_text(encoding="utf-8"))["version"] == "2.1.0"
    assert json.loads((out / "riglint.json").read_text(encoding="utf-8"))["summary"]["error"] > 0
    assert ElementTree.parse(out / "riglint.xml").getroot().tag == "testsuites"
    assert (out / "riglint.md").read_text(encoding="utf-8").strip()


def test_the_script_says_what_it_needs(tmp_path):
    done = subprocess.run(
        ["sh", str(CI / "check.sh")],
        cwd=tmp_path,
        env={key: value for key, value in os.environ.items() if key != "RIGLINT"},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "say where riglint is installed from" in done.stderr
