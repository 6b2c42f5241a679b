"""Legs that stand flatter or steeper than the basis rates."""

from collections.abc import Iterator

from riglint import Angle, Context, Finding, Key, Sling, rule
from riglint.figures.rating import FLATTEST_DEG

EN_LEAST_FROM_VERTICAL = 15.0  # EN 818-6 (second-hand)


@rule(
    "angle-too-flat",
    about=Sling,
    level="error",
    title="The legs are flatter than the basis allows",
    because="A flat leg pulls far harder than its load says: at 30 deg from the horizontal each"
    " leg pulls twice its share, and at 20 deg nearly three times.",
    sources=[
        "OSHA, Guidance on Safe Sling Use (not under 30 deg from the horizontal; second-hand)",
        "EN 818-4:1996+A1:2008, Table 3 (not over 60 deg from the vertical)",
    ],
    when=lambda sling: sling.loaded_legs > 1 and sling.duty.hitch != "straight",
    fails="""
        base = "pair"
        [duty]
        angle = { from_horizontal = "25 deg" }
        load = "5,000 lb"
    """,
)
def angle_too_flat(sling: Sling, ctx: Context) -> Iterator[Finding]:
    angles: list[tuple[float, Key, str]] = []
    for index, entry in enumerate(sling.build.leg):
        if entry.angle is not None:
            angles.append((entry.angle.horizontal, ("", "leg", index, "angle"), entry.ref))
    rows = sling.build.tag.rating if sling.build.tag else ()
    for index, row in enumerate(rows):
        if row.angle is not None:
            angles.append((row.angle.flattest, ("", "tag", "rating", index, "angle"), "The tag"))
    if not all(leg.entry.angle for leg in sling.bearing_legs):
        who = "The duty" if sling.duty.angle is not None else "The load's geometry"
        angles.insert(0, (ctx.figures.leg_angle(), ("", "duty", "angle"), who))
    for angle, key, who in angles:
        if angle < FLATTEST_DEG - ctx.figures.ROUNDING_DEG:
            yield sling.finding(
                "{who} has the legs at {found} from the {datum}, flatter than {limit}",
                key=key,
                found=sling.as_measured(angle),
                limit=sling.as_measured(FLATTEST_DEG),
                datum=sling.measured_from,
                who=who,
                remedy="Use longer legs or a spreader beam, so that they stand at {limit} from the"
                " {datum} or steeper.",
            )


@rule(
    "angle-too-steep-for-basis",
    about=Sling,
    level="warning",
    title="The legs stand steeper than the basis rates as a symmetric lift",
    because="Under 15 deg from the vertical small differences in length shift the load from one leg"
    " to another, so that EN does not count it as shared.",
    sources=["EN 818-6, legs under 15 deg from the vertical (second-hand)"],
    when=lambda sling: (
        sling.basis == "EN"
        and sling.is_chain_sling
        and sum(leg.count for leg in sling.bearing_legs) > 1
        and not sling.has_spreader
    ),
    fails="""
        base = "pair"
        without = ["/duty/angle/from_horizontal"]
        [assembly]
        basis = "EN"
        [duty]
        angle = { from_vertical = "10 deg" }
    """,
    repaired="""
        base = "pair"
        without = ["/duty/angle/from_horizontal"]
        [assembly]
        basis = "EN"
        [duty]
        angle = { from_vertical = "20 deg" }
    """,
)
def angle_too_steep_for_basis(sling: Sling, ctx: Context) -> Iterator[Finding]:
    from_vertical = 90 - sling.angle
    if from_vertical < EN_LEAST_FROM_VERTICAL - ctx.figures.ROUNDING_DEG:
        yield sling.finding(
            "The legs stand {found} from the vertical; EN counts a load as shared from {limit} on",
            key=("", "duty", "angle"),
            found=Angle(from_vertical),
            limit=Angle(EN_LEAST_FROM_VERTICAL),
            remedy="Use shorter legs, hang them from a spreader, or have a qualified person rate"
            " the lift.",
        )
