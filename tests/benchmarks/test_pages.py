"""What the pages cost over the drafting itself, by a server in a process of its own with one that drafts.

    python -m pytest tests/benchmarks/test_pages.py -rA
    CAMPAIGNS=long python -m pytest tests/benchmarks/test_pages.py -rA

Work is told in processor time, of the server and of all its processes, so that what else the machine does changes it
little: so many previews a second of one processor. Ratios are held to here, times are printed.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count, islice
from time import perf_counter, process_time

import httpx
import psutil

from blocks.read_design import design_from
from browser import tab
from campaigns.effort import rounds
from output.commands.draft import DraftRequest, make
from output.serve.preview import preview
from output.system.reading import read_toml
from served import SAMPLES, Served

AT_ONCE = 4
"""Wearers who ask at the same time."""

DESIGN = "design"

OVERHEAD = 1.3
"""Processor time of an answer over that of the drafting in it."""

MEASURED = {"hip_girth": "102", "body_rise": "27", "waist_to_hip": "20.5"}


def wearers() -> Iterator[dict[str, str]]:
    """Wearers' figures, each of them another's."""
    for number in count():
        yield {**MEASURED, "waist_girth": f"{70 + number % 160 / 10:g}"}


def take(number: int) -> list[dict[str, str]]:
    return list(islice(wearers(), number))


@dataclass(frozen=True)
class Cost:
    """Seconds for one answer: of processors, and on the clock."""

    work: float
    clock: float


def work_of(server: Served) -> float:
    """Seconds that processors have worked for a server."""
    first = psutil.Process(server.process.pid)
    return float(sum(sum(one.cpu_times()[:2]) for one in (first, *first.children(recursive=True))))


def memory_of(server: Served) -> float:
    """MiB of the memory of a server and its processes that is theirs alone."""
    first = psutil.Process(server.process.pid)
    return float(sum(one.memory_full_info().uss for one in (first, *first.children(recursive=True)))) / (1 << 20)


async def _answered(server: Served, path: str, number: int, more: Mapping[str, str]) -> None:
    todo, figures = iter(range(number)), wearers()

    async with httpx.AsyncClient(base_url=server.counter, timeout=60) as client:

        async def wearer() -> None:
            for _ in todo:
                form = {"design": DESIGN, **next(figures), **more}
                async with client.stream("POST", path, data=form) as answer:
                    assert answer.status_code == 200, await answer.aread()
                    async for _ in answer.aiter_raw():
                        pass

        await asyncio.gather(*(wearer() for _ in range(AT_ONCE)))


def answered(server: Served, path: str, number: int, **more: str) -> Cost:
    """What a number of answers cost the server, each."""
    before, began = work_of(server), perf_counter()
    asyncio.run(_answered(server, path, number, more))
    return Cost((work_of(server) - before) / number, (perf_counter() - began) / number)


def done(job: Callable[[DraftRequest], object], number: int, **asked: object) -> float:
    """Seconds of a processor for one job on a wearer's figures, done here."""
    design = design_from(read_toml(SAMPLES / "design.toml"))
    requests = [DraftRequest(design=design, out="", measured=one, **asked) for one in take(number + 5)]
    for request in requests[:5]:
        job(request)
    began = process_time()
    for request in requests[5:]:
        job(request)
    return (process_time() - began) / number


def told(what: str, cost: Cost, own: float) -> None:
    print(
        f"{what}: {1 / cost.work:.0f} a second of a processor, {1 / own:.0f} without the pages, "
        f"overhead {cost.work / own - 1:.0%}; on the clock {1 / cost.clock:.0f} a second"
    )


def test_previews_cost_little_more_than_the_drafting_in_them(server):
    number = rounds(100, 1000)
    answered(server, "preview", 20)
    cost, own = answered(server, "preview", number), done(preview, number, pages=("A4",))
    told("previews", cost, own)
    assert cost.work < OVERHEAD * own


def test_patterns_cost_little_more_than_the_drafting_in_them(server):
    number = rounds(24, 300)
    pattern = {"page.A4": "yes"}
    answered(server, "files", 4, **pattern)
    cost, own = answered(server, "files", number, **pattern), done(make, number, pages=("A4",))
    told("whole patterns on A4, zipped", cost, own)
    assert cost.work < OVERHEAD * own


def test_memory_stays_as_it_is(server):
    number = rounds(400, 10_000)
    answered(server, "preview", number // 4)
    answered(server, "files", max(40, number // 40), **{"page.A4": "yes"})
    before = memory_of(server)
    for share in range(4):
        answered(server, "preview", number // 4)
        answered(server, "files", number // 160, **{"page.A4": "yes"})
        print(f"after {number * (share + 1) // 4} requests: {memory_of(server):.1f} MiB, {before:.1f} MiB before them")
    assert memory_of(server) < 1.05 * before


WATCH = """() => {
  window.taken = [];
  let begun = 0;
  document.addEventListener("keydown", (event) => { begun = event.timeStamp; }, true);
  new MutationObserver(() => {
    if (!begun) return;
    const from = begun;
    begun = 0;
    performance.measure("keystroke to drawing", { start: from });
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => window.taken.push(performance.now() - from);
      port2.postMessage(0);
    });
  }).observe(document.getElementById("garment"), { childList: true, subtree: true, attributes: true });
}"""
"""Notes for each keystroke how many ms later the garment was painted anew."""


SLOWED = 5
"""Times that of a preview by itself in which a drawing follows, on a machine too slow for 100 ms."""


def test_a_drawing_follows_a_keystroke(browser, server):
    number = rounds(40, 200)
    with tab(browser, server) as opened:
        page = opened.page
        page.goto(server.counter)
        page.get_by_role("radio", name="Heron shorts").check()
        for name, figure in {**MEASURED, "waist_girth": "76"}.items():
            page.locator(f"#{name}").fill(figure)
        page.wait_for_selector("#garment svg")
        page.wait_for_load_state("networkidle")
        page.locator("#waist_girth").press("End")
        page.evaluate(WATCH)
        for stroke in range(number):
            page.keyboard.press("Shift+ArrowLeft")
            page.keyboard.press(str(stroke % 9))
            page.wait_for_function("(number) => window.taken.length === number", arg=stroke + 1)
        taken = sorted(page.evaluate("window.taken"))
    own = done(preview, 10) * 1000
    worst = taken[int(number * 0.95)]
    print(
        f"keystroke to drawing: median {taken[number // 2]:.0f} ms, 95 in 100 within {worst:.0f} ms, "
        f"{number} keystrokes; a preview by itself {own:.1f} ms"
    )
    assert worst <= max(100, SLOWED * own)
