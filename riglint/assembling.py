"""Hanging a build's parts together: items by id, what hangs on what, and what cannot hang."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar

from .finding import Key
from .model import HOOK_KINDS, LEG_KINDS, Build, Duty, LegEntry, LegPart, PartEntry, Practice
from .problem import MORE_PROBLEMS, MOST_PROBLEMS, Problem, Unreadable
from .sling import Gathering, Leg, Part, Sling, with_defaults
from .source import Document, nearest, pointer
from .stock import Item, NoSuchItem, Stock

T = TypeVar("T")
MOST_PLACES = 1000
MOST_DEEP = 128
MOST_ENTRIES, MOST_PARTS, MOST_PERMITS = 1000, 4000, 250  # time grows with their square
HUNG_FROM = "hung_from"
CANNOT_GATHER = HOOK_KINDS | LEG_KINDS | {"coupling-link", "shortener", "eye", "crane-hook"}


def assemble(
    build: Build,
    document: Document,
    stock: Stock,
    practice: Practice | None = None,
    defaults: Duty | None = None,
) -> Sling:
    """The sling that a build describes.

    Raises Unreadable with every fault that keeps the parts from hanging together: unknown or
    ambiguous items, refs used twice, loops, a part that hangs on nothing or holds nothing.
    """
    return _Assembler(build, document, stock).run(practice or Practice(), defaults or Duty())


class _Assembler:
    def __init__(self, build: Build, document: Document, stock: Stock) -> None:
        self.build, self.document, self.stock = build, document, stock
        self.problems: list[Problem] = []
        self.hung: dict[str, Gathering] = {}
        self.depths: dict[str, int] = {}

    def run(self, practice: Practice, defaults: Duty) -> Sling:
        duty = with_defaults(self.build.duty, defaults)
        hung_from = self.item(duty.hung_from, ("duty", "hung_from")) if duty.hung_from else None
        self.sling = Sling(self.build, self.document, practice, duty, hung_from)
        self.check_names()
        for entry, key in self.in_hanging_order():
            self.hang_part(entry, key)
        for index, leg in enumerate(self.build.leg):
            self.hang_leg(leg, ("leg", index))
        self.hold_spreaders()
        self.check_used()
        self.check_geometry()
        if self.problems:
            raise Unreadable(*self.problems)
        self.sling.complete()
        return self.sling

    def wrong(self, key: Key, message: str) -> None:
        if len(self.problems) >= MOST_PROBLEMS:
            return
        if len(self.problems) == MOST_PROBLEMS - 1:
            message = MORE_PROBLEMS
        elif self.document.of_program:  # there is no line to show what is meant
            message = f"{pointer(key)}: {message}" if key else message
        self.problems.append(self.document.problem(key, message))

    def item(self, name: str, key: Key) -> Item | None:
        if len(self.problems) >= MOST_PROBLEMS:
            return None  # to look for the nearest name of each takes long
        try:
            return self.stock.find(name)
        except NoSuchItem as error:
            self.wrong(key, str(error))
            return None

    def check_names(self) -> None:
        if not self.build.leg:
            self.wrong((), "the build has no [[leg]]: nothing carries the load")
        seen: set[str] = set()
        named: list[tuple[str, Key]] = [
            (entry.ref, ("part", n)) for n, entry in enumerate(self.build.part)
        ]
        named += [(ref, ("leg", n)) for n, leg in enumerate(self.build.leg) for ref in refs_of(leg)]
        for ref, key in named:
            if ref in seen:
                self.wrong((*key, "ref"), f"the ref {ref} is used twice")
            seen.add(ref)
        for what, count, most in (
            ("[[part]]", len(self.build.part), MOST_ENTRIES),
            ("[[leg]]", len(self.build.leg), MOST_ENTRIES),
            ("[[deviation_permit]]", len(self.build.deviation_permit), MOST_PERMITS),
            ("parts of legs", sum(len(leg.parts) for leg in self.build.leg), MOST_PARTS),
        ):
            if count > most:
                text = f"{count:,} {what} are more than the {most:,} that are read"
                raise Unreadable(Problem(self.document.file, text))
        places = sum(leg.count for leg in self.build.leg)
        if places > MOST_PLACES:
            self.wrong(("leg",), f"{places:,} legs are more than the {MOST_PLACES:,} that are read")

    def in_hanging_order(self) -> Iterator[tuple[PartEntry, Key]]:
        """The parts so that each comes after what it hangs on; a loop is reported."""
        waiting: dict[str, tuple[PartEntry, Key]] = {
            entry.ref: (entry, ("part", n)) for n, entry in enumerate(self.build.part)
        }
        known = set(waiting)
        below: dict[str, list[str]] = {}
        for ref, (entry, _) in waiting.items():
            below.setdefault(_root(entry.on) or "", []).append(ref)
        ready: list[str] = [
            ref for above, refs in below.items() if above not in known for ref in refs
        ]
        while ready:
            for ref in sorted(ready):
                entry, key = waiting.pop(ref)
                if entry.on and _root(entry.on) not in known:
                    self.hangs_on_nothing(entry.ref, entry.on, (*key, "on"), known)
                yield entry, key
            ready = [lower for ref in ready for lower in below.get(ref, ())]
        if waiting:
            entry, key = next(iter(waiting.values()))
            names = _some(sorted(waiting))
            self.wrong((*key, "on"), f"these parts hang on each other in a loop: {names}")

    def hangs_on_nothing(self, ref: str, on: str, key: Key, known: Iterable[str]) -> None:
        close = nearest(on, known)
        hint = f"; did you mean {close}?" if close else ""
        self.wrong(key, f"{ref} hangs on {on[:60]}, and there is no part of that name{hint}")

    def hang_part(self, entry: PartEntry, key: tuple[str | int, ...]) -> None:
        item = self.item(entry.item, (*key, "item"))
        above = self.held(entry.ref, entry.on, (*key, "on")) if entry.on else None
        if item is None or (entry.on and above is None):
            return
        if item.kind in CANNOT_GATHER:
            text = f"{item.id} is {item.a_kind}, which gathers no legs: it belongs in a leg's parts"
            self.wrong((*key, "item"), text)
            return
        if item.kind != "link-assembly":
            self.check_pin(entry, item, key)
            at = (*key, "item")
            part = Part(entry.ref, item, self.sling, at, item.sheet, pin_in=entry.pin_in)
            self.hang(part, above, entry.on)
            return
        self.hang_assembly(entry, item, key, above)

    def hang_assembly(
        self, entry: PartEntry, whole: Item, key: tuple[str | int, ...], above: Gathering | None
    ) -> None:
        if not whole.sheet.links:
            self.wrong((*key, "item"), f"the link-assembly {whole.id} names no links")
        names = [link.name for link in whole.sheet.links]
        for name in sorted({name for name in names if names.count(name) > 1}):
            self.wrong(
                (*key, "item"),
                f"the link-assembly {whole.id} names a link {name} that is used twice",
            )
        for link in whole.sheet.links:
            item = self.item(link.item, (*key, "item"))
            if item is None:
                continue
            if item.kind in CANNOT_GATHER or item.kind == "link-assembly":
                text = f"the link-assembly {whole.id} names {item.id}, which is no link"
                self.wrong((*key, "item"), text)
                continue
            path = f"{entry.ref}/{link.name}"
            part = Part(path, item, self.sling, (*key, "item"), item.sheet, assembly=whole)
            first = link is whole.sheet.links[0]
            hung = self.hang(part, above, entry.on if first else None)
            if first:
                above = self.hung[entry.ref] = hung

    def hang(self, part: Part, above: Gathering | None, on: str | None = None) -> Gathering:
        port = (on or "").partition("/")[2] if above and above.ports else ""
        gathering = Gathering(part, above, port=port or None)
        depth = self.depths[part.path] = 1 + (self.depths[above.path] if above else 0)
        if depth == MOST_DEEP + 1:
            self.wrong(part.key, f"more than {MOST_DEEP} parts hang on one another")
        self.hung[part.path] = gathering
        _add(self.sling.gatherings, gathering)
        if above is not None:
            _add(above.below, gathering)
        return gathering

    def hang_leg(self, entry: LegEntry, key: tuple[str | int, ...]) -> None:
        on = self.held(entry.ref, entry.on, (*key, "on")) if entry.on else None
        if not entry.parts:
            self.wrong((*key, "parts"), f"the leg {entry.ref} has no parts")
            return
        to = self.end_of(entry, key)
        leg = Leg(refs_of(entry), entry, self.sling, key, on, to)
        names: dict[str, int] = {}
        parts = self.leg_parts(leg, entry.parts, (*key, "parts"), names)
        branch = self.branch(leg, entry, (*key, "adjust"), names)
        leg = self.with_parts(leg, parts, branch, (*key, "adjust", "pocket"))
        self.check_ends(leg, key)
        _add(self.sling.legs, leg)
        if on is not None:
            _add(on.own_legs, leg)

    def end_of(self, entry: LegEntry, key: Key) -> Gathering | None:
        """What the lower end of a leg hangs on or holds."""
        if not entry.to:
            return None
        return self.held(f"the lower end of {entry.ref}", entry.to, (*key, "to"))

    def held(self, who: str, name: str, key: Key) -> Gathering | None:
        """The part that a leg's end hangs on; of a spreader the port must be there too."""
        if name == HUNG_FROM and name not in self.hung:
            return None  # the lower end goes back to what the sling hangs from
        found = self.hung.get(name) or self.hung.get(_root(name) or "")
        if found is None or (name not in self.hung and found.part.kind != "spreader"):
            if _root(name) not in {p.ref for p in self.build.part} or self.hung.get(name, found):
                self.hangs_on_nothing(who, name, key, self.hung)
            return None
        ports = [port.name for port in found.ports]
        port = name.partition("/")[2]
        if found.part.kind == "spreader" and ports and port not in ports:
            close = nearest(port, ports) or ports[0]
            said = f"has no port {port[:60]}" if port else "has several ports"
            self.wrong(key, f"{who} hangs on {name[:60]}, which {said}; write {found.path}/{close}")
            return None
        return found

    def hold_spreaders(self) -> None:
        """Let each spreader know the legs that it hangs by."""
        for leg in self.sling.legs:
            below = leg.to
            if below is None or below.part.kind != "spreader":
                continue
            if leg.on is below or _hangs_under(leg.on, below):
                continue
            object.__setattr__(leg, "holds", below)
            _add(below.held_by, leg)
        for gathering in self.sling.gatherings:
            if _holds_itself(gathering):
                self.wrong(gathering.key, f"{gathering.path} hangs on itself by its own legs")
                return

    def check_geometry(self) -> None:
        """The pick points of a load are those of the legs, each once."""
        geometry = self.sling.duty.load_geometry
        if geometry is None or self.problems:
            return
        refs = {ref for leg in self.sling.bearing_legs for ref in leg.refs}
        key: Key = ("duty", "load_geometry")
        seen: set[str] = set()
        for index, pick in enumerate(geometry.pick_points):
            place = (*key, "pick_points", index, "leg")
            if pick.leg not in refs:
                close = nearest(pick.leg, refs)
                hint = f"; did you mean {close}?" if close else ""
                self.wrong(place, f"there is no leg {pick.leg[:60]} to pick with{hint}")
            elif pick.leg in seen:
                self.wrong(place, f"the leg {pick.leg} picks twice")
            seen.add(pick.leg)
        for ref in sorted(refs - seen):
            self.wrong((*key, "pick_points"), f"the leg {ref} has no pick point")
        pockets = {ref for leg in self.sling.bearing_legs if can_be_set(leg) for ref in leg.refs}
        for ref in sorted(set(geometry.pocket_links) - pockets):
            why = "is not adjustable" if ref in refs else "is not there"
            self.wrong((*key, "pocket_links", ref), f"the leg {ref[:60]} {why}")

    def with_parts(
        self, leg: Leg, parts: list[Part], branch: list[Part], key: tuple[str | int, ...]
    ) -> Leg:
        # parts point back at their leg, so the frozen leg is completed in place, once, here
        object.__setattr__(leg, "parts", tuple(parts))
        object.__setattr__(leg, "branch", tuple(branch))
        if leg.adjust and leg.adjust.on:
            object.__setattr__(leg, "branch_on", self.hung.get(leg.adjust.on))
        if leg.adjust and leg.adjust.pocket:
            object.__setattr__(leg, "pocket", self.pocket(leg, leg.adjust.pocket, key))
        return leg

    def branch(
        self, leg: Leg, entry: LegEntry, key: tuple[str | int, ...], names: dict[str, int]
    ) -> list[Part]:
        adjust = entry.adjust
        if adjust is None or not (adjust.branch or adjust.on):
            return []
        if not adjust.branch:
            self.wrong(
                key, f"{entry.ref}: adjust.on names where a branch hangs, and no branch is given"
            )
        elif adjust.on is None or adjust.on not in self.hung:
            self.hangs_on_nothing(
                f"the branch of {entry.ref}", adjust.on or "nothing", key, self.hung
            )
        if adjust.pocket:
            self.wrong(
                key, f"{entry.ref}: adjust has a pocket and a branch; it takes one of the two"
            )
        return self.leg_parts(leg, adjust.branch, (*key, "branch"), names, in_branch=True)

    def leg_parts(
        self,
        leg: Leg,
        entries: tuple[LegPart, ...],
        key: tuple[str | int, ...],
        names: dict[str, int],
        *,
        in_branch: bool = False,
    ) -> list[Part]:
        parts = []
        for index, entry in enumerate(entries):
            item = self.item(entry.item, (*key, index, "item"))
            if item is None:
                continue
            self.check_measure(entry, item, (*key, index))
            self.check_pin(entry, item, (*key, index))
            count = names[item.id] = names.get(item.id, 0) + 1
            path = f"{leg.path}/{item.id}" + (f"#{count}" if count > 1 else "")
            parts.append(
                Part(
                    path,
                    item,
                    self.sling,
                    (*key, index, "item"),
                    item.sheet,
                    leg,
                    entry.links,
                    entry.length,
                    in_branch,
                    pin_in=entry.pin_in,
                )
            )
        return parts

    def check_pin(self, entry: PartEntry | LegPart, item: Item, key: Key) -> None:
        if entry.pin_in is not None and item.kind != "shackle":
            self.wrong((*key, "pin_in"), f"{item.id} is {item.a_kind}: only a shackle has a pin")

    def check_measure(self, entry: LegPart, item: Item, key: tuple[str | int, ...]) -> None:
        by_links = item.kind == "chain"
        by_length = item.kind in LEG_KINDS - {"chain"}
        if by_links and entry.links is None:
            self.wrong(key, f"{item.id} is chain: say how many links, as in links = 80")
        if by_length and entry.length is None:
            self.wrong(key, f'{item.id} is {item.kind}: say its length, as in length = "10 ft"')
        if entry.links is not None and not by_links:
            self.wrong((*key, "links"), f"{item.id} is {item.kind}: only chain is cut by links")
        if entry.length is not None and not by_length:
            self.wrong((*key, "length"), f"{item.id} is {item.kind}: it is not cut to a length")

    def pocket(self, leg: Leg, name: str, key: Key) -> Part | None:
        if name in self.hung:
            return self.hung[name].part
        own = next((p for p in leg.parts if name in (p.item.id, p.path.partition("/")[2])), None)
        if own is None:
            known = [*self.hung, *(part.item.id for part in leg.parts)]
            close = nearest(name, known)
            hint = f"; did you mean {close}?" if close else ""
            self.wrong(key, f"{leg.path} has no pocket {name[:60]}: no part and no shortener{hint}")
        return own

    def check_ends(self, leg: Leg, key: tuple[str | int, ...]) -> None:
        entry = leg.entry
        eye = next((part for part in leg.parts if part.kind == "eye"), None)
        if entry.endless and eye is not None:
            self.wrong((*key, "endless"), f"{entry.ref} is endless, and {eye.item.id} is an end")
        if entry.chokes_in and all(entry.chokes_in != part.item.id for part in leg.parts):
            self.wrong((*key, "chokes_in"), f"{entry.ref} has no part {entry.chokes_in[:60]}")

    def check_used(self) -> None:
        if self.problems:
            return
        for gathering in self.sling.gatherings:
            branched = any(leg.branch_on is gathering for leg in self.sling.legs)
            if not gathering.loaded_legs and not branched:
                self.wrong(gathering.key, f"nothing hangs on {gathering.path}")


def can_be_set(leg: Leg) -> bool:
    """Whether a leg has something to lay its chain into."""
    return leg.pocket is not None or bool(leg.branch)


def _hangs_under(gathering: Gathering | None, above: Gathering) -> bool:
    while gathering is not None and gathering is not above:
        gathering = gathering.above
    return gathering is above


def _holds_itself(spreader: Gathering) -> bool:
    """Whether a spreader's own legs hang, by whatever way, on that spreader."""
    waiting, seen = [spreader], set()
    while waiting:
        for leg in waiting.pop().held_by:
            up = leg.on
            while up is not None:
                if up is spreader:
                    return True
                if id(up) not in seen:
                    seen.add(id(up))
                    waiting.append(up)
                up = up.above
    return False


def refs_of(entry: LegEntry) -> tuple[str, ...]:
    """The refs of the identical legs of an entry: `a` alone, or `a1`, `a2`, ... for a count."""
    if entry.count == 1:
        return (entry.ref,)
    return tuple(f"{entry.ref}{n}" for n in range(1, min(entry.count, MOST_PLACES) + 1))


def _some(names: list[str]) -> str:
    return ", ".join(names[:10]) + (", ..." if len(names) > 10 else "")


def _add(where: Sequence[T], one: T) -> None:
    """Add to a list of the sling, which is one until the sling is complete."""
    assert isinstance(where, list)
    where.append(one)


def _root(name: str | None) -> str | None:
    return name.partition("/")[0] if name else name
