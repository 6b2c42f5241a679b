"""The in-house pack of the examples installs, keeps its tests, and judges a library."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PACK = Path(__file__).parents[2] / "examples/house_pack"


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A copy of the example, and an environment in which its package is installed."""
    copy = tmp_path_factory.mktemp("pack") / "house_pack"
    target = tmp_path_factory.mktemp("target")
    shutil.copytree(PACK, copy, ignore=shutil.ignore_patterns("build", "*.egg-info", "*cache*"))
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps"]
    subprocess.run([*pip, "--target", str(target), str(copy)], check=True)
    shutil.rmtree(copy / "northmere_house")  # what is tested is what was installed
    return copy, {**os.environ, "PYTHONPATH": str(target), "COLUMNS": "100"}


def run(installed, *command):
    folder, environment = installed
    return subprocess.run(
        [sys.executable, "-m", *command],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def riglint(installed, *arguments):
    return run(installed, "riglint.cli", *arguments)


def test_its_tests_pass_and_its_rules_keep_their_contracts(installed):
    done = run(installed, "pytest", "-p", "no:cacheprovider")
    assert done.returncode == 0, done.stdout
    verbose = run(installed, "pytest", "-v", "-p", "no:cacheprovider").stdout
    for name in ("hook-off-the-list", "too-heavy-by-hand", "title-twice"):
        assert verbose.count(f"northmere::{name}::") == 3


def test_its_library_checks_clean(installed):
    done = riglint(installed, "check", "library", "--report", "json")
    data = json.loads(done.stdout)
    assert (done.returncode, data["problems"]) == (0, [])
    assert {pack["name"]: pack["rules"] for pack in data["packs"]} == {
        "standard": next(p["rules"] for p in data["packs"] if p["name"] == "standard"),
        "northmere": 3,
        "house": 2,
    }
    (build,) = data["assemblies"]
    assert {n: v for n, v in build["verdicts"].items() if ":" in n} == {
        "house:hooks-latched": "pass",
        "house:short-enough-for-the-truck": "pass",
        "northmere:hook-off-the-list": "pass",
        "northmere:too-heavy-by-hand": "pass",
    }
    assert data["library"]["verdicts"]["northmere:title-twice"] == "pass"


def test_its_rules_find_what_they_are_for(installed, tmp_path):
    folder, environment = installed
    library = tmp_path / "library"
    shutil.copytree(folder / "library", library)
    build = library / "builds/batten-pair.toml"
    text = build.read_text()
    (library / "builds/again.toml").write_text(text.replace('id = "batten-pair"', 'id = "again"'))
    policy = library / "riglint.toml"
    policy.write_text(policy.read_text().replace("40 kg", "5 kg"))
    done = riglint((library, environment), "check", ".", "--report", "json")
    data = json.loads(done.stdout)
    found = {f["rule"] for one in (*data["assemblies"], data["library"]) for f in one["findings"]}
    assert {"northmere:too-heavy-by-hand", "northmere:title-twice"} <= found


def test_each_value_of_its_policy_has_its_origin(installed):
    data = json.loads(riglint(installed, "policy", "library", "--report", "json").stdout)
    origins = {one["key"]: (one["file"], one["value"]) for one in data["values"]}
    assert origins["practice.usable_arc"] == ("pack:northmere/riglint.toml", "140 deg")
    assert origins["catalogs"] == ("pack:northmere", "stock.toml")
    assert origins["based_on"] == ("library/riglint.toml", "pack:northmere")


def test_a_rule_that_asks_its_own_table_shows_its_example(installed):
    done = riglint(
        installed, "rules", "northmere:hook-off-the-list", "--policy", "library/riglint.toml"
    )
    assert done.returncode == 0
    assert "a/hook opens 1.4 in; hooks of the list open 1.1 in to 1.3 in." in done.stdout
