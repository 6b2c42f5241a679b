"""Cases near to sound ones: the examples, changed by steps that know the model's types.

A case is a build with its catalogs, a policy and a record, as plain TOML values. What a step may
put where is read off the model's classes, so that what is added to the formats is fuzzed too.
"""

from __future__ import annotations

import copy
import datetime
import math
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from random import Random
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import attrs
import tomli
import tomli_w

from riglint import model
from riglint.book import standard_book
from riglint.quantities import Angle, Length, Load, Offset, Temperature

CUT_TO_LENGTH = sorted(model.LEG_KINDS - {"chain"})  # a list: a kind may be anything
EXAMPLES = Path(__file__).parents[3] / "examples"
Case = dict[str, Any]
SHAPES = {
    "build": model.Build,
    "catalogs": list[model.CatalogFile],
    "policy": model.PolicyFile,
    "record": model.RecordFile,
}
RULES = [rule.name for rule in standard_book().rules]

TEXTS = {
    Length: "20 mm|3/8 in|10 ft|1-1/4 in|2.5 m|6 in|0.5 in|13 mm|8 ft 6 in|100 mm|1 in",
    Offset: "-20 mm|0 mm|3/4 in|-1.2 m|2 m|10 mm|0.4 m|-0.6 m",
    Load: "8,800 lb|2.5 t|24 kN|15,200 lb|500 kg|1 short_ton|3,000 lbf|10 t|900 N|22,900 lb",
    Angle: "60 deg|45 deg|30 deg|90 deg|0 deg|15 deg|120 deg|150 deg|61.5 deg",
    Temperature: "20 degC|400 degF|-40 degC|600 degF|250 degC|1000 degF|-60 degF",
}
EXTREMES = {
    Length: "10000000 mm|0.000000000001 mm|1/99999 in|9999 m|0.1 mm",
    Offset: "10000000 mm|-10000000 mm|0.0000001 mm|-1/99999 in",
    Load: "1000000000 kg|0.0000000001 N|999,999 t|1/999999 lb|1 N",
    Angle: "90 deg|0.0000001 deg|179.99999 deg|29.9999999 deg|89.9999999 deg|0.5 deg",
    Temperature: "-273.15 degC|5000 degC|-459.67 degF|0.0001 degC",
}
SIZES = [
    "3/8 in",
    "10 mm",
    "1/2 in",
    "13 mm",
    "5/8 in",
    "8 mm",
    "7/32 in",
    "1 in",
    "zehn",
    "0 mm",
    "3/8",
]
STRANGE = [
    *("", " ", "?", "a/b", "top/left", "a1", "{found}", "{0}", "{", "}", "%s", "[red]x[/]", "<b>"),
    *("&amp;", "\u202egnils", "\x1b[31m", "\x07", "é\u0301", "\U0001f517", "\ufeff", "a\nb", "\t"),
    *("x" * 199, "x" * 300, "\x7f", "::", "a:b", "a#2", "-1", "nan", "=1+1", "../x"),
]
HOSTILE: list[Any] = [
    *(0, -1, 1, 2**63 - 1, -(2**63), 10**6, 0.0, -0.0, 1e-300, 1e300, math.inf, math.nan, True),
    *(False, "", [], {}, [[]], [{}], {"x": {}}, "5", datetime.date(1, 1, 1)),
    *(datetime.date(9999, 12, 31), datetime.datetime(2026, 1, 1), datetime.time(1, 2)),
]
WORDS = ("left", "right", "mid", "low", "high", "north")


# The grammar: a sound value for each type of the model


class Grammar:
    """Sound values by type; names are taken from what the case has."""

    def __init__(self, case: Case, random: Random) -> None:
        self.case, self.random = case, random

    def refs(self) -> list[str]:
        build = _dict(self.case.get("build"))
        entries = [*_dicts(build.get("part")), *_dicts(build.get("leg"))]
        return [str(entry.get("ref", "x")) for entry in entries] or ["top"]

    def items(self) -> list[str]:
        known = [item.get("id") for item in _items(self.case)]
        return [one for one in known if isinstance(one, str)] or ["x"]

    def value(self, kind: Any, name: str = "") -> Any:
        choice = self.random.choice
        if kind in TEXTS:
            return choice(TEXTS[kind].split("|"))
        if kind in (model.LegAngle, model.TagAngle):
            start = choice(("from_horizontal", "from_vertical"))
            ends = ["0 deg", "45 deg"] if start == "from_vertical" else ["90 deg", "45 deg"]
            single = choice(("60 deg", "45 deg", "30 deg", "52 deg"))
            is_range = kind is model.TagAngle and self.random.random() < 0.3
            return {start: ends if is_range else single}
        if attrs.has(kind):
            return self.table(kind)
        origin, inner = get_origin(kind), get_args(kind)
        if origin is Literal:
            return choice(inner)
        if origin in (Union, UnionType):
            return self.value(choice([one for one in inner if one is not type(None)]), name)
        if origin is tuple:
            if inner[-1] is Ellipsis:
                return [self.value(inner[0], name) for _ in range(self.random.randint(1, 3))]
            return [self.value(one, name) for one in inner]
        if origin is list:
            return [self.value(inner[0], name)]
        return self.scalar(kind, name)

    def scalar(self, kind: Any, name: str) -> Any:
        choice, number = self.random.choice, self.random.randint
        sound: dict[Any, Callable[[], Any]] = {
            model.Grade: lambda: choice((8, 10, 12, 80, 100, 100, 70, 43)),
            model.Count: lambda: choice((1, 2, 3, 4, number(1, 90))),
            model.Tally: lambda: number(0, 20),
            model.Factor: lambda: choice((1.0, 4.0, 5, 0.8, 3.5, 100.0, 0.001)),
            model.Readings: lambda: choice(("0.36 in", ["0.36 in", "0.35 in"], "8 mm")),
            model.Ref: lambda: choice((*WORDS, *self.refs())),
            model.ItemId: lambda: choice((*WORDS, *self.items())),
            bool: lambda: choice((True, False)),
            int: lambda: number(-5, 50),
            float: lambda: self.random.uniform(0, 10),
            str: lambda: self.text(name),
            datetime.date: lambda: datetime.date(2026, number(1, 12), number(1, 28)),
        }
        return sound.get(kind, dict)()

    def text(self, name: str) -> str:
        choice = self.random.choice
        if name in ("item", "hung_from", "chokes_in"):
            return choice(self.items())
        if name in ("on", "to", "pocket", "leg"):
            return choice(self.refs())
        if name == "rule":
            return choice(RULES)
        if name == "size":
            return choice(SIZES)
        return choice((*WORDS, *self.items(), *self.refs(), "a1/chain", "crack", "polyester"))

    def table(self, shape: Any) -> dict[str, Any]:
        made = self.any_table(shape)
        if shape is model.LegPart and self.random.random() < 0.9:
            kind = self.kinds().get(made["item"])
            made.pop("links", None), made.pop("length", None)
            made |= {"links": self.value(model.Count)} if kind == "chain" else {}
            made |= {"length": self.value(Length)} if kind in CUT_TO_LENGTH else {}
        if shape is model.PartEntry and self.random.random() < 0.9:
            links = [name for name, kind in self.kinds().items() if kind in model.LINK_KINDS]
            made["item"] = self.random.choice(links or ["x"])
        if shape is model.ItemSheet:
            made["id"] = f"new-{self.random.randint(0, 10**6)}"
        return made

    def kinds(self) -> dict[str, Any]:
        return {str(item.get("id")): item.get("kind") for item in _items(self.case)}

    def any_table(self, shape: Any) -> dict[str, Any]:
        hints = hints_of(shape)
        made = {}
        for field in attrs.fields(shape):
            needed = field.default is attrs.NOTHING
            if needed or self.random.random() < 0.25:
                made[field.name] = self.value(hints[field.name], field.name)
        return made


@cache
def hints_of(shape: type) -> dict[str, Any]:
    return get_type_hints(shape)


def _dict(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _dicts(value: Any) -> list[dict[str, Any]]:
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []


def _items(case: Case) -> list[dict[str, Any]]:
    return [
        item for catalog in _dicts(case.get("catalogs")) for item in _dicts(catalog.get("item"))
    ]


def places(value: Any, kind: Any, box: Any = None, step: Any = None) -> Iterator[tuple[Any, ...]]:
    """Every (box, step, type) below a value; the type is None where the model has none."""
    if box is not None:
        yield box, step, kind
    if isinstance(value, dict):
        shape = _table_of(kind)
        hints = hints_of(shape) if shape else {}
        for key, inner in value.items():
            yield from places(inner, hints.get(key), value, key)
    elif isinstance(value, list):
        inner = _element_of(kind)
        for index, one in enumerate(value):
            yield from places(one, inner, value, index)


def _table_of(kind: Any) -> type | None:
    found = [one for one in (kind, *get_args(kind)) if isinstance(one, type) and attrs.has(one)]
    return found[0] if found else None


def _element_of(kind: Any) -> Any:
    for one in (kind, *get_args(kind)):
        if get_origin(one) in (tuple, list):
            return get_args(one)[0]
    return None


def _quantity_of(kind: Any) -> Any:
    return next((one for one in (kind, *get_args(kind)) if one in TEXTS), None)


# Steps: each changes a case in place


class Steps:
    """One change of a case, drawn by a random source."""

    def __init__(self, case: Case, random: Random) -> None:
        self.case, self.random = case, random
        self.grammar = Grammar(case, random)

    def all_places(self) -> list[tuple[Any, ...]]:
        weights = {"build": 4, "catalogs": 3, "record": 1, "policy": 1}
        there = [name for name in weights if self.case.get(name)]
        (part,) = self.random.choices(there, [weights[name] for name in there])
        return list(places(self.case[part], SHAPES[part])) or [(self.case, part, None)]

    def retype(self) -> None:
        """Another sound value of the same type."""
        typed = [one for one in self.all_places() if one[2] is not None]
        if typed:
            box, step, kind = self.random.choice(typed)
            box[step] = self.grammar.value(kind, str(step))

    def add(self) -> None:
        """A datum that was left out."""
        tables = [
            (box[step], shape)
            for box, step, kind in self.all_places()
            if isinstance(box[step], dict) and (shape := _table_of(kind))
            if shape not in (model.LegAngle, model.TagAngle, model.LegPart)
        ]
        if tables:
            table, shape = self.random.choice(tables)
            absent = [name for name in hints_of(shape) if name not in table]
            if absent:
                name = self.random.choice(absent)
                table[name] = self.grammar.value(hints_of(shape)[name], name)

    def drop(self) -> None:
        box, step, _ = self.random.choice(self.all_places())
        del box[step]

    def hostile(self) -> None:
        box, step, _ = self.random.choice(self.all_places())
        box[step] = copy.deepcopy(self.random.choice(HOSTILE))

    def extreme(self) -> None:
        """A quantity at the end of what is read."""
        found = [one for one in self.all_places() if _quantity_of(one[2])]
        if found:
            box, step, kind = self.random.choice(found)
            box[step] = self.random.choice(EXTREMES[_quantity_of(kind)].split("|"))

    def strange(self) -> None:
        texts = [one for one in self.all_places() if isinstance(one[0][one[1]], str)]
        if texts:
            box, step, _ = self.random.choice(texts)
            box[step] = self.random.choice(STRANGE)

    def rename(self) -> None:
        """One name by a strange one wherever it stands, so that all still hangs together."""
        old = self.random.choice((*self.grammar.refs(), *self.grammar.items()))
        new = self.random.choice(STRANGE)
        for box, step, _ in list(places(self.case, None)):
            if box[step] == old:
                box[step] = new

    def lists(self) -> None:
        """An entry twice, gone, or elsewhere."""
        found = [box[step] for box, step, _ in self.all_places() if isinstance(box[step], list)]
        found = [one for one in found if one]
        if not found:
            return
        entries = self.random.choice(found)
        entry = self.random.choice(entries)
        act = self.random.choice(("twice", "gone", "last"))
        if act != "twice":
            entries.remove(entry)
        if act != "gone":
            entries.append(copy.deepcopy(entry))

    def grow(self) -> None:
        """A whole new part, leg, item, chart row, tag row or inspection."""
        grown = [
            (box, step, kind)
            for box, step, kind in self.all_places()
            if isinstance(box[step], list) and _table_of(_element_of(kind))
        ]
        if grown:
            box, step, kind = self.random.choice(grown)
            box[step].append(self.grammar.value(_element_of(kind), str(step)))

    def loop(self) -> None:
        entries = _dicts(_dict(self.case.get("build")).get("part"))
        if entries:
            self.random.choice(entries)["on"] = self.random.choice(self.grammar.refs())

    def other_item(self) -> None:
        """Another item of the stock in a place of the build."""
        found = [one for one in places(self.case["build"], model.Build) if one[1] == "item"]
        stock = [item for case in corpus() for item in _items(case)]
        catalogs = _dicts(self.case.get("catalogs"))
        if found and catalogs and isinstance(catalogs[0].get("item"), list):
            box, step, _ = self.random.choice(found)
            kind = self.grammar.kinds().get(str(box[step]))
            if self.random.random() < 0.85:
                stock = [item for item in stock if item["kind"] == kind] or stock
            item = self.random.choice(stock)
            box[step] = item["id"]
            if item["id"] not in self.grammar.items():
                catalogs[0]["item"].append(copy.deepcopy(item))

    def splice(self) -> None:
        """A table of another example in place of this one's."""
        part = self.random.choice(("build", "catalogs", "record"))
        other = self.random.choice(corpus()).get(part)
        here = self.case.get(part)
        if isinstance(other, dict) and isinstance(here, dict):
            key = self.random.choice(list(other))
            here[key] = copy.deepcopy(other[key])
        elif other and not here:
            self.case[part] = copy.deepcopy(other)

    def govern(self) -> None:
        """A policy, or another one."""
        self.case["policy"] = self.grammar.value(model.PolicyFile)
        self.case["policy"].pop("catalogs", None)
        for unlikely in ("based_on", "packs", "house_rules", "requirement"):
            if self.random.random() < 0.9:
                self.case["policy"].pop(unlikely, None)
        rule = self.random.choice(RULES)
        levels = ("error", "warning", "note", "off")
        self.case["policy"]["rules"] = {rule: {"level": self.random.choice(levels)}}


# The first ones keep a case readable; a case has more of them than of the others.
KIND_STEPS = ("retype", "add", "other_item", "rename", "grow", "extreme", "splice", "govern")
ROUGH_STEPS = ("drop", "hostile", "strange", "loop", "lists")


def step(case: Case, seed: int) -> None:
    """Change a case by the one step that a seed stands for."""
    random = Random(seed)
    kind = KIND_STEPS if random.random() < 0.88 else ROUGH_STEPS
    getattr(Steps(case, random), random.choice(kind))()


# The corpus


@cache
def corpus() -> tuple[Case, ...]:
    """Every build of the examples with the items that it names, and a record where there is one."""
    read = {path: tomli.loads(path.read_text("utf-8")) for path in sorted(EXAMPLES.rglob("*.toml"))}
    catalogs = [values for values in read.values() if "catalog" in values]
    records = {values["record"]["build"]: values for values in read.values() if "record" in values}
    builds = [values for values in read.values() if "assembly" in values]
    return tuple(_case(build, catalogs, records) for build in builds)


def _case(build: dict[str, Any], catalogs: list[Any], records: dict[str, Any]) -> Case:
    case: Case = {"build": build, "catalogs": []}
    names = set(_texts(build))
    for catalog in catalogs:
        by_id = {item["id"]: item for item in catalog["item"]}
        wanted = {name for name in by_id if name in names or f"{_id(catalog)}:{name}" in names}
        inner = {text for name in wanted for text in _texts(by_id[name])}
        kept = [item for name, item in by_id.items() if name in wanted | inner]
        if kept:
            case["catalogs"].append({"catalog": catalog["catalog"], "item": kept})
    record = records.get(build["assembly"]["id"])
    return case | ({"record": record} if record else {})


def _id(catalog: dict[str, Any]) -> str:
    return str(catalog["catalog"]["id"])


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)


def made(base: int, seeds: list[int]) -> Case:
    """The case of a base example and steps; the same numbers give the same case."""
    case = copy.deepcopy(corpus()[base % len(corpus())])
    for seed in seeds:
        step(case, seed)
    return case


def text_of(case: Case) -> str:
    """A case as one TOML text."""
    return tomli_w.dumps({name: value for name, value in case.items() if value is not None})


def case_of(text: str) -> Case:
    """A case from its text; raises ValueError where the text is none."""
    values = tomli.loads(text)
    if not isinstance(values.get("build"), dict):
        raise ValueError("there is no build in it")
    return values
