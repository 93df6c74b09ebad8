"""Snips that stay clear of the seam line: common practice, no source. Nobody may be led to cut past the allowance."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from blocks.design import Allowances, CasingDesign
from blocks.short import draft_short
from blocks.short.design import TrimDesign, TrimKind
from drafting.errors import DesignError, DraftError
from drafting.piece import NotchKind, Piece
from drafting.point import Point, Vector
from drafting.role import Role
from output.drawing.notches import STYLE, NotchStyle, deepest_snip, mark, notch_mark, notch_strokes, ringed, snips
from output.drawing.pens import PENS
from output.drawing.sheet import Sheet
from output.formats.pdf import one_page_pdf
from output.paper.sizes import A4
from output.patterns.pattern_pdf import pattern_pdf
from raster import rendered
from sample_pieces import leg_like
from sampled import heron, heron_body, heron_design

KINDS = [kind for kind in NotchKind if kind is not NotchKind.SIDE]
"""Centre and side share a form."""


def drawn(kind: NotchKind, allowance: float = 12.0):
    """A mark on a level edge whose cut line is y = 0, the piece above it."""
    return mark(kind, Point(20, 0), Vector(0, 1), allowance, allowance)


def points(strokes) -> np.ndarray:
    return np.concatenate([stroke.path.array(tolerance=0.01) for stroke in strokes])


@pytest.mark.parametrize("kind", NotchKind)
@pytest.mark.parametrize("allowance", [5, 6, 7, 8, 10, 12, 16, 25, 40])
def test_a_mark_begins_on_the_cut_line_and_ends_well_before_the_seam_line(kind, allowance):
    ys = points(drawn(kind, allowance))[:, 1]
    assert ys.min() == pytest.approx(0)
    assert 2 - 1e-9 <= ys.max() <= min(allowance / 2, allowance - 3) + 1e-6
    assert ys.max() <= STYLE.depth(allowance) + 1e-6


@pytest.mark.parametrize("kind", NotchKind)
@pytest.mark.parametrize("allowance", [1, 3, 4, 4.9])
def test_where_a_snip_has_no_room_the_mark_stands_in_a_ring_inside_the_seam_line(kind, allowance):
    strokes = drawn(kind, allowance)
    ring = strokes[-1].path
    assert ring.closed
    assert shapely.Polygon(ring.array()).buffer(0.05).covers(shapely.MultiPoint(points(strokes)))
    assert points(strokes)[:, 1].min() >= allowance + STYLE.ring - 0.01


def raster(kind: NotchKind, allowance: float) -> np.ndarray:
    strokes = drawn(kind, allowance)
    sheet = Sheet(40, 12, tuple(strokes[:-1] if STYLE.depth(allowance) == 0 else strokes), ())  # without its ring
    return 255.0 - rendered(one_page_pdf(sheet, title="t"), 0, 150)


@pytest.mark.parametrize("allowance", [4, 5, 12])
def test_every_kind_is_told_apart_by_its_form_in_grey(allowance):
    """Of two forms at 150 dpi one has a fifth of its ink at least where the other has none."""
    inked = {kind: raster(kind, allowance) > 100 for kind in KINDS}
    for one in KINDS:
        for other in KINDS:
            if one is not other and {one, other} != {NotchKind.SINGLE}:
                apart = (inked[one] ^ inked[other]).sum()
                assert apart >= 0.2 * max(inked[one].sum(), inked[other].sum()), (one, other)
                assert apart >= 20, (one, other)


@given(st.floats(2, 6), st.floats(0.25, 0.5), st.floats(2, 8), st.floats(0, 60))
def test_no_style_lets_a_snip_come_nearer_than_it_says(snip, share, clear, allowance):
    style = NotchStyle(snip=snip, snip_share=share, snip_clear=clear)
    depth = style.depth(allowance)
    assert depth == 0 or style.snip_least <= depth <= min(snip, share * allowance, allowance - clear)


def test_a_snip_beyond_half_of_the_allowance_is_refused():
    with pytest.raises(DesignError, match=r"notches.snip_share: 0.7 is outside 0.25 to 0.5"):
        NotchStyle(snip_share=0.7)


def reach_past(piece: Piece) -> float:
    """How far any mark that is snipped comes nearer to the seam line than its allowance less its depth, in mm."""
    line = shapely.LineString(piece.seam_line.array(tolerance=0.005))
    worst = -1.0
    for notch in piece.notches:
        allowance = piece.edge(notch.edge).allowance
        depth = STYLE.depth(allowance)
        if depth:
            apart = line.distance(shapely.MultiPoint(points(notch_mark(piece, notch))))
            worst = max(worst, allowance - depth - apart)
    return worst


def test_no_mark_of_the_sample_comes_near_the_seam_line():
    """The fold notches once ran through the allowance into the fold line: one line to cut along into the leg."""
    for rise in ("high", "mid"):
        for piece in heron(rise).pieces:
            assert reach_past(piece) < 0.05, piece.name


BENDS = 0.1
"""mm; a seam line that bends beside a mark comes so much nearer to the end of its bar, of the 3 mm that are kept clear.
At most 0.086 in three thousand designs."""


@example(seam=25.0, waist=12.0, heights=[-7], band=False)
@example(seam=13.0, waist=5.0, heights=[7, -7], band=False)
@settings(max_examples=12)
@given(
    st.floats(5, 25),
    st.floats(5, 25),
    st.lists(st.integers(-9, 25), min_size=0, max_size=3, unique=True),
    st.booleans(),
)
def test_no_mark_of_any_design_comes_near_the_seam_line(seam, waist, heights, band):
    casings = tuple(CasingDesign(f"c{number}", height=10.0 * h) for number, h in enumerate(sorted(heights)))
    design = replace(
        heron_design(),
        allowances=Allowances(seam=seam, waist=waist),
        casings=casings,
        trim=TrimDesign(kind=TrimKind.BAND if band else TrimKind.NONE, top=4),
    )
    for split in (False, True):
        try:
            short = draft_short(design, heron_body(), split=split)
        except DraftError:
            continue
        for piece in short.pieces:
            assert reach_past(piece) < BENDS, piece.name


def test_the_strokes_of_a_double_notch_stand_on_both_sides_of_its_place():
    assert sorted(stroke.path.start.x for stroke in drawn(NotchKind.DOUBLE)) == [18, 22]


def test_a_mark_on_an_edge_without_allowance_is_not_snipped_but_still_drawn():
    piece = leg_like()
    bare = replace(piece, edges=tuple(replace(edge, allowance=0.0, cut=edge.seam) for edge in piece.edges))
    bare = replace(bare, notches=tuple(replace(notch, cut_point=notch.seam_point) for notch in piece.notches))
    assert deepest_snip([bare]) == 0
    assert ringed([bare])
    assert not ringed([piece])
    inside = shapely.Polygon(bare.seam_line.array())
    for notch in bare.notches:
        assert all(snip.depth == 0 for snip in snips(bare, notch))
        strokes = notch_mark(bare, notch)
        assert inside.contains(shapely.MultiPoint(points(strokes)))


def test_snips_are_where_the_marks_are():
    piece = leg_like()
    for notch in piece.notches:
        found = snips(piece, notch)
        starts = {stroke.path.start for stroke in notch_mark(piece, notch)}
        assert all(snip.at in starts for snip in found)
        assert all(snip.inward.length == pytest.approx(1) for snip in found)
    assert {(stroke.role, stroke.pen) for stroke in notch_strokes(piece)} == {(Role.NOTCH, PENS[Role.NOTCH])}


def test_the_fold_line_does_not_touch_its_notch():
    piece = leg_like(casings=2)
    marks = shapely.MultiPoint(points(notch_strokes(piece)))
    for line in (*piece.fold_lines, *piece.stitch_lines):
        whole = shapely.LineString([(line.start.x, line.start.y), (line.end.x, line.end.y)])
        assert whole.distance(marks) >= STYLE.snip_clear


def test_the_first_page_says_how_deep_to_snip_in_both_units():

    for seam, said in ((12.0, "4 mm (5/32 in) deep at most"), (5.0, "2 mm (1/16 in) deep at most")):
        design = replace(heron_design(), allowances=Allowances(seam=seam, waist=seam))
        made = pattern_pdf(draft_short(design, heron_body()), A4)
        first = " ".join(PdfReader(BytesIO(made.data)).pages[0].extract_text().split())
        assert said in first
        assert "never as far as the seam line" in first
