"""A picture of the ground from above: a GeoTIFF, and windows cut from it in a block's own grid."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pyproj import CRS, Transformer

from aanplant.errors import InputError
from aanplant.files.grids import WGS84, crs_from_text, is_south_orientated, place
from aanplant.files.reading import broken_files_refused

_EXPECTED = "a GeoTIFF photograph in grey or colour, 8 bits a band"
_STARTS = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
_KNOTS = 33
"""Places along each side of a window that are turned exactly; pixels between them in proportion."""
_OPAQUE = 255


@dataclass(frozen=True, slots=True)
class Window:
    """A rectangle of a block's own grid, as pixels.

    Parameters
    ----------
    west_m, south_m, east_m, north_m : float
        Its sides. [m]
    columns, rows : int
        Pixels.
    """

    west_m: float
    south_m: float
    east_m: float
    north_m: float
    columns: int
    rows: int


def check_picture(path: Path, middle: NDArray[np.float64]) -> None:
    """Refuse a file that shows no ground around a block.

    Parameters
    ----------
    path : Path
        The GeoTIFF.
    middle : ndarray, shape (2,)
        Longitude and latitude of the block. [deg]

    Raises
    ------
    InputError
        If it is no photograph, has no place on earth, or shows another place.
    """
    with _opened(path) as raster:
        crs, sign = _grid_of(raster, middle, path.name)
        forward = Transformer.from_crs(WGS84, crs, always_xy=True)
        x, y = forward.transform(*middle)
        column, row = ~raster.transform * (sign * x, sign * y)
        if not (0.0 <= column <= raster.width and 0.0 <= row <= raster.height):
            centre = raster.transform * (raster.width / 2.0, raster.height / 2.0)
            there = forward.transform(sign * centre[0], sign * centre[1], direction="INVERSE")
            shown = place(np.array(there)) if np.isfinite(there).all() else "no place on earth"
            raise InputError(
                path.name,
                f"a picture of another place: its middle is at {shown}, the block's at "
                f"{place(middle)}",
                "a picture that shows the block; is it in the right grid?",
            )


def cut_window(
    path: Path, window: Window, frame: CRS, middle: NDArray[np.float64]
) -> tuple[bytes, str]:
    """Cut a window out of a picture, turned into the block's own grid.

    Parameters
    ----------
    path : Path
        The GeoTIFF.
    window : Window
        What to show.
    frame : CRS
        The block's own grid.
    middle : ndarray, shape (2,)
        Longitude and latitude of the block. [deg]

    Returns
    -------
    data : bytes
        An encoded picture, see through where the file shows nothing.
    kind : str
        Its media type: "image/jpeg" where all of it is shown, else "image/png".

    Raises
    ------
    InputError
        As ``check_picture``.
    """
    with _opened(path) as raster:
        crs, sign = _grid_of(raster, middle, path.name)
        columns, rows = _cells_of(window, frame, crs, sign, raster.transform)
        colours, is_shown = _sampled(raster, columns, rows)
    return _encoded(colours, is_shown)


@contextmanager
def _opened(path: Path) -> Iterator[Any]:
    """Open a photograph; the library has no types."""
    import rasterio

    with path.open("rb") as file:
        start = file.read(4)
    if start not in _STARTS:
        raise InputError(path.name, "a file that is no TIFF", _EXPECTED)
    with broken_files_refused(path.name, _EXPECTED), rasterio.open(path, driver="GTiff") as raster:
        if raster.count not in {1, 3, 4} or set(raster.dtypes) != {"uint8"}:
            kinds = ", ".join(sorted(set(raster.dtypes)))
            found = f"{raster.count} {'band' if raster.count == 1 else 'bands'} of type {kinds}"
            raise InputError(path.name, found, _EXPECTED)
        if raster.colorinterp[0].name == "palette":
            raise InputError(path.name, "a picture with a palette of colours", _EXPECTED)
        yield raster


def _grid_of(raster: Any, middle: NDArray[np.float64], where: str) -> tuple[CRS, float]:  # noqa: ANN401
    """Return the picture's grid, and -1 where a Lo grid stands in it with both numbers negated."""
    if raster.crs is None or raster.transform.is_identity:
        raise InputError(where, "a picture without its place on earth", "a georeferenced GeoTIFF")
    crs = crs_from_text(raster.crs.to_wkt(), where)
    if not is_south_orientated(crs):
        return crs, 1.0
    place_in = np.array(Transformer.from_crs(WGS84, crs, always_xy=True).transform(*middle))
    size = (raster.width, raster.height)
    cells = [np.array(~raster.transform * tuple(sign * place_in)) / size for sign in (1.0, -1.0)]
    outside = [float(np.abs(cell - 0.5).max()) for cell in cells]
    return crs, 1.0 if outside[0] <= outside[1] else -1.0


def _cells_of(
    window: Window,
    frame: CRS,
    crs: CRS,
    sign: float,
    transform: Any,  # noqa: ANN401
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Column and row of the picture under the middle of every pixel, each shape (rows, columns)."""
    from scipy.ndimage import map_coordinates

    across = np.linspace(window.west_m, window.east_m, _KNOTS)
    down = np.linspace(window.north_m, window.south_m, _KNOTS)
    x, y = np.meshgrid(across, down)
    easting, northing = Transformer.from_crs(frame, crs, always_xy=True).transform(x, y)
    knots = ~transform * (sign * easting, sign * northing)
    steps = [
        (np.arange(count) + 0.5) / count * (_KNOTS - 1) for count in (window.rows, window.columns)
    ]
    where = np.meshgrid(*steps, indexing="ij")
    columns, rows = (map_coordinates(one, where, order=1) for one in knots)
    return columns, rows


def _sampled(
    raster: Any,  # noqa: ANN401
    columns: NDArray[np.float64],
    rows: NDArray[np.float64],
) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Colours, shape (3, rows, columns), and where there are any; cells shrink to pixels first."""
    from rasterio.enums import Resampling
    from rasterio.windows import Window as Cells
    from scipy.ndimage import map_coordinates

    size = (raster.height, raster.width)
    is_inside = (columns >= 0) & (columns <= size[1]) & (rows >= 0) & (rows <= size[0])
    colours = np.zeros((3, *columns.shape), dtype=np.uint8)
    if not is_inside.any():
        return colours, is_inside
    low = [max(int(np.floor(one[is_inside].min())) - 2, 0) for one in (rows, columns)]
    high = [
        min(int(np.ceil(one[is_inside].max())) + 2, most)
        for one, most in zip((rows, columns), size, strict=True)
    ]
    held = [max(end - start, 1) for start, end in zip(low, high, strict=True)]
    step = max(
        1.0,
        float(np.hypot(*(np.diff(one, axis=1).mean() for one in (rows, columns)))),
    )
    shape = tuple(max(round(count / step), 1) for count in held)
    cells = Cells(low[1], low[0], held[1], held[0])
    read = raster.read(
        window=cells, out_shape=(raster.count, *shape), resampling=Resampling.average
    )
    mask = raster.dataset_mask(window=cells, out_shape=shape)
    where = np.array(
        [
            (one - start) * count / span - 0.5
            for one, start, count, span in zip((rows, columns), low, shape, held, strict=True)
        ]
    )
    bands = read[:3] if raster.count > 1 else np.repeat(read[:1], 3, axis=0)
    for band, colour in zip(bands, colours, strict=True):
        map_coordinates(band, where, output=colour, order=1, mode="nearest")
    return colours, is_inside & (map_coordinates(mask, where, order=0, mode="nearest") > 0)


def _encoded(colours: NDArray[np.uint8], is_shown: NDArray[np.bool_]) -> tuple[bytes, str]:
    from rasterio.io import MemoryFile

    is_whole = bool(is_shown.all())
    alpha = np.where(is_shown, _OPAQUE, 0).astype(np.uint8)
    bands = colours if is_whole else np.concatenate([colours, alpha[None]])
    kind = {"driver": "JPEG", "quality": 85} if is_whole else {"driver": "PNG", "zlevel": 1}
    with MemoryFile() as file, broken_files_refused("picture", _EXPECTED):
        with file.open(
            width=bands.shape[2], height=bands.shape[1], count=len(bands), dtype="uint8", **kind
        ) as out:
            out.write(bands)
        data: bytes = file.read()
    return data, "image/jpeg" if is_whole else "image/png"
