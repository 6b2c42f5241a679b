"""The reports of a run, one a module with a function `write`; each loads when it is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from typing import Any, TextIO

from attrs import frozen

from ..book import Pack, ReportKind


@frozen
class _Later:
    """The function `write` of a module of this package, loaded when it is called."""

    module: str
    function: str = "write"

    def __call__(self, report: Any, out: TextIO) -> None:
        getattr(import_module(f".{self.module}", __name__), self.function)(report, out)


BUILT_IN = (
    ReportKind("text", "for a terminal, each faulty sling drawn", _Later("text")),
    ReportKind("json", "everything, for programs", _Later("data")),
    ReportKind("sarif", "SARIF 2.1.0, every verdict", _Later("sarif")),
    ReportKind("sarif-upload", "SARIF for code scanning", _Later("sarif", "write_upload")),
    ReportKind("junit", "JUnit XML, for test reports of CI", _Later("junit")),
    ReportKind("markdown", "for a job summary", _Later("markdown")),
    ReportKind("html", "one page for a browser, each sling drawn", _Later("html", "write_html")),
    ReportKind("lines", "a line a finding, for editors", _Later("lines")),
)


def report_kinds(packs: Iterable[Pack] = ()) -> dict[str, ReportKind]:
    """The reports by the names that ask for them: the built-in ones and those of packs."""
    brought = (kind for pack in packs for kind in pack.reports)
    return {kind.name: kind for kind in (*brought, *BUILT_IN)}
