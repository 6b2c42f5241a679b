"""The lift: a load whose picks and center of gravity are known."""

from collections.abc import Callable, Iterator

from attrs import frozen

from riglint import Angle, Context, Finding, Leg, Length, Load, Part, Sling, rule
from riglint.calculation import Hang, LegsDoNotMeet, Rating
from riglint.figures import OWN_GEOMETRY
from riglint.model import LEG_KINDS

STATICS = "statics: equilibrium of the forces at the hook"
GEOMETRY = ("", "duty", "load_geometry")
BESIDE = 0.01  # house default: of the hook's height, as the statics count a center in line
ALIKE = 1 - 1e-6
SEEN_DEG = 1.0  # house default: by how much a stated angle may lie off the drawing


@frozen
class OffPlumbSettings:
    """How far a load may turn before it hangs still."""

    tilt: Angle = Angle(2.0)


@frozen
class MeetingSettings:
    """By what share of its length a leg may be longer or shorter than the lift asks for."""

    share: float = 0.01


def is_known(sling: Sling) -> bool:
    return sling.duty.load_geometry is not None


def in_known_lift(leg: Leg) -> bool:
    return is_known(leg.sling) and leg.holds is None


def places(leg: Leg, hang: Hang) -> Iterator[tuple[int, str]]:
    """The places of a leg's picks, and the refs of its identical legs."""
    return ((n, ref) for n, ref in enumerate(hang.refs) if hang.legs[n] is leg)


SOUND = """
    base = "quad"
    without = ["/duty/load"]
    [duty.load_geometry]
    mass = "14,000 lb"
    center_of_gravity = ["0 ft", "0 ft", "2 ft"]
    hook_height = "12 ft 9-1/2 in"
    pick_points = [
      { leg = "a1", at = ["-4 ft", "-3 ft", "4 ft"] },
      { leg = "a2", at = ["-4 ft", "3 ft", "4 ft"] },
      { leg = "b1", at = ["4 ft", "-3 ft", "4 ft"] },
      { leg = "b2", at = ["4 ft", "3 ft", "4 ft"] },
    ]
"""


def changed(old: str, new: str) -> str:
    assert old in SOUND
    return SOUND.replace(old, new)


@rule(
    "uneven-share",
    about=Sling,
    level="error",
    title="A leg pulls more in this lift than it may carry",
    because="A load that hangs off its middle, or is too stiff to give, is not shared as the tag"
    " takes it to be: the nearest leg carries most of it.",
    sources=[STATICS, "four legs: the worst of every equilibrium in which none pushes"],
    when=is_known,
    waivable=False,
    fails=changed('"0 ft", "0 ft", "2 ft"', '"-2 ft", "-1 ft 6 in", "2 ft"'),
    repaired=SOUND,
)
def uneven_share(sling: Sling, ctx: Context) -> Iterator[Finding]:
    hang, rated = ctx.figures.hang(), ctx.figures.geometry_duty_bound()
    mass = sling.planned_load or Load(hang.mass)
    within = {path for path, load in rated.allowed.items() if mass <= load * ctx.figures.SLACK}
    over = [part for part in sling.parts if part.path in rated.allowed.keys() - within]
    pulled = [leg for leg in sling.bearing_legs if any(part.leg is leg for part in over)]
    for leg in pulled:
        weakest = min((part for part in over if part.leg is leg), key=_weakest_first(rated))
        pulls = {ref: hang.lift.worst[n] * mass / hang.mass for n, ref in places(leg, hang)}
        pull = max(pulls.values())
        refs = [ref for ref, one in pulls.items() if one > pull * ALIKE]
        yield leg.finding(
            "{part} may pull {found} under the load of {mass}, and may carry {limit}: {weakest}"
            " governs",
            at=refs[0],
            also=tuple(refs[1:]),
            key=GEOMETRY,
            found=Load(pull),
            limit=Load(pull * rated.allowed[weakest.path] / mass),
            mass=mass,
            weakest=weakest,
            most=Load(min(rated.allowed.values())),
            remedy=_evener(hang) + " Else lift no more than {most}, or build it of a larger size.",
        )
    for part in over if not pulled else ():
        yield part.finding(
            "{part} holds {limit} in this lift, and the load is {found}",
            found=mass,
            limit=Load(rated.allowed[part.path]),
            remedy="Fit {kind} that is charted for more, or bring the load under the hook.",
            kind=part.a_kind,
        )
    if rated.gaps:
        raise rated.gaps[0]


def _evener(hang: Hang) -> str:
    """What shares a load better: legs that may pull alike may still leave two to hold it all."""
    worst = hang.lift.worst
    if len(worst) > 3 and max(worst) * 0.99 <= min(worst):
        return "Two of its legs may come to hold it all: even them out, as by an equalizing beam."
    return "Bring the hook over the center of gravity, and spread the picks around it."


def _weakest_first(rated: Rating) -> Callable[[Part], tuple[float, bool]]:
    """Of parts that allow as little, the one that the leg is made of first."""
    return lambda part: (rated.allowed[part.path], part.kind not in LEG_KINDS)


@rule(
    "leg-goes-slack",
    about=Leg,
    level="warning",
    title="A leg carries nothing in this lift",
    because="A leg that hangs slack leaves its load to the others, and jerks when the load turns.",
    sources=[STATICS],
    when=in_known_lift,
    fails=changed('"0 ft", "0 ft", "2 ft"', '"-4 ft", "0 ft", "2 ft"'),
    repaired=SOUND,
)
def leg_goes_slack(leg: Leg, ctx: Context) -> Iterator[Finding]:
    hang = ctx.figures.hang()
    for place, ref in places(leg, hang):
        if place in hang.lift.slack:
            yield leg.finding(
                "{ref} carries nothing in this lift: the center of gravity hangs from the others",
                at=ref,
                also=(),
                key=GEOMETRY,
                ref=ref,
                remedy="Move the picks so that they stand around the center of gravity, or leave"
                " the leg off.",
            )


@rule(
    "hook-off-plumb",
    about=Sling,
    level="warning",
    title="The hook is not over the center of gravity",
    because="The load swings until its center of gravity is under the hook, and whoever stands"
    " there is hit.",
    sources=["Navy 14081, p. 382 (hook over the center of gravity)", "house default: 2 deg"],
    when=is_known,
    settings=OffPlumbSettings,
    fails=changed('hook_height = "12 ft 9-1/2 in"', "").replace(
        '"0 ft", "0 ft", "2 ft"', '"-1 ft", "0 ft", "2 ft"'
    ),
    repaired=SOUND,
)
def hook_off_plumb(sling: Sling, ctx: Context) -> Iterator[Finding]:
    lift = ctx.figures.hang().lift
    if lift.tilt_deg > ctx.settings.tilt:
        yield sling.finding(
            "The legs hold the hook {drift} beside the center of gravity: the load swings there"
            " and tilts by {found}; {limit} is let pass",
            key=(*GEOMETRY, "center_of_gravity"),
            found=Angle(lift.tilt_deg),
            limit=ctx.settings.tilt,
            drift=Length(lift.drift_mm),
            remedy="Set the legs so that the hook comes over the center of gravity: shorten those"
            " on its side.",
        )


@rule(
    "load-may-tip",
    about=Sling,
    level="error",
    title="The center of gravity is outside of the picks, or above them",
    because="A load whose center of gravity is beside its picks turns over as soon as it is off the"
    " ground; one whose center is above them does when it is nudged.",
    sources=["common practice, no source", OWN_GEOMETRY],
    when=is_known,
    fails=changed('"0 ft", "0 ft", "2 ft"', '"-5 ft", "0 ft", "2 ft"'),
    repaired=SOUND,
)
def load_may_tip(sling: Sling, ctx: Context) -> Iterator[Finding]:
    stance, height = ctx.figures.stance()
    if stance.margin_mm < -BESIDE * height:
        yield sling.finding(
            "The center of gravity is {found} outside of the picks: the load turns over",
            key=(*GEOMETRY, "center_of_gravity"),
            found=Length(-stance.margin_mm),
            remedy="Pick the load on all sides of its center of gravity.",
        )
    elif stance.above_mm > 0:
        yield sling.finding(
            "The center of gravity is {found} above the highest pick",
            key=(*GEOMETRY, "center_of_gravity"),
            level="warning",
            found=Length(stance.above_mm),
            remedy="Pick it higher than its center of gravity, or hold it against tipping.",
        )


@rule(
    "legs-do-not-meet",
    about=Leg,
    level="error",
    title="A leg is too short or too long for this lift",
    because="A leg that does not reach from its pick to the hook hangs slack or pulls the load"
    " askew, and the pulls are others than computed.",
    sources=[OWN_GEOMETRY, "house default: 1 %"],
    when=in_known_lift,
    settings=MeetingSettings,
    fails=changed("12 ft 9-1/2 in", "14 ft"),
    repaired=SOUND,
)
def legs_do_not_meet(leg: Leg, ctx: Context) -> Iterator[Finding]:
    try:
        hang = ctx.figures.hang()
    except LegsDoNotMeet as apart:
        for ref in apart.refs:
            if ref in leg.refs:
                yield leg.finding(
                    "{ref} does not meet the other legs: their reaches span no way to one hook",
                    at=ref,
                    also=(),
                    key=("parts",),
                    ref=ref,
                    remedy="Use longer legs.",
                )
        return
    for place, ref in places(leg, hang):
        reach, away = ctx.figures.set_reach(ref), hang.distances[place]
        if abs(reach - away) > ctx.settings.share * away:
            yield leg.finding(
                "{ref} reaches {found}, and its pick is {limit} from the hook",
                at=ref,
                also=(),
                key=("parts",),
                found=Length(reach),
                limit=Length(away),
                ref=ref,
                off="longer" if reach < away else "shorter",
                remedy="Use a {off} leg, another link in its pocket, or another hook height.",
            )


@rule(
    "angle-contradicts-geometry",
    about=Sling,
    level="warning",
    title="The legs stand flatter than the duty says",
    because="The rating is read at the angle of the duty; a leg that stands flatter pulls more.",
    sources=[OWN_GEOMETRY],
    when=lambda sling: is_known(sling) and sling.duty.angle is not None,
    fails=changed("12 ft 9-1/2 in", "10 ft"),
    repaired=SOUND,
)
def angle_contradicts_geometry(sling: Sling, ctx: Context) -> Iterator[Finding]:
    hang = ctx.figures.hang()
    flattest, ref = min(zip(hang.angles, hang.refs, strict=True))
    if flattest < sling.angle - SEEN_DEG:
        yield sling.finding(
            "The duty has the legs at {limit} from the {datum}; by the picks {ref} stands at"
            " {found}",
            key=("", "duty", "angle"),
            found=sling.as_measured(flattest),
            limit=sling.as_measured(sling.angle),
            datum=sling.measured_from,
            ref=ref,
            remedy="State the angle of the flattest leg, {found}, or raise the hook.",
        )
