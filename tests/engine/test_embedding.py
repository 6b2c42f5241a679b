"""Builds, catalogs, records and policies as texts, data and objects: read, checked, written."""

import copy
import datetime
import json
import pickle
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from xml.etree import ElementTree

import hypothesis
import pytest
import tomli_w
from attrs import evolve
from hypothesis import settings
from hypothesis import strategies as st

import riglint
from riglint import (
    Length,
    Unreadable,
    Workshop,
    check_build,
    dump,
    from_plain,
    rate_build,
    to_plain,
)
from riglint.book import standard_book
from riglint.finding import Finding
from riglint.model import Build, CatalogFile, DeviationPermit, PolicyFile, RecordFile
from riglint.policy import load_policy
from riglint.quantities import METRIC_UNITS, Angle, Load, Offset, Temperature
from riglint.report import Standing
from riglint.source import MAX_DEPTH, document_of
from riglint.writing import written_text

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
BUILD = NORTHMERE / "builds/walkway-quad.toml"
FAULTY = NORTHMERE / "faults/walkway-quad-old-hooks.toml"
AS_OF = datetime.date(2026, 6, 1)
KINDS = {"assembly": Build, "catalog": CatalogFile, "record": RecordFile}
FILES = [path for path in sorted(NORTHMERE.rglob("*.toml")) if path.name != "riglint.toml"]


@pytest.fixture(scope="module")
def shop():
    return Workshop(policy=NORTHMERE / "riglint.toml", as_of=AS_OF)


@pytest.fixture(scope="module")
def by_files():
    return riglint.check(NORTHMERE, as_of=AS_OF)


def values_of(path):
    return tomllib.loads(path.read_text("utf-8"))


def test_text_values_object_and_file_give_what_the_files_give(shop, by_files):
    for one in by_files.assemblies:
        path = Path(one.file)
        build = riglint.read_build(path)
        for given in (path, path.read_text("utf-8"), values_of(path), build):
            report = shop.check(given)
            assert report.verdicts == one.verdicts
            assert report.standing == one.standing
            said = [placed.finding for placed in report.findings]  # lines set the order
            wanted = [placed.finding for placed in one.findings]
            assert sorted(said, key=_by_place) == sorted(wanted, key=_by_place)


def _by_place(finding):
    return finding.rule, finding.part, str(finding.key), finding.message


def test_places_are_known_where_there_is_a_text(shop):
    (first, *_) = shop.check(FAULTY.read_text("utf-8"), file="mail").findings
    assert (first.file, first.line) == ("mail", 53)
    (first, *_) = shop.check(values_of(FAULTY)).findings
    assert (first.line, riglint.source.pointer(first.finding.key)) == (1, "/leg/1/parts/3/item")


def test_a_record_and_a_catalog_are_checked_as_files_are(shop, by_files):
    by_id = {
        one.id: one
        for one in by_files.assemblies
        if "/builds/" in one.file or "/lifts/" in one.file
    }
    checked = 0
    for one in by_files.records:
        built = by_id.get(one.build)
        report = shop.check_record(Path(one.file), Path(built.file) if built else None)
        assert report.judgment.verdicts == one.judgment.verdicts
        checked += built is not None
    assert checked > 10
    for one in by_files.catalogs:
        report = shop.check_catalog(Path(one.file))
        assert report == one
        again = shop.check_catalog(riglint.read_catalog(Path(one.file)))
        assert again.judgment.verdicts == one.judgment.verdicts


def test_a_record_of_a_part_that_there_is_not(shop):
    values = values_of(NORTHMERE / "records/walkway-quad-0412.toml")
    values["inspection"][0]["measured"] = [{"part": "a1/CH-3/9", "bar": "0.3 in"}]
    with pytest.raises(Unreadable, match="has no part a1/CH-3/9; the nearest is a1/CH-3/8"):
        shop.check_record(values, BUILD)


def test_one_build_without_a_workshop():
    stock = NORTHMERE / "stock/us.toml"
    report = check_build(BUILD, catalogs=[stock])
    assert report.passes()
    assert check_build(BUILD, catalogs=[stock.read_text("utf-8")]).verdicts == report.verdicts
    assert check_build(BUILD, catalogs=[values_of(stock)]).verdicts == report.verdicts
    sheet = rate_build(BUILD, catalogs=[stock])
    assert sheet.rating.load == report.standing.rated
    flat = rate_build(BUILD, catalogs=[stock], angle=riglint.LegAngle(from_horizontal=Angle(30.0)))
    assert sheet.sling.units.show(flat.rating.load) == "13,200 lb"


def test_what_fails_is_asked_of_a_report(shop):
    assert not shop.check(FAULTY).passes()
    assert shop.check(FAULTY).passes(fail_on=())
    tagless = values_of(BUILD)
    del tagless["tag"]
    report = shop.check(tagless)
    assert report.passes()
    assert not report.passes(fail_on=("error", "open"))
    strict = Workshop([NORTHMERE / "stock/us.toml"], 'fail_on = ["error", "open"]')
    assert not strict.check(tagless).passes()


@pytest.mark.parametrize(("given", "error"), [("error", TypeError), (("errors",), ValueError)])
def test_a_mistyped_level_lets_nothing_pass(shop, given, error):
    with pytest.raises(error):
        shop.check(FAULTY).passes(given)
    with pytest.raises(error):
        riglint.check(FAULTY, fail_on=given)
    for report in (riglint.Report(), shop.check(FAULTY)):
        with pytest.raises(error):
            evolve(report, fail_on=given)


def test_levels_that_are_given_a_single_time_are_kept(shop):
    assert not shop.check(FAULTY).passes(iter(["error"]))
    assert riglint.check(FAULTY, fail_on=iter(["error"])).exit_status == 1


def test_a_report_and_the_run_agree_on_what_passes(tmp_path):
    (tmp_path / "riglint.toml").write_text('catalogs = []\nfail_on = ["warning"]\n')
    stock = [NORTHMERE / "stock/us.toml"]
    path = NORTHMERE / "faults/walkway-quad-old-hooks.toml"
    for fail_on in (None, (), ("error",), ("note",)):
        run = riglint.check(path, policy=tmp_path / "riglint.toml", catalogs=stock, fail_on=fail_on)
        (one,) = run.assemblies
        assert one.fail_on == (("warning",) if fail_on is None else fail_on)
        assert one.passes() == (not run.exit_status)


@pytest.mark.parametrize(
    "arguments",
    [
        {"catalogs": "stock.toml"},
        {"catalogs": Path("stock.toml")},
        {"as_of": "2026-06-01"},
        {"as_of": datetime.datetime(2026, 6, 1)},
        {"rule_seconds": "x"},
        {"rule_seconds": True},
    ],
    ids=repr,
)
def test_arguments_of_the_wrong_kind_are_refused_at_once(arguments):
    with pytest.raises(TypeError):
        riglint.check(BUILD, **arguments)
    if "catalogs" not in arguments:
        with pytest.raises(TypeError):
            Workshop(policy=NORTHMERE / "riglint.toml", **arguments)


@pytest.mark.parametrize("seconds", [0, -1, float("nan"), float("inf")])
def test_a_time_limit_is_a_time(seconds):
    with pytest.raises(ValueError, match="rule_seconds"):
        riglint.check(BUILD, rule_seconds=seconds)


@pytest.mark.parametrize(
    "angle",
    [
        riglint.LegAngle(),
        riglint.LegAngle(from_horizontal=Angle(0.0)),
        riglint.LegAngle(from_horizontal=Angle(95.0)),
        riglint.LegAngle(from_horizontal=Angle(float("nan"))),
        riglint.LegAngle(from_vertical=Angle(-10.0)),
        riglint.LegAngle(from_vertical=Angle(90.0)),
        riglint.LegAngle(from_horizontal=Angle(30.0), from_vertical=Angle(30.0)),
    ],
    ids=repr,
)
def test_an_angle_that_no_leg_stands_at_is_not_rated(shop, angle):
    with pytest.raises(Unreadable, match=r"angle|a leg stands"):
        shop.rate(BUILD, angle=angle)
    with pytest.raises(Unreadable, match=r"angle|a leg stands"):
        riglint.rate(BUILD, policy=NORTHMERE / "riglint.toml", angle=angle)


@pytest.mark.parametrize(
    "asked",
    [{"angle": 60}, {"angle": "60 deg"}, {"angle": Angle(60.0)}, {"hung_from": 5}],
    ids=repr,
)
def test_what_is_no_angle_and_no_lifting_point_is_not_rated(shop, asked):
    with pytest.raises(TypeError, match=r"LegAngle|id of an item"):
        shop.rate(BUILD, **asked)


STOCK = NORTHMERE / "stock/us.toml"
CATALOG = riglint.read_catalog(STOCK)


@pytest.mark.parametrize(
    "one",
    [str(STOCK), STOCK, values_of(STOCK), CATALOG, CATALOG.content],
    ids=lambda one: type(one).__name__,
)
def test_one_catalog_in_place_of_several_opens_no_workshop(one):
    with pytest.raises(TypeError, match="catalogs are several"):
        Workshop(one)


def test_a_workshop_goes_by_the_folder_of_a_file_and_not_by_where_it_stands(tmp_path, monkeypatch):
    """Else the same build would pass or fail by the folder that a program was started in."""
    (tmp_path / "riglint.toml").write_text(
        '[folder.sub]\nfail_on = ["note"]\n[folder.sub.rules.grade-mismatch]\nlevel = "note"\n'
    )
    (tmp_path / "sub").mkdir()
    inside = tmp_path / "sub/build.toml"
    inside.write_text(FAULTY.read_text("utf-8"), "utf-8")
    for place in (tmp_path, tmp_path / "sub", Path("/")):
        monkeypatch.chdir(place)
        shop = Workshop([NORTHMERE / "stock/us.toml"], tmp_path / "riglint.toml", as_of=AS_OF)
        told = [shop.check(inside), shop.check(FAULTY), shop.check(inside.read_text("utf-8"))]
        assert [one.fail_on for one in told] == [("note",), ("error",), ("error",)]
        assert [one.count("note") > 0 for one in told] == [True, False, False]


def test_one_clause_takes_whatever_riglint_raises(shop):
    top = shop.sling(BUILD).parts[0]
    for ask in (
        lambda: riglint.read_build("[assembly]"),
        lambda: Length.parse("5"),
        lambda: top.throat,
    ):
        with pytest.raises(riglint.RiglintError):
            ask()


def test_what_is_raised_travels_between_processes():
    with pytest.raises(Unreadable) as caught:
        riglint.read_build("[assembly]\n")
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.problems == caught.value.problems
    assert str(again) == str(caught.value)


def test_a_quantity_does_not_change():
    with pytest.raises(AttributeError):
        Length.parse("5 mm").text = "9 mm"
    with pytest.raises(AttributeError):
        del Length.parse("5 mm").text
    for one in (Length.parse("3/8 in"), Angle(60.0)):
        again = pickle.loads(pickle.dumps(copy.deepcopy(one)))
        assert (again, again.text, type(again)) == (one, one.text, type(one))


def test_what_is_shown_says_what_it_is_in_a_line(shop, by_files):
    build = shop.check(FAULTY)
    record = by_files.records[0]
    for one, said in (
        (shop, str(shop.policy.file)),
        (shop.sling(BUILD), "walkway-quad"),
        (build, "<3 error, 1 warning>"),
        (record, record.serial),
        (by_files, f"{len(by_files.assemblies)} builds"),
        (by_files, f"exit status {by_files.exit_status}"),
    ):
        assert said in repr(one)
        assert len(repr(one)) < 300


def test_the_name_of_a_file_is_no_text_of_one(shop):
    for ask in (shop.check, riglint.read_catalog, lambda text: Workshop(policy=text)):
        with pytest.raises(Unreadable, match=r"pathlib\.Path"):
            ask("loft/riglint.toml")


def test_all_public_names_show():
    for module in (riglint, riglint.figures):
        assert set(module.__all__) <= set(dir(module))


def test_a_mistyped_name_is_seen_by_a_type_checker(tmp_path):
    pytest.importorskip("mypy")
    typo = tmp_path / "typo.py"
    typo.write_text("from riglint import chekc\nfrom riglint.figures import lfit\n")
    command = [sys.executable, "-m", "mypy", "--strict", f"--cache-dir={tmp_path}", str(typo)]
    root = Path(__file__).parents[2]
    said = subprocess.run(command, capture_output=True, text=True, cwd=root).stdout
    assert said.count("has no attribute") == 2, said


def test_a_policy_as_text_and_as_data():
    text = '[rules.grade-mismatch]\nlevel = "note"\n[practice]\nangles = "exact"\n'
    stock = [NORTHMERE / "stock/us.toml", NORTHMERE / "stock/odd.toml"]
    for given in (text, tomllib.loads(text), riglint.read_policy(text)):
        shop = Workshop(stock, given)
        assert shop.policy.practice.angles == "exact"
        levels = {p.finding.rule: p.finding.level for p in shop.check(FAULTY).findings}
        assert levels["grade-mismatch"] == "note"


@pytest.mark.parametrize(
    ("policy", "message"),
    [
        ('catalogs = ["a.toml"]', "catalogs cannot be looked up"),
        ('based_on = "a.toml"', "based_on cannot be looked up"),
        ("[rules.xyzzy]", "there is no rule xyzzy"),
        ('packs = ["nowhere"]', "the rule pack nowhere is not installed"),
        ("zebra = 1", "unknown key zebra"),
    ],
)
def test_a_faulty_policy_opens_no_workshop(policy, message):
    with pytest.raises(Unreadable, match=message):
        Workshop(policy=policy)


def test_a_workshop_refuses_two_catalogs_of_one_id():
    stock = NORTHMERE / "stock/us.toml"
    with pytest.raises(Unreadable, match="the catalog id northmere-us is that of"):
        Workshop([stock], NORTHMERE / "riglint.toml")


def test_threads_share_a_workshop_and_agree(shop):
    given = [values_of(path) for path in FILES if "assembly" in values_of(path)]
    alone = [to_plain(shop.check(build)) for build in given]
    timed = Workshop(policy=NORTHMERE / "riglint.toml", as_of=AS_OF, rule_seconds=60)
    with ThreadPoolExecutor(16) as threads:
        for one in (shop, timed):
            assert list(threads.map(lambda b, one=one: to_plain(one.check(b)), given)) == alone


def test_a_workshop_does_not_see_what_happens_to_the_data_later(shop):
    values = values_of(BUILD)
    report = shop.check(values)
    before = to_plain(report)
    values["leg"].clear()
    values["assembly"]["id"] = "other"
    assert to_plain(report) == before


def test_embedding_prints_nothing_and_loads_no_command_and_no_drawing():
    code = f"""
import sys, pathlib, riglint
shop = riglint.Workshop(policy=pathlib.Path({str(NORTHMERE / "riglint.toml")!r}))
build = riglint.read_build(pathlib.Path({str(FAULTY)!r}))
report = shop.check(build)
report._repr_html_(), shop.rate(build)._repr_html_(), riglint.dump(build), riglint.to_plain(report)
loaded = [m for m in ("rich", "argparse", "riglint.cli", "riglint.commands") if m in sys.modules]
sys.stderr.write(repr(loaded))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("", "[]")


# Values that no file could hold


def nested(depth):
    value = {}
    for _ in range(depth):
        value = {"a": value}
    return value


LOOP: dict = {}
LOOP["a"] = LOOP

REFUSED = [
    ({1: 2}, "a key is a text"),
    ({"a": None}, "/a: there is no value (null)"),
    ({"a": ...}, "/a: a TOML file holds no ellipsis"),
    ({"a": {1, 2}}, "a TOML file holds no set"),
    ({"a": b"x"}, "a TOML file holds no bytes"),
    ({"a": "\ud800"}, "half a character"),
    ({"a\x00": 1}, "holds a NUL"),
    ({"a": 2**63}, "more than 64 bits"),
    ({"a": "x" * 2_000_000}, "longer than"),
    ({"a": [0] * 100_001}, "more than 100,000 values"),
    (nested(MAX_DEPTH + 1), "nested more than"),
    (LOOP, "nested more than"),
]


@pytest.mark.parametrize(("values", "message"), REFUSED, ids=lambda one: str(one)[:30])
def test_values_that_no_file_could_hold_are_refused_in_words(values, message):
    with pytest.raises(Unreadable) as caught:
        document_of(values, "x")
    (problem,) = caught.value.problems
    assert message in problem.message
    assert len(problem.message) < 300


@pytest.mark.parametrize("given", [5, None, b"x", [], ...], ids=repr)
def test_what_is_no_build_at_all_is_refused(shop, given):
    with pytest.raises(Unreadable):
        shop.check(given)


def test_a_build_made_in_code_is_held_to_what_a_file_is(shop):
    build = riglint.read_build(BUILD)
    wrong = evolve(build, assembly=evolve(build.assembly, reach=3048.0, basis="UK"))
    with pytest.raises(
        Unreadable, match=r"assembly.basis: one of US, EN(.|\n)*a length is written"
    ):
        shop.check(wrong)
    impossible = evolve(
        build,
        assembly=evolve(build.assembly, reach=Length(-5.0)),
        duty=evolve(build.duty, load=Load(float("nan"))),
    )
    with pytest.raises(Unreadable) as caught:
        shop.check(impossible)
    assert str(caught.value) == (
        "/assembly/reach: a length of -5.0 cannot be written;"
        " /duty/load: a load of nan cannot be written"
    )
    computed = evolve(build, assembly=evolve(build.assembly, reach=Length(3050.0)))
    assert shop.check(computed).verdicts == shop.check(build).verdicts


# Written and read again


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_example_reads_back_equal_and_as_written(path):
    values = values_of(path)
    kind = next(KINDS[name] for name in KINDS if name in values)
    held = from_plain(values, kind)
    assert repr(from_plain(tomllib.loads(dump(held)), kind)) == repr(held)
    plain = json.loads(json.dumps(to_plain(held)))
    assert repr(from_plain(plain, kind)) == repr(held)


def test_json_brings_dates_as_texts_and_files_do_not(shop):
    build = from_plain(values_of(BUILD), Build)
    permit = DeviationPermit(rule="hook-tight", until=datetime.date(2027, 6, 30))
    plain = json.loads(json.dumps(to_plain(evolve(build, deviation_permit=(permit,)))))
    assert plain["deviation_permit"][0]["until"] == "2027-06-30"
    assert from_plain(plain, Build).deviation_permit == (permit,)
    assert riglint.read_build(plain).deviation_permit == (permit,)
    with pytest.raises(Unreadable, match="without quotes"):
        riglint.read_build(tomli_w.dumps(plain))
    plain["deviation_permit"][0]["until"] = "2027-02-30"
    with pytest.raises(Unreadable, match=r"deviation_permit\[1\].until: a date such as"):
        riglint.read_build(plain)


def test_a_fault_in_values_is_named_by_its_key_and_has_no_line(shop):
    values = values_of(BUILD)
    values["leg"][0]["parts"][0]["item"] = "CL-9"
    with pytest.raises(Unreadable) as caught:
        shop.check(values)
    (problem,) = caught.value.problems
    assert problem.line is None
    assert problem.message.startswith("/leg/0/parts/0/item: no catalog in use has an item CL-9")


def test_a_policy_reads_back_equal(tmp_path):
    policy = load_policy(NORTHMERE / "riglint.toml", lambda policy: standard_book())
    again = tmp_path / "northmere"
    again.symlink_to(NORTHMERE)
    assert "stock/us.toml" in dump(policy)
    text = '[rules.hook-tight]\nratio = 1.3\nlevel = "note"\n[duty]\nload = "1 t"\n'
    made = riglint.read_policy(text)
    assert riglint.read_policy(dump(made)) == made
    written = from_plain(tomllib.loads(text), PolicyFile)
    assert from_plain(tomllib.loads(dump(written)), PolicyFile) == written


def test_a_catalog_is_written_with_its_items():
    catalog = riglint.read_catalog(NORTHMERE / "stock/us.toml")
    assert riglint.read_catalog(dump(catalog)).content == catalog.content
    assert from_plain(to_plain(catalog), riglint.Catalog).content == catalog.content


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        (Length, st.floats(1e-9, 1e7)),
        (Offset, st.floats(-1e7, 1e7)),
        (Load, st.floats(1e-9, 1e9)),
        (Angle, st.floats(0, 180)),
        (Temperature, st.floats(-273.15, 5000)),
    ],
    ids=lambda one: getattr(one, "__name__", ""),
)
def test_a_computed_quantity_is_written_exactly(kind, values):
    @hypothesis.given(values)
    @settings(max_examples=200, deadline=None)
    def exactly(value):
        try:
            text = written_text(kind(value))
        except ValueError:  # digits beyond what is read; only next to nothing has so many
            assert abs(value) < 1e-4
            return
        assert kind.parse(text) == value

    exactly()


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1.0, 1e-300])
def test_a_length_that_cannot_be_is_not_written(value):
    with pytest.raises(ValueError, match="cannot be written"):
        written_text(Length(value))


def test_a_text_that_is_not_the_quantity_is_not_believed():
    assert written_text(Length(25.4, "2 in")) == "25.4 mm"
    assert written_text(Length(25.4, "1 in")) == "1 in"


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)


@hypothesis.given(
    st.dictionaries(texts, texts | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False)),
    texts,
)
@settings(max_examples=150, deadline=None)
def test_any_text_and_anything_of_the_house_s_own_reads_back(extra, title):
    build = from_plain(values_of(BUILD), Build)
    build = evolve(build, assembly=evolve(build.assembly, title=title, extra=extra))
    assert from_plain(tomllib.loads(dump(build)), Build) == build
    assert riglint.read_build(dump(build)) == build


@pytest.mark.parametrize("thing", [5, "x", None, ..., Length(5.0), AS_OF], ids=repr)
def test_what_is_no_file_is_not_written(thing):
    with pytest.raises(ValueError, match="is not written to files"):
        dump(thing)
    with pytest.raises(TypeError):
        to_plain(thing)


# Results as plain data


def test_results_come_back_equal_through_json(by_files):
    count = 0
    for judgment in by_files.judgments:
        again = from_plain(json.loads(json.dumps(to_plain(judgment))), riglint.Judgment)
        assert again == judgment
        for one, other in zip(judgment.findings, again.findings, strict=True):
            assert other.finding.message == one.finding.message
            assert other.finding.remedy == one.finding.remedy
            count += 1
    assert count > 100
    for one in by_files.assemblies:
        assert from_plain(to_plain(one.standing), Standing) == one.standing
    for one in (*by_files.records, *by_files.catalogs):
        assert from_plain(json.loads(json.dumps(to_plain(one))), type(one)) == one


def test_a_report_is_shown_as_the_command_shows_it(by_files, shop):
    data = to_plain(by_files)
    assert data["summary"]["assemblies"] == len(by_files.assemblies)
    assert to_plain(by_files.assemblies[0]) == data["assemblies"][0]
    assert to_plain(shop.rate(BUILD))["rated_load"]["text"] == "22,900 lb"


@pytest.mark.parametrize("plain", [{}, [], None, 5, {"verdicts": 5}, {"findings": [{}]}], ids=repr)
@pytest.mark.parametrize("kind", [riglint.Finding, riglint.Problem, Standing, Build])
def test_plain_data_that_is_none_is_refused_in_words(plain, kind):
    with pytest.raises(Unreadable) as caught:
        from_plain(plain, kind)
    assert all(problem.message for problem in caught.value.problems)


@pytest.mark.parametrize("kind", [riglint.Report, riglint.AssemblyReport, riglint.Sling, int])
def test_what_holds_a_sling_does_not_come_back(kind):
    with pytest.raises(TypeError, match="is not read back"):
        from_plain({}, kind)


# In notebooks


def test_tables_for_notebooks_are_well_formed(by_files, shop):
    findings = [placed.finding for one in by_files.judgments for placed in one.findings]
    for shown in (by_files, *by_files.assemblies, *findings, shop.rate(BUILD)):
        table = ElementTree.fromstring(shown._repr_html_())
        assert table.tag == "table"
        width = len(table.findall("thead/tr/th"))
        assert {len(row) for row in table.findall("tbody/tr")} <= {width}


def test_a_table_escapes_markup_and_control_characters():
    finding = Finding(
        template="<script>alert(1)</script>\x1b[31m\u202e\x00",
        part="<b>&",
        key=(),
        units=METRIC_UNITS,
        rule="x",
    )
    html = finding._repr_html_()
    for raw in ("<script", "\x1b", "\u202e", "\x00", "<b>"):
        assert raw not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;\\x1b[31m\\u202e\\x00" in html
