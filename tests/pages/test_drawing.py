"""Drawing on the sheet in a real browser: with the pointer, by coordinates, refused, undone."""

import json
import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.pages.conftest import PLANNED_MS
from tests.pages.test_planner import AXE, WIDTHS, brief_of

KEYS = (
    "block.boundary",
    "block.exclusions",
    "block.zones",
    "water.source",
    "mains.route",
    "rows.base_line",
)


def start(page: Page, key: str = "block.boundary") -> None:
    """Begin to draw, and wait until what is there was read."""
    if page.get_by_role("button", name="sheet", exact=True).is_visible():
        page.get_by_role("button", name="sheet", exact=True).click()
    page.get_by_role("button", name="Draw", exact=True).click()
    expect(page.get_by_role("complementary", name="Drawing")).to_be_visible(timeout=PLANNED_MS)
    what = page.get_by_label("What to draw")
    expect(what.locator("option")).to_have_count(len(KEYS))
    what.select_option(key)
    expect(page.get_by_text(re.compile("Goes into|stays as it is"))).to_be_visible(
        timeout=PLANNED_MS
    )


def press(page: Page, *places: tuple[float, float], slow_ms: int = 350) -> None:
    """Press places of the sheet, given in parts of its width and height."""
    box = page.locator(".frame").bounding_box()
    assert box is not None
    for right, down in places:
        page.mouse.click(box["x"] + right * box["width"], box["y"] + down * box["height"])
        page.wait_for_timeout(slow_ms)


def cell(page: Page, axis: str, corner: int):
    return page.get_by_label(f"{axis}, corner {corner}", exact=True)


def held(page: Page, axis: str, corner: int) -> float:
    expect(cell(page, axis, corner)).not_to_have_value("")
    return float(cell(page, axis, corner).input_value())


def save(page: Page) -> None:
    page.get_by_role("button", name="Save the drawing").click()


def saved(page: Page, file: str) -> None:
    save(page)
    expect(page.get_by_text(f"Saved in {file}.")).to_be_visible(timeout=PLANNED_MS)


def drawn(served, file: str) -> list[dict[str, Any]]:
    path = served.folder / "blocks" / "kiepersol" / file
    features: list[dict[str, Any]] = json.loads(path.read_text())["features"]
    return features


def vines_told(page: Page) -> int:
    told = re.search(
        r"and (\d+) vines", page.get_by_role("application").get_attribute("aria-label")
    )
    assert told is not None
    return int(told.group(1))


def test_a_walked_outline_is_edited_by_exact_coordinates_with_the_keyboard(page, served):
    track = served.folder / "blocks" / "kiepersol" / "boundary.gpx"
    before = track.read_bytes()
    start(page)
    expect(page.get_by_text("boundary.gpx stays as it is")).to_be_visible(timeout=PLANNED_MS)
    east = held(page, "x, south (m)", 2)

    cell(page, "x, south (m)", 2).focus()
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type(f"{east + 7.5:.3f}")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Save the drawing").focus()
    page.keyboard.press("Enter")

    expect(page.get_by_text("Saved in boundary.geojson.")).to_be_visible(timeout=PLANNED_MS)
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=PLANNED_MS)
    assert 'boundary = "boundary.geojson"' in brief_of(served)
    assert "# invented: crop of one vine" in brief_of(served)
    assert track.read_bytes() == before
    ring = drawn(served, "boundary.geojson")[0]["geometry"]["coordinates"][0]
    told = page.request.post(
        f"{served.address}/api/v1/blocks/kiepersol/places",
        data={"given_in": "lonlat", "places": ring},
    ).json()
    souths = [place[1] for place in told["grid"]]
    assert min(abs(south - (east + 7.5)) for south in souths) < 0.001


def test_a_saved_outline_is_undone_as_any_other_blank(page, served):
    start(page)
    page.get_by_role("button", name="Take out corner 3").click()
    saved(page, "boundary.geojson")
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=PLANNED_MS)

    page.get_by_role("button", name="Leave drawing").click()
    page.locator("header").get_by_role("button", name="undo").click()

    expect(page.locator("[data-key='block.boundary']").first).to_have_text("boundary.gpx")
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=PLANNED_MS)
    assert 'boundary = "boundary.gpx"' in brief_of(served)


def test_an_area_to_keep_clear_of_is_drawn_and_costs_vines(page, served):
    start(page, "block.exclusions")
    before = vines_told(page)

    page.get_by_role("button", name="Draw an area").click()
    press(page, (0.5, 0.4), (0.62, 0.4), (0.62, 0.5), (0.5, 0.5), (0.5, 0.4))
    expect(page.get_by_text(re.compile(r"m² ?;|ha; .* all round"))).to_be_visible(
        timeout=PLANNED_MS
    )
    page.get_by_label("Name", exact=True).fill("heap of stones")
    page.get_by_label("Kind", exact=True).select_option("rock")
    page.get_by_label("Clearance", exact=True).fill("6 ft")
    saved(page, "exclusions.geojson")

    (heap,) = [
        one
        for one in drawn(served, "exclusions.geojson")
        if one["properties"]["name"] == "heap of stones"
    ]
    assert heap["properties"] == {"name": "heap of stones", "kind": "rock", "clearance": "6 ft"}
    assert len(heap["geometry"]["coordinates"][0]) == 5
    assert len(drawn(served, "exclusions.geojson")) == 4
    expect(page.get_by_role("application")).not_to_have_attribute(
        "aria-label", re.compile(f"and {before} vines"), timeout=PLANNED_MS
    )
    assert vines_told(page) < before - 100


@pytest.mark.parametrize("is_catching", [True, False])
def test_the_pen_catches_a_corner_near_it_unless_told_not_to(page, is_catching):
    start(page, "block.zones")
    page.get_by_label("Catch corners, sides and row ends").set_checked(False)
    page.get_by_role("button", name="Draw an area").click()
    press(page, (0.3, 0.3), (0.45, 0.3), (0.45, 0.45), (0.3, 0.45), (0.3, 0.3))
    expect(page.locator("td.side")).to_have_count(4)
    first = (held(page, "y, west (m)", 2), held(page, "x, south (m)", 2))

    page.get_by_label("Catch corners, sides and row ends").set_checked(is_catching)
    page.get_by_role("button", name="Draw an area").click()
    press(page, (0.456, 0.293), (0.6, 0.3), (0.6, 0.45), (0.456, 0.293))
    expect(page.locator("td.side")).to_have_count(3)
    caught = (held(page, "y, west (m)", 1), held(page, "x, south (m)", 1))

    assert (caught == first) is is_catching


def test_a_drawing_that_crosses_itself_is_refused_in_words_and_stays(page, served):
    start(page)
    page.get_by_role("button", name="Corner 5 one later").click()
    page.get_by_role("button", name="Corner 12 one later").click()
    page.get_by_role("button", name="Corner 13 one later").click()
    first = held(page, "y, west (m)", 12)
    save(page)

    expect(page.get_by_role("alert").filter(has_text="crosses or touches itself")).to_be_visible(
        timeout=PLANNED_MS
    )
    assert held(page, "y, west (m)", 12) == first
    assert not (served.folder / "blocks" / "kiepersol" / "boundary.geojson").exists()
    assert 'boundary = "boundary.gpx"' in brief_of(served)


def test_steps_are_taken_back_while_drawing_and_escape_leaves(page):
    start(page)
    page.get_by_role("button", name="Take out corner 3").click()
    expect(page.get_by_label(re.compile("^y, west .m., corner"))).to_have_count(23)
    page.get_by_role("heading", name="Drawing").focus()

    page.keyboard.press("ControlOrMeta+z")
    expect(page.get_by_label(re.compile("^y, west .m., corner"))).to_have_count(24)
    page.keyboard.press("ControlOrMeta+Shift+z")
    expect(page.get_by_label(re.compile("^y, west .m., corner"))).to_have_count(23)
    page.keyboard.press("Escape")

    expect(page.get_by_role("complementary", name="Drawing")).to_be_hidden()
    expect(page.get_by_role("button", name="Draw (not saved)")).to_be_visible(timeout=PLANNED_MS)


def test_what_was_not_saved_is_there_again_after_the_page_was_closed(page):
    start(page)
    page.get_by_role("button", name="Take out corner 3").click()
    page.reload()
    page.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)

    page.get_by_role("button", name="Draw (not saved)").click()

    expect(page.get_by_text("is here again")).to_be_visible(timeout=PLANNED_MS)
    expect(page.get_by_label(re.compile("^y, west .m., corner"))).to_have_count(23)
    page.get_by_role("button", name="Drop what is not saved").click()
    expect(page.get_by_label(re.compile("^y, west .m., corner"))).to_have_count(24)


def test_a_file_changed_meanwhile_is_not_overwritten_and_nothing_is_lost(page, served):
    start(page, "block.exclusions")
    path = served.folder / "blocks" / "kiepersol" / "exclusions.geojson"
    theirs = path.read_text().replace('"dam"', '"big dam"', 1)
    path.write_text(theirs)
    page.get_by_role("button", name="rock ledge").click()
    page.get_by_label("Name", exact=True).fill("ledge of mine")

    save(page)
    expect(page.get_by_role("alert").filter(has_text="was changed meanwhile")).to_be_visible(
        timeout=PLANNED_MS
    )
    assert path.read_text() == theirs
    page.get_by_role("button", name="Save mine beside it").click()

    expect(page.get_by_text("Saved in exclusions-2.geojson.")).to_be_visible(timeout=PLANNED_MS)
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=PLANNED_MS)
    assert path.read_text() == theirs
    assert 'exclusions = "exclusions-2.geojson"' in brief_of(served)
    names = [one["properties"]["name"] for one in drawn(served, "exclusions-2.geojson")]
    assert "ledge of mine" in names


def test_a_route_is_drawn_by_typing_coordinates_alone(page, served):
    start(page, "mains.route")
    page.get_by_role("button", name="By coordinates: a line").focus()
    page.keyboard.press("Enter")
    page.get_by_label("Coordinates in").select_option("lonlat")
    for longitude, latitude in ((19.3008, -33.6006), (19.2992, -33.5997), (19.2990, -33.5990)):
        page.get_by_label("Longitude (°), new corner").fill(f"{longitude}")
        page.get_by_label("Latitude (°), new corner").fill(f"{latitude}")
        page.keyboard.press("Enter")
        expect(page.get_by_label("Longitude (°), new corner")).to_have_value("")
    saved(page, "route.geojson")

    (route,) = drawn(served, "route.geojson")
    assert route["geometry"] == {
        "type": "LineString",
        "coordinates": [[19.3008, -33.6006], [19.2992, -33.5997], [19.299, -33.599]],
    }
    expect(page.locator("header [role=status]")).to_contain_text("saved", timeout=PLANNED_MS)
    assert 'route = "route.geojson"' in brief_of(served)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("key", ["block.boundary", "block.exclusions"])
def test_drawing_passes_axe(page, scheme, key):
    page.emulate_media(color_scheme=scheme)
    start(page, key)
    if key == "block.exclusions":
        page.get_by_role("button", name="dam", exact=True).click()
    page.get_by_label("Coordinates in").wait_for()
    page.evaluate(AXE.read_text())
    found = page.evaluate("async () => (await axe.run()).violations")

    assert [(one["id"], [node["html"] for node in one["nodes"]][:2]) for one in found] == []


@pytest.mark.parametrize("width", WIDTHS)
def test_drawing_keeps_within_the_page(page, width):
    page.set_viewport_size({"width": width, "height": 900})
    start(page, "block.exclusions")
    page.get_by_role("button", name="dam", exact=True).click()
    page.get_by_label("Coordinates in").wait_for()

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    panel = page.locator("aside.drawing .work")
    assert panel.evaluate("it => it.scrollWidth <= it.clientWidth")


CORNERS = ((20.0, -33.0), (20.002, -33.0), (20.002, -33.002), (20.0, -33.002))
"""An invented field of 4.146 ha by GeographicLib (Geod of pyproj) on WGS 84."""


def begin_outline(page: Page) -> None:
    page.get_by_role("button", name="new block", exact=True).click()
    page.get_by_label("by drawing it on a sheet").check()
    page.get_by_label("Longitude (°)", exact=True).fill(str(CORNERS[0][0]))
    page.get_by_label("Latitude (°)", exact=True).fill(str(CORNERS[0][1]))
    page.get_by_role("button", name="Lay the sheet there").click()
    expect(page.get_by_role("table", name="Corners in order")).to_be_visible()


def make(page: Page) -> None:
    page.get_by_label("Name of the block").fill("Uit niks")
    page.get_by_role("button", name="Make the block").click()


def outline_of(served, block: str) -> list[list[float]]:
    path = served.folder / "blocks" / block / "boundary.geojson"
    ring: list[list[float]] = json.loads(path.read_text())["features"][0]["geometry"][
        "coordinates"
    ][0]
    return ring


def test_a_block_begins_from_nothing_but_typed_corners(page, served):
    begin_outline(page)
    page.get_by_label("Coordinates in").last.select_option("lonlat")
    make(page)
    expect(page.get_by_role("alert")).to_contain_text("three corners or more")
    for number, (longitude, latitude) in enumerate(CORNERS[1:], 2):
        page.get_by_label("Longitude (°), new corner").fill(str(longitude))
        page.get_by_label("Latitude (°), new corner").fill(str(latitude))
        page.keyboard.press("Enter")
        expect(cell(page, "Longitude (°)", number)).to_have_value(f"{longitude:.8f}")
    expect(page.get_by_role("status").filter(has_text="ha")).to_contain_text("4.1")
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run()")["violations"]
    assert [(violation["id"], violation["nodes"][0]["html"]) for violation in found] == []

    make(page)

    expect(page.get_by_role("button", name="uit-niks", exact=True)).to_have_attribute(
        "aria-current", "page", timeout=PLANNED_MS
    )
    page.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)
    kept = {(round(x, 8), round(y, 8)) for x, y in outline_of(served, "uit-niks")}
    assert kept == set(CORNERS)


def test_a_block_begins_from_an_outline_drawn_with_the_pointer_from_its_first_corner(page, served):
    begin_outline(page)
    page.get_by_role("button", name="Draw an area").click()

    press(page, (0.505, 0.51), (0.9, 0.5), (0.9, 0.9), (0.5, 0.9), (0.5, 0.5))

    expect(page.get_by_role("button", name="Draw an area")).to_be_visible()
    make(page)
    page.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)
    ring = outline_of(served, "uit-niks")
    assert len(ring) == 5
    assert any(
        corner == pytest.approx(CORNERS[0], abs=1e-8) for corner in ring
    )  # the pen caught it


def test_a_first_corner_that_lies_nowhere_is_refused_in_words(page):
    page.get_by_role("button", name="new block", exact=True).click()
    page.get_by_label("by drawing it on a sheet").check()
    page.get_by_label("Longitude (°)", exact=True).fill("20")
    page.get_by_label("Latitude (°)", exact=True).fill("-95")
    page.get_by_role("button", name="Lay the sheet there").click()

    expect(page.get_by_role("alert")).to_contain_text("a place on land")
