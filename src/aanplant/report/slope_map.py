"""The slope map: how steep each part of a block is, its contours, and where water gathers."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report import block_map as maps
from aanplant.report.block_map import KeyLine, Tone
from aanplant.report.block_marks import draw_boundary
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.labels import Room
from aanplant.report.paper import Box, round_step
from aanplant.report.plot import broken_line
from aanplant.report.site_words import short
from aanplant.report.style import CARE, INK, SHEET, WATER, text_width
from aanplant.report.svg import Drawing
from aanplant.report.view import View, polygons_of
from aanplant.site.slope import slope_classes, slope_percent
from aanplant.site.terrain import Terrain
from aanplant.units import UnitSystem, show, show_number, shown_in

_LEVEL_DEG = 45.0
"""Ground without one way down is hatched towards the north-east."""
CONTOURS = 9.0
"""About so many contours lie between the lowest and the highest place."""
HEIGHT_LABEL = 2.0
_SHARE = 0.05
_STEEPEST = 1e9


def tones(aspect_deg: float | None) -> tuple[Tone, ...]:
    """Tones of the classes, gentlest first: darker and closer hatched, to stay apart in grey.

    Hatching runs straight down the mean slope, so that it never runs along the contours.

    Parameters
    ----------
    aspect_deg : float or None
        Bearing down the mean slope. [deg]
    """
    down = 90.0 - (_LEVEL_DEG if aspect_deg is None else aspect_deg)
    return (
        Tone(SHEET),
        Tone("#F2ECDF"),
        Tone("#E4DAC4", 2.2, (down,)),
        Tone("#CFC2A6", 1.5, (down, down + 90.0)),
    )


@dataclass(frozen=True, slots=True)
class Grid:
    """Nodes of the terrain around a map, and their heights and slopes."""

    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    z_m: NDArray[np.float64]
    percent: NDArray[np.float64]


def slope_map(plan: Plan, *, system: UnitSystem = "metric") -> Drawing:
    """Draw the slope map of a block.

    Parameters
    ----------
    plan : Plan
        Whose site has heights.
    system : {"metric", "imperial"}
        Units of heights and contours.

    Raises
    ------
    ValueError
        If no heights are known.
    """
    site = plan.site
    if site.terrain is None or site.ground is None:
        raise ValueError("a slope map needs heights")
    view = maps.inset(site)
    window = view.window
    drawing = Drawing(maps.WIDTH_MM, maps.HEIGHT_MM, word("site_report.slope_map"))
    grid = grid_around(site.terrain, view)
    drawing.clip(window.x, window.y, window.width, window.height)
    looks = tones(site.ground.aspect_deg)
    for number, (area, tone) in enumerate(zip(class_areas(grid), looks, strict=True), start=1):
        inside = area.intersection(site.field)
        maps.fill(drawing, view, inside, tone, f"slope-{number}")
    for item in site.exclusions:
        if item.treatment == "avoid":
            draw_exclusion(drawing, view, item)
    step, labels = _draw_contours(drawing, view, grid, system)
    draw_boundary(drawing, view, site)
    room = Room(window.shrunk(0.5))
    _draw_places(drawing, view, plan, room, system)
    for places, text in labels:
        _label_contour(drawing, places, text, room)
    drawing.unclip()
    maps.draw_frame_and_key(drawing, view, _key(plan, step, system), system)
    return drawing


def grid_around(terrain: Terrain, view: View) -> Grid:
    """Cut the part of the terrain out that the map window shows."""
    window = view.window
    corners = view.to_frame(
        [[window.x, window.y], [window.right, window.y],
         [window.right, window.bottom], [window.x, window.bottom]]
    )  # fmt: skip
    parts = []
    for axis, nodes in enumerate((terrain.x_m, terrain.y_m)):
        low, high = corners[:, axis].min(), corners[:, axis].max()
        first = max(int(np.searchsorted(nodes, low)) - 1, 0)
        parts.append(slice(first, int(np.searchsorted(nodes, high)) + 1))
    across, up = parts
    x, y = terrain.x_m[across], terrain.y_m[up]
    nodes = np.column_stack([part.ravel() for part in np.meshgrid(x, y)])
    percent = slope_percent(terrain.gradient(nodes)).reshape(len(y), len(x))
    return Grid(x, y, terrain.z_m[up, across], percent)


def class_areas(grid: Grid) -> list[BaseGeometry]:
    """Ground of each class of slope, gentlest first."""
    from contourpy import contour_generator

    lines = contour_generator(
        grid.x_m, grid.y_m, np.ma.masked_invalid(grid.percent), fill_type="OuterOffset"
    )
    areas = []
    for item in slope_classes():
        low = item.from_percent if item.from_percent > 0.0 else -1.0
        # Corners of each area with its holes, and where each ring begins among them.
        filled: Any = lines.filled(low, min(item.to_percent, _STEEPEST))
        polygons = []
        for corners, starts in zip(*filled, strict=True):
            rings = [corners[first:end] for first, end in pairwise(starts)]
            polygons.append(Polygon(rings[0], rings[1:]))
        parts = shapely.get_parts([polygons_of(shapely.make_valid(one)) for one in polygons])
        areas.append(shapely.union_all(parts) if len(parts) else MultiPolygon())
    return areas


def contour_step(low: float, high: float) -> float:
    """Round distance between contours, in the unit that is shown."""
    return round_step(max((high - low) / CONTOURS, 1e-3))


def _draw_contours(
    drawing: Drawing, view: View, grid: Grid, system: UnitSystem
) -> tuple[float, list[tuple[NDArray[np.float64], str]]]:
    """Draw contours; return their distance, as shown, and each line on paper with its height."""
    from contourpy import contour_generator

    factor, unit = shown_in(1.0, "m", system)
    height = np.ma.masked_invalid(grid.z_m * factor)
    step = contour_step(float(height.min()), float(height.max()))
    lines = contour_generator(grid.x_m, grid.y_m, height)
    first = np.ceil(float(height.min()) / step)
    labels = []
    for number in np.arange(first, np.floor(float(height.max()) / step) + 1):
        is_main = number % 5 == 0
        for line in lines.lines(float(number * step)):
            places = view.to_paper(np.asarray(line))
            drawing.path(
                broken_line(places), stroke=INK, width=0.35 if is_main else 0.16,
                name="contour-main" if is_main else "contour",
            )  # fmt: skip
            labels.append((places, f"{show_number(round(float(number * step), 3))} {unit}"))
    return step, labels


def _label_contour(drawing: Drawing, places: NDArray[np.float64], text: str, room: Room) -> None:
    """Write the height along its line, where it runs straight and no other word stands."""
    width = text_width(text, HEIGHT_LABEL) + 1.2
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    if reach[-1] < 3.0 * width:
        return
    for part in (0.5, 0.38, 0.62, 0.28, 0.72, 0.2, 0.8):
        middle = part * reach[-1]
        at = [np.interp([middle - width / 2, middle, middle + width / 2], reach, column)
              for column in places.T]  # fmt: skip
        (x1, x, x2), (y1, y, y2) = at[0].tolist(), at[1].tolist()
        if np.hypot(x2 - x1, y2 - y1) < 0.96 * width:  # it bends
            continue
        angle = float(np.degrees(np.arctan2(y2 - y1, x2 - x1)))
        angle = (angle + 90.0) % 180.0 - 90.0
        half_x = abs(x2 - x1) / 2 + 0.8
        half_y = abs(y2 - y1) / 2 + 1.4
        box = Box(x - half_x, y - half_y, 2 * half_x, 2 * half_y)
        if not room.is_free(box):
            continue
        room.take(box)
        down = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))]) * 0.67
        drawing.text(
            x + float(down[0]), y + float(down[1]), text, size=HEIGHT_LABEL, colour=INK,
            align="middle", halo=0.35, turned_deg=round(angle, 2),
        )  # fmt: skip
        return


def _draw_places(drawing: Drawing, view: View, plan: Plan, room: Room, system: UnitSystem) -> None:
    ground = plan.site.ground
    assert ground is not None  # noqa: S101 - looked at before
    for place in ground.low_places:
        x, y = view.to_paper([place.deepest_xy])[0].tolist()
        low_mark(drawing, Box(x - 2.0, y - 1.0, 4.0, 2.0))
        _note(drawing, room, (x, y), short(place.depth_m, "m", system, 2), WATER)
    if ground.gathering.area_m2 > 0.0:
        x, y = view.to_paper([ground.gathering.xy])[0].tolist()
        gathering_mark(drawing, Box(x - 2.0, y - 1.5, 4.0, 3.0))
        area = short(ground.gathering.area_m2 / 1e4, "ha", system, 2)
        _note(drawing, room, (x, y), area, WATER)
    x, y = view.to_paper([ground.steepest_xy])[0].tolist()
    steepest_mark(drawing, Box(x - 1.5, y - 1.3, 3.0, 2.6))
    _note(drawing, room, (x, y), show(round(float(ground.percent.max()), 1), "%"), CARE)


def _note(drawing: Drawing, room: Room, at: tuple[float, float], text: str, colour: str) -> None:
    x, y = at
    width = text_width(text, 2.2, "figure")
    room.take(Box(x - 2.2, y - 1.8, 4.4, 3.6))
    beside = y - 1.2
    sides = [
        Box(x + 2.6, beside, width, 2.4),
        Box(x - 2.6 - width, beside, width, 2.4),
        Box(x - width / 2, y + 2.2, width, 2.4),
        Box(x - width / 2, y - 4.6, width, 2.4),
    ]
    box = room.first_free(sides)
    if box is not None:
        drawing.text(
            box.x, box.y + 2.0, text, size=2.2, face="figure", colour=colour, halo=0.4
        )  # fmt: skip


def low_mark(drawing: Drawing, box: Box) -> None:
    """Draw a bowl: ground without a way out."""
    half = box.width / 2.0
    bowl = f"M{box.x:.3f} {box.y:.3f}a{half:.3f} {box.height:.3f} 0 0 0 {box.width:.3f} 0"
    drawing.path(bowl + "z", fill=SHEET, stroke=WATER, width=0.45, name="low-place")


def gathering_mark(drawing: Drawing, box: Box) -> None:
    """Draw three runs that meet: where the water of the ground uphill comes together."""
    x, foot = box.x + box.width / 2.0, box.bottom
    runs = "".join(
        f"M{start:.3f} {box.y:.3f}L{x:.3f} {box.y + box.height * 0.7:.3f}"
        for start in (box.x, x, box.right)
    )
    drawing.circle(x, box.y + box.height / 2, 2.3, fill=SHEET)
    drawing.path(f"{runs}L{x:.3f} {foot:.3f}", stroke=WATER, width=0.45, name="gathering")


def steepest_mark(drawing: Drawing, box: Box) -> None:
    """Draw a peak: the steepest place."""
    x = box.x + box.width / 2.0
    peak = f"M{box.x:.3f} {box.bottom:.3f}L{x:.3f} {box.y:.3f}L{box.right:.3f} {box.bottom:.3f}z"
    drawing.path(peak, fill=SHEET, stroke=CARE, width=0.4, name="steepest")


def _key(plan: Plan, step: float, system: UnitSystem) -> list[KeyLine]:
    ground = plan.site.ground
    assert ground is not None  # noqa: S101 - looked at before
    lines = []
    for tone, item, share in zip(
        tones(ground.aspect_deg), slope_classes(), ground.class_shares, strict=True
    ):
        percent = 100.0 * float(share)
        text = show(round(percent), "%") if percent >= 1.0 or percent <= _SHARE else "< 1\u202f%"
        limits, _, name = item.label.partition(", ")
        lines.append(
            KeyLine(
                maps.tone_sample(tone),
                limits,
                word("site_report.key.share").format(name=name, share=text),
            )
        )
    unit = shown_in(1.0, "m", system)[1]
    spacing = word("site_report.key.contour").format(step=f"{show_number(step)} {unit}")
    lines.append(KeyLine(_contour_sample, spacing))
    lines.append(KeyLine(_inside(steepest_mark, 3.0), word("site_report.key.steepest")))
    if ground.low_places:
        lines.append(KeyLine(_inside(low_mark, 4.0), word("site_report.key.low")))
    if ground.gathering.area_m2 > 0.0:
        lines.append(KeyLine(_inside(gathering_mark, 4.0), word("site_report.key.gathering")))
    return [*lines, *maps.exclusion_lines(plan.site)]


def _contour_sample(drawing: Drawing, box: Box) -> None:
    drawing.line(box.x, box.y + 1.0, box.right, box.y + 1.0, stroke=INK, width=0.35)
    drawing.line(box.x, box.y + 2.4, box.right, box.y + 2.4, stroke=INK, width=0.16)


def _inside(mark: Callable[[Drawing, Box], None], width: float) -> Callable[[Drawing, Box], None]:
    """Draw a mark in the middle of its sample."""

    def draw(drawing: Drawing, box: Box) -> None:
        x = box.x + (box.width - width) / 2.0
        mark(drawing, Box(x, box.y + 0.4, width, 0.65 * width))

    return draw
