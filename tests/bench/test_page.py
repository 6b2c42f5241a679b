"""How long the page of a large library takes to write, and to open in a browser.

Run with `pytest tests/bench/test_page.py -s`. Measured: 2,000 builds in 9 MB, open in 1.0 to 1.7 s.
"""

from __future__ import annotations

import re
import shutil
import time
from pathlib import Path

import pytest

from riglint import check
from riglint.reports.html import write_html

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
BROWSER, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
BUILDS = 2000
MOST_SECONDS = 6.0  # a page of elements or of plain text took 5 to 8 on the same machine
OPENED = """
    const [entry] = performance.getEntriesByType("navigation");
    return [entry.loadEventEnd / 1000, document.getElementById("count").textContent];
"""


@pytest.mark.skipif(not (BROWSER and DRIVER), reason="no chromium and chromedriver here")
def test_a_page_of_two_thousand_builds_opens(tmp_path: Path) -> None:
    shutil.copy(NORTHMERE / "riglint.toml", tmp_path)
    shutil.copytree(NORTHMERE / "stock", tmp_path / "stock")
    texts = [
        path.read_text(encoding="utf-8")
        for folder in ("builds", "faults")
        for path in sorted((NORTHMERE / folder).glob("*.toml"))
    ]
    for n in range(BUILDS):
        text = re.sub(r'^id = ".*"', f'id = "b-{n}"', texts[n % len(texts)], count=1, flags=re.M)
        (tmp_path / f"{n:04}.toml").write_text(text, encoding="utf-8")
    report = check(tmp_path)
    page = tmp_path / "page.html"
    start = time.perf_counter()
    with page.open("w", encoding="utf-8") as out:
        write_html(report, out)
    written = time.perf_counter() - start
    options = webdriver.ChromeOptions()
    options.binary_location = BROWSER
    for flag in ("--headless=new", "--no-sandbox", f"--user-data-dir={tmp_path / 'profile'}"):
        options.add_argument(flag)
    browser = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    try:
        browser.get(page.as_uri())
        seconds, count = browser.execute_script(OPENED)
    finally:
        browser.quit()
    print(
        f"written in {written:.1f} s, {page.stat().st_size / 1e6:.1f} MB, open in {seconds:.2f} s"
    )
    assert count == f"{BUILDS} of {BUILDS} shown"
    assert seconds < MOST_SECONDS
