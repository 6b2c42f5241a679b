"""The calculation sheet as data."""

from __future__ import annotations

from typing import Any

from ..figures.removal import RemovalCard
from ..quantities import Length, Load, Quantity, Units
from ..ratesheet import LINKS_MEASURED, RateSheet
from ..sling import Part
from ..steps import Step
from .data import angle_data, quantity


def rate_data(sheet: RateSheet) -> dict[str, Any]:
    """The calculation sheet as plain data; a figure that is not known is null."""
    sling, units = sheet.sling, sheet.sling.units
    rating = sheet.rating
    governor = rating.governed_by if rating else None
    deg = sheet.figures.duty_angle()
    return {
        "id": sling.id,
        "file": sling.document.file,
        "basis": sling.basis,
        "angle": None if deg is None else angle_data(deg, sling.basis),
        "rated_load": quantity(rating.load if rating else None, units),
        "at_most": quantity(rating.at_most, units) if rating and rating.gaps else None,
        "in_duty": quantity(sheet.duty.load if sheet.duty else None, units),
        "in_lift": quantity(sheet.lift.load if sheet.lift else None, units),
        "errors": sheet.errors,
        "exact": quantity(sheet.exact.load if sheet.exact else None, units),
        "governed_by": governor.path if governor else None,
        "at_angles": [
            {"angle": angle_data(angle, sling.basis), "rated_load": quantity(one.load, units)}
            for angle, one in sheet.at_angles
        ],
        "parts": [
            {
                "part": one.part.path,
                "item": one.part.item.id,
                "also": list(one.part.also),
                "capacity": _load(one.capacity, units),
                "demand": _load(one.demand, units),
                "utilization": None if one.utilization is None else round(one.utilization, 4),
                "pull": _load(one.pull, units),
                "because": one.because,
                "source": one.source,
            }
            for one in sheet.parts
        ],
        "legs": [
            {
                "leg": one.ref,
                "tension": _load(one.tension, units),
                "worst_tension": _load(one.worst, units),
                "angle": None if one.angle is None else angle_data(one.angle, sling.basis),
            }
            for one in sheet.pulls
        ],
        "reach": None if sheet.reach is None else quantity(Length(sheet.reach), units),
        "pocket_settings": [
            {"leg": ref, "link": one.link, "reach": quantity(Length(one.reach), units)}
            for leg, settings in sheet.settings
            for ref in leg.refs
            for one in settings
        ],
        "cut_list": [
            {"part": path, "links": part.links, "length": quantity(part.length, units)}
            for part in sling.parts
            if part.links or part.length is not None
            for path in (part.path, *part.also)
        ],
        "mass": _load(sheet.mass, units),
        "proof": {place: _load(pull.load, units) for place, pull in sheet.proof.items()} or None,
        "temperatures": [
            {"range": words, "while_hot": round(hot, 4), "afterwards": round(after, 4)}
            for words, hot, after in sheet.heat
        ],
        "designation": sling.build.assembly.designation,
        "tag": _tag_data(sheet),
        "removal": [_removal_data(part, card, units) for part, card in sheet.removal],
        "missing": [
            {
                "figure": one.rule,
                "part": one.part,
                "datum": one.datum,
                "key": one.key,
                "why": one.why,
            }
            for one in sheet.missing
        ],
        "steps": [_step_data(step, units) for step in sheet.steps],
    }


def _removal_data(part: Part, card: RemovalCard, units: Units) -> dict[str, Any]:
    limits = {
        "smallest_bar": card.smallest_bar,
        f"longest_over_{LINKS_MEASURED}_links": card.longest,
        "widest_throat": card.widest_throat,
    }
    return {"item": part.item.id} | {
        name: limit and {"value": quantity(limit.value, units), "source": limit.source}
        for name, limit in limits.items()
    }


def _tag_data(sheet: RateSheet) -> dict[str, Any] | None:
    tag, units = sheet.tag, sheet.sling.units
    if tag is None:
        return None
    return {
        "manufacturer": tag.manufacturer,
        "grade": tag.grade,
        "size": tag.size,
        "material": tag.material,
        "legs": tag.legs,
        "reach": quantity(tag.reach, units),
        "serial": tag.serial,
        "ratings": [{"load": quantity(one.load, units), "at": one.angle} for one in tag.ratings],
    }


def _load(kg: float | None, units: Units) -> dict[str, Any] | None:
    return None if kg is None else quantity(Load(kg), units)


def _step_data(step: Step, units: Units) -> dict[str, Any]:
    return {
        "figure": step.figure,
        "parts": list(step.parts),
        "formula": step.formula,
        "inputs": {name: _value(value, units) for name, value in step.inputs.items()},
        "value": _value(step.value, units),
        "source": step.source,
    }


def _value(value: Any, units: Units) -> Any:
    if isinstance(value, Quantity):
        return quantity(value, units)
    if isinstance(value, tuple):
        return [_value(one, units) for one in value]
    return value
