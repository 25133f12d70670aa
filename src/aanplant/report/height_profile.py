"""The ground from the side: straight down the block, and along its steepest row."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.paper import Box
from aanplant.report.plot import Plot, round_ticks
from aanplant.report.site_words import short
from aanplant.report.style import HEADLAND, INK, SOFT, fitted
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem, show, show_number, shown_in

WIDTH_MM = 174.0
_LEFT, _RIGHT, _TOP, _FOOT = 16.0, 6.0, 8.5, 11.0
_TALLEST, _LOWEST = 34.0, 14.0
_MOST_TIMES = 10.0
_TIMES = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.5, 0.2, 0.1)
_LEVEL_DEG = 180.0


@dataclass(frozen=True, slots=True)
class Side:
    """A line of the block seen from the side.

    Parameters
    ----------
    title : str
        What line it is.
    plan_m, ground_m, z_m : ndarray, shape (n,)
        Distance on the plan and along the ground from its start, and height; nan where not
        known. [m]
    """

    title: str
    plan_m: NDArray[np.float64]
    ground_m: NDArray[np.float64]
    z_m: NDArray[np.float64]


def height_profile(plan: Plan, *, system: UnitSystem = "metric") -> Drawing:
    """Draw the ground of a block from the side.

    Parameters
    ----------
    plan : Plan
        Whose site has heights.
    system : {"metric", "imperial"}
        Units of heights and distances.

    Raises
    ------
    ValueError
        If no heights are known.
    """
    seen = sides(plan)
    if not seen:
        raise ValueError("a profile needs heights")
    times = _exaggeration(seen)
    heights = [_height_mm(side, times, _mm_per_m(seen)) for side in seen]
    total = sum(heights) + len(seen) * (_TOP + _FOOT)
    drawing = Drawing(WIDTH_MM, total, word("site_report.height_profile"))
    top = 0.0
    for side, height in zip(seen, heights, strict=True):
        area = Box(_LEFT, top + _TOP, float(side.plan_m[-1]) * _mm_per_m(seen), height)
        _draw(drawing, area, side, times, system)
        top += _TOP + height + _FOOT
    return drawing


def sides(plan: Plan) -> tuple[Side, ...]:
    """Lines that are drawn: down the mean slope through the middle, and the steepest row."""
    site = plan.site
    if site.terrain is None or site.ground is None:
        return ()
    aspect = site.ground.aspect_deg
    bearing = _LEVEL_DEG if aspect is None else aspect
    across = _longest_within(plan, bearing)
    profile = site.terrain.profile(across)
    title = word("site_report.profile.down" if aspect is not None else "site_report.profile.level")
    found = [
        Side(title.format(bearing=f"{bearing:.0f}°"), profile.plan_m, profile.ground_m, profile.z_m)
    ]
    layout = plan.results.get("layout")
    if layout is not None and layout.profiles is not None and layout.slopes is not None:
        grades = np.abs(layout.slopes.grade_percent)
        if np.isfinite(grades).any():
            piece = int(np.nanargmax(grades))
            own = layout.profiles.piece == piece
            title = word("site_report.profile.row").format(
                row=int(layout.rows.row[piece]), grade=show(round(float(grades[piece]), 1), "%")
            )
            rows = layout.profiles
            ground = rows.ground_m[own]
            found.append(Side(title, rows.walked_m[own], ground - ground[0], rows.z_m[own]))
    return tuple(found)


def _longest_within(plan: Plan, bearing_deg: float) -> NDArray[np.float64]:
    """Line of a bearing through the middle of the block, from edge to edge, shape (2, 2)."""
    boundary = plan.site.boundary
    middle = boundary.representative_point().coords[0]
    if boundary.contains(boundary.centroid):
        middle = boundary.centroid.coords[0]
    reach = boundary.length
    way = np.array([np.sin(np.radians(bearing_deg)), np.cos(np.radians(bearing_deg))]) * reach
    line = LineString([np.array(middle) - way, np.array(middle) + way])
    parts = shapely.get_parts(line.intersection(boundary))
    longest = max(parts, key=lambda part: part.length)
    return np.asarray(longest.coords, dtype=np.float64)[[0, -1]]


def _mm_per_m(seen: tuple[Side, ...]) -> float:
    """All lines are drawn at one scale, the longest over the whole width."""
    return (WIDTH_MM - _LEFT - _RIGHT) / max(float(side.plan_m[-1]) for side in seen)


def _exaggeration(seen: tuple[Side, ...]) -> float:
    """How many times too tall heights are drawn: the most that the paper has room for."""
    tallest = max(_rise(side) for side in seen) * _mm_per_m(seen)
    if tallest <= 0.0:
        return _MOST_TIMES
    return next((times for times in _TIMES if tallest * times <= _TALLEST - 4.0), _TIMES[-1])


def _rise(side: Side) -> float:
    known = side.z_m[np.isfinite(side.z_m)]
    return float(np.ptp(known)) if len(known) else 0.0


def _height_mm(side: Side, times: float, mm_per_m: float) -> float:
    return max(_rise(side) * times * mm_per_m + 4.0, _LOWEST)


def _draw(drawing: Drawing, area: Box, side: Side, times: float, system: UnitSystem) -> None:
    factor, unit = shown_in(1.0, "m", system)
    length = float(side.plan_m[-1]) * factor
    known = np.isfinite(side.z_m)
    z = side.z_m * factor
    low = float(z[known].min()) if known.any() else 0.0
    # Two millimetres of air above and below the ground.
    per_mm = length / area.width / times
    low -= 2.0 * per_mm
    plot = Plot(area, 0.0, length, low, low + area.height * per_mm)
    x = side.plan_m * factor
    if known.all():
        under = plot.places([*x, x[-1], x[0]], [*z, plot.low, plot.low])
        shape = "M" + "L".join(f"{px:.3f} {py:.3f}" for px, py in under.tolist()) + "z"
        drawing.path(shape, fill=HEADLAND, name="earth")
    plot.levels(drawing, round_ticks(plot.low, plot.high, 3 if area.height > 20.0 else 2))  # noqa: PLR2004
    drawing.path(plot.curve(x, z), stroke=INK, width=0.4, name="profile")
    marks = round_ticks(0.0, length, max(int(area.width / 22.0), 1))
    plot.foot(drawing, marks, [show_number(mark) for mark in marks])
    drawing.text(
        area.x - 1.2, area.bottom + 4.0, unit, size=2.3, align="end", colour=SOFT
    )  # fmt: skip
    told = word("site_report.profile.told").format(
        plan=short(float(side.plan_m[-1]), "m", system, 4),
        ground=short(float(side.ground_m[-1]), "m", system, 4),
        start=short(float(side.z_m[0]), "m", system, 4) if known[0] else "–",
        end=short(float(side.z_m[-1]), "m", system, 4) if known[-1] else "–",
        times=show_number(times),
    )
    plot.heading(drawing, side.title)
    room = WIDTH_MM - _LEFT
    drawing.text(area.x, area.bottom + 8.4, fitted(told, room, 2.3), size=2.3, colour=SOFT)
