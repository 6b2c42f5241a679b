"""What the sheet of one build shows: its figures, its findings, and what it was made from."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from attrs import evolve, frozen

from .assembling import assemble
from .check import stock_for
from .judging import Judge, Judgment
from .policy import Policy
from .problem import Unreadable
from .ratesheet import RateSheet, rate_sling
from .reading import read_build
from .sling import Sling
from .source import read_document

MOST_BASES = 20


@frozen
class Input:
    """A file that a sheet was made from, with the SHA-256 of its bytes; None if it has gone."""

    what: str
    file: str
    sha256: str | None


@frozen
class BuildSheet:
    """One build: its calculation, what the rules say of it, and what both were made from."""

    rated: RateSheet
    judgment: Judgment
    inputs: tuple[Input, ...]
    as_of: datetime.date

    @property
    def sling(self) -> Sling:
        return self.rated.sling


def build_sheet(
    path: str | Path,
    *,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    as_of: datetime.date | None = None,
    root: str | Path | None = None,
    house_rules: bool = False,
) -> BuildSheet:
    """The sheet of the build in a file, judged as of a day (default: today).

    `house_rules` as for `riglint.check`. Raises Unreadable where the build cannot be read or hung
    together, or the policy names rule modules and they are not allowed to run.
    """
    file = Path(path)
    judge, stock = stock_for(file, policy, catalogs, root, as_of=as_of, house_rules=house_rules)
    document = read_document(file, str(path))
    used = judge.policy
    sling = assemble(read_build(document), document, stock, used.practice, used.duty)
    return sheet_of(sling, judge)


def sheet_of(sling: Sling, judge: Judge) -> BuildSheet:
    """The sheet of a sling under a judge."""
    rated = rate_sling(sling)
    judgment = judge.of_sling(sling, rated.figures)
    rated = evolve(rated, errors=judgment.count("error"))
    return BuildSheet(rated, judgment, tuple(_inputs(sling, judge.policy)), judge.as_of)


def _inputs(sling: Sling, policy: Policy) -> Iterator[Input]:
    yield _input("build", sling.document.file)
    items = [part.item for part in sling.parts]
    items += [part.assembly for part in sling.parts if part.assembly]
    items += [sling.hung_from] if sling.hung_from else []
    for file in dict.fromkeys(item.catalog.file for item in items):
        yield _input("catalog", file)
    for file in _policies(policy.file):
        yield _input("policy", file)


def _policies(file: str | None) -> list[str]:
    """A policy and those that it is based on."""
    files: list[str] = []
    while file is not None and file not in files and len(files) < MOST_BASES:
        files.append(file)
        try:
            values = read_document(Path(file)).values
        except Unreadable:
            break
        base = values.get("tool", {}).get("riglint", values).get("based_on")
        file = str(Path(file).parent / base) if isinstance(base, str) else None
    return files


def _input(what: str, file: str) -> Input:
    try:
        return Input(what, file, hashlib.sha256(Path(file).read_bytes()).hexdigest())
    except OSError:
        return Input(what, file, None)
