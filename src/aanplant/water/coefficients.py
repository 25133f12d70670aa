"""Crop coefficients of a vine: how much water it takes beside a well-watered lawn.

All functions broadcast; they take floats or arrays and give arrays.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

STANDARD_WIND_M_S, STANDARD_HUMIDITY_PCT = 2.0, 45.0
"""Wind at 2 m and lowest humidity for which coefficients are printed (FAO-56 ch. 6)."""
WIND_RANGE_M_S, HUMIDITY_RANGE_PCT = (1.0, 6.0), (20.0, 80.0)
"""Climates outside these count as their edge (FAO-56 eq. 62)."""
REFERENCE_HEIGHT_M = 3.0
WET_SURFACE = 1.2
"""Coefficient of any wet surface in the standard climate (FAO-56 eq. 72)."""
LEAST_ABOVE_BASAL = 0.05
COVER_PER_DENSITY = 1.5
"""Ground a vine can draw on over the ground it shades, at noon: M_L of Allen and Pereira."""
FULL_VINE_LIMIT = 1.1
"""Vines take no more than this, however dense (Allen and Pereira 2009)."""


def climate_term(
    height_m: ArrayLike,
    wind_m_s: ArrayLike = STANDARD_WIND_M_S,
    least_humidity_pct: ArrayLike = STANDARD_HUMIDITY_PCT,
) -> Array:
    """Return what wind and dry air add to a coefficient. [-].

    ``(0.04 (u2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3``

    Parameters
    ----------
    height_m : array_like
        Of the canopy above the ground. [m]
    wind_m_s : array_like
        At 2 m. [m/s]
    least_humidity_pct : array_like
        Lowest relative humidity of the day. [%]

    References
    ----------
    .. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, eq. 62.
    """
    wind = np.clip(np.asarray(wind_m_s, dtype=np.float64), *WIND_RANGE_M_S)
    humidity = np.clip(np.asarray(least_humidity_pct, dtype=np.float64), *HUMIDITY_RANGE_PCT)
    driver = 0.04 * (wind - STANDARD_WIND_M_S) - 0.004 * (humidity - STANDARD_HUMIDITY_PCT)
    height = np.asarray(height_m, dtype=np.float64)
    return np.asarray(driver * (height / REFERENCE_HEIGHT_M) ** 0.3)


def adjusted(
    printed: ArrayLike, height_m: ArrayLike, wind_m_s: ArrayLike, least_humidity_pct: ArrayLike
) -> Array:
    """Bring a printed coefficient of at least 0.45 to the climate of the place. [-].

    References
    ----------
    .. [1] FAO-56, eq. 62 and 70.
    """
    value = np.asarray(printed, dtype=np.float64)
    moved = value + climate_term(height_m, wind_m_s, least_humidity_pct)
    return np.where(value >= 0.45, moved, value)  # noqa: PLR2004 - the paper's own limit


def upper_limit(
    basal: ArrayLike,
    height_m: ArrayLike,
    wind_m_s: ArrayLike = STANDARD_WIND_M_S,
    least_humidity_pct: ArrayLike = STANDARD_HUMIDITY_PCT,
) -> Array:
    """Most that crop and wet soil can evaporate together: Kc max. [-].

    References
    ----------
    .. [1] FAO-56, eq. 72.
    """
    wet = WET_SURFACE + climate_term(height_m, wind_m_s, least_humidity_pct)
    return np.maximum(wet, np.asarray(basal, dtype=np.float64) + LEAST_ABOVE_BASAL)


def cover_from_coefficient(
    basal: ArrayLike, upper: ArrayLike, height_m: ArrayLike, *, least: float
) -> Array:
    """Return the share of ground a crop covers, from its coefficient: 0 to 0.99. [-].

    References
    ----------
    .. [1] FAO-56, eq. 76.
    """
    low = np.asarray(basal, dtype=np.float64) - least
    share = np.maximum(low / (np.asarray(upper, dtype=np.float64) - least), 0.0)
    return np.clip(share ** (1.0 + 0.5 * np.asarray(height_m, dtype=np.float64)), 0.0, 0.99)


def density(cover: ArrayLike, height_m: ArrayLike) -> Array:
    """How near a thin stand comes to a full one: Kd. [-].

    ``min(1, M_L fc, fc^(1 / (1 + h)))``

    Parameters
    ----------
    cover : array_like
        Share of the ground that the leaves shade at noon. [-]
    height_m : array_like
        [m]

    References
    ----------
    .. [1] Allen, Pereira (2009), Estimating crop coefficients from fraction of ground cover
       and height, Irrigation Science 28: 17-34.
    """
    share = np.asarray(cover, dtype=np.float64)
    if np.any((share < 0.0) | (share > 1.0)):
        raise ValueError("cover must be in [0, 1]")
    tall = share ** (1.0 / (1.0 + np.asarray(height_m, dtype=np.float64)))
    return np.minimum(np.minimum(1.0, COVER_PER_DENSITY * share), tall)


def full_stand(
    height_m: ArrayLike,
    stomatal: ArrayLike,
    wind_m_s: ArrayLike = STANDARD_WIND_M_S,
    least_humidity_pct: ArrayLike = STANDARD_HUMIDITY_PCT,
) -> Array:
    """Basal coefficient of vines that would shade the whole ground: Kcb full. [-].

    ``Fr (min(1 + 0.1 h, 1.2) + climate)``

    Parameters
    ----------
    height_m : array_like
        [m]
    stomatal : array_like
        How open the leaves' pores are beside a well-watered crop's, Fr. [-]
    wind_m_s, least_humidity_pct : array_like
        As for ``climate_term``.

    References
    ----------
    .. [1] Allen, Pereira (2009), eq. 7-8; Fr of vines from an open remote-sensing
       model that takes them from that paper.
    """
    height = np.asarray(height_m, dtype=np.float64)
    open_leaves = np.minimum(1.0 + 0.1 * height, WET_SURFACE)
    whole = open_leaves + climate_term(height, wind_m_s, least_humidity_pct)
    return np.asarray(np.asarray(stomatal, dtype=np.float64) * whole)


def basal_from_cover(
    cover: ArrayLike, height_m: ArrayLike, full: ArrayLike, *, bare_ground: float = 0.0
) -> Array:
    """Basal coefficient of a stand from the ground it shades: Kcb, at most 1.1. [-].

    Parameters
    ----------
    cover, height_m : array_like
        As for ``density``.
    full : array_like
        Coefficient of the full stand.
    bare_ground : float
        Coefficient of the ground between, 0 for the water of the vines alone: what evaporates
        between the rows is no vine's litres.
    """
    stand = bare_ground + density(cover, height_m) * (np.asarray(full) - bare_ground)
    return np.minimum(stand, FULL_VINE_LIMIT)
