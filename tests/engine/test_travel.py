"""Reports, workshops and rules go through pickle, to other processes and to a cache, and back."""

import copy
import datetime
import io
import multiprocessing
import pickle
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from types import ModuleType

import pytest
from attrs import evolve

import riglint
from riglint import API_VERSION, Pack, Part, Workshop, hookimpl, rule, to_plain
from riglint.book import standard_book
from riglint.policy import Policy
from riglint.reports import BUILT_IN

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
FAULTY = NORTHMERE / "faults/walkway-quad-old-hooks.toml"
AS_OF = datetime.date(2026, 6, 1)
REQUIREMENT = """
[[requirement]]
name = "top-links-forged"
of = { kind = "master-link" }
must = { process = "forged", bar = { at_least = "90 mm" } }
because = "House standard NR-7"
"""


def odd(part, ctx):
    yield part.finding("{part} is odd", remedy="Look at it.")


def made(check, **options):
    metadata = {"about": Part, "level": "error", "title": "t", "because": "b", "sources": ["s"]}
    return rule("odd", **(metadata | options), fails='base = "pair"')(check)


ODD = made(odd)


ODD_TOO = made(odd, when=lambda part: part.path == "top")


class Plugin:
    @hookimpl
    def riglint_pack(self, context):
        return Pack("loft", "1", API_VERSION, (ODD,))


def travelled(one):
    return pickle.loads(pickle.dumps(one))


def test_a_report_comes_back_and_is_written_the_same():
    report = riglint.check(NORTHMERE, as_of=AS_OF, plugins=[Plugin()])
    again = travelled(report)
    assert to_plain(again) == to_plain(report)
    assert again.exit_status == report.exit_status
    for kind in BUILT_IN:
        before, after = io.StringIO(), io.StringIO()
        kind.write(report, before)
        kind.write(again, after)
        assert after.getvalue() == before.getvalue()


@pytest.mark.parametrize("policy", [NORTHMERE / "riglint.toml", REQUIREMENT, None])
def test_a_workshop_comes_back_and_judges_the_same(policy):
    catalogs = [] if isinstance(policy, Path) else [NORTHMERE / "stock/us.toml"]
    shop = Workshop(catalogs, policy, as_of=AS_OF, plugins=[Plugin()])
    again = travelled(shop)
    before, after = shop.check(FAULTY), again.check(FAULTY)
    assert to_plain(after) == to_plain(before)
    assert "loft:odd" in after.verdicts
    assert ("house:top-links-forged" in after.verdicts) == (policy == REQUIREMENT)
    assert again.rate(FAULTY).rating.load == shop.rate(FAULTY).rating.load


def test_a_workshop_works_in_a_process_that_knows_nothing_of_it():
    shop = Workshop(policy=NORTHMERE / "riglint.toml", as_of=AS_OF)
    with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as pool:
        report = pool.submit(shop.check, FAULTY).result(120)
    assert to_plain(report) == to_plain(shop.check(FAULTY))


def test_every_rule_of_the_standard_pack_is_found_again():
    for one in standard_book().rules:
        again = travelled(one)
        assert (again.check, again.when, again.settings) == (one.check, one.when, one.settings)
        assert (again.name, again.owner) == (one.name, one.owner)


def test_what_is_called_otherwise_in_use_travels_with_its_name():
    again = travelled(evolve(ODD, name="loft:odd", owner="loft", level="note"))
    assert (again.name, again.owner, again.level) == ("loft:odd", "loft", "note")
    assert again.check is odd


def test_of_two_rules_of_one_function_each_comes_back():
    for one in (ODD, ODD_TOO):
        assert travelled(evolve(one, name="loft:odd")).when is one.when


def test_a_rule_that_no_other_process_finds_says_so():
    def local(part, ctx):
        yield from ()

    with pytest.raises(pickle.PicklingError, match="the rule odd cannot go to another process"):
        pickle.dumps(made(local))
    with pytest.raises(pickle.PicklingError, match="define it at the top of a module"):
        pickle.dumps(made(odd, when=lambda part: True))


@pytest.mark.parametrize("gone", ["module", "rule"])
def test_a_rule_that_is_not_there_when_it_arrives_is_named(monkeypatch, gone):
    module = ModuleType("loft_rules")
    monkeypatch.setitem(sys.modules, "loft_rules", module)
    source = "def late(part, ctx):\n    yield from ()\n"
    exec(source, vars(module))
    module.late = made(module.late)
    sent = pickle.dumps(module.late)
    assert pickle.loads(sent).check is module.late.check
    if gone == "module":
        monkeypatch.delitem(sys.modules, "loft_rules")
    else:
        del module.late
    with pytest.raises(pickle.UnpicklingError, match="rule late of the module loft_rules is not"):
        pickle.loads(sent)


def test_a_copy_of_a_rule_is_the_rule():
    local = made(lambda part, ctx: iter(()))
    assert copy.copy(local) is local
    assert copy.deepcopy(local) is local
    assert copy.deepcopy(Policy(requirement=(local,))).requirement[0] is local
