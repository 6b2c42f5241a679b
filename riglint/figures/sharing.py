"""How the loaded legs of a sling share its load."""

from math import radians, sin

MOST_LEGS = 4


def effective_legs(loaded_legs: int, four_legs_count: int = 3) -> int:
    """The number of legs that may be counted on: three of four, since lengths never match exactly.

    EN 818-4:1996+A1:2008, Table 3 (leg factors 2.1 and 1.5 for three and four legs); OSHA,
    Guidance on Safe Sling Use, Tables 1 and 2 (triple and quad alike). With
    `four_legs_count=2`: DGUV 209-013, section 14, for a load that is not shared equally.
    Three legs are statically determinate and keep 3. Raises ValueError beyond four legs.
    """
    if not 1 <= loaded_legs <= MOST_LEGS:
        raise ValueError(f"no document shares a load over {loaded_legs} legs")
    return four_legs_count if loaded_legs == MOST_LEGS else loaded_legs


def leg_tension(load_kg: float, leg_factor: float) -> float:
    """The pull in each counted leg, in kg, under a load on the whole sling.

    `leg_factor` is the number of single-leg loads that the sling carries: n sin(theta), or the
    EN leg factor. Statics of a symmetric lift.
    """
    return load_kg / leg_factor


def legs_times_sine(effective: int, from_horizontal_deg: float) -> float:
    """The exact leg factor, n sin(theta). Statics of a symmetric lift."""
    return effective * sin(radians(from_horizontal_deg))
