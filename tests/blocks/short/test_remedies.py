"""Orders that were once refused with a remedy that did not help, or drafted wrong: the least of each kind. Invented."""

from __future__ import annotations

from collections import Counter

import pytest

from campaigns.test_drafts import check_true, drafted
from remedies import Asked

MIDDLE = {"waist_girth": 991.7, "hip_girth": 1238.1, "body_rise": 261.3, "waist_to_hip": 199.6}
SHALLOW = {"waist_girth": 773.2, "hip_girth": 1067.5, "body_rise": 165.6, "waist_to_hip": 136.6}

ORDERS = {
    "a crotch length at the end of what its refusal allows": Asked(
        {
            "waist_girth": 1015.5,
            "hip_girth": 1360.2,
            "body_rise": 209.8,
            "waist_to_hip": 147.8,
            "front_crotch_length": 397.0,
            "back_crotch_length": 310.2,
        }
    ),
    "a tuck beside the corner of the cut lines at the crotch point": Asked(
        {"waist_girth": 682.5, "hip_girth": 951.6, "body_rise": 259.9, "waist_to_hip": 181.3},
        {
            "leg": {
                "back_inseam_angle": 0,
                "crotch_ease": 40.0,
                "back_crotch_drop": 7.0,
                "slope_limit": 2.0,
                "front_extension": 0.0831,
                "balance_share": 0.33145,
            },
            "allowances": {"seam": 25},
        },
        ({"name": "casing", "height": -71.0, "elastic_width": 6.0},),
    ),
    "a waist folded down to the corner of the cut lines at the crotch point": Asked(
        SHALLOW,
        {"leg": {"slope_limit": 2.0, "mid_drop": 180}, "waist": {"elastic_width": 53.0, "finish": "cut-on"}},
        rise="mid",
    ),
    "a mid rise that the leg has no room for before it was fitted": Asked(
        {"waist_girth": 736.8, "hip_girth": 959.3, "body_rise": 191.1, "waist_to_hip": 144.7},
        {"leg": {"mid_drop": 180, "curve_spread": 1.0}},
        rise="mid",
        found={"full_seat": 18.4},
    ),
    "a fullness that the leg could not come to before it was lengthened": Asked(
        {"waist_girth": 634.4, "hip_girth": 816.0, "body_rise": 256.5, "waist_to_hip": 218.8},
        casings=({"name": "casing", "height": -69.0, "fullness": 2.0},),
        found={"long_leg": 29.9},
    ),
    "a leg longer than the body's although it was shortened": Asked(
        {**MIDDLE, "inside_leg_height": 700.0}, {"leg": {"inseam_length": 740.0}}, found={"short_leg": 4.0}
    ),
    "a crotch length that only the slant of a fuller zone could reach": Asked(
        {
            "waist_girth": 1034.2,
            "hip_girth": 1630.3,
            "body_rise": 196.9,
            "waist_to_hip": 129.1,
            "back_crotch_length": 531.6,
        },
        casings=(
            {"name": "low", "height": 62.0, "fullness": 2.0},
            {"name": "middle", "share": 0.24},
            {"name": "high", "share": 0.915},
        ),
    ),
    "a channel that in inches would be deeper than one can be": Asked(
        MIDDLE, {"waist": {"elastic_width": 60, "channel": 14.0}, "limits": {"elastic_clearance": 10}}, unit="in"
    ),
    "a casing that in inches would be deeper than one can be": Asked(
        MIDDLE,
        {"limits": {"elastic_clearance": 10}, "leg": {"inseam_length": 400.0}},
        ({"name": "casing", "height": -200.0, "elastic_width": 60, "depth": 20},),
        unit="in",
    ),
    "a length that in inches would be shorter than one can be": Asked(
        {"waist_girth": 932.1, "hip_girth": 1050.6, "body_rise": 185.9, "waist_to_hip": 141.8},
        {"leg": {"inseam_length": 173.0}},
        ({"name": "one", "height": -48.0, "fullness": 2.0}, {"name": "other", "height": -137.0}),
        unit="in",
    ),
    "a crotch curve that would be tightest at both of its ends": Asked(
        {"waist_girth": 646.3, "hip_girth": 744.8, "body_rise": 225.9, "waist_to_hip": 191.0},
        {
            "leg": {
                "rise_ease": 70,
                "back_inseam_angle": 16.0,
                "back_lean": 30,
                "crotch_ease": 60,
                "back_scoop": 0.6,
                "crotch_share_slack": 0.0076175,
            }
        },
    ),
}


@pytest.mark.parametrize("kind", ORDERS)
def test_it_is_drafted_true_by_following_its_remedies(kind: str) -> None:
    asked = ORDERS[kind]
    check_true(drafted(asked, Counter()), asked)
