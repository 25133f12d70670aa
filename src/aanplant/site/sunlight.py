"""How long the days are at a block, and how much sunlight they bring."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.inputs import DailyWeather
from aanplant.site.frame import Frame
from aanplant.site.radiation import extraterrestrial_radiation
from aanplant.site.sky import Sky, clear_sky, hours, measured_sky
from aanplant.site.sun import day_length_h
from aanplant.working import Finding, Input, Working

Numbers = NDArray[np.float64]

MID_MONTH_DAYS = np.array([15, 46, 75, 105, 135, 162, 198, 228, 259, 289, 319, 345], dtype=float)
"""Days of the year whose declination is near the mean of each month (FAO-56, annex 2)."""
DAYS_IN_MONTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], dtype=float)
JUNE_SOLSTICE, DECEMBER_SOLSTICE = 172, 355
_FEWEST_DAYS = 25
"""Measured days that make the mean of a calendar month."""


@dataclass(frozen=True)
class Sunlight:
    """Sunlight at a block.

    Parameters
    ----------
    latitude_deg : float
        North positive. [deg]
    monthly_mj_m2 : ndarray, shape (12,), or None
        Mean measured sunlight of a day in each month; None where clear days are reckoned. [MJ/m2]
    figures, findings
        What there is to say.
    """

    latitude_deg: float
    monthly_mj_m2: Numbers | None
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def is_measured(self) -> bool:
        """Whether the sunlight was measured."""
        return self.monthly_mj_m2 is not None

    def sky(self, day_of_year: ArrayLike, stretches: int = 24) -> Sky:
        """Sun and light of days of the year, measured months read off between their middles."""
        days = np.asarray(day_of_year, dtype=np.float64)
        if self.monthly_mj_m2 is None:
            return clear_sky(self.latitude_deg, days, hours(stretches))
        daily = np.interp(days, MID_MONTH_DAYS, self.monthly_mj_m2, period=365.0)
        above = extraterrestrial_radiation(self.latitude_deg, days)
        return measured_sky(self.latitude_deg, days, hours(stretches), np.minimum(daily, above))


def survey_sunlight(weather: DailyWeather | None, frame: Frame) -> Sunlight:
    """Tell the sunlight of a block from its latitude, and from measured days where there are any.

    Parameters
    ----------
    weather : DailyWeather or None
        Daily weather, whose solar radiation counts where every month has 25 days of it.
    frame : Frame
        The block's own grid.
    """
    latitude = frame.latitude_deg
    monthly = None if weather is None else monthly_means(weather, latitude)
    where = "" if weather is None else weather.where
    return Sunlight(latitude, monthly, _figures(latitude, monthly, where))


def monthly_means(weather: DailyWeather, latitude_deg: float) -> Numbers | None:
    """Mean measured sunlight of a day by month, shape (12,); None if a month has too few. [MJ/m2].

    Days with more sunlight than there is above the air, or less than none, are left out.
    """
    first_of_year = weather.date.astype("datetime64[Y]")
    day = (weather.date - first_of_year).astype(np.float64) + 1.0
    month = weather.date.astype("datetime64[M]").astype(np.int64) % 12
    measured = weather.radiation_mj_m2
    known = np.isfinite(measured) & (measured >= 0.0)
    known &= np.where(known, measured, 0.0) <= extraterrestrial_radiation(latitude_deg, day)
    count = np.bincount(month[known], minlength=12)
    if count.min() < _FEWEST_DAYS:
        return None
    return np.asarray(np.bincount(month[known], weights=measured[known], minlength=12) / count)


def _figures(latitude_deg: float, monthly: Numbers | None, where: str) -> tuple[Working, ...]:
    summer, winter = JUNE_SOLSTICE, DECEMBER_SOLSTICE
    if latitude_deg < 0.0:
        summer, winter = winter, summer
    latitude = Input("latitude", latitude_deg, "deg", "measured")
    made = []
    for longest, clear, day, about in (
        ("site.day_length_longest", "site.clear_day_midsummer", summer, "the longest day"),
        ("site.day_length_shortest", "site.clear_day_midwinter", winter, "the shortest day"),
    ):
        at = (latitude, Input("day_of_year", day, "", "measured"))
        length = float(day_length_h(day, latitude_deg))
        made.append(
            Working(longest, length, "h", at, "almanac", about=about, message="site.day_length")
        )
        sky = clear_sky(latitude_deg, [day], hours(288))
        light = sky.beam_w_m2 * np.sin(np.radians(sky.elevation_deg)) + sky.diffuse_w_m2
        energy = float(light.sum()) * sky.mj_a_stretch
        made.append(
            Working(clear, energy, "MJ/m2", at, "haurwitz", about=about, message="site.clear_day")
        )
    if monthly is not None:
        year = float(monthly @ DAYS_IN_MONTH)
        days = Input("measured_days", where, "", f"file:{where}")
        made.append(Working("site.measured_sunlight", year, "MJ/m2", (days,), "measured"))
    return tuple(made)
