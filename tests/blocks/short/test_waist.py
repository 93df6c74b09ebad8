"""The finishes of a waist: facing, cut-on casing and waistband, and what must match what in each."""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, affinity, box
from shapely import Point as Spot

from blocks.cloth import Cloth
from blocks.design import WaistDesign, WaistFinish
from blocks.proof import FOLD_TOLERANCE
from blocks.short import draft_short
from blocks.short.design import DrawcordDesign, LegDesign, ShortDesign, WaistbandDesign
from drafting.errors import DesignError
from drafting.piece import MarkKind, NotchKind
from heron import BODY, DESIGN, bodies

PLAIN = replace(DESIGN, casings=())
each_finish = pytest.mark.parametrize("finish", list(WaistFinish))
each_rise = pytest.mark.parametrize("rise", ["high", "mid"])
each_split = pytest.mark.parametrize("split", [False, True])


def finished(finish, design=DESIGN, **waist):
    return replace(design, waist=WaistDesign(finish=finish, **waist))


def drafted(finish, design=DESIGN, body=BODY, **options):
    return draft_short(finished(finish, design), body, **options)


def named(short):
    return {piece.name: piece for piece in short.pieces}


# --- all of them ------------------------------------------------------------------------------------------------------


@each_rise
@each_split
def test_the_garment_ends_where_the_body_needs_it_whatever_its_finish(rise, split):
    """The crotch seam of any finish is as long as a faced one's: a waistband is a part of it."""
    faced = drafted("faced", rise=rise, split=split)
    for finish in WaistFinish:
        made = drafted(finish, rise=rise, split=split)
        for measure in ("front_rise", "back_rise", "crotch_seam", "hip", "hem", "inseam"):
            assert made.measures[measure] == pytest.approx(faced.measures[measure], abs=1e-6), (finish, measure)
        assert made.elastics.waist.height == faced.elastics.waist.height
        assert made.elastics.waist.cut_length == faced.elastics.waist.cut_length


@given(bodies(), st.sampled_from(list(WaistFinish)), st.sampled_from(["high", "mid"]), st.booleans())
def test_every_finish_is_proved_on_every_body(body, finish, rise, split):
    try:
        short = drafted(finish, PLAIN, body, rise=rise, split=split)
    except DesignError:
        return
    assert short.proofs.fold <= FOLD_TOLERANCE
    assert max(short.proofs.seam, short.proofs.mates) < 0.1


@each_finish
@each_split
def test_each_finish_has_its_pieces_and_no_others(finish, split):
    own = {"faced": "waist facing", "cut-on": None, "waistband": "waistband"}[finish]
    halves = [f" {half}" for half in ("front", "back")] if split else [""]
    strips = [f"{own}{half}" for half in halves] if own else []
    assert [piece.name for piece in drafted(finish, split=split).pieces] == [
        *(f"leg{half}" for half in halves),
        *strips,
    ]


@each_finish
def test_a_channel_too_shallow_for_its_elastic_is_refused_by_name(finish):
    with pytest.raises(DesignError, match=r"waist\.channel: 25 mm is too shallow for the waist elastic, 40 mm wide"):
        finished(finish, elastic_width=40, channel=25)


@each_finish
@each_split
def test_every_notch_of_a_finish_meets_one_that_meets_it(finish, split):
    pieces = named(drafted(finish, split=split))
    alone = set()
    for piece in pieces.values():
        for notch in piece.notches:
            if notch.mate is None:
                alone.add((piece.name, notch.id))
                continue
            where, _, other = notch.mate.rpartition("/")
            if where == "mirror":
                assert other == notch.id
            else:
                assert pieces[where or piece.name].notch(other).mate in (f"{piece.name}/{notch.id}", notch.id)
    assert alone == ({("leg", "side")} if finish == "cut-on" and not split else set())


@each_finish
def test_casings_clear_the_channel_of_the_finish(finish):
    """Under a waistband the leg itself has no channel, and casings may lie right up to its seam."""
    leg = drafted(finish, PLAIN).leg
    edge = leg.waist.bounds[1] - DESIGN.limits.tuck_gap
    ceiling = edge - (0 if finish == "waistband" else finished(finish).waist.channel)
    at = lambda height: replace(PLAIN, casings=(replace(DESIGN.casings[0], height=height),))  # noqa: E731
    assert drafted(finish, at(ceiling - 0.01))
    channel = "seam of the waistband" if finish == "waistband" else "waist seam and its 30 mm channel"
    with pytest.raises(DesignError, match=f"runs into the {channel}"):
        drafted(finish, at(ceiling + 0.5))
    left_out = drafted(finish, at(ceiling - 30), rise="mid").left_out[0].why
    assert ("channel" in left_out) == (finish != "waistband")


@each_finish
@pytest.mark.parametrize("drop", [5, 30, 100, 150])
def test_any_drop_can_be_drafted(finish, drop):
    design = replace(PLAIN, leg=LegDesign(mid_drop=drop))
    high, mid = (drafted(finish, design, rise=rise) for rise in ("high", "mid"))
    for end in ("start", "end"):
        lower = getattr(high.leg.waist, end).y - getattr(mid.leg.waist, end).y
        assert lower == pytest.approx(drop, abs=0.3)  # a band's height is measured along the centre seams
    assert high.elastics.waist.height - mid.elastics.waist.height == pytest.approx(drop)


@pytest.mark.parametrize("finish", ["cut-on", "waistband"])
@pytest.mark.parametrize(("channel", "drop"), [(70, 130), (70, 175), (60, 180), (30, 180)])
def test_a_rise_too_low_for_its_finish_is_refused_and_each_remedy_helps(finish, channel, drop):
    design = replace(finished(finish, PLAIN, channel=channel, elastic_width=20), leg=LegDesign(mid_drop=drop))
    try:
        draft_short(design, BODY, rise="mid")
    except DesignError as refused:
        said = str(refused)
    else:
        return
    remedies = re.findall(r"(leg\.mid_drop|waist\.channel) to ([\d.]+) mm at most", said)
    assert remedies, said
    for place, value in remedies:
        record, name = place.split(".")
        changed = replace(design, **{record: replace(getattr(design, record), **{name: float(value)})})
        assert draft_short(changed, BODY, rise="mid")


@each_finish
@each_split
def test_a_casing_may_be_called_like_the_waist(finish, split):
    casings = (replace(DESIGN.casings[1], name="waist"), replace(DESIGN.casings[2], name="folded-waist"))
    short = draft_short(replace(finished(finish, DESIGN), casings=casings), BODY, split=split)
    lines = [line.name for piece in short.pieces for line in piece.stitch_lines if piece.name in ("leg", "leg front")]
    assert len(set(lines)) == len(lines)


# --- cut-on -----------------------------------------------------------------------------------------------------------


def level(piece, line):
    """A piece's line by shapely, turned so that the fold at its waist is level at y = 0."""
    waist = piece.edge("waist").seam
    back, front = waist.end, waist.start
    degrees = math.degrees(math.atan2(front.y - back.y, front.x - back.x))
    shape = Polygon(line.array(tolerance=1e-3))
    return affinity.translate(affinity.rotate(shape, -degrees, origin=(back.x, back.y)), 0, -back.y)


@each_rise
@each_split
def test_what_is_folded_down_at_a_cut_on_waist_lies_on_the_leg(rise, split):
    # Reference: shapely folds the cut line along the fold; common practice, no source: it must be as wide as the leg.
    design = finished("cut-on")
    depth, under = design.waist.depth, design.waist.turn_under
    assert (depth, under) == (32, 10)
    for piece in drafted("cut-on", rise=rise, split=split).pieces:
        cut = level(piece, piece.cut_line)
        assert cut.bounds[3] == pytest.approx(depth + under)
        folded = affinity.scale(cut & box(-2000, 0, 2000, depth), yfact=-1, origin=(0, 0))
        lies_on = cut & box(-2000, -depth, 2000, 0)
        assert folded.hausdorff_distance(lies_on) < FOLD_TOLERANCE
        raw = cut & box(-2000, depth, 2000, depth + under)
        for fold in (depth, 0):
            raw = affinity.scale(raw, yfact=-1, origin=(0, fold))
        assert raw.hausdorff_distance(cut & box(-2000, -depth, 2000, under - depth)) < FOLD_TOLERANCE


def test_a_cut_on_waist_runs_straight_between_the_centres_of_a_faced_one():
    faced, cut_on = drafted("faced").leg.waist, drafted("cut-on").leg.waist
    assert (cut_on.start, cut_on.end) == (faced.start, faced.end)
    assert cut_on.length == pytest.approx(cut_on.start.distance(cut_on.end))
    assert cut_on.segments[0].end.x == pytest.approx(0)


@each_split
def test_the_stitch_line_of_a_cut_on_waist_lies_the_channel_below_its_fold(split):
    short = drafted("cut-on", split=split)
    for piece in short.pieces:
        line = next(line for line in piece.stitch_lines if line.name == "waist stitch line")
        fold = LineString(piece.edge("waist").seam.array())
        border = Polygon(piece.seam_line.array()).exterior
        for end in (line.start, line.end):
            assert fold.distance(Spot(end.x, end.y)) >= short.design.waist.channel - 1e-6
            assert border.distance(Spot(end.x, end.y)) < 0.01
        middle = line.start.toward(line.end, 0.5)
        assert fold.distance(Spot(middle.x, middle.y)) == pytest.approx(short.design.waist.channel)
        assert "folded down inside" in piece.notes[0]


@each_split
def test_a_cut_on_waist_has_a_fold_notch_at_both_ends_of_its_fold(split):
    for piece in drafted("cut-on", split=split).pieces:
        notches = [notch for notch in piece.notches if notch.id.startswith("folded-waist")]
        waist = piece.edge("waist").seam
        assert {notch.kind for notch in notches} == {NotchKind.FOLD}
        assert len(notches) == 2
        for notch in notches:
            assert min(notch.seam_point.distance(end) for end in (waist.start, waist.end)) < 1e-6
            assert Polygon(piece.cut_line.array()).exterior.distance(Spot(notch.cut_point.x, notch.cut_point.y)) < 0.01


def test_more_turned_under_than_is_folded_down_is_refused():
    with pytest.raises(DesignError, match=r"waist\.turn_under: 20 mm reaches over all that is folded down, 14 mm"):
        draft_short(finished("cut-on", elastic_width=10, channel=12, turn_under=20), BODY)


# --- waistband --------------------------------------------------------------------------------------------------------


@each_rise
@each_split
def test_a_waistband_is_as_long_as_the_waist_seam_and_as_high_as_its_channel(rise, split):
    short = drafted("waistband", rise=rise, split=split)
    bands = [piece for piece in short.pieces if piece.name.startswith("waistband")]
    seam = sum(piece.edge("waist").seam.length for piece in bands)
    assert 2 * seam == pytest.approx(short.measures["waist_seam"], abs=0.01)
    waist, allowed = short.design.waist, short.design.allowances.waist
    for band in bands:
        _, low, _, high = band.cut_line.bounds
        assert high - low == pytest.approx(allowed + 2 * waist.channel + waist.edge + waist.turn_under)
        fold = band.fold_lines[0]
        assert fold.start.y - band.edge("waist").seam.start.y == fold.depth == waist.channel
        assert (band.cut_count, band.mirrored) == (2, True)


@each_split
def test_a_waistband_is_notched_at_the_centres_the_side_and_its_fold(split):
    pieces = [piece for name, piece in named(drafted("waistband", split=split)).items() if name.startswith("waistband")]
    kinds = {(notch.edge, notch.kind) for piece in pieces for notch in piece.notches}
    ends = {("front end", NotchKind.SINGLE), ("back end", NotchKind.DOUBLE)}  # common practice, no source
    assert kinds >= ends | {("front end", NotchKind.FOLD), ("back end", NotchKind.FOLD)}
    assert kinds >= ({("side", NotchKind.SINGLE), ("side", NotchKind.FOLD)} if split else {("waist", NotchKind.SIDE)})


@each_split
def test_a_waistband_may_be_cut_along_the_grain(split):
    across = named(drafted("waistband", split=split))
    design = replace(finished("waistband"), waistband=WaistbandDesign(grain="along"))
    along = named(draft_short(design, BODY, split=split))
    for name, piece in along.items():
        left, low, right, high = piece.cut_line.bounds
        if not name.startswith("waistband"):
            assert piece == across[name]
            continue
        other = across[name].cut_line.bounds
        assert (right - left, high - low) == pytest.approx((other[3] - other[1], other[2] - other[0]))
        grain = piece.grainline
        assert grain.start.x == grain.end.x
        assert Polygon(piece.seam_line.array()).contains(LineString([(p.x, p.y) for p in (grain.start, grain.end)]))


@given(bodies(), st.sampled_from([1.0, 1.5, 2.2]), st.sampled_from(list(WaistFinish)))
def test_what_a_waist_is_finished_with_fits_on_the_cloth_that_the_leg_was_split_for(body, fullness, finish):
    cloth = Cloth(1400)
    design = replace(finished(finish, PLAIN), leg=LegDesign(fullness=fullness))
    try:
        short = draft_short(design, body, split=lambda piece: not cloth.fits(piece))
    except DesignError:
        return
    assert all(cloth.fits(piece) for piece in short.pieces)


# --- drawcord ---------------------------------------------------------------------------------------------------------


def corded(finish, **cord):
    return replace(finished(finish), drawcord=DrawcordDesign(**{"width": 5, **cord}))


@each_finish
@each_split
def test_a_drawcord_comes_out_of_the_middle_of_the_channel_beside_the_centre_front(finish, split):
    short = draft_short(corded(finish), BODY, split=split)
    marked = [(piece, mark) for piece in short.pieces for mark in piece.marks if mark.kind is MarkKind.BUTTONHOLE]
    assert len(marked) == 1
    piece, mark = marked[0]
    outer = "waistband" if finish == "waistband" else "leg"
    assert piece.name == (f"{outer} front" if split else outer)
    waist, cord = LineString(piece.edge("waist").seam.array()), short.design.drawcord
    centre = LineString(piece.edge("front end" if outer == "waistband" else "front crotch").seam.array())
    start, end = (Spot(at.x, at.y) for at in (mark.line.start, mark.line.end))
    assert mark.line.length == pytest.approx(cord.buttonhole) == pytest.approx(11)
    channel = short.design.waist.channel
    assert waist.distance(start) + waist.distance(end) == pytest.approx(channel, abs=0.05)
    middle = mark.line.start.toward(mark.line.end, 0.5)
    assert centre.distance(Spot(middle.x, middle.y)) == pytest.approx(cord.spacing, abs=2)  # it leans in
    assert Polygon(piece.seam_line.array()).contains(LineString([start, end]))


@each_finish
def test_a_drawcord_reaches_round_the_hips_and_is_bought(finish):
    (trim,) = draft_short(corded(finish, tail=250), BODY).trims
    assert (trim.name, trim.width, trim.quantity) == ("drawcord", 5, 1)
    assert trim.cut_length == BODY.hip_girth + 500
    assert not draft_short(corded(finish, width=0), BODY).trims


@pytest.mark.parametrize(
    ("waist", "cord", "match"),
    [
        (
            {"elastic_width": 10, "channel": 12},
            {"width": 9, "buttonhole": 10},
            "drawcord.buttonhole: 10 mm does not fit",
        ),
        ({"elastic_width": 10, "channel": 12}, {"width": 5}, "drawcord.buttonhole: 11 mm .* waist.channel to 15 mm"),
    ],
)
def test_a_drawcord_that_does_not_fit_its_channel_is_refused_and_the_remedy_helps(waist, cord, match):
    design = ShortDesign("Cord", waist=WaistDesign(**waist), drawcord=DrawcordDesign(**cord))
    with pytest.raises(DesignError, match=match) as refused:
        draft_short(design, BODY)
    remedy = float(str(refused.value).rsplit("to ", 1)[1].split(" mm")[0])
    assert draft_short(replace(design, waist=replace(design.waist, channel=remedy)), BODY)
