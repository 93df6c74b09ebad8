"""Strip packing: items laid on a strip of a given width so that they take little of its length. In mm.

x runs across the strip from its left edge, y along it. An item is shifted, and turned by the quarter turns that it may
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
its item than 0.05 mm, and none lies further out than 0.15 mm, but at corners, by their mitres."""

CLEAR: Final = GROWN - SIMPLIFIED

PLAY: Final = 0.02
"""mm; the strip is searched this much wider on either side, because the engine reckons in single precision; what lies
over the edge by so little is set back."""

MOST_OVERLAP: Final = 0.01
"""mm²; what two items may share before a strip is refused."""

Handler = Callable[[int, "FrameType | None"], object]

_STOPPING: Final = [number for number in Signals if number.name in ("SIGINT", "SIGTERM", "SIGHUP")]

_DIGITS: Final = 3
"""Decimals of a shift: a strip that is stored and read back is the same strip."""

Solution = TypeVar("Solution")


@dataclass(frozen=True, slots=True)
class Item:
    """A closed outline to be laid `count` times, each turned counter-clockwise by one of the quarter turns `turns`."""

    name: str
    outline: Path
    count: int = 1
    turns: tuple[int, ...] = (0, 2)


@dataclass(frozen=True, slots=True)
class Copy:
    """Where one copy of an item lies: turned round the origin by so many quarter turns, then shifted."""

    name: str
    turn: int
    x: float
    y: float

    @property
    def motion(self) -> Motion:
        """The motion from where the item is drawn to where it lies."""
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[self.turn % 4]
        return Motion(c, s, -s, c, self.x, self.y)


@dataclass(frozen=True)
class Packed:
    """Items on a strip that begins at y = 0."""

    items: tuple[Item, ...]
    width: float
    copies: tuple[Copy, ...]

    @cached_property
    def length(self) -> float:
        """How much of the strip is taken, in mm."""
        return max((top for _, _, _, top in self._bounds()), default=0.0)

    @property
    def density(self) -> float:
        """The area of the items over that of the strip taken, 0 to 1."""
        return float(sum(polygon.area for polygon in self.polygons)) / (self.width * self.length)

    @cached_property
    def polygons(self) -> tuple[shapely.Polygon, ...]:
        """The outlines where they lie, within `FLAT_TOLERANCE` of the true ones, in the order of the copies."""
        import shapely  # noqa: PLC0415 - slow to import, and only laying out needs it

        outlines = {item.name: item.outline for item in self.items}
        return tuple(
            shapely.Polygon(outlines[copy.name].moved(copy.motion).array(tolerance=FLAT_TOLERANCE))
            for copy in self.copies
        )

    def _bounds(self) -> Iterator[tuple[float, float, float, float]]:
        outlines = {item.name: item.outline for item in self.items}
        for copy in self.copies:
            yield outlines[copy.name].moved(copy.motion).bounds


def pack_strip(
    items: Sequence[Item],
    width: float,
    *,
    gap: float = 0.0,
    seconds: int = 10,
    workers: int | None = None,
    seed: int = 1,
) -> Packed:
    """Search for `seconds` on so many `workers` (all processors if None) for the shortest strip of that width.

    `gap` is kept between any two items, not at the edges of the strip. `seed` sets out on another search, but does not
    make one repeat itself. What is found has passed `check_packed`.

    Raises:
        DraftError: spyrrow is not installed.
        GeometryError: no item, one wider than the strip, or an engine that fails or breaks the rules.
    """
    check_fitting(items, width)
    packed = _flush(Packed(tuple(items), width, tuple(_search(items, width, gap, seconds, workers, seed))))
    check_packed(packed, gap=gap)
    return packed


def check_fitting(items: Sequence[Item], width: float) -> None:
    """See that there are items, and that each fits across the strip.

    Raises:
        GeometryError: no item, or one wider than the strip.
    """
    if not items:
        raise GeometryError("strip: there is nothing to lay out; give one item or more")
    for item in items:
        if not fitting(item, width):
            widths = " or ".join(f"{_across(item, turn):.1f}" for turn in sorted({turn % 2 for turn in item.turns}))
            raise GeometryError(f"{item.name}: it is {widths} mm wide and the strip {width:.1f} mm; give a wider one")


def fitting(item: Item, width: float) -> list[int]:
    """The turns in which an item fits across the strip."""
    return [turn for turn in item.turns if _across(item, turn) <= width + PLAY / 2]


def _across(item: Item, turn: int) -> float:
    left, low, right, high = item.outline.bounds
    return high - low if turn % 2 else right - left


def _search(
    items: Sequence[Item], width: float, gap: float, seconds: int, workers: int | None, seed: int
) -> Iterator[Copy]:
    """The engine's strip lies on its side: its x is our y, and its y runs from our right edge to the left."""
    try:
        import spyrrow  # noqa: PLC0415 - an extra, and slow to import
    except ImportError:
        raise DraftError(
            "lay plan: it needs the strip-packing engine spyrrow, which is not installed; "
            'run pip install "shirrline[lay]"'
        ) from None
    apart = max(0.0, gap - 2 * (CLEAR - PLAY))  # the outlines that are searched with keep the rest, even when set back
    margin = apart + CLEAR + PLAY  # the engine keeps apart from the edges of the strip as well
    seen = [
        spyrrow.Item(str(number), _seen(item), item.count, [90.0 * turn for turn in fitting(item, width)])
        for number, item in enumerate(items)
    ]
    settings = spyrrow.StripPackingConfig(
        min_items_separation=apart or None,
        total_computation_time=seconds,
        num_workers=workers,
        seed=seed,
    )
    instance = spyrrow.StripPackingInstance("lay", width + 2 * margin, seen)
    for placed in _heeded(lambda: instance.solve(settings)).placed_items:
        name, turn = items[int(placed.id)].name, round(placed.rotation / 90)
        if abs(placed.rotation - 90 * turn) > 1e-3:
            raise GeometryError(f"{name}: the engine turned it by {placed.rotation} degrees")
        along, across = placed.translation
        yield Copy(name, turn % 4, width + margin - across, along)


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
        raise GeometryError(f"strip: the engine failed: {said}; please report it with the design") from None
    finally:
        for number, (handler, hearing) in ours.items():
            if getsignal(number) is hearing:  # else the handler itself has put another in its place
                signal(number, handler)
    if heard:
        raise heard[0]
    return found


def _seen(item: Item) -> list[tuple[float, float]]:
    """The outline as the engine is given it: grown, simplified, no wider than it must be, in the engine's axes."""
    import shapely  # noqa: PLC0415

    true = shapely.Polygon(item.outline.array(tolerance=FLAT_TOLERANCE))
    if not true.is_valid:
        raise GeometryError(f"{item.name}: its outline crosses itself; it cannot be laid out")
    left, low, right, high = true.bounds
    grown = true.buffer(GROWN, join_style="mitre").simplify(SIMPLIFIED)
    clipped = shapely.intersection(grown, shapely.box(left - CLEAR, low - CLEAR, right + CLEAR, high + CLEAR))
    seen = max(shapely.get_parts(clipped), key=lambda part: part.area)
    if not seen.contains(true):
        raise GeometryError(f"{item.name}: its outline cannot be simplified within {SIMPLIFIED} mm")
    return [(y, -x) for x, y in seen.exterior.coords[:-1]]


def _flush(packed: Packed) -> Packed:
    """The items from y = 0, what lies a hair over the strip's edge set on it, and shifts rounded."""
    bounds = list(packed._bounds())
    start = min(bottom for _, bottom, _, _ in bounds)
    copies = []
    for copy, (left, _, right, _) in zip(packed.copies, bounds, strict=True):
        aside = max(0.0, -left) or min(0.0, packed.width - right)
        if abs(aside) > 2 * PLAY:
            aside = 0.0  # more than a hair: left where it is, to be refused
        copies.append(replace(copy, x=round(copy.x + aside, _DIGITS), y=round(copy.y - start, _DIGITS)))
    return replace(packed, copies=tuple(sorted(copies, key=lambda copy: (copy.y, copy.x, copy.name))))


def check_packed(packed: Packed, *, gap: float = 0.0) -> None:
    """See that every copy is there, as it may be turned, inside the strip, and clear of all others by `gap`.

    Raises:
        GeometryError: the first rule that is broken, and by which items.
    """
    wanted = Counter({item.name: item.count for item in packed.items})
    there = Counter(copy.name for copy in packed.copies)
    for name in wanted | there:
        if wanted[name] != there[name]:
            raise GeometryError(f"{name}: it is laid {there[name]} times and must be laid {wanted[name]} times")
    turns = {item.name: item.turns for item in packed.items}
    for copy in packed.copies:
        if copy.turn not in turns[copy.name]:
            raise GeometryError(f"{copy.name}: it is turned by {90 * copy.turn} degrees, and may not be")
    _check_inside(packed)
    _check_apart(packed, gap)


def _check_inside(packed: Packed) -> None:
    hair = 2 * 10**-_DIGITS
    for copy, (left, bottom, right, _) in zip(packed.copies, packed._bounds(), strict=True):
        beyond = max(-left, right - packed.width, -bottom)
        if beyond > hair:
            raise GeometryError(f"{copy.name}: it lies {beyond:.3f} mm outside the strip")


def _check_apart(packed: Packed, gap: float) -> None:
    import shapely  # noqa: PLC0415

    polygons = packed.polygons
    tree = shapely.STRtree(polygons)
    pairs = tree.query(polygons, predicate="dwithin", distance=gap) if gap else tree.query(polygons)
    for one, other in pairs.T.tolist():
        if one >= other:
            continue
        names = f"{packed.copies[one].name} and {packed.copies[other].name}"
        shared = polygons[one].intersection(polygons[other]).area
        if shared > MOST_OVERLAP:
            raise GeometryError(f"{names}: they overlap by {shared:.3f} mm²")
        between = polygons[one].distance(polygons[other])
        if between < gap - 2 * FLAT_TOLERANCE:
            raise GeometryError(f"{names}: they lie {between:.2f} mm apart, and must keep {gap:g} mm")
