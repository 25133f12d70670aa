"""Evapotranspiration and seasons beside other people's programs, on their open weather files."""

import warnings

import numpy as np
import pytest

from aanplant.files.weather import read_weather
from aanplant.site import chilling, seasons
from aanplant.site.climate_years import year_table
from aanplant.site.evapotranspiration import daily_demand
from aanplant.site.radiation import daylight_hours, extraterrestrial_radiation
from aanplant.site.weather import (
    hargreaves,
    reference_evapotranspiration,
    saturation_vapour_pressure,
    wind_at_2_m,
)
from aanplant.site.weather_quality import check_weather, day_of_year
from tests.site.open_weather import packaged

CORDOBA_LATITUDE = -31.4


@pytest.fixture(scope="module")
def cordoba():
    return read_weather(packaged("aquacrop", "data", "cordoba_climate.txt"))


@pytest.fixture(scope="module")
def cordoba_years(cordoba):
    return year_table(
        cordoba,
        cordoba.et0_mm,
        latitude_deg=CORDOBA_LATITUDE,
        frost_tmin_c=cordoba.tmin_c,
        thresholds_c=(-1.0, 0.0, 2.0),
    )


@pytest.fixture(scope="module")
def greensboro():
    """A typical year of hours at Greensboro, as days 1 to 365 (open TMY3 file of pvlib)."""
    import pvlib

    hours, _ = pvlib.iotools.read_tmy3(
        packaged("pvlib", "data", "723170TYA.CSV"), map_variables=True
    )
    air = hours["temp_air"].to_numpy().reshape(365, 24)
    dew = hours["temp_dew"].to_numpy().reshape(365, 24).mean(axis=1)
    return {
        "tmin_c": air.min(axis=1),
        "tmax_c": air.max(axis=1),
        "vapour_pressure_kpa": saturation_vapour_pressure(dew),
        "radiation_mj_m2": hours["ghi"].to_numpy().reshape(365, 24).sum(axis=1) * 0.0036,
        "wind_m_s": wind_at_2_m(hours["wind_speed"].to_numpy().reshape(365, 24).mean(axis=1), 10.0),
    }


def by_day_of_year(days, weather):
    return reference_evapotranspiration(
        **weather, height_m=273.0, latitude_deg=36.1, day_of_year=days
    )


@pytest.mark.published(
    source="typical year 723170 (Greensboro) inside pvlib, days of 24 h; pyet 1.5 gives 1125.00 "
    "with its lower bound on Rs/Rso, worked out without it 1126.24",
    quantity="reference evapotranspiration of a year",
    unit="mm",
)
def test_a_typical_year_at_greensboro(published, greensboro):
    found = by_day_of_year(np.arange(1, 366), greensboro)

    published.equal(
        greensboro["radiation_mj_m2"].sum(), printed=5638.331, tolerance=0.0006, label="sun, MJ/m2"
    )
    published.equal(found.sum(), printed=1126.24, tolerance=0.005)
    for day, printed in ((1, 0.7137), (182, 4.3216), (365, 0.5889)):
        published.equal(found[day - 1], printed=printed, tolerance=0.00006, label=f"day {day}")


def test_days_under_a_clear_enough_sky_are_those_of_pyet(greensboro):
    import pandas as pd
    import pyet

    days = pd.date_range("2001-01-01", "2001-12-31")
    series = {name: pd.Series(values, days) for name, values in greensboro.items()}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = pyet.pm_fao56(
            (series["tmin_c"] + series["tmax_c"]) / 2.0,
            series["wind_m_s"],
            rs=series["radiation_mj_m2"],
            elevation=273.0,
            lat=np.radians(36.1),
            tmax=series["tmax_c"],
            tmin=series["tmin_c"],
            ea=series["vapour_pressure_kpa"],
            clip_zero=False,
        ).to_numpy()
    ours = by_day_of_year(np.arange(1, 366), greensboro)

    ra = extraterrestrial_radiation(36.1, np.arange(1, 366))
    clear = greensboro["radiation_mj_m2"] / ((0.75 + 2e-5 * 273.0) * ra)
    bright = clear >= 0.3  # pyet takes Rs/Rso at least as 0.3, which the paper does not
    assert (~bright).sum() == 20
    np.testing.assert_allclose(ours[bright], theirs[bright], atol=1e-6)


@pytest.mark.published(
    source="daily files inside the aquacrop package, whose makers give the evapotranspiration",
    quantity="mean of Hargreaves beside the file",
    unit="",
)
def test_temperature_alone_comes_near_the_files_of_three_places(published):
    for place, latitude, printed in (
        ("tunis", 36.8, 0.957), ("brussels", 50.8, 1.144), ("champion", 41.4, 0.876),
    ):  # fmt: skip
        read = read_weather(packaged("aquacrop", "data", f"{place}_climate.txt"))
        found = hargreaves(read.tmin_c, read.tmax_c, latitude, day_of_year(read.date))

        published.equal(
            found.mean() / read.et0_mm.mean(), printed=printed, tolerance=0.0006, label=place
        )
        assert np.corrcoef(found, read.et0_mm)[0, 1] > 0.94


def column(years, name, year):
    return years.columns[name][list(years.harvest_year).index(year)]


@pytest.mark.published(
    source="calculated from the cordoba file inside the aquacrop package; Huglin and cool night "
    "equal xclim 0.62",
    quantity="southern seasons",
    unit="",
)
def test_seasons_of_a_southern_record(published, cordoba_years):
    for name, first, last, unit in (
        ("degree_days_oct_apr", 2283.895, 2522.435, 0.0005),
        ("degree_days_sep_mar", 2248.015, 2435.250, 0.0005),
        ("huglin", 2751.785, 2968.725, 0.0005),
        ("cool_night_c", 15.8003, 14.973, 0.0005),
        ("warmest_month_c", 22.574, 22.926, 0.0006),
    ):
        for year, printed in ((1992, first), (2021, last)):
            published.equal(
                column(cordoba_years, name, year),
                printed=printed,
                tolerance=unit,
                label=f"{name} {year}",
            )


@pytest.mark.published(
    source="calculated from the cordoba file inside the aquacrop package, harvests 1992 to 2021",
    quantity="means of southern seasons",
    unit="",
)
def test_means_of_a_southern_record(published, cordoba_years):
    kept = (cordoba_years.harvest_year >= 1992) & (cordoba_years.harvest_year <= 2021)

    for name, printed in (
        ("degree_days_oct_apr", 2402.719),
        ("degree_days_sep_mar", 2331.158),
        ("huglin", 2874.792),
        ("cool_night_c", 14.290),
        ("warmest_month_c", 22.997),
    ):
        published.equal(
            cordoba_years.columns[name][kept].mean(), printed=printed, tolerance=0.0006, label=name
        )
    spread = cordoba_years.columns["degree_days_oct_apr"][kept].std(ddof=1)
    published.equal(spread, printed=129.119, tolerance=0.0006, label="spread of heat sums")


@pytest.mark.published(
    source="calculated from files inside the aquacrop package, seasons of the calendar year",
    quantity="northern seasons, first and mean",
    unit="",
)
def test_seasons_of_northern_records(published):
    # Latitude 36.8 for all three, so that Huglin's coefficient is 1 as in the printed values.
    for place, heat, huglin, night in (
        ("tunis", (2583.25, 2786.57), (2790.88, 2977.19), (17.900, 19.627)),
        ("brussels", (1252.90, 1038.36), (1590.17, 1334.64), (10.977, 10.984)),
        ("champion", (1371.71, 1603.88), (1933.87, 2255.19), (7.909, 8.138)),
    ):
        read = read_weather(packaged("aquacrop", "data", f"{place}_climate.txt"))
        years = year_table(
            read, read.et0_mm, latitude_deg=36.8, frost_tmin_c=read.tmin_c, thresholds_c=(0.0,)
        )
        for name, (first, mean) in (
            ("degree_days_oct_apr", heat), ("huglin", huglin), ("cool_night_c", night),
        ):  # fmt: skip
            values = years.columns[name][~np.isnan(years.columns[name])]
            published.equal(
                values[0], printed=first, tolerance=0.0051, label=f"{place} {name}, first"
            )
            published.equal(
                values.mean(), printed=mean, tolerance=0.0051, label=f"{place} {name}, mean"
            )


def test_huglin_and_cool_night_are_those_of_xclim(cordoba, cordoba_years):
    import xarray as xr
    from xclim import indices

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        time = cordoba.date.astype("datetime64[ns]")

        def grid(values):
            return xr.DataArray(
                values,
                dims="time",
                coords={"time": time, "lat": CORDOBA_LATITUDE},
                attrs={"units": "degC"},
            )

        mean = (cordoba.tmin_c + cordoba.tmax_c) / 2.0
        huglin = indices.huglin_index(
            grid(mean),
            grid(cordoba.tmax_c),
            lat=xr.DataArray(CORDOBA_LATITUDE, attrs={"units": "degrees_north"}),
            method="huglin",
            start_date="10-01",
            end_date="04-01",
            freq="YS-JUL",
        )
        nights = indices.cool_night_index(grid(cordoba.tmin_c), lat="south", freq="YS")

    ours = cordoba_years.columns["huglin"]
    theirs = dict(zip(huglin.time.dt.year.to_numpy() + 1, huglin.to_numpy(), strict=True))
    cool = dict(zip(nights.time.dt.year.to_numpy(), nights.to_numpy(), strict=True))
    for index, year in enumerate(cordoba_years.harvest_year):
        if 1992 <= year <= 2021:
            assert ours[index] == pytest.approx(theirs[int(year)], abs=1e-3)
            assert cordoba_years.columns["cool_night_c"][index] == pytest.approx(
                cool[int(year)], abs=1e-3
            )


@pytest.mark.published(
    source="calculated from the cordoba file inside the aquacrop package, days from 1 July",
    quantity="last frost of spring",
    unit="",
)
def test_last_frost_of_a_southern_record(published, cordoba_years):
    for frost, with_frost, quantiles, after in zip(
        cordoba_years.frost,
        (29, 30, 31),
        ((21.8, 49.0, 65.0), (38.3, 58.0, 78.5), (54.0, 71.0, 91.0)),
        (None, 0.3871, 0.7419),
        strict=True,
    ):
        name = f"{frost.threshold_c:g} °C"
        published.equal(
            frost.years_with_frost, printed=with_frost, tolerance=0, label=f"{name}, springs"
        )
        for fraction, printed in zip((0.1, 0.5, 0.9), quantiles, strict=True):
            published.equal(
                frost.quantile(fraction),
                printed=printed,
                tolerance=0.05,
                label=f"{name}, quantile {fraction}",
            )
        if after is not None:
            published.equal(
                frost.probability_from(63),
                printed=after,
                tolerance=0.00005,
                label=f"{name}, part of springs from 1 September",
            )
    assert cordoba_years.frost[1].years == 31
    assert np.nanmax(cordoba_years.frost[1].last_day) == 91
    assert cordoba_years.frost[1].probability_from(93) == 0.0
    assert cordoba_years.frost[2].probability_from(93) == pytest.approx(2 / 31)


@pytest.mark.published(
    source="April to August 1995 of the cordoba file inside the aquacrop package, hours and models "
    "of xclim 0.62",
    quantity="winter cold",
    unit="",
)
def test_winter_cold_of_one_southern_winter(published, cordoba, cordoba_years):
    winter = [
        seasons.of_season(values, cordoba.date[0], seasons.REST, 1996, is_south=True)
        for values in (
            cordoba.tmin_c,
            cordoba.tmax_c,
            daylight_hours(CORDOBA_LATITUDE, day_of_year(cordoba.date)),
        )
    ]
    hours = chilling.hourly_temperature(*winter)

    # xclim reckons the length of the day by another formula; a few hours fall on the other
    # side of an edge: within 1 %.
    published.equal(chilling.utah_units(hours).sum(), printed=556.5, tolerance=6.0, label="Utah")
    published.equal(
        column(cordoba_years, "chill_units", 1996), printed=959.0, tolerance=9.6, label="positive"
    )
    published.equal(
        column(cordoba_years, "chill_portions", 1996),
        printed=53.22,
        tolerance=0.54,
        label="portions",
    )


@pytest.mark.published(
    source="tests of the open xclim package", quantity="chill units of five spells", unit=""
)
def test_chill_units_hour_by_hour(published):
    spells = ((1.1, 10), (2.0, 15), (5.6, 20), (16.0, 10), (20.0, 5))
    hours = np.concatenate([np.full(count, celsius) for celsius, count in spells])
    padded = np.concatenate([hours, np.full(-len(hours) % 24, np.nan)]).reshape(-1, 24)

    published.equal(chilling.utah_units(hours).sum(), printed=17.5, tolerance=0.0)
    published.equal(
        chilling.positive_daily_units(padded), printed=26.0, tolerance=0.0, label="positive"
    )


@pytest.mark.published(
    source="tests of the open xclim package", quantity="chill portions, 0 to 15 °C", unit=""
)
def test_chill_portions_of_a_slow_warming(published):
    found = chilling.chill_portions(np.linspace(0.0, 15.0, 120 * 24))

    published.equal(found, printed=72.24417644977083, tolerance=1e-7)


@pytest.mark.published(
    source="South African technical yearbook 2023 after Jack et al. (2022), six Western Cape sites",
    quantity="heat sum beside 212 × (mean − 10)",
    unit="°C·d",
)
def test_a_steady_season_gives_the_heat_sum_its_mean_temperature_says(published):
    # A whole season at the printed mean; the printed sums differ since means are rounded.
    for site, heat, mean in (
        ("Lutzville", 1942, 19.2), ("Skurfberg", 1935, 19.2), ("Koue Bokkeveld", 1505, 17.1),
        ("Roundstone", 2083, 19.8), ("Polkadraai", 1771, 18.4), ("Hemel en Aarde", 1619, 17.7),
    ):  # fmt: skip
        length = len(seasons.DAYS_OCT_APR.days(2022, is_south=True))
        published.equal(length * (mean - 10.0), printed=heat, tolerance=0.009 * heat, label=site)


@pytest.mark.published(
    source="sums of the files inside the aquacrop package, added up here",
    quantity="evapotranspiration and rain of a whole record",
    unit="mm",
)
def test_whole_records_are_read_without_loss(published):
    for place, demand, rain in (
        ("cordoba", 53405.36, 26874.81),
        ("hyderabad", 18380.40, 10583.60),
        ("tunis", 31023.60, 10623.40),
        ("brussels", 18603.20, 25238.50),
        ("champion", 50341.17, 15312.73),
    ):
        read = read_weather(packaged("aquacrop", "data", f"{place}_climate.txt"))
        checked = check_weather(read, latitude_deg=30.0, height_m=0.0).weather
        kept = daily_demand(checked, latitude_deg=30.0, height_m=0.0, wind_height_m=2.0)

        published.equal(
            read.et0_mm.sum(), printed=demand, tolerance=0.006, label=f"{place}, demand"
        )
        published.equal(read.rain_mm.sum(), printed=rain, tolerance=0.006, label=f"{place}, rain")
        assert kept.given_days == len(checked.date)
