"""How much water the roots of a vine can reach, year by year, in each soil of the block."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.profile import Profile
from aanplant.site.texture import WHOLE_PCT
from aanplant.site.zones import Zone
from aanplant.water.evaporation import TOP_SOIL_M, readily_evaporable_mm, total_evaporable_mm

Array = NDArray[np.float64]
SANDY_LOAM = (0.23, 0.10)
"""Field capacity and wilting point of a top soil that no pit tells of (FAO-56 example 35)."""


@dataclass(frozen=True)
class RootedSoil:
    """One soil of the block as roots of each age find it; arrays of shape (n_ages,).

    Parameters
    ----------
    name : str
        Of the zone.
    area_ha : float
        [ha]
    depth_m : ndarray
        To which roots go, never below the soil. [m]
    available_mm : ndarray
        Water they can take from there. [mm]
    evaporable_mm, readily_mm : float
        TEW and REW of the top soil. [mm]
    is_measured : bool
        Whether a pit tells; else the brief's ``demand.water_held`` stands.
    """

    name: str
    area_ha: float
    depth_m: Array
    available_mm: Array
    evaporable_mm: float
    readily_mm: float
    is_measured: bool


def rooted_share(
    root_width_m: ArrayLike, *, row_width_m: float, vine_spacing_m: float
) -> NDArray[np.float64]:
    """Share of the ground that roots fill. [-].

    Roots fill a square around each vine; in the row squares join to a strip, and that
    strip is at most the whole ground.

    Parameters
    ----------
    root_width_m : array_like
        Side of the square. [m]
    row_width_m, vine_spacing_m : float
        [m]
    """
    width = np.asarray(root_width_m, dtype=np.float64)
    along = np.minimum(width / vine_spacing_m, 1.0)
    return np.asarray(along * rooted_across(width, row_width_m=row_width_m))


def rooted_across(root_width_m: ArrayLike, *, row_width_m: float) -> NDArray[np.float64]:
    """Share of the width between rows that roots fill. [-]."""
    return np.asarray(np.minimum(np.asarray(root_width_m, dtype=np.float64) / row_width_m, 1.0))


def by_age(values: Sequence[float], ages: int) -> Array:
    """Stretch a list of the brief to so many ages: its last number holds on. shape (ages,)."""
    kept = list(values[:ages]) + [values[-1]] * max(0, ages - len(values))
    return np.array(kept, dtype=np.float64)


def rooted_soils(
    zones: Sequence[Zone],
    root_depth_m: Array,
    *,
    water_held_mm_m: float,
    area_ha: float,
) -> tuple[RootedSoil, ...]:
    """Say of each soil zone what its roots can reach.

    Parameters
    ----------
    zones : sequence of Zone
        Of the block; one soil by ``water_held_mm_m`` stands where there are none.
    root_depth_m : ndarray, shape (n_ages,)
        Where nothing stops the roots. [m]
    water_held_mm_m : float
        Of a soil that no pit tells of. [mm/m]
    area_ha : float
        Of the block, where there are no zones. [ha]
    """
    found = tuple(_rooted(zone, root_depth_m, water_held_mm_m) for zone in zones)
    return found or (_assumed("", area_ha, root_depth_m, water_held_mm_m),)


def available_to_mm(profile: Profile, depth_m: float) -> float | None:
    """Water available to a depth, or to the soil's own; None when a layer's is not known. [mm].

    Below the last layer that was described the soil is taken to go on as that layer.
    """
    stop = depth_m if profile.depth_m is None else min(depth_m, profile.depth_m)
    if profile.is_deeper:
        stop = depth_m
    total = 0.0
    reached = 0.0
    last: float | None = None
    for layer in profile.layers:
        top, bottom = layer.measured.top_m, min(layer.measured.bottom_m, stop)
        if bottom <= top:
            break
        last = layer.available_mm_m
        if last is None:
            return None
        total += last * (bottom - top)
        reached = bottom
    if last is None:
        return None
    return total + last * max(0.0, stop - reached)


def _rooted(zone: Zone, root_depth_m: Array, water_held_mm_m: float) -> RootedSoil:
    profile = zone.profile
    if profile is None or not profile.layers:
        return _assumed(zone.name, zone.area_ha, root_depth_m, water_held_mm_m)
    reached = [available_to_mm(profile, float(depth)) for depth in root_depth_m]
    water = profile.layers[0].water
    stones = profile.layers[0].stones_volume_pct
    known = [value for value in reached if value is not None and value > 0.0]
    if len(known) < len(reached) or water is None or stones is None:
        return _assumed(zone.name, zone.area_ha, root_depth_m, water_held_mm_m)
    share = 1.0 - stones / WHOLE_PCT
    evaporable = float(
        total_evaporable_mm(water.field_capacity * share, water.wilting_point * share, TOP_SOIL_M)
    )
    own = profile.depth_m
    depth = root_depth_m
    if own is not None and not profile.is_deeper:
        depth = np.minimum(root_depth_m, own)
    return RootedSoil(
        zone.name,
        zone.area_ha,
        np.asarray(depth, dtype=np.float64),
        np.array(known),
        evaporable,
        float(readily_evaporable_mm(evaporable)),
        is_measured=True,
    )


def _assumed(name: str, area_ha: float, root_depth_m: Array, held_mm_m: float) -> RootedSoil:
    evaporable = float(total_evaporable_mm(*SANDY_LOAM))
    return RootedSoil(
        name,
        area_ha,
        root_depth_m,
        root_depth_m * held_mm_m,
        evaporable,
        float(readily_evaporable_mm(evaporable)),
        is_measured=False,
    )
