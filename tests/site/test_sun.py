"""The sun stands where others reckon it, through the year and on both halves of the earth."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site.radiation import (
    SOLAR_CONSTANT_MJ_M2_MIN,
    declination_rad,
    extraterrestrial_radiation,
    inverse_distance,
)
from aanplant.site.sun import (
    day_length_h,
    declination_deg,
    equation_of_time_min,
    incidence_cosine,
    position,
    position_at,
)

STELLENBOSCH = (-33.9321, 18.8602)
latitudes = st.floats(-66.0, 66.0)
days = st.integers(1, 365)
day_hours = st.floats(0.0, 24.0)


@pytest.mark.published(
    source="Reda and Andreas (2004), NREL/TP-560-34302, example of 17 October 2003 (from memory)",
    quantity="sun position", unit="deg",
)  # fmt: skip
def test_the_sun_of_the_nrel_example(published):
    elevation, azimuth = position_at(np.datetime64("2003-10-17T19:30:30"), 39.742476, -105.1786)

    # Theirs has refraction (0.016 degrees here) and parallax; ours is good to 0.02 degrees.
    published.equal(90.0 - elevation, printed=50.11162, tolerance=0.03, label="zenith")
    published.equal(azimuth, printed=194.34024, tolerance=0.02, label="azimuth")


def test_the_sun_at_an_instant_is_that_of_the_nrel_algorithm_all_year():
    import pandas as pd
    from pvlib.solarposition import spa_python

    times = pd.date_range("2025-01-01", "2025-12-31", freq="67min", tz="UTC")
    theirs = spa_python(times, *STELLENBOSCH)

    elevation, azimuth = position_at(times.tz_localize(None).to_numpy(), *STELLENBOSCH)

    assert np.abs(elevation - theirs["elevation"].to_numpy()).max() < 0.02
    apart = (azimuth - theirs["azimuth"].to_numpy() + 180.0) % 360.0 - 180.0
    assert np.abs(apart[elevation > 0.0]).max() < 0.03


def test_the_sun_of_a_typical_year_is_within_a_degree_of_the_nrel_algorithm():
    import pandas as pd
    from pvlib.solarposition import spa_python

    times = pd.date_range("2025-01-01", "2025-12-31", freq="67min", tz="UTC")
    theirs = spa_python(times, *STELLENBOSCH)
    day = times.dayofyear.to_numpy()
    hour = times.hour.to_numpy() + times.minute.to_numpy() / 60.0
    hour = hour + STELLENBOSCH[1] / 15.0 + equation_of_time_min(day) / 60.0

    elevation, azimuth = position(day, hour, STELLENBOSCH[0])

    off = elevation - theirs["elevation"].to_numpy()
    apart = (azimuth - theirs["azimuth"].to_numpy() + 180.0) % 360.0 - 180.0
    assert np.sqrt((off**2).mean()) < 0.15
    assert np.abs(off).max() < 0.4
    assert np.abs(apart[elevation > 0.0]).max() < 1.0


@pytest.mark.published(
    source="NREL solar position algorithm through pvlib 0.16.1, Stellenbosch, UTC+2",
    quantity="sun position", unit="deg",
)  # fmt: skip
@pytest.mark.parametrize(
    ("time", "zenith", "azimuth"),
    [
        ("2025-12-21T09:00", 49.3508, 93.1060),
        ("2025-12-21T12:43", 10.4946, 359.6433),
        ("2025-12-21T16:00", 44.0792, 270.3234),
        ("2025-06-21T12:00", 58.4238, 12.5062),
        ("2025-03-20T15:00", 45.3488, 311.8062),
        ("2025-01-15T10:00", 40.3395, 82.9157),
    ],
)
def test_the_sun_over_stellenbosch(published, time, zenith, azimuth):
    utc = np.datetime64(time, "ms") - np.timedelta64(2, "h")

    elevation, ours = position_at(np.asarray(utc), *STELLENBOSCH)

    # A closed form good to 0.02 degrees.
    published.equal(90.0 - elevation, printed=zenith, tolerance=0.02, label=f"zenith, {time}")
    published.equal(ours, printed=azimuth, tolerance=0.02, label=f"azimuth, {time}")


def test_the_midsummer_sun_stands_south_of_east_and_west_morning_and_evening():
    _, azimuth = position(355, [6.0, 9.5, 14.5, 18.0], STELLENBOSCH[0])

    assert (azimuth[[0, 3]] > 90.0).all()
    assert (azimuth[[0, 3]] < 270.0).all()
    assert azimuth[1] < 90.0
    assert azimuth[2] > 270.0


@pytest.mark.published(
    source="astronomical: solstices and equinoxes", quantity="declination of the sun", unit="deg"
)
def test_declination_at_the_turning_points_of_the_year(published):
    # The solstice is known to the hour, the equinox falls anywhere within a day: 0.4 degrees.
    for label, day, printed in (
        ("June", 172, 23.44),
        ("December", 355, -23.44),
        ("March", 79, 0.0),
        ("September", 266, 0.0),
    ):
        published.equal(declination_deg(day), printed=printed, tolerance=0.3, label=label)


@pytest.mark.parametrize("latitude", [-43.0, -33.93, -12.0, 20.0, 52.0])
def test_sun_and_sunset_agree_with_the_daily_formulas_of_fao_56(latitude):
    day = np.arange(1.0, 366.0)
    hour = np.arange(0.05, 24.0, 0.1)

    elevation, _ = position(day[:, None], hour, latitude)
    above = np.maximum(np.sin(np.radians(elevation)), 0.0).mean(axis=1)
    energy = above * 24.0 * 60.0 * SOLAR_CONSTANT_MJ_M2_MIN * inverse_distance(day)

    # FAO-56 eq. 21 and 25 with our declination: the geometry must agree, to 0.01 MJ.
    declination, north = np.radians(declination_deg(day)), np.radians(latitude)
    sunset = np.arccos(-np.tan(north) * np.tan(declination))
    height = sunset * np.sin(north) * np.sin(declination) + (
        np.cos(north) * np.cos(declination) * np.sin(sunset)
    )
    closed = 24.0 * 60.0 / np.pi * SOLAR_CONSTANT_MJ_M2_MIN * inverse_distance(day) * height
    np.testing.assert_allclose(energy, closed, atol=0.01)
    np.testing.assert_allclose(day_length_h(day, latitude), 24.0 / np.pi * sunset, atol=1e-9)
    # With FAO's own declination, one sine, it is another day's sun by up to 1.1 degrees (October).
    assert np.abs(np.degrees(declination_rad(day)) - declination_deg(day)).max() < 1.15
    theirs = extraterrestrial_radiation(latitude, day)
    assert np.abs(energy - theirs).max() < 0.9


@pytest.mark.published(
    source="FAO-56 formula at 33.93° S, reckoned beforehand, no outside print",
    quantity="day length",
    unit="h",
)
def test_longest_and_shortest_day_at_stellenbosch(published):
    published.equal(day_length_h(355, -33.93), printed=14.260, tolerance=0.005, label="21 December")
    published.equal(day_length_h(172, -33.93), printed=9.740, tolerance=0.005, label="21 June")


def test_polar_night_and_midnight_sun_have_no_hours_and_all():
    assert day_length_h([172, 355], 80.0).tolist() == [24.0, 0.0]


@pytest.mark.published(
    source="incidence on a slope of 10° to the north, zenith 50°, azimuth 30° (by the formula)",
    quantity="cosine of incidence", unit="",
)  # fmt: skip
def test_incidence_on_a_slope(published):
    cosine = incidence_cosine(40.0, 30.0, slope_deg=10.0, facing_deg=0.0)

    published.equal(cosine, printed=0.748223, tolerance=5e-7)


@given(latitude=latitudes, day=days, hour=day_hours)
def test_morning_mirrors_afternoon(latitude, day, hour):
    early = position(day, hour, latitude)
    late = position(day, 24.0 - hour, latitude)

    assert early[0] == pytest.approx(late[0], abs=1e-9)
    mirrored = (early[1] + late[1]) % 360.0
    assert min(mirrored, 360.0 - mirrored) == pytest.approx(0.0, abs=1e-6)


@given(latitude=latitudes, day=days, hour=day_hours)
def test_incidence_on_level_ground_is_the_height_of_the_sun(latitude, day, hour):
    elevation, azimuth = position(day, hour, latitude)

    cosine = incidence_cosine(elevation, azimuth, slope_deg=0.0, facing_deg=77.0)

    assert cosine == pytest.approx(np.sin(np.radians(elevation)), abs=1e-12)
