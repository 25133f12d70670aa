"""Read heights around a block: spot heights, contour lines, or a height model."""

from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.files import height_model
from aanplant.files.corners import places
from aanplant.files.delimited import plain_number, read_table
from aanplant.files.features import Drawing, Feature, locate, property_text, read_drawings
from aanplant.heights import HIGHEST_M, LOWEST_M, HeightKind, Heights

FOOT_M = {"m": 1.0, "ft": 0.3048}
"""Metres in each unit; the international foot."""
HEIGHT_NAMES = (
    "height", "elevation", "elev", "altitude", "level", "reduced level", "z", "contour", "hoogte",
)  # fmt: skip
"""Names of the column or property that holds the height."""
_UNITS = {
    "m": ("m", "metres", "meters", "metre", "meter"),
    "ft": ("ft", "feet", "foot"),
}
_METRES_BY_STANDARD = (".geojson", ".json", ".kml", ".kmz", ".gpx")
"""Third coordinates in these are metres: RFC 7946, OGC KML 2.3, GPX 1.1."""
_MOST_NAMED = 6


def read_heights(
    path: Path, field: NDArray[np.float64], *, grid: str = "", unit: str = ""
) -> Heights:
    """Read heights from whatever file holds them.

    Parameters
    ----------
    path : Path
        GeoTIFF; CSV with a column of heights; or a drawing (GeoJSON, KML, GeoPackage,
        shapefile, DXF) of contour lines or points, whose height is a property or the
        third coordinate.
    field : ndarray, shape (n, 2)
        Outline of the block; of a model only the ground around it is read. [deg]
    grid : str
        Reference system of a file that doesn't state one.
    unit : str
        "m" or "ft", where the brief says so.

    Raises
    ------
    InputError
        If the file can't be read, holds no heights, says no unit of them and the brief
        neither, contradicts the brief about it, or holds heights of no place on earth.
    """
    suffix = path.suffix.lower()
    if suffix in (".tif", ".tiff"):
        return height_model.read(path, field, grid=grid, unit=unit)
    if suffix in (".csv", ".txt"):
        return _read_table(path, grid, unit)
    return _read_drawing(path, grid, unit)


def _read_table(path: Path, grid: str, unit: str) -> Heights:
    table = read_table(path)
    column, stated = _height_column(table.columns, path.name)
    if not (stated or unit):
        raise InputError(
            path.name,
            f"the column {column!r}, which does not say its unit",
            f'a column such as "{column} (m)" or "{column} (ft)", or ground.heights_unit',
        )
    said = agreed_unit(stated, unit, path.name)
    lonlat, _ = places(table, table.lines, path.name, grid=grid)
    z = np.array(
        [
            float(plain_number(line.cells[column], line.where, separator=table.separator))
            for line in table.lines
        ]
    )
    z *= FOOT_M[said]
    beyond = np.flatnonzero((z < LOWEST_M) | (z > HIGHEST_M))
    if len(beyond):
        raise _no_height(z[beyond[0]], table.lines[beyond[0]].where)
    return Heights(path.name, "spot heights", lonlat, z, said)


def _height_column(columns: tuple[str, ...], where: str) -> tuple[str, str]:
    """Find the column of heights and the unit its name states, "" for none."""
    found = [(column, *name_and_unit(column)) for column in columns]
    heights = [(column, unit) for column, name, unit in found if name in HEIGHT_NAMES]
    if len(heights) != 1:
        names = ", ".join(column for column, _ in heights) or f"columns {', '.join(columns)}"
        raise InputError(
            where,
            f"{len(heights)} columns of heights ({names})",
            f'one, such as "height (m)"; known names are {", ".join(HEIGHT_NAMES)}',
        )
    return heights[0]


def name_and_unit(column: str) -> tuple[str, str]:
    """Part "height (m)", "height [m]" or "height m" into its name and its unit."""
    words = column.replace("(", " ").replace("[", " ").replace(")", " ").replace("]", " ").split()
    for unit, spellings in _UNITS.items():
        if len(words) > 1 and words[-1] in spellings:
            return " ".join(words[:-1]), unit
    return " ".join(words), ""


def agreed_unit(stated: str, asked: str, where: str) -> str:
    """Return the unit on which file and brief agree.

    Raises
    ------
    InputError
        If neither says it, or they contradict one another: feet taken as metres make every
        slope three times as steep.
    """
    if not (stated or asked):
        raise InputError(
            where,
            "heights that do not say their unit",
            'ground.heights_unit = "m" or "ft" in the brief; the maker of the file knows which',
        )
    if stated and asked and stated != asked:
        raise InputError(
            where,
            f"heights in {stated}, while ground.heights_unit says {asked}",
            "one unit: correct the brief, or leave ground.heights_unit out",
        )
    return stated or asked


def _read_drawing(path: Path, grid: str, unit: str) -> Heights:
    lonlat: list[NDArray[np.float64]] = []
    heights: list[NDArray[np.float64]] = []
    units: set[str] = set()
    in_coordinates = "m" if path.suffix.lower() in _METRES_BY_STANDARD else ""
    kind: HeightKind = "spot heights"
    for drawing in read_drawings(path):
        known = [(f, *_height_of(f, path.name, in_coordinates)) for f in drawing.features]
        known = [(feature, z, stated) for feature, z, stated in known if len(z)]
        if not known:
            continue
        features = Drawing(tuple(feature for feature, _, _ in known), drawing.crs)
        located = locate(features, path.name, grid=grid).features
        for feature, (_, z, stated) in zip(located, known, strict=True):
            lonlat.append(shapely.get_coordinates(feature.geometry))
            heights.append(z)
            units.add(stated)
            if not feature.geometry.geom_type.endswith("Point"):
                kind = "contour lines"
    if not lonlat:
        raise InputError(
            path.name,
            "lines and points without heights",
            f"heights in the coordinates, or a property such as {', '.join(HEIGHT_NAMES)}",
        )
    if len(units) > 1:
        raise InputError(path.name, "heights of several units", "one unit in a file")
    stated = units.pop()
    said = agreed_unit(stated, unit, path.name)
    z_m = np.concatenate(heights) * FOOT_M[said]
    beyond = (z_m < LOWEST_M) | (z_m > HIGHEST_M)
    if beyond.any():
        raise _no_height(z_m[beyond][0], path.name)
    return Heights(path.name, kind, np.concatenate(lonlat), z_m, said)


def _height_of(
    feature: Feature, where: str, in_coordinates: str
) -> tuple[NDArray[np.float64], str]:
    """Heights of a shape's points, none when it has none, and the unit they are stated in."""
    for key, value in feature.properties.items():
        name, unit = name_and_unit(key.replace("_", " "))
        if name in HEIGHT_NAMES and value is not None:
            text = property_text(feature.properties, key)
            try:
                z = float(text)
            except ValueError:
                raise InputError(
                    f"{where}: {feature.name or feature.layer or key}",
                    f"the {key} {text!r}",
                    "a height as a plain number",
                ) from None
            return np.full(int(shapely.get_num_coordinates(feature.geometry)), z), unit
    # Drawings write 0 for whatever lies flat on the sheet.
    return np.array(feature.z if any(feature.z) else ()), in_coordinates


def _no_height(z_m: float, where: str) -> InputError:
    return InputError(
        where,
        f"a height of {z_m:.6g} m",
        f"heights on land, {LOWEST_M:.0f} to {HIGHEST_M:.0f} m; leave out places without one, "
        "and say whether the file is in feet",
    )
