"""Builds and catalogs are read strictly: one fault a case, its words and its place by hand."""

from __future__ import annotations

import datetime

import pytest
from attrs import evolve

from riglint.model import LegAngle, TagAngle
from riglint.problem import Problem, Unreadable
from riglint.quantities import Angle
from riglint.reading import kind_of, read_build, read_catalog, read_policy
from riglint.source import Document, parse_document

# Each line ends with its number.
BUILD = """\
[assembly]                                                # 1
id = "b"                                                  # 2
basis = "US"                                              # 3
reach = "8 ft"                                            # 4
[duty]                                                    # 5
hitch = "bridle"                                          # 6
angle = { from_horizontal = "60 deg" }                    # 7
load = "12,000 lb"                                        # 8
load_is_rigid = true                                      # 9
temperature = { low = "0 degF", high = "100 degF" }       # 10
environment = ["acid"]                                    # 11
[[part]]                                                  # 12
ref = "top"                                               # 13
item = "master"                                           # 14
[[leg]]                                                   # 15
ref = "a"                                                 # 16
on = "top"                                                # 17
count = 2                                                 # 18
parts = [{ item = "coupling" }, { item = "c", links = 80 }] # 19
adjust = { pocket = "top", reaches = ["6 ft"] }           # 20
[tag]                                                     # 21
grade = 100                                               # 22
legs = 2                                                  # 23
[[tag.rating]]                                            # 24
angle = { from_vertical = ["0 deg", "45 deg"] }           # 25
load = "15,200 lb"                                        # 26
[[deviation_permit]]                                      # 27
rule = "crowded-link"                                     # 28
until = 2027-06-30                                        # 29
"""
CATALOG = """\
[catalog]                                                 # 1
id = "stock"                                              # 2
basis = "EN"                                              # 3
edition = 2026-03-01                                      # 4
[[item]]                                                  # 5
id = "ML-1"                                               # 6
kind = "master-link"                                      # 7
shape = "oblong"                                          # 8
grade = 8                                                 # 9
design_factor = 4                                         # 10
bar = "26 mm"                                             # 11
latch = true                                              # 12
pocket = { height = "-20 mm", count = 2 }                 # 13
[[item.chart]]                                            # 14
leg = "chain"                                             # 15
size = "10 mm"                                            # 16
legs = [3, 4]                                             # 17
angle = { from_vertical = "45 deg" }                      # 18
limit = "6.7 t"                                           # 19
"""
POLICY = """\
catalogs = ["stock/*.toml"]                               # 1
fail_on = ["error"]                                       # 2
[practice]                                                # 3
four_legs_count = 3                                       # 4
angles = "listed"                                         # 5
usable_arc = "150 deg"                                    # 6
[duty]                                                    # 7
hitch = "bridle"                                          # 8
[rules.crowded-link]                                      # 9
level = "warning"                                         # 10
"""


def document(text: str) -> Document:
    return parse_document(text, "x.toml")


def changed(text: str, line: int, new: str) -> Document:
    lines = text.splitlines()
    lines[line - 1] = new
    return document("\n".join(lines) + "\n")


def problems_of(read, doc: Document) -> tuple[Problem, ...]:
    with pytest.raises(Unreadable) as caught:
        read(doc)
    assert all(problem.file == "x.toml" for problem in caught.value.problems)
    return caught.value.problems


def case(line: int, new: str, message: str, column: int = 1, at: int | None = None):
    return pytest.param(line, new, message, at or line, column, id=new[:60] or f"no {message[:20]}")


BUILD_FAULTS = [
    # keys
    case(4, 'raech = "8 ft"', "unknown key assembly.raech; did you mean reach?"),
    case(4, 'REACH = "8 ft"', "unknown key assembly.REACH; did you mean reach?"),
    case(4, "zebra = 1", "unknown key assembly.zebra"),
    case(4, "  raech = 1", "unknown key assembly.raech; did you mean reach?", 3),
    case(1, "xyzzy = 1\n[assembly]", "unknown key xyzzy", at=1),
    case(7, 'angel = { from_horizontal = "60 deg" }', "duty.angel; did you mean angle?"),
    case(7, 'angle = { from_horizon = "60 deg" }', "did you mean from_horizontal?", 11),
    case(10, 'temperature = { lo = "0 degF" }', "key duty.temperature.lo; did you mean low?", 17),
    case(19, 'parts = [{ item = "c", link = 8 }]', "leg[1].parts[1].link; did you mean links", 24),
    case(20, 'adjust = { reach = ["6 ft"] }', "leg[1].adjust.reach; did you mean reaches?", 12),
    case(25, 'angel = "x"', "unknown key tag.rating[1].angel; did you mean angle?"),
    case(2, "", "assembly.id is missing", at=1),
    case(3, "", "assembly.basis is missing", at=1),
    case(16, "", "leg[1].ref is missing", at=15),
    case(19, "", "leg[1].parts is missing", at=15),
    case(19, "parts = [{ links = 80 }]", "leg[1].parts[1].item is missing", 10),
    case(26, "", "tag.rating[1].load is missing", at=24),
    # quantities
    case(4, "reach = 8", 'assembly.reach: a length is written "20 mm"'),
    case(4, "reach = 8.5", "this is a number (8.5)"),
    case(4, "reach = nan", "this is a number (nan)"),
    case(4, 'reach = ["8 ft"]', "this is a list"),
    case(4, 'reach = { ft = "8" }', "this is a table"),
    case(4, "reach = true", "this is true or false (True)"),
    case(4, "reach = 2026-01-01", "this is a date or time (2026-01-01)"),
    case(4, 'reach = "8"', "assembly.reach: '8' has no unit"),
    case(4, 'reach = "8 lb"', "lb is not a unit of length"),
    case(4, 'reach = "0 ft"', "a length of zero makes no sense here"),
    case(4, 'reach = "-8 ft"', "a negative length makes no sense here"),
    case(4, 'reach = "2,5 m"', "the comma in '2,5' is ambiguous"),
    case(8, 'load = "6 ton"', "duty.load: '6 ton': ton alone could be 2,000 lb or 1,000 kg"),
    case(8, 'load = "6,7 t"', "the comma in '6,7' is ambiguous"),
    case(8, 'load = "0 lb"', "a load of zero makes no sense here"),
    case(8, 'load = "-1 lb"', "a negative load makes no sense here"),
    case(10, 'temperature = { low = "0 deg" }', "deg is not a unit of temperature", 17),
    case(10, 'temperature = "20 degC"', "duty.temperature: a table is expected, this is a text"),
    case(20, 'adjust = { reaches = ["6 ft", 5] }', "leg[1].adjust.reaches[2]: a length is", 31),
    case(20, 'adjust = { reaches = "6 ft" }', "adjust.reaches: a list is expected", 12),
    # leg angles
    case(7, 'angle = "60 deg"', "duty.angle: an angle of a leg says from where"),
    case(7, "angle = 60", "an angle of a leg says from where"),
    case(7, "angle = {}", "from_horizontal or from_vertical, one of the two"),
    case(
        7,
        'angle = { from_horizontal = "60 deg", from_vertical = "30 deg" }',
        "from_horizontal or from_vertical, one of the two",
    ),
    case(7, "angle = { from_horizontal = 60 }", "duty.angle.from_horizontal: ", 11),
    case(7, 'angle = { from_horizontal = "0 deg" }', "above 0 and up to 90 deg"),
    case(7, 'angle = { from_horizontal = "90.5 deg" }', "above 0 and up to 90 deg"),
    case(7, 'angle = { from_vertical = "90 deg" }', "above 0 and up to 90 deg"),
    case(25, 'angle = "45 deg"', "tag.rating[1].angle: an angle of a leg says from where"),
    case(25, 'angle = { from_vertical = ["45 deg"] }', "tag.rating[1].angle.from_vertical: ", 11),
    case(25, 'angle = { from_vertical = ["0 deg", "90 deg"] }', "above 0 and up to 90 deg"),
    case(
        25,
        'angle = { from_vertical = ["0 deg", "45 deg", "60 deg"] }',
        "tag.rating[1].angle.from_vertical: ",
        11,
    ),
    # counts and grades
    case(18, 'count = "2"', "leg[1].count: a whole number is expected, this is a text (2)"),
    case(18, "count = true", "a whole number is expected, this is true or false (True)"),
    case(18, "count = 2.0", "a whole number is expected, this is a number (2.0)"),
    case(18, "count = [2]", "a whole number is expected, this is a list"),
    case(18, "count = 0", "a count from 1 to 100,000 is expected, this is 0"),
    case(18, "count = -1", "a count from 1 to 100,000 is expected, this is -1"),
    case(18, "count = 100_001", "a count from 1 to 100,000 is expected, this is 100001"),
    case(22, "grade = 80.7", "tag.grade: a whole number is expected, this is a number (80.7)"),
    case(22, 'grade = "80"', "a whole number is expected, this is a text (80)"),
    case(22, "grade = true", "a whole number is expected, this is true or false (True)"),
    case(22, "grade = 85", "grade 85 is none of 30, 40"),
    case(22, "grade = 0", "grade 0 is none of"),
    # texts, truths, dates, choices
    case(2, "id = 5", "assembly.id: a text in quotes is expected, this is a number (5)"),
    case(2, 'id = ""', "an id is a short name without # and :"),
    case(2, 'id = "a:b"', "an id is a short name without # and :"),
    case(2, 'id = "a#1"', "an id is a short name without # and :"),
    case(2, f'id = "{"x" * 201}"', "an id is a short name without # and :"),
    case(16, 'ref = "a/b"', "leg[1].ref: a ref is a short name without / and #"),
    case(16, 'ref = " "', "a ref is a short name without / and #"),
    case(9, 'load_is_rigid = "true"', "true or false is expected, this is a text (true)"),
    case(9, "load_is_rigid = 1", "true or false is expected, this is a number (1)"),
    case(29, 'until = "2027-06-30"', "without quotes, is expected; this is a text (2027-06-30)"),
    case(29, "until = 2027-06-30T10:00:00", "this is a date or time (2027-06-30 10:00:00)"),
    case(29, "until = 10:00:00", "this is a date or time (10:00:00)"),
    case(29, "until = 2027", "deviation_permit[1].until: a date such as 2027-06-30"),
    case(6, 'hitch = "bridel"', "this is a text (bridel); did you mean bridle?"),
    case(6, 'hitch = "hook"', "one of straight, bridle, basket, choker is expected"),
    case(6, 'hitch = ["bridle"]', "one of straight, bridle, basket, choker is expected"),
    case(3, 'basis = "us"', "did you mean US?"),
    case(3, "basis = 1", "one of US, EN is expected, this is a number (1)"),
    # tables and lists
    case(12, "[part]", "part: a list is expected, this is a table"),
    case(15, "[leg]", "leg: a list is expected, this is a table"),
    case(5, "[[duty]]", "duty: a table is expected, this is a list"),
    case(24, "[tag.rating]", "tag.rating: a list is expected, this is a table"),
    case(11, 'environment = "acid"', "duty.environment: a list is expected, this is a text"),
    case(11, "environment = [1]", "duty.environment[1]: a text in quotes is expected", 16),
    case(19, 'parts = { item = "c" }', "leg[1].parts: a list is expected, this is a table"),
    case(19, 'parts = ["c"]', "leg[1].parts[1]: a table is expected, this is a text (c)", 10),
    case(19, 'parts = [[{ item = "c" }]]', "leg[1].parts[1]: a table is expected", 10),
]

CATALOG_FAULTS = [
    case(4, "edition = 5", "catalog.edition: a date or a text is expected, this is a number (5)"),
    case(6, "", "item[1].id is missing", at=5),
    case(7, "", "item[1].kind is missing", at=5),
    case(7, 'kind = "master-lnik"', "did you mean master-link?"),
    case(8, 'shap = "oblong"', "unknown key item[1].shap; did you mean shape?"),
    case(8, 'shape = "round"', "one of oblong, ring, pear is expected, this is a text (round)"),
    case(10, "design_factor = 0", "a factor above 0 and up to 100 is expected, this is 0"),
    case(10, "design_factor = 100.5", "a factor above 0 and up to 100 is expected, this is 100.5"),
    case(10, "design_factor = inf", "a number is expected, this is a number (inf)"),
    case(10, "design_factor = nan", "a number is expected, this is a number (nan)"),
    case(10, "design_factor = true", "a number is expected, this is true or false (True)"),
    case(10, 'design_factor = "4"', "a number is expected, this is a text (4)"),
    case(12, "latch = 0", "item[1].latch: true or false is expected, this is a number (0)"),
    case(13, "pocket = { heigth = 1 }", "item[1].pocket.heigth; did you mean height?", 12),
    case(13, "pocket = true", "item[1].pocket: a table is expected, this is true or false (True)"),
    case(15, 'leg = "rope"', "one of chain, wire-rope, web, roundsling, fiber-rope is expected"),
    case(17, "legs = []", "item[1].chart[1].legs: a whole number is expected, this is a list"),
    case(17, "legs = [3, 0]", "item[1].chart[1].legs: a count from 1 to 100,000 is expected"),
    case(18, 'angle = "45 deg"', "item[1].chart[1].angle: an angle of a leg says from where"),
    case(19, "limit = 6700", 'item[1].chart[1].limit: a load is written "8,800 lb"'),
    case(19, "", "item[1].chart[1].limit is missing", at=14),
]

POLICY_FAULTS = [
    case(1, 'catalog = ["stock/*.toml"]', "unknown key catalog; did you mean catalogs?"),
    case(1, 'catalogs = "stock/*.toml"', "catalogs: a list is expected, this is a text"),
    case(2, 'fail_on = ["erorr"]', "did you mean error?", 12),
    case(4, "four_legs_count = 4", "practice.four_legs_count: one of 2, 3 is expected"),
    case(4, "four_legs_count = 2.0", "one of 2, 3 is expected, this is a number (2.0)"),
    case(4, "four_legs_count = true", "one of 2, 3 is expected, this is true or false (True)"),
    case(5, 'angles = "exakt"', "did you mean exact?"),
    case(6, "usable_arc = 150", "practice.usable_arc: "),
    case(6, "usable_ark = 1", "unknown key practice.usable_ark; did you mean usable_arc?"),
    case(8, 'hitsch = "bridle"', "unknown key duty.hitsch; did you mean hitch?"),
    case(9, "[rules]", "rules.level: a table is expected, this is a text (warning)", at=10),
]


@pytest.mark.parametrize(("line", "new", "message", "at", "column"), BUILD_FAULTS)
def test_a_fault_in_a_build_is_named_at_its_place(line, new, message, at, column):
    (problem, *more) = problems_of(read_build, changed(BUILD, line, new))
    assert not more
    assert message in problem.message
    assert (problem.line, problem.column) == (at, column)


@pytest.mark.parametrize(("line", "new", "message", "at", "column"), CATALOG_FAULTS)
def test_a_fault_in_a_catalog_is_named_at_its_place(line, new, message, at, column):
    (problem, *more) = problems_of(read_catalog, changed(CATALOG, line, new))
    assert not more
    assert message in problem.message
    assert (problem.line, problem.column) == (at, column)


@pytest.mark.parametrize(("line", "new", "message", "at", "column"), POLICY_FAULTS)
def test_a_fault_in_a_policy_is_named_at_its_place(line, new, message, at, column):
    (problem, *more) = problems_of(read_policy, changed(POLICY, line, new))
    assert not more
    assert message in problem.message
    assert (problem.line, problem.column) == (at, column)


def test_all_faults_are_told_at_once():
    text = BUILD.replace('"8 ft"', "8").replace('hitch = "bridle"', 'hitsch = "bridle"')
    text = text.replace("count = 2", "count = true").replace("grade = 100", "grade = 80.7")
    told = [
        (problem.line, problem.message.split(":")[0])
        for problem in problems_of(read_build, document(text))
    ]
    assert sorted(told) == [
        (4, "assembly.reach"),
        (6, "unknown key duty.hitsch; did you mean hitch?"),
        (18, "leg[1].count"),
        (22, "tag.grade"),
    ]


def test_a_sound_build_reads_whole():
    build = read_build(document(BUILD))
    assert build.assembly.reach == pytest.approx(2438.4)  # 96 x 25.4
    assert build.duty.angle.horizontal == 60
    assert build.duty.temperature.high == pytest.approx(340 / 9)  # (100 - 32) x 5/9
    assert build.duty.environment == ("acid",)
    (leg,) = build.leg
    assert (leg.ref, leg.count, leg.endless) == ("a", 2, False)
    assert [(part.item, part.links) for part in leg.parts] == [("coupling", None), ("c", 80)]
    assert build.tag.rating[0].angle.flattest == 45
    assert build.deviation_permit[0].until == datetime.date(2027, 6, 30)
    assert (build.proof, build.assembly.designation) == (None, None)


def test_a_sound_catalog_reads_whole():
    catalog = read_catalog(document(CATALOG))
    (item,) = catalog.item
    assert (catalog.catalog.edition, item.grade) == (datetime.date(2026, 3, 1), 80)
    assert (item.design_factor, type(item.design_factor)) == (4.0, float)
    assert (item.pocket.height, item.pocket.count, item.pocket.size) == (-20, 2, None)
    (row,) = item.chart
    assert (row.legs, row.limit, row.angle.horizontal) == ((3, 4), 6700, 45)
    assert (item.flat, item.links, item.extra) == (None, (), {})


@pytest.mark.parametrize(
    ("written", "read"),
    [(4, 40), (5, 50), (6, 60), (8, 80), (10, 100), (12, 120), (30, 30), (80, 80), (100, 100)],
)
def test_en_grades_read_as_ten_times_as_much(written, read):
    (item,) = read_catalog(changed(CATALOG, 9, f"grade = {written}")).item
    assert item.grade == read


@pytest.mark.parametrize(("written", "read"), [("3", (3,)), ("[2]", (2,)), ("[3, 4]", (3, 4))])
def test_chart_rows_are_for_one_or_more_numbers_of_legs(written, read):
    (item,) = read_catalog(changed(CATALOG, 17, f"legs = {written}")).item
    assert item.chart[0].legs == read


def test_a_chart_row_that_says_no_legs_is_for_one():
    (item,) = read_catalog(changed(CATALOG, 17, "")).item
    assert item.chart[0].legs == (1,)


def test_the_house_may_keep_anything_in_extra():
    (item,) = read_catalog(changed(CATALOG, 11, 'extra = { bin = 7, note = ["x"] }')).item
    assert item.extra == {"bin": 7, "note": ["x"]}


@pytest.mark.parametrize(
    ("angle", "flattest", "steepest"),
    [
        (TagAngle(from_horizontal=Angle(60)), 60, 60),
        (TagAngle(from_vertical=Angle(30)), 60, 60),
        (TagAngle(from_vertical=(Angle(0), Angle(45))), 45, 90),
        (TagAngle(from_vertical=(Angle(45), Angle(0))), 45, 90),
        (TagAngle(from_horizontal=(Angle(30), Angle(60))), 30, 60),
    ],
)
def test_tag_angles(angle, flattest, steepest):
    assert (angle.flattest, angle.steepest) == (flattest, steepest)


def test_leg_angles_count_from_the_horizontal_inside():
    assert LegAngle(from_vertical=Angle(30)).horizontal == 60
    assert LegAngle(from_horizontal=Angle(30)).horizontal == 30
    assert evolve(LegAngle(), from_vertical=Angle(0)).horizontal == 90


@pytest.mark.parametrize(
    ("values", "kind"),
    [
        ({"assembly": {}}, "assembly"),
        ({"catalog": {}, "item": []}, "catalog"),
        ({"record": {}}, "record"),
        ({"project": {}}, None),
        ({}, None),
    ],
)
def test_the_kind_of_file_is_told_by_its_table(values, kind):
    assert kind_of(values) == kind
