"""A release read back from its folder: whatever two of its files say of one thing, they say alike.

The range is made for it: two rises, a size that is split and sizes that are not, a casing that one size alone loses in
the mid rise, casings named like our own words, a bought trim, a size table in inches and a design in millimetres.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import tomllib
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from itertools import product, takewhile
from pathlib import Path

import pytest
from pypdf import PdfReader

from campaigns.effort import rounds
from guides import WORDS
from output.command import main
from output.system.reading import read_sizes
from quick import quick
from released import Guide, cells, lines, manifest, table, words
from sampled import SAMPLES

DESIGN = """
name = "Stroller shorts"
workroom = "Reedbank Workroom"
unit = "mm"

[leg]
mid_drop = 40

[[casing]]
name = "waist"
height = 200
elastic_width = 8
depth = 11

[[casing]]
name = "elastic"
height = 180
elastic_width = 8
depth = 11

[[casing]]
name = "trim"
height = -75
elastic_width = 12
depth = 16

[waist]
elastic_width = 20
overlap = 18

[trim]
kind = "bought"
width = 50

[allowances]
seam = 11
waist = 9
hem = 14
"""
SIZES = """size,unit,waist_girth,hip_girth,body_rise,waist_to_hip
Ivy,in,29,38,10.25,8
Oak,in,32,41,10.5,8.1
Elm,in,43,52,11.4,8.5
"""
LABELS = ("Ivy", "Oak", "Elm")
RISES = ("high", "mid")
CASINGS = ("waist casing", "elastic", "trim casing")
STRIPS = ("waist", *CASINGS)
WIDTHS = (("waist", 1, 20), ("waist casing", 2, 8), ("trim casing", 2, 12), ("trim", 2, 50))
"""Strips, how many are cut and how wide they are in mm."""


def said(*arguments: str) -> str:
    """What a command prints; it must succeed."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(list(arguments)) == 0
    return out.getvalue()


@dataclass(frozen=True)
class Release:
    """The folder, and what publish printed."""

    folder: Path
    given: tuple[str, str]
    report: str

    @cached_property
    def rows(self) -> dict[tuple[str, ...], dict[str, str]]:
        """The lines of tables.csv by table, size, rise, item and measure."""
        keys = ("table", "size", "rise", "item", "measure")
        return {tuple(row[key] for key in keys): row for row in table(self.folder / "tables.csv")}

    @cached_property
    def guide(self) -> Guide:
        return self.guides[0]

    @cached_property
    def guides(self) -> list[Guide]:
        return [Guide(path, LABELS) for path in sorted(self.folder.glob("*-guide-*.pdf"))]

    @cached_property
    def tables(self) -> dict:
        return json.loads((self.folder / "tables.json").read_bytes())

    def nest(self, label: str, rise: str, paper: str = "A4") -> Path:
        return self.folder / f"stroller-shorts-{rise}-{'split' if self.split(label, rise) else 'whole'}-{paper}.pdf"

    def split(self, label: str, rise: str) -> bool:
        return self.rows["splitting", label, rise, "leg", ""]["text"] == "split"


@pytest.fixture(scope="module")
def release(tmp_path_factory) -> Release:
    given = tmp_path_factory.mktemp("given")
    (given / "design.toml").write_text(DESIGN)
    (given / "sizes.csv").write_text(SIZES)
    out = tmp_path_factory.mktemp("release") / "out"
    paths = (str(given / "design.toml"), str(given / "sizes.csv"))
    report = said(
        "publish",
        *paths,
        *("--cloth", "110", "--selvedge", "1", "--shrinkage", "5", "--seconds", "1", "--workers", "1"),
        *("--page", "A4", "--page", "Letter", "--page", "A1", "--roll", "914", "--projection", "dark"),
        *("--out", str(out)),
    )
    return Release(out, paths, report)


every = pytest.mark.parametrize(("label", "rise"), list(product(LABELS, RISES)))


# Tables -----------------------------------------------------------------------------------------------------------


def test_the_two_tables_say_the_same(release):
    rows, found = release.rows, release.tables
    for label, body in found["body"].items():
        for name, length in body.items():
            row = rows["body", label, "", name.replace("_", " "), ""]
            assert (float(row["cm"]), float(row["inches"]), row["eighths"]) == (
                length["cm"],
                length["inches"],
                length["eighths"],
            )
            assert (row["text"] == "estimated") is length["estimated"]
    for size in found["sizes"]:
        label, rise = size["size"], size["rise"]
        assert release.split(label, rise) is size["split"]
        for name, length in size["measures"].items():
            row = rows["finished measures", label, rise, name.replace("_", " "), ""]
            assert (float(row["cm"]), row["eighths"]) == (length["cm"], length["eighths"])
        for kind in ("elastics", "trims"):
            for strip in size[kind]:
                for measure, key in (("cut length", "cut_length"), ("cut length, rounded", "rounded")):
                    row = rows[kind, label, rise, strip["name"], measure]
                    told = (strip[key]["cm"], strip[key]["inches"], strip[key]["eighths"])
                    assert (float(row["cm"]), float(row["inches"]), row["eighths"]) == told
                    assert int(row["count"]) == strip["quantity"]
                assert float(rows[kind, label, rise, strip["name"], "width"]["cm"]) == strip["width"]["cm"]
            for one in size[f"{kind}_to_buy"]:
                item = f"{kind.removesuffix('s')} {one['width']['cm']:g} cm wide"
                row = rows["to buy", label, rise, item, "metres"]
                assert row["text"] == f"{one['metres']:.2f} m ({one['yards']} yd)"
                assert float(row["cm"]) == pytest.approx(100 * one["metres"])
        for piece in size["pieces"]:
            assert int(rows["pieces", label, rise, piece["name"], ""]["count"]) == piece["cut_count"]
    warnings = [row["text"] for row in table(release.folder / "tables.csv") if row["table"] == "warnings"]
    assert warnings == found["warnings"]
    assert [row["text"] for row in table(release.folder / "tables.csv") if row["item"] == "range"] == found["splitting"]


def test_the_guide_tells_bodies_and_finished_measures_of_the_tables(release):
    for guide in release.guides:
        bodies = guide.rows("body")
        assert set(bodies) == set(LABELS)
        for label, body in release.tables["body"].items():
            assert cells(bodies[label]) == [(f"{one['cm']:.1f}", one["eighths"]) for one in body.values()]
        for size in release.tables["sizes"]:
            told = cells(guide.rows("finished", size["rise"])[size["size"]])
            expected = [(one["cm"], one["eighths"]) for one in size["measures"].values()]
            assert [inches for _, inches in told] == [inches for _, inches in expected]
            for (cm, _), (exact, _) in zip(told, expected, strict=True):
                assert float(cm) == pytest.approx(exact, abs=0.0551)


# Elastics ---------------------------------------------------------------------------------------------------------


def strip_cells(release: Release, label: str, rise: str) -> list[tuple[str, ...]]:
    """The cut lengths of a size as the tables have them, a dash for what it lacks."""
    found = []
    for kind, name in (*(("elastics", name) for name in STRIPS), ("trims", "trim")):
        row = release.rows.get((kind, label, rise, name, "cut length, rounded"))
        found.append((f"{float(row['cm']):.1f}", row["eighths"]) if row else ("–",))
    return found


def shop_cells(release: Release, label: str, rise: str) -> list[tuple[str, ...]]:
    """What a size takes as notions.csv has it, elastics from the widest."""
    return [
        (f"{row['buy_metres']} m", f"{row['buy_yards']} yd")
        for row in table(release.folder / "notions.csv")
        if (row["size"], row["rise"]) == (label, rise) and row["notion"] in ("elastic", "trim")
    ]


@every
def test_elastics_to_cut_and_to_buy_are_the_same_in_every_file(release, label, rise):
    strips, shop = strip_cells(release, label, rise), shop_cells(release, label, rise)
    assert len(shop) == 4
    for guide in release.guides:
        assert cells(guide.rows("elastics", rise)[label]) == [*strips, *shop]
        head = guide.head("elastics", rise)
        for name, quantity, width in WIDTHS:
            assert re.search(rf"(^size |× \d ){name} {width} mm \([^)]*\) × {quantity}", head)
    for row in table(release.folder / "notions.csv"):
        if (row["size"], row["rise"]) == (label, rise) and row["width_cm"]:
            item = f"{row['notion']} {float(row['width_cm']):g} cm wide"
            told = release.rows["to buy", label, rise, item, "metres"]["text"]
            assert told == f"{row['buy_metres']} m ({row['buy_yards']} yd)"


@every
def test_what_is_bought_suffices_for_what_is_cut(release, label, rise):
    for kind in ("elastics", "trims"):
        size = next(s for s in release.tables["sizes"] if (s["size"], s["rise"]) == (label, rise))
        for one in size[f"{kind}_to_buy"]:
            mine = [strip for strip in size[kind] if strip["width"] == one["width"]]
            for length in ("cut_length", "rounded"):
                need = sum(strip[length]["cm"] * strip["quantity"] for strip in mine)
                assert need <= 100 * one["metres"] + 0.02


@every
@pytest.mark.parametrize("paper", ["A4", "Letter", "A1", "roll-914"])
def test_the_first_pages_tell_the_elastics_and_cuts_of_the_tables(release, label, rise, paper):
    told = words(release.nest(label, rise, paper))
    start = told.index("Elastics and trim: how many, how wide")
    row = " ".join("none" if cell == ("–",) else f"{cell[0]} ({cell[1]})" for cell in strip_cells(release, label, rise))
    assert f" {label} {row}" in told[start:]
    head = told[start:].replace(" ", "")
    for name, quantity, width in WIDTHS:
        assert f"{name.replace(' ', '')}:{quantity},{width}mm(" in head
    if paper in ("A4", "Letter"):
        for piece in pieces(release, label, rise):
            count, half = piece["cut_count"], piece["cut_count"] // 2
            assert f"{title(piece)} Cut {count}: {count - half} as drawn, {half} mirrored" in told


def title(piece: dict) -> str:
    name, _, half = piece["name"].capitalize().rpartition(" ")
    split = half in ("front", "back") and name != "Leg"
    return f"{name}, {half}" if split else piece["name"].capitalize()


def pieces(release: Release, label: str, rise: str) -> list[dict]:
    nest = release.nest(label, rise).name.replace("-A4.pdf", "-pieces.json")
    found = json.loads((release.folder / nest).read_bytes())["pieces"]
    return [piece for piece in found if (piece["size"], piece["rise"]) == (label, rise)]


# Between two sizes ------------------------------------------------------------------------------------------------


Pairs = dict[tuple[str, str], tuple[str, ...]]
"""What is cut, by waist size and hip size."""


def blended_part(guide: Guide, rise: str) -> list[str]:
    """The lines of a rise in the section for a wearer between sizes."""
    section = guide.section("blend")
    start = section.index(WORDS.say(f"rise.{rise}")) + 1
    stops = [at for at, line in enumerate(section) if at >= start and line in map(WORDS.say, ("rise.high", "rise.mid"))]
    return section[start : min(stops, default=len(section))]


def named(guide: Guide, rise: str, key: str) -> list[str]:
    """The elastics that a sentence of that part lists."""
    high = WORDS.say("rise.high").lower()
    sentence = re.escape(WORDS.say(key, names="NAMES", rise=high)).replace("NAMES", "([^.]*)")
    found = re.search(sentence, " ".join(blended_part(guide, rise)))
    return re.split(", | and ", found[1]) if found else []


def pairs_in(guide: Guide, rise: str, name: str) -> Pairs:
    """The table of one elastic, over as many pages and with as many columns at a time as it is printed."""
    lines = blended_part(guide, rise)
    rest = lines[lines.index(WORDS.say("blend.table", name=name)) + 1 :]
    found: Pairs = {}
    columns: list[str] = []
    at = 0
    while at < len(rest) and (rest[at] == WORDS.say("blend.size") or rest[at] in guide.labels):
        if rest[at] == WORDS.say("blend.size"):
            heads = list(takewhile(lambda line: line not in guide.labels, rest[at + 1 :]))
            columns = [
                label for head in heads for label in guide.labels if head == WORDS.say("blend.across", size=label)
            ]
            at += 1 + len(heads)
        row = list(takewhile(lambda line: re.fullmatch(r"[\d ./]+|–", line), rest[at + 1 :]))
        found |= {(waist, rest[at]): cell for waist, cell in zip(columns, cells(row), strict=True)}
        at += 1 + len(row)
    return found


def by_the_guide(guide: Guide, rise: str, waist: str, hips: str, names: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """What a sewist cuts who follows the guide's rule for two sizes, to the letter."""
    lengths = {label: dict(zip(names, cells(row), strict=False)) for label, row in guide.rows("elastics", rise).items()}
    cut = {name: lengths[waist][name] for name in named(guide, rise, "blend.of_waist")}
    cut |= {name: lengths[hips][name] for name in named(guide, rise, "blend.of_hips")}
    cut |= {name: pairs_in(guide, rise, name)[waist, hips] for name in named(guide, rise, "blend.of_both")}
    before = named(guide, rise, "blend.of_before")
    cut |= {name: pairs_in(guide, "high", name)[waist, hips] for name in before}
    assert set(cut) == set(names)
    return {name: length for name, length in cut.items() if length != ("–",)}


def by_the_tool(paths: tuple[str, str], rise: str, waist: str, hips: str) -> dict[str, tuple[str, ...]]:
    """The list that the command prints."""
    text = said("elastics", *paths, "--rise", rise, "--waist-size", waist, "--hip-size", hips)
    found = {}
    for line in text.splitlines():
        if row := re.fullmatch(r"(\S.*?)  +\S+ mm \(.*?\)  +\S+ cm  +(\S+) cm  +(\S+(?: \S+)?) in  +\d", line):
            found[row[1]] = (row[2], row[3])
    return found


@pytest.mark.parametrize("rise", RISES)
def test_between_two_sizes_the_guide_leads_to_the_list_of_the_tool(release, rise):
    for guide in release.guides:
        for waist, hips in product(LABELS, LABELS):
            tool = by_the_tool(release.given, rise, waist, hips)
            tool.pop("trim")
            assert by_the_guide(guide, rise, waist, hips, STRIPS) == tool, (waist, hips)


@pytest.mark.parametrize("step", quick([5, rounds(3, 1)], lambda step: step == 5))
@pytest.mark.parametrize("design", ["sample", "across the levels"])
def test_every_pair_of_sizes_of_the_sample_is_cut_by_its_guide_as_by_the_tool(tmp_path, design, step):
    """The second design has casings about which sizes differ: whose they are, and whether the mid rise has them."""
    other = tmp_path / "design.toml"
    other.write_text(DESIGN)
    paths = (str(SAMPLES / "design.toml" if design == "sample" else other), str(SAMPLES / "sizes.csv"))
    labels = tuple(row["size"] for row in read_sizes(SAMPLES / "sizes.csv")["body"])
    said("guide", *paths, "--out", str(tmp_path / "out"))
    (path,) = (tmp_path / "out").glob("*.pdf")
    guide = Guide(path, labels)
    names = STRIPS if design != "sample" else ("waist", *every_casing(paths))
    for rise in RISES:
        for waist, hips in product(labels[::step], repeat=2):
            tool = by_the_tool(paths, rise, waist, hips)
            tool.pop("trim", None)
            present = tuple(name for name in names if name in guide.head("elastics", rise))
            assert by_the_guide(guide, rise, waist, hips, present) == tool, (rise, waist, hips)
    if design != "sample":
        assert ("–",) in pairs_in(guide, "mid", "waist casing").values()
        assert named(guide, "high", "blend.of_both") == ["waist casing", "elastic"]


def test_a_table_of_blends_says_what_the_command_says(release):
    found = {(one["rise"], one["waist_size"], one["hip_size"]): one["elastics"] for one in release.tables["blends"]}
    assert set(found) == {(rise, *pair) for rise in RISES for pair in product(LABELS, repeat=2) if pair[0] != pair[1]}
    for (rise, waist, hips), strips in found.items():
        tool = by_the_tool(release.given, rise, waist, hips)
        label = f"{waist} on {hips}"
        for strip in strips:
            assert tool.pop(strip["name"]) == (f"{strip['rounded']['cm']:.1f}", strip["cut_length"]["eighths"])
            row = release.rows["blended elastics", label, rise, strip["name"], "cut length"]
            assert float(row["cm"]) == strip["cut_length"]["cm"]
            ratio = release.rows["blended elastics", label, rise, strip["name"], "stretch ratio"]["text"]
            assert float(ratio) == strip["stretch_ratio"]
        own = by_the_tool(release.given, rise, hips, hips)
        assert tool == {name: own[name] for name in tool}  # what is left out is cut as for the hip size


def height_of(casing: dict) -> float:
    """About where a casing lies: all that is asked is the order."""
    return casing["height"] if "height" in casing else 300 * casing["share"]


def every_casing(paths: tuple[str, str]) -> tuple[str, ...]:
    """The casings of a design from the top down."""
    casings = tomllib.loads(Path(paths[0]).read_text())["casing"]
    return tuple(casing["name"] for casing in sorted(casings, key=lambda casing: -height_of(casing)))


# Cloth ------------------------------------------------------------------------------------------------------------


@every
def test_cloth_is_the_same_in_table_guide_plan_and_command(release, label, rise):
    (row,) = [
        row for row in table(release.folder / "cloth-requirement.csv") if (row["size"], row["rise"]) == (label, rise)
    ]
    assert (row["legs"] == "split") is release.split(label, rise)
    amount = f"{row['buy_metres']} m ({row['buy_yards']} yd)"
    for guide in release.guides:
        assert cells(guide.rows("cloth", rise)[label]) == [(f"{row['buy_metres']} m", f"{row['buy_yards']} yd")]
        assert "5 % that the first wash may shrink" in guide.words
    for path in release.folder.glob("*-lay-plans-*.pdf"):
        (page,) = [" ".join(page) for page in lines(path) if f"Size {label} · {rise} rise ·" in " ".join(page)]
        assert f"to buy {amount} of cloth" in page
        assert f"lay length {row['lay_length_cm']} cm" in page
        assert f"least length {row['least_cm']} cm" in page
        assert f"cloth used {row['cloth_used_percent']} %" in page
        assert f"shrinkage, ends {row['shrinkage_percent']} %" in page
        for notion in table(release.folder / "notions.csv"):
            if (notion["size"], notion["rise"]) != (label, rise):
                continue
            if notion["notion"].startswith("sewing thread"):
                assert f"sewing thread, about {notion['buy_metres']} m" in page
            else:
                wide = f"{float(notion['width_cm']) * 10:g} mm"
                found = (
                    rf"{notion['notion']}, {wide} \([^)]*\) wide {notion['buy_metres']} m \({notion['buy_yards']} yd\)"
                )
                assert re.search(found, page)


def test_the_lay_command_says_what_the_release_says(release, tmp_path):
    options = (
        *("--cloth", "110", "--selvedge", "1", "--shrinkage", "5", "--seconds", "1"),
        *("--page", "A4", "--page", "Letter"),
    )
    text = said("lay", *release.given, *options, "--out", str(tmp_path / "text"))
    found = json.loads(said("lay", *release.given, *options, "--json", "--out", str(tmp_path / "json")))
    for row in table(release.folder / "cloth-requirement.csv"):
        amount = f"{row['buy_metres']} m ({row['buy_yards']} yd)"
        assert f"{row['size']}, {row['rise']} rise, 110 cm cloth, single layer: {amount}" in text
        (lay,) = [lay for lay in found["lays"] if (lay["size"], lay["rise"]) == (row["size"], row["rise"])]
        assert lay["split"] is (row["legs"] == "split")
        assert f"{lay['metres']:.2f}" == row["buy_metres"]
        assert lay["lay_length"] / 10 == pytest.approx(float(row["lay_length_cm"]), abs=0.0501)
        assert lay["least"] / 10 == pytest.approx(float(row["least_cm"]), abs=0.0501)
        assert 100 * lay["used"] == pytest.approx(float(row["cloth_used_percent"]), abs=0.0501)
    for name in found["files"]:
        assert (tmp_path / "json" / name).read_bytes() == (release.folder / name).read_bytes()


def test_which_legs_fit_whole_is_said_alike_of_the_cloth_that_was_chosen(release):
    for guide in release.guides:
        section = " ".join(guide.section("files"))
        row = section[section.index("110.0 cm (43.3 in) single layer") :]
        assert row.startswith("110.0 cm (43.3 in) single layer 108.0 cm (42.5 in) Ivy to Oak Elm none")
    assert "Legs: Elm is split on 110 cm cloth, single layer" in release.report
    assert release.tables["splitting"] == ["Elm is split on 110 cm cloth, single layer"]
    assert release.tables["cloth"]["usable"]["cm"] == 108.0


# Pieces -----------------------------------------------------------------------------------------------------------


def test_allowances_depths_and_counts_of_the_guide_are_those_of_the_pieces(release):
    guide = release.guide.words
    (leg, facing) = pieces(release, "Oak", "high")
    allowances = {edge["name"]: edge["allowance"] for edge in leg["edges"]}
    seam, hem, waist = allowances["front crotch"], allowances["hem"], allowances["waist"]
    assert (seam, hem, waist) == (11, 14, 9)
    assert re.search(rf"{seam:g} mm \(\S+ in\) at crotch seam, inseam and side seam", guide)
    assert re.search(rf"{waist:g} mm \(\S+ in\) at the waist, {hem:g} mm \(\S+ in\) at the hem", guide)
    under = next(edge["allowance"] for edge in facing["edges"] if edge["name"] == "turn-under")
    assert re.search(rf"Press {under:g} mm \(\S+ in\) along the lower edge of the facing", guide)
    assert re.search(rf"Turn the lower edge {hem / 2:g} mm \(\S+ in\) to the inside", guide)
    depths = {line["casing"]: line["depth"] for line in leg["fold_lines"]}
    assert depths == {"waist": 11, "elastic": 11, "trim": 16}
    told = guide[guide.index("parallel to the fold from edge to edge") :]
    for name, depth in depths.items():
        label = name if name in STRIPS[1:] else f"{name} casing"
        assert re.search(rf"{label} {depth:g} mm \(", told[:300])
    assert re.search(rf"{seam:g} mm \(\S+ in\) at each end of a casing’s elastic, and a lap of 18 mm", guide)


def test_pieces_are_cut_as_often_in_every_file(release):
    for label, rise in product(LABELS, RISES):
        for piece in pieces(release, label, rise):
            row = release.rows["pieces", label, rise, piece["name"], ""]
            assert int(row["count"]) == piece["cut_count"]
    section = " ".join(release.guide.section("pieces"))
    for label in ("Oak", "Elm"):
        for piece in pieces(release, label, "high"):
            assert f"{title(piece)} {piece['cut_count']}: " in section
            left, low, right, high = bounds(piece["cut_line"])
            assert f"{(right - left) / 10:.1f} cm" in section
            assert f"{(high - low) / 10:.1f} cm" in section


def bounds(points: list[list[float]]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def test_nothing_is_lost_to_a_name_that_is_a_word_of_ours(release):
    for label in LABELS:
        names = [key[3] for key in release.rows if key[:3] == ("elastics", label, "high") and key[4] == "width"]
        assert names == list(STRIPS)
    assert len({name.casefold() for name in STRIPS}) == len(STRIPS)
    text = said(
        "draft", *release.given[:1], str(SAMPLES / "measurements.toml"), "--out", str(release.folder.parent / "d")
    )
    assert [line.split("  ")[0] for line in text.splitlines() if re.match(r" *(waist|elastic|trim)\b.* mm \(", line)]
    for name in ("waist", "waist casing", "elastic", "trim casing", "trim"):
        assert len(re.findall(rf"^ +{name}  +\d", text, re.MULTILINE)) == 1, name


# What is left out, and what is there ----------------------------------------------------------------------------


def test_a_casing_that_one_size_of_a_rise_lacks_is_told_everywhere_with_its_reason(release, tmp_path):
    reason = (
        "casing 'waist' is left out of the mid rise: stitched 200 mm above the crotch line, its tuck would lie above "
        "the front waist edge less the 25 mm channel of the waist elastic and 3 mm of clearance"
    )
    told = f"Ivy alone, mid rise: {reason}"
    assert f"Warning: {told}" in release.report
    assert told in release.tables["warnings"]
    assert ("warnings", "", "", "", "") in release.rows
    for guide in release.guides:
        assert f"Mind: {told}." in guide.words
        assert guide.rows("elastics", "mid")["Ivy"][2] == "–"
    for paper in ("A4", "Letter", "A1", "roll-914"):
        page = words(release.nest("Ivy", "mid", paper))
        assert f"Ivy {reason}" in page
        assert reason not in words(release.nest("Ivy", "high", paper))
    for option in ((), ("--json",), ("--csv",)):
        options = ("--rise", "mid", "--waist-size", "Oak", "--hip-size", "Ivy", *option)
        assert f"Ivy: {reason}" in said("elastics", *release.given, *options)
    assert f"Warning: {told}" in said("guide", *release.given, "--cloth", "110", "--out", str(tmp_path))
    for option in ((), ("--json",)):
        shared = ("--rise", "mid", "--page", "A4", "--cloth", "110", "--out", str(tmp_path / "range"), *option)
        found = said("range", *release.given, *shared)
        assert told in " ".join(found.split())
    # The tables of a range in one rise and of the release in both speak of the same size alike.
    again = json.loads((tmp_path / "range" / "tables.json").read_bytes())
    assert again["sizes"] == [size for size in release.tables["sizes"] if size["rise"] == "mid"]


def test_names_sizes_papers_and_sums_are_those_of_the_manifest_the_guide_and_the_folder(release):
    found = manifest(release.folder)
    listed = {file["name"]: file for file in found["files"]}
    there = {path.name: path.read_bytes() for path in release.folder.iterdir() if path.name != "manifest.json"}
    assert set(listed) == set(there)
    for name, data in there.items():
        assert (listed[name]["bytes"], listed[name]["sha256"]) == (len(data), sha256(data).hexdigest())
        assert re.search(rf"  {re.escape(name)}  +{re.escape(listed[name]['about'])}$", release.report, re.MULTILINE)
    assert found["sizes"] == list(release.tables["body"]) == list(LABELS)
    assert found["rises"] == list(RISES)
    for guide in release.guides:
        packed = guide.words.replace(" ", "")
        for name, file in listed.items():
            if "-guide-" not in name:
                assert f"{name}{file['about']}".replace(" ", "") in packed, name
    uses = {"A4": "to print at home", "Letter": "to print at home", "A1": "for a print shop"}
    uses |= {"roll-914": "for a print shop", "projection-dark": "for a projector"}
    for label, rise in product(LABELS, RISES):
        for paper, use in uses.items():
            assert listed[release.nest(label, rise, paper).name]["about"].endswith(f": {use}")


def test_which_sizes_are_whole_is_said_alike_by_names_tables_and_guide(release):
    for rise in RISES:
        for kind, whole in (("whole", "leg in one piece"), ("split", "leg front and leg back")):
            mine = [label for label in LABELS if release.split(label, rise) is (kind == "split")]
            span = mine[0] if len(mine) == 1 else f"{mine[0]} to {mine[-1]}"
            for guide in release.guides:
                assert f"{WORDS.say(f'rise.{rise}')} {span} {whole}" in guide.words
            name = f"stroller-shorts-{rise}-{kind}-A4.pdf"
            assert f"Size {span} · {rise} rise" in words(release.folder / name)
            layers = PdfReader(release.folder / name).trailer["/Root"]["/OCProperties"]["/OCGs"]
            assert [layer.get_object()["/Name"] for layer in layers] == mine
            of = json.loads((release.folder / name.replace("A4.pdf", "pieces.json")).read_bytes())["pieces"]
            assert list(dict.fromkeys(piece["size"] for piece in of)) == mine


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_are_as_many_as_are_said(release, tmp_path, paper):
    found = json.loads(
        said(
            "range",
            *release.given,
            "--cloth",
            "110",
            "--selvedge",
            "1",
            "--page",
            paper,
            "--json",
            "--out",
            str(tmp_path),
        )
    )
    pages = {file["name"]: file["pages"] for file in found["files"] if file["pages"]}
    assert len(pages) == 4
    for name, count in pages.items():
        path = release.folder / name
        assert path.read_bytes() == (tmp_path / name).read_bytes()
        read = lines(path)
        first = " ".join(read[0])
        assert len(read) == count
        assert f"page 1 of {count}" in first
        tiles, rows, columns = map(
            int, re.search(rf"(\d+) pages? of {paper} in (\d+) rows? and (\d+) columns?", first).groups()
        )
        map_numbers = {int(line) for line in read[0] if line.isdecimal()}
        assert set(range(count - tiles + 1, count + 1)) <= map_numbers
        assert all(any(f"page {number} of {count}" in line for line in page) for number, page in enumerate(read, 1))
        assert tiles <= rows * columns


# Words ------------------------------------------------------------------------------------------------------------

NOTHING = re.compile(
    r"(?<![\d.])-?0(\.0+)? (mm|cm|in|%|m|yd)\b|(?<![\w.–-])-0(\.0+)?(?![\d. ])"
    r"|\b1 (size|page|piece|file|lay|row|column|point|order|casing|elastic|copie|sheet|notche)s\b"
)
"""A difference that is told and rounds to nothing, a minus before nought, one of several."""


@pytest.mark.slow
def test_nothing_is_said_of_nothing_and_one_is_one(release):
    for path in release.folder.iterdir():
        if path.suffix == ".pdf":
            text = "\n".join(line for page in lines(path) for line in page)
        elif path.suffix in (".csv", ".json") and "pieces" not in path.name:
            text = path.read_text("utf-8")
        else:
            continue
        assert not NOTHING.search(text), (path.name, NOTHING.search(text))
    assert not NOTHING.search(release.report)
    assert NOTHING.search("crotch seam is 0 mm shorter")
    for guide in release.guides:
        assert "sizes Elm" not in guide.words
    assert NOTHING.search("1 sizes")
    assert not NOTHING.search("10 mm, 1 size, 20 %")
