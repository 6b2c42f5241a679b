"""What an edge that a chain bends over leaves of its rated load."""

SHARP_SHARE = 0.8  # DGUV 100-500 (second-hand): an unprotected sharp edge costs 20 %
ROUND_FROM = 2.0  # every source seen lets a radius of twice the chain pass without loss


def edge_is_sharp(radius_mm: float, size_mm: float) -> bool:
    """Whether an edge is sharp for a sling of this size: a radius under it.

    DGUV 209-013, section 22, for chain; for the thickness of textiles from memory.
    """
    return radius_mm < size_mm


def edge_share(radius_mm: float, size_mm: float) -> float | None:
    """The share of the rated load that is left over an edge; None where sources disagree.

    DGUV 209-013, section 22 (an edge is sharp where its radius is under the chain's size) and
    DGUV 100-500 (second-hand). From the size up to twice the size, EN 818-6 as remembered takes
    30 % off and DGUV nothing: no figure is built in.
    """
    if radius_mm >= ROUND_FROM * size_mm:
        return 1.0
    return SHARP_SHARE if edge_is_sharp(radius_mm, size_mm) else None
