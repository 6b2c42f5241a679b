"""What is asked of a datum: read from the policy as the datum is read, and held against a value."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from attrs import frozen

from ..finding import Key
from ..quantities import Quantity
from ..reading import structure
from ..source import nearest
from ..tables import chain_size
from .facts import NUMBERS, Fact, facts

# What the house says of a datum, and what the finding then says that it asks for.
OPERATORS = {
    "equals": "asks for {asked}",
    "at_least": "asks for at least {asked}",
    "at_most": "asks for at most {asked}",
    "one_of": "asks for one of {asked}",
    "not_one_of": "does not use {asked}",
    "stated": "asks that it is stated",
}
ORDERED = ("at_least", "at_most")
ALWAYS = ("id", "kind", "basis", "legs")
MOST_VALUES = 100
LISTS = ("one_of", "not_one_of")


class Fault(ValueError):
    """What is wrong with a requirement, and at which key of it."""

    def __init__(self, key: Key, message: str) -> None:
        super().__init__(message)
        self.key, self.message = key, message


@frozen
class Condition:
    """One thing that is asked of one datum, with the wanted value read as that datum is."""

    about: str
    datum: str
    operator: str
    wanted: Any

    @property
    def fact(self) -> Fact:
        return facts(self.about)[self.datum]

    def holds(self, value: Any) -> bool:
        """Whether a value is as wanted. Raises ValueError where a size is no length."""
        if self.operator == "stated":
            return True
        if self.operator in LISTS:
            known = {self._measure(one) for one in self.wanted}
            return (self._measure(value) in known) == (self.operator == "one_of")
        found, wanted = self._measure(value), self._measure(self.wanted)
        if self.operator == "equals":
            return bool(found == wanted)
        if isinstance(found, str) or isinstance(wanted, str):
            raise ValueError(f"the size {value} is no length")
        return bool(found >= wanted if self.operator == "at_least" else found <= wanted)

    def _measure(self, value: Any) -> Any:
        """A size is compared as the trade does: 3/8 in chain is 10 mm chain."""
        if self.datum == "size":
            mm = chain_size(value)
            return value if mm is None else round(mm, 3)
        return round(float(value), 6) if isinstance(value, Quantity) else value

    @property
    def words(self) -> str:
        """The condition in words, for a title: bar at least 18 mm."""
        name = self.datum.replace("_", " ")
        if self.operator == "stated":
            return f"{name} stated"
        shown = [plain_text(v) for v in (self.wanted if self.operator in LISTS else [self.wanted])]
        said = {"equals": "", "one_of": "", "not_one_of": "not "}
        between = said.get(self.operator, self.operator.replace("_", " ") + " ")
        return f"{name} {between}{' or '.join(shown)}"


def plain_text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.text or repr(value) if isinstance(value, Quantity) else str(value)


def read_conditions(
    about: str, table: Mapping[str, Any], place: str, faults: list[Fault]
) -> tuple[Condition, ...]:
    """The conditions of an `of` or a `must`; what is wrong with it is added to the faults."""
    known, read = facts(about), []
    for name, said in table.items():
        if name not in known:
            close = nearest(name, known)
            hint = f"; did you mean {close}?" if close else f"; these are: {', '.join(known)}"
            faults.append(Fault((place, name), f"there is no datum {name[:60]} here{hint}"))
        elif place == "of" and known[name].computed:
            text = f"{name} is computed after the slings are chosen; it can only be in must"
            faults.append(Fault((place, name), text))
        elif isinstance(said, dict):
            read += list(_operators(about, name, said, place, faults))
        else:
            read += list(_one(about, name, "equals", said, (place, name), faults))
    return tuple(read)


def _operators(
    about: str, name: str, said: Mapping[str, Any], place: str, faults: list[Fault]
) -> Iterator[Condition]:
    if not said:
        faults.append(Fault((place, name), f"{name} asks for nothing"))
    for operator, wanted in said.items():
        key: Key = (place, name, operator)
        if operator not in OPERATORS:
            close = nearest(operator, OPERATORS)
            hint = f"; did you mean {close}?" if close else f"; these are: {', '.join(OPERATORS)}"
            faults.append(Fault(key, f"{operator[:60]} is nothing to ask of {name}{hint}"))
        else:
            yield from _one(about, name, operator, wanted, key, faults)


def _one(
    about: str, name: str, operator: str, wanted: Any, key: Key, faults: list[Fault]
) -> Iterator[Condition]:
    kind = facts(about)[name].kind
    try:
        condition = Condition(about, name, operator, _wanted(kind, operator, wanted))
        if operator == "stated" and (name in ALWAYS or condition.fact.computed):
            how = "computed" if condition.fact.computed else "always there"
            raise ValueError(f"it is {how}, so that it need not be stated")
        if operator in ORDERED and not _is_ordered(name, kind):
            raise ValueError("it is not more or less than another; use one_of")
        if name == "size" and operator in ORDERED and chain_size(condition.wanted) is None:
            raise ValueError(f"the size {condition.wanted!r} is no length")
    except ValueError as error:
        faults.append(Fault(key, f"{name}: {error}"))
    else:
        yield condition


def _is_ordered(name: str, kind: Any) -> bool:
    quantity = isinstance(kind, type) and issubclass(kind, Quantity)
    return name == "size" or quantity or kind in NUMBERS


def _wanted(kind: Any, operator: str, wanted: Any) -> Any:
    if operator == "stated":
        if wanted is not True:
            raise ValueError("stated is always true: leave the datum out where nothing is asked")
        return True
    if operator not in LISTS:
        return structure(wanted, kind)
    if not isinstance(wanted, list) or not wanted:
        raise ValueError(f"{operator} takes a list of values")
    if len(wanted) > MOST_VALUES:
        raise ValueError(f"{operator} takes no more than {MOST_VALUES} values")
    return tuple(structure(one, kind) for one in wanted)


def by_datum(
    selects: Iterable[Condition], requires: Iterable[Condition]
) -> dict[str, tuple[list[Condition], list[Condition]]]:
    found: dict[str, tuple[list[Condition], list[Condition]]] = {}
    for place, conditions in enumerate((selects, requires)):
        for condition in conditions:
            found.setdefault(condition.datum, ([], []))[place].append(condition)
    return found
