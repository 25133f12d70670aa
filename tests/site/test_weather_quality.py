"""Faults of the weather: repaired, kept or taken out, and always told."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.errors import InputError
from aanplant.site.weather_quality import bridge, check_weather, jumps, stuck
from tests.site.open_weather import made_up


@pytest.fixture
def sound():
    noise = np.random.default_rng(3)
    return made_up(
        "2022-01-01",
        "2023-01-01",
        lambda day: noise.uniform(4.0, 9.0, len(day)),
        lambda day: noise.uniform(16.0, 24.0, len(day)),
        rain_mm=lambda day: np.where(
            noise.random(len(day)) < 0.3, noise.uniform(1, 20, len(day)), 0
        ),
        radiation_mj_m2=lambda day: noise.uniform(5.0, 10.0, len(day)),
        wind_m_s=lambda day: noise.uniform(0.5, 5.0, len(day)),
        humidity_mean_pct=lambda day: noise.uniform(40.0, 90.0, len(day)),
    )


def check(weather):
    return check_weather(weather, latitude_deg=-33.6, height_m=240.0)


def faults(checked):
    return {(fault.kind, fault.column): fault for fault in checked.faults}


def spoilt(weather, column, place, value):
    values = getattr(weather, column).copy()
    values[place] = value
    return dataclasses.replace(weather, **{column: values})


def test_sound_weather_passes_unchanged(sound):
    checked = check(sound)

    assert checked.faults == ()
    np.testing.assert_array_equal(checked.weather.tmin_c, sound.tmin_c)


def taken(weather, places):
    """Weather of the days at these places alone, in that order."""
    columns = {
        item.name: getattr(weather, item.name)[places]
        for item in dataclasses.fields(weather)
        if isinstance(getattr(weather, item.name), np.ndarray)
    }
    return dataclasses.replace(weather, **columns)


def test_a_gap_is_filled_with_empty_days_and_short_gaps_of_temperature_are_bridged(sound):
    checked = check(taken(sound, np.r_[:100, 102:200, 210:365]))

    assert len(checked.weather.date) == 365
    found = faults(checked)
    assert (found["gap", "date"].days, found["gap", "date"].first) == (12, "2022-04-11")
    assert found["bridged", "tmin_c"].days == 2
    assert found["missing", "tmin_c"].days == 10
    assert np.isnan(checked.weather.rain_mm[100:102]).all()


def test_days_out_of_order_are_sorted(sound):
    checked = check(taken(sound, np.r_[180:365, :180]))

    assert faults(checked)["order", "date"].treatment == "repaired"
    np.testing.assert_array_equal(checked.weather.tmin_c, sound.tmin_c)


def test_a_day_written_twice_alike_counts_once(sound):
    checked = check(taken(sound, np.r_[:50, 49, 50:365]))

    assert faults(checked)["repeated", "date"].days == 1
    np.testing.assert_array_equal(checked.weather.rain_mm, sound.rain_mm)


def test_a_day_written_twice_unlike_is_taken_out(sound):
    twice = spoilt(taken(sound, np.r_[:50, 49, 50:365]), "rain_mm", 50, 99.0)

    checked = check(twice)

    assert faults(checked)["contradicted", "date"].treatment == "taken out"
    assert np.isnan(checked.weather.rain_mm[49])


@pytest.mark.parametrize(
    ("column", "value", "kind"),
    [
        ("tmax_c", 70.0, "limits"),
        ("rain_mm", -3.0, "limits"),
        ("wind_m_s", 120.0, "limits"),
        ("humidity_mean_pct", 140.0, "limits"),
        ("tmin_c", 30.0, "crossed"),
        ("tmax_c", 50.0, "jump"),
        ("radiation_mj_m2", 60.0, "radiation_high"),
        ("radiation_mj_m2", 0.0, "radiation_low"),
    ],
)
def test_a_single_wrong_value_is_taken_out_and_told(sound, column, value, kind):
    checked = check(spoilt(sound, column, 40, value))

    fault = faults(checked)[kind, column]
    assert (fault.days, fault.first, fault.treatment) == (1, "2022-02-10", "taken out")
    assert getattr(checked.weather, column)[40] != value


def test_humidity_a_little_above_a_hundred_is_set_to_a_hundred(sound):
    checked = check(spoilt(sound, "humidity_mean_pct", 7, 101.5))

    assert faults(checked)["above_hundred", "humidity_mean_pct"].treatment == "repaired"
    assert checked.weather.humidity_mean_pct[7] == 100.0


def test_brighter_than_a_clear_sky_is_kept_and_told(sound):
    # On 15 January at 33.6° S 43.4 MJ/m2 come in above the air, 32.8 through a clear sky.
    checked = check(spoilt(sound, "radiation_mj_m2", 14, 39.0))

    assert faults(checked)["radiation_bright", "radiation_mj_m2"].treatment == "kept"
    assert checked.weather.radiation_mj_m2[14] == 39.0


@pytest.mark.parametrize(
    ("column", "days", "is_fault"),
    [("wind_m_s", 7, True), ("wind_m_s", 6, False), ("tmax_c", 8, True), ("rain_mm", 4, True)],
)
def test_a_stuck_sensor_is_noticed(sound, column, days, is_fault):
    checked = check(spoilt(sound, column, slice(100, 100 + days), 17.0))

    assert (("stuck", column) in faults(checked)) == is_fault


def test_a_month_without_rain_is_no_stuck_sensor(sound):
    checked = check(spoilt(sound, "rain_mm", slice(100, 140), 0.0))

    assert checked.faults == ()


def test_fog_for_a_fortnight_is_no_stuck_sensor(sound):
    checked = check(spoilt(sound, "humidity_mean_pct", slice(100, 114), 100.0))

    assert checked.faults == ()


def test_swapped_columns_stop_the_plan(sound):
    swapped = dataclasses.replace(sound, tmin_c=sound.tmax_c, tmax_c=sound.tmin_c)

    with pytest.raises(InputError, match="other way about"):
        check(swapped)


def test_radiation_in_another_unit_stops_the_plan(sound):
    watts = dataclasses.replace(sound, radiation_mj_m2=sound.radiation_mj_m2 / 0.0864)

    with pytest.raises(InputError, match="more radiation on the ground than above the air"):
        check(watts)


def test_fahrenheit_taken_for_celsius_stops_the_plan(sound):
    degrees_f = dataclasses.replace(
        sound, tmin_c=sound.tmin_c * 1.8 + 40.0, tmax_c=sound.tmax_c * 1.8 + 40.0
    )

    with pytest.raises(InputError, match="unit their header states"):
        check(degrees_f)


def test_dates_of_two_ages_stop_the_plan(sound):
    day = sound.date.copy()
    day[0] = np.datetime64("0202-01-01")

    with pytest.raises(InputError, match="one record"):
        check(dataclasses.replace(sound, date=day))


def test_weather_without_any_temperature_stops_the_plan(sound):
    with pytest.raises(InputError, match="no day with both temperatures"):
        check(spoilt(sound, "tmin_c", slice(None), np.nan))


@given(st.lists(st.floats(0.0, 10.0) | st.just(float("nan")), min_size=1, max_size=40))
def test_bridging_changes_only_short_gaps_between_known_days(values):
    before = np.array(values)

    after, bridged = bridge(before)

    known = ~np.isnan(before)
    np.testing.assert_array_equal(after[known], before[known])
    assert not (bridged & known).any()
    assert np.isnan(after[~known & ~bridged]).all()
    if bridged.any():
        assert (
            np.nanmin(before) <= after[bridged].min() <= after[bridged].max() <= np.nanmax(before)
        )


def test_a_run_of_missing_days_is_not_stuck():
    assert not stuck(np.full(20, np.nan), 7).any()


def test_a_step_is_no_jump():
    assert not jumps(np.array([10.0, 10.0, 35.0, 35.0])).any()
