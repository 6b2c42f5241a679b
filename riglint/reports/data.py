"""A report as plain data, ready for JSON: the shape that `specs/formats/` describes."""

from __future__ import annotations

from typing import Any, TextIO

from attrs import asdict

from ..finding import LEVELS
from ..judging import Judgment, Placed
from ..model import KnownEntry
from ..problem import Problem
from ..quantities import Quantity, Units
from ..report import AssemblyReport, CatalogReport, RecordReport, Report
from ..source import pointer
from .plain import print_json

REPORT_VERSION = 1


def write(report: Report, out: TextIO) -> None:
    """Write the whole report as JSON."""
    from .. import __version__

    print_json(report_data(report, __version__), out)


def quantity(value: Quantity | None, units: Units) -> dict[str, Any] | None:
    """A quantity as its number in the internal unit and as a person reads it."""
    if value is None:
        return None
    return {value.internal: round(float(value), 4), "text": units.show(value)}


def fact(value: Any, units: Units) -> Any:
    """A finding's figure: a quantity with its text, any other value as it is."""
    if isinstance(value, Quantity):
        return quantity(value, units)
    if isinstance(value, tuple | list):
        return [fact(one, units) for one in value]
    if value is None or isinstance(value, bool | int | float | str):
        return value
    return str(getattr(value, "path", value))


def report_data(report: Report, version: str) -> dict[str, Any]:
    """The whole report of a run."""
    return {
        "riglint": version,
        "report_version": REPORT_VERSION,
        "assemblies": [_assembly(one) for one in report.assemblies],
        "catalogs": [_catalog(one) for one in report.catalogs],
        "records": [_record(one) for one in report.records],
        "library": _judgment(report.library),
        "problems": [problem_data(problem) for problem in report.problems],
        "skipped": [{"file": one.file, "reason": one.reason} for one in report.skipped],
        "known": _known(report),
        "off": list(report.off),
        "packs": [
            {"name": pack.name, "version": pack.version, "rules": len(pack.rules)}
            for pack in report.packs
        ],
        "house_rules": [{"file": one.file, "sha256": one.sha256} for one in report.house_rules],
        "summary": {
            "assemblies": len(report.assemblies),
            "catalogs": len(report.catalogs),
            "records": len(report.records),
            **{level: report.count(level) for level in LEVELS},
            "open": report.open_count,
            "problems": len(report.problems),
            "permitted": report.permitted,
            "known": report.known_count,
        },
    }


def problem_data(problem: Problem) -> dict[str, Any]:
    return {
        "file": problem.file,
        "line": problem.line,
        "column": problem.column,
        "message": problem.message,
    }


def _known(report: Report) -> dict[str, Any] | None:
    if report.known is None:
        return None
    return {
        "file": report.known,
        "vanished": [_entry(entry) for entry in report.vanished],
        "lapsed": [_entry(entry) for entry in report.lapsed],
    }


def _entry(entry: KnownEntry) -> dict[str, Any]:
    return asdict(entry) | {"until": entry.until.isoformat() if entry.until else None}


def _assembly(report: AssemblyReport) -> dict[str, Any]:
    standing = report.standing
    units = standing.units
    return {
        "id": report.id,
        "file": report.file,
        "rating": {
            "rated_load": quantity(standing.rated, units),
            "at_most": quantity(standing.at_most, units),
            "in_duty": quantity(standing.in_duty, units),
            "governed_by": standing.governed_by,
            "because": standing.because,
        },
        "reach": quantity(standing.reach, units),
        **_judgment(report.judgment),
    }


def _catalog(report: CatalogReport) -> dict[str, Any]:
    return {"id": report.id, "file": report.file, **_judgment(report.judgment)}


def _record(report: RecordReport) -> dict[str, Any]:
    return {
        "serial": report.serial,
        "build": report.build,
        "file": report.file,
        **_judgment(report.judgment),
    }


def _judgment(judgment: Judgment) -> dict[str, Any]:
    return {
        "findings": [finding_data(placed) for placed in judgment.findings],
        "verdicts": dict(judgment.verdicts),
        "missing": [
            {
                "rule": one.rule,
                "part": one.part,
                "datum": one.datum,
                "key": one.key,
                "why": one.why,
            }
            for one in judgment.missing
        ],
    }


def finding_data(placed: Placed) -> dict[str, Any]:
    """One finding with its place, message, figures and sources."""
    finding = placed.finding
    return {
        "rule": finding.rule,
        "level": finding.level,
        "part": finding.part,
        "also": list(finding.also),
        "file": placed.file,
        "key": pointer(finding.key),
        "line": placed.line,
        "column": placed.column,
        "message": finding.message,
        "remedy": finding.remedy,
        "found": fact(finding.found, finding.units),
        "limit": fact(finding.limit, finding.units),
        "ratio": None if finding.ratio is None else round(finding.ratio, 4),
        "sources": list(finding.sources),
        "permit": finding.permit,
        "known": finding.known,
    }


def angle_data(deg_from_horizontal: float, basis: str) -> dict[str, Any]:
    """An angle as the basis measures it."""
    horizontal = basis == "US"
    value = deg_from_horizontal if horizontal else 90 - deg_from_horizontal
    return {"deg": round(value, 4), "from": "horizontal" if horizontal else "vertical"}
