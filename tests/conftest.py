"""Settings of the whole suite."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# A slow machine is no failure: speed is measured in tests/benchmarks alone. Where a change is judged, the same change
# meets the same examples; by hand each run tries others, half as many, and keeps those that fail.
settings.register_profile("by hand", deadline=None, max_examples=50)
settings.register_profile("in CI", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("in CI" if os.environ.get("CI") else "by hand")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--regenerate",
        action="store_true",
        help="Write what tests compare with anew: tests/goldens, and the widths of the fonts.",
    )
    parser.addoption("--screens", metavar="FOLDER", help="Keep a picture there of every state of a page in a browser.")


def pytest_configure(config: pytest.Config) -> None:
    """A campaign or a test by name is run, slow or not."""
    if config.option.markexpr == "not slow" and all("campaigns" in place or "::" in place for place in config.args):
        config.option.markexpr = ""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """No process but this one for files by name, which end before another has begun, and where clocks or eyes watch."""
    named = all(".py" in place for place in config.args)
    return 0 if named or config.option.benchmark_enable or config.option.capture == "no" else None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A campaign is a repetition in bulk, each of its tests a slow one."""
    for item in items:
        if Path(__file__).parent / "campaigns" in item.path.parents:
            item.add_marker(pytest.mark.slow)
