"""Lengths along the hang of a sling."""

LONG_PITCHES = 2.0  # EN 818-4, leg length 0 / +2 pitches
SHORT_SLACK_MM = 0.5  # house default outside EN: rounding of the written reach
ROUNDING_MM = 1e-6


def chain_length(links: int, pitch_mm: float) -> float:
    """The length of a chain from bearing point to bearing point, in mm: links times pitch."""
    return links * pitch_mm


def matching_tolerance(length_mm: float, *, welded: bool = False) -> float:
    """How far legs meant equal may differ, in mm: 10 mm up to 2 m, 5 mm per metre above.

    Of a welded sling 6 mm up to 2 m, 3 mm per metre above. EN 818-4, Table 2 (second-hand).
    """
    if welded:
        return 6.0 if length_mm <= 2000 else 3.0 * length_mm / 1000
    return 10.0 if length_mm <= 2000 else 5.0 * length_mm / 1000
