from __future__ import annotations

import io
import sys
from typing import Any

import pytest

from output.system.progress import bar, watched


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_bar_on_a_terminal_counts_what_is_done_of_how_many(monkeypatch: pytest.MonkeyPatch) -> None:
    bars: list[Any] = []
    tqdm = pytest.importorskip("tqdm").tqdm

    class Kept(tqdm):  # type: ignore[misc, valid-type]
        def __init__(self, *args: Any, **options: Any) -> None:
            super().__init__(*args, **options)
            bars.append(self)

    monkeypatch.setattr("tqdm.tqdm", Kept)
    monkeypatch.setattr(sys, "stderr", Terminal())
    assert list(watched("abc", "lays", unit="lay")) == ["a", "b", "c"]
    with bar("orders", unit="order", total=5, done=2) as moved:
        moved(1, 0)
        moved(0, 4)
    assert [(one.desc, one.unit, one.n, one.total) for one in bars] == [
        ("lays", "lay", 3, 3),
        ("orders", "order", 3, 9),
    ]


def test_where_there_is_no_terminal_nothing_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    with bar("files", total=3) as moved:
        moved(1, 0)
    assert list(watched([1, 2], "pages", unit="file")) == [1, 2]
    assert capsys.readouterr() == ("", "")
