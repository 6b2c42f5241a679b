"""The duty: heat, cold, edges, the choker hitch and what the air holds."""

from collections.abc import Iterator
from typing import Any

from riglint import Context, Finding, Key, Leg, Length, Part, Sling, Temperature, Unstated, rule
from riglint.calculation import Reduction
from riglint.figures.edge import edge_is_sharp
from riglint.figures.textile import not_borne
from riglint.model import ROPE_KINDS, TEXTILE_KINDS

FROM_MEMORY = {"acid", "pickling", "galvanizing"}  # EN 818-6 as remembered, alloy chain
SAME_AS = {"alkali": "caustic", "pickling": "acid"}  # a pickling bath is of acid
HARMLESS = {"indoor", "outdoor", "marine", "dust", "water"}
ENVIRONMENTS = HARMLESS | FROM_MEMORY | {"alkali", "caustic", "phenolic"}


def keeps_to_it(sling: Sling, ctx: Context, datum: str) -> bool:
    """Whether the planned load, or a tag row for the reduced duty, keeps to the reduced rating."""
    load = sling.planned_load
    if load is not None:
        allowed = ctx.figures.duty_rating()
        if allowed.at_most is not None and load <= allowed.at_most * ctx.figures.SLACK:
            return True
    rows = sling.build.tag.rating if sling.build.tag else ()
    return any(_for_this_duty(row, sling, datum, ctx) for row in rows)


def _for_this_duty(row: Any, sling: Sling, datum: str, ctx: Context) -> bool:
    """Whether a tag row speaks of the reduced duty; that it is true is for tag-over-rating."""
    duty = sling.duty
    if datum == "choker":
        return bool((row.hitch or duty.hitch) == "choker") and ctx.figures.covers_choke(row)
    if datum == "temperature":
        warmth = duty.temperature
        ends = [t for t in (warmth.low, warmth.high) if t is not None] if warmth else []
        return row.temperature is not None and bool(ends) and row.temperature >= max(ends)
    return row.edge_radius is not None and row.edge_radius <= duty.edge_radius


def not_kept_to(sling: Sling, ctx: Context, reduction: Reduction, key: Key) -> Finding:
    """The finding that nothing keeps to a reduced rating."""
    plain = ctx.figures.rating()
    reduced = ctx.figures.reduced(plain, (reduction,))
    what = reduction.name(sling.units)
    after = ""
    if reduction.afterwards < 1:
        after = f"; once it was that hot, {100 * reduction.afterwards:.0f} % is left for good"
    return sling.finding(
        "{what} leaves {share} of the rating, {found} instead of {limit}, and neither the planned"
        " load nor a row of the tag keeps to it{after}",
        key=("", *key),
        found=reduced.stated,
        limit=plain.stated,
        what=what[0].upper() + what[1:],
        share=f"{100 * reduction.share:.0f} %",
        after=after,
        sources=[reduction.source],
        remedy="Plan no more than {found}, or add a row for this duty to the tag.",
    )


@rule(
    "temperature-not-derated",
    about=Sling,
    level="warning",
    title="Heat takes off the rating, and nothing keeps to what is left",
    because="Steel loses strength while it is hot, and some of it for good.",
    sources=["ASME B30.9, Table 9-1.8.1-1 (second-hand)", "EN 818-6 (second-hand)"],
    when=lambda sling: sling.duty.temperature is not None,
    fails="""
        base = "pair"
        without = ["/duty/load"]
        [duty]
        temperature = { high = "600 degF" }
    """,
    repaired="""
        base = "pair"
        [duty]
        load = "10,000 lb"
        temperature = { high = "600 degF" }
    """,
)
def temperature_not_derated(sling: Sling, ctx: Context) -> Iterator[Finding]:
    heat = ctx.figures.heat(sling.duty.temperature)
    if heat is not None and heat.share < 1 and not keeps_to_it(sling, ctx, "temperature"):
        yield not_kept_to(sling, ctx, heat, ("duty", "temperature"))


@rule(
    "temperature-not-permitted",
    about=Sling,
    level="error",
    title="The duty is hotter or colder than the legs may be",
    because="Beyond its range chain steel softens for good or breaks like glass, a rope's core"
    " chars, and fiber melts.",
    sources=[
        "ASME B30.9, Table 9-1.8.1-1 (second-hand)",
        "EN 818-6 (second-hand)",
        "WAC 296-24-29425(3)",
        "29 CFR 1926.251(e)",
        "EN 1492-1 and EN 1492-2, scope",
    ],
    when=lambda sling: sling.duty.temperature is not None,
    waivable=False,
    fails="""
        base = "pair"
        [duty]
        temperature = { high = "1,100 degF" }
    """,
    repaired="""
        base = "pair"
        [duty]
        temperature = { high = "300 degF" }
    """,
)
def temperature_not_permitted(sling: Sling, ctx: Context) -> Iterator[Finding]:
    warmth = sling.duty.temperature
    assert warmth is not None
    if ctx.figures.heat(warmth) is None:
        what, low, high = ctx.figures.heat_limits()
        ends = [end for end in (warmth.low, warmth.high) if end is not None]
        cold = min(ends) < low
        yield sling.finding(
            "The sling would be at {found}; {what} may be used {way} {limit}",
            key=("", "duty", "temperature"),
            found=min(ends) if cold else max(ends),
            limit=Temperature(low if cold else high),
            way="down to" if cold else "up to",
            what=what,
            remedy="Keep the sling out of it, or use gear made for that temperature.",
        )


@rule(
    "choker-not-derated",
    about=Sling,
    level="warning",
    title="The choker hitch takes off the rating, and nothing keeps to what is left",
    because="Where a sling bites round itself it bends; a fifth of the rating or more is gone.",
    sources=["OSHA, Guidance on Safe Sling Use, Table 3 (second-hand)", "DGUV 209-021"],
    when=lambda sling: sling.duty.hitch == "choker",
    fails="""
        base = "single"
        without = ["/duty/load"]
        [duty]
        hitch = "choker"
        choke_angle = "120 deg"
        [[leg]]
        ref = "a"
        chokes_in = "hook"
    """,
    repaired="""
        base = "single"
        [duty]
        hitch = "choker"
        choke_angle = "120 deg"
        load = "7,000 lb"
        [[leg]]
        ref = "a"
        chokes_in = "hook"
    """,
)
def choker_not_derated(sling: Sling, ctx: Context) -> Iterator[Finding]:
    choke = ctx.figures.choke(sling.duty.choke_angle)
    if choke.share < 1 and not keeps_to_it(sling, ctx, "choker"):
        yield not_kept_to(sling, ctx, choke, ("duty", "hitch"))


@rule(
    "edge-not-derated",
    about=Sling,
    level="warning",
    title="An edge takes off the rating, and nothing keeps to what is left",
    because="A link that lies on an edge is bent as well as pulled.",
    sources=["DGUV 100-500 (second-hand)", "DGUV 209-013, section 22"],
    when=lambda sling: sling.duty.edge_radius is not None and sling.family != "rope",
    fails="""
        base = "pair"
        without = ["/duty/load", "/duty/angle/from_horizontal"]
        [assembly]
        basis = "EN"
        [duty]
        angle = { from_vertical = "45 deg" }
        edge_radius = "5 mm"
    """,
    repaired="""
        base = "pair"
        without = ["/duty/load", "/duty/angle/from_horizontal"]
        [assembly]
        basis = "EN"
        [duty]
        angle = { from_vertical = "45 deg" }
        edge_radius = "25 mm"
    """,
)
def edge_not_derated(sling: Sling, ctx: Context) -> Iterator[Finding]:
    radius = sling.duty.edge_radius
    assert radius is not None
    edge = ctx.figures.edge(radius)
    if edge.share < 1 and not keeps_to_it(sling, ctx, "edge"):
        yield not_kept_to(sling, ctx, edge, ("duty", "edge_radius"))


BENDS = """
    base = "rope"
    without = ["/duty/load"]
    [[leg]]
    ref = "a"
    to = "hung_from"
    [duty]
    hitch = "basket"
    angle = { from_horizontal = "90 deg" }
    edge_radius = "RADIUS"
"""


@rule(
    "bend-not-derated",
    about=Sling,
    level="warning",
    title="A bend takes off the rope's rating, and nothing keeps to what is left",
    because="Where a rope bends round something thin its outer wires carry the load alone.",
    sources=["0027/ND Rev 11, 7.7.2 and 7.8.1"],
    when=lambda sling: sling.family == "rope" and sling.duty.edge_radius is not None,
    fails=BENDS.replace("RADIUS", "2 in"),
    repaired=BENDS.replace("RADIUS", "10 in"),
)
def bend_not_derated(sling: Sling, ctx: Context) -> Iterator[Finding]:
    radius = sling.duty.edge_radius
    assert radius is not None
    bend = ctx.figures.edge(radius)
    if 0 < bend.share < 1 and not keeps_to_it(sling, ctx, "edge"):
        yield not_kept_to(sling, ctx, bend, ("duty", "edge_radius"))


@rule(
    "bend-too-sharp",
    about=Leg,
    level="error",
    title="A rope bends round something thinner than itself",
    because="A rope that is bent round less than its own diameter is kinked, and does not come"
    " straight again.",
    sources=["0027/ND Rev 11, 7.8.5"],
    when=lambda leg: leg.kind in ROPE_KINDS and leg.sling.duty.edge_radius is not None,
    waivable=False,
    fails=BENDS.replace("RADIUS", "1/8 in"),
    repaired=BENDS.replace("RADIUS", "10 in"),
)
def bend_too_sharp(leg: Leg, ctx: Context) -> Iterator[Finding]:
    radius = leg.sling.duty.edge_radius
    assert radius is not None
    if ctx.figures.bend_ratio(leg, radius) < 1:
        yield leg.finding(
            "{part} is of {limit} rope and bends round {found}",
            key=("", "duty", "edge_radius"),
            found=Length(2 * radius),
            limit=leg.rope.diameter,
            remedy="Pad the edge to a radius of half the rope's diameter at the very least, better"
            " ten times that.",
        )


@rule(
    "edge-too-sharp",
    about=Leg,
    level="warning",
    title="A textile leg bends over an edge that is sharp for it",
    because="A sharp edge cuts a loaded web, roundsling or fiber rope through, often at once.",
    sources=[
        "DGUV 209-013, section 22 (for chain; for textiles from memory: a warning only)",
        "WAC 296-24-29419 (padding at edges)",
    ],
    when=lambda leg: (
        leg.kind in TEXTILE_KINDS and leg.holds is None and leg.sling.duty.edge_radius is not None
    ),
    fails="""
        base = "web"
        [duty]
        edge_radius = "5 mm"
    """,
    repaired="""
        base = "web"
        [duty]
        edge_radius = "25 mm"
    """,
)
def edge_too_sharp(leg: Leg, ctx: Context) -> Iterator[Finding]:
    radius = leg.sling.duty.edge_radius
    assert radius is not None
    textile = leg.rope
    thick = textile.diameter if textile.kind == "fiber-rope" else textile.thickness
    if edge_is_sharp(radius, thick):
        yield leg.finding(
            "{part} bends over an edge of {found} radius; to {textile}, {limit} thick, an edge"
            " under that radius is sharp (from memory: the source seen says it of chain)",
            key=("", "duty", "edge_radius"),
            found=radius,
            limit=thick,
            textile=textile,
            remedy="Pad the edge to {limit} or more and state the radius over the padding, or put"
            " a sleeve that resists cuts over the sling and note it in a permit.",
        )


@rule(
    "environment-not-permitted",
    about=Leg,
    level="error",
    title="The legs' material does not bear the environment",
    because="Acid makes alloy chain brittle without a mark to see, and eats nylon; caustics eat"
    " polyester.",
    sources=["29 CFR 1926.251(e)", "EN 818-6 for alloy chain (from memory: a warning only)"],
    when=lambda leg: bool(leg.sling.duty.environment),
    fails="""
        base = "pair"
        [duty]
        environment = ["acid"]
        [[item]]
        id = "band"
        kind = "web"
        material = "nylon"
        [[leg]]
        ref = "a"
        parts = [{ item = "band", length = "8 ft" }]
    """,
    repaired="""
        base = "pair"
        [duty]
        environment = ["marine"]
    """,
)
def environment_not_permitted(leg: Leg, ctx: Context) -> Iterator[Finding]:
    around = leg.sling.duty.environment or ()
    gaps = []
    for name in around:
        for part in leg.materials:
            yield from _excluded(leg, part, name)
            why = _unknown(part, name)
            gaps += [Unstated("environment", leg.path, why=why)] if why else []
    if gaps:
        raise gaps[0]


def _excluded(leg: Leg, part: Part, name: str) -> Iterator[Finding]:
    if part.kind in TEXTILE_KINDS and SAME_AS.get(name, name) in _excluded_from(part):
        yield leg.finding(
            "{part} is of {fiber}, which does not bear {found}",
            key=("", "duty", "environment"),
            found=name,
            fiber=part.material,
            sources=["29 CFR 1926.251(e)"],
            remedy="Use legs of a material that the maker allows in {found}.",
        )
    elif part.kind == "chain" and part.steel == "alloy" and name in FROM_MEMORY:
        yield leg.finding(
            "{part} is of alloy chain, which takes harm from {found} (EN 818-6, from memory)",
            key=("", "duty", "environment"),
            level="warning",
            found=name,
            sources=["EN 818-6 for alloy chain (from memory: a warning only)"],
            remedy="Ask the maker of the chain before it is used there.",
        )


def _unknown(part: Part, name: str) -> str | None:
    """Why nobody can say what an environment does to what a leg is made of; None if it is known."""
    if name not in ENVIRONMENTS:
        known = ", ".join(sorted(ENVIRONMENTS))
        return f"the environment {name!r} is none that is known here: {known}"
    of_steel = part.kind in ROPE_KINDS
    if name in HARMLESS or not (of_steel or part.kind in TEXTILE_KINDS):
        return None
    if not of_steel and name != "galvanizing":
        return None  # 29 CFR 1926.251(e) speaks of acid, caustic and phenolic
    of = "wire rope" if of_steel else f"{part.kind.replace('-', ' ')}s of {part.material}"
    return f"no document seen says what {name} does to {of}; ask the maker"


def _excluded_from(part: Part) -> frozenset[str]:
    try:
        return not_borne(part.material)
    except LookupError as gap:
        raise Unstated("material", part.path, part.item.id, why=str(gap)) from None
