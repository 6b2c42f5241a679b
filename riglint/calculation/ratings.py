"""The rating: what the whole may carry at an angle, and what governs it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import floor, isinf

from attrs import evolve, field, frozen

from ..figures import rating, sharing
from ..figures.textile import en_mode_factor
from ..finding import Unstated
from ..model import LEG_KINDS, TagRating, TemperatureRange
from ..quantities import Angle, Load
from ..sling import Leg, Part
from .allowances import OWN_LIMIT, AllowanceFigures
from .base import remembered
from .charts import CHART_STEP_KG, US_STEP_KG
from .hanging import Hang
from .reductions import CHOKER, Reduction, ReductionFigures
from .shares import Allowance, Share

TAG_SLACK = 1.005 * (1 + 1e-9)  # house default: rounding of a tag beyond the published cell
TIE = 1 + 1e-9
STRAIGHT_DEG = 90.0
PARTS_OF_BASKET = 2
OPEN_CHOKE_DEG = 180.0
ALIKE_DEG = 0.1  # house default: legs that stand within it stand alike


@frozen
class Rating:
    """The rated load at one hitch and angle, in kg, and what governs it.

    `load` is None where a part is unrated or its figures are not stated; `at_most` is then
    what the known parts allow. `share` has the angle that rates it and the
    legs that count. `products` has what each part allows before the published cell is taken.
    """

    angle: float
    share: Share
    load: Load | None
    at_most: Load | None
    governed_by: Part | None
    allowed: dict[str, float] = field(repr=False)
    products: dict[str, float] = field(repr=False)
    gaps: tuple[Unstated, ...] = ()
    reductions: tuple[Reduction, ...] = ()

    @property
    def legs(self) -> int:
        """How many legs count."""
        return self.share.legs

    @property
    def listed(self) -> float:
        """The angle that rates it, in deg from the horizontal."""
        return self.share.angle

    @property
    def factor(self) -> float:
        """The leg factor: the load on the sling over the pull in a leg."""
        return self.share.factor

    @property
    def product(self) -> float | None:
        """The figure before the published cell is taken, in kg; None where there is none."""
        return min(self.products.values(), default=None)

    @property
    def stated(self) -> Load:
        """The rated load; raises Unstated where it is not known."""
        if self.load is None:
            raise self.gaps[0]
        return self.load


@frozen
class LegPull:
    """What one leg pulls under a load, in kg, and its angle from the horizontal in deg.

    `worst` is the most that it may come to; `tension` what it pulls where that is certain: four
    legs and more share a load in more than one way.
    """

    ref: str
    leg: Leg = field(repr=False)
    tension: float | None
    worst: float
    angle: float | None


class RatingFigures(AllowanceFigures, ReductionFigures):
    """Sharing and rating."""

    SLACK = 1 + 1e-6
    ROUNDING_DEG = 1e-6

    def geometry_rating(self) -> Rating:
        """What each part allows of a load of known geometry, and so the whole."""
        hang = self.hang()
        return self._rated(
            Share(len(hang.refs), min(hang.angles), 1 / hang.worst, False, hang.pulls)
        )

    def geometry_duty_rating(self) -> Rating:
        """What is left of that in the planned duty: hot, choked, over an edge."""
        return self.reduced(self.geometry_rating(), self.duty_reductions())

    def geometry_duty_bound(self) -> Rating:
        """That, or where a reduction is not known, what it cannot be more than."""
        return self._bound(self.geometry_rating(), self.duty_reductions)

    @remembered
    def upper_share(self) -> Share | None:
        """How the legs that a spreader hangs by share the load; None without a spreader.

        Two that stand alike are rated as two legs at their angle, others by their own pulls.
        """
        held = [gathering for gathering in self.sling.gatherings if gathering.held_by]
        if not held:
            return None
        if len(held) > 1:
            names = " and ".join(gathering.path for gathering in held)
            raise Unstated("spreader", why=f"{names}: a qualified person rates two spreaders")
        hang = self.upper_hang(held[0])
        angle, legs = min(hang.angles), len(hang.refs)
        if max(hang.angles) - angle > ALIKE_DEG:
            return Share(legs, angle, 1 / hang.worst, False, hang.pulls)
        return self._even_share(legs, angle)

    def _even_share(self, legs: int, from_horizontal: float, *, exact: bool = False) -> Share:
        """How legs that stand alike share a load: at the angle that rates them, or their own."""
        angle = from_horizontal if exact else self.rated_angle(from_horizontal)
        angle = STRAIGHT_DEG if legs == 1 else angle
        stands = STRAIGHT_DEG if legs == 1 else from_horizontal
        if exact or self.sling.practice.angles == "exact":
            return Share(legs, angle, sharing.legs_times_sine(legs, angle), False, stands=stands)
        if self._hangs_plumb(from_horizontal):
            return Share(legs, STRAIGHT_DEG, float(legs), False)
        factor = rating.leg_factor(self.sling.basis, legs, angle)
        return Share(legs, angle, factor, stands=stands)

    def _hangs_plumb(self, from_horizontal: float) -> bool:
        """Whether legs hang straight down from a spreader, each with an equal part of the load.

        They are no bridle, of which the EN leg factor speaks.
        """
        return self.sling.has_spreader and from_horizontal > STRAIGHT_DEG - ALIKE_DEG

    def counted_for_load(self) -> int:
        """The legs that the planned load counts: 2 of four where it is rigid, or by practice."""
        sling = self.sling
        if sling.loaded_legs == sharing.MOST_LEGS and sling.duty.load_is_rigid:
            return 2
        if sling.loaded_legs == sharing.MOST_LEGS:
            return sling.practice.four_legs_count
        return self.effective_legs()

    def rated_angle(self, from_horizontal: float) -> float:
        """The angle that rates a leg: the next lower listed one, or exact by practice."""
        if self.sling.practice.angles == "exact":
            return from_horizontal
        return rating.listed_angle(from_horizontal, self.sling.basis)

    def rating(self, from_horizontal: float | None = None, *, straight: bool = False) -> Rating:
        """The plate's rating at an angle (default: the duty's), or for one straight leg.

        Legs that stand differently on purpose are rated as they stand, at whatever angle they
        are asked for. Raises Unstated where an angle that is needed is not given.
        """
        sling = self.sling
        if sling.legs_differ and not straight:
            return self._unlike_rating()
        if from_horizontal is None:
            straight = sling.hitch == "straight"
            from_horizontal = 90.0 if sling.loaded_legs == 1 else self.leg_angle()
        legs = 1 if straight else self.effective_legs()
        parallel = self._parallel_basket(sling.duty.hitch, legs, from_horizontal)
        return self._rated(parallel) if parallel else self._rating(legs, from_horizontal)

    def _unlike_rating(self) -> Rating:
        """Legs that stand differently: as the load's geometry says, else two of them at a time.

        Two legs share by the sine rule. Of more, each pulls most where it shares with the
        flattest of the others alone: that is the greatest pull that any equilibrium gives it.
        """
        sling = self.sling
        if sling.duty.load_geometry is not None:
            return self.geometry_rating()
        if sling.spreader is not None:
            why = "legs that stand differently under a spreader; a qualified person rates them"
            raise Unstated("angle", "the duty", why=why)
        angles = self._own_angles()
        pulls = tuple((leg.path, _worst_pair(leg, angles)) for leg in angles)
        worst = max(pull for _, pull in pulls)
        return self._rated(Share(sling.loaded_legs, min(angles.values()), 1 / worst, False, pulls))

    def _own_angles(self) -> dict[Leg, float]:
        """The angle of each leg from the horizontal, its own or the duty's. Raises Unstated."""
        sling = self.sling
        legs = sling.bearing_legs
        stated = {leg: leg.entry.angle or sling.duty.angle for leg in legs}
        angles = {leg: angle.horizontal for leg, angle in stated.items() if angle is not None}
        if len(angles) < len(legs) or not any(leg.entry.angle for leg in legs):
            why = "the legs differ on purpose: give the angle of each, or the load's geometry"
            raise Unstated("angle", "the duty", why=why)
        plumb = [leg for leg, angle in angles.items() if angle > STRAIGHT_DEG - ALIKE_DEG]
        if sum(leg.loaded_legs for leg in plumb) > 1:
            why = "several legs hang plumb: where the load is picked decides what each pulls"
            raise Unstated("load_geometry", "the duty", why=why)
        return angles

    def leg_angle(self) -> float:
        """The angle of the legs in the planned use, in deg from the horizontal: the duty's, else
        the flattest that the load's geometry, or the legs' own angles, give."""
        sling = self.sling
        if sling.duty.angle is not None:
            return sling.angle
        own = [leg.entry.angle.horizontal for leg in sling.bearing_legs if leg.entry.angle]
        if own and len(own) == len(sling.bearing_legs):
            return min(own)
        if sling.duty.load_geometry and sling.hitch != "straight":
            return min(self.hang().angles)
        return sling.angle

    def _parallel_basket(self, hitch: str | None, legs: int, angle: float) -> Share | None:
        """How a textile basket shares that hangs with parallel parts: EN 1492 has a factor."""
        sling = self.sling
        textile = sling.basis == "EN" and sling.family == "textile"
        if not textile or hitch != "basket" or legs != PARTS_OF_BASKET or angle < STRAIGHT_DEG:
            return None
        return Share(legs, STRAIGHT_DEG, float(en_mode_factor("basket")))

    @remembered
    def _rating(self, legs: int, from_horizontal: float, *, exact: bool = False) -> Rating:
        return self._rated(self._even_share(legs, from_horizontal, exact=exact), from_horizontal)

    def _rated(self, share: Share, from_horizontal: float | None = None) -> Rating:
        """What each part allows in a share, and so the whole."""
        self.check_computed()
        upper = self.upper_share()
        if upper is not None:
            share = evolve(share, upper=upper)
        allowed: dict[str, float] = {}
        gaps: list[Unstated] = []
        products: dict[str, float] = {}
        for part in self.sling.parts:
            try:
                allowance = self.allowance_in(part, share)
                if allowance.unrated:
                    raise self.unrated(part)
                load = self.allows(allowance, share)
            except Unstated as gap:
                gaps.append(gap)
                continue
            if isinf(load):
                continue  # a leg that hangs slack limits nothing
            allowed[part.path] = load
            products[part.path] = self._product(allowance, share)
        known = Load(min(allowed.values())) if allowed else None
        return Rating(
            share.angle if from_horizontal is None else from_horizontal,
            share,
            None if gaps else known,
            known,
            None if gaps else self._governor(allowed),
            allowed,
            products,
            tuple(gaps),
        )

    def _governor(self, allowed: dict[str, float]) -> Part | None:
        """The part that allows least; of equal ones the legs' material, then by their paths."""
        if not allowed:
            return None
        most = min(allowed.values()) * TIE
        equal = (part for part in self.sling.parts if allowed.get(part.path, most + 1) <= most)
        return min(equal, key=lambda part: (part.kind not in LEG_KINDS, part.path))

    def allowance_in(self, part: Part, share: Share) -> Allowance:
        """What a part allows, by the row of its chart that allows most in a share."""
        ways = self.allowances(part)
        return ways[0] if len(ways) == 1 else max(ways, key=lambda way: self.allows(way, share))

    def tag_rating(self, row: TagRating) -> Rating:
        """The rating that a tag row is held to: at its own hitch and its flattest angle.

        Raises Unstated where the row's hitch or its reduced duty is not computed.
        """
        return self.reduced(self._plain_tag_rating(row), self.tag_reductions(row))

    def tag_bound(self, row: TagRating) -> Rating:
        """That, or where a reduction is not known, what it cannot be more than.

        Raises Unstated where the row's hitch or angle is not computed.
        """
        return self._bound(self._plain_tag_rating(row), lambda: self.tag_reductions(row))

    def _plain_tag_rating(self, row: TagRating) -> Rating:
        hitch = row.hitch or self.sling.hitch
        for leg in self.sling.bearing_legs if hitch != "choker" else ():
            if self.is_choked_loop(leg.rope):
                raise self.no_limit_of_its_own(leg.rope)
        if hitch == "straight":
            return self.rating(STRAIGHT_DEG, straight=True)
        angle = None if row.angle is None else row.angle.flattest
        loaded = self.loaded_in(hitch)
        if loaded == 1 or (hitch == "basket" and angle is None):
            angle = STRAIGHT_DEG
        if angle is not None and self.sling.legs_differ:
            return self._unlike_at(angle)
        if angle is not None:
            legs = self.effective_legs(loaded=loaded)
            parallel = self._parallel_basket(hitch, legs, angle)
            return self._rated(parallel) if parallel else self._rating(legs, angle)
        raise Unstated("angle", "the tag", why="a rating row of the tag says no angle")

    def _unlike_at(self, angle: float) -> Rating:
        """What legs that stand differently carry by a tag row of an angle: as they stand, or all
        of them at that angle where it is flatter."""
        stands = self._unlike_rating()
        if angle >= stands.angle - self.ROUNDING_DEG:
            return stands
        flatter = self._rating(self.effective_legs(), angle)
        return min(stands, flatter, key=lambda one: one.at_most or 0.0)

    def loaded_in(self, hitch: str) -> int:
        """How many loaded legs the sling has in a hitch: two a leg in a basket, else one."""
        legs = self.sling.bearing_legs
        if hitch == self.sling.duty.hitch:
            return self.sling.loaded_legs
        return sum(leg.count * (2 if hitch == "basket" else 1) for leg in legs)

    def tag_reductions(self, row: TagRating) -> tuple[Reduction, ...]:
        """What a tag row's own duty takes off: its temperature, edge and choker hitch.

        A choker row that gives no angle of choke is read as one that takes nothing further off.
        """
        found = []
        if row.temperature is not None:
            heat = self.heat(TemperatureRange(high=row.temperature))
            found.append(heat if heat is not None else Reduction("temperature", 0.0, ""))
        if row.edge_radius is not None:
            found.append(self.edge(row.edge_radius))
        if (row.hitch or self.sling.duty.hitch) == "choker":
            found.append(self.choke(row.choke_angle or Angle(OPEN_CHOKE_DEG)))
        return tuple(reduction for reduction in found if reduction.share < 1)

    def covers_choke(self, row: TagRating) -> bool:
        """Whether a choker row of the tag holds at the duty's angle of choke."""
        duty = self.sling.duty.choke_angle or Angle(OPEN_CHOKE_DEG)
        return self.choke(row.choke_angle or Angle(OPEN_CHOKE_DEG)).share <= self.choke(duty).share

    def reduced(self, rated: Rating, reductions: tuple[Reduction, ...]) -> Rating:
        """A rating with what a duty takes off each part's share of it."""
        if not reductions:
            return rated
        shares = dict.fromkeys(rated.allowed, 1.0)
        parts = {part.path: part for part in self.sling.parts if part.path in shares}
        for reduction in reductions:
            for path, part in parts.items():
                shares[path] *= reduction.share if reduction.applies_to(part) else 1.0
        chokes = all(one.what == CHOKER for one in reductions)
        # DGUV 209-021 chokes the exact product, not the rounded cell (4 mm, two legs: 560 kg)
        choked = self.sling.basis == "EN" and any(one.what == CHOKER for one in reductions)
        plain = {
            path: min(load, rated.products[path]) if choked else load
            for path, load in rated.allowed.items()
        }
        allowed = {path: load * shares[path] for path, load in plain.items()}
        least = min(allowed.values(), default=None)
        known = None if least is None else Load(least)
        return evolve(
            rated,
            load=None if rated.gaps else known,
            at_most=known,
            # OSHA's choker cells are rounded to 100 lb as its others are; heat and edges have none
            products={
                path: product * shares[path] for path, product in rated.products.items() if chokes
            },
            governed_by=None if rated.gaps else self._governor(allowed),
            allowed=allowed,
            reductions=reductions,
        )

    def shortened_rating(self, leg: Leg, rated: Rating, strength_factor: float) -> float:
        """The rated load with a leg's chain at a share of its limit, in kg."""
        chain = rated.allowed.get(leg.chain.path)
        if chain is None:
            raise rated.gaps[0]
        return min(rated.stated, chain * strength_factor)

    def why(self, part: Part, rated: Rating) -> str:
        """In a few words, why a part allows what it allows."""
        allowance = self.allowance_in(part, rated.share)
        show = self.sling.units.show
        if allowance.row is not None:
            legs = max(allowance.row.legs)
            use = "one leg" if legs == 1 else f"{legs} legs"
            return f"its chart: {show(allowance.row.limit)} for {use} of {allowance.row.size}"
        if allowance.tension is None:
            return f"its limit of {show(Load(allowance.load or 0.0))}"
        limit = show(Load(allowance.tension))
        share = self.share_at(part, rated.share)
        if allowance.because not in ("", OWN_LIMIT):
            limit = f"{allowance.because} = {limit}"
        off = self.share_off_axis(part, self.stands(part, share))
        if off < 1:
            return f"{limit} a leg, {100 * off:.0f} % of it so far off its axis"
        if share.legs == 1:
            return f"{limit} on one leg"
        scale = self.scale_of(allowance, rated.share)
        if scale is None or scale.flatter is not None:
            return f"{limit} a leg x {share.factor:.4g}"
        if allowance.tension * TIE < scale.single:
            return (
                f"{limit} a leg, where {show(Load(float(scale.cell)))} is published for"
                f" {show(Load(float(scale.single)))}"
            )
        return f"{limit} a leg; published {show(Load(float(scale.cell)))}"

    def _product(self, allowance: Allowance, share: Share) -> float:
        part, by_pull = allowance.part, float("inf")
        if allowance.tension is not None:
            at = self.share_at(part, share)
            by_pull = (
                allowance.tension * at.factor * self.share_off_axis(part, self.stands(part, at))
            )
        return min(by_pull, allowance.load if allowance.load is not None else float("inf"))

    def tag_allows(self, rated: Rating) -> float:
        """The greatest load that a tag may state for a rating, in kg; by the known parts at least.

        The rated load, the product rounded half up to 100 lb where US tables round so, or
        0.5 % more, whichever is largest.
        """
        known = rated.load if rated.load is not None else rated.at_most
        if known is None:
            raise rated.gaps[0]
        most = known * TAG_SLACK
        sling = self.sling
        rounds = sling.basis == "US" and sling.is_chain_sling and sling.chain.grade in (80, 100)
        if rounds and rated.product is not None:
            most = max(most, rating.rounded_half_up(rated.product, US_STEP_KG))
        return most

    def exact_product(self, rated: Rating) -> bool:
        """Whether the rated load is the exact product of the leg factor, not a published cell."""
        return rated.product is not None and abs(rated.stated - rated.product) < 1e-6

    def exact_rating(self, rated: Rating) -> Rating | None:
        """The rating at the exact angle where a listed one rates the sling; None if the same."""
        if self.sling.legs_differ:
            return None
        legs = 1 if self.sling.hitch == "straight" else self.effective_legs()
        if legs == 1 or rated.listed == rated.angle:
            return None
        return self._rating(legs, rated.angle, exact=True)

    def duty_factor(self) -> float:
        """The number of single-leg pulls that the duty's load is shared into.

        US: n sin(theta) at the exact angle, which is what the legs feel; EN: the leg factor of
        EN 818-4, Table 3. Raises Unstated.
        """
        self.check_computed()
        sling = self.sling
        if sling.hitch == "straight" or sling.loaded_legs == 1:
            return 1.0
        if sling.legs_differ:
            return self.rating().factor
        counted, angle = self.counted_for_load(), self.leg_angle()
        parallel = self._parallel_basket(sling.hitch, counted, angle)
        if parallel is not None:
            return parallel.factor
        if sling.basis == "EN" and not self._hangs_plumb(angle):
            return rating.leg_factor("EN", counted, angle)
        return sharing.legs_times_sine(counted, angle)

    def leg_pulls(self, load: float) -> tuple[LegPull, ...]:
        """What each leg pulls under a load, those that a spreader hangs by first. Raises Unstated.

        By the load's geometry where it is given, else shared as the duty's legs are counted.
        """
        spreader = self.sling.spreader
        upper: tuple[LegPull, ...] = ()
        if spreader is not None:
            borne = load + spreader.part.mass
            upper = self._hung_pulls(self.upper_hang(spreader), borne)
        if self.sling.duty.load_geometry is not None:
            return self._hung_pulls(self.hang(), load)
        return (*upper, *self._shared_pulls(load))

    def _hung_pulls(self, hang: Hang, load: float) -> tuple[LegPull, ...]:
        times = load / hang.mass
        sure = hang.lift.tensions
        return tuple(
            LegPull(
                ref,
                hang.legs[n],
                None if sure is None else sure[n] * times,
                hang.lift.worst[n] * times,
                hang.angles[n],
            )
            for n, ref in enumerate(hang.refs)
        )

    def _shared_pulls(self, load: float) -> tuple[LegPull, ...]:
        factor, angle = self.duty_factor(), self.duty_angle()
        own = dict(self.rating().share.pulls) if self.sling.legs_differ else {}
        pulls = []
        for leg in self.sling.bearing_legs:
            pull = load * own[leg.path] if leg.path in own else load / factor
            stands = leg.entry.angle.horizontal if leg.entry.angle else angle
            pulls += [LegPull(ref, leg, pull, pull, stands) for ref in leg.refs]
        return tuple(pulls)

    def tag_load(self, rated: Rating) -> Load:
        """What a tag may state for a rating: the published cell, else rounded down.

        To 100 lb or 10 kg (house default).
        """
        step = CHART_STEP_KG[self.sling.basis]
        return Load(floor(rated.stated / step + 1e-6) * step)

    def duty_angle(self) -> float | None:
        """The legs' angle in the duty, in deg from the horizontal; None where it is not given."""
        try:
            return self.leg_angle()
        except Unstated:
            return None

    def duty_rating(self) -> Rating:
        """The rating for the planned load: by the legs that it counts.

        Raises Unstated where a reduction applies for which no figure is at hand.
        """
        return self.reduced(self._shared_rating(), self.duty_reductions())

    def duty_bound(self) -> Rating:
        """That, or where a reduction is not known, what it cannot be more than.

        A load that is too much before anything is taken off is too much.
        """
        return self._bound(self._shared_rating(), self.duty_reductions)

    def _bound(self, plain: Rating, reductions: Callable[[], tuple[Reduction, ...]]) -> Rating:
        """A reduced rating; with what lacks as its gap where a reduction is not known."""
        try:
            return self.reduced(plain, reductions())
        except Unstated as gap:
            return evolve(plain, load=None, governed_by=None, gaps=(gap, *plain.gaps))

    def _shared_rating(self) -> Rating:
        """The rating by the legs that the planned load counts."""
        counted, plate = self.counted_for_load(), self.rating()
        straight = self.sling.hitch == "straight"
        if counted == self.effective_legs() or straight or self.sling.legs_differ:
            return plate
        return self._rating(counted, self.leg_angle())

    def listed_ratings(self) -> Iterator[tuple[float, Rating]]:
        """The rating at each of the basis's listed angles, in deg from the horizontal."""
        if self.sling.loaded_legs == 1 or self.sling.legs_differ:
            return
        listed = rating.US_LISTED_DEG if self.sling.basis == "US" else rating.EN_LISTED_DEG
        for angle in listed:
            yield angle, self.rating(angle)


def _worst_pair(leg: Leg, angles: dict[Leg, float]) -> float:
    """The greatest share of the load that a leg pulls: beside the flattest other leg alone."""
    from ..figures.statics import by_sine_rule

    others = [angle for other, angle in angles.items() if other is not leg]
    if leg.loaded_legs > 1:
        others.append(angles[leg])
    try:
        return by_sine_rule(1.0, angles[leg], min(others))[0]
    except ValueError as error:
        raise Unstated("angle", leg.path, why=f"{error}; a qualified person rates them") from None
