"""Programs started by tests, in surroundings that a test chooses."""

from __future__ import annotations

from typing import Final

HEEDFUL: Final = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
for name in ("SIGTERM", "SIGHUP"):
    if hasattr(signal, name):
        signal.signal(getattr(signal, name), signal.SIG_DFL)
"""
"""Begins the code of a child that is sent signals: what a shell's background job or nohup ignores, it inherits."""
