"""Every build and record of the Northmere examples gives what its heading comment names.

A sound one gives no finding at warning or above, but what a deviation permit covers. A faulty one
gives just those that it expects at warning or above; a note that it expects is given, and it may
give other notes. Records age, and are judged as of the day that their headings name.
"""

import datetime
import re
from pathlib import Path

import pytest

from riglint import Gathering, Leg, Measurement, Part, Permit, Record, Sling, check
from riglint.book import rule_book

NORTHMERE = Path(__file__).parents[2] / "examples" / "northmere"
SOUND_FILES = sorted((NORTHMERE / "builds").glob("*.toml"))
FAULTY_FILES = sorted((NORTHMERE / "faults").glob("*.toml"))
SOUND_RECORDS = sorted((NORTHMERE / "records").glob("*.toml"))
FAULTY_RECORDS = sorted((NORTHMERE / "records-faults").glob("*.toml"))
FOUR_LEG_FILES = [file for file in SOUND_FILES if "-quad" in file.name]

LEAST_SOUND, LEAST_FAULTY, LEAST_ITEMS, LEAST_LINES = 17, 20, 60, 50
LEAST_SOUND_RECORDS, LEAST_FAULTY_RECORDS = 6, 10
AS_OF = datetime.date(2026, 6, 1)
ABOUT_SLINGS = (Part, Leg, Gathering, Sling, Permit)
ABOUT_RECORDS = (Record, Measurement)
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


def found(judged):
    """(level, rule, part) of every finding that no deviation permit covers."""
    findings = [placed.finding for placed in judged.judgment.findings]
    standing = [finding for finding in findings if not finding.permit]
    return {(finding.level, finding.rule, finding.part) for finding in standing}


def above_note(findings):
    return {finding for finding in findings if finding[0] != "note"}


def ids(file):
    return file.stem


@pytest.fixture(scope="module")
def report():
    return check(NORTHMERE, as_of=AS_OF)


@pytest.fixture(scope="module")
def assemblies(report):
    return {Path(assembly.file).resolve(): assembly for assembly in report.assemblies}


@pytest.fixture(scope="module")
def records(report):
    return {Path(record.file).resolve(): record for record in report.records}


def test_everything_is_read(report, assemblies, records):
    assert report.problems == ()
    assert report.skipped == ()
    builds = {f for f in NORTHMERE.rglob("*.toml") if "\n[assembly]\n" in f.read_text("utf-8")}
    assert set(assemblies) == builds >= {*SOUND_FILES, *FAULTY_FILES}
    assert len(report.assemblies) == len(builds)
    assert set(records) == {*SOUND_RECORDS, *FAULTY_RECORDS}
    assert len(report.records) == len(records)


def test_counts():
    stock = [file.read_text(encoding="utf-8") for file in (NORTHMERE / "stock").glob("*.toml")]
    assert len(SOUND_FILES) >= LEAST_SOUND
    assert len(FAULTY_FILES) >= LEAST_FAULTY
    assert len(SOUND_RECORDS) >= LEAST_SOUND_RECORDS
    assert len(FAULTY_RECORDS) >= LEAST_FAULTY_RECORDS
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


@pytest.mark.parametrize("file", SOUND_RECORDS, ids=ids)
def test_sound_record_gives_no_finding_and_leaves_nothing_open(file, records):
    assert heading(file)[0].startswith("# Sound: ")
    assert found(records[file]) == set()
    assert records[file].judgment.missing == ()


@pytest.mark.parametrize("file", SOUND_RECORDS, ids=ids)
def test_sound_record_is_of_a_sound_build(file, records):
    assert records[file].build in {sound.stem for sound in SOUND_FILES}


@pytest.mark.parametrize("file", FAULTY_RECORDS, ids=ids)
def test_faulty_record_gives_what_it_expects(file, records):
    assert heading(file)[0].startswith("# Fault: ")
    wanted, given = expected(file), found(records[file])
    assert len(wanted) == 1
    assert given == wanted


@pytest.mark.parametrize("file", FAULTY_RECORDS, ids=ids)
def test_faulty_record_is_a_sound_one_else(file):
    base = re.search(r"Else it is the sound record (\S+)\.$", "\n".join(heading(file)), re.M)
    assert base, "the heading names no sound record"
    assert base[1] in {sound.stem for sound in SOUND_RECORDS}


@pytest.mark.parametrize("file", [*SOUND_RECORDS, *FAULTY_RECORDS], ids=ids)
def test_record_says_as_of_when_it_is_judged(file):
    assert f"Judged as of {AS_OF}." in "\n".join(heading(file))


@pytest.mark.parametrize("file", SOUND_RECORDS, ids=ids)
def test_sound_record_says_from_when_on_it_is_overdue(file):
    """The day before it nothing is found, and from it on the inspection is overdue."""
    text = " ".join(line.removeprefix("#").strip() for line in heading(file))
    day = datetime.date.fromisoformat(re.search(r"from (\S+) on the sling is overdue", text)[1])
    for as_of, rules in ((day - datetime.timedelta(days=1), []), (day, ["inspection-overdue"])):
        (record,) = [
            record
            for record in check(NORTHMERE / "builds", file, as_of=as_of).records
            if Path(record.file).resolve() == file
        ]
        assert [placed.finding.rule for placed in record.judgment.findings] == rules


def test_serials_are_of_one_sling_each(report):
    serials = [record.serial for record in report.records]
    assert len(set(serials)) == len(serials)


def test_every_rule_about_records_is_fired_by_a_faulty_record():
    rules = {rule.name for rule in rule_book(()).rules if rule.about in ABOUT_RECORDS}
    assert {rule for file in FAULTY_RECORDS for _, rule, _ in expected(file)} == rules
