from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

from blocks.blend import blend
from blocks.measurements import body_from
from blocks.notions import ThreadUse, thread
from blocks.skirt.design import PanelDesign, RuffleDesign, SkirtCasing, SkirtDesign, SkirtFinish, SkirtWaist
from blocks.skirt.draft import fit
from blocks.skirt.elastics import figure_of
from drafting.errors import DesignError, MeasurementError
from drafting.piece import NotchKind
from wagtail import BODY, CASINGS, DESIGNS, FACED, PLAIN, RUFFLED, TIERED, drafted, pieces
from zoo import numbers


def box_of(piece, line="cut_line"):
    return getattr(piece, line).bounds


@pytest.mark.parametrize("split", [False, True])
@pytest.mark.parametrize("design", DESIGNS)
def test_a_skirt_proves_itself(design, split):
    skirt = drafted(design, split=split)
    assert skirt.proofs.fold <= 0.05
    assert skirt.proofs.seam <= 0.1
    assert skirt.proofs.mates <= 0.1
    assert len(skirt.proofs.walks) == len(skirt.seams)
    for piece in skirt.pieces:
        assert piece.cut_count == (2 if split else 1) * (2 if piece.name == "ruffle" else 1)
        assert not piece.mirrored
        assert piece.variant == ""


def test_a_plain_skirt_by_hand():
    # By hand: (1000 + 40) x 1.5 = 1560 round; 600 long. At the waist 30 + 2 folded down and 10 turned under, at the hem
    # 16, at the seams 12 each.
    (panel,) = drafted(PLAIN).pieces
    assert box_of(panel, "seam_line") == pytest.approx((-780, -600, 780, 0))
    assert box_of(panel) == pytest.approx((-792, -616, 792, 42))
    assert len(panel.cut_line.flat()) >= 5
    (half,) = drafted(PLAIN, split=True).pieces
    assert box_of(half) == pytest.approx((-402, -616, 402, 42))


def test_casings_open_by_twice_their_depth():
    # By hand: two tucks of 12 and 14 mm add 2 x 26 mm above the lower one.
    panel = pieces(drafted())["skirt"]
    assert box_of(panel) == pytest.approx((-792, -616, 792, 42 + 52))
    lines = {line.name: line.start.y for line in (*panel.fold_lines, *panel.stitch_lines)}
    assert lines == pytest.approx(
        {
            "lower lower stitch line": -400,
            "lower fold": -386,
            "lower upper stitch line": -372,
            "upper lower stitch line": -120 + 28,
            "upper fold": -120 + 28 + 12,
            "upper upper stitch line": -120 + 28 + 24,
            "waist stitch line": 52 - 30,
        }
    )


def test_a_ruffle_by_hand():
    # By hand: its lower 100 mm are the ruffle's; 1560 x 1.6 = 2496 in two strips of 1248, each 12 longer at either end.
    made = pieces(drafted(RUFFLED))
    assert box_of(made["skirt"])[1] == pytest.approx(-500 - 12)
    assert box_of(made["ruffle"]) == pytest.approx((-636, -616, 636, -488))
    middles = [notch for notch in made["skirt"].notches if notch.mate == "ruffle/gather"]
    assert [notch.seam_point.x for notch in middles] == pytest.approx([-390, 390])
    assert made["skirt"].notch("ruffle-join-1").seam_point.x == pytest.approx(0)


def test_a_facing_is_as_long_as_the_waist():
    made = pieces(drafted(FACED, split=True))
    assert made["skirt"].edge("waist").allowance == 12
    # By hand: 30 + 2 high, 12 above for the seam, 10 below to turn under.
    assert box_of(made["waist facing"]) == pytest.approx((-402, -32 - 10, 402, 12))
    assert [line.start.y for line in made["waist facing"].stitch_lines] == pytest.approx([-30])


def test_what_is_folded_down_lies_on_the_skirt():
    # Common practice, no source: fold the waist down at its seam line, its raw edge turned under first: every layer
    # lies on the skirt, edge on edge.
    (panel,) = drafted(PLAIN).pieces
    cut = Polygon(panel.cut_line.array())
    under = affinity.scale(cut & box(-1000, 32, 1000, 100), yfact=-1, origin=(0, 32))
    flap = affinity.scale(cut & box(-1000, 0, 1000, 32), yfact=-1, origin=(0, 0))
    assert flap.symmetric_difference(cut & box(-1000, -32, 1000, 0)).area < 1e-6
    assert under.bounds == pytest.approx((-792, 22, 792, 32))
    inside = affinity.scale(under, yfact=-1, origin=(0, 0))
    assert inside.symmetric_difference(cut & box(-1000, -32, 1000, -22)).area < 1e-6


def test_elastics_go_once_round_the_body_whatever_the_panels():
    # By hand: 200 mm below the hip 1000 x 1.03 + 0.4 x 200; at the waist 740 x 0.93 and a lap of 20.
    for split in (False, True):
        elastics = drafted(split=split).elastics
        assert elastics.waist.finished == pytest.approx(740 * 0.93)
        assert elastics.waist.cut_length == pytest.approx(740 * 0.93 + 20)
        assert elastics.waist.gather == pytest.approx(1560 / (740 * 0.93))
        upper, lower = elastics.casings
        assert (upper.name, lower.name) == ("upper", "lower")
        assert lower.finished == pytest.approx(1000 * 1.03 + 80)
        assert lower.cut_length == pytest.approx(lower.finished + 24)
        assert lower.gather == pytest.approx(1560 / 1110)
        assert lower.quantity == lower.round_body == 1
        assert 740 < upper.girth < 1000


def test_girths_meet_the_measures_that_were_taken():
    measured = {"waist_girth": 74, "hip_girth": 100, "waist_to_hip": 20, "high_hip_girth": 93}
    body = body_from(measured, unit="cm", needs=())
    heights = {0: 740, -100: 930, -200: 1000, -500: 1000}
    assert {height: figure_of(body, TIERED).girth_at(height) for height in heights} == pytest.approx(heights)


@given(numbers(1, 400))
def test_an_elastic_below_the_hip_grows_evenly_with_its_depth(depth):
    made = [
        drafted(replace(TIERED, casings=(SkirtCasing("one", -200 - by),), panel=PanelDesign(length=1100)))
        for by in (0.0, depth, 2 * depth)
    ]
    first, second, third = (skirt.elastics.casings[0].finished for skirt in made)
    assert third - second == pytest.approx(second - first)
    assert second > first


def test_another_body_and_a_blend():
    skirt = drafted()
    other = body_from({"waist_girth": 90, "hip_girth": 104, "waist_to_hip": 21}, unit="cm", needs=())
    elastics = fit(skirt, other)
    assert elastics.waist.girth == 900
    assert elastics.casings[1].flat_width == skirt.elastics.casings[1].flat_width
    made = blend(replace(skirt, body=other, size="wide"), skirt).elastics
    assert made.waist.cut_length == elastics.waist.cut_length
    assert skirt.elastics.casings[0].girth < made.casings[0].girth < elastics.casings[0].girth
    assert made.casings[1] == skirt.elastics.casings[1]


def test_a_waist_elastic_that_must_stretch_over_the_hips():
    # By hand: 1000 over 740 x 0.93; of an elastic a quarter shorter than the waist 1000 / 555 = 1.802.
    assert drafted().elastics.waist.stretch == pytest.approx(1000 / 688.2)
    assert not [told for told in drafted().warnings if "stretch" in told]
    tight = drafted(replace(TIERED, waist=SkirtWaist(reduction=0.25)))
    (told,) = (told for told in tight.warnings if "stretch" in told)
    assert "1.802 times its length, and ordinary elastic gives 1.8; make it" in told
    assert "the 1000 mm of the hips" in told
    # Below the hips an elastic with room to stride passes over all below it as it is.
    assert drafted().elastics.casings[1].stretch < 1


def test_finished_measures():
    assert drafted(RUFFLED).measures == pytest.approx(
        {"waist_at_rest": 688.2, "width": 1560, "hem": 2496, "length": 600}
    )
    assert drafted(TIERED, split=True).measures == pytest.approx(
        {"waist_at_rest": 688.2, "width": 1560, "hem": 1560, "length": 600}
    )


def test_split_is_asked_of_every_piece():
    wide = []

    def split(piece):
        wide.append(piece.name)
        return piece.name == "ruffle"

    assert drafted(RUFFLED, split=split).split
    assert wide == ["skirt", "ruffle"]


def test_notches_have_their_mates():
    for skirt in (drafted(design, split=split) for design in DESIGNS for split in (False, True)):
        made = pieces(skirt)
        for piece in skirt.pieces:
            for notch in piece.notches:
                if notch.mate:
                    where, _, name = notch.mate.rpartition("/")
                    assert made[where or piece.name].notch(name).kind is notch.kind
    assert {notch.kind for notch in pieces(drafted())["skirt"].notches} == {
        NotchKind.FOLD,
        NotchKind.STITCH,
        NotchKind.CENTRE,
        NotchKind.SIDE,
    }


def test_a_casing_over_the_hip_level_leaves_its_notch_out():
    made = pieces(drafted(replace(TIERED, casings=(SkirtCasing("one", -194),))))["skirt"]
    assert not [notch for notch in made.notches if notch.id.startswith("hip")]


def test_thread_counts_each_row_once():
    # By hand: three rows across the skirt, for two tucks and the channel, and all four edges.
    skirt = drafted(TIERED)
    rows = 3 * 1560 + 2 * (1560 + 652) * ThreadUse().rows
    assert thread(skirt.pieces).sewn == pytest.approx(rows)
    named = drafted(replace(TIERED, casings=(replace(CASINGS[0], name="waist"), CASINGS[1])))
    assert thread(named.pieces).sewn == pytest.approx(rows)


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"casings": (SkirtCasing("high", -34),)}, r"casing 'high': .* -35 mm is the highest: move it down by 1 mm"),
        ({"casings": (SkirtCasing("low", -578),)}, r"casing 'low': its tuck .* covers the hem, .* move it up by 1 mm"),
        ({"casings": (SkirtCasing("a", -300), SkirtCasing("b", -286))}, r"casing 'b': .* move it up by 1 mm"),
        ({"casings": (SkirtCasing("a", -300, elastic_width=12, depth=12),)}, "at least 14 mm deep"),
        ({"waist": SkirtWaist(elastic_width=10, channel=12, turn_under=16)}, r"turn_under: 16 mm .* 13 mm at most"),
        ({"ruffle": RuffleDesign(depth=16)}, "ruffle.depth: 16 mm is no deeper than its hem allowance"),
        (
            {"ruffle": RuffleDesign(depth=400), "panel": PanelDesign(length=430)},
            r"ruffle.depth: with 400 mm .* no skirt is left .* at most",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused_with_a_remedy(changes, match):
    with pytest.raises(DesignError, match=match):
        drafted(replace(PLAIN, **changes))


def test_an_elastic_longer_than_the_cloth_is_refused_with_a_remedy():
    # By hand: 900 mm below the hips 1000 x 1.03 + 1.0 x 900 = 1930 mm; (1000 + 40) x 1.86 = 1934.4 mm hold it.
    low = replace(PLAIN, casings=(SkirtCasing("low", -1100),), panel=PanelDesign(length=1200, stride_ease=1.0))
    with pytest.raises(
        DesignError, match=r"panel.fullness: 1.5 makes .* 1560 mm wide, .* 1930 mm long; set it to 1.86"
    ):
        drafted(low)
    assert drafted(replace(low, panel=replace(low.panel, fullness=1.86))).elastics.casings[0].gather >= 1


def test_the_remedies_of_a_refusal_do():
    for design in (
        replace(PLAIN, casings=(SkirtCasing("high", -35),)),
        replace(PLAIN, casings=(SkirtCasing("low", -577),)),
        replace(PLAIN, casings=(SkirtCasing("a", -300), SkirtCasing("b", -285))),
        replace(PLAIN, waist=SkirtWaist(elastic_width=10, channel=12, turn_under=13)),
        replace(PLAIN, waist=SkirtWaist(elastic_width=10, channel=15, turn_under=16)),
    ):
        assert drafted(design).proofs.fold <= 0.05


def test_a_skirt_has_no_rise():
    with pytest.raises(DesignError, match=r"rise: .high. is not a rise of this design; a skirt has none"):
        drafted(rise="high")


def test_a_skirt_needs_three_measurements():
    with pytest.raises(MeasurementError, match="waist_to_hip: missing"):
        body_from({"waist_girth": 74, "hip_girth": 100}, unit="cm", needs=())
    assert BODY.body_rise is None


@settings(deadline=None)
@given(
    waist=numbers(700, 1500),
    share=numbers(0.78, 1.15),
    drop=numbers(120, 340),
    length=numbers(250, 1200),
    fullness=numbers(1.2, 2.2),
    heights=st.lists(numbers(-1190, -15), max_size=4, unique=True),
    finish=st.sampled_from(SkirtFinish),
    ruffle=st.sampled_from((0.0, 40.0, 120.0)),
    strips=st.integers(1, 4),
    split=st.booleans(),
)
def test_any_skirt_is_true_or_refused(waist, share, drop, length, fullness, heights, finish, ruffle, strips, split):
    body = body_from({"waist_girth": waist, "hip_girth": waist / share, "waist_to_hip": drop}, unit="mm", needs=())
    design = SkirtDesign(
        "Any",
        panel=PanelDesign(length=length, fullness=fullness),
        casings=tuple(SkirtCasing(f"c{at}", height) for at, height in enumerate(heights)),
        waist=SkirtWaist(finish=finish),
        ruffle=RuffleDesign(depth=ruffle, strips=strips),
    )
    try:
        skirt = drafted(design, body, split=split)
    except DesignError:
        return
    assert skirt.proofs.fold <= 0.05
    assert skirt.proofs.seam <= 0.1
    assert skirt.proofs.mates <= 0.1
    panel = skirt.pieces[0]
    # By hand: all that is marked or turned adds to the height alone.
    tall = panel.cut_line.bounds[3] - panel.cut_line.bounds[1]
    above = 42 if finish is SkirtFinish.CUT_ON else 12
    assert tall == pytest.approx(length - ruffle + above + (12 if ruffle else 16) + 24 * len(heights))


def test_named_points_are_those_of_one_skirt_in_one_panel_or_two():
    whole, halves = (drafted(RUFFLED, split=split).points for split in (False, True))
    assert [(point.outline, point.name) for point in whole] == [(point.outline, point.name) for point in halves]
    for one, two in zip(whole, halves, strict=True):
        assert one.at.distance(two.at) == pytest.approx(0, abs=1e-9)
    # By hand: a quarter of 1560 from the centre front.
    assert {point.at.x for point in whole} == {390}
