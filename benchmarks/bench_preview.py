"""From a changed blank to the bytes that the sheet is redrawn from, beside the limit."""

import shutil
import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.timing import Result

LIMIT_S = 0.1
CHANGES = 60
REDRAWN = ("field", "soil", "slope", "rows", "vines", "posts")
"""Layers that a page shows while a blank is changed."""
EXAMPLE = Path(__file__).parents[1] / "examples" / "lowquince"
BLANKS = {
    "headland": lambda step: {"rows.headland": 6.0 + 0.05 * step},
    "row width": lambda step: {"vines.row_width": 2.2 + 0.01 * step},
    "bearing": lambda step: {"rows.bearing": 5.0 + step},
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
    for step in range(-3, CHANGES):  # the first ones read files and warm up
        start = time.perf_counter()
        asked = {"rows.bearing": 20.0, **change(step + 3)}
        plan = planner.preview("kiepersol", asked, page="", until="layout")
        data = preview_bytes(plan, reader, layers=REDRAWN, known=known)
        seconds.append(time.perf_counter() - start)
        known, vines, size = dict(plan.digests), len(plan.layout.positions), len(data)
    late, usual = np.percentile(seconds[3:], [95, 50])
    note = (
        f"{vines} vines, {size / 1e3:.0f} kB, bearing given; 95th percentile, median {usual:.3f} s"
    )
    return Result(f"preview, {name} changed", "limit", late, LIMIT_S, 1, note)
