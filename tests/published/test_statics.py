"""Leg pulls against worked examples and rules that textbooks, manuals and guides print.

"Retrieved": read in the document itself. "Second-hand": read in a page that reproduces it. "Worked
by hand": no document prints this answer; the arithmetic stands beside it. Forces in newtons or
pounds go through the same functions as kg do, since a pull is in the unit of its load.
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt, tan

import pytest

from riglint.figures import by_sine_rule, even_bar_compression, lift
from riglint.figures.vectors import Vector

G = 9.80  # m/s2, as these texts round it


def fan(count: int, radius: float, turn_deg: float = 0.0) -> list[Vector]:
    """So many picks on a level circle, evenly spread."""
    turns = [radians(turn_deg + 360 * n / count) for n in range(count)]
    return [(radius * cos(turn), radius * sin(turn), 0.0) for turn in turns]


def two_legs(a_deg: float, b_deg: float) -> tuple[list[Vector], Vector]:
    """Two picks under a hook 1000 above them, their legs at these angles from horizontal."""
    left = (-1000 / tan(radians(a_deg)), 0.0, 0.0)
    right = (1000 / tan(radians(b_deg)), 0.0, 0.0)
    return [left, right], (0.0, 0.0, 1000.0)


TWO_ANGLES = [
    # 147.0 cos 45 / sin 75 and 147.0 cos 30 / sin 75, from 15.0 kg hung on two wires.
    # Data: an open physics text, example of figure 4.22 (retrieved); answer worked by hand.
    pytest.param(15.0 * G, 30, 45, 107.6, 131.8, 0.1, id="two wires, 15 kg"),
    # Physics textbook problem (second-hand); worked by hand 73.42 and 97.43.
    pytest.param(122, 37, 53, 73.4, 97.4, 0.05, id="122 N"),
    # Physics textbook problem with its solution, 30 kg at 9.8 m/s2 (second-hand).
    pytest.param(294, 53, 37, 234.8, 176.9, 0.05, id="294 N"),
    # Data: a textbook problem (retrieved); answer worked by hand.
    pytest.param(285, 10, 29, 396.1, 446.0, 0.05, id="285 N"),
    # Data: a textbook problem (retrieved); answer worked by hand.
    pytest.param(20, 40, 70, 7.28, 16.30, 0.005, id="20 kN"),
]


@pytest.mark.parametrize(("load", "a", "b", "pull_a", "pull_b", "within"), TWO_ANGLES)
def test_two_unlike_legs(
    load: float, a: float, b: float, pull_a: float, pull_b: float, within: float
) -> None:
    assert by_sine_rule(load, a, b) == pytest.approx((pull_a, pull_b), abs=within)
    picks, hook = two_legs(a, b)
    found = lift(picks, (0, 0, -500), hook, load)
    assert found.tensions == pytest.approx((pull_a, pull_b), abs=within)
    assert found.worst == found.least == found.tensions
    assert found.angles_deg == pytest.approx((a, b))


def test_one_cord_at_30_deg_and_one_level() -> None:
    # Statics textbook, example 3.2, by its companion code (second-hand): 250 kg, 4.90 and 4.25 kN.
    sloping, level = by_sine_rule(250 * 9.81 / 1000, 30, 0)
    assert (sloping, level) == pytest.approx((4.905, 4.248), abs=0.001)


def test_three_equal_cables() -> None:
    # Data: a statics textbook (retrieved): 500 lb on three cables 8 long, anchors at (-2, 0) and
    # (1, +-sqrt 3), 2 sqrt 15 between the levels. By hand: 500 / 3 x 8 / (2 sqrt 15) = 172.13 lb.
    # The text hangs the load under the anchors; a hook over the picks is the same turned over.
    picks = [(-2.0, 0.0, 0.0), (1.0, sqrt(3), 0.0), (1.0, -sqrt(3), 0.0)]
    found = lift(picks, (0, 0, 0), (0, 0, 2 * sqrt(15)), 500)
    assert found.tensions == pytest.approx((172.13,) * 3, abs=0.005)


@pytest.mark.parametrize("theta", [30, 45, 60, 75])
def test_navy_bridle(theta: float) -> None:
    # US Navy 14251, p. 157, and 14081, p. 373-374 (retrieved): a bridle lifts SWL1 x H/L x 2,
    # SWL1 of one leg, H its height, L its length. Of 2.5 ton at 60 deg: 4.33 ton (by hand).
    # A basket has two parts and is no different: the x 4 of 14081, p. 374, is of a double one.
    picks, hook = two_legs(theta, theta)
    swl = 2.5 * sin(radians(theta)) * 2
    assert lift(picks, (0, 0, 0), hook, swl).worst == pytest.approx((2.5, 2.5))
    if theta == 60:
        assert swl == pytest.approx(4.33, abs=0.005)


# By hand W / (2 sin theta); 577 and 707 of 1,000 lb also printed on a trade page (second-hand).
# At 2,000 lb, 60 and 30 deg: an environmental health and safety page of a university prints 1,154
# (it cuts off) and 2,000 (retrieved). At 90 deg the legs are parallel and meet in no hook, so
# 89.999 deg stands for it.
EVEN = {89.999: (500, 1000), 60: (577, 1155), 45: (707, 1414), 30: (1000, 2000)}


@pytest.mark.parametrize(
    ("load", "theta", "pull"),
    [(w, theta, row[n]) for theta, row in EVEN.items() for n, w in enumerate((1000, 2000))],
)
def test_two_equal_legs(load: float, theta: float, pull: float) -> None:
    assert by_sine_rule(load, theta, theta) == pytest.approx((pull, pull), abs=0.5)
    if theta < 89:
        picks, hook = two_legs(theta, theta)
        assert lift(picks, (0, 0, 0), hook, load).worst == pytest.approx((pull, pull), abs=0.5)


def test_center_nearer_to_one_pick() -> None:
    # By hand, own example: W 10,000, picks 4 and 6 from the plumb line, hook 8 above them.
    # Nearer leg 10,000 x 6/10 x sqrt 80 / 8 = 6,708; farther 10,000 x 4/10 x 10 / 8 = 5,000.
    found = lift([(-4, 0, 0), (6, 0, 0)], (0, 0, -1), (0, 0, 8), 10_000)
    assert found.tensions == pytest.approx((6708.2, 5000.0), abs=0.1)


def test_tripod() -> None:
    # By hand, own example: W 3,000, hook 4 above picks on a radius of 3, so legs of 5:
    # 3,000 / 3 x 5 / 4 = 1,250 each.
    found = lift(fan(3, 3), (0, 0, 0), (0, 0, 4), 3000)
    assert found.tensions == pytest.approx((1250.0,) * 3)


def test_four_legs_of_a_rigid_load() -> None:
    # Two diagonal legs carry everything: US Navy 14081, p. 382, 14251, figure 6-60, and the
    # Queensland guide (retrieved). By hand, 10,000 at 60 deg: 10,000 / (2 sin 60) = 5,774.
    # The naive quarter, 10,000 / (4 sin 60) = 2,887, is an equilibrium too, but not the worst.
    picks = fan(4, 1000 / tan(radians(60)), 45)
    found = lift(picks, (0, 0, -100), (0, 0, 1000), 10_000)
    assert found.worst == pytest.approx((5773.5,) * 4, abs=0.1)
    assert found.least == (0.0,) * 4
    assert found.tensions is None
    assert found.least[0] < 2887 < found.worst[0]


@pytest.mark.parametrize("theta", [30, 45, 60, 75])
def test_bar_between_two_equal_legs(theta: float) -> None:
    # By hand: the bar closes the triangle of forces at its end, half the load up, T along the leg.
    end = 10_000 / 2 / sin(radians(theta)) * cos(radians(theta))
    assert even_bar_compression(10_000, theta) == pytest.approx(end)
    if theta == 45:
        assert even_bar_compression(10_000, theta) == pytest.approx(5000)
