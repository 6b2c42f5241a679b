"""Reach: as long as it says."""

from collections.abc import Iterator
from itertools import pairwise

from riglint import Context, Finding, Leg, Length, Sling, rule
from riglint.figures.reach import matching_tolerance
from riglint.model import HOOK_KINDS, LINK_KINDS

MAY_STAND_BETWEEN = ("shortener", "swivel")
OWN_EYE = {"eye", "web", "roundsling", "fiber-rope"}
BIGHT = HOOK_KINDS | LINK_KINDS | {"shackle", "eye", "web", "roundsling"}


def has_stated_reach(leg: Leg) -> bool:
    return leg.holds is None and stated_reach(leg) is not None


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
    chain = leg.kind == "chain"
    links = ctx.figures.links_for_reach(leg, stated) if chain else None
    yield leg.finding(
        "{part} comes out {off} {way} than the reach of {limit} asked for; it may be {allowed}",
        key=("parts",),
        found=Length(computed),
        limit=stated,
        off=Length(abs(computed - stated)),
        way="shorter" if computed < stated else "longer",
        allowed=f"up to {leg.sling.units.show(Length(long))} longer"
        + (", not shorter" if chain else " or shorter"),
        remedy="Cut {material} to {links} links."
        if chain
        else "Make {material} so long that the leg reaches {limit}.",
        material=leg.rope,
        links=links,
    )


def legs_meant_equal(sling: Sling) -> list[list[Leg]]:
    """The legs in groups that are asked for with the same reach, where there are several."""
    groups: dict[tuple[bool, float | None], list[Leg]] = {}
    for leg in sling.legs:
        own = leg.entry.reach
        reach = None if own is None else round(float(own), 3)
        groups.setdefault((leg.holds is None, reach), []).append(leg)
    return [group for group in groups.values() if len(group) > 1]


@rule(
    "legs-unmatched",
    about=Sling,
    level="error",
    title="Legs that are meant equal are not",
    because="The short leg takes the load first, and in a stiff lift it keeps it.",
    sources=["EN 818-4:1996+A1:2008, Table 2 (second-hand)"],
    when=lambda sling: bool(legs_meant_equal(sling)),
    fails="""
        base = "quad"
        [[leg]]
        ref = "b"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 82 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """,
)
def legs_unmatched(sling: Sling, ctx: Context) -> Iterator[Finding]:
    for group in legs_meant_equal(sling):
        yield from _apart({leg: ctx.figures.reach(leg) for leg in group}, ctx)


def _apart(reaches: dict[Leg, float], ctx: Context) -> Iterator[Finding]:
    longest, shortest = max(reaches, key=reaches.__getitem__), min(reaches, key=reaches.__getitem__)
    apart = reaches[longest] - reaches[shortest]
    if longest.kind == "chain":
        joined = any(part.kind == "coupling-link" for part in longest.parts)
        welded = longest.sling.basis == "EN" and not joined
        allowed = matching_tolerance(reaches[longest], welded=welded)
    else:
        allowed = ctx.figures.length_tolerance(longest)
    if apart > allowed:
        yield longest.finding(
            "{part} reaches {found} further than {other}; legs meant equal may differ by {limit}",
            key=("parts",),
            found=Length(apart),
            limit=Length(allowed),
            other=shortest,
            remedy="Build the legs alike, or give a leg that is meant to differ its own reach.",
        )


@rule(
    "hitch-legs-mismatch",
    about=Sling,
    level="error",
    title="The hitch does not suit the legs",
    because="The hitch decides how the load is shared. A sling rated for a hitch that its legs"
    " cannot make is rated for nothing.",
    sources=["common practice: what the names of the hitches mean"],
    when=lambda sling: not sling.has_spreader,
    fails="""
        base = "pair"
        [duty]
        hitch = "straight"
        load = "8,000 lb"
    """,
)
def hitch_legs_mismatch(sling: Sling, ctx: Context) -> Iterator[Finding]:
    legs, hitch = sling.loaded_legs, sling.hitch
    needs = {
        "straight": ("one leg", legs == 1),
        "bridle": ("two legs or more", legs > 1),
        "basket": ("a leg hung by both ends, or an endless one", _is_basket(sling)),
        "choker": ("a part of each leg that takes the bight", all(map(_takes_bight, sling.legs))),
    }
    wanted, suits = needs[hitch]
    if not suits:
        has = "1 leg" if legs == 1 else f"{legs} legs"
        name_it = "Name in chokes_in the hook or link that takes the bight."
        yield sling.finding(
            "A {hitch} hitch needs {limit}; the sling has {found}",
            key=("", "duty", "hitch"),
            found="none" if hitch == "choker" else has,
            limit=wanted,
            hitch=hitch,
            remedy=name_it
            if hitch == "choker"
            else "State the hitch that the sling is built for, or build it for this one.",
        )

    choked = [leg for leg in sling.legs if leg.entry.chokes_in]
    if hitch != "choker" and choked:
        yield choked[0].finding(
            "{part} is choked in its {limit}, and the duty is a {found} hitch",
            key=("chokes_in",),
            found=hitch,
            limit=choked[0].entry.chokes_in,
            remedy="State a choker hitch with its angle of choke, or leave out chokes_in.",
        )
    loose = [leg for leg in sling.legs if leg.on is None and leg.kind == "chain"]
    if hitch == "bridle" and legs > 1 and loose:
        yield loose[0].finding(
            "{part} hangs straight on what the sling hangs from; a chain bridle gathers its legs in"
            " a link",
            key=(),
            remedy="Hang the legs in a master link.",
        )


def _takes_bight(leg: Leg) -> bool:
    """Whether a leg can be choked: in a part that takes the bight, or through itself."""
    name = leg.entry.chokes_in
    if name is None:  # through itself, or its own lower eye
        return leg.entry.endless or leg.parts[-1].kind in OWN_EYE
    return any(part.item.id == name and part.kind in BIGHT for part in leg.parts)


def _is_basket(sling: Sling) -> bool:
    return any(leg.is_basket or leg.entry.endless for leg in sling.bearing_legs)


@rule(
    "repair-coupling-in-chain",
    about=Leg,
    level="error",
    title="A coupling joins two lengths of one leg's chain",
    because="A mechanical coupling in the run of a chain is how a broken chain is made to look"
    " whole; it is no repair.",
    sources=["29 CFR 1910.184(e)(7): no repair by mechanical coupling links (from memory)"],
    when=lambda leg: leg.kind == "chain",
    fails="""
        base = "single"
        [[leg]]
        ref = "a"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 20 },
          { item = "coupling" },
          { item = "chain", links = 23 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """,
)
def repair_coupling_in_chain(leg: Leg, ctx: Context) -> Iterator[Finding]:
    chains = [place for place, part in enumerate(leg.parts) if part.kind == "chain"]
    for above, below in pairwise(chains):
        between = leg.parts[above + 1 : below]
        if any(part.kind in MAY_STAND_BETWEEN for part in between):
            continue
        joint = next((p for p in between if p.kind == "coupling-link"), leg.parts[above + 1])
        yield joint.finding(
            "{part} joins two lengths of chain in one leg, as a repair would",
            remedy="Make the leg of one length of chain.",
        )
