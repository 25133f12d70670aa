"""Write ``spreader-sheet.csv``: what is spread on each soil zone, for the contractor."""

import csv
import dataclasses
from pathlib import Path

from aanplant.files.names import cell_text
from aanplant.plan import Plan
from aanplant.work.spread_lines import SpreadLine

COLUMNS = tuple(item.name for item in dataclasses.fields(SpreadLine))


def write_spreader_csv(plan: Plan, path: Path) -> None:
    """Write one line for each product on each zone, as delivered.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        File to write.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for line in plan.work.soil.spreading:
            writer.writerow([_cell(value) for value in dataclasses.astuple(line)])


def _cell(value: str | float) -> str:
    return cell_text(value) if isinstance(value, str) else f"{round(value, 4):.10g}"
