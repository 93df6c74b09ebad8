"""A function is read at one glance: none of the packages is longer than 70 lines, signature and docstring included."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGES = ("drafting", "blocks", "output")
LINES = 70


def long_functions(files: Iterable[Path]) -> Iterator[str]:
    """Every function and method over the limit, those within others too: `file:line name (lines)`."""
    for path in files:
        for node in ast.walk(ast.parse(path.read_bytes())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or node.lineno) - node.lineno + 1
                if lines > LINES:
                    yield f"{path.name}:{node.lineno} {node.name} ({lines})"


def test_no_function_is_longer_than_a_glance() -> None:
    assert list(long_functions(path for name in PACKAGES for path in (ROOT / name).rglob("*.py"))) == []


def test_a_function_that_is_longer_is_found(tmp_path: Path) -> None:
    body = "        x = 1\n" * (LINES - 1)
    (tmp_path / "one.py").write_text(
        f"class A:\n    def fits(self):\n{body}\n    def is_long(self):\n{body}        x = 2\n"
    )
    assert list(long_functions(tmp_path.glob("*.py"))) == [f"one.py:{LINES + 3} is_long ({LINES + 1})"]
