"""The counter in a real browser, as a wearer uses it: by pointer, by keys alone, with and without scripting."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from output.command import main
from served import SAMPLES

FIGURES = {"Waist girth": "76.3", "Hip girth": "102.6", "Body rise": "27.2", "Waist to hip": "20.4"}
OPTIONS = ["--waist", "76.3", "--hip", "102.6", "--body-rise", "27.2", "--waist-to-hip", "20.4"]
GUIDE = "the guide for your size alone"
DESIGN = SAMPLES / "design.toml"


def entry(page: Page, label: str):
    """The field of that name, be it followed by a unit or not."""
    return page.get_by_label(re.compile(f"^{label}$")).and_(page.get_by_role("textbox"))


def fill(page: Page, figures=FIGURES) -> None:
    """Type figures as a wearer does, key by key."""
    for label, figure in figures.items():
        entry(page, label).click()
        page.keyboard.type(figure)


def choose(page: Page, design="Heron shorts") -> None:
    page.get_by_role("radio", name=design).check()


def drawn(page: Page) -> None:
    """Wait until the garment is there."""
    expect(page.get_by_role("button", name="Everything in one zip")).to_be_visible()
    expect(page.get_by_role("heading", name="The pieces")).to_be_visible()


@pytest.fixture
def commanded(tmp_path, capsys):
    """The files that the command writes for the same figures, the guide among them, by name."""

    def run(*options: str) -> dict[str, bytes]:
        out = tmp_path / "by the command"
        assert main(["draft", str(DESIGN), *OPTIONS, "--guide", "--out", str(out), *options]) == 0
        capsys.readouterr()
        return {path.name: path.read_bytes() for path in out.iterdir()}

    return run


def taken(page: Page, button: str, *, exact: bool = True) -> tuple[str, bytes]:
    """What a button downloads, under the name that the browser gives it."""
    with page.expect_download() as begun:
        page.get_by_role("button", name=button, exact=exact).click()
    return begun.value.suggested_filename, Path(begun.value.path()).read_bytes()


def unzipped(path_of: bytes, tmp_path: Path) -> dict[str, bytes]:
    file = tmp_path / "all.zip"
    file.write_bytes(path_of)
    with zipfile.ZipFile(file) as read:
        assert read.testzip() is None
        return {name.rpartition("/")[2]: read.read(name) for name in read.namelist()}


@pytest.mark.parametrize("scripting", [True, False])
def test_what_a_wearer_takes_home_is_byte_for_byte_what_the_command_writes(open_tab, commanded, tmp_path, scripting):
    tab = open_tab(scripting=scripting)
    choose(tab.page)
    fill(tab.page)
    for name in ("each piece as SVG", GUIDE):
        tab.page.get_by_role("checkbox", name=name).check()
    if not scripting:
        tab.page.get_by_role("button", name="Show").click()
    drawn(tab.page)
    wanted = commanded("--svg")
    _, zipped = taken(tab.page, "Everything in one zip")
    assert unzipped(zipped, tmp_path) == wanted
    for name, data in wanted.items():
        with tab.page.expect_download() as begun:
            tab.page.locator("li").filter(has_text=re.compile(f"{re.escape(name)}\\s*$")).get_by_role("button").click()
        assert begun.value.suggested_filename == name
        assert Path(begun.value.path()).read_bytes() == data


def test_the_garment_is_drawn_as_she_types_and_a_refused_number_says_why_in_the_words_of_the_command(
    open_tab, examine, capsys
):
    tab = open_tab()
    page = tab.page
    choose(page)
    examine(page, "counter-empty")
    fill(page, {label: figure for label, figure in FIGURES.items() if label != "Hip girth"})
    expect(page.get_by_role("heading", name="The pieces")).to_have_count(0)
    fill(page, {"Hip girth": FIGURES["Hip girth"]})
    drawn(page)
    before = page.get_by_role("figure").first.inner_html()
    entry(page, "Hip girth").fill("112.5")
    expect(page.get_by_role("status")).to_contain_text(re.compile("."))
    page.wait_for_function("(was) => document.querySelector('figure').innerHTML !== was", arg=before)
    entry(page, "Hip girth").fill("11250")
    entry(page, "Body rise").click()  # it may be unfinished as long as she is in it
    problem = page.locator("#hip_girth-problem")
    assert main(["draft", str(DESIGN), *OPTIONS, "--hip", "11250", "--out", "nowhere"]) == 2
    expect(problem).to_have_text(capsys.readouterr().err.strip().partition("hip_girth: ")[2])
    expect(entry(page, "Hip girth")).to_have_attribute("aria-invalid", "true")
    examine(page, "counter-refused")
    entry(page, "Hip girth").fill("102.6")
    expect(problem).to_be_hidden()
    drawn(page)
    examine(page, "counter-drawn")


def test_estimates_are_marked_until_she_has_measured(open_tab):
    page = open_tab().page
    choose(page)
    fill(page)
    drawn(page)
    marked = page.get_by_role("cell", name=re.compile("^estimated"))
    before = marked.count()
    assert before
    entry(page, "Crotch length").fill("72")
    expect(marked).to_have_count(before - 1)


def test_the_focus_stays_where_she_types_while_the_fields_of_another_design_come(open_tab):
    page = open_tab().page
    choose(page)
    entry(page, "Hip girth").fill("102.6")
    page.route("**/preview", lambda route: (page.wait_for_timeout(300), route.continue_()))
    choose(page, "Wagtail tiered skirt")
    entry(page, "Waist girth").focus()
    expect(page.get_by_role("radio", name="high rise")).to_have_count(0)
    expect(entry(page, "Waist girth")).to_be_focused()
    page.unroute("**/preview")
    page.keyboard.type("76.3")
    expect(entry(page, "Waist girth")).to_have_value("76.3")


def test_a_button_stays_the_same_while_it_is_pressed(open_tab):
    page = open_tab().page
    choose(page)
    fill(page)
    drawn(page)
    page.wait_for_timeout(300)
    button = page.get_by_role("button", name="Everything in one zip")
    page.evaluate("window.pressed = document.querySelector('#files button')")
    with page.expect_response("**/preview") as asked:  # the field that is left is looked at anew
        entry(page, "Waist girth").click()
    asked.value.finished()
    page.wait_for_timeout(100)
    assert page.evaluate("window.pressed.isConnected")
    expect(button).to_be_visible()


def test_inches_are_understood(open_tab, tmp_path, capsys):
    page = open_tab().page
    choose(page)
    page.get_by_role("radio", name="inches").check()
    fill(page, {"Waist girth": "30.5", "Hip girth": "40.5", "Body rise": "10.75", "Waist to hip": "8"})
    drawn(page)
    inches = ["--waist", "30.5", "--hip", "40.5", "--body-rise", "10.75", "--waist-to-hip", "8", "--unit", "in"]
    assert main(["draft", str(DESIGN), *inches, "--guide", "--out", str(tmp_path / "out")]) == 0
    capsys.readouterr()
    _, zipped = taken(page, "Everything in one zip")
    assert unzipped(zipped, tmp_path) == {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}


def test_without_scripting_she_is_told_what_is_missing_and_what_is_wrong_and_keeps_what_she_typed(open_tab):
    still = open_tab(scripting=False, refused=True).page
    choose(still)
    still.get_by_role("button", name="Show").click()
    expect(still.get_by_role("status")).to_contain_text("waist girth, hip girth, body rise and waist to hip")
    entry(still, "Hip girth").fill("11250")
    still.get_by_role("button", name="Show").click()
    expect(entry(still, "Hip girth")).to_have_attribute("aria-invalid", "true")
    expect(still.locator("#hip_girth-problem")).to_contain_text("is outside 60 to 200 cm")
    entry(still, "Hip girth").fill("")
    fill(still)
    still.get_by_role("button", name="Show").click()
    drawn(still)
    assert entry(still, "Hip girth").input_value() == FIGURES["Hip girth"]


FOCUS_SEEN = """() => {
  const one = document.activeElement, look = getComputedStyle(one);
  const box = one.getBoundingClientRect();
  const shown = box.width > 0 && box.height > 0 && box.bottom > 0 && box.top < innerHeight;
  return shown && look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
}"""
NAME = """() => {
  const one = document.activeElement;
  return one.labels?.[0]?.innerText.trim() || one.getAttribute("aria-label") || one.innerText?.trim() || one.id;
}"""


def tab_to(page: Page, wanted: str, key: str = "Tab", most: int = 120) -> None:
    """Press Tab until the element of that name has the focus; where it is must be seen all the way."""
    for _ in range(most):
        page.keyboard.press(key)
        if page.evaluate("document.activeElement === document.body"):
            continue  # from the last one on the page it goes on to the browser's own
        assert page.evaluate(FOCUS_SEEN), page.evaluate("document.activeElement.outerHTML.slice(0, 200)")
        if re.match(wanted, page.evaluate(NAME)):
            return
    raise AssertionError(f"{wanted} is not reached by {key}")


@pytest.mark.parametrize("scripting", [True, False])
def test_all_of_it_can_be_done_by_keys_alone(open_tab, commanded, tmp_path, scripting):
    tab = open_tab(scripting=scripting, width=768)
    page = tab.page
    page.keyboard.press("Tab")
    assert page.evaluate(NAME) == "Skip to the content"
    page.keyboard.press("Enter")
    names = page.get_by_role("radio").evaluate_all("(all) => all.map((one) => one.labels[0].innerText.trim())")
    heron = next(index for index, name in enumerate(names) if name.startswith("Heron shorts"))
    page.keyboard.press("Tab")
    at = page.get_by_role("radio").evaluate_all("(all) => all.indexOf(document.activeElement)")
    for _ in range(abs(heron - at)):
        page.keyboard.press("ArrowDown" if heron > at else "ArrowUp")
    expect(page.get_by_role("radio", name="Heron shorts")).to_be_checked()
    for label, figure in FIGURES.items():
        tab_to(page, f"{label}$")
        page.keyboard.type(figure)
    if scripting:
        drawn(page)
    else:
        tab_to(page, "Show")
        page.keyboard.press("Enter")
        drawn(page)
    tab_to(page, "Everything in one zip")
    with page.expect_download() as begun:
        page.keyboard.press("Enter")
    assert unzipped(Path(begun.value.path()).read_bytes(), tmp_path) == commanded()


def kept(page: Page) -> str:
    """All that the browser keeps for the next visit."""
    return str(page.evaluate("JSON.stringify([Object.entries(localStorage), Object.entries(sessionStorage)])"))


def test_figures_are_kept_in_the_browser_alone_and_forgotten_when_she_says_so(open_tab):
    page = open_tab().page
    choose(page)
    page.get_by_role("checkbox", name="Keep what I type in this browser").check()
    fill(page)
    drawn(page)
    page.reload()
    drawn(page)
    assert {label: entry(page, label).input_value() for label in FIGURES} == FIGURES
    page.get_by_role("button", name="Forget my figures").click()
    assert not re.search(r"\d", kept(page))
    page.reload()
    assert {entry(page, label).input_value() for label in FIGURES} == {""}
    expect(page.get_by_role("heading", name="The pieces")).to_have_count(0)


def test_figures_are_not_kept_unless_she_asks_for_it(open_tab):
    page = open_tab().page
    choose(page)
    fill(page)
    drawn(page)
    assert "102.6" not in page.evaluate(
        "JSON.stringify([Object.entries(localStorage), Object.entries(sessionStorage)])"
    )


@pytest.mark.parametrize("scripting", [True, False])
def test_no_figure_is_in_an_address_a_header_or_what_the_server_says(open_tab, server, scripting):
    tab = open_tab(scripting=scripting)
    choose(tab.page)
    fill(tab.page)
    if not scripting:
        tab.page.get_by_role("button", name="Show").click()
    drawn(tab.page)
    taken(tab.page, "Everything in one zip")
    told = tab.told + server.said + tab.page.url
    assert [figure for figure in FIGURES.values() if figure in told] == []


def test_nothing_moves_for_one_who_asked_for_less_motion(open_tab):
    page = open_tab(reduced_motion="reduce").page
    choose(page)
    fill(page)
    drawn(page)
    assert page.evaluate("document.getAnimations().length") == 0
    assert (
        page.evaluate(
            """[...document.querySelectorAll("*")].filter((one) => {
          const look = getComputedStyle(one);
          const moves = look.animationName !== "none" || parseFloat(look.transitionDuration) > 0;
          return moves || look.scrollBehavior === "smooth";
        }).length"""
        )
        == 0
    )


def test_it_can_be_printed(open_tab, request, tmp_path):
    page = open_tab(dark=True).page
    choose(page)
    fill(page)
    drawn(page)
    folder = Path(request.config.getoption("--screens") or tmp_path)
    page.pdf(path=folder / "counter.pdf", format="A4")
    sheets = PdfReader(folder / "counter.pdf").pages
    assert len(sheets) == 1
    text = sheets[0].extract_text()
    assert "Heron shorts" in text
    assert "measured" in text
    assert "Forget my figures" not in text


def test_without_scripting_every_state_of_the_page_can_be_read_by_all(open_tab, examine):
    page = open_tab(still=True).page
    examine(page, "counter-still-empty")
    choose(page)
    fill(page)
    page.get_by_role("button", name="Show").click()
    drawn(page)
    for summary in page.locator("summary").all():
        summary.click()
    examine(page, "counter-still-drawn")
