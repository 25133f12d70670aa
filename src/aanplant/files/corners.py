"""Read the corner points of a field from a table, such as a surveyor's list."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from pyproj import CRS

from aanplant.errors import InputError
from aanplant.files.delimited import Line, TextTable, plain_number, read_table
from aanplant.files.grids import (
    WGS84,
    check_against,
    crs_from_text,
    is_south_orientated,
    name_of,
    to_lonlat,
)
from aanplant.inputs import Outline

_LATITUDE = ("latitude", "lat", "breedtegraad")
_LONGITUDE = ("longitude", "lon", "long", "lng", "lengtegraad")
_WESTING = ("westing", "westings")
_SOUTHING = ("southing", "southings")
_EASTING = ("easting", "eastings", "east", "e")
_NORTHING = ("northing", "northings", "north", "n")
_UNITS = (" (m)", " [m]", " m", " (deg)", " [deg]", " deg", " (°)", " [°]", " °")


def read(path: Path, *, grid: str = "") -> Outline:
    """Read corners in order from columns found by their names.

    Columns ``latitude`` and ``longitude`` need no grid. In a stated grid they are
    ``easting`` and ``northing``, or ``westing`` and ``southing``, or ``x`` and ``y`` as
    the grid itself names its axes: a Lo grid counts westing as y and southing as x.

    Parameters
    ----------
    path : Path
        The table.
    grid : str
        Grid of the coordinates where they are not latitude and longitude.

    Raises
    ------
    InputError
        If the columns aren't there, a number can't be read, or the place is outside the grid.
    """
    table = read_table(path)
    lonlat, crs = places(table, table.lines, path.name, grid=grid)
    return Outline(path.name, "corners", (lonlat,), name_of(crs))


def places(
    table: TextTable, lines: tuple[Line, ...], where: str, *, grid: str = ""
) -> tuple[NDArray[np.float64], CRS]:
    """Find where the lines of a table lie, by the names of its columns as ``read`` knows them.

    Parameters
    ----------
    table : TextTable
        With its columns.
    lines : tuple of Line
        Those of its lines that name a place.
    where : str
        File, for messages.
    grid : str
        Grid of the coordinates where they are not latitude and longitude.

    Returns
    -------
    lonlat : ndarray, shape (n, 2)
        Longitude, latitude on WGS 84. [deg]
    crs : CRS
        The system they came in.

    Raises
    ------
    InputError
        As ``read``.
    """
    crs, names, signs = _columns(table, where, grid)
    if not lines:
        raise InputError(where, "a header without corners", "at least three corners")
    points = np.array(
        [
            [
                float(plain_number(line.cells[name], line.where, separator=table.separator))
                for name in names
            ]
            for line in lines
        ],
        dtype=np.float64,
    )
    located = to_lonlat(points * signs, crs, where)
    if located.is_negated:
        # A table names its columns: a westing that is really an easting is a mistake.
        raise InputError(
            where,
            f"{names[0]} and {names[1]} with the sign turned for {name_of(crs)}",
            "westing and southing counted positive to the west and south, "
            "or easting and northing counted negative there",
        )
    if crs is WGS84 and grid:
        check_against(located.lonlat, grid, where)
    return located.lonlat, crs


def place_columns(table: TextTable, where: str, *, grid: str = "") -> tuple[str, str]:
    """Return the names of the two columns that hold the place, first the one across.

    Raises
    ------
    InputError
        As ``read``.
    """
    return _columns(table, where, grid)[1]


def _columns(
    table: TextTable, where: str, grid: str
) -> tuple[CRS, tuple[str, str], tuple[float, float]]:
    """Return the grid, the names of its first and second column, and their signs."""
    bare = {_bare(column): column for column in table.columns}
    latitude, longitude = _first(bare, _LATITUDE), _first(bare, _LONGITUDE)
    if latitude and longitude:
        return WGS84, (longitude, latitude), (1.0, 1.0)
    pairs = [
        (_first(bare, _WESTING), _first(bare, _SOUTHING), True),
        (_first(bare, _EASTING), _first(bare, _NORTHING), False),
        (bare.get("x"), bare.get("y"), None),
    ]
    found = [(first, second, is_west) for first, second, is_west in pairs if first and second]
    if len(found) != 1:
        raise InputError(
            where,
            f"columns {', '.join(table.columns)}",
            "columns latitude and longitude; or easting and northing, westing and southing, "
            "or x and y, of a stated grid",
        )
    if not grid:
        raise InputError(
            where,
            f"columns {found[0][0]} and {found[0][1]} without their grid",
            'the grid in the brief, such as block.grid = "EPSG:2048"',
        )
    crs = crs_from_text(grid, "grid")
    if crs.is_geographic:
        raise InputError(
            where,
            f"columns {found[0][0]} and {found[0][1]} with {grid}, which is in degrees",
            "columns latitude and longitude",
        )
    first, second, is_west = found[0]
    if is_west is None:
        return crs, _axes_by_name(crs, first, second), (1.0, 1.0)
    sign = 1.0 if is_west == is_south_orientated(crs) else -1.0
    if is_west and sign < 0:
        raise InputError(where, f"westing and southing in {grid}", "a Lo grid, EPSG:2046 to 2055")
    return crs, (first, second), (sign, sign)


def _axes_by_name(crs: CRS, x: str, y: str) -> tuple[str, str]:
    """Say which of x and y a grid counts east or west, which north or south.

    Grids that name their axes x and y keep their own names (x is southing in a Lo
    grid, northing in a German zone); in all others x is easting.
    """
    across = next((axis for axis in crs.axis_info if axis.direction in ("east", "west")), None)
    if across is not None and across.abbrev.upper() == "Y":
        return y, x
    return x, y


def _bare(column: str) -> str:
    for unit in _UNITS:
        column = column.removesuffix(unit)
    return column.strip()


def _first(bare: dict[str, str], names: tuple[str, ...]) -> str | None:
    return next((bare[name] for name in names if name in bare), None)
