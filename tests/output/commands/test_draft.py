"""The draft command as a value: what is made is what is written, and each file can be made by itself."""

from __future__ import annotations

from pathlib import Path

from output.commands.draft import DraftRequest, draft, make, plan
from sampled import DESIGN, heron_body


def asked(out: Path) -> DraftRequest:
    """A draft with a file of every kind."""
    return DraftRequest(
        design=DESIGN,
        measurements=heron_body(),
        adjust={"long rise": 1},
        out=out,
        pages=("Letter", "A4", "A0"),
        projections=("light",),
        svg=True,
        dxf=True,
        before_after=True,
    )


def test_what_is_made_is_what_is_written(tmp_path: Path) -> None:
    request = asked(tmp_path / "out")
    made = make(request)
    assert not (tmp_path / "out").exists()
    report = draft(request)
    assert report.files == tuple(file.made for file in made.files)
    written = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert written == {file.name: file.data for file in made.files}


def test_each_file_is_made_by_itself_as_among_the_others(tmp_path: Path) -> None:
    request = asked(tmp_path / "out")
    planned, made = plan(request), make(request)
    assert [planned.made(name) for name in planned.makers] == list(made.files)
