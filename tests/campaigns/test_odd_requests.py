"""Requests from Python with odd values in every field: each is done, or refused as an error of the user's.

CAMPAIGNS=long python -m pytest tests/campaigns/test_odd_requests.py -rA
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import fields
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy
import pytest

import output.lays.file
from blocks.size_table import size_table_from
from campaigns.effort import rounds
from drafting.errors import DraftError
from lays import stacked
from output.commands.draft import DraftRequest, draft
from output.commands.elastics import ElasticsRequest, elastics
from output.commands.guide import GuideRequest, guide
from output.commands.inspect import InspectRequest, inspect
from output.commands.lay import LayRequest, lay
from output.commands.publish import PublishRequest, publish
from output.commands.range import RangeRequest, write_range
from sampled import heron_body, heron_design

DESIGN = heron_design()
TABLE = size_table_from(
    {"size": "only", "unit": "cm", "waist_girth": 76, "hip_girth": 102, "body_rise": 27, "waist_to_hip": 20.5}
)
ODD = (
    *(None, True, False, 0, 1, -1, 3, 140, 10**400, -(10**400), 1e308, float("nan"), float("inf"), 1j),
    *(Decimal("NaN"), Decimal(140), Fraction(1, 3), numpy.float64(140), numpy.int64(3), numpy.nan, numpy.str_("140")),
    *(numpy.array([1, 2]), numpy.array(5), date(2026, 1, 1), range(3), int, object(), iter("ab"), b"x", bytearray(3)),
    *("", " ", "x", "140", "140,5", "1e400", "9" * 400, "½", "١٤٠", "\0", "\udcff", "a\nb", "x" * 5000, "/dev/zero"),
    *("high", "H100", "only", "open", "A4", "light", "auto", "in"),
    *((), ("x",), ("high",), ("A4", "A4"), (914,), ("light",), (None,), ((),), (float("nan"),), ("",), ("\udcff",)),
    *([1, [2]], ["only"], {}, {"a": 1}, {"waist_girth": 76}, {1: 2}, set(), ("140", 150), ("roll-" * 50,)),
    *(Path("nowhere"), Path(), Path("/"), DESIGN, heron_body(), TABLE),
)

OF_SIZES = {"design": DESIGN, "sizes": TABLE, "rises": ("high",)}
KEPT, ALONE = {"lays": "lays.json", "cloths": (140,)}, {"workers": 1, "pages": ("A4",)}
ASKED: dict[Callable[[Any], Any], tuple[Any, dict[str, Any]]] = {
    draft: (DraftRequest, {"design": DESIGN, "measurements": heron_body(), "out": "draft"}),
    elastics: (ElasticsRequest, {"design": DESIGN, "sizes": TABLE, "waist_size": "only", "hip_size": "only"}),
    write_range: (RangeRequest, {**OF_SIZES, **ALONE, "out": "range"}),
    lay: (LayRequest, {**OF_SIZES, **KEPT, "out": "lay"}),
    guide: (GuideRequest, {**OF_SIZES, "out": "guide"}),
    publish: (PublishRequest, {**OF_SIZES, **KEPT, **ALONE, "out": "release"}),
    inspect: (InspectRequest, {"file": "release"}),
}
"""What each command can do with; an order book is drafted by other processes, which take their time to start."""

ALL = [(run, field.name, odd) for run, (kind, _) in ASKED.items() for field in fields(kind) for odd in ODD]


def test_odd_values_in_requests(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        output.lays.file, "lay_pieces", lambda pieces, cloth, *, rules, search: stacked(pieces, cloth, rules)
    )
    done = refused = 0
    for run, name, odd in random.Random(1).sample(ALL, rounds(300, len(ALL))):
        kind, least = ASKED[run]
        try:
            report = run(kind(**{**least, name: odd}))
            assert report.text()
            done += 1
        except DraftError:
            refused += 1
        except Exception as error:
            raise AssertionError(f"{kind.__name__}({name}={odd!r:.60})") from error
    print(f"\n{done} requests done, {refused} refused")
    assert done
    assert refused > done
