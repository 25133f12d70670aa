"""The drip system on a sheet: sets, pipes with their sizes, valves, source, at a true scale."""

from datetime import datetime
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import GeometryCollection, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report import block_map as maps
from aanplant.report.block_marks import draw_boundary, draw_ground
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.frame_marks import draw_frame
from aanplant.report.labels import Room
from aanplant.report.panel import Cell, Entry
from aanplant.report.paper import Box, choose_paper
from aanplant.report.rendering import page_of
from aanplant.report.sheet import Panel, draw_panel, heading_of, last_cells, names_of
from aanplant.report.style import INK, WATER, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing
from aanplant.report.view import View, extent_m, polygons_of
from aanplant.report.water_marks import (
    DRAWN_DEVICES,
    TONES,
    device_sample,
    draw_devices,
    draw_pipes,
    pipe_sample,
    set_grounds,
    tone_of,
)
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipe_runs import PipeRun, device_codes, pipe_runs
from aanplant.water.pipes import MM_PER_M, Pipe
from aanplant.water.system_figures import M3_H

FARTHEST_M = 150.0
"""Mainline farther from the block than this is not made room for on the sheet."""
_SIZE_MM, _CODE_MM, _SET_MM = 2.0, 2.4, 3.0
_LEAST_LABELLED_MM = 7.0
_NAMED_PIECES = 3


def draw_water(plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric") -> None:
    """Draw the sheet as SVG, PDF or PNG, as the path ends.

    Parameters
    ----------
    plan : Plan
        Whose water has a system.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the sheet.
    system : {"metric", "imperial"}
        Units of the figures and of the scale bar.
    """
    keep(water_sheet(plan, made=made, system=system), plan, path, made=made)


def keep(drawing: Drawing, plan: Plan, path: Path, *, made: datetime) -> None:
    """Write a drawing as the path ends: SVG, PDF or PNG."""
    if path.suffix == ".svg":
        path.write_text(drawing.svg(alone=True), encoding="utf-8")
        return
    page = page_of(drawing, made=made, title=drawing.title, author=plan.inputs.estate)
    page.print_to({"pdf" if path.suffix == ".pdf" else "png": path})


def system_of(plan: Plan) -> DesignedSystem:
    """Return the system as designed.

    Raises
    ------
    ValueError
        If the plan has none.
    """
    if plan.water.system is None:
        raise ValueError("a plan without a source of water has no system to draw")
    return plan.water.system


def water_view(plan: Plan) -> View:
    """Paper and scale for the block with the mainline that leads to it."""
    site, system = plan.site, system_of(plan).system
    trunk = system.xy[system.trunk]
    is_near = shapely.distance(shapely.points(trunk), site.boundary) <= FARTHEST_M
    whole = GeometryCollection([site.boundary, MultiPoint(trunk[is_near])])
    width_m, height_m, middle = extent_m(site.grid, whole)
    return View(choose_paper(width_m, height_m, plan.stock.row_width_m), site.grid, middle)


def water_sheet(plan: Plan, *, made: datetime, system: UnitSystem = "metric") -> Drawing:
    """Draw the sheet; see ``draw_water``."""
    designed, view = system_of(plan), water_view(plan)
    runs, window = pipe_runs(designed), view.window
    title = f"{heading_of(plan)} · {word('water_drawing.title')}"
    drawing = Drawing(view.paper.width_mm, view.paper.height_mm, title)
    drawing.clip(window.x, window.y, window.width, window.height)
    draw_ground(drawing, view, plan.site, plan.layout)
    grounds = set_grounds(plan, designed)
    for number, ground in enumerate(grounds):
        maps.fill(drawing, view, ground, tone_of(number), "set")
    draw_pipes(drawing, view, runs, "lateral")
    for ground in grounds:
        drawing.path(view.shape(ground), stroke=INK, width=0.2, name="set-edge")
    for item in plan.site.exclusions:
        draw_exclusion(drawing, view, item)
    draw_boundary(drawing, view, plan.site)
    draw_pipes(drawing, view, runs, "mainline")
    draw_pipes(drawing, view, runs, "submain")
    draw_devices(drawing, view, designed)
    room = Room(window.shrunk(0.8))
    _draw_codes(drawing, view, room, designed)
    _draw_sets(drawing, view, room, plan, grounds, system)
    _draw_sizes(drawing, view, room, designed, runs)
    drawing.unclip()
    draw_frame(drawing, view)
    panel = Panel(
        plan=plan,
        view=view,
        names=[*names_of(plan), word("water_drawing.title")],
        entries=_legend(designed),
        cells=[*system_cells(plan, system), *last_cells(view, made)],
        caution=word("water_drawing.caution"),
        corners=[],
        system=system,
    )
    draw_panel(drawing, panel)
    return drawing


def short_name(pipe: Pipe) -> str:
    """Size of a pipe as it stands on a drawing, such as 110 class 6."""
    return f"{show_number(pipe.outside_m * MM_PER_M)} {pipe.series}"


def system_cells(plan: Plan, system: UnitSystem) -> list[list[Cell]]:
    """Tell sets, flows, pressures and the pump's duty, for a title block."""
    made = system_of(plan)
    runs, duties = made.runs, made.duties
    worst = duties.worst
    flow = _between(
        show_flow(float(runs.flow_m3_s.min()), system),
        show_flow(float(runs.flow_m3_s.max()), system),
    )
    pump = fill(
        "water_drawing.pump_duty",
        flow=show_flow(float(duties.flow_m3_s[worst]), system),
        head=show_head(float(duties.head_m[worst]), system),
    )
    pressures = _between(
        show_pressure(float(runs.least_m.min()), system),
        show_pressure(float(runs.most_m.max()), system),
    )
    return [
        [
            Cell(word("water_drawing.sets"), show_number(len(runs)), 0.3),
            Cell(word("water_drawing.set_flow"), flow, 0.7),
        ],
        [
            Cell(word("water_drawing.pressures"), pressures, 0.6),
            Cell(
                word("water_drawing.uniformity"),
                show(round(float(runs.emission_pct.min()), 1), "%"),
                0.4,
            ),
        ],
        [Cell(fill("water_drawing.pump", set=worst + 1), pump, 1.0)],
    ]


def _between(least: str, most: str) -> str:
    """Write a range, or one value where both ends are written alike."""
    return least if least == most else fill("water_drawing.between", least=least, most=most)


def show_pressure(head_m: float, system: UnitSystem) -> str:
    """Write a pressure to the whole kPa, or to the tenth of a psi."""
    value, unit = shown_in(head_m * KPA_PER_M, "kPa", system)
    return show(round(value, 0 if system == "metric" else 1), unit)


def show_flow(flow_m3_s: float, system: UnitSystem) -> str:
    """Write a flow in m3/h, or as the reader's units have it."""
    value, unit = shown_in(flow_m3_s * M3_H, "m3/h", system)
    return show(round(value, 1), unit)


def show_head(head_m: float, system: UnitSystem) -> str:
    """Write a head of water to the tenth of a metre, or as the reader's units have it."""
    value, unit = shown_in(head_m, "m", system)
    return show(round(value, 1), unit)


def _legend(made: DesignedSystem) -> list[Entry]:
    kinds = set(made.system.devices.kind)
    count = len(made.system.sets)
    sets = [
        Entry(maps.tone_sample(tone_of(number)), fill("water_drawing.set_ground", set=number + 1))
        for number in range(count if count <= len(TONES) else 0)
    ]
    pipes = [
        Entry(pipe_sample(kind), word(f"water_drawing.{kind}"))
        for kind in ("mainline", "submain", "lateral")
    ]
    devices = [
        Entry(device_sample(kind), word(f"water_drawing.device.{kind}"))
        for kind in ("source", *DRAWN_DEVICES)
        if kind == "source" or kind in kinds
    ]
    return [*pipes, *devices, *sets]


def _draw_codes(drawing: Drawing, view: View, room: Room, made: DesignedSystem) -> None:
    """Name the valves; keep words off all devices."""
    devices, codes = made.system.devices, device_codes(made)
    places = view.to_paper(made.system.xy[devices.node])
    for x, y in places.tolist():
        room.take(Box(x - 1.2, y - 1.2, 2.4, 2.4))
    for (x, y), code, kind in zip(places.tolist(), codes, devices.kind, strict=True):
        if kind == "valve":
            write_near(drawing, room, (x, y), code, _CODE_MM)


def write_near(
    drawing: Drawing, room: Room, at: tuple[float, float], text: str, size: float
) -> None:
    """Write a text beside a mark, where there is room."""
    x, y = at
    width, height = text_width(text, size, "figure"), CAP_HEIGHT * size
    ways = [
        (x + step, y + down * step, align)
        for step in (2.2, 3.4, 5.0, 7.0)
        for align in (0.0, 1.0)
        for down in (0.0, -1.0, 1.0)
    ]
    boxes = [
        Box(
            left - align * (width + 2.0 * (left - x)) - 0.4,
            middle - height / 2.0 - 0.4,
            width + 0.8,
            height + 0.8,
        )
        for left, middle, align in ways
    ]
    box = room.first_free(boxes)
    if box is not None:
        drawing.text(box.x + 0.4, box.bottom - 0.4, text, size=size, face="figure", halo=0.4)


def _draw_sets(  # noqa: PLR0917 - where, and what
    drawing: Drawing,
    view: View,
    room: Room,
    plan: Plan,
    grounds: list[BaseGeometry],
    system: UnitSystem,
) -> None:
    """Write number and flow of every set in its largest piece of ground."""
    runs = system_of(plan).runs
    for number, ground in enumerate(grounds):
        parts = sorted(polygons_of(ground).geoms, key=lambda part: -part.area)
        flow = show_flow(float(runs.flow_m3_s[number]), system)
        for part in parts[:_NAMED_PIECES]:
            _name_set(drawing, view, room, part, fill("water_drawing.set", set=number + 1), flow)


def _name_set(  # noqa: PLR0917 - where, and what
    drawing: Drawing, view: View, room: Room, ground: Polygon, name: str, more: str
) -> None:
    width = max(text_width(name, _SET_MM, "title"), text_width(more, _CODE_MM)) + 1.2
    middle = shapely.maximum_inscribed_circle(ground).coords[0]
    x, y = view.to_paper([middle])[0].tolist()
    boxes = [
        Box(x - width / 2.0 + right, y - 3.6 + down, width, 7.2)
        for down in (0.0, 8.0, -8.0, 16.0, -16.0)
        for right in (0.0, 14.0, -14.0)
    ]
    box = room.first_free(boxes)
    if box is None:
        return
    centre = box.x + width / 2.0
    drawing.text(
        centre, box.y + 3.0, name, size=_SET_MM, face="title", align="middle", halo=0.6
    )  # fmt: skip
    drawing.text(centre, box.y + 6.4, more, size=_CODE_MM, align="middle", halo=0.5)


def _draw_sizes(
    drawing: Drawing, view: View, room: Room, made: DesignedSystem, runs: tuple[PipeRun, ...]
) -> None:
    """Write the size of mainline and submains along them, the longest runs first."""
    buried = [run for run in runs if run.lateral < 0]
    for run in sorted(buried, key=lambda run: -run.length_m):
        text = short_name(made.pipes[run.pipe])
        width, height = text_width(text, _SIZE_MM, "figure"), CAP_HEIGHT * _SIZE_MM
        line = shapely.LineString(view.to_paper(run.xy))
        if line.length < _LEAST_LABELLED_MM:
            continue
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            at = shapely.get_coordinates(line.interpolate(share, normalized=True))[0]
            near = min(0.1, 0.5 * width / line.length)
            before, ahead = shapely.get_coordinates(
                [line.interpolate(share + way, normalized=True) for way in (-near, near)]
            )
            angle = float(np.degrees(np.arctan2(*(ahead - before)[::-1])))
            angle = (angle + 90.0) % 180.0 - 90.0
            turn = np.radians(angle)
            # Above a mainline, below a submain: both may lie in one trench.
            side = 1.9 if run.kind == "mainline" else -2.0
            beside = at + side * np.array([np.sin(turn), -np.cos(turn)])
            half = np.abs([np.cos(turn), np.sin(turn)]) * width / 2.0 + height / 2.0 + 0.3
            box = Box(beside[0] - half[0], beside[1] - half[1], 2 * half[0], 2 * half[1])
            if not room.is_free(box):
                continue
            room.take(box)
            base = beside + height / 2.0 * np.array([-np.sin(turn), np.cos(turn)])
            drawing.text(
                float(base[0]), float(base[1]), text, size=_SIZE_MM, face="figure",
                align="middle", colour=WATER, halo=0.3, turned_deg=round(angle, 2),
            )  # fmt: skip
            break
