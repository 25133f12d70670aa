"""What the page says and keeps in bad moments: nothing there yet, unreadable, nobody answers."""

import re
import shutil

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.pages.conftest import DESK, PLANNED_MS
from tests.pages.test_planner import AXE, blank, brief_of, view, write_in


def opened(browser: Browser, address: str) -> Page:
    """The page before anything stands on it."""
    page = browser.new_page(viewport=DESK)
    page.add_init_script("localStorage.setItem('aanplant:seen', 'yes')")
    page.goto(address)
    return page


def faults(page: Page) -> list[tuple[str, list[str]]]:
    """What axe finds wrong on the page as it stands, without asking the server for its styles."""
    page.evaluate(AXE.read_text())
    found = page.evaluate("async () => (await axe.run({ preload: false })).violations")
    return [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found]


def test_an_estate_without_blocks_begins_with_its_first(browser, served):
    shutil.rmtree(served.folder / "blocks")
    page = opened(browser, served.address)

    expect(page.get_by_text("This estate has no block yet")).to_be_visible()
    expect(page.get_by_role("button", name="Make the block")).to_be_visible()
    assert faults(page) == []
    page.close()


def test_a_brief_that_cannot_be_read_says_where_and_is_mended_as_text(browser, served):
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    whole = path.read_text()
    path.write_text(whole.replace("[vines]", "[vines"))
    page = opened(browser, served.address)

    told = page.get_by_role("alert")
    expect(told).to_contain_text("This brief cannot be read")
    expect(told).to_contain_text("line")
    assert faults(page) == []
    page.get_by_role("button", name="Mend it as text").click()
    page.get_by_role("textbox", name="brief.toml").fill(whole)
    page.get_by_role("button", name="Save the text").click()
    expect(page.get_by_role("button", name="Save the text")).to_be_disabled()
    view(page, "letter")

    expect(blank(page, "rows.headland")).to_have_text("8\u00a0m")
    assert path.read_text() == whole
    page.close()


def test_text_written_by_hand_stays_and_overwrites_nobody(page, served):
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    view(page, "as text")
    text = page.get_by_role("textbox", name="brief.toml")
    mine = "# mine\n" + text.input_value()
    text.fill(mine)
    view(page, "letter")
    write_in(page, "rows.headland", "9 m")
    expect(page.locator("header [role=status]")).to_contain_text("saved")

    view(page, "as text")
    expect(text).to_have_value(mine)
    page.get_by_role("button", name="Save the text").click()

    expect(page.get_by_role("alert")).to_contain_text("Not saved")
    expect(text).to_have_value(mine)
    assert 'headland = "9 m"' in path.read_text()
    page.get_by_role("button", name="Take the text on disk").click()
    expect(text).to_have_value(path.read_text())


def test_a_new_block_half_filled_in_stays_while_other_views_are_open(page, served):
    view(page, "new block")
    page.set_input_files("input[type=file]", served.folder / "blocks/kiepersol/boundary.gpx")
    page.get_by_label("Name of the block").fill("Bo-kamp")
    view(page, "letter")
    view(page, "new block")

    expect(page.get_by_label("Name of the block")).to_have_value("Bo-kamp")
    expect(page.get_by_text("boundary.gpx", exact=True)).to_be_visible()


def test_each_view_says_so_when_the_program_has_gone_and_keeps_what_was_written(page, served):
    served.end()
    write_in(page, "rows.headland", "9 m")
    expect(page.locator("header [role=status]")).to_contain_text("kept here until it is back: 1")

    view(page, "choices")
    expect(page.locator(".right").get_by_role("alert")).to_contain_text("was not loaded yet")
    view(page, "papers")
    expect(page.get_by_role("alert")).to_contain_text("does not answer")
    page.get_by_role("button", name="onderveld", exact=True).click()

    expect(page.get_by_role("alert")).to_contain_text("No answer")
    assert faults(page) == []
    kept = page.evaluate("JSON.parse(localStorage.getItem('aanplant:unsaved:kiepersol'))")
    assert kept["rows.headland"]["value"] == "9 m"


def test_a_change_in_one_tab_stands_in_the_other(page, served):
    other = page.context.new_page()
    other.goto(served.address)
    other.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)

    write_in(other, "rows.headland", "9 m")

    expect(blank(page, "rows.headland")).to_have_text("9\u00a0m")
    write_in(page, "rows.side_margin", "4 m")
    expect(blank(other, "rows.side_margin")).to_have_text("4\u00a0m")
    assert 'headland = "9 m"' in brief_of(served)
    assert 'side_margin = "4 m"' in brief_of(served)


def test_a_change_in_an_editor_is_seen_without_a_save(page, served):
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    path.write_text(path.read_text().replace('headland = "8 m"', 'headland = "10 m"'))

    expect(blank(page, "rows.headland")).to_have_text("10\u00a0m", timeout=10_000)


@pytest.mark.parametrize(("press", "left"), [("Put my", "9 m"), ("Let it stand", "10 m")])
def test_a_conflict_is_settled_while_nobody_answers(page, served, press, left):
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    path.write_text(path.read_text().replace('headland = "8 m"', 'headland = "10 m"'))
    write_in(page, "rows.headland", "9 m")
    asked = page.get_by_role("dialog")
    expect(asked).to_contain_text("10\u00a0m")

    page.context.set_offline(True)
    asked.get_by_role("button", name=press).click()
    expect(asked).to_be_hidden()
    expect(blank(page, "rows.headland")).to_have_text(re.compile(left.replace(" ", ".")))
    page.context.set_offline(False)

    expect(page.locator("header [role=status]")).to_contain_text(re.compile("saved|as on disk"))
    expect(blank(page, "rows.headland")).to_have_text(left.replace(" ", "\u00a0"))
    assert f'headland = "{left}"' in path.read_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_opens_over_the_letter_passes_axe(page, served, scheme):
    page.emulate_media(color_scheme=scheme)
    blank(page, "rows.headland").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert faults(page) == []
    page.keyboard.press("Escape")

    page.locator("[data-figure='layout.vines']").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert faults(page) == []
    page.keyboard.press("Escape")

    page.get_by_role("button", name="tour").click()
    assert faults(page) == []
    page.get_by_role("button", name="Skip").click()

    page.locator(".text > details > summary").filter(has_text="Finer").nth(4).click()
    blank(page, "trellis.yield_by_year").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert faults(page) == []
    page.keyboard.press("Escape")

    write_in(page, "rows.side_margin", "-4 m")
    expect(page.locator("#blank-rows-side_margin-refusal")).to_be_visible()
    assert faults(page) == []
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    path.write_text(path.read_text().replace('headland = "8 m"', 'headland = "10 m"'))
    write_in(page, "rows.end_gap", "0.7 m")
    expect(page.get_by_role("dialog")).to_contain_text("changed on disk")
    assert faults(page) == []
