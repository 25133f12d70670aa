"""Heat of every season by the day the crop must be ripe, beside what the cultivar needs."""

from aanplant.messages import fill, word
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.style import CARE, HEADLAND, INK, SHEET, SOFT
from aanplant.report.svg import Drawing
from aanplant.stock.ripening import Heat

WIDTH_MM, HEIGHT_MM = 174.0, 44.0


def ripening_chart(heat: Heat, low: float, high: float | None, day: str) -> Drawing:
    """Draw the seasons as dots and the heat needed as a band, open upwards without an end.

    Parameters
    ----------
    heat : Heat
        Of at least one season.
    low, high : float
        Heat needed; None for the latest class, which has no upper end. [°C·d]
    day : str
        By which it must have come, in words.
    """
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, word("stock_report.chart.heat"))
    years, sums = heat.harvest_year, heat.degree_days
    ends = [float(sums.min()), float(sums.max()), low, *([] if high is None else [high])]
    margin = 0.06 * (max(ends) - min(ends)) + 1.0
    bottom, top = min(ends) - margin, max(ends) + margin
    area = Box(14.0, 9.0, WIDTH_MM - 62.0, HEIGHT_MM - 16.0)
    plot = Plot(area, float(years.min()) - 0.5, float(years.max()) + 0.5, bottom, top)
    upper = top if high is None else high
    y = float(plot.down(upper))
    drawing.box(area.x, y, area.width, float(plot.down(low)) - y, fill=HEADLAND)
    plot.levels(drawing, round_ticks(bottom, top))
    plot.heading(drawing, fill("stock_report.chart.heat_axis", day=day))
    for end in (low, high):
        if end is not None:
            at = float(plot.down(end))
            drawing.line(area.x, at, area.right, at, stroke=CARE, width=0.25, dash="1.2 0.8")
    drawing.text(area.right + 2.0, float(plot.down((low + upper) / 2.0)) + 0.8,
                 word("stock_report.chart.heat_band"), size=LABEL, colour=CARE)  # fmt: skip
    ticks = round_ticks(float(years.min()), float(years.max()), 10)
    whole = [tick for tick in ticks if tick == round(tick)]
    plot.foot(drawing, whole, [f"{tick:.0f}" for tick in whole])
    for x, at, total in zip(plot.across(years), plot.down(sums), sums, strict=True):
        reached = total >= upper
        drawing.circle(float(x), float(at), 1.0, fill=INK if reached else SHEET, stroke=INK,
                       width=0.25)  # fmt: skip
    drawing.text(area.right + 2.0, area.bottom + 4.0, word("site_report.harvest_year"), size=LABEL,
                 colour=SOFT)  # fmt: skip
    return drawing
