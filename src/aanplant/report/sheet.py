"""The sheet: the block as a surveyor draws it, at a true round scale, ready to print."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np

from aanplant.layout.codes import corner_codes
from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.block_marks import (
    Detail,
    draw_boundary,
    draw_ground,
    draw_rows,
)
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.frame_marks import axis_words, draw_frame, draw_north, draw_scale_bar
from aanplant.report.legend import legend
from aanplant.report.map_words import MOST_CORNERS, draw_words
from aanplant.report.panel import (
    NOTE_STEP,
    Cell,
    Entry,
    corner_list_height,
    draw_corner_list,
    draw_legend,
    draw_notes,
    draw_title_block,
    note_lines,
    title_height,
    title_lines,
)
from aanplant.report.paper import Box, paper_asked
from aanplant.report.rendering import page_of
from aanplant.report.svg import Drawing
from aanplant.report.view import View, extent_m
from aanplant.units import UnitSystem, show, show_fixed, show_number

_PAD = 4.0
_NORTH_MM = 24.0
_BAR_MM = 14.0


def draw_sheet(
    plan: Plan,
    path_pdf: Path,
    path_svg: Path,
    path_png: Path,
    *,
    made: datetime,
    system: UnitSystem = "metric",
) -> None:
    """Draw the block and write it as PDF, SVG and PNG.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    path_pdf, path_svg, path_png : Path
        Where to write.
    made : datetime
        When the plan is made, with its time zone; its date stands on the sheet.
    system : {"metric", "imperial"}
        Units of the figures and of the scale bar; the grid stays in metres.
    """
    drawing = sheet(plan, made=made, system=system)
    path_svg.write_text(drawing.svg(alone=True), encoding="utf-8")
    page = page_of(drawing, made=made, title=drawing.title, author=plan.inputs.estate)
    page.print_to({"pdf": path_pdf, "png": path_png})


def view_of(plan: Plan, *, paper: str | None = None, denominator: int | None = None) -> View:
    """Paper, scale and place of the block on it; what is not asked for is chosen.

    Raises
    ------
    InputError
        If the block does not fit on what is asked for.
    """
    site = plan.site
    width_m, height_m, middle = extent_m(site.grid, site.boundary)
    chosen = paper_asked(
        width_m, height_m, plan.stock.row_width_m, name=paper, denominator=denominator
    )
    return View(chosen, site.grid, middle)


def sheet(
    plan: Plan, *, made: datetime, system: UnitSystem = "metric", view: View | None = None
) -> Drawing:
    """Draw the whole sheet, on the paper of a view or of its own; see ``draw_sheet``."""
    view = view or view_of(plan)
    paper, window = view.paper, view.window
    detail = _detail(plan, view)
    drawing = Drawing(paper.width_mm, paper.height_mm, heading_of(plan))
    drawing.clip(window.x, window.y, window.width, window.height)
    draw_ground(drawing, view, plan.site, plan.layout)
    for item in plan.site.exclusions:
        if item.treatment == "avoid":
            draw_exclusion(drawing, view, item)
    draw_rows(drawing, view, plan.layout, detail)
    for item in plan.site.exclusions:
        if item.treatment == "skip":
            draw_exclusion(drawing, view, item)
    draw_boundary(drawing, view, plan.site)
    draw_words(drawing, view, plan.site, plan.layout, detail)
    drawing.unclip()
    draw_frame(drawing, view)
    panel = Panel(
        plan, view, names_of(plan), legend(plan, detail), _cells(plan, view, made, system),
        _caution(detail), _corner_lines(plan), system,
    )  # fmt: skip
    draw_panel(drawing, panel)
    return drawing


def heading_of(plan: Plan) -> str:
    """Estate and block, as they head every paper."""
    return " · ".join(names_of(plan))


def bearing_word(plan: Plan) -> str:
    """Message that says whose bearing the plan's is: the rows', or their base line's."""
    return "sheet.bearing" if plan.layout.course is None else "sheet.base_bearing"


def names_of(plan: Plan) -> list[str]:
    """Estate and block, as far as they are named."""
    names = [name for name in (plan.inputs.estate, plan.site.name) if name]
    return names or [word("sheet.nameless")]


def _detail(plan: Plan, view: View) -> Detail:
    vine_mm = plan.stock.vine_spacing_m * view.mm_per_m
    return Detail(
        row_mm=plan.stock.row_width_m * view.mm_per_m,
        vine_mm=vine_mm,
        post_mm=vine_mm * plan.brief.trellis.post_every,
    )


@dataclass(frozen=True, slots=True)
class Panel:
    """All that the panel of a sheet tells of.

    Parameters
    ----------
    plan : Plan
        Its grid gives north, its findings the stops.
    view : View
        Paper and scale.
    names : list of str
        What heads the title block.
    entries : list of Entry
        The legend.
    cells : list of list of Cell
        Lines of the title block.
    caution : str
        What to beware of.
    corners : list of tuple of str
        Codes and coordinates of corners, none to leave them out.
    system : {"metric", "imperial"}
        Units of the scale bar.
    """

    plan: Plan
    view: View
    names: list[str]
    entries: list[Entry]
    cells: list[list[Cell]]
    caution: str
    corners: list[tuple[str, str, str]]
    system: UnitSystem


def draw_panel(drawing: Drawing, told: Panel) -> None:
    """Draw north, scale bar, legend, corners, cautions and title block beside or below a map."""
    paper, panel = told.view.paper, told.view.paper.panel
    if paper.is_landscape:
        drawing.line(panel.x, panel.y, panel.x, panel.bottom, width=0.5)
        _draw_upright_panel(drawing, told, panel)
    else:
        drawing.line(panel.x, panel.y, panel.right, panel.y, width=0.5)
        _draw_lying_panel(drawing, told, panel)


def _draw_upright_panel(drawing: Drawing, told: Panel, panel: Box) -> None:
    inner = Box(panel.x + _PAD, panel.y + _PAD, panel.width - 2 * _PAD, panel.height - 2 * _PAD)
    title = title_lines(told.names, panel.width)
    cells = told.cells
    block_height = title_height(title, cells)
    notes = _notes(told, inner.width)
    notes_top = panel.bottom - block_height - NOTE_STEP * len(notes) - 3.0
    draw_north(drawing, Box(inner.x, inner.y, inner.width, _NORTH_MM), told.plan.site.grid)
    y = inner.y + _NORTH_MM + 4.0
    bar = Box(inner.x, y, inner.width, _BAR_MM)
    draw_scale_bar(drawing, bar, told.view.paper.denominator, told.system)
    y += _BAR_MM + 2.0
    y = draw_legend(drawing, Box(inner.x, y, inner.width, notes_top - y), told.entries) + 3.0
    corners = told.corners
    if corners and y + corner_list_height(len(corners)) <= notes_top:
        heading = axis_words(told.plan.site.grid)
        draw_corner_list(drawing, Box(inner.x, y, inner.width, 0.0), heading, corners)
    draw_notes(drawing, Box(inner.x, notes_top, inner.width, 0.0), notes)
    bottom = Box(panel.x, panel.bottom - block_height, panel.width, block_height)
    draw_title_block(drawing, bottom, title, cells)


def _draw_lying_panel(drawing: Drawing, told: Panel, panel: Box) -> None:
    wide = Box(panel.right - 0.42 * panel.width, panel.y, 0.42 * panel.width, panel.height)
    drawing.line(wide.x, wide.y, wide.x, wide.bottom, width=0.5)
    title = title_lines(told.names, wide.width)
    draw_title_block(drawing, wide, title, _merged(told.cells))
    left = Box(panel.x + _PAD, panel.y + _PAD, 0.3 * panel.width - _PAD, panel.height - 2 * _PAD)
    draw_north(drawing, Box(left.x, left.y, left.width, 18.0), told.plan.site.grid)
    bar = Box(left.x, left.y + 20.0, left.width, _BAR_MM)
    draw_scale_bar(drawing, bar, told.view.paper.denominator, told.system)
    notes = _notes(told, left.width)
    notes_top = left.y + 20.0 + _BAR_MM
    draw_notes(drawing, Box(left.x, notes_top, left.width, 0.0), notes)
    right = Box(left.right + _PAD, left.y, wide.x - left.right - 2 * _PAD, left.height)
    y = draw_legend(drawing, right, told.entries) + 3.0
    corners = told.corners
    if corners and y + corner_list_height(len(corners)) <= right.bottom:
        heading = axis_words(told.plan.site.grid)
        draw_corner_list(drawing, Box(right.x, y, right.width, 0.0), heading, corners)


def _cells(plan: Plan, view: View, made: datetime, system: UnitSystem) -> list[list[Cell]]:
    figures, stock = plan.figures, plan.stock

    def figure(key: str) -> str:
        working = figures[key]
        return show(working.value, working.unit, system)

    spacing = (show(stock.row_width_m, "m", system), show(stock.vine_spacing_m, "m", system))
    vines = " / ".join(name for name in (stock.cultivar, stock.rootstock) if name)
    grid = plan.site.grid
    return [
        [
            Cell(word("sheet.area"), figure("site.area")),
            Cell(word("sheet.area_planted"), figure("layout.area_planted")),
        ],
        [
            Cell(word("sheet.rows"), figure("layout.rows"), 0.3),
            Cell(word("sheet.vines"), show_number(figures.value("layout.vines")), 0.35),
            Cell(word(bearing_word(plan)), f"{show_fixed(plan.layout.bearing_deg, 1)}°", 0.35),
        ],
        [
            Cell(word("sheet.spacing"), " × ".join(spacing)),
            Cell(word("sheet.cultivar"), vines or word("sheet.not_named")),
        ],
        [Cell(word("sheet.grid"), f"{grid.name} ({grid.code})", 1.0)],
        *last_cells(view, made),
    ]


def last_cells(view: View, made: datetime) -> list[list[Cell]]:
    """Scale, date and status, which end every title block."""
    paper = view.paper
    scale = word("sheet.scale_on").format(
        scale=f"1:{show_number(paper.denominator)}", paper=paper.name
    )
    date = show_date(made)
    return [
        [Cell(word("sheet.scale"), scale), Cell(word("sheet.date"), date)],
        [Cell(word("sheet.status"), word("sheet.not_issued"), 1.0)],
    ]


def _merged(rows: list[list[Cell]]) -> list[list[Cell]]:
    """Status beside the date, to save a line where the panel is low."""
    *above, last, status = rows
    three = [Cell(cell.label, cell.value, 1.0 / 3.0) for cell in (*last, *status)]
    return [*above, three]


def _notes(told: Panel, width: float) -> list[tuple[str, str]]:
    stops = sum(finding.level == "stop" for finding in told.plan.findings)
    stop = fill("sheet.stops", count=stops) if stops else ""
    return note_lines(width, told.caution, stop)


def _caution(detail: Detail) -> str:
    caution = word("sheet.caution")
    return caution if detail.shows_vines else f"{word('sheet.too_fine')} {caution}"


def _corner_lines(plan: Plan) -> list[tuple[str, str, str]]:
    site = plan.site
    corners = np.asarray(site.boundary.exterior.coords)[:-1]
    if len(corners) > MOST_CORNERS:
        return []
    codes = corner_codes(len(corners)).tolist()
    return [
        (code, f"{first:,.2f}".replace(",", "\u202f"), f"{second:,.2f}".replace(",", "\u202f"))
        for code, (first, second) in zip(codes, site.grid.from_frame(corners).tolist(), strict=True)
    ]
