"""The lay file beside a design: lays that were found, by what they are lays of, so that none is searched for twice.

The engine stops on the clock and never finds quite the same lay again; what is published must be, so the placements
are kept. A lay is known by the SHA-256 of everything it depends on: the pieces' outlines, the cloth, the rules.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final, TypeVar

from blocks.cloth import Cloth
from blocks.lay import Laid, LayPlan, LayRules, Search, lay_pieces, plan_of
from blocks.quantity import finite, shown
from drafting.errors import GeometryError, OutputError
from drafting.piece import Piece
from output.system.files import replacing, settle_beside
from output.system.reading import read_json, reason_of

SCHEMA: Final = 1
DIGITS: Final = 3
"""Decimals of the mm that outlines are compared in."""

FARTHEST: Final = 1e6
"""mm from the start of a lay; no cloth is a kilometre long."""

Kind = TypeVar("Kind")

_KINDS: Final = {dict: "an object", list: "a list", str: "a text", bool: "true or false", int: "a whole number"}


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
        [_rounded(number) for point in segment.points() for number in (point.x, point.y)]
        for segment in piece.cut_line.segments
    ]
    return [piece.name, piece.cut_count, piece.mirrored, outline]


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
        settle_beside(self.path)
        self._lays = _read(self.path)
        self._writable = False

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
        self._check_writable()
        found = lay_pieces(pieces, cloth, rules=rules, search=search)
        with self._told(), replacing(self.path) as write:
            self._lays = {**self._lays, **_read(self.path)}  # with what another run has stored meanwhile
            known = self._known(key, pieces, cloth, rules)
            if known and self._lays[key].seconds >= search.seconds:
                return known
            best = known if known and known.length <= found.length else found
            self._lays[key] = StoredLay(best.laid, search.seconds, about)
            write(_written(self._lays))
        return best

    def _check_writable(self) -> None:
        """See that a lay can be stored, once, before it is searched for."""
        if not self._writable:
            with self._told(), replacing(self.path):
                self._writable = True

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Tell why the file cannot be written as an error of ours, with a remedy."""
        try:
            yield
        except BlockingIOError:
            raise OutputError(f"{self.path}: another run is writing it; wait until that ends") from None
        except (OSError, ValueError) as error:
            raise OutputError(
                f"{self.path}: cannot be written: {reason_of(error)}; name another file to keep lays in, by --lays FILE"
            ) from None

    def _known(self, key: str, pieces: Sequence[Piece], cloth: Cloth, rules: LayRules) -> LayPlan | None:
        if key not in self._lays:
            return None
        try:
            return plan_of(pieces, cloth, self._lays[key].laid, rules=rules)
        except GeometryError as error:
            raise OutputError(
                f"{self.path}: lay {key[:12]} was changed since it was stored: {error}; delete it from the file"
            ) from None


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
        path.stat()
    except FileNotFoundError:
        return {}
    except (OSError, ValueError):
        pass  # the reader says what is wrong with it
    document = read_json(path, "lay file")
    try:
        table = _expected(document, dict, "the file")
        if table.get("schema") != SCHEMA:
            raise ValueError(f"its schema is {shown(table.get('schema'))}, not {SCHEMA}")
        return {key: _stored(entry, key) for key, entry in _expected(table.get("lays"), dict, "lays").items()}
    except ValueError as error:
        raise OutputError(f"{path}: it is no lay file: {error}; delete it, or give another") from None


def _stored(entry: object, key: str) -> StoredLay:
    where = f"lay {key[:12]}"
    table = _expected(entry, dict, where)
    seconds = _expected(table.get("seconds"), int, f"{where}: seconds")
    about = _expected(table.get("about"), str, f"{where}: about")
    laid = [_laid(one, where) for one in _expected(table.get("laid"), list, f"{where}: laid")]
    return StoredLay(tuple(laid), seconds, about)


def _laid(one: object, where: str) -> Laid:
    table = _expected(one, dict, f"{where}: laid")
    places = [finite(table.get(name)) for name in ("x", "y")]
    x, y = (FARTHEST + 1 if place is None else place for place in places)
    if max(abs(x), abs(y)) > FARTHEST:
        raise ValueError(f"{where}: {shown(table.get('x'))}, {shown(table.get('y'))} is not a place on cloth, in mm")
    return Laid(
        _expected(table.get("piece"), str, f"{where}: piece"),
        _expected(table.get("mirrored"), bool, f"{where}: mirrored"),
        _expected(table.get("turned"), bool, f"{where}: turned"),
        x,
        y,
    )


def _expected(value: object, kind: type[Kind], where: str) -> Kind:
    """A value of the kind that a lay file has there; a truth value is no number."""
    if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
        raise ValueError(f"{where}: {shown(value)} is not {_KINDS[kind]}")
    return value
