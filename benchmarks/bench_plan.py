"""From brief to plan folder, and how soon the command line answers, beside their limits."""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

from benchmarks.timing import Result

HELP_LIMIT_S = 0.3
BLOCK_LIMIT_S, BLOCK_LIMIT_MB = 3.0, 500.0
ESTATE_LIMIT_S, ESTATE_BLOCKS = 90.0, 100
COMMAND = Path(sys.executable).with_name("aanplant")
# As on anyone's machine, Python keeps what it has compiled.
ENVIRONMENT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
BRIEF = """[block]
boundary = "corners.csv"
[vines]
row_width = 2.5
vine_spacing = 1.2
"""


def results():
    """Yield one line for each limit."""
    yield _help()
    with tempfile.TemporaryDirectory() as folder:
        yield _one_block(Path(folder))
        yield _estate(Path(folder))


def _help():
    bare = min(_seconds([sys.executable, "-c", "pass"]) for _ in range(5))
    ours = min(_seconds([COMMAND, "--help"]) for _ in range(5)) - bare
    return Result("aanplant --help, above bare python", "limit", ours, HELP_LIMIT_S, 1)


def _one_block(root):
    block = _block(root / "one", np.random.default_rng(1))
    seconds = min(_seconds([COMMAND, "plan", block, "--files", "all"]) for _ in range(3))
    mb = _peak_mb([COMMAND, "plan", block, "--files", "all"])
    note = f"10 ha, every file; {mb:.0f} MB of {BLOCK_LIMIT_MB:.0f}"
    return Result("one block, brief to plan folder", "limit", seconds, BLOCK_LIMIT_S, 1, note)


def _estate(root):
    random = np.random.default_rng(2)
    blocks = [_block(root / f"estate/{number}", random) for number in range(ESTATE_BLOCKS)]
    start = time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        vines = sum(pool.map(plan_and_write, blocks))
    seconds = time.perf_counter() - start
    note = f"{ESTATE_BLOCKS} blocks of 10 ha, {vines} vines, plan.json, plan.gpkg and sheet"
    return Result("estate of 1,000 ha, all plans", "limit", seconds, ESTATE_LIMIT_S, 1, note)


def plan_and_write(block):
    """Plan one block and write what every plan has; return its vines."""
    from datetime import UTC, datetime

    from aanplant.cli.writing import write_plan
    from aanplant.files import open_block, read_inputs
    from aanplant.plan import make_plan

    opened = open_block(block)
    plan = make_plan(opened.brief, read_inputs(opened))
    write_plan(plan, opened.plan_folder, made=datetime.now(UTC), groups=(), system="metric")
    return len(plan.layout.positions)


def _block(folder, random):
    """A lumpy field of 10 ha near 19 E, 33.6 S."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    turn = np.sort(random.uniform(0, 2 * np.pi, 14))
    reach = random.uniform(0.7, 1.3, 14)
    xy = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    x, y = xy.T
    area = 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    xy *= np.sqrt(100_000.0 / area)
    lat = -33.6 + xy[:, 1] / 110_922.0
    lon = 19.3 + xy[:, 0] / 92_820.0
    lines = [f"{a:.8f},{b:.8f}" for a, b in zip(lat, lon, strict=True)]
    (folder / "corners.csv").write_text("\n".join(["lat,lon", *lines]) + "\n")
    (folder / "brief.toml").write_text(BRIEF)
    return folder


def _peak_mb(command):
    """Most memory a command takes, asked by a small process of its own: a fork starts with ours."""
    ask = (
        "import resource, subprocess, sys\n"
        "subprocess.run(sys.argv[1:], check=True, capture_output=True)\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask, *map(str, command)], check=True, capture_output=True, text=True
    )
    return int(done.stdout) / 1024


def _seconds(command):
    start = time.perf_counter()
    subprocess.run(list(map(str, command)), check=True, capture_output=True, env=ENVIRONMENT)
    return time.perf_counter() - start
