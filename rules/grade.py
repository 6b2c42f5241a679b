"""Steel and grade: a sling is one grade from top to bottom."""

from collections.abc import Iterator

from riglint import Context, Finding, Part, rule
from riglint.model import HOOK_KINDS, ROPE_KINDS, TEXTILE_KINDS

ALLOY_FROM_GRADE = 80  # ASTM A391-21 and A973-21: grade 80 and 100 chain is alloy steel
NOT_FOR_LIFTING = (30, 43, 70)  # common practice; EN 818-5 lifts grade 40, stainless 50 and 60
OF_NO_GRADE = {"spreader", "eyebolt", "hoist-ring", "eye"} | ROPE_KINDS | TEXTILE_KINDS
CHAIN_FITTINGS = HOOK_KINDS | {"coupling-link", "shortener"}


def in_chain_sling(part: Part) -> bool:
    """Part of a chain sling; spreaders and the load's own eyebolts are of no chain grade."""
    return part.sling.is_chain_sling and part.kind not in OF_NO_GRADE


def beside_lifting_chain(part: Part) -> bool:
    """Part of a chain sling whose chain lifts; the rest is chain-not-for-lifting's matter."""
    if not in_chain_sling(part):
        return False
    return all(leg.chain.get("grade") not in NOT_FOR_LIFTING for leg in part.sling.legs)


@rule(
    "grade-mismatch",
    about=Part,
    level="error",
    title="A part is of another grade than the chain",
    because="A sling is only as strong as its weakest steel, and its tag names one grade.",
    sources=[
        "ASTM A906/A906M-02(2010), 4.1 (second-hand)",
        "ASME B30.9-2010, 9-1.5.7 (second-hand)",
    ],
    when=beside_lifting_chain,
    fails="""
        base = "pair"
        [[item]]
        id = "hook"
        grade = 80
    """,
)
def grade_mismatch(part: Part, ctx: Context) -> Iterator[Finding]:
    chain = part.sling.chain
    names = {
        "own": part.sling.grade_name(part.grade),
        "chain": part.sling.grade_name(chain.grade),
        "kind": part.a_kind,
    }
    if part.grade < chain.grade:
        yield part.finding(
            "{part} is grade {own}; the chain is grade {chain}. The sling is no better than grade"
            " {own}",
            found=part.grade,
            limit=chain.grade,
            remedy="Fit {kind} of grade {chain}, or build and tag the sling as grade {own}.",
            **names,
        )
    elif part.grade > chain.grade and chain.grade not in {row.grade for row in part.chart}:
        yield part.finding(
            "{part} is grade {own}, higher than the grade {chain} chain: the tag and the next"
            " repair may take the sling for grade {own}",
            level="note",
            found=part.grade,
            limit=chain.grade,
            remedy="Fit {kind} of grade {chain}, or file a sheet that lists it for that chain.",
            **names,
        )


@rule(
    "steel-not-alloy",
    about=Part,
    level="error",
    title="A carbon or stainless part in an alloy chain sling",
    because="Alloy chain slings take alloy fittings: other steel of that size holds far less and"
    " does not bear the heat treatment and wear of grade 80 and higher.",
    sources=["ASTM A906/A906M-02(2010), 4.1 (second-hand)", "29 CFR 1910.184(e)(2)(i)"],
    when=in_chain_sling,
    fails="""
        base = "pair"
        [[item]]
        id = "coupling"
        steel = "carbon"
    """,
)
def steel_not_alloy(part: Part, ctx: Context) -> Iterator[Finding]:
    grade = part.sling.chain.grade
    if grade >= ALLOY_FROM_GRADE and part.steel != "alloy":
        yield part.finding(
            "{part} is of {found} steel in a sling of grade {grade} chain, which takes alloy"
            " fittings",
            found=part.steel,
            limit="alloy",
            grade=part.sling.grade_name(grade),
            remedy="Fit {kind} of alloy steel, grade {grade}.",
            kind=part.a_kind,
        )


@rule(
    "grade-unknown",
    about=Part,
    level="warning",
    title="A part's sheet states neither steel nor grade",
    because="Nobody can say that an unknown steel belongs in the sling; it may be a hardware-store"
    " part that looks the same.",
    sources=["ASTM A906/A906M-02(2010), 4.1 (second-hand)", "common practice"],
    when=in_chain_sling,
    judges_absence=True,
    fails="""
        base = "pair"
        without = ["/item/coupling/grade", "/item/coupling/steel"]
    """,
)
def grade_unknown(part: Part, ctx: Context) -> Iterator[Finding]:
    if part.get("grade") is None and part.get("steel") is None:
        yield part.finding(
            "{part} is of unknown steel: the sheet of {item} states neither steel nor grade",
            item=part.item.id,
            remedy="File the maker's sheet for {item} with steel and grade, or fit a marked part.",
        )


@rule(
    "size-mismatch",
    about=Part,
    level="error",
    title="A chain fitting is made for another size of chain",
    because="A fitting of another size does not seat the chain's link, or does not hold what the"
    " chain holds.",
    sources=["ASME B30.9-2010, 9-1.5.7 (second-hand)", "common practice"],
    when=lambda part: in_chain_sling(part) and part.kind in CHAIN_FITTINGS,
    fails="""
        base = "pair"
        [[item]]
        id = "hook"
        size = "5/16 in"
    """,
)
def size_mismatch(part: Part, ctx: Context) -> Iterator[Finding]:
    assert part.leg is not None
    chain = part.leg.chain
    if part.size_mm != chain.size_mm:
        yield part.finding(
            "{part} is made for {found} chain; the leg's chain is {limit}",
            found=part.size,
            limit=chain.size,
            remedy="Fit {kind} for {limit} chain.",
            kind=part.a_kind,
        )


@rule(
    "chain-not-for-lifting",
    about=Part,
    level="error",
    title="The chain is of a grade that is not made for lifting",
    because="Grade 30, 43 and 70 chain is for binding and towing: it stretches little before it"
    " breaks and is not tested for lifting.",
    sources=["29 CFR 1910.184(e)(1): alloy steel chain slings", "common practice"],
    when=lambda part: part.kind == "chain",
    waivable=False,
    fails="""
        base = "single"
        [[item]]
        id = "chain"
        grade = 70
        steel = "carbon"
    """,
)
def chain_not_for_lifting(part: Part, ctx: Context) -> Iterator[Finding]:
    if part.grade in NOT_FOR_LIFTING:
        yield part.finding(
            "{part} is grade {found} chain, which is not made for lifting",
            found=part.grade,
            remedy="Build it of alloy lifting chain, grade 80 or higher.",
        )
