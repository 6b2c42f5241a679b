"""Fault operators: each makes one realistic fault at one place of a sound build.

An operator works on plain TOML values, a `Bench` of its own: it changes them in place and
returns the path of the part that its rule must name, or None where it does not fit the build.
`follows` lists the rules that rightly speak as well, of what the fault entails; beside each
stands why. Findings of level note are left out of that account: they fail nothing.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from math import asin, ceil, degrees, radians, sin
from typing import Any

from attrs import define, field, frozen

from riglint import Length, Load
from riglint.calculation import Calculation, Rating
from riglint.figures import pocket_reach
from riglint.figures.reach import matching_tolerance
from riglint.model import EN_GRADES, HOOK_KINDS, LINK_KINDS
from riglint.sling import Gathering, Leg, Part, Sling
from riglint.tables import chain_size

Toml = dict[str, Any]
POUND_KG = 0.45359237
INCH_MM = 25.4
ODD = "-odd"
CROWDED_DEG = 165  # surely beyond the usable arc, and one seat can still take it


@define
class Bench:
    """A build laid open for one fault, with the figures that it has while it is sound."""

    build: Toml
    items: dict[str, Toml]
    stock: dict[str, Toml] = field(repr=False)
    sling: Sling = field(repr=False)
    figures: Calculation = field(repr=False)

    @property
    def us(self) -> bool:
        return self.build["assembly"]["basis"] == "US"

    @property
    def name(self) -> str:
        """The path of findings about the whole sling."""
        return self.build["assembly"]["id"]

    @property
    def legs(self) -> list[Toml]:
        return self.build["leg"]

    @property
    def duty(self) -> Toml:
        return self.build["duty"]

    @property
    def rows(self) -> list[Toml]:
        return self.build["tag"]["rating"]

    @property
    def loaded(self) -> int:
        return self.sling.loaded_legs

    def load(self, kg: float) -> str:
        return f"{kg / POUND_KG:,.0f} lb" if self.us else f"{kg:,.0f} kg"

    def length(self, mm: float) -> str:
        return f"{mm / INCH_MM:.4f} in" if self.us else f"{mm:.2f} mm"

    def angle(self, from_horizontal: float) -> Toml:
        if self.us:
            return {"from_horizontal": f"{from_horizontal:g} deg"}
        return {"from_vertical": f"{90 - from_horizontal:g} deg"}

    def own(self, item: Toml, **changes: Any) -> str:
        """The id of a new item: this one with other data; None takes a datum away."""
        new = copy.deepcopy(item) | changes
        new["id"] = item["id"].removesuffix(ODD) + ODD
        self.items[new["id"]] = {key: value for key, value in new.items() if value is not None}
        return new["id"]

    def take(self, item: str) -> str:
        """The id of an item from the stock that the build may name from now on."""
        self.items[item] = copy.deepcopy(self.stock[item])
        return item

    def rated(self, row: int) -> Rating:
        assert self.sling.build.tag is not None
        return self.figures.tag_rating(self.sling.build.tag.rating[row])

    def single_out(self) -> Toml | None:
        """One leg with an entry of its own, beside others that it was like."""
        for index, leg in enumerate(self.legs):
            if leg.get("count", 1) > 1:
                odd = copy.deepcopy(leg) | {"ref": "odd"}
                odd["count"] = 1
                leg["count"] -= 1
                self.legs.insert(index + 1, odd)
                return odd
        return self.legs[-1] if len(self.legs) > 1 else None

    def gathering(self, path: str) -> Gathering:
        return next(one for one in self.sling.gatherings if one.path == path)

    def leg(self, entry: Toml) -> Leg:
        """The sound leg that an entry describes."""
        return next(one for one in self.sling.legs if one.entry.ref == entry["ref"])


@define
class Place:
    """Where an item stands in the build: a gathering part, or a part of a leg."""

    bench: Bench
    entry: Toml
    leg: Toml | None = None
    prefix: str = ""
    whole: Toml | None = None
    sound: Part = field(init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        path = self.path.replace(ODD, "")
        if self.leg is not None and self.leg["ref"] == "odd":
            path = path.partition("/")[2]
            found = [p for p in self.bench.sling.parts if p.path.partition("/")[2] == path]
        else:
            alike = {path, path.replace("/", "1/", 1)}
            found = [part for part in self.bench.sling.parts if part.path in alike]
        self.sound = found[0]

    @property
    def path(self) -> str:
        if self.leg is not None:
            return path_in(self.leg, self.entry)
        return self.prefix + (self.entry.get("ref") or self.entry["name"])

    @property
    def item(self) -> Toml:
        return self.bench.items[self.entry["item"]]

    @property
    def above(self) -> Gathering:
        """The sound link that the leg hangs on, or the branch if the place is in one."""
        assert self.leg is not None
        on = self.leg["adjust"]["on"] if self.sound.in_branch else self.leg["on"]
        return self.bench.gathering(on)

    def refit(self, **changes: Any) -> str:
        """Fit an item that differs in these data, and say where."""
        return self._fit(self.bench.own(self.item, **changes))

    def put(self, item: str | None) -> str | None:
        """Fit an item of the stock, and say where; None where the stock has none."""
        if item is None:
            return None
        return self._fit(self.bench.take(item))

    def _fit(self, item: str) -> str:
        adjust = (self.leg or {}).get("adjust", {})
        if adjust.get("pocket") == self.entry["item"]:
            adjust["pocket"] = item
        if (self.leg or {}).get("chokes_in") == self.entry["item"]:
            self.leg["chokes_in"] = item
        self.entry["item"] = item
        return self.path

    def charted(self, chart: list[Toml]) -> str:
        """Give the link, or the assembly that it belongs to, this chart."""
        if self.whole is None:
            return self.refit(chart=chart)
        self.whole["chart"] = chart
        return self.path


def leg_path(leg: Toml) -> str:
    return leg["ref"] + ("1" if leg.get("count", 1) > 1 else "")


def path_in(leg: Toml, entry: Toml) -> str:
    """The path of a leg's part: `leg/item`, and the number of the item's second and later."""
    parts = [*leg["parts"], *leg.get("adjust", {}).get("branch", ())]
    before = parts[: next(n for n, part in enumerate(parts) if part is entry) + 1]
    count = sum(part["item"] == entry["item"] for part in before)
    return f"{leg_path(leg)}/{entry['item']}" + (f"#{count}" if count > 1 else "")


# Places


def gathered(bench: Bench) -> Iterator[Place]:
    """Every gathering link from the top down; an assembly is opened, so that it can be changed."""
    for entry in bench.build["part"]:
        item = bench.items[entry["item"]]
        if item["kind"] != "link-assembly":
            yield Place(bench, entry)
            continue
        entry["item"] = bench.own(item)
        whole = bench.items[entry["item"]]
        for link in whole["links"]:
            yield Place(bench, link, prefix=entry["ref"] + "/", whole=whole)


def top(bench: Bench) -> Place:
    return next(gathered(bench))


def intermediate(bench: Bench) -> Place | None:
    return next((p for p in gathered(bench) if p.item["kind"] == "intermediate-link"), None)


def in_leg(bench: Bench, kinds: frozenset[str], which: slice, leg: Toml | None) -> Place | None:
    leg = leg or bench.legs[0]
    found = [part for part in leg["parts"] if bench.items[part["item"]]["kind"] in kinds][which]
    return Place(bench, found[0], leg) if found else None


def in_branch(bench: Bench, index: int) -> Place | None:
    leg = next((one for one in bench.legs if "branch" in one.get("adjust", {})), None)
    return Place(bench, leg["adjust"]["branch"][index], leg) if leg else None


COUPLING, CHAIN = frozenset({"coupling-link"}), frozenset({"chain"})
SHORTENER, SWIVEL = frozenset({"shortener"}), frozenset({"swivel"})
END_LINK = frozenset({"end-link"})
LAST = slice(-1, None)


def upper_coupling(bench: Bench, leg: Toml | None = None) -> Place | None:
    return in_leg(bench, COUPLING, slice(1), leg)


def lower_coupling(bench: Bench, leg: Toml | None = None) -> Place | None:
    return in_leg(bench, COUPLING, LAST, leg)


def hook(bench: Bench, leg: Toml | None = None) -> Place | None:
    return in_leg(bench, HOOK_KINDS, LAST, leg)


def chain(bench: Bench, leg: Toml | None = None) -> Place | None:
    return in_leg(bench, CHAIN, slice(1), leg)


def shortener(bench: Bench) -> Place | None:
    return in_leg(bench, SHORTENER, slice(1), None)


def swivel(bench: Bench) -> Place | None:
    return in_leg(bench, SWIVEL, slice(1), None)


def end_link(bench: Bench) -> Place | None:
    return in_leg(bench, END_LINK, LAST, None)


def branch_coupling(bench: Bench) -> Place | None:
    return in_branch(bench, 0)


def grab_hook(bench: Bench) -> Place | None:
    return in_branch(bench, -1)


def one_hook(bench: Bench) -> Place | None:
    leg = bench.single_out()
    return hook(bench, leg) if leg else None


def one_chain(bench: Bench) -> Place | None:
    leg = bench.single_out()
    return chain(bench, leg) if leg else None


def one_lower_coupling(bench: Bench) -> Place | None:
    leg = bench.single_out()
    return lower_coupling(bench, leg) if leg else None


Finder = Callable[[Bench], Place | None]
GATHERING: dict[str, Finder] = {"top link": top, "intermediate link": intermediate}
LINKS: dict[str, Finder] = GATHERING | {"end link": end_link}
FITTINGS: dict[str, Finder] = {
    "upper coupling": upper_coupling,
    "lower coupling": lower_coupling,
    "hook": hook,
    "shortener": shortener,
    "swivel": swivel,
    "coupling of the branch": branch_coupling,
    "grab hook of the branch": grab_hook,
}
IN_ONE_LEG: dict[str, Finder] = {
    "hook of one leg": one_hook,
    "lower coupling of one leg": one_lower_coupling,
}
CHAINS: dict[str, Finder] = {"chain": chain, "chain of one leg": one_chain}
CHAIN_FITTINGS = {name: find for name, find in FITTINGS.items() if name != "swivel"}


# The table of operators


@frozen
class Fault:
    """An operator: the fault's name, the rule that must speak, and what follows from it.

    `level` is the level at which the rule must speak where it is not the rule's own.
    """

    name: str
    rule: str
    make: Callable[[Bench], str | None] = field(repr=False)
    follows: frozenset[str] = frozenset()
    level: str | None = None


FAULTS: list[Fault] = []
Operator = Callable[[Bench], str | None]
NOTHING: frozenset[str] = frozenset()
# A duty that is reduced already (hot, choked, over an edge) does not keep to still less.
REDUCED = frozenset({"temperature-not-derated", "choker-not-derated", "edge-not-derated"})
# Of a part that holds less, tag, planned load and the proof loads ordered ask too much.
LESS_CHAIN = REDUCED | {"tag-over-rating", "load-over-rating", "proof-load-excess"}
# A fitting that does so governs, besides.
LESS = LESS_CHAIN | {"weak-link-governs"}
# A part of another length: the reach is another, and where one entry's legs have it, theirs alone;
# and every setting moves.
MOVED = frozenset({"reach-off", "pocket-unreachable"})
SHIFTED = MOVED | {"legs-unmatched"}


def fault(
    rule: str, *, follows: frozenset[str] | set[str] = NOTHING, level: str | None = None
) -> Callable[[Operator], Operator]:
    def add(make: Operator) -> Operator:
        name = make.__name__.replace("_", " ")
        FAULTS.append(Fault(name, rule, make, frozenset(follows), level))
        return make

    return add


def at_each(
    places: dict[str, Finder],
    rule: str,
    name: str,
    change: Callable[[Place], str | None],
    *,
    follows: frozenset[str] | set[str] = NOTHING,
    level: str | None = None,
) -> None:
    """One operator a place: the same fault of the sheet, or of what is fitted, there."""
    for what, find in places.items():
        FAULTS.append(
            Fault(name.format(what), rule, _changing(find, change), frozenset(follows), level)
        )


def _changing(find: Finder, change: Callable[[Place], str | None]) -> Operator:
    def make(bench: Bench) -> str | None:
        place = find(bench)
        return change(place) if place is not None else None

    return make


# Steel and grade

LOWER_GRADE = {100: 80, 80: 40}


def of_lower_grade(place: Place) -> str:
    return place.refit(grade=LOWER_GRADE[place.sound.grade])


def of_higher_grade(place: Place) -> str:
    """A part of grade 120, and a link with a chart for that grade alone."""
    place.refit(grade=120)
    if place.sound.kind in LINK_KINDS:
        rows = [row | {"grade": 120, "limit": times(row["limit"], 1.5)} for row in chart_of(place)]
        place.charted(rows)
    return place.path


def times(load: str, share: float) -> str:
    return f"{share * Load.parse(load):,.0f} kg"


def of_unknown_steel(place: Place) -> str:
    return place.refit(grade=None, steel=None)


def grade_of(row: Any) -> int:
    grade = row["grade"] if isinstance(row, dict) else row.grade
    return EN_GRADES.get(grade, grade)


at_each(LINKS | FITTINGS | IN_ONE_LEG, "grade-mismatch", "{} of a lower grade", of_lower_grade)
at_each(LINKS | FITTINGS, "grade-mismatch", "{} of a higher grade", of_higher_grade, level="note")
at_each(
    LINKS | FITTINGS | IN_ONE_LEG,
    "steel-not-alloy",
    "{} of carbon steel",
    lambda place: place.refit(steel="carbon"),
)
at_each(
    {"chain": chain},
    "steel-not-alloy",
    "{} of carbon steel",
    lambda place: place.refit(steel="carbon"),
    # the published ratings are those of alloy chain: for other chain the plain product counts,
    # which is a little more or less than the tag and the link's chart say
    follows={"tag-over-rating", "weak-link-governs", "proof-load-short"},
)
at_each(
    LINKS | FITTINGS,
    "steel-not-alloy",
    "{} of stainless steel",
    lambda place: place.refit(steel="stainless"),
)
at_each(
    LINKS | FITTINGS | IN_ONE_LEG | {"chain": chain},
    "grade-unknown",
    "{} without a marked sheet",
    of_unknown_steel,
)


@fault("grade-mismatch", follows=LESS_CHAIN)  # chain of a lower grade holds less
def chain_of_one_leg_a_grade_lower(bench: Bench) -> str | None:
    place = one_chain(bench)
    if place is None or place.sound.grade != 100:
        return None
    weaker = bench.stock[place.entry["item"] + "-80"]
    return place.refit(grade=80, working_load_limit=weaker["working_load_limit"])


# no table of EN lists grade 12, so that the product counts, which may lie under the printed cell;
# and no pocket is made for it
@fault("grade-mismatch", level="note", follows={"tag-over-rating", "pocket-size-mismatch"})
def chain_of_one_leg_a_grade_higher(bench: Bench) -> str | None:
    place = one_chain(bench)
    return place.refit(grade=120) if place else None


def not_for_lifting(grade: int) -> Operator:
    def make(bench: Bench) -> str | None:
        path = None
        for leg in bench.legs:
            place = chain(bench, leg)
            assert place is not None
            limit = bench.load(place.sound.working_load_limit * grade / place.sound.grade)
            path = path or place.entry
            place.refit(grade=grade, steel="carbon", working_load_limit=limit)
        bench.build["tag"]["grade"] = grade
        return path_in(bench.legs[0], path) if path else None

    return make


for _grade in (30, 43, 70):
    FAULTS.append(
        Fault(
            f"chain of grade {_grade}",
            "chain-not-for-lifting",
            not_for_lifting(_grade),
            LESS_CHAIN,  # it holds less than the alloy chain that the tag was made for
        )
    )


@fault(
    "chain-not-for-lifting",
    # beside the good chain it is also of other steel, and weaker
    follows=LESS_CHAIN | {"steel-not-alloy"},
)
def binding_chain_in_one_leg(bench: Bench) -> str | None:
    place = one_chain(bench)
    if place is None:
        return None
    limit = bench.load(place.sound.working_load_limit * 0.7)
    return place.refit(grade=70, steel="carbon", working_load_limit=limit)


# Size

SIZES = {
    True: ("7/32 in", "9/32 in", "3/8 in", "1/2 in", "5/8 in", "3/4 in"),
    False: ("6 mm", "8 mm", "10 mm", "13 mm", "16 mm", "20 mm"),
}


def next_size(bench: Bench, size: str, step: int) -> str:
    sizes = SIZES[bench.us]
    return sizes[sizes.index(size) + step]


def in_stock(bench: Bench, item: Toml, step: int) -> str | None:
    """The item of the stock that differs in nothing but its size."""
    size = next_size(bench, item["size"], step)
    alike = (
        one["id"]
        for one in bench.stock.values()
        if (one["kind"], one.get("grade"), one.get("size")) == (item["kind"], item["grade"], size)
    )
    return next(alike, None)


def made_for(step: int) -> Callable[[Place], str]:
    def change(place: Place) -> str:
        return place.refit(size=next_size(place.bench, place.item["size"], step))

    return change


at_each(CHAIN_FITTINGS, "size-mismatch", "{} made for the next smaller chain", made_for(-1))
at_each(CHAIN_FITTINGS, "size-mismatch", "{} made for the next larger chain", made_for(+1))
for _find, _what, _follows in (
    # a hook of another size is of another length, and a smaller one holds less
    ({"hook": hook}, "smaller", LESS | SHIFTED),
    ({"hook": hook}, "larger", SHIFTED),
    # and with the branch of another length the pocket sits elsewhere
    ({"grab hook of the branch": grab_hook}, "smaller", LESS),
    ({"grab hook of the branch": grab_hook}, "larger", {"pocket-unreachable"}),
):
    at_each(
        _find,
        "size-mismatch",
        "{} one size " + _what + " from the shelf",
        lambda place, step={"smaller": -1, "larger": +1}[_what]: place.put(
            in_stock(place.bench, place.item, step)
        ),
        follows=_follows,
    )


@fault("size-mismatch", follows=LESS | SHIFTED | {"opening-too-small"})
def coupling_one_size_smaller_from_the_shelf(bench: Bench) -> str | None:
    # it holds less, opens less, and is shorter
    place = upper_coupling(bench)
    return place.put(in_stock(bench, place.item, -1)) if place else None


@fault("size-mismatch", follows=LESS_CHAIN)  # it holds less
def chain_one_size_smaller_in_all_legs(bench: Bench) -> str | None:
    """The fittings stay: the first of them is now made for another chain."""
    for leg in bench.legs:
        place = chain(bench, leg)
        assert place is not None
        sound = bench.leg(leg).chain
        smaller = in_stock(bench, place.item, -1)
        if smaller is None or "adjust" in leg:
            return None
        place.put(smaller)
        pitch = Length.parse(place.item["pitch"])
        stated = Length.parse(bench.build["assembly"]["reach"])
        missing = stated - bench.figures.reach(bench.leg(leg)) + sound.links * sound.pitch
        place.entry["links"] = ceil(missing / pitch - 1e-9)
    bench.build["tag"]["size"] = next_size(bench, bench.sling.chain.size, -1)
    place = hook(bench)
    return place.path if place else None


# Parts without a rating

at_each(
    FITTINGS | IN_ONE_LEG | {"chain": chain},
    "unrated-component",
    "{} without a working load limit",
    lambda place: place.refit(working_load_limit=None),
)
at_each(LINKS, "unrated-component", "{} without a chart", lambda place: place.charted([]))


def chart_of(place: Place) -> list[Toml]:
    return (place.whole or place.item)["chart"]


def use_of(place: Place) -> tuple[int, Part]:
    use = place.bench.figures.use_of(place.sound)
    return use.legs, use.hardest


def covers(row: Toml, legs: int, part: Part) -> bool:
    """Whether a chart row covers so many legs of this chain."""
    of_row = row["legs"] if isinstance(row["legs"], list) else [row["legs"]]
    size = chain_size(row["size"]) or 0
    fits = row["leg"] == "chain" and grade_of(row) >= part.grade and size >= part.size_mm
    return fits and max(of_row) >= legs


def covering(place: Place) -> list[Toml]:
    return [row for row in chart_of(place) if covers(row, *use_of(place))]


def without_covering_rows(place: Place) -> str | None:
    rows = [row for row in chart_of(place) if not covers(row, *use_of(place))]
    return place.charted(rows) if rows else None


def for_fewer_legs(place: Place) -> str | None:
    legs, _ = use_of(place)
    if legs == 1:
        return None
    fewer = 2 if legs > 2 else 1
    return place.charted([row | {"legs": fewer} for row in covering(place)])


def for_three_legs_only(place: Place) -> str | None:
    legs, _ = use_of(place)
    return place.charted([row | {"legs": 3} for row in covering(place)]) if legs == 4 else None


def for_smaller_chain(place: Place) -> str:
    _, used = use_of(place)
    size = next_size(place.bench, used.size, -1)
    return place.charted([row | {"size": size} for row in covering(place)])


def for_lower_grade(place: Place) -> str:
    lower = LOWER_GRADE[use_of(place)[1].grade]
    return place.charted([row | {"grade": lower} for row in covering(place)])


at_each(GATHERING, "unrated-component", "{}: no chart row covers the use", without_covering_rows)
at_each(GATHERING, "unrated-component", "{} charted for fewer legs", for_fewer_legs)
at_each({"top link": top}, "unrated-component", "{} charted for three of four", for_three_legs_only)
at_each(LINKS, "unrated-component", "{} charted for the next smaller chain", for_smaller_chain)
at_each(LINKS, "unrated-component", "{} charted for a lower grade", for_lower_grade)


def rows_for(kind: str) -> Callable[[Place], str]:
    def change(place: Place) -> str:
        rows = [row | {"leg": kind} for row in chart_of(place)]
        return place.charted([{k: v for k, v in row.items() if k != "grade"} for row in rows])

    return change


for _kind in ("wire-rope", "roundsling"):
    at_each(
        LINKS,
        "chart-basis-mismatch",
        "{} with a chart of " + _kind + " legs",
        rows_for(_kind),
        follows={"unrated-component"},  # no row is left that covers chain
    )


# Links rated by a figure of their own


def rated_alone(**use: Any) -> Callable[[Place], str | None]:
    def change(place: Place) -> str | None:
        if place.whole is not None:
            return None
        plenty = place.bench.load(20 * use_of(place)[1].working_load_limit)
        return place.refit(chart=None, working_load_limit=plenty, **use)

    return change


def in_us(change: Callable[[Place], str | None]) -> Callable[[Place], str | None]:
    return lambda place: change(place) if place.bench.us else None


def in_en(change: Callable[[Place], str | None]) -> Callable[[Place], str | None]:
    return lambda place: None if place.bench.us else change(place)


at_each(LINKS, "link-rated-alone", "{} with a bare limit", in_us(rated_alone()))
at_each(
    GATHERING, "link-rated-alone", "{} with a bare limit, EN", in_en(rated_alone()), level="note"
)


def for_legs_at_no_angle(place: Place) -> str | None:
    legs, _ = use_of(place)
    return rated_alone(limit_for={"legs": legs})(place) if legs > 1 else None


def with_no_design_factor(place: Place) -> str | None:
    use = {"legs": use_of(place)[0], "angle": {"from_horizontal": "60 deg"}}
    return rated_alone(limit_for=use, design_factor=None)(place)


at_each(
    GATHERING,
    "link-rated-alone",
    "{} with a limit for legs at no angle",
    in_us(for_legs_at_no_angle),
)
at_each(
    {"top link": top, "end link": end_link},
    "link-rated-alone",
    "{} with a limit of no known reserve",
    in_us(with_no_design_factor),
)


def limit_for_one_leg_used_for_two(place: Place) -> str | None:
    """The sheet gives what one leg may pull, plenty of it, and says no word of two."""
    if use_of(place)[0] == 1 or place.whole is not None:
        return None
    plenty = place.bench.load(6 * use_of(place)[1].working_load_limit)
    use = {"legs": 1, "angle": {"from_horizontal": "90 deg"}}
    return place.refit(chart=None, working_load_limit=plenty, limit_for=use)


at_each(
    GATHERING, "unrated-component", "{} with a limit for one leg", limit_for_one_leg_used_for_two
)


# What the tag promises


def charted_for_less(place: Place, share: float) -> str:
    """A chart whose only row for this use is so much of what the chain holds."""
    row = min(covering(place), key=lambda one: Load.parse(one["limit"]))
    limit = place.bench.load(share * Load.parse(row["limit"]))
    return place.charted([row | {"limit": limit}])


def limited(place: Place, share: float) -> str:
    """The place with a part that holds so much of what the chain holds, and its path."""
    if place.sound.kind in LINK_KINDS:
        return charted_for_less(place, share)
    limit = place.bench.load(share * place.sound.leg.chain.working_load_limit)
    return place.refit(working_load_limit=limit)


def much_weaker(place: Place) -> str | None:
    limited(place, 0.8)
    return place.bench.name


for _places, _follows in ((LINKS | FITTINGS | IN_ONE_LEG, LESS), (CHAINS, LESS_CHAIN)):
    at_each(
        _places,
        "tag-over-rating",
        "{} 20 % weaker than the tag",
        much_weaker,
        follows=_follows - {"tag-over-rating"},
    )


def tagged(bench: Bench, index: int, kg: float) -> str:
    bench.rows[index]["load"] = bench.load(kg)
    return bench.name


@fault("tag-over-rating")
def tag_5_percent_over(bench: Bench) -> str | None:
    return tagged(bench, 0, 1.05 * bench.figures.tag_allows(bench.rated(0)))


@fault("tag-over-rating")
def last_tag_row_5_percent_over(bench: Bench) -> str | None:
    last = len(bench.rows) - 1
    if last == 0:
        return None
    return tagged(bench, last, 1.05 * bench.figures.tag_allows(bench.rated(last)))


@fault("tag-over-rating")
def tag_load_with_two_digits_swapped(bench: Bench) -> str | None:
    written = bench.rows[0]["load"]
    number, unit = written.split()
    digits = number.replace(",", "")
    swapped = {
        digits[:n] + digits[n + 1] + digits[n] + digits[n + 2 :] for n in range(len(digits) - 1)
    }
    most = bench.figures.tag_allows(bench.rated(0))
    higher = sorted(s for s in swapped if Load.parse(f"{s} {unit}") > most)
    if not higher:
        return None
    bench.rows[0]["load"] = f"{int(higher[0]):,} {unit}"
    return bench.name


@fault("tag-over-rating")
def tag_in_kilograms_for_pounds(bench: Bench) -> str | None:
    if not bench.us:
        return None
    bench.rows[0]["load"] = bench.rows[0]["load"].replace("lb", "kg")
    return bench.name


@fault("tag-over-rating")
def tag_of_the_next_larger_chain(bench: Bench) -> str | None:
    larger = in_stock(bench, chain(bench).item, +1)
    if larger is None:
        return None
    share = Load.parse(bench.stock[larger]["working_load_limit"])
    return tagged(bench, 0, bench.rated(0).stated * share / bench.sling.chain.working_load_limit)


@fault("tag-over-rating")
def tag_of_a_grade_100_sling_on_grade_80(bench: Bench) -> str | None:
    item = bench.sling.chain.item.id
    if not item.endswith("-80"):
        return None
    better = Load.parse(bench.stock[item.removesuffix("-80")]["working_load_limit"])
    return tagged(bench, 0, bench.rated(0).stated * better / bench.sling.chain.working_load_limit)


@fault("tag-over-rating")
def tag_gives_the_60_deg_load_at_45_deg(bench: Bench) -> str | None:
    if not bench.us or bench.loaded == 1:
        return None
    bench.build["tag"]["rating"] = [bench.rows[0] | {"angle": bench.angle(45)}]
    return bench.name if bench.rated(0).angle == 60 else None


@fault("tag-over-rating")
def tag_gives_the_60_deg_load_at_30_deg(bench: Bench) -> str | None:
    if not bench.us or bench.loaded == 1 or bench.rated(0).angle != 60:
        return None
    bench.rows.append(bench.rows[0] | {"angle": bench.angle(30)})
    return bench.name


@fault("tag-over-rating")
def tag_angle_measured_from_the_vertical(bench: Bench) -> str | None:
    if not bench.us or bench.loaded == 1 or bench.rated(0).angle != 60:
        return None
    bench.rows[0]["angle"] = {"from_vertical": "60 deg"}
    return bench.name


@fault("tag-over-rating")
def tag_gives_the_steep_load_for_the_whole_range(bench: Bench) -> str | None:
    if bench.us or bench.loaded == 1:
        return None
    bench.rows[0]["angle"] = {"from_vertical": ["0 deg", "60 deg"]}
    return bench.name


@fault("tag-over-rating")
def tag_gives_the_steep_load_in_the_flat_range(bench: Bench) -> str | None:
    if bench.us or len(bench.rows) < 2:
        return None
    bench.rows[1]["load"] = bench.rows[0]["load"]
    return bench.name


@fault("tag-over-rating")
def tag_counts_the_legs_as_if_they_hung_plumb(bench: Bench) -> str | None:
    if bench.loaded in (1, 4):
        return None
    return tagged(bench, 0, bench.loaded * bench.sling.chain.working_load_limit)


@fault("tag-over-rating", follows={"tag-contradicts-build"})  # none of its legs hangs alone
def tag_gives_the_bridle_load_to_one_straight_leg(bench: Bench) -> str | None:
    if bench.loaded == 1 or bench.rated(0).stated < 1.2 * bench.sling.chain.working_load_limit:
        return None
    bench.rows.append({"hitch": "straight", "load": bench.rows[0]["load"]})
    return bench.name


@fault("tag-over-rating")
def tag_by_sines_in_place_of_the_published_load(bench: Bench) -> str | None:
    if bench.us or bench.loaded == 1:
        return None
    sines = bench.rated(0).legs * sin(radians(bench.rated(0).angle))
    load = sines * bench.sling.chain.working_load_limit
    if load < 1.02 * bench.figures.tag_allows(bench.rated(0)):
        return None
    return tagged(bench, 0, load)


UNDER = frozenset({"load-over-rating"})  # the planned load may be over the tag, if not the steel


@fault("tag-over-rating")
def sheets_above_the_published_table_and_a_tag_by_them(bench: Bench) -> str | None:
    """Every sheet says 10 % more than the table has for that chain, and so does the tag."""
    sound = bench.figures.allowance(chain(bench).sound)
    if bench.figures.scale_of(sound, bench.rated(0).share) is None:
        return None
    for item in bench.items.values():
        if "working_load_limit" in item and item["id"] != bench.duty.get("hung_from"):
            item["working_load_limit"] = times(item["working_load_limit"], 1.1)
        for row in item.get("chart", ()):
            row["limit"] = times(row["limit"], 1.1)
    bench.build.pop("proof", None)
    return tagged(bench, 0, 1.09 * bench.rated(0).stated)


@fault("tag-under-rating", level="note", follows=UNDER)
def tag_20_percent_under(bench: Bench) -> str | None:
    return tagged(bench, 0, 0.8 * bench.rated(0).stated)


@fault("tag-under-rating", level="note", follows=UNDER)
def last_tag_row_15_percent_under(bench: Bench) -> str | None:
    last = len(bench.rows) - 1
    return tagged(bench, last, 0.85 * bench.rated(last).stated) if last else None


@fault("tag-under-rating", level="note", follows=UNDER)
def tag_of_the_next_smaller_chain(bench: Bench) -> str | None:
    smaller = in_stock(bench, chain(bench).item, -1)
    if smaller is None:
        return None
    share = Load.parse(bench.stock[smaller]["working_load_limit"])
    return tagged(bench, 0, bench.rated(0).stated * share / bench.sling.chain.working_load_limit)


FOUR_LEGS = {
    "four legs at the published load": lambda rated: rated.stated * 4 / 3,
    "four legs by the plain product": lambda rated: rated.product * 4 / 3,
}


def counting_four(load_of: Callable[[Rating], float], row: int) -> Operator:
    def make(bench: Bench) -> str | None:
        if bench.loaded != 4 or row >= len(bench.rows):
            return None
        return tagged(bench, row, load_of(bench.rated(row)))

    return make


for _name, _load_of in FOUR_LEGS.items():
    for _row, _where in enumerate(("first", "second")):
        FAULTS.append(
            Fault(
                f"tag counts {_name}, {_where} row",
                "quad-counted-as-four",
                counting_four(_load_of, _row),
                frozenset({"tag-over-rating"}),  # a third more than the rating
            )
        )


# The part that governs, with a tag that knows it


def weaker_and_tagged_so(place: Place) -> str | None:
    bench = place.bench
    if place.whole is not None and place.sound.kind == "master-link":
        return None  # the links of an assembly share its chart: the first by name governs
    for index in range(len(bench.rows)):
        tagged(bench, index, 0.88 * bench.rated(index).stated)
    if "load" in bench.duty:
        bench.duty["load"] = bench.load(0.8 * bench.figures.duty_rating().stated)
    return limited(place, 0.9)


at_each(
    LINKS | FITTINGS | IN_ONE_LEG,
    "weak-link-governs",
    "{} 10 % weaker, and tagged so",
    weaker_and_tagged_so,
    # the planned load is moved up to the new rating; a proof load ordered for the chain is too much
    follows={"hung-from-overloaded", "proof-load-excess"},
)


# Design factor


at_each(
    LINKS | FITTINGS | {"chain": chain},
    "design-factor-short",
    "{} with a design factor of 3",
    lambda place: place.refit(design_factor=3.0),
)
at_each(
    LINKS,
    "design-factor-short",
    "{} with a chart at a design factor of 3",
    lambda place: place.charted([row | {"design_factor": 3.0} for row in covering(place)]),
)


@fault("design-factor-short")
def link_assembly_with_a_design_factor_of_3(bench: Bench) -> str | None:
    """The chart is the assembly's, and so is the factor that its limits were made with."""
    place = top(bench)
    if place.whole is None:
        return None
    place.whole["design_factor"] = 3.0
    return place.path


# The duty


def planned(bench: Bench, kg: float) -> str:
    bench.duty["load"] = bench.load(kg)
    return bench.name


HEAVY = REDUCED | {"hung-from-overloaded"}  # the load may be too much for the crane, too
FLAT = REDUCED | {"tag-contradicts-build"}  # the tag has no row for legs so flat


@fault("load-over-rating", follows=HEAVY)
def planned_load_5_percent_over(bench: Bench) -> str | None:
    return planned(bench, 1.05 * bench.figures.duty_rating().stated)


@fault("load-over-rating", follows=HEAVY)
def planned_load_in_kilograms_for_pounds(bench: Bench) -> str | None:
    number, unit = bench.duty["load"].split()
    load = Load.parse(f"{number} kg")
    if unit != "lb" or load < 1.02 * bench.figures.duty_rating().stated:
        return None
    bench.duty["load"] = f"{number} kg"
    return bench.name


@fault("load-over-rating", follows=HEAVY)
def planned_load_as_if_the_legs_hung_plumb(bench: Bench) -> str | None:
    legs = bench.figures.effective_legs()
    return planned(bench, legs * bench.sling.chain.working_load_limit) if legs > 1 else None


@fault("load-over-rating", follows=HEAVY | FLAT)
def planned_load_by_the_plate_at_a_flatter_angle(bench: Bench) -> str | None:
    """The load that the first row of the tag allows, lifted flatter."""
    if bench.loaded == 1:
        return None
    bench.duty["angle"] = bench.angle(50 if bench.us else 35)
    return planned(bench, bench.rated(0).stated) if bench.rated(0).angle > 44 else None


@fault("load-over-rating", follows=FLAT)
def duty_angle_measured_from_the_other_side(bench: Bench) -> str | None:
    if bench.loaded == 1:
        return None
    (side, angle), *_ = bench.duty["angle"].items()
    other = {"from_horizontal": "from_vertical", "from_vertical": "from_horizontal"}[side]
    horizontal = 90 - bench.sling.angle
    if horizontal < 30 or planned_at(bench) < 1.02 * bench.figures.rating(horizontal).stated:
        return None
    bench.duty["angle"] = {other: angle}
    return bench.name


def planned_at(bench: Bench) -> float:
    return float(Load.parse(bench.duty["load"]))


@fault("load-over-rating", follows=HEAVY)
def rigid_load_that_three_legs_would_just_carry(bench: Bench) -> str | None:
    if bench.loaded != 4:
        return None
    bench.duty["load_is_rigid"] = True
    return planned(bench, 0.98 * bench.figures.rating().stated)


@fault("load-over-rating", follows=HEAVY)
def planned_load_of_four_even_legs(bench: Bench) -> str | None:
    if bench.loaded != 4:
        return None
    return planned(bench, bench.figures.rating().stated * 4 / 3)


def stand_at(from_horizontal: float) -> Operator:
    def make(bench: Bench) -> str | None:
        if bench.loaded == 1:
            return None
        bench.duty["angle"] = bench.angle(from_horizontal)
        return bench.name

    return make


for _angle in (10, 25, 29):
    FAULTS.append(
        Fault(
            f"legs at {_angle} deg from the horizontal",
            "angle-too-flat",
            stand_at(_angle),
            REDUCED | {"load-over-rating"},  # such flat legs carry less than was planned
        )
    )


@fault("angle-too-flat")
def tag_row_for_legs_at_20_deg(bench: Bench) -> str | None:
    if bench.loaded == 1:
        return None
    load = 0.95 * bench.figures.rating(20).stated
    bench.rows.append({"hitch": "bridle", "angle": bench.angle(20), "load": bench.load(load)})
    return bench.name


@fault("angle-too-flat", follows={"load-over-rating"})  # its load is under the planned one
def tag_range_beyond_60_deg_from_the_vertical(bench: Bench) -> str | None:
    if bench.us or bench.loaded == 1:
        return None
    bench.rows[-1]["angle"] = {"from_vertical": ["45 deg", "70 deg"]}
    return tagged(bench, -1, 0.95 * bench.figures.rating(20).stated)


for _angle in (76, 80, 85):
    FAULTS.append(
        Fault(
            f"legs {90 - _angle} deg from the vertical",
            "angle-too-steep-for-basis",
            lambda bench, angle=_angle: None if bench.us else stand_at(angle)(bench),
        )
    )


# What it hangs from


def lifting_point(bench: Bench, **changes: Any) -> str:
    bench.duty["hung_from"] = bench.own(bench.items[bench.duty["hung_from"]], **changes)
    return bench.name


@fault("hung-from-overloaded")
def lifting_point_rated_under_the_planned_load(bench: Bench) -> str | None:
    return lifting_point(bench, working_load_limit=bench.load(0.9 * planned_at(bench)))


@fault("hung-from-overloaded")
def lifting_point_rated_just_under_the_planned_load(bench: Bench) -> str | None:
    return lifting_point(bench, working_load_limit=bench.load(0.999 * planned_at(bench)))


# A hot duty and a rigid load have to be planned for.
@fault("hung-from-overloaded", follows=REDUCED | {"rigid-load-shared-evenly"})
def lifting_point_under_the_rating_and_no_planned_load(bench: Bench) -> str | None:
    bench.duty.pop("load", None)
    limit = 0.9 * bench.figures.rating().stated
    return lifting_point(bench, working_load_limit=bench.load(limit))


@fault(
    "hung-from-overloaded", follows=REDUCED | {"load-over-rating"}
)  # the sling may be too light, too
def load_beyond_the_crane(bench: Bench) -> str | None:
    assert bench.sling.hung_from is not None
    return planned(bench, 1.1 * bench.sling.hung_from.working_load_limit)


# What goes into what


def widest(place: Place) -> str:
    """The name of the inside width that the hook sits in."""
    return "top_width" if place.item.get("shape") == "pear" else "inside_width"


def seated(place: Place) -> tuple[float, float, int]:
    """Width and depth of what sits in a link's bottom, the deepest, and how many sit there."""
    gathering = place.bench.gathering(place.path)
    sizes = [(*place.bench.figures.seat(seat.part), seat.count) for seat in gathering.seats]
    return max(w for w, _, _ in sizes), max(t for _, t, _ in sizes), sum(n for *_, n in sizes)


def narrowed(place: Place) -> str:
    gathering = place.bench.gathering(place.path)
    width = place.bench.figures.width_for(gathering, CROWDED_DEG)
    return place.refit(inside_width=place.bench.length(width))


at_each(
    {"top link": top},
    "crowded-link",
    "{} too narrow for what sits in it",
    narrowed,
    follows={"hook-does-not-enter", "hook-tight"},  # it is narrow for the hook, too
)
at_each(
    {"intermediate link": intermediate},
    "crowded-link",
    "{} too narrow for what sits in it",
    narrowed,
)


@fault("crowded-link")
def coupling_too_wide_for_the_link(bench: Bench) -> str | None:
    return too_wide(upper_coupling(bench))


@fault("crowded-link")
def coupling_of_the_branch_too_wide(bench: Bench) -> str | None:
    return too_wide(branch_coupling(bench))


def too_wide(place: Place | None) -> str | None:
    """As many such couplings as the entry has legs take more of the link than is usable."""
    if place is None:
        return None
    on, each = place.above, radians(CROWDED_DEG / place.leg.get("count", 1) / 2)
    width = sin(each) * (on.part.inside_width - place.sound.seat_depth)
    place.refit(seat_width=place.bench.length(width))
    return on.path


@fault("crowded-link", follows={"opening-too-small"})  # the coupling must go over the thick bar
def intermediate_link_too_thick_for_the_top_link(bench: Bench) -> str | None:
    place = intermediate(bench)
    if place is None:
        return None
    above = bench.gathering(place.path).above
    assert above is not None
    inside = above.part.inside_width
    taken = bench.figures.seated_arc(above)
    own = degrees(2 * asin(place.sound.bar / (inside - place.sound.bar)))
    wanted = sin(radians((CROWDED_DEG - (taken - own)) / 2))
    place.refit(bar=bench.length(wanted * inside / (1 + wanted)), flat=None)
    return above.path


def hung_on_top(bench: Bench, leg: Toml) -> None:
    """Hang a leg straight on the top link, cut so that it keeps its reach."""
    part, gathering = chain(bench, leg), bench.leg(leg).on
    assert part is not None
    assert gathering is not None
    if gathering.above is not None:
        part.entry["links"] += ceil(gathering.part.inside_length / part.sound.pitch)
    leg["on"] = bench.build["part"][0]["ref"]


def plain_quad_or_triple(bench: Bench) -> bool:
    plain = all("adjust" not in leg for leg in bench.legs)
    return bench.loaded > 2 and plain and len(bench.build["part"]) > 1


# a proof load that was ordered for the intermediate links has nothing to pull
@fault("intermediate-links-needed", follows={"proof-load-short"})
def all_legs_on_the_master_link(bench: Bench) -> str | None:
    if not plain_quad_or_triple(bench):
        return None
    for leg in bench.legs:
        hung_on_top(bench, leg)
    bench.build["part"] = bench.build["part"][:1]
    return bench.build["part"][0]["ref"]


@fault(
    "intermediate-links-needed",
    # four couplings crowd the link, whose chart speaks of two legs; the letters say two; the proof
    # load of the link is for two
    follows={
        "crowded-link",
        "unrated-component",
        "designation-contradicts-build",
        "proof-load-short",
    },
)
def two_more_legs_on_a_pair(bench: Bench) -> str | None:
    if bench.loaded != 2:
        return None
    bench.legs[0]["count"] = 4
    bench.build["tag"]["legs"] = 4
    return bench.build["part"][0]["ref"]


# The chart and the proof load of the link are for two legs.
THREE = frozenset({"unrated-component", "proof-load-short"})


@fault("uneven-gathering", follows=THREE)
def legs_hung_three_and_one(bench: Bench) -> str | None:
    if bench.loaded != 4 or "adjust" in bench.legs[0]:
        return None
    extra = copy.deepcopy(bench.legs[1]) | {"ref": "c", "on": bench.legs[0]["on"], "count": 1}
    bench.legs[1]["count"] = 1
    bench.legs.append(extra)
    return bench.name


@fault("uneven-gathering", follows=THREE)
def all_three_legs_on_one_intermediate_link(bench: Bench) -> str | None:
    if bench.loaded != 3 or len(bench.build["part"]) != 3:
        return None
    bench.legs[1]["on"] = bench.legs[0]["on"]
    del bench.build["part"][2]
    return bench.name


@fault("uneven-gathering")
def each_of_three_legs_on_an_intermediate_link(bench: Bench) -> str | None:
    if bench.loaded != 3 or len(bench.build["part"]) != 3:
        return None
    bench.build["part"].append(bench.build["part"][1] | {"ref": "third"})
    odd = bench.single_out()
    assert odd is not None
    odd["on"] = "third"
    return bench.name


# Whole links of chain cannot make up for the missing link exactly.
@fault("uneven-gathering", follows={"legs-unmatched"})
def two_legs_on_the_master_and_two_below(bench: Bench) -> str | None:
    if bench.loaded != 4 or not plain_quad_or_triple(bench):
        return None
    hung_on_top(bench, bench.legs[1])
    del bench.build["part"][2]
    return bench.name


@fault("hook-does-not-enter")
def hook_saddle_wider_than_the_link(bench: Bench) -> str | None:
    width = Length.parse(top(bench).item[widest(top(bench))])
    shackle = bench.sling.hung_from.kind == "shackle"
    lifting_point(bench, **{"pin" if shackle else "saddle_width": bench.length(1.03 * width)})
    return top(bench).path


@fault("hook-does-not-enter")
def hook_throat_smaller_than_the_bar_of_the_link(bench: Bench) -> str | None:
    shackle = bench.sling.hung_from.kind == "shackle"
    throat = bench.length(0.95 * top(bench).sound.bar)
    lifting_point(bench, **{"jaw_width" if shackle else "throat": throat})
    return top(bench).path


@fault("hook-does-not-enter")
def hook_saddle_too_deep_for_the_link(bench: Bench) -> str | None:
    if bench.sling.hung_from.kind == "shackle":
        return None
    place = top(bench)
    height = place.sound.inside_length - seated(place)[1] + 3
    lifting_point(bench, saddle_height=bench.length(height))
    return place.path


@fault("hook-does-not-enter", follows=MOVED)  # the sling is shorter by as much
def top_link_too_short_for_the_saddle(bench: Bench) -> str | None:
    hung, place = bench.sling.hung_from, top(bench)
    assert hung is not None
    depth = hung.pin if hung.kind == "shackle" else hung.saddle_height
    length = depth + seated(place)[1] - 3
    return place.refit(inside_length=bench.length(length))


@fault("hook-does-not-enter", follows={"opening-too-small"})  # nor does the coupling go over it
def top_link_of_a_bar_too_thick_for_the_throat(bench: Bench) -> str | None:
    hung = bench.sling.hung_from
    assert hung is not None
    throat = hung.jaw_width if hung.kind == "shackle" else hung.throat
    return top(bench).refit(bar=bench.length(1.05 * throat))


@fault("hook-does-not-enter")
def sling_hung_from_the_next_larger_hook(bench: Bench) -> str | None:
    larger = {"hook-5": "hook-20", "hook-5t": "hook-20t"}.get(bench.duty["hung_from"])
    if larger is None:
        return None
    place, big = top(bench), bench.stock[larger]
    wide = Length.parse(big["saddle_width"]) >= Length.parse(place.item[widest(place)])
    long = Length.parse(big["saddle_height"]) + seated(place)[1] > place.sound.inside_length
    bench.duty["hung_from"] = bench.take(larger)
    return place.path if wide or long else None


def tight_in(bench: Bench, ratio: float) -> str | None:
    place, hung = top(bench), bench.sling.hung_from
    assert hung is not None
    width = Length.parse(place.item[widest(place)]) / ratio
    if hung.kind == "shackle":
        fits = width + seated(place)[1] < place.sound.inside_length
        lifting_point(bench, pin=bench.length(width))
        return place.path if fits else None
    lifting_point(bench, saddle_width=bench.length(width))
    return place.path


@fault("hook-tight")
def hook_saddle_nearly_as_wide_as_the_link(bench: Bench) -> str | None:
    return tight_in(bench, 1.02)


@fault("hook-tight")
def hook_saddle_a_little_too_wide(bench: Bench) -> str | None:
    return tight_in(bench, 1.17)


@fault("hook-tight", follows={"crowded-link"})  # it may be narrow for the couplings too
def top_link_hugs_the_hook(bench: Bench) -> str | None:
    place = top(bench)
    _, saddle = bench.figures.widths_at_hook(bench.gathering(place.path))
    return place.refit(**{widest(place): bench.length(1.1 * saddle)})


def opens_too_little(place: Place) -> str:
    link = place.above.part
    needed = link.get("flat") or link.bar
    return place.refit(opening=place.bench.length(0.95 * needed))


at_each(
    {"upper coupling": upper_coupling, "coupling of the branch": branch_coupling},
    "opening-too-small",
    "{} opens too little for its link",
    opens_too_little,
)


@fault("opening-too-small", follows={"hook-does-not-enter"})  # the thick bar stops the hook too
def link_of_the_legs_too_thick_for_their_coupling(bench: Bench) -> str | None:
    place = upper_coupling(bench)
    if place is None:
        return None
    link = next(one for one in gathered(bench) if one.path == place.above.path)
    link.refit(bar=bench.length(1.05 * place.sound.opening), flat=None)
    return place.path


# Reach


def recut(bench: Bench, leg: Toml, links: int) -> str:
    part = chain(bench, leg)
    assert part is not None
    part.entry["links"] += links
    return leg_path(leg)


def all_recut(links: int) -> Operator:
    def make(bench: Bench) -> str | None:
        paths = [recut(bench, leg, links) for leg in bench.legs]
        return paths[0]

    return make


for _links in (-3, 3, -10, 10):
    FAULTS.append(
        Fault(
            f"chain {abs(_links)} links too {'short' if _links < 0 else 'long'} in all legs",
            "reach-off",
            all_recut(_links),
            MOVED,  # and so are the settings
        )
    )


@fault("reach-off", follows=MOVED | {"legs-unmatched"})  # the others keep their length
def chain_of_one_leg_three_links_too_short(bench: Bench) -> str | None:
    leg = bench.single_out()
    return recut(bench, leg, -3) if leg else None


@fault("reach-off")
def reach_ordered_a_foot_or_half_a_metre_longer(bench: Bench) -> str | None:
    stated = Length.parse(bench.build["assembly"]["reach"])
    more = bench.length(stated + (304.8 if bench.us else 500))
    bench.build["assembly"]["reach"] = more
    bench.build["tag"]["reach"] = more
    return leg_path(bench.legs[0])


@fault("reach-off", follows={"legs-unmatched"})
def one_leg_on_the_master_without_more_chain(bench: Bench) -> str | None:
    """The leg that hangs higher reaches less far by the length of the link that it misses."""
    if bench.loaded != 3 or len(bench.build["part"]) != 3:
        return None
    bench.legs[1]["on"] = "top"
    del bench.build["part"][2]
    return leg_path(bench.legs[1])


def unlike(bench: Bench, sign: int) -> str | None:
    leg = bench.single_out()
    if leg is None:
        return None
    part = chain(bench, leg)
    assert part is not None
    allowed = matching_tolerance(max(bench.figures.reach(one) for one in bench.sling.legs))
    recut(bench, leg, sign * ceil(1.2 * allowed / part.sound.pitch))
    if sign > 0:
        return leg_path(leg)
    return None if "adjust" in leg else longest_other(bench, leg)


def longest_other(bench: Bench, leg: Toml) -> str:
    """The path of the leg that reaches furthest beside the short one."""
    others = [one for one in bench.legs if one is not leg]
    reach = {leg_path(one): bench.figures.reach(bench.leg(one)) for one in others}
    return max(reach, key=reach.__getitem__)


@fault("legs-unmatched", follows={"reach-off"})
def one_leg_longer_than_the_others(bench: Bench) -> str | None:
    return unlike(bench, +1)


@fault("legs-unmatched", follows={"reach-off"})
def one_leg_shorter_than_the_others(bench: Bench) -> str | None:
    return unlike(bench, -1)


@fault("legs-unmatched", follows={"reach-off"})
def hook_of_another_length_in_one_leg(bench: Bench) -> str | None:
    place = one_hook(bench)
    if place is None or place.item["kind"] != "sling-hook":
        return None
    other = place.entry["item"].replace("SH-", "LH-")
    longer = Length.parse(bench.stock[other]["effective_length"]) - place.sound.effective_length
    reach = max(bench.figures.reach(one) for one in bench.sling.legs) + longer
    place.put(other)
    return leg_path(place.leg) if longer > 1.02 * matching_tolerance(reach) else None


@fault("legs-unmatched")
def legs_ordered_alike_one_by_one_and_cut_unlike(bench: Bench) -> str | None:
    """Each leg has the reach of its own that the order gives to all of them."""
    odd = bench.single_out()
    if odd is None:
        return None
    reach, pitch = bench.figures.reach(chain(bench, odd).sound.leg), bench.sling.chain.pitch
    if pitch < 1.05 * matching_tolerance(reach + pitch) or "adjust" in odd:
        return None
    stated = bench.build["assembly"]["reach"]
    for leg in bench.legs:
        leg["reach"] = stated
    longer = reach <= Length.parse(stated) + pitch  # two pitches over is what may be
    recut(bench, odd, +1 if longer else -1)
    return leg_path(odd) if longer else longest_other(bench, odd)


# Hitch


# One straight leg carries less; and straight legs stand plumb.
@fault("hitch-legs-mismatch", follows=REDUCED | {"load-over-rating", "angle-too-steep-for-basis"})
def straight_hitch_with_several_legs(bench: Bench) -> str | None:
    bench.duty["hitch"] = "straight"
    return bench.name if bench.loaded > 1 else None


@fault("hitch-legs-mismatch")
def bridle_hitch_with_one_leg(bench: Bench) -> str | None:
    bench.duty.update({"hitch": "bridle", "angle": bench.angle(60)})
    return bench.name if bench.loaded == 1 else None


@fault("hitch-legs-mismatch")
def basket_hitch_with_legs_that_end_in_hooks(bench: Bench) -> str | None:
    bench.duty.update({"hitch": "basket", "angle": bench.angle(60)})
    return bench.name


@fault("hitch-legs-mismatch")
def choker_hitch_with_nothing_to_take_the_bight(bench: Bench) -> str | None:
    bench.duty.update({"hitch": "choker", "angle": bench.angle(60)})
    for leg in bench.legs:
        leg.pop("chokes_in", None)
    return bench.name


@fault("hitch-legs-mismatch")
def leg_choked_in_its_coupling(bench: Bench) -> str | None:
    path, place = choked(bench), lower_coupling(bench)
    if path is None or place is None:
        return None
    bench.duty["load"] = bench.load(0.5 * bench.figures.rating().stated)
    bench.legs[0]["chokes_in"] = place.entry["item"]
    return path


@fault("hitch-legs-mismatch")
def straight_hitch_with_a_choked_leg(bench: Bench) -> str | None:
    hitch = bench.duty["hitch"]
    path = choked(bench)
    bench.duty.update({"hitch": hitch})
    bench.duty.pop("choke_angle", None)
    return leg_path(bench.legs[0]) if path else None


# Repairs


def parted(bench: Bench, leg: Toml, between: list[str], share: float = 0.5) -> str | None:
    """A leg's chain in two lengths with these items between, cut to keep the reach ordered."""
    whole = chain(bench, leg)
    if whole is None:
        return None
    items = [bench.items[item] for item in between]
    more = sum(Length.parse(one.get("effective_length") or one["inside_length"]) for one in items)
    over = bench.figures.reach(whole.sound.leg) - Length.parse(bench.build["assembly"]["reach"])
    links = whole.entry["links"] - int((over + more) / whole.sound.pitch)
    at, upper = leg["parts"].index(whole.entry) + 1, round(share * links)
    whole.entry["links"] = upper
    entries = [{"item": item} for item in between]
    leg["parts"][at:at] = [*entries, {"item": whole.entry["item"], "links": links - upper}]
    return path_in(leg, entries[0])


def mended(bench: Bench, leg: Toml, share: float) -> str | None:
    """A leg's chain mended with a coupling like those that it has."""
    return parted(bench, leg, [lower_coupling(bench, leg).entry["item"]], share)


@fault("repair-coupling-in-chain", follows={"adjustment-runs-out"})  # the upper chain ends sooner
def chain_of_all_legs_mended_in_the_middle(bench: Bench) -> str | None:
    paths = [mended(bench, leg, 0.5) for leg in bench.legs]
    return paths[0]


@fault("repair-coupling-in-chain", follows={"legs-unmatched"})  # by part of a link
def chain_of_one_leg_mended(bench: Bench) -> str | None:
    leg = bench.single_out() or bench.legs[0]
    return mended(bench, leg, 0.8)


# What the tag says beside its ratings

for _key in ("manufacturer", "serial", "grade", "legs"):
    FAULTS.append(
        Fault(
            f"tag without {_key}",
            "tag-incomplete",
            lambda bench, key=_key: untagged(bench, key),
        )
    )
for _key in ("size", "reach"):
    FAULTS.append(
        Fault(
            f"tag without {_key}",
            "tag-incomplete",
            lambda bench, key=_key: untagged(bench, key) if bench.us else None,
        )
    )


def untagged(bench: Bench, key: str) -> str:
    del bench.build["tag"][key]
    return bench.name


@fault("tag-incomplete", level="note")
def tag_without_reach_where_it_is_only_wanted(bench: Bench) -> str | None:
    return None if bench.us else untagged(bench, "reach")


@fault("tag-incomplete")
def tag_without_any_rated_load(bench: Bench) -> str | None:
    return untagged(bench, "rating")


@fault("tag-incomplete")
def tag_row_without_its_angle(bench: Bench) -> str | None:
    if bench.loaded == 1:
        return None
    del bench.rows[0]["angle"]
    return bench.name


def mistagged(key: str, other: Callable[[Bench], Any]) -> Operator:
    def make(bench: Bench) -> str | None:
        bench.build["tag"][key] = other(bench)
        return bench.name

    return make


FAULTS += [
    Fault(f"tag of {what}", "tag-contradicts-build", mistagged(key, other))
    for what, key, other in (
        ("another grade", "grade", lambda bench: {100: 80, 80: 100}[bench.sling.chain.grade]),
        ("the next larger size", "size", lambda b: next_size(b, b.sling.chain.size, +1)),
        ("the next smaller size", "size", lambda b: next_size(b, b.sling.chain.size, -1)),
        ("a leg more", "legs", lambda bench: bench.loaded + 1),
        ("a leg less", "legs", lambda bench: bench.loaded - 1 or 2),
        ("another reach", "reach", lambda b: b.length(b.sling.build.assembly.reach + 305)),
        ("a reach an inch longer", "reach", lambda b: b.length(b.sling.build.assembly.reach + 25)),
    )
]


@fault("tag-contradicts-build")
def tag_of_another_reach_and_none_ordered(bench: Bench) -> str | None:
    del bench.build["assembly"]["reach"]
    bench.build["tag"]["reach"] = bench.length(2 * bench.figures.reach(bench.sling.legs[0]))
    return bench.name


@fault("tag-contradicts-build")
def tag_of_a_single_leg_on_a_bridle(bench: Bench) -> str | None:
    if bench.loaded == 1:
        return None
    single = bench.load(0.98 * bench.sling.chain.working_load_limit)
    bench.rows.append({"hitch": "straight", "load": single})
    return bench.name


@fault("tag-contradicts-build")
def tag_of_a_bridle_on_a_single_leg(bench: Bench) -> str | None:
    bench.rows[0] |= {"hitch": "bridle", "angle": bench.angle(45)}
    return bench.name if bench.loaded == 1 else None


@fault("tag-contradicts-build")
def legs_flatter_than_any_row_of_the_tag(bench: Bench) -> str | None:
    if bench.loaded == 1:
        return None
    flattest = min(row.angle.flattest for row in bench.sling.build.tag.rating)
    if flattest < 40:
        return None
    bench.duty["angle"] = bench.angle(flattest - 8)
    bench.duty["load"] = bench.load(0.5 * bench.figures.duty_rating().stated)
    return bench.name


# Proof


def proved(bench: Bench, place: str, kg: float) -> str:
    """Order this proof load and no other."""
    bench.build["proof"] = {f"{place}_load": bench.load(kg)}
    return bench.name


def multiple(bench: Bench, us: float, en: float) -> float:
    return (us if bench.us else en) * bench.sling.chain.working_load_limit


def master_proved(bench: Bench, share: float) -> str:
    """A share of the least proof load of the top link: 2, 4 or 6 times a leg, EN 2.5 times it."""
    legs = bench.figures.effective_legs()
    if bench.us:
        return proved(bench, "master", share * 2 * legs * bench.sling.chain.working_load_limit)
    section = bench.figures.rating(90 if legs == 1 else 45).stated
    return proved(bench, "master", share * 2.5 * section)


def lower_proved(bench: Bench, share: float) -> str | None:
    if len(bench.sling.gatherings) == 1:
        return None
    if bench.us:
        return proved(bench, "intermediate", share * multiple(bench, 4.0, 0))
    cell = bench.figures.cell(bench.sling.chain, 2, 45.0)
    return proved(bench, "intermediate", share * 2.5 * cell)


FAULTS += [
    Fault(f"proof load of {what}", rule, make)
    for what, rule, make in (
        (
            "the leg at one and a half times its limit",
            "proof-load-short",
            lambda bench: proved(bench, "leg", multiple(bench, 1.5, 1.5)),
        ),
        (
            "the leg by the other basis's multiple, short",
            "proof-load-short",
            lambda bench: None if bench.us else proved(bench, "leg", multiple(bench, 0, 2.0)),
        ),
        (
            "the leg by the other basis's multiple, too much",
            "proof-load-excess",
            lambda bench: proved(bench, "leg", multiple(bench, 2.5, 0)) if bench.us else None,
        ),
        (
            "the leg at four times its limit",
            "proof-load-excess",
            lambda bench: proved(bench, "leg", multiple(bench, 4.0, 4.0)),
        ),
        (
            "the top link 5 % short",
            "proof-load-short",
            lambda bench: master_proved(bench, 0.95),
        ),
        (
            "the top link as of one leg",
            "proof-load-short",
            lambda bench: (
                proved(bench, "master", multiple(bench, 2.0, 2.5)) if bench.loaded > 1 else None
            ),
        ),
        (
            "the top link a fifth too much",
            "proof-load-excess",
            lambda bench: master_proved(bench, 1.2),
        ),
        (
            "the intermediate link 5 % short",
            "proof-load-short",
            lambda bench: lower_proved(bench, 0.95),
        ),
        (
            "the intermediate link a fifth too much",
            "proof-load-excess",
            lambda bench: lower_proved(bench, 1.2),
        ),
    )
]


@fault("proof-load-short")
def proof_load_of_the_top_link_by_the_plate(bench: Bench) -> str | None:
    """Twice what the plate says at its steepest angle, as if a link were a leg."""
    if not bench.us or bench.loaded == 1:
        return None
    return proved(bench, "master", 2 * bench.rated(0).stated)


# Heat, edges, chokers and what the air holds

HOT = {True: "600 degF", False: "350 degC"}  # takes off 20 or 30 % (US), 25 % (EN)


@fault("load-over-rating", follows=HEAVY)
def full_load_lifted_hot(bench: Bench) -> str | None:
    bench.duty["temperature"] = {"high": HOT[bench.us]}
    return planned(bench, 0.98 * bench.figures.duty_rating().stated)


@fault("temperature-not-derated", follows=HEAVY | {"rigid-load-shared-evenly"})
def hot_duty_with_no_planned_load(bench: Bench) -> str | None:
    bench.duty["temperature"] = {"high": HOT[bench.us]}
    bench.duty.pop("load", None)
    return bench.name


for _us, _en in (("1,100 degF", "450 degC"), ("2,000 degF", "900 degC")):
    FAULTS.append(
        Fault(
            f"duty at {_us} or {_en}",
            "temperature-not-permitted",
            lambda bench, us=_us, en=_en: at_heat(bench, us, en),
        )
    )


def at_heat(bench: Bench, us: str, en: str) -> str:
    bench.duty["temperature"] = {"high": us if bench.us else en}
    return bench.name


@fault("temperature-not-permitted")
def heat_given_as_the_lowest_temperature(bench: Bench) -> str | None:
    bench.duty["temperature"] = {"low": "1,200 degF"}
    return bench.name


@fault("temperature-not-permitted")
def duty_in_deep_cold(bench: Bench) -> str | None:
    bench.duty["temperature"] = {"low": "-60 degC", "high": "0 degC"}
    return None if bench.us else bench.name


@fault("load-over-rating", follows=HEAVY)
def full_load_over_a_sharp_edge(bench: Bench) -> str | None:
    bench.duty["edge_radius"] = "2 mm"
    return None if bench.us else planned(bench, 0.98 * bench.figures.duty_rating().stated)


@fault("edge-not-derated", follows=HEAVY)
def sharp_edge_with_no_planned_load(bench: Bench) -> str | None:
    bench.duty["edge_radius"] = "5 mm"
    bench.duty.pop("load", None)
    return None if bench.us else bench.name


def choked(bench: Bench) -> str | None:
    """One leg laid round the load and hooked back on itself."""
    place = hook(bench)
    if bench.loaded > 1 or place is None:
        return None
    bench.duty.update({"hitch": "choker", "choke_angle": "130 deg"})
    bench.legs[0]["chokes_in"] = place.entry["item"]
    return bench.name


@fault("load-over-rating", follows=HEAVY)
def full_load_choked(bench: Bench) -> str | None:
    planned(bench, 0.98 * bench.figures.rating().stated)
    return choked(bench)


@fault("choker-not-derated", follows=HEAVY)
def choker_with_no_planned_load(bench: Bench) -> str | None:
    bench.duty.pop("load", None)
    return choked(bench)


for _air in ("acid", "pickling", "galvanizing"):
    FAULTS.append(
        Fault(
            f"chain in {_air}",
            "environment-not-permitted",
            lambda bench, air=_air: in_air(bench, air),
            level="warning",  # for chain the source is from memory
        )
    )


def in_air(bench: Bench, air: str) -> str:
    bench.duty["environment"] = ["outdoor", air]
    return leg_path(bench.legs[0])


def mended_with(bench: Bench, between: list[str]) -> str | None:
    return parted(bench, bench.single_out() or bench.legs[0], between)


def with_coupling(bench: Bench, *between: str) -> str | None:
    coupling = lower_coupling(bench).entry["item"]
    bench.legs[0].pop("adjust", None)
    return mended_with(bench, [coupling, *between, coupling])


SHORTER = {"pocket-unreachable", "reach-off", "legs-unmatched", "designation-contradicts-build"}


@fault("leg-not-ended", follows=SHORTER)  # the leg is shorter by the fitting
def lower_fitting_of_a_leg_left_off(bench: Bench) -> str | None:
    place = lower_coupling(bench)
    if place is None or place.leg is None or place.leg.get("chokes_in"):
        return None
    path = place.path
    if place.leg["parts"][-2:-1] != [place.entry]:
        return None
    place.leg["parts"].pop()
    return path


@fault(
    "repair-coupling-in-chain",  # and the two couplings hang in each other
    follows={"legs-unmatched", "designation-contradicts-build", "leg-not-ended"},
)
def chain_mended_with_two_couplings(bench: Bench) -> str | None:
    return with_coupling(bench)


@fault("repair-coupling-in-chain", follows={"legs-unmatched", "designation-contradicts-build"})
def chain_mended_with_an_end_link_between_couplings(bench: Bench) -> str | None:
    size, grade = bench.sling.chain.size, bench.sling.chain.item.sheet.grade
    links = (
        item["id"]
        for item in bench.stock.values()
        if item["kind"] == "end-link"
        and any(row["size"] == size and grade_of(row) == grade for row in item["chart"])
    )
    return with_coupling(bench, bench.take(next(links)))


@fault("repair-coupling-in-chain", follows={"legs-unmatched"})
def chain_mended_with_a_shackle(bench: Bench) -> str | None:
    if not bench.us or bench.sling.chain.grade != 80 or bench.sling.chain.size_mm > 13:
        return None
    return mended_with(bench, [bench.take("SK-3/4")])


# Letters


def lettered(bench: Bench, place: str, letter: str) -> str | None:
    """The designation with another letter at one place: legs, top or bottom."""
    written = bench.build["assembly"].get("designation")
    if written is None:
        return None
    start = 1 if written.startswith("A") else 0
    at = start + ("legs", "top", "bottom").index(place)
    if at >= len(written) or written[at] == letter or {written[at], letter} == {"L", "S"}:
        return None  # a sling hook with a latch goes by either letter
    bench.build["assembly"]["designation"] = written[:at] + letter + written[at + 1 :]
    return bench.name


for _place, _letter, _what in (
    ("legs", "S", "one leg"),
    ("legs", "D", "two legs"),
    ("legs", "T", "three legs"),
    ("legs", "Q", "four legs"),
    ("top", "P", "a pear link"),
    ("top", "O", "an oblong link"),
    ("bottom", "G", "grab hooks"),
    ("bottom", "F", "foundry hooks"),
    ("bottom", "S", "sling hooks"),
):
    FAULTS.append(
        Fault(
            f"letters for {_what}",
            "designation-contradicts-build",
            lambda bench, place=_place, letter=_letter: lettered(bench, place, letter),
        )
    )


@fault("designation-contradicts-build")
def letters_for_an_adjustable_sling(bench: Bench) -> str | None:
    written = bench.build["assembly"].get("designation", "A")
    bench.build["assembly"]["designation"] = "A" + written
    return None if written.startswith("A") else bench.name


# Adjustment


def adjustable(bench: Bench) -> tuple[Toml, Leg] | None:
    """The first leg that is shortened: its entry and the sound leg."""
    entry = next((one for one in bench.legs if "adjust" in one), None)
    return (entry, bench.leg(entry)) if entry else None


def set_to(bench: Bench, link: float) -> tuple[Toml, float] | None:
    """The entry that is shortened, and its reach with a link, or a point between, in the pocket."""
    found = adjustable(bench)
    if found is None:
        return None
    entry, leg = found
    reach = bench.figures.reach(leg)
    return entry, pocket_reach(reach, *bench.figures.pocket_geometry(leg), link)


def stated_first(bench: Bench) -> bool:
    found = adjustable(bench)
    return found is not None and bench.figures.stated_first_link(found[1]) is not None


def promised_too_early(bench: Bench, links: int) -> str | None:
    found = adjustable(bench)
    if found is None:
        return None
    entry, leg = found
    entry["adjust"]["first_link"] = bench.figures.first_link(leg) - links
    return leg_path(entry) if entry["adjust"]["first_link"] > 0 else None


def wanted_too_long(bench: Bench) -> str | None:
    """A setting that a link before the first would give, and not the full reach."""
    found = adjustable(bench)
    if found is None:
        return None
    entry, leg = found
    for link in range(bench.figures.first_link(leg) - 1, 0, -1):
        _, reach = set_to(bench, link)
        if reach < bench.figures.reach(leg) and bench.figures.wanted_link(leg, reach) == link:
            entry["adjust"]["reaches"] = [bench.length(reach)]
            return leg_path(entry)
    return None


def pocket_links_higher(bench: Bench, links: int) -> str | None:
    """A pocket so many links higher: what was a link in it is one that does not come up to it."""
    found = adjustable(bench)
    if found is None:
        return None
    entry, leg = found
    higher = links * leg.chain.pitch
    place = shortener(bench)
    if place is not None:
        place.refit(pocket_height=bench.length(place.sound.pocket_height + higher))
        return leg_path(entry)
    place = pocketed(bench)
    if place is None:
        return None
    height = bench.length(place.sound.pocket.height + higher)
    place.refit(pocket=place.item["pocket"] | {"height": height})
    return leg_path(entry)


def pocketed(bench: Bench) -> Place | None:
    return next((place for place in gathered(bench) if "pocket" in place.item), None)


def by_sheet(stated: bool, make: Operator) -> Operator:
    return lambda bench: make(bench) if stated_first(bench) == stated else None


def in_pocket(**changes: Any) -> Operator:
    """The first link with pockets, its pocket other in these data."""

    def make(bench: Bench) -> str | None:
        place = pocketed(bench)
        if place is None:
            return None
        place.refit(pocket=place.item["pocket"] | changes)
        return leg_path(adjustable(bench)[0])

    return make


for _name, _make in {
    "first link promised two links too early": lambda bench: promised_too_early(bench, 2),
    "first link promised one link too early": lambda bench: promised_too_early(bench, 1),
    "setting wanted before the first link": wanted_too_long,
}.items():
    FAULTS.append(Fault(f"{_name}, by the sheet", "pocket-unreachable", by_sheet(True, _make)))
    FAULTS.append(
        Fault(
            f"{_name}, by geometry",
            "pocket-unreachable",
            by_sheet(False, _make),
            level="warning",
        )
    )
FAULTS += [
    Fault("one pocket for two legs", "pocket-unreachable", in_pocket(count=1)),
    Fault("pocket first reached at link 20", "pocket-unreachable", in_pocket(first_link=20)),
    Fault(
        "pocket eight links higher",
        "pocket-unreachable",
        by_sheet(False, lambda bench: pocket_links_higher(bench, 8)),
        level="warning",
    ),
    Fault(
        "pocket eight links higher, by the sheet",
        "pocket-unreachable",
        by_sheet(True, lambda bench: pocket_links_higher(bench, 8)),
    ),
]


@fault("pocket-unreachable")
def setting_wanted_longer_than_the_sling(bench: Bench) -> str | None:
    found = adjustable(bench)
    if found is None:
        return None
    entry, leg = found
    entry["adjust"]["reaches"] = [bench.length(1.2 * bench.figures.reach(leg))]
    return leg_path(entry)


@fault("pocket-unreachable")
def all_four_legs_shortened_in_one_link(bench: Bench) -> str | None:
    if bench.loaded != 4 or pocketed(bench) is None:
        return None
    bench.legs[1]["adjust"]["pocket"] = bench.legs[0]["adjust"]["pocket"]
    return leg_path(bench.legs[0])


def wanted_between(share: float, tolerance: float | None) -> Operator:
    """A setting so much of a pitch past a link that can be set."""

    def make(bench: Bench) -> str | None:
        found = adjustable(bench)
        if found is None:
            return None
        entry, leg = found
        link = bench.figures.settings(leg)[3].link
        entry["adjust"]["reaches"] = [bench.length(set_to(bench, link + share)[1])]
        entry["adjust"].pop("tolerance")
        if tolerance is not None:
            entry["adjust"]["tolerance"] = bench.length(tolerance * leg.chain.pitch)
        return leg_path(entry)

    return make


FAULTS += [
    Fault(
        "setting half a link off, and a tight tolerance",
        "reach-between-links",
        wanted_between(0.5, 0.1),
    ),
    Fault(
        "setting a fifth of a link off, and a tighter tolerance",
        "reach-between-links",
        wanted_between(0.2, 0.15),
    ),
    Fault(
        "setting half a link off, and no tolerance",
        "reach-between-links",
        wanted_between(0.5, None),
        level="note",
    ),
]


def past_the_end(links: int) -> Operator:
    def make(bench: Bench) -> str | None:
        found = adjustable(bench)
        if found is None:
            return None
        entry, leg = found
        reach = set_to(bench, leg.chain.links - 1 + links)[1]
        entry["adjust"]["reaches"] = [bench.length(reach)]
        return leg_path(entry)

    return make


FAULTS += [
    Fault("setting one link past the chain", "adjustment-runs-out", past_the_end(1)),
    Fault("setting four links past the chain", "adjustment-runs-out", past_the_end(4)),
]


@fault("no-shortener")
def link_without_its_pockets(bench: Bench) -> str | None:
    place = pocketed(bench)
    if place is None:
        return None
    place.refit(pocket=None)
    return leg_path(adjustable(bench)[0])


@fault("no-shortener")
def settings_wanted_of_a_leg_that_cannot_be_shortened(bench: Bench) -> str | None:
    leg = bench.legs[0]
    if "adjust" in leg:
        return None
    shorter = 0.8 * bench.figures.reach(bench.leg(leg))
    leg["adjust"] = {"reaches": [bench.length(shorter)]}
    written = bench.build["assembly"].get("designation")
    if written:
        bench.build["assembly"]["designation"] = "A" + written
    return leg_path(leg)


@fault("no-shortener", follows={"pocket-unreachable"})
def sling_hook_in_place_of_the_grab_hook(bench: Bench) -> str | None:
    """The branch is longer with it, and so is every setting."""
    place = grab_hook(bench)
    if place is None:
        return None
    place.put(place.entry["item"].replace("GH-", "SH-"))
    return leg_path(place.leg)


@fault("no-shortener")
def swivel_in_place_of_the_shortener(bench: Bench) -> str | None:
    place = shortener(bench)
    other = place.entry["item"].replace("ST-", "SW-") if place else ""
    if place is None or other not in bench.stock:
        return None
    place.put(other)
    place.leg["adjust"]["pocket"] = other
    return leg_path(place.leg)


def pocket_for(step: int) -> Operator:
    def make(bench: Bench) -> str | None:
        return in_pocket(size=next_size(bench, bench.sling.chain.size, step))(bench)

    return make


def pocket_of_lower_grade(bench: Bench) -> str | None:
    return in_pocket(grade=LOWER_GRADE[bench.sling.chain.grade])(bench)


FAULTS += [
    Fault("pocket for the next larger chain", "pocket-size-mismatch", pocket_for(+1)),
    Fault("pocket for the next smaller chain", "pocket-size-mismatch", pocket_for(-1)),
    Fault("pocket of a lower grade", "pocket-size-mismatch", pocket_of_lower_grade),
]


def keeps(share: float) -> Callable[[Place], str]:
    def change(place: Place) -> str:
        place.refit(strength_factor=share)
        return leg_path(place.leg)

    return change


for _share in (0.75, 0.8, 0.95):
    at_each(
        {"shortener": shortener, "grab hook of the branch": grab_hook},
        "shortener-not-derated",
        "{} leaves the chain " + f"{100 * _share:.0f} %",
        keeps(_share),
    )
