"""The pages in a browser: nothing overlaps, overflows or leaves them; the keyboard is enough.

Skipped where there is no chromium with its driver (Debian: apt-get install chromium
chromium-driver); `.ci/run` installs both where it can.
"""

import base64
import datetime
import io
import json
import re
import shutil
from pathlib import Path

import pytest

from riglint import check
from riglint.buildsheet import build_sheet
from riglint.reports.html import write_html
from riglint.reports.sheet import write_sheet

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
from selenium.webdriver.common.keys import Keys  # noqa: E402
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
pytestmark = pytest.mark.skipif(
    not (BROWSER and DRIVER), reason="no chromium and chromedriver here: apt-get install them"
)

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
AS_OF = datetime.date(2026, 6, 1)
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
WIDTHS = (360, 1024, 1600)
PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
BUILDS = (
    "builds/slab-quad-adjustable",
    "builds/hull-pair-pear",
    "builds/mast-pair-ring",
    "builds/pipe-single-choker",
    "builds/trestle-pair-grab-branch",
    "builds/counterweight-single-swivel",
    "builds/lock-quad-assembly-en",
    "builds/rudder-pair-adjustable-en",
    "faults/walkway-quad-old-hooks",
    "faults/manhole-triple-on-one-link",
    "loops/reel-double-loop",
    "lifts/stair-beam-quad",
    "lifts/bow-pair-unequal",
    "lifts/winch-quad-off-center",
)

# Pairs of words in a drawing whose boxes cut into each other by more than half a pixel
COVERED = """
const found = [];
for (const svg of document.querySelectorAll("svg.drawing")) {
  const texts = [...svg.querySelectorAll("text")].map(
    (t) => [t.textContent, t.getBoundingClientRect()]);
  texts.forEach(([one, a], place) => texts.slice(place + 1).forEach(([two, b]) => {
    const x = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (x > 0.5 && y > 0.5) found.push([one, two]);
  }));
}
return found;
"""
# Elements that stick out of the window, or whose content sticks out of them and cannot be rolled
STICKING_OUT = """
const found = [];
const wide = document.documentElement.clientWidth;
if (document.documentElement.scrollWidth > wide) found.push(["page"]);
for (const e of document.querySelectorAll("body *:not(svg *)")) {
  const rolls = e.closest(".roll, .table");
  if (rolls !== null && getComputedStyle(rolls).overflowX === "auto") continue;
  const box = e.getBoundingClientRect();
  if (box.right > wide + 1 || box.left < -1) found.push([e.tagName, e.className, box.right]);
  if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) found.push([e.tagName, e.className]);
}
return found;
"""
OUT_OF_FRAME = """
const found = [];
for (const svg of document.querySelectorAll("svg.drawing")) {
  const frame = svg.getBoundingClientRect();
  for (const t of svg.querySelectorAll("text, path")) {
    const b = t.getBoundingClientRect();
    if (b.left < frame.left - 1 || b.right > frame.right + 1 || b.top < frame.top - 1 ||
        b.bottom > frame.bottom + 1) found.push(t.textContent || t.getAttribute("class"));
  }
}
return found;
"""


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    options = webdriver.ChromeOptions()
    options.binary_location = BROWSER
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    for name in BUILDS:
        out = io.StringIO()
        write_sheet(build_sheet(NORTHMERE / f"{name}.toml", as_of=AS_OF), out)
        (folder / f"{Path(name).name}.html").write_text(out.getvalue(), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    page = tmp_path_factory.mktemp("library") / "library.html"
    report = check(NORTHMERE, as_of=AS_OF)
    with page.open("w", encoding="utf-8") as out:
        write_html(report, out)
    return page, report


def window(browser, width, height=900):
    """Sets what the page takes for its window: narrower than a real one can be made."""
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)


def media(browser, kind="", scheme="light"):
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    given = {"media": kind, "features": features}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", given)


def open_page(browser, page):
    browser.get(page.as_uri())


@pytest.mark.parametrize("name", BUILDS)
def test_nothing_covers_anything_or_sticks_out(browser, pages, name):
    open_page(browser, pages / f"{Path(name).name}.html")
    assert browser.execute_script("return document.querySelectorAll('svg.drawing').length") == 2
    for width in WIDTHS:
        window(browser, width)
        assert browser.execute_script(COVERED) == []
        assert browser.execute_script(STICKING_OUT) == []
        assert browser.execute_script(OUT_OF_FRAME) == []


@pytest.mark.parametrize("name", [BUILDS[0], BUILDS[6], BUILDS[8]])
@pytest.mark.parametrize("paper", PAPERS)
def test_it_prints_on_paper_of_both_kinds(browser, pages, name, paper):
    open_page(browser, pages / f"{Path(name).name}.html")
    wide, high = PAPERS[paper]
    margins = 24 / 25.4
    media(browser, "print", "dark")
    window(browser, int((wide - margins) * 96), 1000)
    try:
        assert browser.execute_script(STICKING_OUT) == []
        assert browser.execute_script(COVERED) == []
        paper_color = browser.execute_script(
            "return getComputedStyle(document.documentElement).backgroundColor"
        )
        assert paper_color == "rgb(255, 255, 255)"
    finally:
        media(browser)
    sheet = {"paperWidth": wide, "paperHeight": high, "printBackground": True}
    pdf = browser.execute_cdp_cmd("Page.printToPDF", sheet | {"preferCSSPageSize": True})
    count = len(re.findall(rb"/Type\s*/Page\b", base64.b64decode(pdf["data"])))
    assert 2 <= count <= 8
    fits = """
      const first = document.querySelector("figure").getBoundingClientRect();
      return first.bottom - document.body.getBoundingClientRect().top;
    """
    media(browser, "print")
    try:
        assert browser.execute_script(fits) < (high - margins) * 96  # block and drawing: page one
    finally:
        media(browser)


@pytest.mark.parametrize("name", BUILDS)
def test_the_drawing_has_title_and_words_and_the_table_says_the_same(browser, pages, name):
    open_page(browser, pages / f"{Path(name).name}.html")
    window(browser, 1600)
    drawn = browser.execute_script(
        """
        return [...document.querySelectorAll("svg.drawing")].map((svg) => ({
          role: svg.getAttribute("role"),
          named: svg.getAttribute("aria-labelledby").split(" ").map(
            (id) => document.getElementById(id).textContent),
          parts: [...svg.querySelectorAll("[data-part]")].map((e) => e.dataset.part),
          measures: [...svg.querySelectorAll("text.measure")].map((e) => e.textContent),
          pins: [...svg.querySelectorAll("[data-finding]")].map((e) => e.dataset.finding),
        }));
        """
    )
    rows = browser.execute_script(
        """
        const caption = [...document.querySelectorAll("caption")].find(
          (one) => one.textContent.startsWith("The same as the drawing"));
        return [...caption.closest("table").querySelectorAll("tbody tr")].map(
          (row) => [...row.children].map((cell) => cell.textContent));
        """
    )
    placed = {path for row in rows for path in row[0].split(", ")}
    dimensions = {one for row in rows for one in row[3].split(", ")}
    assert all(view["role"] == "img" and all(view["named"]) for view in drawn)
    assert {part for view in drawn for part in view["parts"] if "/" in part} <= placed | {
        path.partition("/")[0] for path in placed
    }
    shown = {text for text in drawn[1]["measures"] if not text.startswith(("reach", "chain"))}
    assert shown
    assert shown <= dimensions
    block = browser.execute_script("return document.querySelector('.block').textContent")
    for text in drawn[0]["measures"]:
        said = text in dimensions or text.removeprefix("reach ") in block
        assert said or text.startswith("chain ") or " deg from " in text
    listed = browser.execute_script(
        "return [...document.querySelectorAll('li[data-finding]')].map((e) => e.dataset.finding)"
    )
    assert set(drawn[0]["pins"]) == set(listed)


def test_the_library_opens_and_nothing_sticks_out(browser, library):
    page, report = library
    open_page(browser, page)
    rows = browser.execute_script("return document.querySelectorAll('#builds > div').length")
    assert rows == len(report.assemblies)
    browser.execute_script(
        "for (const d of [...document.querySelectorAll('details')].slice(0, 3)) d.open = true"
    )
    assert drawn(browser, 3) == 3
    for width in WIDTHS:
        window(browser, width)
        assert browser.execute_script(STICKING_OUT) == []
        assert browser.execute_script(COVERED) == []


def drawn(browser, wanted=1):
    """How many builds are drawn, once so many are: the page unpacks a drawing in the background."""
    count = "return document.querySelectorAll('svg.drawing').length"
    WebDriverWait(browser, 10).until(lambda b: b.execute_script(count) >= wanted)
    return browser.execute_script(count)


def tab_to(browser, wanted):
    """Presses Tab until the element with that id, or of that kind, has the focus."""
    for _ in range(60):
        browser.switch_to.active_element.send_keys(Keys.TAB)
        focus = browser.switch_to.active_element
        if wanted in (focus.get_attribute("id"), focus.tag_name):
            return focus
    raise AssertionError(f"{wanted} is not reached by Tab")


def test_the_keyboard_alone_filters_and_opens(browser, library):
    page, report = library
    window(browser, 1024)
    open_page(browser, page)
    count = browser.find_element("id", "count")
    total = len(report.assemblies)
    assert count.text == f"{total} of {total} shown"
    rule = tab_to(browser, "rule")
    rule.send_keys("grade-mismatch")
    expected = sum(
        any(p.finding.rule == "grade-mismatch" for p in one.findings) for one in report.assemblies
    )
    assert 0 < expected < total
    assert count.text == f"{expected} of {total} shown"
    words = tab_to(browser, "words")
    words.send_keys("walkway-quad-old")
    assert count.text == f"1 of {total} shown"
    tab_to(browser, "summary").send_keys(Keys.ENTER)
    assert drawn(browser) == 1
    assert browser.execute_script(COVERED) == []
    assert (
        browser.execute_script("return getComputedStyle(document.activeElement).outlineStyle")
        == "solid"
    )


def test_the_level_filter_shows_sound_builds(browser, library):
    page, report = library
    open_page(browser, page)
    tab_to(browser, "level").send_keys("sound")
    shown = browser.execute_script(
        "return [...document.querySelectorAll('#builds > div')].filter((e) => !e.hidden)"
        ".map((e) => e.querySelector('.level').textContent)"
    )
    quiet = [a.id for a in report.assemblies if not a.findings and not a.open_rules]
    assert sorted(shown) == sorted(quiet)


def test_no_request_leaves_the_page(browser, pages, library):
    page, _ = library
    browser.get_log("performance")
    for one in (pages / "slab-quad-adjustable.html", page):
        open_page(browser, one)
        browser.execute_script(
            "for (const d of document.querySelectorAll('details')) d.open = true"
        )
        assert drawn(browser, 2) >= 2
    asked = [
        message["params"]["request"]["url"]
        for entry in browser.get_log("performance")
        if (message := json.loads(entry["message"])["message"])["method"]
        == "Network.requestWillBeSent"
    ]
    assert len(asked) >= 2
    assert {url.split(":")[0] for url in asked} <= {"file", "data"}
    assert {Path(url).name for url in asked if url.startswith("file")} == {
        "slab-quad-adjustable.html",
        page.name,
    }
    refused = [e for e in browser.get_log("browser") if "Security Policy" in e["message"]]
    assert refused == []


def test_dark_is_dark_and_words_stay_readable(browser, pages):
    open_page(browser, pages / "walkway-quad-old-hooks.html")
    for scheme, dark in (("dark", True), ("light", False)):
        media(browser, "", scheme)
        color = browser.execute_script(
            "return getComputedStyle(document.documentElement).backgroundColor"
        )
        level = sum(map(int, re.findall(r"\d+", color)[:3]))
        assert (level < 200) == dark
    media(browser)
