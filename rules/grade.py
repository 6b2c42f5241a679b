"""Steel and grade: a sling is one grade from top to bottom."""

from collections.abc import Iterator

from riglint import Context, Finding, Part, rule

ALLOY_FROM_GRADE = 80  # ASTM A391-21 and A973-21: grade 80 and 100 chain is alloy steel


def in_chain_sling(part: Part) -> bool:
    return part.sling.is_chain_sling


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
    when=in_chain_sling,
    fails="""
        base = "pair"
        [[item]]
        id = "hook"
        grade = 80
    """,
)
def grade_mismatch(part: Part, ctx: Context) -> Iterator[Finding]:
    chain = part.sling.chain
    if part.grade < chain.grade:
        yield part.finding(
            "{part} is grade {found}; the chain is grade {limit}. The sling is no better than"
            " grade {found}",
            found=part.grade,
            limit=chain.grade,
            remedy="Fit a {kind} of grade {limit}, or build and tag the sling as grade {found}.",
            kind=part.kind,
        )
    elif part.grade > chain.grade and chain.grade not in {row.grade for row in part.chart}:
        yield part.finding(
            "{part} is grade {found}, higher than the grade {limit} chain: the tag and the next"
            " repair may take the sling for grade {found}",
            level="note",
            found=part.grade,
            limit=chain.grade,
            remedy="Fit a {kind} of grade {limit}, or file a sheet that lists it for grade {limit}"
            " chain.",
            kind=part.kind,
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
            grade=grade,
            remedy="Fit an alloy {kind} of grade {grade}.",
            kind=part.kind,
        )
