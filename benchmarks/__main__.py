"""Run every benchmark and print one table: `python -m benchmarks [name ...]`."""

import importlib
import sys
from pathlib import Path

COLUMNS = "{:<36} {:<28} {:>9} {:>9} {:>8} {:>8}  {}"


def main(wanted):
    """Print the results of the modules whose names hold one of the words wanted."""
    print(COLUMNS.format("work", "beside", "ours s", "theirs s", "ratio", "reach", "note"))
    for path in sorted(Path(__file__).parent.glob("bench_*.py")):
        if wanted and not any(word in path.stem for word in wanted):
            continue
        for result in importlib.import_module(f"benchmarks.{path.stem}").results():
            print(
                COLUMNS.format(
                    result.work,
                    result.beside,
                    f"{result.ours_s:.4f}",
                    f"{result.theirs_s:.3f}",
                    f"{result.ratio:.1f}x",
                    f"{result.reach:g}x",
                    result.note if result.ratio >= result.reach else f"SHORT; {result.note}",
                ),
                flush=True,
            )


main(sys.argv[1:])
