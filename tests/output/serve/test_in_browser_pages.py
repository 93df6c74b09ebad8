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
