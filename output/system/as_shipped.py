"""The libraries that write files, as they are shipped: the same input gives the same bytes, whosever machine it is.

They would take settings from the environment, a home folder or the working folder, and a date from
`SOURCE_DATE_EPOCH`. Here it has no effect: every file has one fixed date. Import this before reportlab.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

_SETTINGS: Final = ("RL_", "EZDXF_")
"""How the names of variables begin that reportlab and ezdxf look for."""

_MODULES: Final = ("reportlab_settings", "reportlab_mods")
"""What reportlab runs if it can be imported."""

NOWHERE: Final = str(Path(__file__).resolve().parents[1] / "fonts" / "nowhere")
"""A folder that is not there."""

_HOMES: Final = {
    "HOME": NOWHERE,
    "USERPROFILE": NOWHERE,
    "XDG_CONFIG_HOME": NOWHERE,
    "XDG_DATA_HOME": NOWHERE,
    # Its list of this machine's fonts, which ezdxf would else make and keep, is empty: none is used.
    "XDG_CACHE_HOME": str(Path(__file__).resolve().parents[1] / "fonts"),
}


@contextmanager
def as_shipped() -> Iterator[None]:
    """Meanwhile there is no setting, no home and no date for a library to find."""
    before = dict(os.environ)
    for name in before:
        if name.startswith(_SETTINGS) or name == "SOURCE_DATE_EPOCH":
            del os.environ[name]
    os.environ.update(_HOMES)
    try:
        yield
    finally:
        for name in {*os.environ, *before}:
            if name in before:
                os.environ[name] = before[name]
            else:
                del os.environ[name]


def _load() -> None:
    """Have reportlab read its settings, which it does once."""
    blocked = {name: None for name in _MODULES if name not in sys.modules}
    sys.modules.update(blocked)  # type: ignore[arg-type]  # nothing stands for a module that is not there
    try:
        with as_shipped():
            import reportlab.rl_config  # noqa: F401, PLC0415
    finally:
        for name in blocked:
            del sys.modules[name]


_load()
