"""Disks that are soon full."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path, size: str) -> Iterator[Path]:
    """A disk of `size`, as in 16k, mounted for a test; without the right to do so the test is skipped."""
    folder.mkdir()
    try:
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], check=True, capture_output=True
        )
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"needs the right to mount a small disk: {error}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)
