"""What a rule's test says when it fails, and how pytest holds a pack to its contract."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from riglint import API_VERSION, Pack, Part, hookimpl, rule
from riglint.book import standard_book
from riglint.reports.snapshot import data_of, text_of
from riglint.testing import (
    CONTRACT,
    assert_fails,
    assert_not_applicable,
    assert_open,
    assert_passes,
    contract_faults,
    report_on,
    run,
)

RULES = {one.name: one for one in standard_book().rules}
OLD_HOOK = 'base = "pair"\n[[item]]\nid = "hook"\nthroat = "1.2 in"\ngrade = 80'
MISMATCH, CROWDED = RULES["grade-mismatch"], RULES["crowded-link"]


# Assertions


def test_assert_fails_gives_the_finding_that_it_was_told_of():
    found = assert_fails(MISMATCH, OLD_HOOK, part="a1/hook", found="80", limit="100", level="error")
    assert found.also == ("a2/hook",)


LIGHT = 'base = "pair"\n[[item]]\nid = "master"\nbar = "16 mm"'


@rule(
    "light",
    about=Part,
    level="warning",
    title="t",
    because="b",
    sources=["s"],
    when=lambda part: part.kind == "master-link",
    fails=LIGHT,
)
def light(part, ctx):
    if part.bar < 18:
        yield part.finding("{part}: {found}", found=part.bar, limit=18.0, remedy="r")


@pytest.mark.parametrize("found", ["16 mm", "1.6 cm", 16, 16.0])
def test_a_quantity_may_be_given_as_text_in_any_unit_or_as_a_number(found):
    assert_fails(light, LIGHT, found=found)


WRONG = [
    (lambda: assert_fails(light, LIGHT, found="17 mm"), "expected a finding with found 17 mm;"),
    (lambda: assert_fails(light, LIGHT, found="17 kg"), "expected a finding with found 17 kg;"),
    (
        lambda: assert_fails(light, LIGHT, part="left"),
        "warning at top: top: 0.63 in (found 0.63 in",
    ),
    (lambda: assert_fails(light, LIGHT, level="error"), "expected a finding with level error;"),
    (lambda: assert_fails(light, 'base = "pair"'), "expected a finding; the rule answers pass"),
    (lambda: assert_passes(light, LIGHT), "expected pass; the rule answers fail"),
    (lambda: assert_open(light, LIGHT), "expected open; the rule answers fail"),
    (lambda: assert_not_applicable(light, LIGHT), "expected notApplicable; the rule answers fail"),
    (
        lambda: assert_open(light, 'base = "pair"\nwithout = ["/item/master/bar"]', datum="grade"),
        "expected the rule to wait for grade; the rule answers open\n"
        "  open at top: master does not state bar",
    ),
]


@pytest.mark.parametrize(("call", "message"), WRONG)
def test_a_failure_says_what_was_expected_and_what_the_rule_said(call, message):
    with pytest.raises(AssertionError, match=re.escape(message)):
        call()


def test_open_names_the_datum():
    assert_open(light, 'base = "pair"\nwithout = ["/item/master/bar"]', datum="bar")
    assert_passes(CROWDED, 'base = "pair"')
    assert_not_applicable(RULES["pocket-unreachable"], 'base = "pair"')


def test_a_rule_that_breaks_fails_the_test():
    def judge(part, ctx):
        raise RuntimeError("boom")
        yield

    bad = rule("bad", about=Part, level="note", title="t", because="b", sources=["s"], fails=LIGHT)(
        judge
    )
    with pytest.raises(AssertionError, match="RuntimeError: boom"):
        assert_passes(bad, LIGHT)


# The contract, clause by clause


BROKEN = [
    ("fires on its faulty example", {"fails": 'base = "pair"'}, "the faulty example gives pass"),
    ("fires on its faulty example", {"level": "error"}, "no finding of level error"),
    ("is silent on its repaired example", {"repaired": LIGHT}, "the repaired example gives fail"),
]


def variant(**options):
    given = {"about": Part, "level": "warning", "title": "t", "because": "b", "sources": ["s"]}
    when = {"when": lambda part: part.kind == "master-link", "fails": LIGHT}

    def judge(part, ctx):
        if part.bar < 18:
            yield part.finding("{part}", found=part.bar, remedy="r", level="warning")

    return rule("light", **(given | when | options))(judge)


@pytest.mark.parametrize(("clause", "options", "fault"), BROKEN)
def test_a_clause_that_is_broken_is_named(clause, options, fault):
    assert any(fault in one for one in CONTRACT[clause](variant(**options), None))


def test_a_rule_that_swallows_what_is_missing_breaks_the_last_clause():
    @rule("quiet", about=Part, level="warning", title="t", because="b", sources=["s"], fails=LIGHT)
    def quiet(part, ctx):
        try:
            small = part.kind == "master-link" and part.bar < 18
        except LookupError:
            small = False
        except Exception:
            small = False
        if small:
            yield part.finding("{part}", remedy="r")

    assert list(contract_faults(quiet)) == ["without /item/master/bar it answers pass, not open"]


# Reports


def test_a_report_has_no_place_of_this_machine_in_it(tmp_path):
    report = report_on(OLD_HOOK)
    assert [one.file for one in report.assemblies] == ["build.toml"]
    assert "build.toml" in text_of(report)
    assert not any(line.endswith(" ") for line in text_of(report).splitlines())
    data = data_of(report)
    assert "riglint" not in data
    assert data["assemblies"][0]["verdicts"]["grade-mismatch"] == "fail"


def test_a_report_goes_by_plugins_and_policy():
    class Plugin:
        @hookimpl
        def riglint_pack(self, context):
            return Pack("loft", "1", API_VERSION, (light,))

    policy = '[rules."loft:light"]\nlevel = "note"'
    report = report_on(LIGHT, plugins=[Plugin()], policy=policy)
    assert [
        p.finding.level for p in report.assemblies[0].findings if p.finding.rule == "loft:light"
    ] == ["note"]
    assert [pack["name"] for pack in data_of(report)["packs"]] == ["standard", "loft"]


def test_the_fixture_gives_text_and_data(riglint_report, snapshot):
    assert riglint_report(OLD_HOOK).startswith("pair  Two-leg chain sling")
    assert riglint_report(OLD_HOOK, "json")["summary"]["assemblies"] == 1
    assert riglint_report('base = "single"') == snapshot


# The plug-in, in a pytest of its own


def pytest_in(folder, *arguments, **files):
    for name, text in files.items():
        (folder / name.replace("_dot_", ".")).write_text(text)
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *arguments]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def test_the_plugin_loads_nothing_that_is_not_asked_for(tmp_path):
    text = "import sys\ndef test_it():\n    assert 'riglint_pytest' in sys.modules\n"
    text += (
        "    assert not [m for m in sys.modules if m == 'riglint' or m.startswith('riglint.')]\n"
    )
    done = pytest_in(tmp_path, test_x_dot_py=text)
    assert done.returncode == 0, done.stdout


def test_a_pack_is_held_to_its_contract_by_name(tmp_path):
    done = pytest_in(tmp_path, "--riglint-pack", "standard", "-k", "crowded-link or loads")
    assert "4 passed" in done.stdout
    done = pytest_in(tmp_path, pytest_dot_ini="[pytest]\nriglint_packs = lost\n")
    assert done.returncode == 1
    assert "the rule pack lost is not installed" in done.stdout


BAD_PACK = """
from riglint import API_VERSION, Pack, Part, hookimpl, rule

@rule("quiet", about=Part, level="error", title="t", because="b", sources=["s"],
      fails='base = "pair"')
def quiet(part, ctx):
    if False:
        yield

@hookimpl
def riglint_pack(context):
    return Pack("loft", "1", API_VERSION, (quiet,))
"""


def test_the_clause_that_fails_is_named_without_a_traceback(tmp_path):
    info = tmp_path / "loft-1.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: loft\nVersion: 1\n")
    (info / "entry_points.txt").write_text("[riglint.packs]\nloft = loft_pack\n")
    done = pytest_in(tmp_path, "--riglint-pack", "loft", loft_pack_dot_py=BAD_PACK)
    assert done.returncode == 1
    assert (
        "loft::quiet::fires on its faulty example:\n  the faulty example gives pass" in done.stdout
    )
    assert "Traceback" not in done.stdout
    assert "1 failed, 3 passed" in done.stdout


def test_the_tests_of_riglint_use_the_same_contract():
    own = Path(__file__).with_name("test_contract.py").read_text(encoding="utf-8")
    assert "CONTRACT" in own


def test_run_says_what_it_found():
    assert str(run(light, LIGHT)) == (
        "the rule answers fail\n  warning at top: top: 0.63 in (found 0.63 in, limit 18)"
    )
