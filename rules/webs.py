"""What webs lie in: links, hooks and the bows of shackles."""

from collections.abc import Iterator
from itertools import pairwise

from riglint import Context, Finding, Gathering, Length, Part, Sling, Unstated, rule
from riglint.figures.textile import ROUND_BEARING_MOST, web_bowl_least
from riglint.model import HOOK_KINDS
from riglint.stock import Sheet

from .eyes import held_by_the_end, hung_on, on_the_pin

ON_A_HOOK = "EN 1492-1, Annex D (second-hand)"
IN_A_BOW = f"{ON_A_HOOK}, taken over from hooks to the bow of a shackle: a warning"
BOWLS = HOOK_KINDS | {"crane-hook", "fork-attachment", "shackle"}


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
        lying = list(webs_in(gathering))
        if lying and gathering.part.kind != "spreader":
            total = sum(bearing_width(web) * count for web, count in lying)
            yield from _bunched(gathering.part, Length(total), lying[0][0])
    for leg in sling.legs:
        for one, other in pairwise(leg.parts):
            webs = [part for part in (one, other) if part.kind == "web"]
            holders = [part for part in (one, other) if part.is_link or part.kind == "shackle"]
            if webs and holders:
                yield from _bunched(holders[0], bearing_width(webs[0]), webs[0])
    yield from _bunched_on_top(sling)


def webs_in(gathering: Gathering) -> Iterator[tuple[Part, int]]:
    """Each web that lies in a gathering part, and how many of it."""
    tops = ((leg.parts[0], leg.count) for leg in gathering.own_legs)
    ends = ((leg.parts[-1], leg.count) for leg in gathering.ends_here)
    return ((part, count) for part, count in (*tops, *ends) if part.kind == "web")


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


def holders(web: Part) -> Iterator[Sheet]:
    """What a web of a leg hangs on, and what its lower end or the shackle below hangs on it by.

    A hook below a web is sewn in by its eye: its bowl is for the load.
    """
    leg = web.leg
    assert leg is not None
    place = leg.parts.index(web)
    above = leg.parts[place - 1] if place else hung_on(web)
    if above is not None:
        yield above
    if place + 1 < len(leg.parts):
        if leg.parts[place + 1].kind == "shackle":
            yield leg.parts[place + 1]
    else:
        yield from held_by_the_end(leg)


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
