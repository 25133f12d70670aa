"""Weather laid out year beside year: leap days, gaps, hemispheres."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from aanplant.brief import parse_brief
from aanplant.inputs import DailyWeather
from aanplant.site.climate import survey_climate
from aanplant.site.frame import Frame
from aanplant.water.years import water_years

BRIEF = '[block]\nboundary = "b.gpx"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
NAMES = (
    "tmin_c", "tmax_c", "rain_mm", "radiation_mj_m2", "wind_m_s", "humidity_min_pct",
    "humidity_max_pct", "humidity_mean_pct", "dew_point_c", "vapour_pressure_kpa", "et0_mm",
)  # fmt: skip


def record(latitude=-33.6, lost=slice(0, 0)):
    """Eleven years of an open weather file of the package aquacrop, some days lost."""
    spec = importlib.util.find_spec("aquacrop")
    path = Path(spec.origin).parent / "data" / "cordoba_climate.txt"
    table = np.loadtxt(path, skiprows=1)[: 11 * 365 + 3]
    day = np.array([f"{y:04.0f}-{m:02.0f}-{d:02.0f}" for d, m, y in table[:, :3]])
    columns = dict.fromkeys(NAMES, np.full(len(day), np.nan))
    columns.update(tmin_c=table[:, 3], tmax_c=table[:, 4], rain_mm=table[:, 5], et0_mm=table[:, 6])
    columns["rain_mm"] = columns["rain_mm"].copy()
    columns["rain_mm"][lost] = np.nan
    weather = DailyWeather("weather.csv", day.astype("datetime64[D]"), **columns)
    frame = Frame(19.3, latitude, 300.0)
    return survey_climate(parse_brief(BRIEF, "brief.toml"), weather, frame, 5.0).record


def test_years_hold_the_days_of_the_record_and_29_february_only_when_there_is_one():
    kept = record()
    found = water_years(kept, wind_height_m=2.0)

    assert found.harvest_year.tolist() == list(range(1992, 2002))
    assert found.is_day.sum(axis=0).tolist() == [
        366 if year % 4 == 0 else 365 for year in found.harvest_year
    ]
    assert found.month[0] == 5
    day = kept.checked.weather.date
    inside = (day >= np.datetime64("1991-05-01")) & (day < np.datetime64("2001-05-01"))
    assert found.et0_mm.sum() == pytest.approx(kept.demand.et0_mm[inside].sum())
    assert found.rain_mm.sum() == pytest.approx(kept.checked.weather.rain_mm[inside].sum())
    at = found.place("02-29")
    assert found.et0_mm[at, 1] == 0.0
    assert found.et0_mm[at, 4] > 0.0


def test_a_northern_year_runs_from_november():
    found = water_years(record(latitude=40.0), wind_height_m=2.0)

    assert found.month[0] == 11
    assert not found.is_south


def test_a_year_with_too_many_days_lost_is_left_out_and_few_are_filled():
    all_years = water_years(record(), wind_height_m=2.0)
    few = water_years(record(lost=slice(500, 510)), wind_height_m=2.0)
    many = water_years(record(lost=slice(500, 560)), wind_height_m=2.0)

    assert few.years == all_years.years
    assert few.filled_days == 10
    assert many.years == all_years.years - 1
    assert 1993 not in many.harvest_year


def test_without_a_whole_year_there_is_nothing_to_lay_out():
    assert water_years(record(lost=slice(0, 5000)), wind_height_m=2.0) is None
