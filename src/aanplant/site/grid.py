"""The grid in which a surveyor sets the block out, with the axes as that grid names them."""

import re
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError

from aanplant.errors import InputError
from aanplant.site.frame import Frame

_SOUTH, _NORTH = 32700, 32600
_AREA_MARGIN_DEG = 0.01


@dataclass(frozen=True)
class SetOutGrid:
    """A projected grid in metres.

    Parameters
    ----------
    code : str
        As the user gives it, such as ``EPSG:2048``.
    frame : Frame
        The block's own grid, from which points are brought over.
    """

    code: str
    frame: Frame

    @cached_property
    def crs(self) -> CRS:
        """The grid as a coordinate reference system."""
        return CRS.from_user_input(self.code)

    @property
    def name(self) -> str:
        """Name of the grid in its register, such as "WGS 84 / UTM zone 34S"."""
        return str(self.crs.name)

    @property
    def axis_names(self) -> tuple[str, str]:
        """Names of the first and second coordinate in the order the files hold them.

        Eastings stand first; westing/southing grids keep their own order and are
        named as their surveyors do, ``Y westing`` and ``X southing``.
        """
        axes = {axis.direction: axis for axis in self.crs.axis_info}
        if "west" in axes and "south" in axes:
            return ("Y_westing_m", "X_southing_m")
        return ("easting_m", "northing_m")

    @property
    def is_south_orientated(self) -> bool:
        """Whether the axes run west and south, as in EPSG:2046 to 2055."""
        return {axis.direction for axis in self.crs.axis_info} == {"west", "south"}

    @cached_property
    def _from_frame(self) -> Transformer:
        return Transformer.from_crs(self.frame.crs, self.crs, always_xy=True)

    def from_frame(self, xy: ArrayLike) -> NDArray[np.float64]:
        """Turn x and y of the frame, shape (n, 2), into grid coordinates. [m]."""
        points = np.asarray(xy, dtype=np.float64).reshape(-1, 2)
        first, second = self._from_frame.transform(points[:, 0], points[:, 1])
        return np.column_stack([first, second])

    def to_frame(self, grid_xy: ArrayLike) -> NDArray[np.float64]:
        """Turn grid coordinates, shape (n, 2), into x and y of the frame. [m]."""
        points = np.asarray(grid_xy, dtype=np.float64).reshape(-1, 2)
        x, y = self._from_frame.transform(points[:, 0], points[:, 1], direction="INVERSE")
        return np.column_stack([x, y])

    def drawing_from_frame(self, xy: ArrayLike) -> NDArray[np.float64]:
        """Turn x and y of the frame into drawing coordinates with north up. [m].

        Westing/southing grids are turned by half a turn (both signs changed), as is
        usual in drawings, so that east is right and north is up.
        """
        points = self.from_frame(xy)
        return -points if self.is_south_orientated else points

    @cached_property
    def convergence_deg(self) -> float:
        """Angle from true north to grid north at the block's centre, clockwise. [deg]."""
        south, north = self.drawing_from_frame([[0.0, -50.0], [0.0, 50.0]])
        east, up = north - south
        return float(-np.degrees(np.arctan2(east, up)))

    @property
    def scale_factor(self) -> float:
        """Grid distance over distance in the frame at the block's centre. [-]."""
        south, north = self.from_frame([[0.0, -50.0], [0.0, 50.0]])
        return float(np.hypot(*(north - south)) / 100.0)


def choose_grid(code: str, frame: Frame, where: str) -> SetOutGrid:
    """Return the grid asked for, or the UTM zone of the block's centre.

    Raises
    ------
    InputError
        If the grid is not known, not a projected grid in metres, or made for
        another part of the world.
    """
    if not code:
        zone = int((frame.longitude_deg + 180.0) // 6.0) % 60 + 1
        base = _SOUTH if frame.latitude_deg < 0 else _NORTH
        return SetOutGrid(f"EPSG:{base + zone}", frame)
    try:
        crs = CRS.from_user_input(code)
    except CRSError:
        raise InputError(where, repr(code), 'a known grid, such as "EPSG:2048"') from None
    if not crs.is_projected or any(axis.unit_name != "metre" for axis in crs.axis_info):
        raise InputError(where, f"{crs.name} ({code})", "a projected grid in metres")
    area = crs.area_of_use
    if area is not None:
        inside = (
            area.west - _AREA_MARGIN_DEG <= frame.longitude_deg <= area.east + _AREA_MARGIN_DEG
            and area.south - _AREA_MARGIN_DEG <= frame.latitude_deg <= area.north + _AREA_MARGIN_DEG
        )
        if not inside:
            raise InputError(
                where,
                f"{code}, made for {re.sub(r'[.]$', '', area.name)}",
                f"a grid whose area of use holds the block at latitude {frame.latitude_deg:.4f}, "
                f"longitude {frame.longitude_deg:.4f}",
            )
    return SetOutGrid(code, frame)
