"""The top of the soil, which dries by evaporation, and the root zone's limits.

All functions broadcast over floats and arrays.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

TOP_SOIL_M = 0.10
"""Depth that dries by evaporation: 0.10 to 0.15 m (FAO-56 ch. 7)."""
MM_PER_M = 1000.0
LEAST_EXPOSED = 0.01
"""Some bare soil always meets the sun (FAO-56 eq. 75)."""
STANDARD_DEMAND_MM = 5.0
LEAST_P, MOST_P = 0.1, 0.8
"""Range of the share of water that is easily had (FAO-56 table 22)."""


def total_evaporable_mm(
    field_capacity: ArrayLike, wilting_point: ArrayLike, depth_m: ArrayLike = TOP_SOIL_M
) -> Array:
    """Water that can evaporate from the top soil: TEW. [mm].

    Parameters
    ----------
    field_capacity, wilting_point : array_like
        [m3/m3]
    depth_m : array_like
        Of the layer that dries. [m]

    References
    ----------
    .. [1] FAO-56, eq. 73.
    """
    held = np.asarray(field_capacity) - 0.5 * np.asarray(wilting_point)
    return np.asarray(MM_PER_M * held * np.asarray(depth_m))


def readily_evaporable_mm(total_mm: ArrayLike) -> Array:
    """Part of the water in the top soil that leaves as fast as the air takes it: REW. [mm].

    ``0.2 TEW + 4``, at most 12 and at most 0.8 of all: a line through the middles of
    FAO-56 table 19 for a top soil of 0.10 m (a judgement; the table gives ranges).
    """
    total = np.asarray(total_mm, dtype=np.float64)
    return np.asarray(np.minimum(np.minimum(0.2 * total + 4.0, 12.0), 0.8 * total))


def drying(depleted_mm: ArrayLike, total_mm: ArrayLike, readily_mm: ArrayLike) -> Array:
    """How much slower a drying surface evaporates: Kr, 1 when wet, 0 when dry. [-].

    References
    ----------
    .. [1] FAO-56, eq. 74.
    """
    total = np.asarray(total_mm, dtype=np.float64)
    depleted = np.asarray(depleted_mm, dtype=np.float64)
    left = (total - depleted) / (total - np.asarray(readily_mm, dtype=np.float64))
    return np.asarray(np.clip(left, 0.0, 1.0))


def evaporation_coefficient(
    reduction: ArrayLike, upper: ArrayLike, basal: ArrayLike, exposed: ArrayLike
) -> Array:
    """Return what the soil evaporates over the reference: Ke. [-].

    References
    ----------
    .. [1] FAO-56, eq. 71.
    """
    top = np.asarray(upper, dtype=np.float64)
    drying_share = np.asarray(reduction, dtype=np.float64)
    return np.asarray(
        np.minimum(
            drying_share * (top - np.asarray(basal, dtype=np.float64)), np.asarray(exposed) * top
        )
    )


def exposed_share(cover: ArrayLike, wetted: ArrayLike, *, drip_under_canopy: bool = False) -> Array:
    """Return the share of ground both wet and open to the sun: few. [-].

    Parameters
    ----------
    cover, wetted : array_like
        Shares of the ground that is shaded, and that is wetted. [-]
    drip_under_canopy : bool
        Whether the drippers lie under the leaves, which then shade two thirds of the cover's
        share of what they wet (FAO-56 ch. 7, from memory).

    References
    ----------
    .. [1] FAO-56, eq. 75.
    """
    shade = np.asarray(cover, dtype=np.float64)
    wet = np.asarray(wetted, dtype=np.float64)
    if drip_under_canopy:
        wet = np.where(wet < 1.0, wet * (1.0 - 2.0 / 3.0 * shade), wet)
    return np.clip(np.minimum(1.0 - shade, wet), LEAST_EXPOSED, 1.0)


def available_mm(field_capacity: ArrayLike, wilting_point: ArrayLike, depth_m: ArrayLike) -> Array:
    """Water that roots can take from their depth: TAW. [mm].

    References
    ----------
    .. [1] FAO-56, eq. 82.
    """
    held = np.asarray(field_capacity) - np.asarray(wilting_point)
    return np.asarray(MM_PER_M * held * np.asarray(depth_m))


def easy_share(printed: ArrayLike, demand_mm: ArrayLike) -> Array:
    """Return the share of the available water that is easily had on a day: p. [-].

    ``p + 0.04 (5 - ETc)``: on a day of great demand vines suffer sooner.

    References
    ----------
    .. [1] FAO-56, table 22, note.
    """
    demand = np.asarray(demand_mm, dtype=np.float64)
    value = np.asarray(printed, dtype=np.float64) + 0.04 * (STANDARD_DEMAND_MM - demand)
    return np.asarray(np.clip(value, LEAST_P, MOST_P))


def stress(depleted_mm: ArrayLike, available: ArrayLike, easy: ArrayLike) -> Array:
    """How far a dry root zone closes the leaves: Ks, 1 where water is easily had. [-].

    References
    ----------
    .. [1] FAO-56, eq. 84.
    """
    total = np.asarray(available, dtype=np.float64)
    depleted = np.asarray(depleted_mm, dtype=np.float64)
    left = (total - depleted) / ((1.0 - np.asarray(easy, dtype=np.float64)) * total)
    return np.asarray(np.clip(left, 0.0, 1.0))
