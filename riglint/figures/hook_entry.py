"""Whether a crane hook, shackle or fork attachment goes into the link that a sling hangs by."""

from __future__ import annotations

from attrs import frozen

HOOK_WIDTH_RATIO = 1.2  # ISO 4778:2019, 4.2.2 b: inside width over the width of the hook


@frozen
class Obstacle:
    """One dimension that keeps the hook out: what there is, and what it must exceed."""

    what: str
    found_mm: float
    limit_mm: float


def entry_faults(
    inside_width_mm: float,
    inside_length_mm: float,
    bar_mm: float,
    deepest_seat_mm: float,
    saddle_width_mm: float,
    saddle_height_mm: float,
    throat_mm: float,
) -> tuple[Obstacle, ...]:
    """What keeps the hook from entering; empty if it enters. Own geometry.

    The section under the saddle must pass into the link above what already hangs in it, and
    the link's bar must pass the throat clear of the latch.
    """
    needed = saddle_height_mm + deepest_seat_mm
    faults = []
    if inside_width_mm <= saddle_width_mm:
        faults.append(Obstacle("inside width", inside_width_mm, saddle_width_mm))
    if inside_length_mm < needed:
        faults.append(Obstacle("inside length", inside_length_mm, needed))
    if bar_mm >= throat_mm:
        faults.append(Obstacle("bar", bar_mm, throat_mm))
    return tuple(faults)


def width_ratio(inside_width_mm: float, saddle_width_mm: float) -> float:
    """The link's inside width over the width of the hook's saddle.

    ISO 4778:2019, 4.2.2 b asks for 1.2.
    """
    return inside_width_mm / saddle_width_mm
