"""Shapes of the parts as path data, in mm: pure geometry, no judgment, no units shown.

Each shape stands in its own frame: the upper bearing point is the origin, y runs down the hang.
The outlines that a sheet states dimensions of carry them as measures; everything else about a
shape is of usual proportion.
"""

from __future__ import annotations

from math import asin, cos, pi, sin, sqrt

from attrs import evolve, frozen

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Measures = tuple[tuple[str, float], ...]


@frozen
class Outline:
    """One path with its style, and the stated dimensions (datum, mm) that it can be measured by."""

    data: str
    style: str = "body"
    measures: Measures = ()

    @property
    def start(self) -> Point:
        """The point that the path begins at."""
        _, x, y, *_ = _tokens(self.data)
        return float(x), float(y)


@frozen
class Figure:
    """A part's outlines, its length along the hang, and the box around it: left, top, right,
    bottom.

    `front` passes in front of what the part hangs in. `seat_radius` is the radius of the bottom
    that other things sit in. `missing` are the data that its sheet does not state.
    """

    outlines: tuple[Outline, ...]
    length: float
    box: Box
    front: tuple[Outline, ...] = ()
    seat_radius: float = 0.0
    ports: tuple[tuple[str, float], ...] = ()
    edge_on: bool = False
    missing: tuple[str, ...] = ()

    def lacking(self, missing: tuple[str, ...]) -> Figure:
        """The same with the data that its sheet leaves out; drawn dashed where there are any."""
        return evolve(self, missing=missing) if missing else self


def n(value: float) -> str:
    """A coordinate, to a hundredth of a millimetre."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def at(*points: Point) -> str:
    return " ".join(f"{n(x)} {n(y)}" for x, y in points)


def arc(radius: float, end: Point, *, large: bool = False, clockwise: bool = True) -> str:
    return ellipse((radius, radius), end, large=large, clockwise=clockwise)


def ellipse(radii: Point, end: Point, *, large: bool = False, clockwise: bool = True) -> str:
    return f"A{at(radii)} 0 {int(large)} {int(clockwise)} {at(end)}"


def circle(center: Point, radius: float) -> str:
    x, y = center
    around = arc(radius, (x + radius, y)) + arc(radius, (x - radius, y))
    return f"M{at((x - radius, y))}{around}Z"


def capsule(width: float, top: float, bottom: float, x: float = 0.0) -> str:
    """An upright bar with round ends from `top` to `bottom`."""
    half = width / 2
    radius = min(half, (bottom - top) / 2)
    upper, lower = top + radius, bottom - radius
    return (
        f"M{at((x - half, upper))}{ellipse((half, radius), (x + half, upper))}"
        f"L{at((x + half, lower))}{ellipse((half, radius), (x - half, lower))}Z"
    )


def polygon(*points: Point) -> str:
    return f"M{at(points[0])}L{at(*points[1:])}Z"


# Links


@frozen
class Ovals:
    """Two circles one below the other and their outer tangents: a link, ring or pear inside.

    `top` and `bottom` are the radii, `length` the inside length.
    """

    top: float
    bottom: float
    length: float

    @property
    def centers(self) -> tuple[float, float]:
        return self.top, self.length - self.bottom

    @property
    def normal(self) -> Point:
        """Where the right-hand tangent touches, seen from each center."""
        apart = self.length - self.top - self.bottom
        slope = (self.top - self.bottom) / apart if apart > 0 else 0.0
        slope = max(-1.0, min(1.0, slope))
        return sqrt(1 - slope * slope), slope

    def touching(self, grow: float) -> tuple[Point, Point]:
        """The two points of the right-hand tangent, the circles grown by so much."""
        (x, y), (upper, lower) = self.normal, self.centers
        top, bottom = self.top + grow, self.bottom + grow
        return (top * x, upper + top * y), (bottom * x, lower + bottom * y)

    def path(self, grow: float) -> str:
        """The closed outline, clockwise, grown outward by so much."""
        (x1, y1), (x2, y2) = self.touching(grow)
        over = arc(self.top + grow, (x1, y1), large=self.normal[1] > 0)
        under = arc(self.bottom + grow, (-x2, y2), large=self.normal[1] < 0)
        return f"M{at((-x1, y1))}{over}L{at((x2, y2))}{under}Z"

    def right_half(self, grow: float) -> str:
        """The right half of the outline as an open path, from the top down."""
        (x1, y1), (x2, y2) = self.touching(grow)
        start, end = (0.0, -grow), (0.0, self.length + grow)
        return (
            f"M{at(start)}{arc(self.top + grow, (x1, y1))}L{at((x2, y2))}"
            f"{arc(self.bottom + grow, end)}"
        )

    def right_half_body(self, bar: float) -> str:
        """The right half of the bar as an area: the outer half down, the inner half up."""
        (x1, y1), (x2, y2) = self.touching(0.0)
        up = (
            f"L{at((0.0, self.length))}{arc(self.bottom, (x2, y2), clockwise=False)}"
            f"L{at((x1, y1))}{arc(self.top, (0.0, 0.0), clockwise=False)}Z"
        )
        return self.right_half(bar) + up


def ovals(length: float, width: float, top_width: float | None = None) -> Ovals:
    """The inside of a link; a width that cannot be drawn in its length gives way."""
    top, bottom = (top_width or width) / 2, width / 2
    if top + bottom > length:
        shrink = length / (top + bottom)
        top, bottom = top * shrink, bottom * shrink
    if abs(top - bottom) >= length - top - bottom:
        top = bottom = min(top, bottom)
    return Ovals(top, bottom, length)


def link(
    length: float, width: float, bar: float, measures: Measures, top_width: float | None = None
) -> Figure:
    """A link seen from its face: outside and inside outline, the bar between them."""
    inside = ovals(length, width, top_width)
    half = max(inside.top, inside.bottom) + bar
    front = (
        Outline(inside.right_half_body(bar), "fill"),
        Outline(inside.right_half(bar), "line"),
        Outline(inside.right_half(0.0), "line"),
    )
    return Figure(
        (Outline(f"{inside.path(bar)} {inside.path(0.0)}", "body", measures),),
        length,
        (-half, -bar, half, length + bar),
        front,
        inside.bottom,
    )


def lugs(
    inside: Figure, bar: float, height: float, size: float, count: int, measures: Measures
) -> tuple[Outline, ...]:
    """Chain pockets at both sides of a link, with the link lying `height` above its bottom."""
    middle = inside.length - height
    half = inside.box[2]
    wide, slot = 1.4 * size, 0.55 * size
    made = []
    for side in (-1, 1)[: max(1, min(count, 2))]:
        near, far = side * (half - bar / 2), side * (half + 2.2 * size)
        made.append(
            Outline(
                polygon(
                    (near, middle - wide),
                    (far, middle - wide),
                    (far, middle - slot),
                    (side * (half + 0.4 * size), middle - slot),
                    (side * (half + 0.4 * size), middle + slot),
                    (far, middle + slot),
                    (far, middle + wide),
                    (near, middle + wide),
                ),
                "body",
                measures,
            )
        )
    return tuple(made)


def chain(
    pitch: float,
    width: float,
    bar: float,
    measures: Measures,
    top: int,
    bottom: int = 0,
    gap: float = 0.0,
) -> Figure:
    """Links of chain, every other one edge-on: `top` of them, and `bottom` more below a gap."""
    length = (top + bottom) * pitch + gap
    starts = [k * pitch for k in range(top)]
    starts += [length - (bottom - k) * pitch for k in range(bottom)]
    faces, edges = [], []
    for k, start in enumerate(starts):
        # the lowest link of each piece shows its face, as the uppermost does
        from_end = bottom - 1 - (k - top) if k >= top else k
        if from_end % 2 == 0:
            inside = ovals(pitch, width)
            faces.append(_lowered(inside.path(bar) + " " + inside.path(0.0), start))
        else:
            edges.append(capsule(bar, start - bar, start + pitch + bar))
    half = width / 2 + bar
    outlines = [Outline(" ".join(faces), "body", measures)]
    if edges:
        outlines.append(Outline(" ".join(edges), "body edge", ()))
    if gap:
        outlines += breaks(half, top * pitch + bar, length - bottom * pitch - bar)
    return Figure(tuple(outlines), length, (-half, -bar, half, length + bar))


def breaks(half: float, upper: float, lower: float) -> list[Outline]:
    """The two break lines of something that is drawn shorter than it is, and the axis between."""
    room = max(lower - upper, 0.0)
    made = [Outline(f"M{at((0, upper))}L{at((0, lower))}", "axis")]
    for y in (upper + 0.25 * room, lower - 0.25 * room):
        reach, tooth = 1.4 * half, 0.3 * half
        points = ((-reach, y), (-tooth, y), (-tooth / 2, y - tooth), (tooth / 2, y + tooth))
        made.append(Outline(f"M{at(*points)} {at((tooth, y), (reach, y))}", "break"))
    return made


def _lowered(data: str, by: float) -> str:
    """Path data of absolute M, L, A commands moved down the hang."""
    out: list[str] = []
    numbers: list[float] = []
    command = ""
    for token in _tokens(data):
        if token.isalpha():
            out.append(_shifted(command, numbers, by))
            command, numbers = token, []
        else:
            numbers.append(float(token))
    return "".join([*out, _shifted(command, numbers, by)])


def _tokens(data: str) -> list[str]:
    for letter in "MLACQZ":
        data = data.replace(letter, f" {letter} ")
    return data.split()


def _shifted(command: str, numbers: list[float], by: float) -> str:
    if not command:
        return ""
    if command == "A":
        rx, ry, turn, large, sweep, x, y = numbers
        return f"A{at((rx, ry))} {n(turn)} {n(large)} {n(sweep)} {at((x, y + by))}"
    pairs = zip(numbers[::2], numbers[1::2], strict=True)
    return command + at(*((x, y + by) for x, y in pairs))


# Couplings, hooks, shorteners, swivels, shackles


def coupling(length: float, width: float, depth: float, measures: Measures) -> Figure:
    """A coupling from its edge: as wide as it sits along a bar, with the end of its pin."""
    swell = 0.75 * width
    middle, half = length / 2, min(0.62 * width, 0.3 * length)
    return Figure(
        (
            Outline(capsule(width, -depth, length + depth), "body edge", measures),
            Outline(_block(swell, middle - half, middle + half), "body edge"),
            Outline(circle((0.0, middle), 0.6 * half), "thin"),
        ),
        length,
        (-swell, -depth, swell, length + depth),
        edge_on=True,
    )


def _block(half: float, top: float, bottom: float) -> str:
    """An upright block with rounded corners."""
    r = min(half, (bottom - top) / 2) * 0.4
    return (
        f"M{at((-half, top + r))}{arc(r, (-half + r, top))}L{at((half - r, top))}"
        f"{arc(r, (half, top + r))}L{at((half, bottom - r))}{arc(r, (half - r, bottom))}"
        f"L{at((-half + r, bottom))}{arc(r, (-half, bottom - r))}Z"
    )


@frozen
class HookForm:
    """What a hook's outline needs: stated length, throat and seat; the rest of usual form."""

    length: float
    throat: float
    seat: float
    body: float
    eye: float
    rise: float | None = None  # how high the tip stands above the middle of the seat

    @property
    def middle(self) -> float:
        return self.length - self.seat / 2

    @property
    def tip(self) -> Point:
        radius = self.seat / 2
        if self.rise is not None or self.throat >= self.seat:
            return radius - self.throat, self.middle - (self.rise or 0.5 * self.seat)
        across = max(-0.9, min(1.0, (self.throat - radius) / radius))
        return radius - self.throat, self.middle - radius * sqrt(1 - across * across)

    @property
    def curls(self) -> bool:
        """Whether the seat's own circle runs on to the tip."""
        return self.rise is None and self.throat < self.seat

    @property
    def shank_top(self) -> float:
        return self.tip[1] - 0.2 * self.seat

    def inner(self) -> str:
        """From the tip round the seat and up the shank."""
        radius, low = self.seat / 2, self.middle
        start = f"M{at(self.tip)}"
        if not self.curls:
            start += f"L{at((-radius, low))}"
        round_seat = arc(radius, (radius, low), large=self.curls, clockwise=False)
        return f"{start}{round_seat}L{at((radius, self.shank_top))}"

    def outline(self) -> str:
        """The whole body, and the hole of its eye."""
        hole, rim = self.eye, self.eye + self.body * 0.4
        back, low = self.seat / 2 + self.body, self.middle
        front = self.seat / 2 + 0.72 * self.body
        tip = self.tip
        nose = (-front, min(tip[1] + 0.2 * self.body, low))
        bend = min(self.shank_top, low - 0.2 * self.seat)
        return (
            f"{self.inner()}C{at((self.seat / 2, bend - 0.5 * self.seat))}"
            f" {at((-rim, hole + 1.4 * rim), (-rim, hole))}"
            f"{arc(rim, (rim, hole))}"
            f"C{at((rim, hole + 1.4 * rim), (back, bend - 0.3 * self.seat), (back, low))}"
            f"{ellipse(((back + front) / 2, self.seat / 2 + self.body), (-front, low))}"
            f"L{at(nose)}Q{at((-front, tip[1]), tip)}Z {circle((0.0, hole), hole)}"
        )


def hook(form: HookForm, measures: Measures, *, latch: bool) -> Figure:
    """A hook with an eye, its throat to the left."""
    half = form.seat / 2 + form.body
    left = min(-half, form.tip[0])
    outlines = [
        Outline(form.outline()),
        Outline(form.inner(), "inner", measures),
    ]
    if latch:
        x, y = form.tip
        high = form.shank_top - 0.15 * form.seat
        outlines.append(Outline(f"M{at((form.seat / 2, high))}L{at((x, y))}", "latch"))
    return Figure(
        tuple(outlines),
        form.length,
        (left, -0.4 * form.body, half, form.length + form.body),
    )


def shortener(length: float, height: float, size: float, measures: Measures) -> Figure:
    """A plate with an eye at both ends and an open pocket so high above its lower eye."""
    half, slot = 2.0 * size, 0.6 * size
    eye = min(1.1 * size, length / 6)
    rim = eye + size
    y = length - height
    outline = (
        f"M{at((-rim, eye))}{arc(rim, (rim, eye))}L{at((half, y - 2 * slot), (half, y - slot))}"
        f"L{at((0.1 * half, y - slot))}{arc(slot, (0.1 * half, y + slot), clockwise=False)}"
        f"L{at((half, y + slot), (half, y + 2 * slot), (rim, length - eye))}"
        f"{arc(rim, (-rim, length - eye))}L{at((-half, y))}Z"
    )
    holes = f"{circle((0.0, eye), eye)} {circle((0.0, length - eye), eye)}"
    return Figure(
        (
            Outline(f"{outline} {holes}"),
            Outline(
                f"M{at((half, y - slot))}L{at((0.1 * half, y - slot))}"
                f"{arc(slot, (0.1 * half, y + slot), clockwise=False)}L{at((half, y + slot))}",
                "inner",
                measures,
            ),
        ),
        length,
        (-half, -size, half, length + size),
    )


def swivel(length: float, width: float, bar: float, measures: Measures) -> Figure:
    """Two bows that turn on a barrel between them."""
    half, middle = width / 2, length / 2
    barrel = min(1.1 * bar, middle * 0.5)
    upper = _bow(half, bar, middle, 0.0, down=True)
    lower = _bow(half, bar, middle, length, down=False)
    return Figure(
        (
            Outline(f"{upper} {lower}", "body", measures),
            Outline(_block(0.7 * half + bar, middle - barrel, middle + barrel)),
        ),
        length,
        (-half - bar, -bar, half + bar, length + bar),
        seat_radius=half,
    )


def _bow(half: float, bar: float, foot: float, crown: float, *, down: bool) -> str:
    """A U of round bar from its foot to its crown, outside and inside."""
    step = 1 if down else -1
    shoulder = crown + step * min(half, abs(foot - crown) * 0.8)
    outer, rise = half + bar, abs(shoulder - crown)
    return (
        f"M{at((-outer, foot))}L{at((-outer, shoulder))}"
        f"{ellipse((outer, rise + bar), (outer, shoulder), clockwise=down)}"
        f"L{at((outer, foot), (half, foot), (half, shoulder))}"
        f"{ellipse((half, rise), (-half, shoulder), clockwise=not down)}L{at((-half, foot))}Z"
    )


def shackle(
    length: float,
    bow: float,
    jaw: float,
    pin: float,
    bar: float,
    measures: Measures,
    *,
    pin_above: bool = False,
) -> Figure:
    """A bow shackle, its pin below, or above where it is turned so."""
    inside, turn = bow / 2, jaw / 2
    middle = min(inside, length * 0.6)
    outer = inside + bar
    foot = length + pin

    def place(x: float, y: float) -> Point:
        return (x, length - y) if pin_above else (x, y)

    over = ellipse((outer, middle + bar), place(outer, middle), clockwise=not pin_above)
    under = ellipse((inside, middle), place(-inside, middle), clockwise=pin_above)
    body = (
        f"M{at(place(-turn - bar, foot))}L{at(place(-outer, middle))}{over}"
        f"L{at(place(turn + bar, foot), place(turn, foot), place(inside, middle))}{under}"
        f"L{at(place(-turn, foot))}Z"
    )
    ends = turn + 1.7 * bar
    bolt = polygon(
        *(place(*p) for p in ((-ends, length), (ends, length), (ends, foot), (-ends, foot)))
    )
    top, bottom = sorted((place(0, -bar)[1], place(0, foot)[1]))
    widest = max(outer, ends)
    return Figure(
        (Outline(body, "body", measures), Outline(bolt, "body edge")),
        length,
        (-widest, top, widest, bottom),
        seat_radius=inside if pin_above else turn,
    )


def ring_on_shank(length: float, width: float, bar: float, measures: Measures) -> Figure:
    """An eyebolt or hoist ring: a ring above, what it is screwed into below."""
    made = link(length, min(width, length), bar, measures)
    shank = polygon(
        (-bar, length + bar), (bar, length + bar), (bar, length + 3 * bar), (-bar, length + 3 * bar)
    )
    left, top, right, bottom = made.box
    return evolve(
        made, outlines=(*made.outlines, Outline(shank)), box=(left, top, right, bottom + 2 * bar)
    )


# Rope, webs, roundslings, spreaders


def strand(
    width: float,
    length: float,
    gap: float,
    style: str,
    measures: Measures,
    eyes: tuple[float, float] = (0.0, 0.0),
) -> Figure:
    """Rope or web seen along its length: two stretches with a gap between, or one, from eye to
    eye."""
    half, stub = width / 2, (length - gap) / 2
    start, end = eyes[0], length - eyes[1]
    pieces = [(start, end)] if not gap else [(start, stub), (length - stub, end)]
    data = " ".join(
        polygon((-half, top), (half, top), (half, low), (-half, low)) for top, low in pieces
    )
    outlines = [Outline(data, f"body {style}", measures)]
    if gap:
        outlines += breaks(half, stub, length - stub)
    return Figure(tuple(outlines), length, (-half, 0.0, half, length))


def roundsling(width: float, length: float, gap: float, measures: Measures) -> Figure:
    """A loop of soft band: its two ends round, the middle broken out where it is long."""
    made = link(length, min(2.5 * width, length), width, measures)
    if not gap:
        return made
    half, stub = made.box[2], (length - gap) / 2
    inner = half - width
    data = f"{_bow(inner, width, stub, 0.0, down=True)} "
    data += _bow(inner, width, length - stub, length, down=False)
    outlines = (Outline(data, "body soft", measures), *breaks(half, stub, length - stub))
    return evolve(made, outlines=outlines, front=())


def eye(length: float, width: float, bar: float, measures: Measures, *, up: bool) -> Figure:
    """The eye at a rope's end, narrowing into the rope; turned up below the rope."""
    half, way = width / 2, -1 if up else 1
    round_end = min(half, length * 0.6)
    sides = []
    for grow in (bar, 0.0):
        x, end = half + grow, way * (length + grow * 1.5)
        sides.append(
            f"M{at((-x, way * round_end))}"
            f"{ellipse((x, round_end + grow), (x, way * round_end), clockwise=not up)}"
            f"L{at((0.0, end))}Z"
        )
    top, bottom = sorted((-way * bar, way * (length + 1.5 * bar)))
    return Figure(
        (Outline(" ".join(sides), "body", measures),), 0.0, (-half - bar, top, half + bar, bottom)
    )


def spreader(
    length: float,
    deep: float,
    ports: tuple[tuple[str, float], ...],
    measures: Measures,
    *,
    broken: bool = False,
    up: bool = False,
) -> Figure:
    """A beam with the ports that slings hang in, `deep` below those that it hangs by.

    It hangs by its middle, or where `up` by ports above. Broken out, its length is not drawn.
    """
    half, hole = length / 2, 0.07 * deep
    upper, lower = 0.22 * deep, 0.78 * deep
    beam = f"M{at((-half, upper))}L{at((half, upper), (half, lower), (-half, lower))}Z"
    top = 0.0 if up else upper
    plates = " ".join(capsule(4 * hole, top - 2 * hole, deep + 2 * hole, x) for _, x in ports)
    holes = " ".join(
        circle((x, y), hole) for _, x in ports for y in ((0.0, deep) if up else (deep,))
    )
    own: Measures = tuple(one for one in measures if one[0] == "length" and not broken)
    outlines = [Outline(plates, "body"), Outline(holes, "thin")] if ports else []
    outlines.append(Outline(beam, "body", own))
    if ports and up:
        depth = tuple(one for one in measures if one[0] == "effective_length")
        outlines[1] = Outline(holes, "thin", depth)
    if broken:
        outlines += _beam_break(upper, lower)
    side = max(half, *(abs(x) + 2 * hole for _, x in ports), 0.0)
    box = (-side, -2 * hole if up else 0.0, side, deep + 2 * hole)
    return Figure(tuple(outlines), deep, box, ports=ports)


def _beam_break(upper: float, lower: float) -> list[Outline]:
    """Two break lines across the middle of a beam, with nothing between them."""
    high = lower - upper
    tooth, out = 0.08 * high, 0.2 * high
    made = [
        Outline(
            polygon(
                (-tooth, upper - 1), (tooth, upper - 1), (tooth, lower + 1), (-tooth, lower + 1)
            ),
            "gap",
        )
    ]
    middle = (upper + lower) / 2
    for x in (-tooth, tooth):
        points = (
            (x, upper - out),
            (x, middle - tooth),
            (x - tooth, middle - tooth / 2),
            (x + tooth, middle + tooth / 2),
            (x, middle + tooth),
            (x, lower + out),
        )
        made.append(Outline(f"M{at(points[0])}L{at(*points[1:])}", "break"))
    return made


def plain(length: float, width: float) -> Figure:
    """A part of no stated form: a block so long."""
    return Figure(
        (Outline(_block(width / 2, 0.0, length)),), length, (-width / 2, 0.0, width / 2, length)
    )


# What the sling hangs from


def saddle(width: float, height: float, measures: Measures) -> Figure:
    """A crane hook from its edge: the section that a link sits on, and the shank above."""
    half = width / 2
    section = (
        f"M{at((-half, height * 0.35))}{ellipse((half, height * 0.35), (half, height * 0.35))}"
        f"{ellipse((half, height * 0.65), (-half, height * 0.35))}Z"
    )
    top = -1.7 * height
    shank = (
        f"M{at((-half, height * 0.35))}L{at((-half, top * 0.5), (-0.7 * half, top))}"
        f"M{at((half, height * 0.35))}L{at((half, top * 0.5), (0.7 * half, top))}"
        f"M{at((-1.3 * half, top))}L{at((1.3 * half, top))}"
    )
    return Figure(
        (Outline(section, "section", measures), Outline(shank, "ghost")),
        0.0,
        (-1.3 * half, top, 1.3 * half, height),
    )


def shackle_pin(pin: float, length: float, measures: Measures) -> Figure:
    """A shackle from its side: the end of the pin that a link sits on, the bow above."""
    bow = capsule(1.2 * pin, -length, pin * 1.4)
    return Figure(
        (Outline(circle((0.0, pin / 2), pin / 2), "section", measures), Outline(bow, "ghost")),
        0.0,
        (-0.6 * pin, -length, 0.6 * pin, 1.4 * pin),
    )


def turned(point: Point, lean: float) -> Point:
    """A point of a frame that leans so many degrees to the right of plumb."""
    x, y = point
    a = lean * pi / 180
    return x * cos(a) + y * sin(a), y * cos(a) - x * sin(a)


def seat_angles(widths: list[tuple[float, float]], inside: float) -> list[float]:
    """Where things sit in a link's round bottom, in degrees from its lowest point, left to right.

    Each takes the arc that its width and depth ask for; what needs more than there is, is drawn
    closer together.
    """
    arcs = []
    for width, depth in widths:
        free = max(inside - depth, 1e-6)
        arcs.append(2 * asin(min(1.0, width / free)) * 180 / pi)
    total = sum(arcs)
    squeeze = min(1.0, 160 / total) if total else 1.0
    angles, start = [], -total / 2
    for one in arcs:
        angles.append((start + one / 2) * squeeze)
        start += one
    return angles
