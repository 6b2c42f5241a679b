"""Deviation permits: whether they are whole, in time, needed and allowed."""

from collections.abc import Iterator

from riglint import Context, Finding, Permit, rule

ISO = "ISO 9000:2015, 3.12.6"


@rule(
    "permit-expired",
    about=Permit,
    level="error",
    title="A deviation permit has run out",
    because="Leave to depart is given for a time; past it the finding stands again.",
    sources=[ISO],
    fails="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard, slab line 2 only"
        justification = "Bar ground flat at the coupling; drawing NR-114 rev C"
        approved_by = "chief rigger"
        until = 2026-01-31
    """,
    repaired="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard, slab line 2 only"
        justification = "Bar ground flat at the coupling; drawing NR-114 rev C"
        approved_by = "chief rigger"
        until = 2027-01-31
    """,
)
def permit_expired(permit: Permit, ctx: Context) -> Iterator[Finding]:
    if permit.expired:
        yield permit.finding(
            "The permit for {rule} ran out on {found}; it is {limit}",
            key=("until",),
            found=str(permit.written.until),
            limit=str(ctx.as_of),
            rule=permit.written.rule,
            remedy="Mend the fault, or have the permit renewed by who gave it.",
        )


@rule(
    "permit-unneeded",
    about=Permit,
    level="note",
    title="A deviation permit covers nothing",
    because="A permit that is no longer needed hides the next fault of its kind.",
    sources=["house default"],
    fails="""
        base = "pair"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard"
        justification = "Bar ground flat"
        approved_by = "chief rigger"
        until = 2027-01-31
    """,
    repaired="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard"
        justification = "Bar ground flat"
        approved_by = "chief rigger"
        until = 2027-01-31
    """,
)
def permit_unneeded(permit: Permit, ctx: Context) -> Iterator[Finding]:
    if permit.waivable and not permit.covers:
        where = f" at {permit.written.part}" if permit.written.part else ""
        yield permit.finding(
            "The permit for {rule}{where} covers nothing that was found",
            rule=permit.written.rule,
            where=where,
            remedy="Take the permit out.",
        )


@rule(
    "permit-not-allowed",
    about=Permit,
    level="error",
    title="A permit for what nobody may permit",
    because="Over-rating, unrated parts, chain that is not for lifting, forbidden temperatures and"
    " worn-out gear kill; no signature changes that.",
    sources=["house default: see `riglint rules NAME` for which rules these are"],
    waivable=False,
    fails="""
        base = "pair"
        [[deviation_permit]]
        rule = "tag-over-rating"
        use = "Precast yard"
        justification = "It has always held"
        approved_by = "chief rigger"
        until = 2027-01-31
    """,
    repaired="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard"
        justification = "Bar ground flat"
        approved_by = "chief rigger"
        until = 2027-01-31
    """,
)
def permit_not_allowed(permit: Permit, ctx: Context) -> Iterator[Finding]:
    if not permit.waivable:
        yield permit.finding(
            "{rule} cannot be permitted away",
            key=("rule",),
            rule=permit.written.rule,
            remedy="Mend the fault and take the permit out.",
        )


@rule(
    "permit-incomplete",
    about=Permit,
    level="error",
    title="A deviation permit does not say for what, why, by whom or how long",
    because="Leave to depart is given for one use and a limited time or number, and someone answers"
    " for it.",
    sources=[ISO],
    fails="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard"
    """,
    repaired="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
        [[deviation_permit]]
        rule = "opening-too-small"
        use = "Precast yard"
        justification = "Bar ground flat"
        approved_by = "chief rigger"
        quantity = 4
    """,
)
def permit_incomplete(permit: Permit, ctx: Context) -> Iterator[Finding]:
    if permit.missing:
        yield permit.finding(
            "The permit for {rule} lacks {found}",
            found=list(permit.missing),
            rule=permit.written.rule,
            remedy="Add {found}; until then it permits nothing.",
        )
