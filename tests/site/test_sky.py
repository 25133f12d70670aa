"""Sunlight is as strong as others found it, and none is lost when it is parted and spread."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.inputs import DailyWeather
from aanplant.site.frame import Frame
from aanplant.site.radiation import extraterrestrial_radiation
from aanplant.site.sky import (
    clear_sky,
    diffuse_hour_share,
    diffuse_share_of_day,
    diffuse_share_of_hour,
    haurwitz,
    hour_share,
    hours,
    measured_sky,
)
from aanplant.site.sun import sunset_angle_rad
from aanplant.site.sunlight import MID_MONTH_DAYS, monthly_means, survey_sunlight
from aanplant.working import Figures


def on_level_mj_m2(sky):
    """A day's light on level open ground."""
    upright = np.maximum(np.sin(np.radians(sky.elevation_deg)), 0.0)
    return ((sky.beam_w_m2 * upright + sky.diffuse_w_m2) * sky.mj_a_stretch).sum(axis=1)


def weather(**columns):
    """Daily weather of two years in which only what is given is known."""
    date = np.arange("2024-01-01", "2026-01-01", dtype="datetime64[D]")
    names = ("tmin_c", "tmax_c", "rain_mm", "radiation_mj_m2", "wind_m_s", "humidity_min_pct",
             "humidity_max_pct", "humidity_mean_pct", "dew_point_c", "vapour_pressure_kpa",
             "et0_mm")  # fmt: skip
    known = {name: np.full(len(date), np.nan) for name in names} | columns
    return DailyWeather(where="w.csv", date=date, **known)


@pytest.mark.published(
    source="Haurwitz (1945), J. Meteorol. 2: 154-166, through pvlib 0.16.1",
    quantity="sunlight of a clear sky", unit="W/m2",
)  # fmt: skip
def test_sunlight_of_a_clear_sky_by_the_height_of_the_sun(published):
    for zenith, printed, tolerance in (
        (0.0, 1035.0, 0.5), (20.0, 968.0, 1.0), (50.11162, 642.25, 0.005), (60.0, 487.0, 1.0),
        (80.0, 135.0, 1.0),
    ):  # fmt: skip
        # Whole watts of the printed table are partly cut off, not rounded.
        published.equal(
            haurwitz(90.0 - zenith),
            printed=printed,
            tolerance=tolerance,
            label=f"zenith {zenith:g}°",
        )


@pytest.mark.published(
    source="Haurwitz (1945) over the day at 33.93° S, suns by the NREL algorithm",
    quantity="sunlight of a clear day", unit="MJ/m2",
)  # fmt: skip
def test_sunlight_of_the_longest_and_the_shortest_clear_day(published):
    sky = clear_sky(-33.93, [355, 172], hours(288))

    total = on_level_mj_m2(sky)

    # Our typical year is half a day off the year of the printed sums.
    published.equal(total[0], printed=31.48, tolerance=0.02, label="21 December")
    published.equal(total[1], printed=11.46, tolerance=0.03, label="21 June")


def test_an_hour_is_parted_as_pvlib_parts_it():
    from pvlib.irradiance import erbs

    clearness = np.linspace(0.01, 1.0, 50)
    above = 1361.5  # pvlib's sun above the air, near enough for the shares
    zenith = 40.0
    theirs = erbs(clearness * above * np.cos(np.radians(zenith)), zenith, 93)

    ours = diffuse_share_of_hour(theirs["kt"])

    given_w_m2 = clearness * above * np.cos(np.radians(zenith))
    np.testing.assert_allclose(ours, theirs["dhi"] / given_w_m2, atol=1e-12)


@pytest.mark.published(
    source="Duffie and Beckman, Solar Engineering of Thermal Processes, example of St. Louis,"
    " 3 September, 23.0 MJ/m2 (from memory)",
    quantity="share of a day's sunlight that comes from the sky", unit="",
)  # fmt: skip
def test_a_september_day_at_st_louis(published):
    share = diffuse_share_of_day(0.69, np.radians(95.7))

    published.equal(share, printed=0.26, tolerance=0.005)


@given(day=st.integers(1, 365), latitude=st.floats(-60.0, 60.0))
def test_the_hours_of_a_day_add_up_to_it(day, latitude):
    sunset = sunset_angle_rad(day, latitude)
    minutes = hours(1440)

    assert diffuse_hour_share(minutes, sunset).sum() / 60.0 == pytest.approx(1.0, abs=2e-3)
    # Collares-Pereira and Rabl fitted theirs: a per cent is left over.
    assert hour_share(minutes, sunset).sum() / 60.0 == pytest.approx(1.0, abs=0.02)


@given(latitude=st.floats(-60.0, 60.0), day=st.integers(1, 365), clearness=st.floats(0.0, 0.85))
def test_measured_light_is_neither_lost_nor_made(latitude, day, clearness):
    daily = clearness * extraterrestrial_radiation(latitude, [day])

    sky = measured_sky(latitude, [day], hours(), daily)

    assert on_level_mj_m2(sky)[0] == pytest.approx(daily[0], rel=1e-9, abs=1e-9)
    assert (sky.beam_w_m2 >= 0.0).all()
    assert (sky.diffuse_w_m2 >= 0.0).all()


def test_a_dull_day_has_a_smaller_share_of_direct_light_than_a_clear_one():
    dull, clear = measured_sky(-33.9, [355, 355], hours(), [10.0, 30.0]).beam_w_m2.max(axis=1)

    assert dull < 0.2 * clear


def test_more_light_than_comes_in_above_the_air_is_refused():
    with pytest.raises(ValueError, match="daily sunlight"):
        measured_sky(-33.9, [172], hours(), [30.0])


def test_months_take_the_mean_of_their_measured_days():
    radiation = np.full(731, 12.0)
    radiation[:5] = np.nan
    radiation[5] = 400.0

    means = monthly_means(weather(radiation_mj_m2=radiation), -33.9)

    assert means == pytest.approx(np.full(12, 12.0))


def test_too_few_measured_days_leave_a_clear_sky():
    radiation = np.full(731, np.nan)
    radiation[:300] = 12.0

    light = survey_sunlight(weather(radiation_mj_m2=radiation), Frame(19.0, -33.9))

    assert not light.is_measured
    assert survey_sunlight(None, Frame(19.0, -33.9)).monthly_mj_m2 is None
    np.testing.assert_array_equal(
        light.sky(MID_MONTH_DAYS).beam_w_m2, clear_sky(-33.9, MID_MONTH_DAYS, hours()).beam_w_m2
    )


def test_measured_months_make_the_sky_of_their_days():
    radiation = np.full(731, 12.0)
    light = survey_sunlight(weather(radiation_mj_m2=radiation), Frame(19.0, -33.9))

    assert on_level_mj_m2(light.sky(MID_MONTH_DAYS)) == pytest.approx(np.full(12, 12.0))
    figures = Figures(light.figures)
    assert figures.value("site.measured_sunlight") == pytest.approx(12.0 * 365)
    assert figures.value("site.day_length_longest") > figures.value("site.day_length_shortest")
