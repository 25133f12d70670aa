"""Sunlight by bearing: the season's light the rows take, and the afternoon sun on the fruit."""

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.row_sunlight import rows_in_sun
from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.style import INK, PEN, SOFT, text_width
from aanplant.report.svg import Drawing
from aanplant.units import show

WIDTH_MM, HEIGHT_MM = 174.0, 81.0
_LEFT, _RIGHT, _TALL = 16.0, 6.0, 25.0
_HALF_TURN = 180.0
STEP_DEG = 3.0

Curve = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


def light_by_bearing(plan: Plan) -> Drawing:
    """Draw light and afternoon load of all bearings, the one taken marked.

    Raises
    ------
    ValueError
        If the plan was not laid out, or its rows bend and have no one bearing.
    """
    layout = plan.results.get("layout")
    if layout is None or layout.sunlight is None:
        raise ValueError("sunlight by bearing needs rows")
    bearing, season, load = light_curves(plan)
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, word("site_report.light"))
    own = (float(layout.sunlight.season_share[0]) * 100.0,
           float(layout.sunlight.afternoon_load_mj_m2[0]))  # fmt: skip
    taken = layout.bearing_deg
    areas = [Box(_LEFT, 8.0 + number * (_TALL + 10.0), WIDTH_MM - _LEFT - _RIGHT, _TALL)
             for number in range(2)]  # fmt: skip
    plots = [_plot(area, values) for area, values in zip(areas, (season, load), strict=True)]
    x = float(plots[0].across(taken))
    drawing.line(x, areas[0].y - 1.0, x, areas[1].bottom, stroke=PEN, width=0.25, dash="1 0.7")
    told = (
        word("site_report.light_taken").format(
            bearing=show(taken, "deg"), value=show(round(own[0], 1), "%")
        ),
        show(round(own[1]), "MJ/m2").replace("m2", "m²"),
    )
    headings = ("site_report.light_season", "site_report.light_afternoon")
    for number, plot in enumerate(plots):
        values = (season, load)[number]
        plot.levels(drawing, round_ticks(plot.low, plot.high, 3))
        drawing.path(plot.curve(bearing, values), stroke=INK, width=0.35,
                     name=("season", "afternoon")[number])  # fmt: skip
        plot.heading(drawing, word(headings[number]))
        drawing.circle(x, float(plot.down(own[number])), 1.15, fill=PEN)
        least = plot.area.x + text_width(word(headings[number]), 2.5, "figure") + 4.0
        half = text_width(told[number], 2.5, "figure") / 2.0
        drawing.text(
            min(max(x, least + half), plot.area.right - half), plot.area.y - 2.4, told[number],
            size=2.5, face="figure", colour=PEN, align="middle", halo=0.5,
        )  # fmt: skip
    _draw_bearings(drawing, plots[1])
    return drawing


def light_curves(plan: Plan) -> Curve:
    """Bearings from 0 to 180, season light and afternoon load of each. [deg, %, MJ/m2].

    Those that were compared when the bearing was chosen, else some worked out anew.
    """
    sweep = plan.layout.sweep
    if sweep is not None:
        values = {criterion.name: criterion.values for criterion in sweep.criteria}
        if "season_light_pct" in values:
            order = np.argsort(sweep.bearing_deg)
            return _closed(
                sweep.bearing_deg[order],
                values["season_light_pct"][order],
                values["afternoon_load_mj_m2"][order],
            )
    bearing = np.arange(0.0, _HALF_TURN, STEP_DEG)
    light = rows_in_sun(plan.brief, plan.site, plan.stock, bearing)
    return _closed(bearing, light.season_share * 100.0, light.afternoon_load_mj_m2)


def _closed(
    bearing: NDArray[np.float64], season: NDArray[np.float64], load: NDArray[np.float64]
) -> Curve:
    """Half a turn is the first bearing again."""
    return (
        np.append(bearing, bearing[0] + _HALF_TURN),
        np.append(season, season[0]),
        np.append(load, load[0]),
    )


def _plot(area: Box, values: NDArray[np.float64]) -> Plot:
    low, high = float(values.min()), float(values.max())
    room = 0.1 * (high - low) or 1.0
    return Plot(area, 0.0, _HALF_TURN, low - room, high + room)


def _draw_bearings(drawing: Drawing, plot: Plot) -> None:
    marks = [float(bearing) for bearing in range(0, 181, 15)]
    plot.foot(drawing, marks, [show(mark, "deg") for mark in marks])
    for bearing in (0, 45, 90, 135, 180):
        way = word(f"way.{bearing % 180}")
        x = min(float(plot.across(bearing)), plot.area.right - text_width(way, LABEL) / 2 + 4.0)
        drawing.text(x, plot.area.bottom + 7.4, way, size=LABEL, align="middle", colour=SOFT)
    drawing.text(
        plot.area.right, plot.area.bottom + 11.4, word("bearings.axis"), size=LABEL, align="end",
        colour=SOFT,
    )  # fmt: skip
