"""Ten thousand spoilt inputs over every command: each is taken or refused on one line, and nothing is left behind.

`CAMPAIGNS=long python -m pytest tests/campaigns/test_mutations.py -rA` runs them all; the seed is fixed.
"""

from __future__ import annotations

import random
import re
import resource
import shutil
import signal
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic
from types import FrameType

import pytest

from campaigns.effort import rounds
from output.command import main
from sampled import DESIGN, MEASUREMENTS, SAMPLES

LONGEST = 60
"""Seconds that one command may take."""

MOST_MEMORY = 2 << 30
"""Bytes that all of them together may take."""

ODD = (
    *("", " ", "0", "-0.0", "-1", "1", "+5", "nan", "inf", "-inf", "1e999", "1e-999", "1e308", "true", "null", "None"),
    *("0x10", "1_000", "1,5", "1.234,5", "1 000", "20.5 cm", "½", "٢٠", "２０", "9" * 400, "9" * 5000, "1e" + "9" * 30),
    *('"', "'", '"""', "[", "]", "{", "[[", "{}", "[]", "=", "#", "\\", "\0", "\n", "\r", "\t", ",", ";", "\ufeff"),
    *("[" * 3000, "{a=" * 3000, ".".join("a" * 3000) + "=1", '"a".' * 40 + "b = 1", "[" + ".".join("a" * 99) + "]"),
    *(
        "é",
        "鷺",
        "\u202e",
        "\u00a0",
        "\U0001f9f5",
        "e\u0301",
        "\x1b[31m",
        "\x7f",
        "\u2028",
        "=1+1",
        "@a",
        "-a",
        "a" * 300,
    ),
    *("mm", "cm", "in", "ft", "high", "mid", "open", "folded", "A4", "../..", "/dev/zero", "CON", "waist", ".", "a/b"),
    *("\\ud800", "\\u0000", "\\x41", "1979-05-27", "07:32:00", "1e3", "0o17", "0b1", '"\\ud800"', "NaN", "-Infinity"),
)
"""What people, programs and mischief put where a value or a key belongs."""

ENCODINGS = ("utf-16", "utf-16-le", "utf-32", "utf-8-sig", "cp1252", "latin-1", "cp037", "utf-7")

LARGEST = 3_000_000
"""Bytes of a spoilt file."""

Mutation = Callable[[bytes, random.Random], bytes]


def _often(raw: bytes, times: int) -> bytes:
    """The same again and again, as far as it may become a file."""
    return raw * min(times, 1 + LARGEST // (len(raw) + 1))


def _flip(raw: bytes, rng: random.Random) -> bytes:
    spoilt = bytearray(raw)
    for _ in range(rng.choice((1, 1, 2, 8))):
        spoilt[rng.randrange(len(spoilt))] ^= 1 << rng.randrange(8)
    return bytes(spoilt)


def _cut(raw: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(raw))
    return raw[:start] + raw[start + rng.choice((1, 3, 40, len(raw))) :]


def _put(raw: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(raw))
    return raw[:at] + rng.choice(ODD).encode() + raw[at:]


def _value(raw: bytes, rng: random.Random) -> bytes:
    """One value, by the marks that stand round it in TOML, CSV or JSON, becomes another."""
    places = list(re.finditer(rb"(?<=[=,:;])[ ]*[^=,:;\r\n]+", raw))
    if not places:
        return _put(raw, rng)
    place = rng.choice(places)
    other = rng.choice((rng.choice(ODD).encode(), rng.choice(places)[0], b'"' + rng.choice(ODD).encode() + b'"'))
    return raw[: place.start()] + other + raw[place.end() :]


def _lines(raw: bytes, rng: random.Random) -> bytes:
    lines = raw.split(b"\n")
    at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    kind = rng.randrange(5)
    if kind == 0:
        del lines[at]
    elif kind == 1:
        lines.insert(other, lines[at])
    elif kind == 2:
        lines[at], lines[other] = lines[other], lines[at]
    elif kind == 3:
        lines[at] = rng.choice(ODD).encode()
    else:
        lines[at] = _often(lines[at], rng.choice((2, 3000)))
    return b"\n".join(lines)


def _keys(raw: bytes, rng: random.Random) -> bytes:
    words = list(re.finditer(rb"[A-Za-z_]{3,}", raw))
    if len(words) < 2:
        return _put(raw, rng)
    one, other = rng.choice(words), rng.choice(words)
    return raw[: one.start()] + rng.choice((other[0], rng.choice(ODD).encode(), one[0].upper())) + raw[one.end() :]


def _encoding(raw: bytes, rng: random.Random) -> bytes:
    return raw.decode("utf-8", "replace").encode(rng.choice(ENCODINGS), "replace")


def _marks(raw: bytes, rng: random.Random) -> bytes:
    old, new = rng.choice(((b",", b";"), (b",", b"\t"), (b".", b","), (b"\n", b"\r"), (b"\n", b"\r\n"), (b'"', b"'")))
    return raw.replace(old, new)


def _whole(raw: bytes, rng: random.Random) -> bytes:
    return rng.choice(
        (b"", b"\0" * 100, rng.randbytes(300), raw + raw, _often(raw, 300), raw[::-1], b"\n" * 99, b"PK\x03\x04")
    )


MUTATIONS: tuple[Mutation, ...] = (
    *(_flip, _cut, _put, _value, _value, _value, _lines, _lines, _keys, _keys, _encoding, _marks, _whole),
)


def spoilt(raw: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        raw = rng.choice(MUTATIONS)(raw or b" ", rng)[:LARGEST]
    return raw


def _few(path: Path, rows: int) -> bytes:
    """A table of its first rows."""
    return b"".join(path.read_bytes().splitlines(keepends=True)[: rows + 1])


FILES = {
    "design.toml": DESIGN.read_bytes(),
    "measurements.toml": MEASUREMENTS.read_bytes(),
    "sizes.csv": _few(SAMPLES / "sizes.csv", 4),
    "orders.csv": _few(SAMPLES / "orders.csv", 1),
}
LABELS = [line.split(b",")[0].decode() for line in FILES["sizes.csv"].splitlines()[1:]]

BODY = ("--waist", "76", "--hip", "102", "--body-rise", "27", "--waist-to-hip", "20.5")
ELASTICS = ("elastics", "design.toml", "sizes.csv", "--waist-size", LABELS[0], "--hip-size", LABELS[2])
COMMANDS: tuple[tuple[int, tuple[str, ...]], ...] = (
    (60, ELASTICS),
    (10, (*ELASTICS, "--above", "5", "--rise", "mid", "--csv")),
    (20, ("elastics", "design.toml", "sizes.csv", "--measurements", "measurements.toml", "--json")),
    (8, ("draft", "design.toml", "measurements.toml", "--out", "out", "--svg", "--dxf", "--cloth", "140")),
    (4, ("draft", "design.toml", "--out", "out", *BODY, "--size", "A", "--rise", "mid", "--page", "Letter")),
    (5, ("batch", "design.toml", "orders.csv", "--out", "out", "--workers", "1")),
    (2, ("lay", "design.toml", "sizes.csv", "--out", "out", "--cloth", "140", "--only", LABELS[0], "--rise", "mid")),
    (1, ("range", "design.toml", "sizes.csv", "--out", "out", "--only", LABELS[1], "--rise", "mid", "--workers", "1")),
    (1, ("guide", "design.toml", "sizes.csv", "--out", "out", "--rise", "mid")),
    (12, ("inspect", "pattern.pdf")),
    (
        1,
        (
            "publish",
            "design.toml",
            "measurements.toml",
            "--out",
            "out",
            "--rise",
            "mid",
            "--page",
            "A4",
            "--workers",
            "1",
        ),
    ),
)
"""Each with how often it is run among all: most are quick, and read what the slow ones read."""

LAY_OPTIONS = ("--lays", "design.lays.json", "--seconds", "1")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Every kind of file that a command reads, unspoilt."""
    folder = tmp_path_factory.mktemp("sound")
    for name, content in FILES.items():
        (folder / name).write_bytes(content)
    named = _placed(COMMANDS[6][1] + LAY_OPTIONS, folder)
    assert main(named) == 0
    assert main(_placed(("draft", "design.toml", "measurements.toml", "--out", "drafted"), folder)) == 0
    (pattern,) = (folder / "drafted").glob("*.pdf")
    lays = (folder / "design.lays.json").read_bytes()
    return {**FILES, "design.lays.json": lays, "pattern.pdf": pattern.read_bytes()}


def _placed(command: tuple[str, ...], folder: Path) -> list[str]:
    """The command with its files in that folder."""
    inside = (*FILES, "design.lays.json", "pattern.pdf", "out", "drafted")
    return [str(folder / word) if word in inside else word for word in command]


@contextmanager
def _bounded(seconds: int) -> Iterator[None]:
    def too_long(number: int, frame: FrameType | None) -> None:
        raise AssertionError(f"still running after {seconds} seconds")

    before = signal.signal(signal.SIGALRM, too_long)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def test_spoilt_files_and_options(tmp_path: Path, sound: dict[str, bytes], capsys: pytest.CaptureFixture[str]) -> None:
    rng, codes, faults = random.Random(20_240_229), Counter[tuple[str, int]](), []
    longest, largest = (0.0, ""), (0, "")
    capsys.readouterr()
    for number in range(rounds(220, 10_000)):
        folder = tmp_path / str(number)
        folder.mkdir()
        command, files = _case(sound, rng)
        for name, content in files.items():
            (folder / name).write_bytes(content)
        before, started, peak = sorted(path.name for path in folder.iterdir()), monotonic(), _peak()
        try:
            with _bounded(LONGEST), pytest.MonkeyPatch.context() as patch:
                patch.chdir(folder)
                code = main(_placed(command, folder))
            told = capsys.readouterr()
            codes[command[0], code] += 1
            _check_told(told.err, code)
            _check_left(folder, before, refused=code == 2 and not told.out)
        except AssertionError as error:
            faults.append(f"round {number}: {command}: {error}; {capsys.readouterr().err[-500:]}")
        else:
            shutil.rmtree(folder)
        longest = max(longest, (monotonic() - started, f"{number}: {command[0]}"))
        largest = max(largest, (_peak() - peak, f"{number}: {command[0]}"))
    told_codes = ", ".join(f"{name} {code}: {count}" for (name, code), count in sorted(codes.items()))
    print(f"{codes.total()} runs ({told_codes}); the longest {longest[0]:.1f} s ({longest[1]})")
    print(f"memory {_peak() >> 20} MiB at most, the largest step {largest[0] >> 20} MiB ({largest[1]})")
    assert not faults, f"{len(faults)} faults\n" + "\n".join(faults[:20])
    assert _peak() < MOST_MEMORY


def _peak() -> int:
    """The most memory that this process ever had, in bytes; the system's own count is that of the parent, too."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return 1024 * int(re.search(r"VmHWM:\s+(\d+)", status.read_text())[1])


def _case(sound: dict[str, bytes], rng: random.Random) -> tuple[tuple[str, ...], dict[str, bytes]]:
    """A command with its files: one of its options is odd, or one of its files is spoilt."""
    command = rng.choices([words for _, words in COMMANDS], [often for often, _ in COMMANDS])[0]
    if command[0] in ("lay", "publish"):
        command += LAY_OPTIONS
    files = {name: content for name, content in sound.items() if name in command}
    if rng.random() < 0.25:
        at = rng.randrange(1, len(command))
        command = (*command[:at], rng.choice((*ODD, "\udcff\udc80", "--", "--help")), *command[at + 1 :])
    else:
        name = rng.choice(list(files))
        files[name] = spoilt(sound[name], rng)
    return command, files


def _check_told(said: str, code: int) -> None:
    """One line for each fault, every one ours, and none when there is none."""
    assert code in (0, 2), f"{code}: {said[-2000:]}"
    lines = said.split("\n")
    assert lines.pop() == "", said[-2000:]
    assert bool(lines) == (code == 2), f"{code}: {said[-2000:]}"
    for line in lines:
        assert line.startswith("shirrline: "), line
        assert line.isprintable(), repr(line)
        assert "internal error" not in line, line


def _check_left(folder: Path, before: list[str], *, refused: bool) -> None:
    """After a refusal nothing that was not there, but for lays; after any run no temporary file."""
    found = {path.name for path in folder.iterdir()} - {"design.lays.json"}
    assert not refused or found == {*before} - {"design.lays.json"}, found
    hidden = [path for path in folder.rglob("*") if path.name.startswith(".") or ".part" in path.name]
    assert not hidden, hidden
