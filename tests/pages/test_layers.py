"""The sheet: its layers, its coordinate frame, and what it prints."""

import re
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect
from pypdf import PdfReader
from pyproj import Transformer

CALM = "section.sheet[aria-busy=false]"
WATER_MS = 60_000


def picture(page: Page) -> np.ndarray:
    """Pixels of the map, standing still."""
    page.wait_for_selector(CALM, timeout=WATER_MS)
    page.wait_for_timeout(300)
    return np.asarray(Image.open(BytesIO(page.locator(".frame").screenshot())).convert("RGB"))


def switch(page: Page, layer: str) -> None:
    page.get_by_role("checkbox", name=layer, exact=True).click()


@pytest.mark.parametrize(
    ("layer", "key", "words"),
    [
        ("Ground for rows", "plantable", ""),
        ("Slope and contours", "slope", "contours, 5 m apart"),
        ("Soil zones and pits", "soil", "soil pit"),
        ("Light on the rows", "light", "of the season's light"),
        ("Wires", "wires", "cordon, 0.75 m"),
        ("Pipes, sets and valves", "pipes", "ground of set 2"),
        ("Pressure at the drippers", "pressures", "lowest of a set"),
    ],
)
def test_a_layer_that_is_turned_on_is_drawn_and_told_in_the_legend(
    page: Page, layer: str, key: str, words: str
):
    before = picture(page)
    legend = page.locator(f"[data-legend={key}]")
    expect(legend).to_have_count(0)

    switch(page, layer)

    expect(legend).to_contain_text(words, timeout=WATER_MS)
    assert (picture(page) != before).any(axis=-1).mean() > 0.005

    switch(page, layer)

    expect(legend).to_have_count(0)
    assert (picture(page) != before).any(axis=-1).mean() < 0.001


def test_rows_are_drawn_anew_while_a_deep_layer_is_still_worked_out(page: Page):
    switch(page, "Pipes, sets and valves")
    expect(page.locator("[data-legend=pipes]")).to_contain_text("mainline", timeout=WATER_MS)
    page.evaluate(
        """() => {
            const real = window.fetch;
            window.fetch = async (address, asked) => {
                if (String(asked?.body ?? '').includes('"until":"water"'))
                    await new Promise((done) => setTimeout(done, 3000));
                return real(address, asked);
            };
        }"""
    )
    rows = page.locator("[data-figure='layout.rows'] .value")
    before = rows.inner_text()

    page.locator("[data-key='vines.row_width']").first.click()
    page.get_by_role("dialog").get_by_role("textbox").fill("3.1 m")
    page.keyboard.press("Enter")

    expect(page.get_by_text("being worked out; what is drawn is older")).to_be_visible()
    expect(rows).not_to_have_text(before)
    expect(page.locator("[data-legend=pipes]")).to_contain_text("mainline")
    expect(page.get_by_text("being worked out")).to_have_count(0, timeout=WATER_MS)


def test_ticks_stand_where_the_grid_of_the_register_says(page: Page):
    page.wait_for_selector(".coordinates text[data-side=top]")
    found = page.evaluate(
        """() => {
            const box = document.querySelector('.frame').getBoundingClientRect();
            return [...document.querySelectorAll('.coordinates text[data-side]')].map((text) => ({
                side: text.dataset.side, value: Number(text.dataset.value),
                x: box.x + Number(text.dataset.x), y: box.y + Number(text.dataset.y),
                box: [box.x, box.y, box.right, box.bottom],
            }));
        }"""
    )
    to_grid = Transformer.from_crs(4326, 2048, always_xy=True)
    assert {tick["side"] for tick in found} == {"top", "bottom", "left", "right"}

    for tick in found:
        left, top, right, bottom = tick["box"]
        x = min(max(tick["x"], left + 1), right - 1)
        y = min(max(tick["y"], top + 1), bottom - 1)
        page.mouse.move(x, y)
        told = page.locator(".readout .coordinates")
        expect(told).to_contain_text("°")
        text = told.inner_text().replace("\u202f", "").replace("\u2212", "-")
        first, second, latitude, longitude = (
            float(part) for part in re.findall(r"-?\d+\.\d+", text)
        )
        assert "S," in text
        assert text.endswith("E")
        by_register = to_grid.transform(longitude, -latitude)
        assert (first, second) == pytest.approx(by_register, abs=0.15)
        metres_a_pixel = 1.5
        own = first if tick["side"] in {"top", "bottom"} else second
        assert own == pytest.approx(tick["value"], abs=2 * metres_a_pixel)


def test_the_sheet_is_printed_to_the_scale_asked_for(page: Page, tmp_path: Path):
    page.get_by_role("button", name="Print to scale").click()
    page.get_by_role("combobox", name="Paper").select_option("A3")
    page.get_by_role("combobox", name="Scale").select_option("2000")

    with page.expect_download() as kept:
        page.get_by_role("button", name="Make the PDF").click()

    path = tmp_path / "sheet.pdf"
    kept.value.save_as(path)
    assert kept.value.suggested_filename == "kiepersol-A3-1-2000.pdf"
    sheet = PdfReader(path).pages[0]
    assert float(sheet.mediabox.width) / 72 * 25.4 == pytest.approx(420, abs=0.1)
    assert "1:2\u202f000" in sheet.extract_text()
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_a_scale_at_which_the_block_does_not_fit_is_refused_in_words(page: Page):
    page.get_by_role("button", name="Print to scale").click()
    page.get_by_role("combobox", name="Paper").select_option("A4")
    page.get_by_role("combobox", name="Scale").select_option("250")
    page.get_by_role("button", name="Make the PDF").click()

    expect(page.get_by_role("dialog").get_by_role("alert")).to_contain_text("does not fit on A4")


def test_the_north_arrow_turns_with_the_sheet_and_turns_it_back(page: Page):
    frame = page.locator(".frame").bounding_box()
    assert frame is not None
    middle = (frame["x"] + frame["width"] / 2, frame["y"] + frame["height"] / 2)
    arrow = page.locator(".north svg")
    assert "rotate(0deg)" in arrow.get_attribute("style")

    page.mouse.move(middle[0] + 150, middle[1])
    page.keyboard.down("Alt")
    page.keyboard.down("Shift")
    page.mouse.down()
    page.mouse.move(middle[0], middle[1] + 150, steps=6)
    page.mouse.up()
    page.keyboard.up("Shift")
    page.keyboard.up("Alt")

    expect(arrow).not_to_have_attribute("style", re.compile(r"rotate\(0deg\)"))
    page.get_by_role("button", name="true north").click()
    expect(arrow).to_have_attribute("style", re.compile(r"rotate\(0deg\)"))
