"""Files of ours read back; copies that somebody has scaled, stripped or saved again are found out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import cache
from io import BytesIO

import pytest
from pypdf import PageObject, PdfReader, PdfWriter, Transformation
from pypdf.generic import ArrayObject, DictionaryObject, FloatObject, NameObject, NumberObject, StreamObject
from reportlab.pdfgen.canvas import Canvas

from drafting.errors import OutputError
from nests import PENS, SMALL, mid_nest, shorts
from output.command import main
from output.inspect import Inspection, inspect_pdf
from output.paper import A4, paper_named, roll
from output.pdf import Document
from output.projection import Ground, projection_pdf
from output.range import stacks_of
from output.tiled import tiled_pdf
from output.wide import wide_pdf
from sample_pieces import leg_like
from test_layers import switched


@cache
def wide() -> bytes:
    stacks = stacks_of(shorts(3, start=104, rise="mid"))
    return wide_pdf(stacks, PENS, paper=roll(914), title="Heron shorts", rise="mid", group="Sizes").data


@cache
def tiled() -> bytes:
    return tiled_pdf([leg_like(width=500)], paper=A4, title="Heron shorts", size="H102", rise="high").data


def inspected(data: bytes) -> Inspection:
    return inspect_pdf(data, "file.pdf")


def changed(data: bytes, change: Callable[[PdfWriter], None]) -> bytes:
    writer = PdfWriter(clone_from=BytesIO(data))
    change(writer)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


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
    monkeypatch.setattr("output.inspect.LARGEST", 100)
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
