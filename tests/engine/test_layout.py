"""How the packages are laid out: one direction of imports, and a wheel that holds everything."""

import ast
import importlib.util
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ORDER = [
    "problem",
    "markup",
    "later",
    "paths",
    "globbing",
    "quantities",
    "source",
    "model",
    "reading",
    "tables",
    "figures",
    "finding",
    "vetting",
    "fingerprint",
    "stock",
    "sling",
    "assembling",
    "calculation",
    "record",
    "permit",
    "library",
    "rule",
    "requirement",
    "house",
    "book",
    "layers",
    "policy",
    "effective",
    "writing",
    "files",
    "overtime",
    "judging",
    "report",
    "known",
    "check",
    "steps",
    "stamping",
    "ratesheet",
    "filling",
    "buildsheet",
    "drawing",
    "workshop",
    "testing",
    "reports",
    "schema",
    "plain",
    "commands",
    "cli",
    "entry",
]


def imported(path):
    """The modules of riglint that a module imports, by the first part of their name."""
    depth = len(path.relative_to(ROOT / "riglint").parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level == depth and node.module:
            yield node.module.split(".")[0]
        elif isinstance(node, ast.ImportFrom) and node.level == depth:
            yield from (alias.name for alias in node.names if alias.name in ORDER)


@pytest.mark.parametrize(
    "path",
    sorted(p for p in (ROOT / "riglint").rglob("*.py") if p != ROOT / "riglint/__init__.py"),
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_each_module_imports_only_from_those_before_it(path):
    name = path.relative_to(ROOT / "riglint").parts[0].removesuffix(".py")
    for other in imported(path):
        assert other in ORDER
        assert ORDER.index(other) <= ORDER.index(name), f"{name} imports {other}"


def test_nothing_in_the_engine_imports_the_standard_pack():
    for path in (ROOT / "riglint").rglob("*.py"):
        assert "import riglint_rules" not in path.read_text(encoding="utf-8")


def test_the_library_draws_nothing_and_loads_no_command():
    code = (
        "import sys, riglint; riglint.check('nowhere.toml');"
        "print([m for m in ('rich', 'argparse', 'riglint.cli', 'tree_sitter') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_folders_are_importable_by_their_installed_names_alone():
    for name in ("riglint_rules", "riglint_specs"):
        assert importlib.util.find_spec(name) is not None
    assert "rules" not in sys.modules


def test_every_package_is_listed():
    setup = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
        "setuptools"
    ]
    folders = {ROOT / setup["package-dir"].get(p, p.replace(".", "/")) for p in setup["packages"]}
    packages = [
        init.parent
        for top in ("riglint", "rules", "specs")
        for init in (ROOT / top).rglob("__init__.py")
    ]
    assert set(packages) == folders


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    out = tmp_path_factory.mktemp("wheel")
    tree = tmp_path_factory.mktemp("tree") / "riglint"
    subprocess.run(["git", "clone", "--quiet", str(ROOT), str(tree)], check=True)
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(out), str(tree)],
        check=True,
    )
    return zipfile.ZipFile(next(out.glob("*.whl"))), tree


def test_the_wheel_holds_every_module_table_and_page(wheel):
    archive, tree = wheel
    inside = set(archive.namelist())
    for folder, package in (
        ("riglint", "riglint"),
        ("rules", "riglint_rules"),
        ("specs", "riglint_specs"),
    ):
        for path in (tree / folder).rglob("*"):
            if path.suffix in (".py", ".toml", ".json", ".md", ".typed", ".css", ".js"):
                within = path.relative_to(tree / folder)
                moved = f"{within}".replace("pytest_plugin/", "../riglint_pytest/")
                moved = moved.replace("entry/", "../riglint_entry/")
                assert os.path.normpath(f"{package}/{moved}") in inside
