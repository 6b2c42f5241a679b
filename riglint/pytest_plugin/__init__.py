"""The pytest plug-in, installed as `riglint_pytest` so that a run without it loads nothing else.

`pytest --riglint-pack NAME` (or `riglint_packs` in the ini file) holds every rule of an installed
pack to its contract, an item a rule and clause. The fixture `riglint_report` gives the report of a
build for a snapshot.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from riglint import Pack, Rule


def pytest_addoption(parser: pytest.Parser) -> None:
    """The option and the ini key that name packs."""
    group = parser.getgroup("riglint")
    group.addoption(
        "--riglint-pack",
        action="append",
        default=[],
        metavar="NAME",
        help="hold every rule of this installed pack to its contract",
    )
    parser.addini("riglint_packs", "packs whose rules are held to their contracts", type="args")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(
    session: pytest.Session, config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Add the items of the packs that are named."""
    named = (*config.getini("riglint_packs"), *config.getoption("riglint_pack"))
    for name in dict.fromkeys(named):
        items.extend(_items(session, name))


def _items(session: pytest.Session, name: str) -> Iterator[pytest.Item]:
    from riglint.book import rule_book
    from riglint.testing import CONTRACT

    book = rule_book() if name == "standard" else rule_book((name,))
    loads: Any = PackLoads.from_parent(session, name=f"{name}::loads")
    loads.faults = [problem.message for problem in book.problems]
    yield loads
    packs = {pack.name: pack for pack in book.packs}
    for rule in book.rules:
        if (rule.owner == "standard") != (name == "standard"):
            continue
        for clause in CONTRACT:
            title = f"{name}::{rule.name.rpartition(':')[2]}::{clause}"
            item: Any = RuleContract.from_parent(session, name=title)
            item.rule, item.pack, item.clause = rule, packs[rule.owner], clause
            yield item


class Faulty(Exception):
    """What a pack or a rule does wrong, a line each."""


class _Item(pytest.Item):
    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """The faults alone: no traceback through the engine helps a rule author."""
        error = excinfo.value
        if isinstance(error, Faulty):
            return f"{self.name}:\n  {error}"
        from riglint.problem import said

        return f"{self.name}:\n  the example cannot be judged: {said(error)}"

    def reportinfo(self) -> tuple[Any, int | None, str]:
        """How the item is called in reports."""
        return self.path, None, self.name


class PackLoads(_Item):
    """That a pack is installed and loads whole."""

    faults: list[str]

    def runtest(self) -> None:
        if self.faults:
            raise Faulty("\n  ".join(self.faults))


class RuleContract(_Item):
    """One clause of the contract, for one rule."""

    rule: Rule
    pack: Pack
    clause: str

    def runtest(self) -> None:
        from riglint.testing import CONTRACT

        faults = list(CONTRACT[self.clause](self.rule, self.pack))
        if faults:
            raise Faulty("\n  ".join(faults))


@pytest.fixture
def riglint_report() -> Callable[..., Any]:
    """A function that checks a build in TOML by all rules: the report as text, or as JSON data.

    `assert riglint_report(build, packs=["northmere"]) == snapshot` holds it to a snapshot; `kind`
    is "text" or "json", the other options are those of `riglint.testing.report_on`.
    """

    def report(build: str, kind: str = "text", **options: Any) -> Any:
        from riglint.reports.snapshot import data_of, text_of
        from riglint.testing import report_on

        made = report_on(build, **options)
        return data_of(made) if kind == "json" else text_of(made)

    return report
