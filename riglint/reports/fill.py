"""What may stand at the open places of a build, as text and as data."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from rich.console import Console
from rich.padding import Padding

from ..filling import Filling, Role, Trial
from ..judging import Placed
from ..source import pointer
from .data import quantity
from .plain import CAUTION, plural
from .text import DIM, say

STYLE = {"clears": "bold", "reported": "yellow", "open": "magenta", "falls": DIM}


def fill_data(filling: Filling) -> dict[str, Any]:
    """The outcome as plain data."""
    return {
        "id": filling.id,
        "file": filling.file,
        "state": filling.state,
        "tried": filling.tried,
        "possible": filling.possible,
        "open": sorted(filling.best.aside),
        "best": _trial_data(filling, filling.best),
        "places": [
            {
                "where": role.where,
                "keys": [pointer((*key, "item")) for key in role.keys],
                "kinds": list(role.kinds),
                "choices": [
                    {
                        "item": trial.names[n],
                        "margin": _rounded(trial.margins[n]),
                        **_trial_data(filling, trial),
                    }
                    for trial in filling.choices[n]
                ],
            }
            for n, role in enumerate(filling.roles)
        ],
    }


def _trial_data(filling: Filling, trial: Trial) -> dict[str, Any]:
    return {
        "items": list(trial.names),
        "state": trial.state,
        "rated_load": quantity(trial.rated, filling.units),
        "mass": quantity(trial.mass, filling.units),
        "open": list(trial.open_rules),
        "findings": [
            {"rule": one.finding.rule, "level": one.finding.level, "message": one.finding.message}
            for one in (*trial.failing, *trial.lesser)
        ],
        "problems": list(trial.problems),
    }


def _rounded(margin: float | None) -> float | None:
    return None if margin is None else round(margin, 4)


def print_fill(filling: Filling, console: Console) -> None:
    """Print the best filling, then each place with its choices and why the others fall."""
    console.print(say(filling.id, "bold"), say(filling.file, DIM))
    heads = {
        "clears": "Clears every rule that can judge this build:",
        "reported": "Nothing fails, but something is to be said of it:",
        "open": "Nothing fails, but rules are open:",
        "falls": "Nothing in stock clears every rule; the nearest:",
    }
    console.print(say(heads[filling.state]))
    best = filling.best
    for role, item, name in zip(filling.roles, best.items, best.names, strict=True):
        console.print(Padding(say(f"{role.where}: {name}  {item.sheet.title}"), (0, 2)))
    console.print(Padding(say(_figures(filling, filling.best)), (0, 2)))
    for text in (*_why(filling.best), *_waiting(filling.best, filling.best.aside)):
        console.print(Padding(say(text), (0, 4)))
    for n, role in enumerate(filling.roles):
        console.print()
        _print_role(filling, n, role, console)
    console.print()
    console.print(say(_search(filling), DIM))
    console.print(say(CAUTION, DIM))


def _figures(filling: Filling, trial: Trial) -> str:
    show = filling.units.show
    rated = f"rated load {show(trial.rated)}" if trial.rated else "rated load not known"
    return f"{rated}, mass {show(trial.mass)}" if trial.mass else f"{rated}, mass not known"


def _search(filling: Filling) -> str:
    if filling.tried >= filling.possible:
        return f"All {plural(filling.possible, 'combination')} went through the whole check."
    return (
        f"{filling.tried:,} of {filling.possible:,} combinations went through the whole check:"
        " each item beside the best of the other places. Others may do as well."
    )


def _print_role(filling: Filling, n: int, role: Role, console: Console) -> None:
    title = role.where[0].upper() + role.where[1:]
    beside = ", the other places as above" if len(filling.roles) > 1 else ""
    console.print(say(title, "bold"), say(f"({' or '.join(role.kinds)}{beside})", DIM))
    for trial in filling.choices[n]:
        margin = trial.margins[n]
        times = "" if margin is None else f"  {margin:.2f} x the planned load"
        line = f"{trial.state:8}  {trial.names[n]}{times}"
        console.print(Padding(say(line, STYLE[trial.state]), (0, 2)))
        for text in _why(trial):
            console.print(Padding(say(text, DIM), (0, 0, 0, 12)))


def _why(trial: Trial) -> Iterator[str]:
    """Why a choice falls, or else what is found and what is open."""
    faults = [*trial.problems, *map(_said, trial.failing)]
    if faults:
        more = f"; and {plural(len(faults) - 1, 'more fault')}" if len(faults) > 1 else ""
        yield faults[0] + more
        return
    yield from map(_said, trial.lesser)
    yield from _waiting(trial, trial.open_rules)


def _said(placed: Placed) -> str:
    finding = placed.finding
    return f"{finding.level}: {finding.message} ({finding.rule})"


def _waiting(trial: Trial, of: Collection[str]) -> Iterator[str]:
    rules: dict[str, list[str]] = {}
    for gap in trial.judgment.missing:
        if gap.rule in of:
            rules.setdefault(gap.why, []).append(gap.rule)
    for why, names in rules.items():
        yield f"open: {why}; not judged: {', '.join(dict.fromkeys(names))}"
