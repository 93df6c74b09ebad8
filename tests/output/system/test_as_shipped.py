"""The same input gives the same bytes, whatever is set for the libraries that write them, and whoever runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from output.system.as_shipped import NOWHERE, as_shipped
from quick import quick
from sampled import DESIGN, SAMPLES

ROOT = Path(__file__).parents[3]
PROGRAM = [sys.executable, "-c", "import sys; from output.command import main; sys.exit(main())"]

MEDDLING = "raise SystemExit('this has been run')"


def publish(folder: Path, *options: str, **changes: str) -> dict[str, bytes]:
    """A small release, made in a folder of its own where settings lie about."""
    folder.mkdir()
    (folder / "home" / "ezdxf").mkdir(parents=True)
    for name in ("home/.reportlab_settings", "home/.reportlab_mods", "reportlab_settings.py", "reportlab_mods.py"):
        (folder / name).write_text(MEDDLING)
    for name in ("ezdxf.ini", "home/ezdxf/ezdxf.ini"):
        (folder / name).write_text("[core]\nthis is no setting")
    rows = (SAMPLES / "sizes.csv").read_text().splitlines()
    (folder / "sizes.csv").write_text("\n".join(rows[:3]))
    words = ["publish", DESIGN, "sizes.csv", "--out", "out", "--lays", str(folder.parent / "kept.json")]
    words += ["--rise", "mid", "--seconds", "1", "--page", "A4", "--page", "A0", *options]
    home = {"HOME": str(folder / "home"), "XDG_CONFIG_HOME": str(folder / "home")}
    told = subprocess.run(
        [*PROGRAM, *map(str, words)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **home, **changes},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (told.returncode, told.stderr) == (0, "")
    return {path.name: path.read_bytes() for path in (folder / "out").iterdir()}


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, bytes]]:
    folder = tmp_path_factory.mktemp("published")
    return folder, publish(folder / "plain", "--workers", "1")


CHANGES: dict[str, Mapping[str, str]] = {
    "a date": {"SOURCE_DATE_EPOCH": "1", "TZ": "Asia/Kathmandu", "LC_ALL": "tr_TR.UTF-8"},
    "no date": {"SOURCE_DATE_EPOCH": "yesterday", "PYTHONHASHSEED": "7"},
    "settings": {
        "RL_invariant": "0",
        "RL_pageCompression": "0",
        "RL_ttfAsciiReadable": "1",
        "RL_defaultPageSize": "nonsense",
        "EZDXF_CONFIG_FILE": "ezdxf.ini",
        "PYTHONHASHSEED": "8",
    },
}


@pytest.mark.slow
@pytest.mark.parametrize("name", quick(CHANGES, lambda name: name == "settings"))
def test_no_setting_date_seed_or_place_changes_a_byte(name: str, plain: tuple[Path, dict[str, bytes]]) -> None:
    folder, files = plain
    again = publish(folder / name, "--workers", "2", **CHANGES[name])
    assert {Path(file).suffix for file in files} >= {".pdf", ".dxf", ".svg", ".csv", ".json"}
    assert {file for file in files if files[file] != again.get(file)} == set()


def test_the_environment_is_as_before_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RL_invariant", "0")
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    before = dict(os.environ)
    with as_shipped():
        assert "RL_invariant" not in os.environ
        assert os.environ["HOME"] == NOWHERE
    assert dict(os.environ) == before


def test_no_font_of_the_machine_is_looked_for() -> None:
    """Looking takes long, is written down in the user's home, and told on the screen where there is none."""
    script = (
        "from output.formats.dxf import _library\n"
        "with _library():\n"
        "    from ezdxf.fonts import fonts\n"
        "    print(len(fonts.font_manager._font_cache._cache))"
    )
    told = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (told.returncode, told.stdout, told.stderr) == (0, "0\n", "")
    assert not Path(NOWHERE).exists()
