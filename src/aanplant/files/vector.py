"""Read shapes from GeoPackages and shapefiles."""

import math
import tempfile
from pathlib import Path
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from pyproj import CRS
from shapely.geometry import Polygon

from aanplant.errors import InputError
from aanplant.files.features import Drawing, Feature, flat, property_text, third_coordinates
from aanplant.files.grids import crs_from_text
from aanplant.files.reading import broken_files_refused, read_bytes_checked

_GEOPACKAGE_START = b"SQLite format 3\x00"
_SHAPEFILE_START = b"\x00\x00\x27\x0a"


def read_geopackage(path: Path) -> tuple[Drawing, ...]:
    """Read every layer with geometry of a GeoPackage, each in its own grid.

    Raises
    ------
    InputError
        If the file is no sound GeoPackage.
    """
    data = read_bytes_checked(path)
    if not data.startswith(_GEOPACKAGE_START):
        raise InputError(path.name, "a file that is no GeoPackage", "a GeoPackage")
    with tempfile.TemporaryDirectory() as folder:
        # A copy: the reader would leave journal files beside the original.
        copy = Path(folder) / "drawing.gpkg"
        copy.write_bytes(data)
        return _read_layers(copy, path.name, "a sound GeoPackage")


def read_shapefile(path: Path) -> tuple[Drawing, ...]:
    """Read a shapefile; its grid is None when there is no ``.prj`` beside it.

    Raises
    ------
    InputError
        If the file is no sound shapefile, or its index (``.shx``) is missing.
    """
    data = read_bytes_checked(path)
    if not data.startswith(_SHAPEFILE_START):
        raise InputError(path.name, "a file that is no shapefile", "a shapefile")
    if int.from_bytes(data[24:28], "big") * 2 != len(data):
        raise InputError(path.name, "a shapefile that is cut off", "a whole shapefile")
    if not any(path.with_suffix(suffix).exists() for suffix in (".shx", ".SHX")):
        raise InputError(
            path.name,
            "a shapefile without its .shx",
            "all its files together (.shp, .shx, .dbf, .prj), best in one zip",
        )
    return _read_layers(path, path.name, "a sound shapefile")


def _read_layers(path: Path, where: str, expected: str) -> tuple[Drawing, ...]:
    import pyogrio

    with broken_files_refused(where, expected):
        names = [str(name) for name, geometry in pyogrio.list_layers(path) if geometry is not None]
        return tuple(_read_layer(path, name, where) for name in names)


def _read_layer(path: Path, layer: str, where: str) -> Drawing:
    from pyogrio.raw import read as read_raw

    # Reading coordinates as they stand: no axis is turned between file and array,
    # so a Lo grid gives westing, southing and a UTM zone easting, northing.
    meta, _, shapes, columns = read_raw(path, layer=layer)
    names = [str(name).strip().lower() for name in meta["fields"]]
    here = f"{where}: {layer}"
    features = []
    for number, written in enumerate(shapes):
        shape = None if written is None else shapely.from_wkb(written)
        geometry = None if shape is None else flat(shape, here)
        z = () if shape is None else third_coordinates(shape)
        if isinstance(geometry, Polygon):
            geometry, z = _largest_ring_outside(geometry), ()
        if geometry is None:
            continue
        properties = {
            name: _plain(column, number) for name, column in zip(names, columns, strict=True)
        }
        name = property_text(properties, "name")
        features.append(Feature(name, layer, geometry, properties, z))
    return Drawing(tuple(features), _crs(meta["crs"], here))


def _largest_ring_outside(polygon: Polygon) -> Polygon:
    """Make the largest ring the outer one; shapefiles tell them apart by turn only."""
    rings = sorted(
        [polygon.exterior, *polygon.interiors], key=lambda ring: Polygon(ring).area, reverse=True
    )
    return Polygon(rings[0], rings[1:])


def _plain(column: NDArray[np.generic], number: int) -> object:
    """Return an attribute as a plain Python value, None for a null."""
    value = column[number]
    plain = cast("object", value.item() if isinstance(value, np.generic) else value)
    return None if isinstance(plain, float) and math.isnan(plain) else plain


def _crs(written: str | None, where: str) -> CRS | None:
    return crs_from_text(written, where) if written else None
