"""The calculation sheet of one build: what `riglint rate` shows and `riglint.rate` returns."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import ParamSpec, TypeVar

from attrs import evolve, field, frozen

from .assembling import assemble
from .calculation import Calculation, LegPull, ProofPull, Rating, Setting
from .check import stock_for
from .figures.removal import RemovalCard, removal_card
from .finding import Unstated
from .judging import Judge, Missing
from .model import Build, Duty, LegAngle
from .policy import Policy
from .problem import Problem, Unreadable
from .quantities import Load
from .reading import read_as, read_build
from .sling import Leg, Part, Sling
from .source import document_of, read_document
from .stamping import TagText, tag_text
from .steps import Step, steps_of
from .tables import chain_size
from .writing import file_values

LINKS_MEASURED = 10  # over how many links an inspector measures stretch
P = ParamSpec("P")
T = TypeVar("T")


@frozen
class PartFigures:
    """One part: the load on the whole sling that it allows, and the load that is asked of it.

    Both in kg on the whole sling, so that `utilization` is their ratio; `pull` is the force
    through the part itself where it is one of a leg.
    """

    part: Part
    capacity: float | None
    demand: float | None
    pull: float | None
    because: str
    source: str

    @property
    def utilization(self) -> float | None:
        """Demand over capacity; None where one of them is not known."""
        if not self.capacity or self.demand is None:
            return None
        return self.demand / self.capacity


@frozen
class RateSheet:
    """Every figure of one build, and what could not be computed for want of which datum."""

    sling: Sling
    figures: Calculation = field(repr=False)
    rating: Rating | None
    exact: Rating | None
    duty: Rating | None
    at_angles: tuple[tuple[float, Rating], ...]
    parts: tuple[PartFigures, ...]
    demand: Load | None
    pulls: tuple[LegPull, ...]
    lift: Rating | None
    reach: float | None
    settings: tuple[tuple[Leg, tuple[Setting, ...]], ...]
    mass: float | None
    tag: TagText | None
    proof: Mapping[str, ProofPull]
    heat: tuple[tuple[str, float, float], ...]
    removal: tuple[tuple[Part, RemovalCard], ...]
    steps: tuple[Step, ...]
    missing: tuple[Missing, ...]
    errors: int = 0

    def _repr_html_(self) -> str:
        """A table of the parts, for notebooks."""
        from .markup import table

        show = self.sling.units.show
        load = self.rating.load if self.rating else None
        rated = f"rated {show(load)}" if load else "not rated"
        rows = [
            (
                ", ".join((one.part.path, *one.part.also)),
                one.part.item.id,
                show(Load(one.capacity)) if one.capacity is not None else "not known",
                f"{one.utilization:.0%}" if one.utilization is not None else "",
                one.because,
            )
            for one in self.parts
        ]
        headings = ("part", "item", "whole sling may carry", "in use", "because")
        return table(f"{self.sling.id}: {rated}", headings, rows)


def rate(
    path: str | Path,
    *,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    hung_from: str | None = None,
    angle: LegAngle | None = None,
    root: str | Path | None = None,
) -> RateSheet:
    """The calculation sheet of the build in a file.

    `hung_from` and `angle` replace the duty's, to see what another lifting point or angle would
    give. Raises Unreadable where the build cannot be read or hung together, or the angle is none
    that legs stand at; TypeError where `hung_from` is no text or `angle` no `LegAngle`.
    """
    file = Path(path)
    judge, stock = stock_for(file, policy, catalogs, root)
    document = read_document(file, str(path))
    build = what_if(read_build(document), hung_from, angle)
    used = judge.policy
    return rate_sling(assemble(build, document, stock, used.practice, used.duty), judge)


def what_if(build: Build, hung_from: str | None, angle: LegAngle | None) -> Build:
    """The build with another lifting point or leg angle, where one is given.

    Raises TypeError where it is none, Unreadable where a build could not say it.
    """
    duty = build.duty
    if hung_from is not None:
        if not isinstance(hung_from, str):
            raise TypeError(f"hung_from is the id of an item, this is a {type(hung_from).__name__}")
        duty = evolve(duty, hung_from=hung_from)
    if angle is not None:
        if not isinstance(angle, LegAngle):
            kind = type(angle).__name__
            wanted = "a LegAngle, such as LegAngle(from_horizontal=Angle(60))"
            raise TypeError(f"angle is {wanted}, this is a {kind}")
        duty = evolve(duty, angle=angle)
    return build if duty is build.duty else evolve(build, duty=_as_in_a_build(duty))


def _as_in_a_build(duty: Duty) -> Duty:
    """The duty, held to what a build's own is: legs stand above 0 and up to 90 deg."""
    what = "the duty asked for"
    try:
        return read_as(document_of(file_values(duty), what), Duty)
    except ValueError as error:
        raise Unreadable(Problem(what, str(error))) from None


def rate_sling(sling: Sling, judge: Judge | None = None) -> RateSheet:
    """The calculation sheet of a sling; a judge counts the errors that its rules find."""
    figures = Calculation(sling)
    gaps = _Gaps()
    rating = gaps.ask("rated load", figures.rating)
    if rating:
        for gap in rating.gaps:
            gaps.note("rated load", gap)
    duty = gaps.ask("rating in the duty", figures.duty_rating)
    known_lift = sling.duty.load_geometry is not None
    lift = gaps.ask("rating in this lift", figures.geometry_duty_rating) if known_lift else None
    governs = lift or duty or rating
    demand = sling.planned_load or (governs.load if governs else None)
    pulls = (gaps.ask("leg tension", figures.leg_pulls, demand) if demand else None) or ()
    reaches = [gaps.ask("reach", figures.reach, leg) for leg in sling.legs]
    known = [reach for reach in reaches if reach is not None]
    return RateSheet(
        sling=sling,
        figures=figures,
        rating=rating,
        exact=figures.exact_rating(rating) if rating else None,
        duty=duty,
        at_angles=gaps.ask("rating by angle", _by_angle, figures) or () if rating else (),
        parts=tuple(_part(figures, part, governs, demand, pulls) for part in sling.parts),
        demand=demand,
        pulls=pulls,
        lift=lift,
        reach=max(known) if known and len(known) == len(reaches) else None,
        settings=tuple(
            (leg, gaps.ask("pocket settings", figures.settings, leg) or ())
            for leg in sling.legs
            if leg.pocket is not None or leg.branch
        ),
        mass=gaps.ask("mass", figures.mass),
        tag=gaps.ask("tag text", tag_text, figures),
        proof=gaps.ask("proof loads", figures.proof_plan) or {},
        heat=gaps.ask("temperatures", figures.heat_ranges) or (),
        removal=tuple(_removal(sling)),
        steps=steps_of(figures),
        missing=tuple(gaps.missing),
        errors=judge.of_sling(sling, figures).count("error") if judge else 0,
    )


def _by_angle(figures: Calculation) -> tuple[tuple[float, Rating], ...]:
    return tuple(figures.listed_ratings())


def _part(
    figures: Calculation,
    part: Part,
    rating: Rating | None,
    demand: float | None,
    pulls: tuple[LegPull, ...],
) -> PartFigures:
    capacity = rating.allowed.get(part.path) if rating else None
    pull = max((one.worst for one in pulls if one.leg is part.leg), default=None)
    if rating is None or capacity is None:
        return PartFigures(part, None, demand, pull, "", "")
    source = figures.allowance_in(part, rating.share).source
    return PartFigures(part, capacity, demand, pull, figures.why(part, rating), source)


def _removal(sling: Sling) -> Iterator[tuple[Part, RemovalCard]]:
    """The sizes at which each item leaves service, of those that a source speaks of."""
    for part in {part.item.id: part for part in sling.parts}.values():
        chain = part.kind == "chain"
        size = part.get("size")
        bar = chain_size(size) if chain and size else part.get("bar")
        try:
            card = removal_card(
                part.kind,
                sling.basis,
                bar_mm=bar,
                pitch_mm=part.get("pitch") if chain else None,
                links=LINKS_MEASURED,
                throat_mm=part.get("throat"),
            )
        except LookupError:
            continue
        if card.smallest_bar or card.longest or card.widest_throat:
            yield part, card


class _Gaps:
    """What could not be computed, once a figure and datum."""

    def __init__(self) -> None:
        self.missing: list[Missing] = []

    def ask(self, figure: str, compute: Callable[P, T], *args: P.args, **kw: P.kwargs) -> T | None:
        try:
            return compute(*args, **kw)
        except Unstated as gap:
            self.note(figure, gap)
            return None

    def note(self, figure: str, gap: Unstated) -> None:
        one = Missing(figure, gap.of, gap.datum, gap.key, str(gap), gap.item)
        if one not in self.missing:
            self.missing.append(one)
