"""What a rule is: a plain function with its metadata, and the context it judges in."""

from __future__ import annotations

import datetime
import importlib
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, cast

from attrs import astuple, evolve, field, fields, frozen

from .finding import LEVELS, Finding
from .library import Library
from .model import Level, Practice
from .permit import Permit
from .problem import said
from .record import Measurement, Record
from .sling import Gathering, Leg, Part, Sling
from .stock import Catalog, Item
from .tables import Table, table, table_in

SUBJECTS: tuple[type, ...] = (
    Part,
    Leg,
    Gathering,
    Sling,
    Permit,
    Item,
    Catalog,
    Record,
    Measurement,
    Library,
)


@frozen
class Context:
    """What a rule may ask beside its subject: the figures of its sling, settings, the date.

    `figures` is there for subjects of a sling: Part, Leg, Gathering, Sling, Permit, and for
    records whose build is known; for catalogs and the library it is None.
    """

    figures: Any
    practice: Practice
    as_of: datetime.date
    settings: Any = None
    tables: Mapping[str, Path] = field(factory=dict, repr=False)

    def table(self, name: str) -> Table:
        """A table by name: a published one, or `PACK:NAME` of a pack in use.

        Raises LookupError where there is none.
        """
        return table_in(self.tables[name]) if name in self.tables else table(name)


Check = Callable[[Any, Context], Iterator[Finding]]


@frozen(eq=False)
class Rule:
    """A check about one kind of subject, with its reason, sources and examples.

    `about` is the kind of subject, one of `SUBJECTS`. A rule about the Library has `gather`,
    which takes a sling and gives plain data; it judges the data of all builds. `when` says
    for which subjects the rule has anything to judge; it is notApplicable for the others.
    `fails` is the smallest faulty build and `repaired` its repair, both as TOML over a sound
    build (see `riglint.testing`); where `repaired` is empty, the sound build itself is.
    `waivable` is False for a rule that can be neither permitted away nor switched off; `on` is
    False for one that runs only where the policy gives it a level.
    """

    name: str
    about: type
    level: Level
    title: str
    because: str
    sources: tuple[str, ...]
    check: Check = field(repr=False)
    fails: str = field(repr=False)
    repaired: str = field(default="", repr=False)
    when: Callable[[Any], bool] | None = field(default=None, repr=False)
    gather: Callable[[Sling], Any] | None = None
    settings: type | None = None
    judges_absence: bool = False
    waivable: bool = True
    on: bool = True
    aliases: tuple[str, ...] = ()
    owner: str = ""

    def __attrs_post_init__(self) -> None:
        for fault in _faults(self):
            raise ValueError(f"rule {self.name}: {fault}")

    def __copy__(self) -> Rule:
        return self  # it never changes

    def __deepcopy__(self, _: object) -> Rule:
        return self

    def __reduce__(self) -> tuple[Callable[..., Rule], tuple[Any, ...]]:
        """Travels by the place where it is defined, as its function has no name there but the
        rule's; one made of data alone, a requirement, as these. Raises PicklingError for a rule
        that another process cannot find.
        """
        import pickle  # no check needs it

        places = [(*place, _changes(self, _rule_at(*place))) for place in _places(self.check)]
        nearest = min(places, key=lambda place: len(place[2]), default=None)
        parts = nearest or astuple(self, recurse=False)
        try:
            pickle.dumps(parts)
        except Exception as error:
            raise pickle.PicklingError(
                f"the rule {self.name} cannot go to another process, as it is not found by its name"
                f" there; define it at the top of a module that can be imported ({said(error)})"
            ) from None
        return (_recalled if nearest else Rule), parts


FIELDS = tuple(one.name for one in fields(Rule))


def _faults(rule: Rule) -> Iterator[str]:
    """What of a rule's metadata is none: the engine and reports go by it without a look."""
    for name in ("name", "title", "because", "fails", "repaired", "owner"):
        if not isinstance(getattr(rule, name), str):
            yield f"{name} must be a text"
    for name in ("sources", "aliases"):
        given = getattr(rule, name)
        if not isinstance(given, tuple) or not all(isinstance(one, str) for one in given):
            yield f"{name} must be a tuple of texts"
    if rule.level not in LEVELS:
        yield f"level is one of {', '.join(LEVELS)}"
    if rule.about not in SUBJECTS:
        yield f"about is one of {', '.join(subject.__name__ for subject in SUBJECTS)}"
    for name in ("check", "when", "gather", "settings"):
        given = getattr(rule, name)
        if not callable(given) and (given is not None or name == "check"):
            yield f"{name} must be a function or class"


def _changes(rule: Rule, there: Rule) -> dict[str, Any]:
    """What is otherwise in a rule than in that of its place: in use it has its full name."""
    own = {name: getattr(rule, name) for name in FIELDS}
    return {name: value for name, value in own.items() if value is not getattr(there, name)}


def _places(check: Check) -> list[tuple[str, str]]:
    """The modules and names by which rules of a function are found."""
    module = str(getattr(check, "__module__", None))
    held = vars(sys.modules[module]) if module in sys.modules else {}
    return [(module, n) for n, one in held.items() if type(one) is Rule and one.check is check]


def _rule_at(module: str, name: str) -> Rule:
    import pickle

    try:
        found = getattr(importlib.import_module(module), name)
    except (ImportError, AttributeError) as error:
        text = f"the rule {name} of the module {module} is not found here ({said(error)})"
        raise pickle.UnpicklingError(text) from None
    return cast("Rule", found)


def _recalled(module: str, name: str, changes: Mapping[str, Any]) -> Rule:
    """The rule of that place, as it is in use."""
    return evolve(_rule_at(module, name), **changes)


def rule(
    name: str,
    *,
    about: type,
    level: Level,
    title: str,
    because: str,
    sources: Sequence[str],
    fails: str,
    repaired: str = "",
    when: Callable[[Any], bool] | None = None,
    gather: Callable[[Sling], Any] | None = None,
    settings: type | None = None,
    judges_absence: bool = False,
    waivable: bool = True,
    on: bool = True,
    aliases: Sequence[str] = (),
) -> Callable[[Check], Rule]:
    """Turn a generator function into a `Rule`; see there for the arguments.

    Raises ValueError where the metadata are incomplete, so that no rule without a reason, a
    source or an example can be registered.
    """
    for what, given in {"title": title, "because": because, "fails": fails}.items():
        if not given.strip():
            raise ValueError(f"rule {name}: {what} is empty")
    if isinstance(sources, str) or isinstance(aliases, str):
        raise ValueError(f"rule {name}: sources and aliases are lists, as sources=['House']")
    if not sources or not all(str(source).strip() for source in sources):
        raise ValueError(f"rule {name}: name a source, or say 'common practice, no source'")
    if (about is Library) != (gather is not None):
        raise ValueError(f"rule {name}: gather goes with about=Library")

    def decorate(check: Check) -> Rule:
        return Rule(
            name=name,
            about=about,
            level=level,
            title=title,
            because=because,
            sources=tuple(sources),
            check=check,
            fails=fails,
            repaired=repaired,
            when=when,
            gather=gather,
            settings=settings,
            judges_absence=judges_absence,
            waivable=waivable,
            on=on,
            aliases=tuple(aliases),
        )

    return decorate
