"""A picture of the ground below the sheet: a GeoTIFF laid by hand, and tiles of the estate's."""

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import rasterio
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from aanplant.files import read_inputs
from aanplant.files.estate_folder import open_block
from aanplant.plan import make_plan

CALM = "section.sheet[aria-busy=false]"
CALM_MS = 60_000
RED, BLUE = (200, 40, 40), (40, 40, 200)


def colours(page: Page) -> np.ndarray:
    """Pixels of the map, standing still."""
    page.wait_for_selector(CALM, timeout=CALM_MS)
    page.wait_for_timeout(600)
    return np.asarray(Image.open(BytesIO(page.locator(".frame").screenshot())).convert("RGB"))


def redness(pixels: np.ndarray) -> np.ndarray:
    """How much redder than blue, over the columns of the map."""
    return np.asarray((pixels[..., 0].astype(int) - pixels[..., 2].astype(int)).mean(axis=0))


@pytest.fixture
def photograph(served: SimpleNamespace, tmp_path: Path) -> Path:
    """Red west of the block's middle and blue east of it, invented."""
    block = open_block(served.folder / "blocks" / "kiepersol")
    frame = make_plan(block.brief, read_inputs(block), until="site").site.frame
    cells = np.zeros((3, 600, 600), dtype=np.uint8)
    cells[:, :, :300] = np.array(RED)[:, None, None]
    cells[:, :, 300:] = np.array(BLUE)[:, None, None]
    path = tmp_path / "ground.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=600, height=600, count=3, dtype="uint8",
        crs=frame.proj4, transform=rasterio.Affine(1.0, 0, -300.0, 0, -1.0, 300.0),
    ) as out:  # fmt: skip
        out.write(cells)
    return path


@pytest.fixture
def tile_server() -> Iterator[SimpleNamespace]:
    """Red tiles, on this machine; it notes what it is asked."""
    asked: list[str] = []
    tile = BytesIO()
    Image.new("RGB", (256, 256), RED).save(tile, "PNG")

    class Tiles(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.send_header("Content-Type", "image/png")
            self.end_headers()
            self.wfile.write(tile.getvalue())

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Tiles)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield SimpleNamespace(address=f"http://127.0.0.1:{server.server_port}", asked=asked)
    server.shutdown()
    thread.join()
    server.server_close()


def test_a_geotiff_is_laid_below_and_stays_there(page: Page, photograph: Path):
    plain = redness(colours(page))
    assert abs(plain).max() < 40

    page.get_by_text("Picture of the ground").click()
    page.get_by_label("Lay a picture below").set_input_files(photograph)

    expect(page.get_by_label("this block's own")).to_be_checked(timeout=CALM_MS)
    shown = redness(colours(page))
    width = len(shown)
    assert shown[width // 4] > 60
    assert shown[3 * width // 4] < -60

    page.get_by_label("strength").fill("20")
    assert redness(colours(page))[width // 4] < shown[width // 4] / 2
    page.reload()
    expect(page.get_by_label("this block's own")).to_be_checked(timeout=CALM_MS)
    assert redness(colours(page))[width // 4] > 10
    page.get_by_label("none").check()
    assert abs(redness(colours(page)) - plain).max() < 10


def test_a_file_that_is_no_picture_of_the_block_is_refused_in_words(page: Page, tmp_path: Path):
    path = tmp_path / "heights.tif"
    path.write_bytes(b"no picture")
    page.get_by_text("Picture of the ground").click()

    page.get_by_label("Lay a picture below").set_input_files(path)

    expect(page.get_by_role("alert")).to_contain_text("found a file that is no TIFF")


def test_tiles_are_fetched_only_once_somebody_wants_them(
    browser: Browser, served: SimpleNamespace, tile_server: SimpleNamespace
):
    estate = served.folder / "estate.toml"
    address = f"{tile_server.address}/{{z}}/{{x}}/{{y}}.png"
    estate.write_text(f'ground_tiles = "{address}"\n' + estate.read_text(encoding="utf-8"))
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    context.add_init_script("localStorage.setItem('aanplant:seen', 'yes')")
    page = context.new_page()
    page.goto(served.address)
    colours(page)
    page.get_by_text("Picture of the ground").click()
    assert tile_server.asked == []

    page.get_by_label("tiles of the estate").check()

    expect(page.get_by_text("Your browser fetches them there")).to_be_visible()
    assert (redness(colours(page))[100:-100] > 60).all()
    assert tile_server.asked
    context.close()
