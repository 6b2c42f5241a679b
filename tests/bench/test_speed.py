"""How long a library takes, as a multiple of reading its TOML, and how long the command starts.

Run with `pytest tests/bench -s`; times alone say little, the ratios travel between machines.
"""

from __future__ import annotations

import gc
import re
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from riglint import check

BUILDS = 1000
ITEMS = 120
MOST_TIMES_THE_READING = 25  # measured 3.5 to 4 (sound) and 6 to 8 (faulty)
MOST_TIMES_PYTHON = 20  # measured 4 to 9 for --version, 9 to 14 for a check


def sound(name: str) -> dict[str, Any]:
    return tomllib.loads(
        files("riglint_specs").joinpath("sound", f"{name}.toml").read_text("utf-8")
    )


def write_library(folder: Path) -> list[Path]:
    """Sound slings of three kinds in turn, each of its own chain, length and load."""
    stock = sound("stock")
    (chain,) = [item for item in stock["item"] if item["id"] == "chain"]
    spare = [{**chain, "id": f"chain-{n}"} for n in range(ITEMS - len(stock["item"]))]
    stock["item"] += spare
    (folder / "stock.toml").write_text(tomli_w.dumps(stock))
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    (folder / "builds").mkdir()
    bases = [sound(name) for name in ("quad", "pair", "shortened")]
    paths = []
    for n in range(BUILDS):
        build = bases[n % 3]
        build["assembly"]["id"] = f"build-{n:04}"
        build["duty"] |= {"load": f"{9_000 + n:,} lb", "service": "normal"}
        build["duty"] |= {"temperature": {"high": "100 degF"}, "environment": ["outdoor"]}
        build["proof"] = {"leg_load": "17,600 lb", "master_load": "35,200 lb"}
        build["tag"]["rating"] = [
            {"hitch": "bridle", "angle": {"from_horizontal": f"{angle} deg"}, "load": load}
            for angle, load in ((60, "15,200 lb"), (45, "12,400 lb"), (30, "8,800 lb"))
        ]
        for leg in build["leg"]:
            chain = next(part for part in leg["parts"] if "links" in part)
            chain |= {"item": spare[n % len(spare)]["id"], "links": 60 + n % 30}
        paths.append(folder / "builds" / f"{n:04}.toml")
        paths[-1].write_text(tomli_w.dumps(build))
    return paths


NORTHMERE = Path(__file__).parents[2] / "examples/northmere"


def write_sound_library(folder: Path) -> list[Path]:
    """The sound example builds over and over, each with an id of its own; 210 items."""
    shutil.copy(NORTHMERE / "riglint.toml", folder)
    shutil.copytree(NORTHMERE / "stock", folder / "stock")
    (folder / "builds").mkdir()
    texts = [
        path.read_text("utf-8")
        for path in sorted((NORTHMERE / "builds").glob("*.toml"))
        if "permit" not in path.name
    ]
    paths = [folder / "builds" / f"{n:04}.toml" for n in range(BUILDS)]
    for n, path in enumerate(paths):
        text = re.sub(
            r'^id = ".*"', f'id = "build-{n:04}"', texts[n % len(texts)], count=1, flags=re.M
        )
        path.write_text(text, encoding="utf-8")
    return paths


@pytest.fixture(scope="module")
def sound_library(tmp_path_factory) -> tuple[Path, list[Path]]:
    folder = tmp_path_factory.mktemp("sound")
    return folder, write_sound_library(folder)


@pytest.fixture
def no_collector():
    """As the command runs: see `riglint.cli.main`."""
    gc.disable()
    yield
    gc.enable()


@pytest.fixture(scope="module")
def library(tmp_path_factory) -> tuple[Path, list[Path]]:
    folder = tmp_path_factory.mktemp("library")
    return folder, write_library(folder)


def best_of(times: int, run: Callable[[], object]) -> float:
    def once() -> float:
        start = time.perf_counter()
        run()
        return time.perf_counter() - start

    return min(once() for _ in range(times))


def read_all(paths: list[Path]) -> int:
    return sum(len(tomllib.loads(path.read_text("utf-8"))) for path in paths)


@pytest.mark.parametrize("kind", ["sound_library", "library"], ids=["sound", "faulty"])
def test_a_thousand_builds(kind, benchmark, request, no_collector):
    folder, paths = request.getfixturevalue(kind)
    lines = [len(path.read_text("utf-8").splitlines()) for path in paths]
    assert sum(lines) / len(lines) >= 50
    reading = best_of(5, lambda: read_all(paths))
    report = benchmark.pedantic(check, (folder,), rounds=3, warmup_rounds=1)
    assert len(report.assemblies) == BUILDS
    assert report.problems == ()
    ratio = benchmark.stats.stats.min / reading
    benchmark.extra_info["times_tomllib"] = round(ratio, 2)
    benchmark.extra_info["tomllib_ms_a_file"] = round(1000 * reading / BUILDS, 3)
    print(
        f"\n{BUILDS} builds, {kind}: {1000 * benchmark.stats.stats.min / BUILDS:.2f} ms a build,"
        f" tomllib {1000 * reading / BUILDS:.2f} ms, {ratio:.1f} times"
    )
    assert ratio < MOST_TIMES_THE_READING


def python(*arguments: str) -> Callable[[], object]:
    def run() -> object:
        done = subprocess.run([sys.executable, *arguments], capture_output=True)
        assert done.returncode in (0, 1)  # 1: checked, with findings
        return done

    return run


@pytest.mark.parametrize("command", ["version", "check"])
def test_cold_start(library, benchmark, command):
    _, paths = library
    shown = ["--version"] if command == "version" else ["check", str(paths[1])]
    bare = best_of(7, python("-c", "pass"))
    benchmark.pedantic(python("-m", "riglint.cli", *shown), rounds=7, warmup_rounds=1)
    ratio = benchmark.stats.stats.min / bare
    benchmark.extra_info["times_python"] = round(ratio, 2)
    print(
        f"\n{command}: {1000 * benchmark.stats.stats.min:.0f} ms, python -c pass"
        f" {1000 * bare:.0f} ms, {ratio:.1f} times"
    )
    assert ratio < MOST_TIMES_PYTHON
