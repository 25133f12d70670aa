"""Winter cold that breaks the rest of buds, by two models, from hourly temperatures.

Hours are made from the day's extremes: a sine by day that peaks two hours before
sunset, and a fall with the logarithm of the hours after it (Linvill 1990). Hours are
counted from sunrise, which both models allow.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Values = NDArray[np.float64]

UTAH_EDGES_C = (1.4, 2.4, 9.1, 12.4, 15.9, 17.9)
UTAH_UNITS = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0)
"""Units an hour is worth up to each edge and above the last (Richardson et al. 1974)."""
E0, E1, A0, A1 = 4153.5, 12888.8, 139500.0, 2.567e18
SLOPE, MELTING_K = 1.6, 277.0
"""Constants of the dynamic model (Fishman et al. 1987; Luedeling et al. 2009)."""
KELVIN = 273.15


def hourly_temperature(tmin_c: ArrayLike, tmax_c: ArrayLike, daylight_h: ArrayLike) -> Values:
    """Make hours of days from their extremes.

    Parameters
    ----------
    tmin_c, tmax_c : array_like, shape (..., n_days)
        Extremes of days that follow one another. [°C]
    daylight_h : array_like, shape (..., n_days)
        Hours from sunrise to sunset. [h]

    Returns
    -------
    ndarray, shape (..., n_days, 24)
        Temperature at each hour after sunrise; the last night falls to its own day's
        lowest. [°C]
    """
    low = np.asarray(tmin_c, dtype=np.float64)[..., None]
    high = np.asarray(tmax_c, dtype=np.float64)[..., None]
    light = np.asarray(daylight_h, dtype=np.float64)[..., None]
    next_low = np.concatenate([low[..., 1:, :], low[..., -1:, :]], axis=-2)
    hour = np.arange(24.0)
    by_day = (high - low) * np.sin(np.pi * hour / (light + 4.0)) + low
    at_sunset = (high - low) * np.sin(np.pi * light / (light + 4.0)) + low
    after = np.maximum(hour + 1.0 - light, 1.0)
    fall = np.log(after) / np.log(24.0 - (light - 1.0))
    by_night = at_sunset - (at_sunset - next_low) * fall
    return np.where(hour < light, by_day, by_night)


def utah_units(hourly_c: ArrayLike) -> Values:
    """Units that each hour is worth, shape as the hours; nan counts nothing. [-]."""
    hours = np.asarray(hourly_c, dtype=np.float64)
    units = np.asarray(UTAH_UNITS)[np.searchsorted(UTAH_EDGES_C, hours)]
    return np.where(np.isnan(hours), 0.0, units)


def positive_daily_units(hourly_c: ArrayLike) -> Values:
    """Sum of a season, days with a negative sum counted as 0; hours (..., n_days, 24). [-].

    The form that is used for southern African conditions (Linsley-Noakes et al. 1994).
    """
    return np.asarray(np.maximum(utah_units(hourly_c).sum(axis=-1), 0.0).sum(axis=-1))


def chill_portions(hourly_c: ArrayLike) -> Values:
    """Portions of the dynamic model over hours that follow one another.

    Parameters
    ----------
    hourly_c : array_like, shape (..., n_hours)
        Temperature by the hour, seasons along the leading axes. [°C]

    Returns
    -------
    ndarray, shape (...)
        Portions; nan where an hour is missing. [-]

    References
    ----------
    .. [1] Fishman, Erez, Couvillon (1987), Journal of Theoretical Biology 124: 473-483.
    .. [2] Luedeling, Zhang, Luedeling, Girvetz (2009), Agriculture, Ecosystems and
       Environment 133: 23-31.
    """
    kelvin = np.asarray(hourly_c, dtype=np.float64) + KELVIN
    steep = np.exp(SLOPE * MELTING_K * (kelvin - MELTING_K) / kelvin)
    kept_back = np.moveaxis(steep / (1.0 + steep), -1, 0)
    level = np.moveaxis(A0 / A1 * np.exp((E1 - E0) / kelvin), -1, 0)
    rate = np.moveaxis(np.exp(-A1 * np.exp(-E1 / kelvin)), -1, 0)
    store = np.zeros(kept_back.shape[1:])
    portions = np.zeros_like(store)
    # Along axis 0: the hours, each standing on the one before.
    for hour in range(1, len(kept_back)):
        start = np.where(store < 1.0, store, store * (1.0 - kept_back[hour - 1]))
        store = level[hour] - (level[hour] - start) * rate[hour]
        portions += np.where(store >= 1.0, store * kept_back[hour], 0.0)
    return np.where(np.isnan(kelvin).any(axis=-1), np.nan, portions)
