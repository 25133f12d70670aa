"""The trellis on one sheet: end of a row, section, wires and parts, for those who build it."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.panel import Cell, draw_title_block, title_height, title_lines
from aanplant.report.paper import Box
from aanplant.report.rendering import page_of
from aanplant.report.sheet import heading_of
from aanplant.report.style import CARE, INK, LINE, SOFT, STOP, fitted, wrapped
from aanplant.report.svg import Align, Drawing
from aanplant.report.trellis_draft import balloon
from aanplant.report.trellis_elevation import (
    draw_elevation,
    elevation_height_mm,
    elevation_scale,
)
from aanplant.report.trellis_parts import parts_of, unit_of, unit_words
from aanplant.report.trellis_section import draw_section, section_scale, section_width_mm
from aanplant.report.trellis_view import TrellisView, view_of
from aanplant.report.wire_list import HEADS, wire_rows
from aanplant.units import UnitSystem, show, show_number

WIDTH_MM, HEIGHT_MM = 420.0, 297.0
_EDGE, _PANEL, _PAD = 10.0, 78.0, 4.0
_HEADING, _TEXT, _LINE_STEP = 4.2, 2.7, 3.7
_ELEVATION_MM = 132.0
_ROW_MM = 5.2
_SHARES = (0.05, 0.33, 0.43, 0.6, 0.77, 0.88, 1.0)
"""Where the columns of the wire list end (numbers) or begin (words), over its width."""
_ALIGNED: tuple[Align, ...] = ("start", "start", "end", "start", "start", "end", "end")


def draw_trellis(plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric") -> None:
    """Draw the sheet as SVG or PNG, whichever the path ends in.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the sheet.
    system : {"metric", "imperial"}
        Measures in millimetres or in inches.
    """
    drawing = trellis_sheet(plan, made=made, system=system)
    if path.suffix == ".svg":
        path.write_text(drawing.svg(alone=True), encoding="utf-8")
        return
    page = page_of(drawing, made=made, title=drawing.title, author=plan.inputs.estate)
    page.print_to({"png": path})


def trellis_sheet(plan: Plan, *, made: datetime, system: UnitSystem = "metric") -> Drawing:
    """Draw the sheet; see ``draw_trellis``."""
    view = view_of(plan)
    drawing = Drawing(WIDTH_MM, HEIGHT_MM, f"{heading_of(plan)} · {word('trellis_drawing.title')}")
    frame = Box(0.0, 0.0, WIDTH_MM, HEIGHT_MM).shrunk(_EDGE)
    drawing.box(frame.x, frame.y, frame.width, frame.height, stroke=INK, line=0.5)
    panel = Box(frame.right - _PANEL, frame.y, _PANEL, frame.height)
    drawing.line(panel.x, panel.y, panel.x, panel.bottom, width=0.5)
    field = Box(frame.x, frame.y, frame.width - _PANEL, frame.height).shrunk(_PAD)

    tall = min(_ELEVATION_MM, 0.55 * field.height)
    room = Box(field.x, field.y + 8.0, field.width, tall - 8.0)
    along = elevation_scale(view, room)
    used = Box(room.x, room.y, room.width, elevation_height_mm(view, along))
    _head(drawing, Box(field.x, field.y, field.width, 8.0), "elevation", along)
    draw_elevation(drawing, view, used, along, system)

    top = used.bottom + 7.0
    low = Box(field.x, top + 8.0, field.width, field.bottom - top - 8.0)
    across = section_scale(view, Box(low.x, low.y, 0.55 * low.width, low.height))
    wide = max(section_width_mm(view, across), 0.3 * low.width)
    _head(drawing, Box(field.x, top, field.width, 8.0), "section", across)
    draw_section(drawing, view, Box(low.x, low.y, wide, low.height), across, system)
    listed = Box(low.x + wide + 8.0, top, low.width - wide - 8.0, field.bottom - top)
    _draw_wires(drawing, view, listed, system)
    _draw_panel(drawing, _Told(plan, view, (along, across), made, system), panel)
    return drawing


def _head(drawing: Drawing, area: Box, name: str, denominator: int) -> None:
    title = word(f"trellis_drawing.{name}")
    drawing.text(area.x, area.y + _HEADING, title, size=_HEADING, face="title")
    scale = fill("trellis_drawing.scale", scale=denominator)
    drawing.text(area.x + 68.0, area.y + _HEADING, scale, size=_TEXT, colour=SOFT)


def _draw_wires(drawing: Drawing, view: TrellisView, area: Box, system: UnitSystem) -> None:
    """List the wires, the highest first, as they hang."""
    drawing.text(area.x, area.y + _HEADING, word("trellis_drawing.wires"), size=_HEADING,
                 face="title")  # fmt: skip
    y = area.y + 12.0
    if not view.marks:
        drawing.text(area.x, y, word("trellis_drawing.vines_only"), size=_TEXT)
        return
    places = [area.x, *(area.x + share * area.width for share in _SHARES)]
    heads = [fill(f"trellis_drawing.head.{name}", unit=unit_of(system)) for name in HEADS]
    rows = wire_rows(view, system)
    fit = max(int((area.bottom - y) / _ROW_MM) - 3, 1)
    for index, cells in enumerate([heads, *rows[:fit]]):
        at = y + index * _ROW_MM
        for column, (text, align) in enumerate(zip(cells, _ALIGNED, strict=True)):
            indent = 3.0 if column else 1.0
            x = places[column + 1] if align == "end" else places[column] + indent
            shown = fitted(text, places[column + 1] - places[column] - 2.5, 2.7)
            head = index == 0
            drawing.text(
                x, at, shown, size=2.2 if head else 2.7,
                face="label" if head or column in {1, 4} else "figure", align=align,
                colour=SOFT if head else INK,
            )  # fmt: skip
        drawing.line(area.x, at + 1.7, area.right, at + 1.7, stroke=INK if not index else LINE,
                     width=0.3 if not index else 0.15)  # fmt: skip
    left = len(rows) - fit
    notes = [
        *([fill("trellis_drawing.more", count=left)] if left > 0 else []),
        *wrapped(word("trellis_drawing.lines"), area.width, _TEXT),
        *wrapped(fill("trellis_drawing.units", unit=unit_words(system)), area.width, _TEXT),
    ]
    top = y + (min(len(rows), fit) + 1) * _ROW_MM + 2.0
    for index, line in enumerate(notes):
        drawing.text(area.x, top + index * _LINE_STEP, line, size=_TEXT, colour=SOFT)


@dataclass(frozen=True, slots=True)
class _Told:
    """All that the panel tells of."""

    plan: Plan
    view: TrellisView
    scales: tuple[int, int]
    made: datetime
    system: UnitSystem


def _draw_panel(drawing: Drawing, told: _Told, panel: Box) -> None:
    plan = told.plan
    inner = panel.shrunk(_PAD)
    drawing.text(inner.x, inner.y + _HEADING, word("trellis_drawing.parts"), size=_HEADING,
                 face="title")  # fmt: skip
    y = inner.y + 11.0
    for part in parts_of(told.view, told.system):
        balloon(drawing, part.number, inner.x + 2.4, y)
        lines = wrapped(part.text, inner.width - 8.0, _TEXT)
        for index, line in enumerate(lines):
            drawing.text(inner.x + 7.0, y + 0.9 + index * _LINE_STEP, line, size=_TEXT)
        y += max(len(lines) * _LINE_STEP, 4.0) + 2.2
    names = [name for name in (plan.inputs.estate, plan.site.name) if name]
    title = title_lines([*(names or [word("sheet.nameless")])], panel.width)
    cells = _cells(told)
    height = title_height(title, cells)
    stops = sum(finding.level == "stop" for finding in plan.findings)
    notes = [(line, CARE) for line in wrapped(word("trellis_drawing.caution"), inner.width, _TEXT)]
    if stops:
        stop = fill("trellis_drawing.stops", count=stops)
        notes = [(line, STOP) for line in wrapped(stop, inner.width, _TEXT)] + notes
    top = panel.bottom - height - 3.0 - len(notes) * _LINE_STEP
    for index, (line, colour) in enumerate(notes, 1):
        drawing.text(inner.x, top + index * _LINE_STEP - 0.8, line, size=_TEXT, colour=colour)
    block = Box(panel.x, panel.bottom - height, panel.width, height)
    draw_title_block(drawing, block, title, cells)


def _cells(told: _Told) -> list[list[Cell]]:
    view, made, system = told.view, told.made, told.system
    along, across = (show_number(scale) for scale in told.scales)
    both = word("trellis_drawing.two_scales").format(elevation=along, section=across)
    date = show_date(made)
    return [
        [
            Cell(word("trellis_drawing.system"), view.system.name, 0.6),
            Cell(word("trellis_drawing.strands"), show_number(view.system.strands), 0.4),
        ],
        [
            Cell(word("trellis_drawing.vine_spacing"), show(view.vine_m, "m", system)),
            Cell(
                word("trellis_drawing.post_spacing"),
                show(view.bay_m, "m", system) if view.system.wires else "–",
            ),
        ],
        [
            Cell(word("trellis_drawing.scales"), both),
            Cell(word("sheet.date"), date),
        ],
        [Cell(word("sheet.status"), word("sheet.not_issued"), 1.0)],
    ]
