"""From a changed blank to the bytes that the sheet is redrawn from, beside the limit."""

import shutil
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

import numpy as np

from benchmarks.timing import Result

LIMIT_S = 0.1
CHANGES = 60
REDRAWN = ("field", "soil", "slope", "rows", "vines", "posts")
"""Layers that a page shows while a blank is changed."""
EXAMPLE = Path(__file__).parents[1] / "examples" / "lowquince"
HELD = {"rows.bearing": 20.0}
"""The page holds the bearing chosen last for its first picture of a change that may move it."""


class Change(NamedTuple):
    """A blank and what is written into it, step by step, and the last stage that is asked for."""

    key: str
    value: Callable[[int], float]
    held: Mapping[str, float] = HELD
    until: str = "layout"


BLANKS = {
    "headland": Change("rows.headland", lambda step: 6.0 + 0.05 * step),
    "row width": Change("vines.row_width", lambda step: 2.2 + 0.01 * step),
    "vine spacing": Change("vines.vine_spacing", lambda step: 1.0 + 0.01 * step),
    "bearing": Change("rows.bearing", lambda step: 5.0 + step),
    "weight": Change("weights.machine_time", lambda step: 1.0 + 0.05 * step, {}),
    "price": Change("money.grape_price", lambda step: 5000.0 + 10.0 * step, {}, "money"),
    "watering": Change("watering.trigger", lambda step: 0.3 + 0.01 * step, {}, "water"),
}


def results():
    """Yield one line for each kind of change, at the 95th percentile."""
    from aanplant.server.planning import Planner
    from aanplant.server.store import EstateStore

    with tempfile.TemporaryDirectory() as folder:
        estate = Path(folder) / "lowquince"
        shutil.copytree(EXAMPLE, estate)
        planner = Planner(EstateStore(estate))
        for name, change in BLANKS.items():
            yield _changed(planner, name, change)


def _changed(planner, name, change):
    from aanplant.server.preview import preview_bytes
    from aanplant.server.telling import Reader

    reader = Reader("en", "metric")
    known: dict[str, str] = {}
    seconds, vines, size = [], 0, 0
    planner.preview("kiepersol", change.held, page="", until=change.until)  # the page is open
    for step in range(-3, CHANGES):  # the first ones warm up
        start = time.perf_counter()
        asked = {**change.held, change.key: change.value(step + 3)}
        plan = planner.preview("kiepersol", asked, page="", until=change.until)
        data = preview_bytes(plan, reader, layers=REDRAWN, known=known)
        seconds.append(time.perf_counter() - start)
        known, vines, size = dict(plan.digests), len(plan.layout.positions), len(data)
    late, usual = np.percentile(seconds[3:], [95, 50])
    bearing = "given" if change.held else "chosen"
    note = (
        f"{vines} vines, {size / 1e3:.0f} kB, bearing {bearing}, up to {change.until}; "
        f"95th percentile, median {usual:.3f} s"
    )
    return Result(f"preview, {name} changed", "limit", late, LIMIT_S, 1, note)
