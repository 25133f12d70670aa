"""The frame of a sheet: coordinates along its sides, north arrow and scale bar."""

import math

from aanplant.messages import word
from aanplant.report.paper import Box, round_step
from aanplant.report.style import INK, LINE, SHEET, SOFT, text_width
from aanplant.report.svg import CAP_HEIGHT, Align, Drawing, repeated
from aanplant.report.view import Tick, View
from aanplant.site.grid import SetOutGrid
from aanplant.units import UnitSystem, show_fixed, show_number

_FOOT_M = 0.3048
_LABEL = 2.1
_TICK = 1.8
_CROSS = "m-0.9 0h1.8m-0.9 -0.9v1.8"


def axis_words(grid: SetOutGrid) -> tuple[str, str]:
    """Name the first and second coordinate for people, such as "Y westing"."""
    first, second = (word(f"axis.{name}") for name in grid.axis_names)
    return first, second


def draw_frame(drawing: Drawing, view: View) -> None:
    """Draw frame, ticks with their coordinates, and crosses where grid lines meet."""
    paper, window = view.paper, view.window
    outer = paper.frame
    ticks = view.ticks()
    drawing.path(repeated(view.crosses(ticks), _CROSS), stroke=LINE, width=0.15)
    drawing.box(outer.x, outer.y, outer.width, outer.height, stroke=INK, line=0.5)
    drawing.box(window.x, window.y, window.width, window.height, stroke=INK, line=0.2)
    first, second = axis_words(view.grid)
    for side, marks in ticks.items():
        name = first if side in ("top", "bottom") else second
        for number, tick in enumerate(marks):
            _draw_tick(drawing, side, tick, window, name if number == 0 else "")


def _draw_tick(drawing: Drawing, side: str, tick: Tick, window: Box, name: str) -> None:
    out_x, out_y = {"top": (0, -1), "bottom": (0, 1), "left": (-1, 0), "right": (1, 0)}[side]
    drawing.line(tick.x, tick.y, tick.x + _TICK * out_x, tick.y + _TICK * out_y, width=0.2)
    text = show_number(tick.value)
    half = text_width(text, _LABEL) / 2.0
    rise = CAP_HEIGHT * _LABEL
    if side in ("top", "bottom"):
        x = min(max(tick.x, window.x + half), window.right - half)
        y = tick.y - _TICK - 0.9 if side == "top" else tick.y + _TICK + 0.9 + rise
        drawing.text(x, y, text, size=_LABEL, align="middle", colour=SOFT)
        if name:
            shift = half + 1.2
            align: Align = "start" if x + shift + text_width(name, _LABEL) < window.right else "end"
            drawing.text(
                x + (shift if align == "start" else -shift), y, name,
                size=_LABEL, align=align, colour=SOFT,
            )  # fmt: skip
        return
    y = min(max(tick.y, window.y + half), window.bottom - half)
    x = tick.x - _TICK - 0.9 if side == "left" else tick.x + _TICK + 0.9 + rise
    drawing.text(x, y, text, size=_LABEL, align="middle", colour=SOFT, turned_deg=-90.0)
    if name:
        shift = half + 1.2
        is_above = y - shift - text_width(name, _LABEL) > window.y
        drawing.text(
            x, y - shift if is_above else y + shift, name, size=_LABEL,
            align="start" if is_above else "end", colour=SOFT, turned_deg=-90.0,
        )  # fmt: skip


def draw_north(drawing: Drawing, area: Box, grid: SetOutGrid) -> None:
    """Draw the arrow to true north, a stroke to grid north, and say the angle between."""
    height = area.height - 3.0
    foot_x, foot_y = area.x + 7.0, area.bottom - 1.0
    angle = -math.radians(grid.convergence_deg)  # true north as seen from grid north
    right, up = math.sin(angle), math.cos(angle)

    def at(along: float, aside: float) -> str:
        x = foot_x + along * right + aside * up
        y = foot_y - along * up + aside * right
        return f"{x:.3f} {y:.3f}"

    tip = height - 2.6
    for side, fill in ((-2.6, INK), (2.6, SHEET)):
        half = f"M{at(tip, 0)}L{at(0, side)}L{at(tip * 0.18, 0)}z"
        drawing.path(half, fill=fill, stroke=INK, width=0.2)
    drawing.text(
        foot_x + (tip + 0.8) * right, foot_y - (tip + 0.8) * up, word("sheet.north_letter"),
        size=3.2, face="figure", align="middle",
    )  # fmt: skip
    x = area.x + 15.0
    drawing.text(x, area.y + 6.0, word("sheet.true_north"), size=2.6, face="figure")
    for line, text in enumerate(convergence_words(grid)):
        drawing.text(x, area.y + 10.0 + 3.2 * line, text, size=2.3, colour=SOFT)


def convergence_words(grid: SetOutGrid) -> list[str]:
    """Two lines: that the sheet stands on grid north, and how far that is off true north."""
    off = grid.convergence_deg
    side = "sheet.grid_north_east" if off >= 0 else "sheet.grid_north_west"
    return [word("sheet.grid_north_up"), word(side).format(angle=f"{show_fixed(abs(off), 2)}°")]


def draw_scale_bar(drawing: Drawing, area: Box, denominator: int, system: UnitSystem) -> None:
    """Draw a bar of four parts, in metres or in feet."""
    unit_m, unit = (_FOOT_M, "ft") if system == "imperial" else (1.0, "m")
    mm_per_unit = 1000.0 * unit_m / denominator
    part = _largest_step((area.width - 14.0) / 4.0 / mm_per_unit)
    length = part * mm_per_unit
    x, y = area.x + 2.0, area.y + 5.0
    drawing.box(x, y, 4 * length, 1.5, fill=SHEET, stroke=INK, line=0.2)
    for index in range(0, 4, 2):
        drawing.box(x + index * length, y, length, 1.5, fill=INK)
    for index in range(5):
        text = show_number(index * part)
        label = f"{text} {unit}" if index == 4 else text  # noqa: PLR2004 - the bar's end
        align_x = x + index * length
        if index == 4:  # noqa: PLR2004 - the unit hangs out to the right
            start = align_x - text_width(text, 2.2) / 2.0
            drawing.text(start, y - 1.0, label, size=2.2)
        elif text_width(text, 2.2) < length:
            drawing.text(align_x, y - 1.0, text, size=2.2, align="middle")
    drawing.text(x, y + 5.0, f"1:{show_number(denominator)}", size=2.6, face="figure")


def _largest_step(at_most: float) -> float:
    """Largest of 1, 2, 5, 10 … that is no more than this."""
    step = round_step(at_most)
    if step <= at_most:
        return step
    first = int(f"{step:e}"[0])
    return step / (2.5 if first == 5 else 2.0)  # noqa: PLR2004 - 5 follows 2
