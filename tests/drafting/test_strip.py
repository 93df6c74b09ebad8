from __future__ import annotations

import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path as FilePath

import pytest
import shapely

from children import HEEDFUL
from drafting.errors import DraftError, GeometryError
from drafting.path import Path
from drafting.point import Point
from drafting.strip import CLEAR, GROWN, SIMPLIFIED, Copy, Item, Packed, check_packed, pack_strip

ROOT = FilePath(__file__).parent.parent.parent


def polygon(*corners: tuple[float, float]) -> Path:
    return Path.through(*(Point(*corner) for corner in corners), Point(*corners[0]))


def rectangle(width: float, height: float) -> Path:
    return polygon((0, 0), (width, 0), (width, height), (0, height))


ARROW = polygon((0, 0), (90, 0), (90, 40), (120, 40), (45, 130), (-30, 40), (0, 40))


def test_items_that_tile_the_strip_are_laid_nearly_without_waste() -> None:
    # closed form: the area over the width is the least that any strip can take
    items = (Item("square", rectangle(100, 100), 4), Item("bar", rectangle(200, 30)))
    found = pack_strip(items, 201, seconds=1)  # a hair is lost between two that touch
    assert 230 <= found.length < 230 + 3 * (2 * GROWN + 2 * SIMPLIFIED)
    assert found.density == pytest.approx(1, abs=0.01)


def test_what_is_found_keeps_the_gap_between_items_but_not_at_the_edges() -> None:
    items = (Item("arrow", ARROW, 4), Item("bar", rectangle(400, 30)))
    found = pack_strip(items, 400, gap=3, seconds=1)
    polygons = found.polygons
    apart = [a.distance(b) for i, a in enumerate(polygons) for b in polygons[:i]]
    assert min(apart) >= 3
    assert min(apart) < 3 + 2 * (GROWN + SIMPLIFIED) + 0.1
    whole = shapely.union_all(polygons).bounds
    assert whole[0] >= 0
    assert whole[1] == pytest.approx(0, abs=0.001)
    assert whole[2] <= 400
    assert found.length == pytest.approx(whole[3], abs=0.02)


def test_an_item_as_wide_as_the_strip_is_set_flush() -> None:
    found = pack_strip((Item("bar", rectangle(1370, 50), 2),), 1370, gap=2, seconds=1)
    for left, right in ((one.bounds[0], one.bounds[2]) for one in found.polygons):
        assert (left, right) == (pytest.approx(0, abs=0.002), pytest.approx(1370, abs=0.002))


def test_what_may_not_turn_is_not_turned() -> None:
    found = pack_strip((Item("arrow", ARROW, 6, turns=(0,)),), 300, seconds=1)
    assert not any(copy.turn for copy in found.copies)


def test_an_item_that_fits_only_by_a_quarter_turn_is_turned_so() -> None:
    found = pack_strip((Item("bar", rectangle(300, 30), 3, turns=(0, 1, 3)),), 200, gap=2, seconds=1)
    assert all(copy.turn in (1, 3) for copy in found.copies)
    assert found.length == pytest.approx(300, abs=0.01)
    with pytest.raises(GeometryError, match=r"bar: it is 400\.0 or 300\.0 mm wide and the strip 200\.0 mm"):
        pack_strip((Item("bar", rectangle(400, 300), turns=(0, 1)),), 200)


def test_an_item_wider_than_the_strip_is_refused_by_name() -> None:
    with pytest.raises(GeometryError, match=r"bar: it is 201\.0 mm wide and the strip 200\.0 mm"):
        pack_strip((Item("bar", rectangle(201, 30)),), 200)


def test_nothing_to_lay_is_refused() -> None:
    with pytest.raises(GeometryError, match="nothing to lay out"):
        pack_strip((), 200)


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(GeometryError, match="bow: its outline crosses itself"):
        pack_strip((Item("bow", polygon((0, 0), (50, 50), (50, 0), (0, 50))),), 200)


def test_without_the_engine_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "spyrrow", None)
    with pytest.raises(DraftError, match=r'pip install "shirrline\[lay\]"'):
        pack_strip((Item("bar", rectangle(100, 30)),), 200)


def test_a_panic_of_the_engine_is_an_error_of_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    class PanicException(BaseException):
        pass

    class Broken:
        def __init__(self, *_: object) -> None: ...

        def solve(self, _: object) -> None:
            raise PanicException("out of luck\nand a backtrace")

    monkeypatch.setattr("spyrrow.StripPackingInstance", Broken)
    with pytest.raises(GeometryError, match=r"the engine failed: out of luck; please") as caught:
        pack_strip((Item("bar", rectangle(100, 30)),), 200)
    assert "\n" not in str(caught.value)


def test_an_interrupt_is_not_taken_for_a_wish_to_stop_early() -> None:
    """The engine ends its search at an interrupt and swallows it; the program went on with the next lay."""
    code = HEEDFUL + (
        "from drafting.strip import Item, pack_strip\n"
        "from drafting.path import Path\n"
        "from drafting.point import Point\n"
        "bars = [Item(str(i), Path.through(Point(0, 0), Point(90 + 7 * i, 0), Point(40, 60), Point(0, 0)), 3) "
        "for i in range(9)]\n"
        "print('ready', flush=True)\n"
        "pack_strip(bars, 900, seconds=60)\n"
        "print('went on')\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        time.sleep(1)
        child.send_signal(signal.SIGINT)
        told, complaint = child.communicate(timeout=30)
    assert told == ""
    assert complaint.strip().endswith("KeyboardInterrupt")


@pytest.mark.slow
def test_the_tests_of_signals_bear_the_background() -> None:
    """A shell without job control, and nohup, have their children ignore what these tests send to their own."""
    code = (
        "import os, signal, sys\n"
        "for name in ('SIGINT', 'SIGHUP', 'SIGTERM'):\n"
        "    signal.signal(getattr(signal, name), signal.SIG_IGN)\n"
        "os.close(0)\n"
        "os.execv(sys.executable, [sys.executable, '-m', 'pytest', '-p', 'no:cacheprovider', *sys.argv[1:]])\n"
    )
    tests = [
        "tests/drafting/test_strip.py::test_an_interrupt_is_not_taken_for_a_wish_to_stop_early",
        "tests/output/commands/test_batch.py::test_an_interrupted_run_stops_cleanly",
    ]
    told = subprocess.run([sys.executable, "-c", code, *tests], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "2 passed" in told.stdout


LAID = Packed(
    (Item("arrow", ARROW, 2), Item("bar", rectangle(300, 30), turns=(0,))),
    300,
    (Copy("arrow", 0, 30, 0), Copy("arrow", 2, 270, 130), Copy("bar", 0, 0, 140)),
)


def moved(packed: Packed, number: int, **changes: object) -> Packed:
    copies = list(packed.copies)
    copies[number] = replace(copies[number], **changes)  # type: ignore[arg-type]
    return replace(packed, copies=tuple(copies))


def test_a_good_strip_passes() -> None:
    check_packed(LAID)
    check_packed(LAID, gap=10)
    assert LAID.length == 170
    # closed form: two arrows of 90 x 40 and a triangle of 150 x 90, and a bar
    assert LAID.density == pytest.approx((2 * (90 * 40 + 150 * 90 / 2) + 300 * 30) / (300 * 170))


@pytest.mark.parametrize(
    ("wrong", "gap", "message"),
    [
        (moved(LAID, 2, y=129.9), 0, r"arrow and bar: they overlap by .* mm²"),
        (moved(LAID, 1, x=150.0), 0, "arrow and arrow: they overlap"),
        (LAID, 10.1, r"they lie 10\.00 mm apart, and must keep 10\.1 mm"),
        (moved(LAID, 0, x=29.9), 0, r"arrow: it lies 0\.100 mm outside the strip"),
        (moved(LAID, 2, x=0.01), 0, r"bar: it lies 0\.010 mm outside the strip"),
        (moved(LAID, 0, y=-0.01), 0, r"arrow: it lies 0\.010 mm outside the strip"),
        (moved(LAID, 2, turn=2, x=300.0, y=170.0), 0, "bar: it is turned by 180 degrees"),
        (replace(LAID, copies=LAID.copies[1:]), 0, "arrow: it is laid 1 times and must be laid 2 times"),
        (replace(LAID, copies=(*LAID.copies, Copy("cuff", 0, 0, 200))), 0, "cuff: it is laid 1 times"),
    ],
)
def test_a_strip_that_breaks_a_rule_is_refused(wrong: Packed, gap: float, message: str) -> None:
    with pytest.raises(GeometryError, match=message):
        check_packed(wrong, gap=gap)


def test_the_outline_that_is_searched_with_is_never_smaller() -> None:
    assert CLEAR > 0
    assert GROWN + SIMPLIFIED < 0.2
