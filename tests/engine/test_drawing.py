"""Shapes and their places: pure geometry, with pieces of SVG as they are written."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import tomli_w

from riglint import Workshop
from riglint.calculation import Calculation
from riglint.drawing import draw, lay_out
from riglint.drawing.labels import Label, place, shortened
from riglint.drawing.pins import Mark, pin, sign
from riglint.drawing.shapes import ovals, seat_angles, turned
from riglint.ratesheet import rate

CHAIN = {"pitch": "30 mm", "bar": "10 mm", "inside_width": "13 mm", "size": "10 mm"}
ROPE = {"diameter": "16 mm"}
LINK = {"bar": "20 mm", "inside_length": "160 mm", "inside_width": "90 mm", "shape": "oblong"}
KINDS = {
    "wire-rope": (ROPE, {"length": "4 m"}),
    "fiber-rope": (ROPE, {"length": "4 m"}),
    "grommet": (ROPE, {"length": "4 m"}),
    "web": ({"width": "60 mm", "thickness": "7 mm"}, {"length": "4 m"}),
    "roundsling": ({"width": "50 mm"}, {"length": "4 m"}),
    "chain": (CHAIN, {"links": 60}),
}
ENDS = {
    "eye": {"eye_length": "300 mm", "eye_width": "150 mm"},
    "shackle": {
        "bow_width": "60 mm",
        "jaw_width": "40 mm",
        "inside_length": "90 mm",
        "pin": "28 mm",
    },
    "swivel": {"bar": "16 mm", "inside_width": "36 mm", "effective_length": "130 mm"},
    "eyebolt": {"bar": "16 mm", "inside_width": "36 mm", "effective_length": "36 mm"},
    "hoist-ring": {"bar": "16 mm", "inside_width": "50 mm", "effective_length": "60 mm"},
    "shortener": {"pocket_height": "60 mm", "effective_length": "120 mm"},
    "end-link": LINK,
    "foundry-hook": {"throat": "60 mm", "seat_diameter": "60 mm", "effective_length": "150 mm"},
}

NORTHMERE = Path(__file__).parents[2] / "examples/northmere"


def figures_of(folder: Path, items: list[dict], parts: list[dict], **assembly):
    """The figures of a one-master-link sling of these parts, two legs of them at 60 deg."""
    duty = {"hitch": "bridle", "angle": {"from_horizontal": "60 deg"}} | assembly.pop("duty", {})
    build = {
        "assembly": {"id": "trial", "basis": "EN"},
        "duty": duty,
        "part": [{"ref": "top", "item": "master"}],
        "leg": [
            {"ref": f"a{on[4:]}", "on": on, "count": assembly.get("count", 2), "parts": parts}
            for on in assembly.pop("on", ["top"])
        ],
    }
    stock = {
        "catalog": {"id": "stock", "basis": "EN"},
        "item": [{"id": "master", "kind": "master-link"} | assembly.pop("top", LINK), *items],
    }
    (folder / "build.toml").write_text(tomli_w.dumps(build))
    (folder / "stock.toml").write_text(tomli_w.dumps(stock))
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    return rate(folder / "build.toml").figures


def points_of(drawing):
    text = " ".join(path.get("d") for path in drawing.element.iter("path"))
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text)]


@pytest.mark.parametrize("stated", [True, False], ids=["stated", "nothing stated"])
@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_with_what_its_sheet_states_and_without(tmp_path, kind, end, stated):
    data, measure = KINDS[kind]
    items = [
        {"id": "long", "kind": kind} | (data if stated else {}),
        {"id": "end", "kind": end} | (ENDS[end] if stated else {}),
    ]
    figures = figures_of(tmp_path, items, [{"item": "long"} | measure, {"item": "end"}])
    layout = lay_out(figures)
    drawing = draw(layout, figures, title="trial")
    assert {spot.path for spot in layout.spots} == {"top", "a1/long", "a1/end", "a2/long", "a2/end"}
    assert all(abs(number) < 1e5 for number in points_of(drawing))
    dashed = {g.get("data-part") for g in drawing.element.iter("g") if g.get("class") == "assumed"}
    assert dashed == (set() if stated else {s.path for s in layout.spots} - {"top"})
    assert layout.broken
    wide = max(leg.end[0] for leg in layout.legs) - min(leg.end[0] for leg in layout.legs)
    assert wide < 2000  # of the 4 m of two true legs at 60 deg


def test_a_spreader_carries_its_ports_where_they_are(tmp_path):
    ports = [{"name": "left", "at": "-1 m"}, {"name": "right", "at": "1 m"}]
    beam = {"kind": "spreader", "length": "2.2 m", "ports": ports}
    items = [{"id": "rope", "kind": "wire-rope"} | ROPE]
    figures = figures_of(
        tmp_path,
        items,
        [{"item": "rope", "length": "3 m"}],
        top=beam,
        duty={"hitch": "straight"},
        count=1,
        on=["top/left", "top/right"],
    )
    layout = lay_out(figures)
    starts = sorted(leg.start[0] for leg in layout.legs)
    assert starts == pytest.approx([-1000, 1000])
    assert [leg.lean for leg in layout.legs] == [0.0, 0.0]
    assert [leg.angle for leg in layout.legs] == [90.0, 90.0]


def test_two_hundred_legs_are_drawn_as_eight_that_say_so(tmp_path):
    items = [{"id": "rope", "kind": "wire-rope"} | ROPE]
    figures = figures_of(tmp_path, items, [{"item": "rope", "length": "3 m"}], count=200)
    layout = lay_out(figures)
    assert len(layout.legs) == 8
    assert "Drawn: 8 of 200 legs." in layout.notes


def test_an_angle_that_is_not_stated_is_said_to_be_assumed(tmp_path):
    items = [{"id": "rope", "kind": "wire-rope"} | ROPE]
    figures = figures_of(tmp_path, items, [{"item": "rope", "length": "3 m"}])
    text = (tmp_path / "build.toml").read_text()
    (tmp_path / "build.toml").write_text(re.sub(r"\[duty.angle\]\n.*\n", "", text))
    figures = rate(tmp_path / "build.toml").figures
    assert "Not to scale: the legs' angle is not stated; drawn at 60 deg." in lay_out(figures).notes


# Geometry


@pytest.mark.parametrize(
    ("length", "width", "top", "tangent"),
    [
        (160.0, 90.0, None, (45.0, 45.0)),  # an obround: straight sides from y = 45 on
        (90.0, 90.0, None, (45.0, 45.0)),  # a ring
        (200.0, 60.0, 100.0, (49.3, 58.33)),  # a pear: slope (50 - 30) / 120 = 1/6
    ],
    ids=["oblong", "ring", "pear"],
)
def test_where_the_straight_side_of_a_link_begins(length, width, top, tangent):
    point, _ = ovals(length, width, top).touching(0.0)
    assert point == pytest.approx(tangent, abs=0.05)


def test_seats_share_the_bottom_by_their_arcs():
    # two couplings 14 mm wide, 12 mm deep, in 90 mm: each 2 asin(14 / 78) = 20.68 deg
    assert seat_angles([(14, 12), (14, 12)], 90) == pytest.approx([-10.34, 10.34], abs=0.01)


def test_a_lean_to_the_right_moves_what_hangs_to_the_right():
    assert turned((0.0, 100.0), 30.0) == pytest.approx((50.0, 86.6), abs=0.01)


def test_labels_of_one_height_get_rows_of_their_own():
    labels = [Label(f"part {k}", (0.0, 50.0), "right") for k in range(5)]
    placed = place(labels, [((-10, 0), (10, 0), (10, 100), (-10, 100))], 1.0)
    boxes = sorted(label.box(1.0) for label in placed)
    tops = sorted(box[1] for box in boxes)
    assert all(lower - upper >= 4.3 for upper, lower in pairwise(tops))
    assert all(box[0] >= 13 for box in boxes)
    assert sum(label.at[1] for label in placed) / 5 == pytest.approx(50)


def test_long_words_are_cut_with_a_sign_that_says_so():
    assert shortened("x" * 100) == "x" * 39 + "\N{HORIZONTAL ELLIPSIS}"


def test_pins_at_one_part_stand_beside_each_other(tmp_path):
    items = [{"id": "rope", "kind": "wire-rope"} | ROPE]
    figures = figures_of(tmp_path, items, [{"item": "rope", "length": "3 m"}])
    marks = [Mark(k, "error", ("top",)) for k in range(1, 6)]
    pins, whole = pin([*marks, Mark(6, "note", ("trial",))], lay_out(figures), 1.0)
    places = sorted(one.at[0] for one in pins)
    assert all(b - a >= 2 * 2.7 for a, b in pairwise(places))
    assert [mark.number for mark in whole] == [6]


def test_pieces_of_svg(snapshot):
    assert ovals(30, 13).path(0.0) == snapshot(name="chain link inside")
    assert ovals(200, 60, 100).path(0.0) == snapshot(name="pear inside")
    assert sign("error", (0, 0), 10) == snapshot(name="octagon")
    assert sign("warning", (0, 0), 10) == snapshot(name="triangle")


def test_a_drawing_is_well_formed_and_the_same_twice(tmp_path):
    items = [{"id": "rope", "kind": "wire-rope"} | ROPE]
    figures = figures_of(tmp_path, items, [{"item": "rope", "length": "3 m"}])
    once, again = (draw(lay_out(figures), figures, title="<&>").element for _ in range(2))
    text = ET.tostring(once)
    assert text == ET.tostring(again)
    assert ET.fromstring(text).findtext("title") == "<&>"


def test_an_endless_leg_that_holds_a_spreader_hangs_in_no_circle():
    text = (NORTHMERE / "lifts/girder-beam-pair.toml").read_text("utf-8")
    old = 'to = "bar/right"\n'
    assert old in text
    shop = Workshop(policy=NORTHMERE / "riglint.toml")
    sling = shop.sling(text.replace(old, f"{old}endless = true\n", 1))
    assert lay_out(Calculation(sling)).spots
