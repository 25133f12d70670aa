"""Daily weather is read right, whatever its layout, or refused with one clear message."""

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files import open_block, read_inputs
from aanplant.files.weather import read_weather

PLAIN = "date,tmin (°C),tmax (°C),rain (mm)\n2024-03-30,8.1,21.5,0.0\n2024-03-31,9,22,3.2\n"


def read(tmp_path, text, *, encoding="utf-8"):
    path = tmp_path / "weather.csv"
    path.write_bytes(text.encode(encoding) if isinstance(text, str) else text)
    return read_weather(path)


def test_a_plain_table_is_read(tmp_path):
    found = read(tmp_path, PLAIN)

    assert [str(day) for day in found.date] == ["2024-03-30", "2024-03-31"]
    assert found.tmin_c.tolist() == [8.1, 9.0]
    assert found.tmax_c.tolist() == [21.5, 22.0]
    assert found.rain_mm.tolist() == [0.0, 3.2]
    assert np.isnan(found.wind_m_s).all()
    assert (found.latitude_deg, found.wind_height_m, found.is_own) == (None, None, True)


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        (PLAIN, "utf-8-sig"),
        (PLAIN, "utf-16"),
        (PLAIN, "cp1252"),
        (PLAIN.replace(",", ";").replace(".", ","), "utf-8"),
        (PLAIN.replace(",", "\t"), "utf-8"),
        (PLAIN.replace(",", "\t").replace(".", ","), "cp1252"),
        (PLAIN.replace("\n", "\r\n"), "utf-8"),
        (PLAIN.replace("2024-03-30", "20240330").replace("2024-03-31", "20240331"), "utf-8"),
        (PLAIN.replace("2024-03-30", "30/03/2024").replace("2024-03-31", "31/03/2024"), "utf-8"),
        (PLAIN.replace("2024-03-30", "3/30/2024").replace("2024-03-31", "3/31/2024"), "utf-8"),
        (PLAIN.replace("date,", "year,doy,").replace("2024-03-", "2024,").replace("30,8", "90,8")
         .replace("31,9", "91,9"), "utf-8"),
        (PLAIN.replace("date,", "Year,MO,DY,").replace("-", ","), "utf-8"),
        (PLAIN.replace("tmin (°C)", "tmin_c").replace("tmax (°C)", "T2M_MAX"), "utf-8"),
        (PLAIN.replace(",", "  ").replace("tmin (°C)", "MinTemp(C)"), "utf-8"),
    ],
)  # fmt: skip
def test_every_way_of_writing_the_same_days_gives_the_same(tmp_path, text, encoding):
    found, plain = read(tmp_path, text, encoding=encoding), read(tmp_path, PLAIN)

    assert found.date.tolist() == plain.date.tolist()
    for name in ("tmin_c", "tmax_c", "rain_mm"):
        assert getattr(found, name).tolist() == getattr(plain, name).tolist(), name


@pytest.mark.parametrize("code", ["", "-99", "-99.0", "-999", "-9999", "NA", "nan", "-99.9"])
def test_missing_values_are_known_as_such(tmp_path, code):
    found = read(tmp_path, PLAIN.replace("3.2", code))

    assert np.isnan(found.rain_mm[1])


@pytest.mark.parametrize(
    ("header", "value", "field", "ours"),
    [
        ("tmin (F)", "50", "tmin_c", 10.0),
        ("tmin (K)", "283.15", "tmin_c", 10.0),
        ("rain (in)", "1", "rain_mm", 25.4),
        ("precipitation (mm/day)", "2.5", "rain_mm", 2.5),
        ("radiation (W/m2)", "250", "radiation_mj_m2", 21.6),
        ("solar radiation (MJ m-2 d-1)", "21.6", "radiation_mj_m2", 21.6),
        ("ALLSKY_SFC_SW_DWN (kW-hr/m^2/day)", "6", "radiation_mj_m2", 21.6),
        ("radiation_mj_m2", "21.6", "radiation_mj_m2", 21.6),
        ("wind (km/h)", "36", "wind_m_s", 10.0),
        ("u2 (m s-1)", "3", "wind_m_s", 3.0),
        ("rh (%)", "60", "humidity_mean_pct", 60.0),
        ("relative humidity max (%)", "90", "humidity_max_pct", 90.0),
        ("vapour pressure (hPa)", "15", "vapour_pressure_kpa", 1.5),
        ("dew point (°C)", "8", "dew_point_c", 8.0),
        ("et0 (mm)", "4.2", "et0_mm", 4.2),
    ],
)
def test_units_are_those_the_header_states(tmp_path, header, value, field, ours):
    other = "" if field == "tmin_c" else "tmin (°C),"
    first = "" if field == "tmin_c" else "5,"
    found = read(tmp_path, f"date,{other}tmax (°C),{header}\n2024-01-31,{first}30,{value}\n")

    assert getattr(found, field)[0] == pytest.approx(ours)


@pytest.mark.parametrize(
    ("header", "height"),
    [("wind 10 m (m/s)", 10.0), ("WS2M", 2.0), ("wind at 3 m (km/h)", 3.0), ("wind (m/s)", None)],
)
def test_the_height_of_the_wind_gauge_is_read(tmp_path, header, height):
    found = read(tmp_path, f"date,tmin (C),tmax (C),{header}\n2024-01-31,5,30,2\n")

    assert found.wind_height_m == height


def test_of_two_winds_the_lower_is_taken(tmp_path):
    found = read(tmp_path, "date,tmin (C),tmax (C),WS10M,WS2M\n2024-01-31,5,30,4,3\n")

    assert (found.wind_m_s[0], found.wind_height_m) == (3.0, 2.0)


def test_the_place_is_read_from_comments(tmp_path):
    found = read(tmp_path, "# latitude: -33.6, longitude: 19.3\n# height: 240 m\n" + PLAIN)

    assert (found.latitude_deg, found.longitude_deg, found.height_m) == (-33.6, 19.3, 240.0)


REANALYSIS = """\
-BEGIN HEADER-
Open reanalysis, daily
Dates (month/day/year): 01/01/2024 through 01/02/2024
Location: latitude  -33.5988   longitude 19.3004
elevation: Average for 0.5 x 0.625 degree region = 412.5 meters
The value for missing source data is: -999
Parameter(s):
T2M_MIN             Temperature at 2 Meters Minimum (C)
T2M_MAX             Temperature at 2 Meters Maximum (C)
PRECTOTCORR         Precipitation Corrected (mm/day)
ALLSKY_SFC_SW_DWN   All Sky Surface Shortwave Downward Irradiance (MJ/m^2/day)
RH2M                Relative Humidity at 2 Meters (%)
WS2M                Wind Speed at 2 Meters (m/s)
-END HEADER-
YEAR,MO,DY,T2M_MIN,T2M_MAX,PRECTOTCORR,ALLSKY_SFC_SW_DWN,RH2M,WS2M
2024,1,1,14.2,29.9,0.0,27.5,55.1,2.9
2024,1,2,15.0,31.2,-999,28.0,50.3,3.1
"""


def test_a_header_block_gives_place_and_units(tmp_path):
    found = read(tmp_path, REANALYSIS)

    assert (found.latitude_deg, found.longitude_deg) == (-33.5988, 19.3004)
    assert found.height_m == 412.5
    assert found.radiation_mj_m2.tolist() == [27.5, 28.0]
    assert np.isnan(found.rain_mm[1])
    assert found.wind_height_m == 2.0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (PLAIN.replace("tmin (°C)", "tmin"), "without its unit"),
        (PLAIN.replace("rain (mm)", "rain (furlongs)"), "furlongs"),
        (PLAIN.replace("tmin (°C)", "low"), "a lowest and a highest temperature"),
        (PLAIN.replace("date", "when"), "a column date"),
        ("date,tmin (C),tmax (C),rain (mm),rainfall (mm)\n2024-03-30,8,21,0,0\n",
         "two columns for the same thing"),
        (PLAIN.replace("8.1", "8.1x"), "a plain number"),
        (PLAIN.replace("8.1", "1,234,5"), "cells under"),
        (PLAIN.replace("2024-03-31", "2024-02-30"), "a day of the calendar"),
        (PLAIN.replace("2024-03-30", "03/04/2024").replace("2024-03-31", "04/04/2024"),
         "can't be told apart"),
        (PLAIN.replace("2024-03-31", "31 March"), "all in one form"),
        (PLAIN.replace("date,", "year,doy,").replace("2024-03-", "2024,").replace("31,9", "367,9"),
         "a day of the calendar"),
        ("date,tmin (°C),tmax (°C)\n", "a line for each day"),
        ("# nothing\n", "comments only"),
        ("", "an empty file"),
        (b"\x00\x01\x02", "binary"),
        ("# latitude: 336\n" + PLAIN, "on the earth"),
    ],
)  # fmt: skip
def test_what_can_not_be_read_for_certain_is_refused(tmp_path, text, message):
    with pytest.raises(InputError, match=message):
        read(tmp_path, text)


@pytest.fixture
def estate(tmp_path):
    (tmp_path / "estate.toml").write_text('name = "Test"\ncurrency = "ZAR"\n')
    here = tmp_path / "blocks" / "one"
    here.mkdir(parents=True)
    (here / "corners.csv").write_text(
        "lat,lon\n-33.930,18.8600\n-33.930,18.8627\n-33.932,18.8627\n-33.932,18.8600\n"
    )
    (here / "brief.toml").write_text(
        '[block]\nboundary = "corners.csv"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
    )
    return tmp_path


def test_a_block_reads_the_weather_of_its_estate(estate):
    (estate / "weather.csv").write_text(PLAIN, encoding="utf-8")

    found = read_inputs(open_block(estate / "blocks" / "one"))

    assert found.weather is not None
    assert not found.weather.is_own
    assert "weather.csv" in found.files


def test_a_block_reads_the_weather_it_names(estate):
    (estate / "weather.csv").write_text("not looked at")
    here = estate / "blocks" / "one"
    (here / "own.txt").write_text(PLAIN, encoding="utf-8")
    with (here / "brief.toml").open("a") as brief:
        brief.write('[climate]\nweather = "own.txt"\n')

    found = read_inputs(open_block(here))

    assert found.weather is not None
    assert found.weather.is_own
    assert "weather.csv" not in found.files


def test_without_a_file_there_is_no_weather(estate):
    assert read_inputs(open_block(estate / "blocks" / "one")).weather is None


def test_a_file_that_is_named_must_be_there(estate):
    here = estate / "blocks" / "one"
    with (here / "brief.toml").open("a") as brief:
        brief.write('[climate]\nweather = "gone.csv"\n')

    with pytest.raises(InputError, match="gone"):
        read_inputs(open_block(here))
