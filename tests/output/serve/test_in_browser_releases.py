"""A designer publishes in a real browser: with scripting and a mouse, and without scripting by keyboard alone."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from browser import PATIENCE

HEAD = 3
"""Lines of the sample's size table that are kept: two sizes."""


def few_sizes(folder: Path) -> None:
    lines = (folder / "sizes.csv").read_text().splitlines(keepends=True)
    (folder / "few.csv").write_text("".join(lines[:HEAD]))


def test_a_release_is_published_with_progress_and_its_files_are_taken(open_desk, desk_server, examine, tmp_path):
    few_sizes(desk_server.folder)
    tab = open_desk(f"{desk_server.desk}releases?design=design&table=few.csv")
    page = tab.page
    page.get_by_text("Papers, cloths and the search for lays").click()
    examine(page, "releases")
    page.get_by_label("A4", exact=True).check()
    page.get_by_label("mid", exact=True).check()
    page.get_by_label("Seconds to search").fill("1")
    page.get_by_label("Folder of the release").fill("autumn")
    page.get_by_role("button", name="Publish").click()
    bar = page.get_by_role("progressbar")
    expect(bar).to_be_visible()
    expect(page.get_by_role("link", name="Look again")).to_be_hidden()
    expect(page.get_by_role("heading", name="The release is complete")).to_be_visible(timeout=2 * PATIENCE)
    assert any(one.url.endswith("/releases/autumn/news") for one in tab.asked)
    examine(page, "release")
    with page.expect_download() as coming:
        page.get_by_role("link", name="tables.csv").click()
    coming.value.save_as(tmp_path / "taken.csv")
    assert (tmp_path / "taken.csv").read_bytes() == (desk_server.folder / "autumn" / "tables.csv").read_bytes()


def test_a_run_goes_on_when_its_page_is_closed_and_is_cancelled_by_keyboard_without_scripting(
    open_desk, desk_server, examine
):
    few_sizes(desk_server.folder)
    for lays in desk_server.folder.glob("*.lays.json"):
        lays.unlink()
    first = open_desk(f"{desk_server.desk}releases?design=design&table=few.csv", scripting=False).page
    first.get_by_text("Papers, cloths and the search for lays").click()
    first.get_by_label("Seconds to search").fill("600")
    first.get_by_label("Folder of the release").fill("autumn")
    first.keyboard.press("Enter")
    expect(first.get_by_role("heading", name="The release is under way")).to_be_visible()
    first.close()
    page = open_desk(f"{desk_server.desk}releases", scripting=False).page
    page.get_by_role("link", name="autumn").press("Enter")
    page.get_by_role("link", name="Look again").press("Enter")
    assert page.get_by_role("status").inner_text()
    page.get_by_role("button", name="Cancel").press("Enter")
    for _ in range(100):
        if page.get_by_role("heading", name="Cancelled").count():
            break
        page.wait_for_timeout(100)
        page.get_by_role("link", name="Look again").press("Enter")
    expect(page.get_by_role("status")).to_have_text("Nothing was written: what was published before is as it was.")
    assert not [path.name for path in desk_server.folder.iterdir() if "autumn" in path.name]


def test_a_page_under_way_can_be_read_by_all_and_a_second_press_is_told(open_desk, desk_server, examine):
    few_sizes(desk_server.folder)
    for lays in desk_server.folder.glob("*.lays.json"):
        lays.unlink()
    form = f"{desk_server.desk}releases?design=design&table=few.csv&folder=autumn"
    page = open_desk(form).page
    page.get_by_role("button", name="Publish").click()
    expect(page.get_by_role("status")).to_contain_text("Files")
    examine(page, "release-under-way")
    other = open_desk(form, refused=True).page
    other.get_by_role("button", name="Publish").click()
    expect(other.get_by_role("alert")).to_have_text(
        "autumn: a release is just being made there; wait until it is done, or cancel it"
    )
    page.get_by_role("button", name="Cancel").click()
    expect(page.get_by_role("heading", name="Cancelled")).to_be_visible()
    examine(page, "release-cancelled")
