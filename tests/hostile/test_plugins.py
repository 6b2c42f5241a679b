"""Rule packs that loop, print, exit, flood, mutate or come back wrong: each a problem, named."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import subprocess
import sys
import textwrap
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import attrs
import pytest
import tomli_w

from riglint import (
    API_VERSION,
    Finding,
    Length,
    Library,
    Pack,
    Part,
    ReportKind,
    Unstated,
    Workshop,
    check,
    hookimpl,
    rule,
)
from riglint.commands.reporting import Wanted, write_reports
from riglint.overtime import Overtime
from riglint.reports import BUILT_IN
from riglint.testing import CATALOG_TABLES, values_of

SECONDS = 0.3
PATIENCE = 300.0  # seconds, so that a rule that is never stopped fails the test


class Plugin:
    def __init__(self, *rules: Any, retired: dict[str, str] | None = None) -> None:
        self.pack = Pack("house", "1", API_VERSION, rules, retired=retired or {})

    @hookimpl
    def riglint_pack(self, context: Any) -> Any:
        return self.pack


def made(check: Any, name: str = "bad", **options: Any) -> Any:
    metadata = {"about": Part, "level": "error", "title": "t", "because": "b", "sources": ["s"]}
    return rule(name, **(metadata | options), fails='base = "pair"')(check)


def spin(part, ctx):
    while True:
        pass
    yield


def spin_and_swallow(part, ctx):
    while True:
        try:
            while True:
                pass
        except BaseException:
            pass
    yield


def search(part, ctx):
    re.match(r"(a+)+$", "a" * 60 + "b")
    yield from ()


def sleep(part, ctx):
    time.sleep(60)
    yield from ()


def find_and_spin(part, ctx):
    yield part.finding("{part} is odd", remedy="Look at it.")
    while True:
        pass


def flood(part, ctx):
    while True:
        yield part.finding("{part}", remedy="r")


def split(example: str) -> tuple[dict[str, Any], dict[str, Any]]:
    values = values_of(example)
    catalog = {key: values.pop(key) for key in CATALOG_TABLES}
    return values, catalog


BUILD, STOCK = split('base = "pair"\n[[item]]\nid = "hook"\ngrade = 80')


def judged(*rules: Any, **options: Any) -> Any:
    return Workshop([STOCK], plugins=[Plugin(*rules)], **options).check(BUILD)


@pytest.fixture(scope="module")
def alone():
    return Workshop([STOCK]).check(BUILD)


def all_else_stands(report: Any, alone: Any) -> None:
    verdicts = dict(report.verdicts)
    assert verdicts.pop("house:bad") in ("open", "fail")
    assert verdicts == alone.verdicts
    assert verdicts["grade-mismatch"] == "fail"


# Time


@pytest.mark.parametrize(
    ("bad", "where"),
    [(spin, "main thread"), (spin, "other thread"), (spin_and_swallow, "main thread")],
    ids=["main-thread", "other-thread", "catches-everything"],
)
def test_a_rule_that_loops_is_stopped_and_all_else_stands(bad, where, alone):
    started = time.monotonic()
    if where == "main thread":
        report = judged(made(bad), rule_seconds=SECONDS)
    else:
        with ThreadPoolExecutor(1) as thread:
            report = thread.submit(judged, made(bad), rule_seconds=SECONDS).result(PATIENCE)
    assert time.monotonic() - started >= SECONDS
    (problem,) = report.judgment.problems
    assert "the rule house:bad took longer than 0.3 s and was stopped" in problem.message
    assert "test_plugins.py, line" in problem.message
    all_else_stands(report, alone)


@pytest.mark.parametrize("bad", [search, sleep], ids=lambda one: one.__name__)
def test_in_the_main_thread_what_looks_for_signals_is_stopped_too(bad, alone):
    report = judged(made(bad), rule_seconds=SECONDS)
    assert "took longer than" in report.judgment.problems[0].message
    all_else_stands(report, alone)


def test_findings_before_the_time_was_over_stand(alone):
    report = judged(made(find_and_spin), rule_seconds=SECONDS)
    assert report.verdicts["house:bad"] == "fail"
    assert [p.finding.message for p in report.findings if p.finding.rule == "house:bad"] == [
        "top is odd"
    ]


def test_a_rule_that_waits_in_when_and_one_that_gathers_are_stopped():
    def endless(subject):
        while True:
            pass

    slow = made(lambda part, ctx: iter(()), when=endless)
    assert "took longer" in judged(slow, rule_seconds=SECONDS).judgment.problems[0].message
    gathers = made(lambda library, ctx: iter(()), about=Library, gather=endless)
    shop = Workshop([STOCK], plugins=[Plugin(gathers)], rule_seconds=SECONDS)
    problems: list[Any] = []
    assert "house:bad" not in shop.judge.gather(shop.sling(BUILD), problems)
    assert "took longer" in problems[0].message


def test_a_program_that_uses_the_alarm_itself_keeps_it(alone):
    rung: list[int] = []
    before = signal.signal(signal.SIGALRM, lambda *_: rung.append(1))
    try:
        signal.setitimer(signal.ITIMER_REAL, 30)
        report = judged(made(spin), rule_seconds=SECONDS)
        assert signal.getitimer(signal.ITIMER_REAL)[0] > 0
        assert signal.getsignal(signal.SIGALRM) not in (signal.SIG_DFL, signal.SIG_IGN)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    assert rung == []
    all_else_stands(report, alone)


def test_the_alarm_is_put_back_and_no_thread_is_left():
    threads = threading.active_count()
    judged(rule_seconds=SECONDS)
    assert signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
    with ThreadPoolExecutor(1) as thread:
        thread.submit(judged, rule_seconds=SECONDS).result(PATIENCE)
    assert threading.active_count() == threads


def test_a_time_limit_changes_no_result(alone):
    timed = judged(rule_seconds=PATIENCE)
    assert timed.verdicts == alone.verdicts
    assert timed.findings == alone.findings


# What else a rule may do


def test_a_flood_of_findings_ends():
    report = judged(made(flood, when=lambda part: part.path == "top"))
    assert "it gives more than 10,000 findings" in report.judgment.problems[0].message


class Odd(BaseException):
    def __str__(self) -> str:
        raise ValueError("no text")


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (Odd(), "Odd: its message cannot be shown (ValueError)"),
        (GeneratorExit(), "GeneratorExit"),
        (SystemExit(0), "SystemExit: 0"),
        (KeyboardInterrupt(), "KeyboardInterrupt"),
        (RuntimeError("x" * 10_000), "RuntimeError: xxx"),
        (RuntimeError("a\nb\x1b[31m"), "RuntimeError: a b"),
    ],
    ids=lambda one: str(type(one).__name__),
)
def test_whatever_a_rule_raises_is_said_in_a_line(error, said, alone):
    def raises(part, ctx):
        raise error
        yield

    report = judged(made(raises))
    message = report.judgment.problems[0].message
    assert said in message
    assert len(message) < 500
    assert "\n" not in message
    all_else_stands(report, alone)


def press(part, ctx):
    signal.raise_signal(signal.SIGINT)
    yield


def press_and_raise(part, ctx):
    try:
        signal.raise_signal(signal.SIGINT)
    except KeyboardInterrupt:
        raise KeyboardInterrupt from None
    yield


def press_in_a_loop(part, ctx):
    threading.Timer(0.1, signal.raise_signal, [signal.SIGINT]).start()
    while True:
        pass
    yield


@pytest.mark.parametrize("seconds", [None, PATIENCE])
@pytest.mark.parametrize("pressed", [press, press_and_raise, press_in_a_loop])
def test_an_interrupt_that_is_none_of_the_rules_own_stops_the_run(pressed, seconds):
    with pytest.raises(KeyboardInterrupt):
        judged(made(pressed), rule_seconds=seconds)


def test_a_time_limit_that_a_rule_claims_is_over_is_its_own_fault(alone):
    def bad(part, ctx):
        raise Overtime
        yield

    report = judged(made(bad))
    assert "the rule house:bad failed on top: Overtime" in report.judgment.problems[0].message
    all_else_stands(report, alone)


@pytest.mark.parametrize("base", [SystemExit, KeyboardInterrupt])
def test_settings_that_end_the_run_are_a_problem(base, alone):
    class Settings:
        def __init__(self) -> None:
            raise base

    report = judged(made(lambda part, ctx: iter(()), settings=Settings))
    told = f"the settings of the rule house:bad cannot be made: {base.__name__}"
    assert [one.message for one in report.judgment.problems] == [told]
    all_else_stands(report, alone)


def write_odd(report, out):
    raise Odd


def write_interrupt(report, out):
    raise KeyboardInterrupt


def write_nowhere(report, out):
    out.close()


def write_and_close_the_other(report, out):
    print("hello")
    sys.stdout.close()


@pytest.mark.parametrize(
    ("write", "told"),
    [
        (write_odd, "failed: Odd: its message cannot be shown (ValueError)"),
        (write_interrupt, "failed: KeyboardInterrupt"),
        (write_nowhere, "failed: ValueError: I/O operation on closed file"),
        (write_and_close_the_other, "printed to standard output"),
    ],
)
def test_whatever_a_packs_report_does_the_others_tell_of_it(write, told, tmp_path):
    plugin = Plugin()
    plugin.pack = attrs.evolve(plugin.pack, reports=(ReportKind("odd", "t", write),))
    report = check(tmp_path, plugins=[plugin])
    out = tmp_path / "report.json"
    assert write_reports(report, [Wanted("json", str(out)), Wanted("house:odd")]) == 2
    messages = [one["message"] for one in json.loads(out.read_text())["problems"]]
    assert any(
        one.startswith(f"the report house:odd of the rule pack house {told}") for one in messages
    )


def touch_sheet(part):
    part.sheet.bar = 5


def touch_part(part):
    part.links = 5


def touch_legs(part):
    part.sling.legs.clear()


def touch_gatherings(part):
    part.sling.gatherings.clear()


def touch_own_legs(part):
    part.sling.gatherings[0].own_legs.clear()


@pytest.mark.parametrize(
    "touch",
    [touch_sheet, touch_part, touch_legs, touch_gatherings, touch_own_legs],
    ids=lambda one: one.__name__,
)
def test_a_rule_cannot_change_what_it_judges(touch, alone):
    def bad(part, ctx):
        touch(part)
        yield from ()

    report = judged(made(bad))
    assert report.judgment.problems
    all_else_stands(report, alone)


def test_a_finding_holds_nothing_that_can_be_changed_later():
    facts = [["a"], ["b"]]

    def bad(part, ctx):
        yield part.finding("{those}", those=facts, remedy="r")

    report = judged(made(bad))
    facts[0].append("x")
    (first, *_) = [p.finding for p in report.findings if p.finding.rule == "house:bad"]
    assert first.facts["those"] == (("a",), ("b",))


@pytest.mark.parametrize("gathered", [ValueError("no"), [1]], ids=["raises", "unhashable"])
def test_a_library_rule_that_cannot_gather_is_a_problem(tmp_path, gathered):
    def gather(sling):
        if isinstance(gathered, Exception):
            raise gathered
        return gathered

    (tmp_path / "build.toml").write_text(tomli_w.dumps(BUILD))
    (tmp_path / "stock.toml").write_text(tomli_w.dumps(STOCK))
    bad = made(lambda library, ctx: iter(()), about=Library, gather=gather)
    report = check(tmp_path, plugins=[Plugin(bad)])
    assert report.exit_status == 2
    assert "the rule house:bad failed on" in report.problems[0].message
    assert report.assemblies[0].judgment.verdicts["grade-mismatch"] == "fail"


# Findings that are none


class Twice:
    """Shows itself once, and not again."""

    asked = 0

    def __str__(self) -> str:
        self.asked += 1
        if self.asked > 1:
            raise ValueError("asked twice")
        return "shown once"


class Stuck(str):
    """A text that never comes back from being compared, once it is armed."""

    armed = False

    def __eq__(self, other: object) -> bool:
        while self.armed:
            pass
        return str.__eq__(self, other)

    def __lt__(self, other: str) -> bool:
        while self.armed:
            pass
        return str.__lt__(self, other)

    def __hash__(self) -> int:
        return str.__hash__(self)


class Duck:
    """Looks like a finding as far as the engine asks."""

    def judged_by(self, *_: Any) -> Any:
        return self


def finding_with(subject: Any, /, **fields: Any) -> Finding:
    return attrs.evolve(subject.finding("{part} is odd", remedy="Look at it."), **fields)


def gap_with(**fields: Any) -> Unstated:
    gap = Unstated("bar")
    vars(gap).update(fields)
    return gap


FAULTY_FIELDS = [
    ({"template": None}, "template is of type NoneType; it must be a text"),
    ({"remedy_template": 5}, "remedy_template is of type int; it must be a text"),
    ({"part": None}, "part is of type NoneType; it must be a text"),
    ({"key": None}, "key is of type NoneType; it must be a tuple of texts and whole numbers"),
    ({"key": 5}, "key is of type int; it must be a tuple of texts and whole numbers"),
    ({"key": ([],)}, "key is of type list; it must be a text or a whole number"),
    ({"also": 5}, "also is of type int; it must be a tuple of texts"),
    ({"also": "top"}, "also is of type str; it must be a tuple of texts"),
    ({"also": (None,)}, "also is of type NoneType; it must be a text"),
    ({"sources": (7,)}, "sources is of type int; it must be a text"),
    ({"units": None}, "units is of type NoneType; it must be Units"),
    ({"facts": 5}, "facts is of type int; it must be a mapping of names to facts"),
    ({"facts": {5: 5}}, "facts is of type int; it must be a text"),
    ({"found": 10**400}, "found is a number of more than 308 digits"),
    ({"found": float("nan")}, "found is nan; it must be finite"),
    ({"limit": float("inf")}, "limit is inf; it must be finite"),
    ({"found": Length(float("inf"))}, "found is inf; it must be finite"),
    ({"found": Length(5, 7)}, "found is of type int; it must be a text"),  # type: ignore[arg-type]
    ({"facts": {"rest": float("-inf")}}, "fact rest is -inf; it must be finite"),
    ({"level": "fatal"}, "level is 'fatal'; it must be error, warning or note"),
    ({"file": 7}, "file is of type int; it must be a text"),
    ({"line": None}, "line is of type NoneType; it must be a whole number"),
    ({"line": 0}, "line is below 1; lines count from 1"),
    ({"permit": 5}, "permit is of type int; it must be a text"),
    ({"known": 5}, "known is of type int; it must be a text"),
]


@pytest.mark.parametrize(("fields", "told"), FAULTY_FIELDS, ids=lambda one: str(one)[:30])
def test_a_field_of_a_finding_that_is_none_is_named_with_its_rule(fields, told, alone):
    def bad(part, ctx):
        yield finding_with(part, **fields)

    report = judged(made(bad))
    message = report.judgment.problems[0].message
    assert message.startswith("the rule house:bad failed on top: ")
    assert f"its finding's {told} (" in message
    assert re.search(r"\(test_plugins.py, line \d+\)$", message)
    assert report.verdicts["house:bad"] == "open"
    all_else_stands(report, alone)


@pytest.mark.parametrize(
    "given", [None, "a text", Duck(), (1, 2)], ids=lambda one: type(one).__name__
)
def test_what_is_no_finding_is_named_with_its_rule(given, alone):
    report = judged(made(lambda part, ctx: iter([given])))
    kind = type(given).__name__
    told = (
        f"the rule house:bad failed on top: what it gives is of type {kind}; it must be a Finding"
    )
    assert told in report.judgment.problems[0].message
    all_else_stands(report, alone)


@pytest.mark.parametrize(
    ("gap", "told"),
    [
        (Unstated(None), "datum is of type NoneType"),  # type: ignore[arg-type]
        (gap_with(why=7), "why is of type int"),
        (gap_with(of=()), "of is of type tuple"),
        (gap_with(key=("a",)), "key is of type tuple"),
        (gap_with(item=5), "item is of type int"),
    ],
)
def test_a_datum_that_is_none_is_named_with_its_rule(gap, told, alone):
    def bad(part, ctx):
        raise gap
        yield

    report = judged(made(bad))
    message = report.judgment.problems[0].message
    assert f"house:bad failed on top: its Unstated's {told}; it must be a text" in message
    assert report.judgment.missing == alone.judgment.missing
    all_else_stands(report, alone)


def test_nothing_of_a_rules_own_classes_goes_on_to_the_reports(alone):
    class OwnLength(Length):
        pass

    class OwnFloat(float):
        pass

    class OwnInt(int):
        pass

    once, stuck = Twice(), [Stuck("top"), Stuck("{part}: {fact}, {many}"), Stuck("also")]

    def bad(part, ctx):
        if part.path != "top":
            return
        yield Finding(
            template=stuck[1], part=stuck[0], key=(stuck[0], OwnInt(0)), units=part.sling.units,
            facts={stuck[2]: stuck[2], "fact": once, "many": [OwnFloat(1.5), part]},
            found=OwnLength(5), limit=OwnInt(10), also=[stuck[2]], remedy_template="r",
        )  # fmt: skip
        Stuck.armed = True

    try:
        report = judged(made(bad), rule_seconds=SECONDS)
        (own,) = [p.finding for p in report.findings if p.finding.rule == "house:bad"]
    finally:
        Stuck.armed = False
    assert own.message == "top: shown once, 1.5, top"
    assert own.message == "top: shown once, 1.5, top"  # again, as every report does
    texts = (own.part, own.template, own.key[0], own.also[0], *own.facts, own.facts["fact"])
    assert {type(one) for one in texts} == {str}
    assert [type(one) for one in own.facts["many"]] == [float, str]
    assert (type(own.found), type(own.limit), type(own.key[1])) == (Length, int, int)
    assert own.ratio == 0.5
    all_else_stands(report, alone)


@pytest.mark.parametrize("field", ["found", "those"])
def test_a_fact_that_never_shows_itself_is_stopped(field, alone):
    class Loops:
        def __str__(self) -> str:
            while True:
                pass

    def bad(part, ctx):
        yield part.finding("{part}", **{field: Loops()}, remedy="r")

    report = judged(made(bad), rule_seconds=SECONDS)
    assert "house:bad took longer than" in report.judgment.problems[0].message
    all_else_stands(report, alone)


def test_a_fact_within_itself_is_named(alone):
    endless: list[Any] = []
    endless.append(endless)

    def bad(part, ctx):
        yield part.finding("{part}", those=endless, remedy="r")

    told = "its finding's fact those has lists within lists, more than 8 deep"
    report = judged(made(bad))
    assert told in report.judgment.problems[0].message
    all_else_stands(report, alone)


def test_a_ratio_beyond_all_numbers_is_none():
    def bad(part, ctx):
        yield part.finding("{part}", found=1e308, limit=1e-308, remedy="r")

    report = judged(made(bad))
    assert {p.finding.ratio for p in report.findings if p.finding.rule == "house:bad"} == {None}


@pytest.mark.parametrize("fields", [one for one, _ in FAULTY_FIELDS], ids=lambda one: str(one)[:30])
def test_every_report_is_written_whatever_a_finding_holds(tmp_path, fields):
    def bad(part, ctx):
        yield finding_with(part, **fields)

    (tmp_path / "build.toml").write_text(tomli_w.dumps(BUILD))
    (tmp_path / "stock.toml").write_text(tomli_w.dumps(STOCK))
    report = check(tmp_path, plugins=[Plugin(made(bad))])
    assert report.exit_status == 2
    for kind in BUILT_IN:
        out = io.StringIO()
        kind.write(report, out)
        assert "house:bad" in out.getvalue()
        assert "NaN" not in out.getvalue()


# Rules whose metadata are none


@pytest.mark.parametrize(
    ("metadata", "told"),
    [
        ({"level": "fatal"}, "level is one of error, warning, note"),
        ({"level": None}, "level is one of error, warning, note"),
        ({"name": 5}, "name must be a text"),
        ({"title": None}, "title must be a text"),
        ({"fails": None}, "fails must be a text"),
        ({"sources": (5,)}, "sources must be a tuple of texts"),
        ({"aliases": "old"}, "aliases must be a tuple of texts"),
        ({"about": str}, "about is one of Part, Leg"),
        ({"check": None}, "check must be a function or class"),
        ({"when": 5}, "when must be a function or class"),
        ({"settings": 5}, "settings must be a function or class"),
    ],
    ids=str,
)
def test_a_rule_with_metadata_that_are_none_is_not_made(metadata, told):
    with pytest.raises(ValueError, match=f"rule .*: {told}"):
        attrs.evolve(made(complains), **metadata)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"level": "fatal"}, "level is one of"),
        ({"sources": "House"}, "sources and aliases are lists"),
        ({"aliases": "old"}, "sources and aliases are lists"),
    ],
)
def test_the_decorator_refuses_them_too(given, told):
    with pytest.raises(ValueError, match=f"rule bad: {told}"):
        made(complains, **given)


# Through the command: rules that print, loop, or end their process

PACK = """
import os, subprocess, sys, time
from riglint import API_VERSION, Pack, Part, hookimpl, rule

print("imported")

def bad(part, ctx):
    {body}
    yield from ()

made = rule("bad", about=Part, level="error", title="t", because="b", sources=["s"],
            fails='base = "pair"')(bad)

@hookimpl
def riglint_pack(context):
    return Pack("loud", "1", API_VERSION, (made,))
"""


def library(folder: Path, body: str) -> None:
    """A library that names a pack, and the pack installed beside it."""
    (folder / "loud_pack.py").write_text(PACK.format(body=body))
    info = folder / "loud_pack-1.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: loud-pack\nVersion: 1\n")
    (info / "entry_points.txt").write_text("[riglint.packs]\nloud = loud_pack\n")
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\npacks = ["loud"]\n')
    (folder / "build.toml").write_text(tomli_w.dumps(BUILD))
    (folder / "stock.toml").write_text(tomli_w.dumps(STOCK))


def command(folder: Path, *arguments: str) -> Any:
    code = "import sys; sys.path.insert(0, '.'); from riglint.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=folder, capture_output=True, text=True, timeout=90,
    )  # fmt: skip


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize(
    "body",
    [
        "print('loud')",
        "sys.__stdout__.write('loud\\n')",
        "os.write(1, b'loud\\n')",
        "subprocess.run(['echo', 'loud'])",
    ],
)
def test_what_rules_print_does_not_reach_the_report(tmp_path, body, jobs):
    library(tmp_path, body)
    done = command(tmp_path, "check", ".", "--report", "json", "--jobs", jobs)
    assert done.returncode == 1, done.stderr
    assert json.loads(done.stdout)["summary"]["assemblies"] == 1
    assert "loud" in done.stderr


@pytest.mark.parametrize("stream", ["sys.stdout", "sys.stderr", "sys.__stdout__", "sys.__stderr__"])
def test_a_rule_that_closes_a_stream_leaves_no_traceback_and_no_sound_run(tmp_path, stream):
    library(tmp_path, f"{stream}.close()")
    done = command(tmp_path, "check", ".", "--report", "json")
    assert done.returncode in (1, 2)
    assert "Traceback" not in done.stderr + done.stdout


def test_what_rules_print_does_not_reach_the_other_commands_either(tmp_path):
    library(tmp_path, "print('loud')")
    sheet = command(tmp_path, "rate", "build.toml", "--report", "json")
    assert json.loads(sheet.stdout)["id"] == "pair", sheet.stderr
    listed = command(tmp_path, "rules", "--policy", "riglint.toml")
    assert "imported" not in listed.stdout
    assert "imported" in listed.stderr


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_the_command_stops_a_rule_that_loops(tmp_path, jobs):
    library(tmp_path, textwrap.indent("while True: pass", "    ").strip())
    done = command(
        tmp_path, "check", ".", "--report", "json", "--rule-seconds", "0.5", "--jobs", jobs
    )
    assert done.returncode == 2
    (problem,) = json.loads(done.stdout)["problems"]
    assert "the rule loud:bad took longer than 0.5 s" in problem["message"]


def test_a_rule_that_ends_its_process_ends_no_run_as_sound(tmp_path):
    library(tmp_path, "os._exit(0)")
    done = command(tmp_path, "check", ".", "--report", "json", "--jobs", "2")
    assert done.returncode == 2
    messages = [one["message"] for one in json.loads(done.stdout)["problems"]]
    assert any("not checked: the process that judged it" in message for message in messages)


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_rule_that_changes_the_working_folder_leads_no_output_there(tmp_path, jobs):
    (tmp_path / "elsewhere").mkdir()
    library(tmp_path, "os.path.isdir('elsewhere') and os.chdir('elsewhere')")
    done = command(
        tmp_path, "check", ".", "--report=json=out.json", "--write-known=known.toml", "--jobs", jobs
    )
    assert done.returncode == 0, done.stderr
    assert json.loads((tmp_path / "out.json").read_text())["known"]["file"] == "known.toml"
    assert (tmp_path / "known.toml").is_file()
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_packs_report_that_changes_the_working_folder_leads_no_other_there(tmp_path, monkeypatch):
    def leave(report, out):
        os.chdir("elsewhere")

    monkeypatch.chdir(tmp_path)
    (tmp_path / "elsewhere").mkdir()
    plugin = Plugin()
    plugin.pack = attrs.evolve(plugin.pack, reports=(ReportKind("leave", "t", leave),))
    report = check("elsewhere", plugins=[plugin])
    write_reports(report, [Wanted("json", "out.json"), Wanted("house:leave", "left.txt")])
    assert {one.name for one in tmp_path.iterdir()} == {"elsewhere", "out.json", "left.txt"}


@pytest.mark.parametrize("seconds", ["-1", "nan", "inf", "x", ""])
def test_a_time_that_is_none_is_refused(tmp_path, seconds):
    done = command(tmp_path, "check", f"--rule-seconds={seconds}")
    assert done.returncode == 2
    assert "is no number of seconds" in done.stderr


# Rules that are called otherwise now, or are no more


def permitted(rule: str) -> dict[str, Any]:
    permit = {"rule": rule, "use": "u", "justification": "j", "approved_by": "a", "quantity": 1}
    return BUILD | {"deviation_permit": [permit]}


def complains(part, ctx):
    if part.path == "top":
        yield part.finding("{part} is odd", remedy="r")


NEW = made(complains, "new-name", aliases=["old-name"])
HOUSE = Plugin(NEW, retired={"gone": "grade-mismatch says it now"})


@pytest.mark.parametrize("name", ["house:new-name", "house:old-name"])
def test_a_permit_by_an_old_name_holds_and_the_report_says_so(name):
    report = Workshop([STOCK], plugins=[HOUSE]).check(permitted(name))
    assert report.judgment.problems == ()
    (finding,) = [p.finding for p in report.findings if p.finding.rule == "house:new-name"]
    assert finding.permit
    told = ("the rule house:old-name is called house:new-name now",)
    assert report.judgment.notices == (told if "old" in name else ())


def test_old_and_retired_names_are_no_error_and_are_told_once(tmp_path):
    for n in range(3):
        values = permitted("house:old-name") | {"assembly": BUILD["assembly"] | {"id": f"b{n}"}}
        (tmp_path / f"build{n}.toml").write_text(tomli_w.dumps(values))
    (tmp_path / "stock.toml").write_text(tomli_w.dumps(STOCK))
    (tmp_path / "riglint.toml").write_text(
        'catalogs = ["stock.toml"]\n[rules."house:old-name"]\nlevel = "note"\n'
        '[rules."house:gone"]\nlevel = "off"\n'
    )
    report = check(tmp_path, plugins=[HOUSE])
    assert report.problems == ()
    assert report.notices == (
        "the rule house:old-name is called house:new-name now",
        "there is no rule house:gone any more: grade-mismatch says it now",
    )
    levels = {p.finding.rule: p.finding.level for p in report.assemblies[0].findings}
    assert levels["house:new-name"] == "note"


def test_a_permit_for_a_retired_rule_covers_nothing_and_is_told():
    report = Workshop([STOCK], plugins=[HOUSE]).check(permitted("house:gone"))
    assert report.judgment.problems == ()
    assert "no rule house:gone any more" in report.judgment.notices[0]


def test_packs_are_frozen():
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        HOUSE.pack.name = "other"  # type: ignore[misc]


def sound_finding(subject, **fields):
    facts = {name: fields.pop(name) for name in ("found", "limit") if name in fields}
    made = subject.finding("{part} is {found}", remedy="r", **facts)
    return attrs.evolve(made, **fields)


def test_a_rule_cannot_permit_its_own_finding():
    def bad(part, ctx):
        yield sound_finding(part, permit="by itself", known="so it says")

    assert judged(made(bad)).count("error") > judged().count("error")
