"""Any body, any design, both papers, both rises: no long cut line along a join of pages, none through a register mark.

What is drawn is asked of a general geometry library (`covered`), not of the search that laid it.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from blocks.design import Allowances, CasingDesign
from blocks.measurements import Body, body_from
from blocks.short import Short, draft_short
from blocks.short.design import LegDesign, ShortDesign, TrimDesign
from campaigns.effort import rounds
from covered import crossed, longest
from drafting.errors import DraftError
from output.paper.joins import STYLE
from output.paper.layout import lay_out
from output.paper.sizes import A4, LETTER
from output.patterns.tiled import joins_of

LEAST_CLEAR = 0.99
"""Share of sheets without a long cut line along a join; the rest would take many more pages."""


def any_body(pick: random.Random) -> Body:
    hip = pick.uniform(70, 170)
    measures = {
        "waist_girth": hip * pick.uniform(0.62, 0.98),
        "hip_girth": hip,
        "body_rise": pick.uniform(0.24, 0.29) * hip + pick.uniform(-1, 2),
        "waist_to_hip": pick.uniform(16, 24),
    }
    return body_from({name: round(value, 1) for name, value in measures.items()}, unit="cm")


def any_design(pick: random.Random) -> ShortDesign:
    inseam = pick.uniform(60, 300)
    heights = sorted(pick.sample(range(-18, 24), pick.randint(0, 4)))
    seam = round(pick.uniform(5, 20), 1)
    return ShortDesign(
        "Joined shorts",
        leg=LegDesign(inseam_length=round(inseam, 1), fullness=round(pick.uniform(1.0, 2.2), 2)),
        casings=tuple(CasingDesign(f"c{number}", height=10.0 * height) for number, height in enumerate(heights)),
        allowances=Allowances(seam=seam, waist=seam, hem=round(pick.uniform(6, 40), 1)),
        trim=TrimDesign(kind=pick.choice(["none", "none", "band"])),
    )


def drafts(count: int) -> Iterator[Short]:
    """So many that can be worn."""
    pick = random.Random(20)
    while count:
        try:
            rise, split = pick.choice(["high", "mid"]), pick.random() < 0.4
            yield draft_short(any_design(pick), any_body(pick), rise=rise, split=split)
        except DraftError:
            continue
        count -= 1


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_no_long_cut_line_runs_along_a_join_or_through_a_register_mark(paper):
    clear = pages = 0
    worst = 0.0
    count = rounds(30, 1500)
    for short in drafts(count):
        layout = lay_out(short.pieces, paper)
        stretch = longest(layout, near=STYLE.near)
        assert crossed(layout, joins_of(layout).marks) == 0
        clear += stretch < STYLE.long
        worst, pages = max(worst, stretch), pages + len(layout.cells)
    print(f"{count} sheets on {paper.name}: {clear} clear, the longest stretch {worst:.0f} mm, {pages} pages")
    assert clear >= LEAST_CLEAR * count
