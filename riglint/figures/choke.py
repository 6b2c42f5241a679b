"""What a choker hitch leaves of a chain sling's rated load."""

CHOKE_SHARE = 0.8  # OSHA guide, Table 3 (80 %; second-hand); DGUV 209-021 (0.8; retrieved)
LEAST_CHOKE_DEG = 120.0  # ASME B30.9-2010, 9-1.5.4 (second-hand)


def choke_share(choke_angle_deg: float) -> float | None:
    """The share of a straight leg's rated load in a choker hitch; None under 120 deg.

    OSHA, Guidance on Safe Sling Use, Table 3; DGUV 209-021. Under 120 deg of choke the maker or
    a qualified person rates it (ASME B30.9-2010, 9-1.5.4).
    """
    return CHOKE_SHARE if choke_angle_deg >= LEAST_CHOKE_DEG else None
