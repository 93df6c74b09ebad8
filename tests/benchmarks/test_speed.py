"""How long one size takes, and the floors to compare with. Switched off in a normal run; to measure:

    python -m pytest tests/benchmarks --benchmark-enable --benchmark-columns=min,median,rounds

Each round begins with empty caches, as one run of the command does. The ratios to look at are `to A4 PDF` and `full
range` over their floors with reportlab alone, `plain` and `taped` (see `floor`), and `--help` over `bare interpreter`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from io import BytesIO

import pytest
from pypdf import PdfReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from blocks.cloth import Cloth
from blocks.lay import quick_lay
from blocks.measurements import body_from
from blocks.read_design import design_from
from blocks.short import draft_short, leg
from drafting import curve
from floor import PlainDocument, Tape
from output.command import main
from output.commands.draft import DraftRequest, make
from output.drawing import lettering, marks, size_labels
from output.formats import pdf
from output.inspection.pdf_objects import PdfFile
from output.paper.sizes import paper_named
from output.patterns.pattern_pdf import pattern_pdf
from output.system.reading import read_toml
from output.words import font, letters

DESIGN, MEASUREMENTS = "samples/design.toml", "samples/measurements.toml"


def sample():
    measured = read_toml(MEASUREMENTS)
    body = body_from({k: v for k, v in measured.items() if k not in ("size", "unit")}, unit=str(measured["unit"]))
    return design_from(read_toml(DESIGN)), body


def forget():
    """Empty every cache that a fresh process would have to fill."""
    for module in (curve, font, leg, lettering, letters, marks, pdf, size_labels):
        for thing in vars(module).values():
            if hasattr(thing, "cache_clear"):
                thing.cache_clear()
    for name in font.NAMES:
        pdfmetrics._fonts.pop(name, None)


def to_a4_pdf(design, body):
    return pattern_pdf(draft_short(design, body), paper_named("A4")).data


def draft(folder):
    assert main(["draft", DESIGN, MEASUREMENTS, "--out", str(folder)]) == 0


@pytest.mark.benchmark(group="one size: geometry")
def test_geometry_of_one_size(benchmark):
    design, body = sample()
    short = benchmark.pedantic(draft_short, (design, body), setup=forget, rounds=20)
    assert short.pieces


@pytest.mark.benchmark(group="one size: geometry")
@pytest.mark.parametrize("split", [False, True], ids=["whole", "split"])
def test_quick_lay(benchmark, split):
    design, body = sample()
    short = draft_short(design, body, split=split)
    plan = benchmark.pedantic(quick_lay, (short.pieces, Cloth()), rounds=20)
    assert plan.length


@pytest.mark.benchmark(group="one size: for a page")
@pytest.mark.parametrize("guide", [False, True], ids=["pattern", "pattern and guide"])
def test_make(benchmark, guide):
    design, body = sample()
    made = benchmark.pedantic(make, (DraftRequest(design=design, measurements=body, out="", guide=guide),), rounds=20)
    assert len(made.files) == 2 + guide


@pytest.mark.benchmark(group="one size: PDF")
def test_to_a4_pdf(benchmark):
    design, body = sample()
    pdf_of = benchmark.pedantic(to_a4_pdf, (design, body), setup=forget, rounds=20)
    assert pdf_of.startswith(b"%PDF")


def taped(patch, make, *, plain):
    """The tapes of all files that are made."""
    tapes = []

    def record(*args, **options):
        tapes.append(Tape())
        return tapes[-1](*args, **options)

    with patch.context() as within:
        within.setattr("reportlab.pdfgen.canvas.Canvas", record)
        if plain:
            for module in ("tiled", "nested"):
                within.setattr(f"output.patterns.{module}.Document", PlainDocument)
        make()
    return tapes


def play(tapes):
    for name in font.NAMES:  # as reportlab reads a font by itself
        pdfmetrics.registerFont(TTFont(name, str(font.metrics(name).file)))
    files = []
    for tape in tapes:
        file = BytesIO()
        tape.play(file)
        files.append(file.getvalue())
    return files


def pages(data):
    return [page.extract_text() for page in PdfReader(BytesIO(data)).pages]


FLOORS = pytest.mark.parametrize("plain", [True, False], ids=["plain", "taped"])


@pytest.mark.benchmark(group="one size: PDF")
@FLOORS
def test_floor_reportlab_alone(benchmark, monkeypatch, plain):
    design, body = sample()
    made = to_a4_pdf(design, body)
    tapes = taped(monkeypatch, lambda: to_a4_pdf(design, body), plain=plain)
    (played,) = benchmark.pedantic(play, (tapes,), setup=forget, rounds=20)
    assert pages(played) == pages(made)
    if not plain:  # the same but for the record, which reportlab knows nothing of
        assert PdfFile(played).page_digests() == PdfFile(made).page_digests()


@pytest.mark.benchmark(group="one size: whole command")
def test_whole_command(benchmark, tmp_path, capsys):
    """With pieces.json, the summary, and both files forced to the disk."""
    benchmark.pedantic(draft, (tmp_path,), setup=forget, rounds=20)
    assert list(tmp_path.glob("*.pdf"))


@pytest.mark.benchmark(group="start-up")
@pytest.mark.parametrize(
    "arguments",
    [("-c", "import sys"), ("-c", "import sys; from output.command import main; sys.exit(main(['--help']))")],
    ids=["bare interpreter", "--help"],
)
def test_start_up(benchmark, arguments):
    command = [sys.executable, *arguments]
    # As it is once installed: compiled before, which some machines for development forbid.
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    benchmark.pedantic(lambda: subprocess.run(command, check=True, capture_output=True, env=env), rounds=20)


def publish(folder, workers, each):
    """The range as the README asks for it, with a file for each size, or without."""
    options = ["--cloth", "140", "--page", "A4", "--page", "Letter", "--workers", str(workers)]
    assert main(["range", DESIGN, "samples/sizes.csv", "--out", str(folder), *options, *["--each"] * each]) == 0
    return len(list(folder.glob("*.pdf")))


RANGE = pytest.mark.benchmark(group="full range: 16 sizes, both rises, A4 and Letter")
EACH = pytest.mark.parametrize("each", [True, False], ids=["each size too", "nests only"])


@RANGE
@EACH
@pytest.mark.parametrize("workers", [1, 2])
def test_full_range(benchmark, tmp_path, capsys, workers, each):
    assert benchmark.pedantic(publish, (tmp_path, workers, each), setup=forget, rounds=5) == (72 if each else 8)


@RANGE
@EACH
@FLOORS
def test_full_range_floor_reportlab_alone(benchmark, tmp_path, monkeypatch, capsys, plain, each):
    tapes = taped(monkeypatch, lambda: publish(tmp_path, 1, each), plain=plain)

    def write():
        for number, data in enumerate(play(tapes)):
            (tmp_path / f"floor-{number}").write_bytes(data)

    benchmark.pedantic(write, setup=forget, rounds=5)
    assert len(tapes) == len(list(tmp_path.glob("*.pdf")))
