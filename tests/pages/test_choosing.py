"""Choosing on the desk page: charts that write into the letter, alternatives side by side."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from aanplant.cli.vary import run_vary
from aanplant.files import open_block, read_inputs
from aanplant.files.plan_tables import plan_tables
from aanplant.plan import make_plan
from aanplant.units import show_number
from tests.pages.conftest import PLANNED_MS, ROOT

AXE = ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js"
WIDTHS = (390, 820, 1440)
CHARTS = {
    "row direction": "direction", "rootstock": "rootstock", "spare vines": "spares",
    "spacing": "spacing", "calendar": "calendar", "money": "money",
    "what it hangs on": "sensitivity",
}  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    block = open_block(ROOT / "examples/lowquince/blocks/kiepersol")
    return make_plan(block.brief, read_inputs(block))


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def chart(page: Page, name: str) -> Locator:
    """Turn to a chart and wait until it is drawn from what the letter says now."""
    press(page, name)
    found = page.locator(f"[data-chart='{CHARTS[name]}'][aria-busy='false']")
    expect(found).to_be_visible(timeout=PLANNED_MS)
    return found


def blank(page: Page, key: str) -> Locator:
    return page.locator(f".left [data-key='{key}']").first


def brief_of(served) -> str:
    return str((served.folder / "blocks" / "kiepersol" / "brief.toml").read_text())


@pytest.fixture
def choices(page: Page) -> Page:
    press(page, "choices")
    page.wait_for_selector("[data-chart='direction']", timeout=PLANNED_MS)
    return page


def test_a_bearing_pressed_on_the_chart_stands_in_the_letter_and_is_taken_back(choices, served):
    drawn = choices.locator("[data-chart]")
    slider = drawn.get_by_role("slider", name="Row bearing")
    box = slider.bounding_box()
    assert box is not None

    choices.mouse.click(box["x"] + 54 + (box["width"] / 2 - 78) * 68 / 180, box["y"] + 60)

    written = blank(choices, "rows.bearing")
    expect(written).to_have_text(re.compile(r"^6[789]°$"))
    expect(choices.locator(".written")).to_contain_text("Written in the letter")
    expect(choices.locator("header [role=status]")).to_contain_text("saved")
    assert re.search(r"^bearing = 6[789]", brief_of(served), re.MULTILINE)
    expect(drawn).to_have_attribute("aria-busy", "false", timeout=PLANNED_MS)
    expect(drawn.get_by_text("stands in the letter")).to_be_visible()

    choices.locator(".written").get_by_role("button", name="undo").click()
    expect(written).to_have_text("choose for me")


def test_the_keyboard_alone_chooses_a_bearing_and_reads_every_one(choices, plan):
    slider = choices.get_by_role("slider", name="Row bearing")
    slider.focus()
    for key in ("Home", "PageUp", "ArrowRight"):
        choices.keyboard.press(key)

    line = plan_tables(plan)["bearings"][11]
    said = slider.get_attribute("aria-valuetext") or ""
    assert said.startswith(f"11°: vines {show_number(line['vines'])}; rows {line['rows']}")
    choices.keyboard.press("ArrowRight")
    choices.keyboard.press("Enter")
    expect(blank(choices, "rows.bearing")).to_have_text("12°")
    choices.keyboard.press("ControlOrMeta+z")
    expect(blank(choices, "rows.bearing")).to_have_text("choose for me")


def test_a_rootstock_an_assurance_and_a_spacing_are_written_by_one_press(choices, served):
    chart(choices, "rootstock").get_by_role(
        "button", name=re.compile("Write it in the letter.*101-14")
    ).click()
    expect(blank(choices, "vines.rootstock")).to_have_text("101-14")

    levels = chart(choices, "spare vines").get_by_role("group", name="assurance")
    levels.get_by_role("button", name=re.compile(r"^99\s%")).click()
    expect(blank(choices, "vines.assurance")).to_have_text("99\u00a0%")

    spacings = chart(choices, "spacing").get_by_role("row", name=re.compile("^1.5 m"))
    spacings.get_by_role("button").first.click()
    expect(blank(choices, "vines.row_width")).to_have_text("2.4\u00a0m")
    expect(blank(choices, "vines.vine_spacing")).to_have_text("1.5\u00a0m")
    expect(choices.locator("header [role=status]")).to_contain_text("saved")
    assert "row_width = 2.4" in brief_of(served)

    choices.locator(".written").get_by_role("button", name="undo").click()
    expect(blank(choices, "vines.row_width")).to_have_text("2.5\u00a0m")
    expect(blank(choices, "vines.vine_spacing")).to_have_text("1.2\u00a0m")


def test_numbers_on_the_page_are_those_of_the_plan(choices, plan):
    tables = plan_tables(plan)
    money = chart(choices, "money").get_by_role("slider")
    money.focus()
    choices.keyboard.press("End")
    year = tables["budget_years"][-1]
    said = money.get_attribute("aria-valuetext") or ""
    assert said.startswith(f"{year['year']}: ")
    assert show_number(round(-year["owed_with_interest"])) in said

    hangs = chart(choices, "what it hangs on").get_by_role("slider")
    first = tables["sensitivity"][0]
    said = hangs.get_attribute("aria-valuetext") or ""
    for end in ("npv_low", "npv_high"):
        assert show_number(round(first[end])).replace("-", "−") in said

    spares = chart(choices, "spare vines")
    order = show_number(plan.figures.value("stock.order_quantity"))
    expect(spares.get_by_role("button", pressed=True)).to_contain_text(order)

    asked = chart(choices, "spacing").get_by_role("button", pressed=True)
    expect(asked).to_contain_text(show_number(plan.figures.value("layout.vines")))


def test_a_task_of_the_calendar_says_what_holds_it(choices):
    calendar = chart(choices, "calendar")
    calendar.get_by_role("button", name="plant line posts").click()

    told = calendar.get_by_role("status").first
    expect(told).to_contain_text("It begins as soon as this is done: check the setting-out.")
    expect(told).to_contain_text("Crew: Planters")
    choices.keyboard.press("ArrowDown")
    expect(told).to_contain_text("plant end posts")
    wide = calendar.locator(".scroll svg").bounding_box()
    calendar.get_by_role("button", name="Nearer").click()
    nearer = calendar.locator(".scroll svg").bounding_box()
    assert wide is not None
    assert nearer is not None
    assert nearer["width"] > wide["width"]


def test_alternatives_differ_as_vary_says_and_one_press_takes_one_back(choices, served, capsys):
    press(choices, "alternatives")
    keep = choices.get_by_role("button", name="Keep this as an alternative")
    choices.get_by_label("Name").fill("2.5m")
    keep.click()
    chart(choices, "spacing").get_by_role("row", name=re.compile("^1.2 m")).get_by_role(
        "button"
    ).first.click()
    expect(blank(choices, "vines.row_width")).to_have_text("2.4\u00a0m")
    expect(choices.locator("header [role=status]")).to_contain_text("saved")
    press(choices, "alternatives")
    told = choices.locator("ul.told li")
    expect(told).to_contain_text("2.5m costs", timeout=PLANNED_MS)

    run_vary(served.folder / "blocks/kiepersol", ["row_width=2.4m,2.5m"], None, as_json=False)
    *_, sentence = capsys.readouterr().out.strip().splitlines()
    expect(told).to_contain_text(sentence.replace("than 2.4m", "than the letter as it stands"))
    table = choices.get_by_role("region", name="alternatives")
    vines = table.get_by_role("row", name=re.compile("^vines (?!ordered)"))
    expect(vines.locator("td")).to_have_count(2)
    expect(vines.locator("td").last).to_contain_text("less: 18\u202f458")
    expect(table).to_contain_text("2.5 m")

    table.get_by_role("button", name="Take into the letter").click()
    expect(blank(choices, "vines.row_width")).to_have_text("2.5\u00a0m")
    expect(table).to_contain_text("as in the letter", timeout=PLANNED_MS)
    choices.locator("header").get_by_role("button", name="undo").click()
    expect(blank(choices, "vines.row_width")).to_have_text("2.4\u00a0m")


def test_kept_alternatives_are_there_after_the_page_was_closed(choices):
    press(choices, "alternatives")
    choices.get_by_label("Name").fill("as we began")
    press(choices, "Keep this as an alternative")
    choices.reload()
    press(choices, "choices")
    press(choices, "alternatives")

    heads = choices.get_by_role("columnheader", name=re.compile("as we began"))
    expect(heads).to_be_visible(timeout=PLANNED_MS)
    heads.get_by_role("button", name="Forget").click()
    expect(heads).to_be_hidden()


def test_the_old_chart_stays_while_a_new_one_is_worked_out(choices):
    spacing = chart(choices, "spacing")
    choices.route("**/charts/spacing*", lambda _: None)
    spacing.get_by_role("row", name=re.compile("^1.5 m")).get_by_role("button").first.click()

    drawn = choices.locator("[data-chart='spacing']")
    expect(drawn).to_have_attribute("aria-busy", "true")
    expect(drawn.get_by_role("button", pressed=True)).to_contain_text("18\u202f458")
    expect(choices.get_by_text("Working it out, now at")).to_be_visible()
    choices.unroute("**/charts/spacing*")


@pytest.mark.parametrize("name", [*CHARTS, "alternatives"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_chart_passes_axe(choices, name, scheme):
    choices.emulate_media(color_scheme=scheme)
    if name == "alternatives":
        press(choices, name)
        choices.get_by_role("region", name="alternatives").wait_for(timeout=PLANNED_MS)
    elif name != "row direction":
        chart(choices, name)
    for summary in choices.locator("[data-chart] > details > summary").all():
        summary.click()
    choices.evaluate(AXE.read_text())
    found = choices.evaluate("async () => (await axe.run()).violations")

    assert [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found] == []


@pytest.mark.parametrize("width", WIDTHS)
def test_no_chart_runs_out_of_the_page(choices, width):
    choices.set_viewport_size({"width": width, "height": 900})
    for name in CHARTS:
        if name != "row direction":
            chart(choices, name)
        wide = choices.evaluate("document.documentElement.scrollWidth")
        inner = choices.evaluate("[main.scrollWidth, main.clientWidth]")
        assert wide <= width, name
        assert inner[0] <= inner[1], name


def test_words_of_the_charts_come_in_afrikaans(choices):
    choices.get_by_label("Language").select_option("af")

    expect(choices.get_by_role("button", name="ryrigting")).to_be_visible()
    spacing = choices.get_by_role("button", name="spasiëring", exact=True)
    spacing.click()
    expect(choices.get_by_text("Stokke en hul koste volgens spasiëring")).to_be_visible(
        timeout=PLANNED_MS
    )
