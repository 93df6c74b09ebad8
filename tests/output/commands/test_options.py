"""What patterns and booklets may be asked for on, and that the command writes it."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from drafting.errors import DraftError
from output.command import main
from output.commands.options import media_of, papers_of
from output.inspection.pdf import inspect_pdf
from output.paper.sizes import A4, LETTER, PROJECTIONS, paper_named, roll

SAMPLES = Path(__file__).parents[3] / "samples"


def test_patterns_go_on_paper_rolls_and_projections():
    assert media_of((), (), ()) == [A4]
    assert media_of((), ("914",), ()) == [roll(914)]
    assert media_of(("letter", "A0", "Letter"), ("610", 610), ("dark",)) == [
        LETTER,
        paper_named("A0"),
        roll(610),
        PROJECTIONS["dark"],
    ]
    assert media_of(("roll-1067",), (), ()) == [roll(1067)]


@pytest.mark.parametrize("width", ["wide", "", "12", "nan", "914mm"])
def test_a_roll_of_no_width_is_refused(width):
    with pytest.raises(DraftError, match=r"roll: .* give the roll's width in mm, as in 914"):
        media_of((), (width,), ())


@pytest.mark.parametrize("name", ["A0", "ANSI-E", "roll-914"])
def test_booklets_go_on_paper_of_a_home_printer(name):
    assert papers_of(["letter", "A4"]) == [LETTER, A4]
    with pytest.raises(DraftError, match="is for patterns alone; choose A4 or Letter"):
        papers_of([name])


def test_the_command_writes_what_was_asked_for(tmp_path, capsys):
    design, body = str(SAMPLES / "design.toml"), str(SAMPLES / "measurements.toml")
    options = ["--page", "A1", "--roll", "914", "--projection", "light", "--projection", "dark"]
    assert main(["draft", design, body, "--out", str(tmp_path), *options]) == 0
    told = capsys.readouterr().out
    names = [f"heron-shorts-H102-high-{end}.pdf" for end in ("A1", "roll-914", "projection-light", "projection-dark")]
    for name in names:
        assert f"  {name}, " in told
        data = (tmp_path / name).read_bytes()
        found = inspect_pdf(data, name)
        assert found.safe is ("projection" not in name)
        assert all(square.true for square in found.squares)
        assert len(PdfReader(BytesIO(data)).pages) == len(found.pages)
    assert "roll-914.pdf, 1 page, " in told
    assert " cm long" in told
