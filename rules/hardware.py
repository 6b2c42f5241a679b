"""Shackles, eyebolts and hoist rings, and the load's own lugs."""

from collections.abc import Iterator

from riglint import Angle, Context, Finding, Length, Load, Part, rule
from riglint.figures import OWN_GEOMETRY
from riglint.figures.hardware import PULLED_OFF_AXIS, angle_share, shackle_side_share
from riglint.figures.lug import FILL, play_most
from riglint.figures.rating import VERTICAL_DEG
from riglint.model import HOOK_KINDS


def pulled_off_axis(part: Part) -> bool:
    if part.kind in PULLED_OFF_AXIS:
        return True
    lug = part.sling.duty.lug
    last = part.leg is not None and part.leg.parts[-1] is part
    return part.kind == "shackle" and last and lug is not None and lug.off_axis is not None


@rule(
    "off-axis-load",
    about=Part,
    level="error",
    title="An eyebolt, hoist ring or shackle is pulled further off its axis than it may be",
    because="A shank that is pulled sideways bends and breaks at its first thread; a shackle"
    " opens.",
    sources=[
        "WAC 296-155-33905, Fig. 17 (bands; the shares are second-hand)",
        "the item's own sheet: published figures for eyebolts contradict each other",
    ],
    when=pulled_off_axis,
    waivable=False,
    fails="""
        base = "bolts"
        [duty]
        angle = { from_horizontal = "30 deg" }
    """,
)
def off_axis_load(part: Part, ctx: Context) -> Iterator[Finding]:
    at = ctx.figures.leg_angle()
    if part.kind == "shackle":
        off, most = ctx.figures.off_axis(part, at), 90.0
        left: float | None = shackle_side_share(off)
    else:
        off = ctx.figures.off_axis(part, at)
        rows = part.sheet.angle_limits
        if off > VERTICAL_DEG and not rows:
            raise part.unstated("angle_limits")
        most = max((float(row.up_to) for row in rows), default=VERTICAL_DEG)
        left = 1.0 if off <= VERTICAL_DEG else angle_share(rows, off)
    if left is None:
        yield part.finding(
            "{part} is pulled {found} off its axis, and may be pulled {limit} off at most",
            found=Angle(off),
            limit=Angle(most),
            remedy="Sling the load steeper, use a spreader, or fit what turns into the pull.",
        )
    elif left < 1 and part.kind == "shackle" and part.sling.planned_load is None:
        yield from _over_what_is_left(part, ctx, left, off)  # a planned load is held to it anyway


def _over_what_is_left(part: Part, ctx: Context, left: float, off: float) -> Iterator[Finding]:
    load = ctx.figures.rating().stated
    pull = max(one.worst for one in ctx.figures.leg_pulls(load) if one.leg is part.leg)
    limit = part.working_load_limit * left
    if pull > limit * ctx.figures.SLACK:
        yield part.finding(
            "Under the sling's rated load {part} is pulled with {found} at {off} off its axis,"
            " where {share} of its limit is left: {limit}",
            found=Load(pull),
            limit=Load(limit),
            off=Angle(off),
            share=f"{100 * left:.0f} %",
            remedy="Plan a load that keeps to it, or fit {kind} that holds {found} there.",
            kind=part.a_kind,
        )


def holds_by_bow(part: Part) -> bool:
    """A shackle that gathers legs, or takes the bight of its own leg in a choker hitch."""
    return part.kind == "shackle" and (hung_in(part) > 1 or takes_the_bight(part))


def hung_in(part: Part) -> int:
    """How many ends of legs, and links, hang straight in a gathering part."""
    own = [one for one in part.sling.gatherings if one.part is part]
    ends = (leg for one in own for leg in (*one.own_legs, *one.ends_here))
    return sum(len(one.below) for one in own) + sum(leg.count for leg in ends)


def takes_the_bight(part: Part) -> bool:
    choker = part.sling.duty.hitch == "choker"
    return choker and part.leg is not None and part.leg.entry.chokes_in == part.item.id


BIGHT = """
    base = "web"
    [duty]
    hitch = "choker"
    choke_angle = "135 deg"
    [[item]]
    id = "bow"
    kind = "shackle"
    [[leg]]
    ref = "a"
    chokes_in = "bow"
    parts = [{ item = "web", length = "8 ft" }, { item = "bow", pin_in = "WAY" }]
"""


@rule(
    "shackle-turned",
    about=Part,
    level="error",
    title="A shackle holds by its pin what belongs in its bow",
    because="Legs on a pin slide along it and pull the shackle sideways; a running bight on a pin"
    " turns it out of its thread.",
    sources=["WAC 296-155-33905(1)", "EM 385-1-1, 15.E.06 (second-hand)"],
    when=holds_by_bow,
    fails=BIGHT.replace("WAY", "below"),
    repaired=BIGHT.replace("WAY", "above"),
)
def shackle_turned(part: Part, ctx: Context) -> Iterator[Finding]:
    if part.pin_in is None:
        raise part.unknown_turn()
    if part.pin_in == "below" and takes_the_bight(part):
        yield part.finding(
            "{part} chokes the sling with the bight on its pin; the pin belongs in the eye",
            sources=["WAC 296-155-33905(1)"],
            remedy="Turn the shackle: its pin through the sling's own eye, the bight in its bow.",
        )
    elif part.pin_in == "below":
        yield part.finding(
            "{part} holds {found} legs or links on its pin; they belong in its bow",
            found=hung_in(part),
            sources=["EM 385-1-1, 15.E.06 (second-hand)"],
            remedy="Turn the shackle, so that they lie in its bow.",
        )


def meets_a_lug(part: Part) -> bool:
    lug = part.sling.duty.lug
    if lug is None or part.leg is None or part.leg.holds is not None:
        return False
    return part.leg.parts[-1] is part and (part.kind == "shackle" or part.kind in HOOK_KINDS)


@rule(
    "lug-does-not-fit",
    about=Part,
    level="error",
    title="The lowest part of a leg does not go into the load's own lug",
    because="What does not go in is hung by its point, or by something from the toolbox.",
    sources=[OWN_GEOMETRY, "0027/ND Rev 11, 12.5.2 and 12.5.4"],
    when=meets_a_lug,
    fails="""
        base = "pair"
        [duty]
        lug = { hole = "1 in", thickness = "1-1/2 in" }
    """,
    repaired="""
        base = "pair"
        [duty]
        lug = { hole = "2 in", thickness = "1 in" }
    """,
)
def lug_does_not_fit(part: Part, ctx: Context) -> Iterator[Finding]:
    lug = part.sling.duty.lug
    assert lug is not None
    by_bow = part.kind == "shackle" and part.pin_in == "above"
    if lug.thickness is not None:
        room = _opening_for_a_lug(part)
        if lug.thickness >= room:
            yield _too_small(part, "opening", room, lug.thickness, "thickness")
        elif part.kind == "shackle" and not by_bow and lug.thickness < FILL * room:
            yield part.finding(
                "The lug is {found} thick in {part}, whose jaw is {room} wide; it should fill"
                " {limit} of it",
                level="warning",
                key=("", "duty", "lug", "thickness"),
                found=lug.thickness,
                limit=Length(FILL * room),
                room=room,
                sources=["0027/ND Rev 11, 12.5.4"],
                remedy="Center it with washers, or use a shackle with a narrower jaw.",
            )
    if lug.hole is not None:
        bar = part.pin if part.kind == "shackle" and not by_bow else part.bar
        if bar >= lug.hole:
            yield _too_small(part, "thickness", bar, lug.hole, "hole")
        elif part.kind == "shackle" and not by_bow and lug.hole - bar > play_most(bar):
            yield part.finding(
                "The pin of {part} is {pin} in a hole of {found}; {limit} is the widest it should"
                " be in",
                level="warning",
                key=("", "duty", "lug", "hole"),
                found=lug.hole,
                limit=Length(bar + play_most(bar)),
                pin=bar,
                sources=["0027/ND Rev 11, 12.5.2"],
                remedy="Use a larger shackle, or bush the hole.",
            )


def _opening_for_a_lug(part: Part) -> Length:
    if part.kind != "shackle":
        return part.throat
    return part.bow_width if part.pin_in == "above" else part.jaw_width


def _too_small(part: Part, what: str, own: Length, lug: Length, of_lug: str) -> Finding:
    return part.finding(
        "{part} does not go into the lug: its {what} is {found}, the lug's {of_lug} is {limit}",
        key=("", "duty", "lug", of_lug),
        found=own,
        limit=lug,
        what=what,
        of_lug=of_lug,
        remedy="End the leg in {other} that goes into the lug.",
        other="another shackle" if part.kind == "shackle" else f"{part.a_kind}, or a shackle,",
    )
