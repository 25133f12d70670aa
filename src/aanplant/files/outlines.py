"""Read the outline of a field from whatever file it was drawn or walked into."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.files import corners, gpx
from aanplant.files.features import Drawing, Feature, drawing_endings, locate, read_drawings
from aanplant.files.grids import name_of
from aanplant.files.land import across_date_line, check_on_land
from aanplant.inputs import Outline, OutlineKind

BOUNDARY_LAYERS = ("boundary", "outline", "field", "block")
"""Where a drawing has a layer of such a name, the outline is in it."""
_MOST_NAMED = 5


def read_outline(path: Path, *, grid: str = "") -> Outline:
    """Read the outline of one field in longitude and latitude.

    A file with one polygon gives a polygon with its holes; parts that touch along an
    edge count as one. Without a polygon, one line is taken as a walked track, and
    without a line, the points are taken as corners in the file's order.

    Parameters
    ----------
    path : Path
        GeoJSON, KML, KMZ, GPX, GeoPackage, shapefile, zip with one of these, DXF or CSV.
    grid : str
        Reference system of a file that doesn't state one (DXF, CSV with grid columns,
        shapefile without ``.prj``). Where the file states its own, that one wins, and
        the field must lie inside the area of use of ``grid``.

    Returns
    -------
    Outline
        Not yet cleaned. [deg]

    Raises
    ------
    InputError
        If the file is missing, damaged, of an unknown format, holds no or several
        outlines, or its place on earth can't be right.
    """
    suffix = path.suffix.lower()
    if suffix == ".gpx":
        outline = gpx.read(path, grid=grid)
    elif suffix in (".csv", ".txt"):
        outline = corners.read(path, grid=grid)
    elif suffix in drawing_endings():
        outline = _read_drawing(path, grid)
    else:
        raise InputError(
            path.name,
            f"a file ending in {suffix!r}",
            f"an outline ending in {', '.join(['.gpx', '.csv', *drawing_endings()])}",
        )
    check_on_land(outline.rings[0], outline.where)
    return replace(outline, rings=tuple(across_date_line(ring) for ring in outline.rings))


def _read_drawing(path: Path, grid: str) -> Outline:
    drawings = _boundary_layers(read_drawings(path))
    drawing, kind = _only_shape(drawings, path.name)
    feature = drawing.features[0]
    where = f"{path.name}: {feature.name or feature.layer}".rstrip(": ")
    located = locate(drawing, where, grid=grid)
    if located.note:
        where = f"{where} ({located.note})"
    rings = _rings(located.features[0].geometry, where)
    stated = name_of(located.crs) if located.crs is not None else grid
    return Outline(where, kind, rings, stated)


def _boundary_layers(drawings: tuple[Drawing, ...]) -> tuple[Drawing, ...]:
    named = [
        replace(drawing, features=features)
        for drawing in drawings
        if (features := tuple(f for f in drawing.features if f.layer.lower() in BOUNDARY_LAYERS))
    ]
    return tuple(named) or drawings


def _only_shape(drawings: tuple[Drawing, ...], where: str) -> tuple[Drawing, OutlineKind]:
    """Return a drawing of the one feature that is the outline, and what it is."""
    found = [
        (replace(drawing, features=(feature,)), feature)
        for drawing in drawings
        for feature in drawing.features
    ]
    areas = [pair for pair in found if isinstance(pair[1].geometry, (Polygon, MultiPolygon))]
    lines = [pair for pair in found if isinstance(pair[1].geometry, (LineString, MultiLineString))]
    for shapes, called in ((areas, "polygons"), (lines, "lines")):
        if len(shapes) > 1:
            raise InputError(where, f"{len(shapes)} {called}: {_names(shapes)}", "one field a file")
        if shapes:
            drawing, feature = shapes[0]
            is_area = called == "polygons" or _is_closed(feature.geometry)
            return drawing, "polygon" if is_area else "track"
    points = [pair for pair in found if isinstance(pair[1].geometry, (Point, MultiPoint))]
    if not points or len(drawings) > 1:
        raise InputError(where, "no polygon, line or corner points", "the outline of one field")
    coordinates = shapely.get_coordinates([feature.geometry for _, feature in points])
    corner_points = replace(points[0][1], name="", geometry=MultiPoint(coordinates))
    return replace(drawings[0], features=(corner_points,)), "corners"


def _names(shapes: list[tuple[Drawing, Feature]]) -> str:
    names = [feature.name or feature.layer or "(no name)" for _, feature in shapes[:_MOST_NAMED]]
    return ", ".join(names) + (", …" if len(shapes) > _MOST_NAMED else "")


def _is_closed(geometry: BaseGeometry) -> bool:
    return isinstance(geometry, LineString) and bool(geometry.is_closed)


def _rings(geometry: BaseGeometry, where: str) -> tuple[NDArray[np.float64], ...]:
    if isinstance(geometry, MultiPolygon):
        geometry = _joined(geometry, where)
    if isinstance(geometry, Polygon):
        rings = [geometry.exterior, *geometry.interiors]
        return tuple(shapely.get_coordinates(ring) for ring in rings)
    return (shapely.get_coordinates(geometry),)


def _joined(parts: MultiPolygon, where: str) -> Polygon:
    """Return parts that touch along an edge as one polygon."""
    if len(parts.geoms) == 1:
        return parts.geoms[0]
    if all(part.is_valid for part in parts.geoms):
        joined = shapely.union_all(list(parts.geoms))
        if isinstance(joined, Polygon):
            return joined
    raise InputError(
        where, f"a field in {len(parts.geoms)} parts", "one part; plan each part as its own block"
    )
