"""The block's own grid: metres on the ground, true north at its centre.

A transverse Mercator grid centred on the block, scaled so that a grid metre is
a metre on the ground at the block's mean height.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import CRS, Transformer
from shapely import transform
from shapely.geometry.base import BaseGeometry

EARTH_RADIUS_M = 6_371_000.0
"""Mean radius (IUGG R1, rounded); enough for the height factor of a block."""


@dataclass(frozen=True)
class Frame:
    """Local grid of one block; x is east, y is north.

    Parameters
    ----------
    longitude_deg, latitude_deg : float
        Centre of the block on WGS 84, where x = y = 0 and grid north is true north. [deg]
    height_m : float
        Mean height of the block above the ellipsoid, 0 when no heights are known. [m]
    """

    longitude_deg: float
    latitude_deg: float
    height_m: float = 0.0

    @property
    def scale(self) -> float:
        """Grid scale on the central meridian: 1 + H/R. [-]."""
        return 1.0 + self.height_m / EARTH_RADIUS_M

    @property
    def proj4(self) -> str:
        """The grid as programs that draw maps are told of it."""
        return (
            f"+proj=tmerc +lat_0={self.latitude_deg:.9f} +lon_0={self.longitude_deg:.9f} "
            f"+k={self.scale:.12f} +x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs"
        )

    @cached_property
    def crs(self) -> CRS:
        """The grid as a coordinate reference system."""
        return CRS.from_proj4(self.proj4)

    @cached_property
    def _from_lonlat(self) -> Transformer:
        return Transformer.from_crs("EPSG:4326", self.crs, always_xy=True)

    def from_lonlat(self, lonlat: ArrayLike) -> NDArray[np.float64]:
        """Turn longitudes and latitudes, shape (n, 2), into x and y. [deg -> m]."""
        return _apply(self._from_lonlat, lonlat, inverse=False)

    def to_lonlat(self, xy: ArrayLike) -> NDArray[np.float64]:
        """Turn x and y, shape (n, 2), into longitudes and latitudes. [m -> deg]."""
        return _apply(self._from_lonlat, xy, inverse=True)

    def geometry_from_lonlat(self, geometry: BaseGeometry) -> BaseGeometry:
        """Move a shapely geometry from longitude/latitude into the frame."""
        return transform(geometry, self.from_lonlat)

    def geometry_to_lonlat(self, geometry: BaseGeometry) -> BaseGeometry:
        """Move a shapely geometry from the frame to longitude/latitude."""
        return transform(geometry, self.to_lonlat)


def _apply(transformer: Transformer, points: ArrayLike, *, inverse: bool) -> NDArray[np.float64]:
    array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    first, second = transformer.transform(
        array[:, 0], array[:, 1], direction="INVERSE" if inverse else "FORWARD"
    )
    return np.column_stack([first, second])
