"""The pressure at every dripper as a map, with the weakest and strongest of every set named."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.block_marks import draw_boundary, draw_ground
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.frame_marks import draw_frame
from aanplant.report.labels import Room
from aanplant.report.panel import Entry, Sample
from aanplant.report.paper import Box, round_step
from aanplant.report.sheet import Panel, draw_panel, heading_of, last_cells, names_of
from aanplant.report.style import CARE, INK, SHEET, SOFT, STOP, WATER
from aanplant.report.svg import Drawing, polylines
from aanplant.report.view import View
from aanplant.report.water_marks import device_sample, draw_device, draw_pipes, draw_source
from aanplant.report.water_sheet import (
    keep,
    show_pressure,
    system_cells,
    system_of,
    water_view,
    write_near,
)
from aanplant.units import UnitSystem, show
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipe_runs import device_codes, pipe_runs

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

BINS = 6
_SHADES = ("#143A4E", "#23597A", "#3F7F9D", "#7AA6BB", "#A9C5D2", "#C9DAE2")
"""From the lowest pressure to the highest: darker and broader where there is less."""
_WIDTHS = (0.9, 0.72, 0.56, 0.42, 0.3, 0.2)
_WIDEST_MM = 1.9
_LABEL_MM = 2.3


@dataclass(frozen=True)
class Steps:
    """Pressure in steps.

    Parameters
    ----------
    bounds_kpa : ndarray, shape (n_steps + 1,)
        Round pressures, rising. [kPa]
    """

    bounds_kpa: Values

    def of(self, pressure_kpa: Values) -> Whole:
        """Step of every pressure."""
        found = np.searchsorted(self.bounds_kpa[1:-1], pressure_kpa, side="right")
        return found.astype(np.int64)


def steps_of(made: DesignedSystem) -> Steps:
    """Choose at most ``BINS`` steps of a round width that hold all drippers' pressures."""
    pressure = made.pressure_m[made.system.is_emitter] * KPA_PER_M
    low, high = float(pressure.min()), float(pressure.max())
    width = round_step(max((high - low) / BINS, 1.0))
    while np.ceil(high / width) - np.floor(low / width) > BINS:
        width = round_step(1.1 * width)
    first, last = np.floor(low / width), max(np.ceil(high / width), np.floor(low / width) + 1)
    return Steps(np.arange(first, last + 1) * width)


def draw_pressures(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Draw the map as SVG, PDF or PNG, as the path ends.

    Parameters
    ----------
    plan : Plan
        Whose water has a system.
    path : Path
        Where to write.
    made : datetime
        When the plan is made.
    system : {"metric", "imperial"}
        Units of pressure and flow.
    """
    keep(pressure_map(plan, made=made, system=system), plan, path, made=made)


def pressure_map(plan: Plan, *, made: datetime, system: UnitSystem = "metric") -> Drawing:
    """Draw the map; see ``draw_pressures``."""
    designed, view = system_of(plan), water_view(plan)
    steps, window = steps_of(designed), view.window
    title = f"{heading_of(plan)} · {word('water_drawing.pressure_title')}"
    drawing = Drawing(view.paper.width_mm, view.paper.height_mm, title)
    drawing.clip(window.x, window.y, window.width, window.height)
    draw_ground(drawing, view, plan.site, plan.layout)
    for item in plan.site.exclusions:
        if item.treatment == "avoid":
            draw_exclusion(drawing, view, item)
    row_mm = min(plan.stock.row_width_m * view.mm_per_m, _WIDEST_MM)
    _draw_drippers(drawing, view, designed, steps, row_mm)
    draw_boundary(drawing, view, plan.site)
    runs = pipe_runs(designed)
    for kind in ("mainline", "submain"):
        draw_pipes(drawing, view, runs, kind)
    room = Room(window.shrunk(0.8))
    _draw_valves(drawing, view, room, designed)
    _draw_worst(drawing, view, room, designed, system)
    _draw_measured(drawing, view, room, plan)
    drawing.unclip()
    draw_frame(drawing, view)
    panel = Panel(
        plan=plan,
        view=view,
        names=[*names_of(plan), word("water_drawing.pressure_title")],
        entries=[
            *_legend(designed, steps, row_mm, system),
            *(
                [Entry(_cross_sample, word("water_drawing.delivery"))]
                if plan.water.delivery
                else []
            ),
        ],
        cells=[*system_cells(plan, system), *last_cells(view, made)],
        caution=word("water_drawing.pressure_caution"),
        corners=[],
        system=system,
    )
    draw_panel(drawing, panel)
    return drawing


def stretches(made: DesignedSystem, step: Whole) -> list[tuple[int, Values]]:
    """Stretches of dripper line in one step of pressure, with their corners in the frame.

    Parameters
    ----------
    made : DesignedSystem
        As designed.
    step : ndarray of int, shape (n_nodes,)
        Step of every node; only drippers' count.
    """
    system, laterals = made.system, made.system.laterals
    found: list[tuple[int, Values]] = []
    for first, count, inlet in zip(
        laterals.first.tolist(), laterals.emitters.tolist(), laterals.inlet.tolist(), strict=True
    ):
        own = step[first : first + count]
        xy = np.vstack([system.xy[inlet], system.xy[first : first + count]])
        starts = np.concatenate([[0], np.flatnonzero(np.diff(own)) + 1, [count]])
        found.extend(
            (int(own[start]), xy[start : end + 1])
            for start, end in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True)
        )
    return found


def _draw_drippers(
    drawing: Drawing, view: View, made: DesignedSystem, steps: Steps, row_mm: float
) -> None:
    step = steps.of(made.pressure_m * KPA_PER_M)
    step[made.starved] = -1
    lines = stretches(made, step)
    for number in range(-1, len(steps.bounds_kpa) - 1):
        own = [view.to_paper(xy) for which, xy in lines if which == number]
        if not own:
            continue
        first = np.concatenate([[0], np.cumsum([len(line) for line in own])])
        colour, width, dash = _look(number, row_mm)
        shape = polylines(np.concatenate(own), first)
        drawing.path(shape, stroke=colour, width=width, dash=dash, name="pressure")


def _look(number: int, row_mm: float) -> tuple[str, float, str]:
    """Colour, width and dash of a step; -1 is without water."""
    if number < 0:
        return STOP, round(0.5 * row_mm, 3), "0.8 0.5"
    return _SHADES[number], round(_WIDTHS[number] * row_mm, 3), ""


def _draw_valves(drawing: Drawing, view: View, room: Room, made: DesignedSystem) -> None:
    devices, codes = made.system.devices, device_codes(made)
    places = view.to_paper(made.system.xy[devices.node])
    for (x, y), code, kind in zip(places.tolist(), codes, devices.kind, strict=True):
        if kind == "valve":
            draw_device(drawing, kind, x, y)
            room.take(Box(x - 1.5, y - 1.2, 3.0, 2.4))
            write_near(drawing, room, (x, y), code, _LABEL_MM)
    x, y = view.to_paper(made.system.xy[:1])[0].tolist()
    draw_source(drawing, x, y)


def _draw_worst(
    drawing: Drawing, view: View, room: Room, made: DesignedSystem, system: UnitSystem
) -> None:
    """Mark the weakest and the strongest dripper of every set, with row and pressure."""
    runs = made.runs
    marked = ((runs.least_node, "least"), (runs.most_node, "most"))
    for nodes, name in marked:  # all marks before any words, so that none hides a word
        for x, y in view.to_paper(made.system.xy[nodes]).tolist():
            _mark(drawing, name, x, y)
            room.take(Box(x - 2.0, y - 2.0, 4.0, 4.0))
    for nodes, _ in marked:
        places = view.to_paper(made.system.xy[nodes])
        for (x, y), node in zip(places.tolist(), nodes.tolist(), strict=True):
            text = fill(
                "water_drawing.worst",
                row=made.row_of(node)[0],
                pressure=show_pressure(float(made.pressure_m[node]), system),
            )
            write_near(drawing, room, (x, y), text, _LABEL_MM)


def _draw_measured(drawing: Drawing, view: View, room: Room, plan: Plan) -> None:
    """Cross the places that a delivery test found far from their design, with row and vine."""
    made = system_of(plan)
    for one in plan.water.delivery:
        worst = one.test.worst
        for (x, y), at in zip(
            view.to_paper(made.system.xy[one.node[worst]]).tolist(), worst.tolist(), strict=True
        ):
            _cross(drawing, x, y)
            room.take(Box(x - 1.8, y - 1.8, 3.6, 3.6))
            text = fill(
                "water_drawing.measured",
                row=int(one.row[at]),
                vine=int(one.vine[at]),
                share=show(round(100.0 * float(one.test.share_of_design[at])), "%"),
            )
            write_near(drawing, room, (x, y), text, _LABEL_MM)


def _cross(drawing: Drawing, x: float, y: float) -> None:
    drawing.circle(x, y, 1.8, fill=SHEET)
    shape = f"M{x - 1.1:.3f} {y - 1.1:.3f}l2.2 2.2m0 -2.2l-2.2 2.2"
    drawing.path(shape, stroke=CARE, width=0.6, name="measured")


def _cross_sample(drawing: Drawing, area: Box) -> None:
    _cross(drawing, area.x + area.width / 2.0, area.y + area.height / 2.0)


def _mark(drawing: Drawing, name: str, x: float, y: float) -> None:
    """Draw a ring with a minus where pressure is least, a diamond with a plus where it is most.

    Both stand on a halo of paper, so that they are seen on dark rows.
    """
    cross = f"M{x - 0.75:.3f} {y:.3f}h1.5"
    if name == "least":
        drawing.circle(x, y, 2.1, fill=SHEET)
        drawing.circle(x, y, 1.4, fill=SHEET, stroke=INK, width=0.45)
        drawing.path(cross, stroke=INK, width=0.45, name="least")
        return
    for reach, colour in ((2.7, SHEET), (1.9, WATER)):
        shape = f"M{x:.3f} {y - reach:.3f}l{reach} {reach}l-{reach} {reach}l-{reach} -{reach}z"
        drawing.path(shape, fill=SHEET, stroke=colour, width=0.45)
    drawing.path(f"{cross}M{x:.3f} {y - 0.75:.3f}v1.5", stroke=WATER, width=0.45, name="most")


def _legend(made: DesignedSystem, steps: Steps, row_mm: float, system: UnitSystem) -> list[Entry]:
    bounds = steps.bounds_kpa
    entries = [
        Entry(
            _line_sample(number, row_mm),
            fill(
                "water_drawing.between",
                least=show_pressure(float(bounds[number]) / KPA_PER_M, system),
                most=show_pressure(float(bounds[number + 1]) / KPA_PER_M, system),
            ),
        )
        for number in range(len(bounds) - 1)
    ]
    if made.starved.any():
        entries.insert(0, Entry(_line_sample(-1, row_mm), word("water_drawing.starved")))
    return [
        *entries,
        Entry(_mark_sample("least"), word("water_drawing.least")),
        Entry(_mark_sample("most"), word("water_drawing.most")),
        Entry(device_sample("valve"), word("water_drawing.valve")),
        Entry(device_sample("source"), word("water_drawing.device.source")),
    ]


def _line_sample(number: int, row_mm: float) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        y = area.y + area.height / 2.0
        colour, width, dash = _look(number, row_mm)
        drawing.box(area.x, area.y, area.width, area.height, stroke=SOFT, line=0.1)
        drawing.line(area.x, y, area.right, y, stroke=colour, width=width, dash=dash)

    return draw


def _mark_sample(name: str) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        _mark(drawing, name, area.x + area.width / 2.0, area.y + area.height / 2.0)

    return draw
