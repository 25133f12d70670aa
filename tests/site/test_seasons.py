"""Seasons: the same in both hemispheres half a year apart, in leap years, by harvest year."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site import heat, seasons
from aanplant.site.climate_years import year_table
from aanplant.site.frost import day_of_spring, month_day, spring_frost
from aanplant.site.trend import linear_trend
from tests.site.open_weather import made_up

CONSTANT_IDENTITY = "identities of constant weather, 15 to 25 °C, days counted by hand"


def table(weather, latitude, thresholds=(0.0,)):
    return year_table(
        weather,
        weather.et0_mm,
        latitude_deg=latitude,
        frost_tmin_c=weather.tmin_c,
        thresholds_c=thresholds,
    )


@pytest.mark.parametrize(
    ("season", "first", "last", "days"),
    [
        (seasons.DAYS_OCT_APR, "2022-10-01", "2023-04-30", 212),
        (seasons.DAYS_OCT_MAR, "2022-10-01", "2023-03-31", 182),
        (seasons.DAYS_SEP_MAR, "2022-09-01", "2023-03-31", 212),
        (seasons.RIPENING, "2023-03-01", "2023-03-31", 31),
        (seasons.WARMEST, "2023-02-01", "2023-02-28", 28),
        (seasons.REST, "2022-04-01", "2022-08-31", 153),
        (seasons.SPRING, "2022-07-01", "2022-12-31", 184),
        (seasons.YEAR, "2022-05-01", "2023-04-30", 365),
    ],
)
def test_southern_seasons_bear_the_year_of_their_harvest(season, first, last, days):
    found = season.days(2023, is_south=True)

    assert (str(found[0]), str(found[-1]), len(found)) == (first, last, days)


@pytest.mark.parametrize(
    ("season", "first", "last"),
    [
        (seasons.DAYS_OCT_APR, "2023-04-01", "2023-10-31"),
        (seasons.DAYS_OCT_MAR, "2023-04-01", "2023-09-30"),
        (seasons.DAYS_SEP_MAR, "2023-03-01", "2023-09-30"),
        (seasons.RIPENING, "2023-09-01", "2023-09-30"),
        (seasons.WARMEST, "2023-08-01", "2023-08-31"),
        (seasons.REST, "2022-10-01", "2023-02-28"),
        (seasons.SPRING, "2023-01-01", "2023-06-30"),
        (seasons.YEAR, "2022-11-01", "2023-10-31"),
    ],
)
def test_northern_seasons_lie_six_months_later(season, first, last):
    found = season.days(2023, is_south=False)

    assert (str(found[0]), str(found[-1])) == (first, last)


@pytest.mark.published(
    source=CONSTANT_IDENTITY, quantity="heat sum of constant weather", unit="°C·d"
)
def test_constant_weather_gives_the_sums_its_days_say(published):
    found = table(made_up("2021-07-01", "2023-07-01", 15.0, 25.0), -33.6)

    place = list(found.harvest_year).index(2023)
    for name, printed in (
        ("degree_days_oct_apr", 2120.0), ("degree_days_sep_mar", 2120.0), ("huglin", 2275.0),
    ):  # fmt: skip
        published.equal(found.columns[name][place], printed=printed, tolerance=1e-9, label=name)


def test_a_leap_year_gives_one_day_more():
    found = table(made_up("2022-07-01", "2024-07-01", 15.0, 25.0), -33.6)

    heat_sum = dict(zip(found.harvest_year, found.columns["degree_days_oct_apr"], strict=True))
    assert heat_sum[2024] - heat_sum[2023] == pytest.approx(10.0)


@given(st.integers(0, 2**32 - 1))
def test_the_other_hemisphere_half_a_year_later_gives_the_same_indices(seed):
    """The same months, moved by six, hold the same weather day by day of the month."""
    noise = np.random.default_rng(seed)
    monthly = noise.uniform(0.0, 18.0, 12)

    def month_of(day):
        return day.astype("datetime64[M]").astype(int) % 12

    south = made_up(
        "2019-01-01", "2023-01-01", lambda day: monthly[month_of(day)],
        lambda day: monthly[month_of(day)] + 10.0, rain_mm=lambda day: monthly[month_of(day)] / 5.0,
        et0_mm=lambda day: monthly[month_of(day)] / 4.0,
    )  # fmt: skip
    north = made_up(
        "2019-01-01", "2023-01-01", lambda day: monthly[(month_of(day) + 6) % 12],
        lambda day: monthly[(month_of(day) + 6) % 12] + 10.0,
        rain_mm=lambda day: monthly[(month_of(day) + 6) % 12] / 5.0,
        et0_mm=lambda day: monthly[(month_of(day) + 6) % 12] / 4.0,
    )  # fmt: skip

    ours, theirs = table(south, -35.0), table(north, 35.0)
    for name in ("cool_night_c", "warmest_month_c"):
        assert ours.mean(name) == pytest.approx(theirs.mean(name))
    # Half a year apart months differ in length, by 8 days over a season; none is warmer than 28 °C.
    for name, limit in (
        ("season_c", 8 * 18 / 212),
        ("degree_days_oct_apr", 8 * 18),
        ("huglin", 8 * 18),
    ):
        assert ours.mean(name) == pytest.approx(theirs.mean(name), abs=limit)


def test_a_season_that_is_not_whole_gives_no_figure():
    found = table(made_up("2022-11-01", "2023-07-01", 15.0, 25.0), -33.6)

    assert np.isnan(found.columns["degree_days_oct_apr"]).all()
    assert found.known("cool_night_c") == 1


def test_a_few_missing_days_count_as_the_mean_day():
    weather = made_up("2022-07-01", "2023-07-01", 15.0, 25.0)
    weather.tmin_c[150:155] = np.nan

    assert table(weather, -33.6).mean("degree_days_oct_apr") == pytest.approx(2120.0)


@pytest.mark.parametrize(
    ("latitude", "coefficient"),
    [(-33.6, 1.0), (40.0, 1.0), (41.0, 1.02), (45.0, 1.04), (49.9, 1.06)],
)
def test_huglin_counts_longer_days_in_steps(latitude, coefficient):
    assert heat.huglin_coefficient(latitude) == coefficient


def test_huglin_is_not_defined_beyond_fifty_degrees():
    assert np.isnan(heat.huglin_coefficient(-51.0))


def test_dryness_by_hand():
    """200 mm, no rain, 150 mm of demand a month: 200 - 150 (.1 + .3 + 4 × .5) = -160 mm."""
    demand = {10: 31, 11: 30, 12: 31, 1: 31, 2: 28, 3: 31}

    def daily(day):
        month = day.astype("datetime64[M]").astype(int) % 12 + 1
        return np.array([150.0 / demand.get(int(one), 30) for one in month])

    weather = made_up("2022-07-01", "2023-07-01", 12.0, 25.0, rain_mm=0.0, et0_mm=daily)

    found = heat.dryness_index(
        weather.rain_mm, weather.et0_mm, weather.date[0], 2023, is_south=True
    )
    assert found == pytest.approx(-160.0)


@pytest.mark.parametrize(
    ("index", "value", "name"),
    [
        ("degree_days_oct_apr", 1914.0, "region III"),  # Stellenbosch in a handbook: III
        ("degree_days_oct_apr", 800.0, "too cool"),
        ("huglin", 2100.0, "temperate"),
        ("cool_night_c", 14.0, "cool nights"),
        ("dryness_mm", -100.0, "very dry"),
        ("chill_units", 900.0, "ample"),
        ("huglin", float("nan"), ""),
    ],
)
def test_a_value_falls_in_its_class(index, value, name):
    assert heat.class_of(index, value) == name


def test_last_frost_counts_leap_days_and_years_without_any():
    weather = made_up("2018-01-01", "2026-01-01", 8.0, 18.0)
    for year in (2019, 2020, 2022, 2023):
        weather.tmin_c[weather.date == np.datetime64(f"{year}-08-15")] = -0.5
    weather.tmin_c[weather.date == np.datetime64("2024-03-15")] = -2.0

    south = spring_frost(
        weather.tmin_c, weather.date[0], range(2019, 2027), threshold_c=0.0, is_south=True
    )
    north = spring_frost(
        weather.tmin_c, weather.date[0], range(2018, 2026), threshold_c=0.0, is_south=False
    )

    assert (south.years, south.years_with_frost) == (8, 4)
    assert south.quantile(0.5) == 46.0
    assert south.probability_from(46) == 0.5
    assert south.probability_from(47) == 0.0
    assert north.years_with_frost == 1
    assert np.nanmax(north.last_day) == 31 + 29 + 15


def test_quantiles_of_few_springs_are_refused():
    weather = made_up("2020-01-01", "2023-01-01", -1.0, 18.0)
    few = spring_frost(
        weather.tmin_c, weather.date[0], (2021, 2022, 2023), threshold_c=0.0, is_south=True
    )

    with pytest.raises(ValueError, match="springs"):
        few.quantile(0.5)
    with pytest.raises(ValueError, match="springs"):
        few.probability_from(60)


@given(st.integers(1, 180), st.booleans())
def test_days_of_spring_go_there_and_back(day, is_south):
    assert day_of_spring(month_day(day, is_south=is_south), is_south=is_south) == day


@given(st.floats(-2.0, 2.0), st.integers(10, 40))
def test_a_straight_line_is_found_again(slope, count):
    years = np.arange(1990, 1990 + count)

    found = linear_trend(years, 5.0 + slope * (years - 2000))

    assert found is not None
    assert found.per_decade == pytest.approx(10.0 * slope, abs=1e-9)


def test_the_range_of_a_trend_is_that_of_a_statistics_package():
    from scipy.stats import linregress, t

    noise = np.random.default_rng(5)
    years = np.arange(1995, 2020)
    values = 2000.0 + 3.0 * (years - 2000) + noise.normal(0.0, 60.0, len(years))

    found = linear_trend(years, values)
    theirs = linregress(years, values)

    assert found is not None
    reach = t.ppf(0.975, len(years) - 2) * theirs.stderr
    assert found.per_decade == pytest.approx(10 * theirs.slope)
    assert found.high == pytest.approx(10 * (theirs.slope + reach))


def test_nine_years_give_no_trend():
    assert linear_trend(range(9), range(9)) is None
