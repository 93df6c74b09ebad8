"""Debian's Chromium, driven as a user drives it: pages are found by their labels and roles, and their faults are kept.

A page's console must stay silent and it must ask no other host for anything; that is seen to for every page at the end
of its test. `--screens FOLDER` keeps a picture of every state that a test examines.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, Response, sync_playwright

from served import Served, served

PROGRAM: Final = shutil.which("chromium")

SWITCHES: Final = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
]

PATIENCE: Final = 30_000
"""Milliseconds that a page may take for anything, on a machine that has much else to do."""

WIDTHS: Final = (360, 768, 1440, 3840)
NARROWEST: Final = 320
"""Pixels at which a page must still need no scrolling sideways (WCAG 2.2, 1.4.10)."""

HEIGHTS: Final = {320: 640, 360: 740, 768: 1024, 1440: 900, 3840: 2160}

RULES: Final = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
"""The tags of axe-core's rules: those for WCAG 2.2 up to AA, and what its makers think good besides."""


@dataclass
class Tab:
    """What a page has done: asked for, been answered, and complained of."""

    page: Page
    home: str
    asked: list[Request] = field(default_factory=list)
    answered: list[Response] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    refused: bool = False
    """Whether an answer of 400 or more is meant, of which the browser itself complains."""

    def watch(self, context: BrowserContext) -> None:
        """Keep what is said and asked from now on."""
        context.on("request", self._ask)  # a method: playwright marks what it calls, and cannot mark a list's append
        context.on("response", self._answer)
        context.on("weberror", lambda error: self.complaints.append(str(error.error)))
        context.on("console", self._hear)

    def _ask(self, request: Request) -> None:
        self.asked.append(request)

    def _answer(self, response: Response) -> None:
        self.answered.append(response)

    def _hear(self, said: ConsoleMessage) -> None:
        meant = self.refused and "the server responded with a status of 4" in said.text
        if said.type in {"error", "warning"} and not meant:
            self.complaints.append(f"{said.type}: {said.text} ({said.location.get('url')})")

    @property
    def strangers(self) -> list[str]:
        """Addresses of other hosts that were asked for something."""
        return [one.url for one in self.asked if urlsplit(one.url).netloc not in {urlsplit(self.home).netloc, ""}]

    @property
    def told(self) -> str:
        """All that could be written down on the way, or by the browser: addresses and headers, not bodies."""
        return "\n".join(f"{one.method} {one.url} {one.all_headers()}" for one in self.asked)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser, for one thread; until the block ends no other event loop runs in it."""
    if PROGRAM is None:
        told = "Chromium is not installed: apt-get install chromium"
        pytest.fail(told) if os.environ.get("CI") else pytest.skip(told)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=PROGRAM, args=SWITCHES)
        yield browser
        browser.close()


@contextmanager
def tab(
    browser: Browser,
    server: Served,
    *,
    width: int = 1440,
    dark: bool = False,
    scripting: bool = True,
    still: bool = False,
    refused: bool = False,
    **options: Any,
) -> Iterator[Tab]:
    """A tab of a profile of its own; at the end of the block its console was silent and no other host was asked.

    Without `scripting` nothing can look into a page but the browser: one that is `still` has no scripts of its own, and
    can be examined.
    """
    context = browser.new_context(
        viewport={"width": width, "height": HEIGHTS[width]},
        color_scheme="dark" if dark else "light",
        java_script_enabled=scripting,
        service_workers="block",
        accept_downloads=True,
        locale="en-GB",
        **options,
    )
    context.set_default_timeout(PATIENCE)
    if still:
        context.route("**/*.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    made = Tab(context.new_page(), server.counter, refused=refused)
    made.watch(context)
    try:
        yield made
        faults = [*made.complaints, *made.strangers, *(f"a cookie: {one}" for one in context.cookies())]
        assert not faults, faults
    finally:
        context.close()


@pytest.fixture(scope="module", name="browser")
def browser_of_a_file() -> Iterator[Browser]:
    """For the tests of one file: the files that come after it have event loops of their own."""
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The pages of the samples for tests that change nothing in them."""
    with served(tmp_path_factory.mktemp("served"), "--workers", "1") as running:
        yield running


@pytest.fixture
def desk_server(tmp_path: Path) -> Iterator[Served]:
    """The pages of a copy of the samples that a test may change."""
    with served(tmp_path, "--workers", "1") as running:
        yield running


Open = Callable[..., Tab]


@pytest.fixture
def open_tab(browser: Browser, server: Served) -> Iterator[Open]:
    """Open a tab at an address, the counter's by itself; see `tab` for the options."""
    yield from _opener(browser, server, server.counter)


@pytest.fixture
def open_desk(browser: Browser, desk_server: Served) -> Iterator[Open]:
    """Open a tab at the desk of a server of the test's own; see `tab` for the options."""
    yield from _opener(browser, desk_server, desk_server.desk)


def _opener(browser: Browser, server: Served, home: str) -> Iterator[Open]:
    opened: list[Any] = []

    def opening(address: str = home, **options: Any) -> Tab:
        opened.append(tab(browser, server, **options))
        made: Tab = opened[-1].__enter__()
        made.page.goto(address)
        return made

    yield opening
    for one in opened:
        one.__exit__(None, None, None)


Examine = Callable[..., None]


@pytest.fixture
def examine(request: pytest.FixtureRequest) -> Examine:
    """Look a state of a page over: reflow and accessibility, and keep a picture of it where pictures are asked for."""
    asked = request.config.getoption("--screens")
    folder = Path(asked) if asked else None

    def examined(page: Page, name: str) -> None:
        size = page.viewport_size
        for width in (NARROWEST, 360):
            _resize(page, width)
            assert _sideways(page) <= 0, f"{name} scrolls sideways at {width} px: {_widest(page)}"
        views = [(360, False), (1440, True)] + ([(360, True), (1440, False)] if folder else [])
        for width, dark in views:
            _resize(page, width, dark=dark)
            found = violations(page)
            assert not found, f"{name} at {width} px, {'dark' if dark else 'light'}: {found}"
        for width, dark in [(width, dark) for width in WIDTHS for dark in (False, True)] if folder else ():
            _resize(page, width, dark=dark)
            page.screenshot(
                path=folder / f"{name}-{width}-{'dark' if dark else 'light'}.png", full_page=True, animations="disabled"
            )
        page.emulate_media(color_scheme="light")
        if size:
            page.set_viewport_size(size)

    return examined


def drag(page: Page, casing: str, down: int) -> None:
    """Drag a casing of the drawn leg so many pixels down."""
    grip = page.locator(f"g.casing[data-casing={casing}] .svg-grip").first
    grip.scroll_into_view_if_needed()
    box = grip.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + down, steps=down)
    page.mouse.up()


def violations(page: Page) -> list[str]:
    """What axe-core finds against the rules, one line each."""
    found = Axe().run(page, options={"runOnly": RULES, "resultTypes": ["violations"]})
    return [
        f"{one['id']}: {one['help']}: {node['target']} {node.get('failureSummary', '')}"
        for one in found.response["violations"]
        for node in one["nodes"]
    ]


def _resize(page: Page, width: int, *, dark: bool = False) -> None:
    page.emulate_media(color_scheme="dark" if dark else "light")
    page.set_viewport_size({"width": width, "height": HEIGHTS[width]})


def _sideways(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def _widest(page: Page) -> str:
    """The elements that stick out furthest, for whoever mends it."""
    return str(
        page.evaluate(
            """() => [...document.body.querySelectorAll("*")]
              .map((one) => [one.getBoundingClientRect().right, one.outerHTML.slice(0, 120)])
              .filter(([right]) => right > document.documentElement.clientWidth)
              .sort((one, other) => other[0] - one[0]).slice(0, 4)"""
        )
    )
