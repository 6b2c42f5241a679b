"""`riglint start`: the first files of a rule pack or of a library, which pass their own checks."""

from __future__ import annotations

import argparse
import keyword
import os
from collections.abc import Mapping
from pathlib import Path
from pkgutil import get_data
from string import Template

from ..problem import clean
from . import CANNOT, Commands, say, write_whole

MODULE = '''\
"""The in-house rules of $pack."""

import sys
from collections.abc import Iterator

from riglint import (
    API_VERSION,
    Context,
    Finding,
    Length,
    Pack,
    PackContext,
    Part,
    hookimpl,
    rule,
    rules_in,
)

LEAST_BAR_MM = 18.0  # house default


@rule(
    "$rule",
    about=Part,
    level="warning",
    title="A master link is lighter than the house asks for",
    because="Say here why the house wants it so.",
    sources=["House standard"],
    when=lambda part: part.kind == "master-link",
    fails="""
        base = "pair"
        [[item]]
        id = "master"
        bar = "16 mm"
    """,
)
def $function(part: Part, ctx: Context) -> Iterator[Finding]:
    if part.bar < LEAST_BAR_MM:
        yield part.finding(
            "{part} has a bar of {found}; the house asks for {limit}",
            found=part.bar,
            limit=Length(LEAST_BAR_MM),
            remedy="Fit a master link with a bar of {limit} or more.",
        )


@hookimpl
def riglint_pack(context: PackContext) -> Pack:
    """The pack, with every rule of this module."""
    own = rules_in(sys.modules[__name__])
    return Pack(name="$pack", version="1.0", api_version=API_VERSION, rules=own)
'''

TEST = '''\
"""Each rule keeps its contract, and judges as the house means it."""

import pytest
from $module import $function

import $module
from riglint import rules_in
from riglint.testing import assert_fails, assert_open, assert_passes, contract_faults


@pytest.mark.parametrize("rule", rules_in($module), ids=lambda rule: rule.name)
def test_the_rule_keeps_its_contract(rule):
    assert list(contract_faults(rule)) == []


def master(bar):
    return f'base = "pair"\\n[[item]]\\nid = "master"\\nbar = "{bar}"'


def test_the_house_asks_for_18_mm():
    rule = $function
    assert_fails(rule, master("17.9 mm"), part="top", found="17.9 mm", limit="18 mm")
    assert_passes(rule, master("18 mm"))
    assert_open(rule, 'base = "pair"\\nwithout = ["/item/master/bar"]', datum="bar")
'''

PROJECT = """\
[build-system]
requires = ["setuptools>=77"]
build-backend = "setuptools.build_meta"

[project]
name = "$distribution"
version = "1.0"
dependencies = ["riglint"]

[project.entry-points."riglint.packs"]
$pack = "$module"

[tool.setuptools]
py-modules = ["$module"]

[tool.pytest.ini_options]
pythonpath = ["."]
"""

POLICY = """\
# What every build of this library is held to. `riglint policy` prints it with what it leaves out.
catalogs = ["stock/*.toml"]     # the items that a build may name
fail_on = ["error"]             # what makes the check fail: "error", "warning", "note", "open"

# An in-house rule as data: no code, so that it is safe on anyone's change.
[[requirement]]
name = "hooks-latched"
level = "error"
of = { kind = "sling-hook" }
must = { latch = true }
because = "House standard: a hook without a latch lets go when the sling is slack"
"""

WORDS = ("pack", "rule", "module", "function", "distribution")
NAMES = "a rule is named in small letters, digits and hyphens, as top-link-light"


def add(commands: Commands) -> None:
    """Add the command and its arguments."""
    start = commands.add_parser(
        "start", help="the first files of a rule pack or a library", allow_abbrev=False
    )
    kinds = start.add_subparsers(required=True, metavar="KIND")
    rule = kinds.add_parser("rule", help="a pack with one rule and its tests", allow_abbrev=False)
    rule.add_argument("name", metavar="[PACK:]NAME", help="as northmere:top-link-light")
    rule.add_argument("--into", default=".", metavar="DIR", help="the folder (default: this one)")
    rule.set_defaults(run=start_rule)
    library = kinds.add_parser("library", help="a build, a stock list and a policy")
    library.add_argument("folder", metavar="DIR")
    library.set_defaults(run=start_library)


def start_rule(options: argparse.Namespace) -> int:
    """Write a rule pack; returns the exit status."""
    from ..book import HOUSE, STANDARD
    from ..requirement import NAME

    pack, _, name = options.name.rpartition(":")
    pack = pack or "inhouse"
    function = name.replace("-", "_")
    if not (NAME.fullmatch(name) and NAME.fullmatch(pack) and function.isidentifier()):
        return _refuse(NAMES)
    if pack in (HOUSE, STANDARD, "riglint"):
        return _refuse(f"{pack} is no name for a pack: riglint calls rules of its own so")
    module = f"{pack.replace('-', '_')}_rules"
    if not module.isidentifier():
        return _refuse(f"{pack} is no name for a pack: begin it with a letter")
    if keyword.iskeyword(function) or function in {module, *_names_used()}:
        function += "_rule"
    words = {
        "pack": pack,
        "rule": name,
        "module": module,
        "function": function,
        "distribution": f"{pack}-rules",
    }
    files = {f"{module}.py": MODULE, f"test_{module}.py": TEST, "pyproject.toml": PROJECT}
    made = {file: Template(text).substitute(words) for file, text in files.items()}
    return _write(Path(options.into), made, "now: pytest, then pip install -e . and name the pack")


def _names_used() -> set[str]:
    """The names that the files of a pack use for something else than the rule."""
    import ast  # here, as no other command needs it
    import builtins

    text = Template(MODULE + TEST).substitute(dict.fromkeys(WORDS, "x"))
    nodes = list(ast.walk(ast.parse(text)))
    used = {node.id for node in nodes if isinstance(node, ast.Name)}
    used |= {alias.name for node in nodes for alias in getattr(node, "names", ())}
    used |= {node.arg for node in nodes if isinstance(node, ast.arg)}
    return (
        used
        | {node.name for node in nodes if isinstance(node, ast.FunctionDef)}
        | set(dir(builtins))
    )


def start_library(options: argparse.Namespace) -> int:
    """Write a library; returns the exit status."""
    import shlex

    files = {
        "riglint.toml": POLICY,
        "stock/stock.toml": _sound(
            "stock", "A stock list. Its figures are invented: put your own."
        ).replace('id = "sound"', 'id = "stock"'),
        "builds/pair.toml": _sound("pair", "A two-leg chain sling of items of the stock list."),
    }
    return _write(Path(options.folder), files, f"now: riglint check {shlex.quote(options.folder)}")


def _sound(name: str, heading: str) -> str:
    data = get_data("riglint_specs", f"sound/{name}.toml")
    assert data is not None, f"{name} is not shipped"
    lines = data.decode("utf-8").splitlines(keepends=True)
    return f"# {heading}\n" + "".join(line for line in lines if not line.startswith("#"))


def _write(folder: Path, files: Mapping[str, str], then: str) -> int:
    there = [name for name in files if os.path.lexists(folder / name)]
    if there:
        return _refuse(f"{', '.join(there)} is already in {folder}; nothing was written")
    try:
        for name, text in files.items():
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            with place.open("x", encoding="utf-8") as out:
                out.write(text)
    except OSError as error:
        return _refuse(f"{folder} cannot be written: {error.strerror}")
    lines = [*(str(folder / name) for name in files), then]
    return write_whole("", lambda out: print(*map(clean, lines), sep="\n", file=out))


def _refuse(message: str) -> int:
    say(message)
    return CANNOT
