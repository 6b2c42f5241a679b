"""Adjustment: which lengths can really be set."""

from collections.abc import Iterator

from riglint import Context, Finding, Leg, Length, Load, Part, Unstated, rule
from riglint.figures import OWN_GEOMETRY
from riglint.tables import chain_size

SHORTENS = ("grab-hook", "shortener")


def can_shorten(leg: Leg) -> bool:
    """Whether the leg has something of its own or above it that it is shortened in."""
    return leg.adjust is not None and not leg.entry.endless and bool(leg.pocket or leg.branch)


@rule(
    "pocket-unreachable",
    about=Leg,
    level="error",
    title="The chain cannot reach its pocket for a wanted setting",
    because="The links between the coupling and the pocket must span the distance; a link before"
    " the first that does cannot be laid in, whatever the drawing says.",
    sources=[OWN_GEOMETRY, "common practice, no source (about the sixth link)"],
    when=can_shorten,
    fails="""
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = { pocket = "left", reaches = ["9 ft"], tolerance = "0.6 in", first_link = 3 }
        [[item]]
        id = "intermediate"
        pocket = { first_link = 6 }
    """,
    repaired="""
        base = "quad"
        [[item]]
        id = "intermediate"
        pocket = { first_link = 6 }
    """,
)
def pocket_unreachable(leg: Leg, ctx: Context) -> Iterator[Finding]:
    adjust = leg.adjust
    assert adjust is not None
    first = ctx.figures.first_link(leg)
    stated = ctx.figures.stated_first_link(leg) is not None
    common = {
        "limit": first,
        "level": "error" if stated else "warning",
        "basis": "by the sheet" if stated else "by the geometry, which is riglint's own",
        "pocket": leg.pocket or leg.branch[-1],
    }
    if adjust.first_link is not None and adjust.first_link < first:
        yield leg.finding(
            "{part} promises link {found} as the first in {pocket}; the first that reaches it is"
            " link {limit} ({basis})",
            key=("adjust", "first_link"),
            found=adjust.first_link,
            remedy="Promise link {limit}, or use a pocket that sits lower.",
            **common,
        )
    full = ctx.figures.reach(leg)
    for index, wanted in enumerate(adjust.reaches):
        link = ctx.figures.wanted_link(leg, wanted)
        if wanted - full > (adjust.tolerance or 0.0):
            yield leg.finding(
                "{part} is to be set to {found}, longer than its full reach of {limit}",
                key=("adjust", "reaches", index),
                found=wanted,
                limit=Length(full),
                remedy="Ask for {limit} or less, or lengthen the chain.",
            )
        elif link is not None and link < first:
            yield leg.finding(
                "{part} is to be set to {wanted}; the longest setting in {pocket} is {longest},"
                " with link {limit}, the first that reaches it ({basis})",
                key=("adjust", "reaches", index),
                found=link,
                wanted=wanted,
                longest=Length(ctx.figures.setting(leg, first).reach),
                full=Length(full),
                remedy="Ask for {longest} or less, or use the full reach of {full}.",
                **common,
            )
    yield from _too_many_legs(leg, ctx)


def _too_many_legs(leg: Leg, ctx: Context) -> Iterator[Finding]:
    if leg.pocket is None or leg.pocket.leg is not None:
        return
    pocket = leg.pocket.pocket
    served = sum(other.count for other in leg.sling.legs if other.pocket is leg.pocket)
    if pocket.count is None:
        raise leg.pocket.unstated("pocket.count")
    if served > pocket.count:
        yield leg.finding(
            "{pocket} has {pockets}, and {found} legs are to be shortened in it",
            key=("adjust", "pocket"),
            found=served,
            limit=pocket.count,
            pocket=leg.pocket,
            pockets="1 pocket" if pocket.count == 1 else f"{pocket.count} pockets",
            remedy="Give each leg a pocket of its own: another link, or a shortener in the leg.",
        )


@rule(
    "reach-between-links",
    about=Leg,
    level="warning",
    title="A wanted setting falls between two links",
    because="A chain is shortened by whole links: the next setting is one pitch away, and nothing"
    " between them can be had.",
    sources=[OWN_GEOMETRY, "common practice, no source"],
    when=can_shorten,
    fails="""
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = { pocket = "left", reaches = ["8 ft 9.7 in"], tolerance = "0.5 in" }
    """,
    repaired="""
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = { pocket = "left", reaches = ["8 ft 10.2 in"], tolerance = "0.5 in" }
    """,
)
def reach_between_links(leg: Leg, ctx: Context) -> Iterator[Finding]:
    adjust = leg.adjust
    assert adjust is not None
    pitch = ctx.figures.shortened_chain(leg).pitch
    near = adjust.tolerance if adjust.tolerance is not None else pitch / 4
    usable = ctx.figures.links_to_set(leg)
    for index, wanted in enumerate(adjust.reaches):
        link = ctx.figures.wanted_link(leg, wanted)
        if link is None or link not in usable:
            continue
        nearest = ctx.figures.setting(leg, link).reach
        off = abs(nearest - wanted)
        if off <= near:
            continue
        beside = link - 1 if nearest < wanted else link + 1
        choices = [n for n in sorted((link, beside)) if n in usable]
        yield leg.finding(
            "{part} is to be set to {wanted}, which falls between links: the nearest settings are"
            " {settings}, {found} off; {limit} is near enough",
            key=("adjust", "reaches", index),
            level="warning" if adjust.tolerance is not None else "note",
            found=Length(off),
            limit=Length(near),
            wanted=wanted,
            settings=[Length(ctx.figures.setting(leg, n).reach) for n in choices],
            remedy="Ask for one of these settings.",
        )


@rule(
    "adjustment-runs-out",
    about=Leg,
    level="error",
    title="A wanted setting needs more chain than the leg has",
    because="The last link holds the lower fitting: past the one before it nothing is left to lay"
    " into the pocket.",
    sources=[OWN_GEOMETRY],
    when=can_shorten,
    fails="""
        base = "quad"
        [[leg]]
        ref = "a"
        adjust = { pocket = "left", reaches = ["18 in"], tolerance = "0.6 in" }
    """,
)
def adjustment_runs_out(leg: Leg, ctx: Context) -> Iterator[Finding]:
    adjust = leg.adjust
    assert adjust is not None
    last = (ctx.figures.shortened_chain(leg).links or 0) - 1
    if adjust.first_link is not None and adjust.first_link > last:
        yield leg.finding(
            "{part} promises link {found} as the first in its pocket; its last usable link is"
            " {limit}",
            key=("adjust", "first_link"),
            found=adjust.first_link,
            limit=last,
            remedy="Promise a link that the chain has.",
        )
    for index, wanted in enumerate(adjust.reaches):
        link = ctx.figures.wanted_link(leg, wanted)
        if link is not None and link > last:
            usable = ctx.figures.links_to_set(leg)
            yield leg.finding(
                "{part} is to be set to {wanted}, which needs link {found} of a chain whose last"
                " usable link is {limit}",
                key=("adjust", "reaches", index),
                found=link,
                limit=last,
                wanted=wanted,
                shortest=Length(ctx.figures.setting(leg, usable[-1]).reach) if usable else "none",
                remedy="The shortest setting is {shortest}; ask for that, or use a shorter sling.",
            )


@rule(
    "no-shortener",
    about=Leg,
    level="error",
    title="Settings are asked for and nothing can shorten the leg",
    because="Without a pocket or a grab hook the crew shortens a chain with a knot or a bolt.",
    sources=["29 CFR 1919.25, Michigan R 408.14911 (no knots, bolts or makeshift shortening)"],
    when=lambda leg: leg.adjust is not None,
    judges_absence=True,
    fails="""
        base = "quad"
        without = ["/item/intermediate/pocket"]
    """,
)
def no_shortener(leg: Leg, ctx: Context) -> Iterator[Finding]:
    if leg.entry.endless:
        raise Unstated("adjust", leg.path, why=f"{leg.path} is endless; it has no lower end to set")
    holder = leg.pocket or (leg.branch[-1] if leg.branch else None)
    able = holder is not None and (holder.kind in SHORTENS or holder.get("pocket") is not None)
    if not able:
        yield leg.finding(
            "{part} is to be shortened{where}, and there is no pocket, shortener or grab hook",
            key=("adjust",),
            where=f" in {holder.path}" if holder else "",
            remedy="Fit a link with pockets, a shortener in the leg, or a grab hook beside it.",
        )


@rule(
    "pocket-size-mismatch",
    about=Leg,
    level="error",
    title="The pocket is made for another chain",
    because="A link that lies loose in its pocket bends over the edge, and one too thick does not"
    " go in.",
    sources=["common practice, no source"],
    when=lambda leg: leg.pocket is not None and leg.pocket.leg is None,
    fails="""
        base = "quad"
        [[item]]
        id = "intermediate"
        pocket = { size = "1/2 in" }
    """,
)
def pocket_size_mismatch(leg: Leg, ctx: Context) -> Iterator[Finding]:
    holder, chain = leg.pocket, leg.chain
    assert holder is not None
    pocket = holder.pocket
    if pocket.size is None:
        raise holder.unstated("pocket.size")
    if chain_size(pocket.size) != chain.size_mm:
        yield leg.finding(
            "The pocket in {pocket} is made for {found} chain; {part} is of {limit} chain",
            key=("adjust", "pocket"),
            found=pocket.size,
            limit=chain.size,
            pocket=holder,
            remedy="Fit a link with a pocket for {limit} chain.",
        )
    if pocket.grade is None:
        raise holder.unstated("pocket.grade")
    if pocket.grade < chain.grade:
        yield leg.finding(
            "The pocket in {pocket} is made for grade {found} chain; {part} is of grade {limit}",
            key=("adjust", "pocket"),
            found=pocket.grade,
            limit=chain.grade,
            pocket=holder,
            remedy="Fit a link with a pocket for grade {limit} chain.",
        )


@rule(
    "shortener-not-derated",
    about=Leg,
    level="error",
    title="A shortener costs the chain strength, and the rating ignores it",
    because="A link that is held by its edge holds less than one that is cradled. The tag is read"
    " with the leg shortened, too.",
    sources=["AS 3775 (75 % unless the link is fully supported; second-hand)", "common practice"],
    when=lambda leg: can_shorten(leg) and shortener_of(leg) is not None,
    waivable=False,
    fails="""
        base = "shortened"
        [[item]]
        id = "shortener"
        strength_factor = 0.8
    """,
)
def shortener_not_derated(leg: Leg, ctx: Context) -> Iterator[Finding]:
    holder = shortener_of(leg)
    assert holder is not None
    factor = holder.get("strength_factor") if holder.kind == "grab-hook" else holder.strength_factor
    if factor is None or factor >= 1:
        return
    tag, load = leg.sling.build.tag, leg.sling.planned_load
    claims = (
        [(row.load, ctx.figures.tag_rating(row), "The tag") for row in tag.rating] if tag else []
    )
    if load is not None:
        claims.append((load, ctx.figures.duty_rating(), "The duty"))
    for claim, rated, who in claims:
        shortened = ctx.figures.shortened_rating(leg, rated, factor)
        if claim > shortened * ctx.figures.SLACK:
            yield leg.finding(
                "{who} says {found}; shortened in {holder}, which leaves the chain {share} of its"
                " limit, the sling may carry {limit}",
                key=("adjust",),
                found=claim,
                limit=Load(shortened),
                who=who,
                holder=holder,
                share=f"{100 * factor:.0f} %",
                what="Tag the sling for" if who == "The tag" else "Lift no more than",
                remedy="{what} {limit}, or fit a shortener that cradles the link.",
            )


def shortener_of(leg: Leg) -> Part | None:
    """The part of the leg or its branch that holds the shortened chain; None for a link."""
    if leg.branch:
        return leg.branch[-1]
    return leg.pocket if leg.pocket is not None and leg.pocket.leg is not None else None
