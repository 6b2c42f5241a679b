"""The report of a run as one HTML page: builds by verdict, to be filtered, each with its picture.

Everything is readable without a script; the page's own one filters, and draws a build when it is
opened, so that thousands open at once.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterable, Iterator
from importlib.resources import files
from typing import TextIO
from xml.etree import ElementTree as ET

from ..drawing import Drawing, draw, lay_out
from ..drawing.svg import SVG
from ..finding import LEVELS
from ..judging import Judgment, Missing
from ..report import AssemblyReport, Report, Standing
from .page import cleaned, finding_item, numbered, page, put, table, write_page
from .plain import CAUTION, plural, ran, waiting
from .sheet import in_words

VERDICTS = (*LEVELS, "permitted", "open", "sound")
SMALL_MM = 100.0


def write_html(report: Report, out: TextIO) -> None:
    """Write the report of a run as one self-contained page."""
    script = files("riglint").joinpath("reports/library.js").read_text("utf-8")
    html, main = page(f"Check of {plural(len(report.assemblies), 'build')}", script)
    put(main, "h1", "Check of the library")
    put(main, "p", ", ".join(_summary(report)) + ".")
    _by_verdict(main, report)
    _problems(main, report)
    _filter(main, report)
    builds = put(main, "div", role="list", cls="builds", id="builds")
    ranked = sorted(report.assemblies, key=lambda one: VERDICTS.index(verdict_of(one)))
    for place, one in enumerate(ranked):
        _build(builds, one, place)
    _library(main, report.library)
    _catalogs(main, report)
    _records(main, report)
    _missing(main, report)
    _left_out(main, report)
    put(main, "p", CAUTION, cls="caution")
    write_page(html, out)


def verdict_of(one: AssemblyReport) -> str:
    """The gravest that is said of a build: a level, permitted, open, or sound."""
    for level in LEVELS:
        if one.count(level):
            return level
    if one.findings:
        return "permitted"
    return "open" if one.open_rules else "sound"


def _summary(report: Report) -> Iterator[str]:
    yield plural(len(report.assemblies), "build")
    yield plural(len(report.catalogs), "catalog")
    yield plural(len(report.records), "record")
    for level in LEVELS:
        yield plural(report.count(level), level)
    yield f"{report.permitted:,} permitted"
    yield plural(report.open_count, "open verdict")
    yield plural(len(report.problems), "problem")


def _by_verdict(main: ET.Element, report: Report) -> None:
    count = dict.fromkeys(VERDICTS, 0)
    for one in report.assemblies:
        count[verdict_of(one)] += 1
    table(
        main,
        "Builds by the gravest that is said of them.",
        ("verdict", "builds"),
        [(verdict, f"{number:,}") for verdict, number in count.items() if number],
        (1,),
    )


# Builds


def _filter(main: ET.Element, report: Report) -> None:
    put(main, "h2", "Builds")
    form = put(main, "div", cls="filter", role="search", hidden="", id="filter")
    rules = sorted({p.finding.rule for one in report.assemblies for p in one.findings})
    _choice(form, "rule", "Rule", ("any", *rules))
    _choice(form, "level", "Verdict or level", ("any", *VERDICTS))
    field = put(form, "label", "Words in name, title or file")
    put(field, "br")
    put(field, "input", type="search", id="words", autocomplete="off")
    put(form, "p", id="count", role="status", aria_live="polite")
    script = put(main, "noscript")
    put(
        script,
        "p",
        "Filter and drawings need this page's own script. `riglint sheet` draws a"
        " build without one.",
    )


def _choice(form: ET.Element, name: str, words: str, options: Iterable[str]) -> None:
    field = put(form, "label", words)
    put(field, "br")
    select = put(field, "select", id=name)
    for option in options:
        put(select, "option", option, value="" if option == "any" else option)


def _build(builds: ET.Element, one: AssemblyReport, place: int) -> None:
    verdict = verdict_of(one)
    levels = {level for level in LEVELS if one.count(level)} | {verdict}
    item = put(
        builds,
        "div",
        role="listitem",
        data_level=" ".join(sorted(levels)),
        data_rule=" ".join(sorted({placed.finding.rule for placed in one.findings})),
    )
    details = put(item, "details")
    summary = put(details, "summary")
    put(summary, "span", _verdict_words(one, verdict), cls=f"verdict {STYLE[verdict]}")
    put(summary, "span", one.id, cls="level")
    put(summary, "span", one.standing.title)
    put(summary, "span", _rated(one.standing))
    inside = put(details, "div", cls="inside")
    put(inside, "p", f"{one.file}, {one.standing.basis}", cls="soft")
    _draw(inside, one, place)
    _findings(inside, one.judgment)


STYLE = dict.fromkeys(VERDICTS, "warn") | {"error": "bad", "sound": "good"}


def _verdict_words(one: AssemblyReport, verdict: str) -> str:
    counts = [plural(n, level) for level in LEVELS if (n := one.count(level))]
    return ", ".join(counts) or verdict


def _rated(standing: Standing) -> str:
    show = standing.units.show
    if standing.rated is not None:
        return f"rated {show(standing.rated)}"
    return f"at most {show(standing.at_most)}" if standing.at_most is not None else "not rated"


def _draw(inside: ET.Element, one: AssemblyReport, place: int) -> None:
    """The drawing, packed as text in a template: a browser makes it when it is looked at.

    Thousands of drawings as elements, or as plain text, would keep a page from opening.
    """
    marks = [mark for mark, _ in numbered(one.judgment)]
    drawing = draw(
        lay_out(one.figures),
        one.figures,
        marks,
        title=one.id,
        words=in_words(one.sling, marks, below=False),
        name=f"b{place}",
        height_mm=SMALL_MM,
    )
    figure = ET.Element("figure", {"xmlns": "http://www.w3.org/1999/xhtml"})
    roll = put(figure, "div", cls="roll", tabindex="0", role="region", aria_label="Drawing")
    svg = cleaned(drawing.element)
    svg.set("xmlns", SVG)
    roll.append(svg)
    put(figure, "figcaption", _caption(drawing))
    put(inside, "template", _packed(ET.tostring(figure, encoding="unicode")))


def _packed(text: str) -> str:
    return base64.b64encode(zlib.compress(text.encode(), 6)).decode("ascii")


def _caption(drawing: Drawing) -> str:
    said = [f"Scale {drawing.scale_text} at the printed size."]
    if drawing.layout.broken:
        said.append("Underlined: true, and broken out in the drawing.")
    said += drawing.layout.notes
    said += [f"{item}, dashed: {datum} not stated." for item, datum in drawing.not_stated]
    return " ".join(said)


def _findings(parent: ET.Element, judgment: Judgment) -> None:
    marked = numbered(judgment)
    if marked:
        items = put(parent, "ul", cls="findings")
        for mark, placed in marked:
            finding_item(items, mark, placed, plain=True)
    _waiting(parent, judgment.missing)


def _waiting(parent: ET.Element, missing: Iterable[Missing]) -> None:
    lines = [one.words for one in waiting(missing)]
    if lines:
        items = put(parent, "ul", cls="open")
        for line in lines:
            put(items, "li", f"open: {line}")


# The rest


def _library(main: ET.Element, judgment: Judgment) -> None:
    if judgment.findings or judgment.missing:
        put(main, "h2", "The library as a whole")
        _unnumbered(main, judgment)


def _unnumbered(parent: ET.Element, judgment: Judgment) -> None:
    if judgment.findings:
        items = put(parent, "ul", cls="findings")
        for placed in judgment.findings:
            finding_item(items, None, placed, plain=True)
    _waiting(parent, judgment.missing)


def _catalogs(main: ET.Element, report: Report) -> None:
    if report.catalogs:
        put(main, "h2", "Catalogs")
    for one in report.catalogs:
        _entry(main, one.id, one.file, one.judgment)


def _records(main: ET.Element, report: Report) -> None:
    if report.records:
        put(main, "h2", "Records")
    for one in report.records:
        _entry(main, one.serial, f"{one.build}, {one.file}", one.judgment)


def _entry(main: ET.Element, name: str, place: str, judgment: Judgment) -> None:
    counts = [plural(n, level) for level in LEVELS if (n := judgment.count(level))]
    is_open = "open" in judgment.verdicts.values()
    said = ", ".join(counts) or ("open" if is_open else "nothing found")
    put(main, "h3", f"{name}: {said}")
    put(main, "p", place, cls="soft")
    _unnumbered(main, judgment)


def _missing(main: ET.Element, report: Report) -> None:
    """Data that sheets leave out, once an item, over all builds."""
    missing = [one for build in report.assemblies for one in build.judgment.missing]
    rows: dict[str, tuple[dict[str, None], set[str]]] = {}
    for one in missing:
        if one.item is not None and one.key.startswith("/item/"):
            data, rules = rows.setdefault(one.item, ({}, set()))
            data[one.datum] = None
            rules.add(one.rule)
    if rows:
        put(main, "h2", "Missing data")
        table(
            main,
            "What sheets do not state, once an item.",
            ("item", "does not state", "rules that wait"),
            [(item, ", ".join(d), ", ".join(sorted(r))) for item, (d, r) in sorted(rows.items())],
        )


def _problems(main: ET.Element, report: Report) -> None:
    if not report.problems:
        return
    put(main, "h2", "Could not be read or checked")
    items = put(main, "ul")
    for problem in report.problems:
        place = f":{problem.line}:{problem.column}" if problem.line is not None else ""
        put(items, "li", f"{problem.file}{place}: {problem.message}")


def _left_out(main: ET.Element, report: Report) -> None:
    lines = [f"skipped {one.file}: {one.reason}" for one in report.skipped]
    if report.off:
        lines.append(f"switched off by the policy: {', '.join(report.off)}")
    lines += [
        f"rule pack {pack.name} {pack.version}, {plural(len(pack.rules), 'rule')}"
        for pack in report.packs
    ]
    lines += ran(report)
    if lines:
        put(main, "h2", "Scope")
        items = put(main, "ul")
        for line in lines:
            put(items, "li", line)
