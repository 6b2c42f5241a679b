"""Hardware: eyes, shackles, eyebolts, lugs, and what a web lies in."""

from collections.abc import Iterator
from itertools import pairwise

from riglint import (
    Angle,
    Context,
    Finding,
    Gathering,
    Leg,
    Length,
    Load,
    Part,
    Sling,
    Unstated,
    rule,
)
from riglint.figures import OWN_GEOMETRY
from riglint.figures.hardware import (
    PULLED_OFF_AXIS,
    angle_share,
    shackle_side_share,
)
from riglint.figures.lug import FILL, play_most
from riglint.figures.rating import VERTICAL_DEG
from riglint.figures.rope import clear_length_least, endless_circumference_least, eye_pin_least
from riglint.figures.textile import (
    ROUND_BEARING_MOST,
    WEB_EYE_MOST,
    web_bowl_least,
    web_eye_angle,
)
from riglint.model import HOOK_KINDS, ROPE_KINDS
from riglint.stock import Sheet


def is_eye(part: Part) -> bool:
    """An eye, or a web, which has one at both ends unless it is endless."""
    endless = part.leg is not None and part.leg.entry.endless
    return part.kind == "eye" or (part.kind == "web" and not endless)


def beside(part: Part) -> Iterator[Sheet]:
    """What an eye goes over: what its leg hangs on, or its neighbor in the leg."""
    leg = part.leg
    assert leg is not None
    place = leg.parts.index(part)
    if place == 0:
        above = leg.on.part if leg.on is not None else leg.sling.hung_from
        if above is not None and above.kind != "spreader":
            yield above
    if place == len(leg.parts) - 1 and leg.entry.to is not None and leg.holds is None:
        yield from _held_by_the_end(leg)
    neighbors = leg.parts[max(0, place - 1) : place] + leg.parts[place + 1 : place + 2]
    yield from (one for one in neighbors if one.is_link or one.kind == "shackle")


def _held_by_the_end(leg: Leg) -> Iterator[Sheet]:
    """What the lower end of a leg that is hung by both ends goes over."""
    if leg.entry.to == "hung_from" and leg.sling.hung_from is not None:
        yield leg.sling.hung_from
    for one in leg.sling.gatherings:
        if leg in one.ends_here and one.part.kind != "spreader":
            yield one.part


def on_the_pin(held: Sheet, lies: Part) -> bool | None:
    """Whether a part of a leg lies on a shackle's pin, not in its bow; None where nobody says."""
    turned = getattr(held, "pin_in", None)
    if turned is None:
        return None
    parts = lies.leg.parts if lies.leg is not None else ()
    is_below = held in parts and parts.index(held) > parts.index(lies)
    return bool(turned == ("above" if is_below else "below"))


def thickness(held: Sheet, lies: Part) -> Length:
    """How thick a thing is where an eye lies on it: a pin, a crane hook's saddle, or a bar.

    A shackle is taken by its pin, the thicker one, where nobody says how it is turned.
    """
    if held.kind == "shackle":
        return held.bar if on_the_pin(held, lies) is False else held.pin
    return held.saddle_width if held.kind in ("crane-hook", "fork-attachment") else held.bar


@rule(
    "eye-spread",
    about=Part,
    level="error",
    title="An eye lies over something too thick or too thin for it",
    because="An eye forced over a thick bar is torn open at its splice; a soft eye over a thin one"
    " is bent as a kink is.",
    sources=[
        "EN 13414-1:2003, Table 4, note 1 (second-hand)",
        "0027/ND Rev 11, 7.8.5",
        "EN 1492-1, Annex D (second-hand)",
        "common practice: no wider than the eye's own inside width",
    ],
    when=is_eye,
    fails="""
        base = "rope"
        [[item]]
        id = "eye"
        eye_width = "1 in"
    """,
)
def eye_spread(part: Part, ctx: Context) -> Iterator[Finding]:
    for held in beside(part):
        thick = thickness(held, part)
        if part.kind == "web":
            yield from _web_eye(part, held, thick)
            continue
        if held.kind == "shackle" and on_the_pin(held, part):
            yield from _between_the_ears(part, held)
        if thick > part.eye_width:
            yield part.finding(
                "{held} is {found} thick, and {part} is {limit} wide inside",
                found=thick,
                limit=part.eye_width,
                held=held,
                remedy="Make the eye wider, or hang it on something of {limit} or less.",
            )
        if part.form == "soft":
            yield from _thin(part, held, thick)


def _between_the_ears(part: Part, shackle: Sheet) -> Iterator[Finding]:
    if part.seat_width >= shackle.jaw_width:
        yield part.finding(
            "{part} is {found} wide, and the ears of {held} stand {limit} apart",
            found=part.seat_width,
            limit=shackle.jaw_width,
            held=shackle,
            sources=[OWN_GEOMETRY],
            remedy="Use a shackle with a wider jaw, or lay the eye in its bow.",
        )


def _thin(part: Part, held: Sheet, thick: Length) -> Iterator[Finding]:
    assert part.leg is not None
    least = eye_pin_least(part.sling.basis, part.leg.rope.diameter)
    if thick < least:
        yield part.finding(
            "{part} is a soft eye over {held}, which is {found} thick; its rope asks for {limit}"
            "{note}",
            level="warning" if least.from_memory else "error",
            note=" (from memory)" if least.from_memory else "",
            sources=[least.source],
            found=thick,
            limit=Length(least),
            held=held,
            remedy="Fit a thimble, or hang it on something of {limit} or more.",
        )


def _web_eye(part: Part, held: Sheet, thick: Length) -> Iterator[Finding]:
    spread = web_eye_angle(part.eye_length, thick)
    if spread > WEB_EYE_MOST:
        yield part.finding(
            "The eye of {part} is spread by {found} over {held}; its stitching bears {limit}",
            found=Angle(spread),
            limit=WEB_EYE_MOST,
            held=held,
            remedy="Use a web with a longer eye, or something thinner to hang it on.",
        )


def has_web(sling: Sling) -> bool:
    return any(part.kind == "web" for part in sling.parts)


@rule(
    "web-bunched",
    about=Sling,
    level="error",
    title="Webs are wider than what they lie in",
    because="A web that is bunched carries on its edges, and tears there first.",
    sources=["EN 1492-1, Annex D (second-hand)", "common practice"],
    when=has_web,
    fails="""
        base = "web"
        [[item]]
        id = "web"
        width = "5 in"
    """,
)
def web_bunched(sling: Sling, ctx: Context) -> Iterator[Finding]:
    for gathering in sling.gatherings:
        total = sum(width * count for width, count in webs_in(gathering))
        if total and gathering.part.kind != "spreader":
            web = next(part for leg in gathering.legs for part in leg.parts if part.kind == "web")
            yield from _bunched(gathering.part, Length(total), web)
    for leg in sling.legs:
        for one, other in pairwise(leg.parts):
            webs = [part for part in (one, other) if part.kind == "web"]
            holders = [part for part in (one, other) if part.is_link or part.kind == "shackle"]
            if webs and holders:
                yield from _bunched(holders[0], bearing_width(webs[0]), webs[0])
    yield from _bunched_on_top(sling)


def webs_in(gathering: Gathering) -> Iterator[tuple[Length, int]]:
    """The bearing width of each web that lies in a gathering part, and how many of it."""
    tops = ((leg.parts[0], leg.count) for leg in gathering.own_legs)
    ends = ((leg.parts[-1], leg.count) for leg in gathering.ends_here)
    return ((bearing_width(part), count) for part, count in (*tops, *ends) if part.kind == "web")


def bearing_width(web: Part) -> Length:
    """How wide a web is where it bears: its eyes may be folded or tapered."""
    width: Length | None = web.get("bearing_width")
    return web.width if width is None else width


def _bunched(holder: Part, total: Length, web: Part) -> Iterator[Finding]:
    room = holder.inside_width if holder.kind != "shackle" else _room_in_shackle(holder, web, total)
    if total > room:
        yield holder.finding(
            "{part} is {limit} wide inside, and what lies of web in it is {found} wide",
            found=total,
            limit=room,
            remedy="Use a wider link or shackle, or a web fitting made for it.",
        )


def _bunched_on_top(sling: Sling) -> Iterator[Finding]:
    """Webs straight on the shackle that the sling hangs from; its bow has the most room."""
    held = sling.hung_from
    if held is None or held.kind != "shackle":
        return
    webs = [(leg, leg.parts[0]) for leg in sling.legs if leg.on is None]
    widths = (bearing_width(one) * leg.loaded_legs for leg, one in webs if one.kind == "web")
    total = Length(sum(widths))
    if total and total > held.bow_width:
        yield sling.finding(
            "{held} is {limit} wide inside, and what lies of web in it is {found} wide",
            key=("", "duty", "hung_from"),
            found=total,
            limit=held.bow_width,
            held=held,
            remedy="Hang it from a wider shackle, or gather the webs in a link made for them.",
        )


def _room_in_shackle(shackle: Part, web: Part, total: Length) -> Length:
    pinned = on_the_pin(shackle, web)
    if pinned is None and (shackle.get("jaw_width") or total) < total <= shackle.bow_width:
        raise shackle.unknown_turn()
    return shackle.jaw_width if pinned else shackle.bow_width


ON_A_HOOK = "EN 1492-1, Annex D (second-hand)"
IN_A_BOW = f"{ON_A_HOOK}, taken over from hooks to the bow of a shackle: a warning"
BOWLS = HOOK_KINDS | {"crane-hook", "fork-attachment", "shackle"}


def holders(web: Part) -> Iterator[Sheet]:
    """What a web of a leg hangs on, and what its lower end or the shackle below hangs on it by.

    A hook below a web is sewn in by its eye: its bowl is for the load.
    """
    leg = web.leg
    assert leg is not None
    place = leg.parts.index(web)
    above = leg.parts[place - 1] if place else leg.on.part if leg.on else leg.sling.hung_from
    if above is not None:
        yield above
    if place + 1 < len(leg.parts):
        if leg.parts[place + 1].kind == "shackle":
            yield leg.parts[place + 1]
    elif leg.entry.to == "hung_from" and leg.sling.hung_from is not None:
        yield leg.sling.hung_from
    else:
        yield from (one.part for one in leg.sling.gatherings if leg in one.ends_here)


def bowls_under(web: Part) -> list[Sheet]:
    """The hooks and shackles that a web lies in, each once; a shackle's pin is straight.

    Links are left out: how round their ends are no sheet says, those made for webs are straight
    there, and whether a link is made for webs its chart says.
    """
    found = (one for one in holders(web) if one.kind in BOWLS and not one.get("straight_seat"))
    return list({id(one): one for one in found}.values())


def lies_in_a_bowl(part: Part) -> bool:
    if part.kind != "web" or part.sling.basis != "EN" or part.leg is None or part.in_branch:
        return False
    return bool(bowls_under(part))


@rule(
    "bowl-too-round",
    about=Part,
    level="error",
    title="A web lies in a hook or shackle that is too round for its width",
    because="In a round bowl the middle of a web hangs slack and its edges carry the load, and tear"
    " one after the other.",
    sources=[ON_A_HOOK, IN_A_BOW],
    when=lies_in_a_bowl,
    fails="""
        base = "web"
        [[item]]
        id = "crane-hook"
        seat_diameter = "40 mm"
        [[leg]]
        ref = "b"
        parts = [{ item = "web", length = "2 m" }, { item = "web-hook" }]
    """,
    repaired="""
        base = "web"
        [[item]]
        id = "crane-hook"
        seat_diameter = "90 mm"
        [[leg]]
        ref = "b"
        parts = [{ item = "web", length = "2 m" }, { item = "web-hook" }]
    """,
)
def bowl_too_round(part: Part, ctx: Context) -> Iterator[Finding]:
    width, gap = bearing_width(part), None
    for held in bowls_under(part):
        if held.kind == "shackle" and _is_straight_in(held, part, width):
            continue
        try:
            yield from _too_round(part, held, width, bowl_radius(held))
        except Unstated as missing:
            gap = gap or missing
    if gap is not None:
        raise gap


def bowl_radius(held: Sheet) -> Length:
    return Length((held.bow_width if held.kind == "shackle" else held.seat_diameter) / 2)


def _is_straight_in(shackle: Sheet, web: Part, width: Length) -> bool:
    """Whether a web lies on the straight pin; where nobody says, it does if it has room there."""
    pinned = on_the_pin(shackle, web)
    return width <= (shackle.get("jaw_width") or 0.0) if pinned is None else pinned


def _too_round(part: Part, held: Sheet, width: Length, radius: Length) -> Iterator[Finding]:
    # An error where the source speaks of it, as of a web's eye in eye-spread. Taken over to a bow,
    # where the web may have been meant for the pin, it is no more than a warning.
    least = web_bowl_least(width)
    in_bow = held.kind == "shackle"
    level, source = ("warning", IN_A_BOW) if in_bow else ("error", ON_A_HOOK)
    where = "bow" if in_bow else "bowl"
    if least is None:
        yield part.finding(
            "{part} bears {found} wide in the {where} of {held}, which is round; over {limit} a web"
            " is to lie straight",
            level=level,
            sources=[source],
            found=width,
            limit=ROUND_BEARING_MOST,
            held=held,
            where=where,
            remedy="Hang it on something straight: a shackle or fitting made for webs.",
        )
    elif radius < least:
        yield part.finding(
            "{part} bears {width} wide in the {where} of {held}, whose radius is {found}; {limit}"
            " is asked for",
            level=level,
            sources=[source],
            found=radius,
            limit=Length(least),
            width=width,
            held=held,
            where=where,
            remedy="Hang it in a bowl of {limit} radius or more, or on something straight: a"
            " shackle or fitting made for webs.",
        )


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


@rule(
    "shackle-turned",
    about=Part,
    level="error",
    title="A shackle holds by its pin what belongs in its bow",
    because="Legs on a pin slide along it and pull the shackle sideways; a running bight on a pin"
    " turns it out of its thread.",
    sources=["WAC 296-155-33905(1)", "EM 385-1-1, 15.E.06 (second-hand)"],
    when=holds_by_bow,
    fails="""
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
        parts = [{ item = "web", length = "8 ft" }, { item = "bow", pin_in = "below" }]
    """,
    repaired="""
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
        parts = [{ item = "web", length = "8 ft" }, { item = "bow", pin_in = "above" }]
    """,
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


@rule(
    "rope-too-short",
    about=Leg,
    level="error",
    title="Too little rope is left between the ends of a leg",
    because="Between two splices the rope needs free length to give; without it the strands at the"
    " splices take the load unevenly.",
    sources=[
        "29 CFR 1910.184(f)(2) as WAC 296-24-29425(2) has it: ten rope diameters",
        "EN 13414-1: twenty (from memory: a warning only)",
    ],
    when=lambda leg: leg.kind in ROPE_KINDS,
    fails="""
        base = "rope"
        [[leg]]
        ref = "a"
        parts = [{ item = "eye" }, { item = "rope", length = "20 in" }, { item = "eye" }]
    """,
)
def rope_too_short(leg: Leg, ctx: Context) -> Iterator[Finding]:
    rope = leg.rope
    eyes = [part for part in leg.parts if part.kind == "eye"]
    if rope.length is None:
        raise Unstated("length", rope.path)
    if leg.entry.endless or rope.kind == "grommet":
        yield from _loop_too_short(leg, rope.length)
        return
    clear = rope.length - sum(eye.eye_length for eye in eyes)
    least = clear_length_least(leg.sling.basis, rope.diameter)
    if clear < least:
        yield leg.finding(
            "{part} has {found} of rope between its ends; {limit} is asked for{note}",
            key=("parts",),
            level="warning" if least.from_memory else "error",
            found=Length(clear),
            limit=Length(least),
            note=" (from memory)" if least.from_memory else "",
            sources=[least.source],
            remedy="Make the leg longer, or the eyes shorter.",
        )


def _loop_too_short(leg: Leg, length: Length) -> Iterator[Finding]:
    """A grommet or endless rope, whose length from bearing to bearing is half its circumference."""
    least = endless_circumference_least(leg.rope.diameter)
    if 2 * length < least:
        yield leg.finding(
            "{part} is a loop of {found} all round; {limit} is asked for",
            key=("parts",),
            found=Length(2 * length),
            limit=Length(least),
            sources=[least.source],
            remedy="Make the loop longer.",
        )
