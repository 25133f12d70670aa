"""How much water a soil holds for the vines, from its texture, organic matter and stones."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.texture import WHOLE_PCT

Array = NDArray[np.float64]
PARTICLE_DENSITY_T_M3 = 2.65
"""Density of soil grains and stones (Saxton and Rawls 2006)."""
LARGEST_CLAY_PCT = 60.0
LARGEST_ORGANIC_MATTER_PCT = 8.0
"""Beyond these the soils behind the equations end (Saxton and Rawls 2006, from memory)."""
LOOSEST, DENSEST = 0.9, 1.3
"""Range of the density factor: bulk density over that of the soil undisturbed (from memory)."""
_TENSION_RATIO = math.log(1500.0 / 33.0)


@dataclass(frozen=True, slots=True)
class WaterContents:
    """Water that the fine earth of a soil holds; numpy arrays of the shape that was asked.

    Parameters
    ----------
    wilting_point, field_capacity, saturation : ndarray
        At 1500 kPa, at 33 kPa, and full of water. [m3/m3]
    conductivity_mm_h : ndarray
        Saturated hydraulic conductivity. [mm/h]
    bulk_density_t_m3 : ndarray
        Of the fine earth, dry. [t/m3]
    is_in_range : ndarray of bool
        Whether the equations were made for such a soil and give water contents in order.
    """

    wilting_point: Array
    field_capacity: Array
    saturation: Array
    conductivity_mm_h: Array
    bulk_density_t_m3: Array
    is_in_range: NDArray[np.bool_]

    @property
    def available(self) -> Array:
        """Water between field capacity and wilting point. [m3/m3]."""
        return self.field_capacity - self.wilting_point


def water_contents(
    sand_pct: ArrayLike, clay_pct: ArrayLike, organic_matter_pct: ArrayLike
) -> WaterContents:
    """Estimate water contents of a soil as it lies, neither loosened nor compacted.

    Parameters
    ----------
    sand_pct, clay_pct, organic_matter_pct : array_like
        Of the fine earth, by weight, of shapes that broadcast. [%]

    Returns
    -------
    WaterContents
        Where ``is_in_range`` is false the numbers are not to be used.

    Raises
    ------
    ValueError
        If sand and clay are no shares of a whole, or organic matter is negative.

    References
    ----------
    .. [1] Saxton, Rawls (2006), Soil Water Characteristic Estimates by Texture and Organic
       Matter for Hydrologic Solutions, Soil Sci. Soc. Am. J. 70: 1569-1578, eq. 1-5, 16-18.
    """
    sand, clay, matter = (
        np.asarray(value, dtype=np.float64) for value in (sand_pct, clay_pct, organic_matter_pct)
    )
    if not np.all((sand >= 0) & (clay >= 0) & (sand + clay <= WHOLE_PCT + 1e-6) & (matter >= 0)):
        raise ValueError("sand and clay must be shares that add to at most 100, matter not below 0")
    s, c, om = sand / WHOLE_PCT, clay / WHOLE_PCT, matter
    dry = (
        -0.024 * s + 0.487 * c + 0.006 * om
        + 0.005 * s * om - 0.013 * c * om + 0.068 * s * c + 0.031
    )  # fmt: skip
    wilting_point = dry + 0.14 * dry - 0.02
    moist = (
        -0.251 * s + 0.195 * c + 0.011 * om
        + 0.006 * s * om - 0.027 * c * om + 0.452 * s * c + 0.299
    )  # fmt: skip
    field_capacity = moist + 1.283 * moist**2 - 0.374 * moist - 0.015
    loose = (
        0.278 * s + 0.034 * c + 0.022 * om
        - 0.018 * s * om - 0.027 * c * om - 0.584 * s * c + 0.078
    )  # fmt: skip
    saturation = field_capacity + loose + 0.636 * loose - 0.107 - 0.097 * s + 0.043
    in_order = (
        (wilting_point > 0) & (field_capacity > wilting_point) & (saturation > field_capacity)
    )
    return WaterContents(
        wilting_point,
        field_capacity,
        saturation,
        _conductivity_mm_h(wilting_point, field_capacity, saturation),
        PARTICLE_DENSITY_T_M3 * (1.0 - saturation),
        in_order & (clay <= LARGEST_CLAY_PCT) & (om <= LARGEST_ORGANIC_MATTER_PCT),
    )


def at_density(natural: WaterContents, bulk_density_t_m3: ArrayLike) -> WaterContents:
    """Allow for a measured bulk density: a compacted soil has fewer large pores.

    Parameters
    ----------
    natural : WaterContents
        Of the soil as its texture would have it.
    bulk_density_t_m3 : array_like
        As measured, of the fine earth. [t/m3]

    Returns
    -------
    WaterContents
        Out of range where the density is not 0.9 to 1.3 times the natural one.

    References
    ----------
    .. [1] Saxton, Rawls (2006), eq. 7-10.
    """
    density = np.asarray(bulk_density_t_m3, dtype=np.float64)
    factor = density / natural.bulk_density_t_m3
    saturation = 1.0 - density / PARTICLE_DENSITY_T_M3
    field_capacity = natural.field_capacity - 0.2 * (natural.saturation - saturation)
    wilting_point = natural.wilting_point + np.zeros_like(field_capacity)
    in_order = (field_capacity > wilting_point) & (saturation > field_capacity)
    return WaterContents(
        wilting_point,
        field_capacity,
        saturation,
        _conductivity_mm_h(wilting_point, field_capacity, saturation),
        density,
        natural.is_in_range & in_order & (factor >= LOOSEST) & (factor <= DENSEST),
    )


def stones_by_volume_pct(
    stones_weight_pct: ArrayLike, bulk_density_t_m3: ArrayLike
) -> NDArray[np.float64]:
    """Turn stones by weight into stones by volume of the whole soil.

    Parameters
    ----------
    stones_weight_pct : array_like
        Share of the dry weight of the whole soil, below 100. [%]
    bulk_density_t_m3 : array_like
        Of the fine earth between the stones. [t/m3]

    References
    ----------
    .. [1] Saxton, Rawls (2006), eq. 19.
    """
    weight = np.asarray(stones_weight_pct, dtype=np.float64) / WHOLE_PCT
    ratio = np.asarray(bulk_density_t_m3, dtype=np.float64) / PARTICLE_DENSITY_T_M3
    return np.asarray(WHOLE_PCT * ratio * weight / (1.0 - weight * (1.0 - ratio)))


def bulk_density_with_stones_t_m3(
    bulk_density_t_m3: ArrayLike, stones_volume_pct: ArrayLike
) -> NDArray[np.float64]:
    """Return the dry density of fine earth and stones together (Saxton and Rawls, eq. 20)."""
    stones = np.asarray(stones_volume_pct, dtype=np.float64) / WHOLE_PCT
    density = np.asarray(bulk_density_t_m3, dtype=np.float64)
    return np.asarray(density * (1.0 - stones) + PARTICLE_DENSITY_T_M3 * stones)


def available_with_stones(
    available: ArrayLike, stones_volume_pct: ArrayLike
) -> NDArray[np.float64]:
    """Return available water of the whole soil, stones holding none (eq. 21). [m3/m3]."""
    stones = np.asarray(stones_volume_pct, dtype=np.float64) / WHOLE_PCT
    return np.asarray(np.asarray(available, dtype=np.float64) * (1.0 - stones))


def conductivity_with_stones(stones_volume_pct: ArrayLike) -> NDArray[np.float64]:
    """Return the conductivity of a stony soil over that of its fine earth. [-].

    References
    ----------
    .. [1] Peck, Watson (1979), as Saxton and Rawls (2006), eq. 22.
    """
    stones = np.asarray(stones_volume_pct, dtype=np.float64) / WHOLE_PCT
    return np.asarray(2.0 * (1.0 - stones) / (2.0 + stones))


def _conductivity_mm_h(wilting_point: Array, field_capacity: Array, saturation: Array) -> Array:
    """Return the saturated conductivity; nan where the contents are not in order."""
    with np.errstate(invalid="ignore", divide="ignore"):
        slope = np.log(field_capacity / wilting_point) / _TENSION_RATIO
        return np.asarray(1930.0 * (saturation - field_capacity) ** (3.0 - slope))
