"""Below the calendar's drawing: the chance of finishing, and the hours of each crew by week."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from aanplant.messages import fill, show_date, word
from aanplant.report.paper import Box
from aanplant.report.plot import round_ticks
from aanplant.report.style import INK, LINE, PEN, SHEET, SOFT, WATER, WATER_TINT, fitted, text_width
from aanplant.report.svg import Drawing
from aanplant.report.time_axis import TimeAxis
from aanplant.units import show, show_number
from aanplant.work.tasks import Booked, Calendar
from aanplant.workforce import WEEK_DAYS, Crew, Labour, WorkCalendar

MARKED = (0.1, 0.5, 0.9)
"""Chances whose days are marked."""
_DRAWN_TO = 0.99
_CHANCE_MM, _CREW_MM, _GAP_MM = 20.0, 11.0, 6.0
_LABEL = 2.1
_LEFT_MM = 10.0


@dataclass(frozen=True)
class Workforce:
    """Who there is to do the work.

    Parameters
    ----------
    crews : tuple of Crew
        Of the estate.
    labour : Labour
        Hours of a day.
    rules : WorkCalendar
        Days of the week on which they work.
    """

    crews: tuple[Crew, ...]
    labour: Labour
    rules: WorkCalendar


def strips_height(calendar: Calendar) -> float:
    """Room that all strips take below the rows. [mm]."""
    chance = _CHANCE_MM + _GAP_MM if calendar.chance else 0.0
    crews = crews_of(calendar)
    return chance + (len(crews) * (_CREW_MM + 1.5) + _GAP_MM if crews else 0.0)


def crews_of(calendar: Calendar) -> tuple[str, ...]:
    """Return the names of those who work, in the order they begin."""
    return tuple(dict.fromkeys(item.task.crew for item in calendar.booked
                               if item.task.crew and item.task.person_hours))  # fmt: skip


def last_drawn(calendar: Calendar) -> date:
    """Last day that the chance of finishing needs on the axis."""
    days = [one.day for one in calendar.chance]
    sure = [one.day for one in calendar.chance if one.probability >= _DRAWN_TO]
    kept = [one.keeps_until for one in calendar.deliveries]
    return max([*(sure[:1] or days[-1:]), *kept], default=date.min)


def day_of_chance(calendar: Calendar, probability: float) -> date | None:
    """First day by which planting ends with at least a chance; None where it is never reached."""
    return next((one.day for one in calendar.chance if one.probability >= probability), None)


def chance_strip(drawing: Drawing, axis: TimeAxis, calendar: Calendar, top: float) -> float:
    """Draw how likely all is planted by each day; return the y below it. [mm]."""
    if not calendar.chance:
        return top
    area = Box(axis.area.x, top + _GAP_MM, axis.area.width, _CHANCE_MM)
    drawing.text(_LEFT_MM + 1.0, area.y + 3.0, word("work_file.chance"), size=2.4, face="figure")
    for share in (0.0, 0.5, 1.0):
        y = area.bottom - share * area.height
        drawing.line(area.x, y, area.right, y, stroke=LINE, width=0.15)
        drawing.text(area.x - 1.5, y + 0.7, show(round(100.0 * share), "%"), size=_LABEL,
                     align="end", colour=SOFT)  # fmt: skip
    height = area.bottom
    shape = [f"M{area.x:.3f} {height:.3f}"]
    for one in calendar.chance:
        x, y = axis.after(one.day), area.bottom - one.probability * area.height
        shape.append(f"L{x:.3f} {height:.3f}L{x:.3f} {y:.3f}")
        height = y
    drawing.path("".join(shape) + f"H{area.right:.3f}", stroke=PEN, width=0.45, name="chance")
    for number, probability in enumerate(MARKED):
        day = day_of_chance(calendar, probability)
        if day is None:
            continue
        x = axis.after(day)
        y = area.bottom - probability * area.height
        drawing.circle(x, y, 0.9, fill=SHEET, stroke=PEN, width=0.4)
        told = fill("work_file.chance_by", chance=show(round(100.0 * probability), "%"),
                    day=show_date(day))  # fmt: skip
        at_left = x - 2.0 - text_width(told, _LABEL, "figure") > area.x
        drawing.text(x - 2.0 if at_left else x + 2.0, y + (0.8 if number else -0.4), told,
                     size=_LABEL, face="figure", colour=PEN, align="end" if at_left else "start",
                     halo=0.3)  # fmt: skip
    return area.bottom


def load_strips(
    drawing: Drawing,
    axis: TimeAxis,
    calendar: Calendar,
    top: float,
    workforce: Workforce,
) -> float:
    """Draw each crew's hours by week beside what it can give; return the y below. [mm]."""
    names = crews_of(calendar)
    if not names:
        return top
    people = {crew.name: crew.people for crew in workforce.crews}
    rules = workforce.rules
    y = top + _GAP_MM
    drawing.text(_LEFT_MM + 1.0, y + 3.0, word("work_file.load"), size=2.4, face="figure")
    for number, name in enumerate(names):
        area = Box(axis.area.x, y + number * (_CREW_MM + 1.5), axis.area.width, _CREW_MM)
        weeks = week_hours(calendar, name, rules)
        room = people.get(name, 0) * workforce.labour.hours_per_day * len(rules.work_days)
        most = max([*weeks.values(), room, 1.0])
        _draw_load(drawing, axis, area, weeks, most)
        if room:
            level = area.bottom - room / most * area.height
            drawing.line(area.x, level, area.right, level, stroke=PEN, width=0.25, dash="1.2 0.8")
        told = fill("work_file.crew", crew=name, count=people[name]) if name in people else name
        drawing.text(area.x - 12.0, area.bottom - 0.8, fitted(told, 45.0, _LABEL), size=_LABEL,
                     align="end")  # fmt: skip
        drawing.line(area.x, area.bottom, area.right, area.bottom, stroke=INK, width=0.2)
        for tick in round_ticks(0.0, most, 2)[1:]:
            level = area.bottom - tick / most * area.height
            drawing.text(area.x - 1.5, level + 0.7, show_number(tick), size=1.8, align="end",
                         colour=SOFT)  # fmt: skip
    return y + len(names) * (_CREW_MM + 1.5) - 1.5


def _draw_load(
    drawing: Drawing, axis: TimeAxis, area: Box, weeks: dict[date, float], most: float
) -> None:
    for monday, hours in weeks.items():
        left, right = axis.at(monday), axis.at(monday + timedelta(days=7))
        height = hours / most * area.height
        drawing.box(left, area.bottom - height, max(right - left, 0.2), height, fill=WATER_TINT,
                    stroke=WATER, line=0.15)  # fmt: skip


def week_hours(calendar: Calendar, crew: str, rules: WorkCalendar) -> dict[date, float]:
    """Hours of a crew by week, each week by its Monday; a task's are spread over its days. [h]."""
    found: dict[date, float] = {}
    for item in calendar.booked:
        if item.task.crew == crew and item.task.person_hours:
            days = worked_days(item, calendar.days_off, rules)
            for day in days:
                monday = day - timedelta(days=day.weekday())
                found[monday] = found.get(monday, 0.0) + item.task.person_hours / len(days)
    return dict(sorted(found.items()))


def worked_days(item: Booked, days_off: Sequence[date], rules: WorkCalendar) -> tuple[date, ...]:
    """Days from a task's first to its last on which the estate works, all where it never does."""
    count = (item.end - item.start).days + 1
    days = tuple(item.start + timedelta(days=number) for number in range(count))
    off = frozenset(days_off)
    worked = tuple(
        day for day in days if WEEK_DAYS[day.weekday()] in rules.work_days and day not in off
    )
    return worked or days
