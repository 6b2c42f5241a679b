"""What an installed pack brings: rules, catalogs, tables and a policy to be based on."""

import sys
from pathlib import Path

import pytest
import tomli_w

from riglint import API_VERSION, Context, Pack, check
from riglint.book import installed_pack, rule_book
from riglint.model import Practice
from riglint.problem import Unreadable
from riglint.tables import table_in
from riglint.testing import AS_OF, values_of

MODULE = """
from pathlib import Path

from riglint import API_VERSION, Pack, Part, hookimpl, rule

HERE = Path(__file__).parent


@rule("listed", about=Part, level="warning", title="t", because="b", sources=["s"],
      when=lambda part: part.kind == "sling-hook", fails='base = "pair"')
def listed(part, ctx):
    yield part.finding("{part}", limit=ctx.table("loft:list").rows[0]["n"], remedy="r")


@hookimpl
def riglint_pack(context):
    return Pack("loft", "1", API_VERSION, (listed,), policy=HERE / "riglint.toml",
                catalogs=[HERE / "stock.toml"], tables=[HERE / "list.toml"])
"""
TABLE = """
[table]
name = "list"
title = "t"
document = "d"
edition = "1"
clause = "c"
obtained = "computed"
[[row]]
n = 7
"""
POLICY = """
[practice]
usable_arc = "140 deg"
[rules."loft:listed"]
level = "note"
[[requirement]]
name = "latched"
of.kind = "sling-hook"
must.latch = true
because = "NR-4"
"""


@pytest.fixture
def installed(tmp_path, monkeypatch):
    """Install a pack called loft whose catalog has the items of the sound builds."""
    home = tmp_path / "site"
    (home / "loft_pack").mkdir(parents=True)
    info = home / "loft-1.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: loft\nVersion: 1\n")
    (info / "entry_points.txt").write_text("[riglint.packs]\nloft = loft_pack\n")
    values = values_of('base = "pair"')
    stock = {name: values.pop(name) for name in ("catalog", "item")}
    (tmp_path / "lib").mkdir()
    (tmp_path / "lib/build.toml").write_text(tomli_w.dumps(values))
    monkeypatch.syspath_prepend(home)
    monkeypatch.chdir(tmp_path / "lib")
    monkeypatch.delitem(sys.modules, "loft_pack", raising=False)

    def written(library='based_on = "pack:loft"', policy=POLICY, module=MODULE, table=TABLE):
        pack = home / "loft_pack"
        (pack / "__init__.py").write_text(module)
        (pack / "riglint.toml").write_text(policy)
        (pack / "list.toml").write_text(table)
        (pack / "stock.toml").write_text(tomli_w.dumps(stock))
        Path("riglint.toml").write_text(library)
        return pack

    yield written
    sys.modules.pop("loft_pack", None)


def findings(report):
    return {p.finding.rule: p.finding for build in report.assemblies for p in build.findings}


def test_a_policy_may_be_based_on_a_packs(installed):
    installed()
    report = check(".")
    assert report.problems == ()
    found = findings(report)["loft:listed"]
    assert (found.level, found.limit) == ("note", 7)
    assert report.assemblies[0].judgment.verdicts["house:latched"] == "pass"
    assert report.assemblies[0].sling.practice.usable_arc == 140


def test_what_is_based_on_it_wins(installed):
    installed(
        'based_on = "pack:loft"\n[practice]\nusable_arc = "150 deg"\n'
        '[rules."loft:listed"]\nlevel = "warning"\n[rules."house:latched"]\nlevel = "off"'
    )
    report = check(".")
    assert findings(report)["loft:listed"].level == "warning"
    assert report.assemblies[0].sling.practice.usable_arc == 150
    assert report.off == ("house:latched",)


def test_a_pack_that_is_only_named_brings_rules_catalogs_and_tables(installed):
    installed('packs = ["loft"]')
    report = check(".")
    assert report.problems == ()
    assert findings(report)["loft:listed"].level == "warning"
    assert "house:latched" not in report.assemblies[0].judgment.verdicts


def test_a_pack_that_is_not_named_brings_nothing(installed):
    installed("")
    (problem, *_) = check(".").problems
    assert "no catalog is in use" in problem.message


@pytest.mark.parametrize(
    ("policy", "line", "message"),
    [
        ('catalogs = ["../*.toml"]', 1, "leaves the policy's folder"),
        ('based_on = "../x.toml"', 1, "based_on leads out of the pack loft"),
        ('house_rules = ["*.py"]', 1, "a pack's policy names no house_rules"),
        ("[folder.yard]", 1, "a pack's policy has no folders"),
        ("zebra = 1", 1, "unknown key zebra"),
        ('[rules."loft:lister"]\nlevel = "off"', 1, "did you mean loft:listed?"),
        ('[[requirement]]\nname = "x"\nmust.latch = 1\nbecause = "b"', 3, "true or false"),
    ],
)
def test_a_packs_policy_stays_inside_it_and_is_checked(installed, policy, line, message):
    installed(policy=policy)
    problem = next(p for p in check(".").problems if message in p.message)
    assert (problem.file, problem.line) == ("pack:loft/riglint.toml", line)


def test_a_packs_policy_is_read_beside_it_wherever_the_library_lies(installed):
    pack = installed(policy='catalogs = ["stock.toml"]\nbased_on = "more.toml"')
    (pack / "more.toml").write_text('[practice]\nangles = "exact"')
    report = check(".")
    assert report.problems == ()
    assert report.assemblies[0].sling.practice.angles == "exact"


def test_a_library_does_not_reach_into_a_pack(installed):
    installed(f'based_on = "{Path.cwd().parent}/site/loft_pack/riglint.toml"')
    (problem,) = check(".").problems
    assert "leads out" in problem.message


@pytest.mark.parametrize(
    ("module", "message"),
    [
        (
            MODULE.replace('policy=HERE / "riglint.toml",', ""),
            "the rule pack loft brings no policy",
        ),
        (
            MODULE.replace('"list.toml"', '"lost.toml"'),
            "brings lost.toml, and there is no such file",
        ),
        (MODULE.replace('"1", API_VERSION', '"1", 7'), "was written for rule interface 7"),
        ("raise RuntimeError('licence')", "does not load: RuntimeError: licence"),
    ],
)
def test_a_pack_that_lacks_something_is_a_problem(installed, module, message):
    installed(module=module)
    assert any(message in problem.message for problem in check(".").problems)


@pytest.mark.parametrize("table", ["rows =", "[table]\nname = 5", "[[row]]\nn = 1"])
def test_a_table_that_is_none_breaks_the_rule_that_asks_for_it(installed, table):
    installed(table=table)
    (problem,) = check(".").problems
    assert "the rule loft:listed failed on a1/hook: LookupError" in problem.message
    assert "list.toml" in problem.message


def test_tables_are_asked_for_by_the_name_of_their_pack():
    context = Context(None, Practice(), AS_OF)
    assert context.table("chain-sizes").rows
    with pytest.raises(LookupError, match="there is no table loft:list"):
        context.table("loft:list")


def test_paths_of_a_pack_may_be_given_as_resources():
    from importlib.resources import files

    own = files("riglint_specs").joinpath("tables", "removal.toml")
    pack = Pack("x", "1", API_VERSION, tables=(own,), policy=own, catalogs=[own])
    assert table_in(pack.tables[0]).name == "removal"
    assert pack.policy == pack.catalogs[0] == Path(str(own))
    assert pack.rules == ()


def test_an_installed_pack_by_its_name(installed):
    installed()
    assert installed_pack("loft").name == "loft"
    with pytest.raises(Unreadable, match="installed packs: loft"):
        installed_pack("lofd")


def test_the_book_calls_a_policys_own_rules_house():
    first = rule_book().rules[0]
    assert f"house:{first.name}" in rule_book(requirement=[first]).names()
