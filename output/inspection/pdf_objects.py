"""A PDF as it stands: its objects and a digest of what each comes to. Nothing is mended and nothing is passed over.

The syntax is that of ISO 32000-1, 7.2 to 7.5: cross-reference tables and streams, object streams, earlier revisions,
and filters that lose nothing. What is damaged or ambiguous, so that two readers could see two things in it, is refused;
so is what would take too long or too much memory, by bounds that are held at every step.

A digest tells what an object and all that it refers to come to, whatever their numbers, order, and compression.
"""

from __future__ import annotations

import base64
import binascii
import re
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from time import monotonic
from typing import Any, Final

SECONDS: Final = 20.0
"""The last resort on a busy machine: a file of a hundred pages is read in one, and one at every other bound in ten."""

LARGEST: Final = 64_000_000
"""Bytes of a file, and of one stream when it is unpacked; a pattern has a few hundred thousand."""

LARGEST_ALL: Final = 4 * LARGEST
"""Bytes of all streams when they are unpacked."""

MOST_OBJECTS: Final = 100_000
DEEPEST: Final = 40
"""Arrays and dictionaries within one another, objects that refer to one another, revisions, nodes of the page tree."""


class PdfError(Exception):
    """What a file has that keeps it from being read."""


class TooMuchError(PdfError):
    """Reading on would take too long, or too much memory."""


class Name(str):
    """A PDF name, without its slash."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to the object of that number."""

    number: int


@dataclass(frozen=True, slots=True, eq=False)
class Stream:
    """A dictionary and the bytes that follow it, as they are in the file."""

    entries: dict[str, Any]
    raw: bytes


class Budget:
    """How much longer a file may be worked on."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self._end = monotonic() + seconds
        self._bytes = LARGEST_ALL
        self._seconds = seconds

    def go_on(self) -> None:
        """See that there is time left.

        Raises:
            PdfError: there is none.
        """
        if monotonic() > self._end:
            raise TooMuchError(f"it takes longer than {self._seconds:g} s to read")

    def unpack(self, size: int) -> None:
        """Count unpacked bytes.

        Raises:
            PdfError: there are too many.
        """
        self._bytes -= size
        if size > LARGEST or self._bytes < 0:
            raise TooMuchError(f"it unpacks to more than {LARGEST} bytes in a stream, or {LARGEST_ALL} in all")


# Atomic groups and possessive repeats: however a file is made, each byte is looked at once.
_TOKEN: Final = re.compile(
    rb"(?>[\0\t\n\f\r ]++|%[^\r\n]*+)*+"
    rb"(?>(?P<ref>\d{1,10}[\0\t\n\f\r ]++\d{1,5}[\0\t\n\f\r ]++R(?![^\0\t\n\f\r ()<>\[\]{}/%]))"
    rb"|(?P<number>[+-]?+(?>\d++(?>\.\d*+)?+|\.\d++)(?![^\0\t\n\f\r ()<>\[\]{}/%]))"
    rb"|/(?P<name>[^\0\t\n\f\r ()<>\[\]{}/%]*+)"
    rb"|\((?P<text>(?>[^()\\]++|\\.)*+)\)"
    rb"|(?P<sign><<|>>|\[|\])"
    rb"|<(?P<hex>[0-9A-Fa-f\0\t\n\f\r ]*+)>"
    rb"|(?P<word>[^\0\t\n\f\r ()<>\[\]{}/%]++)"
    rb"|(?P<nested>\())",
    re.DOTALL,
)
_SPACE: Final = b"\0\t\n\f\r "
_ESCAPE: Final = re.compile(rb"\\(?>([0-7]{1,3})|(\r\n|.))|\r\n?", re.DOTALL)
_ESCAPED: Final = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_NAMED: Final = re.compile(rb"#([0-9A-Fa-f]{2})")
_WORDS: Final = {b"true": True, b"false": False, b"null": None}
_LONGEST_NUMBER: Final = 24


class Lexer:
    """Reads values one after another from bytes."""

    def __init__(self, data: bytes, at: int = 0) -> None:
        self.data = data
        self.at = at

    def token(self) -> tuple[str, bytes] | None:
        """The kind and the bytes of the next token, None at the end."""
        found = _TOKEN.match(self.data, self.at)
        if found is None:
            rest = self.data[self.at :].lstrip(_SPACE)
            if rest and not rest.startswith(b"%"):
                raise PdfError(f"it has {rest[:12]!r} where a value should be")
            return None
        self.at = found.end()
        kind = str(found.lastgroup)
        if kind == "nested":
            return "text", self._nested()
        return kind, found[kind]

    def _nested(self) -> bytes:
        """A string that has brackets inside it, from behind its first."""
        depth, begin = 1, self.at
        for found in re.compile(rb"\\.|[()]", re.DOTALL).finditer(self.data, begin):
            depth += {b"(": 1, b")": -1}.get(found[0], 0)
            if not depth:
                self.at = found.end()
                return self.data[begin : found.start()]
        raise PdfError("it has a string without an end")

    def value(self) -> Any:
        """The next value; a bare word comes as a `Word`."""
        stack: list[list[Any]] = []
        signs: list[bytes] = []
        while True:
            token = self.token()
            if token is None:
                raise PdfError("it ends within a value")
            kind, raw = token
            if kind == "sign":
                if raw in (b"<<", b"["):
                    if len(stack) >= DEEPEST:
                        raise PdfError(f"it has more than {DEEPEST} values within one another")
                    stack.append([])
                    signs.append(raw)
                    continue
                if not signs or (signs.pop() == b"<<") != (raw == b">>"):
                    raise PdfError("it has brackets that do not pair")
                inside = stack.pop()
                value: Any = _dictionary(inside) if raw == b">>" else inside
            else:
                value = _VALUES[kind](raw)
            if not stack:
                return value
            if isinstance(value, Word):
                raise PdfError(f"it has {str(value)[:20]!r} within a value")
            stack[-1].append(value)


class Word(str):
    """A bare word: an operator, or a keyword of a file's structure."""

    __slots__ = ()


def _dictionary(items: Sequence[Any]) -> dict[str, Any]:
    if len(items) % 2:
        raise PdfError("it has a key without a value")
    keys = items[::2]
    if not all(type(key) is Name for key in keys):
        raise PdfError("it has a key that is no name")
    entries = dict(zip(map(str, keys), items[1::2], strict=True))
    if len(entries) < len(keys):
        raise PdfError("it has a key twice in one dictionary")
    return {key: value for key, value in entries.items() if value is not None}


def _reference(raw: bytes) -> Ref:
    number, generation, _ = raw.split()
    if int(generation):
        raise PdfError("it refers to an object of a later generation")
    return Ref(int(number))


def _number(raw: bytes) -> int | float:
    if len(raw) > _LONGEST_NUMBER:
        raise PdfError(f"it has a number of {len(raw)} digits")
    return float(raw) if b"." in raw else int(raw)


def _name(raw: bytes) -> Name:
    if b"#" in raw:
        raw = _NAMED.sub(lambda found: bytes.fromhex(found[1].decode()), raw)
    return Name(raw.decode("latin-1"))


def _text(raw: bytes) -> bytes:
    if b"\\" not in raw and b"\r" not in raw:
        return raw

    def plain(found: re.Match[bytes]) -> bytes:
        if found[1]:
            return bytes([int(found[1], 8) & 255])
        if found[2] is None:
            return b"\n"
        return b"" if found[2] in (b"\n", b"\r", b"\r\n") else _ESCAPED.get(found[2], found[2])

    return _ESCAPE.sub(plain, raw)


def hexadecimal(raw: bytes) -> bytes:
    """What hexadecimal digits stand for, an odd one followed by 0."""
    digits = raw.translate(None, _SPACE)
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode())


def _word(raw: bytes) -> Any:
    return _WORDS[raw] if raw in _WORDS else Word(raw.decode("latin-1"))


_VALUES: Final[Mapping[str, Any]] = {
    "ref": _reference,
    "number": _number,
    "name": _name,
    "text": _text,
    "hex": hexadecimal,
    "word": _word,
}


@dataclass(frozen=True, slots=True, eq=False)
class PdfPage:
    """A page: its number in the page tree, from 1, and its entries, with what it inherits and without its parent."""

    number: int
    entries: dict[str, Any]


class PdfFile:
    """The objects of a file, read when they are asked for.

    Raises:
        PdfError: the file is damaged, or reading it would exceed a bound.
    """

    def __init__(self, data: bytes, budget: Budget | None = None) -> None:
        self.budget = budget or Budget()
        self.data = data
        self._known: dict[int, Any] = {}
        self._streams: dict[int, tuple[Stream, bytes]] = {}
        self._digests: dict[int, bytes] = {}
        self._packed: dict[int, list[tuple[int, int]]] = {}
        self.where: dict[int, int | tuple[int, int] | None] = {}
        """Where each object is: its offset, or the object stream that it is in and its place there."""
        if len(data) > LARGEST:
            raise TooMuchError(f"it is longer than {LARGEST} bytes")
        if not data.startswith(b"%PDF-"):
            raise PdfError("it does not begin as a PDF does")
        end = re.search(rb"startxref[\r\n ]++(\d{1,10})[\r\n ]++%%EOF\s*+\Z", data[-256:])
        if end is None:
            raise PdfError("it does not end as a PDF does")
        self.trailer: dict[str, Any] = {}
        self._sections(int(end[1]))
        if "Encrypt" in self.trailer:
            return
        catalog = self.get(self.trailer.get("Root"))
        if not isinstance(catalog, dict):
            raise PdfError("it has no catalogue")
        self.catalog = catalog

    def _sections(self, at: int) -> None:
        """Read the cross-reference sections, the newest first: what it says of an object holds."""
        seen: set[int] = set()
        while True:
            if at in seen or len(seen) >= DEEPEST:
                raise PdfError("it has revisions without an end")
            seen.add(at)
            trailer = self._table(at) if self.data.startswith(b"xref", at) else self._xref_stream(at)
            if "XRefStm" in trailer:
                raise PdfError("it says in two ways where its objects are")
            if not self.trailer:
                self.trailer = trailer
            if "Prev" not in trailer:
                return
            at = _whole(trailer["Prev"], "the place of an earlier revision")

    def _table(self, at: int) -> dict[str, Any]:
        at += 4
        here: dict[int, int | tuple[int, int] | None] = {}
        while True:
            self.budget.go_on()
            head = re.compile(rb"\s*+(?>(\d{1,10}) ++(\d{1,10}) *+\r?\n?|(trailer))").match(self.data, at)
            if head is None:
                raise PdfError("its table of objects is damaged")
            at = head.end()
            if head[3]:
                found = Lexer(self.data, at).value()
                if not isinstance(found, dict):
                    raise PdfError("it has no trailer")
                self._add(here)
                return found
            first, count = int(head[1]), int(head[2])
            self._bounded(first + count)
            for number in range(first, first + count):
                entry = re.compile(rb"(\d{10}) (\d{5}) ([nf])[ \r\n]{1,2}").match(self.data, at)
                if entry is None:
                    raise PdfError("its table of objects is damaged")
                at = entry.end()
                self._note(here, number, int(entry[1]) if entry[3] == b"n" else None)

    def _xref_stream(self, at: int) -> dict[str, Any]:
        _, stream = self._at(at)
        if not isinstance(stream, Stream) or stream.entries.get("Type") != "XRef":
            raise PdfError("it has no table of objects where it says")
        entries = stream.entries
        widths = [_whole(width, "a width") for width in entries.get("W") or ()]
        if len(widths) != 3 or max(widths) > 8:
            raise PdfError("its table of objects is damaged")
        listed = self.unpacked(stream)
        index = [_whole(one, "an index") for one in entries.get("Index") or (0, _whole(entries.get("Size"), "a size"))]
        if len(index) % 2 or sum(index[1::2]) * sum(widths) != len(listed):
            raise PdfError("its table of objects is damaged")
        place = 0
        here: dict[int, int | tuple[int, int] | None] = {}
        for first, count in zip(index[::2], index[1::2], strict=True):
            self._bounded(first + count)
            for number in range(first, first + count):
                fields = []
                for width in widths:
                    fields.append(int.from_bytes(listed[place : place + width]))
                    place += width
                kind = fields[0] if widths[0] else 1
                known: dict[int, int | tuple[int, int]] = {1: fields[1], 2: (fields[1], fields[2])}
                self._note(here, number, known.get(kind))
        self._add(here)
        return entries

    def _note(
        self, here: dict[int, int | tuple[int, int] | None], number: int, place: int | tuple[int, int] | None
    ) -> None:
        if number in here:
            raise PdfError("its table of objects has one twice")
        here[number] = place

    def _add(self, here: Mapping[int, int | tuple[int, int] | None]) -> None:
        """Add what an older section says to what newer ones do."""
        self.where = {**here, **self.where}

    def offset(self, number: int) -> int:
        """The byte at which an object begins; all do somewhere in a file just written."""
        place = self.where[number]
        assert isinstance(place, int)
        return place

    def _bounded(self, numbers: int) -> None:
        if numbers > MOST_OBJECTS:
            raise TooMuchError(f"it has more than {MOST_OBJECTS} objects")

    def get(self, value: Any) -> Any:
        """A value, or the object that it refers to."""
        for _ in range(DEEPEST):
            if not isinstance(value, Ref):
                return value
            value = self._object(value.number)
        raise PdfError("it has references without an end")

    def _object(self, number: int) -> Any:
        if number not in self._known:
            self.budget.go_on()
            place = self.where.get(number)
            if place is None:
                return None
            self._known[number] = None  # an object whose length is in itself
            if isinstance(place, tuple):
                self._known[number] = self._within(number, *place)
            else:
                own, self._known[number] = self._at(place)
                if own != number:
                    raise PdfError(f"object {number} is not where its table says")
        return self._known[number]

    def _at(self, at: int) -> tuple[int, Any]:
        """The number and the value of the object at an offset."""
        head = re.compile(rb"\s*+(\d{1,10})\s++0{1,5}\s++obj").match(self.data, at)
        if head is None:
            raise PdfError(f"no object begins at byte {at}")
        lexer = Lexer(self.data, head.end())
        value = lexer.value()
        if isinstance(value, Word):
            raise PdfError(f"object {int(head[1])} has no value")
        end = lexer.token()
        if end == ("word", b"stream") and isinstance(value, dict):
            value = self._stream(value, lexer.at)
        elif end != ("word", b"endobj"):
            raise PdfError(f"object {int(head[1])} has no end")
        return int(head[1]), value

    def _stream(self, entries: dict[str, Any], at: int) -> Stream:
        at += 2 if self.data.startswith(b"\r\n", at) else 1
        if {"F", "FFilter", "FDecodeParms"} & entries.keys():
            raise PdfError("it keeps data in another file")
        size = _whole(self.get(entries.get("Length")), "the length of a stream")
        raw = self.data[at : at + size]
        if not re.compile(rb"(?>\r\n|\r|\n)?+endstream\s++endobj\b").match(self.data, at + size):
            raise PdfError("it has a stream that is longer or shorter than it says")
        return Stream(entries, raw)

    def _within(self, number: int, holder: int, place: int) -> Any:
        """An object that is kept in an object stream (7.5.7)."""
        if isinstance(self.where.get(holder), tuple):
            raise PdfError("it has object streams within one another")
        stream = self._object(holder)
        if not isinstance(stream, Stream) or stream.entries.get("Type") != "ObjStm":
            raise PdfError(f"object {number} is not where its table says")
        data = self.unpacked(stream)
        first = _whole(stream.entries.get("First"), "the start of an object stream")
        if holder not in self._packed:
            numbers = data[:first].split()
            if len(numbers) != 2 * _whole(stream.entries.get("N"), "the length of an object stream"):
                raise PdfError("it has an object stream that is damaged")
            known = [_whole(_number(one) if one.isdigit() else None, "a number") for one in numbers]
            self._packed[holder] = list(zip(known[::2], known[1::2], strict=True))
        listed = self._packed[holder]
        if place >= len(listed) or listed[place][0] != number:
            raise PdfError(f"object {number} is not where its table says")
        value = Lexer(data, first + listed[place][1]).value()
        if isinstance(value, Word):
            raise PdfError(f"object {number} has no value")
        return value

    def unpacked(self, stream: Stream) -> bytes:
        """The bytes of a stream, its filters undone."""
        known = self._streams.get(id(stream))
        if known is None:
            known = self._streams[id(stream)] = stream, self._unpack(stream)
        return known[1]

    def _unpack(self, stream: Stream) -> bytes:
        filters = _several(self.get(stream.entries.get("Filter")))
        given = _several(self.get(stream.entries.get("DecodeParms")))
        if len(filters) > 4:
            raise PdfError("it has a stream that is packed too many times")
        data = stream.raw
        for number, name in enumerate(filters):
            self.budget.go_on()
            data = _undone(str(self.get(name)), data)
            parameters = self.get(given[number]) if number < len(given) else None
            if isinstance(parameters, dict) and self.get(parameters.get("Predictor", 1)) != 1:
                data = self._predicted(data, {key: self.get(value) for key, value in parameters.items()})
        self.budget.unpack(len(data))
        return data

    def _predicted(self, data: bytes, parameters: Mapping[str, Any]) -> bytes:
        """Rows of bytes that were told by the row above (7.4.4.4): sub and up, as tables of objects use."""
        given = [_whole(parameters.get(key, usual), key) for key, usual in _PREDICTOR.items()]
        kind, columns = given[:2]
        if kind < 10 or given[2:] != [1, 8] or not 0 < columns <= 65536 or len(data) % (columns + 1):
            raise PdfError("it has a stream told in a way that is not read here")
        above, rows = bytes(columns), []
        for at in range(0, len(data), columns + 1):
            self.budget.go_on()
            way, row = data[at], bytearray(data[at + 1 : at + 1 + columns])
            if way == 1:
                for i in range(1, columns):
                    row[i] = (row[i] + row[i - 1]) & 255
            elif way == 2:
                row = bytearray((one + other) & 255 for one, other in zip(row, above, strict=True))
            elif way:
                raise PdfError("it has a stream told in a way that is not read here")
            above = bytes(row)
            rows.append(above)
        return b"".join(rows)

    def pages(self) -> list[PdfPage]:
        """The pages in order.

        Raises:
            PdfError: the page tree is damaged, has a node or a page twice, or counts its pages wrongly.
        """
        return self._leaves()[0]

    def _leaves(self) -> tuple[list[PdfPage], dict[int, int]]:
        root = self.catalog.get("Pages")
        if not isinstance(root, Ref):
            raise PdfError("it has no page tree")
        pages: list[PdfPage] = []
        numbers: dict[int, int] = {}
        seen: set[int] = set()
        waiting: list[tuple[Any, dict[str, Any], int]] = [(root, {}, 0)]
        while waiting:
            self.budget.go_on()
            ref, inherited, depth = waiting.pop()
            node = self.get(ref)
            if not isinstance(ref, Ref) or not isinstance(node, dict) or depth > DEEPEST:
                raise PdfError("its page tree is damaged")
            if ref.number in seen:
                raise PdfError(f"its page tree has one page or branch twice: page {len(pages) + 1}")
            seen.add(ref.number)
            own = {**inherited, **{key: node[key] for key in _INHERITED if key in node}}
            if node.get("Type") == "Pages":
                kids = self.get(node.get("Kids"))
                if not isinstance(kids, list):
                    raise PdfError("its page tree is damaged")
                waiting += [(kid, own, depth + 1) for kid in reversed(kids)]
            elif node.get("Type") == "Page":
                numbers[ref.number] = len(pages) + 1
                entries = {**own, **{key: value for key, value in node.items() if key != "Parent"}}
                pages.append(PdfPage(len(pages) + 1, entries))
            else:
                raise PdfError("its page tree is damaged")
        if self.get(self.get(root).get("Count")) != len(pages):
            raise PdfError("it counts its pages wrongly")
        return pages, numbers

    def page_digests(self) -> list[str]:
        """What each page comes to, with all that it shows: hexadecimal.

        Raises:
            PdfError: a page refers to itself, or to what cannot be read.
        """
        pages, numbers = self._leaves()
        digests = []
        for page in pages:
            content = Name(sha256(self.content(page)).hexdigest())
            usual = {"Rotate": 0, **page.entries, "Contents": content}
            digests.append(sha256(self.digest(usual, numbers)).hexdigest())
        return digests

    def content(self, page: PdfPage) -> bytes:
        """A page's content: its streams joined, as a reader does (7.8.2)."""
        found = self.get(page.entries.get("Contents"))
        streams = [self.get(one) for one in (found if isinstance(found, list) else [found] if found else [])]
        if not all(isinstance(one, Stream) for one in streams):
            raise PdfError(f"page {page.number} has content that is no stream")
        parts = []
        for one in streams:
            parts.append(self.unpacked(one).strip(_SPACE))
            self.budget.unpack(len(parts[-1]))  # one stream may stand there many times
        return b"\n".join(parts)

    def digest(self, value: Any, pages: Mapping[int, int] = {}, depth: int = 0) -> bytes:
        """What a value comes to: a short text for a plain one, the SHA-256 of its parts' digests for others.

        `pages` tells the numbers of the pages' objects: a reference to a page is no part of what has it.
        """
        if isinstance(value, Ref):
            if value.number in pages:
                return b"p%d;" % pages[value.number]
            if value.number not in self._digests:
                if depth > DEEPEST:
                    raise PdfError("it has objects that refer to one another without an end")
                self.budget.go_on()
                self._digests[value.number] = self.digest(self.get(value), pages, depth + 1)
            return self._digests[value.number]
        if isinstance(value, Stream):
            own = {key: one for key, one in value.entries.items() if key not in _PACKING}
            return b"S" + sha256(self.digest(own, pages, depth) + self.unpacked(value).strip(_SPACE)).digest()
        if isinstance(value, dict):
            parts = (_plain(Name(key)) + self.digest(value[key], pages, depth) for key in sorted(value))
            return b"D" + sha256(b"".join(parts)).digest()
        if isinstance(value, list):
            return b"A" + sha256(b"".join([self.digest(one, pages, depth) for one in value])).digest()
        return _plain(value)


_INHERITED: Final = ("Resources", "MediaBox", "CropBox", "Rotate")
"""What a page has from the branch it is on (table 30)."""

_PACKING: Final = frozenset(("Length", "Filter", "DecodeParms", "DL"))
_PREDICTOR: Final = {"Predictor": 1, "Columns": 1, "Colors": 1, "BitsPerComponent": 8}


def _plain(value: Any) -> bytes:
    """A plain value; numbers to five places, strings as the letters that they spell."""
    if value is None or isinstance(value, bool):
        return b"%s;" % str(value).encode()
    if isinstance(value, (int, float)):
        return b"n%s;" % repr(round(float(value), 5) + 0.0).encode()
    raw = spelled(value).encode("utf-8", "surrogatepass") if isinstance(value, bytes) else str(value).encode()
    return b"%s%d:%s" % (b"s" if isinstance(value, bytes) else b"/", len(raw), raw)


def spelled(raw: bytes) -> str:
    """A text string (7.9.2.2): UTF-16 or UTF-8 behind its mark, else PDFDocEncoding (annex D.2)."""
    if raw.startswith(b"\xfe\xff"):
        return raw[2:].decode("utf-16-be", "replace")
    if raw.startswith(b"\xef\xbb\xbf"):
        return raw[3:].decode("utf-8", "replace")
    return raw.decode("latin-1").translate(_PDF_DOC)


_PDF_DOC: Final = {
    **dict(enumerate("˘ˇˆ˙˝˛˚˜", 0x18)),
    **dict(enumerate("•†‡…—–ƒ⁄‹›−‰„“”‘’‚™ﬁﬂŁŒŠŸŽıłœšž", 0x80)),
    0xA0: "€",
}
"""Where that encoding is not Latin-1."""


def _several(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _whole(value: Any, what: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise PdfError(f"{what} is no whole number: {str(value)[:40]}")
    return value


def _undone(name: str, data: bytes) -> bytes:
    """One filter undone."""
    try:
        if name == "FlateDecode":
            unpacking = zlib.decompressobj()
            unpacked = unpacking.decompress(data, LARGEST + 1)
            if len(unpacked) > LARGEST:
                raise TooMuchError(f"it has a stream that unpacks to more than {LARGEST} bytes")
            if not unpacking.eof or unpacking.unused_data.strip(_SPACE):
                raise PdfError("it has a stream that is not whole")
            return unpacked
        if name == "ASCII85Decode":
            return base64.a85decode(data.strip(_SPACE).removesuffix(b"~>"), ignorechars=_SPACE)
        if name == "ASCIIHexDecode":
            return hexadecimal(data.strip(_SPACE).removesuffix(b">"))
    except (zlib.error, binascii.Error, ValueError) as error:
        raise PdfError(f"it has a stream that is damaged: {error}") from None
    raise PdfError(f"it has a stream packed by {name[:40]}")
