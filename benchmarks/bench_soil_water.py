"""Daily soil water of many zones over many years, beside pyfao56 one zone at a time."""

import contextlib
import datetime as dt
import io
import time

import numpy as np
import pandas as pd
import pyfao56

from aanplant.water.balance import Days, run
from aanplant.water.coefficients import cover_from_coefficient, upper_limit
from aanplant.water.soil_day import RootZone
from aanplant.water.watering import NoWatering
from benchmarks.timing import Result

ZONES, YEARS, SEED = 1000, 30, 5
REACH = 200.0
TOLERANCE_MM = 2e-3
STAGES, BASAL = (60, 90, 100, 115), (0.15, 0.65, 0.40)
HEIGHT_M, P = 1.75, 0.45
TIMED_YEARS = 3
"""Its time grows faster than the years do: three years times ten is in its favour."""


def weather():
    """Thirty times 365 days of made-up weather, and the soil of a thousand zones.

    Wet enough that no root zone is ever empty: there pyfao56 lets the ground evaporate water
    that isn't there, and its balance does not close.
    """
    noise = np.random.default_rng(SEED)
    days = 365 * YEARS
    season = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(days) / 365.0)
    et0 = (1.0 + 6.0 * season) * noise.uniform(0.7, 1.3, days)
    rain = np.where(noise.random(days) < 0.3, noise.gamma(0.8, 10.0, days), 0.0)
    capacity = noise.uniform(0.12, 0.36, ZONES)
    return et0, rain, capacity, capacity * noise.uniform(0.35, 0.55, ZONES)


def crop():
    """Coefficient, upper limit and cover of each day, as pyfao56 has them."""
    ends = np.cumsum((0, *STAGES))
    day = np.arange(365 * YEARS)
    basal = np.interp(day, ends, (BASAL[0], BASAL[0], BASAL[1], BASAL[1], BASAL[2]))
    upper = upper_limit(basal, HEIGHT_M)
    cover = cover_from_coefficient(basal, upper, HEIGHT_M, least=BASAL[0])
    return basal, upper, cover


def ours(et0, rain, capacity, wilting):
    """Every zone side by side, by the conventions of pyfao56."""
    evaporable = 1000.0 * (capacity - 0.5 * wilting) * 0.10
    days = Days(*(one[:, None] for one in (et0, rain, *(one[: len(et0)] for one in crop()))))
    soil = RootZone(1000.0 * (capacity - wilting), P, evaporable, 0.4 * evaporable)
    return run(days, soil, NoWatering(), wetting="evening", adjust_by="all", under_canopy=False)


def theirs(et0, rain, capacity, wilting):
    """One zone by pyfao56; what its soil lacks at the end. [mm]."""
    stamps = [
        (dt.date(1991, 1, 1) + dt.timedelta(day)).strftime("%Y-%j") for day in range(len(et0))
    ]
    evaporable = 1000.0 * (capacity - 0.5 * wilting) * 0.10
    lengths = dict(zip(("Lini", "Ldev", "Lmid", "Lend"), STAGES, strict=True))
    basal = dict(zip(("Kcbini", "Kcbmid", "Kcbend"), BASAL, strict=True))
    par = pyfao56.Parameters(
        **lengths, **basal, hini=HEIGHT_M, hmax=HEIGHT_M, thetaFC=capacity, thetaWP=wilting,
        theta0=capacity, Zrini=1.0, Zrmax=1.0, pbase=P, Ze=0.10, REW=0.4 * evaporable,
    )  # fmt: skip
    wth = pyfao56.Weather()
    wth.rfcrp, wth.z, wth.lat, wth.wndht = "S", 100.0, -33.6, 2.0
    wth.wdata = pd.DataFrame(
        {
            "Srad": np.nan, "Tmax": 25.0, "Tmin": 12.0, "Vapr": np.nan, "Tdew": np.nan,
            "RHmax": np.nan, "RHmin": 45.0, "Wndsp": 2.0, "Rain": rain, "ETref": et0,
            "MorP": "M",
        },
        index=stamps,
    )  # fmt: skip
    model = pyfao56.Model(stamps[0], stamps[-1], par, wth)
    started = time.perf_counter()
    with contextlib.redirect_stdout(io.StringIO()):
        model.run()
    return time.perf_counter() - started, float(model.odata["Dr"].iloc[-1])


def results():
    """Yield one line of the table."""
    et0, rain, capacity, wilting = weather()
    few = slice(0, 365 * TIMED_YEARS)
    fastest, their_s, apart = float("inf"), float("inf"), 0.0
    for zone in range(2):
        started = time.perf_counter()
        ours(et0, rain, capacity, wilting)
        fastest = min(fastest, time.perf_counter() - started)
        spent, lacking = theirs(et0[few], rain[few], capacity[zone], wilting[zone])
        their_s = min(their_s, spent)
        same = ours(et0[few], rain[few], capacity, wilting).end.root_zone_mm[zone]
        apart = max(apart, abs(lacking - same))
        assert apart < TOLERANCE_MM, f"zone {zone} differs by {apart} mm"
    yield Result(
        f"soil water, {ZONES} zones, {YEARS} y",
        "pyfao56, one zone at a time",
        fastest,
        their_s * ZONES * YEARS / TIMED_YEARS,
        REACH,
        f"theirs from {TIMED_YEARS} years of a zone; equal to {apart:.0e} mm",
    )
