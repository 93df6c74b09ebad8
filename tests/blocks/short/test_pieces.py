"""Facing, band and split leg: what must match what."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from blocks.cloth import Cloth, Lay, width_across
from blocks.design import FacingDesign, WaistDesign
from blocks.short import draft_short
from blocks.short.design import TrimDesign
from drafting.errors import DesignError
from drafting.piece import NotchKind, Piece
from drafting.point import Point
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
    assert facing.notch("side").kind is leg.notch("side").kind is NotchKind.SIDE
    from_front = leg.notch("side").distance
    on_facing = facing.edge("waist").seam.length - facing.notch("side").distance
    assert on_facing == pytest.approx(from_front, abs=0.5)


def test_what_is_turned_under_may_not_reach_the_waist_seam():
    waist = WaistDesign(elastic_width=10, channel=14)
    height = waist.channel + FacingDesign().edge
    assert pieces_of(replace(DESIGN, waist=waist, facing=FacingDesign(turn_under=height - 1)))
    with pytest.raises(DesignError, match=r"facing\.turn_under: 16 mm reaches over the facing's whole height, 16 mm"):
        pieces_of(replace(DESIGN, waist=waist, facing=FacingDesign(turn_under=height)))


@each_split
def test_facings_are_cut_along_the_grain_that_they_hang_by(split):
    """The arrow stands upright in the middle of each strip, clear of its long edges by the margin of the design."""
    for facing in halves(pieces_of(split=split), "waist facing"):
        left, right = facing.edge("turn-under").seam.start, facing.edge("turn-under").seam.end
        height = facing.edge("waist").seam.start.y - left.y
        grain, clear = facing.grainline, height * DESIGN.leg.grainline_margin
        assert grain.start.x == grain.end.x == pytest.approx((left.x + right.x) / 2)
        assert grain.start.y - left.y == pytest.approx(clear)
        assert left.y + height - grain.end.y == pytest.approx(clear)
        assert 0 < clear < height / 2


@each_split
def test_the_ends_of_facings_are_notched_halfway_as_the_leg_is(split):
    # Common practice, no source: single notches in front, double ones at the back.
    pieces = pieces_of(split=split)
    found = {notch.id: (piece, notch) for piece in halves(pieces, "waist facing") for notch in piece.notches}
    for name, kind in (("front", NotchKind.SINGLE), ("back", NotchKind.DOUBLE)):
        piece, notch = found[name]
        end = piece.edge(f"{name} end").seam
        assert (notch.kind, notch.mate) == (kind, f"mirror/{name}")
        assert notch.seam_point.isclose(end.start.toward(end.end, 0.5), tolerance=1e-6)
    if split:
        for piece in halves(pieces, "waist facing"):
            side = piece.edge("side").seam
            assert side.start.x == side.end.x == 0
            assert piece.notch("side").kind is NotchKind.SINGLE
            assert piece.notch("side").seam_point.isclose(side.start.toward(side.end, 0.5), tolerance=1e-6)


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


@each_split
def test_bands_are_cut_along_the_grain_of_the_leg(split):
    """The arrow stands at the side line, or at half the width of the leg, clear of both long edges by the margin."""
    short = draft_short(BAND, BODY, split=split)
    pieces = {piece.name: piece for piece in short.pieces}
    across = {"trim band": 0, "trim band front": short.leg.front_width / 2, "trim band back": -short.leg.back_width / 2}
    for band in halves(pieces, "trim band"):
        low, top = band.edge("hem").seam.start.y, band.edge("casing").seam.start.y
        grain, clear = band.grainline, (top - low) * DESIGN.leg.grainline_margin
        assert grain.start.x == grain.end.x == pytest.approx(across[band.name])
        assert (grain.start.y - low, top - grain.end.y) == pytest.approx((clear, clear))
        assert Polygon(band.seam_line.array()).contains(LineString([(grain.start.x, low + 1), (grain.end.x, top - 1)]))


@each_rise
@each_split
def test_bands_are_notched_where_the_hem_of_the_leg_lies(rise, split):
    short = draft_short(BAND, BODY, rise=rise, split=split)
    pieces = {piece.name: piece for piece in short.pieces}
    ends = {
        "front inseam": short.leg.hem.end,
        "back inseam": short.leg.hem.start,
        "side": Point(0, short.leg.hem_level),
    }
    seen = []
    for band in halves(pieces, "trim band"):
        for notch in band.notches:
            if notch.id.startswith("hem-"):
                assert notch.kind is NotchKind.SINGLE
                assert notch.seam_point.isclose(ends[notch.edge], tolerance=1e-6)
                assert notch.cut_point.distance(notch.seam_point) == pytest.approx(DESIGN.allowances.seam)
                seen.append(notch.edge)
    assert sorted(seen) == ["back inseam", "front inseam", *["side"] * (2 * split)]


def test_the_side_line_of_a_band_is_marked_on_the_edge_that_goes_into_the_casing():
    band = pieces_of(BAND)["trim band"]
    notch = band.notch("side")
    assert (notch.kind, notch.edge, notch.mate) == (NotchKind.SIDE, "casing", None)
    assert notch.seam_point.isclose(Point(0, band.edge("casing").seam.start.y), tolerance=1e-6)


def test_band_without_a_turned_hem():
    band = pieces_of(replace(DESIGN, trim=TrimDesign(kind="band", hem=0)))["trim band"]
    assert band.edge("hem").allowance == 0
    assert band.cut_line.bounds[1] == pytest.approx(band.seam_line.bounds[1])


def test_bought_trim_makes_no_piece():
    assert set(pieces_of(replace(DESIGN, trim=TrimDesign(kind="bought")))) == {"leg", "waist facing"}


@pytest.mark.parametrize(
    ("trim", "casings", "match"),
    [
        (
            TrimDesign(kind="bought", width=30),
            DESIGN.casings,
            r"trim\.width: 30 mm hangs 24 mm .* set trim.width to 37 mm at least",
        ),
        (
            TrimDesign(kind="bought", width=36),
            DESIGN.casings,
            r"trim\.width: 36 mm hangs 30 mm .* set trim.width to 37 mm at least",
        ),
        (TrimDesign(kind="band"), DESIGN.casings[:2], r"trim\.kind: .* negative height"),
        (
            TrimDesign(kind="band", top=11),
            DESIGN.casings,
            r"trim\.top: 11 mm .* 'frill' of 12 mm; set trim.top to 10 mm",
        ),
    ],
)
def test_a_trim_that_cannot_be_is_refused(trim, casings, match):
    with pytest.raises(DesignError, match=match):
        pieces_of(replace(DESIGN, trim=trim, casings=casings))


def test_an_unknown_trim_is_refused():
    with pytest.raises(DesignError, match="none, band, bought"):
        TrimDesign(kind="lace")


@each_split
def test_every_piece_is_cut_twice_as_a_pair(split):
    # Common practice, no source: a garment's left and right half are one pattern turned over.
    for piece in pieces_of(BAND, split=split).values():
        assert (piece.cut_count, piece.mirrored) == (2, True)


@each_split
def test_every_notch_meets_one_that_meets_it(split):
    pieces = pieces_of(BAND, split=split)
    alone = set()
    for piece in pieces.values():
        for notch in piece.notches:
            where, slash, other = (notch.mate or "").rpartition("/")
            if notch.mate is None:
                alone.add((piece.name, notch.id))
            elif where == "mirror":
                assert other == notch.id
            else:
                assert (where or piece.name, other) != (piece.name, notch.id)
                back = pieces[where if slash else piece.name].notch(other)
                back_to = back.mate if "/" in back.mate else f"{where or piece.name}/{back.mate}"
                assert back_to == f"{piece.name}/{notch.id}"
                assert back.kind == notch.kind or {back.kind, notch.kind} == {NotchKind.SINGLE, NotchKind.DOUBLE}
    assert alone == (set() if split else {("trim band", "side")})


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


def test_the_balance_notches_of_split_sides_lie_on_the_crotch_line():
    split = pieces_of(split=True)
    level = split["leg front"].edge("front inseam").seam.end.y
    for piece in (split["leg front"], split["leg back"]):
        assert piece.notch("side-balance").seam_point.isclose(Point(0, level), tolerance=1e-6)


@each_split
def test_the_balance_notches_of_the_crotch_lie_at_their_share_of_its_curve(split):
    """The curve starts at the crotch point, in front and at the back; single and double are common practice."""
    short = draft_short(DESIGN, BODY, split=split)
    notches = {notch.id: (piece, notch) for piece in short.pieces for notch in piece.notches}
    for name, kind, curve in (
        ("front", NotchKind.SINGLE, short.leg.front_crotch.segments[0]),
        ("back", NotchKind.DOUBLE, short.leg.back_crotch.segments[-1]),
    ):
        piece, notch = notches[f"{name}-balance"]
        whole = piece.edge(f"{name} crotch").seam.length
        from_point = notch.distance if name == "front" else whole - notch.distance
        assert from_point == pytest.approx(curve.length() * DESIGN.leg.balance_share)
        assert (notch.kind, notch.mate) == (kind, f"mirror/{name}-balance")


@each_split
def test_an_edge_that_is_sewn_to_itself_is_sewn_to_the_other_half(split):
    for seam in draft_short(BAND, BODY, split=split).seams:
        assert seam.mirrored == ((seam.first, seam.first_edge) == (seam.second, seam.second_edge))


@each_split
def test_legs_are_cut_along_the_grain_of_their_side_line(split):
    """The arrow stands at the side line, or halfway to a centre, clear of the hem and the waist by the margin."""
    short = draft_short(DESIGN, BODY, split=split)
    across = {"leg": 0, "leg front": short.leg.front_width / 2, "leg back": -short.leg.back_width / 2}
    for leg in halves({piece.name: piece for piece in short.pieces}, "leg"):
        low, high = leg.edge("hem").seam.start.y, leg.edge("waist").seam.array()[:, 1].min()
        grain, clear = leg.grainline, (high - low) * DESIGN.leg.grainline_margin
        assert grain.start.x == grain.end.x == pytest.approx(across[leg.name])
        assert (grain.start.y - low, high - grain.end.y) == pytest.approx((clear, clear), abs=1)  # the waist is curved


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


@given(bodies())
def test_the_back_inseam_swings_inwards_and_never_outwards(body):
    """Its crotch point lies lower than the front's, and below it the leg grows no wider."""
    try:
        inseam = draft_short(DESIGN, body).leg.back_inseam
    except DesignError:
        return
    across = inseam.array()[:, 0]
    assert across[-1] > across[0]
    assert (across[1:] >= across[:-1] - 1e-9).all()
