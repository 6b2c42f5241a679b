"""Choosing items for what a build leaves open: each choice is held to the whole check.

A place whose item is `?` takes the kinds of item that can stand there. Places of one role, such as
the couplings at the tops of all legs, take the same item. Nothing is written.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import islice, product
from math import inf, prod
from pathlib import Path
from typing import Any, Literal

from attrs import evolve, field, frozen

from .assembling import assemble
from .calculation import Calculation
from .check import stock_for
from .finding import LEVELS, Key, Unstated
from .judging import Judge, Judgment, Placed
from .model import Build, LegPart
from .policy import Policy
from .problem import Unreadable
from .quantities import Load, Units
from .reading import read_build
from .sling import Sling
from .source import Document, read_document
from .stock import Item, NoSuchItem, Stock
from .tables import chain_size

NOT_CHOSEN = "?"
MOST_TRIALS = 1000  # house default: some seconds of work
CUT_TO_LENGTH = ("wire-rope", "web", "roundsling", "fiber-rope", "grommet")
ENDS = ("sling-hook", "self-locking-hook", "foundry-hook", "end-link", "grab-hook")
State = Literal["clears", "reported", "open", "falls"]


@frozen
class Role:
    """Places of a build that take the same item: where, the keys of their tables, the kinds."""

    where: str
    kinds: tuple[str, ...]
    keys: tuple[Key, ...] = ()


@frozen
class Trial:
    """One item for each role, and what the whole check says of the sling with them.

    `names` are what a build calls the items: with the catalog where two hold that id.
    `margins` has by role what the part allows over the planned load, None where one of them is
    not known. `problems` say why the sling cannot be hung together or judged. `aside` are the
    rules that are open whatever is chosen, for want of something that the build does not say.
    """

    items: tuple[Item, ...]
    names: tuple[str, ...]
    judgment: Judgment
    failing: tuple[Placed, ...]
    problems: tuple[str, ...]
    margins: tuple[float | None, ...]
    mass: Load | None
    rated: Load | None
    aside: frozenset[str] = frozenset()

    @property
    def open_rules(self) -> tuple[str, ...]:
        """The rules that cannot judge this choice, but for those set aside."""
        verdicts = self.judgment.verdicts.items()
        return tuple(name for name, v in verdicts if v == "open" and name not in self.aside)

    @property
    def lesser(self) -> tuple[Placed, ...]:
        """The findings that do not fail, permitted ones not counted."""
        found = self.judgment.findings
        return tuple(p for p in found if p not in self.failing and not p.finding.permit)

    @property
    def state(self) -> State:
        """`clears` where nothing was found and no rule is open, but for those set aside;
        `reported` where what was found does not fail."""
        if self.failing or self.problems:
            return "falls"
        if self.open_rules:
            return "open"
        return "reported" if self.lesser else "clears"


@frozen
class Filling:
    """The outcome for one build: the best trial, and for each role every item beside the best
    of the others, best first."""

    id: str
    file: str
    units: Units
    roles: tuple[Role, ...]
    best: Trial
    choices: tuple[tuple[Trial, ...], ...] = field(repr=False)
    tried: int
    possible: int

    @property
    def state(self) -> State:
        """What the rules say of the best choice; see `Trial.state`."""
        return self.best.state


def fill(
    path: str | Path,
    *,
    policy: Policy | str | Path | None = None,
    catalogs: Iterable[str | Path] = (),
    root: str | Path | None = None,
    house_rules: bool = False,
) -> Filling:
    """Items for every `?` of the build in a file.

    `house_rules` as for `riglint.check`. Raises Unreadable where the build cannot be read, leaves
    nothing open, or no catalog has an item of a kind that a place takes, and where the policy
    names rule modules that are not allowed to run.
    """
    judge, stock = stock_for(Path(path), policy, catalogs, root, house_rules=house_rules)
    document = read_document(Path(path), str(path))
    return _Search(document, judge, stock).run()


class _Search:
    def __init__(self, document: Document, judge: Judge, stock: Stock) -> None:
        self.document, self.judge, self.stock = document, judge, stock
        self.build = read_build(document)
        self.roles = tuple(_roles(self.build))
        self.known: dict[tuple[int, ...], Trial] = {}
        if not self.roles:
            raise self.cannot('nothing is left open: no part has the item "?"')
        self.items = [self.candidates(role) for role in self.roles]

    def cannot(self, text: str, key: Key = ()) -> Unreadable:
        return Unreadable(self.document.problem(key, text))

    def candidates(self, role: Role) -> list[Item]:
        """The items of the kinds that a role takes, those like the rest of the sling first."""
        every = [item for catalog in self.stock.catalogs for item in catalog.items]
        found = [item for item in every if item.kind in role.kinds]
        if not found:
            text = f"no catalog in use has anything for {role.where}: {' or '.join(role.kinds)}"
            raise self.cannot(text, role.keys[0])
        return sorted(found, key=lambda item: (*self.unlike(item), role.kinds.index(item.kind)))

    def unlike(self, item: Item) -> tuple[bool, bool]:
        """Whether the item is of another grade, and of another size, than what is chosen."""
        sizes, grades = self.chosen
        size, grade = item.get("size"), item.get("grade")
        return (
            bool(grades) and grade is not None and grade not in grades,
            bool(sizes) and size is not None and chain_size(size) not in sizes,
        )

    @cached_property
    def chosen(self) -> tuple[set[float | None], set[int]]:
        """The sizes in mm and the grades of the items that the legs and the tag name."""
        tag = self.build.tag
        sizes = {chain_size(tag.size)} if tag and tag.size else set()
        grades = {int(tag.grade)} if tag and tag.grade else set()
        for part in (part for leg in self.build.leg for part in leg.parts):
            try:
                item = self.stock.find(part.item)
            except NoSuchItem:
                continue
            sizes |= {chain_size(item.size)} if item.get("size") else set()
            grades |= {item.grade} if item.get("grade") else set()
        return sizes - {None}, grades

    def run(self) -> Filling:
        possible = prod(map(len, self.items))
        best = self.of_all() if possible <= MOST_TRIALS else self.by_turns()
        choices = [
            sorted((self.trial(one) for one in self.beside(best, n)), key=self.order)
            for n in range(len(self.roles))
        ]
        trial = self.trial(best)
        if trial.problems and all(one.problems for row in choices for one in row):
            raise self.cannot(trial.problems[0])
        aside = self.always_open()
        return Filling(
            id=self.build.assembly.id,
            file=self.document.file,
            units=self.units,
            roles=self.roles,
            best=evolve(trial, aside=aside),
            choices=tuple(tuple(evolve(one, aside=aside) for one in row) for row in choices),
            tried=len(self.known),
            possible=possible,
        )

    def always_open(self) -> frozenset[str]:
        """The rules that are open in every trial, and in none for want of a chosen item's datum."""
        judged = [trial for trial in self.known.values() if not trial.problems]
        rules = [set(trial.open_rules) - set(_waiting_for_items(trial)) for trial in judged]
        return frozenset(set.intersection(*rules)) if rules else frozenset()

    @property
    def units(self) -> Units:
        practice = self.judge.policy.practice
        return Sling(self.build, self.document, practice, self.build.duty, None).units

    def of_all(self) -> tuple[int, ...]:
        return min(product(*(range(len(items)) for items in self.items)), key=self.order_of)

    def by_turns(self) -> tuple[int, ...]:
        """The best item of each role beside those of the others, until none gets better."""
        best = (0,) * len(self.roles)
        for _ in range(MOST_TRIALS // sum(map(len, self.items)) or 1):
            before = best
            for n in range(len(self.roles)):
                best = min((best, *self.beside(best, n)), key=self.order_of)
            if best == before:
                break
        return best

    def beside(self, chosen: tuple[int, ...], n: int) -> Iterator[tuple[int, ...]]:
        """Every item of a role beside the chosen ones of the others; at most so many."""
        for index in islice(range(len(self.items[n])), MOST_TRIALS):
            yield (*chosen[:n], index, *chosen[n + 1 :])

    def order_of(self, chosen: tuple[int, ...]) -> tuple[Any, ...]:
        return self.order(self.trial(chosen))

    def order(self, trial: Trial) -> tuple[Any, ...]:
        """Best first: fewest faults, open rules, warnings and notes; then the usual kinds, the
        margins nearest above 1, the lightest; the name at last."""
        over = sum(margin - 1 for margin in trial.margins if margin is not None)
        lesser = [trial.judgment.count(level) for level in LEVELS[1:]]
        kinds = [r.kinds.index(i.kind) for r, i in zip(self.roles, trial.items, strict=True)]
        return (
            len(trial.problems),
            len(trial.failing),
            len(trial.open_rules),
            *lesser,
            sum(kinds),
            round(over, 6),
            round(trial.mass, 6) if trial.mass is not None else inf,
            trial.names,
        )

    def trial(self, chosen: tuple[int, ...]) -> Trial:
        if chosen not in self.known:
            items = tuple(self.items[n][index] for n, index in enumerate(chosen))
            self.known[chosen] = self.tried(items)
        return self.known[chosen]

    def tried(self, items: tuple[Item, ...]) -> Trial:
        """The whole check of the sling with these items."""
        names = tuple(map(self.name, items))
        document, policy = self.filled(names), self.judge.policy
        nothing = (None,) * len(items)
        try:
            build = read_build(document)
            sling = assemble(build, document, self.stock, policy.practice, policy.duty)
        except Unreadable as error:
            said = tuple(problem.message for problem in error.problems)
            return Trial(items, names, Judgment(), (), said, nothing, None, None)
        figures = Calculation(sling)
        judgment = self.judge.of_sling(sling, figures)
        mass, rated = _known(figures.mass), _known(figures.rating)
        return Trial(
            items,
            names,
            judgment,
            tuple(p for p in judgment.findings if self.fails(p)),
            tuple(problem.message for problem in judgment.problems),
            tuple(self.margins(figures)),
            None if mass is None else Load(mass),
            rated.load if rated else None,
        )

    def filled(self, names: Sequence[str]) -> Document:
        values = copy.deepcopy(self.document.values)
        for role, name in zip(self.roles, names, strict=True):
            for key in role.keys:
                table: Any = values
                for step in key:
                    table = table[step]
                table["item"] = name
        return evolve(self.document, values=values)

    def name(self, item: Item) -> str:
        """The name that a build gives the item."""
        try:
            self.stock.find(item.id)
        except NoSuchItem:
            return f"{item.catalog.id}:{item.id}"
        return item.id

    def fails(self, placed: Placed) -> bool:
        """An error always fails; a lower level where the policy says so."""
        level = placed.finding.level or "error"
        named = [LEVELS.index(what) for what in self.judge.policy.fail_on if what in LEVELS]
        return not placed.finding.permit and LEVELS.index(level) <= max(named, default=0)

    def margins(self, figures: Calculation) -> Iterator[float | None]:
        """Of each role, what its parts allow in the duty over the planned load; the least."""
        load, rating = figures.sling.duty.load, _known(figures.duty_rating)
        for role in self.roles:
            keys = {(*key, "item") for key in role.keys}
            paths = [part.path for part in figures.sling.parts if part.key in keys]
            if not load or rating is None or not all(path in rating.allowed for path in paths):
                yield None
            else:
                yield min((rating.allowed[path] for path in paths), default=inf) / load


def _waiting_for_items(trial: Trial) -> Iterator[str]:
    chosen = {item.id for item in trial.items}
    return (gap.rule for gap in trial.judgment.missing if gap.item in chosen)


def _known(compute: Any) -> Any:
    try:
        return compute()
    except Unstated:
        return None


# Which kinds a place takes


def _roles(build: Build) -> Iterator[Role]:
    """The places that are left open, those of one role together, in the order of the file."""
    roles: dict[Role, list[Key]] = {}
    for role, key in (*_gathering_places(build), *_leg_places(build)):
        roles.setdefault(role, []).append(key)
    for role, keys in roles.items():
        yield evolve(role, keys=tuple(keys))


def _gathering_places(build: Build) -> Iterator[tuple[Role, Key]]:
    named = [leg.on or "" for leg in build.leg] + [part.on or "" for part in build.part]
    for index, part in enumerate(build.part):
        if part.item != NOT_CHOSEN:
            continue
        if part.on:
            role = Role("what hangs on the top link", ("intermediate-link",))
        elif any(name.startswith(f"{part.ref}/") for name in named):
            role = Role("the top link", ("link-assembly",))
        else:
            role = Role("the top link", ("master-link",))
        yield role, ("part", index)


def _leg_places(build: Build) -> Iterator[tuple[Role, Key]]:
    for index, leg in enumerate(build.leg):
        yield from _row(leg.parts, ("leg", index, "parts"), "each leg")
        if leg.adjust and leg.adjust.branch:
            key = ("leg", index, "adjust", "branch")
            yield from _row(leg.adjust.branch, key, "each branch")


def _row(parts: tuple[LegPart, ...], key: Key, of: str) -> Iterator[tuple[Role, Key]]:
    for index, part in enumerate(parts):
        if part.item == NOT_CHOSEN:
            yield _role(parts, index, of), (*key, index)


def _role(parts: tuple[LegPart, ...], index: int, of: str) -> Role:
    part, last = parts[index], len(parts) - 1
    if part.links is not None:
        return Role(f"the chain of {of}", ("chain",))
    if part.length is not None:
        return Role(f"what {of} is cut from", CUT_TO_LENGTH)
    if index == last and index > 0:
        ends = ("grab-hook", "shortener") if of == "each branch" else ENDS
        return Role(f"the lower end of {of}", ends)
    beside = parts[max(index - 1, 0) : index + 2]
    where = f"part {index + 1} of {of}, from the top"
    if any(one.links is not None for one in beside):
        return Role(where, ("coupling-link",))
    if any(one.length is not None for one in beside):
        return Role(where, ("eye", "coupling-link"))
    return Role(where, ("shortener", "swivel", "coupling-link"))
