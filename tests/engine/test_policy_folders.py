"""Folder tables of a policy: what differs for the builds and records of one folder."""

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import tomli_w

from riglint import check, load
from riglint.check import policy_at
from riglint.testing import merged, values_of

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
FAULT = 'base = "pair"\n[[item]]\nid = "hook"\ngrade = 80'  # grade-mismatch, an error


@pytest.fixture
def library(tmp_path, monkeypatch):
    """Write a policy and one build a named file, and stand in the library."""
    monkeypatch.chdir(tmp_path)

    def written(policy, *files, example=FAULT, **changes):
        values = values_of(example)
        stock = {name: values.pop(name) for name in ("catalog", "item")}
        Path("stock.toml").write_text(tomli_w.dumps(stock))
        Path("riglint.toml").write_text(f'catalogs = ["stock.toml"]\n{policy}')
        for file in files:
            own = merged(values, {"assembly": {"id": Path(file).stem}, **changes})
            Path(file).parent.mkdir(parents=True, exist_ok=True)
            Path(file).write_text(tomli_w.dumps(own))

    return written


def levels(report, rule="grade-mismatch"):
    return {
        build.id: next(
            (placed.finding.level for placed in build.findings if placed.finding.rule == rule), None
        )
        for build in report.assemblies
    }


def test_a_level_holds_under_its_folder_alone(library):
    policy = '[folder.boat-yard.rules.grade-mismatch]\nlevel = "note"'
    library(policy, "boat-yard/a.toml", "boat-yard/deep/b.toml", "c.toml", "boat-yard-2/d.toml")
    assert levels(check(".")) == {"a": "note", "b": "note", "c": "error", "d": "error"}


def test_a_folder_given_by_itself_or_a_file_comes_under_it_too(library):
    library('[folder.yard.rules.grade-mismatch]\nlevel = "note"', "yard/a.toml")
    assert levels(check("yard")) == levels(check("yard/a.toml")) == {"a": "note"}


def test_what_is_off_in_a_folder_is_said(library):
    library('[folder.yard.rules.grade-mismatch]\nlevel = "off"', "yard/a.toml", "b.toml")
    report = check(".")
    assert levels(report) == {"a": None, "b": "error"}
    assert report.off == ("grade-mismatch in yard",)
    verdicts = {build.id: build.judgment.verdicts for build in report.assemblies}
    assert "grade-mismatch" not in verdicts["a"]


def test_a_rule_that_is_off_is_on_in_a_folder(library):
    policy = '[rules.grade-mismatch]\nlevel = "off"\n[folder.yard.rules.grade-mismatch]\n'
    library(policy + 'level = "warning"', "yard/a.toml", "b.toml")
    assert levels(check(".")) == {"a": "warning", "b": None}


@pytest.mark.parametrize("order", ["short first", "long first"])
def test_the_longer_folder_wins_and_of_two_as_long_the_later(library, order):
    short = '[folder.yard.rules.grade-mismatch]\nlevel = "note"\n'
    long = '[folder."yard/boats".rules.grade-mismatch]\nlevel = "warning"\n'
    policy = short + long if order == "short first" else long + short
    library(policy, "yard/a.toml", "yard/boats/b.toml")
    assert levels(check(".")) == {"a": "note", "b": "warning"}
    library(short + '[folder."*".rules.grade-mismatch]\nlevel = "warning"\n', "yard/a.toml")
    assert levels(check("yard"))["a"] == "warning"


def test_a_pattern_takes_in_several_folders(library):
    policy = '[folder."*-yard".rules.grade-mismatch]\nlevel = "note"'
    library(policy, "boat-yard/a.toml", "precast-yard/b.toml", "theatre/c.toml")
    assert levels(check(".")) == {"a": "note", "b": "note", "c": "error"}


def test_settings_merge_key_by_key(library):
    # the hook of the sound pair is 3 in wide, its master link 5 in: 1.667
    policy = """
        [rules.hook-tight]
        level = "note"
        ratio = 1.7
        [folder.yard.rules.hook-tight]
        ratio = 1.6
        [folder.mill.rules.hook-tight]
        level = "warning"
    """
    library(policy, "yard/a.toml", "mill/b.toml", "c.toml", example='base = "pair"')
    assert levels(check("."), "hook-tight") == {"a": None, "b": "warning", "c": "note"}
    library(policy.replace('"note"', '"warning"'), "c.toml", example='base = "pair"')
    assert levels(check("c.toml"), "hook-tight") == {"c": "warning"}


def test_duty_and_practice_of_a_folder(library):
    policy = """
        duty = { temperature = { low = "0 degF", high = "100 degF" } }
        [practice]
        usable_arc = "140 deg"
        [folder.yard]
        duty = { temperature = { low = "0 degF", high = "500 degF" } }
        practice = { angles = "exact" }
    """
    library(policy, "yard/a.toml", "b.toml", example='base = "pair"')
    yard, other = load("yard/a.toml"), load("b.toml")
    assert yard.duty.temperature.high == pytest.approx(260)  # (500 - 32) x 5/9
    assert other.duty.temperature.high == pytest.approx(340 / 9)
    assert (yard.practice.angles, other.practice.angles) == ("exact", "listed")
    assert yard.practice.usable_arc == other.practice.usable_arc == 140
    assert check("yard").assemblies[0].sling.practice.angles == "exact"


def test_a_build_still_says_more_than_its_folder(library):
    policy = '[folder.yard]\nduty = { load = "1 lb" }'
    library(policy, "yard/a.toml", example='base = "pair"')
    assert load("yard/a.toml").duty.load.text == "12,000 lb"


@pytest.mark.parametrize(
    ("own", "folder", "status"),
    [
        ("error", "warning", 1),
        ("error", "error", 0),
        ("warning", "error", 0),
        ("warning", "open", 0),
    ],
)
def test_fail_on_counts_for_the_builds_of_the_folder(library, own, folder, status):
    policy = f"""
        fail_on = ["{own}"]
        rules.grade-mismatch.level = "warning"
        [folder.yard]
        fail_on = ["{folder}"]
    """
    library(policy, "yard/a.toml")
    assert levels(check(".")) == {"a": "warning"}
    assert check(".").exit_status == status
    assert check(".", fail_on=("warning",)).exit_status == 1
    assert check(".", fail_on=("error",)).exit_status == 0
    library(policy, "mill/b.toml")
    assert check(".").exit_status == int("warning" in (own, folder))


def test_workers_judge_by_folders_too(library):
    files = [f"yard/a{n}.toml" for n in range(5)] + [f"b{n}.toml" for n in range(5)]
    library('[folder.yard]\nfail_on = ["open"]\nrules.grade-mismatch.level = "note"', *files)
    with ThreadPoolExecutor(3) as executor:
        shared = check(".", executor=executor)
    alone = check(".")
    assert levels(shared) == levels(alone)
    assert [one.fail_on for one in shared.assemblies] == [one.fail_on for one in alone.assemblies]
    assert shared.assemblies[0].sling.id == alone.assemblies[0].sling.id


def test_records_come_under_the_folder_that_they_lie_in(tmp_path):
    shutil.copytree(NORTHMERE, tmp_path / "northmere")
    policy = tmp_path / "northmere/riglint.toml"
    own = '\n[folder.records-faults.rules.inspection-overdue]\nlevel = "note"\n'
    before = check(policy.parent)
    policy.write_text(policy.read_text() + own)
    after = check(policy.parent)

    def overdue(report):
        return {
            placed.finding.level
            for record in report.records
            if "records-faults" in record.file
            for placed in record.judgment.findings
            if placed.finding.rule == "inspection-overdue"
        }

    assert overdue(before)
    assert overdue(before) != {"note"}
    assert overdue(after) == {"note"}


def test_folders_of_one_name_in_two_policies_are_two(library):
    """Each is relative to its own policy, and a build may lie under one of them alone."""
    Path("group/yard").mkdir(parents=True)
    Path("group/riglint.toml").write_text('[folder.yard.rules.grade-mismatch]\nlevel = "note"')
    own = 'based_on = "group/riglint.toml"\n[folder.yard.rules.grade-mismatch]\nlevel = "warning"'
    library(own, "yard/a.toml", "group/yard/b.toml", "c.toml")
    assert levels(check(".", policy="riglint.toml")) == {"a": "warning", "b": "note", "c": "error"}
    place, values = policy_at(Path("group/yard/b.toml"), Path("riglint.toml"))
    (level,) = [one for one in values if one.key == "rules.grade-mismatch.level"]
    assert (place, level.value, level.file) == ("riglint.toml", "note", "group/riglint.toml")
