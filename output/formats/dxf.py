"""DXF for other pattern software and for cutters, by ASTM D6673, *Sewn Products Pattern Data Interchange*, from memory.

One block holds one piece of one size, drawn as drafted: y up the grain, its origin the same place in every size. What
a line is, its layer says. Curves are polylines within 0.01 mm.

| layer | of a block |
| --- | --- |
| 1 | cut line, a closed polyline; the texts `Piece Name:`, `Size:`, `Quantity:`, `Annotation:` |
| 2 | turn points: where the cut line has a corner |
| 3 | curve points: its other vertices |
| 4 | notches: a point on the cut line, its thickness how deep to snip, its angle the direction inward |
| 7 | grain line |
| 8 | fold and stitch lines of the casings, each a line from seam to seam; lines of marks inside the piece, polylines |
| 13 | drill holes: points to mark through, such as the corners of a pocket; left out where there is none |
| 14 | seam line, a closed polyline |
| 15 | names of the lines on layer 8 |

In the model space each block is inserted once, a size a row, so that no two overlap; there the texts `Style Name:`,
`Author:`, `Sample Size:` and `Units: METRIC` stand on layer 1. The header says millimetres as well.

The standard was not at hand, so conformance is not claimed. Not covered: grade rules and their file (every size is
drawn in full), reference lines for grading (5), mirror lines (6: no piece is half of one), stripe and plaid lines
(9, 10), cut-outs (11), the notches of other shapes (80 to 83), curves for checking quality (84 to
87), turn and curve points of other lines than the cut line, and the texts for cloth, category and date. The file is of
the release of the year 2000, the first that names its unit; the standard is older.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from configparser import ConfigParser
from contextlib import contextmanager
from importlib import import_module
from io import StringIO
from itertools import pairwise, zip_longest
from math import atan2, degrees
from types import ModuleType
from typing import TYPE_CHECKING, Final

from drafting.errors import OutputError
from drafting.path import SMOOTH_TURN, Path
from drafting.piece import CasingLine, Grainline, Mark, Notch, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.labels import STYLE as LETTERS
from output.drawing.lettering import LEADING
from output.drawing.notches import snips
from output.formats.pattern_json import DIGITS, FLATNESS
from output.system.as_shipped import as_shipped
from output.words import text as words
from output.words.letters import check_text, text_width, unmarked

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import BaseLayout

LAYERS: Final[Mapping[Role, str]] = {
    Role.CUT: "1",
    Role.NOTCH: "4",
    Role.GRAIN: "7",
    Role.FOLD: "8",
    Role.STITCH: "8",
    Role.PLACE: "8",
    Role.BUTTONHOLE: "8",
    Role.CROSS: "13",
    Role.SEAM: "14",
    Role.LABEL: "15",
}
"""The layer of each kind of line; labels are the names of those on layer 8."""

TURN, CURVE = "2", "3"
"""Layers of the cut line's vertices."""

TEXTS: Final = LAYERS[Role.CUT]
"""The layer of what is said of the whole piece or file."""

GAP: Final = 50.0
"""mm; between blocks in the model space."""

LABEL_INSET: Final = Vector(20.0, 1.0)
"""mm; from the left end of a casing line to its name."""

MARK_INSET: Final = Vector(2.0, -5.0)
"""mm; from the start of a mark to its label."""

CAPITALS: Final = 0.73
"""Height of capital letters, which is what DXF gives, over the size of our fonts; few readers have wider ones."""

LONGEST_NAME: Final = 31
"""Characters of a block's name; the limit of old readers."""

_FLATTENING: Final = FLATNESS - 10.0**-DIGITS
"""mm; flattened a little finer, so that rounding stays within the flatness promised."""


def pattern_dxf(pieces: Sequence[Piece], *, design: str, workroom: str = "", sample_size: str = "") -> bytes:
    """One piece or more, of one size or of many, as an ASCII DXF file in mm; the same pieces give the same bytes.

    `sample_size` is the size that the range was graded from; the first size when it is not said.

    Raises:
        OutputError: the library ezdxf is not installed, or a name has a character that our fonts lack.
    """
    with _library():
        return _written(pieces, design, workroom, sample_size or pieces[0].size)


@contextmanager
def _library() -> Iterator[None]:
    """The library with its own marks of time and chance switched off: its documented way to the same bytes."""
    with as_shipped():
        ezdxf = _ezdxf()
        before = ezdxf.options.write_fixed_meta_data_for_testing
        ezdxf.options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            ezdxf.options.write_fixed_meta_data_for_testing = before


def _ezdxf() -> ModuleType:
    """The library, which reads no settings from files: it would look for them in the working folder, too."""
    read, ConfigParser.read = ConfigParser.read, _nothing  # type: ignore[assignment, method-assign]
    try:
        return import_module("ezdxf")
    except ImportError:
        raise OutputError(
            "DXF: the library ezdxf, which writes it, is not installed; run: python -m pip install 'shirrline[dxf]'"
        ) from None
    finally:
        ConfigParser.read = read  # type: ignore[method-assign]


def _nothing(*_given: object, **_options: object) -> list[str]:
    return []


def _written(pieces: Sequence[Piece], design: str, workroom: str, sample_size: str) -> bytes:
    import ezdxf  # noqa: PLC0415
    from ezdxf import units  # noqa: PLC0415

    document = ezdxf.new("R2000", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    drilled = any(mark.points for piece in pieces for mark in piece.marks)
    unused = set() if drilled else {LAYERS[Role.CROSS]}
    for layer in sorted({*LAYERS.values(), TURN, CURVE} - unused, key=int):
        document.layers.add(layer)
    space = document.modelspace()
    right = top = 0.0
    for size, variant in dict.fromkeys((piece.size, piece.variant) for piece in pieces):
        row = [piece for piece in pieces if (piece.size, piece.variant) == (size, variant)]
        height = max(piece.cut_line.bounds[3] - piece.cut_line.bounds[1] for piece in row)
        at = 0.0
        for piece in row:
            left, _, end, upper = piece.cut_line.bounds
            block = document.blocks.new(_block_name(document, piece))
            _draw(block, piece)
            place = _rounded(Point(at - left, top - upper))
            space.add_blockref(block.name, (place.x, place.y))
            at += end - left + GAP
        right, top = max(right, at - GAP), top - height - GAP
    style = (("Style Name", design), ("Author", workroom), ("Sample Size", sample_size), ("Units", "METRIC"))
    _texts(space, TEXTS, Point(0, GAP), [f"{field}: {said}" for field, said in style if said], LETTERS.title)
    low, high = _rounded(Point(0, top + GAP)), _rounded(Point(right, 2 * GAP))
    middle = _rounded(low.toward(high, 0.5))
    space.reset_extents((low.x, low.y, 0), (high.x, high.y, 0))
    document.set_modelspace_vport(round(high.y - low.y, DIGITS), (middle.x, middle.y))
    stream = StringIO()
    document.write(stream)
    return document.encode(stream.getvalue())


def _block_name(document: Drawing, piece: Piece) -> str:
    """Piece, size and rise in capitals, digits and hyphens; with a number when that is taken."""
    said = "-".join(part for part in (piece.name, piece.size, str(piece.variant)) if part).upper()
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in said)
    name, number = plain[:LONGEST_NAME], 1
    while name in document.blocks:
        number += 1
        ending = f"-{number}"
        name = plain[: LONGEST_NAME - len(ending)] + ending
    return name


def _draw(block: BaseLayout, piece: Piece) -> None:
    outline: list[Point] = []
    corners: list[Point] = []
    others: list[Point] = []
    for point, turns in vertices(piece.cut_line):
        outline.append(point)
        (corners if turns else others).append(point)
    for role, line in ((Role.CUT, outline), (Role.SEAM, [point for point, _ in vertices(piece.seam_line)])):
        block.add_polyline2d([(point.x, point.y) for point in line], close=True, dxfattribs={"layer": LAYERS[role]})
    for layer, points in ((TURN, corners), (CURVE, others)):
        for point in points:
            block.add_point((point.x, point.y), dxfattribs={"layer": layer})
    for notch in piece.notches:
        _notch(block, piece, notch)
    _line(block, Role.GRAIN, piece.grainline)
    for role, lines in ((Role.FOLD, piece.fold_lines), (Role.STITCH, piece.stitch_lines)):
        for casing_line in lines:
            _line(block, role, casing_line)
    for mark in piece.marks:
        _mark(block, mark)
    _name(block, piece)


def vertices(path: Path) -> list[tuple[Point, bool]]:
    """The vertices of a closed polyline within 0.01 mm of a closed path, and whether the path has a corner there."""
    found: list[tuple[Point, bool]] = []
    segments = path.segments
    for segment, after in zip(segments, (*segments[1:], segments[0]), strict=True):
        arriving, leaving = segment.tangent(1), after.tangent(0)
        corner = abs(atan2(arriving.cross(leaving), arriving.dot(leaving))) > SMOOTH_TURN
        *inner, last = segment.flat(_FLATTENING)
        found += [(_rounded(point), False) for point in inner]
        found.append((_rounded(last), corner))
    kept: list[tuple[Point, bool]] = []
    for point, corner in found:
        if kept and kept[-1][0] == point:  # two that are one when rounded
            kept[-1] = point, corner or kept[-1][1]
        else:
            kept.append((point, corner))
    return kept


def _notch(block: BaseLayout, piece: Piece, notch: Notch) -> None:
    """A point for each snip of the notch; where the allowance is too narrow for a snip, its point has no depth."""
    for snip in snips(piece, notch):
        at = _rounded(snip.at)
        # else half a turn is now 180 and now -180
        angle = round(degrees(atan2(snip.inward.y, snip.inward.x)), DIGITS) % 360
        look = {"layer": LAYERS[Role.NOTCH], "thickness": round(snip.depth, DIGITS), "angle": angle}
        block.add_point((at.x, at.y), dxfattribs=look)


def _line(block: BaseLayout, role: Role, line: Grainline | CasingLine) -> None:
    a, b = _rounded(line.start), _rounded(line.end)
    block.add_line((a.x, a.y), (b.x, b.y), dxfattribs={"layer": LAYERS[role]})


def _mark(block: BaseLayout, mark: Mark) -> None:
    """Its line as a polyline, each of its points as a drill hole."""
    if mark.line:
        corners = [_rounded(point) for point in mark.line.flat(tolerance=_FLATTENING)]
        if mark.line.closed:
            corners.pop()
        at = [(corner.x, corner.y) for corner in corners]
        block.add_polyline2d(at, close=mark.line.closed, dxfattribs={"layer": LAYERS[Role.PLACE]})
    for point in mark.points:
        place = _rounded(point)
        block.add_point((place.x, place.y), dxfattribs={"layer": LAYERS[Role.CROSS]})


def _name(block: BaseLayout, piece: Piece) -> None:
    """The piece's texts beside the grain line, in its longest stretch that no casing line crosses; the lines' names at
    their left ends.
    """
    notes = (words.size_line(piece.size, piece.variant) if piece.variant else "", words.cut_line(piece), *piece.notes)
    said = (piece.title, piece.size, str(piece.cut_count), *filter(None, notes))
    fields = ("Piece Name", "Size", "Quantity")
    lines = [f"{field}: {text}" for field, text in zip_longest(fields, said, fillvalue="Annotation")]
    crossings = [line.start.y for line in (*piece.fold_lines, *piece.stitch_lines)]
    x = piece.grainline.start.x
    bottom, top = sorted((piece.grainline.start.y, piece.grainline.end.y))
    stops = sorted((bottom, *(y for y in crossings if bottom < y < top), top))
    low, high = max(pairwise(stops), key=lambda stretch: stretch[1] - stretch[0])
    left, right = _room_beside(piece, x, low, high)
    wide = max(text_width(line, 1 / CAPITALS) for line in lines)
    size = min(LETTERS.body, (high - low) / (LEADING * (len(lines) + 1)), max(left, right) / (wide + 3))
    begin = x + 2 * size if right >= left else x - (wide + 2) * size
    first = Point(begin, (low + high) / 2 + LEADING * size * (len(lines) / 2 - 1))
    _texts(block, TEXTS, first, lines, size)
    labels = [(line, words.fold_label(line)) for line in piece.fold_lines]
    labels += [(line, words.stitch_label(line)) for line in piece.stitch_lines]
    for line, label in labels:
        end = min(line.start, line.end, key=lambda point: point.x)
        _texts(block, LAYERS[Role.LABEL], end + LABEL_INSET, [label], LETTERS.line)
    for mark in piece.marks:
        at = mark.line.start if mark.line else mark.points[0]
        _texts(block, LAYERS[Role.LABEL], at + MARK_INSET, [mark.label], LETTERS.line)


def _room_beside(piece: Piece, x: float, low: float, high: float) -> tuple[float, float]:
    """How far the seam line lies to the left and to the right of an upright line, between two heights."""
    edges = [at.x for step in range(17) for at in piece.seam_line.heights(low + (high - low) * step / 16)]
    return min(x - edge for edge in edges if edge < x), min(edge - x for edge in edges if edge > x)


def _texts(block: BaseLayout, layer: str, first: Point, lines: Sequence[str], size: float) -> None:
    """Lines of text under each other, `size` mm high, the first one's baseline starting at `first`."""
    for number, line in enumerate(lines):
        check_text(line)
        at = _rounded(first + Vector(0, -LEADING * size * number))
        look = {"layer": layer, "height": round(size, DIGITS), "insert": (at.x, at.y)}
        block.add_text(_literal(unmarked(line)), dxfattribs=look)


def _literal(text: str) -> str:
    r"""A text without the codes that a reader would take for signs: `%%c`, `^I`, `\U+2300`.

    Source: the DXF reference, from memory: `%%%` is a percent sign, `^` and a blank a caret, `\U+` a code point.

    >>> _literal("50 %"), _literal("%%c"), _literal("a^b"), _literal(r"\U+2300")
    ('50 %', '%%%%%%c', 'a^ b', '\\U+005CU+2300')
    """
    text = re.sub(r"%{2,}", lambda found: "%%%" * len(found[0]), text.replace("^", "^ "))
    return re.sub(r"\\(?=[UM]\+)", r"\\U+005C", text)


def _rounded(point: Point) -> Point:
    """The point as it is written; adding zero turns -0.0 into 0.0."""
    return Point(round(point.x, DIGITS) + 0.0, round(point.y, DIGITS) + 0.0)
