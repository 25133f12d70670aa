"""The panel of a sheet: legend, corner list, cautions and title block."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.style import CARE, INK, SOFT, STOP, fitted, text_width, wrapped
from aanplant.report.svg import Drawing

HEADING = 2.3
CELL_LABEL = 2.0
CELL_VALUE = 2.9
LEGEND_STEP = 4.3
SAMPLE = 8.0
NOTE = 2.1
TITLE = 5.0
NOTE_STEP = 2.9


Sample = Callable[[Drawing, Box], None]
"""Draws a mark into its box."""


class Entry(NamedTuple):
    """A line of the legend: what is drawn in its sample box, and what it is called."""

    draw: Sample
    text: str


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of the title block; ``share`` of the width of its line."""

    label: str
    value: str
    share: float = 0.5


def draw_heading(drawing: Drawing, area: Box, text: str) -> float:
    """Write a small heading and return where what follows begins [mm]."""
    drawing.text(area.x, area.y + HEADING, text, size=HEADING, face="figure", colour=SOFT)
    return area.y + HEADING + 2.0


def draw_legend(drawing: Drawing, area: Box, entries: list[Entry]) -> float:
    """Draw as many entries as there is room for, and return where they end [mm]."""
    top = draw_heading(drawing, area, word("sheet.legend"))
    fit = max(int((area.bottom - top) / LEGEND_STEP), 0)
    for index, entry in enumerate(entries[:fit]):
        y = top + index * LEGEND_STEP
        entry.draw(drawing, Box(area.x, y, SAMPLE, LEGEND_STEP - 1.4))
        x = area.x + SAMPLE + 2.0
        text = fitted(entry.text, area.right - x, 2.3)
        drawing.text(x, y + LEGEND_STEP - 2.1, text, size=2.3)
    return top + min(len(entries), fit) * LEGEND_STEP


def draw_corner_list(
    drawing: Drawing, area: Box, heading: tuple[str, str], lines: list[tuple[str, str, str]]
) -> None:
    """Draw the coordinates of the corners: code, first and second coordinate."""
    top = draw_heading(drawing, area, word("sheet.corners"))
    columns = (area.x, area.x + 0.55 * area.width, area.right)
    for x, text in zip(columns[1:], heading, strict=True):
        drawing.text(x, top + 1.2, text, size=CELL_LABEL, align="end", colour=SOFT)
    for index, (code, first, second) in enumerate(lines, start=1):
        y = top + 1.2 + index * NOTE_STEP
        drawing.text(columns[0], y, code, size=NOTE, face="figure")
        drawing.text(columns[1], y, first, size=NOTE, align="end")
        drawing.text(columns[2], y, second, size=NOTE, align="end")


def corner_list_height(count: int) -> float:
    """Room a list of corners needs [mm]."""
    return HEADING + 2.0 + 1.2 + count * NOTE_STEP + 2.0


def note_lines(width: float, caution: str, stop: str) -> list[tuple[str, str]]:
    """Lines of the cautions with their colours."""
    lines = [(line, STOP) for line in wrapped(stop, width, NOTE)] if stop else []
    return lines + [(line, CARE) for line in wrapped(caution, width, NOTE)]


def draw_notes(drawing: Drawing, area: Box, lines: list[tuple[str, str]]) -> None:
    """Write cautions, from the top of an area down."""
    for index, (line, colour) in enumerate(lines):
        y = area.y + NOTE + index * NOTE_STEP
        drawing.text(area.x, y, line, size=NOTE, colour=colour)


def title_height(title: list[str], rows: list[list[Cell]]) -> float:
    """Room a title block needs [mm]."""
    return 4.0 + 6.4 * len(title) + 8.2 * len(rows)


def title_lines(names: list[str], width: float) -> list[str]:
    """Estate and block on one line where they fit, otherwise on one each."""
    together = " · ".join(names)
    if text_width(together, TITLE, "title") <= width - 6.0:
        return [together]
    return [fitted(name, width - 6.0, TITLE, "title") for name in names]


def draw_title_block(drawing: Drawing, area: Box, title: list[str], rows: list[list[Cell]]) -> None:
    """Draw the title over lines of cells, filling the area from its top."""
    drawing.line(area.x, area.y, area.right, area.y, stroke=INK, width=0.5)
    y = area.y + 1.6
    for line in title:
        y += 6.4
        drawing.text(area.x + 3.0, y - 1.0, line, size=TITLE, face="title")
    y = area.y + 4.0 + 6.4 * len(title)
    height = (area.bottom - y) / len(rows)
    for cells in rows:
        drawing.line(area.x, y, area.right, y, width=0.2)
        x = area.x
        for index, cell in enumerate(cells):
            width = cell.share * area.width
            if index:
                drawing.line(x, y, x, y + height, width=0.2)
            room = width - 4.0
            drawing.text(
                x + 3.0, y + 3.0, fitted(cell.label, room, CELL_LABEL),
                size=CELL_LABEL, colour=SOFT,
            )  # fmt: skip
            size = CELL_VALUE
            while size > 2.0 and text_width(cell.value, size, "figure") > room:  # noqa: PLR2004 - smallest type
                size -= 0.1
            drawing.text(
                x + 3.0, y + height - 1.7, fitted(cell.value, room, size, "figure"),
                size=round(size, 1), face="figure",
            )  # fmt: skip
            x += width
        y += height
