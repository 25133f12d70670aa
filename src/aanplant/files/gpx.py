"""Read walked tracks, routes and single points from GPX receivers."""

from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.files.grids import WGS84, check_against, to_lonlat
from aanplant.files.markup import children, local_name, number_in, parse_xml, text_of
from aanplant.files.reading import read_bytes_checked
from aanplant.inputs import Outline, OutlineKind


@dataclass(frozen=True, slots=True)
class _Walk:
    name: str
    points: list[tuple[float, float]]


def read(path: Path, *, grid: str = "") -> Outline:
    """Read the one track of a GPX file, or else its one route, or else its waypoints.

    The segments of a track are joined in their order. A route or waypoints are single
    corners, taken in the file's order.

    Parameters
    ----------
    path : Path
        GPX 1.0 or 1.1.
    grid : str
        Grid whose area of use the place must lie in, "" for no such check.

    Raises
    ------
    InputError
        If the file is no sound GPX, or holds no or several tracks.
    """
    where = path.name
    root = parse_xml(read_bytes_checked(path), where, "GPX")
    if local_name(root) != "gpx":
        raise InputError(where, f"XML of type {local_name(root)!r}", "GPX")
    walk, kind = _only_walk(root, where)
    name = f"{where}: {walk.name}" if walk.name else where
    lonlat = _located(walk.points, name)
    if grid:
        check_against(lonlat, grid, name)
    return Outline(name, kind, (lonlat,))


def _only_walk(root: Element, where: str) -> tuple[_Walk, OutlineKind]:
    tracks = [_track(track, where) for track in children(root, "trk")]
    routes = [
        _Walk(text_of(route, "name"), _points(route, "rtept", where))
        for route in children(root, "rte")
    ]
    waypoints = _Walk("", _points(root, "wpt", where))
    families: tuple[tuple[list[_Walk], OutlineKind, str], ...] = (
        (tracks, "track", "tracks"),
        (routes, "corners", "routes"),
        ([waypoints], "corners", "waypoints"),
    )
    for walks, kind, called in families:
        filled = [walk for walk in walks if walk.points]
        if len(filled) > 1:
            names = ", ".join(walk.name or "(no name)" for walk in filled[:5])
            raise InputError(where, f"{len(filled)} {called}: {names}", "one outline a file")
        if filled:
            return filled[0], kind
    raise InputError(where, "no track, route or waypoint", "the walked outline of a field")


def _track(track: Element, where: str) -> _Walk:
    points = [
        point for segment in children(track, "trkseg") for point in _points(segment, "trkpt", where)
    ]
    return _Walk(text_of(track, "name"), points)


def _points(parent: Element, kind: str, where: str) -> list[tuple[float, float]]:
    return [
        (number_in(point.get("lon"), where), number_in(point.get("lat"), where))
        for point in children(parent, kind)
    ]


def _located(points: list[tuple[float, float]], where: str) -> NDArray[np.float64]:
    return to_lonlat(np.array(points, dtype=np.float64), WGS84, where).lonlat
