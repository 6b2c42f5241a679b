"""Leg factors, listed angles, and what a chart row says of one leg's pull."""

from math import floor

from .sharing import legs_times_sine

US_LISTED_DEG = (90.0, 60.0, 45.0, 30.0)  # OSHA, Guidance on Safe Sling Use, Tables 1 and 2
EN_LISTED_DEG = (45.0, 30.0)  # EN 818-4, Table 3: 0 to 45 and 45 to 60 deg from the vertical
FLATTEST_DEG = 30.0  # OSHA guide; 120 deg included angle in the German and NSW guides
EN_FACTORS = {(2, 45.0): 1.4, (2, 30.0): 1.0, (3, 45.0): 2.1, (3, 30.0): 1.5}
VERTICAL_DEG = 5.0  # 29 CFR 1910.184(b): legs so near the vertical count as vertical
SLACK_DEG = 1e-9


def listed_angle(from_horizontal_deg: float, basis: str) -> float:
    """The listed angle that rates a leg: its own or the next lower one, in deg from horizontal.

    ASME B30.9-2010, 9-1.5.4 (next lower listed angle); EN 818-4, Table 3. An angle flatter
    than the last listed one is returned as it is. US legs within 5 deg of the vertical are
    vertical (29 CFR 1910.184(b)).
    """
    if basis == "US" and from_horizontal_deg >= 90.0 - VERTICAL_DEG - SLACK_DEG:
        return 90.0
    listed = US_LISTED_DEG if basis == "US" else EN_LISTED_DEG
    for angle in listed:
        if from_horizontal_deg >= angle - SLACK_DEG:
            return angle
    return from_horizontal_deg


def us_leg_factor(effective: int, from_horizontal_deg: float) -> float:
    """The number of single-leg loads that the sling carries, n sin(theta).

    OSHA, Guidance on Safe Sling Use, Tables 1 and 2, to their rounding.
    """
    return legs_times_sine(effective, from_horizontal_deg)


def en_leg_factor(effective: int, from_horizontal_deg: float) -> float:
    """The EN leg factor: 1.4 or 1.0 for two legs, 2.1 or 1.5 for three and four.

    EN 818-4:1996+A1:2008, Table 3. Flatter than 60 deg from the vertical: n sin(theta).
    """
    if effective == 1:
        return 1.0
    listed = listed_angle(from_horizontal_deg, "EN")
    factor = EN_FACTORS.get((effective, listed))
    return legs_times_sine(effective, listed) if factor is None else factor


def leg_factor(basis: str, effective: int, from_horizontal_deg: float) -> float:
    """The leg factor of a basis, "US" or "EN"; see `us_leg_factor` and `en_leg_factor`."""
    rule = us_leg_factor if basis == "US" else en_leg_factor
    return rule(effective, from_horizontal_deg)


def chart_tension(
    limit_kg: float, row_factor: float, cell_kg: float | None, single_kg: float | None
) -> float:
    """The pull of one leg, in kg, that a link's chart row stands for.

    The row's limit over its own leg factor; where the published table has the row's own cell,
    the single-leg load in proportion, since the cells are rounded. House reading of the charts.
    """
    if cell_kg and single_kg:
        return single_kg * limit_kg / cell_kg
    return limit_kg / row_factor


def rounded_half_up(value: float, step: float) -> float:
    """The value rounded to the nearest step, halves up, as US rated loads are to 100 lb."""
    return floor(value / step + 0.5 + 1e-9) * step
