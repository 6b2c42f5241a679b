"""What no sheet of a chain or a link can truthfully state: by the steel, and by its own chart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import field, frozen

from .steel import breaking_load

STEEL_SLACK = 1.02  # house default: published limits lie up to 1.1 % over the formula
LIMIT_SLACK = 0.005  # house default: limits are rounded
SIZE_SLACK = 1e-6
LEAST_FACTOR_DEG = 30.0  # from here up two legs carry at least what one straight leg carries


def most_by_steel(bar_mm: float, grade: int, design_factor: float) -> float:
    """The greatest limit that two sections of this bar and grade can hold, in kg.

    ASTM A391-21 and A973-21, clause 1: 2 (pi/4) d^2 x 10 x grade N/mm2, over the design factor,
    and 2 % more for rounding. A link hangs on its own two bars likewise.
    """
    return STEEL_SLACK * breaking_load(bar_mm, grade) / design_factor


def borne_by_link(limit_kg: float, legs: int, gathers_all: bool) -> float:
    """The least load, in kg, that a link carries under a chart row's limit on the whole sling.

    A master link carries it all. Of the three legs that count in a three- or four-leg sling, an
    intermediate link gathers two. Statics of a symmetric lift.
    """
    return limit_kg if gathers_all or legs <= 2 else limit_kg * 2 / 3


@frozen
class Use:
    """One use with its limit in kg: so many legs of a kind, size and grade, at an angle.

    Only uses of one `family` (kind of leg, design factor) can be compared.
    """

    family: tuple[object, ...]
    size_mm: float
    grade: int
    legs: tuple[int, ...]
    from_horizontal_deg: float
    limit: float = field(eq=False)

    def same_as(self, other: Use) -> bool:
        """Whether both speak of one and the same use."""
        alike = (
            self.family == other.family
            and self.grade == other.grade
            and abs(self.size_mm - other.size_mm) < SIZE_SLACK
            and abs(self.from_horizontal_deg - other.from_horizontal_deg) < SIZE_SLACK
        )
        return alike and not set(self.legs).isdisjoint(other.legs)

    def asks_more_than(self, other: Use) -> bool:
        """Whether it carries at least what another use carries: never less in any respect.

        As large, as many legs, as high a grade, as steep; legs from 30 deg up carry together
        what one straight leg carries. Statics of a symmetric lift.
        """
        if self.family != other.family or self.same_as(other):
            return False
        one = max(other.legs) == 1 < max(self.legs)
        steep = LEAST_FACTOR_DEG if one else other.from_horizontal_deg
        return (
            self.size_mm >= other.size_mm - SIZE_SLACK
            and max(self.legs) >= max(other.legs)
            and self.grade >= other.grade
            and self.from_horizontal_deg >= steep - SIZE_SLACK
        )


def contradictions(uses: Sequence[Use], *, repeats: bool = True) -> Iterator[tuple[int, int]]:
    """The uses that cannot be right, each with one that speaks against it, by their places.

    One carries less than another that cannot carry more, or, with `repeats`, is listed twice with
    different limits. See `blamed` for which of two is named.
    """
    pairs = []
    for n, one in enumerate(uses):
        for m, other in enumerate(uses[:n]):
            if _much_less(one, other) and one.asks_more_than(other):
                pairs.append((n, m))
            elif _much_less(other, one) and other.asks_more_than(one):
                pairs.append((m, n))
            elif repeats and one.same_as(other) and _differ(one, other):
                pairs.append((n, m))
    return blamed(pairs)


def blamed(pairs: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The fewest entries that explain all pairs: first the one that most others speak against.

    Of two that speak against each other alone, the first of the pair is named. House default.
    """
    against: dict[int, dict[int, None]] = {}
    for one, other in pairs:
        against.setdefault(one, {})[other] = None
        against.setdefault(other, {})[one] = None
    firsts = {one for one, _ in pairs}
    while against:
        worst = max(against, key=lambda one: (len(against[one]), one in firsts, -one))
        others = against.pop(worst)
        yield worst, next(iter(others))
        for other in others:
            del against[other][worst]
            if not against[other]:
                del against[other]


def _much_less(one: Use, other: Use) -> bool:
    return one.limit < other.limit * (1 - LIMIT_SLACK)


def _differ(one: Use, other: Use) -> bool:
    return _much_less(one, other) or _much_less(other, one)


EN_PROPORTIONS = "EN 818-3, Table 2 (second-hand; EN 818-2 has the same from memory)"
TRADE_PROPORTIONS = "proportions of US lifting chain, from memory"
WRITTEN_MM = 0.13  # half a hundredth of an inch, to which sheets round


@frozen
class Span:
    """Within which a dimension lies, in mm, and by what."""

    least: float
    most: float
    source: str

    def holds(self, value_mm: float) -> bool:
        return self.least - WRITTEN_MM <= value_mm <= self.most + WRITTEN_MM


def chain_spans(basis: str, size_mm: float) -> dict[str, Span]:
    """Pitch, bar and inside width of short link lifting chain of a size, in mm.

    EN 818-3, Table 2: pitch 3 d +/- 3 %, bar +/- 5 %, outside width up to 3.7 d over the weld, so
    inside up to 1.8 d. US, from memory: pitch up to 3.2 d (3.3 d printed for 5/16 in), inside
    width 1.25 d to 1.5 d (1.53 d printed for 3/8 in).
    """
    en = basis == "EN"
    by = EN_PROPORTIONS if en else TRADE_PROPORTIONS
    return {
        "pitch": Span(2.91 * size_mm, (3.09 if en else 3.3) * size_mm, by),
        "bar": Span(0.95 * size_mm, 1.05 * size_mm, EN_PROPORTIONS),
        "inside_width": Span(1.25 * size_mm, (1.8 if en else 1.53) * size_mm, by),
    }


RING_SLACK = 0.05  # house default: a ring that is out of round by more is none


def link_faults(
    bar_mm: float,
    inside_width_mm: float,
    inside_length_mm: float,
    *,
    flat_mm: float | None = None,
    ring: bool = False,
) -> Iterator[tuple[str, float, float]]:
    """What makes a link's dimensions impossible: the dimension, its value and the other's, in mm.

    Its bar must go through another such link, it is at least as long as wide (a ring just as
    wide), and a flat is thinner than the bar it is made of. Geometry.
    """
    if bar_mm >= inside_width_mm:
        yield "bar", bar_mm, inside_width_mm
    apart = abs(inside_length_mm - inside_width_mm)
    if inside_length_mm < inside_width_mm or (ring and apart > RING_SLACK * inside_width_mm):
        yield "inside_length", inside_length_mm, inside_width_mm
    if flat_mm is not None and flat_mm > bar_mm:
        yield "flat", flat_mm, bar_mm
