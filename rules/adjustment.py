"""Adjustment: which lengths can really be set."""

from collections.abc import Iterator

from riglint import Context, Finding, Leg, Length, rule

OWN_GEOMETRY = "riglint's own geometry (specs/formats/figures.md)"


@rule(
    "pocket-unreachable",
    about=Leg,
    level="error",
    title="The chain cannot reach its pocket for a wanted setting",
    because="The links between the coupling and the pocket must span the distance; a link before"
    " the first that does cannot be laid in, whatever the drawing says.",
    sources=[OWN_GEOMETRY, "common practice, no source (about the sixth link)"],
    when=lambda leg: leg.adjust is not None and (leg.pocket is not None or bool(leg.branch)),
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
    for index, wanted in enumerate(adjust.reaches):
        link = ctx.figures.wanted_link(leg, wanted)
        if link is not None and link < first:
            longest = ctx.figures.settings(leg)
            yield leg.finding(
                "{part} is to be set to {wanted}, which needs link {found} in {pocket}; the first"
                " that reaches it is link {limit} ({basis})",
                key=("adjust", "reaches", index),
                found=link,
                wanted=wanted,
                remedy="The longest setting is {longest}. Lengthen the chain by {more} links and"
                " set a later link, or ask for {longest}.",
                longest=Length(longest[0].reach) if longest else "none",
                more=first - link,
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
            "{pocket} has {limit} pockets and {found} legs are to be shortened in it",
            key=("adjust", "pocket"),
            found=served,
            limit=pocket.count,
            pocket=leg.pocket,
            remedy="Give each leg a pocket of its own: another link, or a shortener in the leg.",
        )
