"""Casings that sizes lack are told, and a range whose sizes differ in them is told how they need not."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from blocks.design import Design
from blocks.left_out import casings_left_out, uneven_casings
from blocks.short import ShortCasing
from blocks.size_range import SizeRange, draft_range
from blocks.size_table import SizeTable
from ranges import HERON, TABLE

REMEDY = re.compile(r"casing '(\w+)' .* set its share to ([\d.]+) or its height to ([\d.]+) mm and every size has it")


def some(every: int) -> SizeTable:
    return replace(TABLE, sizes=TABLE.sizes[::every])


def ranged(*casings: ShortCasing, every: int = 3, rises: tuple[str, ...] = ("high", "mid")) -> SizeRange:
    return draft_range(replace(HERON, casings=casings), some(every), rises=rises)


def ceilings(made: SizeRange) -> list[float]:
    """The highest stitch line that each size of the mid rise has room for."""
    drop = HERON.waist.channel + HERON.limits.tuck_gap
    return [garment.leg.waist.bounds[1] - drop for garment in made.of("mid")]  # type: ignore[attr-defined]


def remedied(design: Design, told: tuple[str, ...], way: str) -> Design:
    places = {}
    for sentence in told:
        found = REMEDY.search(sentence)
        assert found, sentence
        name, share, height = found.groups()
        places[name] = {"share": float(share), "height": None} if way == "share" else {"height": float(height)}
    return replace(
        design,
        casings=tuple(replace(one, **places.get(one.name, {})) for one in design.casings),  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("way", ["share", "height"])
@pytest.mark.parametrize("lower", [(), (100,), (150,), (170, 140)])
def test_a_range_whose_sizes_differ_in_casings_is_told_how_they_need_not(way: str, lower: tuple[float, ...]) -> None:
    room = ceilings(ranged())
    assert room[0] < room[-1]
    middle = sum(room) / len(room)
    casings = [ShortCasing(f"c{number}", height) for number, height in enumerate((middle, *lower))]
    made = ranged(*casings)
    assert not made.failures
    told = uneven_casings(made.garments)
    assert told
    assert set(told) <= set(made.warnings)
    assert all("mid rise: casing" in sentence for sentence in told)
    design = remedied(made.design, told, way)
    again = draft_range(design, some(3), rises=("high", "mid"))
    assert not again.failures
    assert not uneven_casings(again.garments)
    lost = {one.casing.name for garment in again.garments for one in garment.left_out}
    assert not lost & {name for sentence in told for name in re.findall(r"casing '(\w+)'", sentence)}


def test_a_range_whose_sizes_are_alike_is_not_told_so() -> None:
    room = ceilings(ranged())
    for height in (min(room) - 1, max(room) + 1):
        made = ranged(ShortCasing("top", height))
        assert not uneven_casings(made.garments)
        assert bool(casings_left_out(made.garments)) is (height > min(room))


def test_of_no_garments_nothing_is_told() -> None:
    assert uneven_casings(()) == casings_left_out(()) == ()


def test_a_casing_placed_by_its_share_grades_with_the_rise() -> None:
    made = ranged(ShortCasing("top", share=0.5), ShortCasing("leg", share=-0.8))
    for garment in made.garments:
        heights = {elastic.name: elastic.height for elastic in garment.elastics}
        leg = garment.leg  # type: ignore[attr-defined]
        assert heights["top"] == pytest.approx(leg.high_waist_level / 2)
        assert heights["leg"] == pytest.approx(0.8 * leg.hem_level)
    tops = [garment.elastics.casings[0].height for garment in made.of("high")]
    assert tops == [garment.elastics.casings[0].height for garment in made.of("mid")]
    assert tops == sorted(set(tops))
