"""What hangs on what: trees drawn by hand against the ones that are assembled."""

from __future__ import annotations

import pytest

from riglint.finding import Unstated
from riglint.problem import Unreadable
from riglint.sling import Gathering, Sling
from riglint.testing import merged, sling_of, values_of

ASSEMBLY = """
    base = "quad"
    without = ["/part/left", "/part/right", "/leg/a/adjust", "/leg/b/adjust"]
    [[part]]
    ref = "top"
    item = "set"
    [[leg]]
    ref = "a"
    on = "top/left"
    [[leg]]
    ref = "b"
    on = "top/right"
    [[item]]
    id = "set"
    kind = "link-assembly"
    links = [
      { name = "main", item = "master" },
      { name = "left", item = "intermediate" },
      { name = "right", item = "intermediate" },
    ]
    [[item.chart]]
    leg = "chain"
    size = "3/8 in"
    grade = 100
    legs = 4
    limit = "20,000 lb"
"""
BRANCH = """
    base = "pair"
    [[leg]]
    ref = "a"
    adjust = { on = "top", branch = [
      { item = "coupling" }, { item = "chain", links = 3 }, { item = "hook" },
    ], reaches = ["7 ft"] }
"""


def link(sling: Sling, path: str) -> Gathering:
    (found,) = [gathering for gathering in sling.gatherings if gathering.path == path]
    return found


def seats(gathering: Gathering) -> list[tuple[str, int]]:
    return [(seat.part.path, seat.count) for seat in gathering.seats]


def test_a_part_is_named_by_its_ref_or_by_leg_and_item():
    assert [part.path for part in sling_of('base = "quad"').parts] == [
        "top",
        "left",
        "right",
        "a1/coupling",
        "a1/chain",
        "a1/coupling#2",
        "a1/hook",
        "b1/coupling",
        "b1/chain",
        "b1/coupling#2",
        "b1/hook",
    ]


def test_a_leg_that_is_alone_keeps_its_ref():
    sling = sling_of('base = "single"')
    assert sling.legs[0].refs == ("a",)
    assert [part.path for part in sling.legs[0].parts][1] == "a/chain"


def test_identical_legs_are_one_that_names_the_others():
    leg = sling_of('base = "pair"\n[[leg]]\nref = "a"\ncount = 3').legs[0]
    assert (leg.path, leg.also, leg.count, leg.loaded_legs) == ("a1", ("a2", "a3"), 3, 3)
    assert leg.parts[2].path == "a1/coupling#2"
    assert leg.parts[2].also == ("a2/coupling#2", "a3/coupling#2")
    assert leg.parts[2].leg is leg


def test_a_gathering_part_has_no_twins():
    part = sling_of('base = "quad"').parts[0]
    assert (part.also, part.leg) == ((), None)


def test_a_tree_of_links():
    sling = sling_of('base = "quad"')
    top, left = link(sling, "top"), link(sling, "left")
    assert [gathering.path for gathering in sling.tops] == ["top"]
    assert [gathering.path for gathering in top.below] == ["left", "right"]
    assert left.above is top
    assert [leg.path for leg in top.legs] == ["a1", "b1"]
    assert [leg.path for leg in left.legs] == ["a1"]
    assert (top.own_legs, [leg.path for leg in left.own_legs]) == ((), ["a1"])
    assert (top.loaded_legs, left.loaded_legs, sling.loaded_legs) == (4, 2, 4)
    assert (top.gathers_all, left.gathers_all) == (True, False)


def test_parts_come_from_the_top_down_however_they_are_written():
    values = values_of('base = "quad"')
    values["part"].reverse()
    sling = sling_of(values)
    assert [gathering.path for gathering in sling.gatherings] == ["top", "left", "right"]


def test_legs_without_on_hang_on_what_the_sling_hangs_from():
    sling = sling_of('base = "pair"\nwithout = ["/leg/a/on", "/part/top"]')
    assert sling.legs[0].on is None
    assert (sling.gatherings, sling.tops) == ((), ())
    assert sling.hung_from is not None
    assert sling.hung_from.id == "crane-hook"


def test_an_assembly_of_links_is_its_links_each_by_name():
    sling = sling_of(ASSEMBLY)
    assert [gathering.path for gathering in sling.gatherings] == [
        "top/main",
        "top/left",
        "top/right",
    ]
    main, left = link(sling, "top/main"), link(sling, "top/left")
    assert left.above is main
    assert (main.loaded_legs, left.loaded_legs) == (4, 2)
    assert [leg.on.path for leg in sling.legs] == ["top/left", "top/right"]
    assert left.part.item.id == "intermediate"
    assert [row.limit.text for row in left.part.chart] == ["15,200 lb", "20,000 lb"]


def test_a_leg_on_an_assembly_hangs_on_its_first_link():
    sling = sling_of(ASSEMBLY + '[[leg]]\nref = "c"\non = "top"\nparts = [{ item = "hook" }]')
    assert sling.legs[2].on is link(sling, "top/main")
    assert seats(link(sling, "top/main")) == [("top/left", 1), ("top/right", 1), ("c/hook", 1)]


def test_a_part_hangs_on_a_link_of_an_assembly():
    sling = sling_of(
        ASSEMBLY.replace(
            '[[leg]]\n    ref = "a"\n    on = "top/left"',
            '[[part]]\nref = "low"\nitem = "intermediate"\non = "top/left"\n'
            '[[leg]]\nref = "a"\non = "low"',
        )
    )
    assert link(sling, "low").above is link(sling, "top/left")


def test_seats_are_lower_links_and_the_tops_of_legs():
    sling = sling_of('base = "quad"')
    assert seats(link(sling, "top")) == [("left", 1), ("right", 1)]
    assert seats(link(sling, "left")) == [("a1/coupling", 2)]


def test_a_branch_sits_beside_its_leg_and_its_parts_count_on():
    sling = sling_of(BRANCH)
    (leg,) = sling.legs
    assert [part.path for part in leg.branch] == ["a1/coupling#3", "a1/chain#2", "a1/hook#2"]
    assert {part.in_branch for part in leg.branch} == {True}
    assert {part.in_branch for part in leg.parts} == {False}
    assert seats(link(sling, "top")) == [("a1/coupling", 2), ("a1/coupling#3", 2)]
    assert leg.chain.path == "a1/chain"
    assert sling.loaded_legs == 2


def test_the_pocket_is_a_link_above_or_a_part_of_the_leg():
    assert sling_of('base = "quad"').legs[0].pocket.path == "left"
    assert sling_of('base = "shortened"').legs[0].pocket.path == "a1/shortener"


def test_a_leg_hung_by_both_ends_is_two_loaded_legs():
    sling = sling_of('base = "pair"\n[[leg]]\nref = "a"\ncount = 1\nto = "top"')
    assert (sling.legs[0].loaded_legs, sling.loaded_legs) == (2, 2)
    assert seats(link(sling, "top")) == [("a/coupling", 1), ("a/hook", 1)]


def test_the_two_ends_of_a_basket_sit_in_the_links_they_hang_on():
    values = values_of('base = "quad"\nwithout = ["/leg/b", "/leg/a/adjust"]')
    values["leg"][0] |= {"count": 1, "to": "right"}
    sling = sling_of(values)
    assert [count for _, count in seats(link(sling, "left"))] == [1]
    assert [count for _, count in seats(link(sling, "right"))] == [1]
    assert link(sling, "right").loaded_legs == 1


@pytest.mark.parametrize(
    ("text", "kind", "is_chain_sling"),
    [
        ('base = "pair"', "chain", True),
        (
            'base = "pair"\n[[leg]]\nref = "a"\nparts = [{ item = "rope", length = "5 ft" }]\n'
            '[[item]]\nid = "rope"\nkind = "wire-rope"',
            "wire-rope",
            False,
        ),
        ('base = "pair"\n[[leg]]\nref = "a"\nparts = [{ item = "hook" }]', None, False),
    ],
)
def test_the_kind_of_a_leg_is_that_of_its_long_part(text, kind, is_chain_sling):
    sling = sling_of(text)
    assert sling.legs[0].kind == kind
    assert sling.is_chain_sling is is_chain_sling


def test_a_sling_of_two_grades_is_held_against_the_higher():
    sling = sling_of("""
        base = "pair"
        [[leg]]
        ref = "b"
        on = "top"
        parts = [{ item = "weak", links = 65 }]
        [[item]]
        id = "weak"
        kind = "chain"
        grade = 80
    """)
    assert sling.chain.path == "a1/chain"


def test_a_datum_that_the_sheet_leaves_out_is_named_with_part_item_and_key():
    sling = sling_of('base = "pair"\nwithout = ["/item/coupling/opening"]')
    coupling = sling.legs[0].parts[0]
    with pytest.raises(Unstated) as caught:
        _ = coupling.opening
    gap = caught.value
    assert (gap.datum, gap.of, gap.item) == ("opening", "a1/coupling", "coupling")
    assert gap.key == "/item/3/opening"  # crane-hook, master, intermediate, coupling
    assert str(gap) == "coupling does not state opening"
    assert coupling.get("opening") is None


@pytest.mark.parametrize(
    ("over", "length", "load", "temperature"),
    [
        ("", "in", "lb", "degF"),
        ('[assembly]\nreach = "2.5 m"', "mm", "lb", "degF"),
        ('[duty]\nload = "5 t"', "in", "t", "degF"),
        ('[duty]\nload = "50 kN"', "in", "kN", "degF"),
        ('[duty]\ntemperature = { low = "0 degC" }', "in", "lb", "degC"),
        ('[assembly]\nreach = "8 ft"\nbasis = "EN"', "in", "lb", "degC"),
    ],
)
def test_reports_speak_the_units_that_the_build_is_written_in(over, length, load, temperature):
    units = sling_of(merged(values_of('base = "pair"'), values_of(over or "[duty]"))).units
    assert (units.length, units.load, units.temperature) == (length, load, temperature)


def test_links_of_one_name_in_an_assembly_are_refused():
    with pytest.raises(Unreadable, match="used twice"):
        sling_of("""
            base = "pair"
            [[part]]
            ref = "top"
            item = "set"
            [[leg]]
            ref = "a"
            on = "top/x"
            [[item]]
            id = "set"
            kind = "link-assembly"
            links = [{ name = "x", item = "master" }, { name = "x", item = "intermediate" }]
        """)
