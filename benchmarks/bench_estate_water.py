"""Drip system of a whole estate, from laid rows to sized pipes and solved sets, in its time."""

import tempfile
import time
from pathlib import Path

from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from benchmarks.timing import Result

LIMIT_S = 10.0
SIDE_M, ORIGIN_M = 1200, (300_000, 6_250_000)
BRIEF = """[block]
boundary = "corners.csv"
grid = "EPSG:32734"
[vines]
row_width = 2.5
vine_spacing = 1.2
[rows]
bearing = 0
longest = 150
[water]
source = "pump.csv"
flow_available = "46 m3/h"
emitter = { flow = "2.3 L/h", spacing = "0.6 m", pressure_compensating = true }
[pump]
curve = [[0, 82], [20, 80], [46, 74], [60, 60]]
[pipes]
taper = true
"""


def results():
    """Yield the time of the water stage for 144 ha."""
    with tempfile.TemporaryDirectory() as folder:
        block = _block(Path(folder))
        inputs = read_inputs(block)
        laid = make_plan(block.brief, inputs, until="trellis")
        start = time.perf_counter()
        plan = make_plan(block.brief, inputs, until="water", earlier=laid)
        seconds = time.perf_counter() - start
    made = plan.water.system
    sets, drippers = len(made.runs.flow_m3_s), int(made.system.sets.emitters.sum())
    yield Result(
        "drip system of an estate",
        "limit",
        seconds,
        LIMIT_S,
        1,
        f"{sets} sets, {drippers:,} drippers: laid, sized with taper, every set solved",
    )


def _block(folder):
    east, north = ORIGIN_M
    corners = ((0, 0), (SIDE_M, 0), (SIDE_M, SIDE_M), (0, SIDE_M))
    lines = [f"{east + x},{north + y}" for x, y in corners]
    (folder / "corners.csv").write_text("\n".join(("x,y", *lines, "")))
    (folder / "pump.csv").write_text(f"x,y,height\n{east + SIDE_M // 2},{north - 20},0\n")
    (folder / "brief.toml").write_text(BRIEF)
    return open_block(folder)
