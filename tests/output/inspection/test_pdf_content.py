"""What content draws, and what in it cannot be proved; operators are those of ISO 32000-1, annex A."""

from __future__ import annotations

from functools import cache

import pytest

from output.formats.pdf import Document
from output.inspection.pdf_content import ContentStream, Drawn, letters
from output.inspection.pdf_objects import Lexer, PdfError, PdfFile, TooMuchError

BOXED = b"<< /XObject << /Fm 1 0 R /Gone 99 0 R /Direct << /Subtype /Form >> >> /Properties << /P 5 >> >>"


@cache
def file() -> PdfFile:
    document = Document(title="t")
    document.page(100, 100)
    return PdfFile(document.data())


def drawn(content: bytes, resources: bytes = b"<< >>") -> Drawn:
    return ContentStream(file()).page(content, Lexer(resources).value(), 1.0)


def test_paths_are_followed_under_their_matrices():
    found = drawn(b"q 2 0 0 2 10 10 cm 0 0 m 5 0 l 5 5 l h S Q 1 1 3 4 re f 0 0 m 9 0 9 9 v 0 9 0 0 y B")
    assert found.lines.count == 3
    assert found.lines.fills == 2
    assert found.box == pytest.approx((0, 0, 20, 20))
    assert found.linears.keys() == {(2, 0, 0, 2), (1, 0, 0, 1)}


def test_a_curve_reaches_as_far_as_its_middle():
    """A cubic with handles 4/3 of its height above its ends is as high at its middle: 3/4 of theirs."""
    assert drawn(b"0 0 m 0 8 12 8 12 0 c S").box == pytest.approx((0, 0, 12, 6))


def test_a_shape_says_how_wide_its_line_is_and_that_it_is_white():
    found = drawn(b"2 0 0 2 0 0 cm 4 w 1 1 1 RG 0 0 m 9 9 l S 0 0 0 0 k 0 0 m 3 0 l 3 3 l f")
    assert found.widest == 8
    assert found.hides == {"it draws in white": None}


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"0 0 50 50 re W n 10 10 20 20 re S 40 40 m 60 60 l S", "it cuts off a part of what it draws"),
        (b"0 0 m 50 0 l 0 50 l h W n", "it cuts off what is outside a shape"),
        (b"0 0 m 50 0 50 50 0 50 c h W n", "it cuts off what is outside a shape"),
        (b"q 1 0 0.1 1 0 0 cm 0 0 50 50 re W n Q", "it cuts off what is outside a shape"),
        (b"3 Tr", "it stretches, hides or raises letters"),
        (b"5 Ts", "it stretches, hides or raises letters"),
        (b"80 Tz", "it stretches, hides or raises letters"),
        (b"/GS gs", "it uses the operator gs"),
        (b"/Direct Do", "it shows an image"),
    ],
)
def test_what_cannot_be_proved_is_told(content, fault):
    assert drawn(content, BOXED).faults == {fault: None}


def test_what_leaves_all_as_it_is_is_no_fault():
    found = drawn(b"0 Tr 100 Tz 0 Ts 0 0 50 50 re W n 0 0 50 50 re W* n q 10 10 20 20 re S Q /Span BMC EMC 0 0 m n f")
    assert found.faults == {}
    assert found.lines.count == 1


def test_what_is_missing_is_told():
    assert drawn(b"/Gone Do", BOXED).missing == {"shows a drawing that is missing: Gone": None}
    assert drawn(b"BT /F 9 Tf ET").missing == {"names a font that it does not have: F": None}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"Q", "goes back to a state that it has not saved"),
        (b"q", "ends within something that it began"),
        (b"BT", "ends within something that it began"),
        (b"BT BT", "a text begins within a text"),
        (b"ET", "a text ends that has not begun"),
        (b"EMC", "marked content ends that has not begun"),
        (b"/OC /L BDC", "a layer that it does not name: L"),
        (b"/OC BMC", "a layer that it does not name: None"),
        (b"/OC /P BDC", "by a rule that is not known here"),
        (b"1 0 l", "a path goes on that has not begun"),
        (b"h", "a path goes on that has not begun"),
        (b"1 m", "the operator m has 1 operands"),
        (b"(a) w", "has operands that are no numbers"),
        (b"[1] 0 0 0 0 0 cm", "has operands that are no numbers"),
        (b"1e9 w", "the operator w has 0 operands"),
        (b"1 2 3", "ends before an operator"),
        (b"1 " * 50 + b"[1] " * 60, "more than 100 operands"),
        (b"(a) Do", "the operator Do names nothing"),
        (b"BT /F (a) Tf ET", "a font has no size"),
        (b"BT (a) Tj ET", "a text has no font"),
        (b"9999999999 0 0 1 0 0 cm", "a matrix has not six numbers"),
        (b"9999999 0 m 0 0 l S", "draws far outside of all paper"),
        (b"q " * 900, "saves its state too often"),
        (b"]", "brackets that do not pair"),
    ],
)
def test_content_that_is_damaged_is_refused(content, said):
    with pytest.raises(PdfError, match=said):
        drawn(content, BOXED)


def test_resources_that_are_none_are_refused():
    with pytest.raises(PdfError, match="fonts, drawings or layers is damaged"):
        drawn(b"", b"<< /Font [1] >>")
    assert drawn(b"", b"null").faults == {}


@pytest.mark.parametrize(
    ("table", "found"),
    [
        (b"1 beginbfchar <41> <0042> endbfchar", {0x41: "B"}),
        (
            b"beginbfrange <41> <43> <0061> <50> <51> [<0030> <0031>] endbfrange",
            {65: "a", 66: "b", 67: "c", 80: "0", 81: "1"},
        ),
        (b"beginbfchar <41> <D83DDE00> endbfchar (a) /b << /c 1 >>", {0x41: "\U0001f600"}),
        (b"beginbfrange <FE> <FFFF> <0041> endbfrange <00> <0042>", {0xFE: "A", 0xFF: "B"}),
        (b"", {}),
    ],
)
def test_a_table_of_letters_is_read(table, found):
    """ISO 32000-1, 9.10.3."""
    assert letters(table) == found


@pytest.mark.parametrize(
    ("table", "error"),
    [
        (b"beginbfchar <4141414141> <0042> endbfchar", PdfError),
        (b"beginbfrange [<41>] <42> <43>", PdfError),
        (b"beginbfrange <41> <41> [[1]]" + b" <00>" * 30_000, PdfError),
        (b"1 " * 30_000, TooMuchError),
    ],
)
def test_a_table_of_letters_that_is_damaged_or_too_long_is_refused(table, error):
    with pytest.raises(error):
        letters(table)
