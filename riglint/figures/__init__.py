"""The arithmetic: pure functions in mm, kg and deg, each with its source, that judge nothing."""

from typing import TYPE_CHECKING

from ..later import load_later
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

if TYPE_CHECKING:
    from .hook_place import DoNotMeet, HookPlace, hook_from_reaches
    from .statics import (
        Indeterminate,
        Lift,
        Stance,
        bar_compression,
        beam_reactions,
        by_sine_rule,
        even_bar_compression,
        lift,
        stands,
    )
    from .vectors import Vector

OWN_GEOMETRY = "riglint's own geometry (specs/formats/figures.md)"

__all__ = [
    "OWN_GEOMETRY",
    "DoNotMeet",
    "HookPlace",
    "Indeterminate",
    "Lift",
    "Stance",
    "Vector",
    "bar_compression",
    "beam_reactions",
    "breaking_load",
    "by_sine_rule",
    "chain_length",
    "chart_tension",
    "effective_legs",
    "en_leg_factor",
    "entry_faults",
    "even_bar_compression",
    "first_link",
    "fits",
    "hook_from_reaches",
    "leg_tension",
    "lift",
    "links_needed",
    "listed_angle",
    "pocket_reach",
    "rounded_half_up",
    "seat_angle",
    "stands",
    "us_leg_factor",
    "width_ratio",
]

# The statics of known lifts load when they are first asked for: few checks need them.
_LATER = {
    "hook_place": ("DoNotMeet", "HookPlace", "hook_from_reaches"),
    "statics": (
        "Indeterminate",
        "Lift",
        "Stance",
        "bar_compression",
        "beam_reactions",
        "by_sine_rule",
        "even_bar_compression",
        "lift",
        "stands",
    ),
    "vectors": ("Vector",),
}


if not TYPE_CHECKING:  # else every mistyped name would be something
    __getattr__ = load_later(__name__, _LATER)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
