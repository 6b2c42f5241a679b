"""Removal: what an inspection measured and saw that takes a part out of service."""

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from attrs import frozen

from riglint import (
    Context,
    Finding,
    Key,
    Length,
    Measurement,
    Part,
    Record,
    Unstated,
    rule,
)
from riglint.figures.removal import (
    BarLimits,
    BrokenWhere,
    Limit,
    StretchBy,
    ThroatBy,
    TwistBy,
    bar_limits,
    broken_wires_limit,
    longest,
    most_twist,
    outer_wire_least,
    widest_throat,
)
from riglint.model import HOOK_KINDS, BrokenWires, Measured

WAC = "WAC 296-155-55800, Table 12"
DOE_HOOKS = "DOE-STD-1090-96, 15.4.6"
DGUV = "DGUV 209-021, citing DIN 685:2020-08"
QUEENSLAND = "Queensland, Guide for Doggers PN10123 (2010)"
ROPE_REMOVAL = "WAC 296-24-29425(5); DOE-STD-1090-96, 15.4.6.1"
A_PERSON_DECIDES = "a qualified person decides"
TAKE_OUT = "Take {part} out of service and replace it."

DAMAGE = {
    "arc strike", "bend", "birdcage", "burn", "corrosion", "crack", "crush", "cut", "gouge",
    "heat", "kink", "melt", "nick", "pitting", "weld spatter",
}  # fmt: skip
NO_DAMAGE = {"", "none"}
COUNTED: dict[str, BrokenWhere] = {
    "in_one_lay": "in one lay",
    "in_one_strand": "in one strand of one lay",
}


@frozen
class StretchedSettings:
    """Which source limits the stretch of US chain: cargo-chain (29 CFR 1919.25, 5 %), course (a
    training note, 3 %) or queensland (10 %)."""

    us: StretchBy = "cargo-chain"


@frozen
class ThroatSettings:
    """Which source limits the throat: 5-percent (at most 1/4 in; WAC) or 15-percent (DOE)."""

    by: ThroatBy = "5-percent"


@frozen
class TwistSettings:
    """Which source limits the twist of a hook: any visible one (WAC) or 10-deg (DOE)."""

    by: TwistBy = "any"


Looked = tuple[int, int, Measured]  # the places of an inspection and of what it measured in it


@lru_cache(maxsize=4)
def by_part(record: Record) -> dict[str, list[Looked]]:
    """What was measured of each part, the newest inspection first."""
    found: dict[str, list[Looked]] = {}
    for index, inspection in record.inspections:
        for place, measured in enumerate(inspection.measured):
            found.setdefault(measured.part, []).append((index, place, measured))
    return found


def readings(measurement: Measurement, name: str) -> list[tuple[Any, Key]]:
    """Every reading of a dimension by the newest inspection that took one, each with its place.

    A later look at the part that did not measure the dimension does not undo the reading.
    """
    taken: list[tuple[Any, Key]] = []
    newest = None
    for index, place, measured in by_part(measurement.record)[measurement.path]:
        value = getattr(measured, name)
        if value is None or (newest is not None and index != newest):
            continue
        newest = index
        taken.append((value, ("", "inspection", index, "measured", place, name)))
    return taken


def damage_seen(measurement: Measurement) -> list[tuple[list[str], Key]]:
    """The damage that the newest look at the part found, with its places."""
    looks = by_part(measurement.record)[measurement.path]
    newest = looks[0][0]
    return [
        (list(measured.damage), ("", "inspection", index, "measured", place, "damage"))
        for index, place, measured in looks
        if index == newest and measured.damage
    ]


def past(limit: Limit) -> str:
    return "from" if limit.at_limit else "above"


@rule(
    "worn-out",
    about=Measurement,
    level="error",
    title="A section is worn past its limit",
    because="A worn section carries less than the tag says, and goes on wearing faster.",
    sources=[
        "29 CFR 1910.184, Table N-184-1, as printed in Mich. Adm. Code R 408.14923 (US chain)",
        f"{DGUV} (EN: the mean diameter under 90 %)",
        "ASME B30.26-2004, 26-4.8.4 (US links and hardware: 10 % at any point; second-hand)",
        "WAC 296-155-33900, Table 19 (US shackles: 10 %)",
        f"{WAC} (US hooks: more than 10 %)",
        f"{QUEENSLAND} (EN hooks: 10 %)",
    ],
    when=lambda m: bool(readings(m, "bar")),
    waivable=False,
    fails="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        bar = ["0.29 in", "0.30 in"]
    """,
    repaired="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        bar = ["0.38 in", "0.39 in"]
    """,
)
def worn_out(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    part, basis = measurement.part, measurement.sling.basis
    undecided = ""
    for bars, key in readings(measurement, "bar"):
        limits = wear_limits(part, basis)
        found, removed = thickness(bars, basis, part.kind), limits.removed
        if removed is not None and removed.undercut_by(found):
            yield measurement.finding(
                "{part}, {size} thick when new, is worn to {found}; out of service {past} {limit}"
                " ({source})",
                key=key,
                found=found,
                limit=removed.value,
                size=part.size if part.kind == "chain" else part.bar,
                past="at" if removed.at_limit else "below",
                source=removed.source,
                sources=[removed.source],
                remedy=TAKE_OUT,
            )
        elif limits.kept.undercut_by(found):
            undecided = _undecided(measurement, limits)
    if undecided:
        raise Unstated("least thickness", part.path, why=undecided)


def wear_limits(part: Part, basis: str) -> BarLimits:
    """How far a part may wear; raises Unstated where its size or every source is silent."""
    try:
        return bar_limits(part.kind, basis, part.size_mm if part.kind == "chain" else part.bar)
    except LookupError as error:
        raise Unstated("limit of wear", part.path, why=str(error)) from None


def thickness(readings: tuple[Length, ...], basis: str, kind: str) -> Length:
    """What a section measures: EN takes the mean of two at right angles, others the smallest."""
    smallest = sorted(readings)[:2]
    if basis == "EN" and kind not in HOOK_KINDS and len(smallest) > 1:
        return Length(sum(smallest) / len(smallest))
    return smallest[0]


def _undecided(measurement: Measurement, limits: BarLimits) -> str:
    show = measurement.record.units.show
    said = limits.remembered
    memory = f"; {said.source} has {show(said.value)}" if said else ""
    return (
        f"{measurement.path} is worn by more than 10 %, and no retrieved source gives the least"
        f" thickness between that and the table's{memory}: {A_PERSON_DECIDES}"
    )


@rule(
    "stretched",
    about=Measurement,
    level="error",
    title="A chain has stretched past its limit",
    because="Chain that is longer than it was has been overloaded, or worn where the links bear on"
    " each other; either way it is near its end.",
    sources=[
        "29 CFR 1919.25 (maritime cargo chain: more than 5 %)",
        f"{DGUV} (EN: 5 % or more)",
        "setting `us`: a note of the OSHA 600 course has 3 % (second-hand)",
        f"setting `us`: {QUEENSLAND} has 10 %",
    ],
    when=lambda m: bool(readings(m, "over_links")),
    settings=StretchedSettings,
    waivable=False,
    fails="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        over_links = { links = 10, length = "12.5 in" }
    """,
    repaired="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        over_links = { links = 10, length = "11.9 in" }
    """,
)
def stretched(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    part = measurement.part
    for over, key in readings(measurement, "over_links"):
        limit = longest(measurement.sling.basis, part.pitch, over.links, ctx.settings.us)
        if not limit.exceeded_by(over.length):
            continue
        yield measurement.finding(
            "{links} links of {part} measure {found}, new {new}; out of service {past} {limit}"
            " ({source})",
            key=(*key, "length"),
            found=over.length,
            limit=limit.value,
            links=over.links,
            new=Length(over.links * part.pitch),
            past=past(limit),
            source=limit.source,
            sources=[limit.source],
            remedy=TAKE_OUT,
        )


@rule(
    "throat-opened",
    about=Measurement,
    level="error",
    title="A hook's throat has opened past its limit",
    because="A hook opens when it is overloaded or loaded on its point, and then lets go.",
    sources=[
        f"{WAC} (5 %, at most 1/4 in)",
        "EM 385-1-1, 15.E.07 (5 %, at most 1/4 in; second-hand)",
        f"setting `by`: {DOE_HOOKS} has 15 %",
    ],
    when=lambda m: bool(readings(m, "throat")),
    settings=ThroatSettings,
    waivable=False,
    fails="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/hook"
        throat = "1.3 in"
    """,
    repaired="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/hook"
        throat = "1.22 in"
    """,
)
def throat_opened(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    new = measurement.part.throat
    limit = widest_throat(new, ctx.settings.by)
    for found, key in readings(measurement, "throat"):
        if not limit.exceeded_by(found):
            continue
        yield measurement.finding(
            "The throat of {part} has opened to {found}, new {new}; out of service {past} {limit}"
            " ({source})",
            key=key,
            found=found,
            limit=limit.value,
            new=new,
            past=past(limit),
            source=limit.source,
            sources=[limit.source],
            remedy=TAKE_OUT,
        )


@rule(
    "twisted",
    about=Measurement,
    level="error",
    title="A part is twisted",
    because="A twisted hook or link was pulled askew and no longer carries in its plane.",
    sources=[f"{WAC} (any visible bend or twist)", f"setting `by`: {DOE_HOOKS} has 10 deg"],
    when=lambda m: bool(readings(m, "twist")),
    settings=TwistSettings,
    waivable=False,
    fails="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/hook"
        twist = "4 deg"
    """,
    repaired="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/hook"
        twist = "0 deg"
    """,
)
def twisted(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    limit = most_twist(measurement.part.kind, ctx.settings.by)
    for found, key in readings(measurement, "twist"):
        if not limit.exceeded_by(found):
            continue
        yield measurement.finding(
            "{part} is twisted by {found}; out of service {past} {limit} ({source})",
            key=key,
            found=found,
            limit=limit.value,
            past=past(limit),
            source=limit.source,
            sources=[limit.source],
            remedy=TAKE_OUT,
        )


ROPE_SEEN = """
    base = "made"
    [[leg]]
    ref = "a"
    parts = [{ item = "rope", length = "6 ft" }]
    [[item]]
    id = "rope"
    kind = "wire-rope"
    [[inspection]]
    on = 2026-05-04
    kind = "periodic"
    [[inspection.measured]]
    part = "a/rope"
"""


@rule(
    "broken-wires",
    about=Measurement,
    level="error",
    title="A wire rope has too many broken wires",
    because="Wires break where a rope is tired; the next ones break sooner, and all at once.",
    sources=[ROPE_REMOVAL],
    when=lambda m: bool(readings(m, "broken_wires")),
    waivable=False,
    fails=ROPE_SEEN + "broken_wires = { in_one_lay = 10, in_one_strand = 3 }",
    repaired=ROPE_SEEN + "broken_wires = { in_one_lay = 2, in_one_strand = 1 }",
)
def broken_wires(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    check_rope(measurement, "broken wires")
    seen_of = readings(measurement, "broken_wires")
    for seen, key in seen_of:
        for name, where in COUNTED.items():
            found, limit = getattr(seen, name), broken_wires_limit(where)
            if found is not None and found >= limit:
                yield measurement.finding(
                    "{part} has {found} broken wires {where}; out of service from {limit}"
                    " ({source})",
                    key=(*key, name),
                    found=found,
                    limit=int(limit),
                    where=where,
                    source=limit.source,
                    sources=[limit.source],
                    remedy=TAKE_OUT,
                )
    for seen, _ in seen_of:
        check_counted(measurement, seen)


def check_rope(measurement: Measurement, what: str) -> None:
    """Raise Unstated where the part is no wire rope: the limits speak of nothing else."""
    kind = measurement.part.kind
    if kind != "wire-rope":
        why = f"the limits of {what} are for wire rope, and this is a {kind.replace('-', ' ')}"
        raise Unstated(what, measurement.path, why=why)


def check_counted(measurement: Measurement, seen: BrokenWires) -> None:
    """Raise Unstated where what was counted does not let a rope pass."""
    in_lay, in_strand = seen.in_one_lay, seen.in_one_strand
    why = ""
    if in_lay is None:
        why = "the inspection does not state the broken wires in one lay"
    elif in_strand is None and in_lay >= broken_wires_limit(COUNTED["in_one_strand"]):
        why = f"of {in_lay} broken wires in one lay it is not stated how many are in one strand"
    elif measurement.sling.basis == "EN" and (in_lay or in_strand):
        why = f"no EN document seen says how many a rope may keep: {A_PERSON_DECIDES}"
    if why:
        raise Unstated("broken wires", measurement.path, why=why)


@rule(
    "outer-wires-worn",
    about=Measurement,
    level="error",
    title="The outer wires of a rope are worn past their limit",
    because="The outer wires carry most of the load, and worn ones are the next to break.",
    sources=[ROPE_REMOVAL],
    when=lambda m: bool(readings(m, "outer_wire")),
    waivable=False,
    fails=ROPE_SEEN + 'outer_wire = { new = "1.2 mm", worn = "0.7 mm" }',
    repaired=ROPE_SEEN + 'outer_wire = { new = "1.2 mm", worn = "1.1 mm" }',
)
def outer_wires_worn(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    check_rope(measurement, "worn outer wires")
    undecided = ""
    for wire, key in readings(measurement, "outer_wire"):
        limit = outer_wire_least(wire.new)
        if limit.undercut_by(wire.worn):
            yield measurement.finding(
                "The outer wires of {part}, {new} thick when new, are worn to {found}; out of"
                " service at {limit} ({source})",
                key=(*key, "worn"),
                found=wire.worn,
                limit=limit.value,
                new=wire.new,
                source=limit.source,
                sources=[limit.source],
                remedy=TAKE_OUT,
            )
        elif wire.worn > wire.new:
            undecided = "the wires are thicker worn than new: measure both again"
        elif wire.worn < wire.new and measurement.sling.basis == "EN":
            undecided = f"no EN document seen says how far wires may wear: {A_PERSON_DECIDES}"
    if undecided:
        raise Unstated("outer wire", measurement.path, why=undecided)


@rule(
    "damaged",
    about=Measurement,
    level="error",
    title="An inspection saw damage",
    because="A crack, a nick or a burn is where a part breaks, at a load that it held yesterday.",
    sources=[
        f"{WAC} (cracks, bends, heat damage, pitting, weld spatter)",
        "29 CFR 1926.251(e) and WAC 296-155-33825 (synthetics: cuts, burns, melting)",
    ],
    when=lambda m: bool(damage_seen(m)),
    waivable=False,
    fails="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        damage = ["nick"]
    """,
    repaired="""
        base = "made"
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "a/chain"
        damage = ["none"]
    """,
)
def damaged(measurement: Measurement, ctx: Context) -> Iterator[Finding]:
    for words, key in damage_seen(measurement):
        seen = [word for word in words if _plain(word) not in NO_DAMAGE]
        unknown = [word for word in seen if _plain(word) not in DAMAGE]
        judge = "Take {part} out of service until a qualified person has judged: {unknown}."
        if seen:
            yield measurement.finding(
                "The inspection of {on} saw on {part}: {found}",
                key=key,
                found=seen,
                on=str(measurement.inspection.on),
                unknown=unknown,
                remedy=judge if unknown else TAKE_OUT,
            )


def _plain(word: str) -> str:
    return word.strip().lower()
