"""What the README shows of Python runs as it stands, and writes what it says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from output.inspection.pdf import inspect_pdf

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"```python\n(.*?)```", README, re.S)


@pytest.mark.parametrize("code", SHOWN, ids=range(len(SHOWN)))
def test_the_python_of_the_readme_writes_a_pattern(
    code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "README.md", "exec"), {"__name__": "__main__"})
    told = capsys.readouterr()
    assert told.err == ""
    patterns = sorted(tmp_path.rglob("*.pdf"))
    assert patterns
    for path in patterns:
        found = inspect_pdf(path.read_bytes(), path.name)
        assert found.safe, found.text()
        pages = PdfReader(path).pages
        assert len(pages) == len(found.pages) > 1
        assert "Heron shorts" in pages[0].extract_text()
        assert f"{path.name}, {len(pages)} pages" in told.out


def test_the_readme_shows_python() -> None:
    assert SHOWN
