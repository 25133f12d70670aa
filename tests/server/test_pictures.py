"""A picture of the ground below the sheet: the block's own GeoTIFF, and tiles the estate names."""

from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.io import MemoryFile
from starlette.testclient import TestClient

from tests.server.unpacking import unpacked

pytestmark = pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")

API = "/api/v1/blocks/kiepersol"
BYTES = {"content-type": "application/octet-stream"}
WINDOW = {
    "west_m": -100, "south_m": -60, "east_m": 100, "north_m": 60, "columns": 200, "rows": 120,
}  # fmt: skip


def photograph(frame: str, *, far_m: float = 0.0) -> bytes:
    """Red west of the block's middle, blue east of it, a metre a cell."""
    cells = np.zeros((3, 400, 600), dtype=np.uint8)
    cells[0, :, :300] = cells[2, :, 300:] = 220
    with MemoryFile() as file:
        with file.open(
            driver="GTiff", width=600, height=400, count=3, dtype="uint8", crs=frame,
            transform=rasterio.Affine(1.0, 0, far_m - 300.0, 0, -1.0, 200.0),
        ) as out:  # fmt: skip
            out.write(cells)
        return bytes(file.read())


@pytest.fixture
def frame(client: TestClient) -> str:
    answer = client.post(f"{API}/preview", json={"until": "site", "layers": []})
    return str(unpacked(answer.content)[0]["frame"])


def test_without_a_picture_there_is_none(client):
    told = client.get(f"{API}/picture")

    assert told.json() == {"version": "", "tiles": "", "tiles_credit": ""}
    missing = client.get(f"{API}/picture/window", params=WINDOW)
    assert missing.status_code == 404
    assert "picture.tif" in missing.json()["detail"]


def test_a_photograph_is_kept_and_cut_in_metres_of_the_block(client, estate, frame):
    kept = client.put(f"{API}/picture", content=photograph(frame), headers=BYTES)

    assert kept.status_code == 200, kept.text
    assert kept.json()["version"] == client.get(f"{API}/picture").json()["version"] != ""
    assert (estate / "blocks" / "kiepersol" / "picture.tif").is_file()
    shown = client.get(f"{API}/picture/window", params=WINDOW)
    assert shown.headers["content-type"] == "image/jpeg"
    with MemoryFile(shown.content) as file, file.open() as raster:
        red, _, blue = raster.read().astype(int)
    assert red.shape == (120, 200)
    for colour, there, elsewhere in ((red, slice(95), slice(105, 200)),
                                     (blue, slice(105, 200), slice(95))):  # fmt: skip
        assert colour[:, there].min() > 190
        assert colour[:, elsewhere].max() < 40


def test_a_picture_is_written_over_only_by_whoever_knows_it(client, frame):
    first = client.put(f"{API}/picture", content=photograph(frame), headers=BYTES).json()

    blind = client.put(f"{API}/picture", content=photograph(frame, far_m=9.0), headers=BYTES)
    stale = client.put(
        f"{API}/picture", content=photograph(frame, far_m=9.0),
        headers={**BYTES, "If-Match": '"1-1"'},
    )  # fmt: skip
    known = client.put(
        f"{API}/picture", content=photograph(frame, far_m=9.0),
        headers={**BYTES, "If-Match": f'"{first["version"]}"'},
    )  # fmt: skip

    assert blind.status_code == 428
    assert stale.status_code == 412
    assert stale.json()["version"] == first["version"]
    assert known.status_code == 200
    assert known.json()["version"] != first["version"]


@pytest.mark.parametrize("data", [b"GIF89a", b"II*\x00nothing"])
def test_what_is_no_photograph_is_refused_and_nothing_is_kept(client, estate, data):
    refused = client.put(f"{API}/picture", content=data, headers=BYTES)

    assert refused.status_code == 422
    assert refused.json()["where"] == "picture.tif"
    assert not (estate / "blocks" / "kiepersol" / "picture.tif").exists()


def test_a_picture_of_another_place_is_refused(client, frame):
    refused = client.put(f"{API}/picture", content=photograph(frame, far_m=9e3), headers=BYTES)

    assert refused.status_code == 422
    assert "another place" in refused.json()["detail"]


def test_a_picture_outside_the_estate_is_not_shown(client, estate, tmp_path, frame):
    outside = tmp_path / "outside.tif"
    outside.write_bytes(photograph(frame))
    (estate / "blocks" / "kiepersol" / "picture.tif").symlink_to(outside)

    assert client.get(f"{API}/picture").json()["version"] == ""


def test_a_window_that_encloses_nothing_is_refused(client, frame):
    client.put(f"{API}/picture", content=photograph(frame), headers=BYTES)

    refused = client.get(f"{API}/picture/window", params={**WINDOW, "east_m": -100})

    assert refused.status_code == 422


def with_tiles(estate: Path, address: str) -> None:
    path = estate / "estate.toml"
    path.write_text(f'ground_tiles = "{address}"\n' + path.read_text(encoding="utf-8"))


def test_only_the_page_may_load_pictures_from_where_the_estate_says(client, estate):
    def allowed(path: str) -> str:
        return str(client.get(path).headers["content-security-policy"])

    assert "img-src 'self' data: blob:;" in allowed("/")
    with_tiles(estate, "https://tiles.example.org:8443/aerial/{z}/{x}/{y}.jpg")

    assert "img-src 'self' data: blob: https://tiles.example.org:8443;" in allowed("/")
    assert "tiles.example.org" not in allowed("/api/v1/estate")
    assert client.get(f"{API}/picture").json()["tiles"].startswith("https://tiles.example.org")


@pytest.mark.parametrize(
    "address",
    [
        "https://tiles.example.org/{z}/{x}.png",
        "https://{s}.tiles.example.org/{z}/{x}/{y}.png",
        "ftp://tiles.example.org/{z}/{x}/{y}.png",
        "https://tiles.example.org; script-src */{z}/{x}/{y}",
    ],
)
def test_an_address_that_is_no_tile_address_is_refused_by_its_key(client, estate, address):
    with_tiles(estate, address)

    refused = client.get("/api/v1/estate")

    assert refused.status_code == 422
    assert refused.json()["where"] == "estate.toml: ground_tiles"
    assert "img-src 'self' data: blob:;" in client.get("/").headers["content-security-policy"]
