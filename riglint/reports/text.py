"""The report of a run for a terminal: each faulty sling drawn from the lifting point down."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TextIO

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text
from rich.tree import Tree

from ..finding import Key
from ..judging import Judgment, Placed
from ..model import HOOK_KINDS, LINK_KINDS
from ..problem import Problem
from ..report import AssemblyReport, CatalogReport, RecordReport, Report, Standing
from ..sling import Gathering, Leg, Part, Sling
from ..stock import Item
from .plain import (
    CAUTION,
    MOST_SENTENCE,
    brief,
    clean,
    console,
    counts,
    entry_words,
    excuse,
    ran,
    said,
    sentence,
    some,
    totals,
    waiting,
)

STYLES = {"error": "bold red", "warning": "yellow", "note": "cyan", "open": "magenta"}
STYLES |= {"permitted": "green", "known": "green"}
DIM = "dim"
GLYPHS = {
    "chain": ":",
    "coupling-link": "o",
    "shortener": "Y",
    "shackle": "U",
    "crane-hook": "J",
    "fork-attachment": "=",
    "spreader": "=",
    "wire-rope": "~",
    "web": "~",
    "roundsling": "~",
    "fiber-rope": "~",
} | dict.fromkeys(LINK_KINDS, "O")
GLYPHS |= dict.fromkeys(HOOK_KINDS, "J")


def say(text: str, style: str = "") -> Text:
    return Text(clean(text), style=style)


def write(report: Report, out: TextIO) -> None:
    """Write the whole report to a stream, in color and width as it can take."""
    print_report(report, console(out))


def print_report(report: Report, console: Console) -> None:
    """Print the whole report: faulty slings as pictures, sound ones in a line each."""
    faulty = [one for one in report.assemblies if _fresh(one.judgment)]
    sound = [one for one in report.assemblies if not _fresh(one.judgment)]
    for one in faulty:
        console.print(_sling(one))
        console.print()
    for catalog in report.catalogs:
        if _fresh(catalog.judgment) or catalog.judgment.missing:
            console.print(_catalog(catalog))
            console.print()
    for record in report.records:
        console.print(_record(record))
    if report.records:
        console.print()
    if _fresh(report.library):
        console.print(_library(report.library))
        console.print()
    if sound:
        console.print(_sound(sound))
        console.print()
    unjudged = _unjudged(report.library)
    others = (
        _known(report),
        _problems(report.problems),
        _skipped(report),
        _off(report),
        _house(report),
    )
    for part in (unjudged, *others):
        if part is not None:
            console.print(part)
            console.print()
    console.print(_summary(report))
    console.print(say(CAUTION, DIM))


# One sling


def _sling(report: AssemblyReport) -> RenderableType:
    sling = report.sling
    at = _by_part(_fresh(report.judgment))
    top = Tree(_hung_from(sling, at), guide_style=DIM)
    for gathering in sling.tops:
        _hang(top, gathering, at)
    for leg in sling.legs:
        if leg.on is None:
            _hang_leg(top, leg, at)
    for heading in ("duty", "tag"):
        found = at.pop(heading, ())
        if found:
            top.add(Group(say(heading, "bold"), *map(_finding, found)))
    rest = [placed for found in at.values() for placed in found]
    return Group(
        _heading(report),
        Padding(_standing(report), (0, 0, 0, 2)),
        Padding(top, (0, 0, 0, 2)),
        *(Padding(_finding(placed), (0, 0, 0, 2)) for placed in rest),
        *(Padding(line, (0, 0, 0, 2)) for line in _waiting(report.judgment)),
    )


def _fresh(judgment: Judgment) -> list[Placed]:
    """The findings that are not known."""
    return [placed for placed in judgment.findings if placed.finding.known is None]


def _heading(report: AssemblyReport) -> Text:
    title = report.standing.title
    return Text.assemble(
        say(report.id, "bold"),
        say(f"  {brief(title)}" if title else ""),
        "  ",
        _counts(report.judgment),
    )


def _counts(judgment: Judgment) -> Text:
    return Text(", ").join(Text(words, STYLES[sort]) for sort, words in counts(judgment))


def _standing(report: AssemblyReport) -> Text:
    standing = report.standing
    show = standing.units.show
    said = [report.file, standing.basis, _load_text(standing)]
    if standing.governed_by:
        said.append(f"{standing.governed_by} governs")
    if standing.reach is not None:
        said.append(f"reach {show(standing.reach)}")
    return say(" - ".join(said), DIM)


def _load_text(standing: Standing) -> str:
    """What a build is rated for, and what is left of it in its own duty."""
    show = standing.units.show
    at = f" at {standing.at}" if standing.at else ""
    if standing.rated is None:
        most = standing.at_most
        return f"rated at most {show(most)}{at}" if most is not None else "not rated"
    left = f", {show(standing.in_duty)} in its duty" if standing.in_duty is not None else ""
    return f"rated {show(standing.rated)}{at}{left}"


def _by_part(findings: Iterable[Placed]) -> dict[str, list[Placed]]:
    grouped: dict[str, list[Placed]] = {}
    for placed in findings:
        grouped.setdefault(home_of(placed.finding.key, placed.finding.part), []).append(placed)
    return grouped


def home_of(key: Key, part: str) -> str:
    """Where a finding is shown: at its part, or under duty or tag."""
    return str(key[0]) if key and key[0] in ("duty", "tag") else part


def _hung_from(sling: Sling, at: dict[str, list[Placed]]) -> RenderableType:
    hook = sling.hung_from
    line = _line(hook, hook.id, "", "") if hook else say("(what it hangs from is not stated)", DIM)
    return Group(line, *map(_finding, at.pop(sling.id, ())))


def _line(item: Item, name: str, measure: str, style: str = "bold") -> Text:
    title = brief(item.sheet.title or item.kind.replace("-", " "))
    shown = "" if name.startswith(item.id) else f"  {item.id}"
    return Text.assemble(
        Text(GLYPHS.get(item.kind, "+") + " ", DIM),
        say(name, style),
        say(shown + measure),
        say(f"  {title}", DIM),
    )


def _part(part: Part, at: dict[str, list[Placed]]) -> RenderableType:
    name = part.path if part.leg is None else part.path.partition("/")[2]
    measure = f" x {part.links:,} links" if part.links else ""
    if part.length is not None:
        measure = f" {part.sling.units.show(part.length)}"
    style = "bold" if part.leg is None else ""
    return Group(_line(part.item, name, measure, style), *map(_finding, at.pop(part.path, ())))


def _hang(tree: Tree, gathering: Gathering, at: dict[str, list[Placed]]) -> None:
    node = tree.add(_part(gathering.part, at))
    for lower in gathering.below:
        _hang(node, lower, at)
    for leg in gathering.own_legs:
        _hang_leg(node, leg, at)
    for leg in gathering.ends_here:
        if leg.on is not gathering:
            node.add(
                Text.assemble(Text("leg ", DIM), say(some(leg.refs), "bold"), ", its lower end")
            )


def _hang_leg(tree: Tree, leg: Leg, at: dict[str, list[Placed]]) -> None:
    names = some(leg.refs)
    alike = f"  ({leg.count:,} alike)" if leg.count > 1 else ""
    alike += "  hung by both ends" if leg.is_basket else ""
    head = Text.assemble(Text("leg ", DIM), say(names, "bold"), Text(alike, DIM))
    found = [placed for ref in leg.refs for placed in at.pop(ref, ())]
    node = tree.add(Group(head, *map(_finding, found)))
    for part in leg.parts:
        node.add(_part(part, at))
    if leg.branch:
        beside = node.add(Text("beside it, to shorten it", DIM))
        for part in leg.branch:
            beside.add(_part(part, at))
    if leg.holds is not None and leg is leg.holds.held_by[0]:
        _hang(node, leg.holds, at)


def _finding(placed: Placed) -> RenderableType:
    finding = placed.finding
    level = finding.level or "error"
    style = STYLES[level] if finding.stands else DIM
    lines = [
        Text.assemble(Text(f"{level}: ", style), say(said(finding))),
        say(excuse(finding), "green") if not finding.stands else None,
        Text.assemble(Text("repair: ", "green"), say(sentence(finding.remedy)))
        if finding.remedy
        else None,
        say(f"{finding.rule}, line {placed.line}; by {'; '.join(finding.sources)}", DIM),
    ]
    return Padding(Group(*filter(None, lines)), (0, 0, 0, 2))


# What is open, sound, skipped


def _waiting(judgment: Judgment) -> Iterator[Text]:
    for one in waiting(judgment.missing):
        yield Text.assemble(Text("open: ", STYLES["open"]), say(one.words))


def _sound(reports: list[AssemblyReport]) -> RenderableType:
    """Builds without findings, a line each; those that could not be judged whole say why."""
    table = Table.grid(padding=(0, 2))
    for report in reports:
        mark = Text("open", STYLES["open"]) if report.open_rules else Text("sound", "green")
        if report.findings:
            mark = Text("known", STYLES["known"])
        standing = report.standing
        show = standing.units.show
        load = show(standing.rated) if standing.rated is not None else "not rated"
        if standing.in_duty is not None:
            load = f"{load}, in its duty {show(standing.in_duty)}"
        table.add_row(mark, say(report.id, "bold"), say(load), say(report.file, DIM))
    waiting = (
        Padding(Text.assemble(say(f"{report.id}: "), line), (0, 0, 0, 2))
        for report in reports
        for line in _waiting(report.judgment)
    )
    return Group(table, *waiting)


def _catalog(report: CatalogReport) -> RenderableType:
    head = Text.assemble(
        say(report.id, "bold"), say(f"  catalog {report.file}  "), _counts(report.judgment)
    )
    return Group(head, *map(_finding, _fresh(report.judgment)), *_waiting(report.judgment))


def _record(report: RecordReport) -> RenderableType:
    findings = report.judgment.findings
    is_open = "open" in report.judgment.verdicts.values()
    clear = Text("open", STYLES["open"]) if is_open else Text("nothing found", "green")
    state = _counts(report.judgment) if findings else clear
    head = Text.assemble(
        say(report.serial, "bold"), say(f"  {report.build}, {report.file}  "), state
    )
    return Group(head, *map(_finding, _fresh(report.judgment)), *_waiting(report.judgment))


def _library(judgment: Judgment) -> RenderableType:
    head = Text.assemble(Text("library  ", "bold"), _counts(judgment))
    found = (
        Group(say(f"{placed.finding.part}  {placed.file}"), _finding(placed))
        for placed in _fresh(judgment)
    )
    return Group(head, *found)


def _unjudged(library: Judgment) -> RenderableType | None:
    lines = list(_waiting(library))
    return Group(*lines) if lines else None


def _problems(problems: tuple[Problem, ...]) -> RenderableType | None:
    if not problems:
        return None
    lines = [Text("could not be read or checked", "bold red")]
    lines += [
        say(f"  {problem.place}: {brief(problem.message, MOST_SENTENCE)}") for problem in problems
    ]
    return Group(*lines)


def _skipped(report: Report) -> RenderableType | None:
    if not report.skipped:
        return None
    return Group(*(say(f"skipped {one.file}: {one.reason}", DIM) for one in report.skipped))


def _off(report: Report) -> RenderableType | None:
    if not report.off:
        return None
    return say(f"switched off by the policy: {', '.join(report.off)}", DIM)


def _known(report: Report) -> RenderableType | None:
    """The known findings, a line each, and what of their list is over."""
    found = [placed for judgment in report.judgments for placed in judgment.findings]
    lines = [f"known: {_in_a_line(placed)}" for placed in found if placed.finding.known is not None]
    lines += [f"known, and no longer found: {entry_words(one)}" for one in report.vanished]
    lines += [f"known until its date, stands again: {entry_words(one)}" for one in report.lapsed]
    return Group(*(say(line, DIM) for line in lines)) if lines else None


def _in_a_line(placed: Placed) -> str:
    finding = placed.finding
    return f"{placed.file}:{placed.line}: {finding.rule} at {finding.part}: {said(finding)}"


def _house(report: Report) -> RenderableType | None:
    if not report.house_rules:
        return None
    return Group(*(say(words, DIM) for words in ran(report)))


def _summary(report: Report) -> Text:
    first, *rest = totals(report)
    bad = "bold red" if report.problems else ""
    return Text(", ").join([Text(first, "bold"), *map(Text, rest[:-1]), Text(rest[-1], bad)])
