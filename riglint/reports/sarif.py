"""SARIF 2.1.0: every verdict with its place, figures, sources, permits and known findings.

`write_upload` gives the part that services for code scanning show as it is meant: the findings
that stand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from textwrap import dedent
from typing import Any, TextIO

from ..finding import LEVELS, Finding, Verdict
from ..fingerprint import digest, fingerprint
from ..judging import Missing, Placed
from ..model import KnownEntry
from ..problem import Problem
from ..report import Report, Subject
from ..rule import Rule
from ..source import pointer
from .citations import Citation, citations
from .data import fact
from .places import Places, files_of, is_file
from .plain import CAUTION, clean, entry_words, of_sheet, print_json, ran, said, sentence

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
BASE = "SRCROOT"
FINGERPRINT = "riglintFinding/v1"
MOST_UPLOADED = 5000  # results of a run that services for code scanning show
CANNOT_CHECK, SKIPPED, LEFT_OUT = "cannot-be-checked", "file-skipped", "findings-left-out"
RAN, RENAMED = "rule-module-ran", "rule-renamed"
NOTIFICATIONS = {
    RAN: "A rule module of the library ran.",
    RENAMED: "A file names a rule that goes by another name, or is there no more.",
    CANNOT_CHECK: "A file, a rule, a report or a rule pack could not be read or run.",
    SKIPPED: "A file is of another kind and was passed over.",
    LEFT_OUT: "There are more findings than this file may hold.",
}
EXITS = {
    0: "Nothing that fails was found.",
    1: "Findings of a level that fails.",
    2: "Something could not be read or checked.",
}
Json = dict[str, Any]


def write(report: Report, out: TextIO) -> None:
    """Write every verdict of a run."""
    print_json(_log(_Run(report).everything()), out)


def write_upload(report: Report, out: TextIO) -> None:
    """Write the findings that stand, the worst first, as many as are shown."""
    print_json(_log(_Run(report).upload()), out)


def _log(run: Json) -> Json:
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


class _Run:
    """One run in the making: what results refer to by its index."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.places = Places(files_of(report))
        self.judged = {self.places.uris[one.file] for one in report.subjects if one.file}
        self.rules = {rule.name: n for n, rule in enumerate(report.rules)}
        self.documents = _documents(report)
        self.indexes = {
            (name, place): (n, m)
            for n, (name, taxa) in enumerate(self.documents.items())
            for m, place in enumerate(taxa)
        }
        self.alike: Counter[str] = Counter()

    def everything(self) -> Json:
        results = [*self.results(), *map(self.vanished, self.report.vanished)]
        _complete(results, self.report)
        taxonomies = [_taxonomy(name, taxa) for name, taxa in self.documents.items()]
        return self.run(results, taxonomies, ())

    def upload(self) -> Json:
        """The findings that stand; no permits, which such services show as if they were none."""
        found = [one for one in self.results(("fail",)) if "suppressions" not in one]
        found = [one for one in found if "baselineState" not in one]
        found.sort(key=lambda one: LEVELS.index(one["level"]))
        for one in found:
            one.pop("taxa", None)
        left_out = []
        if len(found) > MOST_UPLOADED:
            text = f"{len(found):,} findings; the first {MOST_UPLOADED:,} are here, errors first."
            left_out.append(_notification(LEFT_OUT, "warning", text))
        return self.run(found[:MOST_UPLOADED], [], left_out)

    def run(self, results: list[Json], taxonomies: list[Json], notes: Iterable[Json]) -> Json:
        run: Json = {
            "tool": {"driver": self.driver(taxonomies)},
            "automationDetails": {
                "id": "riglint/",
                "description": {"text": "Check of descriptions of lifting slings."},
            },
            "invocations": [self.invocation(notes)],
            "columnKind": "unicodeCodePoints",
            "defaultEncoding": "utf-8",
            "defaultSourceLanguage": "toml",
            "originalUriBaseIds": {
                BASE: {"description": {"text": "The folder that all files of this run lie in."}}
            },
            "artifacts": [self.artifact(uri) for uri in self.places.unique],
            "results": results,
        }
        return run | ({"taxonomies": taxonomies} if taxonomies else {})

    # The tool and the run

    def driver(self, taxonomies: list[Json]) -> Json:
        from .. import __version__

        driver: Json = {
            "name": "riglint",
            "version": __version__,
            "semanticVersion": __version__,
            "language": "en",
            "shortDescription": {"text": "Checks descriptions of lifting slings."},
            "fullDescription": {"text": CAUTION},
            "rules": [self.rule(rule, bool(taxonomies)) for rule in self.report.rules],
            "notifications": [
                {"id": name, "shortDescription": {"text": text}}
                for name, text in NOTIFICATIONS.items()
            ],
        }
        if taxonomies:
            driver["supportedTaxonomies"] = [
                {"name": one["name"], "index": n} for n, one in enumerate(taxonomies)
            ]
        return driver

    def rule(self, rule: Rule, with_taxa: bool) -> Json:
        described: Json = {
            "id": rule.name,
            "name": "".join(word.capitalize() for word in rule.name.replace(":", "-").split("-")),
            "shortDescription": {"text": sentence(clean(rule.title))},
            "fullDescription": {"text": sentence(clean(rule.because))},
            "help": {"text": clean(_help(rule)), "markdown": _help_markdown(rule)},
            "defaultConfiguration": {"level": rule.level, "enabled": rule.on},
            "properties": {
                "tags": ["lifting", rule.about.__name__.lower()],
                "pack": rule.owner,
                "waivable": rule.waivable,
                "sources": list(rule.sources),
            },
        }
        targets = [self.taxon(one) for one in _once(citations(rule.sources))] if with_taxa else []
        if targets:
            described["relationships"] = [
                {"target": target, "kinds": ["relevant"]} for target in targets
            ]
        return described

    def taxon(self, cited: Citation) -> Json:
        """A reference to a clause in the taxonomy of its document."""
        document, place = self.indexes[cited.document, cited.place]
        component = {"name": cited.document, "index": document}
        return {"id": cited.place, "index": place, "toolComponent": component}

    def invocation(self, notes: Iterable[Json]) -> Json:
        report = self.report
        told: list[Json] = [*map(self.problem, report.problems)]
        told += [
            _notification(SKIPPED, "note", sentence(clean(one.reason)), [self.location(one.file)])
            for one in report.skipped
        ]
        told += [_notification(RAN, "note", sentence(clean(words))) for words in ran(report)]
        told += [_notification(RENAMED, "note", sentence(clean(one))) for one in report.notices]
        invocation: Json = {
            "executionSuccessful": not report.problems,
            "exitCode": report.exit_status,
            "exitCodeDescription": EXITS[report.exit_status],
            "toolExecutionNotifications": [*told, *notes],
        }
        off = [name for name in report.off if name in self.rules]
        if off:
            invocation["ruleConfigurationOverrides"] = [
                {
                    "descriptor": {"id": name, "index": self.rules[name]},
                    "configuration": {"enabled": False},
                }
                for name in off
            ]
        return invocation

    def problem(self, problem: Problem) -> Json:
        text = sentence(clean(self.places.words(problem.message)))
        if not is_file(problem.file, problem.line):
            return _notification(CANNOT_CHECK, "error", f"{clean(problem.file)}: {text}")
        region = _region(problem.line, problem.column)
        return _notification(CANNOT_CHECK, "error", text, [self.location(problem.file, region)])

    def artifact(self, uri: str) -> Json:
        place = {"uri": uri, "uriBaseId": BASE, "index": self.places.index[uri]}
        artifact: Json = {"location": place}
        return artifact | ({"roles": ["analysisTarget"]} if uri in self.judged else {})

    def location(self, file: str, region: Json | None = None) -> Json:
        uri = self.places.uris[file]
        place = {"uri": uri, "uriBaseId": BASE, "index": self.places.index[uri]}
        physical: Json = {"artifactLocation": place} | ({"region": region} if region else {})
        return {"physicalLocation": physical}

    # Results

    def results(
        self, wanted: tuple[Verdict, ...] = ("fail", "open", "pass", "notApplicable")
    ) -> Iterator[Json]:
        for subject in self.report.subjects:
            judgment = subject.judgment
            if "fail" in wanted:
                yield from (self.fail(placed, subject) for placed in judgment.findings)
            if "open" in wanted:
                yield from (self.open(one, subject) for one in judgment.missing)
            told = {one.rule for one in judgment.missing} if "open" in wanted else set()
            for rule, verdict in judgment.verdicts.items():
                if verdict in wanted and verdict != "fail" and rule not in told:
                    yield self.plain(rule, verdict, subject)

    def result(self, rule: str, kind: Verdict, text: str, location: Json) -> Json:
        result: Json = {
            "ruleId": rule,
            "ruleIndex": self.rules[rule],
            "kind": kind,
            "level": "none",
            "message": {"text": clean(self.places.words(text))},
        }
        return result | ({"locations": [location]} if location else {})

    def fail(self, placed: Placed, subject: Subject) -> Json:
        finding = placed.finding
        location = self.location(placed.file, _region(placed.line, placed.column))
        location["logicalLocations"] = _logical(subject, finding.part, pointer(finding.key))
        repair = f" {sentence(finding.remedy)}" if finding.remedy else ""
        result = self.result(finding.rule, "fail", said(finding) + repair, location)
        result["level"] = finding.level or "error"
        mark = self.numbered(fingerprint(finding, subject.kind, subject.id).digest)
        result["partialFingerprints"] = {FINGERPRINT: mark}
        taxa = [self.taxon(one) for one in _once(citations(finding.sources))]
        result |= {"taxa": taxa} if taxa else {}
        if finding.permit is not None:
            result["suppressions"] = [
                {"kind": "inSource", "status": "accepted", "justification": clean(finding.permit)}
            ]
        elif finding.known is not None:
            result["baselineState"] = "unchanged"
        return result | {"properties": _properties(finding)}

    def open(self, missing: Missing, subject: Subject) -> Json:
        location = self.subject_location(subject)
        location["logicalLocations"] = _logical(
            subject, missing.part, "" if of_sheet(missing) else missing.key
        )
        text = f"Not judged: {sentence(missing.why)}"
        result = self.result(missing.rule, "open", text, location)
        mark = digest(subject.kind, subject.id, missing.rule, missing.part, missing.datum)
        result["partialFingerprints"] = {FINGERPRINT: self.numbered(mark)}
        stated = {"item": missing.item} if missing.item is not None else {}
        return result | {"properties": {"datum": missing.datum, **stated}}

    def plain(self, rule: str, verdict: Verdict, subject: Subject) -> Json:
        texts = {
            "pass": "Judged, and nothing found.",
            "notApplicable": "There is nothing here for this rule to judge.",
            "open": "Not judged: the rule could not be run; see the notifications.",
        }
        return self.result(rule, verdict, texts[verdict], self.subject_location(subject))

    def subject_location(self, subject: Subject) -> Json:
        location = self.location(subject.file) if subject.file else {}
        return location | {"logicalLocations": _logical(subject)}

    def numbered(self, mark: str) -> str:
        """A fingerprint, told apart from equal ones before it in the run."""
        self.alike[mark] += 1
        return mark if self.alike[mark] == 1 else f"{mark}:{self.alike[mark]}"

    def vanished(self, entry: KnownEntry) -> Json:
        """A known finding that is no longer there."""
        subject = next((one for one in self.report.subjects if _is_of(entry, one)), None)
        location = self.subject_location(subject) if subject else {}
        text = sentence(f"Known, and no longer found: {entry_words(entry)}")
        rules = {rule.name: rule for rule in self.report.rules}
        result = self.result(entry.rule, "fail", text, location)
        return result | {"level": rules[entry.rule].level, "baselineState": "absent"}


def _is_of(entry: KnownEntry, subject: Subject) -> bool:
    named = {"build": entry.build, "catalog": entry.catalog, "record": entry.record}
    return named.get(subject.kind) == subject.id


def _complete(results: list[Json], report: Report) -> None:
    """What the standard asks of all results or of none: suppressions and baseline states."""
    if any("suppressions" in one for one in results):
        for one in results:
            one.setdefault("suppressions", [])
    if report.known is not None:
        for one in results:
            one.setdefault("baselineState", "new" if one["kind"] == "fail" else "unchanged")


def _notification(name: str, level: str, text: str, locations: Iterable[Json] = ()) -> Json:
    descriptor = {"id": name, "index": list(NOTIFICATIONS).index(name)}
    told: Json = {"descriptor": descriptor, "level": level, "message": {"text": text}}
    return told | ({"locations": list(locations)} if locations else {})


def _region(line: int | None, column: int | None) -> Json | None:
    return None if line is None else {"startLine": line, "startColumn": column or 1}


def _logical(subject: Subject, part: str = "", key: str = "") -> list[Json]:
    """The part by its path in the sling, and the datum by its JSON Pointer in the file."""
    whole = not part or part == subject.id
    name = subject.id if whole else part
    full = subject.id if whole else f"{subject.id}/{part}"
    places: list[Json] = [
        {"name": name, "fullyQualifiedName": full, "kind": subject.kind if whole else "part"}
    ]
    if key:
        last = key.rpartition("/")[2].replace("~1", "/").replace("~0", "~")
        places.append({"name": last, "fullyQualifiedName": key, "kind": "property"})
    return places


def _properties(finding: Finding) -> Json:
    figures: Json = {
        name: fact(value, finding.units)
        for name, value in (("found", finding.found), ("limit", finding.limit))
        if value is not None
    }
    figures |= {} if finding.ratio is None else {"ratio": round(finding.ratio, 4)}
    figures |= {"also": list(finding.also)} if finding.also else {}
    figures |= {"remedy": finding.remedy} if finding.remedy else {}
    figures |= {"known": finding.known} if finding.known is not None else {}
    return figures | {"sources": list(finding.sources)}


# Rules and their sources


def _once(cited: Iterable[Citation]) -> list[Citation]:
    """Each clause once, however it was obtained."""
    return list({(one.document, one.place): one for one in cited}.values())


def _documents(report: Report) -> dict[str, dict[str, set[str]]]:
    """Every document that is cited, sorted, with its clauses and how they were obtained."""
    sources = [source for rule in report.rules for source in rule.sources]
    for judgment in report.judgments:
        sources += [source for placed in judgment.findings for source in placed.finding.sources]
    found: dict[str, dict[str, set[str]]] = {}
    for one in sorted(set(citations(dict.fromkeys(sources)))):
        obtained = found.setdefault(one.document, {}).setdefault(one.place, set())
        if one.obtained:
            obtained.add(one.obtained)
    return found


def _taxonomy(document: str, taxa: dict[str, set[str]]) -> Json:
    """A document as a taxonomy whose taxa are the clauses that are cited."""
    return {
        "name": document,
        "shortDescription": {"text": sentence(f"The clauses of {document} that are cited here")},
        "isComprehensive": False,
        "taxa": [
            {"id": place} | ({"properties": {"obtained": sorted(how)}} if how else {})
            for place, how in taxa.items()
        ],
    }


def _help(rule: Rule) -> str:
    """What a rule is about, why, by which sources, and what can be done about it."""
    safety = "" if rule.waivable else " It can be neither permitted away nor switched off."
    return (
        f"{sentence(rule.title)} {sentence(rule.because)} By {'; '.join(rule.sources)}."
        f"{safety} `riglint rules {rule.name}` shows an example and its repair."
    )


def _help_markdown(rule: Rule) -> str:
    from .markdown import text

    sources = "\n".join(f"- {text(source)}" for source in rule.sources)
    safety = "" if rule.waivable else "It can be neither permitted away nor switched off.\n\n"
    example = dedent(rule.fails).strip().replace("```", "")
    return (
        f"{text(sentence(rule.title))}\n\n{text(sentence(rule.because))}\n\n{sources}\n\n"
        f"{safety}This fails:\n\n```toml\n{example}\n```\n\n"
        f"`riglint rules {rule.name}` shows the repair too.\n"
    )
