"""What is printed looks as it did: a page of each kind and the pieces of a small design, kept beside this file.

A change that is meant shows itself to a reviewer as a picture. One command writes them anew:

    python -m pytest tests/goldens --regenerate
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from output.command import main
from raster import rendered

HERE = Path(__file__).parent
DESIGN, SIZES, LAYS = "design.toml", "sizes.csv", "design.lays.json"
MEASURED = ("--waist", "61", "--hip", "80", "--body-rise", "22.5", "--waist-to-hip", "16.5")
DRAFT = ("draft", DESIGN, *MEASURED, "--page", "A4", "--out", "draft")
PAPERS = ("--page", "A4", "--roll", "914", "--projection", "light")
PUBLISH = ("publish", DESIGN, SIZES, "--rise", "high", *PAPERS, "--cloth", "110", "--workers", "1", "--out", "release")

DPI = 72
"""A millimetre is nearly three pixels."""

SHADES = 16
MISSED = 96
"""How much darker, of 255, a pixel may be than the darkest beside it: rasterisers differ about the edges of strokes."""

MOVED = 12
"""Pixels that must be so before a page counts as changed."""


class Page(NamedTuple):
    file: str
    index: int


PAGES = {
    "first-page": Page("draft/plover-shorts-H80-high-A4.pdf", 0),
    "tile": Page("draft/plover-shorts-H80-high-A4.pdf", 10),
    "nest-page": Page("release/plover-shorts-high-whole-A4.pdf", 10),
    "wide-sheet": Page("release/plover-shorts-high-whole-roll-914.pdf", 0),
    "projection": Page("release/plover-shorts-high-whole-projection-light.pdf", 0),
    "lay-plan": Page("release/plover-shorts-lay-plans-A4.pdf", 0),
    "guide-cover": Page("release/plover-shorts-guide-A4.pdf", 0),
    "guide-steps": Page("release/plover-shorts-guide-A4.pdf", 12),
}
PIECES = "draft/pieces.json"

Picture = NDArray[np.uint8]


def written(folder: Path, *commands: tuple[str, ...]) -> None:
    """Run commands with what lies in a folder, into it."""
    with pytest.MonkeyPatch.context() as within:
        within.chdir(folder)
        for words in commands:
            assert main(list(words)) == 0


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A draft and a release of the design, its lays as they were found for the pictures."""
    folder = tmp_path_factory.mktemp("made")
    for name in (DESIGN, SIZES, LAYS):
        if (HERE / name).exists():
            shutil.copy(HERE / name, folder)
    written(folder, DRAFT, PUBLISH)
    return folder


def pictured(folder: Path, page: Page, *, shift: float = 0.0) -> Picture:
    """A page in 16 greys."""
    picture = rendered((folder / page.file).read_bytes(), page.index, DPI, shift=shift)
    shades: Picture = picture // SHADES * (255 // (SHADES - 1))
    return shades


def kept(name: str) -> Picture:
    return np.asarray(Image.open(HERE / f"{name}.png").convert("L"))


def png(picture: Picture) -> bytes:
    file = BytesIO()
    Image.fromarray(picture).quantize(SHADES).save(file, "png", optimize=True)
    return file.getvalue()


def astray(one: Picture, other: Picture) -> NDArray[np.bool_]:
    """Where one picture is darker than the other is anywhere within a pixel, or the other way about."""
    if one.shape != other.shape:
        return np.ones_like(one, dtype=bool)
    high, wide = one.shape

    def beyond(ink: Picture, of: Picture) -> NDArray[np.bool_]:
        padded = np.pad(of, 1, constant_values=255)
        darkest = np.min([padded[y : y + high, x : x + wide] for y in range(3) for x in range(3)], axis=0)
        return darkest.astype(int) - ink > MISSED

    return beyond(one, other) | beyond(other, one)


def changed(one: Picture, other: Picture) -> bool:
    return int(astray(one, other).sum()) >= MOVED


def side_by_side(new: Picture, old: Picture) -> bytes:
    """The old page, the new one, and what of either the other lacks, in red."""
    lacking = np.repeat(new[:, :, None], 3, axis=2)
    if new.shape == old.shape:
        lacking[astray(new, old)] = (255, 0, 0)
    parts = [Image.fromarray(part).convert("RGB") for part in (old, new, lacking)]
    sheet = Image.new("RGB", (sum(part.width for part in parts), max(part.height for part in parts)), "white")
    for place, part in enumerate(parts):
        sheet.paste(part, (sum(other.width for other in parts[:place]), 0))
    file = BytesIO()
    sheet.save(file, "png")
    return file.getvalue()


def write_anew(path: Path, data: bytes, *, wanted: Callable[[], bool]) -> None:
    """What has not changed stays as it is, so that only what has is in the difference."""
    if not path.exists() or wanted():
        path.write_bytes(data)


@pytest.fixture
def anew(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--regenerate"))


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_each_kind_looks_as_it_did(name: str, made: Path, tmp_path: Path, *, anew: bool) -> None:
    picture = pictured(made, PAGES[name])
    if anew:
        write_anew(HERE / f"{name}.png", png(picture), wanted=lambda: changed(picture, kept(name)))
        if name == "lay-plan":
            shutil.copy(made / LAYS, HERE)
    seen = tmp_path / f"{name}.png"
    seen.write_bytes(side_by_side(picture, kept(name)))
    assert not changed(picture, kept(name)), f"{name} has changed: see {seen} (as it was, as it is, the difference)"


def listed(pieces: Mapping[str, object]) -> str:
    """JSON with a line for each point, so that a comparison shows which has moved."""
    return re.sub(r"\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]", r"[\1, \2]", json.dumps(pieces, indent=1)) + "\n"


def same(one: object, other: object) -> bool:
    """Whether two values of JSON say the same, lengths to a thousandth of a millimetre."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return one == pytest.approx(other, abs=1e-3)
    return one == other


def test_the_pieces_are_as_they_were(made: Path, *, anew: bool) -> None:
    pieces = json.loads((made / PIECES).read_bytes())
    path = HERE / "pieces.json"
    if anew:
        write_anew(path, listed(pieces).encode(), wanted=lambda: not same(pieces, json.loads(path.read_bytes())))
    before = json.loads(path.read_bytes())
    if not same(pieces, before):
        assert listed(pieces) == listed(before)


# The comparison can fail


def test_a_line_moved_by_a_millimetre_is_seen(made: Path, tmp_path: Path) -> None:
    design = (HERE / DESIGN).read_text(encoding="utf-8")
    moved = design.replace("height = -55 ", "height = -56 ")
    assert moved != design
    (tmp_path / DESIGN).write_text(moved, encoding="utf-8")
    written(tmp_path, DRAFT)
    assert changed(pictured(tmp_path, PAGES["tile"]), kept("tile"))
    now, before = (json.loads((folder / PIECES).read_bytes()) for folder in (tmp_path, made))
    assert not same(now, before)


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("name", PAGES)
def test_lines_of_any_page_moved_by_a_millimetre_are_seen(name: str, axis: int) -> None:
    picture = kept(name)
    assert changed(np.roll(picture, round(DPI / 25.4), axis=axis), picture)


@pytest.mark.parametrize("name", ["first-page", "tile", "guide-steps"])
def test_a_page_rendered_a_quarter_of_a_pixel_off_is_no_change(name: str, made: Path) -> None:
    assert not changed(pictured(made, PAGES[name], shift=0.25), kept(name))
