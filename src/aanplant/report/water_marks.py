"""How pipes, valves and sets look on the sheet of the drip system: by shape first, then colour."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.plan import Plan
from aanplant.report.block_map import Tone
from aanplant.report.panel import Sample
from aanplant.report.paper import Box
from aanplant.report.style import HEADLAND, INK, SHEET, WATER, WATER_TINT
from aanplant.report.svg import Drawing, polylines
from aanplant.report.view import View
from aanplant.water.designed import DesignedSystem
from aanplant.water.pipe_runs import PipeRun

TONES = (
    Tone(SHEET),
    Tone(WATER_TINT, 3.4, (45.0,)),
    Tone(HEADLAND),
    Tone(SHEET, 2.4, (135.0,)),
    Tone(WATER_TINT),
    Tone(HEADLAND, 2.8, (45.0, 135.0)),
)
"""Ground of the sets in turn: neighbours differ in tint and in hatching."""
_TOUCHING = 0.51
"""Of the row width to either side of a row, so that neighbours join."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a kind of pipe is drawn."""

    width: float
    dash: str = ""
    hollow: float = 0.0


STROKES = {
    "mainline": Stroke(1.5, hollow=0.8),
    "submain": Stroke(0.55, dash="2.2 0.7"),
    "lateral": Stroke(0.12),
}
"""A mainline is hollow, so that a submain in the same trench is seen in it."""
DRAWN_DEVICES = ("valve", "air valve", "drain", "flush valve", "pressure point")
"""Kinds of devices on the sheet, in the order of the legend."""


def tone_of(number: int) -> Tone:
    """Ground of a set."""
    return TONES[number % len(TONES)]


def set_grounds(plan: Plan, made: DesignedSystem) -> list[BaseGeometry]:
    """Ground that each set waters: its rows with half a row width to either side."""
    rows, laterals = plan.layout.rows, made.system.laterals
    strips = shapely.buffer(
        rows.lines(), _TOUCHING * rows.row_width_m, cap_style="flat", join_style="mitre"
    )
    return [
        shapely.union_all(strips[np.unique(laterals.piece[laterals.set_of == number])])
        for number in range(len(made.system.sets))
    ]


def draw_pipes(drawing: Drawing, view: View, runs: Iterable[PipeRun], kind: str) -> None:
    """Draw all pipes of one kind."""
    own = [view.to_paper(run.xy) for run in runs if run.kind == kind]
    if not own:
        return
    first = np.concatenate([[0], np.cumsum([len(line) for line in own])])
    shape, look = polylines(np.concatenate(own), first), STROKES[kind]
    drawing.path(shape, stroke=WATER, width=look.width, dash=look.dash, name=kind)
    if look.hollow:
        drawing.path(shape, stroke=SHEET, width=look.hollow, cap="round")


def pipe_sample(kind: str) -> Sample:
    """Draw a kind of pipe for the legend."""
    look = STROKES[kind]

    def draw(drawing: Drawing, area: Box) -> None:
        y = area.y + area.height / 2.0
        width = max(look.width, 0.18)
        drawing.line(area.x, y, area.right, y, stroke=WATER, width=width, dash=look.dash)
        if look.hollow:
            drawing.line(area.x, y, area.right, y, stroke=SHEET, width=look.hollow)

    return draw


def draw_devices(drawing: Drawing, view: View, made: DesignedSystem) -> None:
    """Draw the source and all valves; gauge points only where no valve stands."""
    system, devices = made.system, made.system.devices
    taken: list[NDArray[np.float64]] = []
    for kind in DRAWN_DEVICES:
        for x, y in view.to_paper(system.xy[devices.of(kind)]).tolist():
            here = np.array([x, y])
            if kind == "pressure point" and any(np.hypot(*(here - at)) < 2.0 for at in taken):  # noqa: PLR2004 - a mark's size
                continue
            draw_device(drawing, kind, x, y)
            taken.append(here)
    x, y = view.to_paper(system.xy[:1])[0].tolist()
    draw_source(drawing, x, y)


def draw_source(drawing: Drawing, x: float, y: float) -> None:
    """Draw where the water comes from: a disc in a ring."""
    drawing.circle(x, y, 1.9, fill=SHEET, stroke=WATER, width=0.5)
    drawing.circle(x, y, 1.0, fill=WATER)


def draw_device(drawing: Drawing, kind: str, x: float, y: float) -> None:
    """Draw one device."""
    if kind == "valve":
        shape = f"M{x - 1.5:.3f} {y - 1.0:.3f}v2l3 -2v2z"
        drawing.path(shape, fill=INK, stroke=SHEET, width=0.2, name="valve")
    elif kind == "air valve":
        shape = f"M{x:.3f} {y - 1.2:.3f}l1.1 1.9h-2.2z"
        drawing.path(shape, fill=SHEET, stroke=INK, width=0.25, name="air-valve")
    elif kind == "drain":
        shape = f"M{x:.3f} {y + 1.2:.3f}l1.1 -1.9h-2.2z"
        drawing.path(shape, fill=INK, stroke=SHEET, width=0.2, name="drain")
    elif kind == "flush valve":
        shape = f"M{x - 0.8:.3f} {y - 0.8:.3f}h1.6v1.6h-1.6z"
        drawing.path(shape, fill=SHEET, stroke=INK, width=0.3, name="flush-valve")
    else:
        drawing.circle(x, y, 0.9, fill=SHEET, stroke=INK, width=0.25)
        cross = f"M{x - 0.9:.3f} {y:.3f}h1.8M{x:.3f} {y - 0.9:.3f}v1.8"
        drawing.path(cross, stroke=INK, width=0.2, name="pressure-point")


def device_sample(kind: str) -> Sample:
    """Draw a device for the legend; ``source`` is one."""

    def draw(drawing: Drawing, area: Box) -> None:
        x, y = area.x + area.width / 2.0, area.y + area.height / 2.0
        if kind == "source":
            draw_source(drawing, x, y)
        else:
            draw_device(drawing, kind, x, y)

    return draw
