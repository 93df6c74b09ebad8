from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from output.command import DONE, YOURS, main
from sampled import DESIGN, SAMPLES


def run(out, *more: str) -> int:
    return main(["guide", str(DESIGN), str(SAMPLES / "sizes.csv"), "--out", str(out), *more])


def test_the_guide_is_written_for_each_paper(tmp_path, capsys):
    assert run(tmp_path, "--page", "A4", "--page", "letter", "--rise", "mid", "--cloth", "120") == DONE
    names = ["heron-shorts-guide-A4.pdf", "heron-shorts-guide-Letter.pdf"]
    assert sorted(path.name for path in tmp_path.iterdir()) == names
    assert capsys.readouterr().out.split("\n")[-3:-1] == [f"  {name}" for name in names]
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / names[0]).pages).split())
    assert "120.0 cm (47.2 in)" in text
    assert "Mid rise" in text
    assert "High rise" not in text


def test_the_same_input_gives_the_same_file(tmp_path):
    for folder in ("one", "two"):
        assert run(tmp_path / folder) == DONE
    first, second = ((tmp_path / folder / "heron-shorts-guide-A4.pdf").read_bytes() for folder in ("one", "two"))
    assert first == second
    assert len(PdfReader(BytesIO(first)).pages) > 10


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (("--cloth", "wide"), "cloth: "),
        (("--cloth", "20"), "cloth: 20 cm"),
        (("--page", "A9"), "paper: 'A9' is not known"),
    ],
)
def test_a_wrong_option_is_refused_and_nothing_is_written(tmp_path, capsys, more, told):
    assert run(tmp_path / "out", *more) == YOURS
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_sizes_that_cannot_be_drafted_are_told_and_the_rest_is_written(tmp_path, capsys):
    assert run(tmp_path, "--cloth", "60", "--rise", "high") == DONE
    assert "Not drafted: H104, high rise: too wide for 60 cm cloth" in capsys.readouterr().out
    text = PdfReader(tmp_path / "heron-shorts-guide-A4.pdf").pages[0].extract_text()
    assert "Sizes H84 to H100" in text


def test_a_table_of_which_no_size_can_be_drafted_is_refused(tmp_path, capsys):
    head, *rows = (SAMPLES / "sizes.csv").read_text().splitlines()
    (tmp_path / "large.csv").write_text(f"{head}\n{rows[-1]}\n")
    out = tmp_path / "out"
    assert main(["guide", str(DESIGN), str(tmp_path / "large.csv"), "--out", str(out), "--cloth", "60"]) == YOURS
    assert "sizes: none of them could be drafted; H152, high rise" in capsys.readouterr().err
    assert not out.exists()
