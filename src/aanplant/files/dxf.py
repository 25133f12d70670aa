"""Read closed lines from DXF drawings, arcs included, layer by layer."""

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.errors import InputError
from aanplant.files.features import Drawing, Feature, flat, third_coordinates
from aanplant.files.reading import broken_files_refused, read_bytes_checked

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

ARC_SAGITTA_M = 0.01
"""An arc is cut into chords that stay this near to it: the width of a peg."""
CLOSED_WITHIN_M = 0.001
"""A line drawn back to its start counts as closed; drawings round to a millimetre."""

_BINARY_START = b"AutoCAD Binary DXF"
_EXPECTED = "a sound DXF drawing"
_LINES = "LWPOLYLINE POLYLINE LINE"


def read(path: Path) -> tuple[Drawing, ...]:
    """Read polylines, lines and points of a drawing's model space.

    Closed polylines become polygons, open ones lines. A DXF never states its grid.

    Raises
    ------
    InputError
        If the file is no sound DXF.
    """
    data = read_bytes_checked(path)
    is_binary = data.startswith(_BINARY_START)
    if not is_binary and b"\0" in data:
        raise InputError(path.name, "binary data", "a DXF drawing (not DWG)")
    if not is_binary and data.split()[-1] != b"EOF":
        raise InputError(path.name, "a drawing that is cut off", f"{_EXPECTED}, EOF at its end")
    return (Drawing(_features(data, path.name), None),)


def _features(data: bytes, where: str) -> tuple[Feature, ...]:
    from ezdxf.filemanagement import readfile

    with tempfile.TemporaryDirectory() as folder, broken_files_refused(where, _EXPECTED):
        copy = Path(folder) / "drawing.dxf"
        copy.write_bytes(data)
        drawing = readfile(copy)
        entities = drawing.modelspace().query(f"{_LINES} POINT")
        return tuple(feature for entity in entities for feature in _feature(entity, where))


def _feature(entity: "DXFEntity", where: str) -> Iterator[Feature]:
    layer = str(entity.dxf.layer)
    drawn = _geometry(entity)
    geometry = flat(drawn, f"{where}: layer {layer}")
    if geometry is not None:
        yield Feature("", layer, geometry, {}, third_coordinates(drawn))


def _geometry(entity: "DXFEntity") -> BaseGeometry:
    from ezdxf.path import make_path

    if entity.dxftype() == "POINT":
        return Point(entity.dxf.location.xyz)
    path = make_path(entity)
    points = np.array([point.xyz for point in path.flattening(ARC_SAGITTA_M)])
    if len(points) < 2:  # noqa: PLR2004 - a line has two ends
        return LineString()
    is_closed = bool(getattr(entity, "is_closed", False) or getattr(entity, "closed", False))
    is_closed |= bool(np.hypot(*(points[-1] - points[0])[:2]) <= CLOSED_WITHIN_M)
    if is_closed and len(points) > 3:  # noqa: PLR2004 - a triangle repeats its first corner
        return Polygon(points)
    return LineString(points)
