"""Shackles and what else is pulled off its axis."""

from __future__ import annotations

from collections.abc import Iterable

from ..model import AngleLimit
from ..quantities import Load, Temperature
from ..tables import Sourced, table
from .temperature import AskTheMaker, HeatEffect

LARGE_SHACKLE = Load.parse("150 short_ton")  # ASME B30.26-2010, 26-1.2
SHACKLE_FACTORS = (5.0, 4.0)  # ASME B30.26-2010, 26-1.2: to the large ones, and above them
SHACKLE_HEAT = (Temperature.parse("-40 degF"), Temperature.parse("400 degF"))  # 26-1.6.1
B30_26 = "ASME B30.26-2010"
EN_SHACKLE_FACTOR = Sourced(5.0, "DGUV 215-313, Table 1", "retrieved")
SLACK = 1e-9
PULLED_OFF_AXIS = ("eyebolt", "hoist-ring")  # what a leg pulls at its own angle, not along itself


def shackle_side_share(off_axis_deg: float) -> Sourced | None:
    """What a pull off its axis leaves of a shackle's limit; None beyond 90 deg, not allowed.

    WAC 296-155-33905, Figure 17; the shares from trade sheets (second-hand).
    """
    known = table("shackle-side-load")
    for row in known.rows:
        if off_axis_deg <= row["up_to"] + SLACK:
            return known.figure(row, "share")
    return None


def shackle_design_factor(limit_kg: float, basis: str = "US") -> Sourced:
    """The least design factor of a shackle: US 5 up to 150 short tons, 4 above; EN 5.

    ASME B30.26-2010, 26-1.2 (second-hand); DGUV 215-313, Table 1 (EN).
    """
    if basis == "EN":
        return EN_SHACKLE_FACTOR
    small, large = SHACKLE_FACTORS
    factor = large if limit_kg > LARGE_SHACKLE * (1 + SLACK) else small
    return Sourced(factor, f"{B30_26}, 26-1.2 (second-hand)", "second-hand")


def shackle_heat(low_deg_c: float | None, high_deg_c: float | None) -> HeatEffect:
    """What a temperature range leaves of a shackle's limit: all of it, from -40 to 400 degF.

    ASME B30.26-2010, 26-1.6.1 (second-hand). Raises AskTheMaker beyond.
    """
    low, high = SHACKLE_HEAT
    beyond = [low_deg_c is not None and low_deg_c < low - SLACK]
    beyond.append(high_deg_c is not None and high_deg_c > high + SLACK)
    if any(beyond):
        where = f"{B30_26}, 26-1.6.1 (second-hand)"
        raise AskTheMaker(f"{where} gives no figure for shackles outside -40 to 400 degF")
    return HeatEffect(1.0, 1.0)


def angle_share(limits: Iterable[AngleLimit], off_axis_deg: float) -> float | None:
    """What an item keeps of its limit, pulled so far off its axis; None beyond its last row.

    By the item's own sheet. The narrowest row that reaches so far counts.
    """
    for row in sorted(limits, key=lambda row: row.up_to):
        if off_axis_deg <= row.up_to + SLACK:
            return float(row.factor)
    return None
