"""A report as it can be held to a snapshot: no color, no place of this machine, no versions."""

from __future__ import annotations

import io
from typing import Any

from rich.console import Console

from ..report import Report
from .data import report_data
from .text import print_report


def text_of(report: Report, width: int = 80) -> str:
    """A report as the terminal shows it, without color and without trailing blanks."""
    out = io.StringIO()
    console = Console(file=out, width=width, markup=False, highlight=False, emoji=False)
    print_report(report, console)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def data_of(report: Report) -> dict[str, Any]:
    """A report as `--report json` gives it, without the versions of riglint and of the packs."""
    data = report_data(report, "")
    del data["riglint"]
    for pack in data["packs"]:
        del pack["version"], pack["rules"]
    return data
