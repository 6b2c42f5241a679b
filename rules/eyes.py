"""Eyes and what they lie over, and the rope between them."""

from collections.abc import Iterator

from riglint import Angle, Context, Finding, Leg, Length, Part, Unstated, rule
from riglint.figures import OWN_GEOMETRY
from riglint.figures.rope import clear_length_least, endless_circumference_least, eye_pin_least
from riglint.figures.textile import WEB_EYE_MOST, web_eye_angle
from riglint.model import ROPE_KINDS
from riglint.stock import Sheet


def is_eye(part: Part) -> bool:
    """An eye, or a web, which has one at both ends unless it is endless."""
    endless = part.leg is not None and part.leg.entry.endless
    return part.kind == "eye" or (part.kind == "web" and not endless)


def beside(part: Part) -> Iterator[Sheet]:
    """What an eye goes over: what its leg hangs on, or its neighbor in the leg or branch."""
    leg, run = part.leg, part.run
    assert leg is not None
    place = run.index(part)
    if place == 0:
        above = hung_on(part)
        if above is not None and above.kind != "spreader":
            yield above
    if part is leg.parts[-1] and leg.entry.to is not None and leg.holds is None:
        yield from held_by_the_end(leg)
    neighbors = run[max(0, place - 1) : place] + run[place + 1 : place + 2]
    yield from (one for one in neighbors if one.is_link or one.kind == "shackle")


def hung_on(part: Part) -> Sheet | None:
    """What the first part of a leg or branch hangs on."""
    leg = part.leg
    assert leg is not None
    if not part.in_branch:
        return leg.on.part if leg.on is not None else leg.sling.hung_from
    return leg.branch_on.part if leg.branch_on is not None else None


def held_by_the_end(leg: Leg) -> Iterator[Sheet]:
    """What the lower end of a leg that is hung by both ends goes over."""
    if leg.entry.to == "hung_from" and leg.sling.hung_from is not None:
        yield leg.sling.hung_from
    elif leg.to is not None and leg.to.part.kind != "spreader":
        yield leg.to.part


def on_the_pin(held: Sheet, lies: Part) -> bool | None:
    """Whether a part of a leg lies on a shackle's pin, not in its bow; None where nobody says."""
    turned = getattr(held, "pin_in", None)
    if turned is None:
        return None
    run = lies.run
    is_below = held in run and run.index(held) > run.index(lies)
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
