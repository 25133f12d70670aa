"""On which days the estate works: days of the week, public holidays, its own shutdown."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.workforce import WEEK_DAYS, Crew, WorkCalendar

_HALF_YEAR = 6
_MONTHS = 12
_LEAP_YEAR = 2028


@dataclass(frozen=True, eq=False)
class WorkingDays:
    """An axis of days, and which of them are worked.

    Parameters
    ----------
    first : date
        Day 0.
    is_worked : ndarray of bool, shape (n_days,)
        Whether the estate works.
    holidays : tuple of (date, str)
        Public holidays on the axis, and what they are called.
    shutdown : tuple of date
        Days of the yearly shutdown.
    """

    first: date
    is_worked: NDArray[np.bool_]
    holidays: tuple[tuple[date, str], ...]
    shutdown: tuple[date, ...]

    @property
    def length(self) -> int:
        """Days in all."""
        return len(self.is_worked)

    def index(self, day: date) -> int:
        """Place of a day on the axis, also before and behind it."""
        return (day - self.first).days

    def day(self, index: int) -> date:
        """Day at a place."""
        return self.first + timedelta(days=index)


def working_days(rules: WorkCalendar, first: date, length: int) -> WorkingDays:
    """Lay out the days.

    Parameters
    ----------
    rules : WorkCalendar
        Of the estate.
    first : date
        Day 0.
    length : int
        How many. [d]

    Raises
    ------
    InputError
        If the country or its part is not known, or no day at all is left to work on.
    """
    days = [first + timedelta(days=number) for number in range(length)]
    named = public_holidays(rules.holidays, range(first.year, days[-1].year + 1))
    kept = tuple((day, named[day]) for day in days if day in named)
    shut = tuple(day for day in days if any(_between(day, *span) for span in rules.shutdown))
    off = {day for day, _ in kept} | set(shut)
    week = {number for number, name in enumerate(WEEK_DAYS) if name in rules.work_days}
    is_worked = np.array([day.weekday() in week and day not in off for day in days], dtype=bool)
    if not is_worked.any():
        raise InputError(
            "estate.toml: calendar.shutdown",
            "a shutdown that leaves no day to work on",
            "days on which the estate works",
        )
    return WorkingDays(first, is_worked, kept, shut)


def public_holidays(country: str, years: Sequence[int]) -> dict[date, str]:
    """Public holidays of a country, none while no country is named.

    Raises
    ------
    InputError
        If the country or its part is not known.
    """
    if not country:
        return {}
    import holidays as calendars  # noqa: PLC0415 - needed only where a country is named

    name, _, part = country.partition("-")
    try:
        found = calendars.country_holidays(name, subdiv=part or None, years=list(years))
    except NotImplementedError:
        raise InputError(
            "estate.toml: calendar.holidays",
            repr(country),
            'a country, or a part of it, whose holidays are known, such as "ZA" or "US-CA"',
        ) from None
    return {day: str(found[day]) for day in sorted(found)}


def crew_days(days: WorkingDays, crew: Crew) -> NDArray[np.bool_]:
    """Days on which a crew works here, shape (n_days,)."""
    mask = days.is_worked.copy()
    if crew.start is not None:
        mask[: max(0, days.index(crew.start))] = False
    if crew.until is not None:
        mask[max(0, days.index(crew.until) + 1) :] = False
    for first, last in crew.away:
        mask[max(0, days.index(first)) : max(0, days.index(last) + 1)] = False
    return mask


def season(days: WorkingDays, first: str, last: str, *, is_south: bool) -> NDArray[np.int64]:
    """Tell the number of the season each day lies in, 0 outside, shape (n_days,).

    Parameters
    ----------
    days : WorkingDays
        The axis.
    first, last : str
        Days of the year as they are south of the equator, such as "02-01".
    is_south : bool
        North of it, they lie half a year later.
    """
    ends = [one if is_south else half_year_later(one) for one in (first, last)]
    inside = np.array([_between(days.day(number), *ends) for number in range(days.length)])
    begins = inside & ~np.concatenate([[False], inside[:-1]])
    return np.where(inside, np.cumsum(begins), 0).astype(np.int64)


def half_year_later(month_day: str) -> str:
    """Day of the year half a year later; the end of a month stays the end of one."""
    month, day = (int(part) for part in month_day.split("-"))
    later = (month + _HALF_YEAR - 1) % _MONTHS + 1
    if day == _last_day(month):
        day = _last_day(later)
    return f"{later:02d}-{min(day, _last_day(later)):02d}"


def _last_day(month: int) -> int:
    following = date(_LEAP_YEAR, month, 28) + timedelta(days=4)
    return (following.replace(day=1) - timedelta(days=1)).day


def _between(day: date, first: str, last: str) -> bool:
    """Whether a day lies between two days of the year, which may hold the new year."""
    own = day.isoformat()[5:]
    return first <= own <= last if first <= last else own >= first or own <= last
