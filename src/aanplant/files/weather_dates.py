"""The days of a weather file, from one date column or from year, month and day."""

import re
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError

_ISO = re.compile(r"(\d{4})[-/.]?(\d{2})[-/.]?(\d{2})(?:[T ].*)?")
_NUMBERS = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4})")
_LAST_MONTH = 12


def from_texts(texts: Sequence[str], wheres: Sequence[str]) -> NDArray[np.datetime64]:
    """Read dates such as 2024-03-31, 20240331 or 31/03/2024.

    Parameters
    ----------
    texts, wheres : sequence of str
        The cells, and the file and line of each.

    Raises
    ------
    InputError
        If a cell is no date, or the whole column could be day/month or month/day.
    """
    parts = [_ISO.fullmatch(text) for text in texts]
    if all(parts):
        return _days([match.groups() for match in parts if match], wheres)
    mixed = [_NUMBERS.fullmatch(text) for text in texts]
    for match, text, where in zip(mixed, texts, wheres, strict=True):
        if match is None:
            raise InputError(where, repr(text), "a date, all in one form, such as 2024-03-31")
    rows = [match.groups() for match in mixed if match]
    day_first = any(int(first) > _LAST_MONTH for first, _, _ in rows)
    month_first = any(int(second) > _LAST_MONTH for _, second, _ in rows)
    if day_first == month_first:
        raise InputError(
            wheres[0],
            f"dates such as {texts[0]!r}, in which day and month can't be told apart",
            "dates as year-month-day, such as 2024-03-31",
        )
    if day_first:
        return _days([(year, month, day) for day, month, year in rows], wheres)
    return _days([(year, month, day) for month, day, year in rows], wheres)


def from_parts(
    years: Sequence[str], months: Sequence[str], days: Sequence[str], wheres: Sequence[str]
) -> NDArray[np.datetime64]:
    """Read dates from columns of year, month and day.

    Raises
    ------
    InputError
        If a line is no date.
    """
    return _days(list(zip(years, months, days, strict=True)), wheres)


def from_day_of_year(
    years: Sequence[str], days: Sequence[str], wheres: Sequence[str]
) -> NDArray[np.datetime64]:
    """Read dates from columns of year and day of the year, 1 being 1 January.

    Raises
    ------
    InputError
        If a line is no date.
    """
    found = []
    for year, day, where in zip(years, days, wheres, strict=True):
        try:
            first = date(int(year), 1, 1)
            one = first + timedelta(days=int(day) - 1)
        except (ValueError, OverflowError):
            raise _no_date(f"{year} {day}", where) from None
        if one.year != first.year:
            raise _no_date(f"{year} {day}", where)
        found.append(one)
    return np.array(found, dtype="datetime64[D]")


def _days(rows: Sequence[Sequence[str]], wheres: Sequence[str]) -> NDArray[np.datetime64]:
    found = []
    for (year, month, day), where in zip(rows, wheres, strict=True):
        try:
            found.append(date(int(year), int(month), int(day)))
        except (ValueError, OverflowError):
            raise _no_date(f"{year}-{month}-{day}", where) from None
    return np.array(found, dtype="datetime64[D]")


def _no_date(found: str, where: str) -> InputError:
    return InputError(where, repr(found), "a day of the calendar, such as 2024-03-31")
