"""From a depth of water to litres, hours, sets and flow: what a dripper system must give.

Plain arithmetic; all functions broadcast over floats and arrays.
"""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

LEACHING_COUNTS = 0.1
"""Smaller leaching needs are met by what drains anyway (Keller and Bliesner, from memory)."""
M3_PER_HA_MM = 10.0
SQUARE_METRES_PER_HA = 10_000.0
LITRES_PER_M3 = 1000.0


def drip_transpiration_mm(conventional_peak_mm: ArrayLike, shaded_pct: ArrayLike) -> Array:
    """Peak use under drip, from that of a full crop and the ground it shades. [mm/d].

    ``0.1 Ud sqrt(Pd)``: a check on ``vine_demand``, which reckons from cover and height.

    Parameters
    ----------
    conventional_peak_mm : array_like
        Peak evapotranspiration of the crop watered all over, Ud. [mm/d]
    shaded_pct : array_like
        Ground shaded at noon, Pd. [%]

    References
    ----------
    .. [1] Keller, Bliesner (1990), Sprinkle and Trickle Irrigation, ch. 19, from memory.
    """
    return np.asarray(0.1 * np.asarray(conventional_peak_mm) * np.sqrt(np.asarray(shaded_pct)))


def gross_mm(net_mm: ArrayLike, uniformity: float, leaching: float = 0.0) -> Array:
    """Water to give so that the worst watered vines get their share. [mm].

    Parameters
    ----------
    net_mm : array_like
        What the vines use. [mm]
    uniformity : float
        Emission uniformity, 0 < EU <= 1. [-]
    leaching : float
        Share that must drain to carry salt away; counts above 0.1. [-]

    Raises
    ------
    ValueError
        If a share is outside its range.
    """
    if not 0.0 < uniformity <= 1.0 or not 0.0 <= leaching < 1.0:
        raise ValueError(f"uniformity in (0, 1], leaching in [0, 1): {uniformity}, {leaching}")
    kept = 1.0 - leaching if leaching > LEACHING_COUNTS else 1.0
    return np.asarray(np.asarray(net_mm) / (uniformity * kept))


def hours_for(depth_mm: ArrayLike, rate_mm_h: ArrayLike) -> Array:
    """Hours to run for a depth over the ground. [h]."""
    return np.asarray(np.asarray(depth_mm) / np.asarray(rate_mm_h))


def sets_in_a_day(hours_available: float, hours_each: float) -> int:
    """Return the most sets that can run one after another in a day; 0 if not one can. [sets]."""
    if hours_each <= 0.0:
        raise ValueError(f"hours_each must be above 0, got {hours_each}")
    return math.floor(hours_available / hours_each + 1e-9)


def set_flow_m3_h(
    area_ha: float,
    sets: int,
    flow_lph: float,
    emitters_per_vine: float,
    area_per_vine_m2: float,
) -> float:
    """Flow of one of some equal sets. [m3/h].

    Parameters
    ----------
    area_ha : float
        Of all sets. [ha]
    sets : int
        How many share it.
    flow_lph : float
        Of one emitter. [L/h]
    emitters_per_vine : float
        [-]
    area_per_vine_m2 : float
        [m2]
    """
    vines = area_ha / sets * SQUARE_METRES_PER_HA / area_per_vine_m2
    return vines * emitters_per_vine * flow_lph / LITRES_PER_M3


def most_net_depth_mm(
    allowed_depletion: float, wetted: float, held_mm_m: float, root_depth_m: float
) -> float:
    """Most water worth giving at once: what the wetted root zone may lack. [mm].

    Parameters
    ----------
    allowed_depletion, wetted : float
        Share of the available water that may go, and of the ground that is wetted. [-]
    held_mm_m : float
        Available water. [mm/m]
    root_depth_m : float
        [m]
    """
    return allowed_depletion * wetted * held_mm_m * root_depth_m


def longest_interval_d(depth_mm: float, use_mm_d: float) -> float:
    """Days that a depth lasts; endless where nothing is used. [d]."""
    return math.inf if use_mm_d <= 0.0 else depth_mm / use_mm_d
