"""Weather files that come inside open packages, and seasons made up from one rule."""

import importlib.util
from pathlib import Path

import numpy as np

from aanplant.inputs import DailyWeather


def packaged(package, *parts):
    """Path of a data file of an installed package, which is not imported."""
    spec = importlib.util.find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent.joinpath(*parts)


def made_up(first, last, tmin_c, tmax_c, **columns):
    """Weather from day to day; each column a number or a function of the days."""
    day = np.arange(first, last, dtype="datetime64[D]")
    given = {"tmin_c": tmin_c, "tmax_c": tmax_c, **columns}

    def column(name):
        value = given.get(name, np.nan)
        return np.array(value(day) if callable(value) else np.full(len(day), value), dtype=float)

    names = (
        "tmin_c", "tmax_c", "rain_mm", "radiation_mj_m2", "wind_m_s", "humidity_min_pct",
        "humidity_max_pct", "humidity_mean_pct", "dew_point_c", "vapour_pressure_kpa", "et0_mm",
    )  # fmt: skip
    return DailyWeather("weather.csv", day, **{name: column(name) for name in names})
