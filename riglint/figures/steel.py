"""What a round section of a grade can hold."""

from math import pi

from ..quantities import STANDARD_GRAVITY


def breaking_load(bar_mm: float, grade: int) -> float:
    """The breaking load of a chain of this bar and grade, in kg: 2 (pi/4) d^2 x 10 x grade N/mm2.

    ASTM A391-21 and A973-21, clause 1 (the grade is a tenth of the mean stress over two
    sections at the minimum breaking force).
    """
    return 2 * (pi / 4) * bar_mm**2 * 10 * grade / float(STANDARD_GRAVITY)
