"""The commands that a path gives to a sink, before any format of a file."""

from __future__ import annotations

from hypothesis import given

import zoo
from drafting.curve import Cubic, Line, Segment
from drafting.path import JOIN_TOLERANCE, Path
from drafting.point import Point


class Recorder:
    """A sink that keeps its commands."""

    def __init__(self) -> None:
        self.commands: list[tuple[str, *tuple[Point, ...]]] = []

    def move_to(self, start: Point) -> None:
        self.commands.append(("move", start))

    def line_to(self, end: Point) -> None:
        self.commands.append(("line", end))

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        self.commands.append(("curve", control1, control2, end))

    def close(self) -> None:
        self.commands.append(("close",))


def recorded(path: Path) -> list[tuple[str, *tuple[Point, ...]]]:
    recorder = Recorder()
    path.draw(recorder)
    return recorder.commands


def test_an_open_path_is_a_start_and_its_segments():
    a, b, c, d, e = (Point(x, y) for x, y in ((0, 0), (30, 0), (40, 10), (40, 30), (20, 40)))
    assert recorded(Path((Line(a, b), Cubic(b, c, d, e)))) == [("move", a), ("line", b), ("curve", c, d, e)]


def test_a_closed_path_says_so_at_its_end():
    corners = (Point(0, 0), Point(30, 0), Point(30, 40), Point(0, 0))
    first, *others = corners
    assert recorded(Path.through(*corners)) == [("move", first), *(("line", one) for one in others), ("close",)]


def test_an_end_within_the_tolerance_of_a_joint_closes_and_keeps_its_own_place():
    near = Point(JOIN_TOLERANCE / 2, 0)
    path = Path((Line(Point(0, 0), Point(30, 0)), Line(Point(30, 0), Point(30, 40)), Line(Point(30, 40), near)))
    assert recorded(path)[-2:] == [("line", near), ("close",)]


@given(zoo.paths)
def test_the_commands_are_the_whole_path(path: Path):
    (_, at), *commands = recorded(path)
    closed = commands[-1] == ("close",)
    assert closed == path.closed
    segments: list[Segment] = []
    for name, *points in commands[: len(commands) - closed]:
        segments.append(Line(at, *points) if name == "line" else Cubic(at, *points))
        at = points[-1]
    assert Path(tuple(segments)) == path
