"""What a choker hitch leaves of a sling's rated load."""

from __future__ import annotations

from ..tables import Sourced, table

CHOKE_SHARE = 0.8  # OSHA guide, Table 3 (80 %; second-hand); DGUV 209-021 (0.8; retrieved)
LEAST_CHOKE_DEG = 120.0  # ASME B30.9-2010, 9-1.5.4 (second-hand)
NATURAL_FIBERS = {"manila", "sisal", "hemp", "natural fiber"}


def choke_share(choke_angle_deg: float) -> float | None:
    """The share of a straight chain leg's rated load in a choker hitch; None under 120 deg.

    OSHA, Guidance on Safe Sling Use, Table 3; DGUV 209-021. Under 120 deg of choke the maker or
    a qualified person rates it (ASME B30.9-2010, 9-1.5.4).
    """
    return CHOKE_SHARE if choke_angle_deg >= LEAST_CHOKE_DEG else None


def choke_angle_share(choke_angle_deg: float) -> Sourced:
    """What the angle of choke leaves of the choker rating of rope, web, roundsling or fiber rope.

    Three trade sheets after ASME B30.9 (second-hand): the table choke-angle. Over 120 deg all of
    it; 120 deg itself and what lies between two whole degrees take the lower share.
    """
    known = table("choke-angle")
    row = next(
        row
        for row in known.rows
        if choke_angle_deg > row.get("above", -1.0) and choke_angle_deg >= row.get("from", 0.0)
    )
    return known.figure(row, "share")


def choker_share(kind: str, basis: str, made_of: str | None = None) -> Sourced:
    """The choker rating of a leg as a share of its straight rating; chain has `choke_share`.

    The table choker-share: EN wire rope, web and roundsling 0.8 (second-hand); US wire rope 0.75
    where the leg stands at 45 deg from the horizontal or steeper (US Navy 14081); US rope of
    natural fiber, which `made_of` names, about 0.50 (29 CFR 1918). Raises LookupError where
    there is no more than a figure from memory.
    """
    known = table("choker-share")
    fiber = "natural fiber" if (made_of or "").lower() in NATURAL_FIBERS else made_of
    for row in known.rows:
        if (row["kind"], row["basis"]) == (kind, basis) and row.get("made_of", fiber) == fiber:
            return known.figure(row, "share")
    raise LookupError(
        f"no document seen says what a choker hitch leaves of a {basis} {kind.replace('-', ' ')}"
        " sling: take the rating on the maker's tag"
    )
