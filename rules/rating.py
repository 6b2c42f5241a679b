"""Rating: what the build may carry, and what its tag and its duty ask of it."""

from collections.abc import Iterator

from riglint import Angle, Context, Finding, Key, Load, Part, Sling, Unstated, rule
from riglint.figures.rating import FLATTEST_DEG

LINK_DATA = ("legs", "angle")


@rule(
    "unrated-component",
    about=Part,
    level="error",
    title="A part carries load and has no rating for this use",
    because="A part without a working load limit, or a link without a chart row for these legs,"
    " may hold or may not: nobody has said.",
    sources=["ASME B30.9-2010, 9-1.5.7 (second-hand)", "29 CFR 1910.184(e)(2)(i)"],
    judges_absence=True,
    waivable=False,
    fails="""
        base = "quad"
        [[item]]
        id = "intermediate"
        chart = []
    """,
)
def unrated_component(part: Part, ctx: Context) -> Iterator[Finding]:
    ctx.figures.check_computed()
    if not ctx.figures.allowance(part).unrated:
        return
    if not part.is_link:
        yield part.finding(
            "{part} carries load and its sheet gives it no working load limit",
            remedy="File the maker's working load limit for {item}, or fit a rated {kind}.",
            item=part.item.id,
            kind=part.kind,
        )
        return
    legs, chain = ctx.figures.use_of(part)
    yield part.finding(
        "{part} has no rating for this use: no row of its chart covers {legs} of"
        " {size} grade {grade} chain",
        remedy="Fit a link whose chart lists {legs} of {size} grade {grade} chain, or ask the"
        " maker for that row.",
        legs="one leg" if legs == 1 else f"{legs} legs",
        size=chain.size,
        grade=chain.grade,
    )


@rule(
    "link-rated-alone",
    about=Part,
    level="warning",
    title="A link is rated by a figure of its own, without the pull that it holds for",
    because="A link has no rating by itself: it bends by the pull, the number and the angle of"
    " what hangs from it, so that a bare figure holds for a use that nobody knows.",
    sources=["ASTM A906/A906M-02(2010), 7.1.2 to 7.1.4 (second-hand)", "common practice"],
    when=lambda part: part.is_link and part.get("working_load_limit") is not None,
    fails="""
        base = "pair"
        [[item]]
        id = "master"
        chart = []
        working_load_limit = "26,000 lb"
    """,
    repaired="""
        base = "pair"
        [[item]]
        id = "master"
        chart = []
        working_load_limit = "26,000 lb"
        limit_for = { legs = 2, angle = { from_horizontal = "60 deg" } }
    """,
)
def link_rated_alone(part: Part, ctx: Context) -> Iterator[Finding]:
    ctx.figures.check_computed()
    if ctx.figures.allowance(part).row is not None:
        return
    use = part.get("limit_for")
    missing = [name for name in LINK_DATA if use is None or getattr(use, name) is None]
    if use is not None and use.legs == 1:
        missing.remove("angle") if "angle" in missing else None
    if part.get("design_factor") is None:
        missing.append("design factor")
    if missing:
        yield part.finding(
            "{part} is rated {found} by its sheet, which does not say for what: {missing}"
            " not given",
            level="warning" if part.sling.basis == "US" else "note",
            found=part.working_load_limit,
            missing=missing,
            remedy="File the chart of {item}: so many legs of that chain, at that angle, with that"
            " design factor.",
            item=part.item.id,
        )


@rule(
    "tag-over-rating",
    about=Sling,
    level="error",
    title="The tag promises more than the build may carry",
    because="The tag is what the crew goes by. A load on it that the weakest part does not hold"
    " will be lifted one day.",
    sources=[
        "29 CFR 1910.184(c)(1) and (e)",
        "ASME B30.9-2010, 9-1.5.7 (second-hand)",
        "EN 818-4:1996+A1:2008, 7 (second-hand)",
    ],
    when=lambda sling: sling.build.tag is not None and bool(sling.build.tag.rating),
    waivable=False,
    fails="""
        base = "quad"
        [tag]
        rating = [
          { hitch = "bridle", angle = { from_horizontal = "60 deg" }, load = "26,400 lb" },
        ]
    """,
)
def tag_over_rating(sling: Sling, ctx: Context) -> Iterator[Finding]:
    assert sling.build.tag is not None
    unknown: Unstated | None = None
    for index, row in enumerate(sling.build.tag.rating):
        try:
            rated = ctx.figures.tag_rating(row)
        except Unstated as gap:
            unknown = unknown or gap
            continue
        known = rated.load if rated.load is not None else rated.at_most
        if known is None or row.load <= ctx.figures.tag_allows(rated):
            unknown = unknown or (rated.gaps[0] if rated.gaps else None)
            continue
        governor = rated.governed_by or min(
            sling.parts, key=lambda p: rated.allowed.get(p.path, 1e99)
        )
        yield sling.finding(
            "The tag says {found} at {angle}, and the build may carry {limit}{least}:"
            " {governor} governs ({why})",
            key=("", "tag", "rating", index, "load"),
            found=row.load,
            limit=known,
            angle=Angle(rated.angle),
            least="" if rated.load is not None else " at most",
            governor=governor,
            why=ctx.figures.why(governor, rated),
            remedy="Tag it for {limit}, or fit a {kind} that holds more.",
            kind=governor.kind,
        )
    if unknown is not None:
        raise unknown


@rule(
    "load-over-rating",
    about=Sling,
    level="error",
    title="The planned load is more than the build may carry in this duty",
    because="Angle, hitch and the way the load sits decide what a sling may carry, and the"
    " weakest part decides for the whole.",
    sources=[
        "29 CFR 1910.184(c)(4)",
        "OSHA, Guidance on Safe Sling Use, Tables 1 and 2",
        "EN 818-4:1996+A1:2008, Table 3",
    ],
    when=lambda sling: sling.duty.load is not None,
    waivable=False,
    fails="""
        base = "pair"
        [duty]
        angle = { from_horizontal = "30 deg" }
    """,
)
def load_over_rating(sling: Sling, ctx: Context) -> Iterator[Finding]:
    load = sling.duty.load
    assert load is not None
    rated = ctx.figures.duty_rating()
    if rated.at_most is not None and load > rated.at_most * ctx.figures.SLACK:
        governor = min(
            sling.parts, key=lambda p: (rated.allowed.get(p.path, 1e99), p.kind != "chain")
        )
        yield sling.finding(
            "The planned load of {found} is more than the {limit} that the build may carry at"
            " {angle}: {governor} governs ({why})",
            key=("", "duty", "load"),
            found=load,
            limit=Load(rated.at_most),
            angle=Angle(rated.angle),
            governor=governor,
            why=ctx.figures.why(governor, rated),
            remedy="Lift no more than {limit}, sling it steeper, or build it of a larger size.",
        )
    elif rated.gaps:
        raise rated.gaps[0]


@rule(
    "angle-too-flat",
    about=Sling,
    level="error",
    title="The legs are flatter than the basis allows",
    because="A flat leg pulls far harder than its load says: at 30 deg from the horizontal each"
    " leg pulls twice its share, and a few degrees less add as much again.",
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
    angles: list[tuple[float, Key, str]] = [(sling.angle, ("", "duty", "angle"), "The duty")]
    rows = sling.build.tag.rating if sling.build.tag else ()
    for index, row in enumerate(rows):
        if row.angle is not None:
            angles.append((row.angle.flattest, ("", "tag", "rating", index, "angle"), "The tag"))
    for angle, key, who in angles:
        if angle < FLATTEST_DEG - ctx.figures.ROUNDING_DEG:
            yield sling.finding(
                "{who} has the legs at {found} from the horizontal, flatter than {limit}",
                key=key,
                found=Angle(angle),
                limit=Angle(FLATTEST_DEG),
                who=who,
                remedy="Use longer legs or a spreader beam, so that they stand at {limit} or more.",
            )
