"""Rating: what the build may carry, and what its tag and its duty ask of it."""

from collections.abc import Iterator

from attrs import frozen

from riglint import Angle, Context, Finding, Load, Part, Sling, Unstated, rule
from riglint.calculation import Rating
from riglint.model import LEG_KINDS, TagRating

LINK_DATA = ("legs", "angle")


STRAIGHT_DEG = 90.0


ROUNDING_DEG = 1e-6


FOUR = 4


NOT_OF_THE_SLING = ("spreader", "eyebolt", "hoist-ring")  # chosen for the load, not for the legs


FOUR_LEGS_NEAR = 0.02  # house default: what counts as the four-leg product, rounding included


@frozen
class TagUnderRatingSettings:
    """The share of the rating under which a tag is called low."""

    share: float = 0.9


@frozen
class WeakLinkSettings:
    """By what share a fitting may limit the sling before it is reported."""

    share: float = 0.02


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
    if part.kind == "eye":
        return  # an eye is rated by its rope
    if part.kind == "spreader" and part.sheet.limits:
        rows = [row.angle.horizontal for row in part.sheet.limits if row.angle is not None]
        yield part.finding(
            "{part} hangs by legs at {found}, and its sheet rates it for none flatter than {limit}",
            found=Angle(ctx.figures.upper_angle()),
            limit=Angle(min(rows)),
            remedy="Use longer upper legs, or ask the maker for that angle.",
        )
        return
    if not part.is_link:
        rope = "breaking load" if part.kind == "wire-rope" else "working load limit"
        yield part.finding(
            "{part} carries load and its sheet gives it no {datum}",
            remedy="File the maker's {datum} for {item}, or fit {kind} that has one.",
            datum=rope,
            item=part.item.id,
            kind=part.a_kind,
        )
        return
    use = ctx.figures.use_of(part)
    yield part.finding(
        "{part} has no rating for this use: no row of its chart covers {legs} of {what}",
        remedy="Fit a link whose chart lists {legs} of {what}, or ask the maker for that row.",
        legs="one leg" if use.legs == 1 else f"{use.legs} legs",
        what=use.words(part.sling.units),
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


def rated_by_its_lift(sling: Sling) -> bool:
    """Legs that differ on purpose under a load of known geometry: uneven-share judges them."""
    return sling.legs_differ and sling.duty.load_geometry is not None


def at_angle(sling: Sling, rated: Rating) -> str:
    """Where a rating holds, in words: the angle of several legs, and what the duty takes off."""
    said = ""
    if sling.loaded_legs > 1 and rated.angle < STRAIGHT_DEG:
        said = f" at {sling.as_measured(rated.angle):.4g} deg from the {sling.measured_from}"
        if abs(rated.listed - rated.angle) > ROUNDING_DEG:
            said += f" (rated as {sling.as_measured(rated.listed):.4g} deg)"
        if rated.legs < min(sling.loaded_legs, 3):
            said += f", counting {rated.legs} of {sling.loaded_legs} legs"
    if rated.reductions:
        said += f", where {' and '.join(one.text(sling.units) for one in rated.reductions)}"
    return said


def at_row(row: TagRating, sling: Sling) -> str:
    """The angle of a tag row, in words, where the legs have none in common."""
    if not sling.legs_differ or row.angle is None:
        return ""
    return f" at {sling.as_measured(row.angle.flattest):.4g} deg from the {sling.measured_from}"


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
        "EN 13414-1:2003, 5.2.4 and Table 4 (second-hand)",
        "EN 1492-1 and EN 1492-2, mode factors (second-hand)",
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
            rated = ctx.figures.tag_bound(row)
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
            "The tag says {found}{where}, and the build may carry {limit}{least}: {governor}"
            " governs ({why})",
            key=("", "tag", "rating", index, "load"),
            found=row.load,
            limit=known,
            where=at_row(row, sling) or at_angle(sling, rated),
            least="" if rated.load is not None else " at most",
            governor=governor,
            why=ctx.figures.why(governor, rated),
            remedy="Tag it for {tag}, or build it of parts that hold more.",
            tag=ctx.figures.tag_load(rated) if rated.load is not None else known,
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
        "EN 13414-1:2003, 5.2.4 and Table 4 (second-hand)",
        "EN 1492-1 and EN 1492-2, mode factors (second-hand)",
    ],
    when=lambda sling: sling.planned_load is not None and not rated_by_its_lift(sling),
    waivable=False,
    fails="""
        base = "pair"
        [duty]
        angle = { from_horizontal = "30 deg" }
    """,
)
def load_over_rating(sling: Sling, ctx: Context) -> Iterator[Finding]:
    rated, load = ctx.figures.duty_bound(), sling.planned_load
    assert load is not None
    never = [one.name(sling.units) for one in rated.reductions if one.share == 0]
    if never:
        raise Unstated(never[0], why=f"{never[0]} is not permitted at all in this duty")
    if rated.at_most is not None and load > rated.at_most * ctx.figures.SLACK:
        governor = min(
            sling.parts, key=lambda p: (rated.allowed.get(p.path, 1e99), p.kind not in LEG_KINDS)
        )
        steeper = ", sling it steeper" if _helps_to_stand_steeper(sling, ctx, rated) else ""
        yield sling.finding(
            "The planned load of {found} is more than the {limit} that the build may carry{where}:"
            " {governor} governs ({why})",
            key=("", "duty", "load"),
            found=load,
            limit=Load(rated.at_most),
            where=at_angle(sling, rated),
            governor=governor,
            why=ctx.figures.why(governor, rated),
            steeper=steeper,
            remedy="Lift no more than {limit}{steeper}, or build it of a larger size.",
        )
    elif rated.gaps:
        raise rated.gaps[0]
    else:
        yield from _over_its_tag(sling, load, ctx)


def _helps_to_stand_steeper(sling: Sling, ctx: Context, rated: Rating) -> bool:
    """Whether a steeper listed angle carries more than the one that rates the duty."""
    if sling.hitch == "straight":
        return False
    now = ctx.figures.rating().at_most or 0.0
    listed = ctx.figures.listed_ratings()
    return any(angle > rated.listed and (one.at_most or 0.0) > now * 1.001 for angle, one in listed)


def _over_its_tag(sling: Sling, load: Load, ctx: Context) -> Iterator[Finding]:
    """The build would hold the load, and the tag that it is to bear says less."""
    rows = sling.build.tag.rating if sling.build.tag else ()
    fit = [row.load for row in rows if covers_duty(row, sling, ctx)]
    if fit and load > max(fit):
        yield sling.finding(
            "The planned load of {found} is more than the {limit} on the sling's own tag",
            key=("", "duty", "load"),
            found=load,
            limit=max(fit),
            remedy="Lift no more than {limit}, or tag the sling for what it may carry.",
        )


def covers_duty(row: TagRating, sling: Sling, ctx: Context) -> bool:
    if row.hitch not in (sling.duty.hitch, None):
        return False
    if sling.duty.hitch == "choker" and not ctx.figures.covers_choke(row):
        return False
    return row.angle is None or row.angle.flattest <= ctx.figures.leg_angle() + ROUNDING_DEG


@rule(
    "tag-under-rating",
    about=Sling,
    level="note",
    title="The tag says much less than the build may carry",
    because="A tag that is too low is safe, and costs the customer a heavier sling than he needs.",
    sources=["house default: 90 %"],
    when=lambda sling: sling.build.tag is not None and bool(sling.build.tag.rating),
    settings=TagUnderRatingSettings,
    fails="""
        base = "pair"
        [tag]
        rating = [
          { hitch = "bridle", angle = { from_horizontal = "60 deg" }, load = "12,000 lb" },
        ]
    """,
)
def tag_under_rating(sling: Sling, ctx: Context) -> Iterator[Finding]:
    assert sling.build.tag is not None
    for index, row in enumerate(sling.build.tag.rating):
        rated = ctx.figures.tag_rating(row).stated
        if row.load < ctx.settings.share * rated:
            yield sling.finding(
                "The tag says {found}, and the build may carry {limit} in that hitch",
                key=("", "tag", "rating", index, "load"),
                found=row.load,
                limit=rated,
                tag=ctx.figures.tag_load(ctx.figures.tag_rating(row)),
                remedy="Tag it for {tag}, unless it is meant to be less.",
            )


@rule(
    "weak-link-governs",
    about=Sling,
    level="warning",
    title="A fitting, not what the legs are made of, limits the sling",
    because="The legs are what is inspected, replaced and paid for. A fitting that gives out first"
    " wastes them and surprises whoever rates the sling by its legs.",
    sources=["ASME B30.9-2010, 9-1.5.7 (second-hand)", "house default: 2 %"],
    settings=WeakLinkSettings,
    fails="""
        base = "pair"
        [[item]]
        id = "hook"
        working_load_limit = "7,100 lb"
    """,
)
def weak_link_governs(sling: Sling, ctx: Context) -> Iterator[Finding]:
    rated = ctx.figures.rating()
    governor, load = rated.governed_by, rated.stated
    pulled = [leg for leg in sling.legs if leg.rope.path in rated.allowed]  # not hanging slack
    if not pulled:
        return
    legs = min(pulled, key=lambda leg: rated.allowed[leg.rope.path])
    by_legs = rated.allowed[legs.rope.path]
    if (
        governor is None
        or governor.kind in NOT_OF_THE_SLING
        or load >= (1 - ctx.settings.share) * by_legs
    ):
        return
    yield governor.finding(
        "{part} limits the sling to {found}; its {material} would carry {limit} ({why})",
        found=load,
        limit=Load(by_legs),
        why=ctx.figures.why(governor, rated),
        material=legs.rope.kind.replace("-", " "),
        remedy="Fit {kind} that holds what the {material} holds.",
        kind=governor.a_kind,
    )


@rule(
    "hung-from-overloaded",
    about=Sling,
    level="error",
    title="What the sling hangs from is rated for less than the load",
    because="The hook, shackle or fork attachment above carries all that the sling carries.",
    sources=["29 CFR 1910.184(c)(4)", "ASME B30.10 and B30.26 (rated load)"],
    when=lambda sling: sling.hung_from is not None,
    waivable=False,
    fails="""
        base = "pair"
        [[item]]
        id = "crane-hook"
        working_load_limit = "10,000 lb"
    """,
)
def hung_from_overloaded(sling: Sling, ctx: Context) -> Iterator[Finding]:
    hook = sling.hung_from
    assert hook is not None
    planned = sling.planned_load
    load = planned if planned is not None else ctx.figures.rating().stated
    spreader = sling.spreader
    if spreader is not None:
        load = Load(load + spreader.part.mass)
    if load > hook.working_load_limit * ctx.figures.SLACK:
        yield sling.finding(
            "{hook} is rated for {limit}, and {what} is {found}",
            key=("", "duty", "hung_from"),
            found=load,
            limit=hook.working_load_limit,
            hook=hook,
            what=("the planned load" if planned is not None else "the sling's rated load")
            + (f" with {spreader.path}" if spreader is not None else ""),
            remedy="Hang it from something rated for {found} or more, or lift no more than"
            " {limit}.",
        )


@rule(
    "chart-basis-mismatch",
    about=Part,
    level="error",
    title="A link's chart is for another kind of leg",
    because="A chart for one kind of leg says nothing of another: the design factor is another,"
    " and so is what sits in the link.",
    sources=["common practice", "DOE-STD-1090-96, 11.3.1.3 (rope 5)", "2006/42/EC, Annex I"],
    when=lambda part: part.is_link,
    fails="""
        base = "pair"
        [[item]]
        id = "master"
        chart = [
          { leg = "wire-rope", size = "3/4 in", legs = 2, limit = "26,000 lb" },
        ]
    """,
)
def chart_basis_mismatch(part: Part, ctx: Context) -> Iterator[Finding]:
    if not part.chart or ctx.figures.allowance(part).row is not None:
        return
    kinds = sorted({row.leg for row in part.chart})
    used = ctx.figures.use_of(part).kind
    if used not in kinds:
        yield part.finding(
            "The chart of {item} is for {found} legs, and {part} gathers {limit} legs",
            found=" and ".join(kinds).replace("-", " "),
            limit=used.replace("-", " "),
            item=part.item.id,
            remedy="File the maker's chart of {item} for {limit} legs, or fit a link that has one.",
        )


@rule(
    "quad-counted-as-four",
    about=Sling,
    level="error",
    title="The rating counts on four legs sharing evenly",
    because="No four legs are equal: three carry, or two in a stiff lift. The tables count three.",
    sources=["OSHA, Guidance on Safe Sling Use, Tables 1 and 2", "EN 818-4:1996+A1:2008, Table 3"],
    when=lambda sling: sling.loaded_legs == FOUR and sling.build.tag is not None,
    waivable=False,
    fails="""
        base = "quad"
        [tag]
        rating = [
          { hitch = "bridle", angle = { from_horizontal = "60 deg" }, load = "30,400 lb" },
        ]
    """,
)
def quad_counted_as_four(sling: Sling, ctx: Context) -> Iterator[Finding]:
    assert sling.build.tag is not None
    for index, row in enumerate(sling.build.tag.rating):
        rated = ctx.figures.tag_rating(row)
        allowed = ctx.figures.tag_allows(rated)
        by_four = rated.stated * FOUR / rated.legs
        if allowed < row.load and abs(row.load - by_four) <= FOUR_LEGS_NEAR * by_four:
            yield sling.finding(
                "The tag's {found} is what four legs would carry if they shared evenly; three are"
                " counted on, which is {limit}",
                key=("", "tag", "rating", index, "load"),
                found=row.load,
                limit=rated.stated,
                tag=ctx.figures.tag_load(rated),
                remedy="Tag it for {tag}.",
            )


def is_rigid_quad(sling: Sling) -> bool:
    equalized = any(gathering.part.kind == "spreader" for gathering in sling.gatherings)
    unplanned = bool(sling.duty.load_is_rigid) and sling.planned_load is None
    return sling.loaded_legs == FOUR and unplanned and not equalized


@rule(
    "rigid-load-shared-evenly",
    about=Sling,
    level="warning",
    title="A rigid load on four legs, and nothing keeps to what two of them carry",
    because="A load that does not give hangs from two legs, whichever come tight first; the tag"
    " counts three.",
    sources=["DGUV 209-013, section 14", "Navy 14081, p. 382 (two diagonal legs)"],
    when=is_rigid_quad,
    fails="""
        base = "quad"
        without = ["/duty/load"]
        [duty]
        load_is_rigid = true
    """,
    repaired="""
        base = "quad"
        without = ["/duty/load"]
        [duty]
        load_is_rigid = true
        [tag]
        rating = [
          { hitch = "bridle", angle = { from_horizontal = "60 deg" }, load = "15,200 lb" },
        ]
    """,
)
def rigid_load_shared_evenly(sling: Sling, ctx: Context) -> Iterator[Finding]:
    plate, rigid = ctx.figures.rating().stated, ctx.figures.duty_rating()
    rows = sling.build.tag.rating if sling.build.tag else ()
    read = [row.load for row in rows if covers_duty(row, sling, ctx)]
    if read and max(read) <= rigid.stated * ctx.figures.SLACK:
        return
    yield sling.finding(
        "The load is rigid, so that two of the four legs carry it: {found} instead of the {limit}"
        " that three would; no load is planned, and the tag does not keep to it",
        key=("", "duty", "load_is_rigid"),
        found=rigid.stated,
        limit=plate,
        remedy="Plan no more than {found}, or hang it from something that evens out its legs.",
    )
