"""The lock files name every library that the project asks for, by one version and the hashes of its files."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
WANTED = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
EXTRAS = WANTED["project"]["optional-dependencies"]


def plain(requirement: str) -> str:
    return re.split(r"[^A-Za-z0-9._-]", requirement)[0].lower().replace("_", "-").replace(".", "-")


def locked(name: str) -> dict[str, int]:
    """How many hashes each library of a lock file has."""
    text = (ROOT / name).read_text(encoding="utf-8").replace("\\\n", "")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    assert all("==" in line for line in lines)
    return {plain(line): line.count("--hash=sha256:") for line in lines}


def test_every_library_is_locked_by_its_hashes() -> None:
    extras = [one for extra in ("lay", "dxf", "serve") for one in EXTRAS[extra]]
    run = [*WANTED["project"]["dependencies"], *extras, *WANTED["build-system"]["requires"]]
    for name, asked in (("requirements.lock", run), (".ci/requirements.lock", run + EXTRAS["test"] + EXTRAS["dev"])):
        found = locked(name)
        assert {plain(one) for one in asked} - {"shirrline"} <= set(found)
        assert all(found.values())
    assert WANTED["dependency-groups"]["build"] == WANTED["build-system"]["requires"]


def test_both_lock_files_name_the_same_versions() -> None:
    versions = [
        set(re.findall(r"^([\w.-]+==[\w.]+)", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE))
        for name in ("requirements.lock", ".ci/requirements.lock")
    ]
    assert versions[0] < versions[1]
