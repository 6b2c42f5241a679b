"""The build sheet: every drawn dimension is measured on the path itself, against the catalog."""

import datetime
import hashlib
import io
import math
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from riglint.buildsheet import build_sheet
from riglint.cli import main
from riglint.reports.sheet import drawings, write_sheet, write_svg

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"
SHEETS = NORTHMERE / "sheets"
AS_OF = datetime.date(2026, 6, 1)
FOLDERS = ("builds", "loops", "hooked", "lifts")
FILES = [path for name in FOLDERS for path in sorted((NORTHMERE / name).glob("*.toml"))]
FAULT = NORTHMERE / "faults/walkway-quad-old-hooks.toml"
WITHIN = 0.01


def sheet_of(path):
    return build_sheet(path, as_of=AS_OF)


def page_of(path):
    out = io.StringIO()
    write_sheet(sheet_of(path), out)
    return out.getvalue()


# Measuring paths: M, L, A, Q, C and Z in absolute coordinates, as points along the curve


def arc_points(start, radii, large, clockwise, end, count=64):
    """SVG 2, appendix B.2.4: from end points to center, then along the angle."""
    (x1, y1), (x2, y2), (rx, ry) = start, end, radii
    dx, dy = (x1 - x2) / 2, (y1 - y2) / 2
    grow = math.sqrt(max(1.0, (dx / rx) ** 2 + (dy / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    under = (rx * dy) ** 2 + (ry * dx) ** 2
    root = math.sqrt(max(0.0, ((rx * ry) ** 2 - under) / under))
    root = -root if large == clockwise else root
    cx, cy = root * rx * dy / ry, -root * ry * dx / rx
    a1 = math.atan2((dy - cy) / ry, (dx - cx) / rx)
    a2 = math.atan2((-dy - cy) / ry, (-dx - cx) / rx)
    turn = a2 - a1
    if clockwise and turn < 0:
        turn += 2 * math.pi
    if not clockwise and turn > 0:
        turn -= 2 * math.pi
    cx, cy = cx + (x1 + x2) / 2, cy + (y1 + y2) / 2
    angles = [a1 + turn * k / count for k in range(1, count + 1)]
    return [(cx + rx * math.cos(a), cy + ry * math.sin(a)) for a in angles]


def subpaths(data):
    """The runs of points of a path, one a subpath."""
    runs, tokens = [], re.findall(r"[MLAQCZ]|-?[\d.]+(?:e-?\d+)?", data)
    command, place = "", 0
    sizes = {"M": 2, "L": 2, "A": 7, "Q": 4, "C": 6}
    while place < len(tokens):
        if tokens[place].isalpha():
            command, place = tokens[place], place + 1
            if command == "M":
                runs.append([])
            if command == "Z":
                continue
        values = [float(token) for token in tokens[place : place + sizes[command]]]
        place += sizes[command]
        end = (values[-2], values[-1])
        if command == "A":
            radii, flags = (values[0], values[1]), (bool(values[3]), bool(values[4]))
            runs[-1] += arc_points(runs[-1][-1], radii, *flags, end)
        else:
            runs[-1].append(end)
    return runs


def span(points, axis):
    values = [point[axis] for point in points]
    return max(values) - min(values)


def diameter(points, *, top=False):
    """Of the circle through the lowest (or topmost) point and points at both sides of it."""
    ordered = sorted(points, key=lambda p: p[1], reverse=not top)
    (ax, ay), (bx, by), (cx, cy) = ordered[0], ordered[7], ordered[8]
    area = abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2
    sides = (
        math.dist((ax, ay), (bx, by)),
        math.dist((bx, by), (cx, cy)),
        math.dist((cx, cy), (ax, ay)),
    )
    return math.prod(sides) / (2 * area)


def at_foot(points):
    """The x of a path's points on its lowest line, in order."""
    low = max(y for _, y in points)
    return sorted(x for x, y in points if abs(y - low) < 0.02)


def of_strand(paths, main):
    """Rope, web and its eyes: a straight stretch, or the outside and inside of a bow."""
    runs = subpaths(main.get("d"))
    yield "diameter", span(runs[0], 0)
    yield "eye_length", span(runs[-1], 1)
    yield "eye_width", span(runs[-1], 0)
    foot = at_foot(runs[0])
    if len(foot) == 4:  # a roundsling that is broken out
        yield "width", foot[3] - foot[2]
    elif any(math.dist(*pair) < 0.02 for pair in pairwise(runs[0])) or len(runs[0]) > 4:
        yield "width", (span(runs[0], 0) - span(runs[1], 0)) / 2
    else:
        yield "width", span(runs[0], 0)


def of_shackle(paths, main):
    (points,) = subpaths(main.get("d"))
    (bolt,) = paths["body edge"]
    if max(y for _, y in bolt) < max(y for _, y in points):  # its pin is above: read it upside down
        points, bolt = ([(x, -y) for x, y in run] for run in (points, bolt))
    foot = max(y for _, y in points)
    last = [place for place, (_, y) in enumerate(points) if y == foot]
    inner = points[last[2] :]
    yield "jaw_width", span([points[last[2]], points[last[3]]], 0)
    yield "bow_width", span(inner, 0)
    yield "inside_length", min(y for _, y in bolt) - min(y for _, y in inner)
    yield "pin", span(bolt, 1)


def of_ring(paths, main):
    outer, inner = subpaths(main.get("d"))
    yield "effective_length", span(inner, 1)
    yield "inside_width", span(inner, 0)
    yield "bar", (span(outer, 0) - span(inner, 0)) / 2


def of_spreader(paths, main):
    yield "length", span(subpaths(main.get("d"))[0], 0)
    heights = [min(y for _, y in hole) for hole in paths["thin"]]
    yield "effective_length", max(heights) - min(heights)


BY_KIND = dict.fromkeys(("wire-rope", "fiber-rope", "grommet", "web", "roundsling"), of_strand)
BY_KIND |= {"eye": of_strand, "shackle": of_shackle, "spreader": of_spreader}
BY_KIND |= {"eyebolt": of_ring, "hoist-ring": of_ring}


def measured(group, data, kind):
    """The dimensions of a drawn part, from the coordinates of its paths alone."""
    paths = {path.get("class"): subpaths(path.get("d")) for path in group.iter("path")}
    dimensioned = [p for p in group.iter("path") if p.get("data-dimension")]
    main_path = dimensioned[-1]
    for lug in dimensioned[:-1]:  # chain pockets at a link's sides
        (points,) = subpaths(lug.get("d"))
        _, inner = subpaths(main_path.get("d"))
        low = max(y for _, y in inner)
        yield "pocket.height", low - (max(y for _, y in points) + min(y for _, y in points)) / 2
    runs = subpaths(main_path.get("d"))
    if kind in BY_KIND and main_path.get("class") != "section":
        yield from BY_KIND[kind](paths, main_path)
        return
    kind = main_path.get("class")
    if "pocket_height" in data:  # a shortener: its eyes are the holes of its body
        _, upper, lower = paths["body"]
        low = max(y for _, y in lower)
        slot = [y for _, y in runs[0]]
        yield "effective_length", low - min(y for _, y in upper)
        yield "pocket_height", low - (max(slot) + min(slot)) / 2
    elif kind == "inner":  # a hook: from its tip round the seat to the shank
        (points,) = runs
        yield "throat", abs(points[0][0] - points[-1][0])
        yield "effective_length", max(y for _, y in points)
        yield "seat_diameter", diameter(points)
    elif kind == "section":
        yield from (("saddle_width", span(runs[0], 0)), ("saddle_height", span(runs[0], 1)))
        yield "pin", span(runs[0], 0)
    elif "seat_width" in data and "bar" not in data:  # a coupling from its edge
        (points,) = runs
        depth = -min(y for _, y in points)
        yield "seat_width", span(points, 0)
        yield "seat_depth", depth
        yield "effective_length", max(y for _, y in points) - depth
    elif "effective_length" in data:  # a swivel: two bows
        upper, lower = runs
        bar = (span(upper, 0) - 2 * min(abs(x) for x, y in upper[-1:])) / 2
        yield "bar", bar
        yield "inside_width", span(upper, 0) - 2 * bar
        yield "effective_length", max(y for _, y in lower) - min(y for _, y in upper) - 2 * bar
    else:  # links and chain: outside and inside by turns
        outer, inner = runs[0], runs[1]
        long = "pitch" if "pitch" in data else "inside_length"
        yield long, span(inner, 1)
        yield "inside_width", span(inner, 0) if "top_width" not in data else diameter(inner)
        yield "top_width", diameter(inner, top=True)
        yield "bar", (span(outer, 0) - span(inner, 0)) / 2
        yield "bar", (span(outer, 1) - span(inner, 1)) / 2


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_drawn_dimension_is_the_catalogs(path):
    sheet = sheet_of(path)
    sling = sheet.sling
    items = {part.path.partition("/")[2] or part.path: part.item for part in sling.parts}
    items |= {part.path: part.item for part in sling.parts}
    items |= {sling.hung_from.id: sling.hung_from} if sling.hung_from else {}
    seen = set()
    for drawing in drawings(sheet):
        for group in drawing.element.iter("g"):
            name = group.get("data-part")
            if name is None:
                continue
            item = items.get(name) or items[name.partition("/")[2]]
            data = [d for p in group.iter("path") for d in p.get("data-dimension", "").split()]
            written = [d for p in group.iter("path") for d in p.get("data-mm", "").split()]
            assert data
            own = set()
            for datum, mm in measured(group, data, item.kind):
                if datum in data:
                    seen.add(datum)
                    own.add(datum)
                    pocket, key = datum.startswith("pocket."), datum.removeprefix("pocket.")
                    stated = getattr(item.get("pocket"), key) if pocket else item.get(key)
                    assert mm == pytest.approx(stated, rel=WITHIN), (name, datum)
                    told = float(written[data.index(datum)])
                    assert told == pytest.approx(stated, rel=WITHIN)
            assert set(data) <= own | {"inside_length"}, name
    of_chain = sling.is_chain_sling and path.parent.name != "loops"
    assert {"effective_length", "bar", "pitch"} <= seen or not of_chain


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_dimension_lines_are_as_long_as_they_say(path):
    count = 0
    for drawing in drawings(sheet_of(path)):
        for line in drawing.element.iter("path"):
            if line.get("class") != "size" or line.get("data-broken") or not line.get("data-mm"):
                continue
            (points,) = subpaths(line.get("d"))
            if line.get("data-dimension") in ("reach", "chain") and len(points) > 2:
                continue
            drawn = math.dist(points[0], points[-1])
            assert drawn == pytest.approx(float(line.get("data-mm")), rel=WITHIN)
            count += 1
    assert count >= 3 or path.parent.name == "lifts"  # a soft sling alone has none


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_printed_size_is_the_scale(path):
    for drawing in drawings(sheet_of(path)):
        element = drawing.element
        wide, high = (float(element.get(side).removesuffix("mm")) for side in ("width", "height"))
        _, _, box_wide, box_high = map(float, element.get("viewBox").split())
        assert box_wide / wide == pytest.approx(drawing.scale, rel=WITHIN)
        assert box_high / high == pytest.approx(drawing.scale, rel=WITHIN)
        assert wide <= 181
        assert high <= 151


def test_the_parts_hang_in_each_other_and_the_legs_at_their_angle():
    whole, _ = drawings(sheet_of(NORTHMERE / "builds/slab-quad-adjustable.toml"))
    spots = {spot.path: spot for spot in whole.layout.spots}
    for ref, lean in (("a1", -30), ("b2", 30)):
        chain = [s for s in whole.layout.spots if s.ref == ref]
        assert [s.lean for s in chain] == pytest.approx([lean] * 4)
        for upper, lower in pairwise(chain):
            assert math.dist(upper.end, lower.at) < 0.01
    bottom = spots["top"].figure
    for lower in ("left", "right"):
        x, y = spots[lower].at
        center = bottom.length - bottom.seat_radius
        assert math.hypot(x, y - center) == pytest.approx(bottom.seat_radius, abs=0.01)
    ends = [reached.end[1] for reached in whole.layout.legs]
    assert max(ends) - min(ends) < 0.2 * 101.6  # all lower ends on one height


def test_seats_lie_side_by_side_without_covering_each_other():
    whole, _ = drawings(sheet_of(NORTHMERE / "builds/hull-pair-pear.toml"))
    first, second = (s for s in whole.layout.spots if s.path.endswith("CL-1/2"))
    width, depth = 0.7 * 25.4, 0.62 * 25.4
    chord = 2 * 2.75 / 2 * 25.4 * width / (2.75 * 25.4 - depth)  # B sin(arc / 2)
    assert math.dist(first.at, second.at) == pytest.approx(chord, rel=0.02)


def lift(name):
    whole, _ = drawings(sheet_of(NORTHMERE / f"lifts/{name}.toml"))
    return whole


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_nothing_sticks_out_of_the_drawing(path):
    for drawing in drawings(sheet_of(path)):
        left, top, wide, high = map(float, drawing.element.get("viewBox").split())
        for spot in drawing.layout.spots:
            for x, y in spot.corners:
                assert left <= x <= left + wide, spot.path
                assert top <= y <= top + high, spot.path


def holes_of(whole):
    """The ports of a drawn spreader: upper and lower ones by their middle, from the path."""
    (bar,) = (g for g in whole.element.iter("g") if g.get("data-part") == "bar")
    (path,) = (p for p in bar.iter("path") if p.get("class") == "thin")
    x0, y0 = map(float, re.search(r"translate\((\S+) (\S+)\)", bar.get("transform")).groups())
    middles = []
    for hole in subpaths(path.get("d")):
        xs, ys = zip(*hole, strict=True)
        middles.append((x0 + (max(xs) + min(xs)) / 2, y0 + (max(ys) + min(ys)) / 2))
    return sorted(middles)


@pytest.mark.parametrize("name", ["stair-beam-quad", "girder-beam-pair", "yacht-beam-webs"])
def test_a_spreader_hangs_between_its_legs_port_to_port(name):
    whole = lift(name)
    spots = {spot.path: spot for spot in whole.layout.spots}
    (upper_left, lower_left, upper_right, lower_right) = holes_of(whole)
    assert spots["u/SH-3/8"].end == pytest.approx(upper_left, abs=1)
    assert spots["v/SH-3/8"].end == pytest.approx(upper_right, abs=1)
    assert lower_left[1] - upper_left[1] == pytest.approx(254, rel=WITHIN)  # 10 in
    hung = sorted(
        spot.at for spot in spots.values() if spot.at[1] == pytest.approx(lower_left[1], abs=0.1)
    )
    assert hung[0] == pytest.approx(lower_left, abs=0.1)
    assert hung[-1] == pytest.approx(lower_right, abs=0.1)
    # 73 links of 30 mm, two couplings of 2.7 in and a hook of 5.2 in; 4 ft aside of the middle
    steep = math.degrees(math.acos(48 / ((73 * 30 + 2 * 68.58 + 132.08) / 25.4)))
    upper = [leg for leg in whole.layout.legs if leg.ref in "uv"]
    assert [leg.lean for leg in upper] == pytest.approx([steep - 90, 90 - steep], abs=0.1)
    (line,) = (p for p in whole.element.iter("path") if p.get("data-dimension") == "ports")
    assert float(line.get("data-mm")) == pytest.approx(8 * 304.8, rel=WITHIN)
    assert line.get("data-broken") == "yes"
    assert "ports 8 ft apart" in [text.text for text in whole.element.iter("text")]


def test_a_spreader_under_short_legs_is_drawn_whole(tmp_path):
    short = (NORTHMERE / "lifts/girder-beam-pair.toml").read_text("utf-8")
    short = short.replace("SB-8", "SB-4").replace("links = 73", "links = 12")
    for stock in ("us", "hardware"):
        text = (NORTHMERE / f"stock/{stock}.toml").read_text("utf-8")
        (tmp_path / f"{stock}.toml").write_text(text, "utf-8")
    (tmp_path / "riglint.toml").write_text('catalogs = ["us.toml", "hardware.toml"]\n')
    (tmp_path / "build.toml").write_text(short, "utf-8")
    whole, _ = drawings(sheet_of(tmp_path / "build.toml"))
    places = [x for x, _ in holes_of(whole)]
    assert max(places) - min(places) == pytest.approx(4 * 304.8, rel=WITHIN)
    (beam,) = (p for p in whole.element.iter("path") if p.get("data-dimension") == "length")
    assert span(subpaths(beam.get("d"))[0], 0) == pytest.approx(4 * 304.8, rel=WITHIN)
    spots = {spot.path: spot for spot in whole.layout.spots}
    assert spots["v/SH-3/8"].end == pytest.approx(holes_of(whole)[2], abs=1)


def test_what_hangs_below_a_spreader_stands_at_the_dutys_angle():
    legs = {leg.ref: leg.lean for leg in lift("stair-beam-quad").layout.legs}
    lower = {"a1": -30, "a2": 30, "b1": -30, "b2": 30}
    assert {ref: lean for ref, lean in legs.items() if ref in lower} == pytest.approx(lower)
    legs = {leg.ref: leg.lean for leg in lift("girder-beam-pair").layout.legs}
    assert (legs["a"], legs["b"]) == (0, 0)


def test_legs_that_stand_unlike_are_drawn_and_marked_so():
    whole = lift("bow-pair-unequal")
    assert [leg.lean for leg in whole.layout.legs] == pytest.approx([-30, 45])
    words = [text.text for text in whole.element.iter("text")]
    assert {"60 deg from the horizontal", "45 deg from the horizontal"} <= set(words)


def test_a_known_load_gives_the_angle_that_its_legs_are_drawn_at():
    whole = lift("winch-quad-off-center")
    # the hook is 103.5 in over the picks, at x = 6 in, and these are 36 in to its sides
    left = math.degrees(math.atan2(math.hypot(53, 36), 103.5))
    right = math.degrees(math.atan2(math.hypot(41, 36), 103.5))
    outer = [leg.lean for leg in whole.layout.legs if leg.angle is not None]
    assert outer == pytest.approx([-left, right], abs=0.01)
    page = page_of(NORTHMERE / "lifts/winch-quad-off-center.toml")
    assert "With its load as it hangs here it may carry" in page
    assert "They do not all pull alike under 11,000 lb." in page
    assert "not determined" in page
    assert '<p class="what">Planned load</p><p class="figure">11,000 lb</p>' in page


@pytest.mark.parametrize(
    ("name", "made"),
    [("stairs-rope-pair", "size 0.5 in, legs 2"),
     ("truss-round-pair", "polyester, size No. 3, legs 2"),
     ("girder-beam-pair", "grade 100, size 3/8 in, legs 2")],
)  # fmt: skip
def test_the_tag_says_what_its_legs_are_made_of(name, made):
    page = page_of(NORTHMERE / f"lifts/{name}.toml")
    assert f"<p>{made}, reach " in page
    assert "grade None" not in page


def test_the_proof_of_roundslings_stands_with_its_source():
    page = page_of(NORTHMERE / "lifts/mirror-round-pair.toml")
    # 2 x 8,400 lb a leg, and of its two legs together
    why = "2 x 16,800 lb of its legs together, asked where a proof is ordered"
    assert f"{why}; DOE-STD-1090-96, 11.3.5.2" in page
    page = page_of(NORTHMERE / "lifts/wall-rope-quad.toml")
    assert "asked of slings with a welded end fitting, and none is known here; WAC" in page


def test_marks_share_number_and_shape_with_the_list():
    page = page_of(FAULT)
    drawing, rest = page.split("</figure>", 1)
    drawn = set(re.findall(r'class="pin (\w+)" data-finding="(\d+)"', drawing))
    listed = set(re.findall(r'<li class="finding (\w+)" data-finding="(\d+)"', rest))
    assert drawn == listed == {("error", "1"), ("error", "2"), ("error", "3"), ("warning", "4")}
    corners = {
        level: len(subpaths(re.search(rf'class="pin {level}"[^>]*><path d="(.*?)"', drawing)[1])[0])
        for level in ("error", "warning")
    }
    assert corners == {"error": 8, "warning": 3}


def test_the_page_carries_what_it_was_made_from_and_the_day():
    page = page_of(FAULT)
    for file in (FAULT, NORTHMERE / "stock/us.toml", NORTHMERE / "riglint.toml"):
        assert hashlib.sha256(file.read_bytes()).hexdigest() in page
    assert "2026-06-01" in page
    assert "Not to be built or tagged" in page
    assert "Not to be stamped" in page
    assert page == page_of(FAULT)


def test_what_a_sheet_leaves_out_is_drawn_dashed_and_named(tmp_path):
    stock = (NORTHMERE / "stock/us.toml").read_text(encoding="utf-8")
    for datum in ('inside_width = "4 in"\n', 'throat = "1.2 in"\n', 'pitch = "1.181 in"\n'):
        assert datum in stock
        stock = stock.replace(datum, "")
    (tmp_path / "stock.toml").write_text(stock, encoding="utf-8")
    (tmp_path / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    build = tmp_path / "build.toml"
    build.write_bytes((NORTHMERE / "builds/walkway-quad.toml").read_bytes())
    page = page_of(build)
    assert "ML-1, dashed, not to scale: inside width not stated." in page
    assert "not drawn to scale: SH-3/8: throat not stated" in page
    assert re.search(r'<g transform="[^"]*" data-part="top" class="assumed">', page)
    whole, _ = drawings(sheet_of(build))
    assert not any("reach" in (p.get("data-dimension") or "") for p in whole.element.iter("path"))


def test_no_script_no_outside_address_and_no_style_attribute():
    page = page_of(FAULT)
    assert "<script" not in page
    assert not re.search(r'\b(src|style|onclick)="', page)
    assert set(re.findall(r'href="([^"]*)"', page)) == {"data:,"}
    assert "default-src 'none'" in page


def test_the_command_writes_a_page_or_a_drawing(tmp_path, capsys):
    page, picture = tmp_path / "sheet.html", tmp_path / "sheet.svg"
    assert main(["sheet", str(FAULT), "-o", str(page), "--as-of", "2026-06-01"]) == 0
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert main(["sheet", str(FAULT), "-o", str(picture)]) == 0
    assert ET.parse(picture).getroot().get("role") == "img"
    assert main(["sheet", str(tmp_path / "none.toml"), "-o", str(page)]) == 2
    assert "none.toml" in capsys.readouterr().err


def test_the_drawing_in_the_examples_is_current():
    out = io.StringIO()
    write_svg(sheet_of(NORTHMERE / "builds/slab-quad-adjustable.toml"), out)
    kept = (SHEETS / "slab-quad-adjustable.svg").read_text(encoding="utf-8")
    assert out.getvalue() == kept, "write it again: riglint sheet ... -o ... --as-of 2026-06-01"


def test_the_head_says_what_is_left_in_the_duty():
    page = page_of(NORTHMERE / "lifts/mast-web-choker.toml")
    assert "6,400 lb; in its duty 5,000 lb" in page
