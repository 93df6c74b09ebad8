"""Our reader of PDF against pypdf, which shares no code with it, and against what it must refuse."""

from __future__ import annotations

import base64
import zlib
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

from nests import mid_nest
from output.inspection.pdf_objects import Budget, Lexer, Name, PdfError, PdfFile, Ref, Stream, TooMuchError, spelled
from spoilt import HARMLESS


@pytest.mark.parametrize("way", HARMLESS)
def test_every_object_is_what_pypdf_reads(way):
    data = HARMLESS[way](mid_nest().data)
    reader, file = PdfReader(BytesIO(data), strict=True), PdfFile(data)
    numbers = [number for number, place in file.where.items() if place is not None]
    assert len(numbers) > 40
    for number in numbers:
        theirs = reader.get_object(IndirectObject(number, 0, reader))
        ours = file.get(Ref(number))
        assert_same(ours, theirs, file)
    assert [page.entries["MediaBox"] for page in file.pages()] == [list(map(float, p.mediabox)) for p in reader.pages]


def assert_same(ours: Any, theirs: Any, file: PdfFile) -> None:
    if isinstance(theirs, IndirectObject):
        assert ours == Ref(theirs.idnum)
    elif isinstance(theirs, StreamObject):
        assert isinstance(ours, Stream)
        if theirs.get("/Type") not in ("/XRef", "/ObjStm"):
            assert file.unpacked(ours) == theirs.get_data()
    elif isinstance(theirs, DictionaryObject):
        assert {f"/{key}" for key in ours} == set(theirs)
        for key, value in ours.items():
            assert_same(value, theirs.raw_get(f"/{key}"), file)
    elif isinstance(theirs, ArrayObject):
        assert len(ours) == len(theirs)
        for one, other in zip(ours, theirs, strict=True):
            assert_same(one, other, file)
    elif isinstance(theirs, NameObject):
        assert f"/{ours}" == theirs
    elif isinstance(theirs, (NumberObject, FloatObject)):
        assert float(ours) == pytest.approx(float(theirs))
    elif isinstance(theirs, BooleanObject):
        assert ours is theirs.value
    elif isinstance(theirs, ByteStringObject):
        assert ours == bytes(theirs)
    else:
        assert isinstance(theirs, TextStringObject)
        assert spelled(ours) == str(theirs)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (b"12", 12),
        (b"-.5", -0.5),
        (b"+3.", 3.0),
        (b"/A#42c", Name("ABc")),
        (b"(a(b)c)", b"a(b)c"),
        (b"(\\(\\101\\n\\\nx)", b"(A\nx"),
        (b"(a\r\nb)", b"a\nb"),
        (b"<4 1 4>", b"A@"),
        (b"[1 0 R true null]", [Ref(1), True, None]),
        (b"<< /A << /B [ (c) ] >> /D null >>", {"A": {"B": [b"c"]}}),
        (b"% a comment\r % another\n 7", 7),
    ],
)
def test_values_are_read_as_the_standard_writes_them(text, value):
    """ISO 32000-1, 7.2 to 7.3."""
    assert Lexer(text).value() == value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"<< /A 1 /A 2 >>", "a key twice"),
        (b"<< /A >>", "a key without a value"),
        (b"<< 1 2 >>", "a key that is no name"),
        (b"[ 1 >>", "brackets that do not pair"),
        (b"]", "brackets that do not pair"),
        (b"(abc", "a string without an end"),
        (b"[ word ]", "'word' within a value"),
        (b"[ 1", "ends within a value"),
        (b"3 2 R", "a later generation"),
        (b"1" * 30, "a number of 30 digits"),
        (b"[" * 50, "more than 40 values within one another"),
    ],
)
def test_what_two_readers_could_read_in_two_ways_is_refused(text, said):
    with pytest.raises(PdfError, match=said):
        Lexer(text).value()


def test_what_is_unpacked_is_bounded():
    with pytest.raises(TooMuchError):
        Budget().unpack(10**9)


def test_a_digest_does_not_depend_on_how_a_value_is_written():
    file = PdfFile(mid_nest().data)
    one = Lexer(b"<< /A [1 2.50 (\xb7)] /B /C#41 >>").value()
    other = Lexer(b"<< /B /CA /A [1.0 2.5 <FEFF00B7>] >>").value()
    assert file.digest(one) == file.digest(other)
    for different in (
        b"<< /A [1 2.51 (\xb7)] /B /CA >>",
        b"<< /A [[1 2.5 (\xb7)]] /B /CA >>",
        b"<< /A [1 2.5 /C] /B /CA >>",
    ):
        assert file.digest(Lexer(different).value()) != file.digest(one)


def raw(*objects: bytes, trailer: bytes = b"/Root 1 0 R") -> bytes:
    """A file of these objects, numbered from 1."""
    out, offsets = b"%PDF-1.7\n", []
    for number, value in enumerate(objects, 1):
        offsets.append(len(out))
        out += b"%d 0 obj %s endobj\n" % (number, value)
    rows = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    table = b"xref\n0 %d\n0000000000 65535 f \n%s" % (len(offsets) + 1, rows)
    return b"%s%strailer\n<< %s >>\nstartxref\n%d\n%%%%EOF\n" % (out, table, trailer, len(out))


CATALOG = b"<< /Pages 2 0 R >>"
PAGE = b"<< /Type /Page /MediaBox [0 0 9 9] >>"


def tree(*kids: bytes, count: int = 1) -> bytes:
    return b"<< /Type /Pages /Count %d /Kids [%s] >>" % (count, b" ".join(kids))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "does not begin"),
        (b"%PDF-1.7", "does not end"),
        (raw(CATALOG).replace(b"xref\n0", b"yref\n0"), "no object begins at byte"),
        (raw(CATALOG).replace(b"00000 n", b"0000 n"), "table of objects is damaged"),
        (raw(CATALOG).replace(b"trailer\n<<", b"trailer\n[<<").replace(b">>\nstart", b">>]\nstart"), "no trailer"),
        (raw(CATALOG).replace(b"\n0 2\n", b"\nx 2\n"), "table of objects is damaged"),
        (raw(CATALOG, trailer=b"/Root 5 0 R"), "no catalogue"),
        (raw(CATALOG, trailer=b"/Root 1 0 R /XRefStm 9"), "in two ways"),
        (raw(CATALOG, trailer=b"/Root 1 0 R /Prev (a)"), "is no whole number"),
        (raw(CATALOG).replace(b"1 0 obj", b"3 0 obj"), "object 1 is not where its table says"),
        (raw(b"word"), "object 1 has no value"),
        (raw(b"<< >> more"), "object 1 has no end"),
        (raw(b"<< /Length 3 >> stream\nabcd\nendstream"), "longer or shorter than it says"),
        (raw(b"<< /Length 1 /F (x) >> stream\na\nendstream"), "data in another file"),
        (raw(b"<< /Length -1 >> stream\na\nendstream"), "is no whole number"),
        (raw(b"<< >>"), "no page tree"),
        (raw(CATALOG, b"5"), "page tree is damaged"),
        (raw(CATALOG, b"<< /Type /Pages /Count 1 /Kids 5 >>"), "page tree is damaged"),
        (raw(CATALOG, b"<< /Type /Other >>"), "page tree is damaged"),
        (raw(CATALOG, tree(b"3 0 R", b"3 0 R"), PAGE), "one page or branch twice"),
        (raw(CATALOG, tree(b"3 0 R", count=7), PAGE), "counts its pages wrongly"),
        (raw(CATALOG, tree(b"3 0 R"), PAGE[:-2] + b"/Contents [(a)] >>"), "content that is no stream"),
        (raw(CATALOG, tree(b"3 0 R"), PAGE[:-2] + b"/X 4 0 R >>", b"[4 0 R]"), "refer to one another without an end"),
    ],
)
def test_a_file_that_is_damaged_or_ambiguous_is_refused(data, said):
    with pytest.raises(PdfError, match=said):
        PdfFile(data).page_digests()


@pytest.mark.parametrize(
    ("entries", "content", "said"),
    [
        (b"/Filter /FlateDecode", b"no", "a stream that is damaged"),
        (b"/Filter /FlateDecode", zlib.compress(b"abc")[:-1], "a stream that is not whole"),
        (b"/Filter /FlateDecode", zlib.compress(b"abc") + b"more", "a stream that is not whole"),
        (b"/Filter /JBIG2Decode", b"no", "a stream packed by JBIG2Decode"),
        (b"/Filter /ASCII85Decode", b"\xff~>", "a stream that is damaged"),
        (b"/Filter [/A /A /A /A /A]", b"", "packed too many times"),
        (b"/Filter /ASCIIHexDecode /DecodeParms << /Predictor 2 >>", b"00>", "told in a way that is not read here"),
        (b"/Filter /ASCIIHexDecode /DecodeParms << /Predictor 12 >>", b"0500>", "told in a way that is not read here"),
    ],
)
def test_a_stream_that_is_damaged_is_refused(entries, content, said):
    file = PdfFile(raw(CATALOG, b"<< %s /Length %d >> stream\n%s\nendstream" % (entries, len(content), content)))
    with pytest.raises(PdfError, match=said):
        file.unpacked(file.get(Ref(2)))


@pytest.mark.parametrize(
    ("entries", "content", "plain"),
    [
        (b"", b"abc", b"abc"),
        (b"/Filter /FlateDecode", zlib.compress(b"abc"), b"abc"),
        (b"/Filter [/ASCIIHexDecode /FlateDecode]", zlib.compress(b"abc").hex().encode() + b">", b"abc"),
        (b"/Filter /ASCII85Decode", base64.a85encode(b"abcd") + b"~>", b"abcd"),
        (b"/Filter /ASCIIHexDecode /DecodeParms [null]", b"6 1 6>", b"a`"),
        (
            b"/Filter /ASCIIHexDecode /DecodeParms << /Predictor 15 /Columns 2 >>",
            b"01 05 01 02 01 01 00 09 09>",
            b"\5\6\6\7\t\t",
        ),
    ],
)
def test_filters_are_undone(entries, content, plain):
    """ISO 32000-1, 7.4; rows as PNG tells them: by what is on the left, by what is above, and plainly."""
    file = PdfFile(raw(CATALOG, b"<< %s /Length %d >> stream\n%s\nendstream" % (entries, len(content), content)))
    assert file.unpacked(file.get(Ref(2))) == plain


def packed_in(numbers: bytes, first: int, values: bytes, rows: bytes) -> bytes:
    """A file whose first object is in an object stream, by a table that says so."""
    inside = numbers + values
    out = b"%PDF-1.7\n2 0 obj << /Type /ObjStm /N 1 /First " + b"%d /Length %d >> stream\n%s\nendstream endobj\n" % (
        first,
        len(inside),
        inside,
    )
    at = len(out)
    out += b"3 0 obj << /Type /XRef /Size 4 /W [1 2 1] /Root 1 0 R /Length %d >> stream\n%s\nendstream endobj\n" % (
        len(rows),
        rows,
    )
    return out + b"startxref\n%d\n%%%%EOF\n" % at


ROWS = b"\0\0\0\0" + b"\2\0\2\0" + b"\1\0\x09\0" + b"\1\0\0\0"


def test_an_object_in_an_object_stream_is_read():
    assert PdfFile(packed_in(b"1 0 ", 4, b"<< /Pages 7 >>", ROWS)).catalog == {"Pages": 7}


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (packed_in(b"1 0 ", 4, b"word", ROWS), "object 1 has no value"),
        (packed_in(b"5 0 ", 4, b"<< >>", ROWS), "object 1 is not where its table says"),
        (packed_in(b"1 0 3 ", 6, b"<< >>", ROWS), "object stream that is damaged"),
        (packed_in(b"1 x ", 4, b"<< >>", ROWS), "is no whole number"),
        (packed_in(b"1 0 ", 4, b"<< >>", ROWS[:4] + b"\2\0\3\0" + ROWS[8:12] + b"\2\0\2\0"), "within one another"),
        (packed_in(b"1 0 ", 4, b"<< >>", ROWS[:4] + b"\2\0\3\0" + ROWS[8:12] + b"\1\0\x09\0"), "not where its table"),
        (packed_in(b"1 0 ", 4, b"<< >>", ROWS[:-1]), "table of objects is damaged"),
        (packed_in(b"1 0 ", 4, b"<< >>", ROWS).replace(b"/W [1 2 1]", b"/W [1 2 9]"), "table of objects is damaged"),
        (packed_in(b"1 0 ", 4, b"<< >>", ROWS).replace(b"/XRef", b"/XXXX"), "no table of objects where it says"),
    ],
)
def test_an_object_stream_that_is_damaged_is_refused(data, said):
    with pytest.raises(PdfError, match=said):
        PdfFile(data)
