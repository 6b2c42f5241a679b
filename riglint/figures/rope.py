"""Wire rope slings: what a rope, its ends and its bends leave of the breaking load, and lengths.

The figures stand in the tables us-rope-splice, en-rope-termination and rope-lengths. A sheet
writes core and grade of a rope as free text; what is not known here raises LookupError.
"""

from __future__ import annotations

import re
from math import sqrt

from ..quantities import STANDARD_GRAVITY, size_in_mm
from ..tables import Sourced, Table, table

DESIGN_FACTORS = {
    "US": Sourced(5.0, "DOE-STD-1090-96, 11.3.1.3", "retrieved"),
    "EN": Sourced(5.0, "EN 13414-1:2003, 5.2.4 (second-hand)", "second-hand"),
}
EN_RATED_AS = 1770  # N/mm2; information note on BS EN 13414-1 (second-hand)
STRENGTH = re.compile(r"[1-9]\d{3}", re.ASCII)  # N/mm2, as sheets write it
LOOP_CHOKED = Sourced(1.6, "EN 13414-1:2003, 5.4.4 (second-hand)", "second-hand")
STEEL_CORE_K = 0.356  # EN 12385-4, from memory: tests and plausibility only
SLACK_MM = 0.01  # a diameter written in one unit and held against a limit in the other

STEEL_CORES = {"iwrc", "wrc", "wsc", "iws", "steel", "steel core", "independent wire rope core"}
FIBER_CORES = {"fc", "nfc", "sfc", "fiber", "fibre", "fiber core", "fibre core", "hemp", "sisal"}
SAME_AS_EIPS = {"302", "304", "stainless 302", "stainless 304"}


def rope_limit(breaking_kg: float, efficiency: float, design_factor: float) -> float:
    """The working load limit of a straight leg, in kg, from the breaking load of its rope, in kg.

    EN 13414-1:2003, 5.2.4 (second-hand): Fmin K_T / Z_p; the US formula is the same.
    """
    return breaking_kg * efficiency / design_factor


def rope_design_factor(basis: str) -> Sourced:
    """The design factor of wire rope slings: 5 for both bases.

    DOE-STD-1090-96, 11.3.1.3 (US); EN 13414-1:2003, 5.2.4 (EN).
    """
    return DESIGN_FACTORS[basis]


def core_kind(core: str) -> str:
    """Whether a rope's core, as its sheet writes it, is "steel" or "fiber".

    Raises LookupError for a word that is neither.
    """
    word = core.strip().lower()
    if word in STEEL_CORES:
        return "steel"
    if word in FIBER_CORES:
        return "fiber"
    raise LookupError(f"a core called {core!r} is not known: write IWRC or fiber")


def en_termination(splice: str) -> Sourced:
    """What a termination leaves of the breaking load: 0.9 with a ferrule, 0.8 spliced by hand.

    EN 13414-1:2003, 5.2.4 (second-hand); a resin socket 1.0 by 0027/ND Rev 11, 7.7. Raises
    LookupError for fittings swaged on, which no source seen has.
    """
    known = table("en-rope-termination")
    for row in known.rows:
        if row["splice"] == splice:
            return known.figure(row, "share")
    raise LookupError(f"no source seen says what a {splice} end leaves of an EN rope")


def us_splice_efficiency(
    rope_grade: str, core: str, diameter_mm: float, splice: str = "mechanical"
) -> Sourced:
    """What an end leaves of the breaking load by rope grade, core and diameter in mm.

    Trade association's manual of wire rope slings, table 4 (second-hand). Raises LookupError
    where it has no row.
    """
    known = table("us-rope-splice")
    grade = rope_grade.strip().upper()
    wanted = {
        "splice": splice,
        "rope_grade": "EIPS" if grade.lower() in SAME_AS_EIPS else grade,
        "core": core_kind(core),
    }
    for row in known.rows:
        if all(row.get(key, value) == value for key, value in wanted.items()) and _reaches(
            row, diameter_mm
        ):
            return known.figure(row, "share")
    raise LookupError(
        f"{known.document}, {known.clause} has no {splice} end for {rope_grade} rope"
        f" with a {wanted['core']} core of that diameter"
    )


def _reaches(row: dict[str, str], diameter_mm: float) -> bool:
    least, most = size_in_mm(row.get("from", "")), size_in_mm(row.get("up_to", ""))
    return (least is None or diameter_mm >= least - SLACK_MM) and (
        most is None or diameter_mm <= most + SLACK_MM
    )


def steel_core_breaking(diameter_mm: float, rope_grade: int = EN_RATED_AS) -> float:
    """The least breaking load of a rope with a steel core, in kg: K' d^2 R / 1000 kN.

    EN 12385-4, with K' = 0.356 from memory: for plausibility, never for a rating.
    """
    return STEEL_CORE_K * diameter_mm**2 * rope_grade / float(STANDARD_GRAVITY)


def en_rated_breaking(breaking_kg: float, rope_grade: str) -> float:
    """The breaking load that an EN sling is rated by, in kg: that of grade 1770 at most.

    Information note on BS EN 13414-1 (second-hand). Raises LookupError for a grade that is not
    written as a strength in N/mm2.
    """
    strength = rope_grade.strip()
    if not STRENGTH.fullmatch(strength):
        raise LookupError(f"the rope grade {rope_grade!r} is no strength, such as 1770")
    return breaking_kg * min(1.0, EN_RATED_AS / int(strength))


def bend_efficiency(ratio: float) -> float:
    """What a bend leaves of a rope's breaking load: 1 - 0.5 / sqrt(D/d), D/d being the ratio.

    0027/ND Rev 11, 7.8.1. The worse of bend and termination counts, never their product (7.7.2).
    Raises ValueError under 1, which 7.8.5 forbids.
    """
    if ratio < 1:
        raise ValueError("a rope is not bent about less than its own diameter")
    return 1 - 0.5 / sqrt(ratio)


def clear_length_least(basis: str, diameter_mm: float, *, braided: bool = False) -> Sourced:
    """The least clear rope between splices, sleeves or fittings, in mm.

    US: 10 diameters, of a braided sling 40 of its component rope (DOE-STD-1090-96,
    11.3.2.3(23)). EN: 20, from memory; its figure says so. Raises LookupError where the basis
    has none.
    """
    return _times(basis, "clear length, braided" if braided else "clear length") * diameter_mm


def endless_circumference_least(diameter_mm: float) -> Sourced:
    """The least circumference of a grommet or endless sling, in mm: 96 diameters of its body.

    DOE-STD-1090-96, 11.3.2.3(23); WAC 296-24-29425(2).
    """
    return _times("any", "endless circumference") * diameter_mm


def eye_pin_least(basis: str, diameter_mm: float) -> Sourced:
    """The least diameter of what sits in a soft eye, in mm.

    EN: 2 diameters of the rope (EN 13414-1:2003, Table 4, note 1, second-hand). US: 1, from
    memory; its figure says so.
    """
    return _times(basis, "pin in a soft eye") * diameter_mm


def _times(basis: str, what: str) -> Sourced:
    known: Table = table("rope-lengths")
    for row in known.rows:
        if row["what"] == what and row["basis"] in (basis, "any"):
            return known.figure(row, "times")
    raise LookupError(f"no source seen has a least {what} for {basis} rope")
