"""SVG text for a page: written at once, its looks left to the page's style sheet by classes that are roles.

The user unit is the millimetre. A height y of a picture stands at -y, so that the origin of what is drawn is that of
the SVG, and a script reads millimetres off its coordinates. They are written to a tenth of a millimetre, which no
screen shows. Nothing has an id, a style or a script, so that many drawings may stand on one page under any policy.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from itertools import groupby
from typing import Final

from drafting.path import Path
from drafting.picture import Trace
from drafting.point import Point
from drafting.units import on_tape

Bounds = tuple[float, float, float, float]
"""Left, bottom, right, top in mm."""

Data = Mapping[str, str | float]
"""Attributes of a group, by their names without `data-`."""

NONE: Final[Data] = {}

NAMESPACE: Final = "http://www.w3.org/2000/svg"

FILLED: Final = "svg-filled"


class PathData:
    """A sink whose `parts` are the commands of path data (SVG 1.1, 8.3)."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def move_to(self, start: Point) -> None:
        self.parts.append(f"M{start.x:.1f} {-start.y:.1f}")

    def line_to(self, end: Point) -> None:
        self.parts.append(f"L{end.x:.1f} {-end.y:.1f}")

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        self.parts.append(
            f"C{control1.x:.1f} {-control1.y:.1f} {control2.x:.1f} {-control2.y:.1f} {end.x:.1f} {-end.y:.1f}"
        )

    def close(self) -> None:
        self.parts.append("Z")


def path_data(paths: Iterable[Path]) -> str:
    """Paths as one path's data.

    >>> path_data([Path.through(Point(0, 0), Point(30, 12.04))])
    'M0.0 0.0L30.0 -12.0'
    """
    sink = PathData()
    for path in paths:
        path.draw(sink)
    return "".join(sink.parts).replace("-0.0", "0.0")


def role_class(role: str) -> str:
    """The class of what has a role.

    >>> role_class("fine rubber")
    'svg-fine-rubber'
    """
    return f"svg-{role.replace(' ', '-')}"


def stroke(role: str, *paths: Path, more: str = "") -> str:
    """Lines of one role, as one element; nothing for none. `more` are further attributes, already escaped."""
    return f'<path class="{role_class(role)}"{more} d="{path_data(paths)}"/>' if paths else ""


def filled(role: str, path: Path) -> str:
    """An area."""
    return f'<path class="{role_class(role)} {FILLED}" d="{path_data((path,))}"/>'


def traced(traces: Sequence[Trace]) -> str:
    """The traces of a picture, the first drawn first; lines of one role that follow one another are one element."""
    found = []
    for (role, area), run in groupby(traces, key=lambda trace: (trace.role, trace.filled)):
        paths = [trace.path for trace in run]
        found += [filled(role, path) for path in paths] if area else [stroke(role, *paths)]
    return "".join(found)


def said(text: str) -> str:
    """Text between tags; what XML cannot hold is no part of a name (see `blocks.label`)."""
    return escape(text, quote=False)


def group(kind: str, title: str, *inside: str, at: tuple[float, float] | None = None, data: Data = NONE) -> str:
    """A group of that class, moved to `at` (right and up, in mm), with a title and `data-` attributes."""
    moved = f' transform="translate({at[0]:.1f} {-at[1]:.1f})"' if at else ""
    return f'<g class="{kind}"{_data(data)}{moved}><title>{said(title)}</title>{"".join(inside)}</g>'


def text(kind: str, at: Point, words: str) -> str:
    """A line of text, `at` the start of its base line."""
    return f'<text class="{kind}" x="{at.x:.1f}" y="{-at.y:.1f}">{said(words)}</text>'


def drawing(kind: str, label: str, bounds: Bounds, letters: float, *inside: str) -> str:
    """The whole: an image named by its `label`, `letters` mm high unless the style sheet says otherwise."""
    left, bottom, right, top = bounds
    box = f"{left:.1f} {-top:.1f} {right - left:.1f} {top - bottom:.1f}"
    return (
        f'<svg xmlns="{NAMESPACE}" class="drawing drawing-{kind}" role="img" '
        f'aria-label="{escape(label)}" viewBox="{box}" font-size="{_plain(letters)}">'
        f"<title>{said(label)}</title>{''.join(inside)}</svg>"
    )


def _data(data: Data) -> str:
    return "".join(
        f' data-{name}="{escape(value) if isinstance(value, str) else _plain(value)}"' for name, value in data.items()
    )


def _plain(value: float) -> str:
    """A number without trailing noughts."""
    told = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if told == "-0" else told


def sized(bounds: Bounds) -> tuple[str, str]:
    """How wide and how high something is, in cm and in inches.

    >>> sized((0, 0, 254, 100))
    ('25.4 × 10.0 cm', '10 × 3 7/8 in')
    """
    left, bottom, right, top = bounds
    (wide, wide_inches), (tall, tall_inches) = on_tape(right - left), on_tape(top - bottom)
    return f"{wide} × {tall} cm", f"{wide_inches} × {tall_inches} in"
