"""The invented demo design and body, for tests that need one of each."""

from dataclasses import replace

from hypothesis import strategies as st

from blocks.design import CasingDesign
from blocks.measurements import body_from
from blocks.short.design import LegDesign, ShortDesign

DESIGN = ShortDesign(
    "Heron shorts",
    "Reedbank Workroom",
    leg=LegDesign(inseam_length=140, inseam_shaping=0.5),
    casings=(
        CasingDesign("upper", height=160),
        CasingDesign("lower", height=100),
        CasingDesign("thigh", height=-80),
        CasingDesign("frill", height=-110),
    ),
)
HIGH_CASING = replace(DESIGN, casings=(CasingDesign("top", height=200), *DESIGN.casings))
"""The demo with a casing that the mid rise has no room for."""

MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}


def a_body(**changes):
    return body_from({**MEASURED, **changes}, unit="cm")


BODY = a_body()


@st.composite
def bodies(draw):
    """Bodies of every build that a range would hold, the demo's proportions varied."""
    hip, rise = draw(st.integers(82, 152)), draw(st.integers(23, 34))
    return a_body(
        hip_girth=hip,
        waist_girth=round(hip * draw(st.floats(0.62, 1.05)), 1),
        body_rise=rise,
        waist_to_hip=round(rise * draw(st.floats(0.66, 0.85)), 1),
    )
