"""Putting into a PDF just written the record of what is in it; see `output.inspection.record`.

The digests are of the finished file, read back: what reads it later reads the same.
"""

from __future__ import annotations

import zlib
from math import inf
from typing import Final

from drafting.errors import OutputError
from drafting.units import POINT
from output.inspection.pdf_content import ContentStream, box_of
from output.inspection.pdf_objects import Budget, PdfFile, PdfPage, TooMuchError
from output.inspection.record import KEY, PageRecord, Record, digest_of, info_of, json_of

_WRITTEN: Final = b"(D:20000101000000+00'00')"
"""A record must say when it was made; the same input gives the same bytes, so it says what the file's own date says."""


def sealed(data: bytes, record: Record) -> bytes:
    """A file just written, with its record in it, the digests filled in.

    A record without pages gets those of the file, as they are drawn there.

    Raises:
        OutputError: the file is longer than one that `output.inspection.pdf` would read.
    """
    try:
        return _sealed(PdfFile(data, Budget(inf)), record)
    except TooMuchError as error:
        raise OutputError(f"page: the file would be too long to be inspected: {error}; print fewer at once") from None


def _sealed(file: PdfFile, record: Record) -> bytes:
    record.about = info_of(file)
    if not record.pages:
        content = ContentStream(file)
        record.pages = [_read(file, content, page) for page in file.pages()]
    for page, digest in zip(record.pages, file.page_digests(), strict=True):
        page.sha256 = digest
    told = record.told()
    return _with_record(file, json_of({**told, "sha256": digest_of(file, told)}))


def _read(file: PdfFile, content: ContentStream, page: PdfPage) -> PageRecord:
    left, bottom, right, top = box_of(page.entries["MediaBox"])
    drawn = content.page(file.content(page), page.entries.get("Resources"), POINT)
    told = PageRecord((right - left) * POINT, (top - bottom) * POINT)
    told.lines, told.texts, told.squares, told.layers = drawn.lines, drawn.texts, drawn.corners, drawn.marks
    return told


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
