"""The shape of the JSON reports, described key by key: what `data` and `rate` write.

Every key is always there, but for those of a class that is not total; a figure that is not known
is null. `riglint.schema` makes the JSON Schemas of it.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypedDict

from ..finding import Verdict
from ..model import Basis, Level


class LoadFigure(TypedDict):
    kg: Annotated[float, "In kg"]
    text: Annotated[str, "As a person reads it, in the units of the build"]


class LengthFigure(TypedDict):
    mm: Annotated[float, "In mm"]
    text: Annotated[str, "As a person reads it, in the units of the build"]


class AngleFigure(TypedDict):
    deg: Annotated[float, "In deg"]
    text: Annotated[str, "As a person reads it"]


class TemperatureFigure(TypedDict):
    degC: Annotated[float, "In degC"]
    text: Annotated[str, "As a person reads it, in the units of the build"]


LegAngleFigure = TypedDict(
    "LegAngleFigure",
    {
        "deg": Annotated[float, "In deg"],
        "from": Annotated[Literal["horizontal", "vertical"], "From where it is measured"],
    },
)

Scalar = LoadFigure | LengthFigure | AngleFigure | TemperatureFigure | float | str | bool | None
Fact = Scalar | list[Scalar]

# riglint check


class FindingShape(TypedDict):
    rule: Annotated[str, "The rule's name; of other packs pack:name"]
    level: Annotated[Level, "How grave it is"]
    part: Annotated[str, "Path of the part or leg; or the id or serial of the whole"]
    also: Annotated[list[str], "The same part in the other identical legs"]
    file: Annotated[str, "The file that the datum stands in"]
    key: Annotated[str, "JSON Pointer (RFC 6901) to the datum in that file"]
    line: Annotated[int | None, "Line, from 1"]
    column: Annotated[int | None, "Column in Unicode code points, from 1"]
    message: Annotated[str, "What is wrong"]
    remedy: Annotated[str, "What repairs it"]
    found: Annotated[Fact, "The figure found"]
    limit: Annotated[Fact, "Its limit"]
    ratio: Annotated[float | None, "Found over limit, where both are numbers"]
    sources: Annotated[list[str], "What the rule goes by"]
    permit: Annotated[str | None, "The deviation permit that covers it"]
    known: Annotated[str | None, "The list of known findings that holds it"]


class MissingShape(TypedDict):
    rule: Annotated[str, "The rule that waits"]
    part: Annotated[str, "Of what the datum is"]
    datum: Annotated[str, "Its name, or the matter that is not computed"]
    key: Annotated[str, "JSON Pointer to where it belongs, or empty"]
    why: Annotated[str, "A sentence that says so"]


class JudgmentShape(TypedDict):
    findings: Annotated[list[FindingShape], "What is wrong"]
    verdicts: Annotated[dict[str, Verdict], "The verdict of each rule, by its name"]
    missing: Annotated[list[MissingShape], "What rules that are open wait for"]


class RatingShape(TypedDict):
    rated_load: Annotated[LoadFigure | None, "What the plate may say"]
    at_most: Annotated[LoadFigure | None, "What the known parts allow, where others are not known"]
    in_duty: Annotated[LoadFigure | None, "What is left of it in the duty, where that is less"]
    governed_by: Annotated[str | None, "Path of the part that governs"]
    because: Annotated[str, "Why it does"]


class AssemblyShape(JudgmentShape):
    id: Annotated[str, "The build's id"]
    file: Annotated[str, "Its file"]
    rating: Annotated[RatingShape, "What the sling may carry"]
    reach: Annotated[LengthFigure | None, "Reach of the longest leg"]


class CatalogShape(JudgmentShape):
    id: Annotated[str, "The catalog's id"]
    file: Annotated[str, "Its file"]


class RecordShape(JudgmentShape):
    serial: Annotated[str, "Serial of the sling"]
    build: Annotated[str, "Id of its build"]
    file: Annotated[str, "The record's file"]


class ProblemShape(TypedDict):
    file: Annotated[str, "File, folder or rule pack"]
    line: Annotated[int | None, "Line, from 1; null where it has no place"]
    column: Annotated[int | None, "Column, from 1; null where it has no place"]
    message: Annotated[str, "What could not be read or checked"]


class SkippedShape(TypedDict):
    file: Annotated[str, "A file that was passed by"]
    reason: Annotated[str, "Why"]


class PackShape(TypedDict):
    name: Annotated[str, "Name of the rule pack"]
    version: Annotated[str, "Its version"]
    rules: Annotated[int, "How many rules it has"]


class SummaryShape(TypedDict):
    assemblies: Annotated[int, "Builds checked"]
    catalogs: Annotated[int, "Catalogs checked"]
    records: Annotated[int, "Records checked"]
    error: Annotated[int, "Errors without a permit"]
    warning: Annotated[int, "Warnings without a permit"]
    note: Annotated[int, "Notes without a permit"]
    open: Annotated[int, "Verdicts that are open"]
    problems: Annotated[int, "What could not be read or checked"]
    permitted: Annotated[int, "Findings under a permit"]
    known: Annotated[int, "Findings that are known"]


class KnownEntryShape(TypedDict):
    rule: Annotated[str, "The rule"]
    build: Annotated[str | None, "Id of the build, where it is about one"]
    catalog: Annotated[str | None, "Id of the catalog, where it is about one"]
    record: Annotated[str | None, "Serial of the record, where it is about one"]
    part: Annotated[str, "Path of the part"]
    at: Annotated[str, "The datum, without places in lists"]
    found: Annotated[str, "The figure found, as a person reads it"]
    limit: Annotated[str, "Its limit, as a person reads it"]
    count: Annotated[int, "How many findings are alike"]
    until: Annotated[str | None, "The last day that it counts as known"]


class KnownShape(TypedDict):
    file: Annotated[str, "The list of known findings"]
    vanished: Annotated[list[KnownEntryShape], "Entries that nothing found answers to any more"]
    lapsed: Annotated[list[KnownEntryShape], "Entries past their day, whose findings stand again"]


class HouseModuleShape(TypedDict):
    file: Annotated[str, "The rule module"]
    sha256: Annotated[str, "SHA-256 of the text that ran"]


class ReportShape(TypedDict):
    """The report of a run."""

    riglint: Annotated[str, "Version of the program"]
    report_version: Annotated[Literal[1], "Version of this format"]
    assemblies: Annotated[list[AssemblyShape], "The builds"]
    catalogs: Annotated[list[CatalogShape], "The catalogs"]
    records: Annotated[list[RecordShape], "The records"]
    library: Annotated[JudgmentShape, "The library as a whole"]
    problems: Annotated[list[ProblemShape], "What could not be read or checked"]
    skipped: Annotated[list[SkippedShape], "Files that were passed by"]
    known: Annotated[KnownShape | None, "The list of known findings that was gone by"]
    off: Annotated[list[str], "Rules that are switched off"]
    house_rules: Annotated[list[HouseModuleShape], "Rule modules of the library that ran"]
    packs: Annotated[list[PackShape], "The rule packs in use"]
    summary: Annotated[SummaryShape, "The counts"]


# riglint rate


class AtAngleShape(TypedDict):
    angle: Annotated[LegAngleFigure, "The listed angle"]
    rated_load: Annotated[LoadFigure | None, "The rating there"]


class PartShape(TypedDict):
    part: Annotated[str, "Path of the part"]
    item: Annotated[str, "Its catalog item"]
    also: Annotated[list[str], "The same part in the other identical legs"]
    capacity: Annotated[LoadFigure | None, "Load on the whole sling that it allows in the duty"]
    demand: Annotated[LoadFigure | None, "Load on the whole sling that is asked"]
    utilization: Annotated[float | None, "Demand over capacity"]
    pull: Annotated[LoadFigure | None, "Pull through a part of a leg"]
    because: Annotated[str, "Why it allows that"]
    source: Annotated[str, "By which sheet"]


class LegShape(TypedDict):
    leg: Annotated[str, "Ref of the leg"]
    tension: Annotated[LoadFigure | None, "Pull in a leg that counts"]
    worst_tension: Annotated[LoadFigure | None, "The most that this leg can see"]
    angle: Annotated[LegAngleFigure | None, "How it stands"]


class SettingShape(TypedDict):
    leg: Annotated[str, "Ref of the leg"]
    link: Annotated[int, "The link that lies in the pocket, counted from the top"]
    reach: Annotated[LengthFigure, "The reach that it gives"]


class CutShape(TypedDict):
    part: Annotated[str, "Path of the part"]
    links: Annotated[int | None, "So many links of chain"]
    length: Annotated[LengthFigure | None, "Or a length"]


class ProofShape(TypedDict, total=False):
    leg: Annotated[LoadFigure, "Least pull on each leg"]
    intermediate: Annotated[LoadFigure, "On each intermediate link"]
    master: Annotated[LoadFigure, "On the master link"]


class HeatShape(TypedDict):
    range: Annotated[str, "Range of temperature"]
    while_hot: Annotated[float, "Share of the rating left while hot"]
    afterwards: Annotated[float, "Share of the rating left for good"]


class StampedShape(TypedDict):
    load: Annotated[LoadFigure, "The load to stamp"]
    at: Annotated[str, "Hitch and angle that it holds at"]


class TagShape(TypedDict):
    manufacturer: Annotated[str | None, "Who made the sling"]
    grade: Annotated[int | None, "Grade, as the basis states it"]
    size: Annotated[str | None, "Size of the chain or rope"]
    material: Annotated[str | None, "What textile legs are made of"]
    legs: Annotated[int, "Number of legs"]
    reach: Annotated[LengthFigure | None, "Reach"]
    serial: Annotated[str | None, "Serial number"]
    ratings: Annotated[list[StampedShape], "The rating rows"]


class RemovalLimitShape(TypedDict):
    value: Annotated[LengthFigure | AngleFigure, "The limit"]
    source: Annotated[str, "What it goes by"]


class RemovalShape(TypedDict):
    item: Annotated[str, "The catalog item"]
    smallest_bar: Annotated[RemovalLimitShape | None, "Thinner, it leaves service"]
    longest_over_10_links: Annotated[RemovalLimitShape | None, "Longer, it leaves service"]
    widest_throat: Annotated[RemovalLimitShape | None, "Wider, it leaves service"]


class GapShape(TypedDict):
    figure: Annotated[str, "The figure that could not be computed"]
    part: Annotated[str, "Of what the datum is"]
    datum: Annotated[str, "Its name, or the matter that is not computed"]
    key: Annotated[str, "JSON Pointer to where it belongs, or empty"]
    why: Annotated[str, "A sentence that says so"]


class StepShape(TypedDict):
    figure: Annotated[str, "What is computed"]
    parts: Annotated[list[str], "For which parts"]
    formula: Annotated[str, "How, in the names of the inputs"]
    inputs: Annotated[dict[str, Fact], "The inputs by name"]
    value: Annotated[Fact, "The result"]
    source: Annotated[str, "What the formula goes by"]


class RateShape(TypedDict):
    """The calculation sheet of a build."""

    id: Annotated[str, "The build's id"]
    file: Annotated[str, "Its file"]
    basis: Annotated[Basis, "US or European practice"]
    angle: Annotated[LegAngleFigure | None, "Of the legs in the duty"]
    rated_load: Annotated[LoadFigure | None, "What the plate may say"]
    at_most: Annotated[LoadFigure | None, "What the known parts allow, where others are not known"]
    in_lift: Annotated[LoadFigure | None, "The same with the load as its geometry hangs it"]
    in_duty: Annotated[LoadFigure | None, "What is left of it in the duty"]
    errors: Annotated[int, "How many errors a check finds in the build"]
    exact: Annotated[LoadFigure | None, "By the exact angle, where a listed one rates the sling"]
    governed_by: Annotated[str | None, "Path of the part that governs"]
    at_angles: Annotated[list[AtAngleShape], "The rating at each listed angle"]
    parts: Annotated[list[PartShape], "Each part with what it allows and what is asked of it"]
    legs: Annotated[list[LegShape], "Each leg with its pull"]
    reach: Annotated[LengthFigure | None, "Of the longest leg"]
    pocket_settings: Annotated[list[SettingShape], "Every setting of every adjustable leg"]
    cut_list: Annotated[list[CutShape], "What is to be cut, one a leg"]
    mass: Annotated[LoadFigure | None, "Of the whole sling"]
    proof: Annotated[ProofShape | None, "The least proof loads"]
    temperatures: Annotated[list[HeatShape], "What is left of the rating by temperature"]
    designation: Annotated[str | None, "The sling letters, as the build states them"]
    tag: Annotated[TagShape | None, "The tag, ready to stamp"]
    removal: Annotated[list[RemovalShape], "The sizes at which parts leave service"]
    missing: Annotated[list[GapShape], "What could not be computed"]
    steps: Annotated[list[StepShape], "Every step of the calculation"]
