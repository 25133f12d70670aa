"""Read the ground around a block from a GeoTIFF height model."""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pyproj import CRS, Transformer

from aanplant.errors import InputError
from aanplant.files.grids import WGS84, crs_from_text, is_south_orientated, place
from aanplant.files.reading import broken_files_refused, read_bytes_checked
from aanplant.heights import HIGHEST_M, LOWEST_M, HeightModel, Heights

AROUND_M = 600.0
"""Ground read beyond the block's extent: what may drain into it."""
_METRES_A_DEGREE = 111_000.0
_EXPECTED = "a GeoTIFF height model with one band"
_STARTS = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
_MARGIN_CELLS = 3
_FEET = ("ft", "foot", "feet", "us survey foot", "us-ft", "us_survey_foot")


def read(path: Path, field: NDArray[np.float64], *, grid: str = "", unit: str = "") -> Heights:
    """Read the cells around a field.

    Parameters
    ----------
    path : Path
        The GeoTIFF.
    field : ndarray, shape (n, 2)
        Outline. [deg]
    grid, unit : str
        As ``heights.read_heights``.

    Raises
    ------
    InputError
        If the file is no height model, has no place on earth, lies elsewhere, says no unit of
        its heights and the brief neither, or its rows run from south to north.
    """
    import rasterio

    from aanplant.files.heights import FOOT_M, agreed_unit

    data = read_bytes_checked(path)
    if not data.startswith(_STARTS):
        raise InputError(path.name, "a file that is no TIFF", _EXPECTED)
    with (
        broken_files_refused(path.name, _EXPECTED),
        rasterio.open(path, driver="GTiff") as raster,
    ):
        _check_bands(raster, path.name)
        crs = _grid_of(raster, grid, path.name)
        to_cell, sign = _to_cell(raster, crs, field, path.name)
        window = _window(raster, crs, to_cell, sign, field, path.name)
        z = raster.read(1, window=window, masked=True)
        stated = _unit_of(raster)
        scale, offset = float(raster.scales[0]), float(raster.offsets[0])
    said = agreed_unit(stated, unit, path.name)
    z_m = np.asarray(z.filled(0), dtype=np.float64) * scale + offset
    z_m *= FOOT_M[said]
    z_m[np.ma.getmaskarray(z)] = np.nan
    with np.errstate(invalid="ignore"):
        z_m[~((z_m >= LOWEST_M) & (z_m <= HIGHEST_M))] = np.nan  # marks of missing cells
    if np.isnan(z_m).all():
        raise InputError(path.name, "no height around the block", "heights that cover the block")
    a, b, c, d, e, f = to_cell
    shifted = (a, b, c - window.col_off, d, e, f - window.row_off)
    model = HeightModel(z_m, crs.to_wkt(), shifted, sign)
    none = np.empty(0)
    return Heights(path.name, "height model", np.empty((0, 2)), none, said, model=model)


def _check_bands(raster: Any, where: str) -> None:  # noqa: ANN401 - the library has no types
    if raster.count != 1:
        raise InputError(where, f"{raster.count} bands, such as a photograph has", _EXPECTED)
    if np.dtype(raster.dtypes[0]).kind not in "iuf":
        raise InputError(where, f"cells of type {raster.dtypes[0]}", _EXPECTED)


def _grid_of(raster: Any, grid: str, where: str) -> CRS:  # noqa: ANN401
    if raster.transform.is_identity:
        raise InputError(where, "a picture without its place on earth", "a georeferenced GeoTIFF")
    if raster.crs is not None:
        return crs_from_text(raster.crs.to_wkt(), where)
    if not grid:
        raise InputError(
            where,
            "a height model without its grid",
            'the grid in the brief, such as block.grid = "EPSG:2048"',
        )
    return crs_from_text(grid, "grid")


def _to_cell(
    raster: Any,  # noqa: ANN401
    crs: CRS,
    field: NDArray[np.float64],
    where: str,
) -> tuple[tuple[float, float, float, float, float, float], float]:
    """Return columns and rows, from the middle of the first cell, of places; and the sign."""
    forward = raster.transform
    if forward.e > 0.0 and forward.b == 0.0 and forward.d == 0.0:
        raise InputError(
            where,
            "rows that run from south to north (a positive pixel height), as in files whose "
            "upper and lower edges were exchanged",
            "a north-up height model: write it anew with its edges the right way round",
        )
    inverse = ~forward
    to_cell = (inverse.a, inverse.b, inverse.c - 0.5, inverse.d, inverse.e, inverse.f - 0.5)
    sign = 1.0
    if is_south_orientated(crs):
        middle = _in_grid(crs, field).mean(axis=0)
        rows, columns = raster.shape
        cells = [
            np.array(inverse * tuple(turned * middle)) / (columns, rows) for turned in (1.0, -1.0)
        ]
        outside = [float(np.abs(cell - 0.5).max()) for cell in cells]
        sign = 1.0 if outside[0] <= outside[1] else -1.0
    return to_cell, sign


def _in_grid(crs: CRS, lonlat: NDArray[np.float64]) -> NDArray[np.float64]:
    transformer = Transformer.from_crs(WGS84, crs, always_xy=True)
    return np.column_stack(transformer.transform(lonlat[:, 0], lonlat[:, 1]))


def _window(  # noqa: PLR0917 - the file, its grid and the field
    raster: Any,  # noqa: ANN401
    crs: CRS,
    to_cell: tuple[float, float, float, float, float, float],
    sign: float,
    field: NDArray[np.float64],
    where: str,
) -> Any:  # noqa: ANN401
    """Cells around the field, within the file."""
    from rasterio.windows import Window

    west, south = field.min(axis=0)
    east, north = field.max(axis=0)
    up = AROUND_M / _METRES_A_DEGREE
    aside = up / max(np.cos(np.radians((south + north) / 2.0)), 0.01)
    span = np.linspace(0.0, 1.0, 5)
    x = np.concatenate([west - aside + span * (east - west + 2 * aside)] * 2)
    y = np.repeat([south - up, north + up], len(span))
    xy = sign * _in_grid(crs, np.column_stack([x, y]))
    own = sign * _in_grid(crs, field)
    matrix = np.array(to_cell).reshape(2, 3)

    def cells(points: NDArray[np.float64]) -> NDArray[np.float64]:
        found: NDArray[np.float64] = points @ matrix[:, :2].T + matrix[:, 2]
        return found

    rows, columns = raster.shape
    size = np.array([columns, rows])
    inside = cells(own)
    if (
        not np.isfinite(inside).all()
        or (inside.max(axis=0) < 0).any()
        or (inside.min(axis=0) > size - 1).any()
    ):
        middle = raster.transform * (columns / 2.0, rows / 2.0)
        raise _elsewhere(middle, crs, sign, field, where)
    around = cells(xy)
    low = np.clip(np.floor(around.min(axis=0)) - _MARGIN_CELLS, 0, size - 1).astype(int)
    high = np.clip(np.ceil(around.max(axis=0)) + _MARGIN_CELLS, 0, size - 1).astype(int)
    return Window(*low.tolist(), *(high - low + 1).tolist())


def _elsewhere(
    middle: tuple[float, float], crs: CRS, sign: float, field: NDArray[np.float64], where: str
) -> InputError:
    back = Transformer.from_crs(crs, WGS84, always_xy=True)
    longitude, latitude = back.transform(sign * middle[0], sign * middle[1])
    there = (
        place(np.array([longitude, latitude])) if np.isfinite(longitude) else "no place on earth"
    )
    return InputError(
        where,
        f"heights of another place: their middle is at {there}, the block at "
        f"{place(field.mean(axis=0))}",
        "a height model that covers the block; is it in the right grid?",
    )


def _unit_of(raster: Any) -> str:  # noqa: ANN401
    """Return the unit of heights by the band, or by the vertical part of the reference system."""
    band = str(raster.units[0] or "").strip().lower()
    if not band and raster.crs is not None:
        parts = CRS.from_user_input(raster.crs.to_wkt()).sub_crs_list
        band = parts[-1].axis_info[0].unit_name.lower() if parts else ""
    if band in _FEET:
        return "ft"
    return "m" if band in ("m", "metre", "meter", "metres", "meters") else ""
