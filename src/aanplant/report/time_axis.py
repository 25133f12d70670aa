"""The days of a calendar along a drawing, wider in the months that are full of work."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.style import INK, LINE, SOFT, text_width
from aanplant.report.svg import Drawing

WIDER = 4.0
"""How many times as wide a day of a full month is as one of a quiet month."""
MOST_FULL = 0.6
"""With a greater share of full months, all months are alike."""
HEAD_MM = 12.5
"""Room above the chart for years, months and weeks."""
_LABEL = 2.2
_QUARTER = 3
_MONTHS = 12
_WEEK_MM = 2.7
"""Narrower weeks don't bear the day of their Monday."""

Month = tuple[int, int]
"""Year and month."""


class Stretch(NamedTuple):
    """A month on the axis, and where it begins and ends on paper [mm]."""

    month: Month
    left: float
    right: float
    is_wide: bool


@dataclass(frozen=True)
class TimeAxis:
    """Whole months from the left to the right side of an area.

    Parameters
    ----------
    area : Box
        What the days run across. [mm]
    stretches : tuple of Stretch
        Its months, in order.
    """

    area: Box
    stretches: tuple[Stretch, ...]

    def at(self, day: date) -> float:
        """Where a day begins, held within the axis. [mm]."""
        first, last = self.stretches[0], self.stretches[-1]
        month = (day.year, day.month)
        if month < first.month:
            return first.left
        if month > last.month:
            return last.right
        stretch = self.stretches[_months_between(first.month, month)]
        part = (day.day - 1) / days_in(month)
        return stretch.left + part * (stretch.right - stretch.left)

    def after(self, day: date) -> float:
        """Where a day ends. [mm]."""
        return self.at(day + timedelta(days=1))


def time_axis(area: Box, first: date, last: date, full: Collection[Month] = ()) -> TimeAxis:
    """Lay whole months across an area.

    Parameters
    ----------
    area : Box
        Where. [mm]
    first, last : date
        Days that must be on it.
    full : collection of (int, int)
        Months that are drawn wider.
    """
    start = (first.year, first.month)
    count = _months_between(start, (last.year, last.month)) + 1
    months = [_months_later(start, number) for number in range(count)]
    wide = set(full) & set(months)
    if len(wide) > MOST_FULL * count:
        wide = set()
    weights = [days_in(month) * (WIDER if month in wide else 1.0) for month in months]
    scale, left, stretches = area.width / sum(weights), area.x, []
    for month, weight in zip(months, weights, strict=True):
        right = left + scale * weight
        stretches.append(Stretch(month, left, right, month in wide))
        left = right
    return TimeAxis(area, tuple(stretches))


def draw_head(drawing: Drawing, axis: TimeAxis) -> None:
    """Draw years, months and weeks above the area, and a faint line at every month."""
    area = axis.area
    top = area.y - HEAD_MM
    for stretch in axis.stretches:
        x = stretch.left
        is_year = stretch.month[1] == 1 and x > area.x
        drawing.line(x, top if is_year else top + 4.0, x, area.bottom,
                     stroke=SOFT if is_year else LINE, width=0.3 if is_year else 0.15)  # fmt: skip
        _write_month(drawing, stretch, top + 7.2)
        if stretch.right - stretch.left > _WEEK_MM * 4.0:
            _draw_weeks(drawing, axis, stretch)
    _write_years(drawing, axis, top + 2.8)
    drawing.line(area.x, area.y, area.right, area.y, stroke=INK, width=0.3)
    drawing.line(area.right, top + 4.0, area.right, area.bottom, stroke=LINE, width=0.15)


def _write_month(drawing: Drawing, stretch: Stretch, y: float) -> None:
    name = word(f"month.{stretch.month[1]}")
    width = stretch.right - stretch.left
    if text_width(name, _LABEL) + 0.6 <= width:
        drawing.text((stretch.left + stretch.right) / 2.0, y, name, size=_LABEL, align="middle")
    elif stretch.month[1] % _QUARTER == 1:
        drawing.text(stretch.left + 0.5, y, name, size=_LABEL)


def _write_years(drawing: Drawing, axis: TimeAxis, y: float) -> None:
    years: dict[int, list[Stretch]] = {}
    for stretch in axis.stretches:
        years.setdefault(stretch.month[0], []).append(stretch)
    for year, stretches in years.items():
        left, right = stretches[0].left, stretches[-1].right
        if text_width(str(year), 2.6, "figure") < right - left:
            drawing.text(left + 0.8, y, str(year), size=2.6, face="figure")


def _draw_weeks(drawing: Drawing, axis: TimeAxis, stretch: Stretch) -> None:
    """Mark the Mondays of a month with their day."""
    year, month = stretch.month
    days = [
        date(year, month, 1) + timedelta(days=number) for number in range(days_in((year, month)))
    ]
    for day in days:
        if day.weekday() == 0:
            x = axis.at(day)
            drawing.line(x, axis.area.y - 1.2, x, axis.area.y, stroke=SOFT, width=0.15)
            half = text_width(str(day.day), 1.8) / 2.0
            if axis.area.x < x - half and x + half < stretch.right + half:
                drawing.text(x, axis.area.y - 1.8, str(day.day), size=1.8, align="middle",
                             colour=SOFT)  # fmt: skip


def days_in(month: Month) -> int:
    """Days of a month."""
    year, number = _months_later(month, 1)
    return (date(year, number, 1) - date(month[0], month[1], 1)).days


def _months_between(first: Month, last: Month) -> int:
    return (last[0] - first[0]) * _MONTHS + last[1] - first[1]


def _months_later(month: Month, count: int) -> Month:
    year, number = divmod(month[0] * _MONTHS + month[1] - 1 + count, _MONTHS)
    return year, number + 1
