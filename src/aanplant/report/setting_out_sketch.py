"""A sketch of base line, second line and rows, as a helper with a tape sees them."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from aanplant.layout import Layout
from aanplant.layout.codes import corner_codes
from aanplant.layout.setting_out import SettingOut
from aanplant.messages import word
from aanplant.report.labels import Room
from aanplant.report.paper import Box
from aanplant.report.style import HEADLAND, INK, LINE, PEN, SHEET, SOFT, Face, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing, ring, strokes
from aanplant.site import Site

WIDTH_MM, HEIGHT_MM = 174.0, 100.0
_MARGIN = 11.0
_MOST_CORNERS = 40
_RIGHT_ANGLE = 2.4
_PEG, _CORNER, _ROW = 4.2, 2.4, 2.6

Place = Callable[[NDArray[np.float64]], NDArray[np.float64]]


def setting_out_sketch(site: Site, layout: Layout, out: SettingOut) -> Drawing:
    """Draw the sketch; true north is up, the scale is whatever fits."""
    base = out.base
    corners = np.asarray(site.boundary.exterior.coords)[:-1]
    place = _fitting(np.vstack([base.pegs_xy, corners]))
    pegs, ends = place(base.pegs_xy), place(np.array([base.p_xy, base.q_xy]))
    room = Room(Box(0.0, 0.0, WIDTH_MM, HEIGHT_MM))
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, word("tape.sketch"))
    drawing.path(ring(place(corners)), fill=HEADLAND)
    posts = place(layout.positions.end_posts_xy).reshape(-1, 2, 2)
    drawing.path(strokes(posts[:, 0], posts[:, 1]), stroke=LINE, width=0.2)
    drawing.path(ring(place(corners)), stroke=INK, width=0.35, dash="5 0.9 0.8 0.9")
    marked = _draw_strings(drawing, out, posts, place)
    drawing.path(strokes(pegs[:2], pegs[2:]), stroke=SOFT, width=0.18, dash="0.8 0.8")
    drawing.path(ring(pegs), stroke=PEN, width=0.3, dash="2.4 0.9")
    drawing.path(strokes(ends[:1], ends[1:]), stroke=PEN, width=0.8, name="base-line")
    _draw_pegs(drawing, room, pegs, ends, is_side=base.is_side)
    for at, away, text in marked:
        _write(drawing, room, at, away, text, size=_ROW)
    if len(corners) <= _MOST_CORNERS:
        places = place(corners)
        for code, at in zip(corner_codes(len(corners)).tolist(), places, strict=True):
            away = at - places.mean(axis=0)
            _write(drawing, room, at, away, code, size=_CORNER, face="label")
    _draw_north(drawing)
    return drawing


def _fitting(xy: NDArray[np.float64]) -> Place:
    """Return the function that brings the frame's x and y into the sketch."""
    low, high = xy.min(axis=0), xy.max(axis=0)
    room = np.array([WIDTH_MM, HEIGHT_MM]) - 2 * _MARGIN
    scale = float((room / np.maximum(high - low, 1e-6)).min())

    def place(points: NDArray[np.float64]) -> NDArray[np.float64]:
        away = (np.asarray(points).reshape(-1, 2) - (low + high) / 2.0) * scale
        placed: NDArray[np.float64] = away * [1.0, -1.0] + [WIDTH_MM / 2.0, HEIGHT_MM / 2.0]
        return placed

    return place


def _draw_strings(
    drawing: Drawing, out: SettingOut, posts: NDArray[np.float64], place: Place
) -> list[tuple[NDArray[np.float64], NDArray[np.float64], str]]:
    """Draw the strings of the first and last rows that cross AB and DC between their pegs.

    Returns where their numbers go: place, direction and text.
    """
    base = out.base
    inside = [
        index
        for index in range(len(out))
        if min(out.on_ab_m[index], out.on_dc_m[index]) >= 0.0
        and max(out.on_ab_m[index], out.on_dc_m[index]) <= base.length_m
    ] or [0]
    marked = []
    for index in dict.fromkeys((inside[0], inside[-1])):
        a, _, _, d = base.pegs_xy
        on_ab = a + out.on_ab_m[index] * base.along_xy
        on_dc = d + out.on_dc_m[index] * base.along_xy
        marks = place(np.array([on_ab, on_dc]))
        drawing.path(strokes(marks[:1], marks[1:]), stroke=INK, width=0.3)
        drawing.path(strokes(posts[index, :1], posts[index, 1:]), stroke=INK, width=0.5)
        for x, y in marks.tolist():
            drawing.circle(x, y, 0.7, fill=INK)
        text = word("tape.row_mark").format(row=int(out.row[index]))
        marked.append((marks[0], marks[0] - marks[1], text))
    return marked


def _draw_pegs(
    drawing: Drawing,
    room: Room,
    pegs: NDArray[np.float64],
    ends: NDArray[np.float64],
    *,
    is_side: bool,
) -> None:
    along, deep = pegs[1] - pegs[0], pegs[3] - pegs[0]
    along, deep = along / np.hypot(*along), deep / np.hypot(*deep)
    for at in (*pegs, *ends):
        room.take(Box(float(at[0]) - 1.0, float(at[1]) - 1.0, 2.0, 2.0))
    if not is_side:
        for letter, at, away in zip("PQ", ends, (-along, along), strict=True):
            drawing.circle(float(at[0]), float(at[1]), 1.0, fill=SHEET, stroke=PEN, width=0.4)
            _write(drawing, room, at, away, letter, size=_PEG, colour=PEN)
    outward = (-along - deep, along - deep, along + deep, deep - along)
    for index, letter in enumerate("ABCD"):
        _right_angle(drawing, pegs[index], pegs[index - 1], pegs[(index + 1) % 4])
        drawing.circle(float(pegs[index][0]), float(pegs[index][1]), 1.0, fill=PEN)
        _write(drawing, room, pegs[index], outward[index], letter, size=_PEG, colour=PEN)


def _write(
    drawing: Drawing, room: Room, at: NDArray[np.float64], away: NDArray[np.float64], text: str, *,
    size: float, face: Face = "figure", colour: str = INK,
) -> None:  # fmt: skip
    """Write a text beside a point, away from the drawing where there is room."""
    width, height = text_width(text, size, face), CAP_HEIGHT * size
    straight = float(np.degrees(np.arctan2(away[1], away[0])))
    for reach in (1.8, 4.0, 6.5, 9.0):
        for turn in (0, 25, -25, 50, -50, 80, -80, 120, -120, 180):
            angle = np.radians(straight + turn)
            right, down = np.cos(angle), np.sin(angle)
            x = float(at[0] + right * (reach + width / 2.0)) - width / 2.0
            y = float(at[1] + down * (reach + height / 2.0)) - height / 2.0
            if room.first_free([Box(x - 0.3, y - 0.3, width + 0.6, height + 0.6)]):
                drawing.text(x, y + height, text, size=size, face=face, colour=colour, halo=0.3)
                return


def _right_angle(
    drawing: Drawing,
    at: NDArray[np.float64],
    before: NDArray[np.float64],
    after: NDArray[np.float64],
) -> None:
    one = (before - at) / np.hypot(*(before - at)) * _RIGHT_ANGLE
    other = (after - at) / np.hypot(*(after - at)) * _RIGHT_ANGLE
    points = np.array([at + one, at + one + other, at + other])
    shape = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points.tolist())
    drawing.path(shape, stroke=PEN, width=0.25)


def _draw_north(drawing: Drawing) -> None:
    x, y = 6.0, 18.0
    drawing.path(f"M{x} {y - 11}l-2 10l2 -1.6z", fill=INK, stroke=INK, width=0.2)
    drawing.path(f"M{x} {y - 11}l2 10l-2 -1.6z", stroke=INK, width=0.2)
    drawing.text(x, y - 12.0, word("sheet.north_letter"), size=3.0, face="figure", align="middle")
