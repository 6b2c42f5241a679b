"""riglint checks descriptions of lifting slings: what fits together, what it may carry, and why.

For rule authors: `rule`, `Part`, `Leg`, `Gathering`, `Sling`, `Item`, `Catalog`, `Context`,
`Finding`, `Unstated`, `Length`, `Load`, `Angle`, `Temperature`, `figures`, `Pack`, `ReportKind`,
`rules_in`, `hookimpl`. For embedders: `check`, `load`, `rate`, `Policy`, `Report`, `Problem`,
`API_VERSION`.
"""

from typing import TYPE_CHECKING, Any

from . import figures
from .book import API_VERSION, Pack, PackContext, ReportKind, hookimpl, rules_in
from .check import check, load
from .finding import Finding, Key, Unstated, Verdict
from .library import Entry, Library
from .permit import Permit
from .policy import Policy
from .problem import Problem, Unreadable
from .quantities import Angle, Length, Load, Offset, Temperature
from .record import Measurement, Record
from .report import Report
from .rule import Context, Rule, rule
from .sling import Gathering, Leg, Part, Sling
from .stock import Catalog, Item

if TYPE_CHECKING:
    from .filling import Filling, fill
    from .ratesheet import RateSheet, rate

__version__ = "0.1.0"

__all__ = [
    "API_VERSION",
    "Angle",
    "Catalog",
    "Context",
    "Entry",
    "Filling",
    "Finding",
    "Gathering",
    "Item",
    "Key",
    "Leg",
    "Length",
    "Library",
    "Load",
    "Measurement",
    "Offset",
    "Pack",
    "PackContext",
    "Part",
    "Permit",
    "Policy",
    "Problem",
    "RateSheet",
    "Record",
    "Report",
    "ReportKind",
    "Rule",
    "Sling",
    "Temperature",
    "Unreadable",
    "Unstated",
    "Verdict",
    "check",
    "figures",
    "fill",
    "hookimpl",
    "load",
    "rate",
    "rule",
    "rules_in",
]


def __getattr__(name: str) -> Any:
    # what is not needed to check loads when it is first asked for
    if name in ("rate", "RateSheet"):
        from . import ratesheet

        return getattr(ratesheet, name)
    if name in ("fill", "Filling"):
        from . import filling

        return getattr(filling, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
