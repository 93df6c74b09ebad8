"""A server and a browser for the benchmarks of the pages."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from browser import browser_of_a_file
from served import Served, served

__all__ = ["browser_of_a_file"]


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The pages of the samples, one process drafting for them, for clients that ask as often as they can."""
    with served(tmp_path_factory.mktemp("served"), "--workers", "1", "--rate", "100000") as running:
        yield running
