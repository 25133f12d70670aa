"""Which rootstock comes first, how sure that is, and what each is good for, as a drawing."""

import numpy as np

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot
from aanplant.report.rootstock_view import RootstockView
from aanplant.report.style import INK, LINE, PEN, SHEET, SOFT, Face, fitted
from aanplant.report.svg import Drawing
from aanplant.stock.rootstock_answer import CRITERIA

WIDTH_MM = 174.0
_STEP, _TOP, _FOOT = 6.2, 12.0, 7.0
_NAME_MM, _PLACES_MM, _FIRST_MM, _STRIP_MM = 26.0, 46.0, 24.0, 12.0
_GAP, _STRIP_GAP = 7.0, 3.5
_HALF = 1.1
_HATCH = 1.3
_AROUND = 0.35
"""How far a bar reaches beyond the middle of its places."""
_THIN = 0.05


def rootstock_chart(view: RootstockView) -> Drawing:
    """Draw places, how often first, and what each stock is good for.

    Raises
    ------
    ValueError
        If nothing is ranked.
    """
    shown = view.shown
    if not shown:
        raise ValueError("no rootstock is ranked: there is nothing to draw")
    choice = view.choice
    tall = _STEP * len(shown)
    drawing = Drawing(WIDTH_MM, _TOP + tall + _FOOT + 6.5, word("stock_report.chart.order"))
    last = max(int(choice.rank_range[list(shown), 1].max()), len(shown))
    left = _NAME_MM
    places = Plot(Box(left, _TOP, _PLACES_MM, tall), 0.5, last + 0.5, 0.0, 1.0)
    first = Plot(Box(places.area.right + _GAP, _TOP, _FIRST_MM, tall), 0.0, 100.0, 0.0, 1.0)
    for plot, name in ((places, "places"), (first, "first")):
        plot.heading(drawing, word(f"stock_report.chart.{name}"))
    step = max(1, -(-last // 12))
    ticks = [1, *range(step if step > 1 else 2, last + 1, step)]
    places.foot(drawing, ticks, [str(tick) for tick in ticks])
    first.foot(drawing, [0, 50, 100], ["0", "50", "100"])
    strips = _strips(drawing, view, first.area.right + _GAP, tall)
    asked = set(view.asked_criteria())
    for row, stock in enumerate(shown):
        y = _TOP + _STEP * (row + 0.5)
        drawing.line(left, y, WIDTH_MM - 2.0, y, stroke=LINE, width=0.12)
        face: Face = "figure" if choice.stocks[stock] == choice.picked else "label"
        name = fitted(choice.stocks[stock], _NAME_MM - 3.0, 2.8, face)
        drawing.text(_NAME_MM - 2.0, y + 0.9, name, size=2.8, face=face, align="end")
        doubtful = any(view.is_doubtful(stock, criterion) for criterion in asked)
        ends = places.across(choice.rank_range[stock] + np.array([-_AROUND, _AROUND]))
        _bar(drawing, float(ends[0]), float(ends[1]), y, doubtful=doubtful)
        at = float(places.across(choice.ranks[stock]))
        _dot(drawing, at, y, 1.25, doubtful=doubtful)
        share = float(choice.share_first[stock]) * 100.0
        _bar(drawing, float(first.across(0.0)), float(first.across(share)), y,
             doubtful=doubtful)  # fmt: skip
        for strip, criterion, value in zip(strips, CRITERIA, view.suits[stock], strict=True):
            if criterion in asked:
                x = float(strip.across(value))
                _dot(drawing, x, y, 0.95, doubtful=view.is_doubtful(stock, criterion))
    _legend(drawing, _TOP + tall + _FOOT + 4.0)
    return drawing


def _strips(drawing: Drawing, view: RootstockView, left: float, tall: float) -> list[Plot]:
    asked = view.asked_criteria()
    drawing.text(left, _TOP - 7.0, word("stock_report.chart.suits"), size=2.5, face="figure")
    strips = []
    for column, name in enumerate(CRITERIA):
        x = left + column * (_STRIP_MM + _STRIP_GAP)
        strip = Plot(Box(x, _TOP, _STRIP_MM, tall), 0.0, 1.0, 0.0, 1.0)
        colour = INK if name in asked else SOFT
        drawing.text(x, _TOP - 2.4, word(f"stock_report.need.{name}"), size=LABEL, colour=colour)
        if name in asked:
            strip.foot(drawing, [0, 1], ["0", "1"] if name == asked[0] else ["", ""])
        else:
            drawing.text(x, _TOP + tall + 4.0, word("stock_report.not_asked"), size=LABEL,
                         colour=SOFT)  # fmt: skip
        for edge in (strip.area.x, strip.area.right):
            drawing.line(edge, _TOP, edge, _TOP + tall, stroke=LINE, width=0.12)
        strips.append(strip)
    return strips


def _bar(drawing: Drawing, low: float, high: float, y: float, *, doubtful: bool) -> None:
    if high - low < _THIN:
        return
    drawing.box(low, y - _HALF, high - low, 2.0 * _HALF, stroke=INK, line=0.15,
                fill=SHEET if doubtful else LINE)  # fmt: skip
    if not doubtful:
        return
    for start in np.arange(low - 2.0 * _HALF, high, _HATCH).tolist():
        # A stroke that rises to the right, cut at both ends of the bar.
        x1, x2 = max(start, low), min(start + 2.0 * _HALF, high)
        drawing.line(x1, y + _HALF - (x1 - start), x2, y + _HALF - (x2 - start), stroke=SOFT,
                     width=0.12)  # fmt: skip


def _dot(drawing: Drawing, x: float, y: float, radius: float, *, doubtful: bool) -> None:
    drawing.circle(x, y, radius, fill=SHEET if doubtful else PEN, stroke=PEN, width=0.3)


def _legend(drawing: Drawing, y: float) -> None:
    for x, name, doubtful in ((_NAME_MM, "known", False), (_NAME_MM + 62.0, "doubt", True)):
        _dot(drawing, x + 1.2, y - 0.8, 1.1, doubtful=doubtful)
        _bar(drawing, x + 3.4, x + 10.0, y - 0.8, doubtful=doubtful)
        drawing.text(x + 11.5, y, word(f"stock_report.chart.{name}"), size=LABEL, colour=SOFT)
