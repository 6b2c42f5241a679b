"""The rule list, and one rule in full with its examples."""

from __future__ import annotations

from textwrap import dedent

from attrs import fields
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from ..book import Pack, RuleBook
from ..problem import Unreadable
from ..rule import Rule
from ..testing import run
from .text import DIM, STYLES, say


def print_rules(book: RuleBook, console: Console) -> None:
    """Print every rule with its level and title."""
    table = Table.grid(padding=(0, 2))
    for rule in book.rules:
        level = Text(rule.level if rule.on else f"{rule.level}, off", STYLES[rule.level])
        table.add_row(level, say(rule.name, "bold"), say(rule.title))
    console.print(table)


def print_rule(rule: Rule, console: Console, pack: Pack | None = None) -> None:
    """Print one rule: what, why, by which sources, its settings, an example and its repair.

    `pack` is the pack that it is of, whose tables its example may need.
    """
    level = STYLES[rule.level]
    console.print(Text.assemble(say(rule.name, "bold"), say(f"  {rule.level}", level)))
    for line in (f"{rule.title}.", "", rule.because, "", f"Judges each {_subject(rule)}."):
        console.print(say(line))
    for source in rule.sources:
        console.print(say(f"By {source}."))
    if not rule.waivable:
        console.print(say("It can be neither permitted away nor switched off."))
    if rule.settings is not None:
        console.print(say(f"Settings, in the policy's [rules.{rule.name}]:"))
        for field in fields(rule.settings):
            console.print(say(f"  {field.name} = {field.default}"))
    if not rule.fails:
        console.print(say("It has no example: it asks for what is computed of a whole sling."))
        return
    _example(console, "This fails:", rule.fails)
    _outcome(console, rule, pack)
    base = [line for line in dedent(rule.fails).strip().splitlines() if line.startswith("base")]
    _example(console, "This is sound:", rule.repaired or f"{base[0]}    # as it stands")
    if not base:
        return
    console.print()
    console.print(say("`base` names one of the small sound builds that come with riglint.", DIM))


def _outcome(console: Console, rule: Rule, pack: Pack | None) -> None:
    """What the rule finds in its faulty example."""
    try:
        found = run(rule, rule.fails, pack=pack).findings[:1]
    except (AssertionError, Unreadable, ValueError, LookupError) as error:
        console.print(say(f"The example cannot be run: {error}", "bold red"))
        return
    for finding in found:
        console.print(Padding(say(f"{finding.message}.", STYLES[rule.level]), (0, 0, 0, 2)))
        console.print(Padding(say(finding.remedy), (0, 0, 0, 2)))


def _subject(rule: Rule) -> str:
    name = rule.about.__name__.lower()
    return {"gathering": "gathering link", "item": "catalog item"}.get(name, name)


def _example(console: Console, heading: str, example: str) -> None:
    console.print()
    console.print(Text(heading, "bold"))
    for line in dedent(example).strip().splitlines():
        console.print(Padding(say(line), (0, 0, 0, 2)))
