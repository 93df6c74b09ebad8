"""The crotch seam against the bodies of a survey, and against what was measured."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from blocks.measurements import Body, body_from
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.leg import LegBlock, Rise, draft_leg
from drafting.curve import Cubic
from drafting.errors import DraftError, MeasurementError
from heron import a_body, bodies
from women import REQUIRED, women

DESIGN = ShortDesign("Plain")
EASE = DESIGN.leg.crotch_ease
BANDS = ((0, 950), (950, 1050), (1050, 1150), (1150, 1400))
"""mm of hip girth."""


def drafted(body: Body, **leg: float) -> LegBlock:
    return draft_leg(body, ShortDesign("Plain", leg=LegDesign(**leg)), Rise.HIGH)


def parts(block: LegBlock) -> tuple[float, float]:
    return block.front_crotch.length, block.back_crotch.length


@given(bodies(), st.floats(0, 60))
def test_the_seam_is_the_estimated_crotch_length_and_ease(body: Body, ease: float) -> None:
    assert drafted(body, crotch_ease=ease).crotch_seam == pytest.approx(body.known("crotch_length") + ease, abs=0.01)


@given(st.floats(64, 78))
def test_a_measured_crotch_length_is_met(length: float) -> None:
    block = drafted(a_body(crotch_length=length))
    assert block.crotch_seam == pytest.approx(10 * length + EASE, abs=0.01)
    assert "fitted to the measured crotch length" in block.notes[0]


@given(st.floats(-60, 60), st.floats(-60, 60))
def test_front_and_back_measured_apart_are_each_met(front: float, back: float) -> None:
    plain = a_body()
    taken = {name: plain.known(f"{name}_crotch_length") / 10 for name in ("front", "back")}
    taken["front"] += front / 10
    taken["back"] += back / 10
    try:
        body = a_body(**{f"{name}_crotch_length": length for name, length in taken.items()})
        block = drafted(body)
    except MeasurementError as error:
        assert "crotch_length" in str(error)  # noqa: PT017
        assume(abs(front) > 30 or abs(back) > 30)
        return
    assert parts(block) == pytest.approx([10 * taken["front"] + EASE / 2, 10 * taken["back"] + EASE / 2], abs=0.01)


def test_typing_the_estimate_in_as_measured_changes_nothing() -> None:
    plain = a_body()
    typed = a_body(crotch_length=plain.known("crotch_length") / 10)
    assert parts(drafted(typed)) == pytest.approx(parts(drafted(plain)), abs=0.01)


def test_seams_that_grow_with_the_hips_grow_evenly() -> None:
    """Levers that come in one after the other would make one size step unlike the next."""
    hips = range(84, 153, 4)
    frames = [drafted(a_body(hip_girth=hip, waist_girth=0.75 * hip)).frame for hip in hips]
    for name in ("waist", "extension", "scoop"):
        for half in ("front", "back"):
            steps = np.diff([getattr(getattr(frame, half), name) for frame in frames])
            assert np.abs(np.diff(steps)).max() < (0.05 if name == "scoop" else 3.0)


@pytest.mark.parametrize("length", [46, 50, 56, 86, 95, 110])
def test_a_crotch_length_beyond_reach_is_refused_beside_what_it_contradicts(length: float) -> None:
    with pytest.raises(MeasurementError, match=r"^crotch_length: .* body_rise"):
        drafted(a_body(crotch_length=length))


@pytest.mark.parametrize(("half", "other"), [("front", "back"), ("back", "front")])
def test_a_refused_half_is_named_with_what_it_may_be_and_that_drafts(half: str, other: str) -> None:
    plain = a_body()
    taken = {f"{other}_crotch_length": plain.known(f"{other}_crotch_length") / 10}
    told = ""
    for more in range(60):
        try:
            drafted(a_body(**taken, **{f"{half}_crotch_length": plain.known(f"{half}_crotch_length") / 10 + more / 4}))
        except MeasurementError as error:
            told = str(error)
            break
    assert told.startswith(f"{half}_crotch_length: ")
    if "allow" in told:
        most = float(told.split(" to ")[1].split()[0])
        drafted(a_body(**taken, **{f"{half}_crotch_length": most / 10}))


# --- curves ---------------------------------------------------------------------------------------------------------


def curves(block: LegBlock) -> Iterator[Cubic]:
    for path in (block.front_crotch, block.back_crotch):
        yield from (segment for segment in path.segments if isinstance(segment, Cubic))


@given(bodies(), st.floats(-80, 80))
def test_curves_bend_one_way_and_ease_in_and_out_once(body: Body, off: float) -> None:
    """Fair: no inflection, and one tightest place; from there the curvature falls to both ends."""
    try:
        measured = {name: body.known(name) for name in ("waist_girth", "hip_girth", "body_rise", "waist_to_hip")}
        block = drafted(body_from({**measured, "crotch_length": body.known("crotch_length") + off}, unit="mm"))
    except DraftError:
        return
    for curve in curves(block):
        bends = np.abs([curve.curvature(t) for t in np.linspace(0, 1, 201)])
        signs = {curve.curvature(t) > 0 for t in np.linspace(0, 1, 201)}
        assert len(signs) == 1
        peak = int(bends.argmax())
        assert (np.diff(bends[: peak + 1]) >= -1e-9).all()
        assert (np.diff(bends[peak:]) <= 1e-9).all()


# --- the survey -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("measured", ["nothing", "whole", "apart"])
def test_the_seam_of_real_bodies(measured: str) -> None:
    """Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007: every second woman.

    The seam beyond her own crotch length, front and back apart, by band of hip girth, in mm.
    """
    found, refused = [], []
    for woman in women().to_dict("records"):
        whole, back = woman["crotch_length"], woman["back_crotch_length"]
        taken = {name: woman[name] for name in REQUIRED}
        if measured == "whole":
            taken["crotch_length"] = whole
        elif measured == "apart":
            taken |= {"front_crotch_length": whole - back, "back_crotch_length": back}
        try:
            front_seam, back_seam = parts(drafted(body_from(taken, unit="mm")))
        except MeasurementError as error:
            refused.append(str(error))
            continue
        found.append(
            (taken["hip_girth"], front_seam - (whole - back), back_seam - back, front_seam + back_seam - whole)
        )
    print(f"{measured} measured: {len(found)} drafted, {len(refused)} refused")
    for message in refused:
        print("   ", message)
    rows = np.array(found)
    for low, high in BANDS:
        band = rows[(rows[:, 0] > low) & (rows[:, 0] <= high)]
        front, back, seam = band[:, 1:].mean(axis=0)
        print(f"    hips to {high}: {len(band)}, front {front:.1f}, back {back:.1f}, whole {seam:.1f}")
        assert 5 <= front <= 35
        assert 5 <= back <= 35
        assert 5 <= seam <= 35
        if measured == "nothing":
            assert (band[:, 3] < 0).mean() <= 0.25
    if measured == "nothing":
        assert len(refused) <= 2
    else:
        assert rows[:, 3].min() > 0
        assert math.isclose(rows[:, 3].min(), EASE, abs_tol=1)
        assert math.isclose(rows[:, 3].max(), EASE, abs_tol=1)
        assert len(refused) <= (3 if measured == "whole" else 25)
