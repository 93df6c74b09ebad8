"""DXF read back by ezdxf, whose auditor must find nothing, and its lines laid over the pieces by shapely.

Layer numbers are those of ASTM D6673, from memory.
"""

from __future__ import annotations

import io
import math
import re
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path as FilePath

import ezdxf
import pytest
import shapely
from ezdxf import bbox, recover
from ezdxf.document import Drawing
from ezdxf.lldxf.encoding import decode_dxf_unicode

from blocks.short import draft_short
from blocks.short.design import TrimDesign
from drafting.curve import Cubic
from drafting.errors import OutputError
from drafting.path import Path
from drafting.piece import Notch, NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.notches import STYLE
from output.drawing.pieces import piece_strokes
from output.formats import dxf
from output.formats.dxf import pattern_dxf
from sample_pieces import leg_like, marked, strip
from sampled import heron, heron_body, heron_design

NAME, WORKROOM = "Heron shorts", "Reedbank Workroom"
LEG, FACING = heron().pieces[:2]
MILLIMETRES = 4
"""The value of $INSUNITS for millimetres (DXF reference of the release of 2000, from memory)."""


def written(*pieces: Piece, **options: str) -> Drawing:
    """The file read back; it has no fault that the auditor knows."""
    data = pattern_dxf(pieces, design=NAME, workroom=WORKROOM, **options)
    document = ezdxf.read(io.StringIO(data.decode("cp1252")))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    return document


def blocks(document: Drawing) -> list:
    return [block for block in document.blocks if not block.is_any_layout]


def polyline(block, layer: str) -> shapely.LinearRing:
    (found,) = block.query(f'POLYLINE[layer=="{layer}"]')
    assert found.is_closed
    return shapely.LinearRing([(point.x, point.y) for point in found.points()])


def points(block, layer: str) -> set[tuple[float, float]]:
    found = block.query(f'POINT[layer=="{layer}"]')
    assert all(point.dxf.location.z == 0 for point in found)
    return {(point.dxf.location.x, point.dxf.location.y) for point in found}


def texts(layout, layer: str) -> list[str]:
    return [text.dxf.text for text in layout.query(f'TEXT[layer=="{layer}"]')]


def true(path: Path) -> shapely.LinearRing:
    """The path itself, but for a micrometre, sampled evenly in t and not by the flattening under test."""
    return shapely.LinearRing(
        [
            (at.x, at.y)
            for segment in path.segments
            for at in (segment.point(step / 256) for step in range(256 if isinstance(segment, Cubic) else 1))
        ]
    )


def split() -> tuple[Piece, ...]:
    return draft_short(heron_design(), heron_body(), split=True).pieces


@pytest.mark.parametrize("piece", [LEG, FACING, leg_like(), strip(), *split()], ids=lambda p: p.title)
def test_cut_and_seam_lines_are_the_pieces_within_a_hundredth_of_a_millimetre(piece):
    (block,) = blocks(written(piece))
    for layer, path in (("1", piece.cut_line), ("14", piece.seam_line)):
        line, wanted = polyline(block, layer), true(path)
        assert shapely.hausdorff_distance(line, wanted, densify=0.05) <= 0.01 + 1e-3
        assert line.length == pytest.approx(path.length, abs=0.05)
        assert line.is_simple
        assert line.is_ccw == wanted.is_ccw


def test_marks_are_lines_on_layer_8_and_drill_holes_on_layer_13():
    piece = marked()
    (block,) = blocks(written(piece))
    drawn = {
        (line.is_closed, tuple((at.x, at.y) for at in line.points())) for line in block.query('POLYLINE[layer=="8"]')
    }
    wanted = {
        (mark.line.closed, tuple((at.x, at.y) for at in mark.line.flat()[: -1 if mark.line.closed else None]))
        for mark in piece.marks
        if mark.line
    }
    assert drawn == wanted
    assert points(block, "13") == {(at.x, at.y) for mark in piece.marks for at in mark.points}
    assert {mark.label for mark in piece.marks} <= set(texts(block, "15"))
    for kept, layers in ((piece.marks, {"13"}), ((), set())):
        assert {layer.dxf.name for layer in written(replace(piece, marks=kept)).layers} & {"13"} == layers


def test_a_line_that_strays_is_seen(monkeypatch):
    monkeypatch.setattr(dxf, "_FLATTENING", 0.1)
    (block,) = blocks(written(LEG))
    assert shapely.hausdorff_distance(polyline(block, "1"), true(LEG.cut_line), densify=0.05) > 0.011


def test_every_vertex_of_the_cut_line_is_a_turn_point_or_a_curve_point():
    (block,) = blocks(written(LEG))
    turns, curves = points(block, "2"), points(block, "3")
    assert not turns & curves
    assert turns | curves == set(polyline(block, "1").coords)
    corners = 0
    segments = LEG.cut_line.segments
    for before, after in zip(segments, (*segments[1:], segments[0]), strict=True):
        bend = math.degrees(math.acos(min(1.0, before.tangent(1).dot(after.tangent(0)))))
        corners += bend > 0.1
        assert ((round(before.end.x, 4), round(before.end.y, 4)) in turns) == (bend > 0.1)
    assert len(turns) == corners > 4


def test_grain_fold_and_stitch_lines_lie_where_they_were_drafted():
    (block,) = blocks(written(LEG))

    def lines(layer: str) -> Counter:
        found = block.query(f'LINE[layer=="{layer}"]')
        return Counter(tuple(round(c, 3) for end in (x.dxf.start, x.dxf.end) for c in (end.x, end.y)) for x in found)

    def drafted(*pairs: tuple[Point, Point]) -> Counter:
        return Counter(tuple(round(c, 3) for end in pair for c in (end.x, end.y)) for pair in pairs)

    assert lines("7") == drafted((LEG.grainline.start, LEG.grainline.end))
    casing_lines = (*LEG.fold_lines, *LEG.stitch_lines)
    assert lines("8") == drafted(*((line.start, line.end) for line in casing_lines))
    assert len(texts(block, "15")) == len(casing_lines)


def test_notches_lie_on_the_cut_line_point_inward_and_stop_short_of_the_seam():
    (block,) = blocks(written(LEG))
    found = block.query('POINT[layer=="4"]')
    doubles = sum(notch.kind is NotchKind.DOUBLE for notch in LEG.notches)
    assert doubles
    assert len(found) == len(LEG.notches) + doubles
    cut, seam = polyline(block, "1"), polyline(block, "14")
    for point in found:
        at = shapely.Point(point.dxf.location.x, point.dxf.location.y)
        assert cut.distance(at) < 0.3  # one of a double notch stands beside the drafted place, the line may bend there
        inward = Vector.at_angle(point.dxf.angle) * point.dxf.thickness
        tip = shapely.Point(at.x + inward.x, at.y + inward.y)
        assert shapely.Polygon(cut).contains(tip)
        assert not shapely.Polygon(seam).contains(tip)
        assert seam.distance(tip) >= 0.49 * seam.distance(at)
        assert 0 < point.dxf.thickness <= STYLE.snip


def test_a_notch_on_an_edge_without_allowance_has_no_depth():
    at = Point(350, 60)
    bare = replace(strip(), notches=(Notch("bare", NotchKind.SINGLE, "top", 350, at, at),))
    (point,) = blocks(written(bare))[0].query('POINT[layer=="4"]')
    assert (point.dxf.location.x, point.dxf.location.y, point.dxf.thickness) == (350, 60, 0)


def test_only_layers_of_the_standard_are_drawn_on():
    document = written(*heron().pieces)
    used = {entity.dxf.layer for block in blocks(document) for entity in block}
    assert used == {"1", "2", "3", "4", "7", "8", "14", "15"}
    assert used <= {layer.dxf.name for layer in document.layers}


def test_every_line_of_a_piece_has_a_layer_and_the_file_says_which():
    roles = {stroke.role for piece in (LEG, FACING, marked()) for stroke in piece_strokes(piece)}
    assert dxf.LAYERS.keys() == {*roles, Role.LABEL}
    assert dxf.__doc__
    told = re.findall(r"^\| (\d+) \|", dxf.__doc__, flags=re.MULTILINE)
    assert set(told) == {*dxf.LAYERS.values(), dxf.TURN, dxf.CURVE}


def test_texts_say_what_a_piece_is():
    document = written(LEG, FACING, sample_size="H98")
    leg, facing = blocks(document)
    said = texts(leg, "1")
    assert said[:3] == ["Piece Name: Leg", "Size: H102", "Quantity: 2"]
    assert said[3:] == ["Annotation: Size H102 · high rise", "Annotation: Cut 2: 1 as drawn, 1 mirrored"]
    assert texts(facing, "1")[0] == "Piece Name: Waist facing"
    assert texts(document.modelspace(), "1") == [
        "Style Name: Heron shorts",
        "Author: Reedbank Workroom",
        "Sample Size: H98",
        "Units: METRIC",
    ]
    assert "Sample Size: H102" in texts(written(LEG).modelspace(), "1")


def narrow() -> tuple[Piece, ...]:
    """Halves of a small size, one of them a band with a long note."""
    banded = replace(heron_design(), trim=TrimDesign(kind="band"))
    small = replace(heron_body(), hip_girth=820, waist_girth=640)
    return draft_short(banded, small, split=True).pieces


@pytest.mark.parametrize("piece", [*heron().pieces, leg_like(), *narrow()], ids=lambda p: p.title)
def test_texts_lie_inside_their_piece_and_touch_neither_lines_nor_each_other(piece):
    (block,) = blocks(written(piece))
    seam = shapely.Polygon(polyline(block, "14"))
    lines = [shapely.LineString([tuple(x.dxf.start)[:2], tuple(x.dxf.end)[:2]]) for x in block.query("LINE")]
    boxes = []
    for text in block.query("TEXT"):
        extents = bbox.extents([text])
        boxes.append(shapely.box(*tuple(extents.extmin)[:2], *tuple(extents.extmax)[:2]))
    assert len(boxes) >= 5
    for index, box in enumerate(boxes):
        assert seam.contains(box)
        assert not any(box.intersects(line) for line in lines)
        assert not any(box.intersects(other) for other in boxes[index + 1 :])


def test_the_file_is_in_millimetres_and_says_so_twice():
    document = written(LEG, FACING)
    assert document.header["$INSUNITS"] == MILLIMETRES
    assert document.header["$MEASUREMENT"] == 1
    assert "Units: METRIC" in texts(document.modelspace(), "1")
    (block, _) = blocks(document)
    left, bottom, right, top = LEG.cut_line.bounds
    extents = bbox.extents(block.query("POLYLINE"))
    assert tuple(extents.size)[:2] == pytest.approx((right - left, top - bottom), abs=0.02)


def test_blocks_keep_the_origin_of_the_draft_and_are_inserted_once_without_overlap():
    body = heron_body()
    pieces = [
        piece
        for more in (-40, 0, 40)
        for piece in draft_short(heron_design(), replace(body, hip_girth=body.hip_girth + more)).pieces
    ]
    document = written(*pieces)
    inserts = document.modelspace().query("INSERT")
    assert [insert.dxf.name for insert in inserts] == [block.name for block in blocks(document)]
    assert len({block.name for block in blocks(document)}) == len(pieces)
    boxes = [bbox.extents([insert]) for insert in inserts]
    for index, box in enumerate(boxes):
        assert not any(box.has_overlap(other) for other in boxes[index + 1 :])
    everything = bbox.extents(document.modelspace())
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    assert low[0] <= everything.extmin.x + 0.3
    assert low[1] <= everything.extmin.y + 0.3
    assert high[0] >= everything.extmax.x - 0.3
    assert high[1] >= everything.extmax.y
    for piece, block in zip(pieces, blocks(document), strict=True):
        x, y = polyline(block, "1").coords[-2]
        assert (x, y) == pytest.approx((piece.cut_line.end.x, piece.cut_line.end.y), abs=1e-3)


def test_block_names_are_short_plain_and_different():
    long = "a very long name of a piece that goes on"
    pieces = [replace(strip(), name=name) for name in (long, f"{long} and on", "ä", "é")]
    names = [block.name for block in blocks(written(*pieces))]
    assert len({name.upper() for name in names}) == 4
    for name in names:
        assert len(name) <= 31
        assert all(letter.isascii() and (letter.isalnum() or letter == "-") for letter in name)


def test_letters_outside_the_old_alphabets_survive():
    data = pattern_dxf([replace(strip(), title="Лиф Ω")], design=NAME)
    document, auditor = recover.read(io.BytesIO(data))  # the loader that takes every escape back
    assert not auditor.errors
    assert texts(blocks(document)[0], "1")[0] == "Piece Name: Лиф Ω"


def test_a_line_break_in_a_name_is_refused():
    with pytest.raises(OutputError, match="U\\+000A"):
        pattern_dxf([replace(strip(), title="Waist\n  0\nEOF")], design=NAME)
    with pytest.raises(OutputError, match="U\\+000D"):
        pattern_dxf([strip()], design="Heron\r")


def test_the_same_pieces_give_the_same_bytes_in_another_process():
    code = (
        "import sys; sys.path[:0] = ['tests', '.']\n"
        "from sample_pieces import leg_like, strip\nfrom output.formats.dxf import pattern_dxf\n"
        "sys.stdout.buffer.write(pattern_dxf([leg_like(), strip()], design='Heron'))"
    )
    root = FilePath(dxf.__file__).parents[2]
    made = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, check=True, timeout=120)
    assert made.stdout == pattern_dxf([leg_like(), strip()], design="Heron")


def test_the_library_is_left_as_it_was():
    before = ezdxf.options.write_fixed_meta_data_for_testing
    with pytest.raises(OutputError):
        pattern_dxf([strip()], design="\n")
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_without_the_library_one_line_says_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(OutputError, match=r"pip install 'shirrline\[dxf\]'") as refused:
        pattern_dxf([strip()], design=NAME)
    assert "\n" not in str(refused.value)


def test_the_library_is_not_imported_until_it_is_needed():
    code = "import sys; from output.formats import dxf, svg; sys.exit(bool({'ezdxf', 'svgwrite'} & sys.modules.keys()))"
    root = FilePath(dxf.__file__).parents[2]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False, timeout=120).returncode == 0


@pytest.mark.parametrize("size", ["%%c 10", "100%%", "5^J", r"\U+2300", "%%%", "10 %", "a^b", "Größe"])
def test_a_label_is_read_as_it_was_written_and_not_as_a_code(size: str) -> None:
    """`%%`, `^` and `\\U+` begin codes in a text of DXF: the DXF reference, from memory; ezdxf reads them."""
    document = written(replace(LEG, size=size))
    (said,) = (text.plain_text() for text in blocks(document)[0].query("TEXT") if text.dxf.text.startswith("Size: "))
    assert decode_dxf_unicode(said) == f"Size: {size}"


def test_pieces_whose_names_come_down_to_the_same_letters_are_blocks_of_their_own() -> None:
    pieces = [replace(FACING, size=size) for size in ("M+", "M*", "m+", "Größe", "GRÖSSE", "Ж", "Ю")]
    assert len({block.name.upper() for block in blocks(written(*pieces))}) == len(pieces)
