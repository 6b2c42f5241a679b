"""The calculation of one sling as steps: each a formula, its inputs, its value and its source.

A formula is written so that a person can follow it and a test can compute it: names of the
inputs, + - * /, min, max, sum, abs, ceil, and sin and asin in degrees.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import radians, sin
from typing import Any

from attrs import evolve, field, frozen

from .calculation import Allowance, Calculation, Rating
from .figures import OWN_GEOMETRY as OWN
from .figures.adjustment import pocket_reach
from .figures.hook_entry import width_ratio
from .figures.rating import EN_LISTED_DEG, US_LISTED_DEG
from .finding import Unstated
from .quantities import Angle, Length, Load
from .sling import Leg, Part

STATICS = "statics of a symmetric lift"
COUNTED = "EN 818-4:1996+A1:2008, Table 3; OSHA, Guidance on Safe Sling Use, Tables 1 and 2"
EN_LEG_FACTORS = {
    "chain": "EN 818-4:1996+A1:2008, Table 3",
    "rope": "EN 13414-1:2003, 5.3.4 (second-hand)",
    "textile": "EN 1492-1 and EN 1492-2, mode factors (second-hand)",
}
UNLIKE = "statics of two legs; DGUV 209-013, section 14, for more"
LISTED = "ASME B30.9-2010, 9-1.5.4 (second-hand); EN 818-4:1996+A1:2008, Table 3"
WEAKEST = "ASME B30.9-2010, 9-1.5.7 (second-hand)"


@frozen
class Step:
    """One figure: what it is, of which parts, by which formula from which inputs."""

    figure: str
    formula: str
    value: Any
    source: str
    inputs: Mapping[str, Any] = field(factory=dict)
    parts: tuple[str, ...] = ()


def steps_of(figures: Calculation) -> tuple[Step, ...]:
    """Every step that can be computed, in the order in which the figures build on each other.

    The same step for several parts is given once, and names them all.
    """
    merged: dict[object, Step] = {}
    for part_of in (_rating_steps, _spreader_steps, _reach_steps, _adjustment_steps, _fit_steps):
        for step in part_of(figures):
            same = (step.figure, step.formula, step.source, step.value, *step.inputs.items())
            known = merged.get(same)
            parts = known.parts if known else ()
            new = tuple(path for path in step.parts if path not in parts)
            merged[same] = evolve(step, parts=parts + new)
    return tuple(merged.values())


def _rating_steps(figures: Calculation) -> Iterator[Step]:
    sling = figures.sling
    try:
        rated = figures.rating()
    except Unstated:
        return
    if sling.legs_differ:
        yield from _unlike_steps(figures, rated)
    else:
        yield from _share_steps(figures, rated)
    yield from _limit_steps(figures)
    for part in sling.parts:
        if part.path in rated.allowed:
            yield _allowed_step(figures, part, rated)
    if rated.load is not None:
        allowed = tuple(map(Load, sorted(set(rated.allowed.values()))))
        yield Step("rated load", "min(allowed)", rated.load, WEAKEST, {"allowed": allowed})
        if not sling.legs_differ:
            yield _pull_step(figures, rated)


def _pull_step(figures: Calculation, rated: Rating) -> Step:
    rounds = "" if figures.exact_product(rated) else " (the published rating is rounded)"
    assert rated.load is not None
    return Step(
        f"pull in each counted leg{rounds}",
        "W / factor",
        Load(rated.load / rated.factor),
        STATICS,
        {"W": rated.load, "factor": rated.factor},
    )


def _unlike_steps(figures: Calculation, rated: Rating) -> Iterator[Step]:
    """The share of the load that each leg pulls, where they stand differently."""
    shares = tuple(share for _, share in rated.share.pulls)
    if shares:
        inputs = {"shares": shares}
        yield Step("leg factor", "1 / max(shares)", rated.factor, UNLIKE, inputs)


def _limit_steps(figures: Calculation) -> Iterator[Step]:
    """What a rope with its ends may pull by its breaking load."""
    for part in figures.sling.parts:
        if figures.is_rope(part):
            try:
                if figures.is_choked_loop(part):
                    what, limit = "pull of an endless rope, choked", figures.loop_by_strength(part)
                else:
                    what, limit = "pull of one straight rope leg", figures.rope_by_strength(part)
            except Unstated:
                continue
            yield Step(
                what,
                "strength * efficiency / factor",
                Load(limit.load),
                limit.source,
                {
                    "strength": Load(limit.strength),
                    "efficiency": limit.efficiency,
                    "factor": limit.factor,
                },
                (part.path,),
            )


def _share_steps(figures: Calculation, rated: Rating) -> Iterator[Step]:
    sling = figures.sling
    straight, legs, angle = sling.hitch == "straight", rated.legs, rated.listed
    yield Step(
        "legs that count",
        "1" if straight else "min(legs, 3)",
        legs,
        COUNTED,
        {"legs": sling.loaded_legs},
    )
    if legs > 1 and sling.practice.angles == "listed":
        listed = US_LISTED_DEG if sling.basis == "US" else EN_LISTED_DEG
        fit = [one for one in listed if one <= rated.angle + 1e-9]
        yield Step(
            "angle that rates it, from the horizontal",
            "max(listed)" if fit else "angle",
            Angle(angle),
            LISTED,
            {"angle": Angle(rated.angle), "listed": tuple(map(Angle, fit))},
        )
    if sling.basis == "US" or legs == 1:
        yield Step(
            "leg factor",
            "n * sin(theta)",
            rated.factor,
            STATICS,
            {"n": legs, "theta": Angle(angle)},
        )
    else:
        yield Step(
            "leg factor",
            "KL(n, theta)",
            rated.factor,
            EN_LEG_FACTORS[sling.family or "chain"],
            {"n": legs, "theta": Angle(angle)},
        )


def _allowed_step(figures: Calculation, part: Part, rated: Rating) -> Step:
    allowance = figures.allowance_in(part, rated.share)
    scale = figures.scale_of(allowance, rated.share)
    at = figures.share_at(part, rated.share)
    terms: list[str] = []
    inputs: dict[str, Any] = {}
    source = allowance.source
    if allowance.tension is not None:
        pull, inputs = _pull(allowance)
        if scale is None:
            inputs["factor"] = at.factor
            terms.append(f"{pull} * factor")
        else:
            inputs |= {"published": scale.cell, "one_leg": scale.single}
            share = f"{pull} / one_leg"
            share = f"min(1, {share})" if part.kind == "chain" else share
            carried = ""
            if scale.flatter is not None:
                inputs |= {"factor": at.factor, "last_factor": scale.flatter}
                carried = " * factor / last_factor"
            terms.append(f"published{carried} * {share}")
            source = f"{scale.source}; {source}"
        off = figures.share_off_axis(part, figures.stands(part, at))
        if off < 1:
            inputs["off_axis"] = off
            terms[-1] += " * off_axis"
    if allowance.load is not None:
        inputs["limit"] = Load(allowance.load)
        terms.append("limit")
    formula = terms[0] if len(terms) == 1 else f"min({', '.join(terms)})"
    dead = figures.dead_load(part)
    if dead:
        inputs["spreader"] = Load(dead)
        formula += " - spreader"
    value = Load(rated.allowed[part.path])
    return Step("load that the part allows", formula, value, source, inputs, (part.path,))


def _pull(allowance: Allowance) -> tuple[str, dict[str, Any]]:
    """What one leg may pull, as a formula over a link's chart row or as a limit of its own."""
    assert allowance.tension is not None
    row = allowance.row
    if row is None:
        return "pull", {"pull": Load(allowance.tension)}
    if allowance.rounded:
        return "single", {"single": Load(allowance.tension)}
    if allowance.published is not None:
        cell, single = allowance.published
        inputs = {"single": Load(single), "chart": row.limit, "cell": Load(cell)}
        return "(single * chart / cell)", inputs
    return "(chart / row_factor)", {
        "chart": row.limit,
        "row_factor": row.limit / allowance.tension,
    }


def _spreader_steps(figures: Calculation) -> Iterator[Step]:
    """What presses a spreader together under the load planned, else under the rated load."""
    spreader = figures.sling.spreader
    if spreader is None:
        return
    try:
        load = figures.sling.planned_load or figures.rating().stated
        pulls = figures.leg_pulls(load)
    except Unstated:
        return
    upper = max((one for one in pulls if one.leg.holds), key=lambda one: one.worst)
    theta = Angle(upper.angle or 0.0)
    yield Step(
        "pressure along the spreader",
        "T * sin(90 - theta)",
        Load(upper.worst * sin(radians(90 - theta))),
        "statics of the joint of an upper leg and the spreader",
        {"T": Load(upper.worst), "theta": theta},
        (spreader.path,),
    )


def _reach_steps(figures: Calculation) -> Iterator[Step]:
    for leg in figures.sling.legs:
        for part in leg.parts:
            if part.kind == "chain" and part.get("pitch") is not None:
                yield Step(
                    "length of the chain",
                    "links * pitch",
                    Length(figures.length(part)),
                    "links times pitch",
                    {"links": part.links, "pitch": part.pitch},
                    (part.path,),
                )
        try:
            reach = figures.reach(leg)
        except Unstated:
            continue
        lengths = tuple(Length(figures.length(part)) for part in leg.parts)
        above = Length(figures.depth(leg.on))
        yield Step(
            "reach, bearing point to bearing point",
            "above + sum(lengths) / 2" if figures.is_doubled(leg) else "above + sum(lengths)",
            Length(reach),
            "DOE-STD-1090-96, 11.3.3.2",
            {"above": above, "lengths": lengths},
            (leg.path,),
        )


def _adjustment_steps(figures: Calculation) -> Iterator[Step]:
    for leg in figures.sling.legs:
        if leg.pocket is None and not leg.branch:
            continue
        try:
            yield from _pocket_steps(figures, leg)
        except Unstated:
            continue


def _pocket_steps(figures: Calculation, leg: Leg) -> Iterator[Step]:
    height, start, pitch = figures.pocket_geometry(leg)
    shown = {"h": Length(height), "c": Length(start), "p": Length(pitch)}
    computed = figures.computed_first_link(leg)
    yield Step(
        "first link that reaches the pocket",
        "max(2, 1 + ceil(abs(h + c) / p))",
        computed,
        OWN,
        shown,
        (leg.path,),
    )
    full, first = figures.reach(leg), figures.first_link(leg)
    if first != computed:
        yield Step(
            "first link by the sheet", "stated", first, "sheet", {"stated": first}, (leg.path,)
        )
    yield Step(
        "longest setting",
        "full - h - c - (k - 0.5) * p",
        Length(pocket_reach(full, height, start, pitch, first)),
        OWN,
        {"full": Length(full), "k": first, **shown},
        (leg.path,),
    )


def _fit_steps(figures: Calculation) -> Iterator[Step]:
    for gathering in figures.sling.gatherings:
        if not gathering.part.is_link:
            continue
        try:
            seats = figures.seat_angles(gathering)
        except Unstated:
            continue
        for part, angle, _ in seats:
            width, depth = figures.seat(part)
            if angle >= 180.0:
                continue
            yield Step(
                f"arc that {part.item.id} takes of its bottom",
                "2 * asin(w / (B - t))",
                Angle(angle),
                OWN,
                {"w": Length(width), "t": Length(depth), "B": gathering.part.inside_width},
                (gathering.path,),
            )
        angles = tuple(Angle(angle) for _, angle, count in seats for _ in range(count))
        if len(angles) > 1:
            yield Step(
                "arc of its bottom in use",
                "sum(arcs)",
                Angle(sum(angles)),
                OWN,
                {"arcs": angles},
                (gathering.path,),
            )
    yield from _hook_steps(figures)


def _hook_steps(figures: Calculation) -> Iterator[Step]:
    hook = figures.sling.hung_from
    if hook is None or hook.kind == "shackle" or hook.get("saddle_width") is None:
        return
    for gathering in figures.sling.tops:
        width = gathering.part.get("inside_width")
        if gathering.part.is_link and width is not None:
            yield Step(
                "inside width over the hook's saddle",
                "B / saddle",
                width_ratio(width, hook.saddle_width),
                "ISO 4778:2019, 4.2.2 (asks for 1.2; second-hand)",
                {"B": width, "saddle": hook.saddle_width},
                (gathering.path,),
            )
