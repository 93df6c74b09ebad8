from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, hausdorff_distance
from shapely import Point as Spot

from blocks.design import Allowances
from blocks.proof import prove
from blocks.short import draft_short
from blocks.short.elastics import figure_of
from blocks.short.folding import tucks_of
from drafting.curve import FLAT_TOLERANCE, Line
from drafting.errors import DesignError, DraftError, GeometryError
from drafting.path import Path
from drafting.piece import NotchKind
from drafting.point import Vector
from heron import BODY, DESIGN, HIGH_CASING, bodies

both_rises = pytest.mark.parametrize("rise", ["high", "mid"])


@both_rises
def test_the_proofs_hold(rise):
    proofs = draft_short(DESIGN, BODY, rise=rise).proofs
    assert proofs.fold <= 0.05
    assert proofs.seam <= 0.1
    assert proofs.mates <= 0.5


@both_rises
def test_casings_add_twice_their_depth_and_nothing_else(rise):
    short = draft_short(DESIGN, BODY, rise=rise)
    leg = short.pieces[0]
    added = sum(2 * line.depth for line in leg.fold_lines)
    assert leg.edge("waist").seam.start.y - leg.finished.bounds[1] == pytest.approx(
        short.leg.waist.start.y - short.leg.hem_level + added
    )
    for line in (*leg.fold_lines, *leg.stitch_lines):
        assert line.start.y == pytest.approx(line.end.y, abs=1e-9)  # square to the grain
        assert line.start.x < line.end.x


@both_rises
def test_every_casing_is_marked_at_both_ends(rise):
    leg = draft_short(DESIGN, BODY, rise=rise).pieces[0]
    for fold in leg.fold_lines:
        ends = [notch.seam_point for notch in leg.notches if notch.id.startswith(f"{fold.casing}-fold")]
        assert len(ends) == 2
        assert any(end.isclose(fold.start, tolerance=1e-6) for end in ends)
        assert any(end.isclose(fold.end, tolerance=1e-6) for end in ends)


@both_rises
def test_notches_lie_on_their_lines(rise):
    leg = draft_short(DESIGN, BODY, rise=rise).pieces[0]
    seam, cut = Polygon(leg.seam_line.array(tolerance=1e-4)), Polygon(leg.cut_line.array(tolerance=1e-4))
    for notch in leg.notches:
        edge = leg.edge(notch.edge)
        assert edge.seam.point_at(notch.distance).isclose(notch.seam_point, tolerance=1e-6)
        assert seam.exterior.distance(Spot(notch.seam_point.x, notch.seam_point.y)) < 1e-3
        # The cut line itself is drawn within this of the true parallel.
        assert cut.exterior.distance(Spot(notch.cut_point.x, notch.cut_point.y)) < FLAT_TOLERANCE
        # Square across the allowance, or along the fold line where the edge leans.
        across = notch.seam_point.distance(notch.cut_point)
        if notch.kind in (NotchKind.FOLD, NotchKind.STITCH):
            assert edge.allowance - FLAT_TOLERANCE <= across < 1.5 * edge.allowance
        else:
            assert across == pytest.approx(edge.allowance, abs=1e-9)


def test_single_front_and_double_back():
    # Common practice, no source: one notch marks a front, two a back.
    kinds = {notch.id: notch.kind for notch in draft_short(DESIGN, BODY).pieces[0].notches}
    assert kinds["front-balance"] is NotchKind.SINGLE
    assert kinds["back-balance"] is NotchKind.DOUBLE


def test_inseam_casings_meet_at_one_distance_from_the_crotch_point():
    leg = draft_short(DESIGN, BODY).pieces[0]
    front, back = leg.edge("front inseam").seam, leg.edge("back inseam").seam
    for casing, part in product(("thigh", "frill"), ("lower", "fold", "upper")):
        from_front = front.length - leg.notch(f"{casing}-{part}-front").distance
        assert from_front == pytest.approx(leg.notch(f"{casing}-{part}-back").distance, abs=1e-6)
    assert front.length == pytest.approx(back.length, abs=1e-6)


def test_without_casings_the_cut_line_is_a_mitred_buffer():
    # Reference: shapely's buffer. All allowances are equal and all corners of the plain leg are square.
    leg = draft_short(replace(DESIGN, casings=(), allowances=Allowances(12, 12, 12)), BODY).pieces[0]
    seam = Polygon(leg.seam_line.array(tolerance=1e-5))
    reference = seam.buffer(12, join_style="mitre", mitre_limit=5, quad_segs=64)
    assert hausdorff_distance(Polygon(leg.cut_line.array(tolerance=1e-4)), reference) < 0.05


@settings(max_examples=60)
@given(
    bodies(),
    st.floats(1.0, 2.2),
    st.sampled_from(["high", "mid"]),
)
def test_any_body_drafts_and_proves_or_is_refused_by_name(body, fullness, rise):
    design = replace(DESIGN, leg=replace(DESIGN.leg, fullness=fullness))
    try:
        short = draft_short(design, body, rise=rise)
    except DesignError as error:
        named = str(error)
        assert "casing" in named or "leg." in named
        return
    leg = short.pieces[0]
    seam, cut = Polygon(leg.seam_line.array()), Polygon(leg.cut_line.array())
    assert seam.is_simple
    assert seam.is_valid
    assert cut.is_valid
    assert cut.contains(seam)
    assert seam.contains(Spot(leg.grainline.start.x, leg.grainline.start.y))
    assert seam.contains(Spot(leg.grainline.end.x, leg.grainline.end.y))


def test_measures_are_those_of_the_block():
    short = draft_short(DESIGN, BODY)
    leg = short.pieces[0]
    assert short.measures["waist_seam"] == pytest.approx(2 * leg.edge("waist").seam.length)
    assert short.measures["crotch_seam"] == pytest.approx(short.measures["front_rise"] + short.measures["back_rise"])
    across = LineString([(-3000, short.leg.hip_level), (3000, short.leg.hip_level)])
    assert short.measures["hip"] == pytest.approx(
        2 * across.intersection(Polygon(leg.finished.array())).length, abs=0.1
    )
    assert short.measures["inseam"] == DESIGN.leg.inseam_length
    frill = DESIGN.casings[-1]
    girth = figure_of(BODY, short.leg, DESIGN).girth_at(frill.height)
    assert short.measures["leg_opening"] == pytest.approx(girth * (1 + frill.ease))
    assert draft_short(replace(DESIGN, casings=()), BODY).measures["leg_opening"] == short.measures["hem"]


def test_size_is_labelled_by_hip_girth_unless_named():
    assert draft_short(DESIGN, BODY).size == "H102"
    assert draft_short(DESIGN, BODY, size="mine").pieces[0].size == "mine"


def test_an_unknown_rise_is_refused():
    with pytest.raises(DraftError, match=r'rise: "low" .* high, mid'):
        draft_short(DESIGN, BODY, rise="low")


def test_a_casing_that_is_left_out_is_told_with_its_reason():
    short = draft_short(HIGH_CASING, BODY, rise="mid")
    assert [one.casing.name for one in short.left_out] == ["top"]
    assert short.left_out[0].why in short.warnings
    assert short.notes == ()
    upper = short.left_out[0].casing
    ceiling = short.leg.waist.bounds[1] - DESIGN.waist.channel - DESIGN.limits.tuck_gap
    assert upper.height > ceiling
    moved = replace(DESIGN, casings=(replace(HIGH_CASING.casings[0], height=ceiling),))
    assert draft_short(moved, BODY, rise="mid").left_out == ()


def test_a_spoiled_piece_fails_its_proof():
    short = draft_short(DESIGN, BODY)
    leg, tucks = short.pieces[0], tucks_of(short.leg, DESIGN)[0]

    def spoiled(name, spoil):
        edges = tuple(spoil(edge) if edge.name == name else edge for edge in leg.edges)
        piece = replace(leg)
        object.__setattr__(piece, "edges", edges)
        return (piece, *short.pieces[1:])

    def bulged(edge):
        before, after = edge.seam.split_at(250)
        bulge = before.end + Vector(-0.2, 0)
        path = Path((*before.segments, Line(before.end, bulge), Line(bulge, after.start), *after.segments))
        return replace(edge, seam=path)

    def shortened(edge):
        return replace(edge, seam=edge.seam.part(0, edge.seam.length - 0.2))

    with pytest.raises(GeometryError, match="fold proof"):
        prove(spoiled("back crotch", bulged), tucks, short.seams)
    with pytest.raises(GeometryError, match=r"from where it should|differ by"):
        prove(spoiled("front inseam", shortened), tucks, short.seams)
