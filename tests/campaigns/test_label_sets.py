"""Sets of labels in twelve scripts: none is lost between what people call a size and what its file is called."""

from __future__ import annotations

import csv
import json
import random
from collections import Counter
from dataclasses import replace
from io import StringIO
from pathlib import Path
from unicodedata import normalize
from xml.etree import ElementTree

import ezdxf
import pytest

from blocks.label import LABEL_LENGTH, known_as, label_from, same
from blocks.short import draft_short
from campaigns.effort import rounds
from drafting.errors import DesignError, DraftError, OutputError
from drafting.seam import MIRROR
from output.command import main
from output.formats.dxf import pattern_dxf
from output.formats.pattern_json import pattern_json
from output.formats.svg import piece_svg
from output.system.names import stem, stems
from sampled import DESIGN, heron_body, heron_design

SCRIPTS = {
    "Latin": "aeiouAEIOUäöüÄÖÜßéèêñçøåłőğıİşŞșțžŽæÆœđ",
    "Greek": "αβγδεζηθικλμνξοπρστυφχψωςάέήίόύώΑΒΓΔΕΖ",
    "Cyrillic": "абвгдежзийклмнопрстуфхцчшщъыьэюяіїєґАБВЙЁё",
    "Armenian": "աբգդեզէըթժիլխծկհձղճմյնշոչպջռսվտրցւփքօֆև",
    "Georgian": "აბგდევზთიკლმნოპჟრსტუფქღყშჩცძწჭხჯჰᲐᲑᲒ",
    "Hebrew": "אבגדהוזחטיכלמנסעפצקרשתםןץףך\u05b8\u05b0",
    "Arabic": "ابتثجحخدذرزسشصضطظعغفقكلمنهويىةآأإ\u064e\u200c",
    "Devanagari": "अआइईउऊएऐओऔकखगघचछजझटठडढणतथदधनपफबभमयरलवशषसह\u093e\u093f\u0940\u094d\u0902",
    "Thai": "กขคงจฉชซญฎฏฐณดตถทธนบปผฝพฟภมยรลวศษสหอฮ\u0e48\u0e49\u0e34\u0e35",
    "Han": "小中大特号长短宽窄腰臀裤夏春秋冬袖型身高",
    "Kana": "あいうえおかがきぎくぐはばぱひびぴアイウエオカガハバパｶﾞﾊﾟー",
    "Hangul": "가각간갈감갑강개거건걸검게겨고공과관광구국군궁한글\u1100\u1161",
}
SIGNS = "+-/*#&%().,:;!?=@'_~^|<>½¼¾²³№…–—·"
BLANKS = "  \u00a0\u2009\u3000\t"
UNSEEN = "\u200b\u00ad\ufeff\u200e\u200d\ufe0f"
DEVICES = ("CON", "nul", "Aux", "COM1", "lpt9", "PRN")
DIGITS = "0123456789٠١٢०१२０１２"


def word(random_: random.Random, letters: str) -> str:
    return "".join(random_.choice(letters) for _ in range(random_.randint(1, 6)))


def near(random_: random.Random, label: str) -> str:
    """A label that a person tells from the first, or does not."""
    sign = random_.choice(SIGNS)
    return random_.choice(
        (
            label + sign,
            sign + label,
            label.replace(" ", sign),
            label.replace("/", "-"),
            label.upper(),
            label.lower(),
            label.title(),
            normalize("NFD", label),
            normalize("NFKC", label),
            label.replace(" ", random_.choice(BLANKS)),
            label + random_.choice(UNSEEN),
            f"({label})",
            label + random_.choice(DIGITS),
            label,
        )
    )


def labels_of(random_: random.Random, script: str) -> list[str]:
    letters, labels = SCRIPTS[script], []
    for _ in range(random_.randint(1, 4)):
        first = random_.choice(
            (
                word(random_, letters),
                f"{word(random_, letters)} {word(random_, letters)}",
                f"{random_.randint(1, 60)}{random_.choice(SIGNS)}{random_.randint(1, 60)}",
                random_.choice(DEVICES),
                f"{word(random_, letters)}{random_.choice(SIGNS)}{word(random_, letters)}",
            )
        )
        labels.append(first)
        labels += [near(random_, random_.choice(labels)) for _ in range(random_.randint(1, 4))]
    return labels


def seen_by_file_systems(name: str) -> list[str]:
    """A name as NTFS compares it, as APFS and HFS+ do, and as programs that fold compatible forms do."""
    return [
        name,
        "".join(letter.upper() if len(letter.upper()) == 1 else letter for letter in name),
        normalize("NFD", normalize("NFD", name).casefold()),
        normalize("NFKD", normalize("NFKC", name).casefold()),
    ]


def taken_in(labels: list[str]) -> tuple[list[str], int]:
    """The labels that come in by the door, each once, and how many it refuses, each by name and on one line."""
    kept: list[str] = []
    refused: list[str] = []
    for label in labels:
        try:
            kept.append(label_from("size", label, LABEL_LENGTH, kind="label"))
        except DraftError as error:
            refused.append(str(error))
    assert all(message.startswith("size: ") and message.isprintable() for message in refused)
    return list(dict.fromkeys(kept)), len(refused)


def test_every_label_has_a_file_name_of_its_own_on_every_file_system() -> None:
    random_, count = random.Random(12), Counter[str]()
    for number in range(rounds(200, 5000)):
        labels, refused = taken_in(labels_of(random_, list(SCRIPTS)[number % len(SCRIPTS)]))
        shuffled = random_.sample(labels, len(labels))
        found = stems(labels)
        assert stems(shuffled) == found
        for compared in zip(*map(seen_by_file_systems, found.values()), strict=True):
            assert len(set(compared)) == len(labels), found
        for label, name in found.items():
            assert 0 < len(name.encode()) <= 60
            assert name.upper() not in map(str.upper, DEVICES)
            count["changed"] += name != stem(label)
        count += Counter(sets=1, labels=len(labels), refused=refused)
    print(f"\nnames: {dict(count)}, lost 0")
    assert count["changed"] > 0


def write_table(path: Path, labels: list[str]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["size", "unit", "waist_girth", "hip_girth", "body_rise", "waist_to_hip"])
        for number, label in enumerate(labels):
            hip = 90 + 3 * number
            row = (0.75 * hip, hip, 27 + (hip - 102) / 20, 20.5 + (hip - 102) / 40)
            writer.writerow([label, "cm", *(f"{value:.3f}" for value in row)])


def test_a_range_has_a_file_of_every_size_or_names_what_it_refuses(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    random_, count = random.Random(7), Counter[str]()
    for number in range(rounds(60, 1200)):
        script = list(SCRIPTS)[number % len(SCRIPTS)]
        labels = random_.sample(whole := labels_of(random_, script), min(3, len(whole)))
        table, out = tmp_path / f"{number}.csv", tmp_path / f"{number}"
        write_table(table, labels)
        code = main(["range", str(DESIGN), str(table), "--out", str(out), "--each", "--rise", "mid", "--workers", "1"])
        told = capsys.readouterr()
        kept, refused = taken_in(labels)
        if code:
            assert code == 2, (labels, told.err)
            assert not out.exists()
            assert all(line.startswith("shirrline: ") and line.isprintable() for line in told.err.splitlines())
            named = "two sizes have this label" if same(kept) or len(kept) + refused < len(labels) else "U+"
            assert refused or named in told.err, (labels, told.err)
            count["refused"] += 1
            continue
        assert len(kept) == len(labels)
        alone = [
            path for path in out.glob("*.pdf") if "-mid-whole-" not in path.name and "-mid-split-" not in path.name
        ]
        assert len(alone) == len(labels), (labels, [path.name for path in alone])
        assert len({path.name.casefold() for path in out.iterdir()}) == len(list(out.iterdir()))
        count["written"] += 1
    print(f"\nranges: {dict(count)}, lost 0")
    assert count["written"] > 0


def test_casings_of_any_names_stay_apart_in_every_file() -> None:
    """Pieces, JSON, SVG, DXF and elastics have as many as were given, or the door names what it refuses."""
    random_, count = random.Random(24), Counter[str]()
    plain = heron_design()
    for number in range(rounds(300, 5000)):
        names = random_.sample(whole := labels_of(random_, list(SCRIPTS)[number % len(SCRIPTS)]), min(4, len(whole)))
        try:
            casings = tuple(replace(casing, name=name) for casing, name in zip(plain.casings, names, strict=False))
            short = draft_short(replace(plain, casings=casings), heron_body(), split=bool(number % 2))
        except DesignError as error:
            told = str(error)
        else:
            told = ""
        if told:
            kept, refused = taken_in(names)
            assert told.isprintable()
            assert refused or "names two casings" in told or len(kept) < len(names), told
            count["refused"] += 1
            continue
        given = {casing.name for casing in casings} & {
            line.casing for piece in short.pieces for line in piece.fold_lines
        }
        assert len({known_as(elastic.label) for elastic in short.elastics}) == len(short.elastics)
        pieces = json.loads(pattern_json(short.pieces))["pieces"]
        legs = [piece for piece in pieces if piece["fold_lines"]]
        assert all({line["casing"] for line in piece["fold_lines"]} == given for piece in legs)
        ids = [(piece["name"], notch["id"]) for piece in pieces for notch in piece["notches"]]
        assert len(set(ids)) == len(ids)
        mates = [(piece["name"], notch["id"], notch["mate"]) for piece in pieces for notch in piece["notches"]]
        for name, own, mate in mates:
            where, _, id_ = (mate or f"{MIRROR}/{own}").rpartition("/")
            assert (name if where in (MIRROR, "") else where, id_) in ids
        try:
            drawing = ElementTree.fromstring(piece_svg(short.pieces[0], design="Plain"))
            document = ezdxf.read(StringIO(pattern_dxf(short.pieces, design="Plain").decode("cp1252")))
        except OutputError as error:
            told = str(error)
        if told:
            assert "U+" in told, told
            count["letters refused"] += 1
            continue
        named = [element.get("id") for element in drawing.iter() if element.get("id")]
        assert len({one.lower() for one in named if one}) == len(named)
        assert not document.audit().errors
        assert len([block for block in document.blocks if not block.is_any_layout]) == len(short.pieces)
        count["drawn"] += 1
    print(f"\ncasings: {dict(count)}, merged 0")
    assert count["drawn"] > 0
