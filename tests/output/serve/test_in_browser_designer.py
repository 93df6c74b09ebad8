"""A designer's whole way in a real browser, from the drawing to the release, and every view of the drawing."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from browser import PATIENCE, drag
from output.command import main

FEW = "design=design&table=few.csv"


@pytest.fixture
def few(desk_server):
    """The sample's folder with a table of two sizes."""
    lines = (desk_server.folder / "sizes.csv").read_text().splitlines(keepends=True)
    (desk_server.folder / "few.csv").write_text("".join(lines[:3]))
    return desk_server


def remarks(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines()]


def test_a_casing_is_dragged_undone_redone_saved_and_published(open_desk, few, tmp_path):
    design = few.folder / "design.toml"
    old = design.read_text()
    page = open_desk(f"{few.desk}edit?{FEW}").page
    page.wait_for_load_state("networkidle")
    drag(page, "thigh", 4)
    changes = page.locator("#part-changes")
    expect(changes).to_contain_text("casing.thigh.height")
    page.get_by_role("button", name="Undo casing.thigh.height").click()
    expect(changes).to_contain_text("Nothing")
    page.get_by_role("button", name="Redo").click()
    expect(changes).to_contain_text("casing.thigh.height")
    assert design.read_text() == old
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_have_text("Saved: design.toml")
    saved = design.read_text()
    assert saved != old
    assert remarks(saved) == remarks(old)

    page.get_by_role("link", name="Publish").click()
    page.get_by_text("Papers, cloths and the search for lays").click()
    page.get_by_label("A4", exact=True).check()
    page.get_by_label("Seconds to search").fill("1")
    page.get_by_label("Folder of the release").fill("spring")
    page.get_by_role("button", name="Publish").click()
    expect(page.get_by_role("heading", name="The release is complete")).to_be_visible(timeout=2 * PATIENCE)
    ranged = tmp_path / "ranged"
    assert main(["range", str(design), str(few.folder / "few.csv"), "--page", "A4", "--out", str(ranged)]) == 0
    for made in ranged.iterdir():
        if made.name != "manifest.json":  # it lists the other files of a release, too
            assert (few.folder / "spring" / made.name).read_bytes() == made.read_bytes(), made.name


@pytest.mark.parametrize("view", ["finished", "as worn", "sizes over one another"])
def test_every_view_can_be_read_by_all(open_tab, server, examine, view):
    page = open_tab(f"{server.desk}edit?design=design&table=sizes.csv").page
    page.wait_for_load_state("networkidle")
    page.get_by_label(view, exact=True).check()
    page.wait_for_load_state("networkidle")
    expect(page.locator("#figures svg").first).to_be_visible()
    examine(page, f"desk-{view.replace(' ', '-')}")


@pytest.mark.parametrize("design", ["design", "skirt"])
def test_without_scripting_the_desk_can_be_read_by_all(open_tab, server, examine, design):
    page = open_tab(f"{server.desk}edit?design={design}&table=sizes.csv", still=True).page
    for summary in page.locator("summary").all():
        if summary.locator("xpath=..").get_attribute("open") is None:
            summary.click()
    examine(page, f"desk-still-{design}")
