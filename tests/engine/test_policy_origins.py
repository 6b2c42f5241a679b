"""`riglint policy`: every value as it applies in a place, with the line that it comes from."""

import json
from pathlib import Path

import pytest

from riglint.check import policy_at
from riglint.cli import main
from riglint.problem import Unreadable

GROUP = """\
catalogs = ["group.toml"]
fail_on = ["error"]
[practice]
angles = "exact"
usable_arc = "140 deg"
[rules.hook-tight]
level = "note"
ratio = 1.3
"""
OWN = """\
based_on = "group/riglint.toml"
catalogs = ["own.toml"]
fail_on = ["open"]
[practice]
usable_arc = "145 deg"
[rules.hook-tight]
ratio = 1.25
[folder.yard]
fail_on = ["warning"]
practice.angles = "listed"
duty.load = "2 t"
[folder."yard/boats".rules.hook-tight]
level = "off"
[[requirement]]
name = "latched"
of.kind = "sling-hook"
must.latch = true
because = "NR-4"
"""


@pytest.fixture
def library(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for folder in ("group", "yard/boats"):
        Path(folder).mkdir(parents=True)
    for name in ("group/group.toml", "own.toml"):
        Path(name).write_text(f'[catalog]\nid = "{Path(name).stem}"\nbasis = "US"\n')
    Path("group/riglint.toml").write_text(GROUP)
    Path("riglint.toml").write_text(OWN)


def origins(path):
    return {
        one.key: (one.value, f"{one.file}:{one.line}" if one.line else one.file)
        for one in policy_at(Path(path))[1]
        if not isinstance(one.value, dict)
    }


COMMON = {
    "based_on[group/riglint.toml]": ("group/riglint.toml", "riglint.toml:1"),
    "catalogs[group.toml]": ("group.toml", "group/riglint.toml:1"),
    "catalogs[own.toml]": ("own.toml", "riglint.toml:2"),
    "practice.four_legs_count": (3, "built in"),
    "practice.usable_arc": ("145 deg", "riglint.toml:5"),
    "practice.length_tolerance": (None, "built in"),
    "rules.hook-tight.ratio": (1.25, "riglint.toml:7"),
}


def test_every_value_has_the_place_that_it_comes_from(library):
    assert origins(".") == COMMON | {
        "fail_on[error]": ("error", "group/riglint.toml:2"),
        "fail_on[open]": ("open", "riglint.toml:3"),
        "practice.angles": ("exact", "group/riglint.toml:4"),
        "rules.hook-tight.level": ("note", "group/riglint.toml:7"),
    }


def test_under_a_folder_table_its_values_stand(library):
    under = COMMON | {
        "fail_on[warning]": ("warning", "riglint.toml:9"),
        "practice.angles": ("listed", "riglint.toml:10"),
        "duty.load": ("2 t", "riglint.toml:11"),
    }
    level = {"rules.hook-tight.level": ("note", "group/riglint.toml:7")}
    assert origins("yard") == under | level
    assert origins("yard/none-yet.toml") == under | level
    level = {"rules.hook-tight.level": ("off", "riglint.toml:13")}
    assert origins("yard/boats") == under | level


def test_a_folder_that_is_not_there_has_no_policy_of_its_own(library):
    with pytest.raises(Unreadable, match="no such folder"):
        origins("yrd")


def test_without_a_policy_all_is_built_in(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    place, values = policy_at(Path())
    assert place is None
    assert {one.key: one.value for one in values} == {
        "fail_on[error]": "error",
        "practice.angles": "listed",
        "practice.four_legs_count": 3,
        "practice.usable_arc": "150 deg",
        "practice.length_tolerance": None,
    }
    assert {one.file for one in values} == {"built in"}


def test_a_policy_that_cannot_be_read_is_no_policy(library):
    Path("riglint.toml").write_text(OWN.replace("[rules.hook-tight]", "[rules.hook-tigth]"))
    with pytest.raises(Unreadable, match="did you mean hook-tight"):
        policy_at(Path())


def test_the_command_as_text(library, capsys):
    assert main(["policy", "yard"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "riglint.toml"
    said = [" ".join(line.split()) for line in lines]
    assert "practice.angles = listed riglint.toml:10, for yard" in said
    assert any(line.startswith("requirement.latched = error: NR-4") for line in lines)


def test_the_command_as_json(library, capsys):
    assert main(["policy", "yard", "--report", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["policy"] == "riglint.toml"
    found = {one["key"]: one for one in data["values"]}
    assert found["practice.angles"] == {
        "key": "practice.angles",
        "value": "listed",
        "file": "riglint.toml",
        "line": 10,
        "folder": "yard",
    }
    assert found["practice.four_legs_count"]["file"] is None
    assert found["requirement.latched"]["value"]["must"] == {"latch": True}


def test_the_command_says_what_is_wrong(library, capsys):
    Path("riglint.toml").write_text("zebra = 1")
    assert main(["policy"]) == 2
    assert "riglint.toml:1:1: unknown key zebra" in capsys.readouterr().err
