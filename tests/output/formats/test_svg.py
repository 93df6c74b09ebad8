"""SVG read back by others: svgpathtools measures its paths, resvg renders it over the PDF of the same sheet, and
svgwrite checks it against the attributes and elements of SVG 1.1 while it is written.

A pixel at 150 dpi is 25.4 / 150 mm (the inch of 1959).
"""

from __future__ import annotations

import io
import math
import subprocess
import sys
from dataclasses import replace
from itertools import groupby, pairwise
from pathlib import Path as FilePath
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
import svgpathtools
from PIL import Image
from scipy import ndimage

from blocks.measurements import body_from
from blocks.short import draft_short
from drafting.curve import Cubic, Line
from drafting.errors import OutputError
from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.lettering import overlap, text_box
from output.drawing.pieces import draw_sheet, piece_strokes
from output.drawing.sheet import Pen, Sheet, Stroke, Text
from output.formats import svg
from output.formats.pdf import one_page_pdf
from output.formats.svg import laid_svg, nest_svg, piece_svg, sheet_svg
from quick import quick
from raster import rendered
from sample_pieces import leg_like, marked, strip
from sampled import heron_design

DPI = 150
NAME = "Heron shorts"
FONTS = [str(FilePath(svg.__file__).parents[1] / "fonts" / f"{name}.ttf") for name in ("DejaVuSans", "DejaVuSans-Bold")]
NAMESPACE = "{http://www.w3.org/2000/svg}"
ROLES = ("cut", "seam", "fold", "stitch", "grain", "notch")


def heron(hip: float = 102, **options: object) -> tuple[Piece, ...]:
    body = body_from({"waist_girth": hip * 0.75, "hip_girth": hip, "body_rise": 27, "waist_to_hip": 20.5}, unit="cm")
    return draft_short(heron_design(), body, **options).pieces


LEG, FACING = heron()[:2]


def parsed(data: bytes) -> ElementTree.Element:
    return ElementTree.fromstring(data)


def by_id(root: ElementTree.Element, wanted: str) -> ElementTree.Element:
    found = [element for element in root.iter() if element.get("id") == wanted]
    assert len(found) == 1, f"{len(found)} elements have the id {wanted}"
    return found[0]


def of_class(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [element for element in root.iter(f"{NAMESPACE}g") if element.get("class") == kind]


def path_data(root: ElementTree.Element) -> list[str]:
    return [element.attrib["d"] for element in root.iter(f"{NAMESPACE}path")]


def svg_ink(data: bytes) -> np.ndarray:
    """Inked pixels by resvg, with the fonts of our PDF."""
    png = resvg_py.svg_to_bytes(
        svg_string=data.decode(), dpi=DPI, background="#ffffff", skip_system_fonts=True, font_files=FONTS
    )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("L")) < 128


def pdf_ink(data: bytes) -> np.ndarray:
    """Inked pixels by pdfium at exactly 150 dpi."""
    return rendered(data, 0, DPI) < 128


def astray(a: np.ndarray, b: np.ndarray, *, reach: int = 1) -> int:
    """Inked pixels of either picture without an inked pixel of the other within `reach`, across, up or aslant."""
    assert all(abs(m - n) <= 1 for m, n in zip(a.shape, b.shape, strict=True)), f"{a.shape} over {b.shape}"
    height, width = (max(sides) for sides in zip(a.shape, b.shape, strict=True))
    a, b = (np.pad(ink, ((0, height - ink.shape[0]), (0, width - ink.shape[1]))) for ink in (a, b))
    near = np.ones((2 * reach + 1, 2 * reach + 1), dtype=bool)
    return int((a & ~ndimage.binary_dilation(b, near)).sum() + (b & ~ndimage.binary_dilation(a, near)).sum())


def reach_of_words(sheet: Sheet) -> int:
    """How many pixels letters may lie apart: a PDF gives their widths in whole thousandths of the size, half of one out
    at most, which adds up along a line; and pdfium draws each letter at a whole pixel, half of one out at most.
    """
    drift = max(len(text.text) * text.size for text in sheet.texts) * 0.0005
    return 1 + math.ceil(drift * DPI / 25.4 + 0.5)


def laid(piece: Piece, margin: float = svg.MARGIN) -> Piece:
    left, bottom, _, _ = piece.cut_line.bounds
    return piece.moved(Motion.shift(Vector(margin - left, margin - bottom)))


def sheet_of(piece: Piece) -> Sheet:
    placed = laid(piece)
    _, _, right, top = placed.cut_line.bounds
    width, height = math.ceil(right + svg.MARGIN), math.ceil(top + svg.MARGIN)
    return draw_sheet([placed], width=width, height=height, design=NAME)


def wordless(sheet: Sheet) -> Sheet:
    return replace(sheet, texts=())


@pytest.mark.parametrize("piece", [LEG, FACING, strip(skew=25), marked()], ids=lambda p: p.title)
def test_a_piece_is_the_pdf_of_the_same_sheet(piece):
    sheet = sheet_of(piece)
    printed = pdf_ink(one_page_pdf(wordless(sheet), title=NAME))
    assert printed.sum() > 1000
    assert astray(svg_ink(piece_svg(piece, design=NAME, labels=False)), printed) == 0
    words = pdf_ink(one_page_pdf(sheet, title=NAME))
    assert words.sum() > printed.sum() + 1000
    reach = reach_of_words(sheet)
    assert reach <= 3
    assert astray(svg_ink(piece_svg(piece, design=NAME)), words, reach=reach) == 0
    assert astray(svg_ink(sheet_svg(sheet, title=NAME)), words, reach=reach) == 0


SMALL = wordless(sheet_of(leg_like(width=420, height=240, casings=2)))
FIRST = {stroke.role: index for index, stroke in reversed([*enumerate(SMALL.strokes)])}
MARKED = (Role.CUT, Role.FOLD, Role.STITCH, Role.GRAIN, Role.NOTCH)


@pytest.mark.parametrize("role", MARKED)
@pytest.mark.parametrize("by", quick([Vector(0.45, 0), Vector(0, 0.45)], lambda by: by.x == 0), ids=["across", "up"])
def test_one_line_that_is_shifted_by_less_than_half_a_millimetre_is_seen(role, by):
    printed = pdf_ink(one_page_pdf(SMALL, title=NAME))
    assert astray(svg_ink(sheet_svg(SMALL, title=NAME)), printed) == 0
    index = FIRST[role]
    stroke = SMALL.strokes[index]
    if not stroke.path.closed and abs(stroke.path.start_direction.cross(by)) < 0.1:
        by = by.left()  # along itself a straight line could hide
    shifted = replace(stroke, path=stroke.path.moved(Motion.shift(by)))
    strokes = (*SMALL.strokes[:index], shifted, *SMALL.strokes[index + 1 :])
    assert astray(svg_ink(sheet_svg(replace(SMALL, strokes=strokes), title=NAME)), printed) > 0


def test_a_line_left_out_is_seen():
    printed = pdf_ink(one_page_pdf(SMALL, title=NAME))
    for index in map(FIRST.get, MARKED):
        strokes = SMALL.strokes[:index] + SMALL.strokes[index + 1 :]
        assert astray(svg_ink(sheet_svg(replace(SMALL, strokes=strokes), title=NAME)), printed) > 0


def test_words_begin_where_the_pdf_has_them():
    sheet = sheet_of(LEG)
    drawn = parsed(piece_svg(LEG, design=NAME)).iter(f"{NAMESPACE}text")
    for element, text in zip(drawn, sheet.texts, strict=True):
        assert element.text == text.text
        assert float(element.attrib["x"]) == pytest.approx(text.at.x, abs=1e-4)
        assert float(element.attrib["y"]) == pytest.approx(sheet.height - text.at.y, abs=1e-4)
        assert float(element.attrib["font-size"]) == text.size
        assert ("transform" in element.attrib) == (text.angle != 0)


def test_without_labels_there_is_no_text():
    data = piece_svg(LEG, design=NAME, labels=False)
    assert not of_class(parsed(data), "label")
    assert b"<text" not in data


@pytest.mark.parametrize("piece", [LEG, FACING, leg_like(), *heron(hip=134, split=True)], ids=lambda p: p.title)
def test_every_line_has_the_length_that_was_drafted(piece):
    root = parsed(piece_svg(piece, design=NAME))
    group = f"{root_id(piece)}-{piece.name.replace(' ', '-')}"
    for role, found in groupby(piece_strokes(piece), lambda stroke: stroke.role):
        strokes = list(found)
        drawn = [svgpathtools.parse_path(data) for data in path_data(by_id(root, f"{group}-{role}"))]
        for path, stroke in zip(drawn, strokes, strict=True):
            assert path.length(error=1e-7) == pytest.approx(stroke.path.length, abs=0.01)
            assert path.isclosed() == stroke.path.closed


def root_id(piece: Piece) -> str:
    return f"size-{piece.size}-{piece.variant}"


def test_curves_stay_the_drafted_beziers_with_y_turned_down():
    piece = laid(LEG)
    root = parsed(piece_svg(LEG, design=NAME))
    height = float(root.attrib["viewBox"].split()[3])
    (data,) = path_data(by_id(root, f"{root_id(LEG)}-leg-cut"))
    drawn = list(svgpathtools.parse_path(data))
    assert len(drawn) == len(piece.cut_line.segments)
    assert any(isinstance(segment, Cubic) for segment in piece.cut_line.segments)
    for segment, bezier in zip(piece.cut_line.segments, drawn, strict=True):
        curved = isinstance(segment, Cubic)
        assert isinstance(bezier, svgpathtools.CubicBezier if curved else svgpathtools.Line)
        control = (segment.control1, segment.control2) if curved else ()
        points = (segment.start, *control, segment.end)
        wanted = np.array([complex(point.x, height - point.y) for point in points])
        assert np.abs(np.array(bezier.bpoints()) - wanted).max() < 1e-4


def test_a_closed_line_ends_in_the_very_figures_of_its_start():
    """Ends that are one but for rounding once could have come to two places, and a line from one to the other."""
    start, end = Point(0.00005 - 4e-7, 10), Point(0.00005 + 4e-7, 10)
    corners = (start, Point(30, 10), Point(30, 40), end)
    path = Path(tuple(Line(a, b) for a, b in pairwise(corners)))
    assert path.closed
    sheet = Sheet(50, 50, (Stroke(path, Role.CUT, Pen(0.5)),), ())
    (data,) = path_data(parsed(sheet_svg(sheet, title=NAME)))
    assert data == "M0,40 L30,40 L30,10 L0,40 Z"


def test_a_unit_is_a_millimetre_and_the_page_says_so():
    root = parsed(piece_svg(LEG, design=NAME))
    left, bottom, right, top = LEG.cut_line.bounds
    box = [float(part) for part in root.attrib["viewBox"].split()]
    assert box[:2] == [0, 0]
    assert (root.attrib["width"], root.attrib["height"]) == (f"{box[2]:g}mm", f"{box[3]:g}mm")
    assert right - left + 2 * svg.MARGIN <= box[2] < right - left + 2 * svg.MARGIN + 1
    assert top - bottom + 2 * svg.MARGIN <= box[3] < top - bottom + 2 * svg.MARGIN + 1
    (data,) = path_data(by_id(root, f"{root_id(LEG)}-leg-cut"))
    x0, x1, y0, y1 = svgpathtools.parse_path(data).bbox()
    assert (x1 - x0, y1 - y0) == pytest.approx((right - left, top - bottom), abs=1e-3)
    # resvg: 1 in is 25.4 mm and has as many pixels as it was asked for
    size = svg_ink(piece_svg(LEG, design=NAME, labels=False)).shape
    assert size[::-1] == pytest.approx([side / 25.4 * DPI for side in box[2:]], abs=1)


def test_groups_are_size_piece_and_role_with_ids_that_say_so():
    root = parsed(laid_svg([laid(LEG)], width=1200, height=600, design=NAME))
    (size,) = of_class(root, "size")
    (piece,) = of_class(size, "piece")
    assert (size.get("id"), piece.get("id")) == ("size-H102-high", "size-H102-high-leg")
    assert size.findtext(f"{NAMESPACE}title") == "Size H102 · high rise"
    assert piece.findtext(f"{NAMESPACE}title") == "Leg"
    roles = [group.get("class") for group in piece.findall(f"{NAMESPACE}g")]
    assert roles == [*ROLES, "label"]
    assert [group.get("id") for group in piece.findall(f"{NAMESPACE}g")] == [
        f"size-H102-high-leg-{role}" for role in roles
    ]
    assert len(path_data(by_id(piece, "size-H102-high-leg-fold"))) == len(LEG.fold_lines)


def test_title_description_and_language():
    root = parsed(piece_svg(LEG, design=NAME))
    assert root.findtext(f"{NAMESPACE}title") == "Heron shorts · Leg · Size H102 · high rise"
    assert "1 unit is 1 mm" in root.findtext(f"{NAMESPACE}desc")
    assert root.attrib["{http://www.w3.org/XML/1998/namespace}lang"] == "en-GB"


def test_ids_are_unique_when_names_come_down_to_the_same_letters():
    pieces = [laid(replace(strip(), size=size, name=name)) for size in ("A/1", "A 1") for name in ("é", "è")]
    root = parsed(nest_svg(pieces, design=NAME))
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert [group.get("id") for group in of_class(root, "size")] == ["size-A-1-high", "size-A-1-high-2"]


def test_a_nest_lays_the_sizes_over_one_another_by_their_origin():
    sizes = {hip: heron(hip) for hip in (94, 102, 110)}
    root = parsed(nest_svg([piece for pieces in sizes.values() for piece in pieces], design=NAME))
    assert [group.get("id") for group in of_class(root, "size")] == [f"size-H{hip}-high" for hip in sizes]
    moved = set()
    for hip, pieces in sizes.items():
        for piece in pieces:
            (data,) = path_data(by_id(root, f"size-H{hip}-high-{piece.name.replace(' ', '-')}-cut"))
            path = svgpathtools.parse_path(data)
            assert path.length(error=1e-7) == pytest.approx(piece.cut_line.length, abs=0.01)
            at = path.start
            by = (at.real - piece.cut_line.start.x, at.imag + piece.cut_line.start.y)
            moved.add((piece.name, round(by[0], 2), round(by[1], 2)))
    assert sorted(name for name, *_ in moved) == sorted(piece.name for piece in sizes[102])


def test_the_pieces_of_a_nest_and_their_names_keep_apart_and_on_the_page():
    pieces = [piece for hip in (94, 102, 110) for piece in heron(hip)]
    root = parsed(nest_svg(pieces, design=NAME))
    width, height = (float(part) for part in root.attrib["viewBox"].split()[2:])
    texts = [
        text_box(
            Text(
                Point(float(text.attrib["x"]), height - float(text.attrib["y"])),
                text.text,
                float(text.attrib["font-size"]),
                text.get("font-weight") == "bold",
            )
        )
        for text in root.iter(f"{NAMESPACE}text")
    ]
    nests: dict[str, list[tuple[float, float, float, float]]] = {}
    for group in of_class(root, "piece"):
        for data in path_data(group):
            x0, x1, y0, y1 = svgpathtools.parse_path(data).bbox()
            nests.setdefault(group.findtext(f"{NAMESPACE}title"), []).append((x0, height - y1, x1, height - y0))
    boxes = []
    for found in nests.values():
        lefts, bottoms, rights, tops = zip(*found, strict=True)
        boxes.append((min(lefts), min(bottoms), max(rights), max(tops)))
    assert len(boxes) == 2
    assert len(texts) >= 2 * 4 + 3
    boxes += texts
    for index, box in enumerate(boxes):
        assert min(box[:2]) >= 0
        assert width - box[2] >= 0
        assert height - box[3] >= 0
        # boxes hold the tallest letters of the font: under a heading they may share a hair
        assert not any(overlap(box, other, apart=-0.2) for other in boxes[index + 1 :])


def test_sizes_of_a_nest_differ_in_colour_or_dashes_and_the_key_shows_them():
    pieces = [replace(strip(length=300 + 10 * n), size=f"S{n}") for n in range(2 * len(svg.COLOURS) + 2)]
    root = parsed(nest_svg(pieces, design=NAME))
    cuts = [(group.get("stroke"), group.get("stroke-dasharray")) for group in of_class(root, "cut")]
    assert len(set(cuts)) == len(pieces)
    assert [(g.get("stroke"), g.get("stroke-dasharray")) for g in by_id(root, "key").findall(f"{NAMESPACE}g")] == cuts
    named = [text.text for text in root.iter(f"{NAMESPACE}text")][-len(pieces) :]
    assert named == [f"Size S{n} · high rise" for n in range(len(pieces))]


def test_a_nest_without_labels_has_lines_alone():
    data = nest_svg([*heron(98), *heron(102)], design=NAME, labels=False)
    assert b"<text" not in data
    assert b'id="key"' not in data


def test_layers_of_a_sheet_are_groups():
    line = Path.through(Point(10, 10), Point(90, 10))
    strokes = (
        Stroke(line, Role.CUT, Pen(0.5)),
        Stroke(line.moved(Motion.shift(Vector(0, 10))), Role.CUT, Pen(0.5, (6, 3), phase=2), layers=("H98",)),
        Stroke(line.moved(Motion.shift(Vector(0, 20))), Role.CUT, Pen(0.5), layers=("H98", "H102")),
    )
    sheet = Sheet(100, 60, strokes, (Text(Point(10, 50), "Size H98", 4, layers=("H98",)),))
    root = parsed(sheet_svg(sheet, title=NAME))
    layers = of_class(root, "layer")
    assert [layer.get("id") for layer in layers] == ["layer-H98", "layer-H98-H102"]
    assert [layer.findtext(f"{NAMESPACE}title") for layer in layers] == ["H98", "H98, H102"]
    assert layers[0].find(f".//{NAMESPACE}text").text == "Size H98"
    assert (
        astray(
            svg_ink(sheet_svg(sheet, title=NAME)), pdf_ink(one_page_pdf(sheet, title=NAME)), reach=reach_of_words(sheet)
        )
        == 0
    )


def test_labels_fall_back_to_fonts_that_most_machines_have():
    (label,) = of_class(parsed(piece_svg(FACING, design=NAME)), "label")
    assert label.attrib["font-family"].split(", ")[0] == "DejaVu Sans"
    assert label.attrib["font-family"].endswith("sans-serif")


def test_the_same_piece_gives_the_same_bytes_in_another_process():
    code = (
        "import sys; sys.path[:0] = ['tests', '.']\n"
        "from sample_pieces import leg_like\nfrom output.formats.svg import piece_svg, nest_svg\n"
        "sys.stdout.buffer.write(piece_svg(leg_like(), design='Heron') + nest_svg([leg_like()], design='Heron'))"
    )
    root = FilePath(svg.__file__).parents[2]
    made = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, check=True, timeout=120)
    assert made.stdout == piece_svg(leg_like(), design="Heron") + nest_svg([leg_like()], design="Heron")


def test_svgwrite_refuses_what_the_standard_does_not_know(monkeypatch):
    """The checks are on: an attribute that SVG 1.1 does not have raises instead of being written."""
    monkeypatch.setattr(svg, "_look", lambda pen, filled: {"stroke_breadth": "1"})
    with pytest.raises(ValueError, match="stroke-breadth"):
        piece_svg(FACING, design=NAME)


def test_a_name_that_the_fonts_lack_is_refused():
    with pytest.raises(OutputError, match="U\\+0007"):
        piece_svg(FACING, design="Heron\a", labels=False)
    with pytest.raises(OutputError, match="U\\+0007"):
        piece_svg(replace(FACING, title="Facing\a"), design=NAME, labels=False)
