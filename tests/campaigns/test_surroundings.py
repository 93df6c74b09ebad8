"""Every command in surroundings that fail it: it ends by the right exit code, one line for a fault, no traceback.

One command runs it: `python -m pytest tests/campaigns/test_surroundings.py -rA`; with `CAMPAIGNS=long` before it, every
command meets everything, else each meets a part.
"""

from __future__ import annotations

import os
import resource
import shlex
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import pytest

from campaigns.effort import rounds
from sampled import DESIGN, MEASUREMENTS, SAMPLES

ROOT = Path(__file__).parent.parent.parent
PROGRAM = [sys.executable, "-c", "import sys; from output.command import main; sys.exit(main())"]
SIZES = SAMPLES / "sizes.csv"

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="its surroundings are those of Linux")


@dataclass(frozen=True)
class Surroundings:
    """What is changed round a command: its streams, environment, limits and folders; and what it may end by."""

    name: str
    streams: str = ""
    env: Mapping[str, str | None] = field(default_factory=dict)
    limits: Mapping[int, int] = field(default_factory=dict)
    before: str = ""
    ordinary: bool = False
    codes: tuple[int, ...] = (0,)


LATIN = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
ALL = (
    Surroundings("stdout closed", ">&-", codes=(2,)),
    Surroundings("stderr closed", "2>&-"),
    Surroundings("stdin closed", "<&-"),
    Surroundings("all closed", "<&- >&- 2>&-", codes=(2,)),
    Surroundings("stdout full", ">/dev/full", codes=(2,)),
    Surroundings("both full", ">/dev/full 2>/dev/full", codes=(2,)),
    Surroundings("a reader that leaves", "| head -c 1"),
    Surroundings("no home", env={"HOME": None}, ordinary=True),
    Surroundings("home nowhere", env={"HOME": "/nonexistent", "XDG_CONFIG_HOME": "/nonexistent"}),
    Surroundings("no temporary folder", env={"TMPDIR": "/nonexistent"}),
    Surroundings("C locale", env=LATIN),
    Surroundings("ASCII streams", env={**LATIN, "PYTHONIOENCODING": "ascii:strict"}),
    Surroundings("Turkish", env={"LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR"}),
    Surroundings("odd time zone", env={"TZ": "Nowhere/Here"}),
    Surroundings("warnings are errors", env={"PYTHONWARNINGS": "error"}),
    Surroundings("asserts stripped", env={"PYTHONOPTIMIZE": "2"}),
    Surroundings("settings of libraries", env={"RL_invariant": "0", "RL_useA85": "maybe", "SOURCE_DATE_EPOCH": "x"}),
    Surroundings("few files", limits={resource.RLIMIT_NOFILE: 24}, codes=(0, 2)),
    Surroundings("few processes", limits={resource.RLIMIT_NPROC: 1}, ordinary=True, codes=(0, 2)),
    Surroundings("short files", limits={resource.RLIMIT_FSIZE: 2000}, codes=(0, 2)),
    Surroundings("little memory", limits={resource.RLIMIT_AS: 700_000_000}, codes=(0, 2)),
    Surroundings("working folder deleted", before="mkdir gone && cd gone && rmdir ../gone;", codes=(0, 2)),
    Surroundings("working folder read-only", before="chmod 555 .;", ordinary=True, codes=(0, 2)),
    Surroundings("working folder closed", before="chmod 000 .;", ordinary=True, codes=(0, 2)),
    Surroundings("files for nobody", before="umask 777;", ordinary=True, codes=(0, 2)),
    Surroundings("in the background", before="trap '' INT HUP TERM;"),
)
"""What may be round a command. It is an ordinary user's where that tells: root may write anywhere."""

COMMANDS = {
    "version": ["--version"],
    "help": ["range", "--help"],
    "draft": ["draft", DESIGN, MEASUREMENTS, "--svg", "--dxf", "--out", "out"],
    "elastics": ["elastics", DESIGN, SIZES, "--waist-size", "H100", "--hip-size", "H108"],
    "range": ["range", DESIGN, "two.csv", "--workers", "2", "--out", "out"],
    "batch": ["batch", DESIGN, "orders.csv", "--workers", "2", "--out", "out"],
    "guide": ["guide", DESIGN, "two.csv", "--rise", "mid", "--out", "out"],
    "inspect": ["inspect", "pattern.pdf", "--json"],
}


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what the commands read."""
    folder = tmp_path_factory.mktemp("given")
    subprocess.run([*PROGRAM, *map(str, COMMANDS["draft"])], cwd=folder, env=environment({}), check=True)
    shutil.copy(next((folder / "out").glob("*.pdf")), folder / "pattern.pdf")
    shutil.rmtree(folder / "out")
    for name, source, lines in (("two.csv", SIZES, 3), ("orders.csv", SAMPLES / "orders.csv", 3)):
        (folder / name).write_text("\n".join(source.read_text().splitlines()[:lines]) + "\n")
    return folder


def environment(changes: Mapping[str, str | None]) -> dict[str, str]:
    plain = {**os.environ, "PYTHONPATH": str(ROOT), **{name: given for name, given in changes.items() if given}}
    return {name: given for name, given in plain.items() if changes.get(name, given) is not None}


def as_ordinary_user() -> list[str]:
    """What takes from root its powers over others' files; nothing for anyone else."""
    if os.geteuid() != 0:
        return []
    if not shutil.which("setpriv"):
        pytest.skip("needs setpriv to put root's powers aside")
    return ["setpriv", "--bounding-set=-all", "--inh-caps=-all"]


def run(command: list[object], around: Surroundings, folder: Path) -> tuple[int, str]:
    """The exit code of a command and what it says to standard error."""
    limits = f"import resource; [resource.setrlimit(kind, (n, n)) for kind, n in {list(around.limits.items())}]; "
    program = [PROGRAM[0], PROGRAM[1], (limits if around.limits else "") + PROGRAM[2]]
    words = shlex.join([*(as_ordinary_user() if around.ordinary else []), *program, *map(str, command)])
    told = subprocess.run(
        ["sh", "-c", f"exec 9>code; {around.before} ({words}; echo $? >&9) {around.streams}"],
        cwd=folder,
        env=environment(around.env),
        capture_output=True,
        text=True,
        errors="replace",
        timeout=120,
        check=False,
    )
    folder.chmod(0o755)
    (folder / "code").chmod(0o644)
    return int((folder / "code").read_text() or -1), told.stderr


def left_over(folder: Path) -> list[str]:
    return [str(path) for path in folder.rglob(".*")]


def test_no_surroundings_are_taken_for_a_fault_of_ours(given: Path, tmp_path: Path) -> None:
    pairs = [(name, around) for around in ALL for name in COMMANDS]
    chosen = Random(8).sample(pairs, rounds(26, len(pairs)))
    chosen += [("draft", around) for around in ALL if ("draft", around) not in chosen][: rounds(6, 0)]
    ends: Counter[str] = Counter()
    wrong = []
    for number, (name, around) in enumerate(chosen):
        folder = tmp_path / str(number)
        shutil.copytree(given, folder)
        code, said = run(list(COMMANDS[name]), around, folder)
        ends[f"{around.name}: {code}"] += 1
        lines = [line for line in said.splitlines() if not line.startswith("sh: ")]
        bad = [part for part in ("Traceback", "internal error", "Exception ignored", "Warning") if part in said]
        expected = (*around.codes, 2) if around.ordinary else around.codes
        if code not in expected or bad or len(lines) > 1 + (code != 0) or left_over(folder):
            wrong.append((name, around.name, code, said[-400:], left_over(folder)))
        elif code == 2 and not lines and "2>" not in around.streams:
            wrong.append((name, around.name, code, "nothing said", []))
        shutil.rmtree(folder, ignore_errors=True)
    print(f"{len(chosen)} runs: " + ", ".join(f"{end} x{count}" for end, count in sorted(ends.items())))
    assert not wrong, "\n".join(map(str, wrong))
