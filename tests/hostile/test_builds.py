"""Builds, catalogs, policies and rule packs that cannot be used: problems, never exceptions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from riglint import API_VERSION, Gathering, Pack, Part, Report, Rule, check, hookimpl, rule
from riglint.book import rule_book
from riglint.problem import MOST_PROBLEMS, Problem
from riglint.testing import CATALOG_TABLES, values_of

SET = """
    [[part]]
    ref = "top"
    item = "set"
    [[item]]
    id = "set"
    kind = "link-assembly"
"""


def write(folder: Path, values: dict[str, Any], name: str = "build") -> None:
    """One build and its catalog as two files."""
    catalog = {key: values[key] for key in CATALOG_TABLES if key in values}
    build = {key: value for key, value in values.items() if key not in CATALOG_TABLES}
    (folder / f"{name}.toml").write_text(tomli_w.dumps(build))
    (folder / "stock.toml").write_text(tomli_w.dumps(catalog))


def problems_of(folder: Path, **options: Any) -> tuple[Problem, ...]:
    report = check(folder, **options)
    assert report.problems
    assert report.exit_status == 2
    return report.problems


def fault(name: str, over: str, message: str, line_has: str = ""):
    return pytest.param(over, message, line_has, id=name)


FAULTS = [
    # names
    fault("no legs", "leg = []", "the build has no [[leg]]"),
    fault("leg without parts", '[[leg]]\nref = "a"\nparts = []', "the leg a has no parts", "parts"),
    fault(
        "part and leg share a ref",
        '[[leg]]\nref = "top"\non = "top"\nparts = [{ item = "hook" }]',
        "the ref top is used twice",
        'ref = "top"',
    ),
    fault(
        "leg has the ref of a counted one",
        '[[leg]]\nref = "a1"\non = "top"\nparts = [{ item = "hook" }]',
        "the ref a1 is used twice",
        'ref = "a1"',
    ),
    # what hangs on what
    fault(
        "loop",
        '[[part]]\nref = "top"\non = "low"\n[[part]]\nref = "low"\nitem = "master"\non = "top"',
        "hang on each other in a loop: low, top",
        "on =",
    ),
    fault("on itself", '[[part]]\nref = "top"\non = "top"', "in a loop: top", "on ="),
    fault(
        "part on nothing",
        '[[part]]\nref = "low"\nitem = "master"\non = "tpo"',
        "low hangs on tpo, and there is no part of that name; did you mean top?",
        "tpo",
    ),
    fault(
        "leg on nothing",
        '[[leg]]\nref = "a"\non = "topp"',
        "a hangs on topp, and there is no part of that name; did you mean top?",
        "topp",
    ),
    fault("leg on nothing like it", '[[leg]]\nref = "a"\non = "xyz"', "a hangs on xyz", "xyz"),
    fault(
        "part with nothing on it",
        '[[part]]\nref = "low"\nitem = "master"\non = "top"',
        "nothing hangs on low",
        "low",
    ),
    fault(
        "lower end on nothing",
        '[[leg]]\nref = "a"\nto = "tp"',
        "the lower end of a hangs on tp, and there is no part of that name; did you mean top?",
        "to =",
    ),
    fault("bight in nothing", '[[leg]]\nref = "a"\nchokes_in = "x"', "a has no part x", "chokes"),
    fault(
        "legs gathered in a hook",
        '[[part]]\nref = "top"\nitem = "hook"',
        "hook is a sling hook, which gathers no legs",
        "hook",
    ),
    # items
    fault(
        "unknown item",
        '[[part]]\nref = "top"\nitem = "mastre"',
        "no catalog in use has an item mastre; the nearest is master",
        "mastre",
    ),
    fault(
        "unknown item in a leg",
        '[[leg]]\nref = "a"\nparts = [{ item = "chian", links = 5 }]',
        "no catalog in use has an item chian; the nearest is chain",
        "chian",
    ),
    fault(
        "unknown catalog",
        '[[part]]\nref = "top"\nitem = "sond:master"',
        "the nearest is sound:master",
        "sond:master",
    ),
    fault(
        "unknown hook",
        '[duty]\nhung_from = "crane-hok"',
        "no catalog in use has an item crane-hok; the nearest is crane-hook",
        "crane-hok",
    ),
    fault("item not chosen", '[[part]]\nref = "top"\nitem = "?"', "not chosen yet", '"?"'),
    fault("empty item", '[[part]]\nref = "top"\nitem = ""', "no catalog in use has an item", '""'),
    fault("long item", f'[[part]]\nref = "top"\nitem = "{"x" * 900}"', "has an item xxx", "xxx"),
    fault("assembly of no links", SET, "the link-assembly set names no links", "set"),
    fault(
        "assembly of unknown links",
        SET + 'links = [{ name = "x", item = "mastr" }]',
        "no catalog in use has an item mastr; the nearest is master",
        "set",
    ),
    fault(
        "no such link in the assembly",
        SET + 'links = [{ name = "x", item = "master" }]\n[[leg]]\nref = "a"\non = "top/y"',
        "a hangs on top/y, and there is no part of that name; did you mean top/x?",
        "top/y",
    ),
    # measures
    fault(
        "chain without links",
        '[[leg]]\nref = "a"\nparts = [{ item = "chain" }]',
        "chain is chain: say how many links",
        "chain",
    ),
    fault(
        "links on a hook",
        '[[leg]]\nref = "a"\nparts = [{ item = "hook", links = 3 }]',
        "hook is sling-hook: only chain is cut by links",
        "links = 3",
    ),
    fault(
        "chain by length",
        '[[leg]]\nref = "a"\nparts = [{ item = "chain", links = 3, length = "3 ft" }]',
        "chain is chain: it is not cut to a length",
        "3 ft",
    ),
    fault(
        "rope without length",
        '[[leg]]\nref = "a"\nparts = [{ item = "rope" }]\n'
        '[[item]]\nid = "rope"\nkind = "wire-rope"',
        "rope is wire-rope: say its length",
        "rope",
    ),
    fault(
        "a hundred million legs",
        '[[leg]]\nref = "a"\ncount = 100_000_000',
        "a count from 1 to 100,000 is expected",
        "count",
    ),
    fault(
        "too many legs",
        '[[leg]]\nref = "a"\ncount = 1001',
        "1,001 legs are more than the 1,000 that are read",
    ),
    fault(
        "a hundred million links",
        '[[leg]]\nref = "a"\nparts = [{ item = "chain", links = 100_000_000 }]',
        "a count from 1 to 100,000 is expected",
        "links",
    ),
    # adjustment
    fault(
        "no such pocket",
        '[[leg]]\nref = "a"\nadjust = { pocket = "tp" }',
        "has no pocket tp: no part and no shortener; did you mean top?",
        "tp",
    ),
    fault(
        "pocket and branch",
        '[[leg]]\nref = "a"\nadjust = { pocket = "top", on = "top", branch = [{ item = "hook" }] }',
        "it takes one of the two",
        "adjust",
    ),
    fault(
        "branch on nothing",
        '[[leg]]\nref = "a"\nadjust = { on = "tp", branch = [{ item = "hook" }] }',
        "the branch of a hangs on tp, and there is no part of that name; did you mean top?",
        "adjust",
    ),
    fault(
        "branch of nothing",
        '[[leg]]\nref = "a"\nadjust = { on = "top" }',
        "no branch is given",
        "adjust",
    ),
]


@pytest.mark.parametrize(("over", "message", "line_has"), FAULTS)
def test_a_faulty_build_is_a_problem_at_its_line(tmp_path, over, message, line_has):
    write(tmp_path, values_of(f'base = "pair"\n{over}'))
    problems = problems_of(tmp_path)
    (problem,) = [problem for problem in problems if message in problem.message]
    assert problem.file == str(tmp_path / "build.toml")
    assert line_has in (tmp_path / "build.toml").read_text().splitlines()[problem.line - 1]
    assert len(problem.message) < 200


def test_all_faults_of_a_build_are_told_at_once(tmp_path):
    values = values_of('base = "quad"')
    values["part"][1]["item"] = "x"
    values["leg"][0]["parts"][1] = {"item": "chain"}
    values["leg"][1]["on"] = "y"
    write(tmp_path, values)
    told = " | ".join(problem.message for problem in problems_of(tmp_path))
    assert "an item x" in told
    assert "say how many links" in told
    assert "b hangs on y" in told


def test_a_sound_build_beside_a_faulty_one_is_still_judged(tmp_path):
    write(tmp_path, values_of('base = "pair"\nleg = []'), "faulty")
    write(tmp_path, values_of('base = "pair"'), "sound")
    report = check(tmp_path)
    assert report.exit_status == 2
    assert [Path(each.file).name for each in report.assemblies] == ["sound.toml"]
    assert set(report.assemblies[0].judgment.verdicts.values()) <= {"pass", "notApplicable", "open"}


def test_a_sound_build_alone_is_no_problem(tmp_path):
    """So that the cases above are refused for what they change."""
    write(tmp_path, values_of('base = "pair"'))
    report = check(tmp_path)
    assert (report.problems, report.exit_status) == ((), 0)


def test_a_thousand_legs_are_judged(tmp_path):
    write(tmp_path, values_of('base = "pair"\n[[leg]]\nref = "a"\ncount = 1000'))
    report = check(tmp_path)
    assert report.problems == ()
    assert report.assemblies[0].judgment.verdicts["tag-over-rating"] == "open"


def test_a_thousand_legs_each_written_out_are_judged(tmp_path):
    values = values_of('base = "pair"')
    (leg,) = values["leg"]
    values["leg"] = [{**leg, "ref": f"leg{n}", "count": 1} for n in range(1000)]
    write(tmp_path, values)
    report = check(tmp_path)
    assert report.problems == ()
    assert report.assemblies[0].judgment.verdicts["intermediate-links-needed"] == "fail"


def hung_in_a_row(links: int) -> dict[str, Any]:
    values = values_of('base = "pair"')
    values["part"] += [
        {"ref": f"p{n}", "item": "master", "on": f"p{n - 1}" if n else "top"} for n in range(links)
    ]
    values["leg"][0]["on"] = f"p{links - 1}"
    return values


def test_a_hundred_links_in_a_row_are_judged(tmp_path):
    write(tmp_path, hung_in_a_row(100))
    report = check(tmp_path)
    assert report.problems == ()
    assert report.assemblies[0].sling.gatherings[0].loaded_legs == 2


@pytest.mark.parametrize("links", [500, 3000])
def test_links_in_a_long_row_are_judged_or_refused(tmp_path, links):
    write(tmp_path, hung_in_a_row(links))
    assert check(tmp_path).exit_status in (1, 2)


def test_many_unknown_items_are_not_each_compared_with_every_item(tmp_path):
    values = values_of('base = "pair"')
    values["part"] = [{"ref": f"p{n}", "item": f"IL-{n}-mastre"} for n in range(150)]
    values["item"] += [{"id": f"ML-{n}-master", "kind": "end-link"} for n in range(1000)]
    write(tmp_path, values)
    found = problems_of(tmp_path)
    assert len(found) == 50
    assert found[-1].message == "more than 50 faults; the rest is not listed"


@pytest.mark.parametrize(
    ("other", "message"),
    [
        pytest.param(
            'id = "other"', "more than one item is called master; write", id="an item in both"
        ),
        pytest.param(
            'id = "sound"',
            "the catalog id sound is that of",
            id="the same name",
        ),
    ],
)
def test_two_catalogs_that_cannot_be_told_apart(tmp_path, other, message):
    write(tmp_path, values_of('base = "pair"'))
    text = (tmp_path / "stock.toml").read_text()
    (tmp_path / "more.toml").write_text(text.replace('id = "sound"', other))
    assert any(message in problem.message for problem in problems_of(tmp_path))


def test_the_name_of_the_catalog_tells_them_apart(tmp_path):
    values = values_of('base = "single"')
    for part in (*values["part"], *values["leg"][0]["parts"]):
        part["item"] = "other:" + part["item"]
    values["duty"]["hung_from"] = "sound:crane-hook"
    write(tmp_path, values)
    text = (tmp_path / "stock.toml").read_text()
    (tmp_path / "more.toml").write_text(text.replace('id = "sound"', 'id = "other"'))
    report = check(tmp_path)
    assert report.problems == ()
    assert report.assemblies[0].sling.parts[0].item.catalog.id == "other"


def test_an_id_twice_in_a_catalog_is_a_problem_at_the_second(tmp_path):
    values = values_of('base = "pair"')
    values["item"].append({"id": "hook", "kind": "swivel"})
    write(tmp_path, values)
    lines = (tmp_path / "stock.toml").read_text().splitlines()
    (problem,) = [p for p in problems_of(tmp_path) if "used twice" in p.message]
    assert problem.message == "the id hook is used twice in this catalog"
    second = [n for n, line in enumerate(lines, 1) if line == 'id = "hook"'][1]
    assert (problem.file, problem.line) == (str(tmp_path / "stock.toml"), second)


def test_a_catalog_that_lacks_everything_is_refused_with_its_builds(tmp_path):
    write(tmp_path, values_of('base = "pair"'))
    (tmp_path / "stock.toml").write_text('[catalog]\nid = "empty"\nbasis = "US"\n')
    assert any("no catalog is in use" in p.message for p in problems_of(tmp_path))


# Policies


def policed(folder: Path, policy: str) -> Path:
    write(folder, values_of('base = "pair"'))
    (folder / "riglint.toml").write_text(policy)
    return folder


POLICY_FAULTS = [
    ('catalogs = ["stock/none.toml"]', 1, "'stock/none.toml' matches no file"),
    ('catalogs = ["stock.toml", "no*.toml"]', 1, "'no*.toml' matches no file"),
    ('catalogs = ["../stock.toml"]', 1, "leaves the policy's folder"),
    ('catalogs = ["a/../../b/*.toml"]', 1, "leaves the policy's folder"),
    ('catalogs = ["/etc/*.toml"]', 1, "leaves the policy's folder"),
    ('catalogs = [""]', 1, "the catalog pattern ''"),
    ('catalogs = ["."]', 1, "the catalog pattern '.'"),
    ('catalogs = ["a**b/*.toml"]', 1, "the catalog pattern"),
    ('catalogs = ["a\\u0000b"]', 1, "the catalog pattern"),
    ('catalogs = ["build.toml"]', None, "unknown key assembly"),
    ('catalogs = ["stock.toml"]\nzebra = 1', 2, "unknown key zebra"),
    ('catalogs = ["stock.toml"]\ncatalog = 1', 2, "did you mean catalogs?"),
    ("[rules.crowded-lnk]", 1, "there is no rule crowded-lnk; did you mean crowded-link?"),
    ("[rules.xyzzy]", 1, "there is no rule xyzzy"),
    ('[rules.crowded-link]\nlevel = "of"', 2, "the level of crowded-link is one of off, error"),
    ("[rules.crowded-link]\nlevel = false", 2, "the level of crowded-link is one of off, error"),
    ("[rules.crowded-link]\nlimit = 5", 1, "limit is unknown"),
    ("[rules.hook-tight]\nration = 1.3", 1, "unknown key ration; did you mean ratio?"),
    ('[rules.hook-tight]\nratio = "1.3"', 1, "ratio: a number is expected, this is a text"),
    ('[rules.tag-over-rating]\nlevel = "off"', 2, "can be neither switched off nor lowered"),
    ('[rules.tag-over-rating]\nlevel = "note"', 2, "can be neither switched off nor lowered"),
    ('packs = ["northmere"]', None, "the rule pack northmere is not installed"),
    ("catalogs =", 1, "A value must stand here"),
    ('[duty]\nload = "5 ton"', 2, "ton alone could be"),
]


@pytest.mark.parametrize(
    ("policy", "line", "message"), POLICY_FAULTS, ids=lambda one: str(one)[:50]
)
def test_a_faulty_policy_is_a_problem(tmp_path, policy, line, message):
    found = [p for p in problems_of(policed(tmp_path, policy)) if message in p.message]
    assert found
    if line is not None:
        assert {(Path(p.file).name, p.line) for p in found} == {("riglint.toml", line)}


@pytest.mark.parametrize("policy", ['catalogs = ["none.toml"]', "[rules.xyzzy]", "zebra = 1"])
def test_nothing_is_passed_under_a_faulty_policy(tmp_path, policy):
    report = check(policed(tmp_path, policy))
    assert report.assemblies == ()
    assert report.exit_status == 2


def test_a_catalog_pattern_does_not_follow_a_link_out(tmp_path):
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    outside.mkdir()
    policed(inside, 'catalogs = ["stock/*.toml"]')
    (inside / "stock.toml").rename(outside / "stock.toml")
    (inside / "stock").symlink_to(outside)
    (problem, *_) = problems_of(inside)
    assert "stock leads out of the policy's folder" in problem.message


def test_a_named_policy_that_is_not_there(tmp_path):
    write(tmp_path, values_of('base = "pair"'))
    (problem,) = problems_of(tmp_path, policy=tmp_path / "none.toml")
    assert problem.message == "There is no such file"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("none.toml", "There is no such file"),
        ("other.toml", "not a file of riglint's"),
        ("torn.toml", "A value must stand here"),
    ],
)
def test_a_file_that_is_named_and_no_build(tmp_path, name, message):
    (tmp_path / "other.toml").write_text('[project]\nname = "x"\n')
    (tmp_path / "torn.toml").write_text("a =\n")
    (problem,) = problems_of(tmp_path / name)
    assert message in problem.message


def test_another_file_in_a_folder_is_skipped_and_said_so(tmp_path):
    write(tmp_path, values_of('base = "pair"'))
    (tmp_path / "other.toml").write_text('[project]\nname = "x"\n')
    report = check(tmp_path)
    assert report.exit_status == 0
    assert [Path(skipped.file).name for skipped in report.skipped] == ["other.toml"]


@pytest.mark.parametrize("given", ["folder", "catalog"])
def test_catalogs_that_are_given_apart_and_cannot_be_read(tmp_path, given):
    write(tmp_path, values_of('base = "pair"'))
    catalog = tmp_path if given == "folder" else tmp_path / "none.toml"
    assert problems_of(tmp_path / "build.toml", catalogs=[catalog])


# Rule packs


class Plugin:
    """A rule pack as an object: gives what it is told to, or raises it."""

    def __init__(self, gives: Any) -> None:
        self.gives = gives

    @hookimpl
    def riglint_pack(self, context: Any) -> Any:
        if isinstance(self.gives, BaseException):
            raise self.gives
        return self.gives


class OtherPlugin(Plugin):
    pass


def made(name: str, check: Callable[..., Any], **options: Any) -> Rule:
    metadata = {"about": Part, "level": "error", "title": "t", "because": "b", "sources": ["s"]}
    return rule(name, **(metadata | options), fails='base = "pair"')(check)


def pack(*rules: Any, name: str = "house", api_version: int = API_VERSION) -> Pack:
    return Pack(name, "1", api_version, tuple(rules))


def raising(error: BaseException) -> Callable[..., Iterator[Any]]:
    def judge(part: Part, ctx: Any) -> Iterator[Any]:
        raise error
        yield

    return judge


def silent(part: Part, ctx: Any) -> Iterator[Any]:
    return
    yield


def yielding(make: Callable[[Any], Any]) -> Callable[..., Iterator[Any]]:
    def judge(part: Part, ctx: Any) -> Iterator[Any]:
        yield make(part)

    return judge


def deep(part: Part, ctx: Any) -> Iterator[Any]:
    yield from deep(part, ctx)


def checked(folder: Path, *plugins: Any) -> Report:
    write(folder, values_of('base = "pair"\n[[item]]\nid = "hook"\ngrade = 80'))
    return check(folder, plugins=plugins)


BROKEN_RULES = [
    ("raises", made("bad", raising(RuntimeError("boom"))), "RuntimeError: boom"),
    ("fails an assertion", made("bad", raising(AssertionError("odd"))), "AssertionError: odd"),
    ("calls itself", made("bad", deep), "RecursionError"),
    ("is no generator", made("bad", lambda part, ctx: None), "TypeError"),
    ("yields no finding", made("bad", yielding(lambda part: 5)), "what it gives is of type int"),
    ("names no fact", made("bad", yielding(lambda part: part.finding("{nope}"))), "KeyError"),
    (
        "has a level that is none",
        made("bad", yielding(lambda part: part.finding("x", level="fatal"))),
        "its finding's level is 'fatal'",
    ),
    ("has a when that raises", made("bad", silent, when=lambda part: 1 / 0), "ZeroDivisionError"),
]


@pytest.mark.parametrize(
    ("bad", "error"),
    [case[1:] for case in BROKEN_RULES],
    ids=[case[0] for case in BROKEN_RULES],
)
def test_a_rule_that_breaks_is_a_problem_and_all_else_stands(tmp_path, bad, error):
    alone = checked(tmp_path)
    assert alone.assemblies[0].judgment.verdicts["grade-mismatch"] == "fail"
    report = checked(tmp_path, Plugin(pack(bad)))
    assert report.exit_status == 2
    assert f"the rule house:bad failed on top: {error}" in report.problems[0].message
    verdicts = dict(report.assemblies[0].judgment.verdicts)
    assert verdicts.pop("house:bad") == "open"
    assert verdicts == alone.assemblies[0].judgment.verdicts
    assert [p.finding.message for p in report.assemblies[0].findings] == [
        p.finding.message for p in alone.assemblies[0].findings
    ]


def test_findings_before_the_break_stand(tmp_path):
    def half(part: Part, ctx: Any) -> Iterator[Any]:
        yield part.finding("{part} is odd")
        raise RuntimeError("boom")

    report = checked(tmp_path, Plugin(pack(made("half", half))))
    assert report.assemblies[0].judgment.verdicts["house:half"] == "fail"
    assert "top is odd" in [p.finding.message for p in report.assemblies[0].findings]
    assert report.exit_status == 2


BROKEN_PACKS = [
    ("fails to register", Plugin(RuntimeError("no licence")), "RuntimeError: no licence"),
    ("has no hook", object(), "has no hook riglint_pack"),
    ("gives no pack", Plugin(5), "gives no Pack"),
    ("gives nothing", Plugin(None), "gives no Pack"),
    ("is of a later interface", Plugin(pack(api_version=API_VERSION + 1)), "rule interface 2"),
    ("is of an earlier one", Plugin(pack(api_version=0)), "rule interface 0, this is 1"),
    (
        "gives a rule twice",
        Plugin(pack(made("x", silent), made("x", silent))),
        "the rule house:x is given twice, by house and by house",
    ),
]


@pytest.mark.parametrize(
    ("plugin", "message"),
    [case[1:] for case in BROKEN_PACKS],
    ids=[case[0] for case in BROKEN_PACKS],
)
def test_a_pack_that_breaks_is_a_problem_and_all_else_stands(tmp_path, plugin, message):
    alone = checked(tmp_path)
    report = checked(tmp_path, plugin)
    assert report.exit_status == 2
    assert any(message in problem.message for problem in report.problems)
    standard = {
        name: verdict
        for name, verdict in report.assemblies[0].judgment.verdicts.items()
        if ":" not in name
    }
    assert standard == alone.assemblies[0].judgment.verdicts


def test_a_broken_pack_does_not_take_a_sound_one_with_it(tmp_path):
    sound = Plugin(pack(made("fine", silent)))
    report = checked(tmp_path, OtherPlugin(RuntimeError("no")), sound)
    assert report.assemblies[0].judgment.verdicts["house:fine"] == "pass"
    assert report.exit_status == 2


def test_two_packs_of_one_name_collide_and_both_are_named(tmp_path):
    report = checked(
        tmp_path, Plugin(pack(made("x", silent))), OtherPlugin(pack(made("x", silent)))
    )
    assert any("two rule packs are called house" in p.message for p in report.problems)
    assert report.exit_status == 2


def test_a_rule_of_another_pack_may_have_the_name_of_a_standard_one(tmp_path):
    report = checked(tmp_path, Plugin(pack(made("crowded-link", silent, about=Gathering))))
    assert report.problems == ()
    assert {"crowded-link", "house:crowded-link"} <= set(report.assemblies[0].judgment.verdicts)


def test_a_misspelt_hook_is_not_passed_over():
    class Misspelt:
        @hookimpl
        def riglint_packs(self, context: Any) -> Pack:
            return pack()

    (problem,) = rule_book(plugins=[Misspelt()]).problems
    assert "has no hook riglint_pack" in problem.message


@pytest.mark.parametrize("gives", ["rule", "pack"])
def test_code_that_calls_exit_does_not_end_the_run_as_sound(tmp_path, gives):
    stop = SystemExit(0)
    plugin = Plugin(pack(made("bad", raising(stop))) if gives == "rule" else stop)
    assert checked(tmp_path, plugin).exit_status == 2


@pytest.mark.parametrize("rules", [(5,), None, (silent,)], ids=["number", "nothing", "function"])
def test_a_pack_whose_rules_are_none_is_a_problem(tmp_path, rules):
    assert checked(tmp_path, Plugin(Pack("house", "1", API_VERSION, rules))).exit_status == 2


def test_a_rule_whose_settings_cannot_be_made_is_a_problem(tmp_path):
    class Settings:
        def __init__(self) -> None:
            raise ValueError("no default")

    plugin = Plugin(pack(made("bad", silent, settings=Settings)))
    assert checked(tmp_path, plugin).exit_status == 2


def test_no_other_pack_is_the_standard_one():
    book = rule_book(plugins=[Plugin(pack(made("mine", silent), name="standard"))])
    assert book.problems
    assert "mine" not in book.names()


# Many faults, and their order


def text_of_faults(kind: str) -> str:
    """A file near the largest that is read, nothing but faults."""
    return {
        "unknown keys": "".join(f"k{n} = 1\n" for n in range(80_000)),
        "unknown rules": "".join(f"[rules.crowded-lin{n}]\n" for n in range(28_000)),
        "requirements": '[[requirement]]\nname = "a"\n' * 9_000,
        "patterns": "catalogs = [" + '"**/x", ' * 60_000 + "]",
        "folders": "".join(f'[folder."x{n}"]\n' for n in range(40_000)),
        "one line": 'catalogs = [ "' + "é" * 300_000 + '", ' + "1, " * 90_000 + "]",
    }[kind]


@pytest.mark.parametrize(
    "kind", ["unknown keys", "unknown rules", "requirements", "patterns", "folders", "one line"]
)
def test_of_many_faults_in_a_policy_the_first_are_told(tmp_path, kind):
    write(tmp_path, values_of('base = "pair"'))
    (tmp_path / "riglint.toml").write_text(text_of_faults(kind), "utf-8")
    assert 1 <= len(problems_of(tmp_path)) <= MOST_PROBLEMS + 1


def test_of_many_unknown_known_findings_the_first_are_told(tmp_path):
    write(tmp_path, values_of('base = "pair"'))
    known = tmp_path.parent / "known.toml"
    known.write_text("".join(f'[[known]]\nrule = "crowded-lin{n}"\n' for n in range(25_000)))
    told = problems_of(tmp_path, known=known, catalogs=[tmp_path / "stock.toml"])
    assert len(told) == MOST_PROBLEMS + 1
    assert told[-1].message == "more than 50 faults; the rest is not listed"


def test_fifty_faults_are_all_told(tmp_path):
    write(tmp_path, values_of('base = "pair"'))
    (tmp_path / "riglint.toml").write_text("".join(f"k{n} = 1\n" for n in range(50)))
    assert sorted(one.line for one in problems_of(tmp_path)) == list(range(1, 51))


def test_problems_come_in_the_order_of_files_whatever_was_checked_first(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        values = values_of('base = "pair"')
        values["leg"][0]["parts"][0]["item"] = "none"
        write(tmp_path / name, values)
        (tmp_path / name / "record.toml").write_text("[record]\n")
    a, b = tmp_path / "a", tmp_path / "b"
    with ThreadPoolExecutor(2) as workers:
        told = [check(a, b), check(b, a), check(a, b, executor=workers)]
    assert len(told[0].problems) >= 4
    assert told[0].problems == told[1].problems == told[2].problems
