"""Is the weather fit to plan by: what is wrong with it, and what was done about it.

Every rule either repairs a value, keeps it and says so, or takes it out; all of it is
counted. A fault that runs through a whole column stops the plan, since a wrong unit or
swapped columns would spoil every figure.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.inputs import DailyWeather
from aanplant.site.radiation import clear_sky_radiation, extraterrestrial_radiation

Treatment = Literal["repaired", "kept", "taken out"]
Values = NDArray[np.float64]
Where = NDArray[np.bool_]

LONGEST_BRIDGE = 3
"""Days without a temperature that are bridged by a straight line (practice)."""
JUMP_C = 18.0
"""A day this far above or below both its neighbours is taken for a fault (practice)."""
STUCK_DAYS = 7
"""The very same reading this many days on end is a stuck sensor (practice)."""
STUCK_RAIN_DAYS = 4
DARKEST_PART = 0.02
"""Less radiation than this part of that above the air is no weather but a fault (practice)."""
ABOVE_CLEAR = 1.1
"""Radiation this far above a clear sky's is spoken of; the sensor wants looking at (practice)."""
TOO_MANY = 0.2
"""A fault on more than this part of the days is a fault of the file."""
LONGEST_RECORD_DAYS = 80_000
LIMITS: dict[str, tuple[float, float]] = {
    "tmin_c": (-60.0, 45.0),
    "tmax_c": (-50.0, 58.0),
    "rain_mm": (0.0, 1000.0),
    "wind_m_s": (0.0, 50.0),
    "humidity_min_pct": (0.0, 103.0),
    "humidity_max_pct": (1.0, 103.0),
    "humidity_mean_pct": (1.0, 103.0),
    "dew_point_c": (-60.0, 36.0),
    "vapour_pressure_kpa": (0.0, 6.0),
    "et0_mm": (0.0, 20.0),
}
"""What was ever measured near the ground, widened; outside it stands a fault (practice)."""
MEASURED = (*LIMITS, "radiation_mj_m2")
_FULL = 100.0
_SENSORS = ("tmin_c", "tmax_c", "wind_m_s", "radiation_mj_m2", "dew_point_c", "vapour_pressure_kpa")
_HUMIDITY = ("humidity_min_pct", "humidity_max_pct", "humidity_mean_pct")


@dataclass(frozen=True, slots=True)
class Fault:
    """One kind of fault and what was done about it.

    Parameters
    ----------
    kind : str
        Such as ``gap`` or ``stuck``; a word id ``weather.<kind>``.
    column : str
        Name of the array of ``DailyWeather``, ``date`` for days.
    days : int
        How many.
    first : str
        First day, such as "2024-03-31".
    treatment : {"repaired", "kept", "taken out"}
        What became of the values.
    """

    kind: str
    column: str
    days: int
    first: str
    treatment: Treatment


@dataclass(frozen=True)
class CheckedWeather:
    """Weather day after day without a break, faults taken out.

    Parameters
    ----------
    weather : DailyWeather
        Every day from the first to the last once; nan where nothing is known.
    faults : tuple of Fault
        All that was found.
    """

    weather: DailyWeather
    faults: tuple[Fault, ...]


def check_weather(weather: DailyWeather, *, latitude_deg: float, height_m: float) -> CheckedWeather:
    """Check daily weather; repair, keep or take out what is wrong, and say so.

    Parameters
    ----------
    weather : DailyWeather
        As read.
    latitude_deg, height_m : float
        Where it was measured. [deg, m]

    Raises
    ------
    InputError
        If a fault runs through the file: swapped temperatures, radiation in another unit,
        or values that no weather has.
    """
    whole, found = _every_day_once(weather)
    _refuse_swapped_temperatures(whole)
    checks = _Checks(
        whole.date, {name: np.array(getattr(whole, name)) for name in MEASURED}, list(found)
    )
    checks.values_nothing_has()
    checks.crossed_temperatures()
    checks.jumps_and_stuck_sensors()
    checks.radiation(whole.where, latitude_deg, height_m)
    checks.short_gaps()
    return CheckedWeather(_with(whole, checks.values), tuple(checks.faults))


@dataclass(frozen=True)
class _Checks:
    """The rules in turn, on arrays of their own."""

    day: NDArray[np.datetime64]
    values: dict[str, Values]
    faults: list[Fault]

    def note(self, kind: str, column: str, where: Where, treatment: Treatment) -> None:
        if where.any():
            first = str(self.day[int(np.argmax(where))])
            self.faults.append(Fault(kind, column, int(where.sum()), first, treatment))

    def take_out(self, kind: str, column: str, where: Where) -> None:
        self.note(kind, column, where, "taken out")
        self.values[column][where] = np.nan

    def values_nothing_has(self) -> None:
        for name, (low, high) in LIMITS.items():
            values = self.values[name]
            self.take_out("limits", name, (values < low) | (values > high))
        for name in _HUMIDITY:
            self.note("above_hundred", name, self.values[name] > _FULL, "repaired")
            np.minimum(self.values[name], _FULL, out=self.values[name])

    def crossed_temperatures(self) -> None:
        crossed = self.values["tmin_c"] > self.values["tmax_c"]
        for name in ("tmin_c", "tmax_c"):
            self.take_out("crossed", name, crossed)

    def jumps_and_stuck_sensors(self) -> None:
        for name in ("tmin_c", "tmax_c"):
            self.take_out("jump", name, jumps(self.values[name]))
        for name in (*_SENSORS, *_HUMIDITY):
            values = self.values[name]
            fog = values == _FULL if name in _HUMIDITY else False
            self.take_out("stuck", name, stuck(values, STUCK_DAYS) & ~np.asarray(fog))
        rain = self.values["rain_mm"]
        self.take_out("stuck", "rain_mm", stuck(rain, STUCK_RAIN_DAYS) & (rain > 0.0))

    def radiation(self, where: str, latitude_deg: float, height_m: float) -> None:
        given = self.values["radiation_mj_m2"]
        above_air = extraterrestrial_radiation(latitude_deg, day_of_year(self.day))
        known = ~np.isnan(given)
        too_much = given > above_air
        if known.any() and too_much.sum() > TOO_MANY * known.sum():
            raise InputError(
                where,
                f"more radiation on the ground than above the air on {too_much.sum()} of "
                f"{known.sum()} days",
                "radiation in the unit its header states, measured in this hemisphere",
            )
        self.take_out("radiation_high", "radiation_mj_m2", too_much)
        self.take_out("radiation_low", "radiation_mj_m2", given < DARKEST_PART * above_air)
        bright = given > ABOVE_CLEAR * clear_sky_radiation(above_air, height_m)
        self.note("radiation_bright", "radiation_mj_m2", bright, "kept")

    def short_gaps(self) -> None:
        for name in ("tmin_c", "tmax_c"):
            values, bridged = bridge(self.values[name])
            self.values[name] = values
            self.note("bridged", name, bridged, "repaired")
            self.note("missing", name, np.isnan(values), "kept")


def day_of_year(day: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Day of the year, 1 on 1 January, shape as ``day``."""
    since: NDArray[np.int64] = (day - day.astype("datetime64[Y]")).astype(np.int64)
    return since + 1


def jumps(values: Values) -> Where:
    """Days far above, or far below, the day before and the day after."""
    before, after = values[1:-1] - values[:-2], values[1:-1] - values[2:]
    alone = np.zeros(len(values), dtype=np.bool_)
    alone[1:-1] = (np.minimum(before, after) > JUMP_C) | (np.maximum(before, after) < -JUMP_C)
    return alone


def stuck(values: Values, days: int) -> Where:
    """Days that belong to a run of at least ``days`` equal readings."""
    same = np.concatenate([[False], values[1:] == values[:-1]])
    run = np.cumsum(~same)
    _, of_run, length = np.unique(run, return_inverse=True, return_counts=True)
    return np.asarray((length[of_run] >= days) & ~np.isnan(values))


def bridge(values: Values) -> tuple[Values, Where]:
    """Put a straight line across gaps of up to ``LONGEST_BRIDGE`` days between known days."""
    missing = np.isnan(values)
    if not missing.any() or missing.all():
        return values, np.zeros(len(values), dtype=np.bool_)
    run = np.cumsum(np.concatenate([[True], missing[1:] != missing[:-1]])) - 1
    length = np.bincount(run)
    inside = (run > 0) & (run < run[-1])
    short = missing & (length[run] <= LONGEST_BRIDGE) & inside
    place = np.arange(len(values))
    filled = values.copy()
    filled[short] = np.interp(place[short], place[~missing], values[~missing])
    return filled, short


def _every_day_once(weather: DailyWeather) -> tuple[DailyWeather, list[Fault]]:
    """Sort the days, drop repeated ones, and put empty days in the gaps."""
    order = np.argsort(weather.date, kind="stable")
    date = weather.date[order]
    length = int((date[-1] - date[0]).astype(int)) + 1
    if length > LONGEST_RECORD_DAYS:
        raise InputError(
            weather.where, f"days from {date[0]} to {date[-1]}", "dates of one record of weather"
        )
    columns = {name: getattr(weather, name)[order] for name in MEASURED}
    faults: list[Fault] = []
    back = weather.date[1:] < weather.date[:-1]
    if back.any():
        first = str(weather.date[1:][back][0])
        faults.append(Fault("order", "date", int(back.sum()), first, "repaired"))
    repeated = np.concatenate([[False], date[1:] == date[:-1]])
    if repeated.any():
        differs = np.zeros(len(date), dtype=np.bool_)
        for values in columns.values():
            known = ~np.isnan(values[1:]) & ~np.isnan(values[:-1])
            differs[1:] |= repeated[1:] & known & (values[1:] != values[:-1])
        unsure = np.isin(date, date[differs])
        for values in columns.values():
            values[unsure] = np.nan
        first = str(date[repeated][0])
        same = int(repeated.sum()) - int(differs.sum())
        if same:
            faults.append(Fault("repeated", "date", same, first, "repaired"))
        if differs.any():
            faults.append(
                Fault(
                    "contradicted", "date", int(differs.sum()), str(date[differs][0]), "taken out"
                )
            )
    day = np.arange(date[0], date[-1] + 1)
    at = (date - date[0]).astype(int)
    whole = {name: np.full(length, np.nan) for name in MEASURED}
    for name, values in columns.items():
        known = ~np.isnan(values)
        whole[name][at[known]] = values[known]
    gaps = ~np.isin(day, date)
    if gaps.any():
        faults.append(Fault("gap", "date", int(gaps.sum()), str(day[gaps][0]), "kept"))
    return _with(replace(weather, date=day), whole), faults


def _with(weather: DailyWeather, values: dict[str, Values]) -> DailyWeather:
    return replace(weather, **values)  # type: ignore[arg-type]


def _refuse_swapped_temperatures(weather: DailyWeather) -> None:
    crossed = weather.tmin_c > weather.tmax_c
    known = ~np.isnan(weather.tmin_c) & ~np.isnan(weather.tmax_c)
    if not known.any():
        raise InputError(weather.where, "no day with both temperatures", "daily temperatures")
    if crossed.sum() > TOO_MANY * known.sum():
        raise InputError(
            weather.where,
            f"a lowest temperature above the highest on {crossed.sum()} of {known.sum()} days",
            "the two columns the other way about",
        )
    beyond = (weather.tmax_c > LIMITS["tmax_c"][1]) | (weather.tmin_c < LIMITS["tmin_c"][0])
    if beyond.sum() > TOO_MANY * known.sum():
        raise InputError(
            weather.where,
            f"temperatures such as {np.nanmax(weather.tmax_c):g} °C on {beyond.sum()} days",
            "temperatures in the unit their header states",
        )
