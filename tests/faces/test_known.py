"""Known findings: an old library starts green, what is new fails, what kills is never known."""

import datetime
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import tomli
import tomli_w
from attrs import evolve

from riglint import check
from riglint.known import with_known

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
AS_OF = datetime.date(2026, 6, 1)
TIGHT = "faults/stair-pair-tight-hook.toml"  # hook-tight, a warning
SHORT = "faults/bollard-single-short.toml"  # reach-off, an error
OLD = "faults/walkway-quad-old-hooks.toml"  # grade-mismatch, and tag-over-rating twice


@pytest.fixture
def library(tmp_path, monkeypatch):
    """A library of its own with the stock of the examples; the test stands in it."""
    shutil.copytree(NORTHMERE / "stock", tmp_path / "stock")
    shutil.copy(NORTHMERE / "riglint.toml", tmp_path)
    (tmp_path / "builds").mkdir()
    shutil.copy(NORTHMERE / "builds/walkway-quad.toml", tmp_path / "builds")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def add(*names):
    for name in names:
        shutil.copy(NORTHMERE / name, "builds")


def change(name, old, new):
    path = Path("builds", Path(name).name)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def riglint(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "riglint.cli", "check", "--as-of", str(AS_OF), *arguments],
        capture_output=True,
        text=True,
        check=False,
    )


def written(*arguments):
    """The list that `--write-known` writes, and what it says."""
    done = riglint("--write-known", "known.toml", *arguments)
    return tomli.loads(Path("known.toml").read_text(encoding="utf-8"))["known"], done


def by_known(**options):
    return check(known="known.toml", as_of=AS_OF, **options)


def standing(report):
    return sorted(
        placed.finding.rule
        for judgment in report.judgments
        for placed in judgment.findings
        if placed.finding.stands
    )


def rewrite(edit):
    entries = tomli.loads(Path("known.toml").read_text(encoding="utf-8"))["known"]
    for entry in entries:
        edit(entry)
    Path("known.toml").write_text(tomli_w.dumps({"known": entries}), encoding="utf-8")


def test_an_old_library_starts_green_and_what_is_new_fails(library):
    add(SHORT)
    assert check(as_of=AS_OF).exit_status == 1
    entries, done = written()
    assert done.returncode == 0
    assert entries == [
        {
            "rule": "reach-off",
            "build": "bollard-single-short",
            "part": "a",
            "at": "leg.parts",
            "found": "4 ft 7.4 in",
            "limit": "5 ft",
        }
    ]
    report = by_known()
    assert (report.exit_status, report.known_count, report.vanished) == (0, 1, ())
    add(TIGHT)
    report = by_known(fail_on=("warning",))
    assert (report.exit_status, standing(report)) == (1, ["hook-tight"])
    assert riglint("--known", "known.toml").returncode == 0
    assert riglint("--known", "known.toml", "--fail-on", "warning").returncode == 1


def test_the_list_is_stable_and_moves_with_lines(library):
    add(SHORT, TIGHT)
    written()
    first = Path("known.toml").read_bytes()
    written()
    assert Path("known.toml").read_bytes() == first
    change(SHORT, "[assembly]", "# a remark\n\n[assembly]")
    assert standing(by_known()) == []
    written()
    assert Path("known.toml").read_bytes() == first


def test_a_fault_that_got_worse_is_new(library):
    add(SHORT)
    written()
    change(SHORT, "links = 33", "links = 32")
    report = by_known()
    assert standing(report) == ["reach-off"]
    assert [entry.found for entry in report.vanished] == ["4 ft 7.4 in"]


def test_what_is_repaired_is_listed_as_vanished_and_dropped_when_written_again(library):
    add(SHORT)
    written()
    change(SHORT, "links = 33", "links = 37")
    report = by_known()
    assert [entry.rule for entry in report.vanished] == ["reach-off"]
    assert report.exit_status == 0
    assert "no longer found: reach-off in build bollard-single-short" in " ".join(
        riglint("--known", "known.toml").stdout.split()
    )
    assert written()[0] == []


def test_a_build_that_is_gone_has_vanished_only_where_all_was_looked_at(library):
    add(SHORT)
    written()
    Path("builds", Path(SHORT).name).unlink()
    assert len(by_known().vanished) == 1
    part = check("builds/walkway-quad.toml", known="known.toml", as_of=AS_OF)
    assert part.vanished == ()
    Path("builds/broken.toml").write_text("[assembly]\n")
    assert by_known().vanished == ()


def test_a_part_of_the_library_keeps_the_rest_of_the_list(library):
    add(SHORT, TIGHT)
    whole, _ = written()
    assert len(whole) == 2
    part, done = written("builds/walkway-quad.toml")
    assert part == whole
    assert done.returncode == 0


def test_what_is_open_now_has_not_vanished(library):
    add(TIGHT)
    written()
    change(TIGHT, 'hung_from = "hook-20"', "")
    report = by_known()
    assert report.vanished == ()


def test_past_its_date_a_finding_stands_again(library):
    add(SHORT)
    written()
    for until, status in ((AS_OF, 0), (AS_OF - datetime.timedelta(days=1), 1)):
        rewrite(lambda entry, until=until: entry.update(until=until))
        report = by_known()
        assert report.exit_status == status
        assert [entry.until for entry in report.lapsed] == [until] * status
    entries, done = written()
    assert entries[0]["until"] == AS_OF - datetime.timedelta(days=1)
    assert done.returncode == 1


def test_two_alike_are_two(library):
    """One id in two files: the findings are alike, and a third is one too many."""
    add(SHORT)
    text = Path("builds", Path(SHORT).name).read_text(encoding="utf-8")
    Path("builds/second.toml").write_text(text, encoding="utf-8")
    entries, _ = written()
    assert [e["count"] for e in entries if e["rule"] == "reach-off"] == [2]
    known = by_known()
    assert "reach-off" not in standing(known)
    Path("builds/third.toml").write_text(text, encoding="utf-8")
    assert standing(by_known()).count("reach-off") == 1


def test_matters_of_safety_are_left_out_and_said(library):
    add(OLD)
    entries, done = written()
    assert [entry["rule"] for entry in entries] == ["grade-mismatch", "weak-link-governs"]
    assert "as matters of safety: tag-over-rating (2)" in done.stderr
    assert done.returncode == 1
    assert standing(by_known()) == ["tag-over-rating", "tag-over-rating"]


def test_a_permit_comes_before_the_list(library):
    add("builds/riser-pair-permit.toml")
    assert written()[0] == []


def problems(text):
    Path("known.toml").write_text(text, encoding="utf-8")
    report = by_known()
    assert report.exit_status == 2
    return [(problem.line, problem.message) for problem in report.problems]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (
            '[[known]]\nrule = "tag-over-rating"\nbuild = "x"\n',
            1,
            "tag-over-rating cannot be marked as known: it is a matter of safety",
        ),
        ('[[known]]\nrule = "reach-of"\nbuild = "x"\n', 1, "did you mean reach-off?"),
        (
            '[[known]]\nrule = "reach-off"\nbuild = "x"\nrecord = "y"\n',
            1,
            "a known finding names one of build, catalog and record",
        ),
        ('[[known]]\nrule = "reach-off"\n' * 2, 3, "this finding is named twice"),
        ('[[known]]\nrule = "reach-off"\nuntill = 2027-01-01\n', 3, "did you mean until?"),
        ('[[known]]\nrule = "reach-off"\nuntil = "soon"\n', 3, "a date such as 2027-06-30"),
        ('[[known]]\nbuild = "x"\n', 1, "rule is missing"),
        ("known = [\n", 2, ""),
    ],
    ids=["safety", "rule", "subject", "twice", "key", "date", "missing", "toml"],
)
def test_a_list_that_cannot_be_used_is_a_problem(library, text, line, words):
    ((found, message),) = problems(text)
    assert found == line
    assert words in message


def test_a_list_that_is_not_there_is_a_problem(library):
    report = check(known="nowhere.toml")
    assert report.exit_status == 2
    assert [problem.file for problem in report.problems] == ["nowhere.toml"]


def test_a_list_that_cannot_be_used_is_not_written_over(library):
    add(SHORT)
    Path("known.toml").write_text("[[known]]\n", encoding="utf-8")
    done = riglint("--write-known", "known.toml")
    assert done.returncode == 2
    assert "rule is missing" in done.stderr
    assert Path("known.toml").read_text(encoding="utf-8") == "[[known]]\n"


def test_a_rule_is_known_by_its_old_name(library):
    add(SHORT)
    written()
    rewrite(lambda entry: entry.update(rule="reach-wrong"))
    assert "which there is not" in by_known().problems[0].message
    report = check(as_of=AS_OF)
    renamed = [
        evolve(rule, aliases=("reach-wrong",)) if rule.name == "reach-off" else rule
        for rule in report.rules
    ]
    marked = with_known(evolve(report, rules=tuple(renamed)), Path("known.toml"), AS_OF)
    assert (marked.problems, marked.known_count, standing(marked)) == ((), 1, [])


def test_the_list_in_the_library_is_no_stranger(library):
    add(SHORT)
    written()
    assert by_known().skipped == ()
    (skipped,) = check(as_of=AS_OF).skipped
    assert skipped.reason == "a list of known findings; it is used by --known"
    assert [one.message for one in check("known.toml").problems] == [skipped.reason]


def test_json_names_the_known_and_the_list(library):
    add(SHORT)
    written()
    data = json.loads(riglint("--known", "known.toml", "--report", "json").stdout)
    assert data["summary"]["known"] == 1
    assert data["summary"]["error"] == 0
    assert data["known"] == {"file": "known.toml", "vanished": [], "lapsed": []}
    (build,) = [one for one in data["assemblies"] if one["id"] == "bollard-single-short"]
    assert [one["known"] for one in build["findings"]] == ["listed in known.toml"]


def test_names_of_any_kind_go_through_the_list(library):
    add(SHORT)
    name = 'quote" back\\slash \\u001b \\u202e émoji \\U0001F3D7 <b>'
    change(
        SHORT,
        'id = "bollard-single-short"',
        f'id = "{name.replace(chr(34), chr(92) + chr(34))}"'.replace(
            "back\\slash", "back\\\\slash"
        ),
    )
    entries, _ = written()
    assert [entry["build"] for entry in entries] == [
        'quote" back\\slash \x1b \u202e émoji \U0001f3d7 <b>'
    ]
    assert by_known().exit_status == 0
