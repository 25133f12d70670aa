"""Reference evapotranspiration by the hour, to check the daily form against.

FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), eq. 28-33, 39, 45, 46 and 53.
"""

import numpy as np
from numpy.typing import ArrayLike

from aanplant.site.radiation import (
    ALBEDO,
    KELVIN,
    SOLAR_CONSTANT_MJ_M2_MIN,
    STEFAN_BOLTZMANN_MJ_K4_M2_D,
    Floats,
    declination_rad,
    inverse_distance,
    sunset_angle_rad,
)
from aanplant.site.weather import penman_monteith, saturation_vapour_pressure

DAY_SOIL_HEAT, NIGHT_SOIL_HEAT = 0.1, 0.5
"""Heat into the soil as a fraction of net radiation."""


def seasonal_correction_h(day_of_year: ArrayLike) -> Floats:
    """Difference of solar from clock time over the year (eq. 32). [h]."""
    angle = 2.0 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 81.0) / 364.0
    return np.asarray(0.1645 * np.sin(2.0 * angle) - 0.1255 * np.cos(angle) - 0.025 * np.sin(angle))


def solar_angle_rad(
    clock_h: ArrayLike, day_of_year: ArrayLike, *, longitude_west_deg: float, zone_west_deg: float
) -> Floats:
    """Hour angle of the sun, 0 at its noon (eq. 31). [rad].

    Parameters
    ----------
    clock_h : array_like
        Middle of the hour by the clock. [h]
    day_of_year : array_like
        1 on 1 January.
    longitude_west_deg, zone_west_deg : float
        Of the place and of the middle of its time zone, counted west of Greenwich. [deg]
    """
    shift = 0.06667 * (zone_west_deg - longitude_west_deg) + seasonal_correction_h(day_of_year)
    return np.pi / 12.0 * (np.asarray(clock_h, dtype=np.float64) + shift - 12.0)


def extraterrestrial_radiation_of_hour(
    latitude_deg: float, day_of_year: ArrayLike, middle_rad: ArrayLike
) -> Floats:
    """Radiation on a level plane at the top of the air in an hour (eq. 28). [MJ/m2]."""
    latitude, sun = np.radians(latitude_deg), declination_rad(day_of_year)
    sunset = sunset_angle_rad(latitude_deg, day_of_year)
    middle = np.asarray(middle_rad, dtype=np.float64)
    first = np.clip(middle - np.pi / 24.0, -sunset, sunset)
    last = np.clip(middle + np.pi / 24.0, -sunset, sunset)
    height = (last - first) * np.sin(latitude) * np.sin(sun) + (
        np.cos(latitude) * np.cos(sun) * (np.sin(last) - np.sin(first))
    )
    minutes = 12.0 * 60.0 / np.pi
    return np.asarray(minutes * SOLAR_CONSTANT_MJ_M2_MIN * inverse_distance(day_of_year) * height)


def net_longwave_of_hour(
    temperature_c: ArrayLike, vapour_pressure_kpa: ArrayLike, clearness: ArrayLike
) -> Floats:
    """Heat that leaves towards the sky in an hour; ``clearness`` is Rs/Rso. [MJ/m2]."""
    warm = np.asarray(temperature_c, dtype=np.float64) + KELVIN
    cloud = 1.35 * np.minimum(np.asarray(clearness, dtype=np.float64), 1.0) - 0.35
    humid = 0.34 - 0.14 * np.sqrt(np.asarray(vapour_pressure_kpa, dtype=np.float64))
    return STEFAN_BOLTZMANN_MJ_K4_M2_D / 24.0 * warm**4 * humid * cloud


def net_radiation_of_hour(radiation_mj_m2: ArrayLike, longwave_mj_m2: ArrayLike) -> Floats:
    """Radiation taken up less heat that leaves. [MJ/m2]."""
    return (1.0 - ALBEDO) * np.asarray(radiation_mj_m2, dtype=np.float64) - np.asarray(
        longwave_mj_m2, dtype=np.float64
    )


def soil_heat_of_hour(net_radiation_mj_m2: ArrayLike, *, by_day: bool) -> Floats:
    """Heat into the soil in an hour (eq. 45, 46). [MJ/m2]."""
    fraction = DAY_SOIL_HEAT if by_day else NIGHT_SOIL_HEAT
    return fraction * np.asarray(net_radiation_mj_m2, dtype=np.float64)


def reference_evapotranspiration_of_hour(
    temperature_c: ArrayLike,
    *,
    vapour_pressure_kpa: ArrayLike,
    available_energy_mj_m2: ArrayLike,
    wind_m_s: ArrayLike,
    psychrometric_kpa_c: ArrayLike,
) -> Floats:
    """Reckon reference evapotranspiration of an hour (eq. 53). [mm]."""
    deficit = saturation_vapour_pressure(temperature_c) - np.asarray(vapour_pressure_kpa)
    return penman_monteith(
        temperature_c,
        available_energy_mj_m2=available_energy_mj_m2,
        deficit_kpa=deficit,
        wind_m_s=wind_m_s,
        psychrometric_kpa_c=psychrometric_kpa_c,
        numerator=37.0,
    )
