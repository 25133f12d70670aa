"""Bars that lie, their scale and their key, for the drawings of money."""

from collections.abc import Sequence

from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.style import LINE, SOFT, text_width
from aanplant.report.svg import Drawing
from aanplant.units import show_number


def thousands(value: float) -> str:
    """Write thousands of money short, with a true minus."""
    return show_number(round(value)).replace("-", "−")


def horizontal(drawing: Drawing, plot: Plot, heading: str) -> None:
    """Draw the lying scale of a plot: a faint upright line at each tick, its text below."""
    area = plot.area
    for tick in round_ticks(plot.left, plot.right, 6):
        x = float(plot.across(tick))
        drawing.line(x, area.y, x, area.bottom, stroke=LINE, width=0.15)
        drawing.text(x, area.bottom + 4.0, thousands(tick), size=LABEL, align="middle",
                     colour=SOFT)  # fmt: skip
    drawing.line(area.x, area.bottom, area.right, area.bottom, width=0.2)
    plot.heading(drawing, heading)


def key_line(drawing: Drawing, x: float, y: float, parts: Sequence[tuple[str, str, str]]) -> None:
    """Write the key in one line: name, fill ("" for a line) and stroke of each mark."""
    for name, fill, stroke in parts:
        if fill:
            drawing.box(x, y - 2.0, 3.4, 2.2, fill=fill, stroke=stroke)
        else:
            drawing.line(x, y - 0.9, x + 5.0, y - 0.9, stroke=stroke, width=0.5)
        gap = 5.0 if fill else 6.4
        drawing.text(x + gap, y, name, size=LABEL, colour=SOFT)
        x += gap + text_width(name, LABEL) + 7.0
