"""The planting window on a calendar: delivery, last day to begin, bud-break and first heat."""

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot
from aanplant.report.site_words import date_words
from aanplant.report.style import HEADLAND, INK, LINE, PEN, SOFT, text_width
from aanplant.report.svg import Drawing
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.planting_window import day_in, days_between, later

WIDTH_MM = 174.0
_LEFT, _RIGHT, _LINE = 6.0, 6.0, 5.2
_AROUND = 25
_YEAR = 2002


def planting_calendar(record: ClimateRecord) -> Drawing:
    """Draw the window as a bar over the days around it, with what opens and closes it."""
    time, window = record.planting, record.planting.window
    is_south = record.is_south
    dates = {
        "delivery": time.delivery,
        "frost_from": time.frost_from,
        "start_by": window.start_by,
        "bud_break": time.bud_break,
        "early_heat": time.early_heat,
    }
    marks = {name: date for name, date in dates.items() if date}
    every = sorted((*marks.values(), window.opens, window.closes),
                   key=lambda date: day_in(date, _YEAR, is_south=is_south))  # fmt: skip
    first = later(every[0], -_AROUND, is_south=is_south)
    span = days_between(every[0], every[-1], is_south=is_south) + 2 * _AROUND
    height = 12.0 + _LINE * len(marks) + 14.0
    drawing = Drawing(WIDTH_MM, height, word("site_report.planting"))
    area = Box(_LEFT, 2.0, WIDTH_MM - _LEFT - _RIGHT, height - 10.0)
    plot = Plot(area, 0.0, float(span), 0.0, 1.0)

    def at(date: str) -> float:
        return float(plot.across(days_between(every[0], date, is_south=is_south) - 1 + _AROUND))

    top = area.y + 1.0
    if window.days > 0:
        left, right = at(window.opens), at(later(window.closes, 1, is_south=is_south))
        drawing.box(left, top, right - left, 8.0, fill=HEADLAND, stroke=INK, line=0.3)
        text = word("site_report.window_bar").format(
            opens=date_words(window.opens), closes=date_words(window.closes)
        )
        half = text_width(text, 2.8, "figure") / 2.0
        middle = min(max((left + right) / 2.0, area.x + half), area.right - half)
        drawing.text(middle, top + 5.0, text, size=2.8, face="figure", align="middle",
                     halo=0.4)  # fmt: skip
    for number, (name, date) in enumerate(
        sorted(marks.items(), key=lambda item: day_in(item[1], _YEAR, is_south=is_south))
    ):
        _draw_mark(drawing, plot, (at(date), top + 9.0 + _LINE * (number + 1)), name, date)
    _draw_months(drawing, plot, first, span, is_south=is_south)
    return drawing


def _draw_mark(drawing: Drawing, plot: Plot, at: tuple[float, float], name: str, date: str) -> None:
    x, y = at
    colour = PEN if name == "bud_break" else INK
    drawing.line(x, plot.area.y + 9.0, x, plot.area.bottom, stroke=LINE, width=0.2)
    drawing.circle(x, y - 0.8, 0.9, fill=colour)
    text = f"{date_words(date)}, {word(f'site_report.planting.{name}')}"
    is_right = x + 2.2 + text_width(text, LABEL) < plot.area.right
    drawing.text(x + (2.2 if is_right else -2.2), y, text, size=LABEL, colour=colour,
                 align="start" if is_right else "end", halo=0.3)  # fmt: skip


def _draw_months(drawing: Drawing, plot: Plot, first: str, span: int, *, is_south: bool) -> None:
    area = plot.area
    starts = [(day, later(first, day, is_south=is_south)) for day in range(span + 1)]
    ticks = [(day, date) for day, date in starts if date.endswith("-01")]
    plot.foot(drawing, [float(day) for day, _ in ticks], [""] * len(ticks))
    edges = [0, *(day for day, _ in ticks), span]
    names = [starts[0][1], *(date for _, date in ticks)]
    for begin, end, date in zip(edges[:-1], edges[1:], names, strict=True):
        text = word(f"month.{int(date[:2])}")
        room = (end - begin) / span * area.width
        if text_width(text, LABEL) < room:
            x = float(plot.across((begin + end) / 2.0))
            drawing.text(x, area.bottom + 4.2, text, size=LABEL, align="middle", colour=SOFT)
