"""The shapes in a drawing, whatever its format, in longitude and latitude."""

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from pyproj import CRS
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.files.archives import unpack
from aanplant.files.grids import check_against, crs_from_text, to_lonlat
from aanplant.files.reading import read_bytes_checked

_ZIP = ".zip"


@dataclass(frozen=True, slots=True)
class Feature:
    """One shape in a drawing.

    Parameters
    ----------
    name : str
        As the file calls it, "" when it doesn't.
    layer : str
        Layer or folder it lies in.
    geometry : shapely geometry
        Two-dimensional; in the layer's reference system as read, longitude and
        latitude once located.
    properties : mapping
        Attributes by name in small letters.
    z : tuple of float
        Third coordinate of each point of the shape, as the file holds it; empty where it
        holds none.
    """

    name: str
    layer: str
    geometry: BaseGeometry
    properties: Mapping[str, object]
    z: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """The features of one layer of a file.

    Parameters
    ----------
    features : tuple of Feature
        In the file's order.
    crs : CRS or None
        The reference system the file states, None when it states none.
    note : str
        What a reader of messages should know, such as "westings and southings negated".
    """

    features: tuple[Feature, ...]
    crs: CRS | None
    note: str = ""


Reader = Callable[[Path], tuple[Drawing, ...]]


def read_drawings(path: Path) -> tuple[Drawing, ...]:
    """Read every shape of a drawing, in the coordinates of the file.

    Parameters
    ----------
    path : Path
        GeoJSON, KML, KMZ, GeoPackage, shapefile (zipped or not) or DXF.

    Returns
    -------
    tuple of Drawing
        One a layer, each with at least one feature.

    Raises
    ------
    InputError
        If the file is damaged, of another format or holds no shape.
    """
    suffix = path.suffix.lower()
    if suffix == _ZIP:
        return _read_zip(path)
    reader = _readers().get(suffix)
    if reader is None:
        raise InputError(
            path.name,
            f"a file ending in {suffix!r}",
            f"a drawing ending in {', '.join(drawing_endings())}",
        )
    drawings = tuple(drawing for drawing in reader(path) if drawing.features)
    if not drawings:
        raise InputError(path.name, "no shape", "a drawing with at least one shape")
    return drawings


def locate(drawing: Drawing, where: str, *, grid: str = "") -> Drawing:
    """Bring a drawing to longitude and latitude on WGS 84.

    Parameters
    ----------
    drawing : Drawing
        As read.
    where : str
        File, for messages.
    grid : str
        Reference system of a file that doesn't state one. Where the file does, the
        file's wins, and must lie inside the area of use of ``grid``.

    Returns
    -------
    Drawing
        The same features in degrees; ``crs`` is the system they came in. [deg]

    Raises
    ------
    InputError
        If no reference system is known, or the place is outside its area of use.
    """
    crs = drawing.crs
    if crs is None:
        if not grid:
            raise InputError(
                where,
                "coordinates without their grid",
                'the grid in the brief, such as block.grid = "EPSG:2048"',
            )
        crs = crs_from_text(grid, "grid")
    geometries = [feature.geometry for feature in drawing.features]
    counts = shapely.get_num_coordinates(geometries)
    located = to_lonlat(shapely.get_coordinates(geometries), crs, where)
    if drawing.crs is not None and grid:
        check_against(located.lonlat, grid, where)
    pieces = np.split(located.lonlat, np.cumsum(counts)[:-1])
    features = tuple(
        replace(feature, geometry=_with_coordinates(feature.geometry, piece))
        for feature, piece in zip(drawing.features, pieces, strict=True)
    )
    note = "westings and southings negated" if located.is_negated else ""
    return Drawing(features, crs, note)


def property_text(properties: Mapping[str, object], key: str) -> str:
    """Return a property as trimmed text, "" when it is missing or null."""
    value = properties.get(key)
    return "" if value is None else str(value).strip()


def drawing_endings() -> tuple[str, ...]:
    """Return the endings of the names of drawings that can be read."""
    return (*_readers(), _ZIP)


def _readers() -> dict[str, Reader]:
    from aanplant.files import dxf, geojson, kml, vector

    return {
        ".geojson": geojson.read,
        ".json": geojson.read,
        ".kml": kml.read,
        ".kmz": kml.read_zipped,
        ".gpkg": vector.read_geopackage,
        ".shp": vector.read_shapefile,
        ".dxf": dxf.read,
    }


def _read_zip(path: Path) -> tuple[Drawing, ...]:
    data = read_bytes_checked(path)
    with tempfile.TemporaryDirectory() as folder:
        files = unpack(data, Path(folder), path.name)
        drawings = [
            file
            for file in files
            if file.suffix.lower() in _readers() and "__MACOSX" not in file.parts
        ]
        if len(drawings) != 1:
            names = ", ".join(file.name for file in drawings[:5]) or "none"
            raise InputError(
                path.name,
                f"{len(drawings)} drawings in the archive ({names})",
                "exactly one, such as a shapefile with its .shx, .dbf and .prj",
            )
        try:
            return read_drawings(drawings[0])
        except InputError as error:
            where = f"{path.name}: {error.where}"
            raise InputError(where, error.found, error.expected) from error


def _with_coordinates(geometry: BaseGeometry, lonlat: NDArray[np.float64]) -> BaseGeometry:
    return shapely.transform(geometry, lambda _: lonlat)


def flat(geometry: BaseGeometry, where: str) -> BaseGeometry | None:
    """Drop heights; None for an empty shape, refusal for a number that isn't finite.

    Raises
    ------
    InputError
        If a coordinate is infinite or no number.
    """
    if geometry.is_empty:
        return None
    if not np.isfinite(shapely.get_coordinates(geometry)).all():
        raise InputError(where, "a coordinate that is no finite number", "finite coordinates")
    return shapely.force_2d(geometry)


def third_coordinates(geometry: BaseGeometry) -> tuple[float, ...]:
    """Return the third coordinate of each point; none when any is missing or not finite."""
    if not geometry.has_z:
        return ()
    z = shapely.get_coordinates(geometry, include_z=True)[:, 2]
    return tuple(z.tolist()) if np.isfinite(z).all() else ()
