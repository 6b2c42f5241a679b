"""Hitches, unlike legs, spreaders and known lifts, through whole builds."""

from math import radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from riglint import Unstated
from riglint.calculation import Calculation, LegsDoNotMeet
from riglint.problem import Unreadable
from riglint.testing import sling_of

POUND = 0.45359237
FOOT = 304.8


def figures_of(example):
    return Calculation(sling_of(example))


def by_program(picks, hook, mass):
    """The worst pull of each leg by linear programming: an oracle of its own."""
    points, top = np.array(picks, float), np.array(hook, float)
    units = (top - points).T / np.linalg.norm(top - points, axis=1)
    down = np.array([0.0, 0.0, mass])
    worst = []
    for leg in range(len(picks)):
        aim = np.zeros(len(picks))
        aim[leg] = -1.0
        worst.append(-linprog(aim, A_eq=units, b_eq=down).fun)
    return worst


# Baskets and endless legs


def test_a_single_basket_is_two_loaded_legs_and_two_are_four():
    for count, loaded, counted in ((1, 2, 2), (2, 4, 3)):
        example = f"""
            base = "single"
            without = ["/duty/load"]
            [duty]
            hitch = "basket"
            angle = {{ from_horizontal = "60 deg" }}
            [[leg]]
            ref = "a"
            count = {count}
            to = "top"
            [[item]]
            id = "master"
            chart = [
              {{ leg = "chain", grade = 100, size = "3/8 in", legs = 4, limit = "22,900 lb" }},
            ]
        """
        figures = figures_of(example)
        assert figures.sling.loaded_legs == loaded
        # OSHA, Table 2: 3/8 in grade 100 at 60 deg, two legs 15,200 lb, three and four 22,900 lb
        expected = {2: 15200, 3: 22900}[counted]
        assert figures.rating().stated / POUND == pytest.approx(expected)


def test_an_endless_leg_is_not_counted_twice():
    figures = figures_of('base = "single"\n[[leg]]\nref = "a"\nendless = true')
    assert figures.sling.loaded_legs == 1
    assert figures.rating().stated / POUND == pytest.approx(8800)


def test_a_basket_reaches_half_its_length():
    straight = figures_of('base = "rope"')
    basket = figures_of('base = "rope"\n[[leg]]\nref = "a"\nto = "hung_from"')
    assert basket.reach(basket.sling.legs[0]) == straight.reach(straight.sling.legs[0]) / 2


def test_a_rope_basket_waits_for_what_it_bends_round():
    example = """
        base = "rope"
        [duty]
        hitch = "basket"
        angle = { from_horizontal = "90 deg" }
        [[leg]]
        ref = "a"
        to = "hung_from"
    """
    with pytest.raises(Unstated, match="bends round"):
        figures_of(example).duty_rating()


def test_a_lower_end_hangs_on_what_there_is():
    with pytest.raises(Unreadable, match="no part of that name"):
        sling_of('base = "pair"\n[[leg]]\nref = "a"\nto = "topp"')


# Legs that stand differently


def unlike(a, b):
    return f"""
        base = "pair"
        without = ["/duty/load"]
        [[leg]]
        ref = "a"
        count = 1
        angle = {{ from_horizontal = "{a} deg" }}
        [[leg]]
        ref = "b"
        on = "top"
        angle = {{ from_horizontal = "{b} deg" }}
        parts = [
          {{ item = "coupling" }},
          {{ item = "chain", links = 65 }},
          {{ item = "coupling" }},
          {{ item = "hook" }},
        ]
    """


def test_two_unlike_legs_share_by_the_sine_rule():
    # 40 and 70 deg (a statics text: 20 kN gives 7.28 and 16.30 kN): the steep leg pulls 0.815 W
    figures = figures_of(unlike(40, 70))
    assert figures.rating().stated / POUND == pytest.approx(8800 / 0.8152, rel=1e-3)
    pulls = {one.ref: one.worst for one in figures.leg_pulls(20.0)}
    assert pulls["a"] == pytest.approx(7.28, abs=0.005)
    assert pulls["b"] == pytest.approx(16.30, abs=0.005)


def test_like_angles_give_the_exact_product():
    rated = figures_of(unlike(60, 60)).rating().stated
    assert rated / POUND == pytest.approx(2 * sin(radians(60)) * 8800)


def test_of_three_unlike_legs_the_worst_pair_counts():
    # two at 50 deg, one at 60: the steep one pulls most beside one flat leg alone,
    # W cos 50 / sin 110 = 0.6840 W; two flat ones alone 0.6527 W
    example = unlike(60, 60).replace("count = 1", "count = 2")
    example = example.replace('"60 deg"', '"50 deg"', 1)
    wide = '[[item]]\nid = "master"\nchart = [{ leg = "chain", grade = 100, size = "1/2 in",'
    figures = figures_of(example + wide + ' legs = 4, limit = "39,900 lb" }]\n')
    assert figures.rating().stated / POUND == pytest.approx(8800 / 0.68404, rel=1e-4)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(35, 80), min_size=3, max_size=3), st.integers(0, 359))
def test_no_equilibrium_of_unlike_legs_pulls_harder_than_rated(angles, turn):
    """Legs at these angles, however they are turned about the hook: linear programming agrees."""
    around = [radians(turn), radians(turn + 120), radians(turn + 240)]
    picks = [
        (10 / np.tan(radians(angle)) * np.cos(at), 10 / np.tan(radians(angle)) * np.sin(at), 0)
        for angle, at in zip(angles, around, strict=True)
    ]
    worst = by_program(picks, (0, 0, 10), 1.0)
    for n, angle in enumerate(angles):
        flattest = min(other for m, other in enumerate(angles) if m != n)
        bound = np.cos(radians(flattest)) / sin(radians(angle + flattest))
        assert worst[n] <= bound * (1 + 1e-9)


def test_two_plumb_legs_wait_for_their_places():
    with pytest.raises(Unstated, match="plumb"):
        figures_of(unlike(90, 90)).rating()


def test_legs_of_other_reach_wait_for_their_angles():
    with pytest.raises(Unstated, match="angle of each"):
        figures_of('base = "quad"\n[[leg]]\nref = "b"\nreach = "9 ft"').rating()


# Spreaders

BEAM = """
    base = "pair"
    without = ["/duty/load", "/assembly/reach", "/tag"]
    [duty]
    angle = { from_horizontal = "90 deg" }
    [[part]]
    ref = "bar"
    item = "beam"
    [[leg]]
    ref = "a"
    count = 1
    to = "bar/left"
    [[leg]]
    ref = "b"
    on = "top"
    to = "bar/right"
    parts = [
      { item = "coupling" },
      { item = "chain", links = 65 },
      { item = "coupling" },
      { item = "hook" },
    ]
    [[leg]]
    ref = "c"
    on = "bar/left"
    parts = [{ item = "hook" }, { item = "chain", links = 20 }, { item = "hook" }]
    [[leg]]
    ref = "d"
    on = "bar/right"
    parts = [{ item = "hook" }, { item = "chain", links = 20 }, { item = "hook" }]
    [[item]]
    id = "beam"
    kind = "spreader"
    ports = [{ name = "left", at = "-43.8 in" }, { name = "right", at = "43.8 in" }]
    effective_length = "6 in"
    mass = "200 lb"
    working_load_limit = "20,000 lb"
"""


def test_the_upper_legs_of_a_spreader_are_rated_at_their_own_angle():
    # the upper legs: 65 x 1.18 + 2 x 2.7 + 5.5 = 87.6 in, half the beam 43.8 in: 60 deg
    figures = figures_of(BEAM)
    assert figures.upper_angle() == pytest.approx(60.0, abs=1e-6)
    rated = figures.rating()
    # two legs of 3/8 in grade 100 at 60 deg 15,200 lb (OSHA, Table 2) less the beam; 2 x 8,800
    assert rated.allowed["a/chain"] / POUND == pytest.approx(15000)
    assert rated.allowed["c/chain"] / POUND == pytest.approx(17600)
    assert rated.stated / POUND == pytest.approx(15000)


def test_the_pulls_above_and_below_a_spreader():
    pulls = {one.ref: one for one in figures_of(BEAM).leg_pulls(10000 * POUND)}
    assert pulls["c"].worst / POUND == pytest.approx(5000)
    # statics: (10,000 + 200) / 2 / sin 60 deg
    assert pulls["a"].worst / POUND == pytest.approx(5100 / sin(radians(60)), rel=1e-6)
    assert pulls["a"].angle == pytest.approx(60.0, abs=1e-6)


def test_a_spreader_hangs_by_the_height_of_its_upper_legs():
    figures = figures_of(BEAM)
    lower = figures.sling.legs[2]
    # master 9 in, 87.6 sin 60 deg, beam 6 in, hooks 2 x 5.5 in, 20 x 1.18 in
    inches = 9 + 87.6 * sin(radians(60)) + 6 + 11 + 23.6
    assert figures.reach(lower) / 25.4 == pytest.approx(inches)


def test_a_load_to_one_side_of_a_spreader_is_not_rated():
    aside = BEAM.replace(
        '[[leg]]\n    ref = "d"\n    on = "bar/right"',
        '[[leg]]\n    ref = "d"\n    on = "bar/left"',
    )
    with pytest.raises(Unstated, match="hang level"):
        figures_of(aside).rating()


@pytest.mark.parametrize("on", ["{}", "{}/left"])
def test_a_link_assembly_hangs_at_its_port_whatever_its_own_links_are_called(on):
    """Its link `left` is no port of the beam: what hangs on it hangs where the assembly does."""
    made = (
        BEAM
        + """
    [[item]]
    id = "set"
    kind = "link-assembly"
    links = [{ name = "left", item = "intermediate" }]
    """
    )
    for leg, port in (("c", "left"), ("d", "right")):
        own = f'[[part]]\n    ref = "m-{port}"\n    item = "set"\n    on = "bar/{port}"\n    '
        old = f'[[leg]]\n    ref = "{leg}"\n    on = "bar/{port}"'
        assert old in made
        named = on.format(f"m-{port}")
        made = made.replace(old, f'{own}[[leg]]\n    ref = "{leg}"\n    on = "{named}"')
    figures, plain = figures_of(made), figures_of(BEAM)
    assert figures.upper_angle() == pytest.approx(plain.upper_angle())
    pulls, asked = figures.leg_pulls(4000.0), plain.leg_pulls(4000.0)
    assert [one.worst for one in pulls] == pytest.approx([one.worst for one in asked])


def test_a_spreader_without_its_weight_is_open():
    rated = figures_of(BEAM.replace('mass = "200 lb"', "")).rating()
    assert rated.load is None
    assert "mass" in str(rated.gaps[0])


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('to = "bar/left"', 'to = "bar/lft"', "no port lft; write bar/left"),
        ('on = "bar/right"', 'on = "bar"', "several ports"),
    ],
)
def test_ports_are_named_rightly(old, new, message):
    with pytest.raises(Unreadable, match=message):
        sling_of(BEAM.replace(old, new, 1))


def test_spreaders_that_hold_each_other_are_a_loop():
    loop = BEAM.replace(
        'on = "top"\n    to = "bar/right"', 'on = "other/left"\n    to = "bar/right"'
    )
    loop += """
    [[part]]
    ref = "other"
    item = "beam"
    [[leg]]
    ref = "e"
    on = "bar/left"
    to = "other/left"
    parts = [{ item = "hook" }, { item = "chain", links = 20 }, { item = "hook" }]
    """
    with pytest.raises(Unreadable, match="hangs on itself"):
        sling_of(loop)


# Known lifts


def known(picks, center, hook=12.8, mass=10000):
    """The sound quad, or as many single legs as there are picks, under a load; in ft and lb."""
    refs = ("a1", "a2", "b1", "b2")[: len(picks)]
    points = "".join(
        f'{{ leg = "{ref}", at = ["{x} ft", "{y} ft", "{z} ft"] }},'
        for ref, (x, y, z) in zip(refs, picks, strict=True)
    )
    at = ", ".join(f'"{one} ft"' for one in center)
    height = f'hook_height = "{hook} ft"' if hook else ""
    count = '[[leg]]\nref = "b"\ncount = 1\n' if len(picks) == 3 else ""
    if count:
        points = points.replace('"b1"', '"b"')
    return f"""
        base = "quad"
        without = ["/duty/load"]
        {count}
        [duty.load_geometry]
        mass = "{mass} lb"
        center_of_gravity = [{at}]
        {height}
        pick_points = [{points}]
    """


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(-5, 5).map(lambda n: n / 10), min_size=8, max_size=8),
    st.integers(-10, 10).map(lambda n: n / 10),
    st.integers(-10, 10).map(lambda n: n / 10),
)
def test_worst_tensions_of_an_off_center_quad_are_those_of_linear_programming(off, x, y):
    corners = [(-4, -3), (-4, 3), (4, -3), (4, 3)]
    picks = [(a + off[2 * n], b + off[2 * n + 1], 4) for n, (a, b) in enumerate(corners)]
    figures = figures_of(known(picks, (x, y, 2)))
    found = [one.worst / POUND for one in figures.leg_pulls(10000 * POUND)]
    assert found == pytest.approx(by_program(picks, (x, y, 12.8), 10000), rel=1e-6, abs=1e-3)


def test_three_legs_are_determinate():
    # tripod of the notes: W 3,000, hook 4 above, picks on a radius of 3 at 120 deg: 1,250 each
    s = 3**0.5 / 2
    picks = [(3, 0, 4), (-1.5, 3 * s, 4), (-1.5, -3 * s, 4)]
    figures = figures_of(known(picks, (0, 0, 2), hook=8, mass=3000))
    pulls = figures.leg_pulls(3000 * POUND)
    assert [one.tension / POUND for one in pulls] == pytest.approx([1250] * 3, rel=1e-9)
    assert [one.worst for one in pulls] == pytest.approx([one.tension for one in pulls])


def test_the_hook_follows_from_the_reaches():
    figures = figures_of(known([(-4, -3, 4), (-4, 3, 4), (4, -3, 4), (4, 3, 4)], (0, 0, 2), hook=0))
    hang = figures.hang()
    # 121.48 in of reach, 60 in aside: sqrt(121.48^2 - 60^2) = 105.63 in above the picks
    assert hang.hook[2] / 25.4 == pytest.approx(48 + 105.63, abs=0.01)
    assert hang.lift.drift_mm == pytest.approx(0, abs=1e-6)


def test_legs_that_are_too_short_to_meet_are_named():
    far = [(-40, -30, 4), (-40, 30, 4), (40, -30, 4), (40, 30, 4)]
    with pytest.raises(LegsDoNotMeet) as caught:
        figures_of(known(far, (0, 0, 2), hook=0)).hang()
    assert set(caught.value.refs) == {"a1", "a2", "b1", "b2"}


def test_a_shorter_setting_moves_the_hook():
    picks = [(-4, -3, 4), (-4, 3, 4), (4, -3, 4), (4, 3, 4)]
    example = known(picks, (0, 0, 2), hook=0) + "\n[duty.load_geometry.pocket_links]\n"
    example += "a1 = 12\na2 = 12\n"
    hang = figures_of(example).hang()
    assert hang.hook[0] < -100  # towards the short legs
    assert hang.lift.tilt_deg > 2


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('leg = "b2"', 'leg = "b3"', "there is no leg b3"),
        ('leg = "b2"', 'leg = "b1"', "picks twice"),
    ],
)
def test_pick_points_name_the_legs(old, new, message):
    picks = [(-4, -3, 4), (-4, 3, 4), (4, -3, 4), (4, 3, 4)]
    with pytest.raises(Unreadable, match=message):
        sling_of(known(picks, (0, 0, 2)).replace(old, new))


def test_scaling_the_load_scales_every_pull():
    picks = [(-4, -3, 4), (-3, 3, 4), (4, -3, 3), (4, 2, 4)]
    one = figures_of(known(picks, (0.4, 0.2, 2), mass=1000)).leg_pulls(1000 * POUND)
    ten = figures_of(known(picks, (0.4, 0.2, 2), mass=10000)).leg_pulls(10000 * POUND)
    assert [10 * a.worst for a in one] == pytest.approx([a.worst for a in ten])
