"""Our reader of PDF against pypdf, which shares no code with it, and against what it must refuse."""

from __future__ import annotations

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
from output.pdf_objects import Budget, Lexer, Name, PdfError, PdfFile, Ref, Stream, TooMuchError, spelled
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
