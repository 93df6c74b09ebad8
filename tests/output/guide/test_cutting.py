from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from blocks.guide import OVERVIEW
from drafting.piece import NotchKind
from drafting.point import Motion, Vector
from drafting.role import Role
from guides import WORDS, made
from output.guide.cutting import TALL, cutting_step, piece_picture
from output.patterns.words import KEY_NOTCH
from quick import quick
from spread import spread


def test_a_piece_in_miniature_keeps_its_outline():
    leg = made().garments[0].pieces[0]
    picture = piece_picture(leg, 0.1)
    assert picture.bounds == pytest.approx([0.1 * side for side in leg.cut_line.bounds])


def test_notches_are_told_as_the_pieces_have_them():
    plain, bare = (made(kind).garments[0].pieces for kind in ("plain", "bare"))
    assert "An arrow points to a fold line" in " ".join(cutting_step(plain[0], plain, WORDS).sentences)
    assert "arrow" not in " ".join(cutting_step(bare[0], bare, WORDS).sentences)


def test_a_ringed_mark_is_told_of():
    leg = made().garments[0].pieces[0]
    shallow = replace(leg, edges=tuple(replace(edge, allowance=3.0) for edge in leg.edges))
    assert "A mark in a ring" in " ".join(cutting_step(shallow, [shallow], WORDS).sentences)
    assert "A mark in a ring" not in " ".join(cutting_step(leg, [leg], WORDS).sentences)


def test_pieces_without_notches_are_cut_and_not_notched():
    leg = replace(made().garments[0].pieces[0], notches=())
    step = cutting_step(leg, [leg], WORDS)
    assert len(step.pictures) == 1
    assert not any("notch" in sentence for sentence in step.sentences)


@pytest.mark.parametrize("mirrored", [True, False])
def test_a_piece_is_shown_mirrored_where_one_is_cut_so(mirrored):
    leg = replace(made().garments[0].pieces[0], mirrored=mirrored)
    told = [caption.text for caption in cutting_step(leg, [leg], WORDS).pictures[0].captions]
    assert ("leg, mirrored" in told) is mirrored
    assert "leg, as drawn" in told


def test_notches_are_shown_in_the_least_allowance_that_they_stand_in():
    leg = made().garments[0].pieces[0]
    deep = replace(leg, edges=tuple(replace(e, allowance=42.0) if e.name == "waist" else e for e in leg.edges))
    usual, folded = (cutting_step(piece, [piece], WORDS).pictures[1].bounds for piece in (leg, deep))
    assert folded == pytest.approx(usual)


def test_every_kind_of_notch_is_shown():
    leg = made().garments[0].pieces[0]
    _, whole = cutting_step(leg, [leg], WORDS).pictures
    some = replace(leg, notches=tuple(notch for notch in leg.notches if notch.kind is NotchKind.SINGLE))
    _, single = cutting_step(some, [some], WORDS).pictures
    assert len(single.traces) < len(whole.traces)
    assert single.bounds[2] < whole.bounds[2]


@pytest.mark.parametrize("motion", [Motion.turn(90), Motion.shift(Vector(-2000, 700)), Motion.shift(Vector(800, -900))])
def test_a_piece_leaves_room_for_its_captions_wherever_its_origin_is(motion):
    leg = made().garments[0].pieces[0].moved(motion)
    picture = cutting_step(leg, [leg], WORDS).pictures[0]
    left, bottom, right, top = picture.bounds
    assert right - left <= OVERVIEW
    assert top - bottom <= 2 * TALL + 5
    outlines = [shapely.Polygon(trace.path.array()) for trace in picture.traces if trace.role is Role.OUTSIDE]
    for caption in picture.captions:
        assert min(outline.distance(shapely.Point(caption.at.x, caption.at.y)) for outline in outlines) < 0.1


STROKES = {
    NotchKind.SINGLE: (
        "One stroke stands in front, and where front and back are sewn together.",
        "Single notch: in front, and where front and back are sewn together",
    ),
    NotchKind.DOUBLE: ("Two strokes stand at the back alone.", "Double notch: at the back alone"),
}
"""What the guide and the first page of a pattern say of strokes; double at the back is common practice, no source."""


@pytest.mark.parametrize(
    "name", quick(spread(), lambda name: name in ("short, band", "short, all split", "skirt, faced"))
)
def test_strokes_stand_where_the_words_say(name):
    """Single and double notches of every piece, by the edges that are sewn together, against the words for them."""
    for garment in spread()[name].drafted().garments:
        told = " ".join(cutting_step(garment.pieces[0], garment.pieces, WORDS).sentences)
        sewn = {}
        for seam in garment.seams:
            one, other = half_of(seam.first_edge, seam.first), half_of(seam.second_edge, seam.second)
            for place in ((seam.first, seam.first_edge), (seam.second, seam.second_edge)):
                sewn.setdefault(place, set()).update((one, other))
        kinds = {notch.kind for piece in garment.pieces for notch in piece.notches}
        for kind, (sentence, entry) in STROKES.items():
            assert (sentence in told) is (kind in kinds)
            assert KEY_NOTCH[kind.value] == entry
        for piece in garment.pieces:
            for notch in piece.notches:
                joins = sewn.get((piece.name, notch.edge), {half_of(notch.edge, piece.name)})
                if notch.kind is NotchKind.DOUBLE:
                    assert joins == {"back"}, (piece.name, notch.id)
                if notch.kind is NotchKind.SINGLE:
                    assert "front" in joins or "side" in joins, (piece.name, notch.id)


def half_of(edge: str, piece: str) -> str:
    """Whether an edge is a front's, a back's or, of a split piece, the side seam between them."""
    known = (half for said in (edge, piece) for half in ("front", "back", "side") if half in said)
    return next(known, edge)
