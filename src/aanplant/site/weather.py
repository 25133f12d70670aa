"""How much water a grass reference would use: evapotranspiration by FAO-56.

One formula a function, as FAO Irrigation and Drainage Paper 56 (Allen et al. 1998)
prints them in chapters 3 and 4; temperatures in °C, pressures in kPa, energy in MJ/m2.
"""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.radiation import (
    ALBEDO,
    KELVIN,
    STEFAN_BOLTZMANN_MJ_K4_M2_D,
    clear_sky_radiation,
    extraterrestrial_radiation,
)

Floats = NDArray[np.float64]

BLOCK = 32_768
"""Values worked on at once: they and all that is made of them stay in the processor's cache."""
DEFAULT_WIND_M_S = 2.0
"""Where wind was not measured: the mean of over 2,000 stations (FAO-56)."""
LATENT_HEAT_INVERSE = 0.408
"""Millimetres that a MJ/m2 evaporates."""


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def saturation_vapour_pressure(temperature_c: ArrayLike) -> Floats:
    """Vapour pressure of saturated air (FAO-56 eq. 11). [kPa]."""
    celsius = _floats(temperature_c)
    return np.asarray(0.6108 * np.exp(17.27 * celsius / (celsius + 237.3)))


def mean_saturation_vapour_pressure(tmin_c: ArrayLike, tmax_c: ArrayLike) -> Floats:
    """Mean over a day, of its extremes and never of its mean temperature (eq. 12). [kPa]."""
    return (saturation_vapour_pressure(tmax_c) + saturation_vapour_pressure(tmin_c)) / 2.0


def saturation_slope(temperature_c: ArrayLike) -> Floats:
    """Slope of the saturation vapour pressure (eq. 13). [kPa/°C]."""
    celsius = _floats(temperature_c)
    return 4098.0 * saturation_vapour_pressure(celsius) / (celsius + 237.3) ** 2


def air_pressure(height_m: ArrayLike) -> Floats:
    """Mean pressure of the air at a height above sea level (eq. 7). [kPa]."""
    return np.asarray(101.3 * ((293.0 - 0.0065 * _floats(height_m)) / 293.0) ** 5.26)


def psychrometric_constant(pressure_kpa: ArrayLike) -> Floats:
    """Psychrometric constant (eq. 8). [kPa/°C]."""
    return 0.665e-3 * _floats(pressure_kpa)


def vapour_pressure_from_humidity(
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    humidity_min_pct: ArrayLike,
    humidity_max_pct: ArrayLike,
) -> Floats:
    """Vapour pressure from the extremes of relative humidity (eq. 17). [kPa]."""
    dawn = saturation_vapour_pressure(tmin_c) * _floats(humidity_max_pct)
    noon = saturation_vapour_pressure(tmax_c) * _floats(humidity_min_pct)
    return (dawn + noon) / 200.0


def vapour_pressure_from_mean_humidity(
    tmin_c: ArrayLike, tmax_c: ArrayLike, humidity_mean_pct: ArrayLike
) -> Floats:
    """Vapour pressure from the mean relative humidity (eq. 19). [kPa]."""
    return mean_saturation_vapour_pressure(tmin_c, tmax_c) * _floats(humidity_mean_pct) / 100.0


def vapour_pressure_from_psychrometer(
    wet_c: ArrayLike, dry_c: ArrayLike, pressure_kpa: ArrayLike, *, coefficient: float = 0.000662
) -> Floats:
    """Vapour pressure from a wet and a dry bulb (eq. 15, 16). [kPa].

    The coefficient is that of a ventilated psychrometer.
    """
    drop = _floats(dry_c) - _floats(wet_c)
    return saturation_vapour_pressure(wet_c) - coefficient * _floats(pressure_kpa) * drop


def wind_at_2_m(wind_m_s: ArrayLike, measured_at_m: ArrayLike) -> Floats:
    """Wind at 2 m above short grass from wind at another height (eq. 47). [m/s]."""
    return _floats(wind_m_s) * 4.87 / np.log(67.8 * _floats(measured_at_m) - 5.42)


def monthly_soil_heat(mean_c: float, before_c: float, *, after_c: float | None = None) -> float:
    """Heat into the soil in a month, a day (eq. 43; eq. 44 without the month after). [MJ/m2]."""
    return 0.14 * (mean_c - before_c) if after_c is None else 0.07 * (after_c - before_c)


def hargreaves(
    tmin_c: ArrayLike, tmax_c: ArrayLike, latitude_deg: ArrayLike, day_of_year: ArrayLike
) -> Floats:
    """Estimate reference evapotranspiration from temperature alone (eq. 52). [mm/d]."""
    low, high = _floats(tmin_c), _floats(tmax_c)
    spread = np.sqrt(np.maximum(high - low, 0.0))
    ra = extraterrestrial_radiation(latitude_deg, day_of_year)
    return 0.0023 * ((low + high) / 2.0 + 17.8) * spread * ra * LATENT_HEAT_INVERSE


def penman_monteith(
    temperature_c: ArrayLike,
    *,
    available_energy_mj_m2: ArrayLike,
    deficit_kpa: ArrayLike,
    wind_m_s: ArrayLike,
    psychrometric_kpa_c: ArrayLike,
    numerator: float = 900.0,
) -> Floats:
    """FAO Penman-Monteith from its parts (eq. 6; 37 in place of 900 by the hour, eq. 53). [mm].

    Parameters
    ----------
    temperature_c : array_like
        Mean temperature. [°C]
    available_energy_mj_m2 : array_like
        Net radiation less heat into the soil. [MJ/m2]
    deficit_kpa : array_like
        Saturation less actual vapour pressure. [kPa]
    wind_m_s : array_like
        At 2 m. [m/s]
    psychrometric_kpa_c : array_like
        Psychrometric constant. [kPa/°C]
    numerator : float
        900 by the day, 37 by the hour.
    """
    slope, psychrometric = saturation_slope(temperature_c), _floats(psychrometric_kpa_c)
    wind = _floats(wind_m_s)
    aerodynamic = numerator / (_floats(temperature_c) + 273.0) * wind * _floats(deficit_kpa)
    energy = LATENT_HEAT_INVERSE * slope * _floats(available_energy_mj_m2)
    return (energy + psychrometric * aerodynamic) / (slope + psychrometric * (1.0 + 0.34 * wind))


def reference_evapotranspiration(
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    *,
    vapour_pressure_kpa: ArrayLike,
    radiation_mj_m2: ArrayLike,
    wind_m_s: ArrayLike,
    height_m: ArrayLike,
    latitude_deg: ArrayLike,
    day_of_year: ArrayLike,
) -> Floats:
    """Daily reference evapotranspiration of grass (FAO-56 eq. 6).

    Rs/Rso is taken at most as 1 and has no lower bound, as the paper prints it; heat
    into the soil is 0 by the day. Large arrays are worked on in blocks along their
    leading axes, days by preference: the sun is reckoned once a day and place.

    Parameters
    ----------
    tmin_c, tmax_c : array_like
        Lowest and highest temperature. [°C]
    vapour_pressure_kpa : array_like
        Actual vapour pressure. [kPa]
    radiation_mj_m2 : array_like
        Solar radiation. [MJ/m2]
    wind_m_s : array_like
        Mean wind at 2 m. [m/s]
    height_m : array_like
        Above sea level. [m]
    latitude_deg : array_like
        Negative in the south. [deg]
    day_of_year : array_like
        1 on 1 January.

    Returns
    -------
    ndarray
        Evapotranspiration, of the shape all inputs broadcast to; nan where an input is. [mm/d]

    References
    ----------
    .. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56.
    """
    height, latitude, days = (_floats(one) for one in (height_m, latitude_deg, day_of_year))
    values = [_floats(one) for one in (tmin_c, tmax_c, vapour_pressure_kpa, radiation_mj_m2)]
    values += [_floats(wind_m_s), psychrometric_constant(air_pressure(height))]
    asked = np.broadcast_shapes(*(one.shape for one in values), latitude.shape, days.shape)
    shape = asked or (1,)
    clear, row = _clear_sky(latitude, height, days, len(shape))
    result = np.empty(shape)
    for where in _blocks(shape):
        if row is None:
            sky = _part(clear, where)
        else:
            sky = _part(clear[row[where[0]]], (slice(None), *where[1:]))
        size = result[where].shape
        parts = [np.broadcast_to(_part(one, where), size) for one in values]
        result[where] = _one_block(parts, sky)
    return result.reshape(asked)


def _clear_sky(
    latitude: Floats, height: Floats, days: Floats, axes: int
) -> tuple[Floats, NDArray[np.intp] | None]:
    """Clear-sky radiation, once for each day of the year where axis 0 is the days alone.

    Returns
    -------
    tuple
        Radiation, and the row of it for each index of axis 0; None where it broadcasts.
    """
    by_day = axes > 0 and days.ndim == axes and days.size == days.shape[0] > 1
    fixed = by_day and all(one.ndim < axes or one.shape[0] == 1 for one in (latitude, height))
    if not fixed:
        return clear_sky_radiation(extraterrestrial_radiation(latitude, days), height), None
    unique, row = np.unique(days.ravel(), return_inverse=True)
    ra = extraterrestrial_radiation(latitude, unique.reshape(-1, *[1] * (axes - 1)))
    return clear_sky_radiation(ra, height), row


def _blocks(shape: tuple[int, ...]) -> Iterator[tuple[slice, ...]]:
    """Cut an array into pieces of at most about ``BLOCK`` values."""
    whole = tuple(slice(None) for _ in shape)
    if math.prod(shape) <= BLOCK:
        yield whole
        return
    inner = math.prod(shape[1:])
    if inner <= BLOCK:
        step = BLOCK // inner
        for start in range(0, shape[0], step):
            yield (slice(start, start + step), *whole[1:])
        return
    for index in range(shape[0]):
        for rest in _blocks(shape[1:]):
            yield (slice(index, index + 1), *rest)


def _part(values: Floats, where: tuple[slice, ...]) -> Floats:
    """Piece of an array that broadcasts against the whole."""
    own = where[len(where) - values.ndim :]
    return values[
        tuple(
            slice(None) if size == 1 else piece
            for size, piece in zip(values.shape, own, strict=True)
        )
    ]


def _one_block(values: list[Floats], clear: Floats) -> Floats:
    """FAO-56 eq. 6 with as few passes over the values as it takes; the same formulas as above."""
    tmin, tmax, ea, radiation, wind, gamma = values
    mean = (tmin + tmax) * 0.5
    to_pole = mean + 237.3
    slope = np.exp(17.27 * mean / to_pole)
    slope *= 0.6108 * 4098.0
    to_pole *= to_pole
    slope /= to_pole
    deficit = np.exp(17.27 * tmax / (tmax + 237.3))
    deficit += np.exp(17.27 * tmin / (tmin + 237.3))
    deficit *= 0.5 * 0.6108
    deficit -= ea

    warm, cold = tmax + KELVIN, tmin + KELVIN
    warm *= warm
    warm *= warm
    cold *= cold
    cold *= cold
    warm += cold
    with np.errstate(divide="ignore", invalid="ignore"):
        cloud = radiation / clear
    cloud = np.where(clear > 0.0, cloud, 0.5) if not np.all(clear > 0.0) else cloud
    np.minimum(cloud, 1.0, out=cloud)
    cloud *= 1.35
    cloud -= 0.35
    cloud *= warm
    cloud *= 0.34 - 0.14 * np.sqrt(ea)
    cloud *= STEFAN_BOLTZMANN_MJ_K4_M2_D / 2.0
    energy = (1.0 - ALBEDO) * radiation
    energy = energy - cloud
    energy *= LATENT_HEAT_INVERSE
    energy = energy * slope

    deficit = deficit * (900.0 * gamma)
    deficit = deficit * wind
    deficit = deficit / (mean + 273.0)
    energy += deficit
    slope = slope + gamma * (1.0 + 0.34 * wind)
    return energy / slope
