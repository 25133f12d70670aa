"""Which part of the field goes with which pit: by the nearest pit, or as the user drew it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPoint, MultiPolygon
from shapely.geometry.base import BaseGeometry

from aanplant.pits import DrawnZone, Pit
from aanplant.site.potential import Potential, judge
from aanplant.site.profile import Profile

SQUARE_METRES_PER_HA = 1e4
SLIVER_M2 = 1.0
"""A piece smaller than this is the width of a pencil line, not a zone."""
GRID_M = 1e-4
"""Corners are rounded to a tenth of a millimetre while zones are cut from one another: the
last bits of a cut line can leave a spike that turns later cuts inside out."""
REST = "not drawn"
"""Name of the part of the field that no drawn zone covers."""


@dataclass(frozen=True)
class Zone:
    """A part of the field with one soil.

    Parameters
    ----------
    name : str
        As the user drew it, or the name of its pit.
    geometry : shapely geometry
        In the frame, inside the field. [m]
    profile : Profile or None
        The pit that stands for it, worked out; None when it has no pit.
    """

    name: str
    geometry: BaseGeometry
    profile: Profile | None

    @property
    def pit(self) -> Pit | None:
        """The pit that stands for it."""
        return self.profile.pit if self.profile else None

    @property
    def area_ha(self) -> float:
        """Its area. [ha]."""
        return float(self.geometry.area) / SQUARE_METRES_PER_HA

    @property
    def depth_m(self) -> float | None:
        """Effective depth; None when it isn't known. [m]."""
        return self.profile.depth_m if self.profile else None

    @property
    def available_water_mm(self) -> float | None:
        """Available water to the rooting depth; None when it isn't known. [mm]."""
        return self.profile.available_water_mm if self.profile else None

    @property
    def potential(self) -> Potential:
        """What its soil can carry."""
        return judge(self.profile) if self.profile else Potential("unknown", ())


@dataclass(frozen=True)
class Drawn:
    """Zones as drawn, cut to the field, and how well they fill it.

    Parameters
    ----------
    zones : tuple of Zone
        They fill the field without overlap; what was not drawn is the zone ``REST``.
    overlaps : tuple of (str, str, float)
        Names of two zones drawn over one another, and by how much; the first keeps it. [m2]
    outside : tuple of str
        Zones that lie outside the field.
    """

    zones: tuple[Zone, ...]
    overlaps: tuple[tuple[str, str, float], ...]
    outside: tuple[str, ...]


def nearest_parts(field: BaseGeometry, xy: NDArray[np.float64]) -> list[BaseGeometry]:
    """Cut a field into the parts nearest to each of some points.

    Parameters
    ----------
    field : shapely geometry
        Polygon or several. [m]
    xy : ndarray, shape (n, 2)
        Points, no two in one place. [m]

    Returns
    -------
    list of shapely geometry
        One a point, in their order; empty where no part of the field is nearest to it.
    """
    if len(xy) == 1:
        return [field]
    points = MultiPoint(xy)
    cells = shapely.voronoi_polygons(points, extend_to=field, ordered=True).geoms
    return [polygons(cell.intersection(field)) for cell in cells]


def by_nearest_pit(
    field: BaseGeometry, profiles: Sequence[Profile], xy: NDArray[np.float64]
) -> tuple[Zone, ...]:
    """Make a zone for every pit that is the nearest to some of the field.

    Parameters
    ----------
    field : shapely geometry
        In the frame. [m]
    profiles : sequence of Profile
        The pits, worked out.
    xy : ndarray, shape (n, 2)
        Their places in the frame. [m]
    """
    parts = nearest_parts(field, xy)
    return tuple(
        Zone(profile.pit.name, part, profile)
        for profile, part in zip(profiles, parts, strict=True)
        if part.area >= SLIVER_M2
    )


def as_drawn(
    field: BaseGeometry,
    drawn: Sequence[DrawnZone],
    profiles: Sequence[Profile],
    xy: NDArray[np.float64],
) -> Drawn:
    """Cut drawn zones to the field and give each its pit.

    A zone has the pit it names; one that names none has the pits that lie in it, each for
    the part nearest to it; else none. Where two zones overlap the first keeps the ground.

    Parameters
    ----------
    field : shapely geometry
        In the frame. [m]
    drawn : sequence of DrawnZone
        Their geometry in the frame, and their pits known. [m]
    profiles, xy
        As for ``by_nearest_pit``.
    """
    zones: list[Zone] = []
    overlaps: list[tuple[str, str, float]] = []
    outside: list[str] = []
    left = shapely.set_precision(field, GRID_M)
    taken: list[tuple[str, BaseGeometry]] = []
    for shape in drawn:
        inside = polygons(shapely.intersection(shape.geometry, field, grid_size=GRID_M))
        if inside.area < SLIVER_M2:
            outside.append(shape.name)
            continue
        shared = [(name, float(inside.intersection(other).area)) for name, other in taken]
        overlaps.extend((name, shape.name, area) for name, area in shared if area >= SLIVER_M2)
        mine = polygons(shapely.intersection(inside, left, grid_size=GRID_M))
        left = polygons(shapely.difference(left, inside, grid_size=GRID_M))
        taken.append((shape.name, inside))
        zones.extend(_with_pits(shape, mine, profiles, xy))
    if left.area >= SLIVER_M2:
        zones.append(Zone(REST, left, None))
    return Drawn(tuple(zones), tuple(overlaps), tuple(outside))


def polygons(geometry: BaseGeometry) -> BaseGeometry:
    """Keep the polygons of a cut shape; lines and points that touch are dropped."""
    parts = [part for part in shapely.get_parts(geometry) if part.geom_type == "Polygon"]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _with_pits(
    shape: DrawnZone,
    mine: BaseGeometry,
    profiles: Sequence[Profile],
    xy: NDArray[np.float64],
) -> list[Zone]:
    if mine.area < SLIVER_M2:
        return []
    if shape.pit:
        named = next(profile for profile in profiles if profile.pit.name == shape.pit)
        return [Zone(shape.name, mine, named)]
    inside = np.flatnonzero(shapely.intersects_xy(shape.geometry, xy[:, 0], xy[:, 1])).tolist()
    if len(inside) <= 1:
        return [Zone(shape.name, mine, profiles[inside[0]] if inside else None)]
    parts = nearest_parts(mine, xy[inside])
    return [
        Zone(f"{shape.name}, {profiles[number].pit.name}", part, profiles[number])
        for number, part in zip(inside, parts, strict=True)
        if part.area >= SLIVER_M2
    ]
