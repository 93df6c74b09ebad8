"""What a PDF of ours says of itself: its pages in order with a digest of each, its squares, layers and drawings.

It stands in the file as private data of the program that made it (a page-piece dictionary, ISO 32000-1, 14.5), as JSON
in a stream of its own. What is told of a page's lines is noted as they are drawn; digests are of the finished file, so
`output.inspect` can hold a file against what was meant and against what was written. Lengths in mm, y up.

It is no signature: whoever has this program can write a record to any file. It tells whether a file is the one that
was written, as a check sum does.
"""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any, Final

from drafting.curve import Line
from drafting.path import Path
from drafting.units import INCH, POINT
from output import text as words
from output.pdf_objects import PdfError, PdfFile, Stream, spelled
from output.sheet import Stroke, Text
from output.wide_text import PROJECTION_SUBJECT

SCHEMA: Final = 1
KEY: Final = "Shirrline"

LONGEST: Final = 4_000_000
"""Bytes of a record; that of a hundred pages has fifty thousand."""

TO_PRINT, TO_PROJECT, TO_READ = "pattern to print", "pattern to project", "matter to read"
"""Kinds of files: only the first two are in real size."""

_WRITTEN: Final = b"(D:20000101000000+00'00')"
"""A record must say when it was made; the same input gives the same bytes, so it says what the file's own date says."""

_SIZE: Final = re.compile(r"(\d+(?:\.\d+)?) (mm|in) × \1 \2")

Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


def kind_of(keywords: str, subject: str) -> str:
    """What a file is for, by what it says of itself to every reader."""
    if words.REAL_SIZE not in keywords:
        return TO_READ
    return TO_PROJECT if subject == PROJECTION_SUBJECT else TO_PRINT


@dataclass(frozen=True, slots=True)
class Shown:
    """A stored drawing shown on a page, moved by (x, y) and clipped, if it is."""

    drawing: str
    x: float
    y: float
    clip: Box | None = None


@dataclass(slots=True)
class PageRecord:
    """One page: its size, what a reader calls it, its drawings, and the paths drawn on it directly with their box.

    `squares` are calibration squares: left, bottom and what their side says.
    """

    width: float
    height: float
    label: str = ""
    sha256: str = ""
    shows: list[Shown] = field(default_factory=list)
    paths: int = 0
    fills: int = 0
    box: Box | None = None
    squares: list[tuple[float, float, float]] = field(default_factory=list)


@dataclass(slots=True)
class DrawingRecord:
    """A stored drawing: how many paths it has, how many of them are filled, and their box, control points included."""

    paths: int
    fills: int
    box: Box


@dataclass(slots=True)
class Record:
    """All that a file says of itself."""

    kind: str
    pages: list[PageRecord] = field(default_factory=list)
    drawings: dict[str, DrawingRecord] = field(default_factory=dict)
    heading: str = ""
    layers: list[str] = field(default_factory=list)
    sha256: str = ""

    def told(self) -> dict[str, Any]:
        """The record as it stands in a file, as plain values; lengths to a thousandth of a mm."""
        return {
            "schema": SCHEMA,
            "kind": self.kind,
            "pages": [
                {
                    "size": _rounded(page.width, page.height),
                    "label": page.label,
                    "sha256": page.sha256,
                    "shows": [[one.drawing, *_rounded(one.x, one.y, *(one.clip or ()))] for one in page.shows],
                    "lines": [page.paths, page.fills, *_rounded(*(page.box or ()))],
                    "squares": [_rounded(*square) for square in page.squares],
                }
                for page in self.pages
            ],
            "drawings": {name: [one.paths, one.fills, *_rounded(*one.box)] for name, one in self.drawings.items()},
            "heading": self.heading,
            "layers": self.layers,
            "sha256": self.sha256,
        }


class RecordError(PdfError):
    """A record that tells nothing to hold a file against."""


class Notes:
    """The record of a page or a stored drawing in the making, from what is drawn, `lift` mm higher than it is told."""

    def __init__(self) -> None:
        self.lift = 0.0
        self.paths = 0
        self.fills = 0
        self._boxes: list[Box] = []
        self._squares: list[Box] = []
        self._said: list[tuple[float, float, float]] = []

    def draw(self, strokes: Iterable[Stroke]) -> None:
        for stroke in strokes:
            self.paths += 1
            self.fills += stroke.filled
            left, bottom, right, top = hull(stroke.path)
            box = (left, bottom + self.lift, right, top + self.lift)
            self._boxes.append(box)
            if not stroke.filled and _upright(stroke.path, (left, bottom, right, top)):
                self._squares.append(box)

    def write(self, text: Text, x: float, y: float) -> None:
        """A text at (x, y)."""
        if side := said_size(text.text):
            self._said.append((x, y + self.lift, side))

    def show(self, drawing: str, shift: tuple[float, float], clip: Box | None) -> Shown:
        """A stored drawing, shown moved by `shift`."""
        x, y = shift
        if clip:
            left, bottom, right, top = clip
            clip = (left, bottom + self.lift, right, top + self.lift)
        return Shown(drawing, x, y + self.lift, clip)

    @property
    def box(self) -> Box | None:
        """Round all paths."""
        return around(self._boxes)

    @property
    def squares(self) -> list[tuple[float, float, float]]:
        found = ((said, smallest_round(x, y, self._squares)) for x, y, said in self._said)
        return [(box[0], box[1], said) for said, box in found if box]


def said_size(text: str) -> float:
    """The side of a calibration square that a text tells, in mm; 0 for another text."""
    match = _SIZE.search(text) if " × " in text else None
    return float(match[1]) * (INCH if match[2] == "in" else 1.0) if match else 0.0


def smallest_round(x: float, y: float, boxes: Iterable[Box]) -> Box | None:
    """The smallest of the boxes round a point."""
    inside = (box for box in boxes if box[0] < x < box[2] and box[1] < y < box[3])
    return min(inside, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]), default=None)


def around(boxes: Iterable[Box]) -> Box | None:
    """The box round others."""
    sides = list(zip(*boxes, strict=True))
    return (min(sides[0]), min(sides[1]), max(sides[2]), max(sides[3])) if sides else None


def hull(path: Path) -> Box:
    """The box round a path's points, those that bend its curves included."""
    xs, ys = [path.start.x], [path.start.y]
    for segment in path.segments:
        points = (segment.end,) if isinstance(segment, Line) else (segment.control1, segment.control2, segment.end)
        for point in points:
            xs.append(point.x)
            ys.append(point.y)
    return min(xs), min(ys), max(xs), max(ys)


def _upright(path: Path, box: Box) -> bool:
    """Whether a path is an upright rectangle."""
    if len(path.segments) != 4 or not path.closed or not all(isinstance(one, Line) for one in path.segments):
        return False
    corners = {(round(one.end.x, 3), round(one.end.y, 3)) for one in path.segments}
    return corners == {(round(x, 3), round(y, 3)) for x in box[::2] for y in box[1::2]}


def _rounded(*lengths: float) -> list[float]:
    return [round(length, 3) + 0.0 for length in lengths]


def _json(told: Mapping[str, Any]) -> bytes:
    return json.dumps(told, separators=(",", ":"), sort_keys=True).encode()


def sealed(data: bytes, record: Record) -> bytes:
    """A file just written, with its record in it, the digests filled in.

    Pages that the record does not tell of are added to it, with their sizes.
    """
    file = PdfFile(data)
    if not record.pages:
        record.pages = [PageRecord(*page_size(page.entries)) for page in file.pages()]
    for page, digest in zip(record.pages, file.page_digests(), strict=True):
        page.sha256 = digest
    told = record.told()
    return _with_record(file, _json({**told, "sha256": _digest(file, told)}))


def page_size(entries: Mapping[str, Any]) -> tuple[float, float]:
    """Width and height of a page in mm, by its media box."""
    left, bottom, right, top = map(float, entries["MediaBox"])
    return (right - left) * POINT, (top - bottom) * POINT


def _with_record(file: PdfFile, said: bytes) -> bytes:
    """The file with one more object before its table, which its catalogue points to."""
    root, count = file.trailer["Root"].number, file.trailer["Size"]
    at = file.data.index(b"<<", file.offset(root)) + 2
    pointer = b"\n/PieceInfo << /%s << /LastModified %s /Private %d 0 R >> >>" % (KEY.encode(), _WRITTEN, count)
    packed = zlib.compress(said, 9)
    end = file.data.rindex(b"xref\n0 ", 0, file.data.rindex(b"startxref"))
    own = b"%d 0 obj\n<< /Filter /FlateDecode /Length %d >>\nstream\n%s\nendstream\nendobj\n" % (
        count,
        len(packed),
        packed,
    )
    body = file.data[:at] + pointer + file.data[at:end]
    offsets = [place + len(pointer) * (place > at) for place in map(file.offset, range(1, count))]
    rows = b"".join(b"%010d 00000 n \n" % place for place in (*offsets, len(body)))
    trailer = file.data[file.data.index(b"trailer", end) : file.data.rindex(b"startxref")]
    trailer = trailer.replace(b"/Size %d" % count, b"/Size %d" % (count + 1))
    table = b"xref\n0 %d\n0000000000 65535 f \n%s" % (count + 1, rows)
    return b"%s%s%s%sstartxref\n%d\n%%%%EOF\n" % (body, own, table, trailer, len(body) + len(own))


_CATALOG: Final = ("Lang", "PageMode", "ViewerPreferences", "OCProperties")
_INFO: Final = ("Title", "Author", "Subject", "Keywords", "Creator")


def whole_digest(file: PdfFile, record: Record) -> str:
    """What a file comes to: its record, the words about it, how a reader shows it, and its layers' states."""
    return _digest(file, record.told())


def _digest(file: PdfFile, told: Mapping[str, Any]) -> str:
    info = file.get(file.trailer.get("Info"))
    about = {key: file.get(info[key]) for key in _INFO if key in info} if isinstance(info, dict) else {}
    shown = {key: file.catalog[key] for key in _CATALOG if key in file.catalog}
    return sha256(_json({**told, "sha256": ""}) + file.digest(about) + file.digest(shown)).hexdigest()


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
        pages = [
            PageRecord(
                float(page["size"][0]),
                float(page["size"][1]),
                str(page["label"]),
                str(page["sha256"]),
                [Shown(str(name), float(x), float(y), _box(clip)) for name, x, y, *clip in page["shows"]],
                int(page["lines"][0]),
                int(page["lines"][1]),
                _box(page["lines"][2:]),
                [_square(*square) for square in page["squares"]],
            )
            for page in said["pages"]
        ]
        drawings = {
            str(name): DrawingRecord(int(paths), int(fills), _box(box) or _NOWHERE)
            for name, (paths, fills, *box) in said["drawings"].items()
        }
        layers = [str(layer) for layer in said["layers"]]
        return Record(str(said["kind"]), pages, drawings, str(said["heading"]), layers, str(said["sha256"]))
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise RecordError(f"its description of itself is damaged: {error}") from None


def _box(sides: Any) -> Box | None:
    if not sides:
        return None
    left, bottom, right, top = map(float, sides)
    return left, bottom, right, top


def _square(left: float, bottom: float, side: float) -> tuple[float, float, float]:
    return float(left), float(bottom), float(side)


_NOWHERE: Final[Box] = (0.0, 0.0, 0.0, 0.0)


def info_of(file: PdfFile) -> dict[str, str]:
    """The words about a file, by their keys."""
    info = file.get(file.trailer.get("Info"))
    found = {key: file.get(value) for key, value in info.items()} if isinstance(info, dict) else {}
    return {key: spelled(value) if isinstance(value, bytes) else str(value) for key, value in found.items()}


def _no_number(said: str) -> float:
    raise ValueError(f"{said} is no number")
