"""Every build of the Northmere examples gives the findings that its heading comment names.

A sound build gives none at warning or above, but what a deviation permit covers. A faulty one gives
just those that it expects at warning or above; a note that it expects is given, and it may give
other notes.
"""

import re
from pathlib import Path

import pytest

from riglint import Gathering, Leg, Part, Permit, Sling, check
from riglint.book import rule_book

NORTHMERE = Path(__file__).parents[2] / "examples" / "northmere"
SOUND_FILES = sorted((NORTHMERE / "builds").glob("*.toml"))
FAULTY_FILES = sorted((NORTHMERE / "faults").glob("*.toml"))
FOUR_LEG_FILES = [file for file in SOUND_FILES if "-quad" in file.name]

LEAST_SOUND, LEAST_FAULTY, LEAST_ITEMS, LEAST_LINES = 17, 20, 60, 50
ABOUT_SLINGS = (Part, Leg, Gathering, Sling, Permit)
NOT_FIRED: frozenset[str] = frozenset()  # rules about slings that no faulty build shows

EXPECTED = re.compile(r"# Expect: (error|warning|note) (\S+) at (\S+)")


def heading(file):
    """The comment lines that a file begins with."""
    lines = file.read_text(encoding="utf-8").splitlines()
    return lines[: next(n for n, line in enumerate(lines) if not line.startswith("#"))]


def expected(file):
    """(level, rule, part) of every `# Expect:` line; each must be well formed."""
    lines = [line for line in heading(file) if line.startswith("# Expect")]
    matches = [EXPECTED.fullmatch(line) for line in lines]
    assert all(matches), f"{file.name}: an Expect line is not '# Expect: level rule at part'"
    return {match.groups() for match in matches}


def found(assembly):
    """(level, rule, part) of every finding that no deviation permit covers."""
    standing = [placed.finding for placed in assembly.findings if not placed.finding.permit]
    return {(finding.level, finding.rule, finding.part) for finding in standing}


def above_note(findings):
    return {finding for finding in findings if finding[0] != "note"}


def ids(file):
    return file.stem


@pytest.fixture(scope="module")
def report():
    return check(NORTHMERE)


@pytest.fixture(scope="module")
def assemblies(report):
    return {Path(assembly.file).resolve(): assembly for assembly in report.assemblies}


def test_everything_is_read(report):
    assert report.problems == ()
    assert report.skipped == ()
    assert len(report.assemblies) == len(SOUND_FILES) + len(FAULTY_FILES)


def test_counts():
    stock = [file.read_text(encoding="utf-8") for file in (NORTHMERE / "stock").glob("*.toml")]
    assert len(SOUND_FILES) >= LEAST_SOUND
    assert len(FAULTY_FILES) >= LEAST_FAULTY
    assert sum(text.count("\n[[item]]\n") for text in stock) >= LEAST_ITEMS


def test_catalogs_give_no_finding(report):
    said = [
        (catalog.id, placed.finding.rule, placed.finding.part, placed.finding.message)
        for catalog in report.catalogs
        for placed in catalog.judgment.findings
        if placed.finding.level != "note"
    ]
    assert said == []


@pytest.mark.parametrize("file", SOUND_FILES, ids=ids)
def test_sound_build_gives_no_finding(file, assemblies):
    assert heading(file)[0].startswith("# Sound: ")
    assert above_note(found(assemblies[file])) == set()


@pytest.mark.parametrize("file", SOUND_FILES, ids=ids)
def test_sound_build_leaves_nothing_open(file, assemblies):
    open_ones = [(m.rule, m.part, m.datum) for m in assemblies[file].judgment.missing]
    assert open_ones == []


@pytest.mark.parametrize("file", FAULTY_FILES, ids=ids)
def test_faulty_build_gives_what_it_expects(file, assemblies):
    assert heading(file)[0].startswith("# Fault: ")
    wanted, given = expected(file), found(assemblies[file])
    assert wanted
    assert above_note(given) == above_note(wanted)
    assert wanted <= given


@pytest.mark.parametrize("file", FAULTY_FILES, ids=ids)
def test_faulty_build_is_a_sound_one_else(file):
    base = re.search(r"# Else it is the sound build (\S+)\.$", "\n".join(heading(file)), re.M)
    assert base, "the heading names no sound build"
    assert base[1] in {sound.stem for sound in SOUND_FILES}


@pytest.mark.parametrize("file", FOUR_LEG_FILES, ids=ids)
def test_four_leg_build_is_written_out(file):
    assert len(file.read_text(encoding="utf-8").splitlines()) >= LEAST_LINES


def test_every_rule_about_slings_is_fired_by_a_faulty_build():
    rules = {rule.name for rule in rule_book(()).rules if rule.about in ABOUT_SLINGS}
    fired = {rule for file in FAULTY_FILES for _, rule, _ in expected(file)}
    assert rules - fired == NOT_FIRED
    assert fired <= rules
