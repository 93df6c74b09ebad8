"""How long a campaign runs: bounded by default, long with `CAMPAIGNS=long python -m pytest tests/campaigns -rA`."""

from __future__ import annotations

import os


def rounds(bounded: int, long: int) -> int:
    """How many rounds to run: few in every run of the tests, many by hand."""
    return long if os.environ.get("CAMPAIGNS") == "long" else bounded
