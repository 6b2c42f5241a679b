"""Baskets, endless slings and loops: sound, and rated."""

from pathlib import Path

import pytest

from riglint import check

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
LOOPS = sorted((NORTHMERE / "loops").glob("*.toml"))


@pytest.fixture(scope="module")
def reports():
    return {report.id: report for report in check(NORTHMERE).assemblies}


@pytest.mark.parametrize("path", LOOPS, ids=lambda path: path.stem)
def test_a_loop_is_sound_and_rated(reports, path):
    report = reports[path.stem]
    assert [p.finding.rule for p in report.findings if p.finding.level != "note"] == []
    verdicts = report.judgment.verdicts
    assert verdicts["unrated-component"] == "pass"
    assert verdicts["designation-contradicts-build"] == "pass"
    assert report.rating.load is not None


def test_every_sling_letter_is_on_a_sound_build(reports):
    letters = {report.sling.build.assembly.designation for report in reports.values()}
    letters.discard(None)
    assert {text.lstrip("A")[0] for text in letters} >= set("SCDTQE")
    assert {"SB", "DB", "ES", "ED", "SAL", "DAL", "CO", "SSG", "SGG", "SPS"} <= letters
    last = {text[-1] for text in letters if len(text) == 3}
    assert last >= set("SGFL")
    assert any(text.startswith("A") for text in letters)


@pytest.mark.parametrize("name", ["beam-single-hooks", "drag-single-grabs"])
def test_a_leg_with_a_hook_on_top_is_sound_and_rated(reports, name):
    report = reports[name]
    assert report.findings == ()
    assert "open" not in report.judgment.verdicts.values()
    assert report.rating.load == pytest.approx(8800 * 0.45359237)
