"""A stop at each call that sharing work out makes, of ours or of Python's own: no process is left behind by any.

A process that is left behind waits for work, and the run, at its end, for the process: it would never end. Python hears
a signal as a function is entered or a built-in one returns, so that is where the stop is put.
`CAMPAIGNS=long python -m pytest tests/campaigns/test_stops.py -rA` puts it at each of some 4,000.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from campaigns.effort import rounds
from children import HEEDFUL

ROOT = Path(__file__).parents[2]

CODE = f"""{HEEDFUL}
import itertools, sys
from functools import partial
import psutil
from output.system import interrupts
from output.system.pool import shared

sys.unraisablehook = interrupts.hushed

def stopped_at(chosen, workers):
    "Whether so many calls are made; the stop comes at the chosen one."
    calls = 0

    def counted(frame, event, argument):
        nonlocal calls
        calls += event in ("call", "c_return")
        if calls == chosen:
            sys.setprofile(None)
            signal.raise_signal(signal.SIGTERM)

    before = interrupts.heed()
    sys.setprofile(counted)
    try:
        shared([partial(abs, -number) for number in range(3)], workers=workers)
    except interrupts.StopError:
        pass
    finally:
        sys.setprofile(None)
        heard = interrupts.heard()
        interrupts.restore(before)
    left = [child for child in psutil.Process().children() if child.status() != psutil.STATUS_ZOMBIE]
    assert not left, f"stopped at call {{chosen}}: {{left}}"
    assert heard == (None if calls < chosen else signal.SIGTERM), chosen
    return heard is not None

for workers in (1, 2):
    moments = itertools.takewhile(lambda moment: stopped_at(moment, workers), itertools.count(1, int(sys.argv[1])))
    print(sum(1 for moment in moments))
"""


def test_a_stop_at_any_call_leaves_no_process_behind() -> None:
    words = [sys.executable, "-c", CODE, str(rounds(7, 1))]
    run = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False, timeout=300)
    assert run.stderr == ""
    here, away = map(int, run.stdout.split())
    assert here > 0
    assert away > 10
    print(f"\n{here} moments in one process, {away} in three: none left behind")
