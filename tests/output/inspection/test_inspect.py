"""Files of ours read back; copies that somebody has scaled, stripped or saved again are found out."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from io import BytesIO

import pytest
from pypdf import PageObject, PdfReader, PdfWriter, Transformation
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, NumberObject, StreamObject
from reportlab.pdfgen.canvas import Canvas

from drafting.errors import OutputError
from layered import switched
from nests import PENS, SMALL, mid_nest, shorts
from output.command import main
from output.formats.pdf import Document
from output.inspection.pdf import Inspection, inspect_pdf
from output.inspection.pdf_objects import SECONDS, Budget
from output.paper.sizes import A4, paper_named, roll
from output.patterns.pattern_pdf import stacks_of
from output.patterns.projection import Ground, projection_pdf
from output.patterns.tiled import tiled_pdf
from output.patterns.wide import wide_pdf
from quick import quick
from sample_pieces import leg_like
from spoilt import HARMLESS, LAYERS, SPOILERS, changed, fonts, resealed, stream


@cache
def wide() -> bytes:
    stacks = stacks_of(shorts(3, start=104, rise="mid"))
    return wide_pdf(stacks, PENS, paper=roll(914), title="Heron shorts", rise="mid", group="Sizes").data


@cache
def tiled() -> bytes:
    return tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102", rise="high").data


def inspected(data: bytes) -> Inspection:
    return inspect_pdf(data, "file.pdf")


def test_what_is_in_a_roll_is_reported():
    found = inspected(wide())
    [page] = found.pages
    assert page.width == pytest.approx(914, abs=1e-3)
    assert (page.paper, page.boxes_agree, page.user_unit, page.rotated) == ("", True, 1, 0)
    assert page.scale == pytest.approx(1, abs=1e-6)
    assert [square.said for square in found.squares] == pytest.approx([50, 50.8])
    for square in found.squares:
        assert (square.width, square.height) == pytest.approx((square.said, square.said), abs=0.001)
    assert {font.name for font in found.fonts} == {"DejaVuSans", "DejaVuSans-Bold"}
    assert all(font.embedded for font in found.fonts)
    assert found.layer_group == "Sizes"
    assert [(layer.name, layer.on) for layer in found.layers] == [(size.label, True) for size in SMALL.sizes]
    assert found.colours == ("black and grey",)
    assert (found.transparent, found.print_scaling, found.creator) == ((), "None", "shirrline")
    assert found.safe
    assert found.complaint == ""


@pytest.mark.parametrize("make", [wide, tiled, lambda: mid_nest().data])
def test_what_the_program_writes_is_safe(make):
    assert inspected(make()).problems == ()


def test_pages_are_named_by_their_paper():
    assert {page.paper for page in inspected(tiled()).pages} == {"A4"}
    sheets = wide_pdf([(leg_like(width=1260),)], paper=paper_named("A0"), title="Heron shorts").data
    assert {page.paper for page in inspected(sheets).pages} == {"A0"}


def test_a_file_without_pieces_needs_no_scale():
    document = Document(title="Guide")
    document.page(210, 297)
    found = inspected(document.data())
    assert not found.real_size
    assert found.safe
    assert "not in real size" in found.text()


def test_a_projection_is_not_to_be_printed():
    data = projection_pdf([(leg_like(),)], ground=Ground.DARK, title="Heron shorts").data
    found = inspected(data)
    assert found.problems == ("it is made for a projector, not for print",)
    assert [square.said for square in found.squares] == pytest.approx([100, 25.4])
    assert all(square.true for square in found.squares)


def scaled(share: float) -> Callable[[PdfWriter], None]:
    def change(writer: PdfWriter) -> None:
        for page in writer.pages:
            page.scale_by(share)

    return change


@pytest.mark.parametrize("share", [0.97, 1.03, 0.999])
@pytest.mark.parametrize("make", [wide, tiled])
def test_a_scaled_copy_is_found_out(make, share):
    found = inspected(changed(make(), scaled(share)))
    assert not found.safe
    assert f"page 1 is drawn at {share * 100:g} %, not at 100 %" in found.problems
    measured = f"says 50 mm and measures {50 * share:.2f} × {50 * share:.2f} mm"
    assert any(measured in problem for problem in found.problems)


def test_one_scaled_page_among_many_is_found_out():
    found = inspected(changed(tiled(), lambda writer: writer.pages[2].scale_by(0.95)))
    assert any("page 3 is drawn at 95 %" in problem for problem in found.problems)


def test_a_page_whose_unit_is_not_a_point_is_found_out():
    """UserUnit (ISO 32000-1, 8.3.2.3) scales all of a page, its boxes too."""

    def change(writer: PdfWriter) -> None:
        writer.pages[0][NameObject("/UserUnit")] = FloatObject(2)

    found = inspected(changed(wide(), change))
    assert found.pages[0].width == pytest.approx(1828, abs=1e-3)
    assert "page 1 is drawn at 200 %, not at 100 %" in found.problems


def test_a_copy_placed_smaller_on_another_page_is_found_out():
    """As imposition does: the old page becomes a form that the new one shows."""

    def change(writer: PdfWriter) -> None:
        old = writer.pages[0]
        sheet = PageObject.create_blank_page(writer, width=2000, height=2600)
        form = old.get_contents()
        form.update(
            {
                NameObject("/Type"): NameObject("/XObject"),
                NameObject("/Subtype"): NameObject("/Form"),
                NameObject("/BBox"): ArrayObject(map(FloatObject, (0, 0, 3000, 4000))),
                NameObject("/Resources"): old["/Resources"],
            }
        )
        drawing = DictionaryObject({NameObject("/Old"): writer._add_object(form)})
        sheet[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): drawing})
        writer.add_page(sheet)
        writer.remove_page(0)
        content = writer.pages[0].get_contents()
        assert content is None
        stream = StreamObject()
        stream.set_data(b"q 0.5 0 0 0.5 0 0 cm /Old Do Q")
        writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)

    found = inspected(changed(wide(), change))
    assert any("page 1 is drawn at 50 %" in problem for problem in found.problems)
    assert any("measures 25.00 × 25.00 mm" in problem for problem in found.problems)


def test_a_stretched_copy_is_found_out_by_its_squares():
    def change(writer: PdfWriter) -> None:
        for page in writer.pages:
            page.add_transformation(Transformation().scale(1, 0.99))

    found = inspected(changed(wide(), change))
    assert any("says 50 mm and measures 50.00 × 49.50 mm" in problem for problem in found.problems)


def test_a_font_that_is_not_embedded_is_found_out():
    def change(writer: PdfWriter) -> None:
        for font in writer.pages[0]["/Resources"]["/Font"].values():
            descriptor = font.get_object()["/FontDescriptor"].get_object()
            if "Bold" in descriptor["/FontName"]:
                del descriptor["/FontFile2"]

    assert "the font DejaVuSans-Bold is not embedded" in inspected(changed(wide(), change)).problems


def test_a_font_that_is_missing_is_found_out():
    def change(writer: PdfWriter) -> None:
        fonts = writer.pages[0]["/Resources"]["/Font"]
        del fonts[next(iter(fonts))]

    problems = inspected(changed(wide(), change)).problems
    assert any("page 1 names a font that it does not have" in problem for problem in problems)


def test_layers_that_nobody_lists_are_found_out():
    def change(writer: PdfWriter) -> None:
        del writer.root_object["/OCProperties"]

    found = inspected(changed(wide(), change))
    assert found.layers == ()
    assert "it has 3 layers that it does not list, so none can be switched" in found.problems


def test_layers_without_a_state_or_a_place_in_the_list_are_found_out():
    def stateless(writer: PdfWriter) -> None:
        del writer.root_object["/OCProperties"]["/D"]

    def unlisted(writer: PdfWriter) -> None:
        del writer.root_object["/OCProperties"]["/D"]["/Order"]

    def forgotten(writer: PdfWriter) -> None:
        del writer.root_object["/OCProperties"]["/OCGs"][0]

    assert "its layers have no default state" in inspected(changed(wide(), stateless)).problems
    assert any("not in the reader's list" in problem for problem in inspected(changed(wide(), unlisted)).problems)
    label = SMALL.sizes[0].label
    expected = f"its pages draw on layers that it does not list: {label}"
    assert expected in inspected(changed(wide(), forgotten)).problems


def test_a_layer_switched_off_is_reported_and_would_not_be_printed():
    found = inspected(switched(wide(), SMALL.sizes[1].label))
    assert [layer.on for layer in found.layers] == [True, False, True]
    assert f"layers are switched off and would not be printed: {SMALL.sizes[1].label}" in found.problems
    assert f"Layers hidden: {SMALL.sizes[1].label}" in found.text()


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ({"/ca": FloatObject(0.5)}, "see-through ink"),
        ({"/BM": NameObject("/Multiply")}, "blended ink"),
        ({"/SMask": DictionaryObject()}, "a soft mask"),
    ],
)
def test_transparency_is_found_out(state, said):
    def change(writer: PdfWriter) -> None:
        entries = DictionaryObject({NameObject(key): value for key, value in state.items()})
        resources = writer.pages[0]["/Resources"]
        resources[NameObject("/ExtGState")] = DictionaryObject({NameObject("/GS0"): entries})

    found = inspected(changed(wide(), change))
    assert found.transparent == (said,)
    assert f"it has transparency: {said}" in found.problems


def test_a_transparency_group_is_found_out():
    def change(writer: PdfWriter) -> None:
        group = DictionaryObject({NameObject("/S"): NameObject("/Transparency")})
        writer.pages[0][NameObject("/Group")] = group

    assert inspected(changed(wide(), change)).transparent == ("a page group",)


@pytest.mark.parametrize("name", ["/CropBox", "/TrimBox", "/BleedBox"])
def test_boxes_that_differ_are_found_out(name):
    def change(writer: PdfWriter) -> None:
        box = writer.pages[0][name]
        box[2] = FloatObject(float(box[2]) - 20)

    found = inspected(changed(wide(), change))
    assert not found.pages[0].boxes_agree
    assert any("page 1 has boxes that differ" in problem for problem in found.problems)


def test_a_file_that_may_be_shrunk_in_printing_is_found_out():
    def change(writer: PdfWriter) -> None:
        del writer.root_object["/ViewerPreferences"]["/PrintScaling"]

    found = inspected(changed(wide(), change))
    assert "the reader is not told to print at 100 % (print scaling: AppDefault)" in found.problems


def test_pages_without_their_squares_are_found_out():
    def change(writer: PdfWriter) -> None:
        for _ in range(2):
            writer.remove_page(0)

    assert "no calibration square says its size" in inspected(changed(tiled(), change)).problems


def test_a_turned_page_is_reported():
    def change(writer: PdfWriter) -> None:
        writer.pages[0][NameObject("/Rotate")] = NumberObject(90)

    assert inspected(changed(wide(), change)).pages[0].rotated == 90


def foreign(creator: str) -> bytes:
    file = BytesIO()
    canvas = Canvas(file)
    canvas.setCreator(creator)
    canvas.drawString(100, 100, "Something else")
    canvas.save()
    return file.getvalue()


def encrypted(data: bytes) -> bytes:
    return changed(data, lambda writer: writer.encrypt("secret"))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (lambda: foreign("a word processor"), "it is made by a word processor, not by shirrline"),
        (lambda: b"", "not a PDF that can be read"),
        (lambda: b"# A text\n", "not a PDF that can be read"),
        (lambda: wide()[: len(wide()) // 2], "not a PDF that can be read"),
        (lambda: wide()[:-40], "not a PDF that can be read"),
        (lambda: encrypted(tiled()), "it is encrypted"),
    ],
    ids=["foreign", "empty", "text", "half", "without its end", "encrypted"],
)
def test_what_is_damaged_or_not_ours_is_refused_on_one_line(data, said, tmp_path, capsys):
    path = tmp_path / "file.pdf"
    path.write_bytes(data())
    assert main(["inspect", str(path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert said in told.err
    assert told.err.count("\n") == 1
    assert told.err.startswith(f"shirrline: {path}: ")


@pytest.mark.parametrize("make", [wide, tiled])
def test_a_damaged_drawing_is_refused(make):
    """pypdf mends what it can of a stream and only warns; a line that is lost is no line to cut by."""
    data = make()
    drawn = [match.end() for match in re.finditer(rb"/FlateDecode[^>]*>>\s*stream\r?\n", data)]
    assert len(drawn) > 3
    for begin in drawn:
        broken = bytearray(data)
        broken[begin + 60 : begin + 100] = bytes(40)
        with pytest.raises(OutputError, match=r"file\.pdf: not a PDF that can be read"):
            inspected(bytes(broken))


@pytest.mark.parametrize("name", ["missing.pdf", "."])
def test_a_file_that_cannot_be_read_is_refused(name, tmp_path, capsys):
    assert main(["inspect", str(tmp_path / name)]) == 2
    assert ("cannot be read" if name == "missing.pdf" else "it has no manifest.json") in capsys.readouterr().err


def test_the_command_reports_and_its_code_says_whether_it_is_safe(tmp_path, capsys):
    good, bad = tmp_path / "good.pdf", tmp_path / "bad.pdf"
    good.write_bytes(wide())
    bad.write_bytes(changed(wide(), scaled(0.9)))
    assert main(["inspect", str(good)]) == 0
    told = capsys.readouterr()
    assert told.out.endswith("\nSafe to send to a print shop\n")
    assert told.err == ""
    assert max(map(len, told.out.splitlines())) <= 100
    assert main(["inspect", str(bad), "--json"]) == 2
    told = capsys.readouterr()
    found = json.loads(told.out)
    assert not found["safe"]
    assert found["squares"][0]["width"] == pytest.approx(45, abs=0.01)
    assert told.err.startswith(f"shirrline: {bad}: not safe to send: page 1 is drawn at 90 %, not at 100 % (and ")


def test_the_reader_is_not_fooled_by_its_own_report():
    """What pypdf reads of the boxes is what is reported."""
    page = PdfReader(BytesIO(tiled())).pages[0]
    assert inspected(tiled()).pages[0].width == pytest.approx(float(page.mediabox.width) * 25.4 / 72)


def test_forms_with_images_and_groups_that_show_through_are_found_out():
    def change(writer: PdfWriter) -> None:
        image, group = StreamObject(), StreamObject()
        image.set_data(b"\0")
        image.update({NameObject("/Subtype"): NameObject("/Image"), NameObject("/SMask"): NumberObject(0)})
        group.set_data(b"")
        see_through = DictionaryObject({NameObject("/S"): NameObject("/Transparency")})
        group.update({NameObject("/Subtype"): NameObject("/Form"), NameObject("/Group"): see_through})
        objects = {NameObject("/I"): writer._add_object(image), NameObject("/G"): writer._add_object(group)}
        writer.pages[0]["/Resources"][NameObject("/XObject")] = DictionaryObject(objects)

    assert inspected(changed(wide(), change)).transparent == ("an image with a mask", "a transparency group")


def with_content(data: bytes, extra: bytes) -> bytes:
    """The file with more at the end of its first page's content."""

    def change(writer: PdfWriter) -> None:
        stream = StreamObject()
        stream.set_data(writer.pages[0].get_contents().get_data() + b"\n" + extra)
        writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)

    return changed(data, change)


def test_a_drawing_that_is_missing_is_found_out():
    found = inspected(with_content(wide(), b"/Lost Do"))
    assert "page 1 shows a drawing that is missing: Lost" in found.problems


def test_colours_of_every_kind_are_reported():
    found = inspected(with_content(wide(), b"1 0 0 rg 0 0 0 1 K 0.5 sc"))
    assert found.colours == ("black and grey", "four inks", "others", "red, green, blue")


def test_a_curved_or_slanted_box_is_no_square():
    """Round a text that says a size there is a nearer shape, but it is no upright rectangle."""
    before = inspected(wide()).squares
    curve = b"q 1 0 0 1 20 20 cm 0 0 m 30 0 l 30 30 40 40 0 30 c h S 0 0 m 30 5 l 25 35 l -5 30 l h S 0 0 m 9 9 l S Q"
    assert inspected(with_content(wide(), curve)).squares == before


def test_a_file_without_pages_is_refused():
    def change(writer: PdfWriter) -> None:
        while len(writer.pages):
            writer.remove_page(0)

    with pytest.raises(OutputError, match="it has no page"):
        inspected(changed(wide(), change))


def test_a_file_too_long_to_be_ours_is_refused(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("output.commands.inspect.LARGEST", 100)
    (tmp_path / "file.pdf").write_bytes(wide())
    assert main(["inspect", str(tmp_path / "file.pdf")]) == 2
    assert "it is longer than 100 bytes" in capsys.readouterr().err


def test_a_sheet_without_its_squares_among_others_is_found_out():
    data = wide_pdf([(leg_like(width=1260),)], paper=paper_named("A0"), title="Heron shorts").data
    assert inspected(data).safe

    def change(writer: PdfWriter) -> None:
        stream = StreamObject()
        stream.set_data(writer.pages[1].get_contents().get_data().replace(b"50 mm", b"50 cm").replace(b"2 in", b"2 cm"))
        writer.pages[1][NameObject("/Contents")] = writer._add_object(stream)

    assert "sheets without a calibration square that says its size: 2" in inspected(changed(data, change)).problems


def test_letters_are_read_by_every_kind_of_table():
    """A program that saves the file again may write ranges of codes (ISO 32000-1, 9.10.3) where we list them."""

    def change(writer: PdfWriter) -> None:
        for font in writer.pages[0]["/Resources"]["/Font"].values():
            listed = re.findall(
                r"<(\w+)> <(\w+)>", font.get_object()["/ToUnicode"].get_data().decode().partition("beginbfchar")[2]
            )
            assert len(listed) > 100
            spelled = [f"<{letter}>" if number % 2 else f"[<{letter}>]" for number, (_, letter) in enumerate(listed)]
            rows = [f"<{code}> <{code}> {letter}" for (code, _), letter in zip(listed, spelled, strict=True)]
            table = StreamObject()
            table.set_data(f"beginbfrange {' '.join(rows)} endbfrange".encode())
            font.get_object()[NameObject("/ToUnicode")] = writer._add_object(table)

    found = inspected(changed(wide(), change))
    assert [square.said for square in found.squares] == pytest.approx([50, 50.8])


NAMED = {
    "stretched": "page 8 is stretched: 97 % across and 103 % up",
    "sheared": "page 8 is turned or sheared",
    "mirrored": "page 8 is mirrored",
    "shifted": "page 8 shows its part of the drawing elsewhere than it was written",
    "emptied": "page 8 shows other drawings than it was written with",
    "clipped to a half": "page 8 cannot be proved: it cuts off a part of what it draws",
    "painted over in white": "page 8 is not as it should be: a surface is painted over its lines",
    "covered by a picture": "page 8 has an image, as no file of ours has",
    "a page missing": "page 8 (Row 2 · Column 3) of those written is missing or changed",
    "a page twice": "page 8 of those written is there 2 times",
    "pages in another order": "page 8 was written as page 7",
    "a script on opening": "it does something when it is opened",
    "a program on opening": "it does something when it is opened",
    "an attachment": "it has scripts, attachments or other named things",
    "covered by a square": "page 8 has notes, fields or attachments laid on it",
    "turned": "page 8 is turned by 90 degrees",
}


@pytest.mark.parametrize("way", NAMED)
def test_a_spoilt_page_or_file_is_not_safe_and_the_report_says_why(way):
    """Each was called safe while the scale, the squares, the boxes, the fonts and the layers alone were looked at."""
    found = inspected(SPOILERS[way](tiled()))
    assert not found.safe
    assert not found.proved
    assert NAMED[way] in found.problems


@pytest.mark.parametrize("way", NAMED)
def test_a_spoilt_page_is_not_safe_when_the_digests_are_reckoned_anew(way):
    """What the content itself shows does not depend on the record's digests."""
    found = inspected(resealed(SPOILERS[way](tiled())))
    assert not found.safe
    assert not any("is not as it was written" in problem for problem in found.problems if way == "stretched")


@pytest.mark.parametrize("way", LAYERS)
def test_layers_that_may_not_print_are_found_out(way):
    assert not inspected(LAYERS[way](wide())).safe
    assert not inspected(LAYERS[way](mid_nest().data)).safe


@pytest.mark.parametrize("way", HARMLESS)
@pytest.mark.parametrize("make", [wide, tiled])
def test_a_file_saved_again_with_nothing_changed_is_safe(make, way):
    found = inspected(HARMLESS[way](make()))
    assert found.problems == ()
    assert found.proved


def test_a_record_copied_from_another_file_proves_nothing():
    other = tiled_pdf([leg_like(width=480)], paper=A4, title="Heron shorts", size="H102", rise="high").data
    record = PdfReader(BytesIO(tiled())).root_object["/PieceInfo"]["/Shirrline"]["/Private"].get_data()

    def change(writer: PdfWriter) -> None:
        writer.root_object["/PieceInfo"]["/Shirrline"][NameObject("/Private")] = writer._add_object(stream(record))

    assert any("is not as it was written" in problem for problem in inspected(changed(other, change)).problems)


def test_a_file_without_a_record_is_not_called_safe():
    found = inspected(SPOILERS["without its record"](tiled()))
    assert len(found.problems) == 1
    assert "it has no description of itself" in found.problems[0]
    assert "Not safe to send to a print shop" in found.text()


@pytest.mark.parametrize("said", [b"", b"[]", b"{}", b'{"schema": 2}', b"[" * 5000, b'{"schema": NaN}', b"\xff"])
def test_a_record_that_says_nothing_proves_nothing(said):
    def change(writer: PdfWriter) -> None:
        writer.root_object["/PieceInfo"]["/Shirrline"][NameObject("/Private")] = writer._add_object(stream(said))

    found = inspected(changed(tiled(), change))
    assert [problem.partition(":")[0] for problem in found.problems] == ["it cannot be proved"]


def test_the_pages_are_named_in_the_report():
    labels = [page.label for page in inspected(tiled()).pages]
    assert labels[0] == "Heron shorts"
    assert labels[-1] == "Row 2 · Column 3"


# Files made to keep a reader busy ----------------------------------------------------------------------------------


def with_letters(table: bytes) -> bytes:
    def change(font: DictionaryObject, writer: PdfWriter) -> None:
        font[NameObject("/ToUnicode")] = writer._add_object(stream(table).flate_encode())

    return fonts(change)(tiled())


def with_page(content: bytes, **resources: DictionaryObject) -> bytes:
    def change(writer: PdfWriter) -> None:
        page = writer.pages[0]
        page[NameObject("/Contents")] = writer._add_object(stream(content).flate_encode())
        held = DictionaryObject(page["/Resources"])
        held.update({NameObject(f"/{key}"): value for key, value in resources.items()})
        page[NameObject("/Resources")] = held

    return changed(tiled(), change)


def with_contents(count: int) -> bytes:
    """One long stream, many times over."""

    def change(writer: PdfWriter) -> None:
        long = writer._add_object(stream(b"% " + b"x" * 1_000_000).flate_encode())
        writer.pages[0][NameObject("/Contents")] = ArrayObject([long] * count)

    return changed(tiled(), change)


def with_form_in_itself() -> bytes:
    def change(writer: PdfWriter) -> None:
        drawings = writer.pages[-1]["/Resources"]["/XObject"]
        for drawing in drawings.values():
            form = drawing.get_object()
            form["/Resources"][NameObject("/XObject")] = drawings
            fresh = stream(b"/FormXob.sheet Do /FormXob.sheet Do")
            fresh.update({key: value for key, value in form.items() if key not in ("/Filter", "/Length")})
            writer._objects[form.indirect_reference.idnum - 1] = fresh

    return changed(tiled(), change)


def raw(body: bytes, trailer: bytes = b"/Root 1 0 R /Info << /Creator (shirrline) >>") -> bytes:
    """A file of these objects, the table in order."""
    out, offsets = b"%PDF-1.7\n", []
    for part in body.split(b"endobj"):
        if part.strip():
            offsets.append(len(out))
            out += part.strip() + b"\nendobj\n"
    rows = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    table = b"xref\n0 %d\n0000000000 65535 f \n%s" % (len(offsets) + 1, rows)
    return b"%s%strailer\n<< %s >>\nstartxref\n%d\n%%%%EOF\n" % (out, table, trailer, len(out))


def listed(index: bytes, trailer: bytes = b"") -> bytes:
    """A file whose table is a stream with that index."""
    at = b"%PDF-1.7\n"
    own = b"1 0 obj\n<< /Type /XRef /Size 9 /W [1 2 1] /Index [%s] /Root 1 0 R %s /Length 4 >>\n" % (index, trailer)
    return at + own + b"stream\n\1\0\x09\0\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % len(at)


CATALOG = b"1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj "

HOSTILE = {
    "300 000 openings of a table of letters": lambda: with_letters(b"beginbfchar " * 300_000),
    "300 000 openings of ranges": lambda: with_letters(b"beginbfrange <00> <41> [" * 300_000),
    "66 million letters": lambda: with_letters(b"beginbfrange <00000000> <03EFFFFF> <0041> endbfrange"),
    "ranges without end": lambda: with_letters(b"beginbfrange " + b"<00> <FFFFFFFF> <0041> " * 100_000 + b"endbfrange"),
    "a stream of 300 megabytes": lambda: with_page(zeros(300)),
    "content many times over": lambda: with_contents(100_000),
    "brackets within brackets": lambda: with_page(b"[" * 1_000_000),
    "dictionaries within dictionaries": lambda: with_page(b"/a << /b " * 500_000),
    "states without end": lambda: with_page(b"q " * 1_000_000),
    "operators without end": lambda: with_page(b"1 0 0 1 0 0 cm\n" * 2_000_001),
    "brackets that never close": lambda: with_page(b"(" * 1_000_000),
    "a comment of percent signs": lambda: with_page(b"% " * 1_000_000),
    "a number of a million digits": lambda: with_page(b"1" * 1_000_000 + b" w"),
    "curves without end": lambda: with_page(b"0 0 m " + b"0 0 9 9 0 9 c " * 900_000 + b"S"),
    "numbers beyond all numbers": lambda: with_page(b"999999999 0 0 999999999 0 0 cm " * 90 + b"0 0 9 9 re f"),
    "a form that shows itself": with_form_in_itself,
    "a page tree that holds itself": lambda: raw(CATALOG + b"2 0 obj << /Type /Pages /Count 1 /Kids [2 0 R] >> endobj"),
    "a page tree of loops": lambda: raw(
        CATALOG + b"2 0 obj << /Type /Pages /Count 1 /Kids [3 0 R 3 0 R] >> endobj "
        b"3 0 obj << /Type /Pages /Count 1 /Kids [2 0 R 2 0 R] >> endobj"
    ),
    "references round and round": lambda: raw(b"1 0 obj 2 0 R endobj 2 0 obj 1 0 R endobj"),
    "a length within itself": lambda: raw(CATALOG + b"2 0 obj << /Length 2 0 R >> stream\nxx\nendstream endobj"),
    "a table of a thousand million": lambda: listed(b"0 1000000000"),
    "a table below nothing": lambda: listed(b"-5 1"),
    "an earlier revision that is itself": lambda: listed(b"1 1", b"/Prev 9"),
    "a table with a thousand million rows": lambda: raw(CATALOG).replace(b"xref\n0 2", b"xref\n0 999999999"),
    "values of other kinds": lambda: raw(b"1 0 obj << /Type /Catalog /Pages [1] /OCProperties 7 >> endobj"),
    "no objects": lambda: raw(b""),
}


def zeros(megabytes: int) -> bytes:
    return bytes(megabytes * 1_000_000)


@pytest.mark.parametrize(
    "name",
    quick(HOSTILE, lambda name: name != "operators without end"),
)
def test_a_file_made_to_keep_a_reader_busy_is_refused_soon(name):
    """The first took minutes by a regular expression that went back and forth, the third by a list of 66 million."""
    data = HOSTILE[name]()
    begun = time.process_time()
    safe, refused = judged(data)
    assert not safe
    assert refused == "" or refused.startswith("file.pdf: not a PDF that can be read: ")
    assert time.process_time() - begun < 2 * SECONDS


def judged(data: bytes) -> tuple[bool, str]:
    """Whether a file is called safe, and why it is not read."""
    try:
        return inspect_pdf(data, "file.pdf").safe, ""
    except OutputError as refused:
        return False, str(refused)


def test_time_to_read_is_bounded(monkeypatch):
    """By the clock and looked at in every loop, so on any thread."""
    monkeypatch.setattr("output.inspection.pdf.Budget", lambda: Budget(seconds=0))
    with ThreadPoolExecutor(1) as thread:
        refused = thread.submit(inspect_pdf, tiled(), "file.pdf").exception()
    assert isinstance(refused, OutputError)
    assert "takes longer than 0 s" in str(refused)
