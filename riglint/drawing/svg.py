"""A layout as SVG: outlines in mm at a stated scale, dimensions, names and finding numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import cos, radians, sin
from xml.etree import ElementTree as ET

from attrs import field, frozen

from ..calculation import Calculation
from ..finding import Unstated
from ..model import HOOK_KINDS
from ..quantities import Angle, Length
from ..sling import Part
from .forms import STRANDS, stated_in
from .labels import TEXT_MM, Label, Polygon, Side, place, shortened, width_of
from .layout import Layout, Reached, Spot, sagging
from .pins import MOST_OF_WHOLE, PIN_MM, Mark, Pin, pin, sign
from .shapes import Box, Point, arc, at, n

SVG = "http://www.w3.org/2000/svg"
SCALES = (1, 2, 2.5, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500)
OF_WHOLE = "about the whole, its duty or its tag"
WIDTH_MM, HEIGHT_MM = 180.0, 150.0
NAMES = {
    "inside_length": "inside length",
    "inside_width": "inside width",
    "top_width": "inside width at the top",
    "effective_length": "effective length",
    "seat_width": "seat width",
    "seat_depth": "seat depth",
    "seat_diameter": "seat",
    "saddle_width": "saddle width",
    "saddle_height": "saddle height",
    "pocket_height": "pocket height",
    "pocket.height": "pocket height",
    "eye_length": "eye length",
    "eye_width": "eye width",
    "bow_width": "bow width",
    "jaw_width": "jaw width",
}


@frozen
class Drawing:
    """A drawing: its element, its scale as one to so many, and what to say under it."""

    element: ET.Element
    scale: float
    layout: Layout = field(repr=False)
    unpinned: tuple[int, ...] = ()

    @property
    def scale_text(self) -> str:
        return f"1 : {self.scale:g}"

    @property
    def not_stated(self) -> list[tuple[str, str]]:
        """What the drawing lacks: items, each with a datum that its sheet does not state."""
        return [
            (spot.part.item.id if spot.part else spot.path, in_words(datum))
            for spot, datum in self.layout.missing
        ]


def in_words(datum: str) -> str:
    """A dimension as people name it."""
    return NAMES.get(datum, datum.replace("_", " "))


def ports_apart(spreader: Part) -> float:
    """How far apart the outermost ports of a spreader are, in mm."""
    places = [float(port.at) for port in spreader.sheet.ports]
    return max(places) - min(places)


@frozen
class Size:
    """A dimension line: its ends, what it measures and how it is shown."""

    ends: tuple[Point, ...]
    part: str
    datum: str
    mm: float
    label: Label
    broken: bool = False
    witnesses: tuple[tuple[Point, Point], ...] = ()


def draw(
    layout: Layout,
    figures: Calculation,
    marks: Sequence[Mark] = (),
    *,
    title: str,
    words: str = "",
    name: str = "drawing",
    head: bool = False,
    labelled: bool = True,
    height_mm: float = HEIGHT_MM,
) -> Drawing:
    """Draw a layout at the largest usual scale that fits the paper."""
    pen = _Pen(layout, figures, marks, head=head, labelled=labelled)
    scale = pen.fit(height_mm)
    element = pen.element(scale, name, title, words)
    return Drawing(element, scale, layout, tuple(mark.number for mark in pen.whole))


class _Pen:
    def __init__(
        self,
        layout: Layout,
        figures: Calculation,
        marks: Sequence[Mark],
        *,
        head: bool,
        labelled: bool,
    ) -> None:
        self.layout, self.figures, self.marks = layout, figures, marks
        self.head, self.labelled = head, labelled
        self.show = layout.sling.units.show

    # Fitting

    def fit(self, height_mm: float) -> float:
        """Compose at each scale until one fits; the composition of that one stays."""
        left, top, right, bottom = self.layout.box
        least = max((right - left) / WIDTH_MM, (bottom - top) / height_mm)
        scale = 1.0
        for scale in _scales():
            if scale < least:
                continue
            self.compose(scale)
            left, top, right, bottom = self.box
            if right - left <= WIDTH_MM * scale and bottom - top <= height_mm * scale:
                break
        return scale

    def compose(self, scale: float) -> None:
        self.scale = scale
        self.pins, self.whole = pin(self.marks, self.layout, scale)
        self.sizes = list(self.all_sizes()) if self.labelled else []
        self.marked = list(self.angle_marks()) if self.labelled and not self.head else []
        outline: list[Polygon] = [spot.corners for spot in self.layout.spots]
        outline += [_square(one.at, 1.7 * PIN_MM * scale) for one in self.pins]
        outline += [size.ends for size in self.sizes]
        labels = [*self.names(), *(size.label for size in self.sizes)]
        for _, points, label in self.marked:
            outline.append(points)
            labels.append(label)
        self.labels = place(labels, outline, scale)
        self.box = self.around(outline)

    def around(self, outline: Iterable[Polygon]) -> Box:
        scale = self.scale
        boxes = [self.layout.box, *map(_box, outline)]
        boxes += [label.box(scale) for label in self.labels]
        lefts, tops, rights, bottoms = zip(*boxes, strict=True)
        edge = 2.0 * scale
        left, top, right = min(lefts) - edge, min(tops) - edge, max(rights) + edge
        if self.whole and not self.head:
            top -= 3.4 * PIN_MM * scale
            row = (0.6 + len(self.whole[:MOST_OF_WHOLE])) * 3.0 * PIN_MM * scale
            right = max(right, left + row + width_of(OF_WHOLE, scale))
        return left, top, right, max(bottoms) + edge

    # Words and dimensions

    def names(self) -> Iterator[Label]:
        """What each part is, once an item, at the right-most leg where there are more."""
        if not self.labelled:
            return
        groups: dict[str, list[Spot]] = {}
        for spot in self.layout.spots:
            name = spot.part.item.id if spot.part else ""
            if spot.part and spot.part.links and not self.head:
                name += f" of {spot.part.links}"
            groups.setdefault(name, []).append(spot)
        for spots in groups.values():
            yield self.name_of(spots)

    def name_of(self, spots: Sequence[Spot]) -> Label:
        last = max(spots, key=lambda spot: (spot.middle[0], -spot.middle[1]))
        if last.part is None:
            kind = f"{last.path}, seen from its edge"
            return Label(shortened(kind), self.crown(last), "right", "name")
        side: Side = "left" if last.middle[0] < -self.edge else "right"
        gathered = [spot.path for spot in spots if not spot.ref]
        text = f"{', '.join(gathered)}: {last.part.item.id}" if gathered else last.part.item.id
        if last.part.get("pocket") is not None:
            text += ", with pockets"
        if last.part.kind == "chain" and not self.head:
            text += f", {last.part.links} links"
        return Label(shortened(text), self.spot_anchor(last, side), side, "name")

    def crown(self, spot: Spot) -> Point:
        return spot.point((0.0, spot.figure.box[1] * 0.6))

    @property
    def edge(self) -> float:
        """How far from the middle a part must lie to be named on its own side."""
        return 0.1 * max(abs(self.layout.box[0]), abs(self.layout.box[2]))

    def spot_anchor(self, spot: Spot, side: Side) -> Point:
        """A point on the metal of a part for its name to point at."""
        if spot.part and spot.part.is_link:
            return spot.metal(-1 if side == "left" else 1)
        if spot.part and spot.part.kind in STRANDS:
            return spot.point((0.0, spot.figure.length * 0.33))
        if spot.part and spot.part.kind == "chain":
            return spot.point((0.0, min(spot.figure.length * 0.15, 40.0)))
        return spot.point((0.0, (spot.figure.length or spot.figure.box[3]) * 0.35))

    def all_sizes(self) -> Iterator[Size]:
        if self.head:
            yield from self.head_sizes()
            return
        yield from self.reach_size()
        yield from self.chain_size()
        yield from self.ports_size()
        hooks = [spot for spot in self.layout.spots if spot.part and spot.part.kind in HOOK_KINDS]
        if hooks:
            last = max(hooks, key=lambda spot: spot.end)
            yield from (one for one in self.sizes_of(last, "right") if one.datum == "throat")

    def head_sizes(self) -> Iterator[Size]:
        """The stated dimensions of each item in the head, said once."""
        seen: set[str] = set()
        for spot in self.layout.spots:
            item = spot.part.item.id if spot.part else spot.path
            if item not in seen:
                seen.add(item)
                yield from self.sizes_of(spot, "left" if spot.middle[0] <= 0 else "right")

    def sizes_of(self, spot: Spot, side: Side) -> Iterator[Size]:
        stated = {d: mm for outline in spot.figure.outlines for d, mm in outline.measures}
        for datum, ends in _lines(spot, stated):
            first, last = map(spot.point, ends)
            item = spot.part or self.layout.sling.hung_from
            value = stated_in(item, datum) if item else None
            if value is None:
                continue
            text = f"{in_words(datum)} {self.show(value)}"
            middle = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
            label = Label(text, middle, side, "measure")
            yield Size((first, last), spot.path, datum, stated[datum], label)

    def reach_size(self) -> Iterator[Size]:
        """The reach, beside the left-most leg: down the head and on along the leg."""
        if not self.layout.legs:
            return
        lowest = [one for one in self.layout.legs if one.leg.holds is None]
        leg = min(lowest or self.layout.legs, key=lambda one: one.end[0])
        try:
            reach = self.figures.reach(leg.leg)
        except Unstated:
            return
        out = self.clear(leg.ref) + self.half_width(leg.ref)
        head = self.clear("") + max(
            (-spot.box[0] for spot in self.layout.spots if not spot.ref), default=0.0
        )
        ends = _beside_leg(leg.end, leg.lean, out, head, leg.start)
        shown = self.show(Length(reach))
        broken = self.layout.broken or bool(self.layout.joins)
        text = f"reach {shown}"
        middle = ((ends[-2][0] + ends[-1][0]) / 2, (ends[-2][1] + ends[-1][1]) / 2)
        label = Label(text, middle, "left", "measure broken" if broken else "measure")
        top = (0.0, 0.0) if ends[0][1] == 0 else leg.start
        witnesses = ((top, ends[0]), (leg.end, ends[-1]))
        yield Size(ends, leg.ref, "reach", reach, label, broken, witnesses)

    def clear(self, ref: str) -> float:
        """How far beside a leg a dimension line runs: outside of its pins."""
        pinned = any(one.ref == ref for one in self.pins)
        return (4.2 * PIN_MM if pinned else 4.0) * self.scale

    def half_width(self, ref: str) -> float:
        boxes = [spot.figure.box for spot in self.layout.spots if spot.ref == ref]
        return max((max(-box[0], box[2]) for box in boxes), default=0.0)

    def chain_size(self) -> Iterator[Size]:
        """The length of the right-most leg's chain."""
        spots = [
            spot
            for spot in self.layout.spots
            if spot.part and spot.part.kind == "chain" and not spot.part.in_branch
        ]
        joined = bool(self.layout.joins)
        spot = max(spots, key=lambda one: one.middle[0], default=None)
        if spot is None or spot.part is None or joined:
            return
        try:
            length = self.figures.length(spot.part)
        except Unstated:
            return
        out = spot.figure.box[2] + self.clear(spot.ref)
        ends = (spot.point((out, 0.0)), spot.point((out, spot.figure.length)))
        broken = abs(spot.figure.length - length) > 0.5
        style = "measure broken" if broken else "measure"
        text = f"chain {self.show(Length(length))}"
        label = Label(text, spot.point((out, spot.figure.length / 2)), "right", style)
        witnesses = ((spot.at, ends[0]), (spot.end, ends[1]))
        yield Size(ends, spot.path, "chain", length, label, broken, witnesses)

    def ports_size(self) -> Iterator[Size]:
        """How far apart the outermost ports of each spreader are."""
        for spot in self.layout.spots:
            ports = sorted(spot.figure.ports, key=lambda port: port[1])
            if spot.part is None or len(ports) < 2:
                continue
            apart, y = ports_apart(spot.part), 0.6 * spot.figure.length
            ends = (spot.point((ports[0][1], y)), spot.point((ports[-1][1], y)))
            broken = abs(ports[-1][1] - ports[0][1] - apart) > 0.5
            style = "measure broken" if broken else "measure"
            right = (ends[1][0] - 0.1 * (ends[1][0] - ends[0][0]), ends[1][1])
            text = f"ports {self.show(Length(apart))} apart"
            label = Label(text, right, "right", style)
            yield Size(ends, spot.path, "ports", apart, label, broken)

    def angle_marks(self) -> Iterator[tuple[str, tuple[Point, ...], Label]]:
        """The legs' angles: at the right-most of those that stand alike, above a spreader and
        below it; of legs that stand unlike at each that is seen truly."""
        tiers: dict[int, dict[float, Reached]] = {}
        for leg in sorted(self.layout.legs, key=lambda one: one.end[0]):
            if leg.angle is not None and abs(leg.lean) >= 1:
                alike = tiers.setdefault(id(leg.leg.holds), {})
                alike[round(leg.angle, 1)] = leg
        for alike in tiers.values():
            for deg, leg in alike.items():
                yield self.angle_mark(leg, deg)

    def angle_mark(self, leg: Reached, deg: float) -> tuple[str, tuple[Point, ...], Label]:
        """A leg's angle as the basis measures it: from the horizontal at its upper end, or from
        the vertical at its lower end."""
        sling, long = self.layout.sling, 16.0 * self.scale
        lean, way = radians(leg.lean), 1 if leg.lean > 0 else -1
        if sling.basis == "US":
            x, y = leg.start
            ray, on_leg = (x + way * long, y), (x + long * sin(lean), y + long * cos(lean))
            clockwise = way > 0
        else:
            x, y = leg.end
            ray, on_leg = (x, y - long), (x - long * sin(lean), y - long * cos(lean))
            clockwise = way < 0
        further = (x + 1.25 * (ray[0] - x), y + 1.25 * (ray[1] - y))
        data = f"M{at((x, y))}L{at(further)}M{at(ray)}{arc(long, on_leg, clockwise=clockwise)}"
        angle = self.show(Angle(round(float(sling.as_measured(deg)), 1)))
        half = (leg.lean + way * 90) / 2 if sling.basis == "US" else way * 180 + leg.lean / 2
        middle = radians(half)
        on_arc = (x + long * sin(middle), y + long * cos(middle))
        side: Side = "right" if way > 0 else "left"
        label = Label(f"{angle} from the {sling.measured_from}", on_arc, side, "measure")
        return data, ((x, y), further, on_leg), label

    # Elements

    def element(self, scale: float, name: str, title: str, words: str) -> ET.Element:
        left, top, right, bottom = self.box
        wide, high = right - left, bottom - top
        svg = ET.Element(
            "svg",
            {
                "class": "drawing",
                "role": "img",
                "aria-labelledby": f"{name}-title {name}-desc",
                "viewBox": f"{n(left)} {n(top)} {n(wide)} {n(high)}",
                "width": f"{n(wide / scale)}mm",
                "height": f"{n(high / scale)}mm",
                "data-scale": f"{scale:g}",
            },
        )
        ET.SubElement(svg, "title", {"id": f"{name}-title"}).text = title
        ET.SubElement(svg, "desc", {"id": f"{name}-desc"}).text = words
        self.pens(svg, scale)
        return svg

    def pens(self, svg: ET.Element, scale: float) -> None:
        sheet = ET.SubElement(svg, "g", {"stroke-width": n(0.25 * scale), "class": "sheet"})
        for join in self.layout.joins:
            self.join(sheet, *join)
        self.parts(sheet)
        thin = ET.SubElement(svg, "g", {"stroke-width": n(0.16 * scale), "class": "sizes"})
        for size in self.sizes:
            self.size(thin, size)
        for data, _, _ in self.marked:
            ET.SubElement(thin, "path", {"class": "size", "d": data})
        words = ET.SubElement(
            svg,
            "g",
            {
                "font-size": n(TEXT_MM * scale),
                "stroke-width": n(0.16 * scale),
                "class": "words",
            },
        )
        for label in self.labels:
            self.label(words, label)
        for one in self.pins:
            self.pin(words, one)
        self.of_whole(words)

    def parts(self, parent: ET.Element) -> None:
        """Parts seen from their face from the bottom up, so that each passes through the next;
        then those seen from their edge."""
        gathered = [spot for spot in self.layout.spots if not spot.ref and spot.part is not None]
        legs = [spot for spot in self.layout.spots if spot.ref]
        for spot in reversed(gathered):
            self.part(parent, spot)
        for spot in gathered[1:]:
            self.front(parent, spot)
        for spot in legs:
            if not spot.figure.edge_on:
                self.part(parent, spot)
        for spot in legs:
            if spot.figure.edge_on:
                self.part(parent, spot)
        for spot in self.layout.spots:
            if spot.part is None:
                self.part(parent, spot)

    def part(self, parent: ET.Element, spot: Spot) -> None:
        group = ET.SubElement(parent, "g", _placed(spot) | {"data-part": spot.path})
        if spot.figure.missing:
            group.set("class", "assumed")
        for outline in spot.figure.outlines:
            path = {"class": outline.style, "d": outline.data}
            if outline.measures:
                path["data-dimension"] = " ".join(datum for datum, _ in outline.measures)
                path["data-mm"] = " ".join(f"{mm:.4g}" for _, mm in outline.measures)
            ET.SubElement(group, "path", path)

    def front(self, parent: ET.Element, spot: Spot) -> None:
        if not spot.figure.front:
            return
        attributes = _placed(spot)
        if spot.figure.missing:
            attributes["class"] = "assumed"
        group = ET.SubElement(parent, "g", attributes)
        for outline in spot.figure.front:
            ET.SubElement(group, "path", {"class": outline.style, "d": outline.data})

    def join(self, parent: ET.Element, start: Point, end: Point) -> None:
        middle = sagging(start, end)
        low = (middle[0], 2 * middle[1] - max(start[1], end[1]))
        data = f"M{at(start)}Q{at(low, end)}"
        ET.SubElement(parent, "path", {"class": "axis", "d": data})

    def size(self, parent: ET.Element, size: Size) -> None:
        attributes = {
            "class": "size",
            "d": f"M{at(size.ends[0])}L{at(*size.ends[1:])}",
            "data-part": size.part,
            "data-dimension": size.datum,
            "data-mm": f"{size.mm:.5g}",
        }
        if size.broken:
            attributes["data-broken"] = "yes"
        ET.SubElement(parent, "path", attributes)
        for near, far in size.witnesses:
            ET.SubElement(parent, "path", {"class": "leader", "d": f"M{at(near)}L{at(far)}"})
        heads = _arrow(size.ends[1], size.ends[0], self.scale)
        heads += _arrow(size.ends[-2], size.ends[-1], self.scale)
        ET.SubElement(parent, "path", {"class": "arrow", "d": heads})

    def label(self, parent: ET.Element, label: Label) -> None:
        x, y = label.at
        sign = 1 if label.side == "right" else -1
        start = (x - sign * 0.6 * self.scale, y)
        ET.SubElement(parent, "path", {"class": "leader", "d": f"M{at(start)}L{at(label.anchor)}"})
        anchor = "start" if label.side == "right" else "end"
        base = y + 0.36 * TEXT_MM * self.scale
        ET.SubElement(
            parent,
            "text",
            {"class": label.style, "x": n(x), "y": n(base), "text-anchor": anchor},
        ).text = label.text

    def pin(self, parent: ET.Element, one: Pin) -> None:
        if one.anchor:
            data = f"M{at(one.at)}L{at(one.anchor)}"
            ET.SubElement(parent, "path", {"class": "leader", "d": data})
        mark = one.mark
        style = f"pin {mark.level}" + (" permitted" if mark.permitted else "")
        group = ET.SubElement(parent, "g", {"class": style, "data-finding": str(mark.number)})
        ET.SubElement(group, "path", {"d": sign(mark.level, one.at, PIN_MM * self.scale)})
        x, y = one.at
        size = TEXT_MM * self.scale * (1.0 if mark.number < 100 else 0.75)
        ET.SubElement(
            group,
            "text",
            {"x": n(x), "y": n(y + 0.36 * size), "text-anchor": "middle", "font-size": n(size)},
        ).text = str(mark.number)

    def of_whole(self, parent: ET.Element) -> None:
        """The marks that concern no drawn part, in a row above the drawing."""
        if self.head or not self.whole:
            return
        left, top, _, _ = self.box
        step = 3.0 * PIN_MM * self.scale
        y = top + 0.55 * step
        for count, mark in enumerate(self.whole[:MOST_OF_WHOLE]):
            self.pin(parent, Pin(mark, (left + (0.6 + count) * step, y)))
        x = left + (0.2 + len(self.whole[:MOST_OF_WHOLE])) * step
        base = y + 0.36 * TEXT_MM * self.scale
        ET.SubElement(parent, "text", {"x": n(x), "y": n(base)}).text = OF_WHOLE


def _scales() -> Iterator[float]:
    yield from SCALES
    scale = float(SCALES[-1])
    while scale < 1e9:
        scale *= 2
        yield scale


def _placed(spot: Spot) -> dict[str, str]:
    turn = f" rotate({n(-spot.lean)})" if spot.lean else ""
    mirror = " scale(-1 1)" if spot.mirrored else ""
    return {"transform": f"translate({at(spot.at)}){turn}{mirror}"}


def _square(center: Point, half: float) -> Polygon:
    x, y = center
    return (
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
        (x - half, y),
        (x + half, y),
    )


def _box(polygon: Polygon) -> Box:
    xs, ys = zip(*polygon, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _lines(spot: Spot, stated: dict[str, float]) -> Iterator[tuple[str, tuple[Point, Point]]]:
    """Where the dimension lines of a part run, in its own frame."""
    figure = spot.figure
    long, half = figure.length, figure.box[2]
    if "inside_length" in stated:
        yield "inside_length", ((0.0, 0.0), (0.0, stated["inside_length"]))
    if "inside_width" in stated and "pitch" not in stated:
        width = stated["inside_width"] / 2
        low = long - figure.seat_radius if "top_width" in stated else 0.45 * long
        yield "inside_width", ((-width, low), (width, low))
    if "top_width" in stated:
        width = stated["top_width"] / 2
        yield "top_width", ((-width, width), (width, width))
    if "bar" in stated and "pitch" not in stated and figure.seat_radius:
        y, x = 0.6 * long, figure.seat_radius
        if "inside_length" in stated and "top_width" not in stated:
            yield "bar", ((-x - stated["bar"], y), (-x, y))
    if "pocket.height" in stated:
        low = figure.length - stated["pocket.height"]
        yield "pocket.height", ((-half, low), (-half, figure.length))
    if "throat" in stated and "seat_diameter" in stated:
        tip = next(outline for outline in figure.outlines if outline.style == "inner").start
        yield "throat", (tip, (tip[0] + stated["throat"], tip[1]))
    if "effective_length" in stated:
        yield "effective_length", ((half, 0.0), (half, stated["effective_length"]))
    if "saddle_width" in stated:
        width, low = (
            stated["saddle_width"] / 2,
            0.35 * stated["saddle_height"] if ("saddle_height" in stated) else 0.0,
        )
        yield "saddle_width", ((-width, low), (width, low))


def _beside_leg(
    end: Point, lean: float, out: float, head: float, start: Point
) -> tuple[Point, ...]:
    """A dimension line down beside the head and on beside a leg that leans left or hangs plumb."""
    a = radians(lean)
    along, aside = (sin(a), cos(a)), (-cos(a), sin(a))
    foot = (end[0] + out * aside[0], end[1] + out * aside[1])
    if abs(lean) < 0.5:
        x = -max(out, head)
        return (x, 0.0), (x, end[1])
    back = (-head - foot[0]) / along[0]
    bend = (-head, foot[1] + back * along[1])
    if not 0 < bend[1] < foot[1]:
        return (start[0] + out * aside[0], start[1] + out * aside[1]), foot
    return (-head, 0.0), bend, foot


def _arrow(start: Point, tip: Point, scale: float) -> str:
    """A closed arrow head at a line's end."""
    x, y = tip[0] - start[0], tip[1] - start[1]
    length = (x * x + y * y) ** 0.5 or 1.0
    x, y = x / length, y / length
    long = min(2.4 * scale, 0.45 * length)
    wide = 0.22 * long
    back = (tip[0] - long * x, tip[1] - long * y)
    return f"M{at(tip)}L{at((back[0] - wide * y, back[1] + wide * x))} " + (
        f"{at((back[0] + wide * y, back[1] - wide * x))}Z"
    )
