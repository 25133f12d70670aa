"""Spare vines: the assurance each number gives, and what it risks on either side."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.rendering import page_of
from aanplant.report.style import CARE, INK, PEN, SHEET, SOFT, WATER, text_width
from aanplant.report.svg import Drawing
from aanplant.units import show_number
from aanplant.work.spares import Spares

WIDTH_MM, HEIGHT_MM = 170.0, 122.0
_LEFT, _RIGHT, _TALL = 18.0, 6.0, 36.0
_STEEP = 1.6
"""Risk, over the least, from which a label left of the curves touches none of them."""
_UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
"""A picture carries no date."""


def draw_spares_chart(plan: Plan, path: Path) -> None:
    """Draw assurance and risk against spares as SVG or PNG, whichever the path ends in.

    Raises
    ------
    ValueError
        If no loss is expected, so that there are no spares to weigh.
    """
    drawing = spares_chart(plan.work.spares, plan.inputs.currency)
    if path.suffix == ".svg":
        path.write_text(drawing.svg(alone=True), encoding="utf-8")
        return
    page = page_of(drawing, made=_UNDATED, title=drawing.title, author=plan.inputs.estate)
    page.print_to({"png": path})


def spares_chart(spares: Spares, currency: str) -> Drawing:
    """Draw the chart; without prices the lower part counts vines and gaps."""
    curve = spares.curve
    if curve is None:
        raise ValueError("no loss is expected: there is nothing to weigh")
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, word("spares.title"))
    drawing.text(4.0, 8.0, word("spares.title"), size=4.6, face="title")
    most = float(curve.spares[-1])
    upper, lower = (
        Box(_LEFT, top, WIDTH_MM - _LEFT - _RIGHT, _TALL) for top in (20.0, 68.0)
    )  # fmt: skip
    sure = Plot(upper, 0.0, most, 0.0, 100.0)
    sure.levels(drawing, [0, 25, 50, 75, 100])
    sure.heading(drawing, word("spares.assurance"))
    drawing.path(sure.curve(curve.spares, curve.assurance * 100.0), stroke=INK, width=0.35)
    vine, gap = 1.0, 1.0
    heading = word("spares.counts")
    if spares.vine_price is not None and spares.gap_price is not None:
        vine, gap = spares.vine_price, spares.gap_price
        heading = word("spares.money").format(currency=currency)
    left, missing = curve.left_over * vine, curve.gaps * gap
    both = left + missing
    at = int(np.flatnonzero(curve.spares == spares.spares)[0])
    # Few spares risk so much that the choice would be lost at the foot of the chart.
    high = max(3.0 * float(both[at]), 1.2 * float(both.min()), 1.0)
    risk = Plot(lower, 0.0, most, 0.0, high)
    risk.levels(drawing, round_ticks(0.0, high))
    risk.heading(drawing, heading)
    drawing.clip(lower.x, lower.y, lower.width, lower.height)
    for values, colour, dash in ((left, WATER, "1.6 0.8"), (missing, CARE, "0.6 0.6"),
                                 (both, INK, "")):  # fmt: skip
        drawing.path(risk.curve(curve.spares, values), stroke=colour, width=0.35, dash=dash)
    drawing.unclip()
    ticks = round_ticks(0.0, most, 8)
    risk.foot(drawing, ticks, [show_number(tick) for tick in ticks])
    _mark(drawing, spares, sure, risk, both)
    y = HEIGHT_MM - 4.0
    for x, name, colour, dash in ((_LEFT, "spares.left_over", WATER, "1.6 0.8"),
                                  (_LEFT + 48.0, "spares.gaps", CARE, "0.6 0.6"),
                                  (_LEFT + 88.0, "spares.both", INK, "")):  # fmt: skip
        drawing.line(x, y - 0.8, x + 6.0, y - 0.8, stroke=colour, width=0.35, dash=dash)
        drawing.text(x + 7.5, y, word(name), size=LABEL, colour=SOFT)
    drawing.text(lower.right, lower.bottom + 8.0, word("spares.axis"), size=LABEL, align="end",
                 colour=SOFT)  # fmt: skip
    return drawing


def _mark(
    drawing: Drawing, spares: Spares, sure: Plot, risk: Plot, both: NDArray[np.float64]
) -> None:
    """Mark the number ordered, and the one with the least at risk as a choice seen."""
    curve = spares.curve
    if curve is None:
        return
    x = float(sure.across(spares.spares))
    drawing.line(x, sure.area.y - 1.0, x, risk.area.bottom, stroke=PEN, width=0.25, dash="1 0.7")
    chance = float(np.interp(spares.spares, curve.spares, curve.assurance)) * 100.0
    drawing.circle(x, float(sure.down(chance)), 1.15, fill=PEN)
    told = word("spares.ordered").format(spares=show_number(spares.spares))
    drawing.text(x + 1.5, sure.area.bottom - 3.0, told, size=LABEL, face="figure", colour=PEN,
                 halo=0.5)  # fmt: skip
    if spares.cheapest is None:
        return
    x = float(risk.across(spares.cheapest))
    y = float(risk.down(np.interp(spares.cheapest, curve.spares, both)))
    drawing.circle(x, y, 1.15, fill=SHEET, stroke=INK, width=0.3)
    told = word("spares.least").format(spares=show_number(spares.cheapest))
    # Left of the curves there is room, unless the least is at very few spares.
    steep = curve.spares[(curve.spares < spares.cheapest) & (both >= _STEEP * both.min())]
    edge = float(risk.across(steep.max())) - 1.5 if steep.size else risk.area.x
    if edge - text_width(told, LABEL, "figure") > risk.area.x + 1.0:
        drawing.line(edge + 0.5, y, x - 1.15, y, stroke=SOFT, width=0.15)
        drawing.text(edge, y + 0.8, told, size=LABEL, face="figure", align="end", halo=0.5)
        return
    drawing.text(x, y - 6.0, told, size=LABEL, face="figure", align="middle", halo=0.5)
