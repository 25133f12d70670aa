"""Reference evapotranspiration of many places and years, beside pyet on an xarray grid."""

import warnings

import numpy as np
import pandas as pd
import pyet
import xarray as xr

from aanplant.site.radiation import clear_sky_radiation, extraterrestrial_radiation
from aanplant.site.weather import reference_evapotranspiration, saturation_vapour_pressure
from aanplant.site.weather_quality import day_of_year
from benchmarks.timing import Result, best_of

SITES, FIRST, LAST, SEED = 1000, "1991-01-01", "2021-01-01", 11
REACH = 4.0
TOLERANCE_MM = 1e-6


def weather():
    """Thirty years of daily weather at a thousand places between 40 and 20 degrees south.

    Radiation is at least 0.31 of a clear sky's: below 0.3 pyet lets clouds count no
    further, which the paper does not.
    """
    noise = np.random.default_rng(SEED)
    day = np.arange(FIRST, LAST, dtype="datetime64[D]")
    shape = (len(day), SITES)
    latitude, height = np.linspace(-40.0, -20.0, SITES), noise.uniform(0.0, 1500.0, SITES)
    days = day_of_year(day)[:, None]
    clear = clear_sky_radiation(extraterrestrial_radiation(latitude, days), height)
    low = noise.uniform(-5.0, 22.0, shape)
    return day, {
        "tmin_c": low,
        "tmax_c": low + noise.uniform(3.0, 18.0, shape),
        "vapour_pressure_kpa": saturation_vapour_pressure(low) * noise.uniform(0.6, 1.0, shape),
        "radiation_mj_m2": noise.uniform(0.31, 1.05, shape) * clear,
        "wind_m_s": noise.uniform(0.5, 6.0, shape),
        "height_m": height,
        "latitude_deg": latitude,
        "day_of_year": days,
    }


def results():
    """Yield one line of the table."""
    day, given = weather()
    axes = {"time": pd.DatetimeIndex(day), "site": np.arange(SITES)}
    grid = {
        name: xr.DataArray(given[name], dims=("time", "site"), coords=axes)
        for name in ("tmin_c", "tmax_c", "vapour_pressure_kpa", "radiation_mj_m2", "wind_m_s")
    }
    places = {
        name: xr.DataArray(values, dims="site", coords={"site": axes["site"]})
        for name, values in (
            ("latitude", np.radians(given["latitude_deg"])),
            ("height", given["height_m"]),
        )
    }

    def ours():
        return reference_evapotranspiration(**given)

    def theirs():
        return pyet.pm_fao56(
            (grid["tmin_c"] + grid["tmax_c"]) / 2.0,
            grid["wind_m_s"],
            rs=grid["radiation_mj_m2"],
            elevation=places["height"],
            lat=places["latitude"],
            tmax=grid["tmax_c"],
            tmin=grid["tmin_c"],
            ea=grid["vapour_pressure_kpa"],
            clip_zero=False,
        )

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        apart = np.abs(theirs().transpose("time", "site").to_numpy() - ours()).max()
        assert apart < TOLERANCE_MM, f"the values differ by up to {apart} mm"
        ours_s, theirs_s = best_of(3, ours, theirs)
    yield Result(
        f"evapotranspiration, {SITES} sites, 30 y",
        "pyet, xarray grid",
        ours_s,
        theirs_s,
        REACH,
        f"{len(day) * SITES / ours_s / 1e6:.0f} M values/s, equal to {apart:.0e} mm",
    )
