"""The rules about the library as a whole: shared ids, twins and unused items.

They answer the same whatever the files are called and in whichever order they are given, and are
open where only a part of the library was looked at. The builds and items are invented.
"""

import datetime
from itertools import permutations
from pathlib import Path

import pytest

from riglint import check

AS_OF = datetime.date(2026, 6, 1)
STOCK = """
[catalog]
id = "stock"
basis = "US"
edition = 2026-01-15
source = "invented for this test"
"""
ITEM = '[[item]]\nid = "{id}"\nkind = "{kind}"\n'
ITEMS = {"top": "master-link", "chain": "chain", "wide": "chain", "hook": "sling-hook"}


def build(name, title="A sling", links=40, chain="chain", more=""):
    return f"""
[assembly]
id = "{name}"
title = "{title}"
basis = "US"
[[part]]
ref = "top"
item = "top"
[[leg]]
ref = "a"
on = "top"
parts = [{{ item = "{chain}", links = {links} }}, {{ item = "hook" }}]
{more}
"""


def record(name, more=""):
    return f'[record]\nbuild = "{name}"\nserial = "NR-1"\n{more}'


@pytest.fixture
def library(tmp_path):
    """Write builds by their files into a library of its own, with a policy and a stock list."""

    def written(policy="", **texts):
        (tmp_path / "builds").mkdir()
        stock = STOCK + "".join(ITEM.format(id=name, kind=kind) for name, kind in ITEMS.items())
        (tmp_path / "stock.toml").write_text(stock, encoding="utf-8")
        text = f'catalogs = ["stock.toml"]\n{policy}'
        (tmp_path / "riglint.toml").write_text(text, encoding="utf-8")
        for name, text in texts.items():
            (tmp_path / "builds" / f"{name}.toml").write_text(text, encoding="utf-8")
        return tmp_path

    return written


def said(report, rule):
    """(level, part, file) of what a rule says of the library."""
    return [
        (placed.finding.level, placed.finding.part, Path(placed.file).name)
        for placed in report.library.findings
        if placed.finding.rule == rule
    ]


def look(*paths):
    report = check(*paths, as_of=AS_OF)
    assert report.problems == ()
    return report


# duplicate-id


def test_an_id_that_two_builds_share(library):
    report = look(library(one=build("gate"), two=build("gate", links=41), three=build("lock")))
    assert said(report, "duplicate-id") == [("error", "gate", "two.toml")]
    assert report.library.verdicts["duplicate-id"] == "fail"
    assert report.library.count("error") == 1
    (finding,) = [p.finding for p in report.library.findings if p.finding.rule == "duplicate-id"]
    assert finding.message.endswith("one.toml too")


def test_three_of_one_id_are_two_findings(library):
    report = look(library(**{n: build("gate", links=k) for k, n in enumerate("cab", 40)}))
    assert said(report, "duplicate-id") == [
        ("error", "gate", "b.toml"),
        ("error", "gate", "c.toml"),
    ]


@pytest.mark.parametrize("other", ["Gate", "gate ", "gate-2"])
def test_ids_are_compared_letter_by_letter(library, other):
    report = look(library(one=build("gate"), two=build(other, links=41)))
    assert said(report, "duplicate-id") == []
    assert report.library.verdicts["duplicate-id"] == "pass"


def test_a_file_that_is_given_twice_is_one_build(library):
    place = library(one=build("gate"))
    report = look(place, place / "builds", place / "builds" / ".." / "builds" / "one.toml")
    assert len(report.assemblies) == 1
    assert said(report, "duplicate-id") == []


# same-build-twice


def test_builds_that_differ_in_id_and_title_alone(library):
    twin = "# the same again\n" + build("lock", title="Another sling")
    report = look(library(one=build("gate"), two=twin))
    assert said(report, "same-build-twice") == [("note", "lock", "two.toml")]
    assert (report.library.count("error"), report.library.count("note")) == (0, 1)


def test_the_order_of_keys_and_the_layout_do_not_tell_builds_apart(library):
    head, rest = build("lock").split("[[part]]", 1)
    turned = '\n[assembly]\nbasis = "US"\nid = "lock"\n\n\n[[part]]' + rest
    assert head.index("id") < head.index("basis")
    report = look(library(one=build("gate"), two=turned))
    assert said(report, "same-build-twice") == [("note", "lock", "two.toml")]


@pytest.mark.parametrize(
    "other",
    [
        build("lock", links=41),
        build("lock", chain="wide"),
        build("lock", more='[duty]\nhitch = "straight"'),
        build("lock").replace('basis = "US"', 'basis = "US"\nreach = "6 ft"'),
    ],
    ids=["links", "item", "duty", "reach"],
)
def test_builds_that_differ(library, other):
    report = look(library(one=build("gate"), two=other))
    assert said(report, "same-build-twice") == []
    assert report.library.verdicts["same-build-twice"] == "pass"


def test_builds_alike_in_all_are_a_shared_id_and_no_twins(library):
    report = look(library(one=build("gate"), two=build("gate")))
    assert said(report, "duplicate-id") == [("error", "gate", "two.toml")]
    assert said(report, "same-build-twice") == []


# unused-item

ON = '[rules.unused-item]\nlevel = "note"\n'


def test_unused_items_are_not_looked_for_by_themselves(library):
    report = look(library(one=build("gate")))
    assert "unused-item" not in report.library.verdicts
    assert said(report, "unused-item") == []


@pytest.mark.parametrize("level", ["note", "warning", "error"])
def test_a_policy_switches_it_on(library, level):
    report = look(library(ON.replace("note", level), one=build("gate")))
    assert said(report, "unused-item") == [("note", "wide", "stock.toml")]
    assert report.library.verdicts["unused-item"] == "fail"


def test_an_item_is_used_by_any_build(library):
    report = look(library(ON, one=build("gate"), two=build("lock", chain="wide")))
    assert report.library.verdicts["unused-item"] == "pass"


def test_what_a_sling_hangs_from_is_used(library):
    hung = build("lock", more='[duty]\nhung_from = "wide"')
    report = look(library(ON, one=build("gate"), two=hung))
    assert said(report, "unused-item") == []


# The order of files and paths

TEXTS = {
    "one": build("gate"),
    "two": build("gate", links=41),
    "three": build("lock"),  # as one
    "four": build("weir", links=41),  # as two
}


def everything(report):
    return [
        (p.finding.rule, p.finding.part, p.finding.message, Path(p.file).name, p.line)
        for p in report.library.findings
    ]


def test_the_order_of_paths_changes_nothing(library):
    place = library(ON, **TEXTS)
    given = [place / "builds" / f"{name}.toml" for name in TEXTS]
    seen = {str(everything(look(*order))) for order in permutations(given)}
    assert len(seen) == 1
    whole = look(place)
    found = [finding for finding in everything(whole) if finding[0] != "unused-item"]
    assert seen == {str(found)}
    assert {rule for rule, *_ in found} == {"duplicate-id", "same-build-twice"}
    assert everything(look(place / "builds", place)) == everything(whole)
    assert everything(look(place, place / "builds")) == everything(whole)


def test_the_names_of_files_change_no_verdict(library, tmp_path):
    place = library(**TEXTS)
    before = look(place).library
    for number, name in enumerate(reversed(TEXTS)):
        (place / "builds" / f"{name}.toml").rename(place / "builds" / f"{number}.toml")
    after = look(place).library
    assert after.verdicts == before.verdicts
    parts = [sorted((p.finding.rule, p.finding.part) for p in j.findings) for j in (before, after)]
    assert parts[0] == parts[1]


def test_a_record_of_a_shared_id_is_judged_alike_in_any_order(library):
    stout = build("gate", chain="wide").replace('ref = "a"', 'ref = "b"')
    made = record("gate") + '[[inspection]]\non = 2026-05-04\nkind = "periodic"\n'
    made += '[[inspection.measured]]\npart = "a/chain"\ndamage = ["crack"]\n'
    place = library(one=build("gate"), two=stout, made=made)
    outcomes = set()
    for order in (("one", "two", "made"), ("two", "one", "made")):
        report = check(*(place / "builds" / f"{name}.toml" for name in order), as_of=AS_OF)
        (judged,) = report.records
        outcomes.add(judged.judgment.verdicts["damaged"])
    assert len(outcomes) == 1


# A part of the library


@pytest.mark.parametrize("part", ["builds", "builds/one.toml"])
def test_a_part_of_the_library_leaves_its_rules_open(library, part):
    report = look(library(ON, one=build("gate"), three=build("lock", links=41)) / part)
    verdicts = report.library.verdicts
    for rule in ("duplicate-id", "same-build-twice", "unused-item"):
        assert verdicts[rule] == "open"
    assert report.library.findings == ()
    assert {missing.datum for missing in report.library.missing} == {"library"}


def test_what_a_part_shows_already_is_found(library):
    report = look(library(one=build("gate"), two=build("gate"), three=build("lock")) / "builds")
    assert report.library.verdicts["duplicate-id"] == "fail"
    assert report.library.verdicts["same-build-twice"] == "fail"


@pytest.mark.parametrize(("whole", "expected"), [(True, "fail"), (False, "open")])
def test_a_lost_build_is_an_error_only_where_the_whole_library_was_checked(
    library, whole, expected
):
    place = library(one=build("gate"), made=record("gaet"))
    report = look(place if whole else place / "builds")
    (judged,) = report.records
    assert judged.judgment.verdicts["record-without-build"] == expected


def test_a_build_outside_of_the_paths_is_not_looked_up(library):
    place = library(one=build("gate"), made=record("gate"))
    (judged,) = look(place / "builds" / "made.toml").records
    assert judged.judgment.verdicts["record-without-build"] == "open"
    (judged,) = look(place / "builds" / "made.toml", place / "builds" / "one.toml").records
    assert judged.judgment.verdicts["record-without-build"] == "pass"


def test_a_folder_without_a_policy_is_a_library_of_its_own(library):
    place = library(one=build("gate"), two=build("gate", links=41))
    (place / "riglint.toml").unlink()
    verdicts = look(place).library.verdicts
    assert verdicts["duplicate-id"] == "fail"
    assert verdicts["same-build-twice"] == "pass"


def test_no_record_is_left_out_of_two_folders_without_a_policy(library):
    place = library()
    (place / "riglint.toml").unlink()
    stock = (place / "stock.toml").read_text(encoding="utf-8")
    for name in ("east", "west"):
        (place / name).mkdir()
        texts = {"build": build(name), "made": record(name)}
        texts["stock"] = stock.replace('id = "stock"', f'id = "{name}"')
        for file, text in texts.items():
            (place / name / f"{file}.toml").write_text(text, encoding="utf-8")
    report = check(place / "east", place / "west", as_of=AS_OF)
    assert [made.build for made in report.records] == ["east", "west"]
