"""Sun and sky by day: what reaches the top of the air, the ground, and what leaves it again.

Formulas of FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), chapter 3.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

SOLAR_CONSTANT_MJ_M2_MIN = 0.0820
ALBEDO = 0.23
"""Of the grass reference (FAO-56)."""
STEFAN_BOLTZMANN_MJ_K4_M2_D = 4.903e-9
KELVIN = 273.16
"""As FAO-56 writes 0 °C in its longwave formula."""
INLAND, COASTAL = 0.16, 0.19
"""Adjustment of the radiation found from the range of temperature (FAO-56 eq. 50). [°C^-0.5]"""


def _floats(values: ArrayLike) -> Floats:
    return np.asarray(values, dtype=np.float64)


def inverse_distance(day_of_year: ArrayLike) -> Floats:
    """Inverse relative distance from the earth to the sun. [-]."""
    return np.asarray(1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * _floats(day_of_year)))


def declination_rad(day_of_year: ArrayLike) -> Floats:
    """Declination of the sun. [rad]."""
    return np.asarray(0.409 * np.sin(2.0 * np.pi / 365.0 * _floats(day_of_year) - 1.39))


def sunset_angle_rad(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Hour angle of the sun at sunset; 0 in the polar night, pi in the polar day. [rad]."""
    latitude = np.radians(_floats(latitude_deg))
    cosine = -np.tan(latitude) * np.tan(declination_rad(day_of_year))
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def daylight_hours(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Hours from sunrise to sunset. [h]."""
    return np.asarray(24.0 / np.pi * sunset_angle_rad(latitude_deg, day_of_year))


def extraterrestrial_radiation(latitude_deg: ArrayLike, day_of_year: ArrayLike) -> Floats:
    """Radiation on a level plane at the top of the air in a day. [MJ/m2]."""
    latitude = np.radians(_floats(latitude_deg))
    sun, sunset = declination_rad(day_of_year), sunset_angle_rad(latitude_deg, day_of_year)
    height = sunset * np.sin(latitude) * np.sin(sun) + (
        np.cos(latitude) * np.cos(sun) * np.sin(sunset)
    )
    minutes = 24.0 * 60.0 / np.pi
    return np.asarray(minutes * SOLAR_CONSTANT_MJ_M2_MIN * inverse_distance(day_of_year) * height)


def solar_from_sunshine(
    ra_mj_m2: ArrayLike, sunshine_h: ArrayLike, daylight_h: ArrayLike
) -> Floats:
    """Radiation on the ground from hours of bright sunshine (Angstrom). [MJ/m2]."""
    return (0.25 + 0.5 * _floats(sunshine_h) / _floats(daylight_h)) * _floats(ra_mj_m2)


def solar_from_temperature(
    ra_mj_m2: ArrayLike, tmin_c: ArrayLike, tmax_c: ArrayLike, *, adjustment: float = INLAND
) -> Floats:
    """Radiation on the ground from the range of temperature (Hargreaves). [MJ/m2]."""
    spread = np.maximum(_floats(tmax_c) - _floats(tmin_c), 0.0)
    return adjustment * np.sqrt(spread) * _floats(ra_mj_m2)


def radiation_or_estimate(
    radiation_mj_m2: ArrayLike,
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    ra_mj_m2: ArrayLike,
    *,
    adjustment: float = INLAND,
) -> Floats:
    """Radiation as measured, from the range of temperature where it is missing. [MJ/m2]."""
    given = _floats(radiation_mj_m2)
    estimate = solar_from_temperature(ra_mj_m2, tmin_c, tmax_c, adjustment=adjustment)
    return np.where(np.isnan(given), np.minimum(estimate, _floats(ra_mj_m2)), given)


def clear_sky_radiation(ra_mj_m2: ArrayLike, height_m: ArrayLike) -> Floats:
    """Radiation on the ground under a clear sky. [MJ/m2]."""
    return (0.75 + 2e-5 * _floats(height_m)) * _floats(ra_mj_m2)


def net_shortwave(radiation_mj_m2: ArrayLike) -> Floats:
    """Radiation that the grass takes up. [MJ/m2]."""
    return (1.0 - ALBEDO) * _floats(radiation_mj_m2)


def net_longwave(
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    vapour_pressure_kpa: ArrayLike,
    radiation_mj_m2: ArrayLike,
    clear_sky_mj_m2: ArrayLike,
) -> Floats:
    """Heat that leaves the grass towards the sky in a day. [MJ/m2].

    The cloud factor takes Rs/Rso at most as 1, as FAO-56 has it; where the sun doesn't
    rise the sky is taken as half clear (judgement).
    """
    warm, cold = _floats(tmax_c) + KELVIN, _floats(tmin_c) + KELVIN
    emitted = STEFAN_BOLTZMANN_MJ_K4_M2_D * (warm**4 + cold**4) / 2.0
    clear, measured = _floats(clear_sky_mj_m2), _floats(radiation_mj_m2)
    ratio = np.divide(
        measured, clear, out=np.full(np.broadcast(measured, clear).shape, 0.5), where=clear > 0.0
    )
    cloud = 1.35 * np.minimum(ratio, 1.0) - 0.35
    humid = 0.34 - 0.14 * np.sqrt(_floats(vapour_pressure_kpa))
    return np.asarray(emitted * humid * cloud)
