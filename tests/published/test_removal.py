"""Removal from service and inspection intervals against what regulations and guides print.

"Retrieved": read in the document itself. "Second-hand": read in a page that quotes the numbered
document. "From memory": no source seen; such a row is marked and proves nothing alone.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from riglint.figures.removal import (
    bar_limits,
    longest,
    most_twist,
    removal_card,
    widest_throat,
)
from riglint.quantities import Length
from riglint.tables import FROM_MEMORY, table

INCH = 25.4

# 29 CFR 1910.184, Table N-184-1, as printed in Mich. Adm. Code R 408.14923, Table 1: least
# thickness (retrieved; the row of 1-3/4 in from memory); wear by DOE-STD-1090-96, Tables 11-11 and
# 15-2 (retrieved; 1-1/8, 1-3/8, 1-1/2 and 1-3/4 in from memory). Inches.
N_184_1 = {
    "1/4": ("13/64", "3/64"),
    "3/8": ("19/64", "5/64"),
    "1/2": ("25/64", "7/64"),
    "5/8": ("31/64", "9/64"),
    "3/4": ("19/32", "5/32"),
    "7/8": ("45/64", "11/64"),
    "1": ("13/16", "3/16"),
    "1-1/8": ("29/32", "7/32"),
    "1-1/4": ("1", "1/4"),
    "1-3/8": ("1-3/32", "9/32"),
    "1-1/2": ("1-3/16", "5/16"),
    "1-3/4": ("1-13/32", "11/32"),
}
WEAR_FROM_MEMORY = {"1-1/8", "1-3/8", "1-1/2", "1-3/4"}
LEAST_FROM_MEMORY = {"1-3/4"}


def inches(text):
    return sum(map(Fraction, text.split("-")))


def rows():
    return {row["size"].removesuffix(" in"): row for row in table("us-chain-wear").rows}


@pytest.mark.parametrize("size", N_184_1)
def test_least_thickness_is_size_less_wear(size):
    """Holds in every row of the printed tables, those from memory included: computed."""
    least, wear = map(inches, N_184_1[size])
    assert least == inches(size) - wear
    row = rows()[size]
    assert Length.parse(row["least"]) == pytest.approx(float(least) * INCH)
    assert Length.parse(row["wear"]) == pytest.approx(float(wear) * INCH)


def test_the_table_has_just_these_rows_and_marks():
    marked = {size for size, row in rows().items() if row.get("obtained") == FROM_MEMORY}
    wear = {size for size, row in rows().items() if row.get("wear_obtained") == FROM_MEMORY}
    assert set(rows()) == set(N_184_1)
    assert marked == LEAST_FROM_MEMORY
    assert wear | marked == WEAR_FROM_MEMORY
    assert table("us-chain-thickness").obtained == FROM_MEMORY


# trade size in mm by which chain of the inch size is made (ASTM A906, Table 1; second-hand)
@pytest.mark.parametrize(
    ("mm", "least"),
    [
        pytest.param(10, "19/64", id="3/8"),
        pytest.param(13, "25/64", id="1/2"),
        pytest.param(16, "31/64", id="5/8"),
        pytest.param(20, "19/32", id="3/4"),
        pytest.param(22, "45/64", id="7/8"),
        pytest.param(26, "13/16", id="1"),
        pytest.param(32, "1", id="1-1/4"),
        pytest.param(6.35, "13/64", id="1/4"),
        # no row of their own: too thin for 1/4 in is too thin for them
        pytest.param(7, "13/64", id="9/32"),
        pytest.param(8, "13/64", id="5/16"),
        # the row of 1-3/4 in is from memory and decides nothing: that of 1-1/2 in
        pytest.param(44.45, "1-3/16", id="1-3/4"),
    ],
)
def test_us_chain_is_removed_below_the_table(mm, least):
    removed = bar_limits("chain", "US", mm).removed
    assert removed.value == pytest.approx(float(inches(least)) * INCH)
    assert not removed.undercut_by(removed.value)
    assert removed.undercut_by(removed.value - 0.01)


def test_no_retrieved_row_removes_the_smallest_us_chain():
    limits = bar_limits("chain", "US", 5.5)
    assert limits.removed is None
    assert limits.kept.value == pytest.approx(4.95)


@pytest.mark.parametrize("size", ["7/32", "9/32", "5/16", "3/8", "1/2", "5/8", "3/4", "7/8", "1"])
def test_what_stays_in_service_is_stricter_than_all_that_is_remembered(size):
    """ASME B30.9, least thickness: from memory. Ten per cent is stricter than each of it."""
    mm = {"7/32": 5.5, "9/32": 7, "5/16": 8, "3/8": 10, "1/2": 13, "5/8": 16, "3/4": 20,
          "7/8": 22, "1": 26}[size]  # fmt: skip
    limits = bar_limits("chain", "US", mm)
    assert "from memory" in limits.remembered.source
    assert limits.remembered.value < limits.kept.value


@pytest.mark.parametrize("mm", [4, 6, 7, 8, 10, 13, 16, 18, 20, 22, 26, 28, 32, 36, 40, 45])
def test_en_chain_goes_under_nine_tenths(mm):
    """DGUV 209-021, citing DIN 685:2020-08 (retrieved): mean down more than 10 %."""
    limit = bar_limits("chain", "EN", mm).removed
    assert not limit.undercut_by(0.9 * mm)
    assert limit.undercut_by(0.899 * mm)
    assert "DIN 685" in limit.source


def test_links_and_hooks_go_at_a_tenth():
    # ASME B30.26-2004, 26-4.8.4 (second-hand): a reduction of 10 %: at 0.9 x 25 = 22.5 already
    link = bar_limits("master-link", "US", 25).removed
    assert link.undercut_by(22.5)
    assert not link.undercut_by(22.51)
    # WAC 296-155-55800, Table 12 (retrieved): more than 10 %
    hook = bar_limits("sling-hook", "US", 25).removed
    assert not hook.undercut_by(22.5)
    assert hook.undercut_by(22.49)


def test_a_kind_that_no_source_speaks_of():
    with pytest.raises(LookupError, match="wire rope"):
        bar_limits("wire-rope", "US", 12)


@pytest.mark.parametrize(
    ("basis", "by", "length", "removed"),
    [
        # ten links of 30 mm: 300 mm new. DGUV 209-021 (retrieved): 5 % and more, 315 mm
        ("EN", "cargo-chain", 314.9, False),
        ("EN", "cargo-chain", 315.0, True),
        # 29 CFR 1919.25 (retrieved): more than 5 %
        ("US", "cargo-chain", 315.0, False),
        ("US", "cargo-chain", 315.1, True),
        # OSHA 600 course note (second-hand): 3 %, 309 mm
        ("US", "course", 308.9, False),
        ("US", "course", 309.0, True),
        # Queensland, Guide for Doggers PN10123 (retrieved): 10 %, 330 mm
        ("US", "queensland", 329.9, False),
        ("US", "queensland", 330.0, True),
        # EN does not ask the setting
        ("EN", "queensland", 315.0, True),
    ],
)
def test_stretch(basis, by, length, removed):
    assert longest(basis, 30.0, 10, by).exceeded_by(length) is removed


@pytest.mark.parametrize(
    ("by", "new", "found", "removed"),
    [
        # WAC 296-155-55800, Table 12 (retrieved): 5 % up to 1/4 in. 40 x 1.05 = 42 mm
        ("5-percent", 40.0, 42.0, False),
        ("5-percent", 40.0, 42.1, True),
        # 200 x 1.05 = 210, and 1/4 in caps it: 206.35 mm
        ("5-percent", 200.0, 206.35, False),
        ("5-percent", 200.0, 206.4, True),
        # DOE-STD-1090-96, 15.4.6 (retrieved): 15 %. 40 x 1.15 = 46 mm
        ("15-percent", 40.0, 46.0, False),
        ("15-percent", 40.0, 46.1, True),
    ],
)
def test_throat(by, new, found, removed):
    assert widest_throat(new, by).exceeded_by(found) is removed


@pytest.mark.parametrize(
    ("kind", "by", "found", "removed"),
    [
        ("sling-hook", "any", 0.0, False),
        ("sling-hook", "any", 0.5, True),
        ("sling-hook", "10-deg", 10.0, False),
        ("sling-hook", "10-deg", 10.1, True),
        ("master-link", "10-deg", 0.5, True),  # the 10 deg are for hooks
    ],
)
def test_twist(kind, by, found, removed):
    """WAC 296-155-55800, Table 12, any visible; DOE-STD-1090-96, 15.4.6, 10 deg (retrieved)."""
    assert most_twist(kind, by).exceeded_by(found) is removed


def test_a_card_has_what_applies_to_the_kind():
    chain = removal_card("chain", "EN", bar_mm=10, pitch_mm=30, links=5, throat_mm=40)
    assert chain.smallest_bar.value == pytest.approx(9)
    assert chain.longest.value == pytest.approx(157.5)  # 5 x 30 x 1.05
    assert chain.widest_throat is None
    hook = removal_card("sling-hook", "US", throat_mm=40, pitch_mm=30)
    assert (hook.smallest_bar, hook.longest) == (None, None)
    assert hook.widest_throat.value == pytest.approx(42)
    assert hook.widest_throat.source == "WAC 296-155-55800, Table 12"
    rope = removal_card("wire-rope", "US", bar_mm=12)
    assert (rope.smallest_bar, rope.longest, rope.widest_throat) == (None, None, None)


def test_a_card_for_us_chain_keeps_to_the_stricter_figure():
    """Between Table N-184-1 and 10 % nothing that was seen decides: the card stays above."""
    assert removal_card("chain", "US", bar_mm=10).smallest_bar.value == pytest.approx(9)


# WAC 296-155-55800, Table 12 (retrieved): yearly, quarterly; 12 months at most by 29 CFR
# 1910.184(e)(3), by way of WAC and Mich. Adm. Code (retrieved); BG BAU sheet: yearly (retrieved)
def test_intervals():
    found = {
        (row["basis"], row["service"]): row["months"] for row in table("inspection-intervals").rows
    }
    assert found == {
        ("US", "normal"): 12,
        ("US", "severe"): 3,
        ("US", "any"): 12,
        ("EN", "any"): 12,
    }
