"""The files that the counter hands over, beside those that the command line writes for the same wearer."""

from __future__ import annotations

import io
import shutil
import subprocess
import zipfile
from functools import cache
from pathlib import Path

import pytest

from drafting.errors import DraftError, OutputError
from output.command import main
from output.commands.draft import DraftRequest, plan
from output.serve.counter.download import one, zipped
from output.system.names import RESERVED, folded
from sampled import DESIGN

MEASURED = {"waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
OPTIONS = ("--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5")
REQUESTS = {
    "as it is": (DraftRequest(design=DESIGN, out="", measured=MEASURED), ()),
    "everything": (
        DraftRequest(
            design=DESIGN,
            out="",
            measured=MEASURED,
            adjust={"full_seat": "12mm"},
            size="Mära 38/40",
            pages=("A4", "Letter", "A0"),
            projections=("dark",),
            cloth="90",
            svg=True,
            dxf=True,
            before_after=True,
            guide=True,
        ),
        (
            *("--adjust", "full-seat=12mm", "--size", "Mära 38/40", "--page", "A4", "--page", "Letter", "--page", "A0"),
            *("--projection", "dark", "--cloth", "90", "--svg", "--dxf", "--before-after", "--guide"),
        ),
    ),
}


def names(request: DraftRequest) -> tuple[str, ...]:
    """Of the files that are asked for, in order."""
    return tuple(plan(request).makers)


@cache
def chunks_of(which: str) -> list[bytes]:
    return list(zipped(REQUESTS[which][0]))


def zip_of(which: str) -> bytes:
    return b"".join(chunks_of(which))


@pytest.mark.parametrize("which", REQUESTS)
def test_each_file_is_byte_for_byte_what_the_command_line_writes(which, tmp_path, capsys):
    request, options = REQUESTS[which]
    assert main(["draft", str(DESIGN), "--out", str(tmp_path / "out"), *OPTIONS, *options]) == 0
    told = capsys.readouterr().out
    written = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    named = names(request)
    with zipfile.ZipFile(io.BytesIO(zip_of(which))) as archive:
        assert archive.testzip() is None
        assert {name: archive.read(name) for name in archive.namelist()} == written
        assert tuple(archive.namelist()) == named
    assert [told.index(f"  {name}") for name in named] == sorted(told.index(f"  {name}") for name in written)
    for name in (named[0], named[-1]):
        assert b"".join(one(request, name)) == written[name]


def test_a_zip_comes_file_by_file_in_bytes_and_is_the_same_every_time():
    chunks = chunks_of("as it is")
    assert all(type(chunk) is bytes for chunk in chunks)
    assert len(chunks) == len(names(REQUESTS["as it is"][0])) + 1
    assert list(zipped(REQUESTS["as it is"][0])) == chunks


def test_a_zip_says_nothing_of_when_and_where_it_was_made():
    with zipfile.ZipFile(io.BytesIO(zip_of("everything"))) as archive:
        for entry in archive.infolist():
            assert entry.date_time == (1980, 1, 1, 0, 0, 0)
            assert (entry.create_system, entry.external_attr >> 16, entry.extra) == (3, 0o100644, b"")
            assert not entry.flag_bits & 0x08  # sizes stand before the data, as those who read bit by bit need them


def test_names_are_flat_and_safe_on_every_system():
    for request, _ in REQUESTS.values():
        for name in names(request):
            assert Path(name).name == name
            assert not set(name) & set('<>:"/\\|?*\0')
            assert name.partition(".")[0].lower() not in RESERVED
            assert name == name.strip(" .")
        assert len({folded(name) for name in names(request)}) == len(names(request))


@pytest.mark.skipif(not shutil.which("unzip"), reason="there is no unzip here")
def test_unzip_opens_it(tmp_path):
    path = tmp_path / "pattern.zip"
    path.write_bytes(zip_of("everything"))
    tested = subprocess.run(["unzip", "-t", path], capture_output=True, text=True, check=False)
    assert tested.returncode == 0, tested.stdout


def test_a_file_that_is_not_asked_for_is_refused():
    for name in ("heron-shorts-H102-high-Letter.pdf", "../pieces.json", ""):
        with pytest.raises(OutputError, match="is not among those that are asked for"):
            list(one(REQUESTS["as it is"][0], name))


def test_what_is_refused_is_refused_before_anything_is_sent():
    with pytest.raises(DraftError, match="waist_girth: "):
        next(zipped(DraftRequest(design=DESIGN, out="", measured={**MEASURED, "waist_girth": "wide"})))
