import pickle
import re
from dataclasses import replace

import pytest
from scipy.interpolate import PchipInterpolator
from shapely import Polygon

from blocks.cloth import Cloth, Lay, width_across
from blocks.design import CasingDesign
from blocks.left_out import casings_left_out
from blocks.short import draft_short
from blocks.short.leg import Rise
from blocks.size_range import (
    Drafting,
    Fit,
    Undrafted,
    cloth_words,
    draft_range,
    draft_size,
    draft_to_fit,
)
from drafting.errors import DesignError
from ranges import HERON, TABLE, heron_range, rows, table

ALL = heron_range().garments
every_size = pytest.mark.parametrize("short", ALL, ids=lambda short: f"{short.size}-{short.rise}")


def labels(made, *, split):
    return [short.size for short in made.of(Rise.HIGH) if short.split is split]


# --- every size of the sample, in both rises --------------------------------------------------------------------------


def test_sample_range_is_whole():
    made = heron_range()
    assert len(made.garments) == 32
    assert made.failures == ()
    assert [short.size for short in made.of(Rise.MID)] == [size.label for size in TABLE.sizes]


@every_size
def test_every_size_proves_its_folds_and_seams(short):
    assert short.proofs.fold <= 0.05
    assert short.proofs.seam <= 0.1
    assert short.proofs.mates <= 0.5


@every_size
def test_facing_is_as_long_as_the_waist(short):
    def waist(name):
        return sum(piece.edge("waist").seam.length for piece in short.pieces if piece.name.startswith(name))

    assert waist("waist facing") == pytest.approx(waist("leg"), abs=0.5)


@every_size
def test_split_halves_join_to_the_whole_leg(short):
    whole, split = (
        draft_short(short.design, short.body, rise=short.rise, size=short.size, split=split) for split in (False, True)
    )
    leg, front, back = whole.pieces[0], split.pieces[0], split.pieces[1]
    joined = Polygon(front.seam_line.array()).union(Polygon(back.seam_line.array()))
    assert joined.symmetric_difference(Polygon(leg.seam_line.array())).area < 1e-6
    for half, name in ((front, "front inseam"), (front, "front crotch"), (back, "back inseam"), (back, "back crotch")):
        assert half.edge(name).seam == leg.edge(name).seam
    assert front.edge("side").seam == back.edge("side").seam.reversed()


@every_size
def test_elastics_from_the_girths_alone(short):
    # Worked apart from the draft: scipy's PCHIP through the table's girths, hung from the waist; the estimated
    # high-hip girth lies two thirds of the way from waist to hip. Ends are caught in 12 mm seams; the waist laps 20.
    body, design = short.body, short.design
    waist_level = body.body_rise + 10
    levels = [waist_level - body.waist_to_hip, waist_level - body.waist_to_hip / 2, waist_level]
    high_hip = body.waist_girth + (body.hip_girth - body.waist_girth) * 2 / 3
    curve = PchipInterpolator(levels, [body.hip_girth, high_hip, body.waist_girth])

    def girth(height):
        return float(curve(min(max(height, levels[0]), levels[2])))

    edge = waist_level - (60 if short.rise == Rise.MID else 0)
    parts = ("ankle", "calf", "knee")
    places = [*(body.known(f"{part}_height") - body.known("inside_leg_height") for part in parts)]
    leg = PchipInterpolator(
        [*places, -design.leg.thigh_drop],
        [*(body.known(f"{part}_girth") for part in parts), 0.657 * body.hip_girth - 55],
    )
    expected = {"waist": girth(edge) * 0.93 + 20}
    for name, height in (("thigh", -80), ("frill", -110)):
        expected[name] = float(leg(height)) * 1.03 + 24
    shares = {casing.name: casing.share for casing in design.casings}
    for name in ("upper", "lower"):
        expected[name] = girth(shares[name] * waist_level) * 1.03 / 2 + 24
    found = {elastic.name: elastic.cut_length for elastic in short.elastics}
    assert found == pytest.approx(expected, abs=1e-6)


@every_size
def test_elastic_clears_its_casing_and_cloth_gathers(short):
    # Common practice, no source: a casing is 2 mm deeper than its elastic; cloth gathers at 1.2 to 2.5 of its length.
    assert all(line.depth - 10 >= 2 for piece in short.pieces for line in piece.fold_lines)
    assert all(1.2 <= elastic.gather <= 2.5 for elastic in short.elastics)


def test_larger_sizes_have_longer_elastics_and_wider_legs():
    for rise in Rise:
        sizes = heron_range().of(rise)
        for name in ("waist", "upper", "lower", "thigh", "frill"):
            lengths = [elastic.cut_length for short in sizes for elastic in short.elastics if elastic.name == name]
            assert lengths == sorted(lengths)
            assert len(set(lengths)) == 16
        hips = [short.measures["hip"] for short in sizes]
        assert hips == sorted(hips)


# --- splitting ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [1100, 1400, 1500])
def test_legs_are_split_where_they_are_wider_than_the_cloth(width):
    # Common practice, no source: mainstream cloth is 110, 140 or 150 cm wide; selvedges of 1.5 cm are not used.
    made = heron_range(width)
    for short in made.garments:
        leg = draft_short(short.design, short.body, rise=short.rise).pieces[0]
        left, _, right, _ = Polygon(leg.cut_line.array()).bounds
        assert short.split is (right - left > width - 30)
        assert all(width_across(piece) <= width - 30 for piece in short.pieces)


def test_exactly_as_wide_as_the_cloth_stays_whole():
    body = TABLE.size("H104").body
    leg = draft_short(HERON, body).pieces[0]
    nominal = width_across(leg) + 30
    one = replace(TABLE, sizes=(TABLE.size("H104"),))
    assert [short.split for short in draft_range(HERON, one, cloth=Cloth(nominal)).garments] == [False, False]
    assert [short.split for short in draft_range(HERON, one, cloth=Cloth(nominal - 0.01)).garments] == [True, True]


@pytest.mark.parametrize(
    ("width", "sentence"),
    [
        (1100, "H108 and up are split on 110 cm cloth, single layer"),
        (1400, "H134 and up are split on 140 cm cloth, single layer"),
        (1500, "H146 and up are split on 150 cm cloth, single layer"),
        (2000, "no size is split on 200 cm cloth, single layer"),
    ],
)
def test_splitting_is_told_in_a_sentence(width, sentence):
    assert heron_range(width).splitting == (sentence,)


def marked(split, rise=Rise.HIGH):
    """A range of which these sizes are split."""
    made = heron_range()
    shorts = [replace(short, split=short.size in split) for short in made.of(rise)]
    return replace(made, garments=tuple(shorts), rises=(rise,))


@pytest.mark.parametrize(
    ("split", "words"),
    [
        (["H84"], "H84 is split"),
        (["H84", "H88", "H92"], "H84 to H92 are split"),
        (["H84", "H100", "H104", "H152"], "H84, H100 to H104 and H152 are split"),
        (["H88", "H146", "H152"], "H88 and H146 and up are split"),
        ([size.label for size in TABLE.sizes], "every size is split"),
    ],
)
def test_sizes_that_do_not_follow_each_other_are_told_apart(split, words):
    assert marked(split).splitting == (f"{words} on 140 cm cloth, single layer",)


def test_rises_that_split_differently_have_a_sentence_each():
    high, mid = marked(["H152"]), marked(["H146", "H152"], Rise.MID)
    both = replace(high, garments=high.garments + mid.garments, rises=(Rise.HIGH, Rise.MID))
    assert both.splitting == (
        "high rise: H152 is split on 140 cm cloth, single layer",
        "mid rise: H146 and up are split on 140 cm cloth, single layer",
    )


@pytest.mark.parametrize("fit", ["whole", "split"])
def test_the_designer_can_force_it(fit):
    made = draft_range(HERON, TABLE, cloth=Cloth(1100), fit=fit, rises=["high"])
    assert {short.split for short in made.garments} == {fit == "split"}
    assert made.splitting == (f"every size is {'left whole' if fit == 'whole' else 'split'}, as chosen",)
    wide = [warning for warning in made.warnings if "too wide for 110 cm cloth" in warning]
    if fit == "whole":
        assert [warning.split(",")[0] for warning in wide] == labels(heron_range(1100), split=True)
        assert wide[0].startswith(
            "H108, high rise: too wide for 110 cm cloth, single layer, usable 107.0 cm: leg (109.9"
        )
        assert wide[0].endswith("use wider cloth or a split leg")
    else:
        assert wide == []


def test_without_a_cloth_every_leg_is_whole():
    made = draft_range(HERON, TABLE, rises=["high"])
    assert not any(short.split for short in made.garments)
    assert made.splitting == ("every size is left whole: no cloth width was given",)


def test_halves_that_are_too_wide_as_well_fail_by_name_and_the_rest_are_drafted():
    made = draft_range(HERON, TABLE, cloth=Cloth(1400, lay=Lay.FOLDED), rises=["high"])
    assert [failure.label for failure in made.failures] == ["H124", "H128", "H134", "H140", "H146", "H152"]
    assert re.fullmatch(
        r"H124, high rise: too wide for 140 cm cloth, folded, usable 68\.0 cm: leg back \(6\d\.\d cm\); "
        "use wider cloth or a single layer",
        str(made.failures[0]),
    )
    assert len(made.garments) == 10
    assert made.splitting == ("every size that could be drafted is split on 140 cm cloth, folded",)


def test_files_hold_one_rise_of_whole_or_of_split_sizes():
    made = heron_range()
    assert [(group.rise, group.split, len(group.garments)) for group in made.groups] == [
        ("high", False, 12),
        ("high", True, 4),
        ("mid", False, 12),
        ("mid", True, 4),
    ]
    for group in made.groups:
        assert len({tuple(piece.name for piece in short.pieces) for short in group.garments}) == 1


# --- the rest -------------------------------------------------------------------------------------------------------


def test_a_size_that_cannot_be_drafted_is_a_failure_and_the_rest_are_drafted():
    design = replace(HERON, casings=(CasingDesign("high", height=214),))
    made = draft_range(design, TABLE, rises=["high"])
    assert [failure.label for failure in made.failures] == ["H84"]
    assert "casing 'high'" in made.failures[0].message
    assert len(made.garments) == 15


@pytest.mark.parametrize("count", [1, 60])
def test_any_number_of_sizes_is_drafted(count):
    made = draft_range(HERON, table(rows(count, start=84, step=1)), rises=["mid"], cloth=Cloth(1100))
    assert len(made.garments) == count


def test_a_job_can_go_to_another_process_and_its_result_come_back():
    job = pickle.loads(pickle.dumps(Drafting(HERON, TABLE.sizes[0], Rise.HIGH, Cloth(1400), Fit.AUTO)))
    there = pickle.loads(pickle.dumps(draft_size))(job)
    back = pickle.loads(pickle.dumps(there))
    assert (back.size, back.pieces, back.elastics) == (ALL[0].size, ALL[0].pieces, ALL[0].elastics)
    failure = draft_size(replace(job, cloth=Cloth(600, lay=Lay.FOLDED)))
    assert isinstance(pickle.loads(pickle.dumps(failure)), Undrafted)


def test_jobs_are_mapped_in_order_by_what_is_given():
    seen = []

    def run(draft, jobs):
        seen.extend((job.rise, job.size.label) for job in jobs)
        return [draft(job) for job in jobs]

    made = draft_range(HERON, replace(TABLE, sizes=TABLE.sizes[:2]), rises=["mid", "high", "mid"], run=run)
    assert seen == [("mid", "H84"), ("mid", "H88"), ("high", "H84"), ("high", "H88")]
    assert made.rises == (Rise.MID, Rise.HIGH)


@pytest.mark.parametrize("fit", ["whole", "split"])
def test_a_leg_that_was_forced_to_be_wider_than_its_cloth_is_told(fit):
    largest = TABLE.sizes[-1]
    cloth = Cloth(600)
    short = draft_to_fit(HERON, largest.body, rise="high", size=largest.label, cloth=cloth, fit=fit)
    (told,) = [warning for warning in short.warnings if "too wide" in warning]
    assert "60 cm cloth, single layer, usable 57.0 cm" in told
    wide = [piece for piece in short.pieces if not cloth.fits(piece)]
    assert all(f"{piece.name} ({width_across(piece) / 10:.1f} cm)" in told for piece in wide)
    made = draft_range(HERON, replace(TABLE, sizes=(largest,)), rises=["high"], cloth=cloth, fit=fit)
    assert f"{largest.label}, high rise: {told}" in made.warnings


def test_a_leg_that_is_a_hair_too_wide_is_told_with_the_digits_that_show_it():
    (size,) = TABLE.sizes[:1]
    leg = draft_to_fit(HERON, size.body, rise="high", size=size.label).pieces[0]
    cloth = Cloth(width_across(leg) + 30 - 0.01)
    short = draft_to_fit(HERON, size.body, rise="high", size=size.label, cloth=cloth, fit="whole")
    (told,) = [warning for warning in short.warnings if "too wide" in warning]
    usable, wide = re.search(r"usable (\S+) cm: leg \((\S+) cm\)", told).groups()
    assert float(wide) > float(usable)


def test_a_casing_is_told_to_be_left_out_where_it_is_and_nowhere_else():
    made = heron_range()
    for sentence in casings_left_out(made.garments):
        assert sentence in made.warnings
    mid, every = made.of(Rise.MID), made.of(Rise.HIGH)
    assert not casings_left_out(every)
    lost = {short.size for short in mid if short.left_out}
    for chosen in (mid, mid[:1], mid[-1:], [short for short in mid if short.size in lost]):
        told = casings_left_out(chosen)
        assert bool(told) is any(short.left_out for short in chosen)


def test_a_body_that_is_unusual_is_told_once_not_in_every_rise():
    told = heron_range().warnings
    assert len([warning for warning in told if "unusual" in warning]) == 2
    assert len(told) == 2 + len(casings_left_out(heron_range().garments))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"rises": ["low"]}, 'rise: "low" is not a rise'),
        ({"rises": []}, "rise: none given"),
        ({"fit": "tight"}, 'fit: "tight" is unknown; choose one of auto, whole, split'),
    ],
)
def test_unknown_choices_are_refused(options, words):
    with pytest.raises(DesignError, match=words):
        draft_range(HERON, TABLE, **options)


def test_cloth_words_keep_half_centimetres():
    assert cloth_words(Cloth(1375)) == "137.5 cm cloth, single layer"
