"""A small picture of the block with its rows, for a page of text."""

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report import block_map as maps
from aanplant.report.block_map import KeyLine
from aanplant.report.block_marks import Detail, draw_boundary, draw_ground, draw_rows
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.map_words import draw_words
from aanplant.report.paper import Box
from aanplant.report.sheet import heading_of
from aanplant.report.style import HEADLAND, INK
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem

_NEVER_MM = 0.0
"""Vines and posts are never drawn at this scale: rows alone make the picture."""


def rows_picture(plan: Plan, *, system: UnitSystem = "metric") -> Drawing:
    """Draw outline, headland and rows, with corners, first row and row numbers named.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    system : {"metric", "imperial"}
        Units of the scale bar.
    """
    view = maps.inset(plan.site)
    window = view.window
    detail = Detail(plan.stock.row_width_m * view.mm_per_m, _NEVER_MM, _NEVER_MM)
    drawing = Drawing(maps.WIDTH_MM, maps.HEIGHT_MM, f"{heading_of(plan)}, {word('sheet.row')}")
    drawing.clip(window.x, window.y, window.width, window.height)
    draw_ground(drawing, view, plan.site, plan.layout)
    for item in plan.site.exclusions:
        draw_exclusion(drawing, view, item)
    draw_rows(drawing, view, plan.layout, detail)
    draw_boundary(drawing, view, plan.site)
    draw_words(drawing, view, plan.site, plan.layout, detail)
    drawing.unclip()
    lines = [
        KeyLine(_row_sample, word("sheet.row")),
        KeyLine(_headland_sample, word("sheet.headland")),
        *maps.exclusion_lines(plan.site),
    ]
    maps.draw_frame_and_key(drawing, view, lines, system)
    return drawing


def _row_sample(drawing: Drawing, box: Box) -> None:
    for share in (0.2, 0.5, 0.8):
        y = box.y + share * box.height
        drawing.line(box.x, y, box.right, y, stroke=INK, width=0.16)


def _headland_sample(drawing: Drawing, box: Box) -> None:
    drawing.box(box.x, box.y, box.width, box.height, fill=HEADLAND, stroke=INK, line=0.15)
