"""The text of the identification tag, ready to stamp, as the basis of the sling asks for it."""

from __future__ import annotations

from attrs import frozen

from .calculation import Calculation, Rating
from .quantities import Length, Load
from .sling import Sling


@frozen
class StampedRating:
    """One rating to stamp: the load, rounded down to what tags state, and where it holds."""

    load: Load
    angle: str


@frozen
class TagText:
    """What to stamp; a field that the build does not settle is None."""

    manufacturer: str | None
    grade: int
    size: str
    legs: int
    reach: Length | None
    serial: str | None
    ratings: tuple[StampedRating, ...]


def tag_text(figures: Calculation) -> TagText:
    """The tag of a chain sling; raises Unstated where a rating or the chain is not known.

    Contents: ASME B30.9-2010, 9-1.7.1, and EN 818-4, 7 (both second-hand); EN leaves out size.
    """
    sling = figures.sling
    tag, chain = sling.build.tag, sling.chain
    return TagText(
        manufacturer=tag.manufacturer if tag else None,
        grade=chain.grade if sling.basis == "US" else chain.grade // 10,
        size=chain.size,
        legs=sling.loaded_legs,
        reach=sling.build.assembly.reach,
        serial=tag.serial if tag else None,
        ratings=tuple(_ratings(figures)),
    )


def _ratings(figures: Calculation) -> list[StampedRating]:
    sling = figures.sling
    if sling.hitch == "choker":
        duty = figures.duty_rating()
        return [StampedRating(figures.tag_load(duty), f"choker{_at(duty, sling)}")]
    if sling.loaded_legs == 1:
        return [StampedRating(figures.tag_load(figures.rating(90.0)), "straight")]
    steep_first = [(angle, rated) for angle, rated in figures.listed_ratings() if angle < 90]
    return [
        StampedRating(figures.tag_load(rated), f"bridle, {listed_words(angle, sling)}")
        for angle, rated in steep_first
    ]


def _at(rated: Rating, sling: Sling) -> str:
    return f", {listed_words(rated.listed, sling)}" if rated.legs > 1 else ""


def listed_words(from_horizontal_deg: float, sling: Sling) -> str:
    """A listed angle as tags state it: US from the horizontal, EN a range from the vertical."""
    if sling.basis == "US":
        return f"{from_horizontal_deg:g} deg from the horizontal"
    low = 0 if from_horizontal_deg == 45 else 45
    return f"{low} to {90 - from_horizontal_deg:g} deg from the vertical"
