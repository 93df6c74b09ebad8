"""Does the paper give the pattern back? Pages are rendered as a printer would, their register marks are found by shape
alone, the pages are trimmed and joined by those marks, and the result is laid over the same sheet drawn in one.

The pixel at 300 dpi is the measure: 1/300 inch, with the inch at 25.4 mm exactly (1959).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy import ndimage, signal

from output.drawing.marks import STYLE
from output.formats.pdf import one_page_pdf
from output.paper.layout import Cell
from output.paper.sizes import A4, LETTER
from output.patterns.tiled import TiledPdf, tiled_pdf
from quick import quick
from raster import rendered
from sample_pieces import leg_like, strip

DPI = 300
MM = DPI / 25.4
"""Pixels per mm."""

COARSE = 4
BORDER = 300
"""Pixels of table round the sheet, for the pages' own margins."""
DARK, INKED = 100, 136
"""A pixel is dark when most of it is inked. The half-inked rim of a line may fall either way, so that what answers a
dark pixel need only be inked; a join line is paler than that.
"""


def ring_and_cross(pixels: float) -> tuple[np.ndarray, np.ndarray]:
    """The two parts of a register mark as masks, drawn from its measures and not by the code under test."""
    reach = int(STYLE.register_arm * pixels) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1] / pixels
    half = max(0.1, 0.5 / pixels)
    arm = STYLE.register_arm
    cross = ((abs(x) <= half) & (abs(y) <= arm)) | ((abs(y) <= half) & (abs(x) <= arm))
    return abs(np.hypot(x, y) - STYLE.register_ring) <= half, cross


def mark_template(pixels: float) -> np.ndarray:
    """A cross in a ring, as ink from 0 to 1."""
    ring, cross = ring_and_cross(pixels)
    return (ring | cross).astype(float)


def likeness(ink: np.ndarray, template: np.ndarray) -> np.ndarray:
    """Normalised cross-correlation at every place where the template lies wholly on the ink."""
    shape = template - template.mean()
    count = template.size
    ones = np.ones_like(template)
    total = signal.fftconvolve(ink, ones, mode="valid")
    square = signal.fftconvolve(ink * ink, ones, mode="valid")
    spread = np.sqrt(np.maximum(square - total * total / count, 1e-3) * (shape**2).sum())
    return signal.fftconvolve(ink, shape[::-1, ::-1], mode="valid") / spread


def find_marks(page: np.ndarray) -> list[tuple[float, float]]:
    """Centres (x, y) of the register marks in pixels from the upper left, found by their shape and nothing else."""
    ink = (255 - page) / 255
    trimmed = ink[: ink.shape[0] // COARSE * COARSE, : ink.shape[1] // COARSE * COARSE]
    small = trimmed.reshape(trimmed.shape[0] // COARSE, COARSE, -1, COARSE).mean(axis=(1, 3))
    rough = mark_template(MM / COARSE)
    match = likeness(small, rough)
    peaks = (match == ndimage.maximum_filter(match, size=rough.shape[0])) & (match > 0.45)
    fine = mark_template(MM)
    ring = ring_and_cross(MM)[0].astype(float)
    half, slack, found = fine.shape[0] // 2, 2 * COARSE, []
    padded = np.pad(ink, half + slack)
    for row, column in zip(*peaks.nonzero(), strict=True):
        y, x = ((place + rough.shape[0] // 2) * COARSE + COARSE // 2 for place in (row, column))
        window = padded[y : y + 2 * (half + slack) + 1, x : x + 2 * (half + slack) + 1]
        near = likeness(window, fine)
        dy, dx = np.unravel_index(near.argmax(), near.shape)
        if near[dy, dx] > 0.5 and likeness(window, ring)[dy, dx] > 0.4:  # lines that cross are no ring
            found.append((x - slack + dx + vertex(near[dy], dx), y - slack + dy + vertex(near[:, dx], dy)))
    return found


def vertex(values: np.ndarray, at: int) -> float:
    """Where between the pixels a peak lies, from the parabola through it and its neighbours."""
    if not 0 < at < len(values) - 1:
        return 0.0
    before, peak, after = values[at - 1 : at + 2]
    return float((before - after) / (2 * (before - 2 * peak + after)))


@dataclass(frozen=True)
class Print:
    """One printed page, with what a person sees on it: its marks, and the join lines they stand on, in pixels."""

    pixels: np.ndarray
    marks: tuple[tuple[float, float], ...]

    def line(self, axis: int, *, last: bool) -> tuple[tuple[float, float], ...]:
        """The marks on the join furthest left (axis 0) or highest (axis 1), or furthest the other way."""
        places = [mark[axis] for mark in self.marks]
        edge = max(places) if last else min(places)
        here = (mark for mark in self.marks if abs(mark[axis] - edge) < 6)
        return tuple(sorted(here, key=lambda mark: mark[1 - axis]))


def prints(pdf: TiledPdf) -> dict[tuple[int, int], Print]:
    """Every page of the sheet by row and column."""
    pages = {}
    for index, cell in enumerate(pdf.layout.cells, pdf.first_pages):
        pixels = rendered(pdf.data, index, DPI)
        pages[cell.row, cell.column] = Print(pixels, tuple(find_marks(pixels)))
    return pages


def offset(fixed: tuple[tuple[float, float], ...], loose: tuple[tuple[float, float], ...]) -> np.ndarray:
    """The shift that lays the loose page's marks on the fixed page's; both must show the same three."""
    assert len(fixed) == len(loose) == 3
    shifts = np.array(fixed) - np.array(loose)
    assert np.ptp(shifts, axis=0).max() < 1, "the marks of two pages cannot be laid on each other"
    return shifts.mean(axis=0)


def joined(pdf: TiledPdf, pages: dict[tuple[int, int], Print]) -> tuple[np.ndarray, list[tuple[float, float]]]:
    """The pages trimmed and laid on each other by their marks, cropped to the sheet, and all marks on it.

    Each page lies on the one to its left or, in the first column, on the one below; it covers what is under it.
    """
    rows, columns = pdf.layout.rows, pdf.layout.columns
    order = [(row, column) for row in range(rows, 0, -1) for column in range(1, columns + 1)]
    first = pages[rows, 1]
    x, y = max(first.line(0, last=True), key=lambda mark: mark[1])
    # that mark stands one cell to the right of the sheet's lower left corner and so far up; a pixel is its middle
    up = pdf.layout.register_marks[Cell(rows, 1), True][0]
    sheet = np.array((x + 0.5 - pdf.layout.cell_size[0] * MM, y + 0.5 + (up - pdf.layout.height) * MM))
    at = {order[0]: BORDER - sheet}
    for row, column in order[1:]:
        page = pages[row, column]
        if column > 1:
            under = row, column - 1
            by = offset(pages[under].line(0, last=True), page.line(0, last=False))
        else:
            under = row + 1, column
            by = offset(pages[under].line(1, last=False), page.line(1, last=True))
        at[row, column] = at[under] + by
    width, height = math.ceil(pdf.layout.width * MM), math.ceil(pdf.layout.height * MM)
    table = np.full((height + 2 * BORDER, width + 2 * BORDER), 255, dtype=np.uint8)
    marks = []
    for row, column in order:
        page = pages[row, column]
        tall, wide = page.pixels.shape
        left = round(page.line(0, last=False)[0][0]) if column > 1 else 0
        bottom = round(page.line(1, last=True)[0][1]) if row < rows else tall
        x, y = np.round(at[row, column]).astype(int)
        table[y : y + bottom, x + left : x + wide] = page.pixels[:bottom, left:]
        marks += [tuple(np.array(mark) + at[row, column] - BORDER) for mark in page.marks]
    return table[BORDER : BORDER + height, BORDER : BORDER + width], marks


def compared(paper: np.ndarray, marks: list[tuple[float, float]], whole: np.ndarray) -> tuple[int, int]:
    """Dark pixels of the drawing that the joined paper lacks, and of the paper that the drawing lacks, beyond 1 pixel.

    The pages' own furniture is no part of the drawing: join lines are paler than dark, and marks are passed over.
    """
    around = np.ones((3, 3), dtype=bool)
    missing = (whole < DARK) & ~ndimage.binary_dilation(paper < INKED, around)
    extra = (paper < DARK) & ~ndimage.binary_dilation(whole < INKED, around)
    reach = round((STYLE.register_arm + 0.5) * MM)
    for x, y in marks:
        extra[max(0, round(y) - reach) : round(y) + reach + 1, max(0, round(x) - reach) : round(x) + reach + 1] = False
    return int(missing.sum()), int(extra.sum())


def overlay(pdf: TiledPdf, pages: dict[tuple[int, int], Print], whole: np.ndarray) -> tuple[int, int]:
    """Join the pages and compare them with the sheet in one piece."""
    return compared(*joined(pdf, pages), whole)


def moved(pdf: TiledPdf) -> int:
    """How many register marks at ends of joins have given way to a cut line."""
    width, height = pdf.layout.cell_size
    joins = pdf.layout.register_marks.items()
    return sum((marks[0] != 0) + (marks[-1] != (height if upright else width)) for (_, upright), marks in joins)


@pytest.fixture(
    scope="module", params=quick(["A4", "Letter", "Letter, marks moved"], lambda name: name == "Letter, marks moved")
)
def printed(request):
    pieces = [leg_like(width=480, height=440, casings=3)]
    if request.param.endswith("moved"):
        pieces = [leg_like(width=440, height=400, casings=0), strip(length=150, height=40, skew=20)]
    paper = A4 if request.param == "A4" else LETTER
    pdf = tiled_pdf(pieces, paper=paper, title="Heron shorts", size="H102", rise="high")
    assert (moved(pdf) > 0) == (len(pieces) > 1)
    assert pdf.layout.rows >= 2
    assert pdf.layout.columns >= 2
    assert len(pdf.layout.cells) == pdf.layout.rows * pdf.layout.columns
    whole = rendered(one_page_pdf(pdf.sheet, title="Heron shorts"), 0, DPI)
    return pdf, prints(pdf), whole


def test_every_page_shows_its_marks_and_nothing_else_looks_like_one(printed):
    pdf, pages, _ = printed
    inset, marks = pdf.layout.tiling.inset, pdf.layout.register_marks
    width, height = pdf.layout.cell_size
    for (row, column), page in pages.items():
        expected: set[tuple[float, float]] = set()  # from the upper left of the page's own part
        for x, left in ((0.0, column - 1), (width, column)):
            expected |= {(x, height - along) for along in marks.get((Cell(row, left), True), ())}
        for y, above in ((0.0, row - 1), (height, row)):
            expected |= {(along, y) for along in marks.get((Cell(above, column), False), ())}
        places = [((inset + x) * MM, (inset + y) * MM) for x, y in expected]
        assert len(page.marks) == len(places)
        for x, y in places:
            assert min(np.hypot(x - a, y - b) for a, b in page.marks) < 1


def test_joined_pages_are_the_sheet(printed):
    pdf, pages, whole = printed
    assert (whole < DARK).sum() > 50_000
    assert overlay(pdf, pages, whole) == (0, 0)


def test_a_printer_that_feeds_askew_is_made_good_by_the_marks(printed):
    pdf, pages, whole = printed
    fed = {}
    for number, (key, page) in enumerate(pages.items()):
        dy, dx = (number * 5) % 13 - 6, (number * 7) % 11 - 5
        pixels = np.roll(page.pixels, (dy, dx), axis=(0, 1))  # the margin is wide enough that nothing wraps
        fed[key] = Print(pixels, tuple(find_marks(pixels)))
    assert overlay(pdf, fed, whole) == (0, 0)


@pytest.mark.parametrize("shift", [(0, 3), (3, 0)])
def test_a_page_laid_wrong_is_noticed(printed, shift):
    pdf, pages, whole = printed
    key = max(pages)
    moved = replace(pages[key], pixels=np.roll(pages[key].pixels, shift, axis=(0, 1)))
    missing, extra = overlay(pdf, {**pages, key: moved}, whole)
    assert missing > 100
    assert extra > 100


def test_a_page_of_another_scale_cannot_be_laid_on_its_neighbour(printed):
    pdf, pages, whole = printed
    key = max(pages)
    pixels = ndimage.zoom(pages[key].pixels, 0.97, order=1)
    with pytest.raises(AssertionError):
        overlay(pdf, {**pages, key: Print(pixels, tuple(find_marks(pixels)))}, whole)


def test_both_calibration_squares_have_their_size(printed):
    pdf, _, _ = printed
    ink = 255.0 - rendered(pdf.data, 0, DPI)
    shapes, _ = ndimage.label(ink > 64)
    sizes = [(down.stop - down.start, across.stop - across.start) for down, across in ndimage.find_objects(shapes)]
    square = [abs(tall - wide) <= 2 and tall > 500 for tall, wide in sizes]
    boxes = [box for box, yes in zip(ndimage.find_objects(shapes), square, strict=True) if yes]
    assert len(boxes) == 2
    for box, side in zip(sorted(boxes, key=lambda box: box[1].start), (50 * MM, 2 * DPI), strict=True):
        down, across = box
        grown = ink[down.start - 3 : down.stop + 3, across.start - 3 : across.stop + 3]
        size = grown.shape[0]
        for share in (0.1, 0.9):  # where nothing is written in the square
            for line in (grown[round(size * share)], grown[:, round(size * share)]):
                first, second = line[: size // 2], line[size // 2 :]
                ends = [np.average(np.arange(len(half)), weights=half) for half in (first, second)]
                assert len(first) + ends[1] - ends[0] == pytest.approx(side, abs=1)


def test_the_template_is_not_fooled_by_a_ring_or_a_cross_alone():
    template = mark_template(MM)
    size = template.shape[0]
    for part in (np.hypot(*np.mgrid[-1 : 1 : size * 1j, -1 : 1 : size * 1j]) < 0.5, np.eye(size, dtype=bool)):
        page = np.full((size * 3, size * 3), 255, dtype=np.uint8)
        page[size : 2 * size, size : 2 * size][part] = 0
        assert not find_marks(page)
    page = np.full((size * 3, size * 3), 255, dtype=np.uint8)
    page[size : 2 * size, size : 2 * size][template > 0] = 0
    ((x, y),) = find_marks(page)
    assert (x, y) == pytest.approx((size + size // 2, size + size // 2), abs=0.5)
