"""Inspection: what is overdue, and what a sling's papers lack."""

import datetime
from calendar import monthrange
from collections.abc import Iterator
from itertools import pairwise

from riglint import (
    Context,
    Finding,
    Key,
    Record,
    Sling,
    Unstated,
    rule,
)
from riglint.model import LINK_KINDS, Inspection

WAC = "WAC 296-155-55800, Table 12"


@rule(
    "inspection-overdue",
    about=Record,
    level="error",
    title="An inspection is overdue",
    because="Wear, stretch and cracks are found by looking. A sling that nobody has looked at in"
    " time may not be used.",
    sources=[
        f"{WAC} (normal service yearly, severe quarterly, special as a qualified person says)",
        "29 CFR 1910.184(e)(3), by way of WAC and Mich. Adm. Code (12 months at most)",
        "BG BAU information sheet (Germany: yearly)",
    ],
    fails="""
        base = "single"
        [duty]
        service = "severe"
        [record]
        build = "single"
        serial = "NR-1"
        made = 2026-01-15
    """,
    repaired="""
        base = "single"
        [duty]
        service = "severe"
        [record]
        build = "single"
        serial = "NR-1"
        made = 2026-01-15
        [[inspection]]
        on = 2026-04-10
        kind = "periodic"
    """,
)
def inspection_overdue(record: Record, ctx: Context) -> Iterator[Finding]:
    done = [(n, one) for n, one in record.inspections if one.on <= ctx.as_of]
    dues = list(_stated_dues(done))
    for n, due in dues:
        if ctx.as_of > due:
            yield _overdue(
                record,
                ctx,
                due,
                ("inspection", n, "next_due"),
                "",
                "the date that the inspection set",
            )
            return
    last = _last_thorough(record, done, ctx.as_of)
    if last is None:
        if dues:
            return
        raise Unstated("made", record.path, key="/record/made")
    key, since = last
    months, source, certain = _interval(record.sling, ctx)
    due = after_months(since, months)
    if ctx.as_of > due:
        yield _overdue(record, ctx, due, key, f", {months} months after {since}", source)
    elif not certain and not dues:
        special = record.sling.duty.service == "special"
        raise Unstated(
            "next_due" if special else "service",
            "the record" if special else "the duty",
            why="special service is inspected as a qualified person says; the record states no"
            " next_due"
            if special
            else "the duty does not state service, nor the record a next_due",
        )


def _overdue(
    record: Record, ctx: Context, due: datetime.date, key: Key, why: str, source: str
) -> Finding:
    return record.finding(
        "{part} was due for inspection on {limit}{why}; it is {found}",
        key=("", *key),
        found=str(ctx.as_of),
        limit=str(due),
        why=why,
        sources=[source],
        remedy="Keep it out of use until it has been inspected and the record says so.",
    )


Done = list[tuple[int, Inspection]]


def _stated_dues(done: Done) -> Iterator[tuple[int, datetime.date]]:
    """The dates for the next inspection that still count, by place: of the newest inspection,
    and of the newest thorough one, which a frequent one does not stand in for."""
    thorough = next((pair for pair in done if pair[1].kind != "frequent"), None)
    for n, one in dict.fromkeys(filter(None, (thorough, *done[:1]))):
        if one.next_due is not None:
            yield n, one.next_due


def _last_thorough(
    record: Record, done: Done, as_of: datetime.date
) -> tuple[Key, datetime.date] | None:
    """When the sling was last inspected thoroughly, else first inspected or made; its place."""
    for n, one in done:
        if one.kind == "periodic":
            return ("inspection", n, "on"), one.on
    made = record.content.record.made
    starts: list[tuple[datetime.date, Key]] = [
        (one.on, ("inspection", n, "on")) for n, one in done if one.kind == "initial"
    ]
    if made is not None and made <= as_of:
        starts.append((made, ("record", "made")))
    if not starts:
        return None
    since, key = max(starts, key=lambda start: start[0])
    return key, since


def _interval(sling: Sling, ctx: Context) -> tuple[int, str, bool]:
    """The longest interval in months, its source, and whether it is that of the service."""
    rows = [row for row in ctx.table("inspection-intervals").rows if row["basis"] == sling.basis]
    by_service = {row["service"]: row for row in rows}
    row = by_service.get(sling.duty.service or "", by_service["any"])
    certain = row["service"] != "any" or len(rows) == 1
    return row["months"], row["source"], certain


def after_months(day: datetime.date, months: int) -> datetime.date:
    """The same day so many months later, or the last day of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > datetime.MAXYEAR:
        return datetime.date.max
    return day.replace(year=year, month=month + 1, day=min(day.day, monthrange(year, month + 1)[1]))


def is_welded(sling: Sling) -> bool:
    """Whether a chain hangs in a link with no coupling between, so that it was welded in."""
    for leg in sling.legs:
        kinds = [leg.on.part.kind if leg.on is not None else "", *(p.kind for p in leg.parts)]
        for above, below in pairwise(kinds):
            if "chain" in (above, below) and LINK_KINDS & {above, below}:
                return True
    return False


@rule(
    "certificate-incomplete",
    about=Record,
    level="error",
    title="The certificate lacks what the basis asks of it",
    because="The certificate ties the tag to the test; without number and date it is anybody's.",
    sources=[
        "29 CFR 1910.184(e)(4), historic wording, by way of WAC 296-24-29423(4) (keep the"
        " certificate of the proof test)",
        "EN 818-4:1996+A1:2008, 8 (name, date, id, ... and the proof force if welded; second-hand)",
    ],
    judges_absence=True,
    fails="""
        base = "single"
        [record]
        build = "single"
        serial = "NR-1"
        certificate = { number = "C-881" }
    """,
    repaired="""
        base = "single"
        [record]
        build = "single"
        serial = "NR-1"
        certificate = { number = "C-881", on = 2026-03-02 }
    """,
)
def certificate_incomplete(record: Record, ctx: Context) -> Iterator[Finding]:
    paper = record.content.record.certificate
    lacking = []
    if paper is None or not (paper.number or "").strip():
        lacking.append("number")
    if paper is None or paper.on is None:
        lacking.append("date")
    if lacking:
        yield _lacking(record, lacking, "")
    sling = record.sling
    if sling.basis == "EN" and is_welded(sling) and (paper is None or not paper.proof_leg_load):
        yield _lacking(record, ["proof force"], ", which EN 818-4 asks of a welded sling")


def _lacking(record: Record, lacking: list[str], why: str) -> Finding:
    return record.finding(
        "The certificate of {part} states no {found}{why}",
        key=("certificate",) if record.content.record.certificate is not None else (),
        found=lacking,
        why=why,
        remedy="Add it from the certificate; without one, keep the sling out of use.",
    )


@rule(
    "record-without-build",
    about=Record,
    level="error",
    title="A record names a build that the library does not hold",
    because="Nobody can say what the sling was made of, what it may carry, or when it is worn out.",
    sources=["common practice"],
    judges_absence=True,
    fails="""
        base = "single"
        [record]
        build = "singel"
        serial = "NR-1"
    """,
    repaired="""
        base = "single"
        [record]
        build = "single"
        serial = "NR-1"
    """,
)
def record_without_build(record: Record, ctx: Context) -> Iterator[Finding]:
    if record.build is None and record.searched_all:
        yield record.finding(
            "{part} was made to the build {found}, which the library does not hold",
            key=("build",),
            found=record.content.record.build,
            remedy="Name the build as its file does, or put its file back into the library.",
        )
    elif record.build is None:
        raise Unstated(
            "build",
            record.path,
            key="/record/build",
            why=f"the build {record.content.record.build} was not found, and only a part of the"
            " library was searched",
        )
