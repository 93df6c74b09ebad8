"""How much longer the lays are that are made without a search: beside those that were searched for and are kept."""

from __future__ import annotations

import time
from statistics import fmean

import pytest

from blocks.cloth import Cloth
from blocks.lay import Laid, LayRules, plan_of, quick_lay
from blocks.size_range import draft_range
from campaigns.effort import rounds
from output.commands.options import design_and_sizes
from output.lays.file import lay_key
from output.system.reading import read_json
from sampled import SAMPLES

LONGER = 1.04
"""Times as long as the kept ones, on average."""


@pytest.mark.parametrize("name", ["design", "skirt"])
def test_quick_lays_are_little_longer_than_those_that_are_kept(name: str) -> None:
    design, table = design_and_sizes(SAMPLES / f"{name}.toml", SAMPLES / "sizes.csv")
    kept = read_json(SAMPLES / f"{name}.lays.json", "lay file")["lays"]
    cloth = Cloth()
    garments = draft_range(design, table, cloth=cloth).garments
    ratios: dict[str, float] = {}
    took: dict[str, float] = {}
    for garment in garments[:: rounds(2, 1)]:
        entry = kept.get(lay_key(garment.pieces, cloth, LayRules()))
        assert entry, f"{garment.label} is not kept"
        searched = plan_of(garment.pieces, cloth, [Laid(**one) for one in entry["laid"]])
        start = time.perf_counter()
        quick = quick_lay(garment.pieces, cloth)
        took[garment.label] = 1000 * (time.perf_counter() - start)
        ratios[garment.label] = quick.length / searched.length
    worst, slowest = max(ratios, key=ratios.__getitem__), max(took, key=took.__getitem__)
    print(
        f"{name}: {len(ratios)} lays, {fmean(ratios.values()):.3f} of the kept length on average, at most "
        f"{ratios[worst]:.3f} ({worst}); {fmean(took.values()):.1f} ms each, at most {took[slowest]:.1f} ms ({slowest})"
    )
    assert fmean(ratios.values()) <= LONGER
