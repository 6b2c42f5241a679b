"""For rule authors: small builds from short texts, one rule run on them, its contract tested.

An example is TOML laid over a sound build: tables merge by key, entries of `[[part]]`,
`[[leg]]` and `[[item]]` by their ref or id (a new one is added), anything else replaces.
`base` names the sound build ("single", "pair", "quad", ...; see `sound_builds`) and `without` lists
data to take away, as JSON Pointers in which a list is entered by ref or id:
`/item/master/inside_width`, with `/` in an id written `~1`. A rule about a Record or a
Measurement finds `[record]` and `[[inspection]]` beside the build that they are of.

`assert_fails`, `assert_passes`, `assert_open` and `assert_not_applicable` run one rule and say what
it said where it said something else. `contract_faults` is the contract that every rule keeps, and
`pytest --riglint-pack NAME` holds every rule of an installed pack to it. `report_on` checks a build
by all rules; `riglint.reports.snapshot` writes its report for a snapshot.
"""

from __future__ import annotations

import copy
import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import chdir, contextmanager
from functools import cache
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import tomli
import tomli_w
from attrs import frozen

from .assembling import assemble
from .book import Pack, RuleBook, standard_book
from .calculation import Calculation
from .check import check, make_catalog
from .finding import Finding, Verdict, show
from .judging import Judge, Judgment
from .library import Library
from .permit import Permit
from .policy import Policy
from .problem import Problem
from .quantities import Quantity, QuantityError
from .reading import read_build, read_record
from .record import Measurement, Record
from .report import Report
from .rule import Rule
from .sling import Sling
from .source import Document, parse_document
from .stock import Catalog, Datum, Item, Sheet, Stock

AS_OF = datetime.date(2026, 6, 1)
CATALOG_TABLES = ("catalog", "item")
RECORD_TABLES = ("record", "inspection")


@frozen
class Outcome:
    """What one rule says of an example."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    judgment: Judgment

    @property
    def parts(self) -> list[str]:
        """The paths of the parts that the findings are about."""
        return [finding.part for finding in self.findings]

    @property
    def missing(self) -> list[str]:
        """The data that the rule waits for, each once."""
        return list(dict.fromkeys(one.datum for one in self.judgment.missing))

    def __str__(self) -> str:
        """What the rule said, a line a finding and a missing datum."""
        lines = [f"the rule answers {self.verdict}"]
        for one in self.findings:
            figures = f"found {_written(one, one.found)}, limit {_written(one, one.limit)}"
            lines.append(f"  {one.level} at {one.part}: {one.message} ({figures})")
        lines += [f"  open at {one.part}: {one.why}" for one in self.judgment.missing]
        return "\n".join(lines)


def _written(finding: Finding, value: Any) -> str:
    return show(value, finding.units)


def sound_builds() -> tuple[str, ...]:
    """The names of the sound builds that examples may change."""
    folder = files("riglint_specs").joinpath("sound")
    names = (entry.name.removesuffix(".toml") for entry in folder.iterdir())
    return tuple(sorted(name for name in names if name not in ("stock", "__pycache__")))


def values_of(example: str) -> dict[str, Any]:
    """The example as plain TOML values: its base with its changes laid over.

    Raises ValueError for an unknown base or a datum to take away that is not there.
    """
    changes = tomli.loads(example)
    base, without = changes.pop("base", None), changes.pop("without", ())
    values = merged(_base(base), changes) if base else changes
    for pointer in without:
        take_away(values, pointer)
    return values


def sling_of(example: str | Mapping[str, Any]) -> Sling:
    """The sling that an example describes, its items from the example's own catalog.

    Raises Unreadable for what cannot be read or hung together.
    """
    values = _values(example)
    others = (*CATALOG_TABLES, *RECORD_TABLES)
    document = _document(values, [name for name in values if name not in others], "build.toml")
    return assemble(read_build(document), document, Stock([catalog_of(values)]))


def catalog_of(example: str | Mapping[str, Any]) -> Catalog:
    """The catalog in an example; raises Unreadable for what cannot be read."""
    return make_catalog(_document(_values(example), CATALOG_TABLES, "catalog.toml"))


def record_of(example: str | Mapping[str, Any], *, searched_all: bool = True) -> Record:
    """The record in an example, of the example's own build where it names that one.

    Raises Unreadable for what cannot be read, ValueError for a measured part that the build has
    not.
    """
    values = _values(example)
    document = _document(values, RECORD_TABLES, "record.toml")
    content, sling = read_record(document), sling_of(values)
    built = sling if content.record.build == sling.id else None
    record = Record(content, document, built, searched_all)
    unknown = [name for _, name, _ in record.unknown_parts()] if built else []
    if unknown:
        raise ValueError(f"the build has no part {', '.join(unknown)}")
    return record


def _values(example: str | Mapping[str, Any]) -> dict[str, Any]:
    return values_of(example) if isinstance(example, str) else dict(example)


def _document(values: Mapping[str, Any], names: Iterable[str], file: str) -> Document:
    """Some tables of an example as a document of their own."""
    tables = {name: values[name] for name in names if name in values}
    return parse_document(tomli_w.dumps(tables), file)


def run(
    rule: Rule,
    example: str | Mapping[str, Any],
    policy: Policy | None = None,
    as_of: datetime.date = AS_OF,
    pack: Pack | None = None,
) -> Outcome:
    """Run one rule on an example; raises AssertionError where the rule itself breaks.

    `pack` is the pack whose tables the rule asks for. A rule about the Library takes a list of
    bases, and changes to each as `[[change]]`.
    """
    judge = _judge(rule, policy or Policy(levels={rule.name: rule.level}), as_of, pack)
    if rule.about is Library:
        assert isinstance(example, str)
        slings = _library(example)
        broken: list[Problem] = []
        gathered = [judge.gather(sling, broken) for sling in slings]
        if broken:
            raise AssertionError(broken[0].message)
        catalogs = [slings[0].parts[0].item.catalog]
        return _outcome(rule, judge.of_library(gathered, catalogs, whole=True))
    if rule.about in (Item, Catalog):
        catalog = catalog_of(example)
        return _outcome(rule, judge.of_catalog(catalog, Document("catalog.toml", "", {})))
    if rule.about in (Record, Measurement):
        record = record_of(example)
        figures = Calculation(record.build) if record.build else None
        return _outcome(rule, judge.of_record(record, figures))
    sling = sling_of(example)
    return _outcome(rule, judge.of_sling(sling, Calculation(sling)))


def _judge(rule: Rule, policy: Policy, as_of: datetime.date, pack: Pack | None) -> Judge:
    """A judge of one rule; of a permit rule together with the rules that it may speak of."""
    rules: tuple[Rule, ...] = (rule,)
    if rule.about is Permit:
        rules += tuple(one for one in standard_book().rules if one.name != rule.name)
    return Judge(RuleBook(rules, (pack or Pack("test", "0", 1, rules),)), policy, as_of)


def _library(example: str) -> list[Sling]:
    changes = tomli.loads(example)
    bases, over = changes["base"], changes.get("change", [])
    over += [{}] * (len(bases) - len(over))
    return [sling_of(merged(_base(base), change)) for base, change in zip(bases, over, strict=True)]


def _outcome(rule: Rule, judgment: Judgment) -> Outcome:
    if judgment.problems:
        raise AssertionError(judgment.problems[0].message)
    findings = tuple(placed.finding for placed in judgment.findings)
    return Outcome(judgment.verdicts[rule.name], findings, judgment)


@cache
def _sound(name: str) -> dict[str, Any]:
    path = files("riglint_specs").joinpath("sound", f"{name}.toml")
    if not path.is_file():
        raise ValueError(f"there is no sound build {name}; these are: {', '.join(sound_builds())}")
    return tomli.loads(path.read_text(encoding="utf-8"))


def _base(name: str) -> dict[str, Any]:
    build = _sound(name)
    stock = build.get("catalog") or "item" in build
    return copy.deepcopy(build if stock else {**build, **_sound("stock")})


def merged(under: Any, over: Any) -> Any:
    """The values of `over` laid over `under`; see the module's text."""
    if isinstance(under, dict) and isinstance(over, dict):
        result = dict(under)
        for key, value in over.items():
            result[key] = merged(under[key], value) if key in under else value
        return result
    if _named(under) and _named(over) and under and over:
        result_list = [dict(entry) for entry in under]
        for entry in over:
            index = _index(result_list, _name(entry))
            if index is None:
                result_list.append(entry)
            else:
                result_list[index] = merged(result_list[index], entry)
        return result_list
    return over


def _named(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(e, dict) and _name(e) for e in value)


def _name(entry: Mapping[str, Any]) -> str | None:
    return entry.get("ref") or entry.get("id")


def _index(entries: list[Any], name: str | None) -> int | None:
    return next((n for n, entry in enumerate(entries) if _name(entry) == name), None)


def take_away(values: Any, pointer: str) -> None:
    """Remove the datum at a pointer, in place; raises ValueError where there is none."""
    *steps, last = [s.replace("~1", "/").replace("~0", "~") for s in pointer.split("/")[1:]]
    place = values
    for step in steps:
        place = place[_step(place, step, pointer)]
    del place[_step(place, last, pointer)]


def _step(place: Any, step: str, pointer: str) -> Any:
    if isinstance(place, dict) and step in place:
        return step
    if isinstance(place, list):
        index = int(step) if step.isdigit() else _index(place, step)
        if index is not None and index < len(place):
            return index
    raise ValueError(f"there is nothing at {pointer}")


# What a test says of one rule and one example

Given = str | Mapping[str, Any]


def assert_fails(
    rule: Rule,
    example: Given,
    *,
    part: str | None = None,
    found: Any = None,
    limit: Any = None,
    level: str | None = None,
    **options: Any,
) -> Finding:
    """The finding that a rule gives an example, with all that is named; see `run` for options.

    `found` and `limit` may be a quantity's text, as the report shows it or in other units
    ("16 mm"), or a number in the internal unit. Raises AssertionError with what the rule said
    where it gives no such finding.
    """
    outcome = run(rule, example, **options)
    wanted = {"part": part, "found": found, "limit": limit, "level": level}
    wanted = {name: value for name, value in wanted.items() if value is not None}
    for one in outcome.findings:
        if all(_is(one, getattr(one, name), value) for name, value in wanted.items()):
            return one
    said = ", ".join(f"{name} {value}" for name, value in wanted.items())
    raise AssertionError(f"expected a finding{' with ' + said if said else ''}; {outcome}")


def assert_passes(rule: Rule, example: Given, **options: Any) -> None:
    """Raises AssertionError with what the rule said where it does not pass the example."""
    _assert_verdict("pass", rule, example, options)


def assert_not_applicable(rule: Rule, example: Given, **options: Any) -> None:
    """Raises AssertionError with what the rule said where it found something to judge."""
    _assert_verdict("notApplicable", rule, example, options)


def assert_open(rule: Rule, example: Given, *, datum: str | None = None, **options: Any) -> None:
    """Raises AssertionError where the rule does not wait for a datum of the example (this one)."""
    outcome = _assert_verdict("open", rule, example, options)
    if datum is not None and datum not in outcome.missing:
        raise AssertionError(f"expected the rule to wait for {datum}; {outcome}")


def _assert_verdict(
    verdict: Verdict, rule: Rule, example: Given, options: Mapping[str, Any]
) -> Outcome:
    outcome = run(rule, example, **options)
    if outcome.verdict != verdict:
        raise AssertionError(f"expected {verdict}; {outcome}")
    return outcome


def _is(finding: Finding, value: Any, wanted: Any) -> bool:
    if value == wanted or (isinstance(wanted, str) and _written(finding, value) == wanted):
        return True
    if not isinstance(value, Quantity):
        return False
    if isinstance(wanted, str):
        try:
            wanted = type(value).parse(wanted)
        except QuantityError:
            return False
    return isinstance(wanted, int | float) and abs(value - wanted) <= 1e-6 * max(1.0, abs(value))


# A whole report, for a snapshot


def report_on(
    example: Given,
    packs: Iterable[str] = (),
    plugins: Iterable[Any] = (),
    policy: str = "",
    as_of: datetime.date = AS_OF,
) -> Report:
    """The report of an example, checked by all rules as a library of its own.

    `packs` are installed packs to use, `plugins` packs as objects, `policy` more lines of its
    policy. Its files are called `build.toml`, `stock.toml` and so on, wherever they lie: the
    working folder is another while it runs.
    """
    values = _values(example)
    named = f"packs = {list(packs)}\n"
    files = {
        "riglint.toml": f'catalogs = ["stock.toml"]\n{named}{policy}',
        "stock.toml": tomli_w.dumps({n: values[n] for n in CATALOG_TABLES if n in values}),
        "record.toml": tomli_w.dumps({n: values[n] for n in RECORD_TABLES if n in values}),
        "build.toml": tomli_w.dumps(
            {n: v for n, v in values.items() if n not in (*CATALOG_TABLES, *RECORD_TABLES)}
        ),
    }
    with TemporaryDirectory() as folder, chdir(folder):
        for name, text in files.items():
            if text.strip():
                Path(name).write_text(text, encoding="utf-8")
        return check(".", as_of=as_of, plugins=plugins)


# The contract that every rule keeps


def contract_faults(rule: Rule, pack: Pack | None = None) -> Iterator[str]:
    """What a rule's own examples show to be wrong with it; nothing where it keeps its contract.

    It fires on the faulty example, at its own highest level; it is silent on the repaired one;
    each sheet datum that it asked for there, once taken away, makes it `open` (a rule that
    judges absence may fail instead).
    """
    for check_one in CONTRACT.values():
        yield from check_one(rule, pack)


def _fires(rule: Rule, pack: Pack | None) -> Iterator[str]:
    if not rule.fails:
        yield "it has no faulty example"
        return
    failing = run(rule, rule.fails, pack=pack)
    if failing.verdict != "fail":
        yield f"the faulty example gives {failing.verdict}"
    elif rule.level not in [finding.level for finding in failing.findings]:
        yield f"the faulty example gives no finding of level {rule.level}"
    for finding in failing.findings:
        if not finding.remedy.strip():
            yield f"a finding has no remedy: {finding.message}"


def _is_silent(rule: Rule, pack: Pack | None) -> Iterator[str]:
    if rule.fails:
        sound = run(rule, _repaired(rule), pack=pack)
        if sound.verdict != "pass":
            yield f"the repaired example gives {sound.verdict}"


def _is_open(rule: Rule, pack: Pack | None) -> Iterator[str]:
    if rule.about in (Library, Permit) or not rule.fails:  # these ask no sheet for anything
        return
    allowed = {"open", "fail"} if rule.judges_absence else {"open"}
    for pointer in asked_for(rule, _repaired(rule), pack):
        values = values_of(_repaired(rule))
        take_away(values, pointer)
        verdict = run(rule, values, pack=pack).verdict
        if verdict not in allowed:
            yield f"without {pointer} it answers {verdict}, not open"


CONTRACT: Mapping[str, Callable[[Rule, Pack | None], Iterator[str]]] = {
    "fires on its faulty example": _fires,
    "is silent on its repaired example": _is_silent,
    "is open without its data": _is_open,
}


def _repaired(rule: Rule) -> str:
    return rule.repaired or f'base = "{tomli.loads(rule.fails).get("base")}"'


def asked_for(rule: Rule, example: str, pack: Pack | None = None) -> tuple[str, ...]:
    """Pointers to the sheet data that a rule asks an example's items for and cannot do without."""
    asked: set[str] = set()
    with recording(asked):
        run(rule, example, pack=pack)
    return tuple(sorted(asked))


@contextmanager
def recording(asked: set[str]) -> Iterator[None]:
    """A context in which a pointer to every sheet datum that is asked for is added to a set."""
    read = Datum.__get__

    def noting(datum: Datum[Any], holder: Sheet | None, owner: type) -> Any:
        if holder is not None:
            name = holder.sheet.id.replace("~", "~0").replace("/", "~1")
            asked.add(f"/item/{name}/{datum.name}")
        return read(datum, holder, owner)

    Datum.__get__ = noting  # type: ignore[method-assign, assignment]
    try:
        yield
    finally:
        Datum.__get__ = read  # type: ignore[method-assign]
