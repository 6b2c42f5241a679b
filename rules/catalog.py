"""Catalog: whether a sheet is believable, by the steel, the published tables and itself."""

from collections.abc import Iterator
from functools import lru_cache

from riglint import Catalog, Context, Finding, Item, Length, Load, Unstated, rule
from riglint.figures.plausibility import (
    Use,
    borne_by_link,
    chain_spans,
    contradictions,
    link_faults,
    most_by_steel,
)
from riglint.figures.textile import color_agrees, color_is_least, color_limit
from riglint.model import LINK_KINDS, ChartRow
from riglint.tables import chain_size, rating_table

ALLOY_FROM_GRADE = 80  # ASTM A391-21 and A973-21: the grade is the mean stress at breaking
LIFTING_FROM_GRADE = {"US": 80, "EN": 40}  # EN 818-5 lifts grade 40
PUBLISHED_SLACK = 1.02  # chain.md, 1a: limits lie within 2 % of what the size and grade give
MOST_USES = 200  # house default: no sheet lists more; beyond, comparing all pairs takes too long
STEEL = "ASTM A391-21 and A973-21, clause 1 (abstracts): 2 (pi/4) d^2 x 10 x grade N/mm2"
MISPRINT = "Read the maker's sheet again: limit, size, grade and design factor do not agree."


def grade_name(catalog: Catalog, grade: int) -> str:
    return str(grade // 10 if catalog.basis == "EN" else grade)


def nominal_mm(item: Item, ctx: Context) -> float:
    """The millimetre size of a chain; Unstated for a size in inches that no chain is made to."""
    mm = item.size_mm
    known = {row["inch"] for row in ctx.table("chain-sizes").rows}
    in_inches = Length.parse(item.size).unit in ("in", "ft")
    if in_inches and mm not in {chain_size(inch) for inch in known}:
        why = f"the millimetre size of {item.size} chain is not known"
        raise Unstated("size", item.id, item.id, f"/item/{item.index}/size", why)
    return mm


@rule(
    "sheet-unsourced",
    about=Catalog,
    level="warning",
    title="Nobody can tell where the figures come from",
    because="A figure without its sheet and edition cannot be looked up when it is doubted, nor"
    " renewed when the maker changes it.",
    sources=["common practice"],
    judges_absence=True,
    fails="""
        base = "single"
        without = ["/catalog/edition"]
    """,
)
def sheet_unsourced(catalog: Catalog, ctx: Context) -> Iterator[Finding]:
    head = catalog.content.catalog
    if head.edition is None:
        yield catalog.finding(
            "The catalog {part} states no edition",
            remedy="State the date or issue of the sheets that it was taken from.",
        )
    bare = [item.id for item in catalog.items if not (item.get("source") or head.source)]
    if bare:
        yield catalog.finding(
            "{found} of the {limit} items in {part} have no source: {some}{more}",
            found=len(bare),
            limit=len(catalog.items),
            some=bare[:3],
            more=" and others" if len(bare) > 3 else "",
            remedy="State the source of the catalog, or of each item, and its edition.",
        )


def has_limit_and_grade(item: Item) -> bool:
    linkish = item.kind in LINK_KINDS or item.kind == "link-assembly"
    rated = linkish and (bool(item.chart) or item.get("working_load_limit") is not None)
    return (item.kind == "chain" or rated) and item.grade >= ALLOY_FROM_GRADE


@rule(
    "limit-beyond-steel",
    about=Item,
    level="error",
    title="A limit is more than the steel can hold",
    because="A limit times its design factor is what breaks the part; no section holds more than"
    " its grade says. Such a figure is a misprint, or belongs to another size or grade.",
    sources=[STEEL, "house default: 2 % for rounding"],
    when=has_limit_and_grade,
    fails="""
        base = "single"
        [[item]]
        id = "chain"
        working_load_limit = "9,800 lb"
    """,
)
def limit_beyond_steel(item: Item, ctx: Context) -> Iterator[Finding]:
    if item.kind == "chain":
        yield from _chain_beyond_steel(item, ctx)
        return
    for key, limit, borne, factor in _stated_limits(item):
        most = _most_of_link(item, factor)
        if borne > most:
            yield item.finding(
                "{part} is listed at {found}, which puts {borne} on it; its two bars can hold"
                " {limit} at most with a design factor of {factor}",
                key=key,
                found=limit,
                limit=Load(most),
                borne=Load(borne),
                factor=factor,
                remedy=MISPRINT,
            )


def _chain_beyond_steel(item: Item, ctx: Context) -> Iterator[Finding]:
    limit, factor = item.working_load_limit, item.design_factor
    most = most_by_steel(nominal_mm(item, ctx), item.grade, factor)
    if limit > most:
        yield item.finding(
            "{part} is listed at {found}; {size} chain of grade {grade} can hold {limit} at most"
            " with a design factor of {factor}",
            key=("working_load_limit",),
            found=limit,
            limit=Load(most),
            size=item.size,
            grade=grade_name(item.catalog, item.grade),
            factor=factor,
            remedy=MISPRINT,
        )


Limit = tuple[tuple[str | int, ...], Load, float, float]


def _stated_limits(item: Item) -> Iterator[Limit]:
    """Each limit of a link: its key, the limit, what the link bears of it, its design factor."""
    gathers_all = item.kind != "intermediate-link"
    own = item.get("working_load_limit")
    if own is not None:
        use = item.get("limit_for")
        legs = use.legs if use is not None and use.legs is not None else 1
        yield (
            ("working_load_limit",),
            own,
            borne_by_link(own, legs, gathers_all),
            item.design_factor,
        )
    for n, row in enumerate(item.chart):
        factor = row.design_factor if row.design_factor is not None else item.design_factor
        borne = borne_by_link(row.limit, max(row.legs), gathers_all)
        yield ("chart", n, "limit"), row.limit, borne, factor


def _most_of_link(item: Item, factor: float) -> float:
    """What a link's two bars hold; of an assembly, the thickest of its links."""
    if item.kind != "link-assembly":
        return most_by_steel(item.bar, item.grade, factor)
    known = items_by_name(item.catalog)
    links = [known.get(link.item) for link in item.get("links")]
    if not links or None in links:
        raise Unstated(
            "links", item.id, item.id, f"/item/{item.index}/links", f"a link of {item.id} is"
            " no item of its catalog"
        )  # fmt: skip
    return max(most_by_steel(link.bar, link.grade, factor) for link in links if link)


@lru_cache(maxsize=4)
def items_by_name(catalog: Catalog) -> dict[str, Item]:
    return {name: item for item in catalog.items for name in (item.id, f"{catalog.id}:{item.id}")}


def published_single(item: Item) -> Load | None:
    """The published limit of one straight leg of a chain; None where no table has it."""
    if item.kind != "chain" or item.get("steel") not in (None, "alloy"):
        return None
    table = rating_table(item.catalog.basis, item.grade)
    return table.single(item.size_mm) if table else None


@rule(
    "limit-beyond-published",
    about=Item,
    level="error",
    title="A chain's limit is above the published one for its size and grade",
    because="The published limit is what every tag, table and inspector goes by; a chain listed"
    " above it will be loaded above it.",
    sources=[
        "OSHA, Guidance on Safe Sling Use, Tables 1 and 2 (US)",
        "EN 818-4:1996+A1:2008, Table 3, as printed in DGUV 209-021 (EN)",
        "house default: 2 % for rounding",
    ],
    when=lambda item: published_single(item) is not None,
    fails="""
        base = "single"
        [[item]]
        id = "chain"
        working_load_limit = "9,200 lb"
        design_factor = 3.5
    """,
)
def limit_beyond_published(item: Item, ctx: Context) -> Iterator[Finding]:
    table = rating_table(item.catalog.basis, item.grade)
    published = published_single(item)
    assert table is not None
    assert published is not None
    if item.working_load_limit > published * PUBLISHED_SLACK:
        yield item.finding(
            "{part} is listed at {found}; {size} chain of grade {grade} is published at {limit}",
            key=("working_load_limit",),
            found=item.working_load_limit,
            limit=published,
            size=item.size,
            grade=grade_name(item.catalog, item.grade),
            sources=[table.table.source],
            remedy="Read the maker's sheet again; rate it at {limit} until that is settled.",
        )


def has_chart_or_chains(catalog: Catalog) -> bool:
    return sum(bool(item.chart) * 2 + (item.kind == "chain") for item in catalog.items) > 1


@rule(
    "chart-not-monotonic",
    about=Catalog,
    level="error",
    title="A chart contradicts itself",
    because="A larger chain, more legs, a higher grade or steeper legs never carry less. Where a"
    " chart says so, or gives one use two limits, one of its figures is a misprint.",
    sources=["common practice", "statics of a symmetric lift"],
    when=has_chart_or_chains,
    fails="""
        base = "single"
        [[item]]
        id = "master"
        chart = [
          { leg = "chain", grade = 100, size = "3/8 in", legs = 2, limit = "15,200 lb" },
          { leg = "chain", grade = 100, size = "1/2 in", legs = 2, limit = "6,200 lb" },
        ]
    """,
)
def chart_not_monotonic(catalog: Catalog, ctx: Context) -> Iterator[Finding]:
    gap: Unstated | None = None
    for item in catalog.items:
        rows = item.chart
        if len(rows) > MOST_USES:
            gap = gap or _too_many(item.id, "chart", len(rows))
            continue
        uses = [use_of(row, item) for row in rows]
        for fault, against in contradictions(uses):
            yield _row_finding(item, uses, fault, against)
    chains, missing = _chains(catalog)
    # two series of one size and grade may differ
    for fault, against in contradictions([use for _, use in chains], repeats=False):
        yield _chain_finding(chains[fault], chains[against])
    if gap or missing:
        raise (gap or missing)  # type: ignore[misc]


def _too_many(of: str, datum: str, count: int) -> Unstated:
    return Unstated(datum, of, why=f"{of} lists {count} uses; up to {MOST_USES} are compared")


def use_of(row: ChartRow, item: Item) -> Use:
    """A chart row as a use; a size that is no length is compared only with its own name."""
    mm = chain_size(row.size)
    factor = row.design_factor if row.design_factor is not None else item.get("design_factor")
    by_name = row.size if mm is None else None
    angle = 60.0 if item.catalog.basis == "US" else 45.0
    if row.angle is not None:
        angle = row.angle.horizontal
    return Use(
        family=(row.leg, factor, row.grade is None, by_name),
        size_mm=mm or 0.0,
        grade=row.grade or 0,
        legs=row.legs,
        from_horizontal_deg=90.0 if max(row.legs) == 1 else angle,
        limit=float(row.limit),
    )


def in_words(row: ChartRow, use: Use, catalog: Catalog) -> str:
    """A use as a rigger says it: 2 legs of 3/8 in grade 100 at 60 deg."""
    legs = " or ".join(map(str, row.legs))
    text = f"one leg of {row.size}" if legs == "1" else f"{legs} legs of {row.size}"
    if row.grade is not None:
        text += f" grade {grade_name(catalog, row.grade)}"
    if max(row.legs) == 1:
        return text
    angle = use.from_horizontal_deg if catalog.basis == "US" else 90 - use.from_horizontal_deg
    return f"{text} at {angle:g} deg"


def _row_finding(item: Item, uses: list[Use], fault: int, against: int) -> Finding:
    rows = item.chart
    found, limit = rows[fault].limit, rows[against].limit
    said = [in_words(rows[n], uses[n], item.catalog) for n in (fault, against)]
    if uses[fault].same_as(uses[against]):
        message = "The chart of {part} gives {found} for {use} and {limit} for {other}"
    elif found < limit:
        message = (
            "The chart of {part} gives {found} for {use}, less than the {limit} for {other},"
            " which cannot carry more"
        )
    else:
        message = (
            "The chart of {part} gives {found} for {use}, more than the {limit} for {other},"
            " which cannot carry less"
        )
    return item.finding(
        message,
        key=("chart", fault, "limit"),
        found=found,
        limit=limit,
        use=said[0],
        other=said[1],
        remedy="Read the maker's chart again at these two rows.",
    )


def _chains(catalog: Catalog) -> tuple[list[tuple[Item, Use]], Unstated | None]:
    """The chains of a catalog as uses, and the first datum that one of them leaves out."""
    found: list[tuple[Item, Use]] = []
    gap: Unstated | None = None
    for item in catalog.items:
        if item.kind != "chain":
            continue
        family = (item.get("steel"), item.get("design_factor"))
        try:
            limit = float(item.working_load_limit)
            found.append((item, Use(family, item.size_mm, item.grade, (1,), 90.0, limit)))
        except Unstated as missing:
            gap = gap or missing
    if len(found) > MOST_USES:
        return [], _too_many(catalog.id, "item", len(found))
    return found, gap


def _chain_finding(fault: tuple[Item, Use], against: tuple[Item, Use]) -> Finding:
    item, other = fault[0], against[0]
    less = fault[1].limit < against[1].limit
    return item.finding(
        "{part}, {size} of grade {grade}, is listed at {found}, {way} than {other}, {other_size} of"
        " grade {other_grade}, at {limit}",
        key=("working_load_limit",),
        found=item.working_load_limit,
        limit=other.working_load_limit,
        size=item.size,
        grade=grade_name(item.catalog, item.grade),
        way="less" if less else "more",
        other=other,
        other_size=other.size,
        other_grade=grade_name(item.catalog, other.grade),
        remedy="Read the maker's sheet again at these two chains.",
    )


def has_dimensions(item: Item) -> bool:
    if item.kind == "chain":
        return item.grade >= LIFTING_FROM_GRADE[item.catalog.basis]
    return item.kind in LINK_KINDS


@rule(
    "dimension-implausible",
    about=Item,
    level="warning",
    title="No chain of that size, and no link, has such dimensions",
    because="A misprinted pitch makes every reach wrong, a misprinted width or bar every fit.",
    sources=[
        "EN 818-3, Table 2 (second-hand; EN 818-2 has the same proportions from memory)",
        "proportions of US lifting chain, from memory",
        "geometry: a link's bar goes through another such link",
    ],
    when=has_dimensions,
    fails="""
        base = "single"
        [[item]]
        id = "chain"
        pitch = "1.81 in"
    """,
)
def dimension_implausible(item: Item, ctx: Context) -> Iterator[Finding]:
    if item.kind == "chain":
        yield from _implausible_chain(item, ctx)
        return
    ring, flat = item.get("shape") == "ring", item.get("flat")
    against = {"bar": "inside_width", "inside_length": "inside_width", "flat": "bar"}
    for datum, found, other in link_faults(
        item.bar, item.inside_width, item.inside_length, flat_mm=flat, ring=ring
    ):
        yield item.finding(
            "{part} cannot be a link: its {datum} is {found}, its {other} {limit}",
            key=(datum,),
            found=Length(found, getattr(item.get(datum), "text", None)),
            limit=Length(other, getattr(item.get(against[datum]), "text", None)),
            datum=_words(datum),
            other=_words(against[datum]),
            remedy="Read the maker's sheet again, or measure one.",
        )


def _words(datum: str) -> str:
    return datum.replace("_", " ")


def _implausible_chain(item: Item, ctx: Context) -> Iterator[Finding]:
    gap: Unstated | None = None
    for datum, span in chain_spans(item.catalog.basis, nominal_mm(item, ctx)).items():
        try:
            value: Length = getattr(item, datum)
        except Unstated as missing:
            gap = gap or missing
            continue
        if not span.holds(value):
            yield item.finding(
                "No {size} chain has {a} {datum} of {found}, as the sheet of {part} says: it lies"
                " between {least} and {most}",
                key=(datum,),
                found=value,
                limit=Length(span.least if value < span.least else span.most),
                size=item.size,
                a="an" if datum[0] == "i" else "a",
                datum=_words(datum),
                least=Length(span.least),
                most=Length(span.most),
                sources=[span.source],
                remedy="Read the maker's sheet again, or measure the chain over ten links.",
            )
    if gap is not None:
        raise gap


def has_en_color(item: Item) -> bool:
    textile = item.kind in ("web", "roundsling")
    return textile and item.catalog.basis == "EN" and item.get("color") is not None


@rule(
    "color-contradicts-limit",
    about=Item,
    level="warning",
    title="A sling's color stands for another limit than its sheet states",
    because="Riggers read a European web or roundsling by its color from across the yard, and load"
    " it to what the color stands for.",
    sources=["EN 1492-1 and EN 1492-2 (second-hand, two sources)"],
    when=has_en_color,
    fails="""
        base = "web"
        [catalog]
        basis = "EN"
        [[item]]
        id = "web"
        color = "red"
    """,
    repaired="""
        base = "web"
        [catalog]
        basis = "EN"
        [[item]]
        id = "web"
        color = "green"
    """,
)
def color_contradicts_limit(item: Item, ctx: Context) -> Iterator[Finding]:
    color = item.get("color")
    try:
        limit = color_limit(color)
    except LookupError:
        # A maker's own color, as for a limit between those of the standard, stands for no other
        # limit, so that it contradicts none.
        return
    if not color_agrees(color, item.working_load_limit):
        yield item.finding(
            "{part} is {color}, the color of {limit}{more}, and is listed at {found}",
            key=("color",),
            found=item.working_load_limit,
            limit=limit,
            color=color,
            more=" or more" if color_is_least(color) else "",
            remedy="Read the maker's sheet again at color and limit. If the sling itself is so,"
            " rate it at the lower of the two until the maker has answered.",
        )
