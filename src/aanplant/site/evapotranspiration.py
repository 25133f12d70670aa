"""Reference evapotranspiration of every day of a record, and what had to be assumed for it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.inputs import DailyWeather
from aanplant.site.radiation import (
    COASTAL,
    INLAND,
    extraterrestrial_radiation,
    radiation_or_estimate,
)
from aanplant.site.weather import (
    DEFAULT_WIND_M_S,
    reference_evapotranspiration,
    saturation_vapour_pressure,
    vapour_pressure_from_humidity,
    vapour_pressure_from_mean_humidity,
    wind_at_2_m,
)
from aanplant.site.weather_quality import day_of_year

Values = NDArray[np.float64]


@dataclass(frozen=True)
class DailyDemand:
    """Reference evapotranspiration by the day, and on how many days something was assumed.

    Parameters
    ----------
    et0_mm : ndarray, shape (n,)
        By FAO-56; as the file gives it where it has evapotranspiration but not all that
        the formula needs; nan without temperatures. [mm]
    given_days : int
        Days taken from the file.
    humidity_days, wind_days, radiation_days : int
        Days on which the formula ran with the dew point taken as the day's lowest
        temperature, wind as 2 m/s, radiation from the range of temperature.
    """

    et0_mm: Values
    given_days: int
    humidity_days: int
    wind_days: int
    radiation_days: int


def daily_demand(
    weather: DailyWeather,
    *,
    latitude_deg: float,
    height_m: float,
    wind_height_m: float,
    near_coast: bool = False,
) -> DailyDemand:
    """Reckon reference evapotranspiration for every day of a checked record.

    Parameters
    ----------
    weather : DailyWeather
        Every day once, faults taken out.
    latitude_deg, height_m : float
        Where it was measured. [deg, m]
    wind_height_m : float
        Height of the wind gauge. [m]
    near_coast : bool
        Whether the sea makes the air, for radiation from temperature.
    """
    day = day_of_year(weather.date)
    tmin, tmax = weather.tmin_c, weather.tmax_c
    vapour = measured_vapour_pressure(weather)
    wind = wind_at_2_m(weather.wind_m_s, wind_height_m)
    missing = [np.isnan(one) for one in (vapour, wind, weather.radiation_mj_m2)]
    ra = extraterrestrial_radiation(latitude_deg, day)
    computed = reference_evapotranspiration(
        tmin,
        tmax,
        vapour_pressure_kpa=np.where(missing[0], saturation_vapour_pressure(tmin), vapour),
        radiation_mj_m2=radiation_or_estimate(
            weather.radiation_mj_m2, tmin, tmax, ra, adjustment=COASTAL if near_coast else INLAND
        ),
        wind_m_s=np.where(missing[1], DEFAULT_WIND_M_S, wind),
        height_m=height_m,
        latitude_deg=latitude_deg,
        day_of_year=day,
    )
    whole = ~(missing[0] | missing[1] | missing[2])
    given = ~np.isnan(weather.et0_mm) & ~(whole & ~np.isnan(computed))
    ran = ~given & ~np.isnan(computed)
    return DailyDemand(
        np.where(given, weather.et0_mm, np.maximum(computed, 0.0)),
        int(given.sum()),
        *(int((one & ran).sum()) for one in missing),
    )


def measured_vapour_pressure(weather: DailyWeather) -> Values:
    """Vapour pressure by the best that was measured each day, nan where nothing was. [kPa].

    In this order: vapour pressure, dew point, both extremes of humidity, its mean.
    """
    tmin, tmax = weather.tmin_c, weather.tmax_c
    found = vapour_pressure_from_mean_humidity(tmin, tmax, weather.humidity_mean_pct)
    for better in (
        vapour_pressure_from_humidity(
            tmin, tmax, weather.humidity_min_pct, weather.humidity_max_pct
        ),
        saturation_vapour_pressure(weather.dew_point_c),
        weather.vapour_pressure_kpa,
    ):
        found = np.where(np.isnan(better), found, better)
    return found
