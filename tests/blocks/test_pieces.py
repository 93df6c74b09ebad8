"""Facing, band and split leg: what must match what."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from blocks.cloth import Cloth, Lay, width_across
from blocks.short import draft_short
from blocks.short.design import TrimDesign
from drafting.errors import DesignError
from drafting.piece import Piece
from heron import BODY, DESIGN, a_body, bodies

BAND = replace(DESIGN, trim=TrimDesign(kind="band"))
each_split = pytest.mark.parametrize("split", [False, True])
each_rise = pytest.mark.parametrize("rise", ["high", "mid"])


def pieces_of(design=DESIGN, body=BODY, **options) -> dict[str, Piece]:
    return {piece.name: piece for piece in draft_short(design, body, **options).pieces}


def halves(pieces, name):
    return [piece for key, piece in pieces.items() if key == name or key.startswith((f"{name} front", f"{name} back"))]


# --- facing -----------------------------------------------------------------------------------------------------------


@each_rise
@each_split
def test_facing_is_as_long_as_the_waist_seam(rise, split):
    pieces = pieces_of(rise=rise, split=split)
    legs = sum(piece.edge("waist").seam.length for piece in halves(pieces, "leg"))
    facings = sum(piece.edge("waist").seam.length for piece in halves(pieces, "waist facing"))
    assert facings == pytest.approx(legs, abs=0.5)


def test_facing_takes_the_elastic_between_its_seam_and_its_stitching():
    # Common practice, no source: elastic lies behind a stitch line 5 mm deeper than it is wide.
    facing = pieces_of()["waist facing"]
    _, low, _, high = facing.cut_line.bounds
    stitch = facing.stitch_lines[0]
    deep = DESIGN.waist.elastic_width + 5
    assert facing.edge("waist").seam.start.y - stitch.start.y == deep
    assert high - low == pytest.approx(DESIGN.allowances.waist + deep + DESIGN.facing.edge + DESIGN.facing.turn_under)


def test_facing_is_notched_at_the_side_line_and_both_ends():
    pieces = pieces_of()
    facing, leg = pieces["waist facing"], pieces["leg"]
    assert {notch.edge for notch in facing.notches} == {"waist", "front end", "back end"}
    from_front = leg.notch("side").distance
    on_facing = facing.edge("waist").seam.length - facing.notch("side").distance
    assert on_facing == pytest.approx(from_front, abs=0.5)


# --- band -------------------------------------------------------------------------------------------------------------


@each_rise
@each_split
def test_band_top_is_the_casing_line(rise, split):
    pieces = pieces_of(BAND, rise=rise, split=split)
    line = sum(
        line.start.distance(line.end)
        for piece in halves(pieces, "leg")
        for line in piece.stitch_lines
        if line.name == "frill lower stitch line"
    )
    top = sum(piece.edge("casing").seam.length for piece in halves(pieces, "trim band"))
    assert top == pytest.approx(line, abs=0.5)


def test_band_ends_lie_on_the_leg_inseams_and_hang_below_the_hem():
    short = draft_short(BAND, BODY)
    band = next(piece for piece in short.pieces if piece.name == "trim band")
    for name, edge in (("front inseam", short.leg.front_inseam), ("back inseam", short.leg.back_inseam)):
        for height in (-115, -125, -139):
            assert band.edge(name).seam.heights(height)[0].isclose(edge.heights(height)[0], tolerance=1e-6)
    assert band.seam_line.bounds[1] == pytest.approx(short.leg.hem_level - BAND.trim.shows)
    assert "this way up" in band.notes[0]


def test_band_without_a_turned_hem():
    band = pieces_of(replace(DESIGN, trim=TrimDesign(kind="band", hem=0)))["trim band"]
    assert band.edge("hem").allowance == 0
    assert band.cut_line.bounds[1] == pytest.approx(band.seam_line.bounds[1])


def test_bought_trim_makes_no_piece():
    assert set(pieces_of(replace(DESIGN, trim=TrimDesign(kind="bought")))) == {"leg", "waist facing"}


@pytest.mark.parametrize(
    ("trim", "casings", "match"),
    [
        (TrimDesign(kind="bought", width=30), DESIGN.casings, r"trim\.width: 30 mm hangs 24 mm .* wider than 36 mm"),
        (TrimDesign(kind="band"), DESIGN.casings[:2], r"trim\.kind: .* negative height"),
        (TrimDesign(kind="band", top=11), DESIGN.casings, r"trim\.top: 11 mm .* 'frill' of 12 mm; allowed are 10 mm"),
    ],
)
def test_a_trim_that_cannot_be_is_refused(trim, casings, match):
    with pytest.raises(DesignError, match=match):
        pieces_of(replace(DESIGN, trim=trim, casings=casings))


def test_an_unknown_trim_is_refused():
    with pytest.raises(DesignError, match="none, band, bought"):
        TrimDesign(kind="lace")


# --- split ------------------------------------------------------------------------------------------------------------


@given(bodies(), st.sampled_from(["high", "mid"]))
def test_joining_the_split_leg_gives_the_whole_leg_exactly(body, rise):
    try:
        whole = pieces_of(body=body, rise=rise)["leg"]
    except DesignError:
        return
    split = pieces_of(body=body, rise=rise, split=True)
    front, back = split["leg front"], split["leg back"]
    for name in ("front inseam", "front crotch"):
        assert front.edge(name).seam == whole.edge(name).seam
    for name in ("back inseam", "back crotch"):
        assert back.edge(name).seam == whole.edge(name).seam
    waist = (*front.edge("waist").seam.segments, *back.edge("waist").seam.segments)
    assert waist == whole.edge("waist").seam.segments
    assert front.edge("side").seam == back.edge("side").seam.reversed()
    hem = whole.edge("hem").seam
    assert (back.edge("hem").seam.start, front.edge("hem").seam.end) == (hem.start, hem.end)
    assert back.edge("hem").seam.end == front.edge("hem").seam.start
    joined = Polygon(front.seam_line.array()).union(Polygon(back.seam_line.array()))
    assert joined.symmetric_difference(Polygon(whole.seam_line.array())).area < 1e-6


def test_split_sides_carry_fold_notches_at_every_casing_and_a_balance_notch():
    split = pieces_of(split=True)
    for piece in (split["leg front"], split["leg back"]):
        on_side = {notch.id for notch in piece.notches if notch.edge == "side"}
        assert {f"{casing.name}-fold-side" for casing in DESIGN.casings} <= on_side
        assert "side-balance" in on_side
        assert piece.edge("side").allowance == DESIGN.allowances.seam


@pytest.mark.parametrize("width", [1100, 1400, 1500])
def test_usable_cloth(width):
    # Common practice, no source: mainstream cloth is 110, 140 or 150 cm wide; selvedges are not used.
    assert Cloth(width, selvedge=15).usable == width - 30
    assert Cloth(width, selvedge=15, fold=5, lay="folded").usable == (width - 30) / 2 - 5


@pytest.mark.parametrize("lay", list(Lay))
def test_exactly_as_wide_as_the_usable_cloth_fits(lay):
    leg = pieces_of()["leg"]
    across = width_across(leg)
    nominal = (across if lay is Lay.OPEN else 2 * (across + 5)) + 30
    assert Cloth(nominal, selvedge=15, fold=5, lay=lay).fits(leg)
    assert not Cloth(nominal - 0.01, selvedge=15, fold=5, lay=lay).fits(leg)


def test_large_sizes_no_longer_fit_narrow_cloth():
    cloth = Cloth(1100)
    assert cloth.fits(pieces_of()["leg"])
    large = a_body(hip_girth=140, waist_girth=118)
    assert not cloth.fits(pieces_of(body=large)["leg"])
    assert all(cloth.fits(piece) for piece in pieces_of(body=large, split=True).values())


def test_unknown_lay_is_refused():
    with pytest.raises(DesignError, match="open, folded"):
        Cloth(1400, lay="crosswise")


@each_split
@pytest.mark.parametrize(
    "name", ["1/2", "mirror/x", "leg back/x", "waist", "hem", "leg front", "%2F", "side", "fold", "a-fold"]
)
def test_a_casing_of_any_name_keeps_every_mate(name, split):
    def mates(short):
        return [(walk.first, walk.second, walk.mates) for walk in short.proofs.walks]

    first, *rest = DESIGN.casings
    named = replace(DESIGN, casings=(replace(first, name=name), *rest))
    short = draft_short(named, BODY, split=split)
    assert mates(short) == mates(draft_short(DESIGN, BODY, split=split))
    for piece in short.pieces:
        for notch in piece.notches:
            where, slash, _ = (notch.mate or "").rpartition("/")
            assert "/" not in notch.id
            assert not slash or where == "mirror" or where in {other.name for other in short.pieces}
