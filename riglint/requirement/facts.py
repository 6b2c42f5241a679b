"""What a requirement may speak of: the data of sheets, and a few facts of the sling."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Literal, get_args, get_origin, get_type_hints

from attrs import frozen

from ..finding import Unstated
from ..model import Basis, Count, Factor, Grade, Hitch, ItemSheet
from ..quantities import Angle, Length, Load, Quantity
from ..rule import Context
from ..sling import Sling
from ..stock import Datum, Sheet

NUMBERS: tuple[Any, ...] = (Grade, Count, Factor)


def _duty_load(sling: Sling, ctx: Context | None) -> Any:
    if sling.duty.load is None:
        raise Unstated("load", "the duty", key="/duty/load")
    return sling.duty.load


def _reach(sling: Sling, ctx: Context | None) -> Any:
    assert ctx is not None
    return Length(max(ctx.figures.reach(leg) for leg in sling.legs))


def _rated_load(sling: Sling, ctx: Context | None) -> Any:
    assert ctx is not None
    return ctx.figures.rating().stated


@frozen
class Fact:
    """A datum that a requirement may name: how its values are read, and how a subject has it.

    `computed` is True for a figure of the sling: it can be asked for, and cannot select.
    """

    kind: Any
    get: Callable[[Any, Context | None], Any]
    computed: bool = False


OF_SLING = {
    "basis": Fact(Basis, lambda sling, ctx: sling.basis),
    "hitch": Fact(Hitch, lambda sling, ctx: sling.hitch),
    "legs": Fact(Count, lambda sling, ctx: sling.loaded_legs),
}
FIGURES = {
    "angle_from_horizontal": Fact(Angle, lambda sling, ctx: Angle(sling.angle)),
    "angle_from_vertical": Fact(Angle, lambda sling, ctx: Angle(round(90 - sling.angle, 9))),
    "load": Fact(Load, _duty_load),
    "reach": Fact(Length, _reach, computed=True),
    "rated_load": Fact(Load, _rated_load, computed=True),
}


def _through(fact: Fact) -> Fact:
    return Fact(fact.kind, lambda part, ctx: fact.get(part.sling, ctx))


def _of_sheet(name: str, kind: Any) -> Fact:
    plain = not isinstance(vars(Sheet).get(name), Datum)

    def get(subject: Any, ctx: Context | None) -> Any:
        value = subject.get(name) if plain else getattr(subject, name)
        if value in (None, ""):
            raise subject.unstated(name)
        return value

    return Fact(kind, get)


def _scalar(hint: Any) -> Any:
    """The type of a datum that is one value, None for lists and tables."""
    kinds = [kind for kind in get_args(hint) if kind is not type(None)]
    kind = kinds[0] if len(kinds) == 1 and get_origin(hint) is not Literal else hint
    plain = kind in (str, bool, *NUMBERS) or get_origin(kind) is Literal
    quantity = isinstance(kind, type) and issubclass(kind, Quantity)
    return kind if plain or quantity or getattr(kind, "__supertype__", None) is str else None


@cache
def facts(about: str) -> dict[str, Fact]:
    """What a requirement about a part, an item or a sling may speak of, by name."""
    if about == "sling":
        return OF_SLING | FIGURES
    kinds = {name: _scalar(hint) for name, hint in get_type_hints(ItemSheet).items()}
    sheet = {name: _of_sheet(name, kind) for name, kind in kinds.items() if kind is not None}
    if about == "part":
        return sheet | {name: _through(fact) for name, fact in OF_SLING.items()}
    return sheet | {"basis": Fact(Basis, lambda item, ctx: item.catalog.basis)}
