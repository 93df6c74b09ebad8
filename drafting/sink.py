"""What a path draws itself on: a page, the text of a file, a list of places. A new kind of paper is one more sink."""

from __future__ import annotations

from typing import Protocol

from drafting.point import Point


class Sink(Protocol):
    """Takes the commands of a path in order, in mm, y up: one `move_to`, then lines and curves end to end."""

    def move_to(self, start: Point) -> None:
        """Begin a path."""

    def line_to(self, end: Point) -> None:
        """A straight line from where the path has come to."""

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        """A cubic Bézier from where the path has come to."""

    def close(self) -> None:
        """The path has come back to its start, within the tolerance of a joint: `drafting.path.JOIN_TOLERANCE`."""
