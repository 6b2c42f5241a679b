"""The same input gives the same bytes out, whatever the number of jobs and the order of paths."""

import json
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path

import pytest

from riglint import check
from riglint.reports.data import report_data

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"


@pytest.fixture(scope="module")
def alone():
    return json.dumps(report_data(check(NORTHMERE), "0"))


@pytest.mark.parametrize("chunk", [1, 7, 1000])
def test_workers_give_what_one_run_gives(alone, chunk, monkeypatch):
    monkeypatch.setattr(import_module("riglint.check"), "CHUNK", chunk)
    with ThreadPoolExecutor(3) as executor:
        report = check(NORTHMERE, executor=executor)
    assert json.dumps(report_data(report, "0")) == alone
    assert report.assemblies[0].sling.id == report.assemblies[0].id


def test_processes_give_what_one_run_gives(alone):
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(2) as executor:
        report = check(NORTHMERE, executor=executor)
    assert json.dumps(report_data(report, "0")) == alone


def test_the_order_of_paths_changes_nothing(alone):
    parts = sorted(path for path in NORTHMERE.iterdir() if path.is_dir())
    there, back = check(*parts), check(*reversed(parts))
    assert json.dumps(report_data(there, "0")) == json.dumps(report_data(back, "0"))
