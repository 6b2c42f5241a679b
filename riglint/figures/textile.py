"""Slings of flat web and roundslings: mode factors, colors, materials, and their eyes.

The figures stand in the tables en-textile-modes, en-textile-colors and textile-chemistry.
"""

from __future__ import annotations

from math import asin, degrees, isclose

from ..quantities import Angle, Length, Load
from ..tables import Sourced, table

DESIGN_FACTORS = {
    "US": Sourced(5.0, "DOE-STD-1090-96, 11.3.5.f", "retrieved"),
    "EN": Sourced(7.0, "EN 1492-1 and EN 1492-2 (second-hand)", "second-hand"),
}
WEB_EYE_MOST = Angle(20.0)  # EN 1492-1, Annex D (second-hand)
ROUND_BEARING_MOST = Length(75.0)  # EN 1492-1, Annex D (second-hand)
ROUND_BEARING_RATIO = 0.75  # EN 1492-1, Annex D (second-hand): hook radius over bearing width
SLACK_DEG = 1e-9
COLOR_SLACK = 0.02  # house default: a limit in kN or lb is rounded; the next color is 16 % off
COLOR_SPELLINGS = {"gray": "grey"}
MATERIALS = {
    "nylon": "nylon", "polyamide": "nylon", "pa": "nylon",
    "polyester": "polyester", "pes": "polyester",
    "polypropylene": "polypropylene", "pp": "polypropylene",
    "aluminium": "aluminium", "aluminum": "aluminium",
}  # fmt: skip


def textile_design_factor(basis: str) -> Sourced:
    """The design factor of web and roundslings: 5 (DOE-STD-1090-96, 11.3.5.f), EN 7."""
    return DESIGN_FACTORS[basis]


def material_named(text: str) -> str:
    """The material that a sheet's text stands for: nylon for polyamide, and so on.

    Raises LookupError for one that no table here knows.
    """
    name = MATERIALS.get(text.strip().lower())
    if name is None:
        raise LookupError(f"a material called {text!r} is not known here")
    return name


def en_mode_factor(hitch: str, legs: int = 1, from_horizontal_deg: float = 90.0) -> Sourced:
    """The number of straight limits that a textile sling carries in a hitch, EN.

    EN 1492-1 and EN 1492-2 (second-hand). Raises LookupError for what they have no factor for:
    flatter than 60 deg from the vertical, or more legs in a straight, choked or basket hitch.
    """
    known = table("en-textile-modes")
    counted = min(legs, 3) if hitch == "bridle" and legs <= 4 else legs
    for row in known.rows:
        reached = from_horizontal_deg >= row["from_horizontal"] - SLACK_DEG
        if (row["hitch"], row["legs"]) == (hitch, counted) and reached:
            return known.figure(row, "factor")
    raise LookupError(
        f"EN 1492 has no mode factor for {legs} leg(s) in a {hitch} hitch at"
        f" {from_horizontal_deg:g} deg from the horizontal"
    )


def color_limit(color: str) -> Load:
    """The working load limit that a color stands for under EN 1492; for orange the least one.

    EN 1492-1 and EN 1492-2 (second-hand). Raises LookupError for another color.
    """
    return Load.parse(_color(color)["limit"])


def color_agrees(color: str, limit_kg: float) -> bool:
    """Whether a color is that of a limit in kg: orange for 10 t and more, the others for their own.

    Within 2 % (house default): 1 t is 10 kN or 2,200 lb on some sheets. EN 1492-1 and EN 1492-2
    (second-hand). Raises LookupError for a color that they do not have.
    """
    own = color_limit(color)
    above = limit_kg > own and color_is_least(color)
    return above or isclose(limit_kg, own, rel_tol=COLOR_SLACK)


def color_is_least(color: str) -> bool:
    """Whether a color stands for every higher limit too, as orange does.

    EN 1492-1 and EN 1492-2 (second-hand). Raises LookupError for a color that they do not have.
    """
    return "or_more" in _color(color)


def _color(color: str) -> dict[str, str]:
    name = color.strip().lower()
    name = COLOR_SPELLINGS.get(name, name)
    for row in table("en-textile-colors").rows:
        if row["color"] == name:
            return row
    raise LookupError(f"EN 1492 has no color {color!r}")


def not_borne(material: str) -> frozenset[str]:
    """What the material of a sling, or of its fittings, does not bear: acid, caustic, phenolic.

    29 CFR 1926.251(e). Raises LookupError for a material that it does not speak of.
    """
    name = material_named(material)
    rows = table("textile-chemistry").rows
    return frozenset(next(row["excluded"] for row in rows if row["material"] == name))


def web_eye_angle(eye_length_mm: float, width_mm: float) -> float:
    """The angle that an eye of this length opens to over a pin or hook of this width, in deg.

    2 asin(w / 2L): the sides of the eye are taken as straight, the pin as lying across their
    ends. Own geometry; EN 1492-1, Annex D (second-hand) allows `WEB_EYE_MOST`.
    """
    return (
        180.0 if width_mm >= 2 * eye_length_mm else 2 * degrees(asin(width_mm / eye_length_mm / 2))
    )


def web_may_bear(bearing_width_mm: float, hook_radius_mm: float | None) -> bool:
    """Whether a web eye may bear on a hook of this radius across the web; None is straight.

    EN 1492-1, Annex D (second-hand): straight, or, up to a bearing width of 75 mm, with a
    radius of 0.75 of that width or more.
    """
    if hook_radius_mm is None:
        return True
    least = web_bowl_least(bearing_width_mm)
    return least is not None and hook_radius_mm >= least


def web_bowl_least(bearing_width_mm: float) -> float | None:
    """The least radius across a web of this bearing width, in mm; None where none will do.

    EN 1492-1, Annex D (second-hand).
    """
    if bearing_width_mm > ROUND_BEARING_MOST:
        return None
    return ROUND_BEARING_RATIO * bearing_width_mm
