"""The schemas of the files take what the reader takes, and refuse what it refuses.

The few things that a schema cannot know are listed; all else is a fault of one of the two.
"""

from __future__ import annotations

import copy
import datetime
import json
import math
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import tomli
import tomli_w
from hypothesis import example, given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from riglint.book import standard_book
from riglint.model import Build, CatalogFile, PolicyFile, RecordFile
from riglint.policy import load_policy
from riglint.problem import Unreadable
from riglint.quantities import Angle, Quantity, QuantityError
from riglint.reading import _SCALARS, read_as
from riglint.schema import schema_of
from riglint.schema.objects import Maker
from riglint.schema.values import QUANTITIES, quantity_schema
from riglint.source import Document

READ = {"assembly": Build, "catalog": CatalogFile, "record": RecordFile, "policy": PolicyFile}
# What the reader says where it refuses what the schemas let pass: sizes of numbers, mostly
BEYOND_A_SCHEMA = re.compile(r"here lies between|is not a proper fraction")


@cache
def validator(kind: str) -> Draft202012Validator:
    return Draft202012Validator(schema_of(kind))


def as_json(values: Any) -> Any:
    """TOML values as an editor hands them to a schema: dates are texts."""
    return json.loads(json.dumps(values, default=str))


def schema_takes(kind: str, values: dict[str, Any]) -> bool:
    return validator(kind).is_valid(as_json(values))


def reader_refuses(kind: str, values: dict[str, Any]) -> str:
    """What the reader says against a file; empty where it takes it."""
    try:
        read_as(Document("x.toml", "", values), READ[kind])
    except Unreadable as refused:
        return "; ".join(problem.message for problem in refused.problems)
    return ""


# A file of each kind with every key that its schema knows


Steps = tuple[str | int, ...]


def sample(schema: dict[str, Any], defs: dict[str, Any], along: Steps | None = None) -> Any:
    """A value that a schema takes: with every key of every table, or with the keys along a path
    and those that must be there."""
    if "$ref" in schema:
        return sample(defs[schema["$ref"].rsplit("/", 1)[1]], defs, along)
    if "anyOf" in schema:
        return sample(schema["anyOf"][-1], defs, along)
    if "enum" in schema or "examples" in schema:
        return (schema.get("enum") or schema["examples"])[0]
    if schema.get("format") == "date":
        return datetime.date(2026, 6, 1)
    if schema.get("type") == "array":
        return [sample(schema["items"], defs, along and along[1:])] * schema.get("minItems", 1)
    if schema.get("type") == "object":
        return sample_table(schema, defs, along)
    return {"boolean": True, "integer": 2, "number": 0.9, "string": "name"}[schema["type"]]


def sample_table(schema: dict[str, Any], defs: dict[str, Any], along: Steps | None) -> Any:
    keys = schema.get("properties", {})
    if "oneOf" in schema:
        keys = {key: keys[key] for key in schema["oneOf"][0]["required"]}
    elif along is not None:
        kept = {*schema.get("required", []), *along[:1]}
        keys = {key: keys[key] for key in keys if key in kept}
    made = {
        key: sample(inner, defs, along and (along[1:] if key == along[0] else ()))
        for key, inner in keys.items()
    }
    free = schema.get("additionalProperties")
    return made or ({"a1": sample(free, defs)} if free else {})


@cache
def plain_schema(kind: str) -> dict[str, Any]:
    """The schema without the tables of single rules, which are judged below."""
    schema = copy.deepcopy(schema_of(kind))
    if "Rules" in schema["$defs"]:
        schema["$defs"]["Rules"] = {"type": "object"}
    return schema


def full(kind: str, along: Steps | None = None) -> dict[str, Any]:
    return sample(plain_schema(kind), plain_schema(kind)["$defs"], along)


FULL = {kind: full(kind) for kind in READ}


def paths_in(values: Any, path: Steps = ()) -> Iterator[Steps]:
    steps = values.items() if isinstance(values, dict) else enumerate(values)
    for step, value in steps:
        if step in (0, len(values) - 1) or not isinstance(step, int):
            yield (*path, step)
        if isinstance(value, dict | list):
            yield from paths_in(value, (*path, step))


def table_at(values: Any, path: Steps) -> Any:
    for step in path:
        values = values[step]
    return values


PATHS = [(kind, path) for kind, values in FULL.items() for path in paths_in(values)]
TABLES = [
    (kind, path)
    for kind, path in [*PATHS, *((kind, ()) for kind in READ)]
    if isinstance(table_at(FULL[kind], path), dict)
]
QUANTITY_TEXTS = [
    *("20 mm", "3/4 in", "10 ft 6 in", "1-1/4 in", "1 1/4in", " 2 m ", "-20 mm", "0 mm", "0/8 in"),
    *("8,800 lb", "8 800 kg", "2.5 t", "24 kN", "60 deg", "90 deg", "0 deg", "180 deg", "91 deg"),
    *("181 deg", "-5 deg", "20 degC", "-40 degF", "20", "mm", "6,7 t", "1 ton", "1e3 mm", ".5 in"),
    *("+1 in", "5 M", '5"', "1/0 in", "8,80 lb", "6 in 10 ft", "10 ft -6 in", "0 ft 0 in"),
    *("1-5/4 in", "20,000 m", "5,001 degC", "-300 degC", "1" * 70 + " mm"),
]
VALUES: list[Any] = [
    *(5, 0, -1, 1, 2, 3, 100, 101, 8, 9, 100_000, 100_001, 0.5, -0.5, 100.5, math.inf, True, False),
    *(
        "",
        " ",
        "name",
        "a/b",
        "a#b",
        "a:b",
        "x" * 200,
        "x" * 201,
        "?",
        "US",
        "us",
        "chain",
        "error",
    ),
    *([], {}, [5], [[5]], ["name"], [{}], ["20 mm"], ["20 mm", 5], [1, 2], [0], {"name": 1}),
    *({"from_horizontal": "60 deg"}, {"from_vertical": "30 deg"}, {"from_vertical": "90 deg"}),
    *({"from_horizontal": "0 deg"}, {"from_vertical": "0 deg"}, {"from_horizontal": 60}),
    {"from_horizontal": "60 deg", "from_vertical": "30 deg"},
    *({"from_vertical": ["0 deg", "45 deg"]}, {"from_vertical": ["45 deg"]}),
    *({"from_horizontal": ["0 deg", "45 deg"]}, {"from_horizontal": ["45 deg"] * 3}),
    *(["0 m", "-1 m", "2 ft"], ["0 m", "1 m"], datetime.date(2026, 1, 1)),
    *QUANTITY_TEXTS,
]


def difference(kind: str, values: dict[str, Any]) -> str:
    """Where schema and reader disagree over a file; empty where they agree, or may differ."""
    refused = reader_refuses(kind, values)
    taken = schema_takes(kind, values)
    if taken == (not refused) or (taken and BEYOND_A_SCHEMA.search(refused)):
        return ""
    return f"the schema {'takes' if taken else 'refuses'} it; the reader says {refused!r}"


@pytest.mark.parametrize("kind", READ)
def test_a_file_with_every_key_is_taken_by_both(kind):
    assert not reader_refuses(kind, FULL[kind])
    assert list(validator(kind).iter_errors(as_json(FULL[kind]))) == []


@pytest.mark.parametrize(
    ("kind", "path"), PATHS, ids=[f"{kind}:{'.'.join(map(str, path))}" for kind, path in PATHS]
)
def test_schema_and_reader_agree_over_every_value(kind, path):
    values = copy.deepcopy(full(kind, path))
    table = table_at(values, path[:-1])
    dated = isinstance(table[path[-1]], datetime.date)
    for value in VALUES:
        if isinstance(value, datetime.date) and not dated:
            continue  # an editor hands a date over as a text, so a schema takes it for one
        table[path[-1]] = value
        assert difference(kind, values) == "", f"{path} = {value!r}"


@pytest.mark.parametrize(
    ("kind", "path"), TABLES, ids=[f"{kind}:{'.'.join(map(str, path))}" for kind, path in TABLES]
)
def test_schema_and_reader_agree_over_keys_left_out_and_unknown(kind, path):
    table = table_at(FULL[kind], path)
    for key in table:
        values = copy.deepcopy(FULL[kind])
        del table_at(values, path)[key]
        assert difference(kind, values) == "", key
    values = copy.deepcopy(FULL[kind])
    table_at(values, path)["no_such_key"] = "name"
    assert difference(kind, values) == ""


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"until": "2027-06-30"}, "a date in quotes"),
        ({"quantity": 5.0}, "a whole number with a decimal point"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_else_a_schema_cannot_know_is_refused_by_the_reader(values, why):
    permit = {"rule": "hook-tight"} | values
    build = {"assembly": {"id": "x", "basis": "US"}, "deviation_permit": [permit]}
    assert schema_takes("assembly", build), why
    assert reader_refuses("assembly", build), why


REFUSED = {
    "unknown key": '[assembly]\nid = "x"\nbasis = "US"\nreech = "10 ft"',
    "unknown table": '[assembly]\nid = "x"\nbasis = "US"\n[dutty]',
    "no id": '[assembly]\nbasis = "US"',
    "unknown basis": '[assembly]\nid = "x"\nbasis = "DE"',
    "id with a colon": '[assembly]\nid = "a:b"\nbasis = "US"',
    "bare length": '[assembly]\nid = "x"\nbasis = "US"\nreach = 10',
    "no unit": '[assembly]\nid = "x"\nbasis = "US"\nreach = "10"',
    "load for a length": '[assembly]\nid = "x"\nbasis = "US"\nreach = "10 lb"',
    "length of zero": '[assembly]\nid = "x"\nbasis = "US"\nreach = "0 ft"',
    "decimal comma": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nload = "6,7 t"',
    "ton alone": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nload = "1 ton"',
    "bare angle": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nangle = "60 deg"',
    "both angles": '[assembly]\nid = "x"\nbasis = "US"\n'
    '[duty]\nangle = { from_horizontal = "60 deg", from_vertical = "30 deg" }',
    "angle from nowhere": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nangle = {}',
    "flat leg": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nangle = { from_vertical = "90 deg" }',
    "unknown hitch": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nhitch = "brindle"',
    "leg without parts": '[assembly]\nid = "x"\nbasis = "US"\n[[leg]]\nref = "a"',
    "ref with a slash": '[assembly]\nid = "x"\nbasis = "US"\n[[part]]\nref = "a/b"\nitem = "M"',
    "no links": '[assembly]\nid = "x"\nbasis = "US"\n'
    '[[leg]]\nref = "a"\nparts = [{ item = "C", links = 0 }]',
    "truth as a text": '[assembly]\nid = "x"\nbasis = "US"\n[duty]\nload_is_rigid = "true"',
    "permit until soon": '[assembly]\nid = "x"\nbasis = "US"\n'
    '[[deviation_permit]]\nrule = "hook-tight"\nuntil = "soon"',
    "until a time": '[assembly]\nid = "x"\nbasis = "US"\n'
    '[[deviation_permit]]\nrule = "hook-tight"\nuntil = 2027-06-30T12:00:00',
    "item of no kind": '[catalog]\nid = "x"\nbasis = "US"\n[[item]]\nid = "M"',
    "unknown kind": '[catalog]\nid = "x"\nbasis = "US"\n[[item]]\nid = "M"\nkind = "masterlink"',
    "unknown grade": '[catalog]\nid = "x"\nbasis = "US"\n'
    '[[item]]\nid = "M"\nkind = "chain"\ngrade = 90',
    "grade as a text": '[catalog]\nid = "x"\nbasis = "US"\n'
    '[[item]]\nid = "M"\nkind = "chain"\ngrade = "100"',
    "negative factor": '[catalog]\nid = "x"\nbasis = "US"\n'
    '[[item]]\nid = "M"\nkind = "chain"\ndesign_factor = -4.0',
    "chart row without a limit": '[catalog]\nid = "x"\nbasis = "US"\n'
    '[[item]]\nid = "M"\nkind = "end-link"\nchart = [{ leg = "chain", size = "3/8 in" }]',
    "inspection of no kind": '[record]\nbuild = "x"\nserial = "1"\n[[inspection]]\non = 2026-05-04',
    "no readings": '[record]\nbuild = "x"\nserial = "1"\n[[inspection]]\non = 2026-05-04\n'
    'kind = "frequent"\nmeasured = [{ part = "top", bar = [] }]',
}


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED)
def test_both_refuse(text):
    values = tomli.loads(text)
    kind = next(kind for kind in READ if kind in values)
    assert reader_refuses(kind, values)
    assert not schema_takes(kind, values)


# The rules of a policy


def rule_tables() -> Iterator[tuple[str, dict[str, Any]]]:
    settings = {"ratio": 1.3, "over": 0.2, "share": 0.1, "us": "course", "by": "10-deg"}
    for rule in standard_book().rules:
        for level in ("off", "note", rule.level, "fatal"):
            yield rule.name, {"level": level}
        for key, value in settings.items() if rule.settings else ():
            yield rule.name, {key: value}
            yield rule.name, {key: [value]}
        yield rule.name, {"unknown": 1}
    yield "no-such-rule", {}


def test_schema_and_policy_agree_over_rules_and_their_settings(tmp_path: Path):
    file, book = tmp_path / "riglint.toml", standard_book()
    for name, table in rule_tables():
        values = {"rules": {name: table}}
        file.write_text(tomli_w.dumps(values), encoding="utf-8")
        try:
            load_policy(file, lambda policy: book)
            taken = True
        except Unreadable:
            taken = False
        assert schema_takes("policy", values) == taken, f"[rules.{name}] {table}"


# Quantities

TOKENS = [
    *("0", "1", "12", "90", "180", "3/4", "0/8", "5/0", "000", "500", "-", " ", ",", ".", "/"),
    *("mm", "in", "ft", "m", "deg", "lb", "t", "kN", "degC", "degF", "short_ton", "ton", "°"),
]
ODD_ANGLE = re.compile(r"\d[, ]\d{3}|^ *-0")  # noughts in groups or with a sign: nobody writes them


@pytest.mark.parametrize("kind", QUANTITIES, ids=lambda kind: kind.__name__)
@given(text=st.lists(st.sampled_from(TOKENS), max_size=9).map("".join))
@example(text="10 ft 6-1/2 in")
@example(text="-1 ft 6 in")
@example(text="1,234,500.25 lb")
@example(text="0,500 lb")
@example(text="179.99 deg")
@example(text="0.0 mm")
@example(text="0-0/8 in")
@example(text="0-1/8 in")
@example(text="-0 deg")
def test_a_pattern_takes_what_the_parser_takes(kind: type[Quantity], text: str):
    taken = Draft202012Validator(quantity_schema(kind)).is_valid(text)
    refused = ""
    try:
        kind.parse(text)
    except QuantityError as error:
        refused = str(error)
    if taken:
        assert not refused or BEYOND_A_SCHEMA.search(refused)
    else:
        assert refused or (kind is Angle and ODD_ANGLE.search(text))


@pytest.mark.parametrize("kind", _SCALARS, ids=str)
def test_each_value_that_the_reader_knows_has_a_schema(kind):
    Maker().value(kind, "a field")
