"""The mutation table: every fault operator on every sound build of the examples that it fits.

Each fault must be named by its rule at its part, and no other rule may speak of an error or a
warning that does not follow from it. The builds are the loft's own, so that the ratings, charts
and dimensions are invented; what a fault is, the operators say.
"""

import copy
import importlib.util
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
import tomli

from riglint import Gathering, Leg, Part, Policy, Sling
from riglint.assembling import assemble
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.check import make_catalog
from riglint.judging import Judge
from riglint.reading import read_build
from riglint.source import Document
from riglint.stock import Stock
from riglint.testing import AS_OF


def _load(name):
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


operators = _load("mutation_operators")

NORTHMERE = Path(__file__).parents[2] / "examples" / "northmere"
BUILDS = tuple(path.stem for path in sorted((NORTHMERE / "builds").glob("*.toml")))
BOOK = standard_book()
RULES = {rule.name: rule for rule in BOOK.rules}
JUDGE = Judge(BOOK, Policy(), AS_OF)
FAULTS = {fault.name: fault for fault in operators.FAULTS}
TOLD = ("error", "warning")

# Rules that no operator can make speak on the sound builds, with the reason.
OUT_OF_REACH: dict[str, str] = {
    **dict.fromkeys(
        (
            "angle-contradicts-geometry",
            "hook-off-plumb",
            "leg-goes-slack",
            "legs-do-not-meet",
            "load-may-tip",
            "uneven-share",
        ),
        "none of these builds states where its load is picked",
    ),
    **dict.fromkeys(
        (
            "bend-not-derated",
            "bend-too-sharp",
            "bowl-too-round",
            "edge-too-sharp",
            "eye-spread",
            "rope-too-short",
            "web-bunched",
        ),
        "these builds are of chain",
    ),
    "shackle-turned": "none of these builds has a shackle that gathers legs or takes a bight",
    "lug-does-not-fit": "none of these builds states the load's own lug",
    "rigid-load-shared-evenly": "one of these builds is rigid, and it is planned for",
    "off-axis-load": "none of these builds ends in an eyebolt, or in a lug of the load",
}

hits: Counter[str] = Counter()
wrong: Counter[str] = Counter()


@cache
def stock(basis):
    """The catalog head of a basis, and its items by id."""
    file = NORTHMERE / "stock" / f"{basis.lower()}.toml"
    catalog = tomli.loads(file.read_text(encoding="utf-8"))
    return catalog["catalog"], {item["id"]: item for item in catalog["item"]}


@cache
def sound(name):
    """A sound build, the items that it names, its sling and its figures."""
    file = NORTHMERE / "builds" / f"{name}.toml"
    build = tomli.loads(file.read_text(encoding="utf-8"))
    items = {item: stock_of(build)[item] for item in named_in(build)}
    sling = sling_of(build, items)
    return build, items, sling, Calculation(sling)


def stock_of(build):
    return stock(build["assembly"]["basis"])[1]


def named_in(build):
    """The ids of all items that a build names, those of an assembly's links among them."""
    names = [build["duty"]["hung_from"], *(part["item"] for part in build["part"])]
    for leg in build["leg"]:
        parts = [*leg["parts"], *leg.get("adjust", {}).get("branch", ())]
        names += [part["item"] for part in parts]
    for name in names:
        names += [link["item"] for link in stock_of(build)[name].get("links", ())]
    return dict.fromkeys(names)


def sling_of(build, items):
    """The sling that plain values describe; they are read as a file's are, without its text."""
    head, _ = stock(build["assembly"]["basis"])
    catalog = {"catalog": head, "item": list(items.values())}
    document = Document("build.toml", "", build)
    stocked = Stock([make_catalog(Document("catalog.toml", "", catalog))])
    return assemble(read_build(document), document, stocked)


def bench_of(name):
    build, items, sling, figures = sound(name)
    build, items = copy.deepcopy(build), copy.deepcopy(items)
    return operators.Bench(build, items, stock_of(build), sling, figures)


def judged(build, items):
    sling = sling_of(build, items)
    judgment = JUDGE.of_sling(sling, Calculation(sling))
    return [placed.finding for placed in judgment.findings], judgment


def told(findings):
    """What fails a build or asks for attention: errors and warnings that no permit covers."""
    return [one for one in findings if one.level in TOLD and one.permit is None]


def said(findings):
    return "; ".join(f"{one.level} {one.rule} at {one.part}: {one.message}" for one in findings)


def shortcomings(fault, path, bench):
    """What the rules get wrong about a faulty build."""
    findings, judgment = judged(bench.build, bench.items)
    level = fault.level or RULES[fault.rule].level
    named = [
        one
        for one in findings
        if (one.rule, one.level) == (fault.rule, level) and path in (one.part, *one.also)
    ]
    if not named:
        verdict = judgment.verdicts[fault.rule]
        yield f"{level} {fault.rule} at {path} is not found ({verdict}), but {said(findings)}"
    alarms = [one for one in told(findings) if one.rule not in {fault.rule, *fault.follows}]
    if alarms:
        yield f"this does not follow: {said(alarms)}"
    yield from (problem.message for problem in judgment.problems)


def try_fault(fault, name):
    """What goes wrong with a fault in a build; None where the operator does not fit it."""
    bench = bench_of(name)
    path = fault.make(bench)
    if path is None:
        return None
    return list(shortcomings(fault, path, bench))


@pytest.mark.parametrize("name", BUILDS)
def test_the_sound_build_is_silent(name):
    build, items, *_ = sound(name)
    findings, judgment = judged(build, items)
    assert not judgment.problems
    assert said(told(findings)) == ""


def _fault(fault):
    return pytest.param(fault, id=fault.name)


@pytest.mark.parametrize("fault", [_fault(fault) for fault in FAULTS.values()])
def test_the_fault_is_named_and_nothing_else(fault):
    outcomes = {name: try_fault(fault, name) for name in BUILDS}
    fitting = {name: outcome for name, outcome in outcomes.items() if outcome is not None}
    bad = {name: outcome for name, outcome in fitting.items() if outcome}
    hits[fault.name], wrong[fault.name] = len(fitting), len(bad)
    assert fitting, "the operator fits no build"
    assert bad == {}


def test_no_operator_hides_another():
    assert len(FAULTS) == len(operators.FAULTS)


def test_every_rule_about_a_sling_has_an_operator():
    about = {rule.name for rule in BOOK.rules if rule.about in (Part, Leg, Gathering, Sling)}
    tried = {fault.rule for fault in FAULTS.values()}
    assert about - tried == set(OUT_OF_REACH)


def test_what_follows_names_rules():
    named = set().union(*(fault.follows for fault in FAULTS.values()))
    assert named <= set(RULES)


def test_show_the_table(capsys):
    """Print what each operator was tried on and what was missed; last, so that all has run."""
    lines = [
        f"{fault.name:64} {fault.rule:30} {hits[fault.name]:6} {wrong[fault.name]:6}"
        for fault in sorted(FAULTS.values(), key=lambda one: (one.rule, one.name))
    ]
    with capsys.disabled():
        print(f"\n\n{'fault':64} {'rule':30} {'builds':>6} {'missed':>6}", *lines, sep="\n")
        print(
            f"{len(FAULTS)} faults, {hits.total()} builds with one, {wrong.total()} judged wrongly"
        )
