"""A designer at the desk in a real browser: by mouse, by keyboard alone, without scripting, beside another program."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browser import drag

OPEN = "edit?design=design&table=sizes.csv"


@pytest.fixture
def design(desk_server):
    return desk_server.folder / "design.toml"


def settled(page: Page) -> None:
    """Wait until the page has its answer: what is typed is shown in its list of changes, and the range looked at."""
    page.wait_for_load_state("networkidle")


def drawn(page: Page) -> str:
    return page.locator("#figure-1 svg").inner_html()


def test_a_designer_chooses_drags_a_casing_types_saves_and_undoes(open_desk, desk_server, design, examine):
    old = design.read_text()
    page = open_desk().page
    page.get_by_label("Design").select_option("design")
    page.get_by_role("button", name="Open").click()
    settled(page)
    examine(page, "desk-edit")

    before = drawn(page)
    drag(page, "thigh", 3)
    expect(page.locator("#part-changes")).to_contain_text("casing.thigh.height")
    expect(page.locator("#undo")).to_contain_text("casing.thigh.height")
    assert drawn(page) != before

    page.get_by_label("fullness", exact=True).first.fill("1.7")
    expect(page.locator("#part-changes")).to_contain_text("leg.fullness")
    expect(page).to_have_title("* Heron shorts · desk")
    page.keyboard.press("Control+s")
    expect(page.get_by_role("status")).to_have_text("Saved: design.toml")
    saved = design.read_text()
    assert "fullness = 1.7  " in saved
    assert [line.partition("#")[2] for line in saved.splitlines()] == [
        line.partition("#")[2] for line in old.splitlines()
    ]
    page.keyboard.press("Control+z")
    page.get_by_role("button", name="Undo casing.thigh.height").click()
    expect(page.get_by_role("status")).to_contain_text("Undone")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_have_text("Saved: design.toml")
    assert design.read_text() == old


def test_the_desk_is_worked_by_keyboard_alone(open_tab, server):
    page = open_tab(f"{server.desk}{OPEN}").page
    settled(page)
    slider = page.get_by_label("upper", exact=True)
    slider.focus()
    at = int(slider.input_value())
    for _ in range(4):
        page.keyboard.press("ArrowUp")
    expect(page.locator("#part-changes")).to_contain_text("casing.upper.share")
    settled(page)
    assert int(slider.input_value()) == at + 4
    expect(slider).to_be_focused()
    page.keyboard.press("Control+z")
    expect(page.locator("#part-changes")).to_contain_text("Nothing")
    expect(slider).to_be_focused()
    assert int(slider.input_value()) == at
    page.get_by_label("as worn").focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("img", name="from behind")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_label("H84", exact=True)).to_be_checked()
    page.get_by_label("H84", exact=True).focus()
    page.keyboard.press("Space")
    expect(page.locator("g.size[data-size=H84]")).to_have_count(0)
    expect(page.locator("g.size[data-size=H88]")).to_have_count(1)


def test_what_is_wrong_is_told_at_its_field_and_its_cell(open_tab, server, examine):
    page = open_tab(f"{server.desk}{OPEN}").page
    settled(page)
    fullness = page.get_by_label("fullness", exact=True).first
    fullness.fill("much")
    expect(fullness).to_have_attribute("aria-invalid", "true")
    settled(page)
    expect(fullness).to_have_value("much")
    expect(fullness).to_have_attribute("aria-invalid", "true")
    fullness.fill("1.6")
    expect(fullness).not_to_have_attribute("aria-invalid", "true")
    cell = page.get_by_label("H88, hip girth")
    cell.fill("8")
    expect(cell).to_have_attribute("aria-invalid", "true")
    settled(page)
    examine(page, "desk-wrong")
    cell.fill("88")
    expect(page.locator("#undrawn")).to_have_count(0)


def test_what_is_typed_without_leaving_a_field_is_one_step(open_tab, server):
    page = open_tab(f"{server.desk}{OPEN}").page
    settled(page)
    fullness = page.locator("[name='p.leg.fullness']")
    changes = page.locator("#part-changes")
    for text in ("1.6", "1.65"):
        fullness.fill("")
        fullness.press_sequentially(text, delay=30)
        expect(changes).to_contain_text(text)
        fullness.blur()
    page.keyboard.press("Control+z")
    expect(fullness).to_have_value("1.6")
    page.keyboard.press("Control+z")
    expect(fullness).to_have_value("1.5")
    expect(changes).to_contain_text("Nothing")
    page.keyboard.press("Control+y")
    expect(fullness).to_have_value("1.6")


def test_what_was_typed_while_the_server_was_away_is_not_lost(open_tab, server):
    page = open_tab(f"{server.desk}{OPEN}", refused=True).page
    settled(page)
    told = {"problem": "too many patterns are being made"}
    page.route("**/edit", lambda route: route.fulfill(status=429, json=told), times=1)
    page.locator("[name='p.leg.fullness']").fill("1.7")
    expect(page.get_by_role("status")).to_contain_text("too many patterns")
    page.locator("[name='p.leg.taper']").fill("0.2")
    changes = page.locator("#part-changes")
    expect(changes).to_contain_text("leg.taper")
    expect(changes).to_contain_text("leg.fullness")


def test_a_parameter_is_found_by_its_meaning(open_tab, server):
    page = open_tab(f"{server.desk}{OPEN}").page
    settled(page)
    page.get_by_label("Find a parameter").fill("squeeze")
    expect(page.get_by_label("fullness", exact=True).first).to_be_hidden()
    expect(page.get_by_label("squeeze")).to_be_visible()


def test_the_desk_works_without_scripting(open_desk, desk_server, design, examine):
    old = design.read_text()
    page = open_desk(f"{desk_server.desk}{OPEN}", scripting=False).page
    page.get_by_label("fullness", exact=True).first.fill("1.7")
    page.get_by_label("H84, waist girth").fill("58.8")
    page.get_by_label("finished", exact=True).check()
    page.keyboard.press("Enter")
    expect(page.locator("#part-changes")).to_contain_text("H84.waist_girth")
    expect(page.get_by_role("img", name="casings folded").first).to_be_visible()
    page.get_by_label("fullness", exact=True).first.fill("much")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_contain_text("nothing is saved")
    expect(page.get_by_label("fullness", exact=True).first).to_have_value("much")
    assert design.read_text() == old
    page.get_by_label("fullness", exact=True).first.fill("1.8")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_contain_text("Saved: design.toml and sizes.csv")
    assert "fullness = 1.8  " in design.read_text()
    page.get_by_role("button", name="Undo").first.click()
    expect(page.get_by_label("fullness", exact=True).first).to_have_value("1.7")
    page.get_by_role("button", name="Remove this casing").first.click()
    expect(page.locator("#part-changes")).to_contain_text("casing.upper")
    page.get_by_label("Find a parameter").fill("squeeze")
    page.keyboard.press("Enter")
    expect(page.get_by_label("hip ease")).to_be_hidden()


def test_a_file_changed_outside_is_noticed_and_never_written_over_unasked(open_desk, desk_server, design, examine):
    page = open_desk(f"{desk_server.desk}{OPEN}").page
    settled(page)
    page.get_by_label("fullness", exact=True).first.fill("1.7")
    expect(page.locator("#part-changes")).to_contain_text("leg.fullness")
    theirs = design.read_text().replace("inseam_length = 140", "inseam_length = 150")
    design.write_text(theirs)
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(page.get_by_role("alert")).to_contain_text("changed by another program")
    expect(page.get_by_role("alert")).to_contain_text("leg.inseam_length")
    examine(page, "desk-outside")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_contain_text("nothing is saved")
    assert design.read_text() == theirs
    page.get_by_role("button", name="Load the file").click()
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.get_by_label("fullness", exact=True).first).to_have_value("1.5")


def test_leaving_with_something_unsaved_warns(open_tab, server):
    page = open_tab(f"{server.desk}{OPEN}").page
    settled(page)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.get_by_label("fullness", exact=True).first.fill("1.7")
    expect(page.locator("#part-changes")).to_contain_text("leg.fullness")
    page.get_by_role("link", name="Open another").click()
    page.get_by_role("heading", name="Desk").wait_for()
    assert asked == ["beforeunload"]


def test_a_skirt_is_worked_on_as_well(open_tab, server, examine):
    page = open_tab(f"{server.desk}edit?design=skirt&table=sizes.csv").page
    settled(page)
    page.get_by_label("length", exact=True).first.fill("500")
    expect(page.locator("#part-changes")).to_contain_text("panel.length")
    expect(page.locator("#figure-1 svg")).to_be_visible()
