"""`riglint fill`: what it offers was checked as a whole, what falls falls in the check as well."""

import json
from pathlib import Path

import pytest
import tomli
import tomli_w

from riglint import Unreadable, check, fill
from riglint.cli import main
from riglint.reports.fill import fill_data

ROOT = Path(__file__).parents[2]
NORTHMERE = ROOT / "examples" / "northmere"
POLICY = NORTHMERE / "riglint.toml"
QUOTE = ROOT / "examples" / "quotes" / "ramp-pair.toml"

# A stock of our own. Two legs at 60 deg under 12,000 lb pull 12,000 / (2 sin 60) = 6,928 lb each.
STOCK = """
[catalog]
id = "small"
basis = "US"
edition = 2026-03-01
source = "invented"

[[item]]
id = "chain"
kind = "chain"
steel = "alloy"
grade = 100
size = "3/8 in"
design_factor = 4.0
working_load_limit = "8,800 lb"
pitch = "1.18 in"
bar = "0.394 in"
inside_width = "0.52 in"
mass = "0.146 lb"
"""
BUILD = """
[assembly]
id = "small-pair"
basis = "US"
[duty]
hitch = "bridle"
angle = { from_horizontal = "60 deg" }
load = "12,000 lb"
[[part]]
ref = "top"
item = "?"
[[leg]]
ref = "a"
on = "top"
count = 2
parts = [{ item = "?" }, { item = "chain", links = 60 }, { item = "C" }, { item = "hook" }]
"""


def coupling(name, opening="1.1 in", limit="8,800 lb", **more):
    figures = {"opening": opening, "seat_width": "0.54 in", "seat_depth": "0.47 in"}
    return steel(name, "coupling-link", "0.9 lb", working_load_limit=limit, size="3/8 in") | (
        figures | {"effective_length": "2.7 in"} | more
    )


def link(name, bar, limit, mass):
    row = {"leg": "chain", "grade": 100, "size": "3/8 in", "legs": 2, "limit": limit}
    sizes = {"shape": "oblong", "bar": bar, "inside_length": "6 in", "inside_width": "4 in"}
    row["angle"] = {"from_horizontal": "60 deg"}
    return steel(name, "master-link", mass, chart=[row]) | sizes


def steel(name, kind, mass, **more):
    made = {"id": name, "kind": kind, "steel": "alloy", "grade": 100, "design_factor": 4.0}
    return made | {"mass": mass} | more


HOOK = steel("hook", "sling-hook", "3 lb", working_load_limit="8,800 lb", size="3/8 in") | {
    "throat": "1.3 in",
    "effective_length": "6 in",
    "latch": True,
}


def filled(folder, *items, build=BUILD):
    stock = tomli.loads(STOCK)
    stock["item"] += [HOOK, *items]
    (folder / "stock.toml").write_text(tomli_w.dumps(stock), encoding="utf-8")
    (folder / "build.toml").write_text(build, encoding="utf-8")
    return fill(folder / "build.toml", catalogs=[folder / "stock.toml"])


def states(filling, n):
    return {trial.items[n].id: trial.state for trial in filling.choices[n]}


def test_the_margin_nearest_above_one_comes_first_and_what_does_not_hold_falls(tmp_path):
    filling = filled(
        tmp_path,
        coupling("C"),
        link("strong", "1 in", "26,000 lb", "4 lb"),
        link("weak", "3/4 in", "11,000 lb", "2 lb"),
        link("right", "7/8 in", "15,200 lb", "3 lb"),
    )
    assert [trial.items[0].id for trial in filling.choices[0]] == ["right", "strong", "weak"]
    assert states(filling, 0)["weak"] == "falls"
    assert filling.choices[0][0].margins[0] == pytest.approx(15200 / 12000, rel=1e-3)
    (fault,) = {placed.finding.rule for placed in filling.choices[0][2].failing}
    assert fault == "load-over-rating"
    assert (filling.tried, filling.possible) == (3, 3)


def test_of_equal_margins_the_lighter_comes_first(tmp_path):
    filling = filled(
        tmp_path,
        coupling("C"),
        link("heavy", "7/8 in", "15,200 lb", "5 lb"),
        link("light", "7/8 in", "15,200 lb", "3 lb"),
    )
    assert [trial.items[0].id for trial in filling.choices[0]] == ["light", "heavy"]


def test_an_item_that_two_catalogs_hold_is_named_with_its_catalog(tmp_path):
    filled(tmp_path, coupling("C"), link("right", "7/8 in", "15,200 lb", "3 lb"))
    other = tomli.loads(STOCK) | {"item": [link("right", "7/8 in", "16,000 lb", "3 lb")]}
    other["catalog"]["id"] = "other"
    (tmp_path / "other.toml").write_text(tomli_w.dumps(other), encoding="utf-8")
    both = [tmp_path / "stock.toml", tmp_path / "other.toml"]
    names = [trial.names[0] for trial in fill(tmp_path / "build.toml", catalogs=both).choices[0]]
    assert names == ["small:right", "other:right"]


def joint(folder):
    """The light link has a bar too thick for all couplings but the last; only two go together."""
    return filled(
        folder,
        coupling("C", opening="0.6 in"),
        coupling("D", opening="0.7 in"),
        coupling("E", opening="1.2 in", seat_width="0.6 in"),
        link("weak", "1/2 in", "9,000 lb", "1 lb"),
        link("right", "7/8 in", "15,200 lb", "3 lb"),
    )


def test_places_are_chosen_together(tmp_path):
    filling = joint(tmp_path)
    assert [item.id for item in filling.best.items] == ["right", "E"]
    assert filling.state != "falls"
    assert states(filling, 0)["weak"] == states(filling, 1)["C"] == "falls"
    assert (filling.tried, filling.possible) == (6, 6)


def test_a_large_search_goes_by_turns_and_says_so(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("riglint.filling.MOST_TRIALS", 5)
    filling = joint(tmp_path)
    assert filling.tried < filling.possible == 6
    file = str(tmp_path / "build.toml")
    main(["fill", file, "--catalog", str(tmp_path / "stock.toml")])
    assert "of 6 combinations went through the whole check" in capsys.readouterr().out


def test_what_a_sheet_leaves_out_is_open_and_never_clears(tmp_path):
    bare = coupling("B")
    del bare["opening"]
    filling = filled(tmp_path, coupling("C"), bare, link("right", "7/8 in", "15,200 lb", "3 lb"))
    assert states(filling, 1)["B"] == "open"
    assert [item.id for item in filling.best.items] == ["right", "C"]
    alone = filled(
        tmp_path,
        bare,
        link("right", "7/8 in", "15,200 lb", "3 lb"),
        build=BUILD.replace('{ item = "C" }, ', ""),
    )
    assert alone.state == "open"


BUILT = [
    ("stair-pair", ("part", 0), "ML-7/8"),
    ("stair-pair", ("leg", 0, "parts", 0), "CL-3/8"),
    ("stair-pair", ("leg", 0, "parts", 1), "CH-3/8"),
    ("stair-pair", ("leg", 0, "parts", 3), "SH-3/8"),
    ("walkway-quad", ("part", 1), "IL-3/4"),
    ("deck-quad-assembly", ("part", 0), "LA-1/2"),
    ("keel-pair-shortener", ("leg", 0, "parts", 2), "CL-1/2"),
    ("trestle-pair-grab-branch", ("leg", 0, "adjust", "branch", 1), "GH-3/8-80"),
]


def table_at(values, key):
    for step in key:
        values = values[step]
    return values


def left_open(folder, name, *keys):
    values = tomli.loads((NORTHMERE / "builds" / f"{name}.toml").read_text(encoding="utf-8"))
    for key in keys:
        table_at(values, key)["item"] = "?"
    file = folder / "quote.toml"
    file.write_text(tomli_w.dumps(values), encoding="utf-8")
    return file


@pytest.mark.parametrize(("name", "key", "item"), BUILT, ids=lambda value: str(value))
def test_what_the_loft_built_is_offered(name, key, item, tmp_path):
    filling = fill(left_open(tmp_path, name, key), policy=POLICY)
    assert states(filling, 0)[item] in ("clears", "reported")


def test_the_check_says_of_each_choice_what_it_says_itself(tmp_path):
    key = ("part", 0)
    file = left_open(tmp_path, "stair-pair", key)
    values = tomli.loads(file.read_text(encoding="utf-8"))
    filling = fill(file, policy=POLICY)
    kept = file.read_bytes()
    assert {trial.state for trial in filling.choices[0]} >= {"clears", "falls"}
    for trial in filling.choices[0]:
        table_at(values, key)["item"] = trial.items[0].id
        one = tmp_path / "one.toml"
        one.write_text(tomli_w.dumps(values), encoding="utf-8")
        report = check(one, policy=POLICY)
        errors = report.count("error") or len(report.problems)
        assert bool(errors) == (trial.state == "falls"), trial.items[0].id
    assert file.read_bytes() == kept


def test_the_quote_of_the_examples_is_filled(capsys):
    assert main(["fill", str(QUOTE), "--policy", str(POLICY), "--report", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["state"] == "clears"
    assert data["best"]["items"] == ["ML-7/8", "CL-3/8", "CL-3/8", "SH-3/8"]
    assert data["open"] == ["tag-incomplete"]  # the quote has no tag yet
    assert [place["keys"] for place in data["places"]][:2] == [
        ["/part/0/item"],
        ["/leg/0/parts/0/item"],
    ]
    assert main(["fill", str(QUOTE), "--policy", str(POLICY)]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "Clears every rule that can judge this build: the top link: ML-7/8" in text
    assert "falls RG-1-1/4 2.17 x the planned load error: a1/CL-3/8 has an opening of" in text


def test_the_same_file_is_filled_the_same_way(tmp_path):
    assert fill_data(joint(tmp_path)) == fill_data(joint(tmp_path))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('item = "?"', 'item = "right"'), "nothing is left open"),
        (
            ("[[part]]", '[[part]]\nref = "low"\non = "top"\nitem = "?"\n[[part]]'),
            "no catalog in use has anything for what hangs on the top link: intermediate-link",
        ),
        (('load = "12,000 lb"', 'hung_from = "?"'), "not chosen yet"),
    ],
    ids=["nothing open", "no such kind", "hung from"],
)
def test_what_cannot_be_filled_is_said(change, message, tmp_path, capsys):
    right = link("right", "7/8 in", "15,200 lb", "3 lb")
    with pytest.raises(Unreadable) as refused:
        filled(
            tmp_path,
            coupling("C"),
            right,
            build=BUILD.replace(*change).replace(
                '{ item = "?" }', '{ item = "C" }' if "right" in change[1] else '{ item = "?" }'
            ),
        )
    assert message in refused.value.problems[0].message
    file, stock = tmp_path / "build.toml", tmp_path / "stock.toml"
    assert main(["fill", str(file), "--catalog", str(stock)]) == 2
    assert message in capsys.readouterr().err
