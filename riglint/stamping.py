"""The text of the identification tag, ready to stamp, as the basis of the sling asks for it."""

from __future__ import annotations

from attrs import frozen

from .calculation import Calculation, Rating
from .quantities import Length, Load
from .sling import Sling

STRAIGHT_DEG = 90.0


@frozen
class StampedRating:
    """One rating to stamp: the load, rounded down to what tags state, and where it holds."""

    load: Load
    angle: str


@frozen
class TagText:
    """What to stamp; a field that the build does not settle is None."""

    manufacturer: str | None
    grade: int | None
    size: str | None
    material: str | None
    legs: int
    reach: Length | None
    serial: str | None
    ratings: tuple[StampedRating, ...]


def tag_text(figures: Calculation) -> TagText:
    """The tag of a sling; raises Unstated where a rating or what its legs are of is not known.

    Contents: the table `tag`; EN 818-4, 7, leaves out the size.
    """
    sling = figures.sling
    tag, chain = sling.build.tag, sling.is_chain_sling
    grade = sling.chain.grade if chain else None
    return TagText(
        manufacturer=tag.manufacturer if tag else None,
        grade=grade if grade is None or sling.basis == "US" else grade // 10,
        size=sling.chain.size if chain else _size(figures),
        material=_material(sling),
        legs=sum(leg.count for leg in sling.bearing_legs),
        reach=sling.build.assembly.reach,
        serial=tag.serial if tag else None,
        ratings=tuple(_ratings(figures)),
    )


def _size(figures: Calculation) -> str:
    """The largest size of what the legs are made of, in words."""
    sizes = [figures.size_of(leg.rope) for leg in figures.sling.legs]
    largest = max(sizes, key=lambda size: size if isinstance(size, float) else 0.0)
    show = figures.sling.units.show
    if _go_by_names(figures):
        return str(figures.sling.legs[0].rope.size)
    return show(Length(largest)) if isinstance(largest, float) else largest


def _go_by_names(figures: Calculation) -> bool:
    """Whether its legs go by names, as roundslings do, not by a dimension."""
    return any(leg.kind == "roundsling" for leg in figures.sling.legs)


def _material(sling: Sling) -> str | None:
    """What textile legs are made of; None for steel."""
    return sling.legs[0].rope.get("material") if sling.family == "textile" else None


def _ratings(figures: Calculation) -> list[StampedRating]:
    sling = figures.sling
    if sling.hitch in ("choker", "basket"):
        duty = figures.duty_rating()
        words = f"{sling.hitch}{_at(duty, sling)}{_choked(sling)}"
        return [StampedRating(figures.tag_load(duty), words)]
    if sling.legs_differ:
        rated = figures.rating()
        return [StampedRating(figures.tag_load(rated), "its legs as they stand in this build")]
    if sling.loaded_legs == 1:
        return [StampedRating(figures.tag_load(figures.rating(90.0)), "straight")]
    # a bridle has no legs at 90 deg; the legs below a spreader have
    upright = sling.spreader is not None
    steep_first = [
        (angle, rated) for angle, rated in figures.listed_ratings() if angle < 90 or upright
    ]
    return [
        StampedRating(figures.tag_load(rated), f"bridle, {listed_words(angle, sling)}")
        for angle, rated in steep_first
    ]


def _choked(sling: Sling) -> str:
    angle = sling.duty.choke_angle
    return "" if sling.hitch != "choker" or angle is None else f", choked at {angle:.4g} deg"


def _at(rated: Rating, sling: Sling) -> str:
    return f", {listed_words(rated.listed, sling)}" if rated.legs > 1 else ""


def listed_words(from_horizontal_deg: float, sling: Sling) -> str:
    """A listed angle as tags state it: US from the horizontal, EN a range from the vertical."""
    if sling.basis == "US":
        return f"{from_horizontal_deg:g} deg from the horizontal"
    if from_horizontal_deg >= STRAIGHT_DEG:
        return "parallel, 0 deg from the vertical"
    low = 0 if from_horizontal_deg == 45 else 45
    return f"{low} to {90 - from_horizontal_deg:g} deg from the vertical"
