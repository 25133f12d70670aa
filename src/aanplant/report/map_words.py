"""Words inside the map window: row numbers, corners, names of things, where row 1 begins."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.inputs import Exclusion
from aanplant.layout import Layout
from aanplant.layout.codes import corner_codes
from aanplant.messages import word
from aanplant.report.block_marks import Detail, headings_on_paper, posts_of_anchors
from aanplant.report.exclusion_marks import LOOKS, OTHER, on_paper
from aanplant.report.labels import Room
from aanplant.report.paper import Box
from aanplant.report.style import INK, SHEET, SOFT, fitted, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing
from aanplant.report.view import View
from aanplant.site import Site

ROW_NUMBER = 2.0
CORNER = 2.0
NAME = 2.4
LONGEST_NAME_MM = 42.0
MOST_CORNERS = 30
"""An outline with more corners than this is a track; its corners get no code on the sheet."""
_EVERY = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_COUNT_ROOM = 1.5
FURTHEST_MM = 9.0
"""A row number that finds no place within this distance of the row is left out."""


def draw_words(drawing: Drawing, view: View, site: Site, layout: Layout, detail: Detail) -> None:
    """Write all words of the map, the weightiest first, none over another."""
    room = Room(view.window.shrunk(0.8))
    _draw_corners(drawing, view, room, site)
    _draw_first_row(_Map(drawing, view, room, site, layout, detail))
    for item in site.exclusions:
        _draw_name(drawing, view, room, item)
    _draw_row_numbers(_Map(drawing, view, room, site, layout, detail))


def numbered_every(count: int, row_mm: float) -> int:
    """Choose the rows between numbers so that numbers don't crowd: 1, 2, 5, 10 and so on."""
    widest = text_width(str(count), ROW_NUMBER) + _COUNT_ROOM
    return next((every for every in _EVERY if every * row_mm >= widest), _EVERY[-1])


@dataclass(frozen=True, slots=True)
class _Map:
    """The map that words are written on."""

    drawing: Drawing
    view: View
    room: Room
    site: Site
    layout: Layout
    detail: Detail


def _draw_first_row(on: _Map) -> None:
    """Ring the first vine of row 1 and say so outside the block."""
    drawing, view, room, site, layout, detail = (
        on.drawing, on.view, on.room, on.site, on.layout, on.detail
    )  # fmt: skip
    positions = layout.positions
    first = int(np.lexsort((positions.number, positions.row))[0])
    x, y = view.to_paper(positions.xy[first])[0]
    radius = min(max(1.1, 0.8 * detail.row_mm), 1.6)
    text = word("sheet.first_vine").format(
        row=int(positions.row[first]), vine=int(positions.number[first])
    )
    outline = on_paper(view, site.boundary)
    shapely.prepare(outline)
    size = 2.5
    centre = np.array([outline.centroid.x, outline.centroid.y])
    away = np.array([x, y]) - centre
    straight = float(np.degrees(np.arctan2(away[1], away[0])))
    width = text_width(text, size, "figure")
    height = CAP_HEIGHT * size
    for area in _around(x, y, width, height, straight):
        leader = _leader((float(x), float(y)), radius, area)
        if (
            room.is_free(area)
            and not outline.intersects(_polygon(area, 1.0))
            and room.is_line_free(*leader)
        ):
            room.take(area)
            drawing.line(*leader, width=0.25)
            drawing.text(area.x, area.bottom, text, size=size, face="figure")
            break
    room.take(Box(x - radius, y - radius, 2 * radius, 2 * radius))
    drawing.circle(x, y, radius, stroke=INK, width=0.35)


def _around(x: float, y: float, width: float, height: float, straight_deg: float) -> Iterator[Box]:
    """Areas at growing distances around a point, first straight out, then to its sides."""
    for reach in range(8, 60, 3):
        for turn in (0, 15, -15, 30, -30, 50, -50, 75, -75, 100, -100):
            angle = np.radians(straight_deg + turn)
            cx = x + np.cos(angle) * (reach + width / 2.0 * abs(np.cos(angle)))
            cy = y + np.sin(angle) * (reach + height / 2.0)
            yield Box(cx - width / 2.0, cy - height / 2.0, width, height)


def _leader(at: tuple[float, float], radius: float, area: Box) -> tuple[float, float, float, float]:
    """Line from a ring to the nearest side of a text, as x1, y1, x2, y2."""
    x, y = at
    end_x = min(max(x, area.x), area.right)
    end_y = min(max(y, area.y - 0.8), area.bottom + 0.8)
    if end_x in (area.x, area.right):
        end_x += -0.8 if end_x == area.x else 0.8
        end_y = area.y + area.height / 2.0
    part = min(radius / max(math.hypot(end_x - x, end_y - y), radius), 1.0)
    return x + part * (end_x - x), y + part * (end_y - y), end_x, end_y


def _draw_name(drawing: Drawing, view: View, room: Room, item: Exclusion) -> None:
    zone = on_paper(view, item.geometry.buffer(item.reach_m))
    if zone.is_empty:
        return
    text = fitted(item.name or word(f"kind.{item.kind}"), LONGEST_NAME_MM, NAME)
    width, height = text_width(text, NAME), CAP_HEIGHT * NAME
    inside = shapely.point_on_surface(zone)
    _, low, _, high = zone.bounds
    middles = [(inside.x, inside.y), (inside.x, low - 2.0), (inside.x, high + 2.0)]
    middles += [(inside.x, inside.y + shift) for shift in (-4.0, 4.0, -8.0, 8.0)]
    # A long strip is named where its middle line runs on inside the window too.
    middles += [(point.x, point.y) for point in _along(zone)]
    area = room.first_free(
        Box(x - width / 2.0 - 0.4, y - height / 2.0 - 0.4, width + 0.8, height + 0.8)
        for x, y in middles
    )
    if area is not None:
        colour = LOOKS.get(item.kind, OTHER).colour
        drawing.text(
            area.x + 0.4, area.bottom - 0.4, text, size=NAME, colour=colour, halo=0.5
        )  # fmt: skip


def _along(zone: shapely.geometry.base.BaseGeometry) -> list[shapely.Point]:
    ring = zone.minimum_rotated_rectangle
    if ring.geom_type != "Polygon":
        return []
    corners = shapely.get_coordinates(ring)[:4]
    sides = np.hypot(*(corners[1] - corners[0])), np.hypot(*(corners[2] - corners[1]))
    start, end = (
        ((corners[0] + corners[3]) / 2, (corners[1] + corners[2]) / 2)
        if sides[0] > sides[1]
        else ((corners[0] + corners[1]) / 2, (corners[2] + corners[3]) / 2)
    )
    return [shapely.Point(start + part * (end - start)) for part in (0.5, 0.3, 0.7, 0.15, 0.85)]


def _draw_corners(drawing: Drawing, view: View, room: Room, site: Site) -> None:
    """Mark and name the corners of the outline, as the set-out files do."""
    corners = np.asarray(site.boundary.exterior.coords)[:-1]
    if len(corners) > MOST_CORNERS:
        return
    places = view.to_paper(corners)
    outline = on_paper(view, site.boundary)
    shapely.prepare(outline)
    for code, (x, y) in zip(corner_codes(len(corners)).tolist(), places.tolist(), strict=True):
        drawing.circle(x, y, 0.55, fill=SHEET, stroke=INK, width=0.22)
        room.take(Box(x - 0.6, y - 0.6, 1.2, 1.2))
        width, height = text_width(code, CORNER, "figure"), CAP_HEIGHT * CORNER
        away = np.array([x - outline.centroid.x, y - outline.centroid.y])
        straight = float(np.degrees(np.arctan2(away[1], away[0])))
        for turn in (0, 30, -30, 60, -60, 90, -90, 180):
            angle = np.radians(straight + turn)
            reach = 1.4 + abs(np.cos(angle)) * width / 2.0 + abs(np.sin(angle)) * height / 2.0
            cx, cy = x + np.cos(angle) * reach, y + np.sin(angle) * reach
            area = Box(cx - width / 2.0, cy - height / 2.0, width, height)
            if room.is_free(area) and not outline.intersects(_polygon(area, 0.0)):
                room.take(area)
                drawing.text(area.x, area.bottom, code, size=CORNER, face="figure")
                break


def _draw_row_numbers(on: _Map) -> None:
    """Write the numbers of rows at both their outer ends, beyond the anchors."""
    view, layout, detail = on.view, on.layout, on.detail
    numbers, starts, ends = row_ends(layout)
    if not len(numbers):
        return
    every = numbered_every(int(numbers.max()), detail.row_mm)
    first, last = int(numbers.min()), int(numbers.max())
    chosen = [
        index
        for index, number in enumerate(numbers.tolist())
        if number in (first, last) or number % every == 0
    ]
    # The ends of the count come first, so that they keep their place.
    chosen.sort(key=lambda index: int(numbers[index]) not in (first, last))
    beyond_mm = _anchor_mm(view, layout) + 0.6 * detail.end_post_mm + 0.9
    edge = on_paper(view, on.site.boundary).boundary
    shapely.prepare(edge)
    posts, ways = layout.positions.end_posts_xy, layout.positions.end_posts_outward_xy
    for outer in (starts, ends):
        places, out = view.to_paper(posts[outer]), headings_on_paper(view, ways[outer])
        for index in chosen:
            direction = out[index]
            text = str(numbers[index])
            width, height = text_width(text, ROW_NUMBER), CAP_HEIGHT * ROW_NUMBER
            reach = beyond_mm + (abs(direction[0]) * width + abs(direction[1]) * height) / 2.0
            for further in np.arange(0.0, FURTHEST_MM, 0.5):
                x, y = places[index] + direction * (reach + further)
                area = Box(x - width / 2 - 0.3, y - height / 2 - 0.2, width + 0.6, height + 0.4)
                if edge.intersects(_polygon(area, 0.2)):
                    continue
                if on.room.first_free([area]) is not None:
                    on.drawing.text(
                        x, y + height / 2, text, size=ROW_NUMBER, align="middle", colour=SOFT
                    )
                break


def row_ends(
    layout: Layout,
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Numbers of the rows that hold vines, and the end posts where they start and end."""
    positions = layout.positions
    row = layout.rows.row[positions.end_posts_piece].astype(np.int64)
    numbers, first = np.unique(row, return_index=True)
    last = len(row) - 1 - np.unique(row[::-1], return_index=True)[1]
    return numbers, first, last


def _anchor_mm(view: View, layout: Layout) -> float:
    """How far anchors stand beyond their end posts on paper."""
    if not len(layout.anchors_xy):
        return 0.0
    posts = layout.positions.end_posts_xy[posts_of_anchors(layout)]
    return float(np.hypot(*(layout.anchors_xy - posts).T).max()) * view.mm_per_m


def _polygon(area: Box, margin: float) -> shapely.Polygon:
    return shapely.box(area.x - margin, area.y - margin, area.right + margin, area.bottom + margin)
