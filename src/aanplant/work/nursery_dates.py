"""When the steps of a nursery order fall, worked back from the month of planting."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from aanplant.tables import rows

STEPS = ("site work", "vines ordered", "vines lifted")
_MONTHS = 12
_HALF_YEAR = 6
_FIFTEENTH = 15
_LEAP_YEAR = 2028


@dataclass(frozen=True, slots=True)
class OrderDate:
    """A step of the order and the months in which it falls.

    Parameters
    ----------
    step : str
        One of ``STEPS``, ``vines planted`` or ``mounds opened``.
    first, last : str
        Months, such as "2026-02", or days, such as "2027-09-26".
    """

    step: str
    first: str
    last: str


def months_before(month: str, count: int) -> str:
    """Month that lies ``count`` months before another, both like "2027-08"."""
    year, _, number = month.partition("-")
    years, index = divmod(int(year) * _MONTHS + int(number) - 1 - count, _MONTHS)
    return f"{years:04d}-{index + 1:02d}"


def order_dates(planting: str, *, mound_weeks: float | None = None) -> tuple[OrderDate, ...]:
    """Return the steps of an order in time; none while the month of planting is open.

    Parameters
    ----------
    planting : str
        Month of planting, such as "2027-08", or "".
    mound_weeks : float, optional
        Weeks from planting within which mounds are opened; there are none when left out.
    """
    if not planting:
        return ()
    found = []
    for step in STEPS:
        row = next(row for row in rows("planting_practice.csv") if row["subject"] == step)
        first, last = (months_before(planting, int(row[end])) for end in ("high", "low"))
        found.append(OrderDate(step, first, last))
    found.append(OrderDate("vines planted", planting, planting))
    if mound_weeks is not None:
        found.append(_mounds_opened(planting, mound_weeks))
    return tuple(found)


def _mounds_opened(planting: str, weeks: float) -> OrderDate:
    """Return the days by which the first and the last vines of the month are uncovered."""
    first = date.fromisoformat(f"{planting}-01")
    last = first.replace(day=monthrange(first.year, first.month)[1])
    wait = timedelta(days=round(weeks * 7))
    return OrderDate("mounds opened", (first + wait).isoformat(), (last + wait).isoformat())


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Days that vines stand in the warm between the cold store and the field.

    Parameters
    ----------
    until : str
        Last day of planting it holds for, such as "08-15"; from the row before it.
    days : int
        Days out of the store. [d]
    note : str
        What else to do.
    """

    until: str
    days: int
    note: str


def warm_up(*, is_south: bool) -> tuple[WarmUp, ...]:
    """Return the days after the store by date of planting; printed for the north.

    Parameters
    ----------
    is_south : bool
        South of the equator every date lies six months later.
    """
    return tuple(
        WarmUp(
            _half_year_later(row["condition"]) if is_south else row["condition"],
            int(row["low"]),
            row["note"],
        )
        for row in rows("planting_practice.csv")
        if row["subject"] == "days after store"
    )


def _half_year_later(month_day: str) -> str:
    month, day = (int(part) for part in month_day.split("-"))
    later = (month + _HALF_YEAR - 1) % _MONTHS + 1
    if day != _FIFTEENTH:  # the end of a month stays the end of a month
        day = monthrange(_LEAP_YEAR, later)[1]
    return f"{later:02d}-{day:02d}"
