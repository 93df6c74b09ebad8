"""Nesting: shapes laid on a strip of a given width so that they take little of its length. In mm.

x runs across the strip from its left edge, y along it. A shape is shifted, and turned by the quarter turns that it may
be: none or two, where what is drawn along y must stay along y.

The search is that of spyrrow, a heuristic that stops on the clock: two runs may differ, so keep what one has found.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from signal import Signals, getsignal, signal
from threading import current_thread, main_thread
from types import FrameType
from typing import TYPE_CHECKING, Final, TypeVar

from drafting.curve import FLAT_TOLERANCE
from drafting.errors import DraftError, GeometryError
from drafting.path import Path
from drafting.point import Motion

if TYPE_CHECKING:
    import shapely

GROWN: Final = 0.1
"""mm; the search sees outlines pushed outward by this much before they are simplified."""

SIMPLIFIED: Final = 0.05
"""mm; how far the simplified outline may stray from the grown one. So no outline that is searched with comes nearer to
its shape than 0.05 mm, and none lies further out than 0.15 mm, but at corners, by their mitres."""

CLEAR: Final = GROWN - SIMPLIFIED

PLAY: Final = 0.02
"""mm; the strip is searched this much wider on either side, because the engine reckons in single precision; what lies
over the edge by so little is set back."""

MOST_OVERLAP: Final = 0.01
"""mm²; what two shapes may share before a nesting is refused."""

Handler = Callable[[int, "FrameType | None"], object]

_STOPPING: Final = [number for number in Signals if number.name in ("SIGINT", "SIGTERM", "SIGHUP")]

_DIGITS: Final = 3
"""Decimals of a shift: a nesting that is stored and read back is the same nesting."""

Solution = TypeVar("Solution")


@dataclass(frozen=True, slots=True)
class Shape:
    """A closed outline to be laid `count` times, each turned counter-clockwise by one of the quarter turns `turns`."""

    name: str
    outline: Path
    count: int = 1
    turns: tuple[int, ...] = (0, 2)


@dataclass(frozen=True, slots=True)
class Place:
    """Where one copy of a shape lies: turned round the origin by so many quarter turns, then shifted."""

    name: str
    turn: int
    x: float
    y: float

    @property
    def motion(self) -> Motion:
        """The motion from where the shape is drawn to where it lies."""
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[self.turn % 4]
        return Motion(c, s, -s, c, self.x, self.y)


@dataclass(frozen=True)
class Nesting:
    """Shapes on a strip that begins at y = 0."""

    shapes: tuple[Shape, ...]
    width: float
    places: tuple[Place, ...]

    @cached_property
    def length(self) -> float:
        """How much of the strip is taken, in mm."""
        return max((top for _, _, _, top in self._bounds()), default=0.0)

    @property
    def density(self) -> float:
        """The area of the shapes over that of the strip taken, 0 to 1."""
        return float(sum(polygon.area for polygon in self.polygons)) / (self.width * self.length)

    @cached_property
    def polygons(self) -> tuple[shapely.Polygon, ...]:
        """The outlines where they lie, within `FLAT_TOLERANCE` of the true ones, in the places' order."""
        import shapely  # noqa: PLC0415 - slow to import, and only laying out needs it

        outlines = {shape.name: shape.outline for shape in self.shapes}
        return tuple(
            shapely.Polygon(outlines[place.name].moved(place.motion).array(tolerance=FLAT_TOLERANCE))
            for place in self.places
        )

    def _bounds(self) -> Iterator[tuple[float, float, float, float]]:
        outlines = {shape.name: shape.outline for shape in self.shapes}
        for place in self.places:
            yield outlines[place.name].moved(place.motion).bounds


def nest(
    shapes: Sequence[Shape],
    width: float,
    *,
    gap: float = 0.0,
    seconds: int = 10,
    workers: int | None = None,
    seed: int = 1,
) -> Nesting:
    """Search for `seconds` on so many `workers` (all processors if None) for the shortest strip of that width.

    `gap` is kept between any two shapes, not at the edges of the strip. `seed` sets out on another search, but does not
    make one repeat itself. What is found has passed `check_nesting`.

    Raises:
        DraftError: spyrrow is not installed.
        GeometryError: no shape, one wider than the strip, or an engine that fails or breaks the rules.
    """
    if not shapes:
        raise GeometryError("nesting: there is nothing to lay out; give one shape or more")
    for shape in shapes:
        if not _fitting(shape, width):
            widths = " or ".join(f"{_across(shape, turn):.1f}" for turn in sorted({turn % 2 for turn in shape.turns}))
            raise GeometryError(f"{shape.name}: it is {widths} mm wide and the strip {width:.1f} mm; give a wider one")
    nesting = _flush(Nesting(tuple(shapes), width, tuple(_search(shapes, width, gap, seconds, workers, seed))))
    check_nesting(nesting, gap=gap)
    return nesting


def _fitting(shape: Shape, width: float) -> list[int]:
    """The turns in which a shape fits across the strip."""
    return [turn for turn in shape.turns if _across(shape, turn) <= width + PLAY / 2]


def _across(shape: Shape, turn: int) -> float:
    left, low, right, high = shape.outline.bounds
    return high - low if turn % 2 else right - left


def _search(
    shapes: Sequence[Shape], width: float, gap: float, seconds: int, workers: int | None, seed: int
) -> Iterator[Place]:
    """The engine's strip lies on its side: its x is our y, and its y runs from our right edge to the left."""
    try:
        import spyrrow  # noqa: PLC0415 - an extra, and slow to import
    except ImportError:
        raise DraftError(
            'lay plan: it needs the nesting engine spyrrow, which is not installed; run pip install "shirrline[lay]"'
        ) from None
    apart = max(0.0, gap - 2 * (CLEAR - PLAY))  # the outlines that are searched with keep the rest, even when set back
    margin = apart + CLEAR + PLAY  # the engine keeps apart from the edges of the strip as well
    items = [
        spyrrow.Item(str(number), _seen(shape), shape.count, [90.0 * turn for turn in _fitting(shape, width)])
        for number, shape in enumerate(shapes)
    ]
    settings = spyrrow.StripPackingConfig(
        min_items_separation=apart or None,
        total_computation_time=seconds,
        num_workers=workers,
        seed=seed,
    )
    instance = spyrrow.StripPackingInstance("lay", width + 2 * margin, items)
    for item in _heeded(lambda: instance.solve(settings)).placed_items:
        name, turn = shapes[int(item.id)].name, round(item.rotation / 90)
        if abs(item.rotation - 90 * turn) > 1e-3:
            raise GeometryError(f"{name}: the engine turned it by {item.rotation} degrees")
        along, across = item.translation
        yield Place(name, turn % 4, width + margin - across, along)


def _heeded(solve: Callable[[], Solution]) -> Solution:
    """Run the engine. It takes a signal that raises for a wish to stop early, and swallows it: here it is passed on.

    Raises:
        GeometryError: the engine fails.
        KeyboardInterrupt: the user or the system has stopped the search.
    """
    heard: list[BaseException] = []

    def heeding(handler: Handler) -> Handler:
        def hear(number: int, frame: FrameType | None) -> None:
            try:
                handler(number, frame)
            except BaseException as stop:
                heard.append(stop)
                raise

        return hear

    before = {number: getsignal(number) for number in _STOPPING} if current_thread() is main_thread() else {}
    ours = {number: (handler, heeding(handler)) for number, handler in before.items() if callable(handler)}
    for number, (_, hearing) in ours.items():
        signal(number, hearing)
    try:
        found = solve()
    except BaseException as error:
        if type(error).__name__ != "PanicException":  # it is no Exception, and its class has no importable name
            raise
        said = str(error).partition("\n")[0]
        raise GeometryError(f"nesting: the engine failed: {said}; please report it with the design") from None
    finally:
        for number, (handler, hearing) in ours.items():
            if getsignal(number) is hearing:  # else the handler itself has put another in its place
                signal(number, handler)
    if heard:
        raise heard[0]
    return found


def _seen(shape: Shape) -> list[tuple[float, float]]:
    """The outline as the engine is given it: grown, simplified, no wider than it must be, in the engine's axes."""
    import shapely  # noqa: PLC0415

    true = shapely.Polygon(shape.outline.array(tolerance=FLAT_TOLERANCE))
    if not true.is_valid:
        raise GeometryError(f"{shape.name}: its outline crosses itself; it cannot be laid out")
    left, low, right, high = true.bounds
    grown = true.buffer(GROWN, join_style="mitre").simplify(SIMPLIFIED)
    clipped = shapely.intersection(grown, shapely.box(left - CLEAR, low - CLEAR, right + CLEAR, high + CLEAR))
    seen = max(shapely.get_parts(clipped), key=lambda part: part.area)
    if not seen.contains(true):
        raise GeometryError(f"{shape.name}: its outline cannot be simplified within {SIMPLIFIED} mm")
    return [(y, -x) for x, y in seen.exterior.coords[:-1]]


def _flush(nesting: Nesting) -> Nesting:
    """The nesting begun at y = 0, what lies a hair over the strip's edge set on it, and shifts rounded."""
    bounds = list(nesting._bounds())
    start = min(bottom for _, bottom, _, _ in bounds)
    places = []
    for place, (left, _, right, _) in zip(nesting.places, bounds, strict=True):
        aside = max(0.0, -left) or min(0.0, nesting.width - right)
        if abs(aside) > 2 * PLAY:
            aside = 0.0  # more than a hair: left where it is, to be refused
        places.append(replace(place, x=round(place.x + aside, _DIGITS), y=round(place.y - start, _DIGITS)))
    return replace(nesting, places=tuple(sorted(places, key=lambda place: (place.y, place.x, place.name))))


def check_nesting(nesting: Nesting, *, gap: float = 0.0) -> None:
    """See that every copy is there, as it may be turned, inside the strip, and clear of all others by `gap`.

    Raises:
        GeometryError: the first rule that is broken, and by which shapes.
    """
    wanted = Counter({shape.name: shape.count for shape in nesting.shapes})
    there = Counter(place.name for place in nesting.places)
    for name in wanted | there:
        if wanted[name] != there[name]:
            raise GeometryError(f"{name}: it is laid {there[name]} times and must be laid {wanted[name]} times")
    turns = {shape.name: shape.turns for shape in nesting.shapes}
    for place in nesting.places:
        if place.turn not in turns[place.name]:
            raise GeometryError(f"{place.name}: it is turned by {90 * place.turn} degrees, and may not be")
    _check_inside(nesting)
    _check_apart(nesting, gap)


def _check_inside(nesting: Nesting) -> None:
    hair = 2 * 10**-_DIGITS
    for place, (left, bottom, right, _) in zip(nesting.places, nesting._bounds(), strict=True):
        beyond = max(-left, right - nesting.width, -bottom)
        if beyond > hair:
            raise GeometryError(f"{place.name}: it lies {beyond:.3f} mm outside the strip")


def _check_apart(nesting: Nesting, gap: float) -> None:
    import shapely  # noqa: PLC0415

    polygons = nesting.polygons
    tree = shapely.STRtree(polygons)
    pairs = tree.query(polygons, predicate="dwithin", distance=gap) if gap else tree.query(polygons)
    for one, other in pairs.T.tolist():
        if one >= other:
            continue
        names = f"{nesting.places[one].name} and {nesting.places[other].name}"
        shared = polygons[one].intersection(polygons[other]).area
        if shared > MOST_OVERLAP:
            raise GeometryError(f"{names}: they overlap by {shared:.3f} mm²")
        between = polygons[one].distance(polygons[other])
        if between < gap - 2 * FLAT_TOLERANCE:
            raise GeometryError(f"{names}: they lie {between:.2f} mm apart, and must keep {gap:g} mm")
