"""Make a sound polygon in metres of the outline a file gives, or say what is wrong with it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod
from shapely import Polygon

from aanplant.errors import InputError
from aanplant.inputs import Outline
from aanplant.site import track
from aanplant.site.crossings import crossings
from aanplant.site.frame import Frame
from aanplant.site.track import TOLERANCE_M, CleanRing, as_ring

SMALLEST_AREA_M2 = 100.0
LARGEST_AREA_M2 = 2e8
"""20 000 ha: beyond the largest estates, so a wrong grid or unit."""
OPEN_GAP_M = 25.0
OPEN_GAP_SHARE = 0.05
"""A walk may end this far from its start, or this share of its length if that is more."""
_FEWEST_POINTS = 3

PlaceName = Callable[[float, float], str]


@dataclass(frozen=True, slots=True)
class CleanOutline:
    """The outline of a field, sound, and what was done to make it so.

    Parameters
    ----------
    polygon : Polygon
        In the frame, counter-clockwise, holes kept. [m]
    points_read, points_kept : int
        Points in the file, a repeated first point not counted, and in the polygon.
    gap_closed_m : float
        Length of the side that closes a walked track. [m]
    overlap_m : float
        Length walked on past the start, and dropped. [m]
    tolerance_m : float
        Simplification, 0 for a drawn outline, whose points all count. [m]
    """

    polygon: Polygon
    points_read: int
    points_kept: int
    gap_closed_m: float = 0.0
    overlap_m: float = 0.0
    tolerance_m: float = 0.0


def in_metres(x: float, y: float) -> str:
    """Name a place by its metres in the frame."""
    return f"{x:.1f} m east, {y:.1f} m north of the middle"


def clean_track(
    xy: ArrayLike,
    *,
    tolerance_m: float = TOLERANCE_M,
    where: str = "track",
    place: PlaceName = in_metres,
) -> CleanRing:
    """Close a walked track and clear it of scatter, jumps, knots and overlap.

    Parameters
    ----------
    xy : array_like, shape (n, 2)
        Points in the order walked. [m]
    tolerance_m : float
        Points nearer than this to the line through the others are dropped. [m]
    where : str
        File, for messages.
    place : callable
        Names a place for messages.

    Returns
    -------
    CleanRing
        Not crossing itself.

    Raises
    ------
    InputError
        If fewer than three points are left, the walk didn't come back to its start, or
        it crosses itself.
    """
    points = _finite(xy, where)
    tidied = track.tidy(points)
    _check_count(tidied, where)
    closed = track.close(tidied)
    _check_count(closed.xy, where)
    length_m = float(np.hypot(*np.diff(closed.xy, axis=0).T).sum())
    allowed_m = max(OPEN_GAP_M, OPEN_GAP_SHARE * length_m)
    if closed.gap_closed_m > allowed_m:
        raise InputError(
            where,
            f"an open track: its end lies {closed.gap_closed_m:.0f} m from its start, "
            f"at {place(*closed.xy[-1])}",
            f"a walk right round the field, back to within {allowed_m:.0f} m of the start",
        )
    _check_simple(closed.xy, where, place)
    simple = track.simplify(closed, tolerance_m)
    _check_simple(simple.xy, where, place)
    return simple


def clean_ring(xy: ArrayLike, *, where: str = "outline", place: PlaceName = in_metres) -> CleanRing:
    """Drop doubled points and dead ends of a drawn ring; all other points are corners.

    Parameters
    ----------
    xy : array_like, shape (n, 2)
        Corners in order, the first repeated at the end or not. [m]
    where : str
        File, for messages.
    place : callable
        Names a place for messages.

    Returns
    -------
    CleanRing
        Not crossing itself.

    Raises
    ------
    InputError
        If fewer than three points are left, or the ring crosses or touches itself.
    """
    points = as_ring(_finite(xy, where))
    _check_count(points, where)
    _check_simple(points, where, place)
    return CleanRing(points)


def to_polygon(outline: Outline, frame: Frame, *, tolerance_m: float = TOLERANCE_M) -> CleanOutline:
    """Clean an outline and bring it into the frame.

    Parameters
    ----------
    outline : Outline
        As read. [deg]
    frame : Frame
        Grid of the block.
    tolerance_m : float
        Simplification of a walked track. [m]

    Returns
    -------
    CleanOutline
        A valid polygon in metres.

    Raises
    ------
    InputError
        If the outline is empty, open, too small, too large or crosses itself; the
        message holds the place in latitude and longitude.
    """
    if not outline.rings or len(outline.rings[0]) == 0:
        raise InputError(outline.where, "an empty outline", "the outline of a field")

    def place(x: float, y: float) -> str:
        longitude, latitude = frame.to_lonlat([(x, y)])[0]
        return f"latitude {latitude:.6f}, longitude {longitude:.6f}"

    rings = [frame.from_lonlat(ring) for ring in outline.rings]
    if outline.kind == "track":
        outer = clean_track(rings[0], tolerance_m=tolerance_m, where=outline.where, place=place)
    else:
        outer = clean_ring(rings[0], where=outline.where, place=place)
    holes = [
        clean_ring(ring, where=f"{outline.where}: hole {number}", place=place)
        for number, ring in enumerate(rings[1:], start=1)
    ]
    polygon = Polygon(outer.xy, [hole.xy for hole in holes])
    _check_area(Polygon(outer.xy), outline.where)
    _check_holes(polygon, holes, outline.where, place)
    return CleanOutline(
        polygon=shapely.orient_polygons(polygon),
        points_read=sum(_distinct_count(ring) for ring in outline.rings),
        points_kept=len(outer.xy) + sum(len(hole.xy) for hole in holes),
        gap_closed_m=outer.gap_closed_m,
        overlap_m=outer.overlap_m,
        tolerance_m=tolerance_m if outline.kind == "track" else 0.0,
    )


def ellipsoidal_area_m2(lonlat: ArrayLike) -> float:
    """Area of a ring on the WGS 84 ellipsoid, whichever way round it is given.

    Parameters
    ----------
    lonlat : array_like, shape (n, 2)
        Longitude, latitude of the corners, the first repeated or not. [deg]

    Returns
    -------
    float
        Never negative; sides are shortest lines on the ellipsoid. [m2]

    References
    ----------
    .. [1] Karney (2013), Algorithms for geodesics, Journal of Geodesy 87, 43-55.
    """
    ring = np.asarray(lonlat, dtype=np.float64)
    area_m2, _ = Geod(ellps="WGS84").polygon_area_perimeter(ring[:, 0], ring[:, 1])
    return abs(float(area_m2))


def _finite(xy: ArrayLike, where: str) -> NDArray[np.float64]:
    points = np.asarray(xy, dtype=np.float64).reshape(-1, 2)
    if not np.isfinite(points).all():
        row = int(np.flatnonzero(~np.isfinite(points).all(axis=1))[0])
        raise InputError(where, f"point {row + 1} without a finite place", "finite coordinates")
    return points


def _check_count(xy: NDArray[np.float64], where: str) -> None:
    if len(xy) < _FEWEST_POINTS:
        raise InputError(
            where, f"{len(xy)} distinct point{'' if len(xy) == 1 else 's'}", "at least three"
        )


def _check_simple(xy: NDArray[np.float64], where: str, place: PlaceName) -> None:
    found = crossings(xy, is_ring=True)
    if not found:
        return
    first = found[0]
    more = f", and {len(found) - 1} times more" if len(found) > 1 else ""
    raise InputError(
        where,
        f"an outline that crosses or touches itself at {place(*first.xy)} "
        f"(the sides after points {first.first + 1} and {first.second + 1}){more}",
        "corners in the order one walks round the field, without crossing",
    )


def _check_area(polygon: Polygon, where: str) -> None:
    if polygon.area < SMALLEST_AREA_M2:
        raise InputError(
            where,
            f"an outline of {polygon.area:.4g} m²",
            f"at least {SMALLEST_AREA_M2:.0f} m²; is it in the right unit and grid?",
        )
    if polygon.area > LARGEST_AREA_M2:
        raise InputError(
            where,
            f"an outline of {polygon.area / 1e4:.0f} ha",
            f"at most {LARGEST_AREA_M2 / 1e4:.0f} ha; is it in the right unit and grid?",
        )


def _check_holes(polygon: Polygon, holes: list[CleanRing], where: str, place: PlaceName) -> None:
    if polygon.is_valid:
        return
    shell = Polygon(polygon.exterior)
    for number, hole in enumerate(holes, start=1):
        if not shell.contains(Polygon(hole.xy)):
            outside = shapely.get_coordinates(shapely.points(hole.xy))[0]
            raise InputError(
                f"{where}: hole {number}",
                f"a hole that isn't inside the field, at {place(*outside)}",
                "holes inside the outline",
            )
    raise InputError(where, "holes that overlap one another", "holes apart from one another")


def _distinct_count(ring: NDArray[np.float64]) -> int:
    is_repeated = len(ring) > 1 and bool((ring[0] == ring[-1]).all())
    return len(ring) - int(is_repeated)
