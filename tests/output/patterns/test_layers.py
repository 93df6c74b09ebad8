"""Layers read back and rendered in two readers' engines: what is switched off leaves no ink, on any page."""

from __future__ import annotations

from functools import cache
from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject

from drafting.path import Path as Line
from drafting.point import Point
from drafting.role import Role
from layered import SCALE, ink, layers, pdfium, poppler, switched
from nests import PENS, SMALL, mid_nest
from output.drawing.sheet import Pen, Stroke, Text
from output.formats.pdf import Document

RENDERERS = pytest.mark.parametrize("render", [pdfium, poppler])


def coloured(page: NDArray[np.uint8], rgb: tuple[float, ...]) -> NDArray[np.bool_]:
    """Pixels of the hue of a pen, whatever share of white an edge mixes in."""
    lack = 255 - page.astype(float)
    pen = 255 - np.array(rgb) * 255
    size = np.linalg.norm(lack, axis=2)
    along = lack @ pen / np.linalg.norm(pen)
    return (size > 60) & (along > 0.985 * size)


@cache
def nest() -> bytes:
    return mid_nest().data


def test_the_file_lists_every_size_once_under_its_group() -> None:
    reader = PdfReader(BytesIO(nest()))
    properties = reader.root_object["/OCProperties"]
    default = properties["/D"]
    assert list(layers(reader)) == [size.label for size in SMALL.sizes]
    assert default["/BaseState"] == "/ON"
    assert len(default["/ON"]) == len(SMALL.sizes)
    assert "/OFF" not in default
    [[heading, *listed]] = default["/Order"]
    assert heading == "Sizes with a leg in one piece · mid rise"
    assert listed == list(properties["/OCGs"])
    assert reader.root_object["/PageMode"] == "/UseOC"


def test_a_layer_is_one_layer_over_all_pages() -> None:
    """Whatever a page marks as optional belongs to the groups of the catalogue, alone or to any of several."""
    reader = PdfReader(BytesIO(nest()))
    known = {group.idnum for group in layers(reader).values()}
    used: dict[str, set[int]] = {"/OCG": set(), "/OCMD": set()}
    for page in reader.pages:
        for entry in page["/Resources"].get("/Properties", DictionaryObject()).values():
            found = entry.get_object()
            if found["/Type"] == "/OCMD":
                assert found["/P"] == "/AnyOn"
                used["/OCMD"] |= {group.idnum for group in found["/OCGs"]}
            else:
                used["/OCG"].add(entry.idnum)
    assert used == {"/OCG": known, "/OCMD": known}


def test_no_layer_forbids_to_print_what_is_seen_or_to_hide_what_is_printed() -> None:
    """Without a usage (8.11.4.4) a reader prints what it shows."""
    reader = PdfReader(BytesIO(nest()))
    assert "/AS" not in reader.root_object["/OCProperties"]["/D"]
    assert all("/Usage" not in group.get_object() for group in layers(reader).values())


@RENDERERS
def test_a_size_switched_off_leaves_no_ink_on_any_page(render) -> None:
    """The second size is the only one drawn in blue; nothing blue stays, and what goes is all that was blue."""
    pens = PENS
    off = SMALL.sizes[1].label
    assert [size for size, pen in pens.items() if pen.colour == pens[off].colour] == [off]
    shown, hidden = render(nest()), render(switched(nest(), off))
    before = [coloured(page, pens[off].colour).sum() for page in shown]
    assert before[0] > 20
    assert sum(count > 20 for count in before) > 4
    assert all(not coloured(page, pens[off].colour).any() for page in hidden)


@RENDERERS
@pytest.mark.parametrize("index", range(3))
def test_a_size_alone_is_drawn_as_if_the_others_had_never_been(render, index: int) -> None:
    """On all pages: what is left with the other sizes off is what is left when their content is cut from the file."""
    keep = SMALL.sizes[index].label
    others = [size.label for size in SMALL.sizes if size.label != keep]
    for page, cut in zip(render(switched(nest(), *others)), render(without(nest(), *others)), strict=True):
        assert np.array_equal(page, cut)


def without(data: bytes, *gone: str) -> bytes:
    """The file with everything cut out that is marked as of these layers, or of no layer but these."""
    writer = PdfWriter(clone_from=BytesIO(data))
    for page in writer.pages:
        marks = page["/Resources"].get("/Properties", DictionaryObject())
        cut = {name.encode() for name, entry in marks.items() if _names(entry.get_object()) <= set(gone)}
        kept, skip = [], False
        for line in page.get_contents().get_data().split(b"\n"):
            if line.endswith(b" BDC"):
                skip = line.split()[1] in cut
            if not skip:
                kept.append(line)
            if line == b"EMC":
                skip = False
        content = page.get_contents()
        content.set_data(b"\n".join(kept))
        page[NameObject("/Contents")] = writer._add_object(content)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _names(entry: DictionaryObject) -> set[str]:
    groups = entry["/OCGs"] if entry["/Type"] == "/OCMD" else [entry]
    return {str(group.get_object()["/Name"]) for group in groups}


@RENDERERS
def test_with_every_size_off_only_the_pages_furniture_is_left(render) -> None:
    """Then no size is named and no piece drawn: the sheet's own pages carry joins, marks and the words in strips."""
    data = switched(nest(), *(size.label for size in SMALL.sizes))
    pdf = mid_nest()
    for page in render(data)[pdf.first_pages :]:
        inset = round(pdf.layout.tiling.inset / 25.4 * 72 * SCALE) + 15  # a register mark reaches in by 4 mm
        assert not ink(page)[inset:-inset, inset:-inset].any()


@RENDERERS
def test_what_several_sizes_share_shows_while_one_of_them_does(render) -> None:
    pen, box = Pen(3.0), (0.0, 0.0, 50.0, 50.0)
    lines = [
        Stroke(Line.through(Point(10, 10), Point(40, 10)), Role.CUT, pen, layers=("A",)),
        Stroke(Line.through(Point(10, 20), Point(40, 20)), Role.CUT, pen, layers=("A", "B")),
        Stroke(Line.through(Point(10, 30), Point(40, 30)), Role.CUT, pen),
    ]
    texts = [Text(Point(60, 10), "MM", 8, layers=("A",)), Text(Point(60, 30), "MM", 8, layers=("B",))]
    document = Document(title="t", layers=("A", "B"), group="Sizes")
    document.define("lines", lines, box)
    document.page(100, 50)
    document.show("lines", shift=(0, 0))
    document.texts(texts)
    data = document.data()

    def seen(*off: str) -> list[bool]:
        page = ink(render(switched(data, *off))[0])
        tall = page.shape[0]
        rows = [tall - round(y / 25.4 * 72) for y in (10, 20, 30)]
        marks = [bool(page[row, 60:90].any()) for row in rows]
        words = [bool(page[row - 14 : row, 170:200].any()) for row in (rows[0], rows[2])]
        return marks + words

    assert seen() == [True] * 5
    assert seen("A") == [False, True, True, False, True]
    assert seen("B") == [True, True, True, True, False]
    assert seen("A", "B") == [False, False, True, False, False]


def test_a_file_without_layers_lists_none() -> None:
    document = Document(title="t")
    document.page(100, 50)
    document.strokes([Stroke(Line.through(Point(1, 1), Point(9, 9)), Role.CUT, Pen(1), layers=("A",))])
    reader = PdfReader(BytesIO(document.data()))
    assert "/OCProperties" not in reader.root_object
    assert b"BDC" not in reader.pages[0].get_contents().get_data()
