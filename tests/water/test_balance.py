"""The daily balance of the soil beside FAO-56 example 35 and an independent program."""

import contextlib
import importlib.util
import io
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.balance import Days, run
from aanplant.water.coefficients import cover_from_coefficient, upper_limit
from aanplant.water.evaporation import total_evaporable_mm
from aanplant.water.soil_day import RootZone
from aanplant.water.watering import ByCalendar, ByDeficit, ByInterval, NoWatering

EXAMPLE_35 = "FAO Irrigation and Drainage Paper 56 (1998), example 35, inputs and print from memory"


def column(values):
    return np.asarray(values, dtype=float)[:, None]


def example_35():
    et0 = column([4.5, 5.0, 3.9, 4.2, 4.8, 2.7, 5.8, 5.1, 4.7, 5.2])
    rain = column([0, 0, 0, 0, 0, 6, 0, 0, 0, 0])
    basal = column([0.30, 0.31, 0.32, 0.33, 0.34, 0.36, 0.37, 0.38, 0.39, 0.40])
    cover = 1.0 - column([0.92, 0.91, 0.91, 0.90, 0.89, 0.89, 0.88, 0.87, 0.87, 0.86])
    upper = np.full((10, 1), float(upper_limit(0.3, 0.3, 1.6, 35.0)))
    watered = np.zeros((10, 1))
    watered[0] = 40.0
    return run(
        Days(et0, rain, basal, upper, cover),
        RootZone(200.0, 0.6, float(total_evaporable_mm(0.23, 0.10, 0.1)), 8.0, 0.8),
        ByCalendar(watered),
        start_mm=60.0,
        under_canopy=False,
        keep_daily=True,
    )


@pytest.mark.published(
    source=EXAMPLE_35, quantity="crop evapotranspiration after wetting", unit="mm/d"
)
def test_ten_days_of_a_drying_sandy_loam(published):
    found = example_35()

    total = (found.daily["evaporation"] + found.daily["transpiration"])[:, 0]
    printed = [5.5, 6.1, 3.8, 2.9, 2.6, 2.6, 4.7, 2.9, 2.3, 2.4]
    for day, (ours, there) in enumerate(zip(total, printed, strict=True), start=1):
        # The example works by hand with coefficients of two digits: 0.06 mm apart at most.
        published.equal(ours, printed=there, tolerance=0.06, label=f"day {day}")


@pytest.mark.published(
    source=EXAMPLE_35 + "; days between reckoned apart by a script of its own",
    quantity="water that the top soil lacks at the end of the day",
    unit="mm",
)
def test_the_top_soil_of_the_example_dries_as_printed(published):
    found = example_35()

    ours = found.daily["top_soil"][:, 0]
    for day, there in enumerate(
        [5.13, 10.77, 13.91, 15.81, 16.95, 12.78, 15.67, 16.81, 17.34, 17.66]
    ):
        published.equal(ours[day], printed=there, tolerance=0.03, label=f"day {day + 1}")


def cordoba(first, days):
    """Rain and evapotranspiration of an open weather file of the package aquacrop."""
    spec = importlib.util.find_spec("aquacrop")
    path = Path(spec.origin).parent / "data" / "cordoba_climate.txt"
    table = np.loadtxt(path, skiprows=1)
    date = np.array([f"{int(y):04d}-{int(m):02d}-{int(d):02d}" for d, m, y in table[:, :3]])
    start = int(np.flatnonzero(date == first)[0])
    return date[start : start + days], table[start : start + days]


def season_by_pyfao56(date, table, irrigations):
    """The same season by pyfao56, a public-domain program: one row a day."""
    import datetime as dt

    import pandas as pd
    import pyfao56

    stamp = [dt.datetime.fromisoformat(one).strftime("%Y-%j") for one in date]
    par = pyfao56.Parameters(
        Kcbini=0.15, Kcbmid=0.65, Kcbend=0.40, Lini=30, Ldev=60, Lmid=40, Lend=80,
        hini=1.75, hmax=1.75, thetaFC=0.23, thetaWP=0.10, theta0=0.23, Zrini=1.0, Zrmax=1.0,
        pbase=0.45, Ze=0.10, REW=8.0,
    )  # fmt: skip
    wth = pyfao56.Weather()
    wth.rfcrp, wth.z, wth.lat, wth.wndht = "S", 100.0, -31.4, 2.0
    wth.wdata = pd.DataFrame(
        {
            "Srad": np.nan, "Tmax": table[:, 4], "Tmin": table[:, 3], "Vapr": np.nan,
            "Tdew": np.nan, "RHmax": np.nan, "RHmin": 45.0, "Wndsp": 2.0,
            "Rain": table[:, 5], "ETref": table[:, 6], "MorP": "M",
        },
        index=stamp,
    )  # fmt: skip
    irr = pyfao56.Irrigation()
    for day in irrigations:
        year, of_year = stamp[day].split("-")
        irr.addevent(int(year), int(of_year), 10.0, 0.35)
    model = pyfao56.Model(stamp[0], stamp[-1], par, wth, irr=irr)
    with contextlib.redirect_stdout(io.StringIO()):
        model.run()
    return model.odata


def season_by_us(table, irrigations):
    days = np.arange(len(table))
    ends = [0, 30, 90, 130, 210]
    basal = np.interp(days, ends, [0.15, 0.15, 0.65, 0.65, 0.40])
    upper = upper_limit(basal, 1.75)
    cover = cover_from_coefficient(basal, upper, 1.75, least=0.15)
    watered = np.zeros(len(table))
    watered[irrigations] = 10.0
    return run(
        Days(*(one[:, None] for one in (table[:, 6], table[:, 5], basal, upper, cover))),
        RootZone(130.0, 0.45, 18.0, 8.0, 0.35),
        ByCalendar(watered[:, None]),
        wetting="evening",
        adjust_by="all",
        under_canopy=False,
        keep_daily=True,
    )


def test_a_season_of_210_days_is_that_of_an_independent_program_day_by_day():
    date, table = cordoba("1991-10-01", 210)
    irrigations = [61 + 7 * number for number in range(13)]

    theirs = season_by_pyfao56(date, table, irrigations)
    ours = season_by_us(table, irrigations)

    for name, column_name in (
        ("evaporation", "E"), ("transpiration", "T"), ("top_soil", "De"), ("root_zone", "Dr"),
        ("drainage", "DP"),
    ):  # fmt: skip
        apart = np.abs(ours.daily[name][:, 0] - theirs[column_name].to_numpy(dtype=float))
        assert apart.max() < 2e-3, (column_name, apart.max(), apart.argmax())


@pytest.mark.published(
    source="pyfao56 1.4.3 (public domain) on an open weather file, 1 Oct 1991 to 27 Apr 1992",
    quantity="sum of a season of 210 days",
    unit="mm",
)
def test_sums_of_the_season(published):
    _, table = cordoba("1991-10-01", 210)
    found = season_by_us(table, [61 + 7 * number for number in range(13)])

    for label, ours, printed in (
        ("rain", found.rain_mm, 748.26),
        ("irrigation", found.irrigation_mm, 130.0),
        ("soil evaporation", found.evaporation_mm, 368.80),
        ("transpiration", found.transpiration_mm, 510.31),
        ("drainage", found.drainage_mm, 88.29),
    ):
        published.equal(ours[0], printed=printed, tolerance=0.01, label=label)
    published.equal(
        found.end.root_zone_mm[0], printed=89.148, tolerance=0.002, label="lacking at the end"
    )


rains = st.lists(st.sampled_from([0.0, 0.0, 0.0, 0.0, 0.5, 4.0, 25.0]), min_size=5, max_size=60)


def simple_days(rain, et0=6.0, basal=0.5, cover=0.4):
    whole = np.ones((len(rain), 1))
    return Days(
        et0 * whole, column(rain), basal * whole, float(upper_limit(basal, 1.5)) * whole,
        cover * whole,
    )  # fmt: skip


@given(
    rains,
    st.floats(5.0, 200.0),
    st.floats(0.05, 1.0),
    st.floats(0.0, 9.0),
    st.floats(0.0, 40.0),
    st.sampled_from(["morning", "evening"]),
    st.sampled_from(["vine", "all", "nothing"]),
)
def test_the_balance_closes_whatever_the_weather(  # noqa: PLR0917 - what hypothesis draws
    rain, available, wetted, et0, watered, wetting, adjust_by
):
    found = run(
        simple_days(rain, et0),
        RootZone(available, 0.45, 18.0, 8.0, wetted),
        ByCalendar(np.full((len(rain), 1), watered)),
        start_mm=available / 2.0,
        wetting=wetting,
        adjust_by=adjust_by,
    )

    assert abs(found.gap_mm[0]) < 1e-9
    assert 0.0 <= found.end.root_zone_mm[0] <= available + 1e-9
    assert found.transpiration_mm[0] <= found.wish_mm[0] + 1e-9


@given(rains, st.floats(0.0, 3.0), st.floats(0.1, 3.0), st.floats(0.3, 1.0), st.booleans())
def test_more_irrigation_never_means_more_stress(rain, little, more, wetted, rain_wets_all):
    def shortfall(watered):
        found = run(
            simple_days(rain),
            RootZone(60.0, 0.45, 18.0, 8.0, wetted),
            ByCalendar(np.full((len(rain), 1), watered)),
            start_mm=20.0,
            rain_wets_all=rain_wets_all,
        )
        return found.wish_mm[0] - found.transpiration_mm[0], found.stress_days[0]

    (short, days), (short_more, days_more) = shortfall(little), shortfall(little + more)

    assert short_more <= short + 1e-9
    assert days_more <= days


def test_a_deficit_rule_waters_when_enough_is_gone_and_keeps_the_vines_from_stress():
    rain = [0.0] * 60
    allowed = np.ones(60, dtype=bool)
    found = run(
        simple_days(rain),
        RootZone(60.0, 0.45, 18.0, 8.0, 0.5),
        ByDeficit(0.8, 1.0, allowed),
        keep_daily=True,
    )

    watered = found.daily["irrigation"][:, 0]
    assert found.stress_days[0] == 0
    assert 2 < (watered > 0).sum() < 30
    assert watered[watered > 0].min() > 10.0


def test_an_interval_rule_waters_on_its_days_alone():
    allowed = np.ones(20, dtype=bool)
    allowed[9] = False
    found = run(
        simple_days([0.0] * 20),
        RootZone(60.0, 0.45, 18.0, 8.0, 0.5),
        ByInterval(3, 3, 0.5, allowed),
        keep_daily=True,
    )

    assert np.flatnonzero(found.daily["irrigation"][:, 0]).tolist() == [3, 6, 12, 15, 18]


def test_many_zones_run_side_by_side_as_each_alone():
    _, table = cordoba("1991-10-01", 210)
    days = simple_days(table[:, 5])
    held = np.array([30.0, 80.0, 150.0])

    together = run(days, RootZone(held, 0.45, 18.0, 8.0, 0.4), NoWatering())

    for number, available in enumerate(held):
        alone = run(days, RootZone(available, 0.45, 18.0, 8.0, 0.4), NoWatering())
        assert together.transpiration_mm[number] == pytest.approx(alone.transpiration_mm[0])


def test_a_soil_that_holds_nothing_is_refused():
    with pytest.raises(ValueError, match="available_mm must be above 0"):
        run(simple_days([0.0]), RootZone(0.0, 0.45, 18.0, 8.0), NoWatering())
