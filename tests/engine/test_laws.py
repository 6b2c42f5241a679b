"""Laws that hold for every sling: what is flatter, weaker, narrower or shorter is never better."""

from __future__ import annotations

import copy
import datetime
import re
from collections.abc import Callable
from math import inf
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from riglint import Policy, figures
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.judging import Judge, Judgment
from riglint.quantities import Length, Load
from riglint.testing import sling_of, sound_builds, values_of

moderate = settings(max_examples=60, deadline=None)
JUDGE = Judge(standard_book(), Policy(), datetime.date(2026, 6, 1))
A_HAIR = 1 + 1e-9

ENTRY_TABLES = ("part", "leg", "item")
SIZES = {"US": ("3/8 in", "1/2 in", "5/8 in", "1 in"), "EN": ("8 mm", "10 mm", "13 mm", "28 mm")}


def of_size(base: str, basis: str, grade: int, size: str, limit: float) -> dict[str, Any]:
    """A sound build made over to another basis, grade and size, its links rated by the same."""
    values = values_of(f'base = "{base}"')
    values["assembly"]["basis"] = values["catalog"]["basis"] = basis
    for item in values["item"]:
        if "grade" in item:
            item["grade"] = grade
        if "size" in item:
            item["size"] = size
            item["working_load_limit"] = f"{limit:.3f} kg"
        for row in item.get("chart", ()):
            row |= {"grade": grade, "size": size, "limit": f"{limit * 3:.3f} kg"}
    return values


def rating_at(values: dict[str, Any], angle: float) -> float:
    return float(Calculation(sling_of(values)).rating(angle).stated)


def judged(values: dict[str, Any]) -> Judgment:
    sling = sling_of(values)
    judgment = JUDGE.of_sling(sling, Calculation(sling))
    assert judgment.problems == ()
    return judgment


def rated(values: dict[str, Any]) -> float | None:
    known = Calculation(sling_of(values)).rating()
    return None if known.load is None else float(known.load)


bases = st.sampled_from(["pair", "quad", "shortened"])
sizes = st.sampled_from(["US", "EN"]).flatmap(
    lambda basis: st.tuples(st.just(basis), st.sampled_from(SIZES[basis]))
)
grades = st.sampled_from([80, 100, 120])
limits = st.floats(500, 50_000)
steep = st.floats(30, 90)


# Ratings


@given(bases, sizes, grades, limits, steep, steep)
@moderate
def test_flatter_legs_never_carry_more(base, size, grade, limit, one, other):
    values = of_size(base, size[0], grade, size[1], limit)
    flat, stood = sorted((one, other))
    assert rating_at(values, flat) <= rating_at(values, stood) * A_HAIR


@pytest.mark.parametrize(
    ("basis", "size", "limit"),
    # cells 10,600 lb for 3 x 7,100 sin 30 = 10,650, and 11,800 kg for 1.5 x 8,000 = 12,000
    [("US", "3/8 in", 7100 * 0.45359237), ("EN", "16 mm", 8000)],
)
def test_legs_a_little_flatter_than_any_listed_angle_carry_no_more(basis, size, limit):
    values = of_size("quad", basis, 80, size, limit)
    assert rating_at(values, 29.9) <= rating_at(values, 30) * A_HAIR


@given(st.sampled_from([1, 2, 3]), steep, steep)
@settings(deadline=None)
def test_leg_factors_fall_with_the_angle(legs, one, other):
    flat, stood = sorted((one, other))
    assert figures.us_leg_factor(legs, flat) <= figures.us_leg_factor(legs, stood) * A_HAIR
    assert figures.en_leg_factor(legs, flat) <= figures.en_leg_factor(legs, stood)


@given(
    bases,
    sizes,
    grades,
    st.sampled_from(["coupling", "chain", "hook", "master", "intermediate"]),
    st.floats(0.05, 1),
    steep,
)
@moderate
def test_a_weaker_part_never_raises_the_rating(base, size, grade, weak, share, angle):
    values = of_size(base, size[0], grade, size[1], 8000)
    before = rating_at(values, angle)
    (item,) = [item for item in values["item"] if item["id"] == weak]
    for holder in (item, *item.get("chart", ())):
        for key in ("working_load_limit", "limit"):
            if key in holder:
                holder[key] = f"{Load.parse(holder[key]) * share:.3f} kg"
    assert rating_at(values, angle) <= before * A_HAIR


@given(bases, sizes, limits, st.floats(0.1, 10), steep)
@moderate
def test_limits_in_proportion_rate_in_proportion(base, size, limit, times, angle):
    """Grade 120: no published table has its cells."""
    one = rating_at(of_size(base, size[0], 120, size[1], limit), angle)
    other = rating_at(of_size(base, size[0], 120, size[1], limit * times), angle)
    assert other == pytest.approx(one * times, rel=1e-5)  # limits are written to a gram


@given(st.sampled_from(["pair", "quad"]), st.integers(0, 1), st.floats(1.001, 5), steep)
@moderate
def test_a_larger_limit_in_the_chart_never_carries_less(base, row, times, angle):
    values = values_of(f'base = "{base}"')
    before = rating_at(values, angle)
    chart = values["item"][1]["chart"]
    chart[row]["limit"] = f"{Load.parse(chart[row]['limit']) * times:.3f} kg"
    assert rating_at(values, angle) >= before / A_HAIR


@given(st.integers(2, 4), st.sampled_from(["3/8 in", "1/2 in"]), st.floats(1_000, 50_000), steep)
@example(4, "3/8 in", 16_000, 60.0)  # a pull of 16,000 / 22,900 x 8,800 = 6,148 lb a leg
@moderate
def test_a_further_row_in_the_chart_never_carries_less(legs, size, limit, angle):
    values = values_of("""
        base = "pair"
        [[item]]
        id = "master"
        chart = [{ leg = "chain", grade = 100, size = "3/8 in", legs = 2, limit = "15,200 lb" }]
    """)
    before = rating_at(values, angle)
    values["item"][1]["chart"].append(
        {"leg": "chain", "grade": 100, "size": size, "legs": legs, "limit": f"{limit:.3f} lb"}
    )
    assert rating_at(values, angle) >= before / A_HAIR


# Fit and lengths


@given(st.floats(1, 100), st.floats(1, 50), st.floats(1, 400), st.floats(1, 400))
@settings(deadline=None)
def test_a_wider_link_is_never_more_crowded(width, depth, one, other):
    narrow, wide = sorted((one, other))
    assert figures.seat_angle(width, depth, wide) <= figures.seat_angle(width, depth, narrow)


@given(bases, st.floats(30, 300), st.floats(30, 300))
@moderate
def test_a_wider_link_of_a_sling_is_never_more_crowded(base, one, other):
    def arc(width: float) -> float:
        values = values_of(f'base = "{base}"')
        values["item"][1]["inside_width"] = f"{width:.3f} mm"
        sling = sling_of(values)
        return Calculation(sling).seated_arc(sling.gatherings[0])

    narrow, wide = sorted((one, other))
    assert arc(wide) <= arc(narrow) * A_HAIR


@given(st.sampled_from(["quad", "shortened"]), st.floats(200, 3100), st.floats(200, 3100))
@moderate
def test_a_shorter_setting_never_needs_an_earlier_link(base, one, other):
    sling = sling_of(values_of(f'base = "{base}"'))
    calculation, leg = Calculation(sling), sling.legs[0]

    def link(reach: float) -> float:
        wanted = calculation.wanted_link(leg, reach)
        return -inf if wanted is None else wanted  # the full leg serves

    short, long = sorted((one, other))
    assert link(short) >= link(long)


@given(st.floats(-300, 300), st.floats(0, 200), st.floats(10, 100), st.floats(0.1, 200))
@settings(deadline=None)
def test_a_pocket_further_off_never_needs_an_earlier_link(height, start, pitch, further):
    away = further if height + start >= 0 else -further
    assert figures.first_link(height + away, start, pitch) >= figures.first_link(
        height, start, pitch
    )


@given(st.floats(-100, 100), st.floats(0, 100), st.floats(10, 100), st.integers(1, 80))
@settings(deadline=None)
def test_links_needed_undoes_pocket_reach(height, start, pitch, link):
    reach = figures.pocket_reach(3000, height, start, pitch, link)
    assert figures.links_needed(3000, height, start, pitch, reach) == pytest.approx(link)


# What is only another way of writing the same


@st.composite
def slings(draw: st.DrawFn) -> dict[str, Any]:
    """A sound build with up to four data of its catalog changed or taken away."""
    values = values_of(f'base = "{draw(st.sampled_from(sound_builds()))}"')
    for item in draw(st.lists(st.sampled_from(values["item"]), max_size=4)):
        keys = sorted(set(item) - {"id", "kind"})
        if not keys:
            continue
        key = draw(st.sampled_from(keys))
        if draw(st.booleans()):
            del item[key]
        else:
            item[key] = converted(item[key], draw(st.sampled_from([0.5, 0.9, 1.2, 2.0])).__mul__)
    return values


def converted(value: Any, change: Callable[[float], float]) -> Any:
    """Quantities written anew, in mm and kg, to more digits than any limit has."""
    if isinstance(value, list):
        return [converted(each, change) for each in value]
    if isinstance(value, dict):
        return {
            key: each if key == "size" else converted(each, change) for key, each in value.items()
        }
    if isinstance(value, str):
        for kind, unit in ((Length, "mm"), (Load, "kg")):
            for name in kind.units:
                if re.fullmatch(rf"[\d,./ -]+ {name}( [\d./-]+ in)?", value):
                    return f"{change(float(kind.parse(value))):.9f} {unit}"
    return value


def said(judgment: Judgment) -> tuple[Any, ...]:
    findings = {(p.finding.rule, p.finding.part, p.finding.level) for p in judgment.findings}
    return dict(judgment.verdicts), findings, {(m.rule, m.item, m.datum) for m in judgment.missing}


def same(one: float | None, other: float | None) -> bool:
    return one == other if one is None or other is None else one == pytest.approx(other)


@given(slings(), st.randoms(use_true_random=False))
@moderate
def test_the_order_of_tables_changes_nothing(values, random):
    shuffled = copy.deepcopy(values)
    for table in ENTRY_TABLES:
        random.shuffle(shuffled.get(table, []))
    assert said(judged(shuffled)) == said(judged(values))
    assert same(rated(shuffled), rated(values))


@given(slings(), st.permutations(["z", "top", "a", "A 1", "über"]))
@moderate
def test_other_refs_change_no_verdict(values, names):
    new = dict(zip(("top", "left", "right", "a", "b"), names, strict=True))
    renamed = copy.deepcopy(values)
    for entry in (*renamed.get("part", ()), *renamed["leg"]):
        entry["ref"] = new[entry["ref"]]
        if "on" in entry:
            entry["on"] = new[entry["on"]]
        pocket = entry.get("adjust", {}).get("pocket")
        if pocket in new:
            entry["adjust"]["pocket"] = new[pocket]
    assert judged(renamed).verdicts == judged(values).verdicts
    assert same(rated(renamed), rated(values))


@given(slings())
@moderate
def test_other_units_change_no_verdict(values):
    metric = {
        key: each if key in ("assembly", "catalog") else converted(each, float)
        for key, each in values.items()
    }
    metric["assembly"] = converted(values["assembly"], float)
    assert " in" not in str([item.get("bar") for item in metric["item"]])
    assert said(judged(metric)) == said(judged(values))
    assert same(rated(metric), rated(values))
