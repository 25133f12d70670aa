"""Read the drawn or walked line from which contour rows are spaced."""

from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.files import corners, gpx
from aanplant.files.features import locate, read_drawings
from aanplant.files.land import check_on_land

_FEWEST_POINTS = 2


def read_base_line(path: Path, *, grid: str = "") -> NDArray[np.float64]:
    """Read one line in longitude and latitude.

    Parameters
    ----------
    path : Path
        One line in GeoJSON, KML, KMZ, GeoPackage, shapefile, zip with one of these or DXF;
        one track or route in GPX; or points in CSV, in their order along the line.
    grid : str
        Reference system of a file that doesn't state one.

    Returns
    -------
    ndarray, shape (n, 2)
        [deg]

    Raises
    ------
    InputError
        If the file can't be read, holds no or several lines, or the line closes upon itself
        or crosses itself.
    """
    return read_line(path, grid=grid, purpose="from which rows are spaced")


def read_line(path: Path, *, grid: str = "", purpose: str = "") -> NDArray[np.float64]:
    """Read one line, as ``read_base_line``.

    Parameters
    ----------
    path, grid
        As ``read_base_line``.
    purpose : str
        What the line is for, for messages.

    Raises
    ------
    InputError
        As ``read_base_line``.
    """
    suffix = path.suffix.lower()
    if suffix == ".gpx":
        line = gpx.read(path, grid=grid).rings[0]
    elif suffix in (".csv", ".txt"):
        line = corners.read(path, grid=grid).rings[0]
    else:
        line = _only_line(path, grid, purpose)
    return _checked(line, path.name)


def _only_line(path: Path, grid: str, purpose: str) -> NDArray[np.float64]:
    found: list[BaseGeometry] = []
    for drawing in read_drawings(path):
        for feature in locate(drawing, path.name, grid=grid).features:
            if isinstance(feature.geometry, (LineString, MultiLineString)):
                found.extend(shapely.get_parts(shapely.line_merge(feature.geometry)))
    if len(found) != 1:
        raise InputError(path.name, f"{len(found)} lines", f"one line, {purpose}")
    return shapely.get_coordinates(found[0])


def _checked(line: NDArray[np.float64], where: str) -> NDArray[np.float64]:
    moved = np.concatenate([[True], np.any(np.diff(line, axis=0) != 0.0, axis=1)])
    line = line[moved]
    if len(line) < _FEWEST_POINTS:
        raise InputError(where, "a line of a single place", "a line with two places or more")
    shape = LineString(line)
    if shape.is_closed:
        raise InputError(where, "a line that closes upon itself", "a line with two ends")
    if not shape.is_simple:
        raise InputError(where, "a line that crosses itself", "a line that does not")
    check_on_land(line, where)
    return line
