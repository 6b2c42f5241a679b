"""Deviation permits in a small library: what they cover, until when, and what they cannot.

The build is the loft's riser-pair-permit with its permit taken out: it gives just one warning,
hook-tight at its master link. The dates and the figures are invented.
"""

import datetime
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from riglint import check
from riglint.book import standard_book
from riglint.reports.data import report_data

NORTHMERE = Path(__file__).parents[2] / "examples" / "northmere"
BUILD = (NORTHMERE / "builds" / "riser-pair-permit.toml").read_text(encoding="utf-8")
RISER = BUILD[: BUILD.index("[[deviation_permit]]")]
AS_OF = datetime.date(2026, 6, 1)
WORDS = {
    "use": "Seating risers, large crane only",
    "justification": "Tried with the load at hand",
    "approved_by": "chief rigger",
}
NEVER = sorted(rule.name for rule in standard_book().rules if not rule.waivable)


def permit(rule="hook-tight", part=None, until=None, quantity=None, **words):
    """A permit with a use, a justification and an approver; None takes one of them away."""
    texts = {"rule": rule, "part": part, **WORDS, **words}
    lines = [f'{key} = "{text}"' for key, text in texts.items() if text is not None]
    lines += [f"{key} = {n}" for key, n in (("until", until), ("quantity", quantity)) if n]
    return "\n[[deviation_permit]]\n" + "\n".join(lines) + "\n"


@pytest.fixture
def library(tmp_path):
    shutil.copytree(NORTHMERE / "stock", tmp_path / "stock")
    policy = 'catalogs = ["stock/*.toml"]\nfail_on = ["warning"]\n'
    (tmp_path / "riglint.toml").write_text(policy, encoding="utf-8")

    def judged(*permits, build=RISER, as_of=AS_OF):
        (tmp_path / "build.toml").write_text(build + "".join(permits), encoding="utf-8")
        return check(tmp_path / "build.toml", as_of=as_of)

    return judged


def standing(report):
    """(rule, part) of the findings about the build that no permit covers, notes left out."""
    (assembly,) = report.assemblies
    findings = [placed.finding for placed in assembly.findings]
    return {(f.rule, f.part) for f in findings if not f.permit and f.level != "note"}


def permitted(report):
    (assembly,) = report.assemblies
    return {(p.finding.rule, p.finding.part) for p in assembly.findings if p.finding.permit}


TIGHT = {("hook-tight", "top")}


def test_without_a_permit_the_finding_stands(library):
    report = library()
    assert standing(report) == TIGHT
    assert permitted(report) == set()
    assert (report.count("warning"), report.permitted, report.exit_status) == (1, 0, 1)


def test_a_permitted_finding_stays_in_the_report_marked_and_does_not_count(library):
    report = library(permit(quantity=2))
    (assembly,) = report.assemblies
    (finding,) = [p.finding for p in assembly.findings if p.finding.rule == "hook-tight"]
    assert finding.level == "warning"
    assert finding.permit == "Seating risers, large crane only; by chief rigger, for 2"
    assert finding.message == library().assemblies[0].findings[0].finding.message
    assert assembly.judgment.verdicts["hook-tight"] == "fail"
    assert standing(report) == set()
    assert (report.count("warning"), report.permitted, report.exit_status) == (0, 1, 0)
    summary = report_data(report, "0")["summary"]
    assert {key: summary[key] for key in ("error", "warning", "permitted")} == {
        "error": 0,
        "warning": 0,
        "permitted": 1,
    }


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        (datetime.date(2026, 5, 31), True),
        (datetime.date(2026, 6, 1), True),  # the last day it holds
        (datetime.date(2026, 6, 2), False),
        (datetime.date(1999, 1, 1), True),
        (datetime.date(9999, 12, 31), False),
    ],
)
@pytest.mark.parametrize("quantity", [None, 2])
def test_until(library, day, holds, quantity):
    """Past the date the finding stands again, and so it does where a number is left over."""
    report = library(permit(until="2026-06-01", quantity=quantity), as_of=day)
    assert standing(report) == (
        set() if holds else TIGHT | {("permit-expired", "riser-pair-permit")}
    )
    assert permitted(report) == (TIGHT if holds else set())


def test_an_expired_permit_is_an_error_at_its_date(library):
    report = library(permit(part="top", until="2026-05-31"))
    (placed,) = [p for p in report.assemblies[0].findings if p.finding.rule == "permit-expired"]
    assert placed.finding.level == "error"
    assert placed.finding.part == "top"
    assert (
        placed.finding.message
        == "The permit for hook-tight ran out on 2026-05-31; it is 2026-06-01"
    )
    lines = (Path(placed.file)).read_text(encoding="utf-8").splitlines()
    assert lines[placed.line - 1].startswith("until = 2026-05-31")


def test_quantity_and_date_are_shown(library):
    report = library(permit(until="2026-12-31", quantity=4))
    text = next(p.finding.permit for p in report.assemblies[0].findings if p.finding.permit)
    assert text.endswith("by chief rigger, until 2026-12-31 for 4")


@pytest.mark.parametrize("quantity", ["0", "-1", "1.5", "true", '"2"'])
def test_a_quantity_is_a_whole_number_from_one(library, quantity):
    report = library(permit(until="2026-12-31") + f"quantity = {quantity}\n")
    assert report.exit_status == 2
    assert report.problems


# Which part


@pytest.mark.parametrize(
    ("part", "covered"), [(None, True), ("top", True), ("a1/SH-3/8", False), ("TOP", False)]
)
def test_a_permit_is_for_its_part_alone(library, part, covered):
    report = library(permit(part=part, quantity=2))
    assert standing(report) == (set() if covered else TIGHT)
    unneeded = [
        p.finding.part for p in report.assemblies[0].findings if p.finding.rule == "permit-unneeded"
    ]
    assert unneeded == ([] if covered else [part])
    assert report.exit_status == (0 if covered else 1)


HOOKS_80 = RISER.replace('item = "SH-3/8" }', 'item = "SH-3/8-80" }')


@pytest.mark.parametrize("part", [None, "a1/SH-3/8-80", "a2/SH-3/8-80"])
def test_a_permit_for_one_of_identical_legs_covers_the_finding_for_all(library, part):
    def mismatch(report):
        findings = [placed.finding for placed in report.assemblies[0].findings]
        (one,) = [finding for finding in findings if finding.rule == "grade-mismatch"]
        return one

    plain = mismatch(library(build=HOOKS_80))
    assert (plain.part, plain.also, plain.permit) == ("a1/SH-3/8-80", ("a2/SH-3/8-80",), None)
    assert mismatch(library(permit("grade-mismatch", part, quantity=1), build=HOOKS_80)).permit


def test_a_permit_covers_no_other_rule(library):
    before = standing(library(build=HOOKS_80))
    after = standing(library(permit("grade-mismatch", quantity=1), build=HOOKS_80))
    assert before - after == {("grade-mismatch", "a1/SH-3/8-80")}
    assert after <= before
    assert len(after) > 1


def test_one_of_two_permits_that_holds_is_enough(library):
    report = library(permit(until="2026-05-31"), permit(until="2026-12-31"))
    assert permitted(report) == TIGHT
    assert standing(report) == {("permit-expired", "riser-pair-permit")}


# What a permit must have


@pytest.mark.parametrize(
    ("words", "lacking"),
    [
        ({"use": None}, ["use"]),
        ({"justification": None}, ["justification"]),
        ({"approved_by": None}, ["approver"]),
        ({"approved_by": ""}, ["approver"]),
        ({"quantity": None}, ["date or quantity"]),
        (
            {"use": None, "justification": None, "approved_by": None, "quantity": None},
            ["use", "justification", "approver", "date or quantity"],
        ),
        pytest.param(
            {"approved_by": "  "},
            ["approver"],
        ),
    ],
)
def test_an_incomplete_permit_permits_nothing(library, words, lacking):
    report = library(permit(**{"quantity": 2, **words}))
    findings = [placed.finding for placed in report.assemblies[0].findings]
    incomplete = [finding for finding in findings if finding.rule == "permit-incomplete"]
    assert [(finding.level, finding.found) for finding in incomplete] == [("error", tuple(lacking))]
    assert permitted(report) == set()
    assert standing(report) >= TIGHT


# What nobody may permit


def test_the_rules_that_cannot_be_permitted_away():
    """What overloads or breaks: ratings, worn gear, forbidden chain and heat; house default."""
    assert NEVER == [
        "bend-too-sharp",
        "broken-wires",
        "chain-not-for-lifting",
        "damaged",
        "hung-from-overloaded",
        "load-over-rating",
        "off-axis-load",
        "outer-wires-worn",
        "permit-not-allowed",
        "quad-counted-as-four",
        "shortener-not-derated",
        "stretched",
        "tag-over-rating",
        "temperature-not-permitted",
        "throat-opened",
        "twisted",
        "uneven-share",
        "unrated-component",
        "worn-out",
    ]


@pytest.mark.parametrize("rule", NEVER)
def test_a_permit_for_it_is_an_error(library, rule):
    report = library(permit(rule, quantity=2))
    assert standing(report) == TIGHT | {("permit-not-allowed", "riser-pair-permit")}
    assert report.assemblies[0].judgment.verdicts["permit-unneeded"] == "pass"


@pytest.mark.parametrize(
    ("rule", "change"),
    [
        ("load-over-rating", ('load = "12,000 lb"', 'load = "15,300 lb"')),  # of 15,200
        ("tag-over-rating", ('load = "15,200 lb"', 'load = "15,400 lb"')),  # 1.3 % over
        ("temperature-not-permitted", ('high = "100 degF"', 'high = "1,100 degF"')),  # of 1,000
        ("hung-from-overloaded", ('hung_from = "hook-20"', 'hung_from = "hook-5"')),
        ("unrated-component", ('item = "ML-7/8"', 'item = "ML-5/8"')),  # made for 9/32 in
    ],
)
def test_its_finding_stands_under_a_permit(library, rule, change):
    assert RISER.count(change[0]) == 1
    build = RISER.replace(*change)
    report = library(permit(rule, quantity=2), build=build)
    assert rule in {name for name, _ in standing(report)}
    assert rule not in {name for name, _ in permitted(report)}
    assert standing(report) - standing(library(build=build)) == {
        ("permit-not-allowed", "riser-pair-permit")
    }


def test_a_permit_of_a_permit_rule_covers_nothing(library):
    report = library(permit(until="2026-05-31"), permit("permit-expired", quantity=1))
    assert permitted(report) == set()
    assert standing(report) == TIGHT | {("permit-expired", "riser-pair-permit")}


@pytest.mark.parametrize("rule", ["inspection-overdue", "duplicate-id", "sheet-unsourced"])
def test_a_permit_for_a_rule_that_is_not_about_builds_covers_nothing(library, rule):
    report = library(permit(rule, quantity=1))
    said = [p.finding for p in report.assemblies[0].findings if p.finding.rule == "permit-unneeded"]
    assert [(finding.level, finding.part) for finding in said] == [("note", "riser-pair-permit")]


# Names and days


@pytest.mark.parametrize(
    ("rule", "nearest"),
    [
        ("hook-tihgt", "hook-tight"),
        ("tag-overrating", "tag-over-rating"),
        ("Hook-tight", "hook-tight"),
    ],
)
def test_an_unknown_rule_is_a_problem_that_names_the_nearest(library, rule, nearest):
    report = library(permit(rule, quantity=1))
    (problem,) = report.problems
    assert problem.message == (
        f"a permit names the rule {rule}, which there is not; did you mean {nearest}?"
    )
    lines = Path(problem.file).read_text(encoding="utf-8").splitlines()
    assert lines[problem.line - 1] == f'rule = "{rule}"'
    assert report.exit_status == 2
    assert standing(report) == TIGHT


def test_a_name_that_is_near_to_none(library):
    (problem,) = library(permit("xyzzy", quantity=1)).problems
    assert problem.message == "a permit names the rule xyzzy, which there is not"


@pytest.mark.parametrize(
    ("day", "status", "words"),
    [
        ("2026-06-01", 0, ["permit"]),
        ("2026-06-02", 1, ["hook-tight", "permit-expired"]),
    ],
)
def test_the_command_judges_as_of_a_day(library, tmp_path, day, status, words):
    library(permit(until="2026-06-01"))
    done = subprocess.run(
        [sys.executable, "-m", "riglint.cli", "check", "build.toml", "--as-of", day],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == status, done.stderr
    assert all(word in done.stdout for word in words)
    assert ("permit-expired" in done.stdout) == (status == 1)
