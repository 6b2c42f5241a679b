"""The public names and how they are called, as recorded: a change here is a change for others.

After a change that is meant: `pytest tests/engine/test_api.py --snapshot-update`.
"""

import inspect
import typing
from functools import cached_property

import attrs

import riglint
import riglint.testing
from riglint import (
    calculation,
    figures,
    filling,
    model,
    quantities,
    ratesheet,
    report,
    stamping,
    steps,
)
from riglint.figures.removal import Limit, RemovalCard
from riglint.files import Skipped
from riglint.house import HouseModule

# What public functions give and take, beside what can be imported by name.
RESULTS = (quantities, model, calculation, report, ratesheet, stamping, steps, filling)
REACHED = (Skipped, HouseModule, RemovalCard, Limit)


def lines():
    """One line a public name, method or field, in a fixed order."""
    yield f"API_VERSION = {riglint.API_VERSION}"
    for name in riglint.__all__:
        yield from thing_lines(name, getattr(riglint, name))
    for kind in (*REACHED, *(kind for module in RESULTS for kind in kinds_in(module))):
        yield from class_lines(kind.__name__, kind)
    for module, also in ((riglint.testing, ()), (figures, figures.__all__)):
        for name in sorted({*own_names(module), *also}):
            yield from thing_lines(f"{module.__name__}.{name}", getattr(module, name))


def own_names(module):
    return [name for name, thing in vars(module).items() if is_own(module, name, thing)]


def is_own(module, name, thing):
    return not name.startswith("_") and getattr(thing, "__module__", "").startswith(module.__name__)


def kinds_in(module):
    """The classes of a module that are not recorded by their public name."""
    names = getattr(module, "__all__", own_names(module))
    own = (getattr(module, name) for name in names if name not in riglint.__all__)
    return [one for one in own if inspect.isclass(one)]


def thing_lines(name, thing):
    if inspect.isclass(thing):
        yield from class_lines(name, thing)
    elif inspect.isfunction(thing):
        yield f"{name}{signature(thing)}"
    elif typing.get_origin(thing) is typing.Literal:
        yield f"{name} = {' | '.join(typing.get_args(thing))}"
    else:
        yield f"{name}: {type(thing).__name__}"


def class_lines(name, kind):
    ours = [one for one in kind.__mro__ if one.__module__.startswith("riglint")]
    bases = [one.__name__ for one in kind.__bases__ if one is not object]
    yield f"class {name}({', '.join(bases)})" if bases else f"class {name}"
    # as written: whoever structures a class before resolves the types of its fields
    written = {
        k: v for one in reversed(ours) for k, v in vars(one).get("__annotations__", {}).items()
    }
    for field in attrs.fields(kind) if attrs.has(kind) else ():
        if not field.name.startswith("_"):
            kind_of = shown(written.get(field.name, field.type))
            yield f"    {field.name}: {kind_of}{default(field.default, attrs.NOTHING)}"
    if not attrs.has(kind):
        for name, one in written.items():
            if not name.startswith("_"):
                yield f"    {name}: {shown(one)}"
    members = {k: v for one in reversed(ours) for k, v in vars(one).items()}
    for member, value in sorted(members.items()):
        if member == "__init__" and not value.__code__.co_filename.startswith("<attrs"):
            yield f"    {member}{signature(value)}"
        elif member.startswith("_") and member != "_repr_html_":
            continue
        elif inspect.ismemberdescriptor(value):
            if attrs.has(kind) and member not in fields_of(kind):
                yield f"    {member} (property) -> {shown(written.get(member))}"  # a cached one
        else:
            yield from member_lines(member, value)


def fields_of(kind):
    return [field.name for field in attrs.fields(kind)]


def member_lines(member, value):
    if isinstance(value, staticmethod | classmethod):
        value = value.__func__
    if isinstance(value, property | cached_property):
        get = value.fget if isinstance(value, property) else value.func
        yield f"    {member} (property){result(get)}"
    elif inspect.isfunction(value):
        yield f"    {member}{signature(value)}"


def shown(kind):
    return kind if isinstance(kind, str) else getattr(kind, "__name__", str(kind))


def default(value, nothing):
    if value is nothing:
        return ""
    if isinstance(value, attrs.Factory) or callable(value) or " object at 0x" in repr(value):
        return " = ..."
    return f" = {value!r}"


def result(function):
    given = function.__annotations__.get("return")
    return "" if given is None else f" -> {shown(given)}"


def signature(function):
    parameters = []
    for one in inspect.signature(function).parameters.values():
        star = {one.VAR_POSITIONAL: "*", one.VAR_KEYWORD: "**"}.get(one.kind, "")
        only = "(keyword) " if one.kind is one.KEYWORD_ONLY else ""
        kind = "" if one.annotation is one.empty else f": {shown(one.annotation)}"
        parameters.append(f"{only}{star}{one.name}{kind}{default(one.default, one.empty)}")
    return f"({', '.join(parameters)}){result(function)}"


def test_the_public_names_are_as_recorded(snapshot):
    assert "\n".join(lines()) == snapshot


def test_every_public_name_is_there_and_documented():
    for name in riglint.__all__:
        thing = getattr(riglint, name)
        if (inspect.isfunction(thing) or inspect.isclass(thing)) and thing.__module__ != "typing":
            assert inspect.getdoc(thing), name


def test_every_class_and_member_is_documented():
    public = (getattr(riglint, name) for name in riglint.__all__)
    results = (kind for module in RESULTS for kind in kinds_in(module))
    bare = {name for kind in (*public, *REACHED, *results) for name in undocumented(kind)}
    assert not bare


def undocumented(kind):
    for one in kind.__mro__ if inspect.isclass(kind) else ():
        if not one.__module__.startswith("riglint"):
            continue
        if not one.__doc__:
            yield one.__name__
        for name, value in vars(one).items():
            if not name.startswith("_") and is_code(value) and not value.__doc__:
                yield f"{one.__name__}.{name}"


def is_code(value):
    return inspect.isfunction(value) or isinstance(value, property | staticmethod | classmethod)


def test_every_public_function_is_typed():
    for name in riglint.__all__:
        thing = getattr(riglint, name)
        if inspect.isfunction(thing):
            assert "return" in thing.__annotations__, name
