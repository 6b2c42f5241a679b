"""Reach: as long as it says."""

from collections.abc import Iterator

from riglint import Context, Finding, Leg, Length, rule


def has_stated_reach(leg: Leg) -> bool:
    return stated_reach(leg) is not None


def stated_reach(leg: Leg) -> Length | None:
    return leg.entry.reach or leg.sling.build.assembly.reach


@rule(
    "reach-off",
    about=Leg,
    level="error",
    title="The parts do not add up to the stated reach",
    because="A sling that is shorter or longer than its tag says does not fit the lift that it was"
    " ordered for.",
    sources=["EN 818-4:1996+A1:2008, 0 / +2 pitches (second-hand)", "DOE-STD-1090-96, 11.3.3.2"],
    when=has_stated_reach,
    fails="""
        base = "single"
        [[leg]]
        ref = "a"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 40 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """,
)
def reach_off(leg: Leg, ctx: Context) -> Iterator[Finding]:
    stated = stated_reach(leg)
    assert stated is not None
    computed = ctx.figures.reach(leg)
    short, long = ctx.figures.reach_tolerance(leg)
    if short <= computed - stated <= long:
        return
    links = ctx.figures.links_for_reach(leg, stated)
    yield leg.finding(
        "{part} has a reach of {found}; {limit} is asked for, and it may be {short} shorter to"
        " {long} longer",
        key=("parts",),
        found=Length(computed),
        limit=stated,
        short=Length(-short),
        long=Length(long),
        remedy="Cut the chain to {links} links.",
        links=links,
    )
