"""Every value of the sound files replaced by hostile ones: read rightly, or refused in words."""

from __future__ import annotations

import copy
import datetime
import math
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest
import tomli
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from riglint.problem import Problem, Unreadable
from riglint.reading import read_build, read_catalog, read_record
from riglint.source import Document, parse_document

LONG = "x" * 300
HOSTILE: dict[str, Any] = {
    "five": 5,
    "minus one": -1,
    "zero": 0,
    "infinite": math.inf,
    "nan": math.nan,
    "true": True,
    "empty text": "",
    "long text": LONG,
    "empty list": [],
    "empty table": {},
    "date": datetime.date(2026, 1, 1),
    "nested list": [[5], [[""]]],
}


def words(text: str) -> set[str]:
    return set(text.split())


# Which of these a key may rightly hold, by the written formats. A key is named by its end.
WHOLE = words("""
    leg.count parts.links branch.links adjust.first_link tag.legs tag.grade item.grade
    item.plies chart.legs legs.0 legs.1 chart.grade limit_for.legs pocket.grade pocket.count
    pocket.first_link deviation_permit.quantity
""")
NUMBER = words("""
    item.design_factor chart.design_factor item.strength_factor item.efficiency
    angle_limits.factor
""")
TRUTH = {"item.latch", "leg.endless", "duty.load_is_rigid"}
TEXT = words("""
    assembly.title assembly.designation duty.hung_from environment.0 part.item part.on leg.on
    leg.to leg.chokes_in parts.item branch.item adjust.pocket adjust.on pick_points.leg
    tag.manufacturer tag.size tag.serial tag.material deviation_permit.rule
    deviation_permit.part deviation_permit.use deviation_permit.justification
    deviation_permit.approved_by catalog.title catalog.edition catalog.source item.title
    item.size item.source item.pin_type item.construction item.core item.rope_grade
    item.material chart.size pocket.size links.item record.serial certificate.number
""")
LIST = words("""
    part leg leg.parts adjust.branch adjust.reaches duty.environment tag.rating deviation_permit
    item item.chart item.links item.ports item.limits item.angle_limits inspection
""")
TABLE = words("""
    duty duty.temperature tag proof leg.adjust assembly.extra item.extra item.pocket
    item.limit_for record.certificate
""")
DATE = words("""
    catalog.edition deviation_permit.until record.made certificate.on inspection.on
    inspection.next_due
""")
RIGHT = {
    "five": WHOLE | NUMBER,
    "true": TRUTH,
    "empty text": TEXT,
    "long text": TEXT,
    "empty list": LIST,
    "empty table": TABLE,
    "date": DATE,
}


def key_of(path: tuple[str | int, ...]) -> str:
    """The last two names of a path, without the places in lists; a place only if it is last."""
    names = [str(step) for step in path if isinstance(step, str)]
    if isinstance(path[-1], int):
        return f"{names[-1]}.{path[-1]}"
    return ".".join(names[-2:])


def paths_in(values: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    steps = values.items() if isinstance(values, dict) else enumerate(values)
    for step, value in steps:
        yield (*path, step)
        if isinstance(value, dict | list):
            yield from paths_in(value, (*path, step))


def value_at(values: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        values = values[step]
    return values


def replaced(values: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(values)
    value_at(changed, path[:-1])[path[-1]] = value
    return changed


def sound_files() -> dict[str, dict[str, Any]]:
    folder = files("riglint_specs").joinpath("sound")
    found = sorted(entry.name for entry in folder.iterdir() if entry.name.endswith(".toml"))
    read = {name: tomli.loads(folder.joinpath(name).read_text("utf-8")) for name in found}
    made = read["made.toml"]  # a build and a record in one text; the build is that of single.toml
    return read | {"made.toml": {table: made[table] for table in ("record", "inspection")}}


SOUND = sound_files()
PATHS = [(name, path) for name, values in SOUND.items() for path in paths_in(values)]
TABLES = [(name, path) for name, path in PATHS if isinstance(value_at(SOUND[name], path), dict)]


def problems_of(read, document: Document) -> tuple[Problem, ...]:
    try:
        read(document)
    except Unreadable as refused:
        return refused.problems or (Problem("", ""),)
    return ()


def reader_of(values: dict[str, Any]):
    if "record" in values:
        return read_record
    return read_catalog if "catalog" in values else read_build


def test_the_sweep_covers_builds_and_a_catalog():
    assert {"pair.toml", "quad.toml", "single.toml", "stock.toml"} <= set(SOUND)
    assert len(PATHS) > 200


@pytest.mark.parametrize("hostile", HOSTILE)
def test_each_value_is_right_for_its_key_or_refused_by_its_name(hostile):
    for name, path in PATHS:
        text = tomli_w.dumps(replaced(SOUND[name], path, HOSTILE[hostile]))
        document = parse_document(text, name)
        read = reader_of(SOUND[name])
        if key_of(path) in RIGHT.get(hostile, ()):
            assert read(document) is not None
            continue
        with pytest.raises(Unreadable) as caught:
            read(document)
        key = next(step for step in reversed(path) if isinstance(step, str))
        assert any(key in problem.message for problem in caught.value.problems), (name, path)
        for problem in caught.value.problems:
            assert problem.file == name
            assert problem.line is not None
            assert len(problem.message) < 500
        if isinstance(path[-1], str) and hostile != "nested list":
            lines = [text.splitlines()[problem.line - 1] for problem in caught.value.problems]
            assert any(key in line for line in lines), (name, path, lines)


@pytest.mark.parametrize(("name", "path"), TABLES, ids=lambda one: str(one)[:60])
def test_a_stray_key_in_any_table_is_refused_at_its_line(name, path):
    text = tomli_w.dumps(replaced(SOUND[name], (*path, "zzz"), 1))
    with pytest.raises(Unreadable) as caught:
        reader_of(SOUND[name])(parse_document(text, name))
    (problem,) = caught.value.problems
    assert "unknown key" in problem.message
    assert "zzz" in text.splitlines()[problem.line - 1]


anything = st.recursive(
    st.none().map(lambda _: {})
    | st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats()
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
    | st.dates(datetime.date(1000, 1, 1))
    | st.datetimes(datetime.datetime(1000, 1, 1))
    | st.times(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text("abz_", max_size=5), inner, max_size=3)
    ),
    max_leaves=8,
)


@given(st.sampled_from(PATHS), anything)
@settings(max_examples=400, deadline=None)
def test_any_value_anywhere_is_read_or_refused(place, value):
    name, path = place
    document = parse_document(tomli_w.dumps(replaced(SOUND[name], path, value)), name)
    for problem in problems_of(reader_of(SOUND[name]), document):
        assert problem.line
        assert problem.message


@given(anything)
@settings(max_examples=200, deadline=None)
def test_any_table_is_a_build_or_refused(values):
    document = parse_document(tomli_w.dumps({"assembly": values}), "x.toml")
    for read in (read_build, read_catalog):
        with pytest.raises(Unreadable):
            read(document)
