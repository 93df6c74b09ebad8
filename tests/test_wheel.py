"""What is installed is the whole program: every module of every room, and the files that they need."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from shutil import copy, copytree, ignore_patterns
from zipfile import ZipFile

ROOT = Path(__file__).parents[1]
PACKAGES = ("drafting", "blocks", "output")
BUILT = ("pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index", "--disable-pip-version-check")


def test_a_wheel_has_every_file_of_the_packages(tmp_path: Path) -> None:
    source = tmp_path / "source"  # a build leaves things beside what it builds from
    for name in PACKAGES:
        copytree(ROOT / name, source / name, ignore=ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENCE"):
        copy(ROOT / name, source)
    files = [path for name in PACKAGES for path in (source / name).rglob("*") if path.is_file()]
    kept = {path.relative_to(source).as_posix() for path in files}
    subprocess.run([sys.executable, "-m", *BUILT, "--wheel-dir", str(tmp_path), str(source)], check=True)
    (wheel,) = tmp_path.glob("*.whl")
    with ZipFile(wheel) as packed:
        installed = {name for name in packed.namelist() if ".dist-info/" not in name}
    assert installed == kept
