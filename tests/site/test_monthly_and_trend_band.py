"""Mean months and the band of a trend, as the site report draws them."""

import numpy as np
import pytest
from scipy.stats import linregress

from aanplant.site.monthly import by_month
from aanplant.site.trend import linear_trend
from aanplant.site.trend_band import trend_band


def test_a_month_of_steady_rain_adds_up_to_its_days():
    day = np.arange("2019-01-01", "2023-01-01", dtype="datetime64[D]")
    steady = np.full(len(day), 2.0)

    months = by_month(day, steady, steady, steady, steady)

    assert months.rain_mm[[0, 3]] == pytest.approx([62.0, 60.0])
    assert months.rain_mm[1] == pytest.approx((3 * 56.0 + 58.0) / 4)  # one leap year in four
    assert months.years == 4
    assert months.tmax_c == pytest.approx(np.full(12, 2.0))


def test_a_month_with_many_days_missing_does_not_count():
    day = np.arange("2020-01-01", "2022-01-01", dtype="datetime64[D]")
    rain = np.where(day < np.datetime64("2021-01-01"), 1.0, 3.0)
    rain[5:20] = np.nan

    months = by_month(day, rain, rain, rain, rain)

    assert months.rain_mm[0] == pytest.approx(93.0)
    assert months.rain_mm[2] == pytest.approx(62.0)


def test_the_band_is_narrowest_in_the_middle_and_agrees_with_the_trend():
    years = np.arange(2005.0, 2025.0)
    values = 1800.0 + 8.0 * (years - 2005.0) + np.random.default_rng(1).normal(0, 40, len(years))

    band = trend_band(years, values)

    fit = linregress(years, values)
    width = band.high - band.low
    assert band.line == pytest.approx(fit.intercept + fit.slope * band.year)
    assert width.argmin() in {9, 10}
    assert (width > 0).all()
    # At the mean year only the spread of the residuals counts: t·s/√n on either side.
    rest = values - fit.intercept - fit.slope * years
    spread = np.sqrt(rest @ rest / 18)
    assert np.interp(years.mean(), band.year, width) / 2 == pytest.approx(
        2.1009 * spread / np.sqrt(20), rel=0.01
    )
    assert linear_trend(years, values).per_decade == pytest.approx(
        10.0 * (band.line[1] - band.line[0])
    )


def test_few_years_have_no_band():
    assert trend_band([2001, 2002, 2003], [1.0, 2.0, np.nan]) is None
