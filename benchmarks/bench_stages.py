"""Where the time of a plan goes: the example estate's first block, stage by stage, and its memory.

Each step is set beside the limit of the whole. The search of the calendar is told, and not
counted in the sum: it stops at a limit of its own.
"""

import json
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import psutil

from benchmarks.bench_plan import BLOCK_LIMIT_MB, BLOCK_LIMIT_S, ENVIRONMENT
from benchmarks.timing import Result

ROOT = Path(__file__).parents[1]
NOT_COUNTED = "calendar"
LOOK_EVERY_S = 0.02
RUNS = 3


def results():
    """Yield one line a step, then the whole with its memory."""
    runs = [_run() for _ in range(RUNS)]
    best, _ = min(runs, key=lambda run: _counted(run[0]))
    peak_mb = max(mb for _, mb in runs)
    for name, seconds in best.items():
        note = "not counted" if name == NOT_COUNTED else ""
        yield Result(f"example: {name}", "limit of the whole", seconds, BLOCK_LIMIT_S, 0, note)
    note = f"without the {NOT_COUNTED}; all processes {peak_mb:.0f} MB of {BLOCK_LIMIT_MB:.0f}"
    yield Result("example: whole, with report", "limit", _counted(best), BLOCK_LIMIT_S, 1, note)


def _counted(seconds):
    return sum(one for name, one in seconds.items() if name != NOT_COUNTED)


def _run():
    """Seconds of each step in a new Python, and the most memory of it and its helpers [MB]."""
    started = subprocess.Popen(
        [sys.executable, "-c", "from benchmarks.bench_stages import timed; timed()"],
        stdout=subprocess.PIPE, text=True, env=ENVIRONMENT, cwd=ROOT,
    )  # fmt: skip
    watched, peak = psutil.Process(started.pid), 0
    while started.poll() is None:
        peak = max(peak, _memory(watched))
        time.sleep(LOOK_EVERY_S)
    return json.loads(started.stdout.read()), peak / 2**20


def _memory(process):
    """Memory of a process and of what it started; pages that they share count once. [bytes]."""
    total = 0
    for one in (process, *process.children()):
        try:
            total += one.memory_full_info().pss
        except psutil.Error:  # it ended just now
            continue
    return total


def timed():
    """Plan the example with its report and print the seconds of each step as JSON."""
    seconds, since = {}, time.perf_counter()

    def told(name):
        nonlocal since
        now = time.perf_counter()
        seconds[name] = now - since
        since = now

    from aanplant.cli import prepare_python

    prepare_python()
    from aanplant.cli.demo import example_estate
    from aanplant.cli.writing import write_plan
    from aanplant.files import open_block, read_inputs
    from aanplant.plan import make_plan

    told("imports")
    with tempfile.TemporaryDirectory() as folder:
        estate = Path(shutil.copytree(example_estate(), Path(folder) / "estate"))
        block = open_block(estate / "blocks" / "kiepersol")
        inputs = read_inputs(block)
        told("files read")
        plan = make_plan(
            block.brief, inputs,
            check=lambda stage, fraction: told(stage) if fraction >= 1.0 else None,
        )  # fmt: skip
        write_plan(
            plan, block.plan_folder, made=datetime.now(UTC), groups=("report",), system="metric",
        )  # fmt: skip
        told("files written")
    json.dump(seconds, sys.stdout)
