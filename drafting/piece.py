"""A pattern piece: named edges round a closed seam line, and all that is marked on it. In mm, y up the grain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

from drafting.errors import GeometryError
from drafting.path import JOIN_TOLERANCE, Path
from drafting.point import Motion, Point


class NotchKind(StrEnum):
    """What a notch tells the sewist."""

    FOLD = "fold"
    STITCH = "stitch"
    SINGLE = "single"
    DOUBLE = "double"
    CENTRE = "centre"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class Notch:
    """A mark on an edge that is laid on its mate when the seam is sewn.

    `distance` is the arc length on the edge's seam line, from the edge's start. `cut_point` is where the mark leaves
    the cut line. `mate` is the id of the notch it meets: of the same piece, of another piece as `piece/notch`, or of
    the mirrored piece as `mirror/notch`; None for a mark that meets nothing. One on a strip that is cut several times
    meets as many and names the first.
    """

    id: str
    kind: NotchKind
    edge: str
    distance: float
    seam_point: Point
    cut_point: Point
    mate: str | None = None

    def moved(self, motion: Motion) -> Notch:
        seam_point, cut_point = motion(self.seam_point), motion(self.cut_point)
        return Notch(self.id, self.kind, self.edge, self.distance, seam_point, cut_point, self.mate)


@dataclass(frozen=True, slots=True)
class Edge:
    """One named edge. Its `seam` runs counter-clockwise round the piece; `cut` is its own part of the cut line.

    `finished` is the seam before casings were opened, None on a piece that has none. An edge that is turned to the
    wrong side has its `turns` in mm, from the piece outwards, as in `drafting.allowance.Side`.
    """

    name: str
    seam: Path
    allowance: float
    cut: Path
    finished: Path | None = None
    turns: tuple[float, ...] = ()

    def moved(self, motion: Motion) -> Edge:
        finished = self.finished.moved(motion) if self.finished else None
        return Edge(self.name, self.seam.moved(motion), self.allowance, self.cut.moved(motion), finished, self.turns)


@dataclass(frozen=True, slots=True)
class CasingLine:
    """A straight line across the piece that belongs to a casing: its fold, or one of its two lines of stitching.

    It runs from seam line to seam line. `depth` is the casing's: fold to stitching.
    """

    name: str
    casing: str
    start: Point
    end: Point
    depth: float

    def moved(self, motion: Motion) -> CasingLine:
        return CasingLine(self.name, self.casing, motion(self.start), motion(self.end), self.depth)


class MarkKind(StrEnum):
    """What a mark inside a piece is for: another piece is sewn on there, a buttonhole worked, the cloth creased."""

    PLACE = "place"
    BUTTONHOLE = "buttonhole"
    CREASE = "crease"


@dataclass(frozen=True, slots=True)
class Mark:
    """What is marked through onto the cloth inside a piece, and not snipped.

    `line` is the outline of what is sewn on, closed or open, or where it is sewn; of a buttonhole its length; of a
    crease the fold. `points` are marked each by itself, such as the corners of a pocket. `label` is printed beside it.

    Raises:
        GeometryError: neither a line nor a point.
    """

    name: str
    kind: MarkKind
    label: str
    line: Path | None = None
    points: tuple[Point, ...] = ()

    def __post_init__(self) -> None:
        if self.line is None and not self.points:
            raise GeometryError(f"mark {self.name}: it has neither a line nor a point; give it one")

    def moved(self, motion: Motion) -> Mark:
        line = self.line.moved(motion) if self.line else None
        return Mark(self.name, self.kind, self.label, line, tuple(motion(point) for point in self.points))


@dataclass(frozen=True, slots=True)
class Grainline:
    """The straight grain, from its lower to its upper end."""

    start: Point
    end: Point

    def moved(self, motion: Motion) -> Grainline:
        return Grainline(motion(self.start), motion(self.end))


@dataclass(frozen=True)
class Piece:
    """A flat piece, ready to be laid on cloth.

    `edges` run counter-clockwise, each starting where the one before ends, on the seam line and on the cut line alike.
    `cut_count` pieces are cut in all, half of them mirrored when `mirrored`. `variant` says which form of the garment
    it belongs to where that comes in several, such as a high or a mid rise; "" where there is one.

    Raises:
        GeometryError: edges that do not close, or two edges, notches or marks with one name.
    """

    name: str
    title: str
    size: str
    variant: str
    edges: tuple[Edge, ...]
    grainline: Grainline
    cut_count: int = 1
    mirrored: bool = False
    fold_lines: tuple[CasingLine, ...] = ()
    stitch_lines: tuple[CasingLine, ...] = ()
    notches: tuple[Notch, ...] = ()
    marks: tuple[Mark, ...] = ()
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for what, names in (
            ("edges", [edge.name for edge in self.edges]),
            ("notches", [notch.id for notch in self.notches]),
            ("marks", [mark.name for mark in self.marks]),
        ):
            if len(set(names)) < len(names):
                twice = {name for name in names if names.count(name) > 1}
                raise GeometryError(
                    f"piece {self.name}: two {what} are named {', '.join(sorted(twice))}; name each once"
                )
        for line in (self.seam_line, self.cut_line):
            if not line.closed:
                gap = line.start.distance(line.end)
                raise GeometryError(
                    f"piece {self.name}: its outline has a gap of {gap:.3f} mm; it may have {JOIN_TOLERANCE} mm"
                )

    @cached_property
    def seam_line(self) -> Path:
        """The closed line of stitching round the piece."""
        return Path.joined(edge.seam for edge in self.edges)

    @cached_property
    def cut_line(self) -> Path:
        """The closed line to cut along."""
        return Path.joined(edge.cut for edge in self.edges)

    @cached_property
    def finished(self) -> Path | None:
        """The closed outline before the casings were opened; None for a piece without casings."""
        paths = [edge.finished for edge in self.edges if edge.finished]
        return Path.joined(paths) if len(paths) == len(self.edges) else None

    def edge(self, name: str) -> Edge:
        """The edge of that name.

        Raises:
            GeometryError: the piece has none.
        """
        for edge in self.edges:
            if edge.name == name:
                return edge
        known = ", ".join(edge.name for edge in self.edges)
        raise GeometryError(f"piece {self.name}: it has no edge {name!r}; its edges are {known}")

    def notch(self, notch_id: str) -> Notch:
        """The notch of that id.

        Raises:
            GeometryError: the piece has none.
        """
        for notch in self.notches:
            if notch.id == notch_id:
                return notch
        raise GeometryError(f"piece {self.name}: it has no notch {notch_id!r}")

    def moved(self, motion: Motion) -> Piece:
        """The piece laid elsewhere. The motion must not mirror: a mirrored piece would run clockwise.

        Raises:
            GeometryError: the motion mirrors.
        """
        if motion.mirrors:
            raise GeometryError(
                f"piece {self.name}: it can be shifted or turned, but not mirrored, when it is laid out"
            )
        return replace(
            self,
            edges=tuple(edge.moved(motion) for edge in self.edges),
            grainline=self.grainline.moved(motion),
            fold_lines=tuple(line.moved(motion) for line in self.fold_lines),
            stitch_lines=tuple(line.moved(motion) for line in self.stitch_lines),
            notches=tuple(notch.moved(motion) for notch in self.notches),
            marks=tuple(mark.moved(motion) for mark in self.marks),
        )
