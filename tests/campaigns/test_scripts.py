"""Names in twelve scripts and random crowded designs: what is printed has all its words, or is refused by name.

`CAMPAIGNS=long python -m pytest tests/campaigns/test_scripts.py -s` runs five hundred names.
"""

from __future__ import annotations

import json
import random
import re
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import replace
from io import StringIO
from unicodedata import category, normalize

import pypdfium2
import pytest

from blocks.design import Allowances, CasingDesign, FacingDesign, WaistDesign, WaistFinish
from blocks.label import CASING_LENGTH, NAME_LENGTH
from blocks.measurements import Body, body_from
from blocks.parameters import parameters_of
from blocks.short import Short, draft_short
from blocks.short.design import LegDesign, ShortDesign, TrimDesign, TrimKind
from blocks.size_range import draft_range
from campaigns.effort import rounds
from drafting.errors import DraftError
from nests import table
from output.command import main
from output.drawing.size_lines import size_pens
from output.formats.svg import nest_svg, piece_svg
from output.paper.sizes import LETTER, PAPERS, PROJECTIONS, Paper, roll
from output.patterns.nested import nested_pdf
from output.patterns.pattern_pdf import pattern_pdf, stacks_of
from output.patterns.projection import ProjectionPdf, projection_pdf
from output.patterns.tiled import TiledPdf
from output.patterns.wide import WidePdf, wide_pdf
from output.tables.summary import range_tables

SCRIPTS = {
    "Latin": "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz",
    "Latin with marks": "ĂÂĐÊÔƠƯăâđêôơưáạẫỳÅÆØßçéèñãőűžščřłąęğışțȘ",
    "Greek": "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠαβγδεζηθικλμνξοπρσςτυφχψωάέήίόύώ",
    "Cyrillic": "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩабвгдежзийклмнопрстіїєґўђћ",
    "Armenian": "ԱԲԳԴԵԶԷԸԹԺԻԼԽԾԿՀՁՂՃՄՅՆՇՈաբգդեզէըթժիլխծկհձղճմյնշո",
    "Georgian": "აბგდევზთიკლმნოპჟრსტუფქღყშჩცძწჭხჯჰ",
    "Hebrew": "אבגדהוזחטיכלמנסעפצקרשתךםןףץ",
    "Arabic": "ءآأؤإئابةتثجحخدذرزسشصضطظعغفقكلمنهوىي",
    "Persian": "ابپتثجچحخدذرزژسشصضطظعغفقکگلمنوهی",
    "Devanagari": "अआइईउऊएऐओऔकखगघचछजझ",
    "Thai": "กขคงจฉชซฌญฎฏฐฑฒณดต",
    "Han": "短裤夏天蓝色高腰亚麻裙子",
}
SIGNS = " ()[]-/&!?,.'’“”+×½"
DIGITS = "0123456789"


def named(rng: random.Random, script: str) -> str:
    """A name of words in one script, at times with Latin words, figures and signs between them."""
    words = []
    for _ in range(rng.randint(1, 7)):
        kind = rng.random()
        letters = DIGITS if kind < 0.1 else SCRIPTS["Latin"] if kind < 0.2 else SCRIPTS[script]
        word = "".join(rng.choice(letters) for _ in range(rng.randint(1, 12)))
        words.append(f"({word})" if rng.random() < 0.1 else word + (rng.choice(SIGNS) if rng.random() < 0.15 else ""))
    name = normalize("NFC", " ".join(words))[:NAME_LENGTH].strip()
    return name if any(map(str.isalpha, name)) else named(rng, script)


def words_of(text: str) -> Counter[str]:
    """Letters and figures of a text, whatever their order and form."""
    return Counter(letter for letter in normalize("NFKC", text) if category(letter)[0] in "LN")


def pages_of(data: bytes, whole: int | None = None) -> list[str]:
    """The words of each page, all of which stand within it; on pages after the first `whole`, which are joined, a
    piece's words may run on to the next.
    """
    texts = []
    for index, page in enumerate(pypdfium2.PdfDocument(data)):
        text = page.get_textpage()
        width, height = page.get_size()
        for number in range(text.count_rects() if whole is None or index < whole else 0):
            left, bottom, right, top = text.get_rect(number)
            inside = left > -1 and bottom > -1 and right < width + 1 and top < height + 1
            assert inside, f"{text.get_text_bounded(left, bottom, right, top)!r} leaves its page"
        texts.append(text.get_text_range())
    return texts


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_design_of_any_name_is_printed_with_all_of_it_or_refused_by_the_letter(script, tmp_path):
    rng = random.Random(script)
    told = Counter[str]()
    for number in range(rounds(3, 42)):
        name, size = named(rng, script), named(rng, script)[:14].strip(" ([/-") + "1"
        folder = tmp_path / f"{number}"
        folder.mkdir()
        casing = named(rng, script)[:CASING_LENGTH].strip()
        (folder / "design.toml").write_text(
            f'name = {json.dumps(name, ensure_ascii=False)}\nunit = "mm"\n[[casing]]\n'
            f"name = {json.dumps(casing, ensure_ascii=False)}\nheight = -80\n",
            encoding="utf-8",
        )
        given = ["--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5", "--size", size]
        out, errors = StringIO(), StringIO()
        with redirect_stdout(out), redirect_stderr(errors):
            code = main(["draft", str(folder / "design.toml"), *given, "--svg", "--out", str(folder / "out")])
        said = errors.getvalue()
        if code == 2:
            code_points = re.findall(r"U\+([0-9A-F]{4,6})", said)
            assert code_points, f"{name!r}: {said}"
            assert any(chr(int(found, 16)) in name + size + casing for found in code_points)
            assert not (folder / "out").exists()
            told["refused"] += 1
            continue
        assert code == 0, f"{name!r}: {said}"
        (file,) = (folder / "out").glob("*.pdf")
        first, *rest = pages_of(file.read_bytes())
        assert not words_of(name) - words_of(first), f"{name!r} is not on the first page"
        assert not words_of(casing) - words_of(" ".join((first, *rest))), f"{casing!r} is not printed"
        told["printed"] += 1
    print(f"{script}: {dict(told)}")
    assert told["refused" if script in {"Devanagari", "Thai", "Han"} else "printed"] > 0


def drawn_from(rng: random.Random, kind: type, share: float) -> dict[str, float]:
    """Some parameters of a design's part, anywhere in their ranges."""
    return {
        name: rng.uniform(about.low, about.high)
        for name, about in parameters_of(kind).items()
        if name not in {"height"} and rng.random() < share
    }


def random_design(rng: random.Random) -> ShortDesign:
    """Often with a short inseam, many casings close together, narrow facings and bands, and long names."""
    share = rng.choice((0.0, 0.1, 0.3))
    leg = drawn_from(rng, LegDesign, share)
    if rng.random() < 0.4:
        leg["inseam_length"] = rng.uniform(40, 70)
    depth, gap, height = rng.choice((5, 8, 15)), rng.uniform(0, 40), rng.uniform(-60, 60)
    casings = []
    for number in range(rng.choice((0, 1, 2, 4, 8))):
        name = rng.choice(
            ("leg", "W" * 24, "upper thigh gathering one", "WWWWWWWWWWW WWWWWWWWWWW", "חגורה תחתונה רחבה")
        )
        casings.append(CasingDesign(f"{name[:22]}{number}", height=height, elastic_width=depth - 2, depth=depth))
        height += 2 * depth + 4 + gap
        if height > 440:
            break
    waist = {"elastic_width": 10, "channel": 12} if rng.random() < 0.4 else drawn_from(rng, WaistDesign, share)
    waist = {**waist, "finish": rng.choice(list(WaistFinish))}
    trim = TrimDesign(rng.choice(list(TrimKind)), **drawn_from(rng, TrimDesign, share))
    return ShortDesign(
        rng.choice(("Heron", "W" * 60, "The Willow Meadow linen bubble shorts, summer", "שורט חסידה ארוך לקיץ (2)")),
        workroom=rng.choice(("", "Reedbank Workroom", "W" * 60)),
        leg=LegDesign(**leg),
        casings=tuple(casings),
        waist=WaistDesign(**waist),
        allowances=Allowances(**drawn_from(rng, Allowances, share)),
        facing=FacingDesign(**drawn_from(rng, FacingDesign, share)),
        trim=trim,
    )


def random_body(rng: random.Random) -> Body:
    hip, rise = rng.uniform(60, 160), rng.uniform(20, 34)
    measured = {"waist_girth": hip * rng.uniform(0.65, 0.9), "hip_girth": hip, "body_rise": rise}
    return body_from({**measured, "waist_to_hip": rise * rng.uniform(0.65, 0.78)}, unit="cm")


def simpler(design: ShortDesign, refusal: str) -> ShortDesign | None:
    """The design without a casing or the trim that was refused; None when something else was."""
    kept = [casing for casing in design.casings if repr(casing.name) not in refusal]
    if len(kept) < len(design.casings):
        return replace(design, casings=tuple(kept))
    return replace(design, trim=TrimDesign()) if "trim" in refusal else None


def random_short(rng: random.Random) -> Short | None:
    """One that drafts; None when none was found near the first."""
    design: ShortDesign | None
    try:
        design, body = random_design(rng), random_body(rng)
    except DraftError:
        return None
    rise, size, split = rng.choice(("high", "mid")), rng.choice(("H102", "W" * 20, "אדום", "36/38")), rng.random() < 0.3
    while design is not None:
        try:
            return draft_short(design, body, rise=rise, size=size, split=split)
        except DraftError as error:
            design = simpler(design, str(error))
    return None


def medium(rng: random.Random) -> Paper:
    return rng.choice((*PAPERS.values(), LETTER, LETTER, roll(1800), roll(1200), *PROJECTIONS.values()))


def check(made: TiledPdf | WidePdf | ProjectionPdf) -> None:
    """All words of a file stand on its pages."""
    joined = isinstance(made, TiledPdf) or (isinstance(made, WidePdf) and made.layout is not None)
    pages_of(made.data, (made.first_pages if isinstance(made, TiledPdf) else 0) if joined else None)


def check_refusal(error: DraftError) -> None:
    """A roll that a piece does not fit on is refused for that; nothing else is."""
    if "use a wider roll" not in str(error):
        raise error


def test_every_design_that_drafts_is_printed():
    rng, told = random.Random(5), Counter[str]()
    wanted = rounds(25, 400)
    while told["printed"] < wanted:
        short = random_short(rng)
        if short is None:
            told["not drafted"] += 1
            continue
        try:
            if rng.random() < 0.15:
                for piece in short.pieces:
                    piece_svg(piece, design=short.design.name)
                nest_svg(short.pieces, design=short.design.name)
            else:
                check(pattern_pdf(short, medium(rng)))
            told["printed"] += 1
        except DraftError as error:
            check_refusal(error)
            told["wider than its roll"] += 1
    print(dict(told))


def test_every_range_that_drafts_is_printed():
    rng, told = random.Random(6), Counter[str]()
    wanted = rounds(4, 200)
    while told["printed"] < wanted:
        first = random_short(rng)
        if first is None:
            continue
        label, count = rng.choice(("", "W" * 17, "אדום", "size ")), rng.choice((2, 3, 5, 9, 16, 40))
        made = table(count, start=rng.uniform(78, 100), step=rng.choice((0.5, 1, 2, 4)) if count < 20 else 0.7)
        if label:
            sizes = (replace(size, label=f"{label}{i}") for i, size in enumerate(made.sizes))
            made = replace(made, sizes=tuple(sizes))
        try:
            drafted = draft_range(first.design, made, rises=(first.rise,), fit="whole")
        except DraftError:
            continue
        if not drafted.groups:
            continue
        shorts = drafted.groups[0].garments
        own = {short.size for short in shorts}
        pens = {size: pen for size, pen in size_pens([size.label for size in made.sizes]).items() if size in own}
        paper, stacks = medium(rng), stacks_of(shorts)
        named = {"title": first.design.name, "rise": first.rise, "author": first.design.workroom}
        try:
            if paper.screen:
                check(projection_pdf(stacks, pens, **named))
            else:
                make = wide_pdf if paper.wide else nested_pdf
                check(make(stacks, pens, paper=paper, tables=range_tables(shorts), **named))
            told["printed"] += 1
        except DraftError as error:
            check_refusal(error)
            told["wider than its roll"] += 1
    print(dict(told))
