"""Proof loads and tags of whole builds against what the standards and regulations ask for.

"Retrieved": read in the document itself. "Second-hand": read in a page that quotes the numbered
document. "From memory": no source seen; such a row is marked and proves nothing alone.
"""

from __future__ import annotations

from typing import Any

import pytest

from riglint import Unstated
from riglint.book import standard_book
from riglint.calculation import Calculation
from riglint.testing import run, sling_of

RULES = {rule.name: rule for rule in standard_book().rules}
POUND = 0.45359237  # kg; international pound, 1959

Hangs = dict[str, int]  # so many legs on this part

ONE, TWO, THREE_ON_ONE = {"top": 1}, {"top": 2}, {"top": 3}
THREE, FOUR = {"left": 2, "right": 1}, {"left": 2, "right": 2}
TWO_AND_A_STRAIGHT_ONE = {"left": 2, "top": 1}
ONE_EACH = {"left": 1, "right": 1}


def build(
    basis: str, grade: int, size: str, limit: str, legs: Hangs, **tables: Any
) -> dict[str, Any]:
    """A sling of that chain with its legs on those links, whose charts are far above it."""
    count = sum(legs.values())
    angle = {"from_horizontal": "60 deg"} if basis == "US" else {"from_vertical": "45 deg"}
    duty = {"hitch": "straight"} if count == 1 else {"hitch": "bridle", "angle": angle}
    steel = {"steel": "alloy", "grade": grade, "size": size, "working_load_limit": limit}
    chart = {"leg": "chain", "grade": grade, "size": "45 mm", "legs": [3, 4], "limit": "1,000 t"}
    link = {"steel": "alloy", "grade": grade, "bar": "60 mm", "chart": [chart]}
    return {
        "assembly": {"id": "sling", "basis": basis},
        "duty": duty,
        "part": [
            {"ref": "top", "item": "master"},
            *({"ref": ref, "item": "lower", "on": "top"} for ref in legs if ref != "top"),
        ],
        "leg": [
            {"ref": f"{ref}-", "on": ref, "count": legs_there}
            | {"parts": [{"item": "chain", "links": 80}, {"item": "hook"}]}
            for ref, legs_there in legs.items()
        ],
        "catalog": {"id": "published", "basis": basis},
        "item": [
            {"id": "master", "kind": "master-link", **link},
            {"id": "lower", "kind": "intermediate-link", **link},
            {"id": "chain", "kind": "chain", **steel},
            {"id": "hook", "kind": "sling-hook", **steel},
        ],
        **tables,
    }


def plan(values: dict[str, Any]) -> dict[str, float]:
    pulls = Calculation(sling_of(values)).proof_plan()
    return {place: float(pull.load) for place, pull in pulls.items()}


def verdict(name: str, values: dict[str, Any]) -> str:
    return run(RULES[name], values).verdict


# Proof loads, US
#
# ASME B30.9-2010, 9-1.6.2 (second-hand): (a), (b) legs and what hangs on one leg, at least 2 times
# the rating of one straight leg; (c) a master link of two legs and a master coupling link on two
# legs, 4 times; (d) a master link of three and four legs, 6 times. ASTM A906/A906M-02(2010), 7.1.2
# and 7.1.3 say the same (second-hand), 7.1.4 for three and four legs from memory.

US_LEGS = [
    pytest.param(ONE, {"leg": 2, "master": 2}, id="one"),
    pytest.param(TWO, {"leg": 2, "master": 4}, id="two"),
    pytest.param(THREE_ON_ONE, {"leg": 2, "master": 6}, id="three on the master link"),
    pytest.param(THREE, {"leg": 2, "intermediate": 4, "master": 6}, id="three"),
    pytest.param(
        TWO_AND_A_STRAIGHT_ONE,
        {"leg": 2, "intermediate": 4, "master": 6},
        id="three, one straight on the master link",
    ),
    pytest.param(FOUR, {"leg": 2, "intermediate": 4, "master": 6}, id="four"),
    pytest.param(
        ONE_EACH,
        {"leg": 2, "intermediate": 2, "master": 4},
        id="two, each on a link of its own",
    ),
]
# one straight leg in lb: OSHA, Guidance on Safe Sling Use, Tables 1 and 2 (retrieved); grade 100
# in 1 in from memory
US_CHAINS = [
    pytest.param(80, "3/8 in", 7100, id="80 3/8"),  # 14,200; 28,400; 42,600
    pytest.param(100, "3/8 in", 8800, id="100 3/8"),  # 17,600; 35,200; 52,800
    pytest.param(100, "1/2 in", 15000, id="100 1/2"),  # 30,000; 60,000; 90,000
    pytest.param(80, "1-1/4 in", 72300, id="80 1-1/4"),  # 144,600; 289,200; 433,800
    pytest.param(100, "1 in", 59700, id="100 1 in, from memory"),  # 119,400; 238,800; 358,200
]


@pytest.mark.parametrize(("grade", "size", "single"), US_CHAINS)
@pytest.mark.parametrize(("legs", "multiples"), US_LEGS)
def test_us_plan(grade, size, single, legs, multiples):
    found = plan(build("US", grade, size, f"{single} lb", legs))
    assert {place: load / POUND / single for place, load in found.items()} == {
        place: pytest.approx(multiple, rel=1e-12) for place, multiple in multiples.items()
    }


def test_us_plan_in_pounds():
    """8,800 lb: 2 x 17,600, 4 x 35,200, 6 x 52,800: twice the three legs that count, not four."""
    found = plan(build("US", 100, "3/8 in", "8,800 lb", FOUR))
    assert {place: round(load / POUND, 6) for place, load in found.items()} == {
        "leg": 17600,
        "intermediate": 35200,
        "master": 52800,
    }


@pytest.mark.parametrize("legs", [ONE, TWO, THREE, FOUR], ids=["one", "two", "three", "four"])
def test_us_proof_is_at_most_twice_the_rating_of_the_legs_that_count(legs):
    """DOE-STD-1090-96, 15.4.7.3 (retrieved): legs at 200 %, the master link at 200 % of the force
    from the combined legs. At 90 deg that is 2 x 1, 2 x 2, 2 x 3 and, uncounted, no more."""
    count = min(sum(legs.values()), 3)
    found = plan(build("US", 80, "1/2 in", "12,000 lb", legs))
    assert found["leg"] / POUND == pytest.approx(2 * 12000)
    assert found["master"] / POUND == pytest.approx(2 * 12000 * count)


@pytest.mark.parametrize(
    ("place", "asked"), [("leg", 17600), ("intermediate", 35200), ("master", 52800)]
)
def test_us_orders_just_at_and_under_what_is_asked(place, asked):
    """+0 / -5 % is for the gauge of a test (DOE-STD-1090-96, retrieved), not for the order."""

    def ordered(load: int) -> dict[str, Any]:
        proof = {f"{place}_load": f"{load} lb"}
        return build("US", 100, "3/8 in", "8,800 lb", FOUR, proof=proof)

    assert verdict("proof-load-short", ordered(asked)) == "pass"
    assert verdict("proof-load-short", ordered(asked * 99 // 100)) == "fail"
    assert verdict("proof-load-excess", ordered(asked)) == "pass"
    # ASME B30.26-2010, 26-1.4.2 (second-hand): 2.0 to 2.2 times, a tenth above
    assert verdict("proof-load-excess", ordered(asked * 11 // 10)) == "pass"
    assert verdict("proof-load-excess", ordered(asked * 111 // 100)) == "fail"


# Proof loads, EN
#
# EN 818-4:1996+A1:2008, 6 (second-hand): 2.5 times the limit of each section, a leg, a link on two
# legs, the master link. Sections by DGUV 209-021, page 3 (retrieved), 0 to 45 deg.

EN_PLANS = [
    # 2.5 x 3,150; 4,250; 6,700
    ("10 mm", 3150, ONE, {"leg": 7875, "master": 7875}),
    ("10 mm", 3150, TWO, {"leg": 7875, "master": 10625}),
    ("10 mm", 3150, THREE, {"leg": 7875, "intermediate": 10625, "master": 16750}),
    ("10 mm", 3150, FOUR, {"leg": 7875, "intermediate": 10625, "master": 16750}),
    ("10 mm", 3150, THREE_ON_ONE, {"leg": 7875, "master": 16750}),
    # each intermediate link on one leg: its section is that of the leg
    ("10 mm", 3150, ONE_EACH, {"leg": 7875, "intermediate": 7875, "master": 10625}),
    # 2.5 x 5,300; 7,500; 11,200
    ("13 mm", 5300, ONE, {"leg": 13250, "master": 13250}),
    ("13 mm", 5300, TWO, {"leg": 13250, "master": 18750}),
    ("13 mm", 5300, FOUR, {"leg": 13250, "intermediate": 18750, "master": 28000}),
    # 2.5 x 25,000; 33,500; 50,000: the cells are no products
    ("28 mm", 25000, FOUR, {"leg": 62500, "intermediate": 83750, "master": 125000}),
    # 2.5 x 500; 710; 1,060
    ("4 mm", 500, FOUR, {"leg": 1250, "intermediate": 1775, "master": 2650}),
]


@pytest.mark.parametrize(("size", "single", "legs", "loads"), EN_PLANS)
def test_en_plan(size, single, legs, loads):
    found = plan(build("EN", 8, size, f"{single} kg", legs))
    assert found == {place: pytest.approx(load, rel=1e-12) for place, load in loads.items()}


@pytest.mark.parametrize(
    ("grade", "size", "kg", "force"),
    [
        # EN 818-3, Table 5 (second-hand): grade 4 chain is made to a proof force in kN of 31.4
        # for 1.6 t and 126 for 6.3 t, 200 N/mm2 on two sections; 2.5 x 1.6 t x 9.80665 = 39.2 kN
        pytest.param(4, "10 mm", 1600, 31.4, id="grade 4, 10 mm"),
        pytest.param(4, "20 mm", 6300, 126, id="grade 4, 20 mm"),
        # grade 8: 500 N/mm2 on two sections, from memory: 78.5 and 314.2; 77.2 and 306.5 are asked
        pytest.param(8, "10 mm", 3150, 78.5, id="grade 8, 10 mm, from memory"),
        pytest.param(8, "20 mm", 12500, 314.2, id="grade 8, 20 mm, from memory"),
    ],
)
def test_en_proof_is_within_the_proof_force_that_the_chain_is_made_to(grade, size, kg, force):
    if grade == 4:  # EN 818-4 is for grade 8: no proof load is given
        with pytest.raises(Unstated):
            plan(build("EN", grade, size, f"{kg} kg", ONE))
        return
    found = plan(build("EN", grade, size, f"{kg} kg", ONE))
    assert found["leg"] * 9.80665 / 1000 <= force


@pytest.mark.parametrize(
    ("place", "asked"), [("leg", 7875), ("intermediate", 10625), ("master", 16750)]
)
def test_en_orders_just_at_and_under_what_is_asked(place, asked):
    def ordered(load: float) -> dict[str, Any]:
        return build("EN", 8, "10 mm", "3,150 kg", FOUR, proof={f"{place}_load": f"{load} kg"})

    assert verdict("proof-load-short", ordered(asked)) == "pass"
    assert verdict("proof-load-short", ordered(asked * 99 / 100)) == "fail"


def test_en_section_of_a_chain_below_its_table():
    """2,800 kg of 10 mm: its sections are those of the table in proportion, 2.5 x 2,800 = 7,000;
    x 4,250 / 3,150 = 9,444.4; x 6,700 / 3,150 = 14,888.9."""
    found = plan(build("EN", 8, "10 mm", "2,800 kg", FOUR))
    assert found == {
        "leg": pytest.approx(7000),
        "intermediate": pytest.approx(9444.44, abs=0.01),
        "master": pytest.approx(14888.89, abs=0.01),
    }


def test_a_sheet_above_the_table_asks_no_higher_proof():
    """The leg is rated 3,150 kg by the table, whatever its sheet says."""
    assert plan(build("EN", 8, "10 mm", "3,500 kg", TWO)) == plan(
        build("EN", 8, "10 mm", "3,150 kg", TWO)
    )


# Proof loads of US web, roundslings and wire rope
#
# DOE-STD-1090-96, 11.3.5.2 (retrieved): of synthetic slings, where a proof is ordered, 200 % of the
# vertical rated load of a leg, and for the master link 200 % of the combined legs. Three of four
# legs count, as in the rating. WAC 296-24-29425 and Cal. T8 s.5045 (retrieved): wire rope with
# welded end fittings at twice its rating before first use.


def soft(
    basis: str, kinds: list[str], limit: str, legs: Hangs, process: str | None = None, **tables: Any
) -> dict[str, Any]:
    """A sling of web, roundsling or rope, with legs of these kinds in turn and a hook below."""
    values = build(basis, 100, "1/2 in", limit, legs, **tables)
    items = {item["id"]: item for item in values["item"]}
    items["hook"] |= {"process": process} if process else {}
    for kind in kinds:
        made = {"id": kind, "kind": kind, "working_load_limit": limit, "size": "No. 3"}
        made |= {"width": "3 in", "diameter": "1 in", "material": "polyester", "core": "IWRC"}
        if kind == "chain":
            made |= {"grade": 80, "size": "1/2 in"}
        items[kind] = made
    items["eye"] = {"id": "eye", "kind": "eye", "working_load_limit": limit, "form": "thimble"}
    for leg, kind in zip(values["leg"], kinds * len(values["leg"]), strict=False):
        cut = {"links": 80} if kind == "chain" else {"length": "6 ft"}
        ends = [{"item": "eye"}] if kind == "wire-rope" else []
        leg["parts"] = [*ends, {"item": kind, **cut}, *ends, {"item": "hook"}]
    return values | {"item": list(items.values())}


# one roundsling No. 3 is 8,400 lb: 2 x 8,400 = 16,800 a leg; together 2 x 16,800 = 33,600 of two
# and 2 x 25,200 = 50,400 of three
TEXTILE_PLANS = [
    pytest.param(ONE, {"leg": 16800, "master": 16800}, id="one"),
    pytest.param(TWO, {"leg": 16800, "master": 33600}, id="two"),
    pytest.param(THREE_ON_ONE, {"leg": 16800, "master": 50400}, id="three on the master link"),
    pytest.param(THREE, {"leg": 16800, "intermediate": 33600, "master": 50400}, id="three"),
    pytest.param(FOUR, {"leg": 16800, "intermediate": 33600, "master": 50400}, id="four"),
    pytest.param(
        ONE_EACH,
        {"leg": 16800, "intermediate": 16800, "master": 33600},
        id="two, each on a link of its own",
    ),
]


@pytest.mark.parametrize("kind", ["web", "roundsling"])
@pytest.mark.parametrize(("legs", "loads"), TEXTILE_PLANS)
def test_us_textile_plan(kind, legs, loads):
    found = plan(soft("US", [kind], "8,400 lb", legs))
    assert {place: round(load / POUND, 6) for place, load in found.items()} == loads


def test_what_is_combined_is_said_in_words():
    pulls = Calculation(sling_of(soft("US", ["web"], "8,400 lb", FOUR))).proof_plan()
    assert {place: pull.of for place, pull in pulls.items()} == {
        "leg": "one leg",
        "intermediate": "its legs together",
        "master": "3 of its 4 legs",
    }


def test_the_weakest_part_of_a_leg_is_its_rating():
    """A hook of 6,000 lb below a web of 8,400 lb: 12,000 lb a leg, 24,000 lb two together."""
    values = soft("US", ["web"], "8,400 lb", TWO)
    hook = next(item for item in values["item"] if item["id"] == "hook")
    hook["working_load_limit"] = "6,000 lb"
    found = plan(values)
    assert {place: round(load / POUND, 6) for place, load in found.items()} == {
        "leg": 12000,
        "master": 24000,
    }


def test_us_rope_plan_is_of_the_leg_alone():
    """2 x 5,000 = 10,000 lb; of the links above the legs neither regulation speaks."""
    for process in ("welded", "forged", None):
        found = plan(soft("US", ["wire-rope"], "5,000 lb", TWO, process))
        assert {place: round(load / POUND, 6) for place, load in found.items()} == {"leg": 10000}


@pytest.mark.parametrize(
    ("process", "leg", "short"),
    [
        ("welded", "10,000 lb", "pass"),
        ("welded", "9,990 lb", "fail"),
        # no source asks it of these; whether less is enough, none says
        ("forged", "10,000 lb", "pass"),
        ("forged", "9,990 lb", "open"),
        (None, "9,990 lb", "open"),
    ],
)
def test_us_rope_is_asked_for_a_proof_where_a_fitting_is_welded(process, leg, short):
    values = soft("US", ["wire-rope"], "5,000 lb", TWO, process, proof={"leg_load": leg})
    assert verdict("proof-load-short", values) == short
    assert verdict("proof-load-excess", values) == "pass"


@pytest.mark.parametrize(
    ("kind", "place", "asked"),
    [("web", "leg", 16800), ("roundsling", "master", 33600), ("wire-rope", "leg", 16800)],
)
def test_how_far_over_is_known_of_chain_alone(kind, place, asked):
    """Neither source has a most; that of shackles and of chain is not theirs."""

    def ordered(load: int) -> dict[str, Any]:
        proof = {f"{place}_load": f"{load} lb"}
        return soft("US", [kind], "8,400 lb", TWO, "welded", proof=proof)

    assert verdict("proof-load-short", ordered(asked)) == "pass"
    assert verdict("proof-load-short", ordered(asked * 99 // 100)) == "fail"
    assert verdict("proof-load-excess", ordered(asked)) == "pass"
    assert verdict("proof-load-excess", ordered(asked * 105 // 100)) == "open"
    assert verdict("proof-load-excess", ordered(asked * 2)) == "open"


@pytest.mark.parametrize("rule", ["proof-load-short", "proof-load-excess"])
def test_a_proof_of_the_links_above_a_rope_is_open(rule):
    proof = {"leg_load": "10,000 lb", "master_load": "20,000 lb"}
    assert verdict(rule, soft("US", ["wire-rope"], "5,000 lb", TWO, "welded", proof=proof)) == (
        "open"
    )
    # a load for a link that is not there was meant for another sling
    proof = {"leg_load": "10,000 lb", "intermediate_load": "20,000 lb"}
    values = soft("US", ["wire-rope"], "5,000 lb", TWO, "welded", proof=proof)
    assert verdict(rule, values) == ("fail" if rule == "proof-load-short" else "pass")


@pytest.mark.parametrize(
    ("basis", "kinds", "said"),
    [
        ("EN", ["web"], "EN slings of web"),
        ("EN", ["roundsling"], "EN slings of roundsling"),
        ("EN", ["wire-rope"], "EN slings of wire rope"),
        ("US", ["fiber-rope"], "US slings of fiber rope"),
        ("US", ["chain", "web"], "legs of chain and web in one sling"),
        ("US", ["web", "wire-rope"], "legs of web and wire rope in one sling"),
        ("EN", ["chain", "wire-rope"], "legs of chain and wire rope in one sling"),
    ],
)
def test_slings_that_no_source_at_hand_speaks_of(basis, kinds, said):
    values = soft(basis, kinds, "4,000 kg", ONE_EACH, proof={"leg_load": "8,000 kg"})
    with pytest.raises(Unstated, match=f"no source at hand has proof loads for {said}$"):
        plan(values)
    assert verdict("proof-load-short", values) == "open"
    assert verdict("proof-load-excess", values) == "open"


# Tags

FULL = {
    "US": {
        "manufacturer": "Northmere Rigging Loft",
        "grade": 100,
        "size": "3/8 in",
        "legs": 2,
        "reach": "8 ft",
        "serial": "NR-1",
        "rating": [
            {"hitch": "bridle", "angle": {"from_horizontal": "60 deg"}, "load": "15,200 lb"}
        ],
    },
    "EN": {
        "manufacturer": "Northmere Rigging Loft",
        "grade": 8,
        "size": "10 mm",
        "legs": 2,
        "reach": "3 m",
        "serial": "NR-1",
        "rating": [
            {
                "hitch": "bridle",
                "angle": {"from_vertical": ["0 deg", "45 deg"]},
                "load": "4,250 kg",
            }
        ],
    },
}
CHAIN = {"US": (100, "3/8 in", "8,800 lb"), "EN": (8, "10 mm", "3,150 kg")}

# What each document asks of the tag, as keys of `[tag]`. The rating row holds the rated load, its
# hitch and its angle.
US_DOCUMENTS = {
    # second-hand
    "ASME B30.9, 9-1.7.1": {
        "manufacturer", "grade", "size", "legs", "rating", "reach", "serial",
    },
    # by way of WAC 296-24-29423(1), retrieved; wording before 2011
    "29 CFR 1910.184(e)(1)": {"size", "grade", "rating", "reach"},
    # second-hand; Ohio Adm. Code 4123:1-3-08(D)(1), retrieved
    "29 CFR 1926.251(b)(1)": {"size", "grade", "rating", "manufacturer"},
    # 29 CFR 1915.112(c) and Cal. Title 8, s. 5044(a), retrieved; legs if more than one
    "OSHA after 2011": {"rating", "legs"},
    # retrieved; the date of the next inspection is no key of a tag
    "DOE-STD-1090-96, 11.3.3": {"size", "grade", "rating", "reach", "legs", "manufacturer"},
}  # fmt: skip
# EN 818-4:1996+A1:2008, 7 (second-hand); the size may be there, of the reach nothing is said
EN_REQUIRED = {"manufacturer", "serial", "grade", "legs", "rating"}


def tagged(basis: str, hangs: Hangs = TWO, **changes: Any) -> dict[str, Any]:
    """A build with a full tag, and changes to it; None takes a key away."""
    tag = {key: value for key, value in {**FULL[basis], **changes}.items() if value is not None}
    return build(basis, *CHAIN[basis], hangs, tag=tag)


def incomplete(values: dict[str, Any]) -> list[tuple[str | None, Any]]:
    findings = run(RULES["tag-incomplete"], values).findings
    return [(finding.level, finding.found) for finding in findings]


@pytest.mark.parametrize("basis", ["US", "EN"])
def test_a_full_tag(basis):
    assert set(FULL[basis]) == US_DOCUMENTS["ASME B30.9, 9-1.7.1"]
    assert incomplete(tagged(basis)) == []


@pytest.mark.parametrize(
    ("document", "key"),
    [(document, key) for document, keys in US_DOCUMENTS.items() for key in sorted(keys)],
)
def test_us_tag_without_what_a_document_asks(document, key):
    blank = [] if key == "rating" else None
    ((level, found),) = incomplete(tagged("US", **{key: blank}))
    assert level == "error"
    assert len(found) == 1


@pytest.mark.parametrize("key", sorted(EN_REQUIRED))
def test_en_tag_without_what_is_asked(key):
    ((level, found),) = incomplete(tagged("EN", **{key: None}))
    assert level == "error"
    assert len(found) == 1


def test_en_tag_without_reach_or_size():
    assert incomplete(tagged("EN", reach=None)) == [("note", ("reach",))]
    assert incomplete(tagged("EN", size=None)) == []
    assert incomplete(tagged("US", reach=None)) == [("error", ("reach",))]


@pytest.mark.parametrize("basis", ["US", "EN"])
@pytest.mark.parametrize("key", ["manufacturer", "serial"])
def test_a_blank_on_the_tag_is_not_there(basis, key):
    assert incomplete(tagged(basis, **{key: "  "}))[0][0] == "error"


def test_all_that_lacks_is_named_in_one_finding():
    ((level, found),) = incomplete(tagged("US", manufacturer=None, serial=None, rating=None))
    assert level == "error"
    rated = "the rated load with its hitch and angle"
    assert sorted(found) == ["a serial number", "manufacturer", rated]


@pytest.mark.parametrize("basis", ["US", "EN"])
@pytest.mark.parametrize(("legs", "expected"), [(ONE, 0), (TWO, 1), (FOUR, 1)])
def test_a_rating_without_an_angle(basis, legs, expected):
    """29 CFR 1915.112(c) (retrieved), ASME B30.9, 9-1.7.1 and EN 818-4, 7 (second-hand): the angle
    that the load is based on, where there is more than one leg."""
    count = sum(legs.values())
    row = {"hitch": "straight" if count == 1 else "bridle", "load": "1,000 kg"}
    found = incomplete(tagged(basis, legs, rating=[row]))
    assert [level for level, _ in found] == ["error"] * expected


# Matching of legs
#
# EN 818-4:1996+A1:2008, Table 2 (second-hand).


def two_legs(links: int, apart: float, *, welded: bool = False) -> dict[str, Any]:
    """Two legs of 10 mm chain, the longer of which reaches 180 + 55 + 30 x links + 125 mm.

    Welded: without the coupling, 180 + 30 x links + 125 mm.
    """
    values = build("EN", 8, "10 mm", "3,150 kg", {"top": 1})
    items = {item["id"]: item for item in values["item"]}
    items["master"]["inside_length"] = "180 mm"
    items["chain"]["pitch"] = "30 mm"
    items["hook"]["effective_length"] = "125 mm"
    short = {**items["hook"], "id": "short", "effective_length": f"{125 - apart:.2f} mm"}
    coupling = {**items["hook"], "id": "coupling", "kind": "coupling-link"}
    coupling["effective_length"] = "55 mm"
    joined = [] if welded else [{"item": "coupling"}]
    values["item"] += [short, coupling]
    values["leg"] = [
        {"ref": ref, "on": "top"}
        | {"parts": [*joined, {"item": "chain", "links": links}, {"item": hook}]}
        for ref, hook in (("a", "hook"), ("b", "short"))
    ]
    return values


@pytest.mark.parametrize(
    ("links", "apart", "expected"),
    [
        # mechanically joined: 10 mm up to 2 m, above it 5 mm for each metre of the leg
        (10, 10, "pass"),  # 660 mm
        (10, 10.1, "fail"),
        (54, 10, "pass"),  # 1,980 mm
        (54, 10.1, "fail"),
        (88, 15, "pass"),  # 3,000 mm: 15 mm
        (88, 15.1, "fail"),
        (188, 30, "pass"),  # 6,000 mm: 30 mm
        (188, 30.1, "fail"),
    ],
)
def test_en_legs_match(links, apart, expected):
    assert verdict("legs-unmatched", two_legs(links, apart)) == expected


@pytest.mark.parametrize(
    ("links", "apart"),
    # welded: 6 mm up to 2 m, above it 3 mm for each metre: 905 mm, and 3,005 mm with 9.015 mm
    [(20, 8), (90, 12)],
)
def test_en_welded_legs_match(links, apart):
    assert verdict("legs-unmatched", two_legs(links, apart, welded=True)) == "fail"
