"""Which link of a chain reaches a pocket, and how long the leg is then.

Geometry of riglint's own: the chain begins `start` below the point where its leg hangs, and
the middle of the link that lies in the pocket is `height` above that point.
"""

from math import ceil

NEVER_BEFORE = 2  # the first link holds the coupling and cannot lie in the pocket
ROUNDING = 1e-9


def first_link(height_mm: float, start_mm: float, pitch_mm: float) -> int:
    """The first link that can be laid into the pocket: those before it must span the distance.

    Own geometry; agrees with common practice (about the sixth link into a pocket built into the
    top link of a 3/8 in sling, the third or fourth into a grab hook carried high; no source).
    """
    span = abs(height_mm + start_mm) / pitch_mm
    return max(NEVER_BEFORE, 1 + ceil(span - ROUNDING))


def pocket_reach(
    full_mm: float, height_mm: float, start_mm: float, pitch_mm: float, link: int
) -> float:
    """The reach of the leg, in mm, with the given link in the pocket. Own geometry."""
    return full_mm - height_mm - start_mm - (link - 0.5) * pitch_mm


def links_needed(
    full_mm: float, height_mm: float, start_mm: float, pitch_mm: float, wanted_mm: float
) -> float:
    """The link, as a fraction, that would give the wanted reach: `pocket_reach` solved for it."""
    return (full_mm - height_mm - start_mm - wanted_mm) / pitch_mm + 0.5
