"""How much of a link's bottom each thing that hangs in it takes up.

Geometry of riglint's own: the bottom is half a circle of the link's inside width; a seat of
width w and depth t rides on the bar and touches at depth t, where the circle is B - t across.
"""

from math import asin, degrees


def fits(width_mm: float, depth_mm: float, inside_width_mm: float) -> bool:
    """Whether a seat of this width goes into the bottom of a link at all. Own geometry."""
    return width_mm < inside_width_mm - depth_mm


def seat_angle(width_mm: float, depth_mm: float, inside_width_mm: float) -> float:
    """The angle of the link's bottom arc that a seat takes, in deg: 2 asin(w / (B - t)).

    Own geometry. A seat that does not go in takes the whole half circle.
    """
    if not fits(width_mm, depth_mm, inside_width_mm):
        return 180.0
    return 2 * degrees(asin(width_mm / (inside_width_mm - depth_mm)))
