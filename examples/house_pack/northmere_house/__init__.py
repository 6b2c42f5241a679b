"""The in-house pack of the Northmere Rigging Loft: a complete example of one.

The loft, its rules and its figures are invented. What lies here:

    northmere_house/__init__.py   the hook: what the pack brings
    northmere_house/rules.py      three rules: about a part, a whole sling, the library
    northmere_house/tables/       a table of the house's own, asked for by a rule
    northmere_house/stock.toml    a catalog, in use wherever the pack is named
    northmere_house/riglint.toml  the house's policy, which a library is based on
    library/                      a library that is: based_on = "pack:northmere"
    tests/                        tests of the rules; pytest also holds each rule to its contract

    pip install -e .              then, in this folder:
    pytest
    riglint check library
    riglint policy library        every value, and the file that it comes from
    riglint rules northmere:hook-off-the-list --policy library/riglint.toml
"""

from importlib.resources import files

from riglint import API_VERSION, Pack, PackContext, hookimpl, rules_in

from . import rules


@hookimpl
def riglint_pack(context: PackContext) -> Pack:
    """The pack with its rules and files."""
    own = files(__name__)
    return Pack(
        name="northmere",
        version="1.2",
        api_version=API_VERSION,
        rules=rules_in(rules),
        policy=own.joinpath("riglint.toml"),
        catalogs=(own.joinpath("stock.toml"),),
        tables=(own.joinpath("tables", "hook-list.toml"),),
    )
