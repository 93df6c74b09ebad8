"""Standard output and error may be closed, full, left, or unable to show a letter: the exit code is right."""

from __future__ import annotations

import os
import pty
import shlex
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest

from quick import quick
from sampled import DESIGN, MEASUREMENTS, SAMPLES

ROOT = Path(__file__).parents[3]
PROGRAM = [sys.executable, "-c", "import sys; from output.command import main; sys.exit(main())"]
SIZES = SAMPLES / "sizes.csv"
CLOSED, FULL = ">&-", ">/dev/full"

unix = pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")


def run(*arguments: object, streams: str = "", **env: str) -> subprocess.CompletedProcess[str]:
    """Run the program by a shell that opens its streams as `streams` says."""
    words = shlex.join([*PROGRAM, *map(str, arguments)])
    return subprocess.run(
        ["sh", "-c", f"exec {words} {streams}"],
        env={**os.environ, "PYTHONPATH": str(ROOT), **env},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


SAYING = {
    "version": ["--version"],
    "help": ["--help"],
    "command help": ["draft", "--help"],
    "elastics": ["elastics", DESIGN, SIZES, "--waist-size", "H100", "--hip-size", "H108"],
}


@unix
@pytest.mark.parametrize("name", SAYING)
@pytest.mark.parametrize(("streams", "reason"), [(CLOSED, "it is closed"), (FULL, "No space left on device")])
def test_what_cannot_be_printed_is_told(name: str, streams: str, reason: str) -> None:
    told = run(*SAYING[name], streams=streams)
    assert told.returncode == 2
    assert told.stderr == f"shirrline: standard output: cannot be written: {reason}\n"


@unix
@pytest.mark.parametrize("name", SAYING)
@pytest.mark.parametrize("streams", [f"{CLOSED} 2{CLOSED}", f"{FULL} 2{FULL}", f"<&- {CLOSED} 2{CLOSED}"])
def test_nobody_to_complain_to_leaves_the_exit_code(name: str, streams: str) -> None:
    told = run(*SAYING[name], streams=streams)
    assert (told.returncode, told.stdout, told.stderr) == (2, "", "")


@unix
@pytest.mark.parametrize("streams", [f"2{CLOSED}", f"2{FULL}", "<&-", f"<&- 2{CLOSED}"])
def test_other_streams_take_nothing_from_what_is_printed(streams: str) -> None:
    told = run("--version", streams=streams)
    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.startswith("shirrline ")
    refused = run("sew", streams=streams)
    assert refused.returncode == 2


@unix
@pytest.mark.parametrize(
    "streams",
    quick(
        [CLOSED, f"<&- {CLOSED}", FULL, f"{CLOSED} 2{CLOSED}", f"<&- {CLOSED} 2{CLOSED}"],
        lambda streams: streams in (FULL, f"<&- {CLOSED} 2{CLOSED}"),
    ),
)
def test_no_word_goes_into_a_file_that_opens_in_a_closed_place(streams: str, tmp_path: Path) -> None:
    run("draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "heard")
    told = run("draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "unheard", streams=streams)
    assert told.returncode == 2
    if "2>" not in streams:
        assert told.stderr.startswith("shirrline: standard output: cannot be written: ")
        assert told.stderr.endswith("; what was made is written all the same\n")
    heard, unheard = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("heard", "unheard")
    )
    assert heard == unheard


@unix
def test_what_failed_is_told_though_the_summary_cannot_be_printed(tmp_path: Path) -> None:
    rows = (SAMPLES / "orders.csv").read_text().splitlines()
    (tmp_path / "orders.csv").write_text("\n".join([rows[0], rows[1].replace("high", "low").replace("mid", "low")]))
    told = run("batch", DESIGN, tmp_path / "orders.csv", "--out", tmp_path / "out", streams=CLOSED)
    assert told.returncode == 2
    first, second = told.stderr.splitlines()
    assert first.startswith("shirrline: standard output: cannot be written: it is closed; what was made")
    assert second.startswith("shirrline: 1 order failed; ")


@pytest.mark.parametrize("streams", ["| head -c 1", "2>&1 | head -c 0"])
@pytest.mark.parametrize("name", SAYING)
def test_a_reader_that_leaves_is_no_failure(name: str, streams: str) -> None:
    words = shlex.join([*PROGRAM, *map(str, SAYING[name])])
    told = subprocess.run(
        ["sh", "-c", f"({words}; echo $? >&3) 3>&2 {streams}"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert told.stderr == "0\n"


@pytest.mark.parametrize(
    "encoding",
    quick(
        ["ascii", "latin-1", "cp1252", "cp1252:strict", "utf-16", "koi8-r", "idna"],
        lambda encoding: encoding in ("ascii", "cp1252:strict", "utf-16"),
    ),
)
def test_no_encoding_is_too_small(encoding: str, tmp_path: Path) -> None:
    design = tmp_path / "design.toml"
    design.write_text(DESIGN.read_text(encoding="utf-8").replace("Heron shorts", "Hérisson 1½"), encoding="utf-8")
    words = [*PROGRAM, "draft", design, MEASUREMENTS, "--out", tmp_path / "out"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding}
    told = subprocess.run(words, env=env, capture_output=True, check=False, timeout=60)
    if encoding == "idna":  # for names of machines: it can neither show a text nor spell it out, here or there
        assert (told.returncode, told.stdout, told.stderr) == (2, b"", b"")
    else:
        assert (told.returncode, told.stderr) == (0, b"")
        assert "risson 1" in told.stdout.decode(encoding.partition(":")[0])


def test_words_that_are_not_text_are_spelled_out(tmp_path: Path) -> None:
    out = os.fsencode(tmp_path) + b"/out-\xff"
    words = [*PROGRAM, "draft", str(DESIGN), str(MEASUREMENTS), "--out", out]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    told = subprocess.run(words, env=env, capture_output=True, check=False, timeout=60)
    assert (told.returncode, told.stderr) == (0, b"")
    assert b"out-\\udcff" in told.stdout
    assert len(list(Path(os.fsdecode(out)).iterdir())) == 2


@pytest.mark.parametrize("columns", quick([0, 1, 5, 65535], lambda columns: columns == 0))
def test_a_strange_terminal_is_no_failure(columns: int, tmp_path: Path) -> None:
    import fcntl  # noqa: PLC0415 - not on every system, like terminals
    import struct  # noqa: PLC0415
    import termios  # noqa: PLC0415

    leader, terminal = pty.openpty()
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 0, columns, 0, 0))
    for words in (["draft", "--help"], ["draft", DESIGN, MEASUREMENTS, "--out", tmp_path / "out"]):
        child = subprocess.Popen(
            [*PROGRAM, *map(str, words)],
            env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": str(columns), "TERM": "unknown"},
            stdin=terminal,
            stdout=subprocess.DEVNULL if words[0] == "draft" and len(words) > 2 else terminal,
            stderr=terminal,
        )
        os.set_blocking(leader, False)
        told = b""
        while child.poll() is None:
            with suppress(BlockingIOError):
                told += os.read(leader, 65536)
        assert child.returncode == 0
        assert b"Traceback" not in told
        assert b"internal error" not in told
    os.close(leader)
    os.close(terminal)


def test_a_warning_of_a_library_ends_nothing(tmp_path: Path) -> None:
    rows = (SAMPLES / "orders.csv").read_text().splitlines()
    (tmp_path / "orders.csv").write_text("\n".join(rows[:2]))
    code = (
        "import sys, warnings, output.commands.batch; from output.command import main\n"
        "plain = output.commands.batch.batch\n"
        "def noisy(arguments):\n    warnings.warn('of old age', RuntimeWarning)\n    return plain(arguments)\n"
        "output.commands.batch.batch = noisy\n"
        "sys.exit(main())"
    )
    for given in ("error", "default"):
        told = subprocess.run(
            [sys.executable, "-c", code, "batch", DESIGN, tmp_path / "orders.csv", "--out", tmp_path / given],
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": given},
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        assert (told.returncode, told.stderr) == (0, "")
