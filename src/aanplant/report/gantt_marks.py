"""The marks of the calendar's drawing: bars, float, gate, deliveries and days off."""

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from aanplant.messages import fill, show_date, show_day
from aanplant.report.paper import Box
from aanplant.report.style import INK, LINE, SHEET, SOFT, WATER, WATER_TINT, text_width
from aanplant.report.svg import Drawing
from aanplant.report.time_axis import TimeAxis
from aanplant.work.listed import GATE
from aanplant.work.task_names import kind_and_delivery
from aanplant.work.tasks import Booked, Calendar

RECEIVE, PLANT = "receive", "plant"
_THIN_MM = 0.9
"""No bar is drawn narrower."""
_LABEL = 1.9
_LONG = 4
"""So many days off in a run are hatched as one."""
_HATCH_MM = 1.3
_POINT_MM = 1.3


def draw_item(
    drawing: Drawing,
    axis: TimeAxis,
    item: Booked,
    row: Box,
    keeps: Mapping[int, date],
) -> Box:
    """Draw a task on its row, its days and those it may slip; return where its marks lie.

    Parameters
    ----------
    drawing : Drawing
        On which.
    axis : TimeAxis
        Of days.
    item : Booked
        The task.
    row : Box
        Its height counts. [mm]
    keeps : mapping of int to date
        By number of delivery, how long the store keeps its vines well.
    """
    left = axis.at(item.start)
    right = max(axis.after(item.end), left + _THIN_MM)
    middle, half = row.y + row.height / 2.0, min(1.45, row.height / 2.0 - 0.6)
    slack = axis.after(item.end + timedelta(days=item.float_days))
    if item.float_days and slack > right:
        float_line(drawing, right, slack, middle)
    kind, number = kind_and_delivery(item.task)
    if item.task.id == GATE:
        gate_mark(drawing, left, middle, half + 0.3)
        right = left + 3.0
    elif not item.task.is_worked and item.start == item.end:
        diamond(drawing, left, middle, half, is_filled=item.float_days == 0)
        left, right = left - half, left + half
    else:
        bar(drawing, Box(left, middle - half, right - left, 2.0 * half), item)
    if number and kind == RECEIVE:
        delivery_mark(drawing, left, middle - half)
    ends = max(right, slack)
    if number and kind == PLANT and number in keeps:
        until = axis.after(keeps[number])
        keep_mark(drawing, until, middle, half)
        ends = max(ends, until)
    return Box(left, row.y, ends - left, row.height)


def write_dates(
    drawing: Drawing,
    axis: TimeAxis,
    item: Booked,
    marks: Box,
    gate: date | None,
) -> None:
    """Write a task's dates behind its marks, or before them where the gate or the edge is near.

    Parameters
    ----------
    drawing, axis, item
        As those of ``draw_item``.
    marks : Box
        Where its marks lie, as high as its row. [mm]
    gate : date or None
        Its line is kept free of words.
    """
    told = days_short(item.start, item.end)
    width = text_width(told, _LABEL)
    left, right = marks.right + 2.2, marks.right + 2.2 + width
    at_gate = axis.at(gate) if gate is not None else right
    fits = right < axis.area.right and not left - 1.0 < at_gate < right
    if not fits and marks.x - 1.2 - width < axis.area.x:
        fits = True
    foot = marks.y + marks.height / 2.0 + 0.65
    drawing.text(left if fits else marks.x - 1.2, foot, told, size=_LABEL,
                 align="start" if fits else "end", colour=SOFT, halo=0.2)  # fmt: skip


def bar(drawing: Drawing, area: Box, item: Booked) -> None:
    """Draw the days of a task: solid and pointed without a day to spare, hatched while waiting."""
    is_tight = item.float_days == 0
    if not item.task.is_worked:
        drawing.box(area.x, area.y, area.width, area.height, fill=SHEET, stroke=INK,
                    line=0.45 if is_tight else 0.15)  # fmt: skip
        hatch(drawing, area, INK if is_tight else SOFT, 0.25 if is_tight else 0.15)
    elif is_tight:
        drawing.path(pointed(area), fill=INK, name="tight")
    else:
        drawing.box(area.x, area.y + 0.2, area.width, area.height - 0.4, fill=WATER_TINT,
                    stroke=WATER, line=0.25)  # fmt: skip


def pointed(area: Box) -> str:
    """Path data of a bar that runs out into a point beyond its last day."""
    middle = area.y + area.height / 2.0
    return (
        f"M{area.x:.3f} {area.y:.3f}H{area.right:.3f}L{area.right + _POINT_MM:.3f} {middle:.3f}"
        f"L{area.right:.3f} {area.bottom:.3f}H{area.x:.3f}z"
    )


def hatch(drawing: Drawing, area: Box, stroke: str, width: float) -> None:
    """Draw slanting strokes inside a rectangle."""
    rise, parts = area.height, []
    start = area.x - rise
    for number in range(math.ceil((area.width + rise) / _HATCH_MM)):
        x = start + _HATCH_MM * number
        low, high = max(x, area.x), min(x + rise, area.right)
        if high > low:
            parts.append(f"M{low:.3f} {area.bottom - (low - x):.3f}"
                         f"L{high:.3f} {area.bottom - (high - x):.3f}")  # fmt: skip
    drawing.path("".join(parts), stroke=stroke, width=width)


def float_line(drawing: Drawing, left: float, right: float, y: float) -> None:
    """Draw the days a task may slip: a thin line with a stroke at its end."""
    drawing.path(f"M{left:.3f} {y:.3f}H{right:.3f}M{right:.3f} {y - 0.8:.3f}v1.6", stroke=SOFT,
                 width=0.2, name="float")  # fmt: skip


def diamond(drawing: Drawing, x: float, y: float, half: float, *, is_filled: bool) -> None:
    """Draw a day at the desk: a square on its corner."""
    drawing.path(
        f"M{x:.3f} {y - half:.3f}l{half:.3f} {half:.3f}l{-half:.3f} {half:.3f}"
        f"l{-half:.3f} {-half:.3f}z",
        fill=INK if is_filled else SHEET, stroke=INK, width=0.3,
    )  # fmt: skip


def delivery_mark(drawing: Drawing, x: float, y: float) -> None:
    """Draw the arrival of vines: a triangle that stands on its point."""
    drawing.path(f"M{x - 1.3:.3f} {y - 0.7:.3f}h2.6l-1.3 2.2z", fill=SHEET, stroke=INK, width=0.35,
                 name="delivery")  # fmt: skip


def keep_mark(drawing: Drawing, x: float, y: float, half: float) -> None:
    """Draw the last day the store keeps the vines well: two strokes, as a door shut."""
    drawing.path(f"M{x:.3f} {y - half:.3f}v{2 * half:.3f}M{x + 0.7:.3f} {y - half:.3f}"
                 f"v{2 * half:.3f}", stroke=INK, width=0.3, name="keeps")  # fmt: skip


def gate_mark(drawing: Drawing, x: float, y: float, half: float) -> None:
    """Draw a field gate: two posts, three rails and a brace."""
    wide = 1.7 * half
    rails = "".join(
        f"M{x - wide:.3f} {y + part * half:.3f}h{2 * wide:.3f}" for part in (-0.6, 0.0, 0.6)
    )
    plate = f"M{x - wide:.3f} {y - half:.3f}h{2 * wide:.3f}v{2 * half:.3f}h{-2 * wide:.3f}z"
    drawing.path(plate, fill=SHEET)
    drawing.path(rails + f"M{x - wide:.3f} {y + 0.6 * half:.3f}L{x + wide:.3f} "
                 f"{y - 0.6 * half:.3f}", stroke=INK, width=0.2)  # fmt: skip
    posts = f"M{x - wide:.3f} {y - half:.3f}v{2 * half:.3f}M{x + wide:.3f} {y - half:.3f}"
    drawing.path(f"{posts}v{2 * half:.3f}", stroke=INK, width=0.55, name="gate")


def gate_of(calendar: Calendar) -> date | None:
    """Day from which the vines may leave the store, None without a gate."""
    return next((item.start for item in calendar.booked if item.task.id == GATE), None)


def draw_gate_line(drawing: Drawing, axis: TimeAxis, day: date) -> None:
    """Draw the gate through all rows; before it no vine leaves the store."""
    x, area = axis.at(day), axis.area
    drawing.line(x, area.y, x, area.bottom, stroke=INK, width=0.35, dash="2 0.8")
    told = fill("work_file.gate_on", day=show_date(day))
    half = text_width(told, 2.3, "figure") / 2.0
    middle = min(max(x, area.x + half), area.right - half)
    drawing.text(middle, area.y - 14.2, told, size=2.3, face="figure", align="middle")
    drawing.line(x, area.y - 13.4, x, area.y, stroke=INK, width=0.35, dash="2 0.8")


def draw_days_off(drawing: Drawing, axis: TimeAxis, days: Sequence[date]) -> None:
    """Shade public holidays, and hatch what lies shut for longer."""
    for first, last in _runs(days):
        left, right = axis.at(first), axis.after(last)
        area = Box(left, axis.area.y, right - left, axis.area.height)
        if (last - first).days + 1 >= _LONG:
            shut_mark(drawing, area)
        else:
            drawing.box(area.x, area.y, max(area.width, 0.2), area.height, fill=LINE)


def shut_mark(drawing: Drawing, area: Box) -> None:
    """Hatch the days on which the estate is shut."""
    drawing.clip(area.x, area.y, area.width, area.height)
    _wide_hatch(drawing, area)
    drawing.unclip()


def _wide_hatch(drawing: Drawing, area: Box) -> None:
    count = math.ceil((area.height + area.width) / 2.0)
    parts = [f"M{area.x:.3f} {area.y + 2.0 * number:.3f}l{area.width:.3f} {-area.width:.3f}"
             for number in range(count + 1)]  # fmt: skip
    drawing.path("".join(parts), stroke=LINE, width=0.3)


def _runs(days: Sequence[date]) -> Iterator[tuple[date, date]]:
    """First and last day of each run of days one behind the other."""
    first = last = None
    for day in sorted(days):
        if first is None or last is None or (day - last).days > 1:
            if first is not None and last is not None:
                yield first, last
            first = day
        last = day
    if first is not None and last is not None:
        yield first, last


def days_short(start: date, end: date) -> str:
    """Write first and last day, with the year where it changes: 3 Aug, or 3 Aug–9 Sep."""
    if start.year != end.year:
        return f"{show_date(start)}–{show_date(end)}"
    told = [show_day(day.isoformat()[5:], is_short=True) for day in dict.fromkeys((start, end))]
    return "–".join(told)
