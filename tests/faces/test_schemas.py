"""The schemas as they are published: whole, current, and true of the examples and reports."""

import json
from functools import cache
from pathlib import Path

import attrs
import pytest
import tomli
from attrs import frozen
from jsonschema import Draft202012Validator

from riglint import __version__, check, model, rate
from riglint.cli import main
from riglint.reading import kind_of
from riglint.reports.data import report_data
from riglint.reports.ratedata import rate_data
from riglint.schema import KINDS, SHAPES, schema_of
from riglint.schema.objects import Maker, NoSchema
from riglint.schema.texts import TEXTS

ROOT = Path(__file__).parents[2]
NORTHMERE = ROOT / "examples" / "northmere"
HOUSE_PACK = (
    ROOT / "examples" / "house_pack"
)  # its policies name rules of a pack not installed here
EXAMPLES = sorted(
    file for file in (ROOT / "examples").rglob("*.toml") if HOUSE_PACK not in file.parents
)
RATED = sorted(file for folder in ("builds", "loops") for file in (NORTHMERE / folder).iterdir())


@cache
def validator(kind):
    return Draft202012Validator(schema_of(kind))


def faults(kind, values):
    """What a schema says against values; dates are texts to it."""
    plain = json.loads(json.dumps(values, default=str))
    return [f"{one.json_path}: {one.message}" for one in validator(kind).iter_errors(plain)]


def tables_in(schema):
    """Every table of a schema with its place."""
    if isinstance(schema, dict):
        if "properties" in schema and schema.get("type") == "object":
            yield schema
        for inner in schema.values():
            yield from tables_in(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from tables_in(inner)


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_one_by_the_meta_schema(kind):
    Draft202012Validator.check_schema(schema_of(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_the_committed_schema_is_current(kind):
    file = ROOT / "specs" / "formats" / f"{kind}.schema.json"
    again = f"riglint schema {kind} > specs/formats/{kind}.schema.json"
    assert json.loads(file.read_text(encoding="utf-8")) == schema_of(kind), (
        f"write it anew: {again}"
    )


@pytest.mark.parametrize("kind", KINDS)
def test_the_command_prints_the_schema(kind, capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["schema", kind]) == 0
    assert json.loads(capsys.readouterr().out) == schema_of(kind)


def test_the_schema_of_a_policy_knows_what_the_named_policy_brings(capsys, tmp_path):
    file = tmp_path / "riglint.toml"
    file.write_text('packs = ["no-such-pack"]', encoding="utf-8")
    assert main(["schema", "policy", "--policy", str(file)]) == 2
    assert "no-such-pack is not installed" in capsys.readouterr().err
    assert main(["schema", "policy", "--policy", str(tmp_path / "none.toml")]) == 2


def test_every_field_of_the_files_has_a_text():
    used = {name for kind in KINDS for name in schema_of(kind)["$defs"]}
    used |= {shape.__name__ for shape in SHAPES.values()}
    shapes = [one for name, one in vars(model).items() if name in used and attrs.has(one)]
    named = {f"{shape.__name__}.{one.name}" for shape in shapes for one in attrs.fields(shape)}
    lacking, over = sorted(named - set(TEXTS)), sorted(set(TEXTS) - named)
    assert not lacking, f"riglint/schema/texts.py says nothing of {', '.join(lacking)}"
    assert not over, f"riglint/schema/texts.py speaks of what is not there: {', '.join(over)}"


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_is_described_and_no_other_is_taken(kind):
    for table in tables_in(schema_of(kind)):
        assert table["additionalProperties"] is False
        for key, schema in table["properties"].items():
            assert schema.get("description", "").strip(), f"{key} has no description"


def test_a_field_of_a_new_type_is_named():
    @frozen
    class Sheet:
        angle: complex

    with pytest.raises(NoSchema, match=r"Sheet\.angle: .*complex"):
        Maker().table(Sheet)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: str(file.relative_to(ROOT)))
def test_an_example_keeps_to_its_schema(file):
    values = tomli.loads(file.read_text(encoding="utf-8"))
    assert faults(kind_of(values) or "policy", values) == []


def test_the_report_of_the_examples_keeps_to_its_schema(tmp_path):
    (tmp_path / "broken.toml").write_text("[assembly]\nreech = 1", encoding="utf-8")
    (tmp_path / "other.toml").write_text("a = 1", encoding="utf-8")
    report = check(NORTHMERE, tmp_path, policy=NORTHMERE / "riglint.toml")
    assert report.problems
    assert report.skipped
    assert faults("report", report_data(report, __version__)) == [], "see riglint/reports/shape.py"


@pytest.mark.parametrize("file", RATED, ids=lambda file: file.stem)
def test_a_calculation_sheet_keeps_to_its_schema(file):
    assert faults("rate", rate_data(rate(file))) == [], "see riglint/reports/shape.py"
