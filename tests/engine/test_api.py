"""The public names and how they are called, as recorded: a change here is a change for others.

After a change that is meant: `pytest tests/engine/test_api.py --snapshot-update`.
"""

import inspect
import typing

import attrs

import riglint


def lines():
    """One line a public name, method or field, in a fixed order."""
    yield f"API_VERSION = {riglint.API_VERSION}"
    for name in riglint.__all__:
        thing = getattr(riglint, name)
        if inspect.isclass(thing):
            yield from class_lines(name, thing)
        elif inspect.isfunction(thing):
            yield f"{name}{signature(thing)}"
        elif typing.get_origin(thing) is typing.Literal:
            yield f"{name} = {' | '.join(typing.get_args(thing))}"
        else:
            yield f"{name}: {type(thing).__name__}"


def class_lines(name, kind):
    yield f"class {name}"
    # as written: whoever structures a class before resolves the types of its fields
    written = {
        k: v for one in kind.__mro__ for k, v in vars(one).get("__annotations__", {}).items()
    }
    for field in attrs.fields(kind) if attrs.has(kind) else ():
        if not field.name.startswith("_"):
            default = "" if field.default is attrs.NOTHING else " = ..."
            yield f"    {field.name}: {shown(written.get(field.name, field.type))}{default}"
    for member, value in sorted(vars(kind).items()):
        if member.startswith("_") and member != "_repr_html_":
            continue
        if isinstance(value, staticmethod | classmethod):
            value = value.__func__
        if inspect.isfunction(value):
            yield f"    {member}{signature(value)}"
        elif isinstance(value, property):
            yield f"    {member} (property)"


def shown(kind):
    return kind if isinstance(kind, str) else getattr(kind, "__name__", str(kind))


def signature(function):
    parameters = []
    for one in inspect.signature(function).parameters.values():
        star = {one.VAR_POSITIONAL: "*", one.VAR_KEYWORD: "**"}.get(one.kind, "")
        only = "(keyword) " if one.kind is one.KEYWORD_ONLY else ""
        default = "" if one.default is one.empty else "=..."
        parameters.append(f"{only}{star}{one.name}{default}")
    return f"({', '.join(parameters)})"


def test_the_public_names_are_as_recorded(snapshot):
    assert "\n".join(lines()) == snapshot


def test_every_public_name_is_there_and_documented():
    for name in riglint.__all__:
        thing = getattr(riglint, name)
        if (inspect.isfunction(thing) or inspect.isclass(thing)) and thing.__module__ != "typing":
            assert inspect.getdoc(thing), name


def test_every_public_function_is_typed():
    for name in riglint.__all__:
        thing = getattr(riglint, name)
        if inspect.isfunction(thing):
            assert "return" in thing.__annotations__, name
