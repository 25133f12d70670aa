"""What vine rows do with the sunlight: how much they take, and what falls on each wall.

Rows are hedges with upright walls, long beside their height, all alike, on a plane. The
light comes straight from the sun and evenly from the whole sky; what leaves and ground
throw back, and hills on the horizon, are left out.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.row_model import (
    fruit_sky_share,
    lit_depth_m,
    porous_interception,
    solid_interception,
    wall_sky_share,
)
from aanplant.site.sky import Sky

Numbers = NDArray[np.float64]

LEVEL = (0.0, 0.0)
_NODES = 9
"""Bearings at which the sky on a slope is reckoned; an odd number, so that no wave is lost."""
_SKY_RINGS, _SKY_SECTORS = 16, 48
"""Pieces of sky for its mean; 0.1 per cent from the exact mean of a solid hedge."""


@dataclass(frozen=True, slots=True)
class Hedge:
    """A row of vines in leaf.

    Parameters
    ----------
    row_width_m : float
        From row to row, in plan. [m]
    height_m, width_m : float
        Foliage from foot to top, and from wall to wall. [m]
    leaf_area_index : float, optional
        Leaf area over ground area; a solid hedge when left out. [-]
    fruit_height_m : float
        Of the fruit above the foot of the foliage. [m]
    """

    row_width_m: float
    height_m: float
    width_m: float
    leaf_area_index: float | None = None
    fruit_height_m: float = 0.0

    def interception(self, drop: Numbers, across: Numbers) -> Numbers:
        """Share of direct light taken, see ``row_model``. [-]."""
        shape = {
            "row_width_m": self.row_width_m,
            "canopy_height_m": self.height_m,
            "canopy_width_m": self.width_m,
        }
        if self.leaf_area_index is None:
            return solid_interception(drop, across, **shape)
        return porous_interception(drop, across, leaf_area_index=self.leaf_area_index, **shape)


@dataclass(frozen=True, slots=True)
class RowLight:
    """Light of some days on rows of some bearings.

    Walls are counted from the right of the bearing: 0 looks to bearing + 90 degrees, 1 to
    bearing - 90. Energy is in MJ; that of the ground a square metre of plan, that of a wall
    a square metre of wall.

    Parameters
    ----------
    bearing_deg : ndarray, shape (n_bearings,)
        Of the rows. [deg]
    sky : Sky
        Sun and light.
    beam_share : ndarray, shape (n_bearings, n_days, n_hours)
        Share of the direct light that the rows take. [-]
    sky_share : ndarray, shape (n_bearings,)
        Share of the sky's light that the rows take. [-]
    beam_mj_m2 : ndarray, shape (n_days, n_hours)
        Direct light on the ground without vines. [MJ/m2]
    sky_mj_m2 : ndarray, shape (n_days, n_hours)
        The sky's light on the ground without vines. [MJ/m2]
    wall_mj_m2 : ndarray, shape (n_bearings, 2, n_days, n_hours)
        Direct light on each wall, its mean over the wall's height. [MJ/m2]
    fruit_mj_m2 : ndarray, shape (n_bearings, 2, n_days, n_hours)
        Direct light on each wall at the height of the fruit. [MJ/m2]
    wall_sky_share, fruit_sky_share : float
        Share of the sky's light, as on open ground, on a wall and at the fruit. [-]
    """

    bearing_deg: Numbers
    sky: Sky
    beam_share: Numbers
    sky_share: Numbers
    beam_mj_m2: Numbers
    sky_mj_m2: Numbers
    wall_mj_m2: Numbers
    fruit_mj_m2: Numbers
    wall_sky_share: float
    fruit_sky_share: float

    @property
    def wall_facing_deg(self) -> Numbers:
        """Azimuth each wall looks to, shape (n_bearings, 2). [deg]."""
        return np.asarray((self.bearing_deg[:, None] + [90.0, 270.0]) % 360.0)

    @property
    def west_wall(self) -> NDArray[np.int64]:
        """Which wall looks more to the west, shape (n_bearings,); wall 1 for rows due east."""
        is_right = (self.bearing_deg + 90.0) % 360.0 > 180.0  # noqa: PLR2004 - half a turn
        return np.asarray(np.where(is_right, 0, 1), dtype=np.int64)

    def hourly_share(self) -> Numbers:
        """Share of all light taken, hour by hour, nan at night; axes as ``beam_share``. [-]."""
        taken = self.beam_share * self.beam_mj_m2 + self.sky_share[:, None, None] * self.sky_mj_m2
        given = self.beam_mj_m2 + self.sky_mj_m2
        return np.divide(taken, given, out=np.full_like(taken, np.nan), where=given > 0.0)

    def daily_share(self, *, of: str = "all") -> Numbers:
        """Share of a day's light taken, shape (n_bearings, n_days), nan in polar night. [-].

        ``of`` is "all", or "beam" for the direct light alone.
        """
        return self.share(None, of=of)

    def share(self, days: ArrayLike | None, *, of: str = "all") -> Numbers:
        """Share of the light of several days taken, shape (n_bearings,). [-].

        Parameters
        ----------
        days : array_like, shape (n_days,), or None
            How many days each of the sky's days stands for; None keeps days apart.
        of : {"all", "beam"}
            Direct light and that of the sky, or the direct alone.
        """
        taken = np.einsum("bdh,dh->bd", self.beam_share, self.beam_mj_m2)
        given = self.beam_mj_m2.sum(axis=1)
        if of == "all":
            sky = self.sky_mj_m2.sum(axis=1)
            taken, given = taken + self.sky_share[:, None] * sky, given + sky
        if days is not None:
            taken, given = taken @ np.asarray(days), given @ np.asarray(days)
        share: Numbers = np.divide(taken, given, out=np.full_like(taken, np.nan), where=given > 0.0)
        return share

    def on_walls(self, days: ArrayLike, *, when: str = "day", at: str = "wall") -> Numbers:
        """Direct light on each wall over several days, shape (n_bearings, 2). [MJ/m2].

        Parameters
        ----------
        days : array_like, shape (n_days,)
            How many days each of the sky's days stands for.
        when : {"day", "morning", "afternoon"}
            Parted at true noon.
        at : {"wall", "fruit"}
            Mean of the wall, or at the height of the fruit.
        """
        light = self.wall_mj_m2 if at == "wall" else self.fruit_mj_m2
        late = self.sky.is_afternoon
        hours = {"day": np.ones_like(late), "morning": ~late, "afternoon": late}[when]
        return np.asarray(np.einsum("bwdh,d,h->bw", light, np.asarray(days), hours))


def row_light(
    sky: Sky,
    hedge: Hedge,
    bearing_deg: ArrayLike,
    *,
    gradient: tuple[float, float] = LEVEL,
) -> RowLight:
    """Reckon the light on rows of every bearing over all hours of a sky.

    Parameters
    ----------
    sky : Sky
        Sun and light, see ``sky.clear_sky`` and ``sky.measured_sky``.
    hedge : Hedge
        The row.
    bearing_deg : array_like, shape (n_bearings,)
        Of the rows, clockwise from true north. [deg]
    gradient : tuple of float
        Rise of the ground to the east and to the north. [-]

    Returns
    -------
    RowLight
    """
    bearing = np.atleast_1d(np.asarray(bearing_deg, dtype=np.float64))
    # Axes: bearing, day, hour.
    drop, signed = rays(
        sky.elevation_deg, sky.azimuth_deg, bearing[:, None, None], gradient=gradient
    )
    across = np.abs(signed)
    energy = sky.beam_w_m2 * sky.mj_a_stretch
    depth_m = np.where(drop > 0.0, lit_depth_m(drop, across, hedge.row_width_m, hedge.width_m), 0.0)
    fruit_depth_m = hedge.height_m - hedge.fruit_height_m
    lit = np.minimum(depth_m / hedge.height_m, 1.0)
    is_fruit_lit = depth_m >= fruit_depth_m
    # Axes: bearing, wall, day, hour. A wall gets light from its own side only.
    to_wall = np.maximum(np.stack([signed, -signed], axis=1), 0.0) * energy
    return RowLight(
        bearing_deg=bearing,
        sky=sky,
        beam_share=hedge.interception(drop, across),
        sky_share=sky_interception(hedge, bearing, gradient=gradient),
        beam_mj_m2=np.maximum(drop[0], 0.0) * energy,
        sky_mj_m2=sky.diffuse_w_m2 * sky.mj_a_stretch * open_sky_share(gradient),
        wall_mj_m2=to_wall * lit[:, None],
        fruit_mj_m2=to_wall * is_fruit_lit[:, None],
        wall_sky_share=float(wall_sky_share(hedge.row_width_m, hedge.height_m, hedge.width_m)),
        fruit_sky_share=float(fruit_sky_share(hedge.row_width_m, hedge.width_m, fruit_depth_m)),
    )


def rays(
    elevation_deg: ArrayLike,
    azimuth_deg: ArrayLike,
    bearing_deg: ArrayLike,
    *,
    gradient: tuple[float, float] = LEVEL,
) -> tuple[Numbers, Numbers]:
    """Turn a sun into what rows feel of it: its fall to the ground and its way across.

    Parameters
    ----------
    elevation_deg, azimuth_deg : array_like
        Of the sun. [deg]
    bearing_deg : array_like
        Of the rows. [deg]
    gradient : tuple of float
        Rise of the ground to the east and to the north. [-]

    Returns
    -------
    drop : ndarray
        Fall towards the ground over a length of 1; also the share of the beam's strength
        that falls on a square metre of plan. 0 where the sun is down. [-]
    across : ndarray
        Way square to the rows, positive from the right of the bearing. [-]
    """
    elevation, azimuth = np.radians(elevation_deg), np.radians(azimuth_deg)
    level = np.cos(elevation)
    rise = level * (gradient[0] * np.sin(azimuth) + gradient[1] * np.cos(azimuth))
    drop = np.where(elevation > 0.0, np.sin(elevation) - rise, 0.0)
    across = level * np.sin(azimuth - np.radians(bearing_deg))
    shape = np.broadcast_shapes(drop.shape, across.shape)
    return np.broadcast_to(drop, shape), np.asarray(across)


def sky_interception(
    hedge: Hedge, bearing_deg: ArrayLike, *, gradient: tuple[float, float] = LEVEL
) -> Numbers:
    """Share of a uniform sky's light that rows take, shape (n_bearings,). [-].

    On level ground it is the same for every bearing.
    """
    bearing = np.atleast_1d(np.asarray(bearing_deg, dtype=np.float64))
    if gradient == LEVEL:
        return np.broadcast_to(_sky_at(hedge, np.zeros(1), gradient), bearing.shape)
    nodes = np.arange(_NODES) * 180.0 / _NODES
    if len(bearing) <= _NODES:
        return _sky_at(hedge, bearing, gradient)
    # The share swings evenly through the half turn: few waves carry all of it.
    waves = np.fft.rfft(_sky_at(hedge, nodes, gradient)) / _NODES
    waves[1:] *= 2.0
    turn = np.exp(2j * np.radians(bearing)[:, None] * np.arange(len(waves)))
    return np.asarray((turn @ waves).real)


def open_sky_share(gradient: tuple[float, float]) -> float:
    """Light of a uniform sky on a square metre of plan of a slope, over that on the level. [-].

    (1 + cos slope) / 2 on a square metre of slope, of which there are 1 / cos slope.
    """
    stretch = float(np.sqrt(1.0 + gradient[0] ** 2 + gradient[1] ** 2))
    return (stretch + 1.0) / 2.0


def _sky_at(hedge: Hedge, bearing_deg: Numbers, gradient: tuple[float, float]) -> Numbers:
    elevation, azimuth = _sky_pieces()
    drop, signed = rays(elevation, azimuth, bearing_deg[:, None], gradient=gradient)
    # Pieces of equal share of a level plane's light: weights are drop over sin(elevation).
    weight = np.maximum(drop, 0.0) / np.sin(np.radians(elevation))
    taken = (hedge.interception(drop, np.abs(signed)) * weight).sum(axis=1)
    return np.asarray(taken / weight.sum(axis=1))


def _sky_pieces() -> tuple[Numbers, Numbers]:
    """Elevations and azimuths that each bring the same light to a level plane. [deg]."""
    rings = np.sqrt((np.arange(_SKY_RINGS) + 0.5) / _SKY_RINGS)
    sectors = (np.arange(_SKY_SECTORS) + 0.5) * 360.0 / _SKY_SECTORS
    elevation, azimuth = np.meshgrid(np.degrees(np.arcsin(rings)), sectors, indexing="ij")
    return elevation.ravel(), azimuth.ravel()
