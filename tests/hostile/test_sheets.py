"""Sheets and library reports of hostile builds: valid, readable, nothing of theirs comes alive."""

from __future__ import annotations

import datetime
import io
import re
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import tomli
import tomli_w

from riglint import check
from riglint.buildsheet import build_sheet
from riglint.reports.html import write_html
from riglint.reports.sheet import drawings, write_sheet, write_svg
from riglint.testing import CATALOG_TABLES

AS_OF = datetime.date(2026, 6, 1)
VOID = {"meta", "link", "br", "input"}
NASTY = {
    "markup": '<script>alert(1)</script><img src=x onerror="alert(1)">',
    "entities": "&lt;b&gt; & &amp;amp; ]]> <!-- -->",
    "quotes": "\"'`\" onload='x' {part} {0.__class__}",
    "template": "</template></svg></style></title><script>alert(1)</script>",
    "control": "a\x00b\x07c\x1b[31md\x7fe\x85f",
    "right to left": "\u202eevil\u2066\u200f \u05d0\u05d1\u05d2",
    "emoji": "\N{BUILDING CONSTRUCTION}\U0001f468\u200d\U0001f527 \N{HOOK}",
    "long": "x" * 10_000,
    "long words": "sling " * 2_000,
}


class Tree(HTMLParser):
    """Reads a page strictly: what opens must close, in order; notes elements and their text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.names: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def read(page: str) -> Tree:
    tree = Tree()
    tree.feed(page)
    tree.close()
    assert tree.open == []
    assert not [name for name, _ in tree.attributes if name.startswith("on") or name == "style"]
    shown = "".join(tree.words)
    hidden = [c for c in set(shown) if not c.isprintable() and c != "\n"]
    assert hidden == []
    ids = [value for name, value in tree.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    return tree


def base(name: str = "pair") -> dict[str, Any]:
    sound = files("riglint_specs").joinpath("sound")
    values = tomli.loads(sound.joinpath(f"{name}.toml").read_text("utf-8"))
    return values | tomli.loads(sound.joinpath("stock.toml").read_text("utf-8"))


def write(folder: Path, values: dict[str, Any]) -> Path:
    catalog = {key: values[key] for key in CATALOG_TABLES if key in values}
    build = {key: value for key, value in values.items() if key not in CATALOG_TABLES}
    (folder / "build.toml").write_text(tomli_w.dumps(build), encoding="utf-8")
    (folder / "stock.toml").write_text(tomli_w.dumps(catalog), encoding="utf-8")
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    return folder / "build.toml"


def sheet_page(path: Path) -> str:
    out = io.StringIO()
    write_sheet(build_sheet(path, as_of=AS_OF), out)
    return out.getvalue()


def library_page(folder: Path) -> str:
    out = io.StringIO()
    write_html(check(folder, as_of=AS_OF), out)
    return out.getvalue()


def renamed(values: dict[str, Any], old: str, new: str) -> dict[str, Any]:
    """The same with a name replaced wherever it stands as a whole value."""

    def walk(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: walk(one) for key, one in value.items()}
        if isinstance(value, list):
            return [walk(one) for one in value]
        return new if value == old else value

    return {key: walk(value) for key, value in values.items()}


@pytest.mark.parametrize("nasty", NASTY.values(), ids=NASTY)
def test_names_and_titles_stay_words(tmp_path, nasty):
    values = base()
    values["assembly"]["title"] = nasty
    values["tag"] |= {"manufacturer": nasty, "serial": nasty}
    for item in values["item"]:
        item["title"] = nasty
    path = write(tmp_path, values)
    tree = read(sheet_page(path))
    assert "script" not in tree.names
    assert "img" not in tree.names
    library = read(library_page(tmp_path))
    assert library.names.count("script") == 1
    assert library.names.count("img") == 0


@pytest.mark.parametrize("nasty", NASTY.values(), ids=NASTY)
def test_refs_and_ids_stay_words(tmp_path, nasty):
    name = re.sub(r"[/#:]", "", nasty)
    values = renamed(renamed(base(), "top", name), "hook", f"h{name}")
    path = write(tmp_path, values)
    if check(tmp_path).problems:
        pytest.skip("the reader refuses such a name")
    tree = read(sheet_page(path))
    assert "script" not in tree.names
    out = io.StringIO()
    write_svg(build_sheet(path), out)
    assert "<script" not in out.getvalue()
    assert all(len(word) <= 45 for word in label_words(path))
    read(library_page(tmp_path))


def label_words(path: Path) -> list[str]:
    whole, head = drawings(build_sheet(path))
    texts = [t.text or "" for view in (whole, head) for t in view.element.iter("text")]
    return [word for text in texts for word in text.split()]


def test_an_ascii_stream_gets_references(tmp_path):
    values = base()
    values["assembly"]["title"] = "Kran \N{LATIN SMALL LETTER U WITH DIAERESIS}ber \N{HOOK}"
    path = write(tmp_path, values)
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="ascii")
    write_sheet(build_sheet(path), out)
    out.flush()
    assert b"&#252;ber" in raw.getvalue()
    assert raw.getvalue().isascii()


def test_two_hundred_legs_and_a_thousand(tmp_path):
    for count in (200, 1000):
        values = base()
        values["leg"][0]["count"] = count
        path = write(tmp_path, values)
        page = sheet_page(path)
        read(page)
        assert f"Drawn: 8 of {count:,} legs." in page
        assert len(page) < 400_000


@pytest.mark.parametrize("mm", ["0.001 mm", "9,999,999 mm"])
@pytest.mark.parametrize(
    "datum",
    ["bar", "inside_length", "inside_width", "effective_length", "throat", "seat_diameter",
     "seat_width", "seat_depth", "pitch", "saddle_width", "saddle_height"],
)  # fmt: skip
def test_absurd_dimensions_are_drawn_at_some_scale(tmp_path, datum, mm):
    values = base()
    for item in values["item"]:
        if datum in item:
            item[datum] = mm
    path = write(tmp_path, values)
    page = sheet_page(path)
    read(page)
    assert not re.search(r"\b(nan|inf)\b", re.sub(r"<style>.*?</style>", "", page, flags=re.S))


def test_a_part_for_every_datum_left_out(tmp_path):
    values = base("shortened")
    keep = {"id", "kind", "title", "shape"}
    values["item"] = [{k: v for k, v in item.items() if k in keep} for item in values["item"]]
    path = write(tmp_path, values)
    page = sheet_page(path)
    read(page)
    assert page.count("dashed, not to scale") > 5
    assert "Rated load" in page


def test_links_hung_sixty_deep(tmp_path):
    values = base()
    top = values["part"][0]
    chain = [top] + [
        {"ref": f"p{k}", "item": top["item"], "on": f"p{k - 1}" if k else top["ref"]}
        for k in range(60)
    ]
    values["part"] = chain
    values["leg"][0]["on"] = "p59"
    path = write(tmp_path, values)
    page = sheet_page(path)
    read(page)
    assert "Not drawn: gathering parts below the" in page
