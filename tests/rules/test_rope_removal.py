"""Broken and worn wires of a rope at, just under and just over each limit, and what stays open.

Limits: WAC 296-24-29425(5) and DOE-STD-1090-96, 15.4.6.1 (retrieved): 10 broken wires in one lay,
5 in one strand of one lay, a third of the outer wires' diameter worn off.
"""

import pytest

from riglint.book import standard_book
from riglint.problem import Unreadable
from riglint.testing import record_of, run

RULES = {rule.name: rule for rule in standard_book().rules}
EN = '[catalog]\nbasis = "EN"\n[assembly]\nbasis = "EN"\n'
WHERE = {"lay": "in one lay", "strand": "in one strand of one lay"}


ROPE = """
    [[leg]]
    ref = "a"
    parts = [{ item = "rope", length = "6 ft" }]
    [[item]]
    id = "rope"
    kind = "wire-rope"
"""


def measured(reading, part="a/rope", head="", leg=ROPE):
    """The sound build that was made, with a leg of rope and one reading of one part."""
    return f"""
        base = "made"
        {head}
        {leg}
        [[inspection]]
        on = 2026-05-04
        kind = "periodic"
        [[inspection.measured]]
        part = "{part}"
        {reading}
    """


def verdict(rule, example):
    return run(RULES[rule], example).verdict


@pytest.mark.parametrize(
    ("counts", "head", "expected"),
    [
        pytest.param("in_one_lay = 9, in_one_strand = 4", "", "pass", id="just under both"),
        pytest.param("in_one_lay = 10, in_one_strand = 4", "", "fail", id="ten in a lay"),
        pytest.param("in_one_lay = 9, in_one_strand = 5", "", "fail", id="five in a strand"),
        pytest.param("in_one_lay = 4", "", "pass", id="no strand can have five of four"),
        pytest.param("in_one_lay = 5", "", "open", id="all five may be in one strand"),
        pytest.param("in_one_lay = 10", "", "fail", id="ten, wherever they are"),
        pytest.param("in_one_strand = 4", "", "open", id="the lay not counted"),
        pytest.param("in_one_strand = 5", "", "fail", id="five, whatever the lay has"),
        pytest.param("", "", "open", id="nothing counted"),
        pytest.param("in_one_lay = 0, in_one_strand = 0", EN, "pass", id="EN, none"),
        pytest.param("in_one_lay = 1, in_one_strand = 1", EN, "open", id="EN, no source seen"),
        pytest.param("in_one_lay = 10, in_one_strand = 1", EN, "fail", id="EN, past even US"),
    ],
)
def test_broken_wires(counts, head, expected):
    example = measured(f"broken_wires = {{ {counts} }}", head=head)
    assert verdict("broken-wires", example) == expected


@pytest.mark.parametrize(
    ("worn", "head", "expected"),
    [
        # 1.2 mm less a third: 0.8 mm
        pytest.param("0.81 mm", "", "pass", id="just over"),
        pytest.param("0.8 mm", "", "fail", id="at"),
        pytest.param("0.79 mm", "", "fail", id="under"),
        pytest.param("1.2 mm", "", "pass", id="as new"),
        pytest.param("1.3 mm", "", "open", id="thicker than new"),
        pytest.param("1.2 mm", EN, "pass", id="EN, as new"),
        pytest.param("1.1 mm", EN, "open", id="EN, no source seen"),
        pytest.param("0.8 mm", EN, "fail", id="EN, past even US"),
    ],
)
def test_outer_wires_worn(worn, head, expected):
    example = measured(f'outer_wire = {{ new = "1.2 mm", worn = "{worn}" }}', head=head)
    assert verdict("outer-wires-worn", example) == expected


@pytest.mark.parametrize(
    ("rule", "reading"),
    [
        ("broken-wires", "broken_wires = { in_one_lay = 12 }"),
        ("outer-wires-worn", 'outer_wire = { new = "1.2 mm", worn = "0.2 mm" }'),
    ],
)
def test_what_is_no_wire_rope_stays_open(rule, reading):
    answer = run(RULES[rule], measured(reading, "a/chain", leg=""))
    assert answer.verdict == "open"
    assert answer.judgment.missing[0].why.endswith("are for wire rope, and this is a chain")


@pytest.mark.parametrize("rule", ["broken-wires", "outer-wires-worn"])
def test_nothing_measured_is_no_matter_of_theirs(rule):
    assert verdict(rule, 'base = "made"') == "notApplicable"
    assert not RULES[rule].waivable


def test_the_messages_name_count_limit_and_source():
    example = measured("broken_wires = { in_one_lay = 12, in_one_strand = 6 }")
    findings = run(RULES["broken-wires"], example).findings
    assert [finding.message for finding in findings] == [
        f"a/rope has {found} broken wires {where}; out of service from {limit}"
        " (WAC 296-24-29425(5); DOE-STD-1090-96, 15.4.6.1)"
        for found, where, limit in ((12, WHERE["lay"], 10), (6, WHERE["strand"], 5))
    ]
    assert findings[0].key[-2:] == ("broken_wires", "in_one_lay")
    worn = measured('outer_wire = { new = "1.2 mm", worn = "0.7 mm" }')
    assert run(RULES["outer-wires-worn"], worn).findings[0].message == (
        # in the units of the build: 1.2, 0.7 and 0.8 mm
        "The outer wires of a/rope, 0.047 in thick when new, are worn to 0.028 in; out of service"
        " at 0.031 in (WAC 296-24-29425(5); DOE-STD-1090-96, 15.4.6.1)"
    )


def test_a_worn_wire_without_its_new_size_is_not_read():
    with pytest.raises(Unreadable, match="new"):
        record_of(measured('outer_wire = { worn = "0.7 mm" }'))


@pytest.mark.parametrize(("bar", "expected"), [("0.676 in", "pass"), ("0.675 in", "fail")])
def test_a_shackle_goes_at_a_tenth(bar, expected):
    """WAC 296-155-33900, Table 19 (retrieved): any 10 % of body or pin; 0.9 x 3/4 = 0.675 in."""
    shackle = """
        [[part]]
        ref = "top"
        item = "shackle"
        [[item]]
        id = "shackle"
        kind = "shackle"
        bar = "3/4 in"
        working_load_limit = "9,500 lb"
    """
    answer = run(RULES["worn-out"], measured(f'bar = "{bar}"', "top", head=shackle))
    assert answer.verdict == expected
    for finding in answer.findings:
        assert finding.sources == ("WAC 296-155-33900, Table 19",)
