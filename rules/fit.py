"""Fit: what goes into what."""

from collections.abc import Iterator
from itertools import pairwise

from attrs import frozen

from riglint import Angle, Context, Finding, Gathering, Leg, Length, Part, Sling, rule
from riglint.figures import OWN_GEOMETRY, width_ratio
from riglint.figures.hook_entry import HOOK_WIDTH_RATIO
from riglint.model import HOOK_KINDS, LINK_KINDS

from .eyes import hung_on, on_the_pin, thickness

MOST_ON_ONE_LINK = 2  # ASTM A906, 3.1.3: three- and four-leg slings have master coupling links


@frozen
class HookTightSettings:
    """How much wider than the hook's saddle a top link is to be."""

    ratio: float = HOOK_WIDTH_RATIO


def holds_in_a_bow(gathering: Gathering) -> bool:
    """A link, or a shackle's bow, with anything but webs in it: these are web-bunched's matter."""
    webs = any(seat.part.kind == "web" for seat in gathering.seats)
    shackle = gathering.part.kind == "shackle" and gathering.part.pin_in != "below"
    return (gathering.part.is_link or shackle) and not webs


@rule(
    "crowded-link",
    about=Gathering,
    level="error",
    title="What hangs in a link's bottom crowds it",
    because="Couplings that ride on each other, or up the sides of the link, bend it and jam: the"
    " legs no longer hang free.",
    sources=[OWN_GEOMETRY, "practice: usable_arc"],
    when=holds_in_a_bow,
    fails="""
        base = "quad"
        [[item]]
        id = "intermediate"
        inside_width = "1-5/8 in"
    """,
)
def crowded_link(gathering: Gathering, ctx: Context) -> Iterator[Finding]:
    part = gathering.part
    if part.kind == "shackle" and part.pin_in is None:
        raise part.unknown_turn()
    arc, usable = ctx.figures.seated_arc(gathering), ctx.practice.usable_arc
    if arc <= usable:
        return
    width = ctx.figures.width_for(gathering, usable)
    yield gathering.finding(
        "{part} is {width} wide inside and is crowded: {seats} take {found} of its bottom,"
        " and {limit} is usable",
        found=Angle(arc),
        limit=usable,
        width=ctx.figures.bottom_width(part),
        seats=[f"{n} x {part.item.id}" for part, _, n in ctx.figures.seat_angles(gathering)],
        kind="a shackle" if part.kind == "shackle" else "a link",
        remedy="Fit {kind} at least {needed} wide inside, or hang fewer in it. The geometry is"
        " riglint's own; practice.usable_arc sets the limit.",
        needed=Length(width),
    )


@rule(
    "intermediate-links-needed",
    about=Gathering,
    level="error",
    title="Three or four legs on one link without intermediate links",
    because="A link takes two legs side by side. A third or fourth lies on the others, and bends"
    " the link in a way that its chart does not know.",
    sources=[
        "ASTM A906/A906M-02(2010), 3.1.3 (master coupling links of three- and four-leg slings;"
        " second-hand)",
        "common practice",
    ],
    when=lambda gathering: (
        gathering.part.is_link
        and gathering.above is None
        and gathering.loaded_legs > MOST_ON_ONE_LINK
        and all(leg.kind == "chain" for leg in gathering.own_legs)
    ),
    fails="""
        base = "pair"
        [[leg]]
        ref = "a"
        count = 4
        [tag]
        legs = 4
    """,
    repaired='base = "quad"',
)
def intermediate_links_needed(gathering: Gathering, ctx: Context) -> Iterator[Finding]:
    legs = sum(leg.loaded_legs for leg in gathering.own_legs)
    if legs > MOST_ON_ONE_LINK:
        yield gathering.finding(
            "{found} legs hang directly on {part}, which takes {limit} side by side",
            found=legs,
            limit=MOST_ON_ONE_LINK,
            remedy="Hang two intermediate links in {part} and the legs in those: two and two, or"
            " two and one.",
        )


def hangs_by_an_opening(gathering: Gathering) -> bool:
    """What the lifting point must go into: a link, a swivel's eye, a shackle by jaw or bow."""
    part = gathering.part
    return gathering.above is None and (part.is_link or part.kind in ("shackle", "swivel"))


@rule(
    "hook-does-not-enter",
    about=Gathering,
    level="error",
    title="The sling cannot be hung from what it hangs from",
    because="A hook that does not pass into the top link carries on its point, or is forced in"
    " with the latch open.",
    sources=[OWN_GEOMETRY, "ISO 4778:2019, 4.2.2 (second-hand)", "DGUV 209-013, section 22"],
    when=hangs_by_an_opening,
    fails="""
        base = "pair"
        [[item]]
        id = "crane-hook"
        saddle_width = "5-1/2 in"
    """,
)
def hook_does_not_enter(gathering: Gathering, ctx: Context) -> Iterator[Finding]:
    hook = gathering.sling.hung_from
    shackle = gathering.part.kind == "shackle"
    for fault in ctx.figures.hook_obstacles(gathering):
        facts = {
            "found": Length(fault.found_mm),
            "limit": Length(fault.limit_mm),
            "hook": hook,
        }
        if fault.what == "bar":
            yield gathering.finding(
                "{hook} has {limit} clear in the throat, and the {bar} of {part} is {found} thick",
                bar="pin" if shackle and gathering.part.pin_in == "above" else "bar",
                remedy="Hang the sling by a lighter link assembly, or from a larger hook.",
                **facts,
            )
        else:
            yield gathering.finding(
                "{hook} does not go into {part}: the {what} is {found}, the hook needs more than"
                " {limit}",
                remedy="Fit {one} with more than {limit} of {what}, or hang a reducing assembly"
                " between.",
                one="a larger shackle" if shackle else "a top link",
                what=fault.what.replace("inside", "clear") if shackle else fault.what,
                **facts,
            )


@rule(
    "hook-tight",
    about=Gathering,
    level="warning",
    title="The hook enters the top link, with little clearance",
    because="A link that hugs the hook cannot swing to the pull, jams, and bends where it binds.",
    sources=["ISO 4778:2019, 4.2.2 b (second-hand)", "DGUV 209-013, section 22"],
    when=lambda gathering: gathering.above is None and gathering.part.is_link,
    settings=HookTightSettings,
    fails="""
        base = "pair"
        [[item]]
        id = "crane-hook"
        saddle_width = "4-1/2 in"
    """,
)
def hook_tight(gathering: Gathering, ctx: Context) -> Iterator[Finding]:
    if ctx.figures.hook_obstacles(gathering):
        return
    width, saddle = ctx.figures.widths_at_hook(gathering)
    least = ctx.settings.ratio
    if width_ratio(width, saddle) < least:
        yield gathering.finding(
            "{part} is {found} wide inside on {hook}, whose saddle is {saddle} wide; {limit} is"
            " asked for ({ratio} x)",
            found=Length(width),
            limit=Length(saddle * least),
            hook=gathering.sling.hung_from,
            saddle=Length(saddle),
            ratio=least,
            remedy="Fit a top link at least {limit} wide inside, or hang a reducing assembly"
            " between.",
        )


@rule(
    "uneven-gathering",
    about=Sling,
    level="error",
    title="The legs are gathered unevenly",
    because="Four legs hang two and two, three hang two and one. Otherwise one intermediate link"
    " carries more than its chart says, and the master link is pulled askew.",
    sources=["ASTM A906/A906M-02(2010), 3.1.3 (second-hand)", "common practice"],
    when=lambda sling: (
        sling.loaded_legs in (3, 4)
        and sling.is_chain_sling
        and sling.spreader is None
        and any(gathering.above is not None for gathering in sling.gatherings)
    ),
    fails="""
        base = "quad"
        [[leg]]
        ref = "b"
        count = 1
        [[leg]]
        ref = "c"
        on = "left"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 81 },
          { item = "coupling" },
          { item = "hook" },
        ]
    """,
)
def uneven_gathering(sling: Sling, ctx: Context) -> Iterator[Finding]:
    groups = ctx.figures.gathered_groups()
    wanted = [2, 2] if sling.loaded_legs == 4 else [2, 1]
    if groups == wanted:
        return
    found, limit = (" and ".join(map(str, one)) for one in (groups, wanted))
    yield sling.finding(
        "The {legs} legs hang {found}, not {limit}",
        legs=sling.loaded_legs,
        found=found,
        limit=limit,
        key=("", "leg"),
        remedy="Hang the legs {limit}.",
    )


def joins_a_link(part: Part) -> bool:
    return part.kind == "coupling-link" and any(True for _ in links_joined(part))


def links_joined(part: Part) -> Iterator[Part]:
    """The links that a coupling goes over: the one that its leg hangs on, and those beside it."""
    if part.leg is None:
        return
    run = part.run
    place = run.index(part)
    hung = hung_on(part) if place == 0 else None
    if isinstance(hung, Part) and _is_link(hung):
        yield hung
    yield from filter(_is_link, run[max(0, place - 1) : place] + run[place + 1 : place + 2])


def _is_link(part: Part) -> bool:
    return part.is_link or part.kind == "shackle"


@rule(
    "opening-too-small",
    about=Part,
    level="error",
    title="A coupling's opening does not take the link that it hangs on",
    because="A coupling that is forced over a bar too thick for it cannot close, or binds and"
    " carries on its edge.",
    sources=["ASTM A906/A906M-02(2010), 3.1.3 (second-hand)", "common practice"],
    when=joins_a_link,
    fails="""
        base = "pair"
        [[item]]
        id = "coupling"
        opening = "1 in"
    """,
)
def opening_too_small(part: Part, ctx: Context) -> Iterator[Finding]:
    for link in links_joined(part):
        flat = link.get("flat")
        needed = flat if flat is not None else thickness(link, part)
        if part.opening < needed:
            if link.kind == "shackle" and on_the_pin(link, part) is None:
                raise link.unknown_turn()
            yield part.finding(
                "{part} has an opening of {found}; the {where} of {link} is {limit} thick",
                found=part.opening,
                limit=needed,
                link=link,
                where=where_it_sits(link, part),
                remedy="Fit a coupling with an opening of {limit} or more, or a link that is"
                " thinner where the coupling sits.",
            )


def where_it_sits(link: Part, coupling: Part) -> str:
    if link.kind == "shackle":
        return "pin" if on_the_pin(link, coupling) else "bow"
    return "bar" if link.get("flat") is None else "flat"


ENDS = HOOK_KINDS | LINK_KINDS | {"shackle", "swivel", "eyebolt", "hoist-ring", "eye"}


@rule(
    "leg-not-ended",
    about=Leg,
    level="error",
    title="A leg ends in nothing that takes the load",
    because="A bare chain end or an open coupling is where a fitting was forgotten, on paper or at"
    " the bench.",
    sources=["common practice, no source"],
    when=lambda leg: leg.kind == "chain" and not (leg.entry.to or leg.entry.endless),
    fails="""
        base = "single"
        [[leg]]
        ref = "a"
        parts = [
          { item = "coupling" },
          { item = "chain", links = 49 },
          { item = "coupling" },
        ]
    """,
)
def leg_not_ended(leg: Leg, ctx: Context) -> Iterator[Finding]:
    last = leg.parts[-1]
    if last.kind not in ENDS:
        yield last.finding(
            "{part} is the last part of its leg, and {what} takes no load",
            what=last.a_kind,
            remedy="End the leg in a hook or a link.",
        )
    for upper, lower in pairwise(leg.parts):
        if upper.kind == lower.kind == "coupling-link":
            yield lower.finding(
                "{part} hangs in another coupling: there is nothing between the two",
                remedy="Take one of the couplings out.",
            )
