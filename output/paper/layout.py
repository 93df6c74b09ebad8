"""Where the pieces lie on a grid of pages, so that as few pages as possible are printed. Lengths in mm, y up.

The grid's cells are the pages' own parts of the drawing; a cell that no piece touches is not printed. For the search a
piece is its profile; which cells are printed is then decided on the outlines themselves. A stack of pieces, the sizes
of one drawn over one another, is laid as one piece with the outline of them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import chain
from math import ceil
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drafting.errors import DraftError
from drafting.path import Path
from drafting.piece import Piece
from drafting.point import Motion, Point, Vector
from drafting.role import Role
from output.drawing.ink import Ink
from output.drawing.pens import PENS
from output.paper.joins import FINE, MARK_REACH, STYLE, Cover, cover_of, mark_places
from output.paper.profile import Floats, Ints, Profile, extents, forbidden
from output.paper.sizes import Paper, Spent, Tiling

FLAT: Final = 0.05
"""mm; tolerance of the outlines that the layout works on."""

PAD: Final = PENS[Role.CUT].width / 2 + FLAT
"""mm; how far the ink of a cut line may reach beyond its flattened outline."""

SLAB: Final = 1.0
COARSE_SLAB: Final = 8.0
"""mm; the widest slab of a profile, when a piece is laid alone and when several must be fitted together."""

MANY: Final = 10**6
"""More rows than any grid has: what endless extents are held to."""

_EPS: Final = 1e-7
_SHARES: Final = ((1, 1), (0.5, 1), (1, 0.5), (0.5, 0.5), (0, 1), (1, 0), (0, 0.5), (0.5, 0), (0, 0))
"""How far towards the middle of the grid pieces are tried, across and up, the best first."""

WAYS: Final = 4
"""How many places of the largest piece are tried each way up when the best leave a cut line along a join."""

LIFT: Final = 6.0
"""mm; shifts upward that are tried then."""

MORE: Final = 6
"""Pages that may be spent to keep cut lines off the joins."""

WORTH: Final = 100.0
"""mm; a page is spent when it clears joins of so much cut line, all sizes of a nest together."""

NEARBY: Final = 2.0
"""mm; between the nearest places that are tried for a piece that is shifted alone."""

TRIES: Final = 12
"""How many shifts along each axis are tried for a piece that is shifted alone."""

Stack = Sequence[Piece]
"""Pieces that are drawn over one another, in coordinates that they share."""

Lines = Sequence[NDArray[np.float64]]
"""The cut lines of a stack, as corners."""

Flags = NDArray[np.bool_]
Span = tuple[int, int]

NOWHERE: Final = (MANY, -MANY)
"""From the first to after the last of no cells."""


@dataclass(frozen=True, slots=True, order=True)
class Cell:
    """One page's place in the grid; row 1 is at the top, column 1 at the left."""

    row: int
    column: int

    def beside(self, *, rows: int = 0, columns: int = 0) -> Cell:
        """The cell so many rows further down and columns further right."""
        return Cell(self.row + rows, self.column + columns)


@dataclass(frozen=True)
class Layout:
    """Stacks of pieces laid on a grid of `rows` by `columns` cells, of which `cells` are printed, row by row.

    The grid's lower left corner is the origin; `paper` is turned as it is printed. `outlines` are those of the stacks.
    """

    paper: Paper
    tiling: Tiling
    stacks: tuple[tuple[Piece, ...], ...]
    outlines: tuple[Path, ...]
    rows: int
    columns: int
    cells: tuple[Cell, ...]

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """All pieces, stack by stack."""
        return tuple(chain.from_iterable(self.stacks))

    @property
    def cell_size(self) -> tuple[float, float]:
        return self.tiling.cell(self.paper)

    @property
    def width(self) -> float:
        return self.columns * self.cell_size[0]

    @property
    def height(self) -> float:
        return self.rows * self.cell_size[1]

    @cached_property
    def _printed(self) -> frozenset[Cell]:
        return frozenset(self.cells)

    @cached_property
    def register_marks(self) -> dict[tuple[Cell, bool], tuple[float, ...]]:
        """Where along each join register marks stand, by the cell above or left of it and whether the join is upright.

        Counted from its left or lower end: at both ends and in the middle, or beside these where a cut line runs.
        """
        ink = Ink.of(piece.cut_line for piece in self.pieces)
        seen = {False: ink, True: ink.seen(Motion.turn(-90))}
        width, height = self.cell_size
        found = {}
        for cell in self.cells:
            corner = self.corner(cell)
            for upright, beside in ((False, cell.beside(rows=1)), (True, cell.beside(columns=1))):
                if self.prints(beside):
                    # after a quarter turn what was to the right is below, and what was above is to the right
                    at, start, length = (
                        (-corner.x - width, corner.y, height) if upright else (corner.y, corner.x, width)
                    )
                    left, right = seen[upright].between(at - MARK_REACH, at + MARK_REACH)
                    found[cell, upright] = mark_places(left - start, right - start, length)
        return found

    @property
    def spent(self) -> Spent:
        """The printed cells, and the fewest that could be."""
        import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

        area = sum(shapely.Polygon(outline.array(tolerance=FLAT)).area for outline in self.outlines)
        width, height = self.cell_size
        return Spent(len(self.cells), ceil(area / (width * height)))

    def prints(self, cell: Cell) -> bool:
        return cell in self._printed

    def corner(self, cell: Cell) -> Point:
        """The lower left corner of a cell on the sheet."""
        width, height = self.cell_size
        return Point((cell.column - 1) * width, (self.rows - cell.row) * height)


def lay_out(pieces: Sequence[Piece], paper: Paper, *, tiling: Tiling | None = None) -> Layout:
    """The layout with the fewest pages; of those the smallest grid, and upright pages before turned ones.

    Pieces are shifted, and all but the largest may be turned by 180 degrees, never otherwise: the grain stays upright.

    Raises:
        DraftError: there is no piece.
    """
    return lay_out_stacks([(piece,) for piece in pieces], paper, tiling=tiling)


def lay_out_stacks(stacks: Sequence[Stack], paper: Paper, *, tiling: Tiling | None = None) -> Layout:
    """As `lay_out`, each stack shifted and turned as one.

    Raises:
        DraftError: there is no piece.
    """
    if not stacks or not all(stacks):
        raise DraftError("layout: there is no piece to print; draft at least one")
    tiling = tiling or Tiling()
    outlines = [outline_of(stack) for stack in stacks]
    drawn = [_Drawn.of(stack, outline) for stack, outline in zip(stacks, outlines, strict=True)]
    best = _clear(drawn, paper, tiling)
    laid = tuple(
        tuple(piece.moved(motion) for piece in stack) for stack, motion in zip(stacks, best.motions, strict=True)
    )
    return Layout(
        best.paper,
        tiling,
        laid,
        tuple(
            stack[0].cut_line if len(stack) == 1 else outline.moved(motion)
            for stack, outline, motion in zip(laid, outlines, best.motions, strict=True)
        ),
        best.rows,
        best.columns,
        best.cells,
    )


def outline_of(stack: Stack) -> Path:
    """The cut line of a piece, or the outer line round the cut lines of all; a hull of them where they lie apart."""
    import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

    if len(stack) == 1:
        return stack[0].cut_line
    whole = shapely.union_all([shapely.Polygon(piece.cut_line.array(tolerance=FLAT)) for piece in stack])
    ring = shapely.get_exterior_ring(whole if whole.geom_type == "Polygon" else whole.convex_hull)
    return Path.through(*(Point(x, y) for x, y in shapely.get_coordinates(ring).tolist()))


class _Drawn(NamedTuple):
    """What is laid of a stack: its outline, all its cut lines, and how high its level casing lines are."""

    outline: Floats
    lines: Lines
    levels: Floats

    @staticmethod
    def of(stack: Stack, outline: Path) -> _Drawn:
        casing_lines = chain.from_iterable((*piece.fold_lines, *piece.stitch_lines) for piece in stack)
        levels = dict.fromkeys(round(line.start.y, 3) for line in casing_lines)
        cut_lines = [piece.cut_line.array(tolerance=FLAT) for piece in stack]
        return _Drawn(outline.array(tolerance=FLAT), cut_lines, np.array(list(levels)))


class _Way(NamedTuple):
    """How pieces are laid on paper turned or not, and the pages that they take at most."""

    motions: list[Motion]
    paper: Paper
    pages: int


class _Settled(NamedTuple):
    paper: Paper
    motions: list[Motion]
    rows: int
    columns: int
    cells: tuple[Cell, ...]
    covered: float


def _clear(drawn: Sequence[_Drawn], paper: Paper, tiling: Tiling) -> _Settled:
    """The layout with the fewest pages if no long cut line runs along a join there, or can be shifted off it.

    If it cannot, the search is repeated for a layout without such a line, which may take some pages more: a sheet of
    paper is cheaper than a wrong cut.
    """
    way = _best(drawn, paper, tiling)
    assert way, "there is always a way while joins do not matter"
    best = _settled(drawn, way, tiling)
    other = _best(drawn, paper, tiling, clear=True, enough=len(best.cells)) if best.covered else None
    if other and other.pages <= len(best.cells) + MORE:
        found = _settled(drawn, other, tiling)
        best = found if found.covered < best.covered else best
    return best


def _settled(drawn: Sequence[_Drawn], way: _Way, tiling: Tiling) -> _Settled:
    """Decide the printed cells, and shift the pieces on the grid as far as that costs no page.

    They are shifted together, so that no long cut line of the largest runs along a join and as few as can be of the
    others, and no casing line if that is possible, and as near to the middle of the grid as may be; then those that
    still have a cut line along a join, each alone.
    """
    import shapely  # noqa: PLC0415 - slow to import, and only printing needs it

    size = np.array(tiling.cell(way.paper))
    laid = [_moved(one.outline, motion) for one, motion in zip(drawn, way.motions, strict=True)]
    points = np.concatenate(laid)
    first = np.floor((points.min(axis=0) - PAD) / size + _EPS)
    last = np.ceil((points.max(axis=0) + PAD) / size - _EPS)
    by = [motion.then(_shift(-first * size)) for motion in way.motions]
    laid = [outline - first * size for outline in laid]
    covers = [cover_of([_moved(line, motion) for line in one.lines]) for one, motion in zip(drawn, by, strict=True)]
    levels = np.concatenate([one.levels * motion.d + motion.f for one, motion in zip(drawn, by, strict=True)])
    grid = _Grid(size, *(last - first).astype(int).tolist())
    polygons = [shapely.Polygon(outline) for outline in laid]
    for polygon in polygons:
        shapely.prepare(polygon)
    order = sorted(range(len(laid)), key=lambda i: -float(np.prod(np.ptp(laid[i], axis=0))))

    nested = any(len(one.lines) > 1 for one in drawn)
    together, printed = _together(polygons, [covers[i] for i in order], levels, grid, way.pages, nested=nested)
    alone = [together] * len(laid)
    for i in (*order[1:], *order):
        if grid.covered(covers[i], alone[i]):
            others = [laid[k] + alone[k] for k in order if k != i]
            alone[i] = _alone(laid[i], covers[i], alone[i], others, grid, printed, tiling.gap)
    if any(shift is not together for shift in alone):
        moved = [shapely.Polygon(outline + shift) for outline, shift in zip(laid, alone, strict=True)]
        printed = grid.touched(moved, np.zeros((1, 2)))[0]
    return _Settled(
        way.paper,
        [motion.then(_shift(shift)) for motion, shift in zip(by, alone, strict=True)],
        grid.rows,
        grid.columns,
        tuple(sorted(Cell(grid.rows - row, column + 1) for column, row in grid.cells[printed].tolist())),
        sum(grid.covered(cover, shift) for cover, shift in zip(covers, alone, strict=True)),
    )


def _shift(by: Floats) -> Motion:
    return Motion.shift(Vector(*by.tolist()))


@dataclass(frozen=True, eq=False)
class _Grid:
    """Cells of a size, columns by rows of them, from the origin."""

    size: Floats
    columns: int
    rows: int

    @cached_property
    def cells(self) -> Ints:
        """Column and row of each, counted from the lower left."""
        columns, rows = np.meshgrid(np.arange(self.columns), np.arange(self.rows), indexing="ij")
        return np.stack((columns, rows), axis=-1).reshape(-1, 2)

    def joins(self, axis: int) -> Floats:
        """Where cells meet."""
        joins: Floats = np.arange(1.0, (self.columns, self.rows)[axis]) * self.size[axis]
        return joins

    def boxes(self, shifts: Floats) -> NDArray[np.object_]:
        """The cells as they lie to pieces that have been shifted, with the ink that reaches into them."""
        import shapely  # noqa: PLC0415

        corner, grown = self.cells * self.size - shifts[:, None, :], PAD - _EPS
        (left, bottom), (right, top) = np.moveaxis(corner - grown, 2, 0), np.moveaxis(corner + self.size + grown, 2, 0)
        boxes: NDArray[np.object_] = shapely.box(left, bottom, right, top)
        return boxes

    def touched(self, polygons: Sequence[Any], shifts: Floats) -> Flags:
        """Which cells each shift prints."""
        import shapely  # noqa: PLC0415

        boxes = self.boxes(shifts)
        touched: Flags = np.any([shapely.intersects(polygon, boxes) for polygon in polygons], axis=0)
        return touched

    def along(self, covers: Sequence[Cover], axis: int, shifts: Floats) -> Floats:
        """For each shift how much cut line runs along joins: that of the first cover before all, and so on."""
        found = np.zeros(len(shifts))
        for cover in reversed(covers):
            found = found / MANY + cover.along(axis, self.joins(axis), shifts).sum(axis=1)
        return found

    def fewest(self, polygons: Sequence[Any], shifts: Floats) -> tuple[Floats, Flags]:
        """The first shift that prints the fewest cells, and which."""
        touched = self.touched(polygons, shifts)
        at = int(touched.sum(axis=1).argmin())
        return shifts[at], touched[at]

    def room(self, outlines: Sequence[Any], axis: int) -> Floats:
        """Shifts along an axis that keep pieces on the grid, from the least to the most."""
        import shapely  # noqa: PLC0415

        bounds = shapely.total_bounds(outlines)
        least = PAD - float(bounds[axis])
        most = (self.columns, self.rows)[axis] * float(self.size[axis]) - PAD - float(bounds[2 + axis])
        return np.concatenate((np.arange(least, most, FINE), (most, 0.0)))

    def covered(self, cover: Cover, shift: Floats) -> float:
        """How much cut line runs along joins after a shift."""
        return sum(float(cover.along(axis, self.joins(axis), shift[axis : axis + 1]).sum()) for axis in (0, 1))


def _together(
    polygons: Sequence[Any], covers: Sequence[Cover], levels: Floats, grid: _Grid, pages: int, *, nested: bool
) -> tuple[Floats, Flags]:
    """The shift of all pieces, whose covers come the largest first, and the cells that it prints, `pages` if it can.

    Where sizes are `nested`, joins can seldom be cleared of all of them; then pages are spent for what they clear.
    """
    rooms = [grid.room(polygons, axis) for axis in (0, 1)]
    covered = [grid.along(covers, axis, room) for axis, room in enumerate(rooms)]
    best = [room[found == found.min()] for room, found in zip(rooms, covered, strict=True)]
    middle = np.array([(room[0] + room[-2]) / 2 for room in rooms])
    plain = middle * np.array(_SHARES)
    # of the shifts upward that are as good, those that keep casing lines off joins as well
    across, up = best
    on_joins = (np.abs(grid.joins(1)[:, None] - levels - up[:, None, None]) < STYLE.near).sum(axis=(1, 2))
    choices = ((across, up[on_joins == on_joins.min()]), (across, up))
    near, freely = (
        np.array([[some[np.abs(some - aim).argmin()] for some, aim in zip(axes, aims, strict=True)] for aims in plain])
        for axes in choices
    )
    if nested:
        tried = np.concatenate((near, freely, np.column_stack((plain[:, 0], freely[:, 1])), plain))
        touched = grid.touched(polygons, tried)
        more = touched.sum(axis=1) - pages
        cost = sum(grid.along(covers, axis, tried[:, axis]) for axis in (0, 1)) + WORTH * np.maximum(more, 0)
        at = int(np.where(more <= MORE, cost, np.inf).argmin())
        return tried[at], touched[at]
    shift, printed = grid.fewest(polygons, _once(near))
    if printed.sum() > pages and len(choices[0][1]) < len(up):
        shift, printed = grid.fewest(polygons, _once(freely))
    if printed.sum() > pages and all(found.min() < 1 for found in covered):
        few = [values[:: max(1, -(-len(values) // TRIES))] for values in best]
        shifts = np.stack(np.meshgrid(*few, indexing="ij"), axis=-1).reshape(-1, 2)
        shift, printed = grid.fewest(polygons, shifts[np.hypot(*(shifts - middle).T).argsort(kind="stable")])
    if printed.sum() > pages:
        shift, printed = grid.fewest(polygons, plain)
    return shift, printed


def _once(shifts: Floats) -> Floats:
    """Each shift where it first stands."""
    first = np.unique(shifts, axis=0, return_index=True)[1]
    once: Floats = shifts[np.sort(first)]
    return once


def _alone(
    outline: Floats,
    cover: Cover,
    shift: Floats,
    others: Sequence[Floats],
    grid: _Grid,
    printed: Flags,
    gap: float,
) -> Floats:
    """Where a piece may go instead, clear of the others and on the pages that are printed already: a place nearby
    where the least is covered, else one further off; where it is, when there is none.
    """
    import shapely  # noqa: PLC0415

    polygon = shapely.Polygon(outline)
    solid = [shapely.Polygon(other) for other in others]
    solid += grid.boxes(np.zeros((1, 2)))[0][~printed].tolist()
    apart = np.array([gap] * len(others) + [0.0] * (len(solid) - len(others)))
    axes = []
    for axis in (0, 1):
        room = grid.room([polygon], axis)
        covered = cover.along(axis, grid.joins(axis), room).sum(axis=1)
        best = room[covered == covered.min()]
        axes.append(best[np.abs(best - shift[axis]).argsort(kind="stable")])
    for some in (
        [away[:: round(NEARBY / FINE)][: TRIES // 2] for away in axes],
        [away[:: max(1, len(away) // TRIES)] for away in axes],
    ):
        shifts = np.stack(np.meshgrid(*some, indexing="ij"), axis=-1).reshape(-1, 2)
        shifts = shifts[np.hypot(*(shifts - shift).T).argsort(kind="stable")]
        places = shapely.polygons(outline + shifts[:, None, :])
        free = np.ones(len(places), dtype=bool)
        for other, away in zip(solid, apart.tolist(), strict=True):
            shapely.prepare(other)
            free[free] = ~shapely.dwithin(other, places[free], away)
        if free.any():
            place: Floats = shifts[int(free.argmax())]
            return place
    return shift


def _moved(outline: Floats, motion: Motion) -> Floats:
    moved: Floats = outline @ np.array(((motion.a, motion.b), (motion.c, motion.d))) + np.array((motion.e, motion.f))
    return moved


@dataclass(frozen=True, eq=False)
class _Pose(Profile):
    """A piece upright or half turned; its first slab begins at `left` in the piece's own coordinates.

    A column of pages is `slabs` slabs wide, each slab `pitch` mm. `cover` is known where joins matter.
    """

    left: float
    slabs: int
    pitch: float
    turned: bool
    cover: Cover | None

    def motion(self, slab: int, lift: float) -> Motion:
        turn = Motion(a=-1.0, d=-1.0) if self.turned else Motion()
        return turn.then(Motion.shift(Vector(slab * self.pitch - self.left, lift)))

    @cached_property
    def columns(self) -> tuple[Floats, Floats]:
        """Low and high per column of pages, for each slab of the first column at which the piece may begin.

        Shape (slabs, columns); a column without the piece has low = inf and high = -inf.
        """
        length, slabs = len(self.low), self.slabs
        shape = slabs, (length + slabs - 2) // slabs + 1, slabs
        low, high = np.full((slabs, shape[1] * slabs), np.inf), np.full((slabs, shape[1] * slabs), -np.inf)
        for begin in range(slabs):
            low[begin, begin : begin + length] = self.low
            high[begin, begin : begin + length] = self.high
        return low.reshape(shape).min(axis=2), high.reshape(shape).max(axis=2)

    def off_joins(
        self, slab: Ints, lift: Floats, height: float, columns: Span = NOWHERE, rows: Span = NOWHERE
    ) -> Flags:
        """Whether no long cut line runs along a join at each slab and each lift; shape (slabs, lifts).

        Joins are between the cells of the piece itself and those from the first to the last of `columns` and `rows`.
        """
        assert self.cover, "without cut lines joins are of no matter"
        width, flags = self.slabs * self.pitch, []
        low, high = slab * self.pitch, (slab + len(self.low)) * self.pitch
        shifts: Floats = (low - self.left).astype(np.float64)
        bottom, top = float(self.low.min()) + lift, float(self.high.max()) + lift
        for axis, (shift, begin, end, size, span) in enumerate(
            ((shifts, low, high, width, columns), (lift, bottom, top, height, rows))
        ):
            first = np.minimum(np.floor(begin / size + _EPS), span[0])[:, None]
            last = np.maximum(np.ceil(end / size - _EPS), span[1])[:, None]
            joins = np.arange(first.min(), last.max() + 1)
            covered = self.cover.along(axis, joins * size, shift) * ((joins > first) & (joins < last))
            flags.append(covered.sum(axis=1) == 0)
        off: Flags = flags[0][:, None] & flags[1]
        return off


class _Cost(NamedTuple):
    """The pages that are printed, the cells of the whole grid, and whether the paper is turned: less is better."""

    pages: int
    grid: int
    turned: bool


class _Placed(NamedTuple):
    """A piece in a pose, and where it lies: its first slab, and how far it is shifted upward."""

    profile: _Pose
    slab: int
    lift: float

    def off_joins(self, used: Ints, height: float) -> bool:
        """Whether no long cut line runs along a join, when so many cells are used in all."""
        columns, rows = _spans(used)
        return bool(self.profile.off_joins(np.array((self.slab,)), np.array((self.lift,)), height, columns, rows)[0, 0])


def _pose(outline: Floats, lines: Lines, slabs: int, pitch: float, *, turned: bool = False) -> _Pose:
    if turned:
        outline, lines = -outline, [-line for line in lines]
    start, along = outline[:-1], np.diff(outline, axis=0)
    parts = np.maximum(1, np.ceil(np.abs(along[:, 0]) / pitch)).astype(np.int64)
    edge = np.repeat(np.arange(len(parts)), parts)
    step = np.arange(len(edge)) - np.repeat(np.cumsum(parts) - parts, parts)
    from_ = start[edge] + along[edge] * (step / parts[edge])[:, None]
    to = start[edge] + along[edge] * ((step + 1) / parts[edge])[:, None]
    left = float(outline[:, 0].min()) - PAD
    count = ceil((float(outline[:, 0].max()) + PAD - left) / pitch - _EPS)
    ends = np.array((left, 0.0))
    lower, upper = np.minimum(from_, to) - PAD - ends, np.maximum(from_, to) + PAD - ends
    seen = extents(lower, upper, pitch=pitch, count=count)
    return _Pose(*seen, left, slabs, pitch, turned, cover_of(lines) if lines else None)


def _best(
    drawn: Sequence[_Drawn], paper: Paper, tiling: Tiling, *, clear: bool = False, enough: int = 0
) -> _Way | None:
    """The best way to lay all pieces: the largest first, each where it adds the fewest pages.

    What the largest takes alone bounds what all take, so the starts that promise most are tried first, and only while
    they promise more than has been found. With `clear` other places are tried, only those where no long one runs
    along a join, until a way takes no more than `enough` pages; there may be none.
    """
    alone, outlines = len(drawn) == 1, [one.outline for one in drawn]
    order = sorted(range(len(outlines)), key=lambda i: -float(np.prod(np.ptp(outlines[i], axis=0))))
    lines = [one.lines if clear else () for one in drawn]
    starts: list[tuple[_Cost, _Placed, float]] = []
    for turned in (False, True):
        width, height = tiling.cell(paper.turned() if turned else paper)
        slabs = ceil(width / (SLAB if alone else COARSE_SLAB))
        first = _pose(outlines[order[0]], lines[order[0]], slabs, width / slabs)
        cost, places = _first_places(first, height, most=WAYS if clear else 1 if alone else 2)
        starts += [(_Cost(*cost, turned), _Placed(first, *place), height) for place in places]

    @cache
    def turns(i: int, like: _Pose) -> list[_Pose]:
        return _turns(outlines[i], lines[i], like)

    best: tuple[bool, _Cost, list[_Placed]] | None = None
    for bound, start, height in sorted(starts, key=lambda start: start[0]):
        found, placed = bound, [start]
        used = _used_cells(placed, height)
        for i in order[1:]:
            if best and not best[0] and found >= best[1]:
                break
            place = _next_place(placed, turns(i, start.profile), used, height, tiling.gap)
            if not place:
                break
            placed.append(place)
            used = _used_cells(placed, height)
            found = _Cost(*_pages_and_grid(used), bound.turned)
        if len(placed) == len(order):
            # a piece that was laid later may have made a join of what was an edge of the sheet
            joined = clear and not all(place.off_joins(used, height) for place in placed)
            if not best or (joined, found) < best[:2]:
                best = joined, found, placed
            if not joined and found.pages <= enough:
                break
    if not best:
        return None
    motions = dict(zip(order, (place.profile.motion(place.slab, place.lift) for place in best[2]), strict=True))
    way = [motions[i] for i in range(len(order))]
    return _Way(way, paper.turned() if best[1].turned else paper, best[1].pages)


def _turns(outline: Floats, lines: Lines, like: _Pose) -> list[_Pose]:
    """The piece upright and half turned, in slabs like those; upright alone when that looks the same."""
    ways = [_pose(outline, lines, like.slabs, like.pitch, turned=turned) for turned in (False, True)]
    shapes = [np.concatenate((way.low, way.high)) - way.low.min() for way in ways]
    return ways[:1] if np.allclose(shapes[0], shapes[1], rtol=0, atol=FLAT) else ways


def _pages_and_grid(used: Ints) -> tuple[int, int]:
    return used.shape[1], int(np.prod(np.ptp(used, axis=1) + 1))


def _first_places(profile: _Pose, height: float, *, most: int) -> tuple[tuple[int, int], list[tuple[int, float]]]:
    """Pages and grid of a piece alone, and its best places: slab in the first column, and shift upward.

    Of those the lowest, the highest, and as many between.

    For a given slab the number of rows can change only where an end of a column's extent meets a grid line, so those
    shifts are all that need trying, unless joins matter.
    """
    low, high = profile.columns
    ends = np.concatenate((low, high), axis=1)
    lifts = -np.where(np.isfinite(ends), ends, profile.low[0]) % height
    if profile.cover:
        lifts = np.broadcast_to(np.arange(0.0, height, LIFT), (len(low), ceil(height / LIFT)))
    bottom, top = _rows(low[:, None, :] + lifts[:, :, None], high[:, None, :] + lifts[:, :, None], height)
    pages = (top - bottom).sum(axis=2)
    columns = np.isfinite(low).sum(axis=1)[:, None]
    present = np.isfinite(low)[:, None, :]
    rows = np.where(present, top, -MANY).max(axis=2) - bottom.min(axis=2)
    cost = pages * MANY + columns * rows
    if profile.cover:
        off = profile.off_joins(np.arange(len(low)), lifts[0], height)
        if not off.any():
            return (0, 0), []
        cost = np.where(off, cost, MANY**2)
    begins, which = np.nonzero(cost == cost.min())
    found = sorted({(float(lifts[b, w]), int(b)) for b, w in zip(begins, which, strict=True)})
    spread = found[:1] if most == 1 else [found[(len(found) - 1) * i // (most - 1)] for i in range(most)]
    best = [(begin, lift) for lift, begin in dict.fromkeys(spread)]
    pages_of_all, grid = divmod(int(cost.min()), MANY)
    return (pages_of_all, grid), best


def _rows(low: Floats, high: Floats, height: float, *, within: tuple[int, int] = (-MANY, MANY)) -> tuple[Ints, Ints]:
    """First row and the row after the last that a column's extent touches; equal where there is none."""
    bottom = np.floor(low / height + _EPS).clip(*within).astype(np.int64)
    top = np.ceil(high / height - _EPS).clip(*within).astype(np.int64)
    return bottom, np.maximum(top, bottom)


def _next_place(
    placed: Sequence[_Placed], turns: Sequence[_Pose], used: Ints, height: float, gap: float
) -> _Placed | None:
    """Where a piece adds the fewest pages to those already used, then the smallest grid, then the least room.

    Where joins matter, there may be no place. It is turned only to add fewer pages or cells of the grid.
    """
    free = 0, _pages_and_grid(used)[1]
    left = min(place.slab for place in placed)
    right = max(place.slab + len(place.profile.low) for place in placed)
    floor = min(float(place.profile.low.min()) + place.lift for place in placed)
    roof = max(float(place.profile.high.max()) + place.lift for place in placed)
    best: list[tuple[tuple[float, ...], _Placed]] = []
    for profile in turns:
        length, margin = len(profile.low), ceil(gap / profile.pitch)
        slab = np.arange(left - length - margin - profile.slabs, right + margin + profile.slabs + 1)
        under, over = _forbidden(placed, profile, slab, margin, gap)
        lifts = _lifts(profile, under, over, used, height)
        clear = (lifts[:, :, None] <= under[:, None, :] + _EPS) | (lifts[:, :, None] >= over[:, None, :] - _EPS)
        fits = clear.all(axis=2)
        if profile.cover:
            columns, rows = _spans(used)
            fits &= profile.off_joins(slab, lifts[0], height, columns, rows)
            if not fits.any():
                continue
        place, which = np.nonzero(fits)
        begin, shift = slab[place], lifts[place, which]
        pages = _added(profile, begin, shift, used, height)
        fewest = pages.min()
        some = np.flatnonzero(pages == fewest)
        begin, shift = begin[some], shift[some]
        grid = _grid(profile, begin, shift, used, height)
        width = np.maximum(right, begin + length) - np.minimum(left, begin)
        tall = np.maximum(roof, float(profile.high.max()) + shift) - np.minimum(floor, float(profile.low.min()) + shift)
        room = np.round(width * tall, 3)
        at = np.lexsort((shift, begin, room, grid))[0]
        cost = int(fewest), int(grid[at]), float(room[at])
        best.append((cost, _Placed(profile, int(begin[at]), float(shift[at]))))
        if cost[:2] == free:
            break
    return min(best, key=lambda option: option[0])[1] if best else None


def _spans(used: Ints) -> tuple[Span, Span]:
    """From the first to after the last of used columns, and of used rows."""
    (left, bottom), (right, top) = used.min(axis=1).tolist(), (used.max(axis=1) + 1).tolist()
    return (left, right), (bottom, top)


def _used_cells(placed: Sequence[_Placed], height: float) -> Ints:
    """The columns and the rows, counted upward from y = 0, of all cells that placed pieces touch; shape (2, cells)."""
    used: set[tuple[int, int]] = set()
    for place in placed:
        slabs = place.profile.slabs
        low, high = (table[place.slab % slabs] + place.lift for table in place.profile.columns)
        bottom, top = _rows(low, high, height)
        for k, (first, after) in enumerate(zip(bottom.tolist(), top.tolist(), strict=True)):
            used.update((place.slab // slabs + k, row) for row in range(first, after))
    return np.array(sorted(used)).T


def _forbidden(placed: Sequence[_Placed], pose: _Pose, slab: Ints, margin: int, gap: float) -> tuple[Floats, Floats]:
    """The open interval of shifts that would bring a piece too near each placed one; shape (places, placed)."""
    found = [
        forbidden(place.profile.grown(gap, margin), pose, reach=margin).at(slab - place.slab, place.lift)
        for place in placed
    ]
    return np.column_stack([under for under, _ in found]), np.column_stack([over for _, over in found])


def _lifts(profile: _Pose, under: Floats, over: Floats, used: Ints, height: float) -> Floats:
    """Shifts worth trying at each place: resting on what is placed, hanging below it, or flush with a grid line."""
    rows = used[1]
    bottom, top = float(profile.low.min()), float(profile.high.max())
    more = int((top - bottom) // height)  # rows by which a tall piece can reach beyond the used ones
    lines = np.arange(rows.min() - more, rows.max() + more + 2) * height
    flush = np.concatenate((lines - bottom, lines - top))
    if profile.cover:
        steps = np.arange(lines[0] - bottom, lines[-1] - top, LIFT)
        return np.broadcast_to(steps, (len(under), len(steps)))
    beside = lines[0] - bottom  # nothing is above or below, so any shift will do
    resting, hanging = over.max(axis=1), under.min(axis=1)
    resting, hanging = (np.where(np.isfinite(shift), shift, beside) for shift in (resting, hanging))
    return np.column_stack((resting, hanging, np.broadcast_to(flush, (len(resting), len(flush)))))


def _added(profile: _Pose, slab: Ints, lift: Floats, used: Ints, height: float) -> Ints:
    """For each place, at its shift: how many cells are touched that are not yet used."""
    low, high = (table[slab % profile.slabs] for table in profile.columns)
    column = slab // profile.slabs
    columns, rows = used
    least = min(int((profile.low.min() + lift.min()) // height), int(rows.min())) - 1
    most = max(int((profile.high.max() + lift.max()) // height), int(rows.max())) + 2
    first, last = min(int(column.min()), int(columns.min())), max(int(column.max()) + low.shape[1], int(columns.max()))
    free = np.ones((last - first + 1, most - least), dtype=np.int64)
    free[columns - first, rows - least] = 0
    below = np.concatenate((np.zeros((len(free), 1), dtype=np.int64), free.cumsum(axis=1)), axis=1)
    bottom, top = _rows(low + lift[:, None], high + lift[:, None], height, within=(least, most))
    at = (column[:, None] + np.arange(low.shape[1]) - first) * below.shape[1] - least
    pages: Ints = (below.take(at + top) - below.take(at + bottom)).sum(axis=1)
    return pages


def _grid(profile: _Pose, slab: Ints, lift: Floats, used: Ints, height: float) -> Ints:
    """For each place, at its shift: the cells of the whole grid that results."""
    columns, rows = used
    bottom, top = _rows(profile.low.min() + lift, profile.high.max() + lift, height)
    left, right = slab // profile.slabs, (slab + len(profile.low) - 1) // profile.slabs
    across = np.maximum(right, columns.max()) - np.minimum(left, columns.min()) + 1
    cells: Ints = across * (np.maximum(top, rows.max() + 1) - np.minimum(bottom, rows.min()))
    return cells
