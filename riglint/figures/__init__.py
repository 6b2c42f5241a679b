"""The arithmetic: pure functions in mm, kg and deg, each with its source, that judge nothing."""

from .adjustment import first_link, links_needed, pocket_reach
from .hook_entry import entry_faults, width_ratio
from .rating import (
    chart_tension,
    en_leg_factor,
    listed_angle,
    rounded_half_up,
    us_leg_factor,
)
from .reach import chain_length
from .seating import fits, seat_angle
from .sharing import effective_legs, leg_tension
from .steel import breaking_load

OWN_GEOMETRY = "riglint's own geometry (specs/formats/figures.md)"

__all__ = [
    "OWN_GEOMETRY",
    "breaking_load",
    "chain_length",
    "chart_tension",
    "effective_legs",
    "en_leg_factor",
    "entry_faults",
    "first_link",
    "fits",
    "leg_tension",
    "links_needed",
    "listed_angle",
    "pocket_reach",
    "rounded_half_up",
    "seat_angle",
    "us_leg_factor",
    "width_ratio",
]
