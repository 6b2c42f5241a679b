"""riglint checks descriptions of lifting slings: what fits together, what it may carry, and why.

For rule authors: `rule`, `Part`, `Leg`, `Gathering`, `Sling`, `Item`, `Catalog`, `Context`,
`Finding`, `Unstated`, `Length`, `Load`, `Angle`, `Temperature`, `figures`, `Pack`, `ReportKind`,
`rules_in`, `hookimpl`. For embedders: `check`, `load`, `rate`, `fill` for files; `Workshop`,
`check_build`, `rate_build`, `read_build`, `read_catalog`, `read_record`, `read_policy` for texts
and data; `dump`, `to_plain`, `from_plain` for the way back; `Policy`, `Report`, `Problem`,
`Unreadable`, `RiglintError`, `API_VERSION`. What stands in `__all__` is public, and nothing else.
"""

from typing import TYPE_CHECKING

from . import figures
from .book import API_VERSION, Pack, PackContext, ReportKind, hookimpl, rules_in
from .check import check, load
from .finding import Finding, Key, Unstated, Verdict
from .judging import Judgment, Missing, Placed
from .later import load_later
from .library import Entry, Library
from .permit import Permit
from .policy import Policy
from .problem import Problem, RiglintError, Unreadable
from .quantities import Angle, Length, Load, Offset, Temperature
from .record import Measurement, Record
from .report import AssemblyReport, Report
from .rule import Context, Rule, rule
from .sling import Gathering, Leg, Part, Sling
from .stock import Catalog, Item

if TYPE_CHECKING:
    from .filling import Filling, fill
    from .model import Build, CatalogFile, LegAngle, PolicyFile, RecordFile
    from .plain import from_plain, to_plain
    from .ratesheet import RateSheet, rate
    from .workshop import (
        Workshop,
        check_build,
        rate_build,
        read_build,
        read_catalog,
        read_policy,
        read_record,
    )
    from .writing import dump

__version__ = "0.1.0"

__all__ = [
    "API_VERSION",
    "Angle",
    "AssemblyReport",
    "Build",
    "Catalog",
    "CatalogFile",
    "Context",
    "Entry",
    "Filling",
    "Finding",
    "Gathering",
    "Item",
    "Judgment",
    "Key",
    "Leg",
    "LegAngle",
    "Length",
    "Library",
    "Load",
    "Measurement",
    "Missing",
    "Offset",
    "Pack",
    "PackContext",
    "Part",
    "Permit",
    "Placed",
    "Policy",
    "PolicyFile",
    "Problem",
    "RateSheet",
    "Record",
    "RecordFile",
    "Report",
    "ReportKind",
    "RiglintError",
    "Rule",
    "Sling",
    "Temperature",
    "Unreadable",
    "Unstated",
    "Verdict",
    "Workshop",
    "check",
    "check_build",
    "dump",
    "figures",
    "fill",
    "from_plain",
    "hookimpl",
    "load",
    "rate",
    "rate_build",
    "read_build",
    "read_catalog",
    "read_policy",
    "read_record",
    "rule",
    "rules_in",
    "to_plain",
]


# What a check does not need loads when it is first asked for.
_LATER = {
    "filling": ("Filling", "fill"),
    "model": ("Build", "CatalogFile", "LegAngle", "PolicyFile", "RecordFile"),
    "plain": ("from_plain", "to_plain"),
    "ratesheet": ("RateSheet", "rate"),
    "workshop": (
        "Workshop",
        "check_build",
        "rate_build",
        "read_build",
        "read_catalog",
        "read_policy",
        "read_record",
    ),
    "writing": ("dump",),
}


if not TYPE_CHECKING:  # else every mistyped name would be something
    __getattr__ = load_later(__name__, _LATER)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
