"""Read where the water of a block comes from: one place, and its height."""

from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPoint, Point

from aanplant.errors import InputError
from aanplant.files.base_lines import read_line
from aanplant.files.corners import places
from aanplant.files.delimited import read_table
from aanplant.files.features import Feature, locate, property_text, read_drawings
from aanplant.files.grids import WGS84, check_against, place, to_lonlat
from aanplant.files.heights import FOOT_M, HEIGHT_NAMES, name_and_unit
from aanplant.files.land import is_land
from aanplant.files.markup import children, local_name, number_in, parse_xml, text_of
from aanplant.files.reading import read_bytes_checked
from aanplant.heights import HIGHEST_M, LOWEST_M
from aanplant.inputs import WaterSource
from aanplant.units import parse_quantity

_ONE = "one point, where the mainline begins"


def read_water_source(path: Path, *, grid: str = "") -> WaterSource:
    """Read the one point of a file.

    Its height is a property or column such as ``height``, in metres unless it says
    otherwise; or else the third coordinate, ``ele`` in GPX. Not that of KML, which stands for
    no height where the point is clamped to the ground.

    Parameters
    ----------
    path : Path
        GeoJSON, KML, KMZ, GeoPackage, shapefile, zip with one of these, DXF, GPX with one
        waypoint, or CSV with one line.
    grid : str
        Reference system of a file that doesn't state one.

    Raises
    ------
    InputError
        If the file can't be read, holds no or several points, or its height is none.
    """
    suffix = path.suffix.lower()
    if suffix == ".gpx":
        name, lonlat, height = _waypoint(path, grid)
    elif suffix in (".csv", ".txt"):
        name, lonlat, height = _table_line(path, grid)
    else:
        name, lonlat, height = _drawn_point(path, grid)
    longitude, latitude = (float(part) for part in lonlat)
    if not is_land(longitude, latitude):
        raise InputError(
            path.name, f"a water source at {place(lonlat)}, in the open sea", "a place on land"
        )
    if height is not None and not LOWEST_M <= height <= HIGHEST_M:
        raise InputError(
            path.name,
            f"a water source at a height of {height:g} m",
            f"a height on land, {LOWEST_M:.0f} to {HIGHEST_M:.0f} m",
        )
    return WaterSource(path.name, name, longitude, latitude, height)


def read_water_route(path: Path, *, grid: str = "") -> NDArray[np.float64]:
    """Read the line along which the mainline leaves the source, shape (n, 2). [deg].

    Parameters and errors are those of ``base_lines.read_line``.
    """
    return read_line(path, grid=grid, purpose="along which the mainline runs")


def _drawn_point(path: Path, grid: str) -> tuple[str, NDArray[np.float64], float | None]:
    found: list[tuple[Feature, str]] = []
    for drawing in read_drawings(path):
        points = [
            feature
            for feature in locate(drawing, path.name, grid=grid).features
            if isinstance(feature.geometry, (Point, MultiPoint))
        ]
        found.extend((feature, path.name) for feature in points)
    if len(found) != 1 or shapely.get_num_coordinates(found[0][0].geometry) != 1:
        raise InputError(path.name, f"{len(found)} points", _ONE)
    feature = found[0][0]
    lonlat = shapely.get_coordinates(feature.geometry)[0]
    named = {
        key: property_text(feature.properties, key)
        for key in feature.properties
        if property_text(feature.properties, key)
    }
    height = _named_height(named, path.name)
    if height is None and any(feature.z):
        height = feature.z[0]
    return feature.name, lonlat, height


def _named_height(named: dict[str, str], where: str) -> float | None:
    """Find the height among named texts."""
    for key, text in named.items():
        name, unit = name_and_unit(key.replace("_", " ").lower())
        if name in HEIGHT_NAMES and text:
            metres = parse_quantity(text, "m", f"{where}: {key}")
            return metres * FOOT_M[unit or "m"]
    return None


def _waypoint(path: Path, grid: str) -> tuple[str, NDArray[np.float64], float | None]:
    where = path.name
    root = parse_xml(read_bytes_checked(path), where, "GPX")
    points = children(root, "wpt") if local_name(root) == "gpx" else []
    if len(points) != 1:
        raise InputError(where, f"{len(points)} waypoints", _ONE)
    point = points[0]
    lonlat = np.array([[number_in(point.get(key), where) for key in ("lon", "lat")]])
    located = to_lonlat(lonlat, WGS84, where).lonlat
    if grid:
        check_against(located, grid, where)
    height = text_of(point, "ele")
    return text_of(point, "name"), located[0], number_in(height, where) if height else None


def _table_line(path: Path, grid: str) -> tuple[str, NDArray[np.float64], float | None]:
    table = read_table(path)
    if len(table.lines) != 1:
        raise InputError(path.name, f"{len(table.lines)} lines below the header", _ONE)
    lonlat, _ = places(table, table.lines, path.name, grid=grid)
    cells = dict(table.lines[0].cells)
    return cells.get("name", ""), lonlat[0], _named_height(cells, path.name)
