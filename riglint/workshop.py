"""For programs: builds as text, data or objects, checked and rated without reading files again."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias

from attrs import field, frozen

from . import reading
from .assembling import assemble
from .book import rule_book
from .calculation import Calculation
from .check import itself, make_catalog, same_id, stock_for
from .judging import Judge
from .model import Build, CatalogFile, LegAngle, PolicyFile, RecordFile
from .policy import Policy, policy_in
from .problem import Problem, Unreadable
from .ratesheet import RateSheet, rate_sling, what_if
from .record import Record
from .report import AssemblyReport, CatalogReport, RecordReport, standing_of
from .sling import Sling
from .source import Document, document_of, parse_document, read_document
from .stock import Catalog, Stock
from .writing import file_values

# A text is TOML, a Path is a file, a mapping is what a TOML file would hold.
Data: TypeAlias = str | Path | Mapping[str, Any]
BuildData: TypeAlias = Data | Build
CatalogData: TypeAlias = Data | CatalogFile | Catalog
RecordData: TypeAlias = Data | RecordFile
PolicyData: TypeAlias = Data | PolicyFile | Policy


def read_build(given: BuildData, file: str = "build") -> Build:
    """The build in a TOML text, a file (Path), or values such as a JSON request brings.

    A `Build` made in code is held to the same as one that is read. `file` is its name in
    messages. Raises Unreadable with every fault and, where there is a text, its place.
    """
    return reading.read_build(_document(given, file))


def read_catalog(given: CatalogData, file: str = "catalog") -> Catalog:
    """The catalog in a text, a file (Path) or values; raises Unreadable with every fault."""
    return given if isinstance(given, Catalog) else make_catalog(_document(given, file))


def read_record(given: RecordData, file: str = "record") -> RecordFile:
    """The record in a text, a file (Path) or values; raises Unreadable with every fault."""
    document = _document(given, file)
    return reading.read_record(document)


def read_policy(given: PolicyData, plugins: Iterable[Any] = (), file: str = "policy") -> Policy:
    """The policy in a text or in values; it has no folder, so it names no catalogs.

    A policy that names catalogs is given as a Path where it is used. Raises Unreadable with every
    unknown key, rule or setting.
    """
    if isinstance(given, Policy):
        return given
    document = _document(given, file)
    packs = reading.read_policy(document).packs
    book = rule_book(packs, plugins)
    if book.problems:
        raise Unreadable(*book.problems)
    return policy_in(document, book)


def _document(given: Any, file: str) -> Document:
    if isinstance(given, str):
        return _parsed(given, file)
    if isinstance(given, Path):
        return read_document(given)
    if isinstance(given, Mapping):
        return document_of(given, file)
    try:
        return document_of(file_values(given), file)
    except (ValueError, TypeError) as error:
        raise Unreadable(Problem(file, str(error))) from None


def _parsed(text: str, file: str) -> Document:
    """A TOML text; the commonest of those that are none is the name of a file."""
    try:
        return parse_document(text, file)
    except Unreadable:
        if "\n" in text or not text.endswith(".toml"):
            raise
        said = f"{text[-60:]!r} is read as TOML; a file is given as a pathlib.Path"
        raise Unreadable(Problem(file, said)) from None


@frozen(init=False, eq=False)
class Workshop:
    """Catalogs, a policy and the rules, read once, for any number of builds.

    It never changes, so threads may share one. It prints nothing and reads no file after it was
    made, but a build that is given as a Path.
    """

    judge: Judge = field(repr=False)
    stock: Stock = field(repr=False)

    def __init__(
        self,
        catalogs: Iterable[CatalogData] = (),
        policy: PolicyData | None = None,
        *,
        plugins: Iterable[Any] = (),
        as_of: datetime.date | None = None,
        rule_seconds: float | None = None,
        root: Path | None = None,
        house_rules: bool = False,
    ) -> None:
        """`catalogs` are used beside those of a policy that is given as a Path.

        `plugins` are further rule packs; `as_of` is the day to judge as of, today when it is
        left out; `rule_seconds`, `root` and `house_rules` as for `riglint.check`. Raises
        Unreadable with every fault of the policy, the catalogs and the rule packs, and where the
        policy names rule modules that are not allowed to run; TypeError or ValueError, as
        `riglint.check`, for an argument that is none, such as one catalog in place of several.
        """
        plugins = tuple(plugins)
        if isinstance(catalogs, str | Path | Mapping | CatalogFile | Catalog):
            raise TypeError("catalogs are several, this is one: write [...] around it")
        place: Path | Policy = Policy()
        if policy is not None:
            place = policy if isinstance(policy, Path) else read_policy(policy, plugins)
        judge, stock = stock_for(
            None,
            place,
            (),
            root,
            as_of=as_of,
            plugins=plugins,
            rule_seconds=rule_seconds,
            house_rules=house_rules,
        )
        more = [read_catalog(one, f"catalog {n}") for n, one in enumerate(catalogs, 1)]
        every = [*stock.catalogs, *more]
        if problems := tuple(same_id(every)):
            raise Unreadable(*problems)
        self.__attrs_init__(judge, Stock(every))

    def __repr__(self) -> str:
        catalogs = len(self.stock.catalogs)
        return f"<Workshop: {self.policy.file or 'no policy file'}, {catalogs} catalogs>"

    @property
    def policy(self) -> Policy:
        """The policy in use, as it applies outside the folders that it names."""
        return self.judge.policy

    def sling(self, build: BuildData, file: str = "build") -> Sling:
        """The sling that a build describes; raises Unreadable where it cannot be hung together."""
        document = _document(build, file)
        return self._hang(reading.read_build(document), document, self._judge(build))

    def check(self, build: BuildData, file: str = "build") -> AssemblyReport:
        """What every rule about slings says of a build: verdicts, findings, figures.

        Rules about the library as a whole are not asked. A rule that breaks is in the judgment's
        `problems`. A build that is given as a Path is judged as the policy says for its folder.
        Raises Unreadable where the build cannot be read or hung together.
        """
        judge, sling = self._judge(build), self.sling(build, file)
        figures = Calculation(sling)
        judgment = judge.of_sling(sling, figures)
        standing, again = standing_of(figures), partial(itself, sling)
        name, fail_on = sling.document.file, judge.policy.fail_on
        return AssemblyReport(sling.id, name, standing, judgment, again, fail_on)

    def rate(
        self,
        build: BuildData,
        *,
        hung_from: str | None = None,
        angle: LegAngle | None = None,
        file: str = "build",
    ) -> RateSheet:
        """The calculation sheet of a build; see `riglint.rate`."""
        judge, document = self._judge(build), _document(build, file)
        changed = what_if(reading.read_build(document), hung_from, angle)
        return rate_sling(self._hang(changed, document, judge), judge)

    def check_record(
        self, record: RecordData, build: BuildData | None, file: str = "record"
    ) -> RecordReport:
        """What the rules say of a record of one sling made; `build` is None where it is not found.

        Raises Unreadable for what cannot be read, and for a measured part that the build has not.
        """
        judge, document = self._judge(record), _document(record, file)
        content = reading.read_record(document)
        sling = None if build is None else self.sling(build)
        held = Record(content, document, sling, searched_all=True)
        if problems := tuple(held.unknown()):
            raise Unreadable(*problems)
        judgment = judge.of_record(held, Calculation(sling) if sling else None)
        name, fail_on = document.file, judge.policy.fail_on
        return RecordReport(held.serial, content.record.build, name, judgment, fail_on)

    def check_catalog(self, catalog: CatalogData, file: str = "catalog") -> CatalogReport:
        """What the rules about sheets say of a catalog; raises Unreadable where it is not read."""
        if isinstance(catalog, Catalog):
            document, read = Document(catalog.file, "", {}), catalog
        else:
            document = _document(catalog, file)
            read = make_catalog(document)
        return CatalogReport(read.id, document.file, self.judge.of_catalog(read, document))

    def _judge(self, given: Any) -> Judge:
        return self.judge.at(given) if isinstance(given, Path) else self.judge

    def _hang(self, build: Build, document: Document, judge: Judge) -> Sling:
        used = judge.policy
        return assemble(build, document, self.stock, used.practice, used.duty)


def check_build(
    build: BuildData,
    *,
    catalogs: Iterable[CatalogData] = (),
    policy: PolicyData | None = None,
    as_of: datetime.date | None = None,
    plugins: Iterable[Any] = (),
) -> AssemblyReport:
    """Check one build; for more than one, make a `Workshop` and ask that. See there."""
    shop = Workshop(catalogs, policy, as_of=as_of, plugins=plugins)
    return shop.check(build)


def rate_build(
    build: BuildData,
    *,
    catalogs: Iterable[CatalogData] = (),
    policy: PolicyData | None = None,
    hung_from: str | None = None,
    angle: LegAngle | None = None,
) -> RateSheet:
    """The calculation sheet of one build; for more than one, make a `Workshop` and ask that."""
    return Workshop(catalogs, policy).rate(build, hung_from=hung_from, angle=angle)
