"""What the files import is declared in pyproject.toml, and nothing is declared for no purpose."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGES = ("drafting", "blocks", "output")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
RUN = ("cluster", "dxf", "lay", "serve")
WITHOUT_IMPORT = {"pytest-benchmark", "pytest-cov", "pytest-xdist"}
"""Plugins, which pytest loads by itself."""


def plain(requirement: str) -> str:
    """A library's name as its publisher may spell it too.

    >>> plain("Resvg_py>=0.5"), plain("shirrline[lay]")
    ('resvg-py', 'shirrline')
    """
    return re.split(r"[^A-Za-z0-9._-]", requirement)[0].lower().replace("_", "-").replace(".", "-")


def imported(files: Iterator[Path]) -> set[str]:
    """The libraries whose modules the files import anywhere, in functions too."""
    names = set()
    for path in files:
        for node in ast.walk(ast.parse(path.read_bytes())):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                names.add(node.module.partition(".")[0])
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "import_module":
                names |= {str(name.value).partition(".")[0] for name in node.args if isinstance(name, ast.Constant)}
    ours = {path.stem for path in (ROOT / "tests").rglob("*.py")} | {*PACKAGES, "benchmarks", "campaigns"}
    owners = packages_distributions()
    foreign = names - set(sys.stdlib_module_names) - {"__future__"} - ours
    return {plain(owner) for name in foreign for owner in owners.get(name, [name])}


def declared(*extras: str) -> set[str]:
    """The libraries that the project asks for, with those of some of its extras."""
    asked = [*PROJECT["dependencies"], *(line for extra in extras for line in EXTRAS[extra])]
    return {plain(line) for line in asked} - {"shirrline"}


def test_the_packages_import_what_is_declared_for_a_run_and_all_of_it() -> None:
    found = imported(path for name in PACKAGES for path in (ROOT / name).rglob("*.py"))
    assert found == declared(*RUN)


def test_the_tests_import_what_is_declared_for_them_and_all_of_it() -> None:
    found = imported((ROOT / "tests").rglob("*.py"))
    assert found - declared(*RUN, "test") == set()
    assert {plain(line) for line in EXTRAS["test"]} - {"shirrline"} - found == WITHOUT_IMPORT


def test_an_import_that_is_not_declared_is_found(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text("def f():\n    import coverage.data\n    from mypy import api\n", encoding="utf-8")
    (tmp_path / "two.py").write_text('from importlib import import_module\nimport_module("ruff")\n', encoding="utf-8")
    assert imported(tmp_path.glob("*.py")) - declared(*RUN, "test") == {"coverage", "mypy", "ruff"}
