"""The calendar of work drawn: every task on its days, by stage of the job, on one sheet."""

import itertools
from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

from aanplant.messages import fill, show_date, word
from aanplant.report.gantt_key import draw_key
from aanplant.report.gantt_marks import (
    draw_days_off,
    draw_gate_line,
    draw_item,
    gate_of,
    write_dates,
)
from aanplant.report.gantt_strips import (
    Workforce,
    chance_strip,
    last_drawn,
    load_strips,
    strips_height,
)
from aanplant.report.paper import Box
from aanplant.report.style import HEADLAND, INK, LINE, SOFT, fitted
from aanplant.report.svg import Drawing
from aanplant.report.time_axis import HEAD_MM, Month, TimeAxis, draw_head, time_axis
from aanplant.units import show_number
from aanplant.work.task_names import kind_and_delivery, kind_name, task_name
from aanplant.work.tasks import Booked, Calendar
from aanplant.workforce import TASK_GROUPS

WIDTH_MM, HEIGHT_MM = 297.0, 420.0
"""A3 upright; a short calendar leaves its foot off, and one of very many tasks is longer."""
EDGE_MM = 10.0
_NAMES_MM, _CREW_MM, _HOURS_MM = 55.0, 18.0, 11.0
_ROW_MM, _ROW_LEAST_MM = 6.4, 4.0
_TITLE_MM, _KEY_MM = 15.0, 15.0
_LABEL = 2.4
_MOST_ROWS_OF_A_KIND = 4
"""With more deliveries, a task stands for all of them in one row."""
_FULL = 3
"""So many tasks of people or machines begin in a month that is full of work."""


class Row(NamedTuple):
    """A row of the chart: its name, and the tasks on it."""

    name: str
    items: tuple[Booked, ...]


def gantt(calendar: Calendar, workforce: Workforce, *, heading: str, made: date) -> Drawing:
    """Draw the calendar on an upright sheet.

    Parameters
    ----------
    calendar : Calendar
        With tasks in it.
    workforce : Workforce
        For the load of the crews.
    heading : str
        Estate and block.
    made : date
        Stands beside the title.

    Raises
    ------
    ValueError
        If nothing is booked.
    """
    span = calendar.span
    if span is None:
        raise ValueError("nothing is booked")
    groups = grouped(calendar)
    lines = sum(len(rows) + 1 for rows in groups.values())
    below = strips_height(calendar) + _KEY_MM
    above = EDGE_MM + _TITLE_MM + HEAD_MM
    free = HEIGHT_MM - above - below - EDGE_MM
    row_mm = min(_ROW_MM, max(_ROW_LEAST_MM, free / lines))
    height = above + lines * row_mm + below + EDGE_MM
    drawing = Drawing(WIDTH_MM, height, fill("work_file.title_of", block=heading))
    left = EDGE_MM + _NAMES_MM + _CREW_MM + _HOURS_MM
    area = Box(left, above, WIDTH_MM - EDGE_MM - left, lines * row_mm)
    last = max(span[1], last_drawn(calendar))
    axis = time_axis(area, span[0], last, full_months(calendar))
    _write_title(drawing, calendar, heading, made)
    draw_days_off(drawing, axis, calendar.days_off)
    _shade_groups(drawing, axis, groups, row_mm)
    draw_head(drawing, axis)
    gate = gate_of(calendar)
    if gate is not None:
        draw_gate_line(drawing, axis, gate)
    _draw_rows(drawing, axis, groups, calendar, row_mm)
    drawing.line(EDGE_MM, area.bottom, area.right, area.bottom, stroke=INK, width=0.3)
    below_y = chance_strip(drawing, axis, calendar, area.bottom)
    below_y = load_strips(drawing, axis, calendar, below_y, workforce)
    draw_key(drawing, Box(EDGE_MM, below_y + 7.0, WIDTH_MM - 2 * EDGE_MM, _KEY_MM), calendar,
             with_capacity=bool(workforce.crews))  # fmt: skip
    return drawing


def grouped(calendar: Calendar) -> dict[str, tuple[Row, ...]]:
    """Rows by stage of the job, in its order, each stage's in the order of their start."""
    kinds = Counter(kind_and_delivery(item.task)[0] for item in calendar.booked)
    found: dict[str, tuple[Row, ...]] = {}
    for group in TASK_GROUPS:
        rows: dict[str, list[Booked]] = {}
        for item in calendar.booked:
            if item.task.group == group:
                kind = kind_and_delivery(item.task)[0]
                is_shared = kinds[kind] > _MOST_ROWS_OF_A_KIND
                rows.setdefault(kind if is_shared else item.task.id, []).append(item)
        if rows:
            found[group] = tuple(_row(items) for items in rows.values())
    return found


def _row(items: Sequence[Booked]) -> Row:
    first = items[0].task
    if len(items) == 1:
        return Row(task_name(first), tuple(items))
    numbers = [kind_and_delivery(item.task)[1] for item in items]
    return Row(f"{kind_name(first)} {min(numbers)}–{max(numbers)}", tuple(items))


def full_months(calendar: Calendar) -> frozenset[Month]:
    """Months in which much work begins, and a month between two of them."""
    starts = Counter(
        (item.start.year, item.start.month) for item in calendar.booked if item.task.is_worked
    )
    full = {month for month, count in starts.items() if count >= _FULL}
    return frozenset(full | {_next(month) for month in full if _next(_next(month)) in full})


def _next(month: Month) -> Month:
    day = date(*month, 1) + timedelta(days=31)
    return day.year, day.month


def _write_title(drawing: Drawing, calendar: Calendar, heading: str, made: date) -> None:
    top = EDGE_MM + 5.5
    drawing.text(EDGE_MM, top, fitted(heading, 190.0, 6.0, "title"), size=6.0, face="title")
    drawing.text(WIDTH_MM - EDGE_MM, top, fill("work_file.made", day=show_date(made)),
                 size=_LABEL, align="end", colour=SOFT)  # fmt: skip
    first, last = calendar.span or (made, made)
    told = fill("work_file.subtitle", count=len(calendar.booked), first=show_date(first),
                last=show_date(last))  # fmt: skip
    drawing.text(EDGE_MM, top + 5.0, told, size=3.0, colour=SOFT)


def _shade_groups(
    drawing: Drawing, axis: TimeAxis, groups: dict[str, tuple[Row, ...]], row_mm: float
) -> None:
    y = axis.area.y
    for group, rows in groups.items():
        drawing.box(EDGE_MM, y, axis.area.right - EDGE_MM, row_mm, fill=HEADLAND)
        drawing.text(EDGE_MM + 1.0, y + row_mm - 1.4, word(f"work_group.{group}"), size=3.0,
                     face="title")  # fmt: skip
        for number in range(1, len(rows) + 1):
            low = y + (number + 1) * row_mm
            drawing.line(EDGE_MM, low, axis.area.right, low, stroke=LINE, width=0.1)
        y += (len(rows) + 1) * row_mm


def _draw_rows(
    drawing: Drawing,
    axis: TimeAxis,
    groups: dict[str, tuple[Row, ...]],
    calendar: Calendar,
    row_mm: float,
) -> None:
    keeps = {one.number: one.keeps_until for one in calendar.deliveries}
    gate, y = gate_of(calendar), axis.area.y
    crew_x = EDGE_MM + _NAMES_MM
    for rows in groups.values():
        for row in itertools.chain([None], rows):
            if row is not None:
                foot = y + row_mm / 2.0 + 0.85
                drawing.text(EDGE_MM + 1.0, foot, fitted(row.name, _NAMES_MM - 2.0, _LABEL),
                             size=_LABEL)  # fmt: skip
                crews = ", ".join(dict.fromkeys(item.task.crew for item in row.items))
                drawing.text(crew_x, foot, fitted(crews, _CREW_MM - 1.0, 2.1), size=2.1,
                             colour=SOFT)  # fmt: skip
                hours = sum(item.task.person_hours for item in row.items)
                if hours:
                    drawing.text(axis.area.x - 1.5, foot, _hours(hours), size=2.1, align="end",
                                 face="figure", colour=SOFT)  # fmt: skip
                is_single = len(row.items) == 1
                for item in row.items:
                    place = Box(axis.area.x, y, 0.0, row_mm)
                    marks = draw_item(drawing, axis, item, place, keeps if is_single else {})
                    if is_single:
                        write_dates(drawing, axis, item, marks, gate)
            y += row_mm


def _hours(hours: float) -> str:
    return f"{show_number(max(1, round(hours)))} h"
