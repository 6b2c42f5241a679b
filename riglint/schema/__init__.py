"""The JSON Schemas of the files that riglint reads and of the JSON that it writes.

They are made from the model and the described reports, never written by hand, so that an editor
completes and checks while one types just what the reader takes.
"""

from __future__ import annotations

from typing import Any

from ..book import RuleBook, standard_book
from ..model import Build, CatalogFile, PolicyFile, RecordFile
from ..reports.shape import RateShape, ReportShape
from .objects import Maker
from .rules import rules_schema
from .texts import TITLES

DIALECT = "https://json-schema.org/draft/2020-12/schema"
SHAPES: dict[str, type] = {
    "assembly": Build,
    "catalog": CatalogFile,
    "policy": PolicyFile,
    "record": RecordFile,
    "report": ReportShape,
    "rate": RateShape,
}
KINDS = tuple(SHAPES)


def schema_of(kind: str, book: RuleBook | None = None) -> dict[str, Any]:
    """The JSON Schema (2020-12) of one kind, of `KINDS`; raises KeyError for any other.

    `book` has the rules that a policy may set, by default the standard ones. TOML dates are texts
    of the format `date`, which is what editors make of them.
    """
    shape = SHAPES[kind]
    maker = Maker()
    made = maker.table(shape)
    if kind == "policy":
        rules = rules_schema((book or standard_book()).rules, maker)
        for table in (made, *maker.defs.values()):
            if "rules" in table.get("properties", {}):
                table["properties"]["rules"] |= {"$ref": "#/$defs/Rules"}
        maker.defs["Rules"] = rules
    head = {"$schema": DIALECT, "$id": f"urn:riglint:schema:{kind}", "title": TITLES[kind]}
    return head | made | {"$defs": {name: maker.defs[name] for name in sorted(maker.defs)}}
