"""The calculation sheet as text."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, floor
from typing import Any

from rich import box
from rich.columns import Columns
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from ..calculation import Setting
from ..finding import Unstated, show
from ..quantities import Angle, Length, Load, Units
from ..ratesheet import LINKS_MEASURED, RateSheet
from ..report import angle_words
from ..sling import Part, Sling
from ..stamping import TagText, listed_words
from .plain import CAUTION, plural
from .text import DIM, say

MORE_THAN_ONE = 2


def print_rate(sheet: RateSheet, console: Console) -> None:
    """Print the calculation sheet."""
    for block in (
        _head(sheet),
        _angles(sheet),
        _legs(sheet),
        _parts(sheet),
        _settings(sheet),
        _cut_list(sheet),
        _tag(sheet),
        _proof(sheet),
        _heat(sheet),
        _removal(sheet),
        _steps(sheet),
        _missing(sheet),
    ):
        if block is not None:
            console.print(block)
            console.print()
    console.print(say(CAUTION, DIM))


def _head(sheet: RateSheet) -> RenderableType:
    sling, units, rating = sheet.sling, sheet.sling.units, sheet.rating
    lines = [
        Text.assemble(say(sling.id, "bold"), say(f"  {sling.build.assembly.title}")),
        say(f"{sling.document.file}, basis {sling.basis}", DIM),
    ]
    at = f" at {angle_words(rating.angle, sling)}" if rating and sling.loaded_legs > 1 else ""
    if rating and rating.load is not None and rating.governed_by:
        lines.append(
            Text.assemble(
                "Rated load ", say(units.show(rating.load), "bold"), say(at), say(governs(sheet))
            )
        )
    elif rating and rating.at_most is not None:
        lines.append(say(f"Rated load unknown; at most {units.show(rating.at_most)}{at}"))
    else:
        lines.append(say("Rated load unknown"))
    if sheet.exact and sheet.exact.load is not None:
        lines.append(say(f"By the exact angle it would be {units.show(sheet.exact.load)}"))
    lines += [say(words) for words in duty_words(sheet)]
    if sheet.errors:
        lines.append(
            say(f"riglint check finds {plural(sheet.errors, 'error')} in this build", "bold red")
        )
    alike = {(one.tension, one.worst) for one in sheet.pulls}
    if sheet.demand is not None and len(alike) == 1 and None not in alike.pop():
        what = "planned load" if sling.planned_load else "rated load"
        pull = units.show(Load(sheet.pulls[0].worst))
        load = units.show(sheet.demand)
        lines.append(say(f"Under the {what} of {load} each counted leg pulls {pull}"))
    if sheet.reach is not None:
        lines.append(say(f"Reach {units.show(Length(sheet.reach))}"))
    if sheet.mass is not None:
        lines.append(say(f"Mass {units.show(Load(sheet.mass))}"))
    return Group(*lines)


def duty_words(sheet: RateSheet) -> list[str]:
    """What is left of the rating in the duty, where it is less."""
    duty, rating, sling = sheet.duty, sheet.rating, sheet.sling
    if sheet.lift is not None and sheet.lift.load is not None:
        load, governor = sheet.lift.load, sheet.lift.governed_by
        of = f": {governor.path} governs" if governor else ""
        return [f"With its load as it hangs here it may carry {sling.units.show(load)}{of}"]
    if duty is None or rating is None or duty.load is None or duty.load == rating.load:
        return []
    why = [one.text(sling.units) for one in duty.reductions]
    if duty.legs < rating.legs:
        why.append(f"{duty.legs} of {sling.loaded_legs} legs count for this load")
    because = f": {' and '.join(why)}" if why else ""
    return [f"In its duty it may carry {sling.units.show(duty.load)}{because}"]


def governs(sheet: RateSheet) -> str:
    rating = sheet.rating
    part = rating.governed_by if rating else None
    if rating is None or part is None:
        return ""
    return f"; {part.path} governs ({sheet.figures.why(part, rating)})"


def _table(*columns: tuple[str, bool]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1))
    for name, right in columns:
        table.add_column(name, justify="right" if right else "left", overflow="fold")
    return table


def _titled(title: str, body: RenderableType) -> RenderableType:
    return Group(Text(title, "bold"), Padding(body, (0, 0, 0, 2)))


def _angles(sheet: RateSheet) -> RenderableType | None:
    if not sheet.at_angles:
        return None
    units = sheet.sling.units
    table = _table(("legs at", False), ("may carry", True))
    for angle, one in sheet.at_angles:
        load = "unknown" if one.load is None else units.show(one.load)
        table.add_row(say(listed_words(angle, sheet.sling)), say(load))
    return _titled("Rating by angle", table)


def _parts(sheet: RateSheet) -> RenderableType:
    units = sheet.sling.units
    table = _table(
        ("item", False),
        ("at", False),
        ("whole sling may carry", True),
        ("in use", True),
        ("because", False),
    )
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in sheet.parts:
        used = "" if one.utilization is None else f"{100 * one.utilization:.0f} %"
        capacity = "unknown" if one.capacity is None else units.show(Load(one.capacity))
        row = (one.part.item.id, capacity, used, one.because)
        alike.setdefault(row, []).append(places(one.part))
    for (item, *figures), names in alike.items():
        table.add_row(say(item), say(", ".join(dict.fromkeys(names))), *map(say, figures))
    return _titled("Parts", table)


def _legs(sheet: RateSheet) -> RenderableType | None:
    rows = leg_rows(sheet)
    if not rows:
        return None
    first, *others = leg_columns(sheet.sling)
    table = _table((first, False), *((name, True) for name in others))
    for row in rows:
        table.add_row(*map(say, row))
    load = sheet.sling.units.show(sheet.demand) if sheet.demand is not None else ""
    return _titled(f"Legs under {load}", table)


def leg_columns(sling: Sling) -> tuple[str, ...]:
    """The headings of `leg_rows`."""
    return "leg", f"stands at, from the {sling.measured_from}", "pulls", "at worst"


def leg_rows(sheet: RateSheet) -> list[tuple[str, ...]]:
    """Leg by leg, where they do not all pull alike."""
    if len({(one.tension, one.worst, one.angle) for one in sheet.pulls}) < MORE_THAN_ONE:
        return []
    sling, show = sheet.sling, sheet.sling.units.show
    rows: list[tuple[str, ...]] = []
    for one in sheet.pulls:
        angle = "" if one.angle is None else f"{sling.as_measured(one.angle):.1f} deg"
        pull = "not determined" if one.tension is None else show(Load(one.tension))
        rows.append((one.ref, angle, pull, show(Load(one.worst))))
    return rows


def places(part: Part) -> str:
    return ", ".join(part.leg.refs) if part.leg else part.path


def _settings(sheet: RateSheet) -> RenderableType | None:
    if not sheet.settings:
        return None
    units = sheet.sling.units
    blocks: list[RenderableType] = []
    alike: dict[tuple[Setting, ...], list[str]] = {}
    for leg, settings in sheet.settings:
        alike.setdefault(settings, []).extend(leg.refs)
    for settings, refs in alike.items():
        if not settings:
            continue
        first, last = settings[0], settings[-1]
        blocks.append(
            say(
                f"{', '.join(refs)}: links {first.link} to {last.link}; reach"
                f" {units.show(Length(first.reach))} down to {units.show(Length(last.reach))}"
            )
        )
        shown = [say(f"{one.link:3}  {units.show(Length(one.reach))}") for one in settings]
        blocks.append(
            Padding(Columns(shown, padding=(0, 3), equal=True, column_first=True), (0, 2))
        )
    return (
        _titled("Pocket settings (link in the pocket, reach)", Group(*blocks)) if blocks else None
    )


def _cut_list(sheet: RateSheet) -> RenderableType | None:
    units = sheet.sling.units
    table = _table(("pieces", True), ("cut", False), ("for", False))
    for part in sheet.sling.parts:
        if not part.links and part.length is None:
            continue
        cut = f"{part.links} links" if part.links else units.show(part.length or Length(0.0))
        count = part.leg.count if part.leg else 1
        refs = ", ".join(part.leg.refs) if part.leg else part.path
        beside = " (beside)" if part.in_branch else ""
        table.add_row(say(str(count)), say(f"{part.item.id} x {cut}"), say(refs + beside))
    return _titled("Cut list", table) if table.row_count else None


def _tag(sheet: RateSheet) -> RenderableType | None:
    tag, units = sheet.tag, sheet.sling.units
    if tag is None:
        return None
    reach = units.show(tag.reach) if tag.reach is not None else "not stated"
    lines = [
        say(f"{tag.manufacturer or '(manufacturer)'}   serial {tag.serial or '(serial)'}"),
        say("   ".join([*made_of(sheet, tag), f"legs {tag.legs}", f"reach {reach}"])),
        *(say(f"{units.show(one.load)}   {one.angle}") for one in tag.ratings),
    ]
    title = "Tag, ready to stamp"
    if sheet.errors:
        title = f"Tag, not to be stamped: {plural(sheet.errors, 'error')} in this build"
    return _titled(title, Group(*lines))


def made_of(sheet: RateSheet, tag: TagText) -> list[str]:
    """What a tag says that the legs are made of; that of EN chain leaves out the size."""
    made = [f"grade {tag.grade}"] if tag.grade is not None else []
    made += [tag.material] if tag.material else []
    with_size = tag.size and not (sheet.sling.is_chain_sling and sheet.sling.basis == "EN")
    return [*made, f"size {tag.size}"] if with_size else made


def _proof(sheet: RateSheet) -> RenderableType | None:
    if not sheet.proof:
        return None
    units = sheet.sling.units
    ordered = sheet.sling.build.proof
    table = _table(
        ("pull on", False),
        ("at least", True),
        ("ordered", True),
        ("parts and their limits", False),
        ("because", False),
    )
    for place, pull in sheet.proof.items():
        load = getattr(ordered, f"{place}_load", None)
        table.add_row(
            say(place),
            say(units.show(pull.load)),
            say(units.show(load) if load else ""),
            say(", ".join(pulled(sheet, place))),
            say(pull.why(units)),
        )
    return _titled("Proof loads", table)


def pulled(sheet: RateSheet, place: str) -> list[str]:
    """The items that a proof pull is on, each with the limit that its sheet states."""
    figures, show = sheet.figures, sheet.sling.units.show
    tops = {gathering.path for gathering in sheet.sling.tops}
    found: dict[str, str] = {}
    for part in sheet.sling.parts:
        where = "leg" if part.leg else "master" if part.path in tops else "intermediate"
        if where == place:
            try:
                row = figures.allowance(part).row
            except Unstated:
                row = None
            limit = row.limit if row is not None else part.get("working_load_limit")
            found[part.item.id] = f"{part.item.id} {show(limit)}" if limit else part.item.id
    return list(found.values())


def _heat(sheet: RateSheet) -> RenderableType | None:
    if not sheet.heat:
        return None
    rated = sheet.rating.load if sheet.rating else None
    units = sheet.sling.units
    table = _table(("legs at", False), ("left", True), ("for good", True), ("may carry", True))
    for words, hot, after in sheet.heat:
        carries = units.show(Load(rated * hot)) if rated else "unknown"
        table.add_row(
            say(words), say(f"{100 * hot:.0f} %"), say(f"{100 * after:.0f} %"), say(carries)
        )
    return _titled("Temperature", table)


def on_the_safe_side(length: Length | Angle, units: Units, *, up: bool) -> str:
    """A limit rounded so that what is measured at it is in service: 0.001 in or 0.1 mm."""
    step, unit, places = (25.4e-3, "in", 3) if units.inches else (0.1, "mm", 1)
    count = length / step
    whole = ceil(count - 1e-6) if up else floor(count + 1e-6)
    return f"{whole * 10**-places:.{places}f} {unit}"


def _removal(sheet: RateSheet) -> RenderableType | None:
    if not sheet.removal:
        return None
    units = sheet.sling.units
    table = _table(
        ("item", False),
        ("bar at least", True),
        (f"{LINKS_MEASURED} links at most", True),
        ("throat at most", True),
        ("by", False),
    )
    for part, card in sheet.removal:
        limits = (card.smallest_bar, card.longest, card.widest_throat)
        sources = dict.fromkeys(limit.source for limit in limits if limit)
        shown = (
            say(
                on_the_safe_side(limit.value, units, up=limit is card.smallest_bar) if limit else ""
            )
            for limit in limits
        )
        table.add_row(say(part.item.id), *shown, say("; ".join(sources)))
    return _titled("Removal card: beyond these sizes a part leaves service", table)


def _steps(sheet: RateSheet) -> RenderableType | None:
    if not sheet.steps:
        return None
    units = sheet.sling.units
    lines: list[RenderableType] = []
    for step in sheet.steps:
        where = f"{', '.join(step.parts)}: " if step.parts else ""
        lines.append(
            Text.assemble(say(f"{where}{step.figure} = "), say(show(step.value, units), "bold"))
        )
        inputs = ", ".join(f"{n} = {shown(v, units)}" for n, v in step.inputs.items())
        lines.append(Padding(say(f"= {step.formula}   with {inputs}"), (0, 0, 0, 4)))
        lines.append(Padding(say(f"by {step.source}", DIM), (0, 0, 0, 4)))
    return _titled("Calculation", Group(*lines))


def shown(value: Any, units: Units) -> str:
    text = show(value, units)
    return f"({text})" if isinstance(value, tuple | Mapping) else text


def _missing(sheet: RateSheet) -> RenderableType | None:
    if not sheet.missing:
        return None
    lines = [say(f"{one.rule}: {one.why}") for one in sheet.missing]
    return _titled("Not known", Group(*lines))
