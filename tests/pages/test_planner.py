"""The desk page as people use it: with a mouse, with the keyboard alone, on a tablet, at night."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.pages.conftest import DESK, PLANNED_MS, ROOT

AXE = ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js"
WIDTHS = (390, 820, 1440)
VIEWS = ("letter", "advice", "papers", "as text", "new block")


def blank(page: Page, key: str):
    return page.locator(f"[data-key='{key}']").first


def brief_of(served):
    return (served.folder / "blocks" / "kiepersol" / "brief.toml").read_text()


def write_in(page: Page, key: str, text: str) -> None:
    blank(page, key).click()
    page.get_by_role("dialog").get_by_role("textbox").fill(text)
    page.keyboard.press("Enter")


def view(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_a_changed_blank_is_saved_with_its_comments_and_redraws_the_sheet(page, served):
    rows = page.locator("[data-figure='layout.rows'] .value")
    before = rows.inner_text()

    write_in(page, "vines.row_width", "9 ft")

    expect(rows).not_to_have_text(before, timeout=PLANNED_MS)
    expect(page.locator("header [role=status]")).to_contain_text("saved")
    assert 'row_width = "9 ft"' in brief_of(served)
    assert "# invented: crop of one vine" in brief_of(served)


def test_a_change_can_be_taken_back_and_done_again(page):
    write_in(page, "rows.headland", "9 m")
    expect(blank(page, "rows.headland")).to_have_text("9\u00a0m")

    page.get_by_role("button", name="undo").click()
    expect(blank(page, "rows.headland")).to_have_text("8\u00a0m")
    page.get_by_role("button", name="redo").click()
    expect(blank(page, "rows.headland")).to_have_text("9\u00a0m")


def test_wrong_input_stands_in_its_blank_with_words_beside_it(page, served):
    write_in(page, "rows.headland", "-3 m")

    refusal = page.locator("#blank-rows-headland-refusal")
    expect(refusal).to_contain_text("-3 m")
    expect(refusal).to_contain_text("50")
    expect(blank(page, "rows.headland")).to_have_text("-3 m")
    assert 'headland = "8 m"' in brief_of(served)


def test_a_brief_changed_underneath_is_not_overwritten(page, served):
    path = served.folder / "blocks" / "kiepersol" / "brief.toml"
    path.write_text(path.read_text().replace('headland = "8 m"', 'headland = "10 m"'))

    write_in(page, "rows.side_margin", "4 m")

    conflict = page.get_by_role("dialog", name=re.compile("changed on disk"))
    expect(conflict.get_by_role("row").nth(1)).to_contain_text(re.compile(r"margin.*4.m.*3.m"))
    expect(conflict).not_to_contain_text("rows.side_margin")
    assert 'side_margin = "3 m"' in brief_of(served)
    conflict.get_by_role("button", name="Put my changes on top of it").click()
    expect(blank(page, "rows.headland")).to_have_text("10\u00a0m")
    expect(page.locator("header [role=status]")).to_contain_text("saved")
    assert 'side_margin = "4 m"' in brief_of(served)
    assert 'headland = "10 m"' in brief_of(served)


def test_unsaved_work_stays_when_the_line_drops_and_goes_out_when_it_is_back(page, served):
    page.context.set_offline(True)
    write_in(page, "rows.headland", "9 m")
    expect(page.locator("header [role=status]")).to_contain_text(
        "changes kept here until it is back: 1"
    )
    expect(blank(page, "rows.headland")).to_have_text("9 m")

    page.context.set_offline(False)
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=10_000)
    assert 'headland = "9 m"' in brief_of(served)


def test_every_blank_of_the_brief_stands_in_the_letter(page, served):
    asked = page.request.get(f"{served.address}/api/v1/brief-fields").json()
    wanted = {field["key"] for section in asked["sections"] for field in section["fields"]}
    page.wait_for_selector("section.sheet[aria-busy=false]", timeout=PLANNED_MS)  # advice moves it
    for summary in page.locator(".text > details > summary").filter(has_text="Finer").all():
        summary.click()
        expect(summary.locator("..")).to_have_attribute("open", "")

    shown = page.locator("[data-key]").evaluate_all("all => all.map(one => one.dataset.key)")

    assert sorted(shown) == sorted(wanted)


def test_a_figure_opens_to_its_formula_inputs_and_source(page):
    page.locator("[data-figure='layout.row_ends']").click()

    working = page.get_by_role("dialog")
    expect(working).to_contain_text("2 × pieces")
    expect(working).to_contain_text("arithmetic")
    page.keyboard.press("Escape")
    expect(working).to_be_hidden()


def test_advice_points_at_its_place_on_the_sheet(page):
    view(page, "advice")
    page.get_by_role("button", name="Show the place").first.click()

    expect(page.get_by_role("region", name="The sheet")).to_be_visible()


def test_the_keyboard_alone_suffices(page, served):
    blank(page, "rows.headland").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("9 m")
    page.keyboard.press("Enter")

    expect(blank(page, "rows.headland")).to_be_focused()
    expect(page.locator("header [role=status]")).to_contain_text("saved")
    assert 'headland = "9 m"' in brief_of(served)
    page.keyboard.press("ControlOrMeta+z")
    expect(blank(page, "rows.headland")).to_have_text("8\u00a0m")


def test_tab_stays_in_a_working_and_escape_gives_focus_back(page):
    figure = page.locator("[data-figure='layout.row_ends']")
    figure.focus()
    page.keyboard.press("Enter")
    working = page.get_by_role("dialog")
    expect(working).to_be_visible()

    for _ in range(12):
        page.keyboard.press("Tab")
        assert page.evaluate(
            "document.activeElement === document.body || !!document.activeElement.closest('dialog')"
        )
    page.keyboard.press("Escape")

    expect(working).to_be_hidden()
    expect(figure).to_be_focused()


def test_another_block_brings_its_own_sheet(page):
    sheet = page.get_by_role("application")
    expect(sheet).to_have_attribute("aria-label", re.compile("^132 rows"), timeout=PLANNED_MS)

    view(page, "onderveld")

    expect(sheet).to_have_attribute(
        "aria-label", re.compile(r"^(?!132 )\d+ rows"), timeout=PLANNED_MS
    )
    view(page, "kiepersol")
    expect(sheet).to_have_attribute("aria-label", re.compile("^132 rows"), timeout=PLANNED_MS)


def test_a_slip_at_the_edge_stays_in_sight_and_leaves_the_letter_where_it_is(page):
    blank(page, "vines.row_width").click()

    slip = page.get_by_role("dialog").bounding_box()
    pane = page.locator(".left").bounding_box()
    assert slip is not None
    assert pane is not None
    assert slip["x"] + slip["width"] <= pane["x"] + pane["width"]
    assert page.locator(".left").evaluate("pane => pane.scrollLeft") == 0


def test_a_newcomer_makes_a_block_from_a_track_to_a_plan_with_its_files(page, served):
    view(page, "new block")
    page.set_input_files("input[type=file]", served.folder / "blocks/kiepersol/boundary.gpx")
    page.get_by_label("Name of the block").fill("Bo-kamp")
    page.get_by_role("button", name="Make the block").click()
    expect(page.get_by_role("button", name="bo-kamp", exact=True)).to_have_attribute(
        "aria-current", "page"
    )
    page.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)

    view(page, "papers")
    page.get_by_role("button", name="Make the plan with all papers").click()
    expect(page.get_by_text("The plan is made")).to_be_visible(timeout=PLANNED_MS)

    for name in ("report.pdf", "set-out.dxf", "orders.xlsx", "plan.gpkg"):
        with page.expect_download() as fetched:
            page.get_by_role("link", name=name, exact=True).click()
        assert Path(fetched.value.path()).stat().st_size > 1000


def test_a_block_is_begun_from_corners_alone(page, served):
    """A list with tabs, as a spreadsheet gives it, in the Lo grid of the example."""
    view(page, "new block")
    page.get_by_text("No file? Write the corners").click()
    page.get_by_label("Each line is").select_option("westing,southing")
    page.get_by_label("Corners in order").fill(
        "-27700\t3719200\n-27900\t3719200\n-27900\t3719350\n-27700\t3719350"
    )
    page.get_by_label("Grid of the file").fill("EPSG:2048")
    page.get_by_label("Name of the block").fill("Bo-kamp")

    page.get_by_role("button", name="Make the block").click()

    expect(page.locator("[data-figure='site.area'] .value")).to_contain_text(
        "3 ha", timeout=PLANNED_MS
    )
    corners = served.folder / "blocks/bo-kamp/corners.csv"
    assert corners.read_text().startswith("westing,southing\n-27700,3719200\n")


def test_of_two_blocks_the_one_pressed_last_is_opened_however_late_the_other_comes(page):
    def late(route):
        page.wait_for_timeout(1500)
        route.continue_()

    page.route("**/blocks/onderveld/brief", late)
    page.get_by_role("button", name="onderveld", exact=True).click(no_wait_after=True)
    page.get_by_role("button", name="kiepersol", exact=True).click()
    with page.expect_response("**/blocks/onderveld/brief"):
        pass
    page.wait_for_timeout(300)

    expect(page.get_by_role("button", name="kiepersol", exact=True)).to_have_attribute(
        "aria-current", "page"
    )
    assert page.url.endswith("#kiepersol")


def test_a_plan_in_the_making_is_followed_from_other_views_and_blocks(page):
    view(page, "papers")
    page.get_by_role("button", name="Make the plan with all papers").click()
    stop = page.get_by_role("button", name="Stop", exact=True)
    expect(stop).to_be_visible()
    view(page, "letter")
    view(page, "onderveld")
    view(page, "kiepersol")

    view(page, "papers")

    expect(stop).to_be_visible()
    expect(page.get_by_role("progressbar")).to_be_visible()
    view(page, "letter")
    view(page, "papers")
    expect(page.get_by_text("The plan is made")).to_be_visible(timeout=PLANNED_MS)
    expect(page.get_by_role("link", name="report.pdf", exact=True)).to_be_visible()


def test_words_of_the_page_come_in_afrikaans(page):
    page.get_by_label("Language").select_option("af")

    expect(page.get_by_role("heading", name="Voorbereiding")).to_be_visible()
    expect(page.locator("html")).to_have_attribute("lang", "af")
    expect(blank(page, "rows.end_gap")).to_have_text("0,6\u00a0m")


def test_a_reader_in_feet_reads_feet(page):
    page.get_by_label("Units").select_option("imperial")

    expect(blank(page, "rows.headland")).to_contain_text("ft")
    expect(page.locator("[data-figure='site.area'] .value")).to_contain_text("acre")


def test_the_first_visit_begins_with_a_tour_that_can_be_skipped(browser, served):
    page = browser.new_page(viewport=DESK)
    page.goto(served.address)
    tour = page.get_by_role("dialog", name="Two minutes to look round")
    expect(tour).to_be_visible()
    tour.get_by_role("button", name="Skip").click()
    expect(tour).to_be_hidden()
    page.reload()
    page.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)
    assert page.get_by_role("dialog").count() == 0
    page.close()


@pytest.mark.parametrize("name", VIEWS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view_passes_axe(page, name, scheme):
    page.emulate_media(color_scheme=scheme)
    view(page, name)
    page.evaluate(AXE.read_text())
    found = page.evaluate("async () => (await axe.run()).violations")

    assert [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found] == []


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_runs_out_of_the_page(page, width):
    page.set_viewport_size({"width": width, "height": 900})
    for name in VIEWS:
        view(page, name)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
