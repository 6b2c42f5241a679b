"""The embedding examples run, give what they say, and are typed throughout."""

import asyncio
import subprocess
import sys
from pathlib import Path

import pytest
import tomli_w

EMBED = Path(__file__).parents[2] / "examples/embed"


@pytest.fixture
def variants(monkeypatch):
    monkeypatch.syspath_prepend(str(EMBED))
    yield __import__("variants")
    for name in ("variants", "quote", "endpoint"):
        sys.modules.pop(name, None)


def run(*arguments):
    return subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, cwd=EMBED, timeout=120
    )


def test_the_quotation_offers_what_passes_cheapest_first(variants):
    import quote

    found = quote.offers(variants.open_workshop(), "14,000 lb")
    # 3/8 in at 60 deg carries 15,200 lb, at 45 deg 12,400 lb: only the former may be offered
    assert [one.variant for one in found] == [
        "pair-3-8-60-60",
        "pair-3-8-80-60",
        "pair-1-2-60-45",
        "pair-1-2-60-60",
        "pair-1-2-80-45",
        "pair-1-2-80-60",
    ]
    # labor, top link, 4 couplings, 2 hooks, 120 links of chain
    assert found[0].price == pytest.approx(65 + 88 + 4 * 17.5 + 2 * 54 + 120 * 1.15)
    assert found[0].rated == "15,200 lb"


@pytest.mark.parametrize(("load", "status"), [("14,000 lb", 0), ("90,000 lb", 1), ("much", 2)])
def test_the_quotation_says_by_its_status_whether_there_is_an_offer(load, status):
    done = run("quote.py", load)
    assert done.returncode == status
    assert bool(done.stdout) == (status == 0)
    assert "Traceback" not in done.stderr


def test_the_table_rates_every_size_at_every_angle():
    done = run("table.py")
    assert done.returncode == 0, done.stderr
    # the loft's sheets: 8,800 lb and 15,000 lb a leg, published for two legs at 60, 45 and 30 deg
    assert [line.split("  ") for line in done.stdout.splitlines()][1:]
    cells = [
        [cell.strip() for cell in line.split("  ") if cell] for line in done.stdout.splitlines()
    ]
    assert cells[1] == ["3/8 in", "15,200 lb", "12,400 lb", "8,800 lb"]
    assert cells[2] == ["1/2 in", "26,000 lb", "21,200 lb", "15,000 lb"]


@pytest.fixture
def client(variants):
    pytest.importorskip("starlette")
    pytest.importorskip("httpx2")
    import endpoint
    from starlette.testclient import TestClient

    return TestClient(endpoint.app)


def test_the_endpoint_checks_json_and_toml_alike(client, variants):
    build = variants.bridle("3/8 in", 80, 45, "13,000 lb")
    by_json = client.post("/check", json=build)
    by_toml = client.post("/check", content=tomli_w.dumps(build))
    assert by_json.status_code == by_toml.status_code == 200
    said = by_json.json()
    assert said["verdicts"] == by_toml.json()["verdicts"]
    assert said["passes"] is False
    assert said["verdicts"]["load-over-rating"] == "fail"
    assert [one["rule"] for one in said["findings"] if one["level"] == "error"] == [
        "load-over-rating"
    ]


@pytest.mark.parametrize(
    ("body", "type_", "status", "message"),
    [
        (b"[assembly]\nid = ", "text/plain", 422, "A value must stand here"),
        (b"{}", "application/json", 422, "this is no build"),
        (b"[]", "application/json", 422, "no JSON object"),
        (b"[]", "Application/JSON; charset=utf-8", 422, "no JSON object"),
        (b"{}", "application/json-seq", 422, "must start with a key"),
        (b"{", "application/json", 422, "no JSON object"),
        (b"\xff", "text/plain", 422, "no text"),
        (b'{"assembly": null}', "application/json", 422, "/assembly: there is no value (null)"),
        (b'{"assembly": "\\ud800"}', "application/json", 422, "half a character"),
        (b"[" * 60_000, "application/json", 422, "no JSON object"),
        (b"a" * 70_000, "text/plain", 413, "too long"),
    ],
    ids=lambda one: str(one)[:20],
)
def test_the_endpoint_answers_whatever_strangers_send(client, body, type_, status, message):
    said = client.post("/check", content=body, headers={"content-type": type_})
    assert said.status_code == status
    assert message in said.json()["problems"][0]["message"]


def test_a_caller_who_hangs_up_raises_nothing(client):
    scope = {"type": "http", "method": "POST", "path": "/check", "query_string": b"", "headers": []}
    sent = []

    async def receive():
        return {"type": "http.disconnect"}

    async def send(message):
        sent.append(message)

    asyncio.run(client.app(scope, receive, send))
    assert sent[0]["status"] == 400


def test_the_examples_are_typed_throughout():
    pytest.importorskip("mypy")
    pytest.importorskip("starlette")
    command = [sys.executable, "-m", "mypy", "--strict", "--no-incremental", "examples/embed"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=EMBED.parents[1])
    assert done.returncode == 0, done.stdout
