"""Turn coordinates of any stated grid into longitude and latitude, or refuse them.

South African Lo grids (EPSG:2046 to 2055) count westing and southing, in that
order; drawings often hold them negated so that north is up. The place a pair of
coordinates leads to tells which it is: it must lie where the grid is in use.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError

from aanplant.errors import InputError

WGS84 = CRS.from_epsg(4326)
LO_GRIDS = (*range(2046, 2056), *range(22275, 22294, 2))
"""EPSG codes of the South African grids: Hartebeesthoek94 Lo15 to Lo33, Cape Lo15 to Lo33."""
MARGIN_DEG = 1.0
"""How far outside its area of use a grid is still believed; fields lie across zone edges."""
NULL_ISLAND_DEG = 0.01
"""Receivers without a fix write 0, 0; no vineyard lies in the Gulf of Guinea."""
_SURE = 70
"""Confidence, of 100, from which a system is called by its code."""
_LARGEST_LATITUDE_DEG = 90.0
_LARGEST_LONGITUDE_DEG = 180.0
_LARGEST_DEGREE = 360.0


class _Area(Protocol):
    """Where a grid is in use; pyproj has two classes of that name."""

    west: float
    south: float
    east: float
    north: float


@dataclass(frozen=True)
class Located:
    """Coordinates brought to longitude and latitude.

    Parameters
    ----------
    lonlat : ndarray, shape (n, 2)
        Longitude, latitude on WGS 84. [deg]
    is_negated : bool
        The file held the negated westings and southings of a Lo grid.
    """

    lonlat: NDArray[np.float64]
    is_negated: bool = False


@lru_cache(maxsize=64)
def crs_from_text(text: str, where: str) -> CRS:
    """Understand a reference system, such as ``EPSG:2048`` or well-known text.

    Raises
    ------
    InputError
        If it is not known, or is no grid on the earth.
    """
    expected = "a grid by its EPSG code, such as EPSG:2048 or EPSG:32734"
    try:
        crs = CRS.from_user_input(text.strip())
    except CRSError:
        raise InputError(where, f"the grid {text[:60]!r}, which is not known", expected) from None
    if crs.is_compound:
        crs = crs.sub_crs_list[0]
    if not (crs.is_geographic or crs.is_projected):
        raise InputError(where, f"{crs.name!r}, which is no grid on the earth", expected)
    return _registered(crs)


def name_of(crs: CRS) -> str:
    """Return the short name of a reference system, such as ``EPSG:2048``."""
    authority = crs.to_authority(min_confidence=_SURE)
    return ":".join(authority) if authority else str(crs.name)


def is_south_orientated(crs: CRS) -> bool:
    """Say whether a grid counts westing and southing, as the Lo grids do."""
    return [axis.direction for axis in crs.axis_info[:2]] == ["west", "south"]


def to_lonlat(points: NDArray[np.float64], crs: CRS, where: str) -> Located:
    """Bring file coordinates to longitude and latitude on WGS 84.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        As mapping programs store them: longitude, latitude; easting, northing; or
        westing, southing for a Lo grid (also both negated). [deg or grid unit]
    crs : CRS
        Reference system of the points.
    where : str
        File, for messages.

    Raises
    ------
    InputError
        If a coordinate is no finite number, or the place is outside the grid's area
        of use, no place on earth, or at 0, 0.
    """
    if not np.isfinite(points).all():
        row = int(np.flatnonzero(~np.isfinite(points).all(axis=1))[0])
        raise InputError(
            where, f"point {row + 1} at {points[row, 0]}, {points[row, 1]}", "finite coordinates"
        )
    if crs.is_geographic:
        _check_degrees(points, where)
    lonlat = _inverse(points, crs)
    is_negated = False
    if is_south_orientated(crs) and not _is_inside(lonlat, crs.area_of_use):
        turned = _inverse(-points, crs)
        if _is_inside(turned, crs.area_of_use):
            lonlat, is_negated = turned, True
    if not _is_inside(lonlat, crs.area_of_use):
        raise InputError(where, *_wrong_grid(points, lonlat, crs))
    _check_null_island(lonlat, where)
    return Located(lonlat, is_negated)


def check_against(lonlat: NDArray[np.float64], stated: str, where: str) -> None:
    """Refuse a file that lies outside the area of the grid stated for it.

    A file's own reference system wins over the stated grid, but both must speak of
    the same part of the world.

    Raises
    ------
    InputError
        If the place is outside the stated grid's area of use.
    """
    area = crs_from_text(stated, "grid").area_of_use
    if _is_inside(lonlat, area) or area is None:
        return
    outside = lonlat[~_inside(lonlat, area)]
    found = f"a field at {place(outside[0])}, outside the area of {stated} ({area.name})"
    expected = f"a field inside it, or the grid the field lies in instead of {stated}"
    if _is_inside(lonlat[:, ::-1], area):
        expected = "longitude first, then latitude: the two seem to be swapped"
    raise InputError(where, found, expected)


def place(lonlat: NDArray[np.float64]) -> str:
    """Write a place as people type it into a map: latitude first, six decimals."""
    return f"latitude {lonlat[1]:.6f}, longitude {lonlat[0]:.6f}"


def _check_degrees(points: NDArray[np.float64], where: str) -> None:
    beyond = np.abs(points) > (_LARGEST_LONGITUDE_DEG, _LARGEST_LATITUDE_DEG)
    if not beyond.any():
        return
    row = int(np.flatnonzero(beyond.any(axis=1))[0])
    first, second = points[row]
    found = f"point {row + 1} with longitude {first:.10g} and latitude {second:.10g}"
    if np.abs(points).max() > _LARGEST_DEGREE:
        raise InputError(where, found, "degrees; these look like metres, so state their grid")
    raise InputError(
        where, found, "longitude first, then latitude between -90 and 90; the two seem swapped"
    )


def _check_null_island(lonlat: NDArray[np.float64], where: str) -> None:
    lost = np.flatnonzero((np.abs(lonlat) < NULL_ISLAND_DEG).all(axis=1))
    if lost.size:
        raise InputError(
            where,
            f"point {lost[0] + 1} at latitude 0, longitude 0",
            "a place on land; a receiver without a fix writes zeros",
        )


def _registered(crs: CRS) -> CRS:
    """Return the registered form of a system written out in full, for its area of use.

    Shapefiles spell their grid out and leave the area away. The Lo grids, old and new,
    are not recognised by their spelling, only by comparison.
    """
    if crs.area_of_use is not None:
        return crs
    if is_south_orientated(crs):
        for code in LO_GRIDS:
            candidate = CRS.from_epsg(code)
            if crs.equals(candidate, ignore_axis_order=True):
                return candidate
    authority = crs.to_authority(min_confidence=_SURE)
    return CRS.from_authority(*authority) if authority else crs


@lru_cache(maxsize=64)
def _transformer(crs: CRS) -> Transformer:
    return Transformer.from_crs(crs, WGS84, always_xy=True)


def _inverse(points: NDArray[np.float64], crs: CRS) -> NDArray[np.float64]:
    try:
        longitude, latitude = _transformer(crs).transform(points[:, 0], points[:, 1])
    except ProjError:
        return np.full_like(points, np.nan)
    return np.column_stack([longitude, latitude])


def _inside(lonlat: NDArray[np.float64], area: _Area) -> NDArray[np.bool_]:
    longitude, latitude = lonlat[:, 0], lonlat[:, 1]
    east = area.east + (360.0 if area.east < area.west else 0.0)  # across the date line
    middle, half = (area.west + east) / 2.0, (east - area.west) / 2.0
    with np.errstate(invalid="ignore"):
        from_middle = np.abs((longitude - middle + 180.0) % 360.0 - 180.0)
        inside: NDArray[np.bool_] = (
            (from_middle <= half + MARGIN_DEG)
            & (latitude >= area.south - MARGIN_DEG)
            & (latitude <= area.north + MARGIN_DEG)
        )
    return inside


def _is_inside(lonlat: NDArray[np.float64], area: _Area | None) -> bool:
    if not np.isfinite(lonlat).all():
        return False
    return area is None or bool(_inside(lonlat, area).all())


def _wrong_grid(
    points: NDArray[np.float64], lonlat: NDArray[np.float64], crs: CRS
) -> tuple[str, str]:
    area = crs.area_of_use
    is_lost = ~np.isfinite(lonlat).all(axis=1)
    if area is not None:
        is_lost |= ~_inside(lonlat, area)
    row = int(np.flatnonzero(is_lost)[0])
    first, second = points[row]
    if np.isfinite(lonlat[row]).all():
        leads_to = f"which {name_of(crs)} puts at {place(lonlat[row])}"
    else:
        leads_to = f"which is no place in {name_of(crs)}"
    found = f"point {row + 1} at {first:.10g}, {second:.10g}, {leads_to}"
    where_used = f" ({area.name.rstrip('.')})" if area is not None else ""
    expected = f"coordinates inside the area of that grid{where_used}: is it the right grid"
    if _is_inside(_inverse(points[:, ::-1], crs), area):
        return found, f"{expected}, and aren't the two coordinates swapped?"
    if np.abs(points).max() <= _LARGEST_DEGREE and not crs.is_geographic:
        return found, f"{expected}? These look like degrees"
    return found, f"{expected}?"
