"""Read shapes from KML and KMZ, as map viewers draw and save them."""

import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry import (
    GeometryCollection,
    LineString,
    MultiLineString,
    MultiPoint,
    MultiPolygon,
    Point,
    Polygon,
)
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.files.archives import unpack
from aanplant.files.features import Drawing, Feature, flat
from aanplant.files.grids import WGS84
from aanplant.files.markup import children, local_name, number_in, parse_xml, text_of
from aanplant.files.reading import read_bytes_checked

_SHAPES = ("Point", "LineString", "LinearRing", "Polygon", "MultiGeometry", "Track", "MultiTrack")
_EXPECTED = "KML"
_DEEPEST = 50
"""Folders in folders; nobody draws deeper."""


def read(path: Path) -> tuple[Drawing, ...]:
    """Read all placemarks of a KML file, longitude and latitude.

    Raises
    ------
    InputError
        If the file is no sound KML.
    """
    return _read(read_bytes_checked(path), path.name)


def read_zipped(path: Path) -> tuple[Drawing, ...]:
    """Read all placemarks of a KMZ file: the first KML in the archive counts.

    Raises
    ------
    InputError
        If the archive or the KML in it is not sound.
    """
    with tempfile.TemporaryDirectory() as folder:
        files = unpack(read_bytes_checked(path), Path(folder), path.name)
        documents = [file for file in files if file.suffix.lower() == ".kml"]
        if not documents:
            raise InputError(path.name, "no KML in the archive", "a KMZ with a KML in it")
        return _read(read_bytes_checked(documents[0]), path.name)


def _read(data: bytes, where: str) -> tuple[Drawing, ...]:
    root = parse_xml(data, where, _EXPECTED)
    if local_name(root) != "kml":
        raise InputError(where, f"XML of type {local_name(root)!r}", _EXPECTED)
    return (Drawing(tuple(_placemarks(root, "", where, 0)), WGS84),)


def _placemarks(element: Element, folder: str, where: str, depth: int) -> Iterator[Feature]:
    if depth > _DEEPEST:
        raise InputError(where, f"folders {depth} deep", f"at most {_DEEPEST}")
    for child in element:
        kind = local_name(child)
        if kind in ("Folder", "Document"):
            yield from _placemarks(child, text_of(child, "name"), where, depth + 1)
        elif kind == "Placemark":
            name = text_of(child, "name")
            here = f"{where}: {name}" if name else where
            parts = [_geometry(part, here, 0) for part in children(child, *_SHAPES)]
            geometry = flat(_gathered(parts), here) if parts else None
            if geometry is not None:
                yield Feature(name, folder, geometry, _properties(child))


def _properties(placemark: Element) -> dict[str, object]:
    properties: dict[str, object] = {}
    for extended in children(placemark, "ExtendedData"):
        for data in children(extended, "Data"):
            properties[data.get("name", "").strip().lower()] = text_of(data, "value")
        for schema in children(extended, "SchemaData"):
            for data in children(schema, "SimpleData"):
                properties[data.get("name", "").strip().lower()] = (data.text or "").strip()
    return properties


def _geometry(element: Element, where: str, depth: int) -> BaseGeometry:
    kind = local_name(element)
    if depth > _DEEPEST:
        raise InputError(where, f"shapes {depth} deep in shapes", f"at most {_DEEPEST}")
    if kind in ("MultiGeometry", "MultiTrack"):
        return _gathered(
            [_geometry(part, where, depth + 1) for part in children(element, *_SHAPES)]
        )
    if kind == "Polygon":
        outer = [_ring(boundary, where) for boundary in children(element, "outerBoundaryIs")]
        if len(outer) != 1:
            raise InputError(where, f"a polygon with {len(outer)} outer rings", "exactly one")
        inner = [_ring(boundary, where) for boundary in children(element, "innerBoundaryIs")]
        return _made(Polygon, (outer[0], inner), where)
    if kind == "Track":
        points = [_point(mark.text or "", None, where) for mark in children(element, "coord")]
    else:
        points = _points(element, where)
    if kind == "Point":
        return _made(Point, (points[0] if points else (),), where)
    return _made(LineString, (points,), where)


def _made(shape: type[BaseGeometry], arguments: tuple[object, ...], where: str) -> BaseGeometry:
    try:
        return shape(*arguments)
    except (ValueError, TypeError, shapely.GEOSException) as error:
        raise InputError(
            where, f"{shape.__name__} coordinates that make no shape ({error})", _EXPECTED
        ) from None


def _ring(boundary: Element, where: str) -> list[tuple[float, float]]:
    rings = children(boundary, "LinearRing")
    if len(rings) != 1:
        raise InputError(where, f"a boundary with {len(rings)} rings", "exactly one")
    return _points(rings[0], where)


def _points(element: Element, where: str) -> list[tuple[float, float]]:
    written = re.sub(r"\s*,\s*", ",", text_of(element, "coordinates"))
    return [_point(point, ",", where) for point in written.split()]


def _point(written: str, separator: str | None, where: str) -> tuple[float, float]:
    numbers = written.split(separator)
    if len(numbers) not in (2, 3):
        raise InputError(where, f"the coordinates {written[:60]!r}", "longitude,latitude[,height]")
    return number_in(numbers[0], where), number_in(numbers[1], where)


def _gathered(parts: list[BaseGeometry]) -> BaseGeometry:
    """Join parts of one kind into their multi-shape, single ones stay as they are."""
    if len(parts) == 1:
        return parts[0]
    polygons = [part for part in parts if isinstance(part, Polygon)]
    lines = [part for part in parts if isinstance(part, LineString)]
    points = [part for part in parts if isinstance(part, Point)]
    if len(polygons) == len(parts):
        return MultiPolygon(polygons)
    if len(lines) == len(parts):
        return MultiLineString(lines)
    if len(points) == len(parts):
        return MultiPoint(points)
    return GeometryCollection(parts)
