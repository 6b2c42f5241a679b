"""One self-contained HTML page: elements, styles and, where there is one, a script of our own."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Sequence
from importlib.resources import files
from typing import TextIO
from xml.etree import ElementTree as ET

from ..drawing.pins import Mark, sign
from ..finding import LEVELS
from ..judging import Judgment, Placed
from ..model import Level
from .plain import clean
from .text import home_of

LONGEST_TITLE = 120
LONGEST_WORD = 28
SHORT_NAME = 14


def put(parent: ET.Element, name: str, text: str = "", /, **attributes: str) -> ET.Element:
    """A child element with its text; `cls` is its class, other names have `_` for `-`."""
    cls = attributes.pop("cls", "")
    given = {key.rstrip("_").replace("_", "-"): clean(value) for key, value in attributes.items()}
    child = ET.SubElement(parent, name, ({"class": cls} if cls else {}) | given)
    if text:
        child.text = clean(text)
    return child


def add(parent: ET.Element, text: str, name: str = "", **attributes: str) -> None:
    """More text in an element, in a child of its own where that has a name."""
    if name:
        put(parent, name, text, **attributes)
    elif len(parent):
        parent[-1].tail = (parent[-1].tail or "") + clean(text)
    else:
        parent.text = (parent.text or "") + clean(text)


def css(name: str) -> str:
    return files("riglint").joinpath(f"reports/{name}.css").read_text("utf-8")


def page(title: str, script: str = "") -> tuple[ET.Element, ET.Element]:
    """An empty page and its main element; nothing in it may ask for anything outside it."""
    style = css("drawing") + css("sheet")
    html = ET.Element("html", {"lang": "en"})
    head = put(html, "head")
    put(head, "meta", charset="utf-8")
    policy = f"default-src 'none'; img-src data:; style-src {_hash(style)}"
    policy += f"; script-src {_hash(script)}" if script else ""
    policy += "; base-uri 'none'; form-action 'none'"
    ET.SubElement(head, "meta", {"http-equiv": "Content-Security-Policy", "content": policy})
    put(head, "meta", name="viewport", content="width=device-width, initial-scale=1")
    put(head, "link", rel="icon", href="data:,")
    put(head, "title", title[:LONGEST_TITLE])
    ET.SubElement(head, "style").text = style
    body = put(html, "body")
    main = put(body, "main")
    if script:
        ET.SubElement(body, "script").text = script
    return html, main


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def write_page(html: ET.Element, out: TextIO) -> None:
    """Write a page; a stream that takes ASCII alone gets references for the rest."""
    encoding = (getattr(out, "encoding", None) or "utf-8").lower()
    text = ET.tostring(html, encoding="unicode", method="html")
    if "utf" not in encoding:
        text = text.encode("ascii", "xmlcharrefreplace").decode()
    out.write(f"<!DOCTYPE html>\n{text}\n")


def table(
    parent: ET.Element,
    caption: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: Sequence[int] = (),
) -> ET.Element:
    """A table with heads; `numbers` are the columns set to the right."""
    style = "table narrow" if len(columns) == 2 else "table"
    frame = put(parent, "div", cls=style, tabindex="0", role="region", aria_label=caption)
    made = put(frame, "table")
    put(made, "caption", caption)
    head = put(put(made, "thead"), "tr")
    for place, name in enumerate(columns):
        put(head, "th", name, scope="col", cls="number" if place in numbers else "")
    body = put(made, "tbody")
    for row in rows:
        line = put(body, "tr")
        for place, cell in enumerate(row):
            style = "number" if place in numbers else _breaking(cell)
            if place == 0:
                put(line, "th", cell, scope="row", cls=style)
            else:
                put(line, "td", cell, cls=style)
    return frame


def _breaking(cell: str) -> str:
    """The class of a cell that may not be broken, or whose words must be to fit a page."""
    words = cell.split()
    if len(words) == 1 and len(cell) <= SHORT_NAME:
        return "short"
    return "long" if any(len(word) > LONGEST_WORD for word in words) else ""


def cleaned(element: ET.Element) -> ET.Element:
    """A drawing whose words and names hold no control or direction characters."""
    for one in element.iter():
        one.text = clean(one.text) if one.text else one.text
        for name, value in one.attrib.items():
            one.set(name, clean(value))
    return element


# Findings


def numbered(judgment: Judgment) -> list[tuple[Mark, Placed]]:
    """The findings with the numbers that drawing and list share, the gravest first."""
    by_level = sorted(judgment.findings, key=lambda one: LEVELS.index(level_of(one)))
    made = []
    for number, placed in enumerate(by_level, start=1):
        finding = placed.finding
        home = home_of(finding.key, finding.part)
        paths = (finding.part, *finding.also) if home == finding.part else ()
        mark = Mark(number, level_of(placed), paths, finding.permit is not None)
        made.append((mark, placed))
    return made


def level_of(placed: Placed) -> Level:
    return placed.finding.level or "error"


def sign_of(parent: ET.Element, mark: Mark) -> None:
    """The sign of a finding as the drawing shows it."""
    style = f"pin {mark.level}" + (" permitted" if mark.permitted else "")
    svg = put(parent, "svg", viewBox="-17 -17 34 34", aria_hidden="true", font_size="12")
    group = put(svg, "g", cls=style)
    put(group, "path", d=sign(mark.level, (0.0, 0.0), 10.5))
    put(group, "text", str(mark.number), x="0", y="4.3", text_anchor="middle", cls="")


def finding_item(
    parent: ET.Element, mark: Mark | None, placed: Placed, *, plain: bool = False
) -> None:
    """One finding: sign (where it is not plain), level, message, repair, rule and sources."""
    finding, level = placed.finding, level_of(placed)
    item = put(parent, "li", cls=f"finding {level}" + (" plain" if plain else ""))
    if mark is not None:
        item.set("data-finding", str(mark.number))
    body = item
    if mark is not None and not plain:
        sign_of(put(item, "div"), mark)
        body = put(item, "div")
    first = put(body, "p")
    number = f" {mark.number}" if mark is not None else ""
    put(first, "span", f"{level}{number}", cls="level")
    also = f" Also {', '.join(finding.also)}." if finding.also else ""
    add(first, f": {finding.message}.{also}")
    if finding.permit:
        put(body, "p", f"Permitted: {finding.permit}")
    if finding.remedy:
        put(body, "p", f"Repair: {finding.remedy}")
    where = f"{finding.rule}, {placed.file} line {placed.line}"
    put(body, "p", f"{where}; by {'; '.join(finding.sources)}", cls="why")
