"""Catalog items by id. Asking one for a datum that its sheet leaves out raises `Unstated`."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any, Generic, TypeVar, overload

from attrs import field, frozen

from .finding import Finding, Key, Unstated
from .model import (
    Basis,
    CatalogFile,
    ChartRow,
    Grade,
    ItemSheet,
    Pocket,
)
from .quantities import METRIC_UNITS, US_UNITS, Length, Load, Offset, Units
from .source import nearest
from .tables import chain_size

T = TypeVar("T")


class Datum(Generic[T]):
    """A datum of a sheet, read through: the value, or `Unstated` where the sheet has none."""

    name: str

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    @overload
    def __get__(self, holder: None, owner: type) -> Datum[T]: ...
    @overload
    def __get__(self, holder: Sheet, owner: type) -> T: ...
    def __get__(self, holder: Sheet | None, owner: type) -> T | Datum[T]:
        if holder is None:
            return self
        value: T | None = getattr(holder.sheet, self.name)
        if value is None:
            raise holder.unstated(self.name)
        return value


class Sheet:
    """The data of an item's sheet as attributes; each raises `Unstated` where it is left out."""

    __slots__ = ()

    @property
    def sheet(self) -> ItemSheet:
        """What its catalog states of it, as written."""
        raise NotImplementedError  # pragma: no cover

    def unstated(self, datum: str) -> Unstated:
        """The `Unstated` to raise for a datum of this item."""
        raise NotImplementedError  # pragma: no cover

    steel = Datum[str]()
    process = Datum[str]()
    grade = Datum[Grade]()
    size = Datum[str]()
    design_factor = Datum[float]()
    working_load_limit = Datum[Load]()
    mass = Datum[Load]()
    shape = Datum[str]()
    bar = Datum[Length]()
    inside_length = Datum[Length]()
    inside_width = Datum[Length]()
    top_width = Datum[Length]()
    pocket = Datum[Pocket]()
    pitch = Datum[Length]()
    opening = Datum[Length]()
    seat_width = Datum[Length]()
    seat_depth = Datum[Length]()
    effective_length = Datum[Length]()
    throat = Datum[Length]()
    seat_diameter = Datum[Length]()
    strength_factor = Datum[float]()
    pocket_height = Datum[Offset]()
    saddle_width = Datum[Length]()
    saddle_height = Datum[Length]()
    bow_width = Datum[Length]()
    jaw_width = Datum[Length]()
    pin = Datum[Length]()
    diameter = Datum[Length]()
    breaking_load = Datum[Load]()
    efficiency = Datum[float]()
    width = Datum[Length]()
    thickness = Datum[Length]()
    core = Datum[str]()
    splice = Datum[str]()
    rope_grade = Datum[str]()
    form = Datum[str]()
    material = Datum[str]()
    eye_length = Datum[Length]()
    eye_width = Datum[Length]()

    def get(self, datum: str) -> Any:
        """A datum that may rightly be left out: its value, or None."""
        return getattr(self.sheet, datum)

    @property
    def kind(self) -> str:
        """What it is: `chain`, `master-link`, `sling-hook` and so on."""
        return self.sheet.kind

    @property
    def a_kind(self) -> str:
        """The kind in words with its article: a sling hook, an end link."""
        words = self.sheet.kind.replace("-", " ")
        return f"an {words}" if words[0] in "aeiou" else f"a {words}"

    @property
    def chart(self) -> tuple[ChartRow, ...]:
        """The uses that its sheet gives limits for."""
        return self.sheet.chart

    @property
    def size_mm(self) -> float:
        """The millimetre size that the trade's size name stands for (3/8 in chain is 10 mm).

        Raises Unstated where the sheet has no size, or one that is no length.
        """
        mm = chain_size(self.size)
        if mm is None:
            raise self.unstated("size")
        return mm


@frozen(eq=False)
class Item(Sheet):
    """One catalog item: its sheet, and the catalog that it stands in."""

    sheet: ItemSheet = field(repr=lambda sheet: sheet.id)
    catalog: Catalog = field(repr=False)
    index: int = field(repr=False)

    @property
    def id(self) -> str:
        """Its name, unique in its catalog."""
        return self.sheet.id

    @property
    def path(self) -> str:
        """Its id: where findings about it are."""
        return self.sheet.id

    @property
    def key(self) -> Key:
        """Where it stands in its catalog's file."""
        return ("item", self.index)

    def unstated(self, datum: str) -> Unstated:
        """The `Unstated` to raise for a datum that its sheet leaves out."""
        return Unstated(datum, self.id, self.id, f"/item/{self.index}/{datum}")

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about this item; see `Part.finding`."""
        return finding_at(self, self.catalog.units, message, facts)


@frozen(eq=False)
class Catalog:
    """A catalog as read, with its items in the order of the file."""

    file: str
    content: CatalogFile = field(repr=False)

    @property
    def id(self) -> str:
        """Its name, unique among the catalogs in use."""
        return self.content.catalog.id

    @property
    def path(self) -> str:
        """Its id: where findings about it are."""
        return self.content.catalog.id

    @property
    def key(self) -> Key:
        """Where its head stands in the file."""
        return ("catalog",)

    @property
    def basis(self) -> Basis:
        """What its chart rows were made for: US or European practice."""
        return self.content.catalog.basis

    @property
    def units(self) -> Units:
        """The units that findings about it are shown in."""
        return US_UNITS if self.basis == "US" else METRIC_UNITS

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """Its items, in the order of the file."""
        return tuple(Item(sheet, self, n) for n, sheet in enumerate(self.content.item))

    def finding(self, message: str, **facts: Any) -> Finding:
        """A finding about this catalog; see `Part.finding`."""
        return finding_at(self, self.units, message, facts)


def finding_at(subject: Any, units: Units, message: str, facts: dict[str, Any]) -> Finding:
    """A finding at a subject's place. `key` in the facts is a path below the subject's own, or
    a whole path where it starts with an empty string."""
    key: Key = subject.key
    below: Key = facts.pop("key", ())
    return Finding(
        template=message,
        part=facts.pop("at", subject.path),
        key=below[1:] if below[:1] == ("",) else key + below,
        units=units,
        basis=_basis_of(subject),
        family=_family_of(subject),
        found=facts.pop("found", None),
        limit=facts.pop("limit", None),
        remedy_template=facts.pop("remedy", ""),
        level=facts.pop("level", None),
        sources=facts.pop("sources", ()),
        also=facts.pop("also", getattr(subject, "also", ())),
        facts=facts,
    )


def _family_of(subject: Any) -> str:
    """What the legs of a subject's sling are made of: chain, rope or textile; empty if unknown."""
    try:
        return getattr(getattr(subject, "sling", None), "family", None) or ""
    except Unstated:  # a record whose build was not found
        return ""


def _basis_of(subject: Any) -> str:
    """The basis of a subject: of its sling, its catalog or itself; empty where it has none."""
    for owner in ("sling", "catalog"):
        try:
            found = getattr(subject, owner, None)
        except Unstated:  # a record whose build was not found
            return ""
        if found is not None:
            return str(found.basis)
    return str(getattr(subject, "basis", ""))


class NoSuchItem(LookupError):
    """No item, or more than one, answers to a name; the message names what is near."""


class Stock:
    """The items that builds may name, from all catalogs of a policy."""

    def __init__(self, catalogs: Iterable[Catalog] = ()) -> None:
        self.catalogs = tuple(catalogs)
        self._items: dict[str, list[Item]] = {}
        for catalog in self.catalogs:
            for item in catalog.items:
                self._items.setdefault(item.id, []).append(item)
                self._items.setdefault(f"{catalog.id}:{item.id}", []).append(item)

    def find(self, name: str) -> Item:
        """The item called `id` or `catalog-id:id`; raises NoSuchItem."""
        found = self._items.get(name, ())
        if len(found) == 1:
            return found[0]
        if found:
            places = " or ".join(f"{item.catalog.id}:{item.id}" for item in found)
            raise NoSuchItem(f"more than one item is called {name}; write {places}")
        if name == "?":
            raise NoSuchItem("the item is not chosen yet (?)")
        if not self._items:
            raise NoSuchItem(
                f"there is no item {name}: no catalog is in use; name one in the policy's catalogs"
                " or with --catalog"
            )
        close = nearest(name, [known for known in self._items if (":" in known) == (":" in name)])
        hint = f"; the nearest is {close}" if close else ""
        raise NoSuchItem(f"no catalog in use has an item {name[:60]}{hint}")
