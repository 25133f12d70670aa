"""The letter's own ways: rows of lists and tables, blanks that are shown, states of the page."""

import re
import tomllib

import pytest
from playwright.sync_api import Page, expect

from tests.pages.test_planner import blank, brief_of, view, write_in


def written(served):
    return tomllib.loads(brief_of(served))


def saved(page: Page) -> None:
    expect(page.locator("header [role=status]")).to_contain_text("saved")


def finer(page: Page) -> None:
    for summary in page.locator(".text > details > summary").filter(has_text="Finer").all():
        summary.click()


def rows_of(page: Page, key: str):
    """Open the rows of a blank by the keyboard."""
    blank(page, key).focus()
    page.keyboard.press("Enter")
    return page.get_by_role("dialog")


def test_a_list_is_changed_by_the_keyboard_alone_and_keeps_what_stands_beside_it(page, served):
    finer(page)
    before = brief_of(served)
    form = rows_of(page, "trellis.yield_by_year")
    expect(form.get_by_role("textbox", name="Year 1")).to_be_focused()

    page.keyboard.press("Enter")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("0.1")
    page.keyboard.press("ControlOrMeta+Enter")

    expect(form).to_be_hidden()
    expect(blank(page, "trellis.yield_by_year")).to_be_focused()
    saved(page)
    assert written(served)["trellis"]["yield_by_year"][1] == 0.1
    assert before.count("#") == brief_of(served).count("#")
    page.keyboard.press("ControlOrMeta+z")
    saved(page)
    expect(blank(page, "trellis.yield_by_year")).not_to_contain_text("0.1")


def test_rows_are_added_moved_and_taken_out_by_the_keyboard(page, served):
    finer(page)
    form = rows_of(page, "money.renewals")
    before = written(served)["money"].get("renewals", [])
    form.get_by_role("button", name="Add an entry").press("Enter")
    for cell in ("pump", "12", "", "3000"):
        page.keyboard.type(cell)
        page.keyboard.press("Tab")
    count = form.locator("fieldset").count()

    form.locator("fieldset").last.get_by_role("textbox").first.focus()
    for _ in range(count - 1):
        page.keyboard.press("Alt+ArrowUp")
    expect(form.locator("fieldset").first.get_by_role("textbox").first).to_have_value("pump")
    expect(form.locator("fieldset").first.get_by_role("textbox").first).to_be_focused()
    page.keyboard.press("ControlOrMeta+Enter")
    saved(page)
    pump = {"name": "pump", "year": 12, "cost": 3000}
    assert written(served)["money"]["renewals"] == [pump, *before]

    rows_of(page, "money.renewals")
    page.keyboard.press("Alt+Delete")
    page.keyboard.press("ControlOrMeta+Enter")
    saved(page)
    expect(form).to_be_hidden()
    assert written(served)["money"].get("renewals", []) == before


def test_a_table_within_a_row_is_written_as_one(page, served):
    finer(page)
    lots = written(served)["nursery"]["lots"]
    form = rows_of(page, "nursery.lots")

    form.get_by_role("button", name="Add an entry").first.click()
    page.keyboard.type("fanleaf virus")
    page.keyboard.press("ControlOrMeta+Enter")

    saved(page)
    tests = written(served)["nursery"]["lots"][0]["virus_tests"]
    assert tests == [*lots[0]["virus_tests"], {"organism": "fanleaf virus"}]
    assert written(served)["nursery"]["lots"][1:] == lots[1:]


def test_a_wrong_cell_has_its_words_beside_it_and_nothing_typed_is_lost(page, served):
    finer(page)
    form = rows_of(page, "trellis.wires")
    before = brief_of(served)
    form.get_by_role("button", name="Add an entry").click()
    form.get_by_label("name").fill("cordon")
    form.get_by_label("height").fill("12 m")
    form.get_by_label("diameter").fill("2.5")

    page.keyboard.press("ControlOrMeta+Enter")

    wrong = form.locator(".cell", has=page.get_by_role("alert"))
    expect(wrong).to_contain_text("height")
    expect(wrong).to_contain_text("between 0.1 and 3.5 m")
    expect(form.get_by_label("height")).to_be_focused()
    expect(form.get_by_label("name")).to_have_value("cordon")
    assert brief_of(served) == before
    form.get_by_label("height").fill("1.2 m")
    page.keyboard.press("ControlOrMeta+Enter")
    saved(page)
    assert written(served)["trellis"]["wires"] == [
        {"name": "cordon", "height": "1.2 m", "diameter": 2.5}
    ]


def test_rows_that_are_not_written_in_are_not_dropped_by_one_escape(page):
    finer(page)
    form = rows_of(page, "watering.no_power")
    form.get_by_role("button", name="Add an entry").click()
    page.keyboard.type("17:00")

    page.keyboard.press("Escape")
    expect(form.get_by_role("alert")).to_contain_text("not written in yet")
    page.keyboard.press("Escape")

    expect(form).to_be_hidden()
    expect(blank(page, "watering.no_power")).to_have_text(re.compile("not given|–"))


def test_advice_leads_to_the_blank_that_mends_it_also_among_the_finer_points(page):
    view(page, "advice")
    blanks = page.get_by_role("button", name=re.compile("^Blank: "))
    name = blanks.first.inner_text().removeprefix("Blank: ")
    blanks.first.click()
    expect(page.locator("[data-key]:focus")).to_be_visible()
    assert (
        page.locator("[data-key]:focus").get_attribute("data-key").endswith(name.replace(" ", "_"))
    )

    view(page, "advice")
    page.get_by_role("button", name="Blank: cohesion").first.click()
    expect(blank(page, "posts.cohesion")).to_be_focused()
    expect(blank(page, "posts.cohesion")).to_be_in_viewport()


def test_a_working_leads_to_the_blank_its_input_comes_from(page):
    page.locator("[data-figure='layout.density']").click()
    working = page.get_by_role("dialog")
    working.get_by_role("button", name="vines", exact=True).click()
    expect(working.get_by_role("heading").first).to_contain_text("vines:")
    page.keyboard.press("Escape")

    page.locator("[data-figure='stock.order_quantity']").click()
    working.get_by_role("button", name="blank: assurance").click()

    expect(working).to_be_hidden()
    expect(blank(page, "vines.assurance")).to_be_focused()


def test_a_refused_blank_can_be_found_from_the_head_of_the_page(page):
    finer(page)
    write_in(page, "canopy.height", "90 m")
    blank(page, "block.name").scroll_into_view_if_needed()

    page.get_by_role("button", name="show the blank").click()

    expect(blank(page, "canopy.height")).to_be_focused()


def test_commas_between_thousands_are_not_taken_for_that_of_decimals(page, served):
    write_in(page, "water.water_right", "48,500 m3")

    saved(page)
    assert written(served)["water"]["water_right"] == "48500 m3"


def test_a_bare_number_in_a_blank_of_per_cent_is_per_cent(page, served):
    write_in(page, "vines.loss_fraction", "4")

    expect(blank(page, "vines.loss_fraction")).to_have_text("4\u00a0%")
    saved(page)
    assert written(served)["vines"]["loss_fraction"] == "4 %"
    write_in(page, "vines.loss_fraction", "60")
    expect(page.locator("#blank-vines-loss_fraction-refusal")).to_contain_text("0 and 50 %")


def type_in(page: Page, key: str, text: str) -> None:
    blank(page, key).click()
    page.get_by_role("dialog").get_by_role("textbox").fill(text)


def test_what_is_typed_is_written_in_wherever_its_slip_is_left_for(page, served):
    type_in(page, "rows.headland", "9 m")
    for _ in range(5):
        page.keyboard.press("Tab")
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(blank(page, "rows.headland")).to_have_text("9\u00a0m")

    type_in(page, "rows.side_margin", "4 m")
    blank(page, "rows.headland").click()
    expect(blank(page, "rows.side_margin")).to_have_text("4\u00a0m")
    page.get_by_role("dialog").get_by_role("textbox").fill("7 m")
    page.get_by_role("heading", name="Rows").click()
    expect(blank(page, "rows.headland")).to_have_text("7\u00a0m")

    type_in(page, "vines.row_width", "2.8 m")
    view(page, "advice")
    saved(page)
    rows = written(served)["rows"]
    assert (rows["headland"], rows["side_margin"]) == ("7 m", "4 m")
    assert written(served)["vines"]["row_width"] == "2.8 m"


def test_a_slip_left_without_a_word_writes_nothing_and_a_wrong_word_stays(page, served):
    before = brief_of(served)
    blank(page, "rows.headland").click()
    page.get_by_role("heading", name="Rows").click()
    expect(page.get_by_role("dialog")).to_be_hidden()
    type_in(page, "rows.headland", "9 m")
    page.get_by_role("dialog").get_by_text("Source").click()
    page.keyboard.press("Escape")
    expect(blank(page, "rows.headland")).to_have_text("8\u00a0m")

    type_in(page, "rows.headland", "-3 m")
    page.get_by_role("heading", name="Rows").click()

    expect(page.locator("#blank-rows-headland-refusal")).to_contain_text("-3 m")
    expect(blank(page, "rows.headland")).to_have_text("-3 m")
    assert brief_of(served) == before


@pytest.mark.parametrize("width", [390, 820, 1100, 1440])
def test_no_slip_is_cut_off_and_the_letter_stays_where_it_is(page, width):
    page.set_viewport_size({"width": width, "height": 900})
    finer(page)

    opened, cut_off = page.locator(".left").evaluate(
        """async (left) => {
            const cut = [];
            let opened = 0;
            for (const blank of left.querySelectorAll('[data-key]')) {
                blank.scrollIntoView({ block: 'center' });
                blank.click();
                await new Promise(requestAnimationFrame);
                const slip = left.querySelector('.slip');
                if (slip === null) {
                    left.querySelector('dialog .choices button:last-child').click();
                } else {
                    opened += 1;
                    const inner = slip.getBoundingClientRect();
                    const outer = left.getBoundingClientRect();
                    if (  // a pixel goes to rounding
                        inner.left < 0 || inner.right > outer.left + left.clientWidth ||
                        inner.top < outer.top - 1 || inner.bottom > outer.bottom + 1 ||
                        left.scrollLeft !== 0
                    ) cut.push(blank.dataset.key);
                    blank.click();
                }
                await new Promise(requestAnimationFrame);
            }
            return [opened, cut];
        }"""
    )

    assert opened > 100
    assert cut_off == []


def test_the_letter_prints_as_a_letter(page):
    finer(page)
    title = page.get_by_text(re.compile("^Lowquince: the brief of Kiepersol on "))
    expect(title).to_be_hidden()
    page.emulate_media(media="print", color_scheme="dark")

    expect(title).to_be_visible()
    expect(blank(page, "work.planting")).to_have_text("August 2027")
    expect(blank(page, "rows.headland")).to_be_visible()
    expect(page.locator("header")).to_be_hidden()
    expect(page.get_by_role("region", name="The sheet")).to_be_hidden()
    expect(page.get_by_role("button", name="Show the place").first).to_be_hidden()
    style = "[getComputedStyle(document.body).color, document.querySelector('.left').scrollHeight]"
    ink, tall = page.evaluate(style)
    assert ink == "rgb(34, 48, 43)"
    assert page.evaluate("document.body.scrollHeight") >= tall
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) >= 3
