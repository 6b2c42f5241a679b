"""The library report as one page: every build, problem and gap is in it, before any script runs."""

import base64
import datetime
import io
import re
import shutil
import zlib
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from riglint import check
from riglint.cli import main
from riglint.finding import LEVELS
from riglint.reports.html import verdict_of, write_html
from riglint.reports.page import css

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
AS_OF = datetime.date(2026, 6, 1)


def page_of(report):
    out = io.StringIO()
    write_html(report, out)
    return out.getvalue()


@pytest.fixture(scope="module")
def northmere():
    report = check(NORTHMERE, as_of=AS_OF)
    return report, page_of(report)


def words(page):
    text = re.sub(r"<(template|style|script)[^>]*>.*?</\1>", " ", page, flags=re.S)
    text = re.sub(r"<[^>]*>", " ", text)
    for name, sign in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&amp;", "&")):
        text = text.replace(name, sign)
    return " ".join(text.split())


def test_every_build_and_finding_is_there_without_a_script(northmere):
    report, page = northmere
    said = words(page)
    assert page.count('role="listitem"') == len(report.assemblies)
    for one in (*report.assemblies, *report.records, *report.catalogs):
        assert one.file in said
        for placed in one.judgment.findings:
            assert " ".join(placed.finding.message.split()) in said
            assert placed.finding.rule in said
    assert said.count("This check reads a description, not the steel.") == 1


def test_the_gravest_come_first_and_the_counts_are_the_reports(northmere):
    report, page = northmere
    order = re.findall(r'<span class="verdict \w+">([^<]*)</span>', page)
    assert len(order) == len(report.assemblies)
    first_sound = order.index("sound")
    assert not any("error" in one for one in order[first_sound:])
    for level in LEVELS:
        assert f"{report.count(level):,} {level}" in words(page)
    by_verdict = dict(re.findall(r'row">(\w+)</th><td class="number">([\d,]+)', page))
    assert by_verdict
    for verdict, count in by_verdict.items():
        assert int(count) == sum(verdict_of(one) == verdict for one in report.assemblies)


def ranked(report):
    order = ("error", "warning", "note", "permitted", "open", "sound")
    return sorted(report.assemblies, key=lambda one: order.index(verdict_of(one)))


def test_each_build_has_its_drawing_in_a_template(northmere):
    report, page = northmere
    drawings = re.findall(r"<template>(.*?)</template>", page, flags=re.S)
    assert len(drawings) == len(report.assemblies)
    assert "<svg" not in page
    for text, one in zip(drawings, ranked(report), strict=True):
        figure = ET.fromstring(zlib.decompress(base64.b64decode(text)))
        (svg,) = figure.iter("{http://www.w3.org/2000/svg}svg")
        assert svg.findtext("{http://www.w3.org/2000/svg}title") == one.id


def test_problems_skipped_files_and_missing_data_are_named_once_an_item(tmp_path):
    shutil.copytree(NORTHMERE / "stock", tmp_path / "stock")
    stock = tmp_path / "stock/us.toml"
    text = stock.read_text(encoding="utf-8")
    lean = text.replace('seat_width = "0.54 in"\n', "")
    assert lean != text
    stock.write_text(lean, encoding="utf-8")
    (tmp_path / "riglint.toml").write_text(
        'catalogs = ["stock/*.toml"]\n[rules.weak-link-governs]\nlevel = "off"\n'
    )
    for name in ("walkway-quad", "stair-pair"):
        shutil.copy(NORTHMERE / f"builds/{name}.toml", tmp_path)
    (tmp_path / "broken.toml").write_text("[assembly]\nid = 1 <&> 2\n")
    report = check(tmp_path, as_of=AS_OF)
    page = page_of(report)
    said = words(page)
    assert report.problems
    for problem in report.problems:
        assert " ".join(problem.message.split()) in said
    missing = page.split("Missing data</h2>")[1]
    assert len(re.findall(r'<th [^>]*scope="row">CL-3/8</th>', missing)) == 1
    assert "seat_width" in missing
    assert "switched off by the policy: weak-link-governs" in said


def test_an_empty_report_is_a_page():
    page = page_of(check("nowhere.toml"))
    assert "nowhere.toml" in words(page)
    assert page.rstrip().endswith("</html>")


def test_the_command_writes_it(tmp_path, monkeypatch):
    monkeypatch.chdir(NORTHMERE)
    page = tmp_path / "report.html"
    status = main(["check", "faults/walkway-quad-old-hooks.toml", "--report", f"html={page}"])
    assert status == 1
    assert "walkway-quad-old-hooks" in page.read_text(encoding="utf-8")


def test_the_same_report_gives_the_same_page(northmere):
    report, page = northmere
    assert page_of(report) == page


# Contrast, by WCAG 2.1, 1.4.3 and 1.4.11: relative luminance and ratio as defined there


def luminance(color):
    full = color if len(color) == 7 else "#" + "".join(2 * c for c in color[1:])
    parts = [int(full[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_words_and_lines_stand_out_in_light_dark_and_print():
    blocks = re.findall(r":root \{(.*?)\}", css("drawing"), flags=re.S)
    assert len(blocks) == 3
    for block in blocks:
        colors = dict(re.findall(r"--([\w-]+): (#\w+);", block))
        for name in ("ink", "soft", "blue", "error", "warning", "note", "good"):
            assert contrast(colors[name], colors["paper"]) >= 4.5, name
            if name in ("ink", "soft"):
                assert contrast(colors[name], colors["wash"]) >= 4.5, name
        assert contrast(colors["ink"], colors["steel"]) >= 4.5
        assert contrast(colors["rule"], colors["paper"]) >= 2.9
