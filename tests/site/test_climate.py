"""The climate of a block: told from much weather, from little, and never from elsewhere."""

import dataclasses

import numpy as np
import pytest

from aanplant import messages, tables
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.site.climate import survey_climate
from aanplant.site.frame import Frame
from aanplant.site.station import distance_m, serving_weather
from tests.site.open_weather import made_up

SOUTH, NORTH = Frame(19.3, -33.6), Frame(-123.0, 45.1)


def brief(climate="", rest=""):
    return parse_brief(
        '[block]\nboundary = "b.csv"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
        f"[climate]\n{climate}\n{rest}",
        "brief.toml",
    )


def year_angle(day, frame):
    of_year = (day - day.astype("datetime64[Y]")).astype(int)
    return 2.0 * np.pi * (of_year - (20 if frame is SOUTH else 202)) / 365.25


def plain_weather(first="2010-01-01", last="2022-01-01", frame=SOUTH, **columns):
    """Warm summers, cool nights in winter, some noise; no frost by itself."""
    noise = np.random.default_rng(8)
    return made_up(
        first,
        last,
        lambda day: 10.0 + 5.0 * np.cos(year_angle(day, frame)) + noise.normal(0, 1.0, len(day)),
        lambda day: 23.0 + 7.0 * np.cos(year_angle(day, frame)) + noise.normal(0, 2.0, len(day)),
        **columns,
    )


def said(climate):
    return {finding.message: finding for finding in climate.findings}


def values(climate):
    return {figure.key: figure.value for figure in climate.figures}


def with_frost(weather, nights, celsius=-1.5):
    tmin = weather.tmin_c.copy()
    for night in nights:
        tmin[weather.date == np.datetime64(night)] = celsius
    return dataclasses.replace(weather, tmin_c=tmin)


def test_no_weather_gives_no_climate():
    assert survey_climate(brief(), None, SOUTH, 5.0) is None


def test_every_figure_and_finding_can_be_written_and_has_a_known_source():
    weather = with_frost(
        plain_weather(rain_mm=2.0), [f"{year}-09-{10 + year % 10}" for year in range(2010, 2021, 2)]
    )
    asked = brief(
        'bud_break = "09-01"\nplant_form = "potted"',
        "[protection]\nwindbreak_height = 6\nwind_machine_price = 5\noverhead_price = 7\n"
        '[work]\nplanting = "2027-02"\n',
    )

    climate = survey_climate(asked, weather, SOUTH, 5.4)

    assert climate is not None
    for finding in climate.findings:
        text = messages.sentence(finding)
        assert "{" not in text
        assert "words:" not in text
        assert finding.source in tables.sources()
    for figure in climate.figures:
        assert messages.label(figure)
        assert messages.formula(figure)
        assert figure.source in tables.sources()
    assert values(climate)["site.frost_cost.wind_machine"] == 10.0
    assert values(climate)["site.frost_cost.overhead_water"] == pytest.approx(37.8)


def test_one_season_gives_indices_with_a_warning_and_no_frost_quantiles():
    climate = survey_climate(brief(), plain_weather("2020-07-01", "2021-07-01"), SOUTH, 5.0)

    assert climate is not None
    assert {"climate.one_season", "climate.frost_refused"} <= set(said(climate))
    assert "site.heat_sum" in values(climate)
    refused = ("site.last_frost", "site.frost_after", "site.heat_trend", "site.frost_spared")
    assert not any(key.startswith(refused) for key in values(climate))
    assert "site.window_probability" not in values(climate)
    assert said(climate)["climate.window_unproved"].level == "care"


def test_less_than_a_season_says_so():
    climate = survey_climate(brief(), plain_weather("2020-07-01", "2020-12-01"), SOUTH, 5.0)

    assert climate is not None
    assert "climate.no_season" in said(climate)


def test_what_is_missing_is_assumed_and_told():
    climate = survey_climate(brief(), plain_weather(), SOUTH, 5.0)

    assert climate is not None
    for topic in ("humidity", "wind", "radiation"):
        finding = said(climate)[f"climate.{topic}_assumed"]
        assert finding.values["days"] == finding.values["all"]


def test_wind_without_a_height_is_told():
    weather = plain_weather(wind_m_s=lambda day: 1 + np.arange(len(day)) % 3)
    climate = survey_climate(brief(), weather, SOUTH, 5.0)
    stated = survey_climate(brief("wind_height = 10"), weather, SOUTH, 5.0)

    assert climate is not None
    assert stated is not None
    assert "climate.wind_height_taken" in said(climate)
    assert "climate.wind_height_taken" not in said(stated)
    key = "site.reference_evapotranspiration"
    assert values(stated)[key] < values(climate)[key]


def test_frost_after_bud_break_is_a_care_and_protection_is_weighed():
    nights = [f"{year}-09-12" for year in range(2010, 2014)]
    climate = survey_climate(
        brief('bud_break = "09-05"'), with_frost(plain_weather(), nights), SOUTH, 5.0
    )

    assert climate is not None
    assert climate.record.frost.years == 12
    assert values(climate)["site.frost_after_bud_break"] == pytest.approx(4 / 12)
    assert said(climate)["climate.frost_often"].values["with_frost"] == 4
    assert values(climate)["site.frost_damage_years"] == 4
    # Ten days later vines are still at rest on the 12th; a cordon half a degree warmer is not.
    assert values(climate)["site.frost_spared.later_cultivar"] == 4
    assert values(climate)["site.frost_spared.overhead_water"] == 4
    assert values(climate)["site.frost_spared.higher_cordon"] == 0
    water = next(o for o in climate.record.damage.options if o.option == "overhead water")
    assert water.water_flow_m3_h_ha == 35.0
    assert water.water_worst_m3_ha == 35.0 * 8.0


def test_a_cold_hollow_counts_for_frost_alone():
    nights = [f"{year}-09-12" for year in range(2010, 2016)]
    weather = with_frost(plain_weather(), nights, celsius=0.8)

    level = survey_climate(brief('bud_break = "09-05"'), weather, SOUTH, 5.0)
    hollow = survey_climate(
        brief('bud_break = "09-05"\ncolder_than_station = 1.0'), weather, SOUTH, 5.0
    )

    assert level is not None
    assert hollow is not None
    assert values(level)["site.frost_after_bud_break"] == 0.0
    assert values(hollow)["site.frost_after_bud_break"] == 0.5
    assert values(level)["site.heat_sum"] == values(hollow)["site.heat_sum"]


def test_dormant_vines_have_a_window_before_bud_break():
    climate = survey_climate(
        brief('bud_break = "09-07"\ndelivery = "07-01"\nheat = 45'),
        plain_weather(rain_mm=0.0), SOUTH, 5.0,
    )  # fmt: skip

    assert climate is not None
    found = values(climate)
    assert (found["site.window_opens"], found["site.window_closes"]) == ("07-01", "08-17")
    assert found["site.window_probability"] == 1.0
    assert found["site.window_start_by"] == "08-13"  # five fit days up to the 17th


def test_northern_vines_have_their_window_half_a_year_away():
    climate = survey_climate(
        brief('bud_break = "03-10"\ndelivery = "01-01"\nheat = 45\nleast_soil_temperature = 2'),
        plain_weather(frame=NORTH, rain_mm=0.0),
        NORTH,
        5.0,
    )

    assert climate is not None
    found = values(climate)
    assert (found["site.window_opens"], found["site.window_closes"]) == ("01-01", "02-17")
    assert found["site.window_probability"] == 1.0


def test_a_wet_winter_leaves_no_fit_days_on_slow_soil():
    def wet(day):
        return np.where(np.arange(len(day)) % 3 == 0, 25.0, 0.0)

    rules = 'bud_break = "09-07"\ndelivery = "07-01"\nsoil_drainage = '
    slow = survey_climate(brief(rules + '"slow"'), plain_weather(rain_mm=wet), SOUTH, 5.0)
    free = survey_climate(brief(rules + '"free"'), plain_weather(rain_mm=wet), SOUTH, 5.0)

    assert slow is not None
    assert free is not None
    assert values(slow)["site.window_probability"] < values(free)["site.window_probability"]
    assert "climate.window_unlikely" in said(slow)


def test_vines_in_leaf_wait_for_frost_to_become_rare():
    nights = [f"{year}-10-{1 + year % 5:02d}" for year in range(2010, 2022)]
    weather = with_frost(plain_weather(rain_mm=0.0), nights)

    climate = survey_climate(brief('plant_form = "green"\nheat = 45'), weather, SOUTH, 5.0)

    assert climate is not None
    opens = values(climate)["site.window_opens"]
    assert "10-04" <= opens <= "10-06"
    assert climate.record.planting.frost_from == opens


def test_a_window_that_closes_before_it_opens_is_told():
    climate = survey_climate(
        brief('bud_break = "09-07"\ndelivery = "09-01"'), plain_weather(rain_mm=0.0), SOUTH, 5.0
    )

    assert climate is not None
    assert said(climate)["climate.window_none"].level == "care"
    assert "site.window_probability" not in values(climate)


@pytest.mark.parametrize(("month", "outside"), [("2027-08", False), ("2027-11", True)])
def test_a_month_outside_the_window_is_told(month, outside):
    asked = brief('bud_break = "09-07"', f'[work]\nplanting = "{month}"\n')

    climate = survey_climate(asked, plain_weather(rain_mm=0.0), SOUTH, 5.0)

    assert climate is not None
    assert ("climate.planting_outside" in said(climate)) == outside


def test_without_rain_the_soil_is_unknown():
    climate = survey_climate(brief(), plain_weather(), SOUTH, 5.0)

    assert climate is not None
    assert "climate.window_soil_unknown" in said(climate)


def test_the_windbreak_stands_clear_of_roots_and_shade():
    """At 45.1° the noon shadow at the equinox is a little longer than the break is high."""
    asked = brief("", "[protection]\nwindbreak_height = 8\n")

    south = survey_climate(asked, plain_weather(), SOUTH, 5.0)
    north = survey_climate(asked, plain_weather(frame=NORTH), NORTH, 5.0)

    assert south is not None
    assert north is not None
    assert values(south)["site.windbreak_clearance"] == 8.0
    assert values(north)["site.windbreak_clearance"] == pytest.approx(8.0279, abs=1e-4)


@pytest.mark.parametrize(
    ("latitude", "longitude", "is_own", "serves", "message"),
    [
        (-33.6, 19.3, False, True, None),
        (-33.9, 18.9, False, True, None),
        (-36.0, 19.3, False, False, "climate.weather_elsewhere"),
        (None, None, False, False, "climate.weather_place_unknown"),
        (None, None, True, True, None),
        (-36.0, 19.3, True, True, "climate.own_weather_far"),
    ],
)
def test_weather_serves_the_blocks_near_where_it_was_measured(
    latitude, longitude, is_own, serves, message
):
    weather = dataclasses.replace(
        plain_weather("2020-01-01", "2020-03-01"),
        latitude_deg=latitude, longitude_deg=longitude, is_own=is_own,
    )  # fmt: skip

    found, findings = serving_weather(brief(), weather, SOUTH)

    assert (found is not None) == serves
    assert [finding.message for finding in findings] == ([message] if message else [])


def test_the_distance_of_a_degree_of_latitude():
    # 2 pi 6371 km / 360
    assert distance_m(19.0, -33.0, 19.0, -34.0) == pytest.approx(111_194.9, abs=0.1)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('bud_break = "09-31"', "month and day"),
        ('bud_break = "September"', "bud_break"),
        ('plant_form = "cutting"', "plant_form"),
        ("frost_threshold = 200", "between -30 and 50"),
        ("whether = 1", "weather"),
    ],
)
def test_what_the_brief_says_of_the_climate_is_checked(line, message):
    with pytest.raises(InputError, match=message):
        brief(line)
