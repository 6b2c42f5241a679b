"""In-house rules as data: what they select, what they ask, and what is wrong with some of them."""

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest
import tomli
import tomli_w

from riglint import Policy, check
from riglint.model import Requirement
from riglint.quantities import Quantity
from riglint.reading import structure
from riglint.requirement import Faulty, requirement_rule
from riglint.requirement.conditions import ALWAYS, OPERATORS
from riglint.requirement.examples import _samples
from riglint.requirement.facts import facts
from riglint.testing import (
    assert_fails,
    assert_not_applicable,
    assert_open,
    assert_passes,
    contract_faults,
    run,
    values_of,
)

FORMATS = Path(__file__).parents[2] / "specs/formats/files.md"


def made(text, name="asked"):
    """The rule of a requirement, given as the lines below its heading."""
    values = {"name": name, "because": "NR-7: so it is done here", **tomli.loads(text)}
    return requirement_rule(structure(values, Requirement), "riglint.toml")


def item(name, **data):
    return f'base = "pair"\n{tomli_w.dumps({"item": [{"id": name, **data}]})}'


# Every datum that a requirement may name


def written(value):
    return value.text or repr(value)[1:] if isinstance(value, Quantity) else value


def asked_of(name, kind):
    """A few conditions for a datum, with values on both sides of which there are others."""
    values = list(dict.fromkeys(map(written, _samples(kind, name, ()))))
    middle = values[len(values) // 2]
    yield {"equals": middle}
    yield {"one_of": [middle]}
    yield {"not_one_of": [middle]}
    if (isinstance(kind, type) and issubclass(kind, Quantity)) or name in ("size", "grade"):
        yield {"at_least": middle}
        yield {"at_most": middle}
    if name not in ALWAYS:
        yield {"stated": True}


EVERY = [
    pytest.param(about, name, fact.kind, id=f"{about}-{name}")
    for about in ("part", "item", "sling")
    for name, fact in facts(about).items()
    if not fact.computed
]


@pytest.mark.parametrize(("about", "name", "kind"), EVERY)
def test_a_requirement_on_any_datum_keeps_the_contract_of_rules(about, name, kind):
    of = {} if about == "sling" or name == "kind" else {"kind": "sling-hook"}
    for must in asked_of(name, kind):
        asked = Requirement("asked", {name: must}, "NR-7", about=about, of=of)
        rule = requirement_rule(asked, "riglint.toml")
        assert rule.fails != rule.repaired
        assert list(contract_faults(rule)) == [], must


def test_sheets_offer_their_data_and_no_lists():
    known = facts("part")
    assert {"kind", "bar", "grade", "size", "latch", "working_load_limit", "hitch"} <= set(known)
    assert {"chart", "links", "ports", "extra", "pocket"}.isdisjoint(known)


# At, under and over each limit


BAR_18 = 'of = { kind = "master-link" }\nmust = { bar = { at_least = "18 mm" } }'
LIMITS = [
    (BAR_18, item("master", bar="17.99 mm"), "17.99 mm", "18 mm"),
    (BAR_18, item("master", bar="18 mm"), None, None),
    # 0.709 in is 18.0086 mm, 0.708 in is 17.9832 mm
    (BAR_18, item("master", bar="0.709 in"), None, None),
    (BAR_18, item("master", bar="0.708 in"), "0.708 in", "18 mm"),
    ('must = { grade = { at_least = 80 } }\nof = { kind = "chain" }', item("chain"), None, None),
    ('must = { grade = 120 }\nof = { kind = "chain" }', item("chain"), 100, 120),
    # the European 12 is grade 120
    ('must = { grade = 12 }\nof = { kind = "chain" }', item("chain", grade=120), None, None),
    # 3/8 in chain is 10 mm chain (chain-sizes)
    ('must = { size = "10 mm" }\nof = { kind = "chain" }', item("chain"), None, None),
    ('must = { size = { at_most = "8 mm" } }\nof.kind = "chain"', item("chain"), "3/8 in", "8 mm"),
    ('must = { size = { at_least = "1/2 in" } }\nof.kind = "chain"', item("chain"), "3/8 in", None),
    ('must.latch = true\nof.kind = "sling-hook"', item("hook"), None, None),
    ('must.latch = true\nof.kind = "sling-hook"', item("hook", latch=False), "no", "yes"),
    (
        'must.throat = { at_least = "1 in", at_most = "1.2 in" }\nof.kind = "sling-hook"',
        item("hook", throat="1.21 in"),
        "1.21 in",
        "1.2 in",
    ),
    (
        'must.throat = { at_least = "1 in", at_most = "1.2 in" }\nof.kind = "sling-hook"',
        item("hook", throat="0.99 in"),
        "0.99 in",
        "1 in",
    ),
    (
        'must.process.one_of = ["forged", "cast"]\nof.kind = "master-link"',
        item("master"),
        "welded",
        ("forged", "cast"),
    ),
    (
        'must.process.not_one_of = ["cast"]\nof.kind = "master-link"',
        item("master", process="cast"),
        "cast",
        ("cast",),
    ),
    ('must.process.not_one_of = ["cast"]\nof.kind = "master-link"', item("master"), None, None),
]


@pytest.mark.parametrize(("asked", "example", "found", "limit"), LIMITS)
def test_a_limit_is_held_to(asked, example, found, limit):
    rule = made(asked)
    if found is None:
        assert_passes(rule, example)
    else:
        assert_fails(rule, example, found=found, limit=limit, level="error")


# `quad`: four legs of 3/8 in grade 100 chain, published at 22,900 lb at 60 deg (test_chain_ratings)
SLINGS = [
    ('must.legs.at_most = 3\nabout = "sling"', "quad", "fail"),
    ('must.legs.at_most = 3\nabout = "sling"', "pair", "pass"),
    ('must.rated_load.at_most = "22,900 lb"\nabout = "sling"', "quad", "pass"),
    ('must.rated_load.at_most = "22,899 lb"\nabout = "sling"', "quad", "fail"),
    ('must.angle_from_horizontal.at_least = "60 deg"\nabout = "sling"', "quad", "pass"),
    ('must.angle_from_horizontal.at_least = "61 deg"\nabout = "sling"', "quad", "fail"),
    ('must.angle_from_vertical.at_most = "30 deg"\nabout = "sling"', "quad", "pass"),
    ('must.angle_from_vertical.at_most = "29 deg"\nabout = "sling"', "quad", "fail"),
    ('must.load.at_most = "12,000 lb"\nabout = "sling"', "pair", "pass"),
    ('must.load.at_most = "11,999 lb"\nabout = "sling"', "pair", "fail"),
    # 9 in + 2.7 + 65 x 1.18 + 2.7 + 5.5 = 96.6 in, by the sheets of the sound builds
    ('must.reach.at_most = "96.6 in"\nabout = "sling"', "pair", "pass"),
    ('must.reach.at_most = "96.59 in"\nabout = "sling"', "pair", "fail"),
    ('must.hitch = "bridle"\nabout = "sling"', "pair", "pass"),
    ('must.basis = "EN"\nabout = "sling"', "pair", "fail"),
    ('must.legs = 2\nof.hitch = "straight"\nabout = "sling"', "pair", "notApplicable"),
    ('must.hitch = "straight"\nof.legs.at_least = 3\nabout = "sling"', "pair", "notApplicable"),
    ('must.hitch = "straight"\nof.legs.at_least = 3\nabout = "sling"', "quad", "fail"),
]


@pytest.mark.parametrize(("asked", "base", "verdict"), SLINGS)
def test_facts_of_a_whole_sling(asked, base, verdict):
    assert run(made(asked), f'base = "{base}"').verdict == verdict


@pytest.mark.parametrize("fact", ["hitch", "load", "angle"])
def test_a_fact_that_the_build_leaves_out_is_open(fact):
    name = "angle_from_horizontal" if fact == "angle" else fact
    wanted = {"hitch": '"bridle"', "load": '"12,000 lb"', "angle": '"60 deg"'}[fact]
    rule = made(f'must.{name} = {wanted}\nabout = "sling"')
    assert_open(rule, f'base = "pair"\nwithout = ["/duty/{fact}"]', datum=fact)


# What is selected


def test_parts_are_selected_by_the_build_too():
    rule = made('of = { kind = "sling-hook", hitch = "bridle", basis = "US", legs = 2 }\n' + LATCH)
    unlatched = '\n[[item]]\nid = "hook"\nlatch = false'
    assert_fails(rule, 'base = "pair"' + unlatched, part="a1/hook")
    for other in ("quad", "single"):
        assert_not_applicable(rule, f'base = "{other}"' + unlatched)


LATCH = "must = { latch = true }"


def test_without_of_every_part_is_asked():
    rule = made("must = { grade = 100 }")
    lower = [{"id": "hook", "grade": 80}, {"id": "master", "grade": 80}]
    example = f'base = "pair"\n{tomli_w.dumps({"item": lower})}'
    assert run(rule, example).parts == ["top", "a1/hook"]


def test_identical_legs_are_judged_once_and_the_others_named():
    finding = assert_fails(made(f'of.kind = "sling-hook"\n{LATCH}'), item("hook", latch=False))
    assert finding.also == ("a2/hook",)


def test_a_datum_to_select_by_that_is_not_stated_is_open():
    rule = made(f'of = {{ kind = "sling-hook", grade = 100 }}\n{LATCH}')
    assert_open(rule, 'base = "pair"\nwithout = ["/item/hook/grade"]', datum="grade")
    rule = made(f'of = {{ kind = "grab-hook", grade = 100 }}\n{LATCH}')
    assert_not_applicable(rule, 'base = "pair"\nwithout = ["/item/hook/grade"]')


def test_what_is_not_stated_is_open_and_what_is_wrong_beside_it_stands():
    rule = made('of.kind = "master-link"\nmust = { process = "forged", bar.at_least = "18 mm" }')
    outcome = run(rule, 'base = "pair"\nwithout = ["/item/master/bar"]')
    assert outcome.verdict == "fail"
    assert [finding.found for finding in outcome.findings] == ["welded"]
    assert outcome.missing == ["bar"]


def test_stated_asks_that_the_sheet_says_it():
    rule = made('of.kind = "sling-hook"\nmust.mass.stated = true\nlevel = "note"')
    finding = assert_fails(rule, 'base = "pair"', part="a1/hook", level="note")
    assert finding.message == "a1/hook does not state its mass; the house asks that it is stated"
    assert finding.remedy == "State the mass in its sheet in the catalog."
    assert_passes(rule, item("hook", mass="2 kg"))


def test_a_size_that_is_no_length_is_open_where_it_is_to_be_more_or_less():
    rule = made('of.kind = "chain"\nmust.size.at_most = "10 mm"')
    assert_open(rule, item("chain", size="heavy"), datum="size")
    assert_fails(made('of.kind = "chain"\nmust.size = "10 mm"'), item("chain", size="heavy"))


def test_catalog_items_are_judged_in_their_catalog():
    rule = made('about = "item"\nof = { kind = "crane-hook", basis = "US" }\nmust.latch = true')
    assert_open(rule, 'base = "pair"', datum="latch")
    assert_fails(rule, item("crane-hook", latch=False), part="crane-hook")


# Words


MESSAGES = [
    (BAR_18, item("master", bar="16 mm"), "bar of top: 0.63 in; the house asks for at least 18 mm"),
    (
        'must.process.one_of = ["forged", "cast"]\nof.kind = "master-link"',
        item("master"),
        "process of top: welded; the house asks for one of forged, cast",
    ),
    (
        'must.process.not_one_of = ["welded"]\nof.kind = "master-link"',
        item("master"),
        "process of top: welded; the house does not use welded",
    ),
    (
        f'of.kind = "sling-hook"\n{LATCH}',
        item("hook", latch=False),
        "a1/hook has no latch; the house asks for one",
    ),
    (
        'must.inside_width.at_least = "6 in"\nof.kind = "master-link"',
        item("master"),
        "inside width of top: 5 in; the house asks for at least 6 in",
    ),
]


@pytest.mark.parametrize(("asked", "example", "message"), MESSAGES)
def test_a_finding_says_found_and_asked_in_plain_words(asked, example, message):
    (finding,) = run(made(asked), example).findings
    shown = message.replace("18 mm", "0.709 in")  # in the units of the build
    assert finding.message == shown
    assert finding.remedy
    assert finding.sources == ("NR-7: so it is done here (riglint.toml)",)


def test_a_grade_is_named_as_the_basis_does():
    example = 'base = "pair"\nassembly = { basis = "EN" }'
    (finding,) = run(made('of.kind = "chain"\nmust.grade = 8'), example).findings
    assert finding.message == "grade of a1/chain: 10; the house asks for 8"
    assert (finding.found, finding.limit) == (100, 80)


def test_a_title_says_what_is_asked_of_what():
    rule = made('of.kind = "master-link"\nmust = { bar.at_least = "18 mm", latch = true }')
    assert rule.title == (
        "House requirement on each part of kind master-link: bar at least 18 mm, latch yes"
    )
    assert rule.because == "NR-7: so it is done here"


def test_the_requirements_of_the_written_formats_are_sound():
    text = FORMATS.read_text(encoding="utf-8").partition("### `[[requirement]]`")[2]
    block = text.partition("```toml\n")[2].partition("```")[0]
    for written in tomli.loads(block)["requirement"]:
        assert requirement_rule(structure(written, Requirement), "riglint.toml").title


# What is wrong with a requirement


FAULTS = [
    ('must = { barr = "18 mm" }', ("must", "barr"), "did you mean bar?"),
    ('must = { chart = "18 mm" }', ("must", "chart"), "there is no datum chart here"),
    ('must.bar = { at_leest = "18 mm" }', ("must", "bar", "at_leest"), "did you mean at_least?"),
    ('must.bar = { more = "18 mm" }', ("must", "bar", "more"), "these are: equals, at_least"),
    ('must.bar = "18"', ("must", "bar"), "has no unit; write a length as"),
    ('must.bar.at_least = "18 kg"', ("must", "bar", "at_least"), "kg is not a unit of length"),
    ("must.bar.at_least = 18", ("must", "bar", "at_least"), 'a length is written "20 mm"'),
    ('must.grade.at_least = "80"', ("must", "grade", "at_least"), "a whole number is expected"),
    ("must.grade = 81", ("must", "grade"), "grade 81 is none of"),
    ('must.process = "forgd"', ("must", "process"), "did you mean forged?"),
    ('must.process.at_least = "forged"', ("must", "process", "at_least"), "use one_of"),
    ('must.latch = "yes"', ("must", "latch"), "true or false is expected"),
    ("must.latch.stated = false", ("must", "latch", "stated"), "stated is always true"),
    ("must.kind.stated = true", ("must", "kind", "stated"), "always there"),
    ("must.bar.one_of = []", ("must", "bar", "one_of"), "takes a list of values"),
    ('must.bar.one_of = "18 mm"', ("must", "bar", "one_of"), "takes a list of values"),
    ('must.bar.one_of = ["18 mm", "1 kg"]', ("must", "bar", "one_of"), "kg is not a unit"),
    ("must.bar = {}", ("must", "bar"), "bar asks for nothing"),
    ("must = {}", ("must",), "must asks for nothing"),
    ('must.size.at_least = "heavy"', ("must", "size", "at_least"), "is no length"),
    ('of.kind = "hook"\nmust.latch = true', ("of", "kind"), "one of master-link"),
    ('of.kind = "crane-hook"\nmust.latch = true', ("of", "kind"), 'write about = "item"'),
    ('of.rated_load = "1 t"\nmust.legs = 2\nabout = "sling"', ("of", "rated_load"), "in must"),
    ('must.bar = "18 mm"\nabout = "sling"', ("must", "bar"), "there is no datum bar here"),
    ('must.legs = 2\nabout = "item"', ("must", "legs"), "there is no datum legs here"),
    ('must.bar = { at_least = "2 in", at_most = "1 in" }', ("must", "bar"), "no bar can meet"),
    ('of.bar.at_most = "1 in"\nmust.bar.at_least = "2 in"', ("must", "bar"), "no bar can meet"),
    ('of.bar = { at_least = "2 in", at_most = "1 in" }\nmust.latch = true', ("of", "bar"), "such"),
    ('of.process = "cast"\nmust.process = "cast"', ("must",), "can fail this"),
    ("must.legs.at_least = 1", ("must",), "can fail this"),
    ('must.basis.one_of = ["US", "EN"]', ("must",), "can fail this"),
]


@pytest.mark.parametrize(("asked", "key", "message"), FAULTS)
def test_what_makes_no_sense_is_named_at_its_key(asked, key, message):
    with pytest.raises(Faulty) as caught:
        made(asked)
    assert [fault.key for fault in caught.value.faults] == [key]
    assert message in caught.value.faults[0].message


@pytest.mark.parametrize("name", ["Top-Links", "top links", "", "-top", "top--links", "a" * 61])
def test_a_name_that_no_rule_could_have(name):
    with pytest.raises(Faulty, match="small letters"):
        made("must.latch = true", name)


def test_every_operator_is_known_by_its_words():
    assert set(OPERATORS) == {"equals", "at_least", "at_most", "one_of", "not_one_of", "stated"}


# In a library


POLICY = """\
catalogs = ["stock.toml"]

[[requirement]]
name = "hooks-latched"
level = "warning"
of = { kind = "sling-hook" }
must = { latch = true }
because = "NR-4"
"""


@pytest.fixture
def library(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def written(policy=POLICY, example=None, **tables):
        values = values_of(example or item("hook", latch=False)) | tables
        stock = {name: values.pop(name) for name in ("catalog", "item")}
        (tmp_path / "stock.toml").write_text(tomli_w.dumps(stock))
        (tmp_path / "build.toml").write_text(tomli_w.dumps(values))
        (tmp_path / "riglint.toml").write_text(policy)
        return tmp_path

    return written


def findings(report):
    (build,) = report.assemblies
    return [
        (p.finding.rule, p.finding.level, p.finding.part, p.finding.permit)
        for p in build.findings
        if p.finding.rule.startswith("house:")
    ]


def test_a_requirement_is_a_rule_like_any_other(library):
    report = check(library())
    assert findings(report) == [("house:hooks-latched", "warning", "a1/hook", None)]
    assert report.assemblies[0].judgment.verdicts["house:hooks-latched"] == "fail"
    assert {pack.name: len(pack.rules) for pack in report.packs}["house"] == 1
    assert report.exit_status == 0


@pytest.mark.parametrize(("level", "given"), [("note", "note"), ("error", "warning")])
def test_the_policy_may_lower_it(library, level, given):
    report = check(library(f'{POLICY}[rules."house:hooks-latched"]\nlevel = "{level}"\n'))
    assert findings(report) == [("house:hooks-latched", given, "a1/hook", None)]


def test_the_policy_may_switch_it_off_and_the_report_says_so(library):
    report = check(library(f'{POLICY}[rules."house:hooks-latched"]\nlevel = "off"\n'))
    assert findings(report) == []
    assert report.off == ("house:hooks-latched",)


def test_a_permit_covers_it(library):
    permit = {
        "rule": "house:hooks-latched",
        "use": "Pit only",
        "justification": "Never slack there",
        "approved_by": "chief rigger",
        "quantity": 1,
    }
    (found,) = findings(check(library(deviation_permit=[permit])))
    assert found[3] is not None


def test_workers_judge_by_it_too(library):
    alone, folder = check(library()), library()
    (tables,) = [one for one in alone.packs if one.name == "house"]
    policy = Policy(catalogs=(folder / "stock.toml",), requirement=tables.rules)
    plain = Policy(
        catalogs=policy.catalogs,
        requirement=(made('level = "warning"\nof.kind = "sling-hook"\nmust.latch = true'),),
    )
    with ProcessPoolExecutor(2) as executor:
        shared = check(folder, executor=executor)
        given = check(folder, policy=plain, executor=executor)
    assert findings(shared) == findings(alone)
    assert findings(given) == [("house:asked", "warning", "a1/hook", None)]


FAULTY_POLICIES = [
    (POLICY + POLICY.partition("\n\n")[2], 10, 1, "hooks-latched is given twice: at"),
    (POLICY.replace("latch = true", "lach = true"), 7, 10, "did you mean latch?"),
    (POLICY.replace('"warning"', '"warn"'), 5, 1, "did you mean warning?"),
    (POLICY.replace("because", "why"), 8, 1, "unknown key requirement[1].why"),
    (POLICY.replace('"NR-4"', '" "'), 8, 1, "because says why"),
    (POLICY.replace("of = {", 'about = "tag"\nof = {'), 6, 1, "one of part, item, sling"),
    (POLICY + '[rules."house:hook-latched"]', 9, 1, "did you mean house:hooks-latched?"),
    (POLICY + '[rules."house:hooks-latched"]\nlimit = 1', 9, 1, "no settings but level"),
]


@pytest.mark.parametrize(("policy", "line", "column", "message"), FAULTY_POLICIES)
def test_a_faulty_one_is_a_problem_at_its_place(library, policy, line, column, message):
    report = check(library(policy))
    assert report.exit_status == 2
    problem = next(p for p in report.problems if message in p.message)
    assert (problem.file, problem.line, problem.column) == ("riglint.toml", line, column)


def test_an_item_is_stocked_and_not_the_build_changed():
    rule = made('must.basis = "EN"\nabout = "item"\nof.kind = "master-link"')
    finding, *_ = run(rule, 'base = "pair"').findings
    assert finding.remedy.startswith("Stock one whose basis is EN")
