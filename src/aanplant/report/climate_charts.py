"""The weather of a place as charts: a mean year, the heat of every season, frost in spring."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from aanplant import tables
from aanplant.messages import fill, word
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, broken_line, round_ticks
from aanplant.report.site_words import date_words
from aanplant.report.style import HEADLAND, INK, LINE, PEN, SHEET, SOFT, WATER, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.climate_years import YearTable
from aanplant.site.frost import FEWEST_YEARS, day_of_spring, month_day
from aanplant.site.monthly import MONTHS, by_month
from aanplant.site.trend_band import trend_band
from aanplant.units import UnitSystem, show_number, shown_in

WIDTH_MM = 174.0
_LEFT, _RIGHT = 16.0, 6.0
_BROAD = WIDTH_MM - _LEFT - _RIGHT
HEAT = "degree_days_oct_apr"
_DASHES = ("", "2.4 0.9", "0.7 0.7", "3 0.7 0.7 0.7")


def monthly_climate(record: ClimateRecord, *, system: UnitSystem = "metric") -> Drawing:
    """Draw a mean year: temperatures above, rain and evapotranspiration below.

    The year begins with the month after midwinter: July in the south, January in the north.
    """
    weather = record.checked.weather
    months = by_month(
        weather.date, weather.rain_mm, record.demand.et0_mm, weather.tmin_c, weather.tmax_c
    )
    first = 6 if record.is_south else 0
    order = (np.arange(MONTHS) + first) % MONTHS
    middle = np.arange(MONTHS) + 0.5
    drawing = Drawing(WIDTH_MM, 73.5, word("site_report.monthly"))
    warm = Box(_LEFT, 7.0, _BROAD, 22.0)
    low, high = months.tmin_c[order], months.tmax_c[order]
    both = np.concatenate([low, high])
    plot = _plot(warm, 0.0, 12.0, min(float(np.nanmin(both)), 0.0), float(np.nanmax(both)))
    plot.levels(drawing, round_ticks(plot.low, plot.high))
    if not np.isnan(both).any():
        drawing.path(plot.band(middle, low, high), fill=HEADLAND, name="temperatures")
    for values, name in ((high, "warmest"), (low, "coldest")):
        drawing.path(plot.curve(middle, values), stroke=INK, width=0.35, name=name)
    for values, text, lift in ((high, "month_high", -1.4), (low, "month_low", 3.2)):
        if not np.isnan(values[-1]):
            x, y = plot.places([middle[-1]], [values[-1]])[0].tolist()
            drawing.text(
                min(x + 4.0, warm.right), y + lift, word(f"site_report.{text}"), size=LABEL,
                align="end", colour=SOFT, halo=0.3,
            )  # fmt: skip
    plot.heading(drawing, word("site_report.month_temperature"))
    _draw_water(drawing, months.rain_mm[order], months.et0_mm[order], system)
    names = [word(f"month.{number + 1}") for number in order.tolist()]
    wet = Plot(Box(_LEFT, 40.0, _BROAD, 28.0), 0.0, 12.0, 0.0, 1.0)
    for x, name in zip(wet.across(middle).tolist(), names, strict=True):
        drawing.text(x, wet.area.bottom + 4.0, name, size=LABEL, align="middle", colour=SOFT)
    drawing.line(_LEFT, wet.area.bottom, wet.area.right, wet.area.bottom, width=0.2)
    return drawing


def _draw_water(
    drawing: Drawing, rain: NDArray[np.float64], et0: NDArray[np.float64], system: UnitSystem
) -> None:
    factor, unit = shown_in(1.0, "mm", system)
    area = Box(_LEFT, 40.0, _BROAD, 28.0)
    rain, et0 = rain * factor, et0 * factor
    both = np.concatenate([rain, et0])
    top = float(np.nanmax(both)) if np.isfinite(both).any() else 1.0
    plot = Plot(area, 0.0, 12.0, 0.0, 1.05 * max(top, 1e-3))
    plot.levels(drawing, round_ticks(0.0, plot.high))
    for number in range(MONTHS):
        for value, start, name in ((rain, 0.14, "rain"), (et0, 0.52, "et0")):
            height = float(value[number])
            if np.isnan(height):
                continue
            (x1, y1), (x2, y2) = plot.places(
                [number + start, number + start + 0.34], [height, 0.0]
            ).tolist()  # fmt: skip
            fill, stroke = (WATER, WATER) if name == "rain" else (SHEET, INK)
            shape = f"M{x1:.3f} {y1:.3f}H{x2:.3f}V{y2:.3f}H{x1:.3f}z"
            drawing.path(shape, fill=fill, stroke=stroke, width=0.2, name=name)
    plot.heading(drawing, word("site_report.month_water").format(unit=unit))
    x = area.right
    for text, fill, stroke in (("month_et0", SHEET, INK), ("month_rain", WATER, WATER)):
        width = text_width(word(f"site_report.{text}"), LABEL)
        drawing.text(x, area.y - 2.4, word(f"site_report.{text}"), size=LABEL, align="end")
        drawing.box(x - width - 3.2, area.y - 4.2, 2.0, 2.0, fill=fill, stroke=stroke)
        x -= width + 7.0


def heat_years(table: YearTable) -> Drawing:
    """Draw the heat sum of every season, its trend with its range, and the limits of classes."""
    values, years = table.columns[HEAT], table.harvest_year.astype(np.float64)
    known = ~np.isnan(values)
    if not known.any():
        raise ValueError("no season has a heat sum")
    drawing = Drawing(WIDTH_MM, 59.0, word("site_report.heat"))
    area = Box(_LEFT, 7.0, _BROAD - 26.0, 42.0)
    band = trend_band(years, values)
    shown = values[known] if band is None else np.concatenate([values[known], band.low, band.high])
    low, high = float(shown.min()), float(shown.max())
    limits = [limit for limit, _ in heat_classes() if low - 150.0 < limit < high + 150.0]
    low, high = min([low, *limits]), max([high, *limits])
    edge = 0.6
    plot = _plot(area, years[known].min() - edge, years[known].max() + edge, low, high)
    if band is not None:
        drawing.path(plot.band(band.year, band.low, band.high), fill=HEADLAND, name="band")
    plot.levels(drawing, round_ticks(plot.low, plot.high, 5))
    _draw_classes(drawing, plot)
    if band is not None:
        drawing.path(plot.curve(band.year, band.line), stroke=PEN, width=0.35, dash="2 0.8",
                     name="trend")  # fmt: skip
    places = plot.places(years, values)
    drawing.path(broken_line(places), stroke=SOFT, width=0.18, name="seasons")
    for x, y in places[known].tolist():
        drawing.circle(x, y, 0.85, fill=INK)
    every = [float(year) for year in years[known].tolist()]
    plot.foot(drawing, every, [f"{year:.0f}" for year in every])
    plot.heading(drawing, word("site_report.heat_axis"))
    drawing.text(area.right, area.bottom + 8.0, word("site_report.harvest_year"), size=LABEL,
                 align="end", colour=SOFT)  # fmt: skip
    if band is not None:
        drawing.box(area.x, area.bottom + 6.2, 4.0, 2.2, fill=HEADLAND, stroke=LINE)
        drawing.line(area.x, area.bottom + 7.3, area.x + 4.0, area.bottom + 7.3, stroke=PEN,
                     width=0.35, dash="2 0.8")  # fmt: skip
        drawing.text(area.x + 5.4, area.bottom + 8.2, word("site_report.heat_band"), size=LABEL,
                     colour=SOFT)  # fmt: skip
    return drawing


def heat_classes() -> list[tuple[float, str]]:
    """Upper limit of each class of the heat sum and its name, coolest first."""
    return [
        (float(row["up_to"] or "inf"), row["class"])
        for row in tables.rows("climate_classes.csv")
        if row["index"] == HEAT
    ]


def _draw_classes(drawing: Drawing, plot: Plot) -> None:
    """Draw limits of classes dashed across, and their names at the right between them."""
    area, below = plot.area, plot.low
    for limit, name in heat_classes():
        above = min(limit, plot.high)
        if above > plot.low and below < plot.high:
            if limit < plot.high:
                y = float(plot.down(limit))
                drawing.line(area.x, y, area.right + 26.0, y, stroke=INK, width=0.18,
                             dash="0.6 1.2")  # fmt: skip
                drawing.text(area.right + 26.0, y - 0.8, show_number(limit), size=2.0,
                             align="end", colour=SOFT)  # fmt: skip
            y = float(plot.down((max(below, plot.low) + above) / 2.0))
            room = float(plot.down(max(below, plot.low)) - plot.down(above))
            if room > LABEL:
                drawing.text(area.right + 2.0, y + CAP_HEIGHT * LABEL / 2.0, name, size=LABEL,
                             face="figure")  # fmt: skip
        below = max(below, min(limit, plot.high))


def frost_curve(record: ClimateRecord) -> Drawing:
    """Draw how often frost still came on or after each day of spring, by threshold."""
    if record.frost.years < FEWEST_YEARS:
        raise ValueError(f"a frost curve needs {FEWEST_YEARS} springs")
    is_south = record.is_south
    bud = day_of_spring(record.planting.bud_break, is_south=is_south)
    days = np.arange(1, 186)
    # The brief's own threshold is drawn last, over the others.
    by_threshold = {one.threshold_c: one for one in record.table.frost}
    own = record.frost.threshold_c
    lines = [(one, by_threshold[one]) for one in sorted(by_threshold) if one != own]
    lines.append((own, record.frost))
    curves = {
        threshold: np.array([frost.probability_from(float(day)) for day in days])
        for threshold, frost in lines
        if frost.years >= FEWEST_YEARS
    }
    most = np.max(list(curves.values()), axis=0)
    gone = np.flatnonzero(most > 0.0)
    last = int(days[gone[-1]]) + 10 if len(gone) else bud + 30
    last = min(max(last, bud + 20), int(days[-1]))
    drawing = Drawing(WIDTH_MM, 52.5, word("site_report.frost"))
    area = Box(_LEFT, 7.0, _BROAD, 40.0)
    plot = Plot(area, 1.0, float(last), 0.0, 1.04)
    ticks = [0.0, 0.25, 0.5, 0.75, 1.0]
    plot.levels(drawing, ticks, [f"{100 * tick:.0f}\u202f%" for tick in ticks])
    _draw_bud_break(drawing, plot, bud, record)
    drawing.clip(area.x, area.y - 2.0, area.width, area.height + 4.0)
    for number, (threshold, chance) in enumerate(curves.items()):
        is_own = threshold == own
        x, y = _steps(days.astype(np.float64), chance)
        drawing.path(
            plot.curve(x, y), stroke=INK if is_own else SOFT, width=0.5 if is_own else 0.28,
            dash="" if is_own else _DASHES[1 + number % 3], name="frost-own" if is_own else "frost",
        )  # fmt: skip
    drawing.unclip()
    _draw_thresholds(drawing, area, list(curves), own)
    _draw_dates(drawing, plot, last, is_south=is_south)
    plot.heading(drawing, word("site_report.frost_axis").format(springs=record.frost.years))
    return drawing


def _steps(
    x: NDArray[np.float64], y: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Corners of stairs: a value holds on its day and falls on the next."""
    return np.repeat(x, 2)[1:], np.repeat(y, 2)[:-1]


def _draw_bud_break(drawing: Drawing, plot: Plot, bud: int, record: ClimateRecord) -> None:
    area, x = plot.area, float(plot.across(bud))
    drawing.line(x, area.y, x, area.bottom, stroke=PEN, width=0.3, dash="1 0.7")
    chance = record.frost.probability_from(bud)
    text = fill(
        "site_report.bud_break",
        date=date_words(record.planting.bud_break),
        count=round(chance * record.frost.years), springs=record.frost.years,
    )  # fmt: skip
    width = text_width(text, LABEL, "figure")
    align = "start" if x + 2.0 + width < area.right else "end"
    drawing.text(
        x + (2.0 if align == "start" else -2.0), area.y + 4.6, text, size=LABEL, face="figure",
        align="start" if align == "start" else "end", colour=PEN, halo=0.6,
    )  # fmt: skip
    drawing.circle(x, float(plot.down(chance)), 1.1, fill=PEN)


def _draw_thresholds(drawing: Drawing, area: Box, thresholds: Sequence[float], own: float) -> None:
    x = area.right
    for number in range(len(thresholds) - 1, -1, -1):
        threshold = thresholds[number]
        is_own = threshold == own
        text = word("site_report.at_or_below").format(
            degrees=show_number(threshold).replace("-", "−")
        )
        face = "figure" if is_own else "label"
        width = text_width(text, LABEL, face)  # type: ignore[arg-type]
        drawing.text(x, area.y - 2.4, text, size=LABEL, align="end",
                     face="figure" if is_own else "label")  # fmt: skip
        y = area.y - 3.2
        drawing.line(
            x - width - 8.5, y, x - width - 1.5, y, stroke=INK if is_own else SOFT,
            width=0.5 if is_own else 0.28, dash="" if is_own else _DASHES[1 + number % 3],
        )  # fmt: skip
        x -= width + 12.0


def _draw_dates(drawing: Drawing, plot: Plot, last: int, *, is_south: bool) -> None:
    """Tick the first day of every month, and the fifteenth without a word."""
    marks, texts = [], []
    for day in range(1, last + 1):
        date = month_day(day, is_south=is_south)
        if date[3:] in {"01", "15"}:
            marks.append(float(day))
            name = f"{int(date[3:])} {word(f'month.{int(date[:2])}')}"
            texts.append(name)
    plot.foot(drawing, marks, texts)


def _plot(area: Box, left: float, right: float, low: float, high: float) -> Plot:
    """Leave a little air above and below the values."""
    room = 0.06 * (high - low) or 1.0
    return Plot(area, left, right, low - room, high + room)
