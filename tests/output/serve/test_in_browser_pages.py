"""What holds for every page alike, in a real browser."""

from __future__ import annotations

import pytest

from browser import tab, violations


@pytest.mark.parametrize("page", ["counter", "desk", "nowhere"])
def test_a_page_loads_without_a_complaint_and_can_be_read_by_all(open_tab, server, examine, page):
    address = {"counter": server.counter, "desk": server.desk, "nowhere": f"{server.counter}nowhere"}[page]
    tab = open_tab(address, refused=page == "nowhere")
    assert tab.page.get_by_role("heading", level=1).count() == 1
    assert tab.page.title()
    examine(tab.page, page)


def test_nothing_but_the_page_and_its_own_files_is_asked_for(open_tab, server):
    tab = open_tab()
    assert {one.url.removeprefix(server.counter).partition("/")[0] for one in tab.asked} <= {"", "static"}


STOP = """() => {
  const one = document.activeElement, look = getComputedStyle(one), box = one.getBoundingClientRect();
  if (one === document.body) return null;
  const across = [box.left + box.width / 2, box.left + 2, box.right - 2];
  const up = [box.top + box.height / 2, box.top + 2, box.bottom - 2];
  const own = (seen) => seen && (one.contains(seen) || seen.contains(one) || one.labels?.[0]?.contains(seen));
  return {
    marked: look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2,
    open: across.some((x) => up.some((y) => own(document.elementFromPoint(x, y)))),
    at: [...document.querySelectorAll("*")].indexOf(one),
    what: one.outerHTML.slice(0, 160),
  };
}"""
"""Where the focus is: whether it is marked, and not hidden beneath something else (WCAG 2.2, 2.4.7 and 2.4.11)."""


@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("page", ["", "desk", "edit", "releases"])
def test_the_tab_key_goes_through_the_page_in_order_and_is_seen_at_every_stop(open_tab, server, page, width):
    address = {"": server.counter, "desk": server.desk, "edit": f"{server.desk}edit?design=design&table=sizes.csv"}
    opened = open_tab(address.get(page, f"{server.desk}{page}"), width=width).page
    opened.wait_for_load_state("networkidle")
    stops = []
    for _ in range(400):
        opened.keyboard.press("Tab")
        stop = opened.evaluate(STOP)
        if stop is None:
            break
        assert stop["marked"], stop["what"]
        assert stop["open"], stop["what"]
        stops.append(stop["at"])
    assert stops == sorted(set(stops)), "the order of the page is another than that of its text"
    assert len(stops) > 3


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("console.error('no')", "error: no"),
        ("console.warn('no')", "warning: no"),
        ("setTimeout(() => { throw new Error('no') })", "no"),
        ("new Image().src = 'http://elsewhere.invalid/'", "elsewhere"),
        ("document.cookie = 'figure=76'", "a cookie"),
    ],
)
def test_a_fault_of_a_page_is_found(browser, server, fault, told):
    """The tests of the pages can fail."""
    made = tab(browser, server)
    page = made.__enter__().page
    page.goto(server.counter)
    page.evaluate(f"() => {{ {fault} }}")
    page.wait_for_timeout(100)
    with pytest.raises(AssertionError, match=told):
        made.__exit__(None, None, None)


def test_a_page_that_some_cannot_read_is_found(open_tab, examine):
    tab = open_tab()
    tab.page.evaluate("() => { document.querySelector('main').innerHTML += '<input>' }")
    assert any("label" in one for one in violations(tab.page))
    tab.page.evaluate("() => { document.querySelector('main').innerHTML += `<p>${'m'.repeat(99)}</p>` }")
    with pytest.raises(AssertionError, match="sideways at 320"):
        examine(tab.page, "wide")
