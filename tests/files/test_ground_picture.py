"""A picture of the ground: windows of it lie where GDAL's own warping puts them."""

import io
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.enums import Resampling
from rasterio.io import MemoryFile
from rasterio.warp import reproject, transform_bounds

from aanplant.errors import InputError
from aanplant.files.ground_picture import Window, check_picture, cut_window
from aanplant.site.frame import Frame

pytestmark = pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
"""What is cut out is no longer a map: the tests read it without its place."""

FRAME = Frame(20.0, -33.0, height_m=310.0)
MIDDLE = np.array([20.0, -33.0])
LO_19 = "EPSG:2048"
UTM = "EPSG:32734"


def picture(
    path: Path, *, grid: str = UTM, cells: int = 400, bands: int = 3, dtype: str = "uint8"
) -> Path:
    """Waves of colour over 600 m, which tell every place from its neighbours."""
    bounds = transform_bounds(FRAME.proj4, plain(grid), -300, -300, 300, 300)
    row, column = np.mgrid[0:cells, 0:cells] / cells
    waves = [np.sin(7 * column + 3 * row), np.cos(9 * row), np.sin(5 * row - 6 * column)]
    colours = np.array([127.5 + 127.5 * wave for wave in waves] + [np.full_like(row, 255.0)])
    with rasterio.open(
        path, "w", driver="GTiff", width=cells, height=cells, count=bands, dtype=dtype, crs=grid,
        transform=lying_over(bounds, cells, cells),
    ) as out:  # fmt: skip
        out.write(colours[:bands].astype(dtype))
    return path


def lying_over(
    bounds: tuple[float, float, float, float], columns: int, rows: int
) -> rasterio.Affine:
    """Cells over a rectangle, the first in its north-west corner."""
    west, south, east, north = bounds
    return rasterio.Affine((east - west) / columns, 0, west, 0, (south - north) / rows, north)


def plain(grid: str) -> str:
    """A Lo grid by easting and northing, as rasters store it: both numbers negated."""
    if grid != LO_19:
        return grid
    return "+proj=tmerc +lat_0=0 +lon_0=19 +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs"


def read(data: bytes) -> np.ndarray:
    with MemoryFile(io.BytesIO(data)) as file, file.open() as raster:
        return np.asarray(raster.read())


@pytest.mark.parametrize("grid", [UTM, "EPSG:4326", "EPSG:3857", LO_19])
def test_a_window_shows_what_the_warping_of_gdal_shows(tmp_path, grid):
    path = picture(tmp_path / "ground.tif", grid=grid)
    window = Window(-150, -100, 150, 100, columns=300, rows=200)

    data, kind = cut_window(path, window, FRAME.crs, MIDDLE)

    expected = np.zeros((3, 200, 300), dtype=np.uint8)
    with rasterio.open(path) as raster:
        reproject(
            raster.read(), expected, src_transform=raster.transform, src_crs=plain(grid),
            dst_transform=lying_over((-150, -100, 150, 100), 300, 200), dst_crs=FRAME.proj4,
            resampling=Resampling.bilinear,
        )  # fmt: skip
    assert kind == "image/jpeg"
    difference = np.abs(read(data).astype(int) - expected.astype(int))
    assert np.percentile(difference, 99) <= 6  # of 255; a JPEG is no exact copy
    assert difference.mean() < 2


def test_a_far_view_takes_the_mean_of_its_cells(tmp_path):
    path = tmp_path / "board.tif"
    board = (np.indices((1200, 1200)).sum(axis=0) % 2 * 255).astype(np.uint8)
    bounds = transform_bounds(FRAME.proj4, UTM, -300, -300, 300, 300)
    with rasterio.open(
        path, "w", driver="GTiff", width=1200, height=1200, count=1, dtype="uint8", crs=UTM,
        transform=lying_over(bounds, 1200, 1200),
    ) as out:  # fmt: skip
        out.write(board[None])

    data, _ = cut_window(path, Window(-200, -200, 200, 200, 40, 40), FRAME.crs, MIDDLE)

    assert abs(read(data).astype(int) - 127).max() < 15


def test_beside_the_picture_the_window_is_see_through(tmp_path):
    path = picture(tmp_path / "ground.tif")

    data, kind = cut_window(path, Window(200, -50, 400, 50, 200, 100), FRAME.crs, MIDDLE)

    alpha = read(data)[3]
    assert kind == "image/png"
    assert (alpha[:, :90] == 255).all()
    assert (alpha[:, 110:] == 0).all()


def test_a_window_wholly_beside_the_picture_is_empty(tmp_path):
    path = picture(tmp_path / "ground.tif")

    data, _ = cut_window(path, Window(2000, 0, 2100, 100, 20, 20), FRAME.crs, MIDDLE)

    assert not read(data)[3].any()


@pytest.mark.parametrize(
    ("bands", "dtype", "found"),
    [(2, "uint8", "2 bands of type uint8"), (1, "float32", "1 band of type float32")],
)
def test_a_raster_that_is_no_photograph_is_refused(tmp_path, bands, dtype, found):
    path = picture(tmp_path / "ground.tif", bands=bands, dtype=dtype)

    with pytest.raises(InputError, match=found):
        check_picture(path, MIDDLE)


def test_a_picture_of_another_place_is_refused_with_both_places(tmp_path):
    path = picture(tmp_path / "ground.tif")

    with pytest.raises(InputError, match=r"ground\.tif: found a picture of another place"):
        check_picture(path, np.array([20.1, -33.0]))


def test_a_picture_without_its_place_is_refused(tmp_path):
    path = tmp_path / "photo.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=9, height=9, count=3, dtype="uint8"
    ) as out:  # fmt: skip
        out.write(np.zeros((3, 9, 9), dtype=np.uint8))

    with pytest.raises(InputError, match="without its place on earth"):
        check_picture(path, MIDDLE)


@pytest.mark.parametrize("data", [b"", b"\xff\xd8\xff\xe0JFIF", b"II*\x00broken"])
def test_a_file_that_is_no_tiff_is_refused(tmp_path, data):
    path = tmp_path / "ground.tif"
    path.write_bytes(data)

    with pytest.raises(InputError, match=r"ground\.tif"):
        check_picture(path, MIDDLE)
