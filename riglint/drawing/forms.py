"""Which shape a part has: its sheet's dimensions where stated, usual proportions where not."""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from ..model import BY_DIAMETER, HOOK_KINDS, LINK_KINDS, ROPE_KINDS, TEXTILE_KINDS
from ..quantities import Quantity
from ..sling import Part
from ..stock import Item, Sheet
from ..tables import chain_size
from . import shapes
from .shapes import Figure, Measures

USUAL_SIZE_MM = 10.0
STRANDS = ROPE_KINDS | TEXTILE_KINDS
Form = Callable[["Sizes"], Figure]


@frozen
class Cut:
    """How a chain or strand is drawn shorter than it is.

    Of chain so many links above and below a gap; of a strand the length that is left of it, with
    the gap in its middle, and the lengths of the eyes at its ends.
    """

    above: int = 0
    below: int = 0
    gap: float = 0.0
    length: float = 0.0
    eyes: tuple[float, float] = (0.0, 0.0)


class Sizes:
    """The dimensions of one sheet, with what it does not state."""

    def __init__(self, sheet: Sheet, around: float) -> None:
        self.sheet, self.around = sheet, around
        self.missing: list[str] = []
        self.stated: list[tuple[str, float]] = []

    def of(self, datum: str, usual: float) -> float:
        """A dimension in mm: as stated, or the usual one, noted as missing."""
        value = self.sheet.get(datum)
        if value is None:
            self.missing.append(datum)
            return usual
        self.stated.append((datum, float(value)))
        return float(value)

    def maybe(self, datum: str, usual: float) -> float:
        """A dimension that sheets of its kind need not state."""
        value = self.sheet.get(datum)
        return usual if value is None else self.of(datum, usual)

    @property
    def measures(self) -> Measures:
        return tuple(self.stated)


def stated_in(sheet: Sheet, datum: str) -> Quantity | None:
    """A datum of a sheet as it is written; `pocket.height` is that of its pocket."""
    owner, _, name = datum.rpartition(".")
    value: Quantity | None = getattr(sheet.get(owner), name, None) if owner else sheet.get(name)
    return value


def size_of(sheet: Sheet, around: float) -> float:
    """The millimetre size that a part is made for: its own, or that of the sling around it."""
    name = sheet.get("size")
    return (chain_size(name) if name else None) or around


def chain_size_around(parts: tuple[Part, ...]) -> float:
    """The size that parts without a size of their own are drawn for, in mm."""
    sizes = [size_of(part, 0.0) for part in parts if part.kind == "chain"]
    return next((size for size in sizes if size), USUAL_SIZE_MM)


def figure_of(part: Part, around: float, cut: Cut | None = None, *, up: bool = False) -> Figure:
    """The shape of a part. `cut` says how a chain or strand is broken out, `up` turns an eye."""
    sizes = Sizes(part, size_of(part, around))
    if part.kind == "chain":
        made = _chain(sizes, cut or Cut(part.links or 1))
    elif part.kind in STRANDS:
        made = _strand(sizes, cut or Cut(length=float(part.length or 1000.0)))
    elif part.kind == "eye":
        made = _eye(sizes, up=up)
    elif part.kind == "spreader":
        made = _spreader(sizes, (cut or Cut()).gap, up=up)
    else:
        made = FORMS.get(part.kind, _plain)(sizes)
    return made.lacking(tuple(dict.fromkeys(sizes.missing)))


def _link(sizes: Sizes) -> Figure:
    d = sizes.around
    length = sizes.of("inside_length", 15 * d)
    width = sizes.of("inside_width", length * 0.55)
    top = sizes.of("top_width", 1.6 * width) if sizes.sheet.get("shape") == "pear" else None
    bar = sizes.of("bar", 2 * d)
    made = shapes.link(length, width, bar, sizes.measures, top)
    pocket = sizes.sheet.get("pocket")
    if pocket is None:
        return made
    if pocket.height is None:
        sizes.missing.append("pocket.height")
    height = length * 0.4 if pocket.height is None else float(pocket.height)
    size = chain_size(pocket.size or "") or d
    measures: Measures = (("pocket.height", height),) if pocket.height is not None else ()
    lugs = shapes.lugs(made, bar, height, size, pocket.count or 2, measures)
    left, upper, right, lower = made.box
    wide = 2.2 * size
    return evolve(
        made,
        outlines=(*lugs, *made.outlines),
        box=(left - wide, upper, right + wide, lower),
    )


def _chain(sizes: Sizes, cut: Cut) -> Figure:
    d = sizes.around
    bar = sizes.of("bar", d)
    pitch = sizes.of("pitch", 3 * bar)
    width = sizes.of("inside_width", 1.3 * bar)
    return shapes.chain(pitch, width, bar, sizes.measures, cut.above, cut.below, cut.gap)


def _coupling(sizes: Sizes) -> Figure:
    d = sizes.around
    length = sizes.of("effective_length", 7 * d)
    width = sizes.of("seat_width", 1.4 * d)
    return shapes.coupling(length, width, sizes.of("seat_depth", 1.2 * d), sizes.measures)


def _hook(sizes: Sizes) -> Figure:
    kind, d = sizes.sheet.kind, sizes.around
    grab = kind == "grab-hook"
    length = sizes.of("effective_length", 8 * d if grab else 13 * d)
    throat = sizes.of("throat", 1.2 * d if grab else 3 * d)
    seat = sizes.of("seat_diameter", throat * 1.05)
    rises = {"grab-hook": 1.6 * seat, "self-locking-hook": 0.75 * seat}
    body = min(2.2 * d, max(length - seat, 0.1 * length) * 0.4)
    eye = min(1.1 * d, max(length - seat, 0.1 * length) * 0.16)
    form = shapes.HookForm(length, throat, seat, body, eye, rises.get(kind))
    return shapes.hook(form, sizes.measures, latch=bool(sizes.sheet.get("latch")))


def _shortener(sizes: Sizes) -> Figure:
    d = sizes.around
    length = sizes.of("effective_length", 11 * d)
    height = sizes.of("pocket_height", 0.45 * length)
    return shapes.shortener(length, height, d, sizes.measures)


def _swivel(sizes: Sizes) -> Figure:
    d = sizes.around
    bar = sizes.of("bar", 1.6 * d)
    width = sizes.of("inside_width", 3.5 * d)
    return shapes.swivel(sizes.of("effective_length", 13 * d), width, bar, sizes.measures)


def _shackle(sizes: Sizes) -> Figure:
    d = sizes.around
    length = sizes.of("inside_length", 7 * d)
    pin = sizes.of("pin", 1.15 * d)
    jaw = sizes.of("jaw_width", 1.6 * d)
    bow = sizes.maybe("bow_width", 1.5 * jaw)
    above = getattr(sizes.sheet, "pin_in", None) == "above"
    return shapes.shackle(length, bow, jaw, pin, 0.87 * pin, sizes.measures, pin_above=above)


def _ring(sizes: Sizes) -> Figure:
    d = sizes.around
    width = sizes.of("inside_width", 3 * d)
    bar = sizes.of("bar", 1.5 * d)
    length = sizes.of("effective_length", width)
    return shapes.ring_on_shank(length, width, bar, sizes.measures)


def _spreader(sizes: Sizes, gap: float, *, up: bool) -> Figure:
    """A spreader with its ports about their middle; `gap` is left out, `up` are ports above."""
    sheet = sizes.sheet.sheet
    places = [float(port.at) for port in sheet.ports]
    if not places:
        sizes.missing.append("ports")
    middle = (max(places, default=0.0) + min(places, default=0.0)) / 2
    widest = max(places, default=500.0) - middle
    length = sizes.maybe("length", 2.1 * (widest or 500.0))
    deep = sizes.of("effective_length", 0.08 * length)
    ports = tuple(
        (port.name, at - (gap / 2 if at > 0 else -gap / 2))
        for port in sheet.ports
        for at in [float(port.at) - middle]
    )
    return shapes.spreader(length - gap, deep, ports, sizes.measures, broken=gap > 0, up=up)


def _strand(sizes: Sizes, cut: Cut) -> Figure:
    kind, d = sizes.sheet.kind, sizes.around
    length, gap = cut.length, cut.gap
    if kind in BY_DIAMETER:
        return shapes.strand(sizes.of("diameter", d), length, gap, "rope", sizes.measures, cut.eyes)
    if kind == "web":
        return shapes.strand(
            sizes.of("width", 5 * d), length, gap, "soft", sizes.measures, cut.eyes
        )
    return shapes.roundsling(sizes.of("width", 4 * d), length, gap, sizes.measures)


def _eye(sizes: Sizes, *, up: bool) -> Figure:
    d = sizes.around
    length = sizes.of("eye_length", 10 * d)
    width = sizes.of("eye_width", 0.5 * length)
    return shapes.eye(length, width, d, sizes.measures, up=up)


def _plain(sizes: Sizes) -> Figure:
    d = sizes.around
    return shapes.plain(sizes.of("effective_length", 6 * d), 2 * d)


FORMS: dict[str, Form] = {
    "coupling-link": _coupling,
    "shortener": _shortener,
    "swivel": _swivel,
    "shackle": _shackle,
    "eyebolt": _ring,
    "hoist-ring": _ring,
}
FORMS |= dict.fromkeys(LINK_KINDS, _link)
FORMS |= dict.fromkeys(HOOK_KINDS, _hook)


def lifting_point(item: Item, around: float) -> Figure:
    """What a sling hangs from, as its top link meets it."""
    sizes = Sizes(item, around)
    if item.kind == "shackle":
        pin = sizes.of("pin", 2 * around)
        made = shapes.shackle_pin(
            pin, sizes.maybe("inside_length", 4 * pin), (("pin", pin),)[: 1 - len(sizes.missing)]
        )
    else:
        width = sizes.of("saddle_width", 4 * around)
        made = shapes.saddle(width, sizes.of("saddle_height", 1.3 * width), sizes.measures)
    return made.lacking(tuple(sizes.missing))
