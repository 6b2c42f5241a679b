"""What all reports share: words for people, and nothing of a stranger's that could act."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TextIO

from attrs import frozen

from ..finding import LEVELS, Finding
from ..judging import Judgment, Missing
from ..model import KnownEntry
from ..problem import clean as clean
from ..report import Report

if TYPE_CHECKING:
    from rich.console import Console

CAUTION = (
    "This check reads a description, not the steel. The maker's charts, the regulation that"
    " applies and a qualified person decide. Inspect before every lift; never exceed the tag."
)
MOST_TITLE = 120  # characters of a title that are shown
MOST_SENTENCE = 2000  # characters of a message that are shown
MOST_NAMES = 8  # names of alike parts that are shown


def brief(text: str, most: int = MOST_TITLE) -> str:
    """The text, cut where it is longer than so many characters."""
    return text if len(text) <= most else text[: most - 3] + "..."


def sentence(text: str) -> str:
    """The text with a period at its end, cut where it is very long."""
    text = brief(text.rstrip(), MOST_SENTENCE)
    return text if text.endswith((".", "!", "?")) else text + "."


def plural(count: int, one: str, many: str = "") -> str:
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def some(names: Sequence[str], most: int = MOST_NAMES) -> str:
    """Names in a row, the first few of many."""
    rest = len(names) - most
    return ", ".join(names[:most]) + (f" and {rest:,} more" if rest > 0 else "")


def said(finding: Finding) -> str:
    """A finding as a sentence, with the other places where it is the same."""
    also = f" Also {some(finding.also)}." if finding.also else ""
    return sentence(finding.message) + also


def excuse(finding: Finding) -> str:
    """Why a finding does not count, in a line; an empty text where it does."""
    if finding.permit is not None:
        return brief(f"permitted: {finding.permit}", MOST_SENTENCE)
    return f"known: {finding.known}" if finding.known is not None else ""


@frozen
class Waiting:
    """What is missing of one item or part, and the rules that wait for it."""

    why: str
    rules: tuple[str, ...]

    @property
    def words(self) -> str:
        return f"{self.why}; not judged: {', '.join(self.rules)}"


def of_sheet(missing: Missing) -> bool:
    """Whether it is an item's sheet that leaves the datum out."""
    return missing.item is not None and missing.key.startswith("/item/")


def ran(report: Report) -> Iterator[str]:
    """The rule modules of the library that ran, each with what tells its text from another."""
    return (f"ran {one.file}, SHA-256 {one.sha256}" for one in report.house_rules)


def waiting(missing: Iterable[Missing]) -> Iterator[Waiting]:
    """What is missing, once an item, with the rules that wait for it."""
    groups: dict[str, list[Missing]] = {}
    for one in missing:
        groups.setdefault(str(one.item) if of_sheet(one) else one.why, []).append(one)
    for name, group in groups.items():
        data = ", ".join(dict.fromkeys(one.datum for one in group))
        why = name if name == group[0].why else f"{name} does not state {data}"
        yield Waiting(why, tuple(dict.fromkeys(one.rule for one in group)))


def counts(judgment: Judgment) -> list[tuple[str, str]]:
    """How many findings of each sort there are, in words, each with its sort."""
    levels = {level: judgment.count(level) for level in LEVELS}
    shown: list[tuple[str, str]] = [(level, plural(n, level)) for level, n in levels.items() if n]
    for sort in ("permitted", "known"):
        n = sum(excuse(placed.finding).startswith(sort) for placed in judgment.findings)
        if n:
            shown.append((sort, f"{n:,} {sort}"))
    return shown


def totals(report: Report) -> list[str]:
    """The counts of a run, in words."""
    failing = sum(one.count("error") > 0 for one in report.assemblies)
    parts = [plural(len(report.assemblies), "build")]
    parts += [f"{failing:,} with errors"] if report.assemblies else []
    for count, what in ((len(report.catalogs), "catalog"), (len(report.records), "record")):
        parts += [plural(count, what)] if count else []
    parts += [plural(report.count(level), level) for level in LEVELS]
    parts += [f"{report.permitted:,} permitted"] if report.permitted else []
    parts += [f"{report.known_count:,} known"] if report.known is not None else []
    parts += [plural(report.open_count, "open verdict"), plural(len(report.problems), "problem")]
    return parts


def entry_words(entry: KnownEntry) -> str:
    """An entry of the known findings in a line: rule, place, figure and date."""
    kinds = {"build": entry.build, "catalog": entry.catalog, "record": entry.record}
    subject = next((f"{kind} {name}" for kind, name in kinds.items() if name), "the library")
    part = f" at {entry.part}" if entry.part and entry.part not in kinds.values() else ""
    found = f", {entry.found}" if entry.found else ""
    until = f", until {entry.until}" if entry.until else ""
    return f"{entry.rule} in {subject}{part}{found}{until}"


def console(out: TextIO | None = None) -> Console:
    """A console that takes no text for markup; standard output where no stream is given."""
    from rich.console import Console

    class Plain(Console):
        def on_broken_pipe(self) -> None:
            raise  # it would end the run with the status of findings; the command knows better

    return Plain(file=out, markup=False, highlight=False, emoji=False)


def print_json(data: Any, out: TextIO) -> None:
    """Data as JSON, in characters that the stream can take and that do nothing to a terminal.

    What cannot be seen stands in texts alone, and so may be an escape: the data stay the same.
    """
    import json

    encoder = json.JSONEncoder(indent=1, ensure_ascii=not speaks_unicode(out))
    for piece in encoder.iterencode(data):
        out.write(piece if piece.isascii() or piece.isprintable() else _escaped(piece))
    out.write("\n")


def _escaped(piece: str) -> str:
    import json

    seen = (c if c.isascii() or c.isprintable() else json.dumps(c)[1:-1] for c in piece)
    return "".join(seen)


def speaks_unicode(out: TextIO) -> bool:
    """Whether a stream can take every character."""
    return "utf" in (getattr(out, "encoding", None) or "utf-8").lower()
