"""Settings of the whole suite."""

from __future__ import annotations

from hypothesis import settings

# A slow machine is no failure: speed is measured in tests/benchmarks alone.
settings.register_profile("shirrline", deadline=None)
settings.load_profile("shirrline")
