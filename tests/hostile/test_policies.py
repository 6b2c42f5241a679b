"""Policies that are faulty, or not to be trusted: rule modules, folders, patterns, packs."""

import hashlib
import json
import subprocess
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from riglint import Unreadable, Workshop, check, fill, load, rate
from riglint.buildsheet import build_sheet
from riglint.model import Requirement
from riglint.reports.data import report_data
from riglint.reports.snapshot import text_of
from riglint.requirement import Faulty, requirement_rule
from riglint.requirement.conditions import OPERATORS
from riglint.requirement.facts import facts
from riglint.testing import run, values_of

RULE = """\
from __future__ import annotations

from attrs import frozen

from riglint import Part, rule


@frozen
class Most:
    most: Limit = 1


Limit = int


@rule(
    "{name}",
    about=Part,
    level="warning",
    title="t",
    because="b",
    sources=["NR-1"],
    settings=Most,
    when=lambda part: part.kind == "sling-hook",
    fails='base = "pair"',
)
def judge(part, ctx):
    yield part.finding("{{part}} is a hook", limit=ctx.settings.most, remedy="r")
"""


@pytest.fixture
def library(tmp_path, monkeypatch):
    """Write a library with a policy and rule modules, and stand in it."""
    monkeypatch.chdir(tmp_path)

    def written(policy='house_rules = ["house/*.py"]', **modules):
        values = values_of('base = "pair"')
        stock = {name: values.pop(name) for name in ("catalog", "item")}
        Path("stock.toml").write_text(tomli_w.dumps(stock))
        Path("build.toml").write_text(tomli_w.dumps(values))
        Path("riglint.toml").write_text(f'catalogs = ["stock.toml"]\n{policy}\n')
        Path("house").mkdir(exist_ok=True)
        for name, text in modules.items():
            Path("house", f"{name}.py").write_text(text)
        return tmp_path

    return written


def house(report):
    return sorted(
        placed.finding.rule
        for build in report.assemblies
        for placed in build.findings
        if placed.finding.rule.startswith("house:")
    )


def messages(report):
    return [problem.message for problem in report.problems]


# Leave to run


def test_code_is_not_run_without_leave_and_the_refusal_says_how_to_give_it(library):
    library(a="from pathlib import Path\nPath('ran').touch()\n" + RULE.format(name="a"))
    report = check(".")
    assert not Path("ran").exists()
    assert report.exit_status == 2
    (problem,) = report.problems
    assert (problem.file, problem.line, problem.column) == ("riglint.toml", 2, 16)
    assert problem.message == (
        "house/a.py is code and was not run; allow it with --house-rules, or house_rules=True"
        " in a program, if you trust it"
    )
    assert report.house_rules == ()
    assert report.assemblies[0].judgment.verdicts["grade-mismatch"] == "pass"


@pytest.mark.parametrize("call", [load, rate])
def test_what_judges_by_no_rule_needs_no_leave_and_runs_nothing(library, call):
    library(a="raise RuntimeError")
    assert call("build.toml")


def workshop(build, **options):
    return Workshop(policy=Path("riglint.toml"), **options).check(Path(build))


@pytest.mark.parametrize("call", [workshop, build_sheet, fill], ids=lambda one: one.__name__)
def test_what_judges_says_that_it_left_rules_out(library, call):
    """Else a sheet would say "nothing found", and a choice would "clear every rule"."""
    library(a=RULE.format(name="a"))
    with pytest.raises(Unreadable, match=r"house/a\.py is code and was not run"):
        call("build.toml")
    if call is fill:
        text = Path("build.toml").read_text("utf-8")
        Path("build.toml").write_text(text.replace('item = "master"', 'item = "?"'), "utf-8")
    made = call("build.toml", house_rules=True)
    if call is fill:
        assert made.best.judgment.verdicts["house:a"] == "fail"
    else:
        assert made.judgment.verdicts["house:a"] == "fail"


@pytest.mark.parametrize("arguments", [["sheet"], ["fill"]], ids=str)
def test_the_commands_that_judge_take_leave_too(library, arguments):
    library(a=RULE.format(name="a"))
    text = Path("build.toml").read_text("utf-8")
    if "fill" in arguments:
        Path("build.toml").write_text(text.replace('item = "master"', 'item = "?"'), "utf-8")
    command = [sys.executable, "-m", "riglint.cli", *arguments, "build.toml"]
    refused = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (refused.returncode, "was not run" in refused.stderr) == (2, True)
    command.append("--house-rules")
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert "house:a" in done.stdout


def test_with_leave_it_runs_and_every_report_has_its_sum(library):
    text = RULE.format(name="a")
    library(a=text)
    report = check(".", house_rules=True)
    assert report.problems == ()
    assert house(report) == ["house:a"]
    ran = {"file": "house/a.py", "sha256": hashlib.sha256(text.encode()).hexdigest()}
    assert report_data(report, "0")["house_rules"] == [ran]
    assert f"ran house/a.py, SHA-256 {ran['sha256']}" in text_of(report, width=120)


def test_levels_and_settings_of_its_rules_are_the_policys(library):
    own = '[rules."house:a"]\nlevel = "note"\nmost = 7'
    library(f'house_rules = ["house/*.py"]\n{own}', a=RULE.format(name="a"))
    (build,) = check(".", house_rules=True).assemblies
    (finding,) = [p.finding for p in build.findings if p.finding.rule == "house:a"]
    assert (finding.level, finding.limit) == ("note", 7)
    assert len(check(".").problems) == 1  # refused, and not called unknown besides


def test_workers_run_it_with_the_same_result(library):
    library(a=RULE.format(name="a"), b=RULE.format(name="b"))
    alone = report_data(check(".", house_rules=True), "0")
    with ProcessPoolExecutor(2) as executor:
        assert report_data(check(".", house_rules=True, executor=executor), "0") == alone


def test_the_command_asks_for_leave_too(library):
    library(a=RULE.format(name="a"))

    def riglint(*arguments):
        command = [sys.executable, "-m", "riglint.cli", *arguments]
        return subprocess.run(command, capture_output=True, text=True, check=False)

    assert riglint("check").returncode == 2
    assert "--house-rules" in riglint("check").stdout
    done = riglint("check", "--house-rules", "--report", "json", "--jobs", "2")
    assert done.returncode == 0
    assert len(json.loads(done.stdout)["house_rules"]) == 1
    assert riglint("rules").returncode == 2
    done = riglint("rules", "house:a", "--house-rules")
    assert done.returncode == 0
    assert "a1/hook is a hook." in done.stdout
    assert riglint("policy").returncode == 0


# Modules that break


SOUND = RULE.format(name="sound")
NO_TEXT = """
class X(Exception):
    def __str__(self):
        raise ValueError
raise X
"""
LIAR = """
class X:
    @property
    def __class__(self):
        raise ValueError
x = X()
"""
BROKEN = [
    ("fails to import", "import nothing_of_this_name", "ModuleNotFoundError"),
    ("raises", "\n\n1 / 0", "ZeroDivisionError: division by zero (line 3)"),
    ("exits", "raise SystemExit(0)", "does not load: SystemExit: 0"),
    ("prints", SOUND + "\nprint('hello')", "prints while it loads"),
    ("prints errors", SOUND + "\nimport sys\nprint('x', file=sys.stderr)", "prints while it loads"),
    (
        "raises no Exception",
        "class X(BaseException): pass\nraise X('x')",
        "not load: X: x (line 2)",
    ),
    ("raises what has no text", NO_TEXT, "not load: X: its message cannot be shown (ValueError)"),
    ("raises an interrupt", "raise KeyboardInterrupt", "not load: KeyboardInterrupt (line 1)"),
    ("closes its stream", "import sys\nsys.stdout.close()", "defines no rule"),
    ("takes itself away", "import sys\ndel sys.modules[__name__]\n1/0", "not load: ZeroDivision"),
    ("lies of its class", LIAR, "defines no rule"),
    ("is no Python", "def (", "does not load: SyntaxError"),
    ("holds a NUL", "x = '\0'", "does not load"),
    ("raises what is no error", "class X(BaseException): pass\nraise X('x')", "X: x (line 2)"),
    (
        "raises what cannot be shown",
        "class X(Exception):\n    def __str__(self): return 1 / 0\nraise X",
        "its message cannot be shown (ZeroDivisionError)",
    ),
    ("calls itself", "def f(): f()\nf()", "does not load: RecursionError"),
    ("defines no rule", "x = 1", "defines no rule"),
    ("borrows a rule", "from riglint_rules.fit import hook_tight", "defines no rule"),
    ("imports its neighbor", "from . import sound", "does not load: ImportError"),
    ("lacks an example", SOUND.replace('base = "pair"', " "), "ValueError: rule sound: fails"),
]


@pytest.mark.parametrize(
    ("text", "message"), [one[1:] for one in BROKEN], ids=[b[0] for b in BROKEN]
)
def test_a_module_that_breaks_is_a_problem_with_its_name_and_others_go_on(library, text, message):
    library(broken=text, sound=SOUND)
    report = check(".", house_rules=True)
    (problem,) = report.problems
    assert problem.file == "house/broken.py"
    assert message in problem.message
    assert house(report) == ["house:sound"]
    assert report.exit_status == 2


def test_two_modules_with_one_rule_name_collide(library):
    library(a=SOUND, b=SOUND + "\n")
    assert messages(check(".", house_rules=True)) == [
        "the rule house:sound is given twice, by house and by house"
    ]


def test_a_module_and_a_requirement_with_one_name_collide(library):
    asked = '[[requirement]]\nname = "sound"\nmust.grade = 100\nbecause = "b"'
    library(f'house_rules = ["house/*.py"]\n{asked}', a=SOUND)
    assert any("house:sound is given twice" in m for m in messages(check(".", house_rules=True)))


def test_no_module_of_the_user_is_hidden(library):
    """A module called like one of Python's, or like another library's, hides neither."""
    before = set(sys.modules)
    library(json=RULE.format(name="json"), riglint=RULE.format(name="own"))
    assert house(check(".", house_rules=True)) == ["house:json", "house:own"]
    assert json.dumps({}) == "{}"
    added = {name for name in set(sys.modules) - before if "house" in name or name == "own"}
    assert all(name.startswith("_riglint_house_") for name in added)
    assert str(Path("house").resolve()) not in sys.path
    assert not list(Path("house").rglob("__pycache__"))


def test_a_changed_module_is_run_anew(library):
    library(a=RULE.format(name="a"))
    check(".", house_rules=True)
    library(a=RULE.format(name="b"))
    assert house(check(".", house_rules=True)) == ["house:b"]


def test_a_module_that_is_too_large(library):
    library(a="#" * (1024 * 1024) + "\n" + SOUND)
    assert messages(check(".", house_rules=True)) == [
        "the rule module is larger than 1,048,576 bytes"
    ]


# Where modules may lie


PLACES = [
    ("/tmp/*.py", "the house_rules pattern '/tmp/*.py' leaves the policy's folder"),
    ("../house/*.py", "leaves the policy's folder"),
    ("house/../../x/*.py", "leaves the policy's folder"),
    ("none/*.py", "matches no file"),
    ("stock.toml", "stock.toml is no Python module"),
    ("", "matches no file"),
]


@pytest.mark.parametrize(("pattern", "message"), PLACES)
def test_modules_lie_under_the_policys_folder(library, pattern, message):
    library(f"house_rules = [{json.dumps(pattern)}]", a=SOUND)
    report = check(".", house_rules=True, root="/")
    assert any(message in text or "cannot be used" in text for text in messages(report))
    assert report.assemblies == ()


@pytest.mark.parametrize("linked", ["folder", "file"])
def test_no_link_leads_out(library, tmp_path_factory, linked):
    outside = tmp_path_factory.mktemp("outside")
    (outside / "evil.py").write_text("raise RuntimeError")
    library()
    if linked == "folder":
        Path("house").rmdir()
        Path("house").symlink_to(outside)
    else:
        Path("house/evil.py").symlink_to(outside / "evil.py")
    name = "house" if linked == "folder" else "evil.py"
    (said,) = messages(check(".", house_rules=True))
    assert f"{name} leads out of the policy's folder" in said


# Folders


FOLDERS = [
    ("[folder.nowhere]", 2, "the folder pattern 'nowhere' matches no folder"),
    ('[folder."build.toml"]', 2, "matches no folder"),
    ('[folder."../other"]', 2, "leaves the policy's folder"),
    ('[folder."/tmp"]', 2, "leaves the policy's folder"),
    ('[folder.house.rules.hook-tigth]\nlevel = "off"', 2, "did you mean hook-tight?"),
    ("[folder.house.rules.hook-tight]\nration = 1.3", 2, "did you mean ratio?"),
    ('[folder.house.rules.tag-over-rating]\nlevel = "off"', 3, "neither switched off nor lowered"),
    ('[folder.house.rules.duplicate-id]\nlevel = "off"', 2, "judges the whole library"),
    ('[folder.house.rules.sheet-unsourced]\nlevel = "off"', 2, "judges catalogs"),
    ('[folder.house.practice]\nangels = "exact"', 3, "did you mean angles?"),
    ('[folder.house.practice]\nangles = "exakt"', 3, "did you mean exact?"),
    ('[folder.house.duty]\nload = "5"', 3, "has no unit"),
    ('[folder.house]\nfail_on = ["erorr"]', 3, "did you mean error?"),
    ("[folder.house]\ncatalogs = []", 3, "unknown key folder.house.catalogs"),
    ("folder = 5", 2, "folder: a table is expected"),
    ("[folder]\nhouse = 5", 3, "folder.house: a table is expected"),
]


@pytest.mark.parametrize(("policy", "line", "message"), FOLDERS)
def test_a_faulty_folder_table_is_a_problem_at_its_place(library, policy, line, message):
    library(policy)
    report = check(".")
    found = [problem for problem in report.problems if message in problem.message]
    assert found, messages(report)
    assert (found[0].file, found[0].line) == ("riglint.toml", line)
    assert report.assemblies == ()


def test_a_folder_that_is_a_link_out(library, tmp_path_factory):
    library("[folder.yard]")
    Path("yard").symlink_to(tmp_path_factory.mktemp("outside"))
    assert messages(check(".")) == ["yard leads out of the policy's folder"]


# Policies that build on others


BASES = [
    ('based_on = "pack:none"', "the rule pack none is not installed"),
    ('based_on = "pack:"', "is not installed"),
    ('based_on = "riglint.toml"', "based on each other"),
    ('based_on = "none.toml"', "there is no file none.toml"),
    ('based_on = "../riglint.toml"', "based_on leads out of"),
    ("based_on = 5", "based_on: a text in quotes is expected"),
]


@pytest.mark.parametrize(("policy", "message"), BASES)
def test_a_faulty_base_is_a_problem_at_its_place(library, policy, message):
    library(policy)
    (problem,) = check(".").problems
    assert message in problem.message
    assert (problem.file, problem.line) == ("riglint.toml", 2)


def test_a_tower_of_policies_ends(library):
    library('based_on = "0.toml"')
    for n in range(40):
        Path(f"{n}.toml").write_text(f'based_on = "{n + 1}.toml"')
    (problem,) = check("build.toml").problems
    assert "more than 16 policies are based on one another" in problem.message


def test_many_values_and_requirements_end_soon(library):
    many = json.dumps([f"{n}" for n in range(101)])
    library(f'[[requirement]]\nname = "x"\nbecause = "b"\nmust.material.one_of = {many}')
    assert "no more than 100 values" in messages(check("."))[0]
    one = '[[requirement]]\nname = "x{}"\nbecause = "b"\nmust.material.one_of = {}\n'
    library("".join(one.format(n, json.dumps([str(k) for k in range(100)])) for n in range(200)))
    assert check(".").problems == ()


# Requirements of any shape


LIMITS = [
    "0.0000001 mm",
    "9,000 m",
    "3/8 in",
    "10 ft 6 in",
    "heavy",
    "1 kg",
    "1e400 mm",
    "",
    "0 mm",
]
VALUES = st.one_of(
    st.sampled_from(LIMITS),
    st.integers(-2, 10**6),
    st.floats(allow_nan=True),
    st.booleans(),
    st.lists(st.sampled_from(LIMITS), max_size=3),
    st.dictionaries(st.sampled_from(["x", "at_least"]), st.integers(), max_size=2),
)
NAMES = sorted({name for about in ("part", "item", "sling") for name in facts(about)} | {"chart"})
ASKED = st.dictionaries(
    st.sampled_from(NAMES),
    VALUES | st.dictionaries(st.sampled_from([*OPERATORS, "less"]), VALUES, max_size=3),
    max_size=3,
)


@settings(max_examples=400, deadline=None)
@given(about=st.sampled_from(["part", "item", "sling"]), of=ASKED, must=ASKED)
def test_any_requirement_is_a_rule_or_named_as_faulty(about, of, must):
    asked = Requirement("asked", must, "because", about=about, of=of)
    faults = []
    try:
        assert requirement_rule(asked, "riglint.toml").title
    except Faulty as error:
        faults = error.faults
    assert all(fault.message and fault.key for fault in faults)


@settings(max_examples=200, deadline=None)
@given(
    name=st.sampled_from(["bar", "working_load_limit", "pocket_height", "grade", "plies", "size"]),
    limits=st.lists(st.integers(1, 400), min_size=1, max_size=3),
    operators=st.lists(st.sampled_from(["at_least", "at_most", "equals", "one_of", "not_one_of"])),
)
def test_what_is_accepted_shows_an_example_that_fails_and_one_that_does_not(
    name, limits, operators
):
    unit = {"bar": " mm", "working_load_limit": " kg", "pocket_height": " mm", "size": " mm"}
    values = [f"{n}{unit[name]}" if name in unit else n for n in limits]
    must = {op: values if "one_of" in op else values[0] for op in operators}
    try:
        rule = requirement_rule(Requirement("asked", {name: must}, "because"), "riglint.toml")
    except Faulty:
        return
    assert run(rule, rule.fails).verdict == "fail"
    assert run(rule, rule.repaired).verdict == "pass"
