"""Proof: what the test ordered pulls on each part."""

from collections.abc import Iterator

from attrs import frozen

from riglint import Context, Finding, Load, Record, Sling, Unstated, rule
from riglint.calculation import ProofPull

PLACES = ("leg", "intermediate", "master")
SLACK = 1.0005  # house default: rounding of a written load
SOURCES = [
    "ASME B30.9-2010, 9-1.6.2 (second-hand)",
    "ASTM A906/A906M-02(2010), 7.1.2 and 7.1.3 (second-hand)",
    "EN 818-4:1996+A1:2008, 6 (second-hand)",
    "DOE-STD-1090-96, 11.3.5.2 (US web and roundslings)",
    "WAC 296-24-29425 and Cal. T8 s.5045 (US wire rope with welded end fittings)",
]


@frozen
class ProofSettings:
    """How far above the multiple asked for a proof load of chain may lie, as a share."""

    over: float = 0.1


def has_proof(sling: Sling) -> bool:
    return sling.build.proof is not None


def ordered(sling: Sling) -> Iterator[tuple[str, str, Load]]:
    """The proof loads ordered: the place, its key and the load."""
    proof = sling.build.proof
    assert proof is not None
    for place in PLACES:
        load = getattr(proof, f"{place}_load")
        if load is not None:
            yield place, f"{place}_load", load


@rule(
    "proof-load-short",
    about=Sling,
    level="error",
    title="The proof load ordered is under what its place asks for",
    because="A proof test that pulls too little proves nothing of what the sling will carry.",
    sources=SOURCES,
    when=has_proof,
    fails="""
        base = "quad"
        [proof]
        leg_load = "17,600 lb"
        intermediate_load = "35,200 lb"
        master_load = "45,000 lb"
    """,
    repaired="""
        base = "quad"
        [proof]
        leg_load = "17,600 lb"
        intermediate_load = "35,200 lb"
        master_load = "52,800 lb"
    """,
)
def proof_load_short(sling: Sling, ctx: Context) -> Iterator[Finding]:
    plan, unknown = ctx.figures.proof_plan(), None
    for place, key, load in ordered(sling):
        pull = plan.get(place)
        if pull is None and not ctx.figures.has_place(place):
            yield sling.finding(
                "A proof load of {found} is ordered for the {place}, and the sling has none",
                key=("", "proof", key),
                found=load,
                place=_part(place),
                remedy="Leave it out, or build the sling that it was meant for.",
            )
        elif pull is None:
            unknown = unknown or ctx.figures.proof_unknown(place)
        elif load * SLACK < pull.load and pull.gap is not None:
            unknown = unknown or pull.gap
        elif load * SLACK < pull.load:
            yield sling.finding(
                "The {place} is to be proof tested at {found}; {limit} is asked for, {multiple}"
                " times the {single} that {of} may carry",
                key=("", "proof", key),
                found=load,
                limit=pull.load,
                place=_part(place),
                multiple=pull.multiple,
                single=pull.limit,
                of=pull.of,
                sources=[pull.source],
                remedy="Order {limit}.",
            )
    if unknown is not None:
        raise unknown


@rule(
    "proof-load-excess",
    about=Sling,
    level="error",
    title="The proof load ordered is beyond what a part may be tested to",
    because="A proof test that pulls too hard stretches sound steel, and the damage does not show.",
    sources=[
        "ASME B30.26-2010, 26-1.4.2 (shackles 2.0 to 2.2 times; second-hand)",
        "DOE-STD-1090-96, 15.4.7.3 (chain +0 / -5 %)",
        "house default: chain a tenth above the multiple asked for",
    ],
    when=has_proof,
    settings=ProofSettings,
    fails="""
        base = "quad"
        [proof]
        leg_load = "22,000 lb"
    """,
    repaired="""
        base = "quad"
        [proof]
        leg_load = "17,600 lb"
    """,
)
def proof_load_excess(sling: Sling, ctx: Context) -> Iterator[Finding]:
    plan, unknown = ctx.figures.proof_plan(), None
    for place, key, load in ordered(sling):
        if place not in plan or not sling.is_chain_sling:
            unknown = unknown or _beyond_what_is_known(place, load, sling, ctx)
            continue
        pull = ctx.figures.proof_ceiling(place)
        most = pull.load * (1 + ctx.settings.over)
        if load > most * SLACK:
            yield sling.finding(
                "The {place} is to be proof tested at {found}, and may be at {limit} at most,"
                " {multiple} times the {single} that {of} may carry and {over} % more",
                key=("", "proof", key),
                found=load,
                limit=Load(most),
                place=_part(place),
                multiple=pull.multiple,
                single=pull.limit,
                of=pull.of,
                over=100 * ctx.settings.over,
                remedy="Order {asked}, or fit a part as strong as the chain in place of {by}."
                if pull.by
                else "Order {asked}.",
                asked=plan[place].load,
                by=pull.by,
            )
    if unknown is not None:
        raise unknown


def _beyond_what_is_known(place: str, load: Load, sling: Sling, ctx: Context) -> Unstated | None:
    """What no source says of a place: how far above the multiple asked for it may be tested.

    The tenth above is a house default for chain: a rope's splices and a web's stitches do not
    stretch as steel does, and what is asked for is not beyond what they may be tested to.
    """
    pull: ProofPull | None = ctx.figures.proof_plan().get(place)
    if pull is None:
        unknown: Unstated | None = ctx.figures.proof_unknown(place)
        return unknown
    if load <= pull.load * SLACK:
        return None
    asked = sling.units.show(pull.load)
    why = f"no source at hand says how far above {asked} the {_part(place)} may be tested"
    return Unstated("proof loads", why=f"{why}; order {asked}, or ask the maker")


@rule(
    "certificate-proof-short",
    about=Record,
    level="error",
    title="The certificate shows a lower proof load than the sling's place asks for",
    because="The certificate is what the inspector trusts; a sling that was pulled too little was"
    " not tested.",
    sources=SOURCES,
    when=lambda record: record.content.record.certificate is not None,
    fails="""
        base = "single"
        [record]
        build = "single"
        serial = "NR-1"
        certificate = { number = "C-1", on = 2026-03-02, proof_leg_load = "5,000 lb" }
    """,
    repaired="""
        base = "single"
        [record]
        build = "single"
        serial = "NR-1"
        certificate = { number = "C-1", on = 2026-03-02, proof_leg_load = "17,600 lb" }
    """,
)
def certificate_proof_short(record: Record, ctx: Context) -> Iterator[Finding]:
    certificate = record.content.record.certificate
    assert certificate is not None
    pulled = {place: getattr(certificate, f"proof_{place}_load") for place in PLACES}
    if record.build is None or ctx.figures is None:
        if not any(pulled.values()):
            return
        raise Unstated("build", record.path, why="the build of the record was not found")
    if not any(pulled.values()):
        _ask_for_welded_ends(record, ctx)
        return
    plan, unknown = ctx.figures.proof_plan(), None
    for place, load in pulled.items():
        pull = plan.get(place)
        if load is None or (pull is not None and load * SLACK >= pull.load):
            continue
        if pull is None:
            unknown = unknown or ctx.figures.proof_unknown(place)
        elif pull.gap is not None:
            unknown = unknown or pull.gap
        else:
            yield record.finding(
                "The {place} was proof tested at {found}; {limit} is asked for, {multiple} times"
                " the {single} that {of} may carry",
                key=("certificate", f"proof_{place}_load"),
                found=load,
                limit=pull.load,
                place=_part(place),
                multiple=pull.multiple,
                single=pull.limit,
                of=pull.of,
                sources=[pull.source],
                remedy="Have the sling proof tested at {limit} before it is used.",
            )
    if unknown is not None:
        raise unknown


def _ask_for_welded_ends(record: Record, ctx: Context) -> None:
    """Raise Unstated where no proof load is certified of a US rope with a welded end fitting."""
    sling = ctx.figures.sling
    if sling.basis != "US" or sling.family != "rope":
        return
    leg = ctx.figures.proof_plan().get("leg")
    if leg is not None and leg.gap is None:
        why = (
            f"the certificate shows no proof load; a welded end fitting asks for one ({leg.source})"
        )
        raise Unstated("proof_leg_load", record.path, why=why)


def _part(place: str) -> str:
    return place if place == "leg" else f"{place} link"
