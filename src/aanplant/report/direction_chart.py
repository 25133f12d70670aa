"""All row bearings side by side: vines, row ends, machine time, and slope, sun and wind."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.direction import Sweep
from aanplant.layout.direction_choice import pareto
from aanplant.layout.steepness import Measure, SlopeLimit
from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.paper import Box
from aanplant.report.rendering import page_of
from aanplant.report.style import CARE, HEADLAND, INK, LINE, PEN, SHEET, SOFT, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing
from aanplant.units import show, show_number

WIDTH_MM, PANEL_MM = 170.0, 21.0
_LEFT, _RIGHT, _TOP, _BOTTOM, _GAP = 16.0, 6.0, 22.0, 15.0, 9.0
_HALF_TURN = 180.0
_SMALL = 2.5
_KEY_LINE = 4.0
_TICKS = 3
_EXACT = 1e3
"""From here on numbers are whole and shown with all their digits."""
_PANELS = {
    "vines": "bearings.vines",
    "row_ends": "bearings.row_ends",
    "machine_time_h": "bearings.machine_time",
    "grade_worst_pct": "bearings.grade_worst",
    "cross_slope_worst_pct": "bearings.cross_slope_worst",
    "season_light_pct": "bearings.season_light",
    "afternoon_load_mj_m2": "bearings.afternoon_load",
    "wind_across_pct": "bearings.wind_across",
}
_STEEPEST: dict[Measure, str] = {
    "grade": "bearings.row_grade_steepest",
    "across": "bearings.across_steepest",
}
_NEAR_LIMIT = 1.5
"""A limit is drawn when it is not further than this above all values."""
_UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
"""A picture carries no date."""


def draw_direction_chart(plan: Plan, path: Path) -> None:
    """Draw the comparison of bearings as SVG or PNG, whichever the path ends in.

    Parameters
    ----------
    plan : Plan
        At least up to its layout, with its bearing chosen by the program.
    path : Path
        Where to write.

    Raises
    ------
    ValueError
        If no bearings were compared, since the brief gives one.
    """
    if plan.layout.sweep is None:
        raise ValueError("the bearing was asked for: there is nothing to compare")
    drawing = direction_chart(plan.layout.sweep, plan.layout.bearing_deg)
    if path.suffix == ".svg":
        path.write_text(drawing.svg(alone=True), encoding="utf-8")
        return
    page = page_of(drawing, made=_UNDATED, title=drawing.title, author=plan.inputs.estate)
    page.print_to({"png": path})


def direction_chart(sweep: Sweep, bearing_deg: float) -> Drawing:
    """Draw the comparison of bearings; the one taken need not be among them."""
    rows = [(label, values) for _, label, values in panels(sweep)]
    shows_limits = not sweep.is_within.all()
    first_y = _TOP + (_KEY_LINE if shows_limits else 0.0)
    height_mm = first_y + _BOTTOM + PANEL_MM * len(rows) + _GAP * (len(rows) - 1)
    drawing = Drawing(WIDTH_MM, height_mm, word("bearings.title"))
    drawing.text(4.0, 8.0, word("bearings.title"), size=4.6, face="title")
    unbeaten = pareto(sweep)
    limits = limits_of(sweep)
    areas = [
        Box(_LEFT, first_y + index * (PANEL_MM + _GAP), WIDTH_MM - _LEFT - _RIGHT, PANEL_MM)
        for index in range(len(rows))
    ]
    _draw_key(drawing, areas[0], shows_limits=shows_limits)
    for area, (name, values) in zip(areas, rows, strict=True):
        least = min((limit.most_percent for limit in limits.get(name, [])), default=np.inf)
        _draw_passed(drawing, area, sweep.bearing_deg, values > least)
    chosen_x = _across(areas[0], np.array([bearing_deg]))[0]
    top, bottom = areas[0].y - 1.6, areas[-1].bottom
    drawing.line(chosen_x, top, chosen_x, bottom, stroke=PEN, width=0.25, dash="1 0.7")
    for area, (name, values) in zip(areas, rows, strict=True):
        _draw_curve(drawing, area, name, sweep.bearing_deg, values,
                    unbeaten=unbeaten, chosen_deg=bearing_deg,
                    limits=limits.get(name, []))  # fmt: skip
    _draw_bearings(drawing, areas[-1])
    return drawing


def panels(sweep: Sweep) -> list[tuple[str, str, NDArray[np.float64]]]:
    """Name, label and values of what is drawn, from the top, each (n_bearings,).

    Counts always, the rest where it was compared.
    """
    values = {criterion.name: criterion.values for criterion in sweep.criteria}
    rows = [(name, word(title), values[name]) for name, title in _PANELS.items() if name in values]
    steepest = {limit.limit.measure: limit.percent for limit in sweep.limits}
    return [*rows, *((f"row_{measure}_steepest_pct", word(_STEEPEST[measure]), of)
                     for measure, of in steepest.items())]  # fmt: skip


def limits_of(sweep: Sweep) -> dict[str, list[SlopeLimit]]:
    """Limits by the label of the panel in which they are drawn."""
    by_panel: dict[str, list[SlopeLimit]] = {}
    for each in sweep.limits:
        by_panel.setdefault(word(_STEEPEST[each.limit.measure]), []).append(each.limit)
    return by_panel


def _across(area: Box, bearing_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    placed: NDArray[np.float64] = area.x + bearing_deg / _HALF_TURN * area.width
    return placed


def _draw_curve(
    drawing: Drawing, area: Box, name: str, bearing_deg: NDArray[np.float64],
    values: NDArray[np.float64], *, unbeaten: NDArray[np.bool_], chosen_deg: float,
    limits: list[SlopeLimit],
) -> None:  # fmt: skip
    shown = [one.most_percent for one in limits if one.most_percent <= _NEAR_LIMIT * values.max()]
    low, high = float(values.min()), float(max([values.max(), *shown]))
    ticks = _round_ticks(low, high)
    low, high = min(low, ticks[0]), max(high, ticks[-1])
    room = 0.08 * (high - low) or 0.5
    low, span = low - room, high - low + 2.0 * room

    def down(value: NDArray[np.float64]) -> NDArray[np.float64]:
        placed: NDArray[np.float64] = area.bottom - (value - low) / span * area.height
        return placed

    drawing.text(area.x, area.y - 2.4, name, size=_SMALL, face="figure", halo=0.6)
    for tick, y in zip(ticks, down(np.array(ticks)).tolist(), strict=True):
        drawing.line(area.x, y, area.right, y, stroke=LINE, width=0.15)
        drawing.text(
            area.x - 1.2, y + CAP_HEIGHT * 2.2 / 2.0, show_number(tick),
            size=2.2, align="end", colour=SOFT,
        )  # fmt: skip
    for most, y in zip(shown, down(np.array(shown)).tolist(), strict=True):
        drawing.line(area.x, y, area.right, y, stroke=CARE, width=0.3, dash="2 0.8")
        # On the side where the bearing taken does not stand.
        is_right = chosen_deg < _HALF_TURN / 2.0
        drawing.text(
            area.right - 1.0 if is_right else area.x + 1.0, y - 0.8,
            word("bearings.limit").format(limit=show(most, "%")),
            size=2.2, align="end" if is_right else "start", colour=CARE, halo=0.6,
        )  # fmt: skip
    order = np.argsort(bearing_deg)
    x, y_at = _across(area, bearing_deg), down(values)
    # Half a turn is the first bearing again.
    line = np.column_stack([np.append(x[order], x[order[:1]] + area.width),
                            np.append(y_at[order], y_at[order[:1]])])  # fmt: skip
    shape = "M" + "L".join(f"{px:.3f} {py:.3f}" for px, py in line.tolist())
    drawing.clip(area.x - 2.0, area.y - 2.0, area.width + 2.0, area.height + 4.0)
    drawing.path(shape, stroke=INK, width=0.25, name="curve")
    drawing.unclip()
    for px, py in np.column_stack([x, y_at])[unbeaten].tolist():
        drawing.circle(px, py, 0.75, fill=SHEET, stroke=INK, width=0.25)
    near = np.abs((bearing_deg - chosen_deg + 90.0) % _HALF_TURN - 90.0).argmin()
    drawing.circle(float(x[near]), float(y_at[near]), 1.15, fill=PEN)
    text = show_number(float(f"{values[near]:.3g}") if values[near] < _EXACT else values[near])
    if name == word("bearings.vines"):
        text = f"{word('bearings.chosen').format(bearing=show(chosen_deg, 'deg'))}: {text}"
    half = text_width(text, _SMALL, "figure") / 2.0
    least = area.x + text_width(name, _SMALL, "figure") + 4.0 + half
    place = min(max(float(x[near]), least), area.right - half)
    drawing.text(
        place, area.y - 2.4, text, size=_SMALL, face="figure", colour=PEN, align="middle", halo=0.6
    )


def _draw_passed(
    drawing: Drawing, area: Box, bearing_deg: NDArray[np.float64], is_passed: NDArray[np.bool_]
) -> None:
    """Shade the bearings that fall out, each half way to its neighbours."""
    if not is_passed.any():
        return
    order = np.argsort(bearing_deg)
    bearing = bearing_deg[order]
    between = (bearing[1:] + bearing[:-1]) / 2.0
    edge = np.concatenate([[0.0], between, [_HALF_TURN]])
    change = np.diff(np.concatenate([[0], is_passed[order].astype(np.int64), [0]]))
    for first, last in zip(np.flatnonzero(change == 1), np.flatnonzero(change == -1), strict=True):
        left, right = _across(area, edge[[first, last]]).tolist()
        drawing.box(left, area.y, right - left, area.height, fill=HEADLAND)


def _draw_key(drawing: Drawing, area: Box, *, shows_limits: bool) -> None:
    y = 13.4
    drawing.circle(area.x + 0.8, y - 0.8, 0.75, fill=SHEET, stroke=INK, width=0.25)
    drawing.text(area.x + 3.0, y, word("bearings.unbeaten"), size=2.4, colour=SOFT)
    if shows_limits:
        drawing.box(area.x, y + 1.5, 1.8, 2.0, fill=HEADLAND)
        drawing.text(area.x + 3.0, y + 3.4, word("bearings.out"), size=2.4, colour=SOFT)


def _draw_bearings(drawing: Drawing, area: Box) -> None:
    drawing.box(area.x, area.bottom, area.width, 0.8, fill=HEADLAND)
    for bearing in range(0, 181, 15):
        x = area.x + bearing / _HALF_TURN * area.width
        drawing.line(x, area.bottom, x, area.bottom + 1.4, width=0.2)
        if bearing % 45 == 0:
            way = word(f"way.{bearing % 180}")
            align_x = min(x, area.right - text_width(way, 2.2) / 2.0 + 4.0)
            drawing.text(align_x, area.bottom + 8.0, way, size=2.2, align="middle", colour=SOFT)
        drawing.text(x, area.bottom + 4.4, f"{bearing}°", size=2.2, align="middle", colour=SOFT)
    drawing.text(
        area.right, area.bottom + 12.4, word("bearings.axis"), size=2.4, align="end", colour=SOFT
    )


def _round_ticks(low: float, high: float) -> list[float]:
    """About three round values that span low to high."""
    if not high > low:
        return [low]
    power = 10.0 ** np.floor(np.log10((high - low) / _TICKS))
    step = next(
        s * power
        for s in (1.0, 2.0, 5.0, 10.0, 20.0)
        if np.floor(high / (s * power)) - np.ceil(low / (s * power)) < _TICKS
    )
    first = np.ceil(low / step)
    last = np.floor(high / step)
    return [float(n * step) for n in np.arange(first, last + 1)] or [low]
