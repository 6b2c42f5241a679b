"""Design factors: the reserve that each part is rated with."""

from collections.abc import Iterator

from riglint import Context, Finding, Part, rule
from riglint.figures.hardware import shackle_design_factor
from riglint.figures.rope import rope_design_factor
from riglint.figures.textile import textile_design_factor
from riglint.model import LEG_KINDS, TEXTILE_KINDS
from riglint.tables import Sourced

MACHINES = "2006/42/EC, Annex I (chain 4, rope 5, textile 7, metal parts 4; second-hand)"


ALLOY_CHAIN = "OSHA letter of 11 April 1988 (alloy chain: a quarter of the breaking force)"


CHAIN_DESIGN_FACTOR = {
    "US": Sourced(4.0, ALLOY_CHAIN, "retrieved"),
    "EN": Sourced(4.0, MACHINES, "second-hand"),
}


METAL_DESIGN_FACTOR = Sourced(4.0, MACHINES, "second-hand")


@rule(
    "design-factor-short",
    about=Part,
    level="error",
    title="A part is rated with less reserve than the sling family asks for",
    because="A limit with a smaller design factor looks larger than it is beside the others.",
    sources=[
        ALLOY_CHAIN,
        "DOE-STD-1090-96, 11.3.1.3 and 11.3.5 (rope and synthetic 5)",
        MACHINES,
        "ASME B30.26-2010, 26-1.2 (shackles 5 up to 150 short tons, 4 above; second-hand)",
        "DGUV 215-313, Table 1 (EN shackles 5)",
    ],
    fails="""
        base = "pair"
        [[item]]
        id = "coupling"
        design_factor = 3.0
    """,
)
def design_factor_short(part: Part, ctx: Context) -> Iterator[Finding]:
    if part.kind == "spreader":
        return  # made to a standard of its own
    rated = not ctx.figures.allowance(part).unrated
    if not rated and part.kind == "eye":
        return  # an eye is rated by its rope
    kind = ctx.figures.use_of(part).kind
    factor = ctx.figures.design_factor(part) if rated else factor_of_unrated(part, kind, ctx)
    least = factor_asked(part, kind)
    if factor < least and not (rated and holds_as_much(part, kind, factor / least, ctx)):
        sourced = part.kind in LEG_KINDS | {"eye", "shackle"} or kind == "chain"
        yield part.finding(
            "{part} {has} a design factor of {found}; {kind} ask for {limit}",
            level="error" if sourced else "warning",
            found=factor,
            limit=float(least),
            sources=[least.source],
            has="is rated with" if rated else "has no rating for this use, and",
            kind="shackles" if part.kind == "shackle" else f"{kind.replace('-', ' ')} slings",
            remedy="Use the limit that {item} has at a design factor of {limit}, or another part.",
            item=part.item.id,
        )


def holds_as_much(part: Part, kind: str, share: float, ctx: Context) -> bool:
    """Whether a fitting in a leg that is no chain breaks no sooner than the leg.

    DOE-STD-1090-96, 11.3.5.c asks no more of the fittings of a synthetic sling, and 11.3.1.3 has
    no figure for the hooks and links of rope slings.
    """
    if part.leg is None or kind == "chain" or part.kind in LEG_KINDS | {"eye", "shackle"}:
        return False
    own, legs = (ctx.figures.allowance(one).tension for one in (part, part.leg.rope))
    return own is not None and legs is not None and own * share >= legs


def factor_of_unrated(part: Part, kind: str, ctx: Context) -> float:
    """The factor that the sheet of a part without a rating states.

    Raises Unstated where it states none, or one that a chart for other legs was made with: what
    lacks is the rating then, and unrated-component says so.
    """
    for_other_legs = part.chart and all(row.leg != kind for row in part.chart)
    factor = part.get("design_factor")
    if factor is None or for_other_legs or part.kind == "shackle":
        raise ctx.figures.unrated(part)
    return float(factor)


def factor_asked(part: Part, kind: str) -> Sourced:
    """The design factor that a sling of a kind of leg asks of one of its parts."""
    basis = part.sling.basis
    if part.kind == "shackle":
        return shackle_design_factor(part.working_load_limit, basis)
    if basis == "EN" and part.kind not in LEG_KINDS | {"eye"}:
        return METAL_DESIGN_FACTOR
    if kind == "chain":
        return CHAIN_DESIGN_FACTOR[basis]
    return textile_design_factor(basis) if kind in TEXTILE_KINDS else rope_design_factor(basis)
