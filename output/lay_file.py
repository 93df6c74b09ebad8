"""The lay file beside a design: lays that were found, by what they are lays of, so that none is searched for twice.

The engine stops on the clock and never finds quite the same lay again; what is published must be, so the placements
are kept. A lay is known by the SHA-256 of everything it depends on: the pieces' outlines, the cloth, the rules.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from blocks.cloth import Cloth
from blocks.lay import Laid, LayPlan, LayRules, Search, lay_pieces, plan_of
from drafting.curve import Line, Segment
from drafting.errors import GeometryError, OutputError
from drafting.piece import Piece
from drafting.point import Point
from output.files import write_all

SCHEMA: Final = 1
DIGITS: Final = 3
"""Decimals of the mm that outlines are compared in."""


@dataclass(frozen=True, slots=True)
class StoredLay:
    """A lay as it stands in the file, the seconds it was searched for, and a remark for a reader."""

    laid: tuple[Laid, ...]
    seconds: int
    about: str


def lay_file_of(design: str | Path) -> Path:
    """Where the lays of a design file are kept.

    >>> lay_file_of("samples/design.toml").as_posix()
    'samples/design.lays.json'
    """
    return Path(design).with_suffix(".lays.json")


def lay_key(pieces: Sequence[Piece], cloth: Cloth, rules: LayRules) -> str:
    """The digest of what a lay depends on; neither the size's label nor a piece's marks are part of it."""
    content = {
        "schema": SCHEMA,
        "cloth": [cloth.lay.value, *(_rounded(one) for one in (cloth.selvedge, cloth.usable))],
        "gap": _rounded(rules.gap),
        "one_way": rules.one_way,
        "pieces": [_content(piece) for piece in pieces],
    }
    return sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _content(piece: Piece) -> list[object]:
    outline = [
        [_rounded(number) for corner in _corners(segment) for number in (corner.x, corner.y)]
        for segment in piece.cut_line.segments
    ]
    return [piece.name, piece.cut_count, piece.mirrored, outline]


def _corners(segment: Segment) -> tuple[Point, ...]:
    if isinstance(segment, Line):
        return segment.start, segment.end
    return segment.start, segment.control1, segment.control2, segment.end


def _rounded(number: float) -> float:
    return round(float(number), DIGITS) + 0.0


class LayFile:
    """The lays kept in one file. Each new lay is written at once: a run that is stopped loses one at most."""

    def __init__(self, path: str | Path) -> None:
        """Open a lay file; one that is not there yet is empty.

        Raises:
            OutputError: it cannot be read or is no lay file.
        """
        self.path = Path(path)
        self._lays = _read(self.path)

    def lay(
        self,
        pieces: Sequence[Piece],
        cloth: Cloth,
        *,
        rules: LayRules | None = None,
        search: Search | None = None,
        about: str = "",
    ) -> LayPlan:
        """The stored lay of these pieces, or one that is searched for and stored.

        A lay that was searched for less long than is asked now is searched for again; the shorter of both is kept.

        Raises:
            OutputError: the file cannot be written, or what it holds is not a lay of these pieces.
            DraftError: see `blocks.lay.lay_pieces`.
        """
        rules, search = rules or LayRules(), search or Search()
        key = lay_key(pieces, cloth, rules)
        known = self._known(key, pieces, cloth, rules)
        if known and self._lays[key].seconds >= search.seconds:
            return known
        found = lay_pieces(pieces, cloth, rules=rules, search=search)
        best = known if known and known.length <= found.length else found
        self._store(key, StoredLay(best.laid, search.seconds, about))
        return best

    def _known(self, key: str, pieces: Sequence[Piece], cloth: Cloth, rules: LayRules) -> LayPlan | None:
        if key not in self._lays:
            return None
        try:
            return plan_of(pieces, cloth, self._lays[key].laid, rules=rules)
        except GeometryError as error:
            raise OutputError(
                f"{self.path}: lay {key[:12]} was changed since it was stored: {error}; delete it from the file"
            ) from None

    def _store(self, key: str, lay: StoredLay) -> None:
        self._lays = {**_read(self.path), **self._lays, key: lay}  # with what another run has stored meanwhile
        write_all(self.path.parent, {self.path.name: _written(self._lays)})


def _written(lays: dict[str, StoredLay]) -> bytes:
    """One placement a line, so that versions of a lay file can be compared."""
    entries = []
    for key, lay in sorted(lays.items()):
        places = ",\n".join(f"   {json.dumps(asdict(one))}" for one in lay.laid)
        head = f'"about": {json.dumps(lay.about)}, "seconds": {lay.seconds}, "laid": '
        entries.append(f'  "{key}": {{{head}[\n{places}]}}')
    listed = ",\n".join(entries)
    return f'{{"schema": {SCHEMA}, "lays": {{\n{listed}\n}}}}\n'.encode()


def _read(path: Path) -> dict[str, StoredLay]:
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise OutputError(f"{path}: cannot be read: {reason}; give a lay file of this program") from None
    try:
        document = json.loads(raw)
        if document["schema"] != SCHEMA:
            raise ValueError(f"its schema is {document['schema']!r}, not {SCHEMA}")
        return {key: _stored(entry) for key, entry in document["lays"].items()}
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError) as error:
        raise OutputError(f"{path}: it is no lay file: {error}; delete it, or give another") from None


def _stored(entry: dict[str, Any]) -> StoredLay:
    laid = tuple(
        Laid(str(one["piece"]), bool(one["mirrored"]), bool(one["turned"]), float(one["x"]), float(one["y"]))
        for one in entry["laid"]
    )
    return StoredLay(laid, int(entry["seconds"]), str(entry["about"]))
