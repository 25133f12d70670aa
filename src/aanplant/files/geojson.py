"""Read shapes from GeoJSON (RFC 7946, and the named grids of its 2008 forerunner)."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Never

import shapely
from pyproj import CRS
from shapely.geometry import shape

from aanplant.errors import InputError
from aanplant.files.features import Drawing, Feature, flat, property_text, third_coordinates
from aanplant.files.grids import WGS84, crs_from_text
from aanplant.files.reading import broken_files_refused, read_text_checked

_GEOMETRIES = (
    "Point", "MultiPoint", "LineString", "MultiLineString",
    "Polygon", "MultiPolygon", "GeometryCollection",
)  # fmt: skip


def read(path: Path) -> tuple[Drawing, ...]:
    """Read all features of a GeoJSON file, in the file's own grid.

    Raises
    ------
    InputError
        If the text is no GeoJSON.
    """
    text = read_text_checked(path)
    with broken_files_refused(path.name, "GeoJSON text"):
        document = json.loads(text, parse_constant=_refuse_constant)
    if not isinstance(document, dict):
        raise InputError(path.name, "JSON that is no GeoJSON object", "GeoJSON")
    with broken_files_refused(path.name, "GeoJSON text"):
        features = tuple(_features(document, path.name))
    return (Drawing(features, _stated_crs(document, path.name)),)


def _refuse_constant(name: str) -> Never:
    msg = f"{name} stands where a number should"
    raise ValueError(msg)


def _features(document: dict[str, object], where: str) -> Iterator[Feature]:
    kind = document.get("type")
    if kind == "FeatureCollection":
        members = document.get("features")
        if not isinstance(members, list):
            raise InputError(where, "a FeatureCollection without features", "a list of features")
    elif kind == "Feature":
        members = [document]
    elif kind in _GEOMETRIES:
        members = [{"type": "Feature", "geometry": document}]
    else:
        raise InputError(where, f"JSON of type {kind!r}", "GeoJSON, such as a FeatureCollection")
    for number, member in enumerate(members, start=1):
        feature = _feature(member, f"{where}: feature {number}")
        if feature is not None:
            yield feature


def _feature(member: object, where: str) -> Feature | None:
    if not isinstance(member, dict) or member.get("type") != "Feature":
        raise InputError(where, "something that is no feature", "a GeoJSON feature")
    content = member.get("geometry")
    if content is None:
        return None
    if not isinstance(content, dict) or content.get("type") not in _GEOMETRIES:
        raise InputError(where, "a geometry of unknown type", f"one of {', '.join(_GEOMETRIES)}")
    try:
        written = shape(content)
        geometry = flat(written, where)
    except (
        ValueError,
        TypeError,
        KeyError,
        IndexError,
        AttributeError,
        shapely.GEOSException,
    ) as e:
        raise InputError(
            where, f"{content['type']} coordinates that make no shape ({e})", "GeoJSON coordinates"
        ) from None
    if geometry is None:
        return None
    given = member.get("properties") or {}
    if not isinstance(given, dict):
        raise InputError(where, "properties that are no object", "names with values")
    properties = {str(key).strip().lower(): value for key, value in given.items()}
    name = property_text(properties, "name")
    return Feature(name, "", geometry, properties, third_coordinates(written))


def _stated_crs(document: dict[str, object], where: str) -> CRS:
    """Return longitude/latitude, unless an old ``crs`` member names another grid."""
    stated = document.get("crs")
    if stated is None:
        return WGS84
    properties = stated.get("properties") if isinstance(stated, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str):
        raise InputError(where, "a crs member without a name", "a named grid, or none")
    return crs_from_text(name, where)
