"""Small HTML tables for notebooks: built as a tree, so that everything in them is escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import islice
from xml.etree import ElementTree

from .problem import clean

MOST_ROWS = 200


def table(caption: str, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """An HTML table; beyond 200 rows it says that there are more."""
    root = ElementTree.Element("table")
    _cell(root, "caption", caption)
    head = ElementTree.SubElement(ElementTree.SubElement(root, "thead"), "tr")
    for heading in headings:
        _cell(head, "th", heading).set("scope", "col")
    body = ElementTree.SubElement(root, "tbody")
    waiting = iter(rows)
    for row in islice(waiting, MOST_ROWS):
        line = ElementTree.SubElement(body, "tr")
        for value in row:
            _cell(line, "td", "" if value is None else str(value))
    if left := sum(1 for _ in waiting):
        foot = ElementTree.SubElement(ElementTree.SubElement(root, "tfoot"), "tr")
        _cell(foot, "td", f"and {left:,} more").set("colspan", str(len(headings)))
    return ElementTree.tostring(root, encoding="unicode")


def _cell(parent: ElementTree.Element, tag: str, text: str) -> ElementTree.Element:
    made = ElementTree.SubElement(parent, tag)
    made.text = clean(text)
    return made
