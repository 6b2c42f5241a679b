"""What tells findings apart from one run to the next, and what does not."""

from attrs import evolve

from riglint import Finding, Length
from riglint.fingerprint import Fingerprint, digest, fingerprint
from riglint.quantities import METRIC_UNITS, US_UNITS

FINDING = Finding(
    template="{part} is {found}",
    part="a1/CH-3/8",
    key=("leg", 1, "parts", 3, "item"),
    units=METRIC_UNITS,
    found=Length(12.34),
    limit=Length(20.0),
    rule="too-short",
)


def same(**changes):
    return fingerprint(evolve(FINDING, **changes), "build", "b") == fingerprint(
        FINDING, "build", "b"
    )


def test_a_fingerprint_is_read_by_a_person():
    assert fingerprint(FINDING, "build", "b") == Fingerprint(
        about="build",
        id="b",
        rule="too-short",
        part="a1/CH-3/8",
        at="leg.parts.item",
        found="12.3 mm",
        limit="20 mm",
    )


def test_place_wording_level_and_rounding_change_nothing():
    assert same(key=("leg", 4, "parts", 0, "item"))
    assert same(template="{part}: {found}", remedy_template="Do it.")
    assert same(level="note", sources=("another",), line=7, also=("a2/CH-3/8",))
    assert same(found=Length(12.34 + 1e-9))


def test_part_rule_datum_and_figures_do():
    assert not same(part="b1/CH-3/8")
    assert not same(rule="too-long")
    assert not same(key=("leg", 1, "reach"))
    assert not same(found=Length(12.5))
    assert not same(limit=Length(21.0))
    assert not same(units=US_UNITS)
    assert fingerprint(FINDING, "build", "b") != fingerprint(FINDING, "build", "c")
    assert fingerprint(FINDING, "build", "b") != fingerprint(FINDING, "record", "b")


def test_where_there_is_no_figure_the_other_facts_tell():
    bare = evolve(FINDING, found=None, limit=None)
    one, other = (
        fingerprint(evolve(bare, facts={"what": what, "size": Length(10.0)}), "build", "b")
        for what in ("a hook", "a link")
    )
    assert (one.found, other.found) == ("a hook, 10 mm", "a link, 10 mm")
    assert fingerprint(bare, "build", "b").found == ""


def test_texts_do_not_run_into_each_other():
    assert digest("ab", "c") != digest("a", "bc") != digest("abc", "")
    assert digest("\udcff")
    assert len(fingerprint(FINDING, "build", "b").digest) == 32
