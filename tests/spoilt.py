"""Ways to spoil a PDF of ours, as a careless program or a hand would, and ways to save it again that spoil nothing."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Callable
from io import BytesIO
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NullObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from output.inspection.pdf_objects import PdfError, PdfFile
from output.inspection.record import record_of, whole_digest

Spoiler = Callable[[bytes], bytes]


class NotApplicableError(Exception):
    """A file cannot be spoilt so: it has nothing of the kind, or cannot be read by those who would reckon it anew."""


def changed(data: bytes, change: Callable[[PdfWriter], None]) -> bytes:
    """The file saved again by another program, with a change."""
    writer = PdfWriter(clone_from=BytesIO(data))
    change(writer)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def resealed(data: bytes) -> bytes:
    """The file with the digests of its record reckoned anew, as somebody would who knows how, and all else it tells."""
    try:
        file = PdfFile(data)
        record = record_of(file)
        digests = file.page_digests()
    except PdfError as error:
        raise NotApplicableError from error
    if record is None:
        raise NotApplicableError
    for page, digest in zip(record.pages, digests, strict=False):
        page.sha256 = digest
    record.sha256 = whole_digest(file, record)
    said = json.dumps(record.told(), separators=(",", ":"), sort_keys=True).encode()

    def change(writer: PdfWriter) -> None:
        private = writer.root_object["/PieceInfo"]["/Shirrline"]
        private[NameObject("/Private")] = writer._add_object(stream(said))

    return changed(data, change)


def _must_differ(before: object, after: object) -> None:
    if before == after:
        raise NotApplicableError


def stripped(data: bytes) -> bytes:
    """The file without its record."""

    def change(writer: PdfWriter) -> None:
        writer.root_object.pop("/PieceInfo", None)

    return changed(data, change)


def stream(content: bytes, **entries: PdfObject) -> StreamObject:
    made = DecodedStreamObject()
    made.set_data(content)
    made.update({NameObject(f"/{key}"): value for key, value in entries.items()})
    return made


def dictionary(**entries: Any) -> DictionaryObject:
    return DictionaryObject({NameObject(f"/{key}"): _object(value) for key, value in entries.items()})


def _object(value: Any) -> PdfObject:
    if isinstance(value, PdfObject):
        return value
    if isinstance(value, bool):
        return BooleanObject(value)
    if isinstance(value, (int, float)):
        return NumberObject(value) if isinstance(value, int) else FloatObject(value)
    if isinstance(value, list):
        return ArrayObject(map(_object, value))
    return NameObject(value) if value.startswith("/") else TextStringObject(value)


# Content -----------------------------------------------------------------------------------------------------------


def content(change: Callable[[bytes], bytes], page: int = -1) -> Spoiler:
    """A page's content changed."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            one = writer.pages[page]
            before = one.get_contents().get_data()
            after = change(before)
            _must_differ(before, after)
            one[NameObject("/Contents")] = writer._add_object(stream(after))

        return changed(data, on)

    return spoil


def under(matrix: str, page: int = -1) -> Spoiler:
    return content(lambda old: b"q %s cm\n%s\nQ" % (matrix.encode(), old), page)


def above(extra: bytes, page: int = -1) -> Spoiler:
    return content(lambda old: old + b"\n" + extra, page)


def below(extra: bytes, page: int = -1) -> Spoiler:
    return content(lambda old: extra + b"\n" + old, page)


def drawing(change: Callable[[bytes], bytes]) -> Spoiler:
    """The longest content changed, wherever it is: the pieces' own lines."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            held = []
            for page in writer.pages:
                held.append(page.raw_get("/Contents"))
                held += (page["/Resources"].get("/XObject") or {}).values()
            longest = max(held, key=lambda ref: len(ref.get_object().get_data())).get_object()
            before = longest.get_data()
            after = change(before)
            _must_differ(before, after)
            fresh = stream(after)
            fresh.update({key: value for key, value in longest.items() if key not in ("/Filter", "/Length")})
            writer._objects[longest.indirect_reference.idnum - 1] = fresh
            fresh.indirect_reference = longest.indirect_reference

        return changed(data, on)

    return spoil


def moved_point(old: bytes) -> bytes:
    """One point of a line, in the middle of the content, 5 mm to the right."""
    found = list(re.finditer(rb"(-?[\d.]+) (-?[\d.]+) l ", old))
    one = found[len(found) // 2]
    return old[: one.start()] + b"%.4f %s l " % (float(one[1]) + 5, one[2]) + old[one.end() :]


def without_a_line(old: bytes) -> bytes:
    found = list(re.finditer(rb"n [^n]*?\nS\n", old))
    one = found[len(found) // 2]
    return old[: one.start()] + old[one.end() :]


SQUARE = b"q 1 0 0 1 100 100 cm "

CONTENT: dict[str, Spoiler] = {
    "stretched": under("0.97 0 0 1.03 0 0"),
    "stretched a little": under("1 0 0 1.0005 0 0"),
    "sheared": under("1 0 0.05 1 0 0"),
    "mirrored": under("-1 0 0 1 595 0"),
    "upside down": under("1 0 0 -1 0 841"),
    "shifted": under("1 0 0 1 14 0"),
    "shifted by half a millimetre": under("1 0 0 1 0 1.4"),
    "turned by a degree": under("0.99985 0.01745 -0.01745 0.99985 0 0"),
    "turned about": under("-1 0 0 -1 595 841"),
    "smaller": under("0.97 0 0 0.97 0 0"),
    "emptied": content(lambda _: b""),
    "emptied to a comment": content(lambda _: b"% nothing"),
    "clipped to a half": below(b"0 0 300 420 re W n"),
    "clipped by a shape": below(b"0 0 m 500 0 l 0 800 l h W n"),
    "clipped by words": below(b"BT 7 Tr /F1+0 90 Tf (X) Tj ET"),
    "painted over in white": above(b"q 1 g 50 50 300 400 re f Q"),
    "painted over in black": above(b"q 0 g 50 50 300 400 re f Q"),
    "painted over in no ink": above(b"q 0 0 0 0 k 50 50 300 400 re f Q"),
    "painted over by a line": above(b"q 1 G 400 w 50 300 m 500 300 l S Q"),
    "painted over by many lines": above(
        b"q 1 G 3 w " + b"".join(b"50 %d m 500 %d l S " % (y, y) for y in range(50, 400, 3)) + b"Q"
    ),
    "painted over by letters": above(b"BT 1 g /F1+0 700 Tf (\x01) Tj ET"),
    "covered by a picture in the content": above(
        b"q 300 0 0 300 50 50 cm BI /W 1 /H 1 /CS /G /BPC 8 ID \xff EI Q",
    ),
    "shaded": above(b"/Sh1 sh"),
    "in white": content(lambda old: old.replace(b"0 G\n0 g\n", b"1 G\n1 g\n")),
    "in hidden letters": below(b"BT 3 Tr ET"),
    "in wide letters": below(b"BT 150 Tz ET"),
    "ended early": content(lambda old: old[: len(old) // 2]),
    "without its last words": content(lambda old: old[: old.rindex(b"BT ")] + b"ET" * 0),
    "with a state too many": below(b"q"),
    "with an unknown operator": above(b"10 10 mystery"),
    "begun in a hidden state": below(b"/GS9 gs"),
    "with what a reader may skip": above(b"BX 1 1 hidden EX"),
    "with a line of its own": above(b"q 0 G 1 w 50 50 m 300 300 l S Q"),
    "on a layer nobody names": content(lambda old: b"/OC /Nowhere BDC " + old + b" EMC"),
    "a point of a piece moved": drawing(moved_point),
    "a line of a piece left out": drawing(without_a_line),
    "dashes lengthened": drawing(lambda old: old.replace(b"[] 0 d", b"[1 900] 0 d", 1)),
    "lines made heavy": drawing(lambda old: re.sub(rb"\n[\d.]+ w", b"\n300 w", old, count=1)),
    "lines made white": drawing(lambda old: old.replace(b"0 G\n", b"1 G\n")),
    "the drawing emptied": drawing(lambda _: b" "),
    "the drawing stretched": drawing(lambda old: b"q 0.99 0 0 1 0 0 cm " + old + b" Q"),
    "the drawing shifted": drawing(lambda old: b"q 1 0 0 1 3 0 cm " + old + b" Q"),
}


# Pages -------------------------------------------------------------------------------------------------------------


def pages(change: Callable[[list[Any]], list[Any]]) -> Spoiler:
    """The pages in another order or number."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            tree = writer.root_object["/Pages"]
            before = list(tree["/Kids"])
            if len(before) < 2:
                raise NotApplicableError
            kids = change(before)
            fresh: list[Any] = []
            for kid in kids:
                again = kid in fresh
                fresh.append(writer._add_object(DictionaryObject(kid.get_object())) if again else kid)
            tree[NameObject("/Kids")] = ArrayObject(fresh)
            tree[NameObject("/Count")] = NumberObject(len(fresh))

        return changed(data, on)

    return spoil


def page(page: int = -1, **entries: Any) -> Spoiler:
    """A page with other entries."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            writer.pages[page].update(dictionary(**entries))

        return changed(data, on)

    return spoil


def narrowed(box: str) -> Spoiler:
    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            one = writer.pages[-1]
            sides = list(map(float, one["/MediaBox"]))
            one[NameObject(box)] = _object([sides[0], sides[1], sides[2] - 60.0, sides[3]])

        return changed(data, on)

    return spoil


def on_tree(**entries: Any) -> Spoiler:
    """What a page has from the branch that it is on, where it says nothing itself."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            writer.root_object["/Pages"].update(dictionary(**entries))
            for one in writer.pages:
                for key in entries:
                    one.pop(f"/{key}", None)

        return changed(data, on)

    return spoil


def picture(writer: PdfWriter) -> Any:
    return writer._add_object(
        stream(
            b"\xff",
            Type=NameObject("/XObject"),
            Subtype=NameObject("/Image"),
            Width=NumberObject(1),
            Height=NumberObject(1),
            ColorSpace=NameObject("/DeviceGray"),
            BitsPerComponent=NumberObject(8),
        )
    )


def covered_by_a_picture(data: bytes) -> bytes:
    def on(writer: PdfWriter) -> None:
        one = writer.pages[-1]
        resources = DictionaryObject(one["/Resources"])
        resources[NameObject("/XObject")] = DictionaryObject(
            {**(one["/Resources"].get("/XObject") or {}), NameObject("/Im0"): picture(writer)}
        )
        one[NameObject("/Resources")] = resources
        after = one.get_contents().get_data() + b"\nq 500 0 0 700 20 20 cm /Im0 Do Q"
        one[NameObject("/Contents")] = writer._add_object(stream(after))

    return changed(data, on)


def noted(**entries: Any) -> Spoiler:
    """A note laid on the last page."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            box = [20.0, 20.0, 500.0, 700.0]
            shown = stream(
                b"1 g 0 0 480 680 re f",
                Type=NameObject("/XObject"),
                Subtype=NameObject("/Form"),
                BBox=_object([0.0, 0.0, 480.0, 680.0]),
            )
            note = dictionary(Type="/Annot", Rect=box, F=4, AP=dictionary(N=writer._add_object(shown)), **entries)
            one = writer.pages[-1]
            one[NameObject("/Annots")] = ArrayObject([*(one.get("/Annots") or []), writer._add_object(note)])

        return changed(data, on)

    return spoil


def state(**entries: Any) -> Spoiler:
    """A graphics state set before all else on the last page."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            one = writer.pages[-1]
            resources = DictionaryObject(one["/Resources"])
            resources[NameObject("/ExtGState")] = dictionary(GS0=dictionary(**entries))
            one[NameObject("/Resources")] = resources
            after = b"/GS0 gs\n" + one.get_contents().get_data()
            one[NameObject("/Contents")] = writer._add_object(stream(after))

        return changed(data, on)

    return spoil


def fonts(change: Callable[[DictionaryObject, PdfWriter], None]) -> Spoiler:
    """Each font of the file changed."""

    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            for font in writer.pages[-1]["/Resources"]["/Font"].values():
                change(font.get_object(), writer)

        return changed(data, on)

    return spoil


def _without_file(font: DictionaryObject, _: PdfWriter) -> None:
    font["/FontDescriptor"].pop("/FontFile2", None)


def _drawn(font: DictionaryObject, writer: PdfWriter) -> None:
    font[NameObject("/Subtype")] = NameObject("/Type3")
    font[NameObject("/FontMatrix")] = _object([0.001, 0.0, 0.0, 0.001, 0.0, 0.0])
    font[NameObject("/CharProcs")] = dictionary(a=writer._add_object(stream(b"0 0 900 900 re f")))


def _wider(font: DictionaryObject, _: PdfWriter) -> None:
    font[NameObject("/Widths")] = ArrayObject(FloatObject(float(width) * 1.5) for width in font["/Widths"])


def _other_letters(font: DictionaryObject, _: PdfWriter) -> None:
    font[NameObject("/Encoding")] = dictionary(
        Type="/Encoding", BaseEncoding="/WinAnsiEncoding", Differences=[53, "/six"]
    )


def swapped_fonts(data: bytes) -> bytes:
    def on(writer: PdfWriter) -> None:
        named = writer.pages[-1]["/Resources"]["/Font"]
        first, second = list(named)[:2]
        one, other = named.raw_get(first), named.raw_get(second)
        named[NameObject(first)], named[NameObject(second)] = other, one

    return changed(data, on)


PAGES: dict[str, Spoiler] = {
    "a page missing": pages(lambda kids: kids[:-1]),
    "the first page missing": pages(lambda kids: kids[1:]),
    "a page twice": pages(lambda kids: [*kids, kids[-1]]),
    "a page twice in the tree": lambda data: changed(
        data, lambda writer: writer.root_object["/Pages"]["/Kids"].append(writer.root_object["/Pages"]["/Kids"][0])
    ),
    "a page in another's place": pages(lambda kids: [*kids[:-1], kids[-2]]),
    "pages in another order": pages(lambda kids: [*kids[:-2], kids[-1], kids[-2]]),
    "pages backwards": pages(lambda kids: kids[::-1]),
    "a blank page more": lambda data: changed(data, lambda writer: writer.add_blank_page()),
    "a blank page between": lambda data: changed(data, lambda writer: writer.insert_blank_page(index=1)),
    "a unit of its own": page(UserUnit=1.03),
    "turned": page(Rotate=90),
    "turned on its head": page(Rotate=180),
    "turned by its branch": on_tree(Rotate=90),
    "cut by its branch": on_tree(CropBox=[0.0, 0.0, 300.0, 300.0]),
    "cropped": narrowed("/CropBox"),
    "trimmed": narrowed("/TrimBox"),
    "a smaller medium": narrowed("/MediaBox"),
    "a medium that begins elsewhere": page(MediaBox=[-40.0, 0.0, 555.0, 842.0]),
    "an art box": page(ArtBox=[0.0, 0.0, 100.0, 100.0]),
    "a group that shows through": page(Group=dictionary(S="/Transparency")),
    "a script on the page": page(AA=dictionary(O=dictionary(S="/JavaScript", JS="app.alert(1)"))),
    "a thumbnail": page(Thumb=NullObject(), PieceInfo=dictionary(Other=dictionary(Private=1))),
    "a time to show": page(Dur=1, Trans=dictionary(S="/Wipe")),
    "an attachment on the page": page(AF=[dictionary(Type="/Filespec", F="x")]),
    "data of another program": page(PieceInfo=dictionary(Other=dictionary(LastModified="D:2020", Private=1))),
    "a place on the earth": page(VP=[dictionary(Type="/Viewport", BBox=[0, 0, 9, 9])]),
    "separations": page(SeparationInfo=dictionary(DeviceColorant="/Cyan")),
    "covered by a picture": covered_by_a_picture,
    "covered by a square": noted(Subtype="/Square", IC=[1.0, 1.0, 1.0]),
    "covered by a stamp": noted(Subtype="/Stamp"),
    "covered by a text": noted(Subtype="/FreeText", Contents="Cut here", DA="/Helv 12 Tf"),
    "to be blacked out": noted(Subtype="/Redact"),
    "with a field": noted(Subtype="/Widget", FT="/Btn"),
    "with an attached file": noted(Subtype="/FileAttachment", FS=dictionary(Type="/Filespec", F="x.exe")),
    "with a link out": noted(Subtype="/Link", A=dictionary(S="/URI", URI="http://example.org")),
    "with a link that starts": noted(Subtype="/Link", A=dictionary(S="/Launch", F="run.exe")),
    "see-through": state(ca=0.0, CA=0.0),
    "blended": state(BM="/Screen"),
    "masked": state(SMask=dictionary(S="/Luminosity")),
    "overprinted": state(OP=True, op=True, OPM=1),
    "with a curve of tones": state(TR="/Identity"),
    "with a line width of its own": state(LW=40.0),
    "fonts left out": fonts(_without_file),
    "fonts that draw": fonts(_drawn),
    "fonts that run wider": fonts(_wider),
    "fonts with other letters": fonts(_other_letters),
    "fonts exchanged": swapped_fonts,
}


# The file ----------------------------------------------------------------------------------------------------------


def root(**entries: Any) -> Spoiler:
    """The catalogue with other entries."""
    return lambda data: changed(data, lambda writer: writer.root_object.update(dictionary(**entries)))


def preferences(**entries: Any) -> Spoiler:
    def spoil(data: bytes) -> bytes:
        def on(writer: PdfWriter) -> None:
            writer.root_object["/ViewerPreferences"].update(dictionary(**entries))

        return changed(data, on)

    return spoil


def about(**entries: str) -> Spoiler:
    def spoil(data: bytes) -> bytes:
        given = {f"/{key}": value for key, value in entries.items()}
        return changed(data, lambda writer: writer.add_metadata(given))

    return spoil


def with_script(data: bytes) -> bytes:
    script = dictionary(S="/JavaScript", JS="this.print(true)")
    return root(Names=dictionary(JavaScript=dictionary(Names=["print", script])))(data)


def with_attachment(data: bytes) -> bytes:
    def on(writer: PdfWriter) -> None:
        writer.add_attachment("run.exe", b"MZ")

    return changed(data, on)


def bookmark_that_starts(data: bytes) -> bytes:
    def on(writer: PdfWriter) -> None:
        first = writer.root_object["/Outlines"]["/First"]
        first[NameObject("/A")] = dictionary(S="/JavaScript", JS="1")

    return changed(data, on)


def table(data: bytes) -> tuple[int, dict[int, int]]:
    """Where the table of objects of a file of ours is, and where each object."""
    at = data.rindex(b"xref\n0 ", 0, data.rindex(b"startxref"))
    rows = re.findall(rb"(\d{10}) (\d{5}) n ", data[at:])
    return at, {number: int(offset) for number, (offset, _) in enumerate(rows, 1)}


def other_place(data: bytes) -> bytes:
    """The table says that the second page is where the third is."""
    reader = PdfReader(BytesIO(data))
    if len(reader.pages) < 2:
        raise NotApplicableError
    one, other = (reader.pages[i].indirect_reference.idnum for i in (-1, -2))
    at, places = table(data)
    rows = data[at:].replace(b"%010d 00000 n" % places[one], b"%010d 00000 n" % places[other])
    return data[:at] + rows


def revised(data: bytes) -> bytes:
    """A revision at the end of the file gives the last page other content."""
    reader = PdfReader(BytesIO(data))
    number = reader.pages[-1].raw_get("/Contents").idnum
    start = int(re.findall(rb"startxref\s+(\d+)", data)[-1])
    fresh = b"%d 0 obj\n<< /Length 20 >>\nstream\n0 0 m 99 99 l S     \nendstream\nendobj\n" % number
    at = len(data) + len(fresh)
    root_number, size = reader.trailer.raw_get("/Root").idnum, reader.trailer["/Size"]
    info = reader.trailer.raw_get("/Info").idnum
    return (
        data
        + fresh
        + (
            b"xref\n%d 1\n%010d 00000 n \ntrailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /Prev %d >>\n"
            b"startxref\n%d\n%%%%EOF\n" % (number, len(data), size, root_number, info, start, at)
        )
    )


def shorter_stream(data: bytes) -> bytes:
    """The content of a page says that it is shorter than it is."""
    reader = PdfReader(BytesIO(data))
    number = reader.pages[-1].raw_get("/Contents").idnum
    _, places = table(data)
    length = re.compile(rb"/Length (\d+)").search(data, places[number])
    assert length
    less = b"%0*d" % (len(length[1]), int(length[1]) // 2)
    return data[: length.start(1)] + less + data[length.end(1) :]


def key_twice(data: bytes) -> bytes:
    """A page with two media boxes: readers take the one or the other."""
    at = data.rfind(b"/BleedBox")
    if at < 0:
        raise NotApplicableError
    return data[:at] + b"/MediaBox" + data[at + len(b"/MediaBox") :]


def layers(change: Callable[[DictionaryObject, PdfWriter], None]) -> Spoiler:
    def spoil(data: bytes) -> bytes:
        return changed(data, lambda writer: change(writer.root_object["/OCProperties"], writer))

    return spoil


def _off(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/D"][NameObject("/OFF")] = ArrayObject(properties["/OCGs"][:1])


def _base_off(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/D"][NameObject("/BaseState")] = NameObject("/OFF")
    properties["/D"][NameObject("/ON")] = ArrayObject(properties["/OCGs"][1:])


def _base_unchanged(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/D"][NameObject("/BaseState")] = NameObject("/Unchanged")
    properties["/D"][NameObject("/ON")] = ArrayObject()


def _not_printed(properties: DictionaryObject, _: PdfWriter) -> None:
    first = properties["/OCGs"][0]
    first.get_object()[NameObject("/Usage")] = dictionary(Print=dictionary(PrintState="/OFF"))
    event = dictionary(Event="/Print", OCGs=[first], Category=["/Print"])
    properties["/D"][NameObject("/AS")] = ArrayObject([event])


def _printed_by_usage_alone(properties: DictionaryObject, _: PdfWriter) -> None:
    usage = dictionary(Print=dictionary(Subtype="/Watermark", PrintState="/OFF"))
    properties["/OCGs"][0].get_object()[NameObject("/Usage")] = usage


def _designed(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/OCGs"][0].get_object()[NameObject("/Intent")] = NameObject("/Design")


def _intent(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/D"][NameObject("/Intent")] = NameObject("/Design")


def _radio(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/D"][NameObject("/RBGroups")] = ArrayObject([ArrayObject(properties["/OCGs"])])


def _configured(properties: DictionaryObject, _: PdfWriter) -> None:
    properties[NameObject("/Configs")] = ArrayObject([dictionary(BaseState="/OFF")])


def _renamed(properties: DictionaryObject, _: PdfWriter) -> None:
    properties["/OCGs"][0].get_object()[NameObject("/Name")] = TextStringObject("H999")


def _unlisted(properties: DictionaryObject, _: PdfWriter) -> None:
    del properties["/D"]["/Order"]


def _forgotten(properties: DictionaryObject, _: PdfWriter) -> None:
    del properties["/OCGs"][0]


def _all_must_be_off(properties: DictionaryObject, writer: PdfWriter) -> None:
    _member(properties, writer, P=NameObject("/AllOff"))


def _by_expression(properties: DictionaryObject, writer: PdfWriter) -> None:
    _member(properties, writer, VE=ArrayObject([NameObject("/Not"), properties["/OCGs"][0]]))


def _member(properties: DictionaryObject, writer: PdfWriter, **entries: PdfObject) -> None:
    made = dictionary(Type="/OCMD", OCGs=list(properties["/OCGs"]), **entries)
    named = writer.pages[-1]["/Resources"]["/Properties"]
    named[NameObject(next(iter(named)))] = writer._add_object(made)


def _exchanged(properties: DictionaryObject, writer: PdfWriter) -> None:
    named = writer.pages[-1]["/Resources"]["/Properties"]
    first, second = list(named)[:2]
    one, other = named.raw_get(first), named.raw_get(second)
    named[NameObject(first)], named[NameObject(second)] = other, one


LAYERS: dict[str, Spoiler] = {
    "a layer off": layers(_off),
    "all layers off but some": layers(_base_off),
    "layers left as they are": layers(_base_unchanged),
    "a layer that does not print": layers(_not_printed),
    "a layer of a watermark": layers(_printed_by_usage_alone),
    "a layer for designers": layers(_designed),
    "layers for designers": layers(_intent),
    "one layer at a time": layers(_radio),
    "another state of layers": layers(_configured),
    "a layer renamed": layers(_renamed),
    "layers not in the list": layers(_unlisted),
    "a layer not known": layers(_forgotten),
    "shown while all are off": layers(_all_must_be_off),
    "shown by an expression": layers(_by_expression),
    "layers exchanged on a page": layers(_exchanged),
    "layers gone": lambda data: changed(data, lambda writer: writer.root_object.pop("/OCProperties")),
}

FILE: dict[str, Spoiler] = {
    "a script on opening": root(OpenAction=dictionary(S="/JavaScript", JS="this.print()")),
    "a program on opening": root(OpenAction=dictionary(S="/Launch", F="run.exe")),
    "a page to open elsewhere": root(OpenAction=dictionary(S="/URI", URI="http://example.org")),
    "a script on printing": root(AA=dictionary(WP=dictionary(S="/JavaScript", JS="1"))),
    "a named script": with_script,
    "an attachment": with_attachment,
    "an associated file": root(AF=[dictionary(Type="/Filespec", F="x")]),
    "a collection": root(Collection=dictionary(View="/T")),
    "a form to fill in": root(AcroForm=dictionary(Fields=[], XFA="x")),
    "what it requires": root(Requirements=[dictionary(S="/EnableJavaScripts")]),
    "an address of its own": root(URI=dictionary(Base="http://example.org")),
    "an output intent": root(OutputIntents=[dictionary(S="/GTS_PDFX")]),
    "threads": root(Threads=[]),
    "a bookmark that starts": bookmark_that_starts,
    "scaled in printing": preferences(PrintScaling="/AppDefault"),
    "some pages to print": preferences(PrintPageRange=[0, 0], NumCopies=2),
    "on both sides": preferences(Duplex="/DuplexFlipLongEdge"),
    "paper by size": preferences(PickTrayByPDFSize=False, PrintArea="/TrimBox", PrintClip="/ArtBox"),
    "another title": about(Title="Heron shorts · Size H999"),
    "another purpose": about(Subject="For a projector, real size; not to be printed"),
    "not in real size": about(Keywords="small"),
    "a revision": revised,
    "a page where another is": other_place,
    "a stream that says less": shorter_stream,
    "a key twice": key_twice,
    "something after its end": lambda data: data + b"\n%PDF-1.4 more",
    "something before its start": lambda data: b"GIF89a\n" + data,
    "cut short": lambda data: data[: len(data) * 3 // 4],
    "a byte changed": lambda data: data.replace(b"/FormType 1", b"/FormType 2").replace(b"/Rotate 0", b"/Rotate 9"),
    "without its record": stripped,
}

SPOILERS: dict[str, Spoiler] = {**CONTENT, **PAGES, **FILE}
"""Each way by what the file is then; those of `LAYERS` need a file with layers."""

FORGED_UNSEEN = ("dashes lengthened", "fonts that run wider")
"""What nobody can tell once the record's digests are reckoned anew: it is no signature, and does not tell of these."""


# Saved again --------------------------------------------------------------------------------------------------------


def recompressed(data: bytes) -> bytes:
    def on(writer: PdfWriter) -> None:
        for one in writer.pages:
            one.compress_content_streams(level=1)

    return changed(data, on)


def unpacked(data: bytes) -> bytes:
    """All streams as they are, not packed."""

    def on(writer: PdfWriter) -> None:
        for number, thing in enumerate(writer._objects):
            if isinstance(thing, StreamObject) and "/Filter" in thing:
                plain = stream(thing.get_data())
                plain.update({key: value for key, value in thing.items() if key not in ("/Filter", "/Length")})
                writer._objects[number] = plain

    return changed(data, on)


def renumbered(data: bytes) -> bytes:
    """Objects under other numbers, in another order, with comments and spaces between."""
    at, places = table(data)
    offsets = sorted(places.values())
    ends = dict(zip(offsets, [*offsets[1:], at], strict=True))
    count = len(places)
    fresh = {number: count + 1 - number for number in places}
    out, where = b"%PDF-1.7\n% another hand\n", {}
    for number in sorted(places):
        whole = data[places[number] : ends[places[number]]]
        head, found, rest = whole.partition(b"stream\n")
        head = re.sub(rb"(\d+) 0 R", lambda match: b"%d 0 R" % fresh[int(match[1])], re.sub(rb"^\d+ 0 obj", b"", head))
        where[fresh[number]] = len(out)
        out += b"%d 0 obj %% number %d\n" % (fresh[number], number) + head + found + rest
    trailer = data[data.index(b"trailer", at) : data.rindex(b"startxref")]
    trailer = re.sub(rb"(\d+) 0 R", lambda match: b"%d 0 R" % fresh[int(match[1])], trailer)
    rows = b"".join(b"%010d 00000 n \n" % where[number] for number in sorted(where))
    return b"%sxref\n0 %d\n0000000000 65535 f \n%s%sstartxref\n%d\n%%%%EOF\n" % (
        out,
        count + 1,
        rows,
        trailer,
        len(out),
    )


def packed(data: bytes) -> bytes:
    """All objects but streams in an object stream, the table a stream: as PDF 1.5 and later can be saved."""
    at, places = table(data)
    offsets = sorted(places.values())
    ends = dict(zip(offsets, [*offsets[1:], at], strict=True))
    bodies = {number: data[place : ends[place]] for number, place in places.items()}
    plain = {n: re.sub(rb"^\d+ 0 obj|endobj\s*$", b"", body) for n, body in bodies.items() if b"stream\n" not in body}
    holder, rows_at = max(places) + 1, max(places) + 2
    out, rows = b"%PDF-1.7\n", {0: (0, 0, 65535)}
    for number, body in bodies.items():
        if number not in plain:
            rows[number] = (1, len(out), 0)
            out += body
    head, inside = b"", b""
    for place, (number, body) in enumerate(plain.items()):
        rows[number] = (2, holder, place)
        head += b"%d %d " % (number, len(inside))
        inside += body + b" "
    squeezed = zlib.compress(head + inside)
    rows[holder] = (1, len(out), 0)
    out += (
        b"%d 0 obj\n<< /Type /ObjStm /N %d /First %d /Filter /FlateDecode /Length %d >>\n"
        b"stream\n%s\nendstream\nendobj\n"
        % (
            holder,
            len(plain),
            len(head),
            len(squeezed),
            squeezed,
        )
    )
    rows[rows_at] = (1, len(out), 0)
    listed = [bytes([kind]) + one.to_bytes(4) + other.to_bytes(2) for _, (kind, one, other) in sorted(rows.items())]
    told, above_it = b"", bytes(7)
    for row in listed:  # each row told by the one above, as a reader must undo it
        told += b"\2" + bytes((a - b) & 255 for a, b in zip(row, above_it, strict=True))
        above_it = row
    squeezed = zlib.compress(told)
    trailer = data[data.index(b"trailer", at) : data.rindex(b"startxref")]
    kept = b" ".join(re.findall(rb"/(?:Root|Info) \d+ 0 R", trailer))
    begin = len(out)
    out += b"%d 0 obj\n<< /Type /XRef /Size %d /W [1 4 2] %s /Filter /FlateDecode /Length %d" % (
        rows_at,
        rows_at + 1,
        kept,
        len(squeezed),
    )
    out += b" /DecodeParms << /Predictor 12 /Columns 7 >> >>\nstream\n%s\nendstream\nendobj\n" % squeezed
    return out + b"startxref\n%d\n%%%%EOF\n" % begin


HARMLESS: dict[str, Spoiler] = {
    "as it is": lambda data: data,
    "cloned": lambda data: changed(data, lambda _: None),
    "cloned twice": lambda data: changed(changed(data, lambda _: None), lambda _: None),
    "recompressed": recompressed,
    "not compressed": unpacked,
    "renumbered": renumbered,
    "in object streams": packed,
    "with content in two parts": lambda data: changed(data, _in_two),
    "with no object twice": lambda data: changed(data, lambda writer: writer.compress_identical_objects()),
}


def _in_two(writer: PdfWriter) -> None:
    for one in writer.pages:
        whole = one.get_contents().get_data().strip()
        at = whole.index(b"\n", len(whole) // 2)
        parts = [writer._add_object(stream(part)) for part in (whole[:at], whole[at + 1 :])]
        one[NameObject("/Contents")] = ArrayObject(parts)
