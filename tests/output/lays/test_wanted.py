"""What cloth one wearer is told to buy: by the lay that is made at once, in the words of every list."""

from __future__ import annotations

import pytest

from blocks.cloth import Cloth
from blocks.lay import LayRules, check_lay, quick_lay
from blocks.requirement import Buying, requirement
from lays import FOLDED, OPEN, short_for
from output.lays.wanted import laid_quickly
from output.tables.amounts import bought_words


@pytest.mark.parametrize(("label", "cloth"), [("H84", OPEN), ("H152", Cloth(1100)), ("H96", FOLDED)])
def test_what_to_buy_is_what_the_lay_takes(label: str, cloth: Cloth) -> None:
    short, buying = short_for(label, cloth), Buying(shrinkage=0.1)
    found = laid_quickly(short, cloth, buying=buying)
    assert found.page
    check_lay(found.page.plan)
    assert found.need == requirement(quick_lay(short.pieces, cloth), buying=buying)
    assert found.need
    assert found.told == bought_words(found.need)
    assert (found.size, found.rise, found.problem) == (label, "high", "")


def test_one_way_cloth_takes_no_less() -> None:
    short = short_for("H116", OPEN)
    both, one = (laid_quickly(short, OPEN, rules=LayRules(one_way=way)).page for way in (False, True))
    assert both
    assert one
    assert not any(laid.turned for laid in one.plan.laid)
    assert one.plan.length >= both.plan.length - 1


def test_of_a_cloth_that_does_not_do_nothing_is_bought_and_it_says_why() -> None:
    found = laid_quickly(short_for("H152", OPEN, "whole"), OPEN)
    assert found.need is None
    assert found.page is None
    assert found.told.startswith("piece leg: it is ")
