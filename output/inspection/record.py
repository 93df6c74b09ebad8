"""What a PDF of ours says of itself: its pages in order with a digest of each, its squares, layers and drawings.

It stands in the file as private data of the program that made it (a page-piece dictionary, ISO 32000-1, 14.5), as JSON
in a stream of its own. What is told of a page's lines is noted as they are drawn; digests are of the finished file, so
`output.inspection.pdf` can hold a file against what was meant and against what was written. Lengths in mm, y up.

It is no signature: whoever has this program can write a record to any file. It tells whether a file is the one that
was written, as a check sum does.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from math import fsum
from typing import Any, Final

from drafting.point import Point
from drafting.role import Role
from drafting.units import INCH
from output.drawing.sheet import Stroke, Text
from output.inspection.pdf_objects import PdfError, PdfFile, Stream, spelled
from output.words import text as words

CREATOR: Final = "shirrline"
"""What made a file, as it tells every reader."""

SCHEMA: Final = 1
KEY: Final = "Shirrline"

LONGEST: Final = 4_000_000
"""Bytes of a record; that of a hundred pages has fifty thousand."""

TO_PRINT, TO_PROJECT, TO_READ = "pattern to print", "pattern to project", "matter to read"
"""Kinds of files: only the first two are in real size."""

PLACED: Final = 0.02
"""mm; how far a thing may be from where the record has it: rounding of the numbers in the file."""

ROUNDED: Final = 7e-4
"""mm; how far each coordinate may be rounded: files have seven figures, and pages are shorter than 10 m."""

_SIZE: Final = re.compile(r"(\d+(?:\.\d+)?) (mm|in) × \1 \2")

Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


def kind_of(keywords: str, subject: str) -> str:
    """What a file is for, by what it says of itself to every reader."""
    if words.REAL_SIZE not in keywords:
        return TO_READ
    return TO_PROJECT if subject == words.PROJECTION_SUBJECT else TO_PRINT


@dataclass(frozen=True, slots=True)
class Shown:
    """A stored drawing shown on a page, moved by (x, y) and clipped, if it is."""

    drawing: str
    x: float
    y: float
    clip: Box | None = None


@dataclass(frozen=True, slots=True)
class Tally:
    """How many things are drawn, how many of them filled, how many points they have, the sums of those, and their box.

    Of a path all points count, those that bend its curves included; of a text, the one where it begins.
    """

    count: int = 0
    fills: int = 0
    points: int = 0
    x: float = 0.0
    y: float = 0.0
    box: Box | None = None

    def like(self, other: Tally) -> bool:
        """Whether two are of the same things, one of them as a file's rounded numbers tell."""
        if (self.count, self.fills, self.points) != (other.count, other.fills, other.points):
            return False
        slack = PLACED + ROUNDED * self.points
        return max(abs(self.x - other.x), abs(self.y - other.y)) <= slack and near(self.box, other.box)


NOTHING: Final = Tally()


@dataclass(slots=True)
class PageRecord:
    """One page: its size, what a reader calls it, the drawings it shows, the lines and texts drawn on it directly.

    `squares` are calibration squares: left, bottom and what their side says. `layers` are those that its content is
    on, part by part.
    """

    width: float
    height: float
    label: str = ""
    sha256: str = ""
    shows: list[Shown] = field(default_factory=list)
    lines: Tally = NOTHING
    texts: Tally = NOTHING
    squares: list[tuple[float, float, float]] = field(default_factory=list)
    layers: list[tuple[str, ...]] = field(default_factory=list)


@dataclass(slots=True)
class Record:
    """All that a file says of itself; `about` are the words that every reader shows of it, `drawings` stored lines."""

    kind: str
    about: dict[str, str] = field(default_factory=dict)
    pages: list[PageRecord] = field(default_factory=list)
    drawings: dict[str, Tally] = field(default_factory=dict)
    heading: str = ""
    layers: list[str] = field(default_factory=list)
    sha256: str = ""

    def told(self) -> dict[str, Any]:
        """The record as it stands in a file, as plain values; lengths to a thousandth of a mm."""
        return {
            "schema": SCHEMA,
            "kind": self.kind,
            "about": self.about,
            "pages": [
                {
                    "size": _rounded(page.width, page.height),
                    "label": page.label,
                    "sha256": page.sha256,
                    "shows": [[one.drawing, *_rounded(one.x, one.y, *(one.clip or ()))] for one in page.shows],
                    "lines": _told(page.lines),
                    "texts": _told(page.texts),
                    "squares": [_rounded(*square) for square in page.squares],
                    "layers": [[self.layers.index(name) for name in names] for names in page.layers],
                }
                for page in self.pages
            ],
            "drawings": {name: _told(tally) for name, tally in self.drawings.items()},
            "heading": self.heading,
            "layers": self.layers,
            "sha256": self.sha256,
        }


class RecordError(PdfError):
    """A record that tells nothing to hold a file against."""


class _Points:
    """A sink that keeps all the points of what is drawn on it, those that bend curves included."""

    def __init__(self) -> None:
        self.found: list[Point] = []
        self.move_to = self.line_to = self.found.append

    def curve_to(self, control1: Point, control2: Point, end: Point) -> None:
        self.found += (control1, control2, end)

    def close(self) -> None:
        """Adds no point."""


class Notes:
    """The record of a page or a stored drawing in the making, from what is drawn, `lift` mm higher than it is told."""

    def __init__(self) -> None:
        self.lift = 0.0
        self.layers: list[tuple[str, ...]] = []
        self._count = 0
        self._fills = 0
        self._places: list[tuple[float, float]] = []
        self._texts: list[tuple[float, float]] = []
        self._squares: list[Box] = []
        self._said: list[tuple[float, float, float]] = []

    def draw(self, strokes: Iterable[Stroke]) -> None:
        points = _Points()
        for stroke in strokes:
            self._count += 1
            self._fills += stroke.filled
            stroke.path.draw(points)
            if stroke.role is Role.SQUARE:
                self._squares.append(self._lifted(stroke.path.bounds))
        lift = self.lift
        self._places += [(point.x, point.y + lift) for point in points.found]

    def write(self, text: Text, x: float, y: float) -> None:
        """A text at (x, y)."""
        self._texts.append((x, y + self.lift))
        if side := said_size(text.text):
            self._said.append((x, y + self.lift, side))

    def show(self, drawing: str, shift: tuple[float, float], clip: Box | None) -> Shown:
        """A stored drawing, shown moved by `shift`."""
        x, y = shift
        return Shown(drawing, x, y + self.lift, self._lifted(clip) if clip else None)

    def _lifted(self, box: Box) -> Box:
        left, bottom, right, top = box
        return left, bottom + self.lift, right, top + self.lift

    @property
    def lines(self) -> Tally:
        return tally(self._count, self._fills, self._places)

    @property
    def texts(self) -> Tally:
        return tally(len(self._texts), 0, self._texts)

    @property
    def squares(self) -> list[tuple[float, float, float]]:
        found = ((said, smallest_round(x, y, self._squares)) for x, y, said in self._said)
        return [(box[0], box[1], said) for said, box in found if box]


def tally(count: int, fills: int, points: Sequence[tuple[float, float]]) -> Tally:
    """What is drawn, from all its points."""
    if not points:
        return Tally(count, fills)
    xs, ys = zip(*points, strict=True)
    return Tally(count, fills, len(points), fsum(xs), fsum(ys), (min(xs), min(ys), max(xs), max(ys)))


def said_size(text: str) -> float:
    """The side of a calibration square that a text tells, in mm; 0 for another text."""
    match = _SIZE.fullmatch(text.strip()) if " × " in text else None
    return float(match[1]) * (INCH if match[2] == "in" else 1.0) if match else 0.0


def smallest_round(x: float, y: float, boxes: Iterable[Box]) -> Box | None:
    """The smallest of the boxes round a point."""
    inside = (box for box in boxes if box[0] < x < box[2] and box[1] < y < box[3])
    return min(inside, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]), default=None)


def around(boxes: Iterable[Box]) -> Box | None:
    """The box round others."""
    sides = list(zip(*boxes, strict=True))
    return (min(sides[0]), min(sides[1]), max(sides[2]), max(sides[3])) if sides else None


def near(one: Box | None, other: Box | None) -> bool:
    """Whether two boxes are one, but for rounding."""
    if one is None or other is None:
        return one is other
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= PLACED


def _told(one: Tally) -> list[float]:
    return [one.count, one.fills, one.points, *_rounded(one.x, one.y, *(one.box or ()))]


def _rounded(*lengths: float) -> list[float]:
    return [round(length, 3) + 0.0 for length in lengths]


def json_of(told: Mapping[str, Any]) -> bytes:
    return json.dumps(told, separators=(",", ":"), sort_keys=True).encode()


_CATALOG: Final = ("Lang", "PageMode", "ViewerPreferences", "OCProperties")


def whole_digest(file: PdfFile, record: Record) -> str:
    """What a file comes to: its record, how a reader shows it, and its layers' states."""
    return digest_of(file, record.told())


def digest_of(file: PdfFile, told: Mapping[str, Any]) -> str:
    shown = {key: file.catalog[key] for key in _CATALOG if key in file.catalog}
    return sha256(json_of({**told, "sha256": ""}) + file.digest(shown)).hexdigest()


def record_of(file: PdfFile) -> Record | None:
    """The record that a file has in it, None in one without.

    Raises:
        RecordError: it has one that tells nothing, or is of a schema that this version does not know.
        PdfError: it cannot be read.
    """
    pieces = file.get(file.catalog.get("PieceInfo"))
    own = file.get(pieces.get(KEY)) if isinstance(pieces, dict) else None
    stream = file.get(own.get("Private")) if isinstance(own, dict) else None
    if not isinstance(stream, Stream):
        return None
    try:
        raw = file.unpacked(stream)
        if len(raw) > LONGEST:
            raise RecordError(f"its description of itself is longer than {LONGEST} bytes")
        said = json.loads(raw, parse_constant=_no_number)
        if said["schema"] != SCHEMA:
            raise RecordError("its description of itself is of another version of this program")
        layers = [str(layer) for layer in said["layers"]]
        pages = [
            PageRecord(
                float(page["size"][0]),
                float(page["size"][1]),
                str(page["label"]),
                str(page["sha256"]),
                [Shown(str(name), float(x), float(y), _box(clip)) for name, x, y, *clip in page["shows"]],
                _tally(page["lines"]),
                _tally(page["texts"]),
                [_square(*square) for square in page["squares"]],
                [tuple(layers[int(number)] for number in numbers) for numbers in page["layers"]],
            )
            for page in said["pages"]
        ]
        drawings = {str(name): _tally(one) for name, one in said["drawings"].items()}
        about = {str(key): str(value) for key, value in said["about"].items()}
        return Record(str(said["kind"]), about, pages, drawings, str(said["heading"]), layers, str(said["sha256"]))
    except (ValueError, TypeError, LookupError, AttributeError, RecursionError) as error:
        raise RecordError(f"its description of itself is damaged: {error}") from None


def _box(sides: Any) -> Box | None:
    if not sides:
        return None
    left, bottom, right, top = map(float, sides)
    return left, bottom, right, top


def _square(left: float, bottom: float, side: float) -> tuple[float, float, float]:
    return float(left), float(bottom), float(side)


def _tally(told: Sequence[float]) -> Tally:
    count, fills, points, x, y, *box = told
    return Tally(int(count), int(fills), int(points), float(x), float(y), _box(box))


def info_of(file: PdfFile) -> dict[str, str]:
    """The words about a file, by their keys."""
    info = file.get(file.trailer.get("Info"))
    found = {key: file.get(value) for key, value in info.items()} if isinstance(info, dict) else {}
    return {key: spelled(value) if isinstance(value, bytes) else str(value) for key, value in found.items()}


def _no_number(said: str) -> float:
    raise ValueError(f"{said} is no number")
